//! Which bare whole numbers are units, and no readings: "4 is 12.1 and 5 is 11.7", "bar on 4 and its
//! 12.1 left", "3 was at 9.8"? Only numbers that the shop's own units bear are taken; the word that
//! was left out is put before them, and the text stays as it was.
//! Deliberately absent: units with a word of their own (`names`), and what was read there.

use super::deeds::DEEDS;
use super::names::{SPELLED, TOOK};
use super::nicknames::is_called;
use super::subject_words::HEADS;
use super::subjects::Shop;
use crate::domain::language::text::{Kind, Token, stem, text_at};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::unit_at;

/// Between a unit and what was read there.
const LINKS: &[&str] = &[
    "is", "was", "at", "reads", "read", "=", ":", "were", "now", "sits", "stood", "says", "shows",
];
/// Before a unit that begins a clause.
const BEFORE: &[&str] = &[
    "and", "but", "while", "then", "says", "said", "shows", "gauge", "bar", "bench", "with", "so", "that",
    "which", "only", "the", "on", "of", "just", "whereas", "though", "yes", "prism",
];
/// After a unit that something was done on.
const AFTER: &[&str] = &[
    "and", "its", "it", "is", "was", "now", "again", "today", "yesterday", "this", "reads", "read", "but",
    "so", "both", "too", "only", "left", "right", "then", "at", "took", "as", "same", "cuts", "with", "of",
];

/// What says already that a unit is named.
const UNIT_SAID: &[&str] = &["unit", "units", "no", "number", "#", "reel", "head", "blade"];
/// No machine has more units, nor a deck more blades.
const COUNT_MAX: u32 = 12;

/// Puts the word before each bare number that is a unit of a machine named, or spoken of before.
pub(super) fn say_units(tokens: &mut Vec<Token>, shop: &Shop) {
    let units = numbered_units(tokens, shop);
    // Of a machine that is still to be said.
    let any = if units.is_empty() { all_numbered(shop) } else { Vec::new() };
    let is = |units: &[String], at: usize| {
        let token = &tokens[at];
        let spelled = SPELLED.iter().position(|word| *word == token.text);
        let spelled = spelled.filter(|_| fitted_in(tokens, at) || spelled_row(tokens, at));
        let spelled = spelled.map(|at| (at + 1).to_string());
        let number = token.kind == Kind::Number || spelled.is_some();
        let figure = spelled.as_deref().unwrap_or(&token.text);
        number && units.iter().any(|unit| *unit == figure)
    };
    let row = |at: &usize| {
        let named = *at > 0 && UNIT_SAID.contains(&text_at(tokens, at - 1));
        is(&units, *at) && !named
            && tokens.get(at + 1).is_some_and(|next| {
                next.kind == Kind::Number && next.text.contains('.')
            })
    };
    let rows: Vec<usize> = (0..tokens.len()).filter(row).collect();
    // "Ground fairway five 1 to 5".
    let range = |at: &usize| {
        let named = *at > 0 && UNIT_SAID.contains(&text_at(tokens, at - 1));
        let to = matches!(text_at(tokens, at + 1), "to" | "-" | "through");
        let ends = at + 2 < tokens.len() && is(&units, *at) && is(&units, at + 2);
        let rises = ends && tokens[*at].text < tokens[at + 2].text;
        let rises = rises && unit_at(tokens, at + 3).is_none();
        let work = tokens.iter().any(|token| DEEDS.contains(&token.text.as_str()));
        to && rises && !named && work && !matches!(text_at(tokens, at.saturating_sub(1)), "from" | "went" | "was")
    };
    let ranges: Vec<usize> = (0..tokens.len()).filter(range).collect();
    // "1 9.52 2 9.48 3 9.5": more than one, in their order.
    let rising = rows.windows(2).all(|pair| tokens[pair[0]].text < tokens[pair[1]].text);
    let rows = if rows.len() > 1 && rising { rows } else { Vec::new() };
    let found: Vec<usize> = (0..tokens.len())
        .filter(|at| {
            let told = || {
                let listed = rows.contains(at) || ranges.contains(at) || sided(tokens, *at);
                let listed = listed || done_to(tokens, *at);
                let listed = listed || reads(tokens, *at) || came_off(tokens, *at);
                listed || worked_on(tokens, *at) || fitted_in(tokens, *at)
            };
            let of_shop = is(&units, *at) && told();
            of_shop || (is(&any, *at) && worked_on(tokens, *at))
        })
        .collect();
    for at in found.into_iter().rev() {
        let of = &tokens[at];
        let name = if ranges.contains(&at) { "units" } else { "unit" };
        let said = Token {
            text: name.to_owned(),
            stem: stem(name),
            kind: Kind::Word,
            start: of.start,
            end: of.start,
            sentence: of.sentence,
            segment: of.segment,
        };
        tokens.insert(at, said);
    }
}

