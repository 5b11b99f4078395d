//! What did somebody find who looked? "Blade tips dead level, all three the same", "the belt looks
//! fine": a part that was found good is a sign that is not there, in whatever words, and so is what
//! the ear hears denied by somebody who says that he looked. "Not a line" takes a sign back.
//! Deliberately absent: signs that are there, which the ear hears (`language`).

use std::collections::BTreeSet;

use super::{Action, Actions, Conversation, in_turn, say};
use crate::domain::catalogue::{Check, Equipment, Finding, FindingKind, Knowledge};
use crate::domain::danger;
use crate::domain::language::hearing::Heard;
use crate::domain::language::text::stem;
use crate::domain::ruled_out;
use crate::domain::wording::plain_words;

#[rustfmt::skip]
const GOOD: &[&str] = &[
    "ok", "okay", "fine", "good", "level", "same", "equal", "alike", "even", "straight", "true",
    "tight", "clean", "sharp", "square", "alright", "sound", "solid", "normal", "balanced", "perfect",
    "identical", "flush", "snug", "firm", "spot", "healthy", "quiet", "smooth", "lovely", "mint",
    "parallel", "freely", "grand", "clear", "bang", "free",
];
#[rustfmt::skip]
const BAD: &[&str] = &[
    "bent", "worn", "loose", "play", "different", "differs", "differ", "higher", "lower", "cracked",
    "slack", "nick", "nicks", "nicked", "knick", "rounded", "rough", "twisted", "bowed", "blunt",
    "dull", "packed", "caked", "short", "low", "high", "out", "slip", "slipping", "slips", "glazed",
    "stiff", "seized", "damaged", "wrong", "missing", "gritty", "notchy", "wobble", "unbalanced",
    "slop", "movement", "dent", "dents", "burr", "leak", "leaks", "damage", "float", "drag",
    "binding", "sloppy", "grates", "grate", "grating", "grumbles", "grumbling",
];
#[rustfmt::skip]
const NEGATORS: &[&str] = &[
    "no", "not", "none", "never", "without", "nothing", "neither", "nor", "isnt", "arent", "aint",
    "wasnt", "doesnt", "dont", "cant", "hasnt", "havent", "nowt",
];
/// What turns free is good.
const TURNS: &[&str] = &[
    "turns", "turn", "turned", "spins", "spin", "spun", "runs", "rolls", "roll", "rolled", "moves", "rotates", "dead",
    "perfectly", "completely", "totally",
];
/// So far behind a negator a word is denied.
const REACH: usize = 3;
/// Behind "same" these tell when and where it shows, and not that parts are alike.
#[rustfmt::skip]
const SAME_OF: &[&str] = &[
    "place", "places", "spot", "spots", "time", "times", "thing", "again", "line", "mark", "fault",
    "problem", "way", "ways", "direction", "directions", "old", "story", "every", "as",
];
/// Ways of travel and of the day: beside them "same" is no look at parts either.
const OF_TRAVEL: &[&str] = &["way", "ways", "direction", "directions"];
/// Behind "even" these begin a case: "even with the speed down".
const EVEN_OF: &[&str] = &["with", "when", "after", "if", "though", "now", "then"];
/// Behind "other" and "rest" these are units.
const UNITS: &[&str] =
    &["one", "ones", "two", "three", "four", "six", "unit", "units", "are", "of", "seem", "look"];
/// Work that was done is no look at a part.
#[rustfmt::skip]
const DEEDS: &[&str] = &[
    "changed", "replaced", "fitted", "ground", "greased", "adjusted", "swapped", "lapped",
    "backlapped", "cleaned", "sharpened", "tightened", "reset", "topped", "mended", "fixed", "put",
    "took", "turned", "backed", "closed", "dressed", "book", "record", "log", "note",
];
const LOOKED: &[&str] = &[
    "looked", "looking", "checked", "measured", "tested", "felt", "lamp", "torch", "gauge", "gauged",
    "inspected", "rocked", "timed", "tried", "seen", "see", "find", "found",
];
/// Beginnings of what is said not to be it after all.
const TAKEN_BACK: &[&str] =
    &["not a", "not an", "not the", "isnt a", "aint a", "rather than a", "no longer a"];
