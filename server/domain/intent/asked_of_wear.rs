//! Which questions of hours, wear and life does their form alone tell: "which reel eats most", "how
//! long did each belt last", "how many hours did we put on the rotary in September", "how often should
//! we sharpen by our own figures", "how many grinds has it left", "when will the present one be due"?
//! Deliberately absent: the answers, and what only leans on a question before (`again`).

use jiff::ZonedDateTime;

use super::again::Before;
use super::asked_first::{is_time, with_change};
use super::fleet::{Asked, Part, id_and_told, topic_of};
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
pub const MOST_LEFT: &str = "most_left";
/// Longer words tell something of their own.
const WORDS_MAX: usize = 24;
/// Words between what needs it and the work: "needs to be ground".
const NEEDED_WORDS: usize = 4;
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

/// What says that a part is not only old.
const AILING: &[&str] = &[
    "wobbling", "wobbles", "loose", "cracked", "crack", "bent", "nicked", "chipped", "slipping", "smelling", "smells", "smoking",
    "hot", "noisy", "knocking", "vibrating", "shaking", "leaking", "frayed", "split", "broken", "torn", "missing", "its", "it's",
];

impl Reader<'_> {
    /// All of them, the surest first.
    pub(super) fn of_hours_and_wear(&self) -> Option<Interpretation> {
        let proof = &self.heard.proof;
        let stops = self.heard.danger.stop.is_some();
        if self.spoken.words.len() > WORDS_MAX || stops || self.question.case.is_some() {
            return None;
        }
        let asked = self.last_time_of().or_else(|| self.found_last_time());
        let asked = asked.or_else(|| self.report_of_a_time()).or_else(|| self.reels_by_a_day());
        let asked = asked.or_else(|| self.of_its_form_alone());
        if proof.is_sum() || !self.gives_no_number() {
            return asked;
        }
        let asked = asked.or_else(|| self.wears_quickest()).or_else(|| self.grinds_left());
        let asked = asked.or_else(|| self.one_more_grind()).or_else(|| self.dear_by_the_hour());
        let asked = asked.or_else(|| self.due_next()).or_else(|| self.lasted_so_long());
        asked.or_else(|| self.by_our_figures()).or_else(|| self.hours_of_machine())
    }

    /// What is asked in a form that nothing else has, whatever sentences like it ask.
    pub(super) fn of_its_form_alone(&self) -> Option<Interpretation> {
        if !self.gives_no_number() || self.question.case.is_some() {
            return None;
        }
        let asked = self.needed_now().or_else(|| self.since_the_work());
        let asked = asked.or_else(|| self.been_in());
        let asked = asked.or_else(|| self.most_left()).or_else(|| self.worn_out_when());
        asked.or_else(|| self.what_was_set())
    }

    /// The machine, unit or area that is named, else that of the question before, else what was
    /// spoken of.
    pub(super) fn meant_or_before(&self) -> Vec<SubjectName> {
        let named = self.meant_here();
        if !named.is_empty() {
            return named;
        }
        let before = self.subjects_before();
        let spoken = self.question.shop.spoken_of.iter();
        if before.is_empty() { spoken.cloned().collect() } else { before }
    }

    /// What the question before was asked of.
    fn subjects_before(&self) -> Vec<SubjectName> {
        match self.question.asked.as_ref() {
            Some(Before::Single(past)) => past.subjects.clone(),
            Some(Before::Whole(asked)) => {
                asked.subject.iter().chain(&asked.others).cloned().collect()
            }
            None => Vec::new(),
        }
    }

    /// Parts that are named, else those of the question before.
    fn parts_meant(&self) -> String {
        let part = |word: &&str| Family::of(word).is_some();
        let said = self.spoken.tokens.iter().map(|token| self.meant_by(token.text.as_str()));
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
        let subject = named.first().cloned();
        let others = named.split_off(named.len().min(1));
        let shape = self.shape();
        let period = shape.periods.first();
        let (start, end) =
            period.map_or((None, None), |period| (period.start.clone(), period.end.clone()));
        let (machine, within_h, words) = (None, None, String::new());
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        let topic = topic_of(topic, &asked);
        Interpretation { topic, ..self.told_whole(asked, period) }
    }

    /// "Report for October", "something for the boss on what we did in October": the time and parts
    /// spent then, and how that goes on paper.
    fn report_of_a_time(&self) -> Option<Interpretation> {
        const BOSS: &[&str] =
            &["superintendent", "boss", "manager", "committee", "chairman", "owner", "director", "board", "pro", "gm"];
        let shape = self.shape();
        let [period] = &shape.periods[..] else { return None };
        let over = period.start.as_ref().is_some_and(|start| *start <= self.question.now);
        let report = self.says(&["report", "reports", "summary", "writeup"]);
        let hand = self.says(BOSS) && self.says(&["hand", "show", "give", "something", "send", "paper"]);
        let other = self.says(&["faults", "fault", "heights", "height", "due", "worn", "wear", "hours", "remedies"]);
        let named = self.trade_of(&self.matter_without("costs", &shape.taken));
        let work = named.split_whitespace().any(|word| {
            Family::of(word).is_some() || work(word).is_some_and(|(_, deed)| deed.is_some())
        });
        if !over || !(report || hand) || other || work || !shape.people.is_empty() {
            return None;
        }
        let mut told = self.report(Part::Costs, id_and_told(Part::Costs).0);
        let day = |time: &Option<ZonedDateTime>| time.as_ref().map(|time| time.date().to_string());
        let since = day(&period.start).map_or_else(String::new, |day| format!(" --since {day}"));
        let until = day(&period.end).map_or_else(String::new, |day| format!(" --until {day}"));
        told.understood.push_str(&format!(
            " To hand in: \"sward report fleet{since}{until} --format html --file report.html\"."
        ));
        Some(told)
    }

    /// "Can I get 14 reels ground by March": the order is that of what is due, and no look back.
    fn reels_by_a_day(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let can = words.windows(2).any(|pair| {
            matches!(pair[0], "can" | "could" | "will" | "should") && matches!(pair[1], "i" | "we" | "he" | "they" | "you")
        });
        let time = words.windows(2).any(|pair| matches!(pair[0], "by" | "before" | "until" | "till") && is_time(pair[1]))
            || (self.says(&["by", "before"]) && self.says(&["end"]) && words.iter().any(|word| is_time(word)));
        let ground = self.says(GRINDS) || self.says(&["ground", "reground", "sharpened"]);
        if !(can && time && ground && self.says(REELS)) {
            return None;
        }
        let mut told = self.told_due_of(Vec::new(), "grind");
        told.understood.push_str(
            " How long that takes is the number of reels times one grind: \"how long does a grind take us\" tells \
             it from the records, relief and setting are beside it.",
        );
        Some(told)
    }

    /// "What needs grinding", "which reels need a grind", "what has to be changed": work that is to
    /// be done, by the word for it.
    pub(super) fn asks_what_needs(&self) -> bool {
        let tokens = &self.spoken.tokens;
        let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
        let first = matches!(self.first_word(), "what" | "whats" | "which" | "anything" | "any" | "does" | "do");
        let deed = |at: &usize| {
            let deed = work(word(*at)).and_then(|(_, deed)| deed);
            matches!(deed, Some(Deed::Grind | Deed::Change))
        };
        let near = |at: usize| {
            let last = tokens.len().min(at + 1 + NEEDED_WORDS);
            (at + 1..last).any(|at| deed(&at))
        };
        let needs = |at: usize| match word(at) {
            "need" | "needs" => word(at + 1) != "to" || word(at + 2) == "be",
            "has" | "have" | "got" | "is" | "are" => word(at + 1) == "to" && word(at + 2) == "be",
            "due" => true,
            _ => false,
        };
        first && (0..tokens.len()).any(|at| needs(at) && near(at))
    }

    /// "How deep can you go in July": a rule, whatever month is named.
    pub(super) fn asks_for_a_rule(&self) -> bool {
        const SIZES: &[&str] = &[
            "deep", "low", "high", "tight", "close", "fine", "hard", "heavy", "fast", "wide", "shallow",
        ];
        let word = |at: usize| self.spoken.word(at);
        let people = matches!(word(3), "i" | "you" | "we" | "u" | "one" | "y'all" | "yall");
        word(0) == "how" && SIZES.contains(&word(1)) && people
            && matches!(word(2), "can" | "should" | "could" | "would" | "may" | "must")
    }

    /// "Which reel wears quickest", "how fast does each reel wear", "what eats most steel".
    fn wears_quickest(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let asks = matches!(first, "which" | "what" | "whats" | "how" | "rank" | "whose");
        let how = first != "how" || self.says(&["each", "our", "ours", "every", "reels", "all"]);
        let reels = self.says(REELS) || (self.says(&["wear", "wears", "wearing", "wore"])
            && !self.machines_asked_about().is_empty() && self.parts_named("").is_empty());
        let eats = reels && self.says(WEARS) && self.says(RANKS);
        let other = self.says(&["worn", "hours", "time", "left", "why", "take", "takes"]);
        (asks && how && eats && !other).then(|| self.report(Part::Wear, WEAR_RATE))
    }

    /// "How long has that bedknife been in", "how old is the belt": the hours since it was changed,
    /// whatever else of the unit wears.
    fn been_in(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let in_use = self.says(&["in", "on", "fitted", "there"])
            && words.windows(2).any(|pair| {
                pair[0] == "been" && matches!(pair[1], "in" | "on" | "fitted" | "there" | "running")
            });
        let how_long = words.windows(2).any(|pair| {
            matches!(pair, ["how", "long"] | ["how", "many"] | ["many", "hours"])
        });
        let old = words.windows(2).any(|pair| pair == ["how", "old"]);
        let parts = self.parts_meant();
        if !((in_use && how_long) || old) || parts.is_empty() {
            return None;
        }
        Some(self.hours_since(with_change(&parts)))
    }

    /// "Do I have to do the belt now", "do I need new ones" of a part that was told: what its
    /// forecast says, which is no fault.
    fn needed_now(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let first = matches!(self.first_word(), "do" | "does" | "should" | "must" | "shall" | "need");
        let needs = self.says(&["need", "needs", "must", "should", "shall"])
            || words.windows(2).any(|pair| matches!(pair, ["have" | "has" | "got", "to"]));
        let changes = self.says(&["change", "changing", "do", "replace", "replacing", "renew", "swap", "fit", "order", "new"]);
        let now = self.says(&["now", "yet", "already", "soon", "new", "straightaway", "today"]);
        // "Do I need new blades to cut at 4" asks for a reason.
        let other = self.says(&["why", "after", "if", "when", "every", "grind", "lap", "how", "all", "or"]);
        let ails = self.heard.proof.findings > 0 || self.heard.danger.hazard;
        let other = other || ails || self.tells_a_fault() || self.says(AILING);
        let parts = self.parts_meant();
        if !(first && needs && changes && now) || other || parts.is_empty() {
            return None;
        }
        let mut told = self.told_due_of(self.meant_or_before(), &parts);
        told.understood.push_str(
            " These are forecasts from the records: look at the part itself for wear before it is changed.",
        );
        Some(told)
    }

    fn hours_since(&self, words: String) -> Interpretation {
        let subjects = self.meant_or_before();
        let people = self.shape().people;
        self.told_past(Past { words, subjects, people, ..self.blank(Single::Hours) })
    }

    /// "How many since the grind": nothing is named that is counted, so hours are.
    fn since_the_work(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let bare = words.windows(2).any(|pair| {
            matches!(pair, ["many", "since"] | ["long", "since"] | ["hours", "since"] | ["hrs", "since"])
        });
        let named = self.trade_of(&self.matter_without("hours", &self.shape().taken));
        let done = named.split_whitespace().any(|word| {
            Family::of(word).is_some() || work(word).is_some_and(|(_, deed)| deed.is_some())
        });
        // Of a count what has been counted goes on.
        let before = self.question.asked.as_ref();
        let counted = matches!(before, Some(Before::Single(past)) if past.asked == Single::Count);
        let how = self.first_word() == "how" && self.shape().periods.is_empty();
        if !(bare && how && done) || counted {
            return None;
        }
        Some(self.hours_since(with_change(&named)))
    }

    /// "Which of them has longest left in it": the reels by the hours that they have left.
    fn most_left(&self) -> Option<Interpretation> {
        let which = matches!(self.first_word(), "which" | "what" | "whats" | "whose");
        let ranks = self.says(&["longest", "most", "least", "shortest"]) && self.says(&["left"]);
        let before = match self.question.asked.as_ref() {
            Some(Before::Whole(asked)) => asked.part == Part::Wear,
            Some(Before::Single(past)) => {
                past.words.split_whitespace().any(|word| {
                    REELS.contains(&word) || work(word).is_some_and(|(_, deed)| deed.is_some())
                })
            }
            None => false,
        };
        if !(which && ranks) || !(self.says(REELS) || before) || !self.parts_named("").is_empty() {
            return None;
        }
        let mut told = self.report(Part::Wear, MOST_LEFT);
        let super::Command::Fleet(asked) = &mut told.command else { return None };
        if asked.subject.is_none() && before {
            let all = self.subjects_before();
            let mut all = all.into_iter().filter(|name| name.kind() != SubjectKind::Area);
            (asked.subject, asked.others) = (all.next(), all.collect());
        }
        let asked = asked.clone();
        let topic = topic_of(MOST_LEFT, &asked);
        Some(Interpretation { topic, ..self.told_whole(asked, None) })
    }

    /// "When will it be scrap": how worn it is, and the hours left to the least diameter.
    fn worn_out_when(&self) -> Option<Interpretation> {
        let asks = matches!(self.first_word(), "when" | "whens" | "how");
        let words: Vec<&str> = self.spoken.texts();
        let out = words.windows(2).any(|pair| pair == ["worn", "out"]);
        let done = self.says(&["finished"]) && self.says(REELS);
        let scrap = self.says(&["scrap", "scrapped", "binned"]) || out || done;
        let will = self.says(&["will", "until", "till", "before"]);
        let subjects = self.meant_or_before();
        let machine = |name: &SubjectName| {
            matches!(name.kind(), SubjectKind::Machine | SubjectKind::Unit)
        };
        let subject = subjects.into_iter().find(machine);
        let parts = !self.parts_named("").is_empty();
        if !(asks && scrap && will) || parts {
            return None;
        }
        let (part, machine, start, end) = (Part::Wear, None, None, None);
        let (others, within_h, words) = (Vec::new(), None, String::new());
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        Some(self.told_whole(asked, None))
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
        let when = matches!(first, "when" | "whens") && self.says(&[
            "should", "will", "expect", "need", "needs", "must", "want", "wants", "due", "next", "is", "are",
        ]) && self.says(&[
            "change", "replace", "renew", "swap", "grind", "changing", "expect", "next", "again", "doing",
            "due",
        ]);
        // "Leave the bedknife, what is the belt about", of what is due.
        let before = self.question.asked.as_ref();
        let of_due = matches!(before, Some(Before::Whole(asked)) if asked.part == Part::Due);
        let leave = of_due && matches!(first, "leave" | "forget" | "skip" | "ignore" | "never");
        // "When is the next medal day" is nothing that is due here.
        let events = self.says(&[
            "competition", "comp", "medal", "match", "delivery", "meeting", "rain", "visit", "game", "mown",
            "mow", "mowed", "cut",
        ]);
        if !(until || when || leave) || events || self.says(&["did", "was", "were"]) {
            return None;
        }
        // Other work that is named is not that of before.
        let other = self.trade_of(&self.matter_without("due", &self.shape().taken));
        let own = |word: &str| work(word).is_some() || Family::of(word).is_some();
        if !other.split_whitespace().all(own) {
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
        let all = self.meant_or_before().into_iter().filter(machine).collect();
        Some(self.told_due_of(all, &words))
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
        let words = with_change(&self.with_what_was_done(words));
        Some(self.told_of(Single::Last, words, self.meant_here(), &[]))
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
