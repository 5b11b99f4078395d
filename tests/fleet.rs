//! What the records say to whoever runs the shop: rates and limits against published values, the
//! invented shop read as a whole, and the commands from outside.

mod asked;
mod books;
mod commands;
mod counted;
mod shop;
mod statistics;
mod talked;
