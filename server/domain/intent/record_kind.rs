//! Which kind of record do the words make? The cue words of `knowledge/intent` are weighed, after
//! those that say something else here are taken out: words inside the name of a thing ("lift arm"),
//! words told as background ("since they were ground"). A fault that is told before what was done
//! makes it a fault that was fixed, whatever was done. Hours told beside a deed are only its hours.

use super::clauses::{Clause, clauses};
use super::cues::{Cue, weight};
use super::deeds::DEEDS;
use super::grinding;
use super::kind::asks_to_note;
use super::moves::{begins_with_move, begins_with_way, is_number, is_only_time, reset};
use super::spoken::Spoken;
use super::subject_words::{CLOCKS, HEADS, TELLING};
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::purpose::Purposes;
use crate::domain::language::verdict::log_odds;
use crate::domain::records::RecordKind;
use crate::domain::records::choices::Choice as _;
use crate::domain::said::numbers::Quantity;
use crate::domain::said::said_units::CLICKS;
use crate::domain::units::convert;

/// What is done about a fault, beside the deeds.
pub(super) const REMEDIES: &[&str] = &[
    "new", "plugged", "refitted", "soldered", "bolted", "locked", "straightened", "unblocked",
    "cleared", "drained", "topped", "bled", "welded", "glued", "wired", "reconnected", "removed",
    "retightened", "readjusted", "resealed", "reseated", "hosed", "patched", "taped", "clamped",
    "snugged", "retensioned", "squared", "rejoined", "scraped", "unclogged", "emptied", "washed",
    "cut", "untangled", "unwound", "fished",
    "blew", "brushed", "oiled", "reattached", "rerouted", "tighten", "scrubbed", "dug",
];
/// What a fault turned out to be.
const CAUSES: &[&str] = &[
    "sheared", "snapped", "seized", "jammed", "split", "bent", "loose", "slack", "broken",
    "blocked", "cracked", "slipped", "worn", "blunt", "off", "gone", "stuck", "jumped", "burst",
    "chafed", "dry", "shot", "perished", "flat", "failed", "nick", "clogged", "caked", "choked",
    "disconnected", "unplugged", "missing", "corroded", "soft", "stripped", "glazed",
];
/// What is said last of a fault that is no more.
const ENDED: &[&str] = &[
    "cleared", "cured", "fixed", "sorted", "solved", "rectified", "remedied", "mended", "finished",
    "resolved", "repaired",
];
/// What is said last of nothing but a fault.
const CURED: &[&str] = &["cured", "solved", "rectified", "remedied", "resolved", "sorted"];
/// What is said of a fault that is still there.
const OPEN: &[&str] = &[
    "keeps", "why", "what", "worse", "better", "nothing", "odds", "improvement", "avail",
    "difference",
];
/// What is said of what goes on as it should.
const SOUND: &[&str] = &[
    "fine", "good", "ok", "okay", "clean", "quiet", "dry", "sweet", "running", "going", "cutting",
    "holding", "turning", "tight", "level", "true", "right", "spinning", "sound", "sharp",
];
/// What is said of a part that was replaced.
const RENEWED: &[&str] = &["replaced", "renewed", "changed", "swapped", "new"];
/// Deeds that mend nothing.
const TELLS: &[&str] = &[
    "set", "found", "read", "let", "went", "measured", "checked", "timed", "inspected", "looked",
    "miked", "relief",
];
/// Words beside a name that tell nothing: "for the record", "the left reel of the triplex".
pub(super) const SMALL: &[&str] = &[
    "the", "of", "on", "a", "an", "in", "for", "from", "unit", "reel", "head", "record", "log",
    "note", "please", "our", "my", "and", "at", "to", "by", "left", "right", "front", "rear",
    "centre", "middle", "number", "#", "alright", "so", "aye", "mate",
];
/// What a fault told first adds to a fault that was fixed.
const FAULT_FIRST: u32 = 22;
/// A part with its machine is told in no more words.
const PART_WORDS_MAX: usize = 9;
/// What a pressure, a stopping time or a speed adds to an inspection.
const MEASURED: u32 = 5;
/// What turns, flats or clicks add to an adjustment.
const TURNED: u32 = 6;
/// So many numbers without a unit are a list that was read, whatever else is told.
const LISTED: usize = 5;
/// What the left and right of a reel add to an inspection.
const ACROSS: u32 = 12;
/// Reels are no smaller, and cuts no higher, in millimetres (common practice, no source).
pub const REEL_MIN_MM: f64 = 80.0;
/// No reel is wider (common practice, no source).
const REEL_MAX_MM: f64 = 300.0;
/// No cut is as high (common practice, no source).
const SURELY_A_REEL_MM: f64 = 110.0;
/// What asks for hours to be put down, as the first word.
pub(super) const LOGS: &[&str] = &[
    "logged", "log", "ran", "book", "put", "clocked", "enter", "mark", "add", "note", "record",
    "jot", "chalk", "stick", "pop",
];
/// Words before what asks for hours to be put down.
pub(super) const POLITE: &[&str] = &[
    "please", "can", "could", "will", "would", "you", "just", "ok", "okay", "hey", "so", "right",
];
/// Words before the hours that are put down.
const LOGGED_WORDS_MAX: usize = 4;
/// From here on a bare number beside a machine is what its meter reads (from memory).
pub const METERED: f64 = 100.0;
/// What hours that are asked to be put down add to a record of hours.
const LOGGED: u32 = 8;
/// What a part in the first clause adds to a part that was replaced.
const PART_FIRST: u32 = 3;
/// So much heavier than a deed beside them, hours are what is told.
const PLAIN_HOURS: u32 = 6;
/// Words of a name before a part that is new.
const LEAD_WORDS_MAX: usize = 7;
/// What grams of a blade add to a sharpening.
const LIGHTER: u32 = 8;
/// What a way from one height to another, told first, adds to an adjustment.
const BROUGHT: u32 = 9;
/// What a part that the words begin with, and that it is new, add to a part that was replaced.
const NEW_FIRST: u32 = 10;
/// From this weight on words say outright that a fault was put right.
const PUT_RIGHT: u32 = 12;
/// On each of the log odds that sentences like it were of a kind (tried on three authors left out;
/// anything from 1.5 to 3 does).
const LEARNED: f64 = 2.0;
/// What is less likely than this adds nothing (no source).
const HARDLY: f64 = 0.01;
/// A kind that the sentence as a whole adds so much for needs no words of its own
/// (no source).
const SURELY: u32 = 5;
/// A deed of another kind from this weight on makes hours its background.
const DEED: u32 = 5;

