//! What do words in a job say of its readings, beside the value that is asked for now: a correction
//! of another reading, paper at each end in one sentence, a state that another step asks for? They
//! are an answer to this job before they are anything else, and never the wrong reading of it.
//! Deliberately absent: the value of the reading that is asked for (`walkthrough::spoken`).

use super::acts;
use super::walking::VALUE_WORDS_MAX;
use super::{Action, Actions, Conversation, in_turn, say};
use crate::domain::catalogue::{Acceptance, Knowledge, StepReading};
use crate::domain::language::text::stem;
use crate::domain::walkthrough::reading::{self, Value, value_text};
use crate::domain::walkthrough::spoken::{self, Spoken};
use crate::domain::walkthrough::{Move, View};

/// Words that make a clause say no of what it names.
const DENYING: &[&str] = &[
    "not", "doesnt", "doesn't", "does", "dont", "don't", "wont", "won't", "isnt", "isn't", "no",
    "fails", "failed", "folds", "fold", "folded", "misses", "missed", "slides", "slid", "nothing",
    "didnt", "didn't", "free", "loose",
];
/// Words after which what is named is left out of what was said before.
const EXCEPTING: &[&str] = &["but", "except", "bar", "apart", "only", "save"];
const ENDS: &[&str] = &["ends", "both"];
const ALL: &[&str] = &["everywhere", "all", "along"];
/// Words beside sides that say nothing else.
#[rustfmt::skip]
pub(super) const BESIDE: &[&str] = &[
    "the", "a", "at", "in", "on", "it", "its", "it's", "is", "are", "and", "paper", "cut", "cuts",
    "cutting", "clean", "cleanly", "held", "holds", "just", "end", "side", "ok", "okay", "fine",
    "good", "still", "now", "does", "do", "from", "for", "that", "was", "were", "by", "every", "blade",
    "blades", "strip", "one", "hang", "actually", "so", "they", "yes", "well", "there", "way",
];
/// Words of a label that name nothing of their own.
#[rustfmt::skip]
const LABEL_SMALL: &[&str] = &[
    "at", "the", "end", "after", "of", "in", "and", "is", "to", "by", "no", "or", "a", "on", "near",
    "left", "right", "both", "each", "it", "as", "for", "with", "where", "mm", "than", "all", "found",
    "manual", "limit", "found",
];
/// Words of a correction that name no reading.
const CORRECTING: &[&str] =
    &["not", "sorry", "mean", "meant", "should", "been", "have", "inch", "thou", "instead"];
/// Words that say that what they are with is well.
const WELL: &[&str] = &["cut", "cuts", "held", "holds", "ok", "good", "fine", "clean"];
/// Words that ask outright for something to be noted by itself.
const OUTRIGHT: &[&str] = &[
    "record", "log", "book", "note", "write", "put", "store", "enter", "meter", "clock", "hours",
    "reads",
];