/// "Prismed 3 6 and 11, 3.3 3.2 3.4": greens by their numbers, as many as were read there; beside the
/// name of a machine that has units of these numbers they are those.
pub(super) fn say_greens(tokens: &mut Vec<Token>, shop: &Shop) {
    let prism = tokens.iter().position(|token| token.text.starts_with("prism"));
    let Some(prism) = prism else { return };
    let number = |token: &Token| token.kind == Kind::Number;
    let whole = |token: &Token| number(token) && token.text.parse::<u32>().is_ok();
    let joins = |token: &Token| matches!(token.text.as_str(), "," | "and" | "&");
    let row = tokens[prism + 1..].iter().take_while(|token| whole(token) || joins(token)).count();
    let greens: Vec<usize> = (prism + 1..=prism + row).filter(|at| whole(&tokens[*at])).collect();
    let rest = tokens.get(prism + 1 + row..).unwrap_or_default();
    let read: Vec<&Token> = rest.iter().filter(|token| number(token)).collect();
    let decimals = read.iter().all(|token| token.text.contains('.'));
    if greens.len() < 2 || read.len() != greens.len() || !decimals {
        return;
    }
    let put = |tokens: &mut Vec<Token>, (at, word): (usize, &str), start: usize| {
        let of = &tokens[at.min(tokens.len() - 1)];
        let (sentence, segment) = (of.sentence, of.segment);
        let (text, stem) = (word.to_owned(), stem(word));
        let said = Token { text, stem, kind: Kind::Word, start, end: start, sentence, segment };
        tokens.insert(at, said);
    };
    let machine = tokens.iter().any(|token| HEADS.contains(&token.text.as_str()));
    let units = numbered(shop, &|name| name.holder().is_some_and(|of| names(tokens, shop, &of)));
    if machine || !units.is_empty() {
        let all = greens.iter().all(|at| units.contains(&tokens[*at].text));
        if let Some(first) = greens.first().filter(|_| all) {
            let start = tokens[*first].start;
            put(tokens, (*first, "units"), start);
        }
        return;
    }
    for at in greens.into_iter().rev() {
        let end = tokens[at].end;
        put(tokens, (at + 1, "green"), end);
    }
}

/// The numbers that units of those machines bear.
fn numbered_units(tokens: &[Token], shop: &Shop) -> Vec<String> {
    let before = shop.machine_spoken_of();
    let meant = |machine: &SubjectName| {
        Some(machine) == before.as_ref() || names(tokens, shop, machine)
    };
    numbered(shop, &|name| name.holder().is_some_and(|machine| meant(&machine)))
}

/// Whether a word is one that the shop calls that machine.
fn names(tokens: &[Token], shop: &Shop, machine: &SubjectName) -> bool {
    shop.subjects.iter().any(|known| {
        known.name == *machine
            && tokens.iter().any(|token| {
                let word = token.text.strip_suffix('s').unwrap_or(&token.text);
                let called = is_called(known, word) || is_called(known, &token.text);
                token.kind == Kind::Word && called
            })
    })
}

/// The numbers that any unit bears.
fn all_numbered(shop: &Shop) -> Vec<String> {
    numbered(shop, &|_| true)
}