/// The cues without those of a record that lie in the name of a thing or in the background.
pub fn deeds_only<'a>(spoken: &Spoken, cues: Vec<Cue<'a>>) -> Vec<Cue<'a>> {
    let things: Vec<Vec<usize>> = cues
        .iter()
        .filter(|cue| cue.family == "thing" && cue.gap() == 0)
        .map(|cue| cue.words.clone())
        .collect();
    let background = background(spoken);
    let old = of_old_part(spoken);
    let sharpened = cues.iter().any(|cue| {
        cue.family == "record" && cue.id == RecordKind::Sharpening.id()
    });
    let lead = lead(&cues);
    let kept = |cue: &Cue| {
        let asking = cue.words.iter().any(|word| lead.contains(word));
        if asking && cue.family == "record" && cue.id != RecordKind::Hours.id() {
            return false;
        }
        let named = |word: &usize| things.iter().any(|thing| thing.contains(word));
        let inside = matches!(cue.family, "record" | "method") && cue.words.iter().any(named);
        let hours = cue.id == RecordKind::Hours.id();
        let behind = cue.words.iter().any(|word| background[*word]);
        let part = cue.id == RecordKind::PartReplaced.id();
        let of_old = !part && cue.words.iter().all(|word| old[*word]);
        let adjusts = cue.id == RecordKind::Adjustment.id();
        let reel = sharpened && adjusts && is_way_of_reel(spoken, cue);
        // "The clock went over 4,000".
        let over = cue.id == RecordKind::Inspection.id() && cue.words.len() == 2;
        let over = over && spoken.word(cue.last()) == "over" && is_number(spoken, cue.last() + 1);
        // "It was three hours on the job": no setting.
        let moved = adjusts && is_only_time(spoken, cue);
        let told = (!hours && behind) || of_old || reel || over || moved;
        !inside && !(cue.family == "record" && told)
    };
    cues.into_iter().filter(kept).collect()
}

/// Words that begin a sentence by asking for it to be written down: "put down that".
fn lead(cues: &[Cue]) -> Vec<usize> {
    cues.iter().filter(|cue| asks_to_note(cue)).flat_map(|cue| cue.words.iter().copied()).collect()
}

