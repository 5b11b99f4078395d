//! Which questions of hours, wear and life does their form alone tell: "which reel eats most", "how
//! long did each belt last", "how many hours did we put on the rotary in September", "how often should
//! we sharpen by our own figures", "how many grinds has it left", "when will the present one be due"?
//! Deliberately absent: the answers, and what only leans on a question before (`again`).

use super::again::Before;
use super::asked_first::with_change;
use super::fleet::{Asked, Part};
use super::past::Past;
use super::{Interpretation, Reader};
use crate::domain::fleet::parts::Family;
use crate::domain::language::hearing::EXTENT;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::recall::Asked as Single;
use crate::domain::records::{SubjectKind, SubjectName};

/// Topics of reports that are put in another order.
pub const WEAR_RATE: &str = "wear_rate";
pub const COST_RATE: &str = "cost_rate";
/// Longer words tell something of their own.
const WORDS_MAX: usize = 24;
const REELS: &[&str] = &["reel", "reels", "cylinder", "cylinders", "steel", "diameter", "metal"];
const WEARS: &[&str] = &[
    "wear", "wears", "wearing", "wore", "eats", "eat", "eating", "loses", "lose", "losing", "goes",
    "shrinks", "shrinking",
];
const RANKS: &[&str] = &[
    "most", "quickest", "fastest", "slowest", "least", "worst", "quicker", "faster", "rate", "fast", "quick",
    "quickly",
];
const GRINDS: &[&str] = &["grind", "grinds", "regrind", "regrinds", "grinding", "grindings"];
/// Before these "last" is no verb.
const BEFORE_LAST: &[&str] =
    &["the", "our", "my", "a", "your", "was", "were", "it", "they", "we", "i", "he", "is", "blades"];
/// People's work, not the machine's hours.
const OF_PEOPLE: &[&str] = &[
    "spent", "spend", "spending", "went", "gone", "go", "work", "worked", "working", "labour", "labor",
    "time", "people", "into", "cost", "costs", "costing", "took", "take", "takes", "lost", "lose", "booked",
    "between", "left", "until", "till", "due", "overdue", "last", "lasted", "each", "per", "old",
    "should", "before", "every",
];
/// Of the hours of a machine these say nothing more.
const OF_RUNNING: &[&str] =
    &["hours", "hour", "put", "run", "ran", "runs", "running", "did", "do", "done", "clock", "clocked", "meter", "mow", "mowed"];
const OUR_FIGURES: &[&str] =
    &["own", "our", "ours", "figures", "records", "history", "numbers", "here", "log", "past"];

