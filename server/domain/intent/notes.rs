//! Which numbers does a record have no field for, and how are they kept in its notes: "bow in the
//! bedknife: 25 thou"? Deliberately absent: what they mean; the words themselves are kept beside.

use super::assign::Assigned;
use super::clauses::{Clause, clauses, without};
use super::grinding::taper_note;
use super::lengths::CUT_MM;
use super::record_lists::word_of;
use super::spoken::Spoken;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::CLICKS;
use crate::domain::units::{convert, plain};

/// Longest name of a number.
const NAME_CHARACTERS_MAX: usize = 80;
/// Numbers that are noted of one sentence.
const NOTES_MAX: usize = 12;

/// Numbers that went to no field, each with the words of its clause and its unit as said.
pub fn notes(spoken: &Spoken, taken: &[(usize, usize)], assigned: &[Assigned]) -> String {
    let all = clauses(spoken);
    let note = |(index, quantity): (usize, &Quantity)| {
        let went = assigned.iter().any(|one| one.quantity == index);
        if let Some(height) = height_set(spoken, quantity).filter(|_| !went) {
            return Some(height);
        }
        let counts = quantity.unit.is_none() && (quantity.in_words || is_hole(spoken, quantity));
        if let Some(taken) = taken_off(spoken, quantity).filter(|_| !went) {
            return Some(taken);
        }
        if went || counts {
            return None;
        }
        if let Some(taper) = taper_note(spoken, quantity) {
            return Some(taper);
        }
        if quantity.unit == Some(CLICKS) {
            return Some(clicks(spoken, quantity));
        }
        let at = word_of(spoken, index);
        let clause = all.iter().find(|clause| (clause.first..=clause.last).contains(&at))?;
        let mut said = taken.to_vec();
        said.extend(spoken.quantities.iter().map(|quantity| (quantity.first, quantity.last)));
        let before = Clause { first: clause.first, last: at };
        let after = Clause { first: at, last: clause.last };
        let named = [after, before, *clause].map(|part| without(spoken, part, &said));
        let name = named.into_iter().find(|name| !name.is_empty());
        let name = name.unwrap_or_else(|| "reading".to_owned());
        let name: String = name.chars().take(NAME_CHARACTERS_MAX).collect();
        // "From 180 to 200 psi": the unit is said once.
        let shared = spoken.quantities.get(index + 1).filter(|next| {
            let between = spoken.tokens.get(quantity.last + 1..next.first).unwrap_or_default();
            between.len() == 1 && matches!(between[0].text.as_str(), "to" | "and" | "/" | "-")
        });
        let unit = quantity.unit.or_else(|| shared.and_then(|next| next.unit));
        let unit = unit.map(|unit| format!(" {unit}")).unwrap_or_default();
        Some(format!("{name}: {}{unit}", plain(quantity.value)))
    };
    let found = spoken.quantities.iter().enumerate().filter_map(note);
    found.take(NOTES_MAX).collect::<Vec<_>>().join("; ")
}

/// "Took 8 thou off each", "lost 0.2 mm": "taken off: 8 thou".
fn taken_off(spoken: &Spoken, one: &Quantity) -> Option<String> {
    const TAKEN: &[&str] = &["took", "taken", "take", "removed", "lost", "taking"];
    let part = one.unit.is_none() && one.fraction;
    let unit = one.unit.filter(|unit| matches!(*unit, "mm" | "in" | "thou" | "um" | "mil"));
    let unit = unit.or(part.then_some(""))?;
    // "Took about six thou off".
    let about = |word: &str| matches!(word, "about" | "around" | "roughly" | "maybe" | "nearly" | "just" | "say" | "some");
    let before = spoken.tokens[..one.first].iter().rev().map(|token| token.text.as_str());
    let before = before.into_iter().find(|word| !about(word))?;
    let off = spoken.tokens.get(one.last + 1).is_some_and(|token| token.text == "off");
    let lost = matches!(before, "lost" | "removed");
    (TAKEN.contains(&before) && (off || lost))
        .then(|| format!("taken off: {} {unit}", plain(one.value)).trim_end().to_owned())
}

/// Three figures without a unit are thousandths of an inch (common practice, no source).
const THOUSANDTHS: std::ops::Range<f64> = 60.0..1_000.0;