/// Words after "since" in their clause: what was done then, not now.
fn background(spoken: &Spoken) -> Vec<bool> {
    let mut out = vec![false; spoken.words.len()];
    for clause in clauses(spoken) {
        let since =
            (clause.first..=clause.last).find(|at| spoken.words[*at].text.as_str() == "since");
        for word in since.map_or(clause.last + 1, |at| at + 1)..=clause.last {
            out[word] = true;
        }
    }
    out
}

/// "Old one had gone down to 54 mm", "the last belt did 300 hours": words of the part that is out.
fn of_old_part(spoken: &Spoken) -> Vec<bool> {
    const OUT: &[&str] = &[
        "one", "ones", "set", "pair", "roller", "rollers", "brush", "belt", "blades", "bearings",
        "knife", "bedknife", "tyre", "hose",
    ];
    let mut out = vec![false; spoken.words.len()];
    for clause in clauses(spoken) {
        let old = (clause.first..clause.last).find(|at| {
            let old = matches!(spoken.word(*at), "old" | "last" | "previous");
            old && *at <= clause.first + 2 && OUT.contains(&spoken.word(at + 1))
        });
        for word in old.map_or(clause.last + 1, |at| at)..=clause.last {
            out[word] = true;
        }
    }
    out
}

/// "Took the reel from 127.0 mm to 126.2 mm": two numbers, both as wide as reels are.
fn is_way_of_reel(spoken: &Spoken, cue: &Cue) -> bool {
    let wide = |index: &usize| {
        let quantity = &spoken.quantities[*index];
        let next = spoken.quantities.get(index + 1).and_then(|next| next.unit);
        is_wide_as_reel(quantity, quantity.unit.or(next))
    };
    let numbers = cue.words.iter().flat_map(|word| &spoken.places[*word].quantities);
    let numbers: Vec<&usize> = numbers.collect();
    numbers.len() == 2 && numbers.into_iter().all(wide)
}

/// "Reel 4 is left 176.2 mm and right 175.9": numbers that are how wide a reel is.
fn across(spoken: &Spoken) -> bool {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let millimetres = |quantity: &Quantity| match quantity.unit {
        None | Some("mm" | "mil") => quantity.value,
        Some(unit @ ("cm" | "in")) => convert(quantity.value, unit, "mm").unwrap_or(0.0),
        _ => 0.0,
    };
    let wide = spoken.quantities.iter().filter(|one| millimetres(one) >= REEL_MIN_MM).count();
    if wide > 0 && said(&["diameter", "diameters"]) && said(&["end", "ends"]) {
        return true;
    }
    let sides = said(&["left"]) && said(&["right"]);
    let widest = spoken.quantities.iter().filter(|quantity| quantity.value >= SURELY_A_REEL_MM);
    let reel = wide >= 2 && widest.count() == wide;
    sides && wide >= 2 && (reel || said(&["reel", "reels", "cylinder", "cylinders", "drum", "roller"]))
}

/// "Log it:", "for the book,": a clause that only asks for something to be written down.
fn asks_only(spoken: &Spoken, clause: Clause) -> bool {
    const ASKS: &[&str] = &["it", "this", "that", "for", "the", "book", "in", "down", "a", "to"];
    let small = |at: usize| {
        let word = spoken.words[at].text.as_str();
        ASKS.contains(&word) || LOGS.contains(&word) || POLITE.contains(&word)
    };
    (clause.first..=clause.last).all(small)
}

/// "Fresh bedknife in number 2 head": a part that is new, before anything else is told; not what it
/// has done since.
fn begins_with_new(spoken: &Spoken, cues: &[Cue]) -> bool {
    const NEW: &[&str] = &["new", "fresh", "replacement", "another"];
    const SINCE: &[&str] = &["has", "have", "did", "done", "ran", "run", "been", "is", "are", "at"];
    let word = |at: usize| spoken.word(at);
    // "Stand-on mower: new deck belt": after nothing but the name of the machine.
    let name = |at: &usize| {
        let said = word(*at);
        let known = HEADS.contains(&said) || TELLING.contains(&said) || SMALL.contains(&said);
        (known || matches!(said, NUMBER | "brand" | "all" | "both")) && said != "new"
    };
    let lead = (0..LEAD_WORDS_MAX).take_while(name).count();
    let part = cues.iter().find(|cue| {
        // "New reel": the word for a part that is new may be of its pattern.
        cue.family == "part" && cue.last() > lead && cue.first() <= lead + 3
    });
    let told = part.is_some_and(|part| !SINCE.contains(&word(part.last() + 1)));
    // "New blades on the rough deck have done 30 hours".
    let ran = spoken.words.windows(2).any(|pair| {
        let has = matches!(pair[0].text.as_str(), "have" | "has" | "had");
        has && matches!(pair[1].text.as_str(), "done" | "run" | "got" | "had" | NUMBER)
    });
    let told = told && !ran;
    NEW.contains(&word(lead)) && told
}