impl Reader<'_> {
    /// All of them, the surest first.
    pub(super) fn of_hours_and_wear(&self) -> Option<Interpretation> {
        let proof = &self.heard.proof;
        let stops = self.heard.danger.stop.is_some();
        if self.spoken.words.len() > WORDS_MAX || stops || self.question.case.is_some() {
            return None;
        }
        let asked = self.last_time_of().or_else(|| self.found_last_time());
        if proof.is_sum() || !self.gives_no_number() {
            return asked;
        }
        let asked = asked.or_else(|| self.wears_quickest()).or_else(|| self.grinds_left());
        let asked = asked.or_else(|| self.one_more_grind()).or_else(|| self.dear_by_the_hour());
        let asked = asked.or_else(|| self.due_next()).or_else(|| self.lasted_so_long());
        asked.or_else(|| self.by_our_figures()).or_else(|| self.hours_of_machine())
    }

    /// The machine, unit or area that is named, else that of the question before, else what was
    /// spoken of.
    fn meant_or_before(&self) -> Vec<SubjectName> {
        let named = self.meant_here();
        if !named.is_empty() {
            return named;
        }
        let before = match self.question.asked.as_ref() {
            Some(Before::Single(past)) => past.subjects.clone(),
            Some(Before::Whole(asked)) => asked.subject.iter().cloned().collect(),
            None => Vec::new(),
        };
        let spoken = self.question.shop.spoken_of.iter();
        if before.is_empty() { spoken.cloned().collect() } else { before }
    }

    /// Parts that are named, else those of the question before.
    fn parts_meant(&self) -> String {
        let part = |word: &&str| Family::of(word).is_some();
        let said = self.spoken.tokens.iter().map(|token| token.text.as_str());
        let named: Vec<&str> = said.filter(part).collect();
        if !named.is_empty() {
            return named.join(" ");
        }
        let before = match self.question.asked.as_ref() {
            Some(Before::Single(past)) => past.words.as_str(),
            Some(Before::Whole(asked)) => asked.words.as_str(),
            None => "",
        };
        before.split_whitespace().filter(part).collect::<Vec<_>>().join(" ")
    }

    fn report(&self, part: Part, topic: &str) -> Interpretation {
        let machine = |name: &SubjectName| {
            matches!(name.kind(), SubjectKind::Machine | SubjectKind::Unit)
        };
        let mut named = self.machines_asked_about();
        named.retain(machine);
        // Of several the whole shop's list tells all.
        let subject = named.first().filter(|_| named.len() == 1).cloned();
        let shape = self.shape();
        let period = shape.periods.first();
        let (start, end) =
            period.map_or((None, None), |period| (period.start.clone(), period.end.clone()));
        let (machine, within_h, words) = (None, None, String::new());
        let asked = Asked { part, subject, machine, start, end, within_h, words };
        Interpretation { topic: topic.to_owned(), ..self.told_whole(asked, period) }
    }

    /// "Which reel wears quickest", "how fast does each reel wear", "what eats most steel".
    fn wears_quickest(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let asks = matches!(first, "which" | "what" | "whats" | "how" | "rank" | "whose");
        let how = first != "how" || self.says(&["each", "our", "ours", "every", "reels", "all"]);
        let eats = self.says(REELS) && self.says(WEARS) && self.says(RANKS);
        let other = self.says(&["worn", "hours", "time", "left", "why", "take", "takes"]);
        (asks && how && eats && !other).then(|| self.report(Part::Wear, WEAR_RATE))
    }

    /// "How many grinds has the reel left".
    fn grinds_left(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let ends = matches!(words.last(), Some(&"left" | &"remaining" | &"yet" | &"more"));
        let many = words.windows(2).any(|pair| pair == ["how", "many"]);
        let more = self.says(&["more", "remain", "remaining"])
            || words.windows(2).any(|pair| {
                pair[0] == "left" && matches!(pair[1], "in" | "on" | "for" | "before" | "till")
            });
        if !(many && self.says(GRINDS) && (ends || more)) {
            return None;
        }
        let words = "grind".to_owned();
        Some(self.told_of(Single::Off, words, self.meant_or_before(), &[]))
    }

    /// "What would one more grind a year do to it": what a grind takes off it.
    fn one_more_grind(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let more = words.windows(2).any(|pair| {
            pair == ["one", "more"] || matches!(pair[0], "another" | "extra") && GRINDS.contains(&pair[1])
        });
        let asks = matches!(self.first_word(), "what" | "whats" | "how");
        if !(asks && more && self.says(GRINDS)) {
            return None;
        }
        let words = "grind".to_owned();
        Some(self.told_of(Single::Off, words, self.meant_or_before(), &[]))
    }

    /// "Which machine cost us the most work per hour it ran".
    fn dear_by_the_hour(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let per = words.windows(2).any(|pair| {
            matches!(pair[0], "per" | "each" | "every" | "an" | "by") && matches!(pair[1], "hour" | "running")
        });
        let work = self.says(&["work", "labour", "labor", "cost", "costs", "minutes", "time", "repair"]);
        let which = self.says(&["which", "what", "machine", "machines", "mower", "each", "rank"]);
        (per && work && which && self.says(&["ran", "run", "runs", "running", "machine", "use", "used"]))
            .then(|| self.report(Part::Costs, COST_RATE))
    }

    /// "How long till the next one on 1", "when should we expect to change the present one".
    fn due_next(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let until = self.says(&["till", "until"]) && self.says(&["next", "again", "due"])
            && self.says(&["how", "long", "hours", "many"]);
        let when = first == "when" && self.says(&["should", "will", "expect", "need", "needs", "must"])
            && self.says(&["change", "replace", "renew", "swap", "grind", "changing", "expect", "next"]);
        // "Leave the bedknife, what is the belt about", of what is due.
        let before = self.question.asked.as_ref();
        let of_due = matches!(before, Some(Before::Whole(asked)) if asked.part == Part::Due);
        let leave = of_due && matches!(first, "leave" | "forget" | "skip" | "ignore" | "never");
        if !(until || when || leave) || self.says(&["did", "was", "were"]) {
            return None;
        }
        let words = match self.question.text.rsplit_once(',').filter(|_| leave) {
            Some((_, behind)) => {
                let parts = behind.split_whitespace().map(|word| word.trim_matches('?'));
                parts.filter(|word| Family::of(word).is_some()).collect::<Vec<_>>().join(" ")
            }
            None => self.parts_or_grind(),
        };
        if words.is_empty() {
            return None;
        }
        let machine = |name: &SubjectName| {
            matches!(name.kind(), SubjectKind::Machine | SubjectKind::Unit)
        };
        let subject = self.meant_or_before().into_iter().find(machine);
        Some(self.told_due(subject, &words))
    }

    /// Parts or grinding, of these words or of the question before.
    fn parts_or_grind(&self) -> String {
        let said: Vec<&str> = self.spoken.tokens.iter().map(|token| token.text.as_str()).collect();
        let here = self.parts_named(&said.join(" "));
        if !here.is_empty() {
            return here;
        }
        match self.question.asked.as_ref() {
            Some(Before::Single(past)) => self.parts_named(&format!("{} ", past.words)),
            Some(Before::Whole(asked)) => asked.words.clone(),
            None => String::new(),
        }
    }

    /// "How long did each belt last", "did they last as long as the set before", "how many hours did
    /// the old one run", "is that longer than the others on that machine".
    fn lasted_so_long(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let verb = (1..words.len()).any(|at| {
            let behind = words.get(at + 1).copied().unwrap_or_default();
            let lasts = matches!(words[at], "last" | "lasts" | "lasted" | "lasting");
            let part = Family::of(words[at - 1]).is_some();
            let adjective = BEFORE_LAST.contains(&words[at - 1]) && !part;
            let adjective = adjective && !(words[at - 1] == "it" || words[at - 1] == "they");
            lasts && !adjective && !matches!(behind, "time" | "week" | "year" | "month" | "changed" | "done")
        });
        let how = self.says(&["how"]) && self.says(&["long", "many", "hours"]);
        let as_long = words.windows(2).any(|pair| pair == ["as", "long"]);
        let lasted = verb && (how || as_long);
        let old = self.says(&["old", "previous"])
            && self.says(&["one", "ones", "set", "belt", "bedknife", "blades"]);
        let had = self.says(&["had"]) && self.says(&["run", "done"]) && self.points(&["it", "they", "that"]);
        let ran = how && ((self.says(&["run", "ran", "do", "did"]) && old) || had);
        let apart = self.says(&["longer", "shorter", "better", "worse"])
            && self.says(&["others", "rest", "usual", "normal", "average"]);
        let parts = self.parts_meant();
        let took = self.says(&["take", "took", "takes", "job", "minutes"]);
        if !(lasted || ran || apart) || parts.is_empty() || took {
            return None;
        }
        let mut subjects = self.meant_or_before();
        if apart {
            let machine = |name: SubjectName| match name.kind() {
                SubjectKind::Unit => name.holder().unwrap_or(name),
                _ => name,
            };
            subjects = subjects.into_iter().map(machine).collect();
        }
        subjects.dedup();
        Some(self.told_of(Single::Life, with_change(&parts), subjects, &[]))
    }

    /// "How often should we sharpen the deck blades, going by our own figures".
    fn by_our_figures(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let often = words.windows(2).any(|pair| pair == ["how", "often"] || pair == ["what", "interval"]);
        let should = self.says(&["should", "ought", "must", "need", "want"]);
        if !(often && should && self.says(OUR_FIGURES)) {
            return None;
        }
        let said = self.trade_of(&self.matter_without("between", &self.shape().taken));
        let kept = said.split_whitespace().filter(|word| !OUR_FIGURES.contains(word));
        let kept: Vec<&str> = kept.collect();
        let deed = kept.iter().find_map(|word| work(word).and_then(|(_, deed)| deed))?;
        let asked = if deed == Deed::Change { Single::Life } else { Single::Between };
        Some(self.told_of(asked, kept.join(" "), self.meant_here(), &self.shape().periods))
    }

    /// "How many hours did we put on the fairway five in September": the machine's own, where no work
    /// is spoken of.
    fn hours_of_machine(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let hours = words.iter().take(5).any(|word| matches!(*word, "hours" | "hour" | "clocked"));
        let put_in = words.windows(2).any(|pair| pair == ["put", "in"] || pair == ["putting", "in"]);
        let shape = self.shape();
        let named = self.machines_asked_about();
        let machine = named.iter().any(|name| name.kind() == SubjectKind::Machine);
        let asks = self.says(&["how", "what", "whats", "total"])
            || (words.iter().take(2).any(|word| *word == "hours") && !shape.periods.is_empty());
        let matter = self.trade_of(&self.matter_without("hours", &shape.taken));
        let matter = matter.split_whitespace().any(|word| !OF_RUNNING.contains(&word));
        let told = self.heard.proof.told && !self.says(&["how"]);
        if !(hours && asks && machine) || put_in || told || self.says(OF_PEOPLE)
            || matter || !shape.people.is_empty()
        {
            return None;
        }
        Some(self.told_of(Single::Hours, String::new(), named, &shape.periods))
    }

    /// "Last time belt went on the rotary", with nothing else that asks.
    fn last_time_of(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let begins = matches!(words.get(..2), Some(["last", "time"] | ["when", "last"]));
        let depth = self.says(&["deep", "depth"]) && self.says(&["last"]) && self.says(&["did", "was", "were"]);
        if depth && self.gives_no_number() && !self.meant_here().is_empty() {
            return Some(self.told_of(Single::Last, "adjusted depth".to_owned(), self.meant_here(), &[]));
        }
        let asks = self.says(&["how", "what", "who", "why", "cost", "long"]);
        let words = self.trade_of(&self.matter_without("last", &self.shape().taken));
        let named = words.split_whitespace().any(|word| {
            Family::of(word).is_some() || work(word).is_some_and(|(_, deed)| deed.is_some())
        });
        if !begins || asks || !named || !self.gives_no_number() {
            return None;
        }
        Some(self.told_of(Single::Last, with_change(&words), self.meant_here(), &[]))
    }

    /// "What did we find on the walker the last time it squealed": the last fault with that sign.
    fn found_last_time(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let last = words.windows(2).any(|pair| pair == ["last", "time"]);
        let found = self.says(&["find", "found", "was", "wrong", "did"])
            && matches!(self.first_word(), "what" | "whats");
        if !(last && found) {
            return None;
        }
        let ear = &self.knowledge.ear;
        let behind = self.question.text.to_lowercase();
        let behind = behind.split_once("last time").map_or("", |(_, behind)| behind);
        let heard = ear.hear(&ear.read(behind)).heard;
        let findings = heard.into_iter().filter(|one| one.present && !one.implied);
        let findings: Vec<String> =
            findings.map(|one| one.finding).filter(|id| !EXTENT.contains(&id.as_str())).collect();
        if findings.is_empty() {
            return None;
        }
        let subjects = self.meant_or_before();
        Some(self.told_past(Past { findings, subjects, ..self.blank(Single::Last) }))
    }
}
