//! Which parts, heights, things looked at and hours since do the words of a record list?
//! Deliberately absent: single numbers, which go to the field of their name.

use super::assign::Assigned;
use super::clauses::{Clause, clauses, without};
use super::cues::{Cue, heaviest};
use super::names::{Label, Labelled, SPELLED};
use super::readings::{all_places, readings};
use super::spoken::Spoken;
use super::subjects::Named;
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::text::Kind;
use crate::domain::records::choices::{Choice, Condition, Place, ReplacementReason};
use crate::domain::records::detail::{HeightPoint, HoursSince, InspectionItem, Part};

/// Longest name of a part or item.
const NAME_CHARACTERS_MAX: usize = 80;

pub fn short(text: &str) -> String {
    text.chars().take(NAME_CHARACTERS_MAX).collect()
}

/// Tokens from a height to the unit that it was read on.
const ON_UNIT: usize = 4;

/// The parts named, longest names first taken, in the order of the words.
pub fn parts(spoken: &Spoken, cues: &[Cue], assigned: &[Assigned]) -> Vec<Part> {
    let mut found: Vec<&Cue> = cues.iter().filter(|cue| cue.family == "part").collect();
    found.sort_by(|a, b| (b.weight, a.first()).cmp(&(a.weight, b.first())));
    let mut kept: Vec<&Cue> = Vec::new();
    for cue in found {
        let overlaps = kept.iter().any(|known| known.words.iter().any(|w| cue.words.contains(w)));
        let doubled = kept.iter().any(|known| known.id == cue.id || known.id.ends_with(cue.id));
        if !overlaps && !doubled {
            kept.push(cue);
        }
    }
    kept.sort_by_key(|cue| cue.first());
    // "New bedknife, 174.1 on the reel": where something was read.
    let read_on = |cue: &Cue| {
        let before = |back: usize| cue.first().checked_sub(back).map_or("", |at| spoken.word(at));
        let the = usize::from(before(1) == "the");
        cue.id == "reel" && before(1 + the) == "on" && (before(2 + the) == NUMBER || before(3 + the) == NUMBER)
    };
    if kept.len() > 1 {
        kept.retain(|cue| !read_on(cue));
    }
    let kept: Vec<&Cue> = (0..kept.len())
        .filter(|at| !is_taken_back(spoken, &kept, *at))
        .map(|at| kept[at])
        .collect();
    let reason = reason(cues);
    let mut out: Vec<Part> = kept
        .iter()
        .map(|cue| Part { part: cue.id.to_owned(), reason, ..Part::default() })
        .collect();
    if out.is_empty() {
        return out;
    }
    for one in assigned {
        let at = word_of(spoken, one.quantity);
        // The part that the number stands before, else the last one named before it.
        let after = kept.iter().position(|cue| cue.first() > at && cue.first() <= at + 3);
        let before = kept.iter().rposition(|cue| cue.last() < at);
        let part = &mut out[after.or(before).unwrap_or(0)];
        match one.field.as_str() {
            "count" if part.count.is_none() => part.count = Some(one.settled.value as u32),
            "life_h" => part.life_h = Some(one.settled.value),
            "old_diameter_mm" => part.old_diameter_mm = Some(one.settled.value),
            "thickness_mm" => part.thickness_mm = Some(one.settled.value),
            _ => {}
        }
    }
    for (cue, part) in kept.iter().zip(&mut out).filter(|(_, part)| part.count.is_none()) {
        let from = cue.first().saturating_sub(2);
        let both = (from..cue.first()).any(|at| spoken.words[at].text == "both");
        part.count = (both && spoken.words[cue.last()].text.ends_with('s')).then_some(2);
    }
    // "Bent blade, changed one", "a bearing gone, changed both".
    let count = spoken.words.windows(2).find_map(|pair| {
        let done = ["changed", "replaced", "swapped", "fitted", "renewed"];
        done.contains(&pair[0].text.as_str()).then_some(())?;
        match pair[1].text.as_str() {
            "one" => Some(1),
            "both" => Some(2),
            _ => None,
        }
    });
    let count = count.or_else(|| all_of_a_deck(spoken));
    if let ([part], Some(count)) = (&mut out[..], count)
        && part.count.is_none()
    {
        part.count = Some(count);
    }
    out
}

/// A deck has so many blades (common practice, no source).
const DECK_BLADES: std::ops::RangeInclusive<u32> = 2..=12;

