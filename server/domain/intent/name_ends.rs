//! Where does the name of a machine end: is the word or number after a kind of machine part of its
//! name, a measure, or what is told of it?
//! Deliberately absent: where names begin.

use super::readings::place_at;
use super::said_units::unit_at;
use super::subject_words::{HEADS, SURFACES};
use super::subjects::{Finder, Known, Mention, folded};
use crate::domain::language::text::Kind;
use crate::domain::records::{SubjectKind, SubjectName};

impl Finder<'_> {
    /// "The left unit": the only one of the machine whose name holds all words of a place.
    pub(super) fn only_one_there(&self, machine: &SubjectName, text: &str) -> Option<&Known> {
        let place = folded(text);
        let placed = place.iter().all(|word| {
            matches!(word.as_str(), "left" | "right" | "front" | "rear" | "middle" | "centre")
        });
        let holds = |name: &String| {
            let words = folded(name);
            place.iter().all(|word| words.contains(word))
        };
        let mut fit = self.shop.subjects.iter().filter(|subject| {
            let unit = subject.name.kind() == SubjectKind::Unit && machine.holds(&subject.name);
            let id = subject.name.id().as_str().replace('-', " ");
            unit && (subject.names.iter().any(holds) || holds(&id))
        });
        let only = fit.next().filter(|_| placed && !place.is_empty())?;
        fit.next().is_none().then_some(only)
    }

    /// "Ride-on", "ride on": tokens after "ride" that belong to it.
    pub(super) fn on_after_ride(&self, at: usize) -> usize {
        match (self.word(at), self.word(at + 1), self.word(at + 2)) {
            ("ride", "-", "on") => 2,
            ("ride", "on", next) if HEADS.contains(&next) => 1,
            _ => 0,
        }
    }

    /// "The mower did five hours and the front rotary three": the hours of one more machine, which
    /// begins at `from`, not its number.
    pub(super) fn ends_with_hours(&self, from: usize, at: usize) -> bool {
        let before = |back: usize| from.checked_sub(back).map_or("", |before| self.word(before));
        let on = before(1) == "on" || before(2) == "on" || before(1) == "number";
        let spelled = self.tokens[at].kind == Kind::Word && self.word(at - 1) != "number";
        let ends = self.tokens.get(at + 1).is_none_or(|next| {
            let day = ["yesterday", "today", "this", "on", "last"];
            next.kind == Kind::Sign || day.contains(&next.text.as_str())
        });
        let hours =
            self.tokens[..from].iter().any(|token| matches!(token.text.as_str(), "hours" | "hrs"));
        spelled && ends && hours && !on && !self.out.machines.is_empty()
    }

    /// "Deck on the school tractor": the kind alone is what the machine named after it carries.
    pub(super) fn carried(&self, mention: &Mention) -> bool {
        let next = mention.last + 1;
        let alone = mention.first == mention.last && self.word(mention.first) == "deck";
        let on = matches!(self.word(next), "on" | "of" | "off" | "under");
        let the = matches!(self.word(next + 1), "the" | "our" | "my");
        let begins = |other: &Mention| (next + 1..=next + 2).contains(&other.first);
        alone && on && the && self.out.machines.iter().any(begins)
    }

    /// "Triplex B": a capital by itself.
    pub(super) fn is_letter(&self, at: usize) -> bool {
        let Some(token) = self.tokens.get(at) else { return false };
        let written = self.text.get(token.start..token.end).unwrap_or_default();
        written.len() == 1 && written.starts_with(|ch: char| ('A'..='H').contains(&ch))
    }

    pub(super) fn is_small_number(&self, at: usize) -> bool {
        const SPELLED: &[&str] =
            &["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
        let Some(token) = self.tokens.get(at) else { return false };
        let figures =
            token.kind == Kind::Number && token.text.len() <= 2 && !token.text.contains('.');
        figures || SPELLED.contains(&token.text.as_str())
    }

    /// "Greens triplex 3.2, collar mower 9, rough 45": a whole number that ends its clause, where
    /// another machine is followed by a reading.
    fn is_among_readings(&self, at: usize) -> bool {
        let figures = |at: usize| self.tokens.get(at).filter(|token| token.kind == Kind::Number);
        let ends = self.tokens.get(at + 1).is_none_or(|next| next.kind == Kind::Sign);
        let machine = |at: usize| {
            HEADS.contains(&self.word(at)) || SURFACES.contains(&self.word(at))
        };
        let read = |at: usize| {
            let link = usize::from(matches!(self.word(at), "at" | "is" | "was" | "to" | "on"));
            figures(at + link).is_some_and(|token| token.text.contains('.'))
        };
        ends && (0..self.tokens.len()).any(|other| machine(other) && read(other + 1))
    }

    /// "Left front .500, right front .502, rear .498": the one unit behind, or in the middle.
    pub(super) fn is_last_of_three(&self, at: usize, place: &str, next: usize) -> bool {
        let alone = matches!(place, "rear" | "front" | "middle");
        let link = usize::from(matches!(self.word(next), "is" | "was" | ":" | "at"));
        let read = self.tokens.get(next + link).is_some_and(|token| token.text.contains('.'));
        let corner = |other: &usize| {
            place_at(self.tokens, *other).is_some_and(|(name, _)| name.contains('_'))
        };
        let begins = at == 0 || self.tokens[at - 1].kind == Kind::Sign || self.word(at - 1) == "and";
        let corners = || (0..self.tokens.len()).filter(corner).count();
        alone && begins && read && corners() == 2
    }

    /// Not a measure: no unit and no fraction after it.
    pub(super) fn stands_as_number(&self, at: usize) -> bool {
        let same = at == 0 || self.tokens[at].segment == self.tokens[at - 1].segment;
        // "Triplex 4's engine".
        if same && self.word(at + 1) == "'" && self.word(at + 2) == "s" {
            return true;
        }
        // "Deck three point six seconds", "verticutter thirty three hours": more of the number.
        let more = self.word(at + 1) == "point" || self.is_small_number(at + 1) && {
            self.tokens[at].kind == Kind::Word && self.tokens[at + 1].kind == Kind::Word
        };
        if more || matches!(self.word(at + 1), "hundred" | "thousand") {
            return false;
        }
        if self.is_among_readings(at) {
            return false;
        }
        let unit = unit_at(self.tokens, at + 1);
        let article = matches!(self.word(at + 1), "a" | "an" | "bar")
            || (self.word(at + 1) == "hour" && matches!(self.word(at + 2), "meter" | "clock"));
        let measured = !article
            && unit.is_some_and(|(symbol, last)| {
                !(symbol == "in" && self.word(last) == "in") && symbol != "N"
            });
        let parted = self.word(at + 1) == "and"
            && matches!(self.word(at + 2), "a" | "half" | "quarter" | "three");
        let counted = parted
            || matches!(
                self.word(at + 1),
                "blade"
                    | "blades"
                    | "/"
                    | "reels"
                    | "units"
                    | "heads"
                    | "times"
                    | "of"
                    | "quarters"
                    | "eighths"
                    | "sixteenths"
                    | "tenths"
                    | "thou"
            );
        same && !measured && !counted
    }
}
