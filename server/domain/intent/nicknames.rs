//! Which machine of the shop is meant by part of its name: "the triplex", "fairway mower",
//! "walker 1", "rotary"? A machine is meant where one alone fits the words.
//! Deliberately absent: whole names, which come first, and machines that the shop does not have.

use super::strangers::SAID_OF_GANG;
use super::subject_words::{HEADS, SURFACES};
use super::subjects::{Finder, Known, Mention, Named, Shop, folded};
use crate::domain::language::text::{Kind, Token};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::numerals::SMALL;
use crate::domain::said::said_units::unit_at;

/// Words behind the name of a surface that make it a machine's: "the tees reels".
const OF_MACHINE: &[&str] = &[
    "reel", "reels", "unit", "units", "head", "heads", "cylinder", "cylinders", "bedknife",
    "bedknives", "groomer", "groomers",
];
/// A name is cut no shorter than to so many letters (no source).
const SHORT_MIN: usize = 4;
/// Before the number of a unit.
const UNIT_WORDS: &[&str] = &["unit", "number", "no", "reel", "head", "#"];
/// Words of names that tell no machine from another.
const TELLS_NOTHING: &[&str] = &["mower", "mowers", "machine", "set", "unit", "the", "old", "new"];

/// Adds the machines that are meant by part of their name.
pub(super) fn machines(tokens: &[Token], shop: &Shop, out: &mut Named) {
    let machines = machines_of(shop);
    if machines.is_empty() {
        return;
    }
    let mut at = 0;
    while at < tokens.len() {
        let Some((last, known)) = meant(tokens, at, &machines, shop) else {
            at += 1;
            continue;
        };
        let taken = out.spans().iter().any(|(first, end)| at <= *end && last >= *first);
        if !taken {
            out.machines.push(Mention {
                name: known.name.clone(),
                display_name: known.names.first().cloned().unwrap_or_default(),
                known: true,
                first: at,
                last,
            });
        }
        at = last + 1;
    }
    if out.machines.is_empty()
        && let Some((first, known)) = by_number(tokens, &machines, shop)
    {
        out.machines.push(Mention {
            name: known.name.clone(),
            display_name: known.names.first().cloned().unwrap_or_default(),
            known: true,
            first,
            last: first + 1,
        });
    }
}

/// "Due on No. 1": the one machine whose name begins so, where no unit of another may be meant.
fn by_number<'a>(
    tokens: &[Token],
    machines: &[(Vec<String>, &'a Known)],
    shop: &Shop,
) -> Option<(usize, &'a Known)> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let first = (1..tokens.len()).find(|at| {
        let before = matches!(text(at - 1), "on" | "of" | "for");
        let number = tokens.get(at + 1).is_some_and(|token| token.kind == Kind::Number);
        let ends = tokens.get(at + 2).is_none_or(|next| next.kind == Kind::Sign);
        text(*at) == "number" && before && number && ends
    })?;
    let number = text(first + 1);
    let begins = |known: &Known| {
        known.names.iter().any(|name| {
            let lower = name.to_lowercase();
            let rest = lower.strip_prefix("no. ").or_else(|| lower.strip_prefix("no "));
            rest.or_else(|| lower.strip_prefix("number ")).is_some_and(|rest| {
                rest.split(' ').next() == Some(number)
            })
        })
    };
    let spoken_of = shop.machine_spoken_of();
    let unit = spoken_of.is_some_and(|machine| unit_numbered(shop, &machine, number));
    let mut found = machines.iter().filter(|(_, known)| begins(known));
    let (_, only) = found.next()?;
    (found.next().is_none() && !unit).then_some((first, *only))
}

/// The machines of a plural: "both walkers", "the rotaries" where the shop has several. Each with
/// the token that names them.
pub(super) fn several(tokens: &[Token], shop: &Shop) -> Vec<(usize, Vec<SubjectName>)> {
    let machines = machines_of(shop);
    let fitting = |at: usize| {
        let word = tokens.get(at).filter(|token| token.kind == Kind::Word)?;
        let one = singular(&word.text);
        // "Which walker".
        let which = at > 0 && matches!(tokens[at - 1].text.as_str(), "which" | "each" | "either");
        // "The walker reels".
        let of_both = tokens.get(at + 1).is_some_and(|next| {
            next.text.ends_with('s') && OF_MACHINE.contains(&next.text.as_str())
        });
        if (one == word.text && !which && !of_both) || !tells(&one) {
            return None;
        }
        let fit = machines.iter().filter(|(words, _)| words.contains(&one));
        let names: Vec<SubjectName> = fit.map(|(_, known)| known.name.clone()).collect();
        (names.len() > 1).then_some((at, names))
    };
    (0..tokens.len()).filter_map(fitting).collect()
}