/// "Reset to .125", "set her at a hundred twenty five": where the cut stands, where nothing else of that
/// kind is named. Three figures without a unit are thousandths of an inch, as they are said there.
pub fn height_set(spoken: &Spoken, one: &Quantity) -> Option<String> {
    const LINKS: &[&str] = &["it", "her", "him", "them", "at", "to", "the", "back", "up", "down", "unit", "reel", "cut",
        "height", "hoc", "all", "for", "of"];
    const OTHER: &[&str] = &["groomer", "verticut", "brush", "deck", "rotary", "gap", "clearance", "psi", "depth",
        "tips", "blades", "rake", "pressure", "tyre", "tyres", "tire", "tires"];
    let text = |at: usize| spoken.tokens[at].text.as_str();
    let set = (0..one.first).rev().find(|at| {
        !LINKS.contains(&text(*at)) && text(*at).parse::<u32>().is_err()
    })?;
    let other = spoken.tokens.iter().any(|token| OTHER.contains(&token.text.as_str()));
    let same = spoken.tokens[set].segment == spoken.tokens[one.first].segment;
    let near = same && set + 1 < one.first;
    let last = one.first.checked_sub(1).map_or("", text);
    if other || !near || !matches!(text(set), "set" | "reset") || !matches!(last, "to" | "at") {
        return None;
    }
    let (value, unit) = match one.unit {
        None if one.leading_point => (one.value, "in"),
        None if THOUSANDTHS.contains(&one.value) => (one.value / 1_000.0, "in"),
        Some(unit @ ("mm" | "in" | "thou")) => (one.value, unit),
        _ => return None,
    };
    let mm = convert(value, unit, "mm")?;
    CUT_MM.contains(&mm).then(|| format!("height of cut: {} {unit}", plain(value)))
}

/// No course numbers its holes further (common practice, no source).
const HOLES_MAX: f64 = 36.0;

/// "Scalped the collar on 6": a hole by its number.
fn is_hole(spoken: &Spoken, one: &Quantity) -> bool {
    let text = |back: usize| one.first.checked_sub(back).map_or("", |at| spoken.tokens[at].text.as_str());
    let surface = matches!(text(2), "collar" | "green" | "tee" | "fairway" | "apron" | "surround" | "approach" | "hole");
    matches!(text(1), "on" | "of" | "at") && surface && one.value <= HOLES_MAX && one.value.fract() == 0.0
}

/// "2 clicks up": with the way it was turned, where that is said beside it.
fn clicks(spoken: &Spoken, quantity: &Quantity) -> String {
    const WAYS: &[&str] = &[
        "up", "down", "on", "off", "in", "out", "tighter", "slacker", "looser", "closer", "back", "left",
        "right", "clockwise",
    ];
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let behind = text(quantity.last + 1);
    let before = quantity.first.checked_sub(1).map_or("", text);
    let moved = quantity.first.checked_sub(2).map_or("", text);
    let way = [behind, before, if before == "it" { moved } else { "" }];
    // "3 clicks on the left": where, and not which way.
    let sited = |word: &str| word == behind && matches!(text(quantity.last + 2), "the" | "unit" | "both");
    let way = way.into_iter().find(|word| WAYS.contains(word) && !sited(word));
    let count = plain(quantity.value);
    let noun = if (quantity.value - 1.0).abs() < 1e-9 { "click" } else { "clicks" };
    way.map_or_else(|| format!("{count} {noun}"), |way| format!("{count} {noun} {way}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    fn spoken(words: &str) -> Spoken {
        Spoken::new(words, tokens(words), &[])
    }

    #[test]
    fn where_the_cut_was_set_is_a_height() {
        for (words, wanted) in [
            ("tightened it and reset to .125", Some("height of cut: 0.125 in")),
            ("new bedknife, set her at a hundred twenty five", Some("height of cut: 0.125 in")),
            ("ground it, set it to 3.2 mm", Some("height of cut: 3.2 mm")),
            ("set the groomer to .080", None),
            ("set the gap to 0.05 mm", None),
            ("it was a set of 125", None),
            ("ground it to 125", None),
        ] {
            let spoken = spoken(words);
            let told = spoken.quantities.iter().find_map(|one| height_set(&spoken, one));
            assert_eq!(told.as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn what_came_off_is_told_with_how_nearly() {
        for (words, wanted) in [
            ("took about six thou off the diameter", Some("taken off: 6 thou")),
            ("took 8 thou off each", Some("taken off: 8 thou")),
            ("set it six thou off", None),
        ] {
            let spoken = spoken(words);
            assert_eq!(taken_off(&spoken, &spoken.quantities[0]).as_deref(), wanted, "{words}");
        }
    }
}