/// "We cut it with the rotary, not the reels" takes no sign back.
const MACHINES: &[&str] = &[
    "reel", "cylinder", "rotary", "deck", "mower", "machine", "unit", "gang", "triplex", "walker",
];
/// So much of what was said, by weight, stands in a finding that it is about.
const ABOUT_MIN: f64 = 0.6;
/// So much of it stands in one that was asked for, when it is an answer to that.
const NEAR_MIN: f64 = 0.4;
/// Findings as near as this are meant as well.
const AS_NEAR: f64 = 0.1;
/// A denial heard as surely needs no more.
const SURE: f64 = 0.8;
/// What was asked is named in no more words.
const FEW_WORDS: usize = 5;
/// The fault is behind one unit of several.
const ONE_UNIT: &str = "one_unit_only";
/// Longer words tell more than one look.
const WORDS_MAX: usize = 14;

/// What the fault was told to go with, the words of the opposite, and what says that it is there
/// then too (common practice, no source).
const GOES_WITH: &[(&[&str], &[&str])] = &[
    (&["worse_when_wet", "leaf_wet_at_cut"], &["dry", "dries", "dried", "drier"]),
    (&["scalped_on_turns", "fades_with_wider_turns"], &["straight", "straights", "straightaway"]),
    (&["worse_at_speed", "ground_speed_high"], &["slow", "slower", "slowly", "slowed", "slows"]),
];
/// Said before the opposite, or of the fault beside it.
const STILL: &[&str] = &["still", "also", "even", "same"];
/// Said behind the opposite.
const TOO: &[&str] = &["too", "also", "well", "aswell", "anyway", "still", "same"];
/// So near to it.
const TOO_NEAR: usize = 3;
/// Then it is not there.
const GOES_AWAY: &[&str] = &[
    "better", "fine", "ok", "okay", "good", "gone", "goes", "clears", "cleared", "stops", "stopped", "cures", "cured",
    "less", "perfect", "alright", "sorted", "clean", "improves", "improved", "helps", "helped",
];

/// One turn, word by word.
struct Said {
    words: Vec<String>,
}

impl Said {
    fn of(words: &str) -> Said {
        Said { words: plain_words(words) }
    }

    fn says(&self, list: &[&str]) -> bool {
        self.words.iter().any(|word| list.contains(&word.as_str()))
    }

    /// Whether a word of the list stands there, with one near it that says that it is so then too.
    fn there_too(&self, list: &[&str]) -> bool {
        let is = |list: &[&str], at: usize| list.contains(&self.words[at].as_str());
        let last = self.words.len();
        (0..last).filter(|at| is(list, *at)).any(|at| {
            (at.saturating_sub(TOO_NEAR)..at).any(|near| is(STILL, near))
                || (at + 1..last.min(at + 1 + TOO_NEAR)).any(|near| is(TOO, near))
        })
    }

    /// Whether a word of the list stands there, and behind no negator or behind one.
    fn has(&self, list: &[&str], denied: bool) -> bool {
        self.words.iter().enumerate().any(|(at, word)| {
            let from = at.saturating_sub(REACH).max(usize::from(self.begins_with_no(at)));
            let negator = self.words[from..at].iter().any(|one| NEGATORS.contains(&one.as_str()));
            list.contains(&word.as_str()) && negator == denied && self.judges(at)
        })
    }

    /// "No, pins same all round": the no answers, and what is good behind it is good. "No good" and
    /// "no play" are one thought.
    fn begins_with_no(&self, at: usize) -> bool {
        let word = |at: usize| self.words.get(at).map_or("", String::as_str);
        let answers = word(0) == "no" && !matches!(word(1), "good" | "longer" | "more");
        answers && GOOD.contains(&word(at))
    }

    /// Whether the word says how a part is: "same place every time", "even with less speed" and "one
    /// spot" do not.
    fn judges(&self, at: usize) -> bool {
        let word = |at: usize| self.words.get(at).map_or("", String::as_str);
        match word(at) {
            "same" => {
                let of_travel = (at + 1..at + 4).any(|at| OF_TRAVEL.contains(&word(at)));
                let along = self.says(&["along", "across"]);
                !SAME_OF.contains(&word(at + 1)) && (along || !of_travel)
            }
            "even" => !EVEN_OF.contains(&word(at + 1)),
            "spot" => word(at + 1) == "on",
            // "Bang on", and no bang on every turn; "turns free", and no free play.
            "bang" => word(at + 1) == "on" && matches!(word(at + 2), "" | "now" | "mate" | "so"),
            // "Has come free" and "is free to rock" are no good.
            "free" => at.checked_sub(1).is_some_and(|before| {
                (before.saturating_sub(1)..=before).any(|at| TURNS.contains(&word(at)))
            }),
            _ => true,
        }
    }

