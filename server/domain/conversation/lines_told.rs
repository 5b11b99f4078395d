//! What does the last answer itself say of what is asked of it in a few words: how many hours is
//! that, how long for, which way, what is the limit, is that alright, why are they different? The
//! sentence of it that says so answers, whatever it was an answer to.
//! Deliberately absent: what the knowledge adds (`knowledge_asked`), more of a complaint
//! (`asked_of_the_answer`), the question to the records asked again (`intent::again`).

use super::asked_of_the_answer::{bare, core};
use super::{Action, Actions, Asked, Conversation};
use crate::domain::units::plain;

/// What is asked for by the form of few words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wants {
    /// Hours of a machine.
    Hours,
    /// Until when.
    Long,
    /// What a figure is held against.
    Limit,
    /// The same, and whether the figure keeps to it.
    Judged,
    /// Up or down, in or out.
    Way,
    /// What is read now.
    Now,
    /// Why two figures differ.
    Differs,
}

/// Words of such a question that say nothing of their own.
#[rustfmt::skip]
const SMALL: &[&str] = &[
    "it", "its", "that", "thats", "this", "they", "theyre", "them", "those", "these", "the", "is",
    "are", "was", "were", "be", "been", "i", "we", "you", "he", "one", "ones", "then", "again", "about",
    "roughly", "now", "there", "on", "at", "of", "for", "to", "in", "should", "would", "will",
    "do", "does", "did", "can", "could", "really", "actually", "all", "any", "each", "a", "go", "got",
    "must", "need", "or", "quite", "dead", "with", "have", "has", "stay", "currently", "step",
];
/// What asks, with the small words left out.
const FORMS: &[(&[&str], Wants)] = &[
    (&["how many hours", "how many hrs", "what hours", "hours", "how many hours since"], Wants::Hours),
    (&["how long", "how long leave", "how long wait", "how long keep", "how long give", "until when",
        "till when", "how many days", "how many weeks", "how long keep up", "how long between"],
        Wants::Long),
    (&["whats limit", "what limit", "what limits", "whats allowed", "what allowed", "whats target",
        "what target", "whats maximum", "what maximum", "whats max", "whats most allowed",
        "whats tolerance", "what tolerance", "which limit", "whats wanted", "what wanted"],
        Wants::Limit),
    (&["which way", "which way turn", "what way", "what way turn", "which direction",
        "which way round", "what direction", "up down", "which way screw", "which way wind"],
        Wants::Way),
];
/// What a figure is judged by, where the words begin as below.
const JUDGED: &[&str] = &[
    "alright", "right", "ok", "okay", "fine", "good", "bad", "normal", "bang", "spot", "out", "wrong",
    "acceptable", "within limits", "within limit", "high", "low", "too high", "too low", "much off",
    "off", "true", "far out", "over", "too much", "as good as", "good enough", "over limit",
];
const JUDGES: &[&str] = &[
    "is", "are", "was", "were", "any", "thats", "that", "isnt", "wasnt", "arent", "werent",
];
/// Words of a sentence that says what a figure is held against.
const YARDSTICKS: &[&str] =
    &["limit", "limits", "wanted", "target", "allowed", "tolerance", "tolerances"];
/// Words of one that says until when.
const UNTIL: &[&str] = &["until", "till", "day", "days", "week", "weeks", "overnight"];
/// Sentences that are told.
const TOLD_MAX: usize = 3;

/// Stands under a way that is told: an adjuster's screw may go either way (common practice, no
/// source).
const SCREW: &str = "Which way the screw goes for that depends on the adjuster: turn it a little and \
                     read again.";
/// Stands under limits that are told.
const MANUAL: &str = "The machine's manual stands above every number here.";

impl<C: Clone> Conversation<C> {
    /// Keeps what was answered in this turn; what was asked of the answer before, or
    /// not understood, leaves that one as it was.
    pub fn keep_lines(&mut self, lines: Vec<String>) {
        let leans = std::mem::take(&mut self.last.leaves_lines);
        let says = |line: &String| {
            let text = line.trim_start();
            !["! ", "STOP ", "Basis:", "Understood:", "Assumed:", "Not used:", "Still ", "("]
                .iter().any(|start| text.starts_with(start))
        };
        let lines: Vec<String> = lines.into_iter().filter(says).collect();
        if !leans && !lines.is_empty() {
            self.last.lines = lines;
        }
    }