impl<C: Clone> Conversation<C> {
    /// "No, right was 3.52": the reading that is named, wherever it stands, and no other.
    pub(super) fn correct_named(
        &mut self,
        knowledge: &Knowledge,
        rest: &str,
    ) -> Option<Actions<C>> {
        let inches = self.context.inches;
        let walk = &self.walking.as_ref()?.walk;
        let last = walk.last_asked(knowledge)?;
        let lower = rest.to_lowercase();
        let side = spoken::side_said(&lower);
        if !rest.contains(|ch: char| ch.is_ascii_digit()) || names(last, side, &lower) {
            return None;
        }
        let typed = walk.typed(knowledge);
        let of = typed.iter().rev().find(|(_, asked)| {
            names(asked, side, &lower) && (side.is_some() || shares_word(asked, &lower))
        });
        if let Some((at, asked)) = of {
            let Spoken::Value(value, _) = spoken::value(asked, &without_words(rest), inches) else {
                return None;
            };
            reading::fits(asked, &value).ok()?;
            let (at, label) = (*at, short_label(asked).to_owned());
            let walking = self.walking.as_mut()?;
            walking.walk.back_to_reading(knowledge, at).then_some(())?;
            let mut actions = vec![say(format!(
                "Corrected: {label}. What was read after it is asked for again."
            ))];
            actions.extend(self.make(knowledge, &Move::Read(value)));
            return Some(actions);
        }
        let side = side?;
        let view = walk.view(knowledge)?;
        let later = view.procedure.steps.iter().zip(1_usize..).find_map(|(step, number)| {
            let sided = |asked: &&StepReading| spoken::label_side(&asked.label).is_some();
            Some((number, step.readings.iter().find(sided)?))
        });
        let (number, asked) = later?;
        let stays = walk.last_value(knowledge);
        let stays = stays.map_or_else(String::new, |(asked, value)| {
            format!("{} stays {}. ", short_label(asked), value_text(&value, &asked.unit))
        });
        Some(vec![say(format!(
            "{stays}Nothing of a {side} end was read yet: step {number} asks for it ({}). Say it \
             there.",
            short_label(asked)
        ))])
    }

    /// "Left and middle cut, right does not": each end of the readings that are asked in turn.
    pub(super) fn told_of_ends(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let told = sides_told(words)?;
        let walk = &self.walking.as_ref()?.walk;
        let view = walk.view(knowledge)?;
        let fits = |asked: &StepReading| {
            (asked.accept == Acceptance::Yes).then(|| told.of(&asked.label)).flatten()
        };
        if view.asked.is_some_and(|asked| fits(asked).is_some()) {
            return Some(self.read_ends(knowledge, &told));
        }
        // Of the whole length, where one reading is asked of it all.
        if let Some(asked) = view.asked.filter(|asked| asked.accept == Acceptance::Yes)
            && asked.label.to_lowercase().contains("every station")
        {
            let value = if told.all_good() { Value::Yes } else { Value::No };
            return Some(self.make(knowledge, &Move::Read(value)));
        }
        let lower = words.to_lowercase();
        let of_paper = lower.contains("cut") || lower.contains("paper") || lower.contains("held");
        if !of_paper {
            return None;
        }
        let place = place_of(&view, |asked| {
            let label = asked.label.to_lowercase();
            asked.accept == Acceptance::Yes && (label.contains("paper") || label.contains("cut"))
        });
        Some(vec![say(match place {
            Some((number, asked)) if number == view.number => format!(
                "This step asks for \"{}\". It names the ends as it stands there: say each by that \
                 name, or yes or no.",
                short_label(asked)
            ),
            Some((number, asked)) => format!(
                "Paper is asked for at step {number}: \"{}\". Nothing is noted of it yet; say it \
                 there.",
                short_label(asked)
            ),
            None => "This job notes no paper test; \"Cut paper at every station with every blade\" \
                     does. Nothing was noted."
                .to_owned(),
        })])
    }

    fn read_ends(&mut self, knowledge: &Knowledge, told: &SidesTold) -> Actions<C> {
        let mut actions = Vec::new();
        // Every turn reads one value, and a step has few.
        for _ in 0..told.sides.len().max(3) {
            let view = self.walking.as_ref().and_then(|walking| walking.walk.view(knowledge));
            let Some(asked) = view.and_then(|view| view.asked) else { break };
            let Some(good) = told.of(&asked.label) else { break };
            if asked.accept != Acceptance::Yes {
                break;
            }
            if matches!(actions.last(), Some(Action::NextReading)) {
                actions.pop();
            }
            let value = if good { Value::Yes } else { Value::No };
            actions.extend(self.make(knowledge, &Move::Read(value)));
            if !matches!(actions.last(), Some(Action::NextReading)) {
                break;
            }
        }
        actions
    }