    /// "One's higher", where it was asked whether two things differ.
    fn compares(&self, question: &str) -> bool {
        const APART: &[&str] =
            &["higher", "lower", "different", "differ", "differs", "out", "shorter", "deeper", "softer"];
        let asked = ["differ", "unequal", "uneven"].iter().any(|word| question.contains(word));
        asked && self.words.len() <= FEW_WORDS && self.says(APART)
    }

    /// "The other two are fine", "the rest of them are ok": of other units than the one complained
    /// of. `None`: of nothing else; `Some(false)`: of another end or blade.
    fn of_others(&self) -> Option<bool> {
        const OTHERS: &[&str] = &["other", "others", "rest"];
        let at = self.words.iter().position(|word| OTHERS.contains(&word.as_str()))?;
        let word = |at: usize| self.words.get(at).map_or("", String::as_str);
        let them = |word: &str| matches!(word, "them" | "em" | "units" | "the");
        Some(match word(at) {
            "others" => true,
            "rest" if word(at + 1) == "of" => {
                them(word(at + 2)) && !self.says(&["deck", "reel", "unit"])
            }
            _ => UNITS.contains(&word(at + 1)),
        })
    }

    /// Good, bad, or neither.
    fn verdict(&self) -> Option<bool> {
        let good = self.has(GOOD, false) || self.has(BAD, true);
        let bad = self.has(BAD, false) || self.has(GOOD, true);
        (good != bad).then_some(good)
    }
}

/// What the words say of findings that a check shows. `asked`: those that were asked for just now.
pub fn found(
    knowledge: &Knowledge,
    kind: Equipment,
    asked: &[(String, String)],
    words: &str,
) -> Vec<(String, bool)> {
    let said = Said::of(words);
    let measures = said.words.iter().any(|word| word.contains('.'));
    if said.words.len() > WORDS_MAX || said.says(DEEDS) || in_turn::asks_at_all(words) || measures {
        return Vec::new();
    }
    if let Some(units) = said.of_others() {
        // On a deck the others may be blades.
        let units = units && kind != Equipment::RotaryDeck;
        let good = units && said.verdict() == Some(true);
        return good.then(|| (ONE_UNIT.to_owned(), true)).into_iter().collect();
    }
    let hearing = knowledge.ear.hear(&knowledge.ear.read(words));
    // "Not the roller" rules causes out, which the complaint is told; "not a line" takes a sign back.
    let causes = !ruled_out::causes(knowledge, kind, words).is_empty();
    let mut known: Vec<(String, bool)> =
        if causes { Vec::new() } else { taken_back(knowledge, kind, &said) };
    let of_check = |row: &&Finding| row.kind == FindingKind::Check && row.equipment.contains(&kind);
    let passages = knowledge.passages();
    let verdict = said.verdict();
    let looked = said.says(LOOKED);
    if looked || verdict == Some(true) {
        // Without a look the words have to name what they deny, or deny it in so many words.
        let named = passages.terms.of(words);
        let names = |row: &Finding| {
            let own = passages.terms.of(&format!("{} {}", row.title, row.question));
            named.iter().any(|word| own.contains(word))
        };
        let denied = hearing.heard.iter().filter(|heard| !heard.present && !heard.implied);
        let rows = denied.filter_map(|heard| {
            let row = knowledge.finding(&heard.finding)?;
            (looked || heard.confidence >= SURE || names(row)).then_some(row)
        });
        known.extend(rows.filter(of_check).map(|row| (row.id.clone(), false)));
    }
    // What the ear hears needs no guess at what the words are about.
    let of_kind = |id: &str| knowledge.finding(id).is_some_and(|row| row.equipment.contains(&kind));
    let own = |of: bool| {
        let mut all = hearing.heard.iter();
        all.any(|heard| heard.present == of && !heard.implied && of_kind(&heard.finding))
    };
    let there = own(true);
    match verdict.filter(|_| !own(false) || !known.iter().any(|(_, so)| !so)) {
        Some(true) => {
            let about = about(knowledge, kind, asked, words);
            known.extend(about.into_iter().map(|id| (id, false)));
        }
        Some(false) if !felt_in(kind, &said).is_empty() => {
            known.extend(felt_in(kind, &said).into_iter().map(|id| (id.to_owned(), true)));
        }
        Some(false) if !there => {
            let about = about(knowledge, kind, asked, words);
            let compared = |question: &str| about.is_empty() && said.compares(question);
            let fits = |(id, question): &&(String, String)| {
                about.contains(id) || compared(question)
            };
            let first = asked.first().filter(fits).map(|(id, _)| id);
            // "Found three discs bent": one thing alone that somebody saw who looked.
            let only = about.first().filter(|_| looked && about.len() == 1);
            known.extend(first.or(only).map(|id| (id.clone(), true)));
        }
        // "Wet this morning", when it was asked whether the leaf was wet.
        None if known.is_empty() && !there && said.words.len() <= FEW_WORDS => {
            let first = asked.first().filter(|_| !said.says(NEGATORS));
            let first = first.filter(|(id, _)| titled(knowledge, id, words));
            known.extend(first.map(|(id, _)| (id.clone(), true)));
        }
        _ => {}
    }
    let mut seen: BTreeSet<String> = BTreeSet::new();
    known.retain(|(id, _)| seen.insert(id.clone()));
    known
}