/// The kind that most cues speak for; the first of the list among equals.
pub fn likeliest(
    spoken: &Spoken,
    cues: &[Cue],
    mended: bool,
    purposes: &Purposes,
) -> Option<(RecordKind, u32)> {
    let all: Vec<_> = clauses(spoken).into_iter().filter(|one| !asks_only(spoken, *one)).collect();
    let parts = cues.iter().any(|cue| {
        cue.family == "part" && all.first().is_some_and(|first| cue.first() <= first.last)
    });
    let other = RecordKind::ALL.iter().any(|kind| {
        let own = matches!(kind, RecordKind::PartReplaced | RecordKind::Hours);
        !own && weight(cues, "record", kind.id()) > PART_FIRST
    });
    let hours = spoken.quantities.iter().find(|quantity| quantity.unit == Some("h"));
    // "Log it: bearings and seals, left unit, 3 hours": parts, and how long they took.
    let ran = ["since", "ran", "run", "did", "mowed", "cut", "on", "done", "worked", "clock"];
    let only_parts = hours.is_some_and(|hours| {
        let at = spoken.places.iter().position(|place| place.first == hours.first).unwrap_or(0);
        let before = |cue: &Cue| cue.family == "part" && cue.last() < at;
        cues.iter().any(before) && !spoken.words.iter().any(|w| ran.contains(&w.text.as_str()))
    });
    let early = hours.is_some_and(|hours| hours.first <= LOGGED_WORDS_MAX);
    let polite = |word: &&str| !POLITE.contains(word);
    let first = spoken.words.iter().map(|word| word.text.as_str()).find(polite).unwrap_or("");
    let clock = spoken.words.iter().take(LOGGED_WORDS_MAX).any(|word| {
        CLOCKS.contains(&word.text.as_str())
    });
    // "Greens 2 was 1,038, now 1,045 hours": nothing but what the meter read.
    let metered = |quantity: &Quantity| {
        quantity.unit == Some("h") || (quantity.unit.is_none() && quantity.value >= METERED)
    };
    let twice = spoken.quantities.len() > 1 && spoken.quantities.iter().all(metered);
    let twice = twice && hours.is_some_and(|hours| hours.value >= METERED) && !parts;
    let logged = hours.is_some() && (LOGS.contains(&first) || clock || twice);
    let still = hours.is_none();
    let read = |unit: &str| match unit {
        "psi" | "bar" | "kPa" | "s" => true,
        // "Clocked the mower at 4 mph".
        "mph" | "km/h" | "m/s" => still,
        _ => false,
    };
    let reading = spoken.quantities.iter().any(|quantity| quantity.unit.is_some_and(read));
    let measured = |kind: RecordKind| kind == RecordKind::Inspection && reading;
    let turned = spoken.quantities.iter().any(|quantity| {
        quantity.value > 0.0 && matches!(quantity.unit, Some("turns" | "flats" | CLICKS))
    });
    let listed = spoken.quantities.iter().filter(|quantity| quantity.unit.is_none()).count();
    let mended = mended && listed < LISTED;
    let across = across(spoken);
    // "60 g off the lot": what a blade lost.
    let lighter = spoken.quantities.iter().any(|one| matches!(one.unit, Some("g" | "oz")));
    let lighter = lighter && cues.iter().any(|cue| cue.family == "part" && cue.id.ends_with("blades"));
    // "Greens 3 was 1,210, now 1,218 hours" tells of the clock.
    let brought = begins_with_way(spoken) || begins_with_move(spoken, &all);
    let brought = brought || (hours.is_none() && reset(spoken, &all));
    let new_first = begins_with_new(spoken, cues);
    let of = |kind: RecordKind| {
        let more = match kind {
            RecordKind::Inspection if across => ACROSS,
            RecordKind::Sharpening if lighter => LIGHTER,
            RecordKind::Adjustment if turned => TURNED,
            RecordKind::Adjustment if brought => BROUGHT,
            _ if measured(kind) && weight(cues, "record", kind.id()) > 0 => MEASURED,
            RecordKind::Hours if logged && (early || twice) => LOGGED,
            RecordKind::FaultFixed if mended => FAULT_FIRST,
            RecordKind::PartReplaced if new_first => NEW_FIRST,
            RecordKind::PartReplaced if parts && !other => PART_FIRST,
            _ => 0,
        };
        weight(cues, "record", kind.id()) + more
    };
    let others = RecordKind::ALL.iter().filter(|kind| **kind != RecordKind::Hours);
    let deed = others.map(|kind| of(*kind)).max().unwrap_or(0);
    let weigh = |kind: RecordKind| {
        // "Gone past 3,000 hours" is said of hardly anything else; a clock is read beside work.
        let read = spoken.words.iter().any(|word| CLOCKS.contains(&word.text.as_str()));
        // "Put right, has run 3 hours since": since it was put right.
        let right = weight(cues, "record", RecordKind::FaultFixed.id()) >= PUT_RIGHT;
        let plain = of(RecordKind::Hours) >= deed + PLAIN_HOURS && !read && !right;
        let behind = kind == RecordKind::Hours && deed >= DEED && !logged && !plain;
        if kind == RecordKind::Hours && only_parts && deed > 0 && !clock {
            return of(kind).min(deed - 1);
        }
        if behind { of(kind).min(deed - 1) } else { of(kind) }
    };
    let (kind, score) = heaviest(purposes, grinding::tells_hours(spoken), &weigh)?;
    Some((kind, if measured(kind) { score.saturating_sub(MEASURED) } else { score }))
}

