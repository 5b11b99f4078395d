//! What is asked of an answer that was given just now: more of it, its working, whether it is the
//! bearing, how that is checked, whether the figure will do; and readings that answer its question.
//! Deliberately absent: signs that are added to a complaint (`intent::case`, `looked_at`).

use super::acts::{self, Act};
use super::by_role::role_of;
use super::of_the_case::last_clause;
use super::{Action, Actions, Asked, Conversation, in_turn, say};
use crate::domain::catalogue::{Equipment, FindingKind, Knowledge};
use crate::domain::complaint::in_hundred;
use crate::domain::danger;
use crate::domain::language::text::tokens;
use crate::domain::language::turns::Open;
use crate::domain::passages::form::Form;
use crate::domain::passages::told::NAMED;
use crate::domain::ruled_out;
use crate::domain::said::numbers::quantities;
use crate::domain::unit_or_end;
use crate::domain::units::plain;
use crate::domain::wording::plain_words;

/// What the last answer left out, and what is asked of it.
#[derive(Clone, Debug, Default)]
pub struct LastAnswer {
    /// What "more" and "why" give.
    pub more: Vec<String>,
    /// What is known of the cause that came first.
    pub why: Vec<String>,
    /// The complaint, and the signs that were heard in it.
    pub complaint: String,
    pub heard: Vec<String>,
    /// The figure of a sum, and what is noted of it.
    pub notes: Vec<String>,
    /// It was a sum.
    pub of_a_sum: bool,
    /// Causes with their chances, the likeliest first; empty: it was no diagnosis.
    pub ranked: Vec<(String, f64)>,
    /// What tells it from another answer to the same complaint.
    pub mark: String,
    /// How a question of a check is answered was told in this conversation.
    pub hinted: bool,
    /// Its lines, as they were told.
    pub lines: Vec<String>,
    /// What is answered now leaves those lines as they are.
    pub leaves_lines: bool,
}

/// Asking for what an answer left out: one of these, and nothing beside it that says more.
#[rustfmt::skip]
const MORE: &[&str] = &[
    "more", "rest", "else", "others", "other", "full", "whole", "steps", "basis", "possibilities",
    "options", "ideas", "detail", "details", "alternatives", "based", "base", "basing", "further",
];
#[rustfmt::skip]
const BESIDE_MORE: &[&str] = &[
    "the", "of", "it", "that", "me", "show", "tell", "give", "please", "and", "what", "whats",
    "could", "can", "might", "be", "is", "are", "any", "there", "to", "in", "all", "see", "us",
    "lets", "have", "got", "you", "i", "want", "need", "a", "bit", "thing", "things", "anything",
    "something", "about", "this", "causes", "answer", "list", "them", "on", "do", "or", "causing",
    "cause", "its", "go", "may", "would", "mate", "now", "say",
];
/// Asking what an answer rests on.
#[rustfmt::skip]
const WHY: &[&str] = &[
    "how do you know", "how do you know that", "how come", "why do you say that",
    "why do you think that", "why that", "why is that", "why that one", "why is it that",
    "what makes you say that", "says who", "what makes you think that",
    "where do you get that from", "how did you get to that", "why so", "how so", "on what basis",
    "why first", "why that first", "what points to that", "what makes it that",
];
/// Asking how a figure came about.
#[rustfmt::skip]
const WORKING: &[&str] = &[
    "working", "workings", "work it out", "show the sum", "show me the sum", "the formula",
    "what formula", "which formula", "how did you get", "how do you get",
    "how is that worked out", "how did you work", "how do you work", "hows that worked out",
    "where does that come from", "the maths", "the math", "how was that worked", "how come its",
    "how you got", "what sum is that",
];
const POINTS: &[&str] = &["it", "that", "this", "them", "one", "its", "thats", "they", "those"];
/// Longer words ask of something of their own.
pub(super) const WORDS_MAX: usize = 12;
/// Causes that an answer about a thing names.
const NAMED_MAX: usize = 3;

/// Words without signs, small; "isn't" is "isnt".
pub(super) fn bare(words: &str) -> String {
    plain_words(words).join(" ")
}