/// The one machine that a plural names where the shop has no other: "the two triplexes".
pub(super) fn only_of_a_plural(tokens: &[Token], shop: &Shop) -> Option<(SubjectName, String)> {
    let machines = machines_of(shop);
    tokens.iter().filter(|token| token.kind == Kind::Word).find_map(|token| {
        let one = match token.text.strip_suffix("es") {
            Some(stem) if stem.ends_with('x') => stem.to_owned(),
            _ => singular(&token.text),
        };
        if one == token.text || !tells(&one) {
            return None;
        }
        let mut fit = machines.iter().filter(|(words, _)| words.contains(&one));
        let (_, only) = fit.next()?;
        fit.next().is_none().then(|| (only.name.clone(), one))
    })
}

/// The one machine that mows a surface, by its name: "fairway" is that of the fairway mower.
pub(super) fn of_surface(words: &[Token], shop: &Shop) -> Option<SubjectName> {
    let surface = words.iter().map(|token| singular(&token.text)).find(|word| is_surface(word))?;
    let machines = machines_of(shop);
    let mut fit = machines.iter().filter(|(words, _)| words.contains(&surface));
    let (_, only) = fit.next()?;
    fit.next().is_none().then(|| only.name.clone())
}

fn machines_of(shop: &Shop) -> Vec<(Vec<String>, &Known)> {
    let machines = shop.subjects.iter().filter(|known| known.name.kind() == SubjectKind::Machine);
    machines.map(|known| (words_of(known), known)).collect()
}

/// Whether a machine is called so, in the singular.
pub(super) fn is_called(known: &Known, word: &str) -> bool {
    words_of(known).iter().any(|one| one == word)
}

/// The words of all that a machine is called, in the singular.
fn words_of(known: &Known) -> Vec<String> {
    let id = known.name.id().as_str().replace('-', " ");
    let names = known.names.iter().map(String::as_str).chain([id.as_str()]);
    let mut words: Vec<String> = names.flat_map(folded).map(|word| singular(&word)).collect();
    words.sort();
    words.dedup();
    words
}

fn singular(word: &str) -> String {
    let plain = word.strip_suffix('s').filter(|rest| rest.len() > 2 && !rest.ends_with('s'));
    plain.unwrap_or(word).to_owned()
}