/// "When it dries up, still does it", "on straights now as well": it does not go with what it was told
/// to go with.
fn there_all_the_same(knowledge: &Knowledge, kind: Equipment, said: &Said) -> Vec<(String, bool)> {
    if said.says(NEGATORS) || said.says(GOES_AWAY) {
        return Vec::new();
    }
    let told = GOES_WITH.iter().filter(|(_, other)| said.there_too(other));
    let ids = told.flat_map(|(ids, _)| *ids);
    let of_kind = |id: &&&str| {
        knowledge.finding(id).is_some_and(|row| row.equipment.contains(&kind))
    };
    ids.filter(of_kind).map(|id| ((*id).to_owned(), false)).collect()
}

/// "It is rough when I spin it, and there's play": what a reel tells the hand that turns it.
fn felt_in(kind: Equipment, said: &Said) -> Vec<&'static str> {
    const ROUGH: &[&str] = &["rough", "gritty", "notchy", "graunchy", "lumpy", "grumbly", "stiff"];
    const TURNED: &[&str] = &["spin", "turn", "roll", "rotate", "spun", "turning", "spinning"];
    const PLAY: &[&str] = &["play", "slop", "float", "endfloat", "wobble"];
    const OTHER: &[&str] =
        &["pivot", "pivots", "arm", "arms", "roller", "rollers", "bush", "hinge"];
    if kind != Equipment::ReelUnit || said.says(OTHER) || !said.says(TURNED) {
        return Vec::new();
    }
    let rough = said.has(ROUGH, false).then_some("reel_bearing_rough");
    let play = said.has(PLAY, false).then_some("reel_end_play");
    rough.into_iter().chain(play).collect()
}

/// "Same both ways", "either direction": how it is driven, where no more is said than that.
pub(super) fn tells_of_travel(words: &str) -> bool {
    const WAYS: &[&str] = &[
        "both ways", "either way", "each way", "every way", "whichever way", "both directions",
        "either direction", "each direction", "any direction", "up and down", "there and back",
        "going and coming", "going or coming",
    ];
    let text = Said::of(words).words.join(" ");
    WAYS.iter().any(|way| text.contains(way))
}

/// Whether a few words name what the title of a finding names, and hardly anything else.
fn titled(knowledge: &Knowledge, id: &str, words: &str) -> bool {
    const SMALL: &[&str] = &[
        "this", "morning", "today", "yesterday", "was", "were", "very", "bit", "it", "lot", "all",
        "its", "is", "yeah", "yes", "yep", "aye", "still", "a", "quite", "pretty", "theyre", "are",
    ];
    let terms = &knowledge.passages().terms;
    let title = knowledge.finding(id).map_or("", |row| row.title.as_str());
    let said = Said::of(words).words.join(" ");
    let kept: Vec<&str> = said.split(' ').filter(|word| !SMALL.contains(word)).collect();
    let (said, title) = (terms.of(&kept.join(" ")), terms.of(title));
    !said.is_empty() && said.iter().all(|term| title.contains(term))
}

