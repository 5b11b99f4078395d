//! What do people say when they say how much: the numbers, units and places in their words?
//! Deliberately absent: what a number is for (`placing` alone guesses it, from the words around).

mod inch_threads;
pub mod naming;
pub mod no_units;
pub mod numbers;
pub mod numerals;
pub mod places;
pub mod placing;
pub mod said_units;
pub mod ties;
pub mod two_units;
