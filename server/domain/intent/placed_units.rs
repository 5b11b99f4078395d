//! Which unit do words name by where it is: "right front", "the centre of the park rotary",
//! "triplex 1 rear"? And which name is taken back: "greens one, no, I mean greens two"?
//! Deliberately absent: units by number or letter, which `names` has.

use super::subjects::{Finder, Mention, Named};
use crate::domain::language::text::{Kind, Token};
use crate::domain::said::places::place_at;
use crate::domain::said::said_units::any_said_at;

/// What a place stands before when it tells of an end, a side or a part, and of no unit.
const ELSEWHERE: &[&str] = &[
    "end", "side", "hanger", "tip", "roller", "corner", "tyre", "wheel", "blade", "hand", "link",
    "rotary", "deck", "face", "ends",
];
/// What is said of a unit right after it: "triplex 1 rear fixed".
const SAID_AFTER: &[&str] = &[
    "fixed", "sorted", "cured", "done", "mended", "was", "is", "has", "had", "backlapped",
    "lapped", "ground", "spun", "sharpened", "replaced", "changed", "renewed", "fitted", "swapped",
    "today", "yesterday", "this", "last",
];

impl Finder<'_> {
    /// "Right front", "centre head", "rear left unit"; "left end" and "left front tip" are places.
    pub(super) fn placed_unit(&self, at: usize) -> Option<(String, usize)> {
        let (place, mut length) = place_at(self.tokens, at)?;
        let mut corner = place.contains('_');
        // "Rear centre": of five, the one in the middle behind.
        let middle = matches!(self.word(at + length), "centre" | "center" | "middle");
        if middle && !corner && matches!(place.as_str(), "rear" | "front") {
            (corner, length) = (true, length + 1);
        }
        let next = at + length;
        let noun =
            matches!(self.word(next), "unit" | "reel" | "head" | "cylinder" | "cutter" | "one")
                || self.word(next) == "wing";
        // "Sharpened one blade, the left one", "front roller gritty, rear one fine".
        let of_part = |token: &Token| {
            let said = token.text.strip_suffix('s').unwrap_or(&token.text);
            ELSEWHERE.contains(&said) || matches!(said, "bearing" | "spindle" | "motor" | "hose")
        };
        let part = self.word(next) == "one" && self.tokens[..at].iter().rev().take(9).any(of_part);
        // "Back one click" is how far.
        let far = self.word(next) == "one"
            && matches!(self.word(next + 1), "click" | "turn" | "flat" | "notch" | "full" | "thou");
        let noun = noun && !part && !far;
        // "Deck tips: left front 60, right front 61": corners of the one cut.
        let tips = self.tokens.iter().any(|token| token.text == "tips");
        let elsewhere = ELSEWHERE.contains(&self.word(next)) || tips;
        let alone = || {
            self.middle_of_machine(at, next)
                || self.ends_name(at, next)
                || self.middle_of_shop(at, next)
                || self.side_of_shop(at, next)
        };
        if !(noun || (corner && !elsewhere) || self.is_last_of_three(at, &place, next) || alone()) {
            return None;
        }
        let text = if place == "middle" {
            self.word(at).to_owned()
        } else if self.word(next) == "wing" {
            format!("{place} wing")
        } else {
            self.place_words(at, length)
        };
        Some((text, next - 1 + usize::from(noun)))
    }

    /// "The centre of the park rotary": the one in the middle.
    fn middle_of_machine(&self, at: usize, next: usize) -> bool {
        let middle = matches!(self.word(at), "centre" | "center" | "middle");
        let the = at > 0 && self.word(at - 1) == "the";
        let of = matches!(self.word(next), "of" | "on");
        let machine = |other: &Mention| (next + 1..=next + 2).contains(&other.first);
        middle && the && of && self.out.machines.iter().any(machine)
    }

    /// "Set the middle to 3.5": of a machine that has a unit called so.
    fn middle_of_shop(&self, at: usize, next: usize) -> bool {
        const AFTER: &[&str] = &["to", "at", "is", "was", "reads", "read", "up", "down", "only", "lower", "higher"];
        let Some(middle) = same_middle(self.word(at)) else { return false };
        let called = |name: &String| {
            name.split([' ', '-']).any(|word| word == middle || word == self.word(at))
        };
        let machine = self.out.machines.first().map(|mention| mention.name.clone());
        let machine = machine.or_else(|| self.shop.machine_spoken_of());
        let there = machine.is_some_and(|machine| self.shop.subjects.iter().any(|known| {
            let mut names = known.names.iter().map(|name| name.to_lowercase());
            machine.holds(&known.name) && names.any(|name| called(&name))
        }));
        let of_ends = self.tokens.iter().any(|token| matches!(token.text.as_str(), "left" | "right" | "ends" | "end"));
        there && !of_ends && AFTER.contains(&self.word(next))
    }

    /// "Left blades changed on the verticut": of a machine whose units are called by their side.
    fn side_of_shop(&self, at: usize, next: usize) -> bool {
        let side = self.word(at);
        let machine = self.out.machines.first().map(|mention| mention.name.clone());
        let Some(machine) = machine.or_else(|| self.shop.machine_spoken_of()) else { return false };
        let called = |name: &String| {
            let name = name.to_lowercase();
            let mut words = name.split([' ', '-']).filter(|word| word.parse::<u32>().is_err());
            words.next() == Some(side) && words.next().is_none()
        };
        let there = self.shop.subjects.iter().any(|known| {
            machine.holds(&known.name) && known.names.iter().any(called)
        });
        // "The left bearings on unit 2": of a unit named by its number the side is an end.
        let numbered = |one: &Mention| one.display_name.parse::<u32>().is_ok();
        let there = there && !self.out.units.iter().any(numbered);
        matches!(side, "left" | "right") && there && matches!(self.word(next), "blades" | "and" | "bearings")
    }

    /// "Oil drip on triplex 1 rear fixed": a place right after a machine of several units.
    fn ends_name(&self, at: usize, next: usize) -> bool {
        let several = |machine: &Mention| {
            machine.last + 1 == at
                && (machine.first..=machine.last).any(|at| {
                    matches!(self.word(at), "triplex" | "gang" | "fairway" | "greens" | "quint" | "tees")
                })
        };
        let ends = self.tokens.get(next).is_none_or(|token| {
            let colon = matches!(token.text.as_str(), ":" | "=");
            let said = SAID_AFTER.contains(&token.text.as_str());
            said || (token.kind == Kind::Sign && !colon && !self.is_figures(next + 1))
        });
        let back = self.word(at) == "back";
        ends && !back && !self.is_figures(next) && self.out.machines.iter().any(several)
    }

    /// "4 is 12.1": a unit by its number is no machine.
    pub(super) fn is_only_unit(&self, first: usize, last: usize) -> bool {
        let headed = (first.saturating_sub(1)..=first).any(|at| self.word(at) == "unit");
        headed && (first..=last).all(|at| self.word(at) == "unit" || self.is_figures(at))
    }

    fn is_figures(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| token.kind == Kind::Number)
    }

    fn place_words(&self, at: usize, length: usize) -> String {
        let words: Vec<&str> = (at..at + length)
            .map(|at| self.word(at))
            .filter(|word| !matches!(*word, "-" | "hand"))
            .collect();
        words.join(" ")
    }
}