/// The findings that the words are about: of those asked for first, of all that a check shows next.
pub(super) fn about(
    knowledge: &Knowledge,
    kind: Equipment,
    asked: &[(String, String)],
    words: &str,
) -> Vec<String> {
    let passages = knowledge.passages();
    let judging: BTreeSet<String> =
        GOOD.iter().chain(BAD).chain(LOOKED).map(|word| stem(word)).collect();
    let matter: Vec<String> =
        passages.terms.of(words).into_iter().filter(|word| passages.knows(word)).collect();
    let own = |row: &Finding, more: &str| {
        passages.terms.of(&format!("{} {} {more}", row.title, row.question))
    };
    let share = |held: &[String]| {
        let weigh = |one: &&String| passages.weight(one);
        let held_of = matter.iter().filter(|one| held.contains(one));
        let inside: f64 = held_of.map(|one| weigh(&one)).sum();
        let counts = |one: &&String| held.contains(one) || !judging.contains(one.as_str());
        let whole: f64 = matter.iter().filter(counts).map(|one| weigh(&one)).sum();
        if whole > 0.0 { inside / whole } else { 0.0 }
    };
    let check_of = |id: &str| {
        let of = |check: &&Check| check.reveals.iter().any(|one| one == id);
        knowledge.checks.iter().find(of).map_or("", |check| check.title.as_str())
    };
    let rows = asked.iter().filter_map(|(id, _)| knowledge.finding(id));
    let near = rows.map(|row| (row.id.clone(), share(&own(row, check_of(&row.id)))));
    let near: Vec<(String, f64)> = near.filter(|(_, share)| *share >= NEAR_MIN).collect();
    if !near.is_empty() {
        return best_of(near);
    }
    // "Dead level", "bang on".
    const DEGREES: &[&str] = &["dead", "bang", "perfectly", "completely", "nice", "pretty"];
    let good: BTreeSet<String> =
        GOOD.iter().chain(DEGREES).chain(LOOKED).map(|word| stem(word)).collect();
    let nothing_named = matter.iter().all(|word| good.contains(word));
    // "Timed it, bang on" is said of what can be timed.
    let timed = matter.contains(&stem("timed"));
    let by_time = |id: &str| ["speed", "fast", "slow"].iter().any(|word| id.contains(word));
    let mut fitting = asked.iter().filter(|(id, _)| !timed || by_time(id));
    if nothing_named {
        return fitting.next().map(|(id, _)| id.clone()).into_iter().collect();
    }
    let of_kind = |row: &&Finding| row.kind == FindingKind::Check && row.equipment.contains(&kind);
    let all = knowledge.findings.iter().filter(of_kind);
    let all = all.map(|row| (row.id.clone(), share(&own(row, ""))));
    best_of(all.filter(|(_, share)| *share >= ABOUT_MIN).collect())
}

fn best_of(all: Vec<(String, f64)>) -> Vec<String> {
    let best = all.iter().map(|(_, share)| *share).fold(0.0, f64::max);
    all.into_iter().filter(|(_, share)| *share >= best - AS_NEAR).map(|(id, _)| id).collect()
}

/// "A strip, not a line": what the turf does not show after all.
fn taken_back(knowledge: &Knowledge, kind: Equipment, said: &Said) -> Vec<(String, bool)> {
    let text = said.words.join(" ");
    let Some(rest) = TAKEN_BACK.iter().find_map(|start| {
        let at = text.find(&format!("{start} "))?;
        (at == 0 || text[..at].ends_with(' ')).then(|| &text[at + start.len()..])
    }) else {
        return Vec::new();
    };
    let named = stems_of(rest);
    let machine = |word: &String| MACHINES.iter().any(|one| stem(one) == *word);
    let Some(named) = named.first().filter(|word| word.chars().count() > 3 && !machine(word))
    else {
        return Vec::new();
    };
    let of_turf =
        |row: &&Finding| row.kind == FindingKind::Complaint && row.equipment.contains(&kind);
    let rows = knowledge.findings.iter().filter(of_turf);
    let titled = rows.filter(|row| stems_of(&row.title).contains(named));
    titled.map(|row| (row.id.clone(), false)).collect()
}

fn stems_of(text: &str) -> Vec<String> {
    let words = text.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(|word| stem(&word.to_lowercase())).collect()
}