    /// A few words that tell of what another step asks for: which step that is.
    pub(super) fn belongs_elsewhere(
        &self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let view = self.walking.as_ref()?.walk.view(knowledge)?;
        let plain = acts::plain(words);
        let short = plain.split_whitespace().count() <= VALUE_WORDS_MAX;
        let figures = plain.contains(|ch: char| ch.is_ascii_digit());
        let names_unit = plain.split_whitespace().any(|word| matches!(word, "unit" | "units"));
        if !short || figures || names_unit || in_turn::asks(words) {
            return None;
        }
        let said: Vec<String> = plain.split(|ch: char| !ch.is_alphanumeric()).map(stem).collect();
        let (number, asked) = place_of(&view, |asked| {
            let label = short_label(asked).to_lowercase();
            let words = label.split(|ch: char| !ch.is_alphanumeric());
            let own = words.filter(|word| word.len() > 2 && !LABEL_SMALL.contains(word));
            own.map(stem).filter(|word| said.contains(word)).count() >= 2
        })?;
        (number != view.number).then(|| {
            vec![say(format!(
                "That is asked for at step {number}: \"{}\". Nothing is noted of it yet; say it \
                 there.",
                short_label(asked)
            ))]
        })
    }

    /// In a job, hours, heights and what is told of no machine are its own words, unless a record
    /// is asked for outright.
    pub(super) fn is_no_record_here(&self, words: &str, kind: &str, subject: &str) -> bool {
        let of_readings = matches!(kind, "hours" | "height reading") || subject.is_empty();
        let outright = acts::plain(words)
            .split_whitespace()
            .any(|word| OUTRIGHT.contains(&word.trim_matches([',', '.', ':'])));
        self.walking.is_some() && of_readings && !outright
    }

    /// What is said instead of such a record.
    pub(super) fn not_noted(&self, knowledge: &Knowledge) -> Actions<C> {
        let view = self.walking.as_ref().and_then(|walking| walking.walk.view(knowledge));
        let asked = view.as_ref().and_then(|view| view.asked);
        let asks = asked.map_or_else(String::new, |asked| {
            format!(" Asked for now: {}.", reading::wanted(asked))
        });
        vec![say(format!(
            "Nothing was noted: that is no value of this step.{asks} To store it by itself, begin \
             with \"record\"."
        ))]
    }
}

/// The nearest step, this one first, then those behind and before it, with such a reading.
pub(super) fn place_of<'a>(
    view: &View<'a>,
    wanted: impl Fn(&StepReading) -> bool,
) -> Option<(usize, &'a StepReading)> {
    let steps = || view.procedure.steps.iter().zip(1_usize..);
    let from_here = steps().filter(|(_, number)| *number >= view.number);
    let before = steps().filter(|(_, number)| *number < view.number);
    from_here.chain(before).find_map(|(step, number)| {
        step.readings.iter().find(|asked| wanted(asked)).map(|asked| (number, asked))
    })
}

pub(super) fn short_label(asked: &StepReading) -> &str {
    asked.label.split(" (").next().unwrap_or(&asked.label)
}

/// Words with a label's own: "bar" of "Bar setting after locking".
fn shares_word(asked: &StepReading, lower: &str) -> bool {
    let label = short_label(asked).to_lowercase();
    let words = label.split(|ch: char| !ch.is_alphanumeric());
    let said: Vec<String> = lower.split(|ch: char| !ch.is_alphanumeric()).map(stem).collect();
    words
        .filter(|word| word.len() > 2 && !LABEL_SMALL.contains(word))
        .any(|word| said.contains(&stem(word)))
}

/// Whether the words can be of this reading: the same end, or no end and nothing of another.
fn names(asked: &StepReading, side: Option<&str>, lower: &str) -> bool {
    match (side, spoken::label_side(&asked.label)) {
        (Some(side), Some(own)) => side == own,
        (Some(_), None) => false,
        (None, _) => {
            let bare = lower.split_whitespace().filter(|word| {
                word.len() > 2 && word.chars().all(char::is_alphabetic)
            });
            let bare = bare.filter(|word| !BESIDE.contains(word) && !CORRECTING.contains(word));
            bare.count() == 0 || shares_word(asked, lower)
        }
    }
}