/// Without the small words before and behind a question.
pub(super) fn core(text: &str) -> &str {
    const BEFORE: &[&str] = &[
        "ok ", "so ", "and ", "right ", "well ", "then ", "but ", "hmm ", "oh ", "yes ", "aye ",
    ];
    const BEHIND: &[&str] = &[" then", " please", " mate", " though", " ta", " pls", " thanks"];
    let mut text = text;
    while let Some(rest) = BEFORE.iter().find_map(|word| text.strip_prefix(word)) {
        text = rest;
    }
    while let Some(rest) = BEHIND.iter().find_map(|word| text.strip_suffix(word)) {
        text = rest;
    }
    text
}

impl<C: Clone> Conversation<C> {
    /// What is asked of the last answer, where nothing but a check's question is open.
    pub(super) fn of_the_last_answer(
        &mut self,
        knowledge: &Knowledge,
        act: Option<&Act>,
        words: &str,
    ) -> Option<Actions<C>> {
        if let Some(told) = act.is_none().then(|| self.of_the_lines(words)).flatten() {
            return Some(told);
        }
        let open = matches!(self.asked, None | Some(Asked::Findings { .. }));
        if self.walking.is_some() || !open || !matches!(act, None | Some(Act::Why)) {
            return None;
        }
        let before = || self.before_it_works(knowledge, words);
        if let Some(told) = act.is_none().then(before).flatten() {
            return Some(told);
        }
        let text = bare(words);
        let asked = core(&text);
        let short = asked.split_whitespace().count() <= WORDS_MAX;
        if !short || (self.last.more.is_empty() && self.last.ranked.is_empty()) {
            return None;
        }
        let working = self.last.of_a_sum && WORKING.iter().any(|sign| asked.contains(sign));
        let opened = acts::plain(words);
        let asks_why = WHY.contains(&asked) || WHY.contains(&core(&opened));
        let why = act == Some(&Act::Why) || asks_why || self.asks_why_it_is_so(asked);
        let more = asks_for_more(asked);
        if why && !self.last.why.is_empty() {
            let more = "\"more\" gives the other causes, the steps and the basis.".to_owned();
            return Some(vec![Action::Say(self.last.why.iter().cloned().chain([more]).collect())]);
        }
        if (more || working || why) && !self.last.more.is_empty() {
            return Some(vec![Action::Say(self.last.more.clone())]);
        }
        if self.last.of_a_sum {
            let role = role_of(knowledge, words, Open::Sum) == Some("good");
            return self.will_it_do(asked, role);
        }
        self.context.case.as_ref()?;
        let kind = self.context.equipment?;
        if let Some(both) = self.not_one_end(knowledge, asked) {
            return Some(both);
        }
        let last = last_clause(words);
        let how = how_it_is_checked(asked) || how_it_is_checked(core(&last));
        if how && !self.advised.is_empty() {
            return Some(self.begin_advised(knowledge, 0));
        }
        if let Some(told) = self.which_of_its_parts(knowledge, kind, asked) {
            return Some(told);
        }
        if let Some(remedy) = self.remedy_asked(knowledge, words) {
            return Some(remedy);
        }
        if let Some(remedy) = self.of_the_remedy(knowledge, kind, asked) {
            return Some(remedy);
        }
        self.cause_asked(knowledge, kind, words, asked)
    }

    /// "Why would it drift", "what makes it do that", of the complaint that was answered.
    fn asks_why_it_is_so(&self, asked: &str) -> bool {
        const WHY: &[&str] = &[
            "why wd ", "why would ", "why does ", "why do ", "why did ", "why is ", "why has ",
            "why are ", "what makes ", "what causes ", "whats causing ", "what is causing ",
            "whats making ", "how come ", "what made ", "what would make ", "what caused ",
            "hows ",
        ];
        const SHORT: usize = 6;
        let of_case = !self.last.ranked.is_empty() && self.context.case.is_some();
        let said: Vec<&str> = asked.split_whitespace().collect();
        let points = said.iter().any(|word| POINTS.contains(word));
        of_case && points && said.len() <= SHORT && WHY.iter().any(|start| asked.starts_with(start))
    }