/// The kind whose words, and what sentences like it were, weigh most, with the weight of its words.
fn heaviest(
    purposes: &Purposes,
    hours: bool,
    weigh: &dyn Fn(RecordKind) -> u32,
) -> Option<(RecordKind, u32)> {
    RecordKind::ALL
        .iter()
        .filter(|kind| hours || **kind != RecordKind::Hours)
        .map(|kind| (*kind, weigh(*kind), learned(purposes, *kind)))
        .filter(|(_, weight, learned)| *weight > 0 || *learned > SURELY)
        .reduce(|best, one| if one.1 + one.2 > best.1 + best.2 { one } else { best })
        .map(|(kind, weight, _)| (kind, weight))
}

/// What the sentence as a whole adds for a kind.
fn learned(purposes: &Purposes, kind: RecordKind) -> u32 {
    let lean = purposes.lean(kind.id()) - log_odds(HARDLY);
    (LEARNED * lean).max(0.0).round() as u32
}

/// "120 grit and ten minutes a reel": how it was done, and no fault.
fn tells_grit(spoken: &Spoken, clause: Clause) -> bool {
    (clause.first + 1..=clause.last).any(|at| {
        spoken.words[at].text == "grit" && spoken.words[at - 1].stem == NUMBER
    })
}

/// As wide as reels are, in millimetres where no unit is said.
fn is_wide_as_reel(quantity: &Quantity, unit: Option<&str>) -> bool {
    let unit = unit.unwrap_or("mm");
    matches!(unit, "mm" | "cm" | "in")
        && convert(quantity.value, unit, "mm")
            .is_some_and(|value| (REEL_MIN_MM..=REEL_MAX_MM).contains(&value))
}

/// "126.2 it came down to": a number as wide as reels are tells of grinding, and no fault.
fn tells_width(spoken: &Spoken, clause: Clause) -> bool {
    let wide = |index: &usize| {
        let quantity = &spoken.quantities[*index];
        is_wide_as_reel(quantity, quantity.unit)
    };
    (clause.first..=clause.last).any(|at| spoken.places[at].quantities.iter().any(wide))
}