fn numbered(shop: &Shop, wanted: &dyn Fn(&SubjectName) -> bool) -> Vec<String> {
    shop.subjects
        .iter()
        .filter(|known| known.name.kind() == SubjectKind::Unit && wanted(&known.name))
        .map(|known| known.name.id().as_str().to_owned())
        .filter(|id| id.len() <= 2 && id.chars().all(|ch| ch.is_ascii_digit()))
        .collect()
}

/// "All 3 the same": how many there are, and no number of a sum.
pub(super) fn counted(tokens: &[Token]) -> Vec<(usize, usize)> {
    let count = |at: &usize| {
        let few = tokens[*at].text.parse::<u32>().is_ok_and(|count| count <= COUNT_MAX);
        few && matches!(text_at(tokens, at - 1), "all" | "both") && unit_at(tokens, at + 1).is_none()
            && !matches!(text_at(tokens, at + 1), "." | "/")
    };
    (1..tokens.len()).filter(count).map(|at| (at, at)).collect()
}

/// "4 is 12.1": what is said of it is a measure, with a point or a unit.
fn reads(tokens: &[Token], at: usize) -> bool {
    let begins = at == 0
        || tokens[at - 1].kind == Kind::Sign
        || tokens[at - 1].sentence != tokens[at].sentence
        || BEFORE.contains(&text_at(tokens, at - 1));
    let links = (at + 1..at + 4).take_while(|at| LINKS.contains(&text_at(tokens, *at))).count();
    let value = at + 1 + links;
    let measured = tokens.get(value).is_some_and(|token| {
        let length = || unit_at(tokens, value + 1).is_some_and(|(unit, _)| {
            matches!(unit, "mm" | "in" | "thou" | "mil")
        });
        token.kind == Kind::Number && (token.text.contains('.') || length())
    });
    begins && links > 0 && measured
}

/// "One is .138 and .137, two is .140": more than one such number in words.
fn spelled_row(tokens: &[Token], at: usize) -> bool {
    // "Two were 3.4" counts them.
    let counts = |at: usize| text_at(tokens, at + 1) == "were";
    let read = |at: &usize| {
        SPELLED.contains(&text_at(tokens, *at)) && reads(tokens, *at) && !counts(*at)
    };
    read(&at) && (0..tokens.len()).filter(read).count() > 1
}

/// "Bar on 4 and its 12.1", "book that on 2, both ends": a number that no unit of measure follows.
fn worked_on(tokens: &[Token], at: usize) -> bool {
    let before = at.checked_sub(1).map_or("", |at| text_at(tokens, at));
    // "Both ends of 3 on the quint".
    let ends_of = before == "of"
        && at > 1
        && matches!(
            text_at(tokens, at - 2),
            "end" | "ends" | "side" | "sides" | "groomer" | "brush" | "reel" | "bedknife" | "motor"
                | "roller" | "hanger" | "bearing" | "bearings"
        );
    let but = at > 1 && matches!(before, "but" | "bar")
        && matches!(text_at(tokens, at - 2), "all" | "units" | "reels" | "heads" | "them");
    let on = matches!(before, "on" | "onto" | "behind" | "except" | "excepting") || ends_of || but;
    let next = tokens.get(at + 1);
    let ends = next.is_none_or(|next| {
        let sign = next.kind == Kind::Sign && !matches!(next.text.as_str(), "/" | "\"" | "%" | "\u{b0}" | "'");
        let said = next.text.as_str();
        sign || AFTER.contains(&said) || DEEDS.contains(&said) || (ends_of && said == "on")
    });
    on && ends && unit_at(tokens, at + 1).is_none()
}

/// "Took .005 off 1, 6 thou off 2": behind how much came off stands what it came off.
fn came_off(tokens: &[Token], at: usize) -> bool {
    let took = (0..at).any(|before| TOOK.contains(&text_at(tokens, before)));
    let off = at > 1 && matches!(text_at(tokens, at - 1), "off" | "from");
    let amount = off && {
        let before = &tokens[at - 2];
        let length = matches!(before.text.as_str(), "mm" | "thou" | "in" | "inch" | "thousandths" | "mil");
        length || before.kind == Kind::Number || SPELLED.contains(&before.text.as_str())
    };
    let next = tokens.get(at + 1);
    let ends = next.is_none_or(|next| {
        let sign = next.kind == Kind::Sign && !matches!(next.text.as_str(), "/" | "\"" | "%" | "\u{b0}" | "'");
        sign || AFTER.contains(&next.text.as_str())
    });
    took && amount && ends && unit_at(tokens, at + 1).is_none()
}