    /// "Is that ok or will I get ripples", after a sum: what the sum noted of its figure.
    fn will_it_do(&self, asked: &str, role: bool) -> Option<Actions<C>> {
        const DOES: &[&str] = &[
            "is that ", "is it ", "will that ", "will it ", "will i ", "will we ", "would that ",
            "does that ", "thats ", "that ", "is this ", "am i ", "are we ", "should i worry",
        ];
        /// What a figure should be.
        const WANTED: &[&str] = &[
            "what should it be", "what should that be", "what ought it to be", "what do i want", "what is right",
            "whats right", "what do we want", "what should i have", "what should i be at",
        ];
        const JUDGED: &[&str] = &[
            "ok", "okay", "alright", "right", "fine", "good", "bad", "enough", "safe", "normal",
            "high", "low", "fast", "slow", "long", "short", "much", "little", "do", "get", "show",
            "mark", "leave", "worry", "close", "wrong", "acceptable", "sensible", "reasonable",
        ];
        let does = DOES.iter().any(|start| asked.starts_with(start.trim_end()));
        let judged = asked.split_whitespace().any(|word| JUDGED.contains(&word));
        // "For an eighth inch cut" gives a figure as well.
        let measured = quantities(&tokens(asked)).iter().any(|one| one.unit.is_some());
        let figures = measured || asked.contains(|ch: char| ch.is_ascii_digit());
        let clip = self.context.answered.as_ref().filter(|one| one.field == "clip_spacing_mm");
        let wanted = clip.is_some() && WANTED.iter().any(|start| asked.starts_with(start));
        // "What's the lowest I should go" asks for a figure.
        let asks_which = ["what", "which", "how", "why", "when", "where"]
            .iter()
            .any(|start| asked.starts_with(start));
        let judges = (role || (does && judged)) && !asks_which;
        if figures || !(judges || wanted) {
            return None;
        }
        if let Some(clip) = clip {
            return Some(vec![say(format!(
                "A clip is held against the height of cut: about the height, give or take a tenth, on \
                 fairways; greens are looser and found by trial (note \"How to shorten a clip that is too \
                 long\"). Say what height of cut it is for, and I hold {} mm against it.",
                plain(clip.value)
            ))]);
        }
        let mut lines = self.last.notes.clone();
        // The figure alone, with nothing noted of it.
        if lines.len() < 2 {
            let text = "Nothing that I know speaks against that by itself; the turf decides.";
            lines.push(text.to_owned());
        }
        Some(vec![Action::Say(lines)])
    }

    /// "Not the bearing then?", "is it the bedknife or not": the chance of what is named.
    fn cause_asked(
        &self,
        knowledge: &Knowledge,
        kind: Equipment,
        words: &str,
        asked: &str,
    ) -> Option<Actions<C>> {
        // "No, may it go out with the oil leak?" asks whether it may go on.
        if self.context.question.is_some() || danger::asks_to_run_on(knowledge, words) {
            return None;
        }
        let role = role_of(knowledge, words, Open::Complaint) == Some("cause");
        // "It's the belt, not the blades" tells what it is.
        let told = || !ruled_out::causes(knowledge, kind, words).is_empty();
        let told = !in_turn::asks_at_all(words) && told();
        if told || !(role || asks_of_a_cause(words, asked)) {
            return None;
        }
        if let Some(told) = self.of_another_kind(knowledge, kind, asked) {
            return Some(told);
        }
        let rows = ruled_out::named(knowledge, kind, asked);
        let Some((first_id, first)) = self.last.ranked.first() else {
            let row = rows.iter().max_by(|a, b| a.weight.total_cmp(&b.weight))?;
            return Some(vec![say(format!(
                "Too little is known yet to tell whether it is \"{}\". {}",
                row.title,
                self.what_would_tell(knowledge)
            ))]);
        };
        let title = |id: &str| knowledge.cause(kind, id).map_or("", |row| row.title.as_str());
        let chance = |id: &str| self.last.ranked.iter().find(|(of, _)| of == id).map(|of| of.1);
        let mut found: Vec<(&str, Option<f64>)> =
            rows.iter().map(|row| (row.id.as_str(), chance(&row.id))).collect();
        found.sort_by(|a, b| b.1.unwrap_or(0.0).total_cmp(&a.1.unwrap_or(0.0)));
        let known = found.iter().filter(|(_, chance)| chance.is_some()).count();
        let last = self.last.ranked.last().map_or(0.0, |of| of.1);
        let mut lines: Vec<String> = found
            .iter()
            .take(known.clamp(1, NAMED_MAX))
            .map(|(id, chance)| match chance {
                Some(_) if id == first_id => {
                    format!("{}: {}, the most likely so far.", title(id), in_hundred(*first))
                }
                Some(chance) => format!("{}: {}.", title(id), in_hundred(*chance)),
                None => format!("{}: hardly, under {}.", title(id), in_hundred(last.max(0.01))),
            })
            .collect();
        // What no cause is called by may stand in a note on the first.
        let note = || note_of_both(knowledge, asked, title(first_id));
        if lines.is_empty() && role && let Some(note) = note() {
            let query = format!("{note}{NAMED}{asked}");
            return Some(vec![Action::Tell { form: Form::Named, query }]);
        }
        if lines.is_empty() && role {
            lines.push("None of the causes known here is named so.".to_owned());
        }
        if lines.is_empty() {
            return None;
        }
        if !found.iter().any(|(id, _)| id == first_id) {
            lines.push(format!("Most likely stays: {} ({}).", title(first_id), in_hundred(*first)));
        }
        lines.push(self.what_would_tell(knowledge));
        Some(vec![Action::Say(lines)])
    }