/// The last token of a part of a name that begins here, and the one machine that it fits.
fn meant<'a>(
    tokens: &[Token],
    at: usize,
    machines: &[(Vec<String>, &'a Known)],
    shop: &Shop,
) -> Option<(usize, &'a Known)> {
    let word = |at: usize| {
        let token = tokens.get(at).filter(|token| token.kind == Kind::Word)?;
        let said = singular(&token.text);
        Some(short_for(tokens, at, &said, machines).unwrap_or(said))
    };
    let is_part = |word: &String| machines.iter().any(|(words, _)| words.contains(word));
    let mut said = vec![word(at).filter(is_part)?];
    while let Some(next) = word(at + said.len()).filter(|next| is_part(next) || is_head(next)) {
        said.push(next);
    }
    // "The triplex set to 3.5": the word behind may be part of another name.
    (1..=said.len()).rev().find_map(|count| {
        let next = at + count;
        let (number, behind) = number_behind(tokens, next, &said[..count], machines);
        let words: Vec<String> = said[..count].iter().cloned().chain(number).collect();
        let known = only(tokens, next, &words, machines, shop)?;
        Some((behind, known))
    })
}

/// "Trip 2": before a number, the beginning of a word that one alone of the machines is called by.
fn short_for(
    tokens: &[Token],
    at: usize,
    said: &str,
    machines: &[(Vec<String>, &Known)],
) -> Option<String> {
    let text = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    let behind = at + 1 + usize::from(matches!(text(at + 1), "number" | "no" | "unit"));
    let number = tokens.get(behind).is_some_and(|token| token.kind == Kind::Number);
    if !number || said.chars().count() < SHORT_MIN {
        return None;
    }
    let words = machines.iter().flat_map(|(words, _)| words);
    let mut longer: Vec<&String> =
        words.filter(|word| word.starts_with(said) && tells(word)).collect();
    longer.sort();
    longer.dedup();
    match &longer[..] {
        [only] if only.as_str() != said => Some((*only).clone()),
        _ => None,
    }
}

/// "Walker 1", "walker number 1": the number that is part of a name, and the last token then.
fn number_behind(
    tokens: &[Token],
    next: usize,
    said: &[String],
    machines: &[(Vec<String>, &Known)],
) -> (Option<String>, usize) {
    let is_number = |at: usize| tokens.get(at).is_some_and(|token| token.kind == Kind::Number);
    let skip = tokens.get(next).is_some_and(|token| matches!(token.text.as_str(), "number" | "no"));
    let at = next + usize::from(skip);
    let of_name = |number: &String| {
        machines.iter().any(|(words, _)| {
            words.contains(number) && said.iter().all(|one| words.contains(one))
        })
    };
    let number = tokens.get(at).filter(|_| is_number(at)).map(|token| token.text.clone());
    // "Fairway 5 unit 3", of the fairway five.
    let unit = tokens.get(at + 1).is_some_and(|token| UNIT_WORDS.contains(&token.text.as_str()))
        && is_number(at + 2);
    let number = number.map(|number| match numeral(&number).filter(|_| unit) {
        Some(word) => word.to_owned(),
        None => number,
    });
    match number.filter(of_name) {
        Some(number) => (Some(number), at),
        None => (None, next - 1),
    }
}

/// The one machine that these words fit, when they tell a machine at all.
fn only<'a>(
    tokens: &[Token],
    next: usize,
    said: &[String],
    machines: &[(Vec<String>, &'a Known)],
    shop: &Shop,
) -> Option<&'a Known> {
    let telling = said.iter().any(|one| tells(one));
    let surface = said.iter().any(|one| is_surface(one));
    let behind = tokens.get(next).map(|token| token.text.as_str());
    let of_machine = said.len() > 1
        || behind.is_some_and(|word| OF_MACHINE.contains(&word))
        || has_unit(tokens, next, said, machines, shop);
    let by_count = matches!(said, [one] if is_called_by_count(tokens, next - 1, one));
    // "The front mower": by where it is, of machines.
    let placed = matches!(said, [place, head] if matches!(place.as_str(), "front" | "rear")
        && matches!(head.as_str(), "mower" | "machine"));
    if !telling && !by_count && !placed && !(surface && of_machine) {
        return None;
    }
    let any = |one: &String| is_head(one) && TELLS_NOTHING.contains(&one.as_str());
    let fits = |words: &[String]| said.iter().all(|one| words.contains(one) || any(one));
    let mut fitting = machines.iter().filter(|(words, _)| fits(words));
    let (_, only) = fitting.next()?;
    fitting.next().is_none().then_some(*only)
}

/// "The five", "lapped the seven, all of them": a machine is called by how many units it has, where
/// nothing that is counted stands behind.
fn is_called_by_count(tokens: &[Token], at: usize, word: &str) -> bool {
    let the = at > 0 && tokens[at - 1].text == "the";
    let bare = tokens.get(at + 1).is_none_or(|next| {
        next.kind == Kind::Sign || SAID_OF_GANG.contains(&next.text.as_str())
    });
    the && bare && SMALL.contains(&word)
}

/// "Five" of "5", as machines with so many units are called.
fn numeral(figure: &str) -> Option<&'static str> {
    const WORDS: &[&str] = &["two", "three", "four", "five", "six", "seven", "eight", "nine"];
    let count: usize = figure.parse().ok()?;
    WORDS.get(count.checked_sub(2)?).copied()
}

fn is_head(word: &str) -> bool {
    HEADS.contains(&word)
}

/// "Greens", "the fairway".
pub(super) fn is_a_surface(word: &str) -> bool {
    is_surface(&singular(word))
}

fn is_surface(word: &str) -> bool {
    SURFACES.iter().any(|surface| singular(surface) == word)
}

/// Whether a word by itself can tell a machine: no surface, number or word that any machine has.
fn tells(word: &str) -> bool {
    let numeral = SMALL.contains(&word) || word.chars().all(|ch| ch.is_ascii_digit());
    let common = ["front", "rear", "left", "right", "reel", "cut", "number", "no"];
    !is_surface(word) && !numeral && !TELLS_NOTHING.contains(&word) && !common.contains(&word)
}

/// "Fairway 3": the number is that of a unit of the one machine that fits.
fn has_unit(
    tokens: &[Token],
    at: usize,
    said: &[String],
    machines: &[(Vec<String>, &Known)],
    shop: &Shop,
) -> bool {
    let Some(number) = tokens.get(at).filter(|token| token.kind == Kind::Number) else {
        return false;
    };
    let mut fitting =
        machines.iter().filter(|(words, _)| said.iter().all(|one| words.contains(one)));
    let (Some((_, machine)), None) = (fitting.next(), fitting.next()) else { return false };
    unit_numbered(shop, &machine.name, &number.text)
}