/// "New blades on the front rotary, all three": how many blades of a deck; of reels it counts units.
fn all_of_a_deck(spoken: &Spoken) -> Option<u32> {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let deck = said(&["blades"]) && said(&["deck", "rotary"]);
    let counts = |at: usize| {
        let number = spoken.token(at + 1);
        let spelled = SPELLED.iter().position(|word| *word == number).map(|at| at as u32 + 1);
        let ends = spoken.tokens.get(at + 2).is_none_or(|next| {
            next.kind == Kind::Sign || matches!(next.text.as_str(), "new" | "blades" | "of" | "and" | "today" | "done")
        });
        let count = spelled.or_else(|| number.parse().ok());
        let count = count.filter(|count| DECK_BLADES.contains(count));
        count.filter(|_| spoken.token(at) == "all" && ends)
    };
    (0..spoken.tokens.len()).filter(|_| deck).find_map(counts)
}

/// "Changed the plugs on walker 1": a part that the trade words do not hold, as it was said.
pub fn part_as_said(spoken: &Spoken, taken: &[(usize, usize)]) -> Option<Part> {
    const DONE: &[&str] = &["changed", "replaced", "fitted", "swapped", "renewed", "installed", "put"];
    const BEFORE: &[&str] = &["the", "a", "an", "new", "both", "all", "some", "old", "its", "fresh", "out"];
    const AFTER: &[&str] = &[
        "on", "in", "at", "to", "of", "for", "today", "yesterday", "this", "last", "it", "them", "and", "with",
        "by", "from", "was", "is", "that", "one", "unit", "over", "out", "no", "nope", "sorry", "not",
    ];
    const PART_WORDS_MAX: usize = 3;
    let back = ["nope", "sorry", "no"].iter().any(|said| spoken.words.iter().any(|word| word.text == *said));
    let verb = (0..spoken.words.len()).find(|at| DONE.contains(&spoken.word(*at)))?;
    let first = (verb + 1..spoken.words.len()).find(|at| !BEFORE.contains(&spoken.word(*at)))?;
    let inside = |at: usize| {
        let place = &spoken.places[at];
        taken.iter().any(|(from, to)| place.first <= *to && place.last >= *from)
    };
    let own = |at: &usize| {
        !AFTER.contains(&spoken.word(*at)) && !inside(*at) && spoken.words[*at].stem != NUMBER
            && spoken.words[*at].segment == spoken.words[verb].segment
    };
    let last = (first..(first + PART_WORDS_MAX).min(spoken.words.len())).take_while(own).last()?;
    let part = short(spoken.phrase(first, last).trim());
    (!back && part.chars().count() > 2).then(|| Part { part, ..Part::default() })
}

/// "Blade changed, nope belt", "the belt, not the blade": a part that it was not.
fn is_taken_back(spoken: &Spoken, parts: &[&Cue], at: usize) -> bool {
    const BACK: &[&str] = &["nope", "no", "nah", "sorry", "wait", "rather", "oops", "meant", "mean"];
    let part = parts[at];
    let denied = part.first() > 0 && spoken.word(part.first() - 1) == "not"
        || part.first() > 1 && spoken.word(part.first() - 2) == "not" && spoken.word(part.first() - 1) == "the";
    let instead = parts.get(at + 1).is_some_and(|next| {
        (part.last() + 1..next.first()).any(|word| {
            // "On no 3, and the belt".
            let numbered = spoken.word(word) == "no"
                && spoken.word(word + 1).chars().all(|ch| ch.is_ascii_digit() || ch == '#');
            BACK.contains(&spoken.word(word)) && !numbered
        })
    });
    // "New brush, nope, groomer": something that is no part by itself.
    let last = at + 1 == parts.len();
    let other = last && (part.last() + 1..spoken.words.len()).any(|word| {
        let back = BACK.contains(&spoken.word(word));
        back && matches!(spoken.word(word + 1), "groomer" | "brush" | "verticut" | "groomers")
    });
    instead || other || (denied && parts.len() > 1)
}

fn reason(cues: &[Cue]) -> Option<ReplacementReason> {
    ReplacementReason::ALL
        .iter()
        .copied()
        .find(|reason| heaviest(cues, "reason", reason.id()).is_some())
}

pub fn word_of(spoken: &Spoken, quantity: usize) -> usize {
    spoken.places.iter().position(|place| place.quantities.contains(&quantity)).unwrap_or(0)
}

/// The end or side that a place names, as records write it. "Leading" and "trailing" are the left
/// and right end by the habit of this program; the words are kept beside them.
pub fn place(name: &str) -> Option<Place> {
    match name {
        "leading" => Some(Place::Left),
        "trailing" => Some(Place::Right),
        "left_front" => Some(Place::FrontLeft),
        "right_front" => Some(Place::FrontRight),
        "left_rear" => Some(Place::RearLeft),
        "right_rear" => Some(Place::RearRight),
        other => Place::parse(other),
    }
}