    fn what_would_tell(&self, knowledge: &Knowledge) -> String {
        let check = self.advised.iter().find(|one| one.cause.is_empty());
        let check = check.and_then(|one| knowledge.procedure(&one.procedure));
        match check {
            Some(row) => format!(
                "What would tell: {} (about {} min; \"do it\" walks you through it).",
                row.title,
                plain(row.minutes)
            ),
            None => "Say what you saw of it when you have looked, and it counts.".to_owned(),
        }
    }

    /// "Both ends", "right across", where it was heard that one end only shows it.
    fn not_one_end(&self, knowledge: &Knowledge, asked: &str) -> Option<Actions<C>> {
        const WHOLE: &[&str] = &[
            "both ends", "both sides", "all along", "all the way along", "full width",
            "right across", "whole width", "whole length", "end to end", "all the way across",
            "the full length", "everywhere", "at each end", "either end",
        ];
        const SHORT: usize = 6;
        let short = asked.split_whitespace().count() <= SHORT;
        let whole = WHOLE.iter().any(|sign| asked.contains(sign));
        let title = |id: &str| knowledge.finding(id).map_or("", |row| row.title.as_str());
        let of_one = |id: &&String| {
            let title = title(id).to_lowercase();
            title.contains("one end") || title.contains("one side")
        };
        let id = self.last.heard.iter().find(of_one).filter(|_| short && whole)?;
        let line = format!("Taken into account. It is not so: {}.", title(id));
        Some(vec![say(line), Action::Observe(vec![(id.clone(), false)])])
    }

    /// "Measured them, 3.5 3.5 and 3.2": readings answer a question whether something differs.
    pub(super) fn readings_answer(
        &mut self,
        knowledge: &Knowledge,
        left: &[(String, String)],
        known: &[(String, bool)],
        words: &str,
    ) -> Option<Actions<C>> {
        // ".125" keeps its point.
        let text = bare(&words.replace(" .", " 0."));
        let values = read_values(&text)?;
        let same = values.len() > 1 && spread(&values) == 0.0;
        // "Bench is 3.2 on all three" answers that they are alike; of one it is a reading.
        let deed = if same { deed_or_name(&text.replace("bench", "")) } else { deed_or_name(&text) };
        if in_turn::asks(words) || deed {
            return None;
        }
        let of_units = values.len() > 2 || text.contains("unit") || text.contains("between");
        let differs = |(id, question): &&(String, String)| {
            let row = knowledge.finding(id).map_or("", |row| row.title.as_str());
            let asked = format!("{row} {question}").to_lowercase();
            asked.contains("differ") || asked.contains("unequal") || asked.contains("not alike")
        };
        let between = |(_, question): &&(String, String)| question.contains("between");
        // What they are readings of may be named, whatever was asked.
        let named = named_readings(knowledge, self.context.equipment, &text);
        let rows: Vec<&(String, String)> = named.iter().chain(left).filter(differs).collect();
        let own = rows.iter().find(|row| between(row) == of_units);
        let (id, _) = own.or(rows.first().filter(|_| same || !of_units))?;
        // Of two units that are held against each other.
        let units = unit_or_end::names_units(&self.case_words);
        let id: &str = match units && unit_or_end::is_of_ends(id) {
            true => unit_or_end::ONE_UNIT,
            false => id,
        };
        let apart = spread(&values);
        // By the size of the readings (common practice, no source).
        let limit = (values.iter().copied().fold(0.0, f64::max) * 0.02).max(0.05);
        let there = apart > limit;
        let title = knowledge.finding(id).map_or("", |row| row.title.as_str());
        let so = if there { "It is so" } else { "It is not so" };
        let told = match values[..] {
            [_] => format!("{} apart", plain(apart)),
            [first, ..] if same => format!("{} all alike", plain(first)),
            _ => format!(
                "{}: {} apart",
                values.iter().map(|value| plain(*value)).collect::<Vec<_>>().join(", "),
                plain((apart * 1000.0).round() / 1000.0)
            ),
        };
        let line = format!("Taken into account. {told}. {so}: {title}. (Not stored as readings.)");
        let known = known.iter().cloned().chain([(id.to_owned(), there)]).collect();
        Some(vec![say(line), Action::Observe(known)])
    }
}