    /// Whether it is asked until when, and nothing else, where the last answer says so.
    pub(super) fn says_until_when(&self, words: &str) -> bool {
        let free = self.context.question.is_none() && self.walking.is_none();
        let long = wants(core(&bare(words))) == Some(Wants::Long);
        free && long && !said_of(Wants::Long, &self.last.lines).is_empty()
    }

    /// What the last answer says of what is asked, word for word.
    pub(super) fn of_the_lines(&mut self, words: &str) -> Option<Actions<C>> {
        let open = matches!(self.asked, None | Some(Asked::Findings { .. }));
        if self.walking.is_some() || !open {
            return None;
        }
        let text = bare(words);
        let wants = wants(core(&text))?;
        let records = self.context.question.is_some();
        // "How many hours in all" are those of the work, of all the records told.
        let padded = format!(" {text} ");
        let in_all = [" in all ", " altogether ", " in total ", " all told ", " all together "];
        if records && wants == Wants::Hours && in_all.iter().any(|part| padded.contains(part)) {
            return None;
        }
        let of_records = matches!(wants, Wants::Hours | Wants::Now | Wants::Judged | Wants::Limit);
        if of_records != records || (wants == Wants::Differs && !self.last.of_a_sum) {
            return None;
        }
        let mut told = said_of(wants, &self.last.lines);
        match wants {
            Wants::Way if !told.is_empty() => told.push(SCREW.to_owned()),
            Wants::Judged | Wants::Limit if told.iter().any(|line| line.contains("limit")) => {
                told.push(MANUAL.to_owned());
            }
            _ => {}
        }
        if told.is_empty() {
            return None;
        }
        self.other_talk();
        self.last.leaves_lines = true;
        Some(vec![Action::Say(told)])
    }
}

/// What these words ask of an answer by their form; none where they name anything.
fn wants(asked: &str) -> Option<Wants> {
    let said: Vec<&str> = asked.split_whitespace().collect();
    let first = said.first().copied()?;
    let keys: Vec<&str> = said.iter().filter(|word| !SMALL.contains(word)).copied().collect();
    let keys = keys.join(" ");
    if let Some((_, wants)) = FORMS.iter().find(|(forms, _)| forms.contains(&keys.as_str())) {
        return Some(*wants);
    }
    if JUDGES.contains(&first) && JUDGED.contains(&keys.as_str()) {
        return Some(Wants::Judged);
    }
    let now = said.iter().any(|word| matches!(*word, "now" | "at" | "currently"));
    if now && matches!(keys.as_str(), "whats" | "what" | "wheres" | "where" | "what stand" | "what read" | "what down") {
        return Some(Wants::Now);
    }
    const UNLIKE: &[&str] = &[
        "why different", "why differ", "why higher", "why lower", "why more", "why less",
        "why not same", "how come different", "how come higher", "how come lower", "why difference",
        "why bigger", "why smaller", "whys different", "whys higher", "whys lower", "why apart",
    ];
    UNLIKE.contains(&keys.as_str()).then_some(Wants::Differs)
}

/// The sentences that say what is wanted, as they were told.
fn said_of(wants: Wants, lines: &[String]) -> Vec<String> {
    if wants == Wants::Judged {
        let rows: Vec<String> = lines.iter().filter_map(|line| off_target(line)).collect();
        if !rows.is_empty() {
            return rows;
        }
    }
    // Why two figures differ takes more than a sentence.
    let whole = !matches!(wants, Wants::Hours | Wants::Long | Wants::Way);
    let parts = lines.iter().flat_map(|line| match whole {
        true => vec![line.as_str()],
        false => sentences(line),
    });
    let says = |part: &&str| {
        let words: Vec<&str> = part.split_whitespace().map(without_signs).collect();
        let any = |list: &[&str]| words.iter().any(|word| list.contains(word));
        match wants {
            Wants::Hours => words.windows(2).any(|two| {
                two[0].parse::<f64>().is_ok() && matches!(two[1], "h" | "hours")
            }),
            Wants::Long => any(UNTIL),
            Wants::Limit => any(YARDSTICKS),
            Wants::Judged => any(YARDSTICKS) || words.starts_with(&["Before", "that"]),
            Wants::Way => words.windows(3).any(|three| three[0] == "the" && three[1] == "way"),
            Wants::Now => words.windows(5).any(|five| {
                five[0].parse::<f64>().is_ok() && five[2] == "on" && five[3].parse::<u8>().is_ok()
            }),
            Wants::Differs => any(&["than", "because"]),
        }
    };
    let told: Vec<&str> = parts.filter(says).take(TOLD_MAX).collect();
    let only_before = told.iter().all(|part| part.trim_start().starts_with("Before that"));
    if only_before { Vec::new() } else { told.into_iter().map(without_hints).collect() }
}