/// "Blades off the orchard deck", "deck blades": a part, and nothing that is wrong with it.
fn only_names_part(
    spoken: &Spoken,
    cues: &[Cue],
    clause: Clause,
    named: &dyn Fn(usize) -> bool,
) -> bool {
    const BESIDE: &[&str] = &[
        "off", "out", "both", "all", "two", "pair", "set", "new", "deck", "rotary", "mower",
        "triplex", "gang", "walker",
    ];
    let parts: Vec<usize> = cues
        .iter()
        .filter(|cue| cue.family == "part")
        .flat_map(|cue| cue.words.iter().copied())
        .filter(|word| (clause.first..=clause.last).contains(word))
        .collect();
    let said = |word: usize| {
        let text = spoken.words[word].text.as_str();
        let small = SMALL.contains(&text) || BESIDE.contains(&text) || text == NUMBER;
        parts.contains(&word) || small || named(word)
    };
    !parts.is_empty() && (clause.first..=clause.last).all(said)
}

/// "Nobody's moved it", "the ground is hard", "belts new and tight": no deed at all.
fn undone(spoken: &Spoken, at: usize, last: usize) -> bool {
    let word = |at: usize| spoken.word(at);
    let next = if at < last { word(at + 1) } else { "" };
    let denied = (at.saturating_sub(3)..at).any(|before| {
        matches!(word(before), "nobody" | "never" | "none" | "not" | "nothing" | "noone")
    });
    match word(at) {
        "ground" => {
            let before = at.checked_sub(1).map_or("", word);
            denied || matches!(before, "the" | "away" | "soft" | "hard" | "firm" | "home" | "rough")
                || matches!(next, "is" | "was" | "that" | "hard" | "soft" | "firm")
        }
        // "Cut it out"; what a mower does is none.
        "cut" => denied || !matches!(next, "it" | "them" | "out" | "off" | "away"),
        "locked" => denied || matches!(next, "up" | "solid"),
        "new" => matches!(next, "" | "and" | "n" | "tight"),
        // "Where the triplex turned".
        "turned" | "lifted" | "dropped" | "opened" | "pulled" | "stopped" => {
            denied || at.checked_sub(1).is_some_and(|before| HEADS.contains(&word(before)))
        }
        "reset" | "done" => false,
        _ => denied,
    }
}

/// "Left wing leaking", "belt squealing": what a part does that it should not.
fn does_something(spoken: &Spoken, clause: Clause) -> bool {
    const NOUNS: &[&str] = &[
        "bearing", "fitting", "housing", "bushing", "mowing", "grooming", "cutting", "spring", "ring",
        "wing", "morning", "mulching", "bowling", "putting", "walking", "o-ring", "casing", "scraping",
    ];
    (clause.first..=clause.last).any(|at| {
        let said = spoken.words[at].text.as_str();
        said.len() > 5 && said.ends_with("ing") && !NOUNS.contains(&said)
    })
}

/// "Replaced", "two new ones", "fitted Monday": nothing but that a part is new.
fn tells_new(spoken: &Spoken, clause: Clause) -> bool {
    let began = spoken.words[clause.first].text.as_str();
    let second = spoken.words[(clause.first + 1).min(clause.last)].text.as_str();
    let short = clause.last <= clause.first + 2;
    let fitted = matches!(began, "fitted" | "installed") && short;
    let fitted = fitted && !matches!(second, "new" | "a" | "one" | NUMBER | "another");
    let new = second == "new" && matches!(began, "#" | "a" | "two" | "both");
    fitted || new || RENEWED.contains(&began)
}

/// What a fault turned out to be: "bearing was worn", "clamp thread stripped".
fn tells_cause(spoken: &Spoken, clause: Clause) -> bool {
    (clause.first..=clause.last)
        .filter(|at| *at > clause.first)
        // "Backed off" is done, "was off" is a cause.
        .filter(|at| !DEEDS.contains(&spoken.words[at - 1].text.as_str()))
        // "3 off" counts them.
        .filter(|at| spoken.words[at - 1].stem != NUMBER)
        .any(|at| CAUSES.contains(&spoken.words[at].text.as_str()))
}

/// "Slow brush on the mower put right": a fault that is no more, in two words.
fn ends_put_right(spoken: &Spoken, clause: Clause) -> bool {
    let last = spoken.word(clause.last);
    let before = if clause.last > clause.first { spoken.word(clause.last - 1) } else { "" };
    matches!(
        (before, last),
        ("put", "right") | ("made", "good") | ("seen", "to") | ("done", "with") | ("sorted", "out")
            | ("dealt", "with")
    )
}