/// Whether the shop has a unit of this number on the machine.
fn unit_numbered(shop: &Shop, machine: &SubjectName, number: &str) -> bool {
    shop.unit(machine, number).is_some()
}

impl Finder<'_> {
    /// "Triplex 2": the number behind a machine of the shop, when it has such a unit.
    pub(super) fn numbers_behind_machines(&mut self) {
        let known = self.out.machines.iter().filter(|one| one.known);
        let machines: Vec<Mention> = known.cloned().collect();
        for machine in machines {
            let reel = matches!(self.word(machine.last + 1), "reel" | "head" | "cylinder" | "no" | "number");
            let at = machine.last + 1 + usize::from(reel);
            let Some(token) = self.tokens.get(at).filter(|token| token.kind == Kind::Number) else {
                continue;
            };
            // "Ran the verticut 2 hours": how long, and no unit.
            let timed = unit_at(self.tokens, at + 1);
            let timed = timed.is_some_and(|(unit, _)| matches!(unit, "h" | "min"));
            let named = unit_numbered(self.shop, &machine.name, &token.text);
            if !self.free(at, at) || timed || !named {
                continue;
            }
            self.add_unit(&token.text.clone(), at, at);
            let mut last = at;
            while let Some(next) = self.joined_number(last, &machine.name) {
                let text = self.tokens[next].text.clone();
                self.add_unit(&text, next, next);
                last = next;
            }
        }
    }
}

impl Finder<'_> {
    /// "Triplex 1 and 3": one more unit of the machine, and no number that is measured.
    fn joined_number(&self, last: usize, machine: &SubjectName) -> Option<usize> {
        let joins = |at: &usize| matches!(self.word(*at), "," | "and" | "&" | "n" | "/" | "plus");
        let count = (last + 1..last + 3).take_while(joins).count();
        let at = last + 1 + count;
        // "Triplex 1 2 3 set": a row that rises.
        let number = |at: usize| self.word(at).parse::<u32>().ok();
        let rises = number(last).zip(number(at)).is_some_and(|(one, next)| next == one + 1);
        let joined = |token: &&Token| token.kind == Kind::Number && (count > 0 || rises);
        let token = self.tokens.get(at).filter(joined)?;
        let measured = unit_at(self.tokens, at + 1).is_some()
            || matches!(self.word(at + 1), "grit" | "off" | "clicks" | "turns" | "each" | "/");
        let one = unit_numbered(self.shop, machine, &token.text) && self.free(at, at);
        (one && !measured).then_some(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    fn shop() -> Shop {
        let known = |name: &str, called: &str| Known {
            name: SubjectName::parse("name", &format!("sites/home/machines/{name}")).expect("one"),
            names: vec![called.to_owned()],
            equipment: None,
        };
        Shop {
            subjects: vec![
                known("greens-triplex", "Greens triplex"),
                known("walker-1", "No. 1 walker"),
                known("walker-2", "No. 2 walker"),
                known("fairway-five", "Fairway five"),
                known("fairway-five/units/3", "3 right front"),
                known("front-rotary", "Front rotary"),
                known("tees-mower", "Tees mower"),
            ],
            ..Shop::default()
        }
    }

    #[test]
    fn part_of_a_name_is_enough_where_one_machine_fits() {
        let shop = shop();
        for (text, wanted) in [
            ("is the triplex safe to use", Some("greens-triplex")),
            ("what is due on the fairway mower", Some("fairway-five")),
            ("hours on walker 2", Some("walker-2")),
            ("squeal on walker number 1", Some("walker-1")),
            ("the rotary shakes", Some("front-rotary")),
            ("the front mower shakes", Some("front-rotary")),
            ("who ground the tees reels", Some("tees-mower")),
            ("fairway 3 lapped", Some("fairway-five")),
            ("who last ground trip 2", Some("greens-triplex")),
            ("relief on the trip number 1", Some("greens-triplex")),
            ("on the next trip out", None),
            ("unit 2 has a front roll 3 mm low", None),
            ("fairway 5 unit 3 leaves a line", Some("fairway-five")),
            ("brown line on 7 fairway", None),
            ("dead grass on the fairways", None),
            ("the walkers are due", None),
            ("five thou at the front", None),
            ("the front roller", None),
        ] {
            let mut named = Named::default();
            machines(&tokens(text), &shop, &mut named);
            let got = named.machines.first().map(|one| one.name.id().to_string());
            assert_eq!(got.as_deref(), wanted, "{text}");
        }
    }
}
