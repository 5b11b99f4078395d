//! Where does the name of a machine end: is the word or number after a kind of machine part of its
//! name, a measure, or what is told of it?
//! Deliberately absent: where names begin.

use super::people::is_given_name;
use super::strangers::{is_known, is_strange};
use super::subject_words::{
    HEADS, KEPT_AT, KINDS_NAMED, MOWN, PARTS, SURFACES, TELLING,
};
use super::subjects::{Finder, Known, Mention, folded};
use crate::domain::language::text::{Kind, Token};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::numerals::SMALL;
use crate::domain::said::places::place_at;
use crate::domain::said::said_units::unit_at;

/// "Left" in "left front": whether a name holds all these words.
pub(super) fn holds_words(name: &str, words: &[String]) -> bool {
    let own = folded(name);
    words.iter().all(|word| own.contains(word))
}

impl Finder<'_> {
    /// "Runs sweet", "greens going grey": where the shop has machines, words that are no name are none:
    /// no kind of machine, no capital letter, no number.
    pub(super) fn without_invented(&mut self) {
        let machine = |known: &Known| known.name.kind() == SubjectKind::Machine;
        if !self.shop.subjects.iter().any(machine) {
            return;
        }
        let is_name = |mention: &Mention| {
            let mut inside = mention.first..=mention.last;
            let pointed = mention.first.checked_sub(1).is_some_and(|at| {
                matches!(self.word(at), "the" | "our" | "my" | "on")
            });
            // "Replaced the hose, Marcus": who did it.
            let person = mention.first == mention.last && is_given_name(self.word(mention.first));
            mention.known || pointed || !person && inside.any(|at| {
                let token = &self.tokens[at];
                let written = self.text.get(token.start..).and_then(|text| text.chars().next());
                let capital = written.is_some_and(char::is_uppercase) && at > 0;
                let kind = HEADS.contains(&token.text.as_str()) || self.kind_at(at) > 0;
                kind || capital || token.kind == Kind::Number
            })
        };
        self.out.machines = self.out.machines.iter().filter(|one| is_name(one)).cloned().collect();
    }

    /// "The left unit": the only one of the machine whose name holds all words of a place.
    pub(super) fn only_one_there(&self, machine: &SubjectName, text: &str) -> Option<&Known> {
        let place = folded(text);
        let placed = place.iter().all(|word| {
            matches!(word.as_str(), "left" | "right" | "front" | "rear" | "middle" | "centre")
        });
        let middle: Vec<String> = place.iter().map(|word| {
            super::placed_units::same_middle(word).map_or_else(|| word.clone(), str::to_owned)
        }).collect();
        let holds = |name: &str| holds_words(name, &place) || holds_words(name, &middle);
        let mut fit = self.shop.subjects.iter().filter(|subject| {
            let unit = subject.name.kind() == SubjectKind::Unit && machine.holds(&subject.name);
            let id = subject.name.id().as_str().replace('-', " ");
            unit && (subject.names.iter().any(|name| holds(name)) || holds(&id))
        });
        let only = fit.next().filter(|_| placed && !place.is_empty())?;
        fit.next().is_none().then_some(only)
    }

    /// Tokens of a kind of machine that stands here: "triplex", "zero turn", "out-front".
    pub(super) fn kind_at(&self, at: usize) -> usize {
        let dash = usize::from(self.word(at + 1) == "-");
        let last = self.word(at + 1 + dash);
        let before = at.checked_sub(1).map_or("", |before| self.word(before));
        let article = matches!(before, "the" | "our" | "my");
        let pair = match (self.word(at), last) {
            ("zero", "turn") | ("five" | "tri" | "quad" | "5" | "3", "plex") => true,
            ("roller" | "hover" | "robot", "mower") => true,
            ("triple", _) if self.is_small_number(at + 1) => return 1,
            // "Out front" by itself is where the deck is.
            ("out", "front") | ("walk", "behind") | ("stand", "on") => {
                dash > 0 || article || (at == 0 && HEADS.contains(&self.word(at + 2)))
            }
            _ => false,
        };
        match pair {
            true => 2 + dash,
            false => usize::from(HEADS.contains(&self.word(at))),
        }
    }

    /// The last token of a name from `at` whose words before `end` tell one machine from another,
    /// with none of the common kinds: "approach unit", "verticut reel", "cricket cylinder",
    /// "verticut set".
    pub(super) fn other_head(&self, at: usize, end: usize) -> Option<usize> {
        let unit = |head: usize| {
            let unit = self.word(head) == "unit" && SURFACES.contains(&self.word(head - 1));
            let named = self.is_small_number(head + 1);
            (unit && !named)
                || (matches!(self.word(head), "unit" | "reel") && self.word(head - 1) == "verticut")
        };
        if end > at && (unit(end) || self.is_spare_set(end)) {
            return Some(end);
        }
        let part = |next: usize| PARTS.contains(&self.word(next)) || self.word(next) == "diameter";
        let cylinder = |head: &usize| {
            let told = self.word(head - 1);
            let ground = MOWN.contains(&told) || SURFACES.contains(&told);
            self.word(*head) == "cylinder" && ground && !part(head + 1)
        };
        (at + 1..end).rev().find(cylinder)
    }

    /// "Verticut set has done 26 hours", "head 1 of the spare set"; "verticut set to 3" is a deed.
    fn is_spare_set(&self, at: usize) -> bool {
        const AFTER: &[&str] =
            &["has", "have", "had", "did", "ran", "run", "this", "today", "yesterday", "done", "measured"];
        let before = self.word(at - 1);
        let told = matches!(before, "spare" | "verticut" | "cut" | "scarifier" | "groomer")
            || matches!(before, "tees" | "fairway" | "greens");
        let ends = self.tokens.get(at + 1).is_none_or(|next| {
            next.kind == Kind::Sign || AFTER.contains(&next.text.as_str())
        });
        self.word(at) == "set" && told && ends
    }

    /// "Deck scalping is sorted on the park deck", "rough mower: deck was packed": the deck of a
    /// machine that is named in full, unless it has hours of its own.
    pub(super) fn is_of_other(&self, mention: &Mention) -> bool {
        let alone = mention.first == mention.last && self.word(mention.first) == "deck";
        let full = |other: &Mention| {
            let more = other.last > other.first;
            let kind = matches!(self.word(other.last), "mower" | "rotary" | "deck" | "tractor");
            more && kind
        };
        let next = mention.last + 1;
        let ran = matches!(self.word(next), "did" | "ran" | "clock" | "had" | "at" | "has" | "for");
        let counted = self.tokens.get(next).is_some_and(|token| token.kind == Kind::Number);
        let before = |back: usize| mention.first.checked_sub(back).map_or("", |at| self.word(at));
        let on = before(1) == "on" || before(2) == "on";
        alone && !ran && !counted && !on && self.out.machines.iter().any(full)
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

    /// "The mower at the lodge": tokens after a kind of machine that tell where it is kept.
    pub(super) fn kept_at(&self, head: usize) -> usize {
        let at = self.word(head + 1) == "at" && self.word(head + 2) == "the";
        if at && KEPT_AT.contains(&self.word(head + 3)) { 3 } else { 0 }
    }

    /// "The old hydraulic gang": a stranger's word right before the kind, after a telling one.
    pub(super) fn strange_before_kind(&self, at: usize) -> bool {
        let kind = KINDS_NAMED.contains(&self.word(at + 1));
        let same = self.tokens.get(at + 1).is_some_and(|t| t.segment == self.tokens[at].segment);
        kind && same && is_strange(self.tokens, at)
    }

    /// "Triplex B": a capital by itself.
    pub(super) fn is_letter(&self, at: usize) -> bool {
        let Some(token) = self.tokens.get(at) else { return false };
        let written = self.text.get(token.start..token.end).unwrap_or_default();
        written.len() == 1 && written.starts_with(|ch: char| ('A'..='H').contains(&ch))
    }

    /// "The B triplex": a capital by itself as what tells one machine from another.
    pub(super) fn letter_before_kind(&self, at: usize) -> bool {
        let before = at.checked_sub(1).map_or("", |before| self.word(before));
        let article = matches!(before, "the" | "our" | "my");
        article && self.is_letter(at) && self.kind_at(at + 1) > 0
    }

    /// Whether a word is written with a capital, in a text that is not all capitals.
    fn is_proper(&self, at: usize) -> bool {
        let Some(token) = self.tokens.get(at).filter(|token| token.kind == Kind::Word) else {
            return false;
        };
        let written = self.text.get(token.start..).and_then(|text| text.chars().next());
        written.is_some_and(char::is_uppercase) && self.text.chars().any(char::is_lowercase)
    }

    /// "On Lagoon walker": a stranger's word with a capital inside a sentence, before a kind.
    pub(super) fn proper_before_kind(&self, at: usize) -> bool {
        let inside = at > 0 && self.tokens[at - 1].sentence == self.tokens[at].sentence;
        let said = self.word(at);
        let known = is_known(said) || super::dates::is_day_name(said);
        let kind = KINDS_NAMED.contains(&self.word(at + 1));
        let same = self.tokens.get(at + 1).is_some_and(|t| t.segment == self.tokens[at].segment);
        inside && self.is_proper(at) && !known && kind && same
    }

    /// "5.5 hours on Rooster and 4 on Biscuit", "Duke ran three hours, the spare triplex two": more
    /// machines by a name alone, each with its hours.
    pub(super) fn named_with_hours(&mut self) {
        let hours = |token: &Token| matches!(&*token.text, "hours" | "hrs" | "hour" | "hr" | "h");
        if self.out.machines.is_empty() || !self.tokens.iter().any(hours) {
            return;
        }
        for at in 0..self.tokens.len() {
            let name = self.is_proper(at) && is_strange(self.tokens, at);
            let known = super::dates::is_day_name(self.word(at)) || PARTS.contains(&self.word(at));
            let ends = self.tokens.get(at + 1).is_none_or(|next| next.kind == Kind::Sign)
                || matches!(self.word(at + 1), "and" | "today" | "yesterday" | "this");
            let on = at > 1 && self.word(at - 1) == "on" && self.counts(at - 2) && ends;
            let begins = at == 0 || self.tokens[at - 1].kind == Kind::Sign || self.word(at - 1) == "and";
            let ran = matches!(self.word(at + 1), "ran" | "did") && self.counts(at + 2);
            if name && !known && (on || (begins && ran)) && self.free(at, at) {
                self.add_machine(at, at);
            }
        }
    }

    /// A number of hours, or its last word.
    fn counts(&self, at: usize) -> bool {
        let last = matches!(self.word(at), "hours" | "hrs" | "hour" | "half" | "quarter" | "h");
        let figures = self.tokens.get(at).is_some_and(|token| token.kind == Kind::Number);
        last || figures || SMALL[1..].contains(&self.word(at))
    }

    /// "Sand Six", "Dune Two": a name and a number in words, both with a capital.
    pub(super) fn proper_number(&self, at: usize) -> bool {
        let same = |next: &Token| next.segment == self.tokens[at].segment;
        let number = self.tokens.get(at + 1).filter(|next| same(next));
        let spelled = number.is_some_and(|next| SMALL[1..].contains(&next.text.as_str()));
        let name = is_strange(self.tokens, at) || TELLING.contains(&self.word(at));
        let both = self.is_proper(at) && self.is_proper(at + 1);
        spelled && both && name && self.stands_as_number(at + 1)
    }

    /// "The bank mower's deck": the deck is not part of the name.
    pub(super) fn owns(&self, at: usize) -> bool {
        let written = self.text.get(self.tokens[at].start..self.tokens[at].end);
        written.is_some_and(|said| said.ends_with("'s") || said.ends_with("\u{2019}s"))
    }

    pub(super) fn is_small_number(&self, at: usize) -> bool {
        let Some(token) = self.tokens.get(at) else { return false };
        let figures =
            token.kind == Kind::Number && token.text.len() <= 2 && !token.text.contains('.');
        figures || SMALL[1..].contains(&token.text.as_str())
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

    /// "Hour meter on the bank mower 88": more than machines are numbered by (from memory), and
    /// nothing else that the clock reads.
    fn is_of_clock(&self, at: usize) -> bool {
        const NUMBERED_MAX: f64 = 12.0;
        let large = self.tokens[at].text.parse().is_ok_and(|number: f64| number > NUMBERED_MAX);
        let clock = |token: &Token| matches!(token.text.as_str(), "meter" | "clock" | "hourmeter");
        let other = |(place, token): (usize, &Token)| place != at && token.kind == Kind::Number;
        let ends = self.tokens.get(at + 1).is_none_or(|next| next.kind == Kind::Sign);
        let said = self.tokens[..at].iter().any(clock);
        large && ends && said && !self.tokens.iter().enumerate().any(other)
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
        if self.is_among_readings(at) || self.is_of_clock(at) {
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
        // "The walker 4 1/2 hours".
        let fraction = self.tokens.get(at + 1).is_some_and(|next| {
            let whole = next.kind == Kind::Number;
            whole && (next.text.contains('/') || self.word(at + 2) == "/")
        });
        let counted = parted || fraction
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