/// "Put a new bedknife in two on the tees mower": the number of a unit, in figures or in words.
fn fitted_in(tokens: &[Token], at: usize) -> bool {
    const FITTED: &[&str] = &["new", "fresh", "fitted", "fit", "put", "changed", "replaced", "renewed"];
    let number = tokens[at].kind == Kind::Number || SPELLED.contains(&text_at(tokens, at));
    let inside = at > 0 && matches!(text_at(tokens, at - 1), "in" | "into" | "on");
    // "In two of the reels" counts them.
    let held = text_at(tokens, at + 1) == "on" && text_at(tokens, at + 2) != "them";
    let fitted = (0..at).any(|before| FITTED.contains(&text_at(tokens, before)));
    number && inside && held && fitted
}

/// "1 left 9.48 right 9.52, 2 left 9.5": what is told behind it is an end of it, and what was read there.
fn sided(tokens: &[Token], at: usize) -> bool {
    const ENDS: &[&str] = &["left", "right", "l", "r", "lh", "rh"];
    let named = at > 0 && UNIT_SAID.contains(&text_at(tokens, at - 1));
    let link = usize::from(matches!(text_at(tokens, at + 1), ":" | "-" | "=" | ","));
    let end = at + 1 + link;
    let skip = (end + 1..end + 3)
        .take_while(|at| LINKS.contains(&text_at(tokens, *at)) || matches!(text_at(tokens, *at), "end" | "side"))
        .count();
    let value = tokens.get(end + 1 + skip);
    let decimal = value.is_some_and(|one| one.kind == Kind::Number && one.text.contains('.'));
    ENDS.contains(&text_at(tokens, end)) && decimal && !named
}