/// Heights with the unit, area and end each was read at; and for each the quantity.
pub fn heights(
    spoken: &Spoken,
    labels: &[Label],
    named: &Named,
    assigned: &[Assigned],
) -> Vec<(usize, HeightPoint)> {
    let wanted: Vec<&Assigned> = assigned.iter().filter(|one| one.field == "height_mm").collect();
    let indexes: Vec<usize> = wanted.iter().map(|one| one.quantity).collect();
    let units: Vec<Label> =
        labels.iter().filter(|label| label.what == Labelled::Unit).cloned().collect();
    let found = readings(spoken, &units, &indexes);
    let end = indexes.last().map_or(0, |index| spoken.quantities[*index].last);
    // "Units 1 to 5: .500, .501, ...": as many heights as units before them, in their order.
    let start = indexes.first().map_or(0, |index| spoken.quantities[*index].first);
    let rounds = wanted.len() / named.units.len().max(1);
    // "Lefts 4.02, 4.05, rights 4.00, 4.03": one end of all units after the other.
    let by_end = rounds > 1 && found.len() > 1 && found[0].place == found[1].place;
    let in_order = named.units.len() > 1
        && named.units.len() * rounds == wanted.len()
        && (named.units.iter().all(|unit| unit.last < start)
            || named.units.iter().all(|unit| unit.first > end));
    // "9.5 on tees 2 and 9.8 on 3": each unit behind what was read there.
    let on_unit = |one: &Assigned| {
        let last = spoken.quantities[one.quantity].last;
        let on = spoken.tokens.get(last + 1).is_some_and(|token| token.text == "on");
        named.units.iter().find(|mention| on && mention.first > last
            && mention.first <= last + ON_UNIT)
    };
    let places = all_places(&spoken.tokens);
    let in_a_row = wanted.len() > 2 && places.iter().filter(|(at, _)| *at > end).count() > 1
        && !places.iter().any(|(at, _)| (start..end).contains(at));
    // "Left it there, right", "front left, front right": no row of ends.
    let row = in_a_row && ends_side_by_side(spoken, &places, end);
    let behind_all: Vec<&String> =
        places.iter().filter(|(at, _)| *at > end && row).map(|(_, name)| name).collect();
    // "3.5 3.5 3.52, 3.48 3.5 3.5, left centre right": the ends of each unit, in their order.
    // Said twice, they are the same: "first is left, then centre, then right".
    let round = (1..behind_all.len()).find(|at| behind_all[*at] == behind_all[0]);
    let round = round.unwrap_or(behind_all.len());
    let alike = (0..behind_all.len()).all(|at| behind_all[at] == behind_all[at % round.max(1)]);
    let behind_all: Vec<&String> = behind_all.into_iter().take(round).filter(|_| alike).collect();
    let each = !behind_all.is_empty() && wanted.len() % behind_all.len() == 0
        && (named.units.is_empty() || [wanted.len(), rounds].contains(&behind_all.len()))
        // "3.5 3.48 3.52, left, right and centre" may be three units as well.
        && (!named.units.is_empty() || behind_all.len() < wanted.len());
    let behind_all = if each { behind_all } else { Vec::new() };
    let all_on = wanted.iter().all(|one| on_unit(one).is_some());
    let mut out: Vec<(usize, HeightPoint)> = Vec::new();
    for (nth, (reading, one)) in found.iter().zip(&wanted).enumerate() {
        let first = spoken.quantities[one.quantity].first;
        let unit = reading.label.and_then(|at| {
            let label = &units[at];
            named.units.iter().find(|mention| mention.first == label.first)
        });
        let placed_unit = || {
            let before = named.units.iter().rev().find(|mention| mention.last < first);
            before.filter(|_| named.units.len() > 1 || units.is_empty())
        };
        let in_row = || if by_end { nth % named.units.len() } else { nth / rounds };
        let listed = in_order.then(in_row).and_then(|nth| named.units.get(nth));
        let behind = on_unit(one).filter(|_| all_on);
        let unit = behind.or(listed).or(unit).or_else(placed_unit)
            .map(|mention| mention.name.clone());
        let unit = unit.filter(|name| name.kind() == crate::domain::records::SubjectKind::Unit);
        let area = named.areas.iter().rev().find(|mention| mention.last < first);
        let area = area.or_else(|| named.areas.first().filter(|_| named.areas.len() == 1));
        // "9.48 9.52 9.5 9.51, left right left right": the ends of all, in their order.
        let end = reading.place.as_deref().and_then(place).filter(|_| !in_a_row);
        let pair = partner(spoken, one.quantity, &indexes);
        let end = end.or(match pair {
            Some(Side::First) => Some(Place::Left),
            Some(Side::Second) => Some(Place::Right),
            None => None,
        });
        // "Left front 3.5": where the unit sits, and no end of it.
        let corner = matches!(end, Some(Place::FrontLeft | Place::FrontRight | Place::RearLeft
            | Place::RearRight | Place::Middle));
        let end = end.filter(|_| unit.is_none() || !corner);
        let of_row = behind_all.get(nth % behind_all.len().max(1)).and_then(|name| place(name));
        let end = end.or(of_row);
        let point = HeightPoint {
            unit,
            area: area.map(|mention| mention.name.clone()),
            end,
            height_mm: Some(one.settled.value),
        };
        out.push((one.quantity, point));
    }
    ends_of_pairs(spoken, &mut out);
    out
}