/// A fault in the first clause that says anything, no deed there, and a deed in a later clause with
/// nothing wrong told after it.
pub fn fault_comes_first(
    spoken: &Spoken,
    cues: &[Cue],
    faults: &[usize],
    names: &[(usize, usize)],
) -> bool {
    let named = |word: usize| spoken.lies_within(word, names);
    let all = clauses(spoken);
    let small = |word: usize| SMALL.contains(&spoken.words[word].text.as_str());
    let says = |clause: &&super::clauses::Clause| {
        let own = (clause.first..=clause.last).filter(|word| !named(*word));
        let own: Vec<usize> = own.collect();
        let lead = asks_only(spoken, **clause);
        own.len() > 1 && !lead && own.iter().any(|word| !small(*word))
    };
    let Some(first) = all.iter().find(says) else { return false };
    let deed = |from: usize, to: usize| {
        (from..=to).find(|at| {
            let word = spoken.words[*at].text.as_str();
            let done = DEEDS.contains(&word) && !TELLS.contains(&word)
                || REMEDIES.contains(&word)
                || (word == "set" && *at == from);
            done && !undone(spoken, *at, to)
        })
    };
    let (start, end) = (spoken.bytes(first.first).0, spoken.bytes(first.last).1);
    let heard = faults.iter().any(|at| (start..end).contains(at));
    let heard = heard && !tells_grit(spoken, *first) && !tells_width(spoken, *first);
    // "Was not turning", "would not throw", "brush not turning".
    let failed = (first.first..first.last).any(|at| {
        let (one, two) = (spoken.words[at].text.as_str(), spoken.words[at + 1].text.as_str());
        let past = matches!(one, "was" | "were" | "would" | "did") && two == "not";
        let kept = matches!(one, "kept" | "keeps" | "keep");
        past || ((one == "not" || kept) && two.ends_with("ing"))
    });
    let later = || all.iter().filter(|clause| clause.first > first.last);
    let cause = later().any(|one| tells_cause(spoken, *one));
    // "Rear scraper on unit 2, replaced": a part, and no more told of it.
    let part = cues.iter().any(|cue| cue.family == "part" && cue.first() <= first.last);
    let renewed = later().any(|one| tells_new(spoken, *one));
    let short = first.last - first.first <= PART_WORDS_MAX;
    let only_part = part && renewed && !cause && short && !does_something(spoken, *first);
    let only_part = only_part || only_names_part(spoken, cues, *first, &named);
    let fault = (heard && !only_part) || failed || cause;
    // "Uncut line on unit 4 cleared, ...": the fault, and that it is gone.
    let ended = ENDED.contains(&spoken.word(first.last));
    let gone = ended || ends_put_right(spoken, *first);
    // "Uneven cut on the school deck cured": whatever it was, on a machine.
    let sited = (first.first..first.last).any(named) && first.last > first.first + 1;
    let cured = sited && CURED.contains(&spoken.word(first.last));
    if gone && (heard || cured) && !spoken.is_question() {
        return true;
    }
    // "Fixed it, dressed the nick out and lapped it": the fault that was spoken of.
    let word = |at: usize| spoken.word(at);
    let it = matches!(word(first.first + 1), "it" | "that" | "this");
    if ENDED.contains(&word(first.first)) && it && !spoken.is_question() {
        return true;
    }
    let done = deed(first.first, first.last).is_some();
    if !fault || done || reset(spoken, &all) {
        return false;
    }
    // "The reels 75 since grinding".
    let then = background(spoken);
    let mended = all
        .iter()
        .filter(|clause| clause.first > first.last)
        .filter_map(|clause| deed(clause.first, clause.last).filter(|at| !then[*at]))
        .last();
    let again = |at: usize| match spoken.words[at].text.as_str() {
        // "An hour since and still fine".
        "still" => {
            let next = spoken.words.get(at + 1);
            !next.is_some_and(|next| SOUND.contains(&next.text.as_str()))
        }
        word => OPEN.contains(&word),
    };
    let open = spoken.is_question() || (0..spoken.words.len()).any(again);
    mended.is_some_and(|at| {
        // "Put new belt": what is said right after the deed is what it was done to.
        let end = all.iter().find(|clause| clause.last >= at).map_or(at, |clause| clause.last);
        let more = (at..=end).any(|at| matches!(spoken.words[at].text.as_str(), "and" | "now"));
        let last = spoken.words.len() - 1;
        let told = spoken.bytes(if more { (at + 1).min(last) } else { end }).0;
        !open && !faults.iter().any(|fault| *fault > told)
    })
}