/// The title of the note that is of what is asked and of the cause: "could it be the grinder", of a
/// cone.
fn note_of_both<'a>(knowledge: &'a Knowledge, asked: &str, cause: &str) -> Option<&'a str> {
    const HALF: f64 = 0.5;
    let passages = knowledge.passages();
    let (mut said, own) = (passages.terms.of(asked), passages.terms.of(cause));
    said.retain(|term| passages.knows(term) && !own.contains(term));
    let weight = |of: &mut dyn Iterator<Item = &String>| -> f64 {
        of.map(|term| passages.weight(term)).sum()
    };
    let whole = weight(&mut said.iter());
    let notes = knowledge.notes.iter().map(|note| (note, passages.terms.of(&note.title)));
    let both = notes.filter(|(_, title)| own.iter().any(|term| title.contains(term)));
    let shared = both.map(|(note, title)| {
        let of_said = weight(&mut said.iter().filter(|term| title.contains(term)));
        let of_cause = weight(&mut own.iter().filter(|term| title.contains(term)));
        (note, of_said, of_said + of_cause)
    });
    let enough = shared.filter(|(_, of_said, _)| whole > 0.0 && *of_said >= HALF * whole);
    let best = enough.max_by(|one, other| one.2.total_cmp(&other.2))?;
    Some(best.0.title.as_str())
}

fn asks_for_more(asked: &str) -> bool {
    let mut said = asked.split_whitespace();
    let key = said.clone().any(|word| MORE.contains(&word));
    key && said.all(|word| MORE.contains(&word) || BESIDE_MORE.contains(&word))
}

/// Findings of a check that the words of a reading name: depth, tips, tyres.
fn named_readings(
    knowledge: &Knowledge,
    kind: Option<Equipment>,
    text: &str,
) -> Vec<(String, String)> {
    const READ: &[&str] = &[
        "depth", "depths", "tip", "tips", "tyre", "tyres", "pressure", "pressures", "diameter",
        "height", "heights", "pins", "bench",
    ];
    let stem = |word: &str| match word {
        "bench" => "height".to_owned(),
        word => word.trim_end_matches('s').to_owned(),
    };
    let said: Vec<String> =
        text.split_whitespace().filter(|word| READ.contains(word)).map(stem).collect();
    let rows = knowledge.findings.iter().filter(|row| {
        let own = format!("{} {}", row.title, row.question).to_lowercase();
        let names = said.iter().any(|word| own.contains(word.as_str()));
        let of_kind = kind.is_some_and(|kind| row.equipment.contains(&kind));
        names && of_kind && row.kind == FindingKind::Check
    });
    rows.map(|row| (row.id.clone(), row.question.clone())).collect()
}

/// Readings of one thing are no further apart than this (common practice, no source).
const ALIKE: f64 = 4.0;
/// The most readings that one answer holds.
const VALUES_MAX: usize = 12;