/// The sentences of a line; "No. 2" begins none.
fn sentences(line: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut from = 0;
    for (at, _) in line.match_indices(". ") {
        if !line[from..at].ends_with("No") {
            parts.push(&line[from..at + 2]);
            from = at + 2;
        }
    }
    parts.push(&line[from..]);
    parts
}

/// A word without the signs around it.
fn without_signs(word: &str) -> &str {
    word.trim_matches(|ch: char| !ch.is_alphanumeric())
}

/// A sentence without what stands in brackets behind it.
fn without_hints(part: &str) -> String {
    let text = part.trim();
    let text = text.strip_prefix("Note: ").unwrap_or(text);
    match text.rfind(" (").filter(|at| text[*at..].contains("walks you")) {
        Some(at) => format!("{}.", &text[..at]),
        None => text.to_owned(),
    }
}

/// "22 Oct 2026, Walker: reel left 3.21; reel right 3.2 mm, target 3.2 mm": how far off it was.
fn off_target(row: &str) -> Option<String> {
    let (before, behind) = row.split_once(" mm, target ")?;
    let target: f64 = behind.split_whitespace().next()?.parse().ok()?;
    let (head, read) = before.rsplit_once(": ")?;
    let read = read.rsplit_once(", ").map_or(read, |(_, read)| read);
    let places = read.split("; ").filter_map(|place| {
        let (place, value) = place.rsplit_once(' ')?;
        Some((place, value.parse::<f64>().ok()?))
    });
    let places: Vec<(&str, f64)> = places.collect();
    // Of two as far out, the first.
    let (place, value) = places
        .into_iter()
        .rev()
        .max_by(|one, other| (one.1 - target).abs().total_cmp(&(other.1 - target).abs()))?;
    let off = ((value - target).abs() * 1000.0).round() / 1000.0;
    let side = if value > target { "over" } else { "under" };
    let head = head.trim().trim_start_matches("Last read: ");
    Some(match off > 0.0 {
        true => format!(
            "{head}: furthest out {place}, {} mm, {} mm {side} the {} mm wanted.",
            plain(value), plain(off), plain(target)
        ),
        false => format!("{head}: all at the {} mm wanted.", plain(target)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_words_ask_by_their_form() {
        for (words, wanted) in [
            ("and how many hours is that", Some(Wants::Hours)),
            ("hours?", Some(Wants::Hours)),
            ("how long for", Some(Wants::Long)),
            ("so how long do I leave it then", Some(Wants::Long)),
            ("how long at each", Some(Wants::Long)),
            ("what's the limit", Some(Wants::Limit)),
            ("is that alright", Some(Wants::Judged)),
            ("any of those out", Some(Wants::Judged)),
            ("and was it bang on", Some(Wants::Judged)),
            ("which way", Some(Wants::Way)),
            ("whats it at now", Some(Wants::Now)),
            ("why they different", Some(Wants::Differs)),
            ("how long does it take", None),
            ("how many hours on walker 1", None),
            ("is that the bearing", None),
            ("what is it", None),
        ] {
            assert_eq!(wants(core(&bare(words))), wanted, "{words}");
        }
    }

    #[test]
    fn the_sentence_that_says_it_answers() {
        let said = |wants, line: &str| said_of(wants, &[line.to_owned()]);
        let last = "Last: 22 Jul 2026, unit 5: spin grind, 89 min. It has run 200 h since.";
        assert_eq!(said(Wants::Hours, last), ["It has run 200 h since."]);
        let turns = "Make 0.12 turns (0.7 flats) the way that lowers, for 0.12 mm down.";
        assert_eq!(said(Wants::Way, turns), [turns]);
        let sand = "Do this: set it open until it is gone (45 min; \"do it\" walks you through it).";
        assert_eq!(said(Wants::Long, sand), ["Do this: set it open until it is gone."]);
        let row = "  21 Oct 2026, Tees mower: bar, 1 left 9.5; 1 right 9.47 mm, target 9.5 mm, lad";
        let wanted = "21 Oct 2026, Tees mower: furthest out 1 right, 9.47 mm, 0.03 mm under the 9.5 \
                      mm wanted.";
        assert_eq!(said(Wants::Judged, row), [wanted]);
        assert!(said(Wants::Limit, last).is_empty());
    }
}