/// "1 is .138 and .137": two heights of one unit, joined by "and" alone, are its left and its right.
fn ends_of_pairs(spoken: &Spoken, points: &mut [(usize, HeightPoint)]) {
    // "Before and after", "front and rear", "right then left" say what the two are.
    const OTHER: &[&str] = &["before", "after", "front", "rear", "back", "left", "right", "middle", "first", "second"];
    if spoken.tokens.iter().any(|token| OTHER.contains(&token.text.as_str())) {
        return;
    }
    for at in 1..points.len() {
        let (before, one) = (&points[at - 1], &points[at]);
        let unit = |nth: usize| points.get(nth).and_then(|(_, point)| point.unit.as_ref());
        let alone = (at < 2 || unit(at - 2) != unit(at)) && unit(at + 1) != unit(at);
        let bare = before.1.end.is_none() && one.1.end.is_none();
        let (from, to) = (&spoken.quantities[before.0], &spoken.quantities[one.0]);
        let between = spoken.tokens.get(from.last + 1..to.first);
        let joined = between.is_some_and(|between| {
            matches!(between, [only] if matches!(only.text.as_str(), "and" | "&"))
        });
        if unit(at).is_some() && unit(at) == unit(at - 1) && alone && bare && joined {
            points[at - 1].1.end = Some(Place::Left);
            points[at].1.end = Some(Place::Right);
        }
    }
}

/// Whether the ends behind the readings stand side by side, and none of them is where a unit sits.
fn ends_side_by_side(spoken: &Spoken, places: &[(usize, String)], end: usize) -> bool {
    const BETWEEN: &[&str] = &[",", ";", ".", "and", "then", "&", "is", "the", "first"];
    let behind: Vec<&(usize, String)> = places.iter().filter(|(at, _)| *at > end).collect();
    let corner = behind.iter().any(|(_, name)| name.contains('_'));
    let text = |at: usize| spoken.tokens[at].text.as_str();
    let apart = behind.windows(2).any(|pair| {
        (pair[0].0 + 1..pair[1].0).any(|at| !BETWEEN.contains(&text(at)))
    });
    let units = spoken.tokens[end..].iter().any(|token| {
        matches!(token.text.as_str(), "unit" | "units" | "reels" | "heads")
    });
    !corner && !apart && !units
}

enum Side {
    First,
    Second,
}

/// "3.50/3.51": which side of the stroke.
fn partner(spoken: &Spoken, quantity: usize, indexes: &[usize]) -> Option<Side> {
    let stroke = |a: usize, b: usize| {
        let (a, b) = (spoken.quantities.get(a)?, spoken.quantities.get(b)?);
        let between = spoken.tokens.get(a.last + 1..b.first)?;
        (between.len() == 1 && between[0].text == "/").then_some(())
    };
    let nth = indexes.iter().position(|index| *index == quantity)?;
    if indexes.get(nth + 1).and_then(|next| stroke(quantity, *next)).is_some() {
        return Some(Side::First);
    }
    let before = nth.checked_sub(1).map(|nth| indexes[nth])?;
    stroke(before, quantity).map(|()| Side::Second)
}

const GOOD: &[&str] = &[
    "ok", "okay", "fine", "good", "sound", "clean", "tight", "right", "happy", "true", "straight",
    "sharp", "sweet", "perfect", "smooth", "healthy", "quiet", "none", "nil", "snug", "square",
    "level", "firm", "correct", "free",
];
const BAD: &[&str] = &[
    "nicked",
    "worn",
    "loose",
    "bent",
    "cracked",
    "rough",
    "broken",
    "leaking",
    "split",
    "slack",
    "torn",
    "blunt",
    "seized",
    "chipped",
    "dull",
    "frayed",
    "rounded",
    "bald",
    "flat",
    "missing",
    "knackered",
    "shot",
    "noisy",
    "damaged",
    "rusty",
    "dry",
    "low",
    "blocked",
    "perished",
    "wobbly",
    "tired",
    "burred",
    "notchy",
    "gritty",
    "wide",
    "stiff",
    "weeping",
    "hot",
    "yes",
];
const MILD: &[&str] = &[
    "slightly", "bit", "little", "slight", "getting", "starting", "touch", "watch", "soon",
    "maybe", "nearly", "almost",
];