/// The readings of a few words; a single one only where it says how far apart they are.
fn read_values(text: &str) -> Option<Vec<f64>> {
    const APART: &[&str] =        &[
        "differ", "differs", "difference", "out", "apart", "lower", "higher", "between", "diff", "by",
    ];
    const ALL: &[&str] = &["all", "each", "every", "everywhere"];
    const BEFORE: &[&str] = &["unit", "no", "number", "walker", "triplex", "blade", "spindle"];
    let said: Vec<&str> = text.split_whitespace().collect();
    let value = |at: &usize| {
        let word = said[*at].trim_end_matches("mm").trim_end_matches("psi");
        let named = at.checked_sub(1).is_some_and(|at| BEFORE.contains(&said[at]));
        word.parse::<f64>().ok().filter(|value| *value > 0.0 && !named)
    };
    let values: Vec<f64> = (0..said.len()).filter_map(|at| value(&at)).collect();
    let (most, least) = (
        values.iter().copied().fold(0.0, f64::max),
        values.iter().copied().fold(f64::MAX, f64::min),
    );
    let alike = most <= ALIKE * least;
    match values.len() {
        // "All 10 psi", "0.7 on both": alike.
        1 if said.iter().any(|word| ALL.contains(word)) => Some(vec![values[0]; 3]),
        1 if said.contains(&"both") => Some(vec![values[0]; 2]),
        1 => said.iter().any(|word| APART.contains(word)).then_some(values),
        2..=VALUES_MAX if alike && said.len() <= VALUES_MAX + values.len() => Some(values),
        _ => None,
    }
}

/// How far apart the values are; one value is what they are apart.
fn spread(values: &[f64]) -> f64 {
    match values {
        [only] => *only,
        _ => {
            let most = values.iter().copied().fold(f64::MIN, f64::max);
            most - values.iter().copied().fold(f64::MAX, f64::min)
        }
    }
}

/// Work that was done, or a thing that is set to a figure, is no reading.
fn deed_or_name(text: &str) -> bool {
    const DEEDS: &[&str] = &[
        "set", "ground", "grind", "lapped", "changed", "fitted", "replaced", "adjusted", "raised",
        "lowered", "turned", "rpm", "kph", "mph", "min", "mins", "minutes", "hours", "hrs", "h",
        "record", "log", "book", "store", "save", "took", "new", "reading", "readings", "bench",
    ];
    text.split_whitespace().any(|word| DEEDS.contains(&word))
}

/// "How do I check it without losing a finger", "how can you tell", "how is that looked at".
fn how_it_is_checked(asked: &str) -> bool {
    const HOW: &[&str] = &[
        "how do ", "how would ", "how can ", "how should ", "how could ", "how shd ", "how to ",
        "how is ", "how does ", "hows ", "whats the way to ", "best way to ",
        "whats the best way to ", "what is the best way to ", "safe way to ",
        "whats the safe way to ", "show me how to ", "safest way to ", "whats the safest way to ",
        "tell me how to ", "talk me through ",
    ];
    const VERBS: &[&str] = &[
        "check", "test", "look", "find", "tell", "see", "inspect", "measure", "prove", "confirm",
        "verify", "feel", "do", "fix", "cure", "mend", "sort", "free", "checked", "tested",
        "done", "checking",
    ];
    const SAFELY: &[&str] = &[
        "without", "safely", "safe", "properly", "right", "quick", "quickly", "myself", "on",
    ];
    let Some(rest) = HOW.iter().find_map(|start| asked.strip_prefix(start)) else { return false };
    let said: Vec<&str> = rest.split_whitespace().collect();
    let verb = said.iter().take(4).position(|word| VERBS.contains(word));
    let Some(verb) = verb else { return false };
    // What the verb is done to has to be what was named just now.
    let behind = &said[verb + 1..];
    let end = behind.iter().position(|word| SAFELY.contains(word)).unwrap_or(behind.len());
    let small = |word: &&str| {
        let beside = matches!(*word, "if" | "for" | "at" | "is" | "out" | "i" | "we" | "a" | "up");
        POINTS.contains(word) || beside
    };
    // "How can I tell" asks of the same.
    let bare = behind.is_empty() && matches!(said[verb], "tell" | "check" | "test" | "find" | "see");
    let mut near = said[..verb].iter().chain(&behind[..end]);
    let points = bare || near.any(|word| POINTS.contains(word));
    let points = points || (behind == ["out"] && said[verb] == "find");
    points && behind[..end].iter().all(|word| small(&word))
}