/// "We lapped 1 and 2 today": first of the numbers that work of a unit was done to.
fn done_to(tokens: &[Token], at: usize) -> bool {
    const OF_UNITS: &[&str] = &[
        "lapped", "backlapped", "ground", "reground", "sharpened", "spun", "faced", "did", "done", "greased", "levelled",
        "leveled", "checked", "inspected", "dressed", "adjusted",
    ];
    const JOINS: &[&str] = &["and", "&", ",", "n", "plus", "+"];
    let few = |at: usize| {
        tokens.get(at).is_some_and(|one| {
            let number = one.text.parse::<u32>();
            one.kind == Kind::Number && number.is_ok_and(|number| number <= COUNT_MAX)
        })
    };
    let before = at.checked_sub(1).map_or("", |at| text_at(tokens, at));
    let mut last = at;
    loop {
        let joining = |at: &usize| JOINS.contains(&text_at(tokens, *at));
        let joins = (last + 1..last + 3).take_while(joining).count();
        if joins == 0 || !few(last + joins + 1) || unit_at(tokens, last + joins + 2).is_some() {
            break;
        }
        last += joins + 1;
    }
    let next = tokens.get(last + 1);
    let ends = next.is_none_or(|next| {
        let sign = next.kind == Kind::Sign && matches!(next.text.as_str(), "," | "." | ";" | ":");
        sign || AFTER.contains(&next.text.as_str())
    });
    // "Ground 3 left": a side alone may be of a number of anything.
    OF_UNITS.contains(&before) && few(at) && ends && unit_at(tokens, last + 1).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::intent::subjects::Known;
    use crate::domain::language::text::tokens;
    use crate::domain::records::Id;

    fn shop(spoken_of: bool) -> Shop {
        let id = |kind: &str, said: &str| Id::from_words(kind, said).unwrap();
        let site = id("site", "home");
        let machine = id("machine", "meadow-quint");
        let name = SubjectName::Machine { site: site.clone(), machine: machine.clone() };
        let known = |name: SubjectName, called: &str| Known {
            name,
            names: vec![called.to_owned()],
            equipment: None,
        };
        let unit = |said: &str| {
            let unit = id("unit", said);
            known(SubjectName::Unit { site: site.clone(), machine: machine.clone(), unit }, said)
        };
        let mut subjects = vec![known(name.clone(), "Meadow quint")];
        subjects.extend(["1", "2", "3", "4", "5"].map(unit));
        Shop { subjects, spoken_of: spoken_of.then_some(name), ..Shop::default() }
    }

    fn said(words: &str, spoken_of: bool) -> String {
        let mut all = tokens(words);
        say_units(&mut all, &shop(spoken_of));
        let texts: Vec<&str> = all.iter().map(|token| token.text.as_str()).collect();
        texts.join(" ")
    }

    #[test]
    fn greens_are_told_by_their_numbers() {
        for (words, wanted) in [
            (
                "prismed 3 6 and 11 this morning, 3.3 3.2 3.4",
                "prismed 3 green 6 green and 11 green this morning , 3.3 3.2 3.4",
            ),
            ("prismed 3, 6: 3.3, 3.2", "prismed 3 green , 6 green : 3.3 , 3.2"),
            ("prism 3.3 3.2 3.4", "prism 3.3 3.2 3.4"),
            ("prismed 3 and 6, 3.3", "prismed 3 and 6 , 3.3"),
            ("prismed 1 and 3 on the quint, 9.5 9.6", "prismed units 1 and 3 on the quint , 9.5 9.6"),
            ("prismed 1 and 3 with the mower, 9.5 9.6", "prismed 1 and 3 with the mower , 9.5 9.6"),
        ] {
            let mut all = tokens(words);
            say_greens(&mut all, &shop(false));
            let texts: Vec<&str> = all.iter().map(|token| token.text.as_str()).collect();
            assert_eq!(texts.join(" "), wanted, "{words}");
        }
    }

    #[test]
    fn a_number_that_a_unit_bears_is_one_beside_a_measure() {
        for (words, wanted) in [
            ("4 is 12.1 and 5 is 11.7", "unit 4 is 12.1 and unit 5 is 11.7"),
            ("bar on 4 and 12.1 left", "bar on unit 4 and 12.1 left"),
            ("set to 9.5, 3 was at 9.8", "set to 9.5 , unit 3 was at 9.8"),
            ("gap on 2, both ends", "gap on unit 2 , both ends"),
            ("moved it on 2 turns", "moved it on 2 turns"),
            ("lapped all the units but 2", "lapped all the units but unit 2"),
            ("7 is 12.1", "7 is 12.1"),
            ("blade 4 is 0.1 low", "blade 4 is 0.1 low"),
            ("4 is high", "4 is high"),
            ("one is .138 and .137, two is .140", "unit one is .138 and .137 , unit two is .140"),
            ("one is .138 low", "one is .138 low"),
            ("one was 3.2, two were 3.4", "one was 3.2 , two were 3.4"),
            ("1 9.5 2 9.6", "unit 1 9.5 unit 2 9.6"),
            ("1 9.5 left", "1 9.5 left"),
            ("lapped 1 and 2 today", "lapped unit 1 and 2 today"),
            ("ground 3, took 40 min", "ground unit 3 , took 40 min"),
            ("did 2 hours", "did 2 hours"),
            ("took 5 thou off 1, 6 off 2", "took 5 thou off unit 1 , 6 off unit 2"),
            ("took five thou off 1, six off 2", "took five thou off unit 1 , six off unit 2"),
            ("1 left 9.48 right 9.52, 2 left 9.5", "unit 1 left 9.48 right 9.52 , unit 2 left 9.5"),
        ] {
            assert_eq!(said(words, true), wanted, "{words}");
        }
        assert_eq!(said("4 is 12.1", false), "4 is 12.1");
        assert_eq!(counted(&tokens("tips level, all 3 same")), [(4, 4)]);
        assert_eq!(counted(&tokens("all 3 mm low")), []);
        assert_eq!(said("quint 4 is 12.1, 5 is 12.2", false), "quint 4 is 12.1 , unit 5 is 12.2");
    }
}