/// The things looked at, one for each clause that says how something was.
pub fn items(
    spoken: &Spoken,
    taken: &[(usize, usize)],
    assigned: &[Assigned],
) -> Vec<InspectionItem> {
    let mut out: Vec<InspectionItem> = Vec::new();
    for clause in clauses(spoken) {
        let remaining = assigned.iter().find(|one| {
            let at = word_of(spoken, one.quantity);
            one.field == "remaining_h" && (clause.first..=clause.last).contains(&at)
        });
        let Some((split, condition)) = condition(spoken, clause, remaining.is_some()) else {
            continue;
        };
        let name = Clause { first: clause.first, last: split.saturating_sub(1).max(clause.first) };
        let mut item = without(spoken, name, taken);
        let negated = spoken.words[clause.first].text == "no";
        if negated {
            item = spoken.phrase((clause.first + 1).min(clause.last), clause.last).to_owned();
        }
        if item.is_empty() {
            continue;
        }
        let last_of_name = if negated { clause.first } else { split };
        out.push(InspectionItem {
            item: short(item.trim()),
            condition: Some(condition),
            found: spoken.phrase(last_of_name, clause.last).trim().to_owned(),
            remaining_h: remaining.map(|one| one.settled.value),
        });
    }
    out
}

/// "174.1 left 173.7 right", "right end", "left and right": where, and no opinion.
fn is_side(spoken: &Spoken, at: usize) -> bool {
    const NOUNS: &[&str] = &["end", "side", "hand", "front", "rear", "unit", "reel", "wheel", "roller"];
    let word = |at: usize| spoken.word(at);
    let number = |at: usize| spoken.words.get(at).is_some_and(|word| word.stem == NUMBER);
    let beside = (at > 0 && number(at - 1)) || number(at + 1) || NOUNS.contains(&word(at + 1));
    let left = spoken.words.iter().any(|word| word.text == "left");
    word(at) == "right" && (beside || left)
}

/// The word where the condition begins, and the condition.
fn condition(spoken: &Spoken, clause: Clause, remains: bool) -> Option<(usize, Condition)> {
    let text = |at: usize| spoken.words[at].text.as_str();
    if text(clause.first) == "no" && clause.last > clause.first {
        return Some((clause.first + 1, Condition::Good));
    }
    // "Leaks no".
    if text(clause.last) == "no" && clause.last > clause.first {
        return Some((clause.last, Condition::Good));
    }
    let at = (clause.first..=clause.last).filter(|at| !is_side(spoken, *at)).find(|at| {
        GOOD.contains(&text(*at))
            || BAD.contains(&text(*at))
            || MILD.contains(&text(*at))
            || (remains && matches!(text(*at), "has" | "good" | NUMBER | "maybe" | "will" | "see"))
    })?;
    let any = |list: &[&str]| (at..=clause.last).any(|at| list.contains(&text(at)));
    let condition = if any(MILD) || remains {
        Condition::Watch
    } else if any(BAD) {
        Condition::Bad
    } else {
        Condition::Good
    };
    Some((at, condition))
}

/// Hours since something was done.
pub fn since(spoken: &Spoken, taken: &[(usize, usize)], assigned: &[Assigned]) -> Vec<HoursSince> {
    let all = clauses(spoken);
    let row = |one: &Assigned| {
        let at = word_of(spoken, one.quantity);
        let clause = all.iter().find(|clause| (clause.first..=clause.last).contains(&at))?;
        let word = (clause.first..=clause.last)
            .find(|at| matches!(spoken.words[*at].text.as_str(), "since" | "on"))?;
        let after = Clause { first: (word + 1).min(clause.last), last: clause.last };
        let before = Clause { first: clause.first, last: at.saturating_sub(1).max(clause.first) };
        let mut said = without(spoken, after, taken);
        if said.is_empty() {
            said = without(spoken, before, taken);
        }
        let since = if said.is_empty() { "the last time".to_owned() } else { said };
        Some(HoursSince { since, hours_h: Some(one.settled.value) })
    };
    assigned.iter().filter(|one| one.field == "since_h").filter_map(row).collect()
}