/// Another word for the one in the middle.
pub(super) fn same_middle(text: &str) -> Option<&'static str> {
    match text {
        "middle" | "center" => Some("centre"),
        "centre" => Some("middle"),
        _ => None,
    }
}

/// What takes a name back, when another follows.
const TAKES_BACK: &[&str] = &[
    "no", "sorry", "i mean", "i meant", "make that", "rather", "correction", "scratch that", "nope",
    "i tell a lie", "tell a lie", "hang on", "wait", "my mistake", "not that",
];
/// Tokens between a name taken back and the one that is meant.
const BETWEEN_MAX: usize = 8;

/// What takes back whatever stands before it, however far.
const OUTRIGHT: &[&str] = &[
    "scratch that", "strike that", "scrub that", "i mean", "i meant", "make that", "correction", "i tell a lie",
    "tell a lie", "i lie", "my mistake", "no", "nope", "sorry", "no wait", "hang on",
];
/// Between that and the name that is meant.
const LINKS: &[&str] = &[
    ",", "it", "was", "is", "its", "it's", "that", "that's", "thats", "the", "on", "no", "sorry", "wait", "i",
    "mean", "meant", "actually", "scratch", "make", "tell", "a", "lie", "done", "did", "to", "for",
];

/// "Number 1 walker two clicks, no scratch that it was number 2 walker": behind a sign stands what takes
/// back, and then nothing but the other name.
fn back_outright(tokens: &[Token], from: usize, to: usize) -> bool {
    (from..to).any(|at| {
        let parted = at > 0 && tokens[at - 1].kind == Kind::Sign
            || matches!(tokens[at].text.as_str(), "scratch" | "scrub" | "strike" | "correction");
        let end = any_said_at(tokens, at, OUTRIGHT).filter(|end| *end < to);
        parted && end.is_some_and(|end| {
            (end + 1..to).all(|at| LINKS.contains(&tokens[at].text.as_str()))
        })
    })
}

/// Takes out each name that is taken back: "greens one, no sorry, I mean greens two".
pub(super) fn without_taken_back(tokens: &[Token], named: &mut Named) {
    let back = |one: &Mention, two: &Mention| {
        let between = one.last + 1..two.first;
        let sign = tokens.get(one.last + 1).is_some_and(|token| token.kind == Kind::Sign);
        let said = |at: usize| {
            any_said_at(tokens, at, TAKES_BACK).is_some_and(|end| end < two.first)
        };
        let first = between.start + usize::from(sign);
        (between.len() <= BETWEEN_MAX && first < two.first && said(first))
            || back_outright(tokens, one.last + 1, two.first)
    };
    for list in [&mut named.machines, &mut named.units, &mut named.areas] {
        let mut at = 0;
        while at + 1 < list.len() {
            if back(&list[at], &list[at + 1]) {
                let gone = list.remove(at);
                named.taken_back.push((gone.first, gone.last));
            } else {
                at += 1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn what_takes_a_name_back_stands_right_before_the_other() {
        for (words, wanted) in [
            ("one two clicks both ends, no scratch that it was two", true),
            ("one two clicks, no it was two", true),
            ("one lapped 10 min, sorry I mean two", true),
            ("one lapped scratch that two", true),
            ("one lapped, no wait for a part for two", false),
            ("one lapped, no squeal on two", false),
            ("one lapped and then two", false),
        ] {
            let tokens = tokens(words);
            assert_eq!(back_outright(&tokens, 1, tokens.len() - 1), wanted, "{words}");
        }
    }
}
