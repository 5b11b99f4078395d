//! Which questions to the records are told by their form, before it is heard what ails? "Has the nick
//! on unit 2 come back", "bearings on 2 was changed wasn't it", "have we had this before" after a
//! complaint, "compare the two walkers", "only what cannot wait": none is a record or a complaint.
//! Deliberately absent: what leans on a question before (`again`).

use super::again::Before;
use super::dates::{MONTHS, is_day_name};
use super::fleet::{Asked, Part};
use super::past::Past;
use super::periods::Period;
use super::{Interpretation, Reader, nicknames};
use crate::domain::fleet::parts::Family;
use crate::domain::language::hearing::EXTENT;
use crate::domain::language::text::{Kind, tokens};
use crate::domain::passages::form::Form;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::any_said_at;

/// Longer words tell something of their own.
const WORDS_MAX: usize = 16;
/// So few words lean on a question before where they name nothing.
const LEANING_MAX: usize = 7;
/// Words before the first that asks.
const LEAD: &[&str] = &["and", "so", "ok", "okay", "but", "then", "well", "right", "hey", "also"];
/// First words of a question that is answered by yes or no.
const ASKS: &[&str] = &["has", "have", "did", "is", "are", "was", "were", "does", "do"];
/// Words around "back" where it tells of a fault found again.
const BEFORE_NOT_BACK: &[&str] = &["the", "a", "my", "our", "both", "to", "this", "that", "at"];
const BEHIND_BACK: &[&str] =
    &["since", "again", "yet", "on", "after", "now", "at", "in", "this", "already", "ever", "from"];
const RETURNED: &[&str] = &["returned", "recurred", "reappeared"];
/// Ends that make a question of what is said, without their apostrophes.
const TAGS: &[&str] = &[
    "wasnt it", "wasnt that", "werent they", "didnt we", "didnt he", "didnt they", "didnt you",
    "didnt i", "didnt she", "hasnt it", "hasnt he", "havent we", "havent they", "isnt it",
    "wasnt he", "didnt it", "hadnt it", "havent you", "was it not", "did we not", "did he not", "or wasnt it", "or was it", "or didnt we",
];
/// Of a complaint: whether it was there before.
const HAD: &[&[&str]] = &[
    &["this", "before"], &["that", "before"], &["it", "before"], &["happened", "before"],
    &["had", "before"], &["one", "before"], &["like", "this", "before"],
];
/// Words that ask for what presses only, and what goes with them.
const PRESSING: &[&str] = &["urgent", "urgently", "overdue", "pressing", "critical"];
const OF_JOBS: &[&str] = &[
    "which", "what", "whats", "only", "just", "anything", "any", "jobs", "things", "ones", "job",
    "thing", "list",
];
/// Words of what things cost, which no record says.
const OF_COST: &[&str] = &["spending", "spend", "spent", "costing", "cost", "costs", "less", "more"];
/// How somebody does a thing as a rule.
pub(super) const AS_A_RULE: &[&str] = &["normally", "usually", "mostly", "generally", "always", "tends"];
const COMPARE: &[&str] = &["compare", "compared", "comparison", "versus", "vs", "difference"];
/// Words in front of a stranger's name in a question: "did Dave", "by Kev".
const BEFORE_NAMES: &[&str] = &["did", "by", "has", "does", "have", "had"];
/// What people do, behind their names: "did Kev put in".
const OF_PEOPLE: &[&str] = &[
    "put", "do", "done", "spend", "spent", "grind", "ground", "lap", "lapped", "change", "changed",
    "fit", "fitted", "mend", "mended", "book", "booked", "log", "logged", "check", "checked", "sharpen",
    "sharpened", "replace", "replaced", "record", "recorded", "work", "worked", "get", "got", "fix",
    "fixed", "backlap", "backlapped", "last", "ever", "repair", "repaired", "clock", "clocked",
];
/// Everybody of the shop.
pub(super) const EVERYBODY: &[&str] = &[
    "boys", "lads", "guys", "team", "crew", "girls", "men", "staff", "gang", "fitters",
    "mechanics", "everybody", "everyone", "workshop", "folk", "folks",
];
/// A name has so many letters at least.
const NAME_MIN: usize = 2;