impl<C: Clone> Conversation<C> {
    /// What was found by looking goes to the complaint that is being looked into.
    pub(super) fn looked_at(
        &mut self,
        knowledge: &Knowledge,
        asked: &[(String, String)],
        before: &[(String, bool)],
        words: &str,
    ) -> Option<Actions<C>> {
        let kind = self.context.equipment.filter(|_| self.context.case.is_some())?;
        let free = self.walking.is_none() && !self.adds_to_the_proposal();
        let danger = danger::heard(knowledge, &knowledge.ear.read(words));
        // "It turns free by hand" tells how it turns, and asks no leave.
        let leave = danger.leave.is_some() && !danger::tells_how_it_turns(words);
        if !free || danger.stop.is_some() || leave {
            return None;
        }
        let mut known = found(knowledge, kind, asked, words);
        let said = Said::of(words);
        if !said.says(LOOKED) {
            // What was complained of is not gone because a part of it looks well.
            let before = self.sign_said.as_deref().unwrap_or_default();
            let told = knowledge.ear.hear(&knowledge.ear.read(before));
            let complained: Vec<&str> = told
                .heard
                .iter()
                .filter(|heard| heard.present)
                .map(|heard| heard.finding.as_str())
                .collect();
            let back = taken_back(knowledge, kind, &said);
            known.retain(|one| {
                one.1 || back.contains(one) || !complained.contains(&one.0.as_str())
            });
        }
        if known.is_empty() {
            return None;
        }
        let title = |(id, _): &(String, bool)| knowledge.finding(id).map(|row| row.title.as_str());
        let (so, not): (Vec<_>, Vec<_>) = known.iter().cloned().partition(|(_, there)| *there);
        let mut told = Vec::new();
        for (label, of) in [("It is so", &so), ("It is not so", &not)] {
            let titles: Vec<&str> = of.iter().filter_map(title).collect();
            if !titles.is_empty() {
                told.push(format!("{label}: {}.", titles.join("; ")));
            }
        }
        let hearing = knowledge.ear.hear(&knowledge.ear.read(words));
        let more = hearing.heard.iter().any(|heard| {
            heard.present && !known.iter().any(|(id, _)| *id == heard.finding)
        });
        let known: Vec<(String, bool)> = before.iter().cloned().chain(known).collect();
        let mut actions = vec![say(format!("Taken into account. {}", told.join(" ")))];
        let by_hand = said.words.windows(2).any(|two| two == ["by", "hand"]);
        if kind == Equipment::ReelUnit && by_hand {
            actions.push(Action::Cautions(vec!["turn_reel_by_tool".to_owned()]));
        }
        match more {
            true => actions.extend([Action::Know(known), Action::Interpret(words.to_owned())]),
            false => actions.push(Action::Observe(known)),
        }
        Some(actions)
    }

    /// "When it dries up, still does it": what the complaint was told to go with, or what was asked, is
    /// taken back.
    pub(super) fn circumstance_gone(
        &self,
        knowledge: &Knowledge,
        left: &[(String, String)],
        known: &[(String, bool)],
        words: &str,
    ) -> Option<Actions<C>> {
        let said = Said::of(words);
        let kind = self.context.equipment.filter(|_| said.words.len() <= WORDS_MAX)?;
        // "When it dries" and "still do it" ask for nothing.
        const ASKS: &[&str] = &["does", "is", "do", "will", "can", "should", "why", "how", "what", "which"];
        let asks = words.trim_end().ends_with('?')
            || said.words.first().is_some_and(|first| ASKS.contains(&first.as_str()));
        let opposite = there_all_the_same(knowledge, kind, &said);
        if asks || said.says(DEEDS) || opposite.is_empty() {
            return None;
        }
        let reading = knowledge.ear.read(words);
        if !reading.quantities.is_empty() || danger::is_any(knowledge, words) {
            return None;
        }
        let told = knowledge.ear.hear(&knowledge.ear.read(&self.case_words)).heard;
        let gone: Vec<(String, bool)> = opposite
            .iter()
            .cloned()
            .filter(|(id, _)| {
                let heard = told.iter().any(|one| one.present && one.finding == *id);
                heard || left.iter().any(|(asked, _)| asked == id)
            })
            .collect();
        // What is told beside it goes the way of all that is told.
        let own = knowledge.ear.hear(&reading).heard;
        let beside = |one: &Heard| {
            one.present && !opposite.iter().any(|(id, _)| *id == one.finding)
        };
        if own.iter().any(beside) {
            return None;
        }
        let titles: Vec<&str> = gone
            .iter()
            .filter_map(|(id, _)| knowledge.finding(id).map(|row| row.title.as_str()))
            .collect();
        let line = format!("Taken into account. It is not so: {}.", titles.join("; "));
        let all = known.iter().chain(&gone).cloned().collect();
        (!gone.is_empty()).then(|| vec![say(line), Action::Observe(all)])
    }