/// Whether words ask if it is the thing that they name.
pub(super) fn asks_of_a_cause(words: &str, asked: &str) -> bool {
    const IS_IT: &[&str] = &[
        "is it ", "isnt it ", "could it be ", "couldnt it be ", "might it be ", "can it be ",
        "would it be ", "is that ", "how likely is ", "how likely are ",
        "what are the chances of ", "whats the chance of ", "whats the chances of ",
        "chances of ", "chance of ", "do you think its ", "you think its ", "does that point to ",
        "does that mean ", "why not ", "why isnt it ", "why is it not ", "are you sure its ",
        "are you sure it isnt ", "sure its ", "sure it isnt ", "you sure its ",
        "why does that point to ", "do you reckon its ", "could it be down to ", "is it down to ", "reckon its ", "could be ",
        "wouldnt it be ", "why would it be ", "which is it ", "how sure are you its ",
        "how sure are you it is ", "how sure are you about ", "or is it ", "or the ",
    ];
    const MAKES: &[&str] = &[
        "does ", "do ", "would ", "could ", "can ", "will ", "might ", "has ", "is ",
    ];
    const MADE: &[&str] = &[
        " do it", " do that", " do this", " cause it", " cause that", " cause this", " doing it",
        " doing that", " be doing it", " causing it", " causing that", " to blame", " done it",
    ];
    const DENIED: &[&str] = &[
        "not ", "its not ", "it isnt ", "it aint ", "isnt ", "its the ", "the ", "no ",
        "cant be ", "couldnt be ", "it cant be ", "it couldnt be ", "surely not ", "not likely ",
    ];
    const ABOUT: &[&str] = &["what about ", "how about ", "and what about "];
    const OF_RECORDS: &[&str] = &[
        "when", "who", "last", "due", "ever", "before", "history", "hours", "hrs", "done",
        "changed", "often", "safe", "long", "due", "many",
    ];
    let records = asked.split_whitespace().any(|word| OF_RECORDS.contains(&word));
    let ends = words.trim_end().ends_with('?');
    let doubts = ends || ruled_out::doubts(&ruled_out::plain(words));
    let starts = |list: &[&str]| list.iter().any(|start| asked.starts_with(start));
    // "Does the sand do it": what is named stands between.
    let made = MADE.iter().find_map(|end| asked.strip_suffix(end));
    let made = made.is_some_and(|rest| {
        let behind = MAKES.iter().find_map(|start| rest.strip_prefix(start));
        let people = |word: &str| matches!(word, "i" | "we" | "you" | "he" | "they" | "she" | "it");
        behind.is_some_and(|named| !named.split_whitespace().all(people))
    });
    !records && (starts(IS_IT) || starts(ABOUT) || made || (doubts && starts(DENIED)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_it_is_checked_points_at_what_was_named() {
        for (words, wanted) in [
            ("how do i check it without losing a finger", true),
            ("how can i tell if it is that", true),
            ("how do you look at that safely", true),
            ("whats the safe way to check it", true),
            ("how do i check the tyre pressures", false),
            ("how do i get the blade off safe", false),
            ("how can i tell", true),
            ("how do we find out", true),
            ("how long does it take", false),
        ] {
            assert_eq!(how_it_is_checked(core(&bare(words))), wanted, "{words}");
        }
    }

    #[test]
    fn more_is_asked_for_in_few_words() {
        for (words, wanted) in [
            ("rest of it please", true),
            ("what else could it be", true),
            ("any other ideas", true),
            ("and the others?", true),
            ("what other jobs are due", false),
            ("more grass on the left", false),
            ("what is it", false),
        ] {
            assert_eq!(asks_for_more(core(&bare(words))), wanted, "{words}");
        }
    }

    #[test]
    fn a_cause_is_asked_of_in_many_ways() {
        for (words, wanted) in [
            ("not the bearing then?", true),
            ("so is it the bedknife or not", true),
            ("could it be the belt", true),
            ("what about the rollers", true),
            ("couldn't be the tyres could it", true),
            ("and does the sand do it", true),
            ("would a bent roller cause that", true),
            ("can i do it", false),
            ("so not the bearing", false),
            ("when was the bearing last changed", false),
            ("it is not the bearing, that is new", false),
        ] {
            assert_eq!(asks_of_a_cause(words, core(&bare(words))), wanted, "{words}");
        }
    }

    #[test]
    fn readings_are_read_and_told_apart() {
        assert_eq!(read_values("measured em 3.5 3.5 n 3.2"), Some(vec![3.5, 3.5, 3.2]));
        assert_eq!(read_values("the tips differ by 6 mm"), Some(vec![6.0]));
        assert_eq!(read_values("unit 2 is worse"), None);
        assert_eq!(read_values("3.5 and 200"), None);
        assert!((spread(&[3.5, 3.5, 3.2]) - 0.3).abs() < 1e-9);
    }
}