/// The number and what may be its unit, without the words that name the reading.
fn without_words(rest: &str) -> String {
    let at = rest.find(|ch: char| ch.is_ascii_digit()).unwrap_or(0);
    let at = rest[..at].rfind(' ').map_or(0, |space| space + 1);
    rest[at..].split(" not ").next().unwrap_or_default().to_owned()
}

/// What was said of each side.
#[derive(Debug, PartialEq, Eq)]
struct SidesTold {
    sides: Vec<(String, bool)>,
    /// Said of all that is not named by itself.
    rest: Option<bool>,
}

impl SidesTold {
    fn of(&self, label: &str) -> Option<bool> {
        let own = spoken::label_side(label)?;
        let named = self.sides.iter().rfind(|(side, _)| {
            side == own || (side == "ends" && own != "middle" && own != "centre")
        });
        named.map(|(_, good)| *good).or(self.rest)
    }

    fn all_good(&self) -> bool {
        self.sides.iter().all(|(_, good)| *good) && self.rest != Some(false)
    }
}

/// "Both ends cut, middle doesn't": nothing but sides and whether each is well.
fn sides_told(words: &str) -> Option<SidesTold> {
    if in_turn::asks(words) {
        return None;
    }
    let lower = words.to_lowercase().replace('\u{2019}', "'");
    let mut told = SidesTold { sides: Vec::new(), rest: None };
    let mut cuts = false;
    let mut excepted = false;
    for clause in lower.split([',', ';', '.']) {
        let said: Vec<&str> = clause.split_whitespace().collect();
        let mut from = 0;
        let mut parts: Vec<(&[&str], bool)> = Vec::new();
        for (at, word) in said.iter().enumerate() {
            if EXCEPTING.contains(word) {
                parts.push((&said[from..at], excepted));
                (from, excepted) = (at + 1, true);
            }
        }
        parts.push((&said[from..], excepted));
        for (part, excepted) in parts {
            let denied = part.iter().any(|word| *word != "does" && DENYING.contains(word));
            let states = part.iter().any(|word| DENYING.contains(word) || WELL.contains(word));
            cuts |= states;
            // What is left out of what is well is not, whether it is said or not.
            let good = !denied && !excepted;
            for word in part {
                if ENDS.contains(word) {
                    told.sides.push(("ends".to_owned(), good));
                } else if ALL.contains(word) {
                    told.rest = Some(good);
                } else if spoken::side_said(word).is_some() {
                    told.sides.push(((*word).to_owned(), good));
                } else if !BESIDE.contains(word) && !DENYING.contains(word) {
                    return None;
                }
            }
        }
    }
    let some = !told.sides.is_empty() || told.rest.is_some();
    (cuts && some).then_some(told)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_end_is_heard_with_what_is_said_of_it() {
        for (words, left, middle, right) in [
            ("paper cuts left and middle but not right", true, true, false),
            ("left cuts, right does not, middle ok", true, true, false),
            ("both ends cut, middle doesnt", true, false, true),
            ("cuts everywhere bar the right end", true, true, false),
            ("cuts everywhere", true, true, true),
            ("it cuts at the ends but not in the middle", true, false, true),
        ] {
            let told = sides_told(words).expect(words);
            let of = |side: &str| told.of(&format!("Paper held at the {side} end"));
            let middle_told = told.of("Paper held in the middle");
            assert_eq!(of("left"), Some(left), "{words}");
            assert_eq!(middle_told, Some(middle), "{words}");
            assert_eq!(of("right"), Some(right), "{words}");
        }
        for words in ["streaks behind unit 2, only at the left end", "is the left end ok", "left 3.4"] {
            assert_eq!(sides_told(words), None, "{words}");
        }
    }
}