    /// "So what's the job and how long": what was advised, with its minutes.
    pub(super) fn job_asked(&self, knowledge: &Knowledge, words: &str) -> Option<Actions<C>> {
        const ASKED: &[&str] = &[
            "whats the job", "what is the job", "which job", "what job is it", "whats the fix",
            "what is the fix", "how long will it take", "how long does it take", "how long is it",
            "how long will that take", "how long does that take", "how long is that",
            "how long would it take", "how long would that take", "how long to fix", "how long to do",
            "how long am i looking", "how long are we looking", "how many minutes", "how big a job",
            "what now", "now what", "what do i do now", "what do we do now", "whats next", "what next", "what do i do next",
            "where do i go from here", "so what do i do", "what would you do", "and now what",
        ];
        let said = Said::of(words);
        let text = said.words.join(" ");
        // "So what is it", and nothing else: what stands.
        const WHAT_IS_IT: &[&str] = &[
            "what is it", "so what is it", "what is it then", "so what is it then", "whats it then", "whats wrong with it",
            "so whats wrong with it", "what do you reckon it is", "what do you think it is", "so what do you think it is",
        ];
        let asks = ASKED.iter().any(|asked| text.contains(asked)) || WHAT_IS_IT.contains(&&*text);
        if !asks || self.advised.is_empty() || said.words.len() > WORDS_MAX {
            return None;
        }
        let mut lines: Vec<String> = Vec::new();
        // The first, and the first that is a remedy.
        let first = self.advised.first().map(|one| one.procedure.as_str());
        let mut others = self.advised.iter().filter(|one| Some(one.procedure.as_str()) != first);
        let second = others.clone().find(|one| !one.cause.is_empty()).or_else(|| others.next());
        for one in self.advised.first().into_iter().chain(second) {
            let Some(row) = knowledge.procedure(&one.procedure) else { continue };
            let minutes = crate::domain::units::plain(row.minutes);
            let kind = self.context.equipment;
            let cause = kind.and_then(|kind| knowledge.cause(kind, &one.cause));
            lines.push(match cause {
                Some(cause) => format!(
                    "  If it is \"{}\": {}, about {minutes} minutes.",
                    cause.title, row.title
                ),
                None => format!("  Look first: {}, about {minutes} minutes.", row.title),
            });
        }
        lines.insert(0, "What was advised, in its order; \"do it\" walks you through the first:".into());
        Some(vec![Action::Say(lines)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn others_that_are_fine_are_other_units() {
        for (words, wanted) in [
            ("and the other two are fine", Some(true)),
            ("rest of them are ok", Some(true)),
            ("the others look good", Some(true)),
            ("other end is fine", Some(false)),
            ("the rest of the deck is clean", Some(false)),
            ("tyres are fine", None),
        ] {
            assert_eq!(Said::of(words).of_others(), wanted, "{words}");
        }
    }

    #[test]
    fn a_part_is_good_or_bad_in_whatever_words() {
        for (words, verdict) in [
            ("blade tips dead level, all 3 same", Some(true)),
            ("blades balanced ok aswell", Some(true)),
            ("no play in it", Some(true)),
            ("no pins same all round", Some(true)),
            ("no same all round", Some(true)),
            ("no good", Some(false)),
            ("no longer level", Some(false)),
            ("belt isn't slack", Some(true)),
            ("not level, one is lower", Some(false)),
            ("one is bent", Some(false)),
            ("motor hums", None),
            ("the knife is straight but there is play", None),
            ("same place every time yeah", None),
            ("same both ways up and down", None),
            ("same all the way along", Some(true)),
            ("even with the speed knocked down", None),
            ("one spot", None),
            ("they are spot on", Some(true)),
        ] {
            assert_eq!(Said::of(words).verdict(), verdict, "{words}");
        }
    }
}