/// By when something is to be done, and nobody who does it.
pub(super) fn is_time(word: &str) -> bool {
    const TIMES: &[&str] = &[
        "spring", "summer", "autumn", "fall", "winter", "easter", "christmas", "xmas", "thanksgiving", "noon",
        "midday", "lunch", "tonight", "tomorrow", "weekend", "season",
    ];
    MONTHS.contains(&word) || TIMES.contains(&word) || is_day_name(word)
}

impl Reader<'_> {
    pub(super) fn asked_first(&self) -> Option<Interpretation> {
        let general = self.how_long_to_stop().or_else(|| self.asked_of_rust());
        let general = general.or_else(|| self.of_hours_and_wear());
        let general = general.or_else(|| self.asked_of_the_trade());
        if general.is_some() {
            return general;
        }
        let many = self.spoken.words.len() > WORDS_MAX;
        if many || self.heard.proof.is_sum() {
            return self.nobody();
        }
        let back = self.asked_back();
        if back.is_some() || self.heard.danger.stop.is_some() {
            return back;
        }
        let asked = self.named_beside_the_case().or_else(|| self.of_the_case());
        let asked = asked.or_else(|| self.nobody()).or_else(|| self.with_a_tag());
        let asked = asked.or_else(|| self.did_he()).or_else(|| self.which_one_had());
        let asked = asked.or_else(|| self.more_than()).or_else(|| self.compared());
        let asked = asked.or_else(|| self.pressing()).or_else(|| self.as_a_rule());
        let asked = asked.or_else(|| self.of_a_figure()).or_else(|| self.overdue_part());
        asked.or_else(|| self.of_a_stop()).or_else(|| self.been_done())
    }

    pub(super) fn says(&self, list: &[&str]) -> bool {
        self.spoken.tokens.iter().any(|token| list.contains(&token.text.as_str()))
    }

    /// No number stands outside of names: "fairway five" gives none.
    pub(super) fn gives_no_number(&self) -> bool {
        let mut named = self.heard.named.spans();
        named.extend(self.people_said().into_iter().map(|(_, span)| span));
        let year = |value: f64| value.fract() == 0.0 && (1950.0..2200.0).contains(&value);
        self.spoken.quantities.iter().all(|one| {
            // "This one" is no number, and "five in September" after a fairway no length.
            let before = one.first.checked_sub(1).map_or("", |at| self.spoken.tokens[at].text.as_str());
            let pointed = one.in_words && one.unit.is_none() && one.value == 1.0
                && matches!(before, "this" | "that" | "last" | "each");
            let of_name = |(first, last): &(usize, usize)| {
                *first <= one.first && one.number_last <= *last
            };
            pointed || (one.unit.is_none() && year(one.value)) || named.iter().any(of_name)
        })
    }

    pub(super) fn at_first(&self) -> usize {
        let lead = |token: &&_| {
            let token: &&crate::domain::language::text::Token = token;
            LEAD.contains(&token.text.as_str())
        };
        self.spoken.tokens.iter().take_while(lead).count()
    }

    /// The first word that is no lead ("and", "so").
    pub(super) fn first_word(&self) -> &str {
        self.spoken.tokens.get(self.at_first()).map_or("", |token| token.text.as_str())
    }

    /// Words of the trade, without those that only say that something was put right.
    pub(super) fn matter_of(&self, id: &str) -> String {
        let shape = self.shape();
        let words = self.trade_of(&self.matter_without(id, &shape.taken));
        let cure = |word: &&str| {
            work(word).is_some_and(|(_, deed)| matches!(deed, Some(Deed::Cure | Deed::Fault)))
        };
        let kept = words.split_whitespace().filter(|word| !cure(word) && *word != "not");
        kept.collect::<Vec<_>>().join(" ")
    }

    /// What is asked of the complaint that is being looked into: earlier faults that showed its
    /// signs on its unit, and never a new diagnosis.
    fn of_the_case(&self) -> Option<Interpretation> {
        let case = self.question.case.as_ref()?;
        let tokens = &self.spoken.tokens;
        let text: Vec<&str> = tokens.iter().map(|token| token.text.as_str()).collect();
        let had = HAD.iter().any(|words| {
            let mut rest = text.iter();
            words.iter().all(|word| rest.any(|one| one == word))
        });
        let last_time = text.windows(2).any(|pair| pair == ["last", "time"]);
        let first = self.first_word();
        let history = self.says(&["history"]) && self.points(&["this", "that", "it"]);
        let had = had || history;
        let asks = history || (last_time && self.ends_in_a_tag()) || ASKS.contains(&first) || matches!(first, "what" | "whats" | "who" | "how" | "when");
        let held = self.says(&["hold", "held", "last", "work"]) && ASKS.contains(&first);
        let often = any_said_at(tokens, self.at_first(), &["how often", "how many times"]).is_some();
        let free = self.question.asked.is_none();
        // "What was it in October".
        let periods = self.shape().periods;
        let then = !periods.is_empty() && first.starts_with("what") && self.says(&["was", "were"])
            && self.points(&["it", "that"]);
        let asked = match () {
            () if had && asks => Single::History,
            () if !free || !asks => return None,
            () if first == "who" && self.says(&["last", "before", "mended", "fixed"]) => Single::Last,
            () if first == "when" && self.says(&["last"]) => Single::Last,
            () if last_time || then => Single::Cured,
            () if held && self.says(&["it", "that"]) => Single::Held,
            () if often => Single::Count,
            () => return None,
        };
        if !self.matter_of("cured").is_empty() || !self.gives_no_number() {
            return None;
        }
        let findings = self.signs_in(&case.complaint);
        let named = self.machines_asked_about();
        let subject = case.unit.clone().or_else(|| self.question.shop.spoken_of.clone());
        let subjects = if named.is_empty() { subject.into_iter().collect() } else { named };
        let words = if findings.is_empty() { "faults".to_owned() } else { String::new() };
        let mut past = Past { findings, subjects, words, ..self.blank(asked) };
        past.put_in(&periods);
        Some(self.told_past(past))
    }

    /// The signs of a fault that words tell, but not where.
    pub(super) fn signs_in(&self, words: &str) -> Vec<String> {
        let ear = &self.knowledge.ear;
        let heard = ear.hear(&ear.read(words)).heard;
        let told = heard.into_iter().filter(|one| one.present && !one.implied);
        told.map(|one| one.finding).filter(|id| !EXTENT.contains(&id.as_str())).collect()
    }

    pub(super) fn blank(&self, asked: Single) -> Past {
        Past {
            asked,
            subjects: Vec::new(),
            words: String::new(),
            start: None,
            end: None,
            people: Vec::new(),
            spans: Vec::new(),
            by: None,
            passed_over: 0,
            findings: Vec::new(),
            told: Vec::new(),
            of_told: false,
        }
    }

    /// A question of some work, machines and days.
    pub(super) fn told_of(
        &self,
        asked: Single,
        words: String,
        subjects: Vec<SubjectName>,
        periods: &[Period],
    ) -> Interpretation {
        let mut past = Past { words, subjects, ..self.blank(asked) };
        past.put_in(periods);
        self.told_past(past)
    }

    /// "Has the streaking come back since we fixed it", "is the squeal back on walker 1".
    fn asked_back(&self) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
        let first = self.first_word();
        // What is so now may have to stop now.
        let of_now = self.heard.danger.stop.is_some() && !matches!(first, "did" | "has" | "have");
        let measured = self.spoken.quantities.iter().any(|one| one.unit.is_some());
        if !ASKS.contains(&first) || measured || of_now {
            return None;
        }
        let back = (1..tokens.len()).any(|at| {
            word(at) == "back" && !BEFORE_NOT_BACK.contains(&word(at - 1))
                && (at + 1 == tokens.len() || word(at + 1) == "?" || BEHIND_BACK.contains(&word(at + 1)))
        });
        if !(back || self.says(RETURNED)) {
            return None;
        }
        // What came back may have any name: "the streaking".
        let said = self.matter_without("held", &self.shape().taken);
        let cure = |word: &&str| {
            work(word).is_some_and(|(_, deed)| matches!(deed, Some(Deed::Cure | Deed::Fault)))
        };
        let words = said.split_whitespace().filter(|word| !cure(word) && *word != "not");
        let words = words.collect::<Vec<_>>().join(" ");
        let subjects = self.meant_here();
        if words.is_empty() {
            return None;
        }
        Some(self.told_past(Past { words, subjects, ..self.blank(Single::Held) }))
    }

    /// "Bearings on 2 was changed wasn't it": the last of such work.
    fn with_a_tag(&self) -> Option<Interpretation> {
        let words = self.matter_of("last");
        let deed = words.split_whitespace().any(|word| {
            work(word).is_some_and(|(_, deed)| deed.is_some())
        });
        if !self.ends_in_a_tag() || !deed {
            return None;
        }
        let subjects = self.meant_here();
        let shape = self.shape();
        let mut past = Past { words, subjects, ..self.blank(Single::Last) };
        past.people.clone_from(&shape.people);
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// "..., wasn't it".
    fn ends_in_a_tag(&self) -> bool {
        let plain: String = self
            .question
            .text
            .to_lowercase()
            .chars()
            .filter(|ch| ch.is_alphanumeric() || ch.is_whitespace())
            .collect();
        let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
        TAGS.iter().any(|tag| plain.ends_with(tag))
    }

    /// "Did bench two ever finish the groomer", with a person of the shop right behind the first
    /// word: it asks, and tells of no work.
    fn did_he(&self) -> Option<Interpretation> {
        let at = self.at_first();
        let first = self.spoken.tokens.get(at).map_or("", |token| token.text.as_str());
        let shape = self.shape();
        let behind = shape.taken.iter().any(|(start, _)| *start == at + 1);
        let asks = matches!(first, "did" | "has" | "have" | "does");
        if !asks || shape.people.len() != 1 || !behind {
            return None;
        }
        let words = self.trade_of(&self.matter_without("last", &shape.taken));
        let asked = if words.is_empty() { Single::History } else { Single::Last };
        let subjects = self.meant_here();
        let mut past = Past { words, subjects, ..self.blank(asked) };
        past.people.clone_from(&shape.people);
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// What is named, by a bare number too where its machine was spoken of.
    pub(super) fn meant_here(&self) -> Vec<SubjectName> {
        let named = self.machines_asked_about();
        let known = |name: &SubjectName| name.kind() != SubjectKind::Site;
        if named.iter().any(known) {
            return named;
        }
        let number = self.spoken.tokens.iter().filter(|token| token.kind == Kind::Number);
        let unit = number.filter_map(|token| self.unit_numbered(&token.text)).next();
        unit.or_else(|| self.pointed_at()).into_iter().collect()
    }

    /// The unit of this number on the machine that was spoken of.
    pub(super) fn unit_numbered(&self, number: &str) -> Option<SubjectName> {
        let shop = self.question.shop;
        shop.unit(&shop.machine_spoken_of()?, number).map(|known| known.name.clone())
    }

    /// "Compare the two walkers": what each did and needed, side by side.
    fn compared(&self) -> Option<Interpretation> {
        if !self.says(COMPARE) || !self.matter_of("summary").is_empty() {
            return None;
        }
        let tokens = &self.spoken.tokens;
        let shape = self.shape();
        if shape.people.len() > 1 {
            let mut past = self.blank(Single::Labour);
            past.people.clone_from(&shape.people);
            past.put_in(&shape.periods);
            return Some(self.told_past(past));
        }
        let machines = self.machines_asked_about();
        let machines: Vec<SubjectName> =
            machines.into_iter().filter(|name| name.kind() != SubjectKind::Area).collect();
        let hours = self.says(&["hours", "hrs", "meter", "meters"]);
        let mut past = self.blank(if hours { Single::Hours } else { Single::Summary });
        past.put_in(&shape.periods);
        if !hours && past.start.is_none() && past.spans.is_empty() {
            past.put_in(&self.this_season());
        }
        if machines.len() > 1 {
            past.subjects = machines;
            return Some(self.told_past(past));
        }
        if self.question.asked.is_some() {
            return None;
        }
        let (only, word) = match machines.first() {
            Some(only) if self.says(&["two", "both", "three"]) => (only.clone(), None),
            _ => nicknames::only_of_a_plural(tokens, self.question.shop)
                .map(|(name, word)| (name, Some(word)))?,
        };
        past.subjects = vec![only];
        let mut told = self.told_past(past);
        let word = word.map_or_else(|| "such machine".to_owned(), |word| format!("\"{word}\""));
        told.understood = format!("The shop has one {word} only. {}", told.understood);
        Some(told)
    }

    /// "Only the things that cannot wait", "which job first": what is overdue, and nothing else.
    fn pressing(&self) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let text: Vec<&str> = tokens.iter().map(|token| token.text.as_str()).collect();
        let waits = text.windows(2).any(|pair| pair == ["not", "wait"]);
        // "What made the first one go" asks after what was.
        let of_jobs = self.says(OF_JOBS);
        let was = self.says(&["made", "caused", "went", "had"]);
        let before = self.question.asked.as_ref();
        let of_due = matches!(before, Some(Before::Whole(one)) if one.part == Part::Due);
        let first = self.says(&["first"]) && !was
            && self.says(&["which", "what", "whats"])
            && (self.says(&["job", "jobs", "one", "ones"])
                || (of_due && self.says(&["should", "do", "start"]))
                || text.windows(3).any(|three| {
                    matches!(three, ["should" | "do" | "to" | "must", "i" | "we" | "do", _])
                        && self.says(&["do", "start"])
                }));
        let start = text.windows(3).any(|three| {
            three[0] == "where" && matches!(three[1], "do" | "should") && self.says(&["start"])
        });
        let now = of_due && self.says(&["now", "due"]) && self.says(&["just", "only", "ones"]);
        let presses = ((self.says(PRESSING) || waits) && of_jobs) || now;
        // "Only the ... ones" sounds like one unit alone.
        let signs = self.heard.proof.findings == 0 || self.says(PRESSING);
        let plain = signs && self.gives_no_number();
        let small = tokens.len() <= WORDS_MAX / 2 && self.parts_named("").is_empty();
        if !(presses || first || start) || !plain || !small || self.says(&["open", "faults"]) {
            return None;
        }
        let subject = self.meant_here().into_iter().find(|name| name.kind() != SubjectKind::Area);
        let (part, machine, start, end) = (Part::Due, None, None, None);
        let (within_h, words) = (Some(0.0), String::new());
        let others = Vec::new();
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        Some(self.told_whole(asked, None))
    }

    /// "Should I worry that 2.9 seconds is nearly the limit": held against what is good.
    pub(super) fn of_a_stop(&self) -> Option<Interpretation> {
        // "The blade stop times".
        let timed = self.spoken.texts().windows(2).any(|pair| {
            matches!(pair, ["stop" | "stopping", "time" | "times" | "reading" | "readings"])
        });
        const TREND: &[&str] = &[
            "longer", "shorter", "worse", "better", "slower", "quicker", "changed", "changing", "trend", "rising",
            "creeping", "drifting", "increasing", "increased", "dropping", "history",
        ];
        let trend = self.says(TREND) && matches!(self.first_word(), "has" | "have" | "is" | "are");
        let stops = timed || self.says(&["brake", "brakes", "stopping"]) && (trend || self.says(&[
            "reading", "readings", "test", "tests", "results", "result", "checked", "check", "times",
        ]));
        let told = self.heard.proof.told || self.heard.proof.deed;
        // "It does not stop now" is a fault, whatever is asked with it.
        let ails = trend && self.says(&["doesn't", "doesnt", "won't", "wont", "not", "cant", "can't"]);
        if stops && !told && !ails && self.gives_no_number() && self.question.case.is_none() {
            let (words, subjects) = ("brake".to_owned(), self.meant_here());
            let all = self.says(&["times", "readings", "results"]) && !self.says(&["last", "latest"]);
            // "Has stop time been getting longer": one reading after the other.
            let all = all || self.says(TREND);
            let asked = if all { Single::History } else { Single::Last };
            let mut past = Past { words, subjects, ..self.blank(asked) };
            past.put_in(&self.shape().periods);
            return Some(self.told_past(past));
        }
        let [only] = &self.spoken.quantities[..] else { return None };
        let worries = self.says(&["worry", "worried", "limit", "near", "nearly", "close", "too"]);
        let seconds = only.unit == Some("s") && worries && self.heard.proof.question;
        let query = format!("{} rotary blades stop", only.value);
        seconds.then(|| Interpretation {
            understood: format!("Hold {} s against what is good.", only.value),
            ..self.asked_of_knowledge(Form::Judge, query)
        })
    }

    /// "Are we spending more time on it than last year", "is the tees mower costing us more than the
    /// triplex": both sides of it.
    fn more_than(&self) -> Option<Interpretation> {
        let more = self.says(&[
            "more", "less", "fewer", "better", "worse", "higher", "lower", "longer", "oftener",
        ]);
        let shape = self.shape();
        let subjects = self.meant_here();
        let machines = subjects.iter().filter(|name| name.kind() != SubjectKind::Area).count();
        // "More or less than last season" leans on what was asked before.
        let named = !self.machines_asked_about().is_empty();
        let leans = self.question.asked.is_some() && !named;
        let leans = leans && self.spoken.words.len() <= LEANING_MAX;
        if !(self.says(&["than"]) && more) || leans || !self.gives_no_number() {
            return None;
        }
        let time = self.says(&[
            "time", "hours", "hrs", "spending", "spend", "spent", "costing", "cost", "costs", "work",
            "labour",
        ]);
        let words = self.trade_of(&self.matter_without("count", &shape.taken));
        let words: Vec<&str> =
            words.split_whitespace().filter(|word| !OF_COST.contains(word)).collect();
        let words = words.join(" ");
        let asked = match () {
            () if self.says(&["higher", "lower"]) && words.is_empty() => Single::Height,
            () if time => Single::Labour,
            () => Single::Count,
        };
        let faults = asked == Single::Count && words.is_empty();
        let words = if faults { "faults".to_owned() } else { words };
        let mut past = Past { words, subjects, ..self.blank(asked) };
        past.people.clone_from(&shape.people);
        match &shape.periods[..] {
            [only] => {
                let said = &self.spoken.tokens[only.first..=only.last];
                let said: Vec<&str> = said.iter().map(|token| token.text.as_str()).collect();
                // "This year than last", "than last year", "than in spring".
                let other = match (said.contains(&"this"), said.contains(&"last")) {
                    (true, _) => self.periods_in(&said.join(" ").replace("this", "last")),
                    (_, true) => self.periods_in(&said.join(" ").replace("last", "this")),
                    (false, false) => self.this_season(),
                };
                let mut both: Vec<Period> = other.into_iter().take(1).collect();
                let at = if said.contains(&"this") { 0 } else { both.len() };
                both.insert(at, only.clone());
                past.put_in(&both);
            }
            [] if machines > 1 || shape.people.len() > 1 => {}
            several if several.len() > 1 => {
                past.put_in(several);
            }
            _ => return None,
        }
        Some(self.told_past(past))
    }

    /// "Have the bedknives been done on the walkers": when they were changed last.
    fn been_done(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let words = self.matter_of("last");
        let known = |word: &str| {
            Family::of(word).is_some() || work(word).is_some()
        };
        let parts = words.split_whitespace().any(known);
        let been = self.says(&["been"]) && matches!(first, "has" | "have" | "was" | "were");
        let done = self.says(&["done"]) && words.split_whitespace().all(known);
        let ails = self.heard.danger.stop.is_some() || self.question.case.is_some();
        if !ASKS.contains(&first) || !(done || been) || !parts || ails {
            return None;
        }
        let subjects = self.meant_here();
        let words = with_change(&self.with_what_was_done(words));
        Some(self.told_of(Single::Last, words, subjects, &self.shape().periods))
    }

    /// "Who normally does the belt".
    fn as_a_rule(&self) -> Option<Interpretation> {
        let words = self.matter_of("count");
        let most = self.says(&["most"]) && self.says(&["does", "do", "done", "did", "has"]);
        let hours = self.says(OF_COST) && !self.says(&["cost", "costs"]);
        let rule = self.says(AS_A_RULE) || (most && !hours);
        if !self.says(&["who", "whos"]) || !rule || words.is_empty() || !self.gives_no_number() {
            return None;
        }
        let words = with_change(&words);
        let subjects = self.meant_here();
        let by = Some(By::Person);
        let mut past = Past { words, subjects, by, ..self.blank(Single::Count) };
        past.put_in(&self.shape().periods);
        Some(self.told_past(past))
    }

    /// A name that is nobody's here: "did Dave", "by Kev". No figure of others may stand for it.
    pub(super) fn unknown_person(&self) -> Option<(usize, String)> {
        let said = tokens(self.question.text);
        let named = self.heard.named.spans();
        let ear = &self.knowledge.ear;
        let strange = |at: usize| {
            let token = &said[at];
            let letters = token.text.chars().count();
            let word = token.kind == Kind::Word && letters > NAME_MIN
                && token.text.chars().all(char::is_alphabetic);
            let small = [&token.stem, &token.text].iter().any(|one| ear.small_words.contains(*one));
            // "Did Kev put in": somebody who did something, however often the word is said.
            let did = said.get(at + 1).is_some_and(|next| OF_PEOPLE.contains(&next.text.as_str()));
            let written = self.question.text.get(token.start..).unwrap_or_default();
            let capital = token.start > 0 && written.starts_with(char::is_uppercase);
            let known = ear.common.contains(&token.stem) && !did && !capital;
            let people = EVERYBODY.contains(&token.text.as_str());
            let own = super::subjects::folded(&token.text).iter().any(|word| {
                self.question.shop.people.iter().any(|person| person.to_lowercase().contains(word))
            });
            let asking = matches!(token.text.as_str(), "not" | "never" | "anyone" | "anybody" | "someone" | "somebody"
                | "everyone" | "everybody" | "nobody" | "anything" | "something" | "that" | "this");
            word && !small && !known && !people && !own && !asking
                && self.trade_of(&token.text).is_empty()
        };
        let inside = |start: usize| {
            let tokens = &self.spoken.tokens;
            named.iter().any(|(first, last)| {
                tokens[*first].start <= start && start < tokens[*last].end
            })
        };
        let before = |at: usize| {
            let word = at.checked_sub(1).map_or("", |before| said[before].text.as_str());
            let did = said.get(at + 1).is_some_and(|next| OF_PEOPLE.contains(&next.text.as_str()));
            // "Had fewest faults": behind these somebody did something.
            // "By March" is a time, unless March did something.
            let time = word == "by" && is_time(&said[at].text);
            BEFORE_NAMES.contains(&word) && !time && (did || matches!(word, "did" | "by"))
        };
        let stranger = |at: &usize| before(*at) && strange(*at) && !inside(said[*at].start);
        let at = (0..said.len()).find(stranger)?;
        let start = said[at].start;
        let place = self.spoken.tokens.iter().position(|token| token.start == start)?;
        Some((place, said[at].text.clone()))
    }
}

/// Parts that are named with no work are those that were changed.
pub(super) fn with_change(words: &str) -> String {
    let part = |word: &str| Family::of(word).is_some();
    let bare = !words.is_empty() && words.split_whitespace().all(part);
    if bare { format!("{words} changed") } else { words.to_owned() }
}
