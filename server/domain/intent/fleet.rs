//! Is it a question to the records: what is due, how worn, what comes back, what held, what was
//! spent, the setting card, the heights of a season; or when something was last done, how often,
//! what cured it? Cue words and sentences like it tell, and both are added up.
//! Deliberately absent: the answers, which `domain::fleet` gives.

use jiff::ZonedDateTime;

use super::cues::{Cue, weight};
use super::due_by_day::hours_a_week;
use super::kind::CommandKind;
use super::never_told;
use super::past::Past;
use super::sounds::SURELY;
use super::periods::Period;
use super::{Command, Interpretation, Reader, understood};
use crate::domain::language::purpose::{ASKED, Purposes};
use crate::domain::language::scope::Scope;
use crate::domain::fleet::parts::Family;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::records::{SubjectKind, SubjectName};

/// The part of the records that is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    Due,
    Standing,
    Wear,
    Faults,
    Remedies,
    Costs,
    Card,
    Heights,
    /// Asked of single records.
    Single(Single),
}

/// Every part, its section in `knowledge/intent` (`fleet:` or `asked:`), and how it is told.
pub const PARTS: &[(Part, &str, &str)] = &[
    (Part::Due, "due", "List what is due"),
    (Part::Standing, "standing", "Report how things stand"),
    (Part::Wear, "wear", "Report how worn the reels are"),
    (Part::Faults, "faults", "Report which faults come back"),
    (Part::Remedies, "remedies", "Report which remedies held"),
    (Part::Costs, "costs", "Report the time and parts spent"),
    (Part::Card, "card", "Show the setting card"),
    (Part::Heights, "heights", "Plan the heights of the season"),
    (Part::Single(Single::Last), "last", "Look up when it was last"),
    (Part::Single(Single::Count), "count", "Count"),
    (Part::Single(Single::History), "history", "Look up what was done"),
    (Part::Single(Single::Cured), "cured", "Look up what cured"),
    (Part::Single(Single::Held), "held", "Look up whether it held"),
    (Part::Single(Single::Took), "took", "Look up how long it took"),
    (Part::Single(Single::Hours), "hours", "Look up the hours"),
    (Part::Single(Single::Height), "height", "Look up the height"),
    (Part::Single(Single::Never), "never", "Look up which never had"),
    (Part::Single(Single::Ready), "ready", "Look up what stands open"),
    (Part::Single(Single::Life), "life", "Look up how long they lasted"),
    (Part::Single(Single::Labour), "labour", "Add up the hours of work"),
    (Part::Single(Single::Between), "between", "Look up the hours from one time to the next"),
    (Part::Single(Single::Longest), "longest", "Look up which took longest"),
    (Part::Single(Single::Summary), "summary", "Sum up"),
    (Part::Single(Single::Order), "order", "List the parts to have at hand"),
];

/// Parts that are told by their form alone, so that no sentence has to be like them.
const BY_FORM: &[(Part, &str, &str)] = &[
    (Part::Single(Single::Nobody), "nobody", "Look up whether it is so that nobody did"),
    (Part::Single(Single::Off), "off", "Look up how much came off by"),
];

/// The id of a part, and how it is told. Every part has its row.
pub fn id_and_told(part: Part) -> (&'static str, &'static str) {
    let known = PARTS.iter().chain(BY_FORM).find(|(known, ..)| *known == part);
    known.map_or(("", "Report"), |(_, id, told)| (*id, *told))
}

/// A question to the records.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    pub part: Part,
    /// What it is about; none is the whole shop.
    pub subject: Option<SubjectName>,
    /// Those beside it, where several are meant.
    pub others: Vec<SubjectName>,
    /// The machine that mows the area, for a plan of heights.
    pub machine: Option<SubjectName>,
    pub start: Option<ZonedDateTime>,
    pub end: Option<ZonedDateTime>,
    /// Hours of the machine within which it is due.
    pub within_h: Option<f64>,
    /// Parts and work that are asked about of what is due.
    pub words: String,
}

/// From this chance on a question is one to the records, when nothing else is likelier. On 160
/// questions of an author left out it finds 142, and none among 505 complaints, records and sums.
const ASKED_MIN: f64 = 0.05;
/// From this weight on the words of asking are enough in what begins as a question does.
const ASKED_IN_FORM: u32 = 5;
/// The same for what is no question in form: "hours on the triplex".
const ASKED_UNASKED_MIN: f64 = 0.15;
/// The same for what tells of a fault or begins with work done: "lapped unit 2, or didn't he".
const ASKED_AS_TOLD_MIN: f64 = 0.9;
/// The same for what has no word that asks ("Card, unit 5"), when it gives no reading either.
const ASKED_WITHOUT_A_SIGN_MIN: f64 = 0.9;
/// The same for what sounds like nothing of ours.
const ASKED_OF_OTHERS_MIN: f64 = 0.98;
/// Words without which something was done.
const NEGATES: &[&str] =
    &["never", "not", "without", "longest", "skipped", "missed", "lacks", "lacking", "none", "yet"];
/// Words of what was not done.
const OF_NEVER: &[&str] = &[
    "never", "not", "without", "longest", "skipped", "missed", "lacks", "lacking", "none", "yet",
    "which",
];
/// Words of what things cost.
const OF_COST: &[&str] = &["cost", "costs", "costing", "spend", "spent", "spending", "hours", "hrs",
    "time", "money", "expensive", "dear", "labour"];
/// Forms of question that the records cannot answer, as `questions.txt` names them.
const OF_KNOWLEDGE: &[&str] =
    &["define", "use", "looks", "signs", "differ", "tools", "order", "good", "sheet", "quiz"];
/// Who tells something, as the first word.
const TELLERS: &[&str] = &["i", "we", "he", "she", "they", "just"];
/// From this weight on somebody wants a job or the catalogue shown (as in `kind`).
const A_JOB: u32 = 5;
/// What the weight of a cue counts beside the log odds of sentences like it (no source).
const CUE_WORTH: f64 = 0.4;

const WHICH_UNIT: &str = "say which unit, such as \"unit 2 of the greens triplex\"";
/// Said where it is asked what is due before a day.
const HOURS_NOT_DAYS: &str = "What is due is told in hours of the machines, not in days: say how many \
                              hours a week they run, and what falls before that day is picked out";
/// From this weight on the words are taken for a question to the records.
const SURE: u32 = 6;
/// From this weight on they are so even where they might be a search.
const BY_NAME: u32 = 9;

/// The likeliest part by its place in [`PARTS`].
pub fn likeliest(purposes: &Purposes, cues: &[Cue]) -> usize {
    let of = |(at, (_, id, _)): (usize, &(Part, &str, &str))| {
        let cued = weight(cues, "fleet", id).max(weight(cues, "asked", id));
        (at, purposes.lean(&format!("{ASKED}{id}")) + CUE_WORTH * f64::from(cued))
    };
    let all = PARTS.iter().enumerate().map(of);
    all.reduce(|best, one| if one.1 > best.1 { one } else { best }).map_or(0, |best| best.0)
}

/// Between a topic and the machines beside the first.
const SEVERAL: char = '@';
/// A word or two put right are no more (no source).
const PUT_RIGHT_WORDS_MAX: usize = 3;

impl Reader<'_> {
    pub(super) fn fleet(&self) -> Option<Interpretation> {
        // "Nope, seals": a word put right, and no question.
        let begins = matches!(self.spoken.word(0), "no" | "nope" | "nah" | "sorry");
        let put_right = begins && self.spoken.words.len() <= PUT_RIGHT_WORDS_MAX;
        if put_right || self.asks_how_to() || self.asks_for_a_rule() {
            return None;
        }
        let part = self.part()?;
        // "Swapped the hose, dry now" tells that it holds, and asks nothing.
        let told = self.heard.recorded.is_some() && !never_told::asks(self.spoken);
        (!told || part != Part::Single(Single::Held)).then(|| self.fleet_of(part)).flatten()
    }

    /// The question to this part of the records.
    pub(super) fn fleet_of(&self, part: Part) -> Option<Interpretation> {
        let part = self.rather(part).unwrap_or(part);
        let (id, told) = id_and_told(part);
        // What was never done has to be named, or asked after in some such word.
        let never = part == Part::Single(Single::Never);
        let matter = self.matter_without(id, &[]);
        let named = !self.trade_of(&matter).is_empty();
        let sure = self.heard.sounds.asked >= SURELY && !matter.is_empty();
        if never && !((named || sure) && self.says(OF_NEVER)) {
            return None;
        }
        let word = |at: usize| self.spoken.word(at);
        let had = word(0) == "which" && matches!(word(2), "had" | "have" | "has");
        let had = had && part == Part::Wear;
        if (never || had) && !self.says(NEGATES) {
            // "Which units have had a blunt reel": those that had it.
            return Some(self.which_had());
        }
        if let Part::Single(asked) = part {
            return Some(self.past(asked, id, told));
        }
        let named = &self.heard.named;
        let machine = named.machines.iter().find(|mention| mention.known);
        let machine = machine.map(|mention| mention.name.clone());
        let machine = machine.or_else(|| self.question.shop.machine_spoken_of());
        let area = named.areas.iter().find(|mention| mention.known);
        let known = match part {
            Part::Heights => area.map(|mention| mention.name.clone()),
            _ => {
                let own = named.subject().filter(|name| name.kind() != SubjectKind::Area).cloned();
                let meant = self.machines_asked_about().into_iter();
                own.or_else(|| meant.filter(|name| name.kind() != SubjectKind::Area).next())
            }
        };
        let subject = known.or_else(|| self.meant_before(part));
        // "What is that against 3.2 mm height" goes on with the sum.
        let sum = self.question.previous.is_some() && !self.spoken.quantities.is_empty();
        if part == Part::Heights && subject.is_none() && sum {
            return None;
        }
        let period = self.period();
        let (start, end) = match &period {
            Some(period) if reports(part) => (period.start.clone(), period.end.clone()),
            _ => (None, None),
        };
        let (within_h, words) = (self.within_h(), String::new());
        let mut others = self.machines_asked_about();
        let several = part != Part::Heights && subject.is_some();
        others.retain(|name| {
            several && name.kind() != SubjectKind::Area && Some(name) != subject.as_ref()
        });
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        Some(self.told_whole(asked, period.as_ref()))
    }

    /// Parts and grinding that are named of what is due.
    /// In these words, else in those that were said.
    pub(super) fn parts_named(&self, words: &str) -> String {
        let words = match words {
            "" => self.matter_without("due", &[]),
            words => words.to_owned(),
        };
        let named = words.split_whitespace().filter_map(|word| match Family::of(word) {
            Some(_) => Some(word.to_owned()),
            // As the jobs are titled.
            None => (work(word)?.1 == Some(Deed::Grind)).then(|| "grind".to_owned()),
        });
        named.collect::<Vec<_>>().join(" ")
    }

    /// What is asked where the likeliest part cannot be meant.
    fn rather(&self, part: Part) -> Option<Part> {
        let says = |words: &[&str]| {
            self.spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
        };
        match part {
            // "What all needs grinding this winter": what is to come, whatever season is named.
            Part::Wear
            | Part::Single(Single::History | Single::Last | Single::Cured | Single::Summary)
                if self.asks_what_needs() =>
            {
                Some(Part::Due)
            }
            // "What needed grinding last winter" was done then.
            Part::Due if says(&["needed"]) && self.begun_before() => {
                Some(Part::Single(Single::History))
            }
            // "Who set the groomer, and to what depth": what was done, and not how it should be.
            Part::Card
                if matches!(self.first_word(), "who" | "when" | "whos" | "whens")
                    && !says(&["should", "do", "ask"]) =>
            {
                Some(Part::Single(Single::Last))
            }
            // A reel wears away and is not changed like a part.
            Part::Single(Single::Life) if self.asks_of_reels() => Some(Part::Wear),
            Part::Single(Single::Height) if says(&["did"]) && says(&["do"]) => {
                Some(Part::Single(Single::Cured))
            }
            // "What did bench two do in October": all of it.
            Part::Single(Single::Cured)
                if says(&["did"]) && says(&["do"]) && !self.shape().people.is_empty()
                    && self.trade_of(&self.matter_without("cured", &self.shape().taken)).is_empty() =>
            {
                Some(Part::Single(Single::History))
            }
            Part::Single(Single::History) if self.asks_the_matter() => {
                Some(Part::Single(Single::Cured))
            }
            // "What was wrong with it last time": that time.
            Part::Single(Single::Cured)
                if says(&["wrong"]) && says(&["last"]) && says(&["time", "when"]) =>
            {
                Some(Part::Single(Single::Last))
            }
            // "What height were the greens in June" asks after what was read.
            Part::Heights if says(&["was", "were"]) || self.looks_back() => {
                Some(Part::Single(Single::Height))
            }
            // Hours that people put in are none of the machine.
            Part::Single(Single::Hours) if self.are_hours_of_people() => {
                Some(Part::Single(Single::Labour))
            }
            Part::Single(Single::Hours)
                if says(&["we", "i", "they", "you", "people"])
                    && says(&["put", "spend", "spent", "work", "worked", "book", "booked", "lose",
                        "lost", "waste", "wasted"]) =>
            {
                Some(Part::Single(Single::Labour))
            }
            Part::Standing if self.machines_asked_about().len() > 1 => {
                Some(Part::Single(Single::Summary))
            }
            Part::Costs if self.machines_asked_about().len() > 1 => {
                Some(Part::Single(Single::Labour))
            }
            // What one man did is no report of the shop.
            Part::Costs if !self.shape().people.is_empty() => Some(Part::Single(Single::Labour)),
            Part::Standing | Part::Faults | Part::Remedies if !self.shape().people.is_empty() => {
                Some(Part::Single(Single::History))
            }
            Part::Costs if says(&["parts", "spares"]) && says(&["what", "which", "whats"]) => {
                Some(Part::Single(Single::History))
            }
            // "What have we done on the groomers": no report of the shop.
            Part::Costs | Part::Standing
                if says(&["done", "did", "do"]) && says(&["what", "whats"]) && !says(OF_COST)
                    && !self.kinds_named().is_empty() =>
            {
                Some(Part::Single(Single::History))
            }
            // What was spent on a part: how many, and the hours; prices are not kept.
            Part::Costs if !self.parts_named("").is_empty() => Some(Part::Single(Single::Labour)),
            // What nobody named cannot be lacking.
            Part::Single(Single::Never) if self.matter_without("never", &[]).is_empty() => {
                Some(Part::Single(Single::History))
            }
            _ => None,
        }
    }

    /// "What was the matter with it in October": its faults, and not all that was done.
    fn asks_the_matter(&self) -> bool {
        let first = matches!(self.first_word(), "what" | "whats");
        first && self.says(&["matter", "wrong"]) && self.says(&["was", "were"])
    }

    /// No meter knows who worked; since he did it are hours of the machine.
    pub(super) fn are_hours_of_people(&self) -> bool {
        let shape = self.shape();
        let since = self.says(&["since"]) && shape.periods.is_empty();
        !shape.people.is_empty() && !since && !self.says(&["run", "ran"])
    }

    /// "How do I set the height with a gauge bar": a job, and not how it was set.
    pub(super) fn asks_how_to(&self) -> bool {
        let word = |at: usize| self.spoken.word(at);
        let asks = word(0) == "how" && matches!(word(1), "do" | "would" | "should" | "can");
        let stands = matches!(
            word(3),
            "stand" | "compare" | "do" | "know" | "fare" | "look" | "work" | "calculate" | "figure"
        );
        asks && matches!(word(2), "i" | "you" | "we" | "u" | "one") && !stands
    }

    /// Which had it, and how often each.
    fn which_had(&self) -> Interpretation {
        let shape = self.shape();
        let said = self.matter_without("count", &shape.taken);
        let noun = |word: &&str| matches!(*word, "unit" | "units" | "machine" | "machines" | "not");
        let words: Vec<&str> = said.split_whitespace().filter(|word| !noun(word)).collect();
        let words = words.join(" ");
        let machines = self.says(&["machine", "machines", "mower", "mowers"]);
        let mut past = Past { words, subjects: self.meant_here(), ..self.blank(Single::Count) };
        past.by = Some(if machines { By::Machine } else { By::Unit });
        past.put_in(&shape.periods);
        self.told_past(past)
    }

    /// Words for kinds of equipment of which a machine may have several: "the groomers".
    fn kinds_named(&self) -> Vec<&str> {
        const KINDS: &[&str] = &[
            "groomer", "groomers", "brush", "brushes", "reel", "reels", "deck", "decks", "verticut",
            "verticuts", "roller", "rollers",
        ];
        let said = self.spoken.tokens.iter().map(|token| token.text.as_str());
        said.filter(|word| KINDS.contains(word)).collect()
    }

    /// A time is named that has begun.
    fn begun_before(&self) -> bool {
        let begun = self.period().and_then(|period| period.start);
        begun.is_some_and(|start| start < self.question.now)
    }

    /// "Over the summer", which lies behind, on a machine that is named.
    fn looks_back(&self) -> bool {
        self.begun_before() && self.named_here().iter().any(|name| name.kind() != SubjectKind::Area)
    }

    /// What is due of a part, or of the work and parts that these words name.
    pub(super) fn told_due(&self, subject: Option<SubjectName>, words: &str) -> Interpretation {
        self.told_due_of(subject.into_iter().collect(), words)
    }

    /// The same of several machines or units.
    pub(super) fn told_due_of(&self, all: Vec<SubjectName>, words: &str) -> Interpretation {
        let mut all = all.into_iter();
        let (subject, others): (_, Vec<SubjectName>) = (all.next(), all.collect());
        let (part, machine, start, end, within_h) = (Part::Due, None, None, None, None);
        // As the jobs are titled: "change the bedknife".
        let named = self.parts_named(words).replace("bedknives", Family::Bedknife.id());
        let words = named.clone();
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        let topic = topic_of(&format!("due:{named}"), &asked);
        let mut told = self.told_whole(asked, None);
        if !named.is_empty() {
            told.topic = topic;
        }
        told
    }

    /// "This week", "in December", "by the weekend".
    fn says_days_ahead(&self) -> bool {
        let next = self.spoken.tokens.windows(2).any(|pair| {
            pair[0].text == "next"
                && matches!(pair[1].text.as_str(), "week" | "month" | "season" | "year")
        });
        self.period().is_some() || next || self.says(&["tomorrow", "weekend", "easter", "christmas"])
    }

    /// The only thing it asks after is a reel.
    fn asks_of_reels(&self) -> bool {
        let words = self.trade_of(&self.matter_without("life", &[]));
        let mut words = words.split_whitespace().peekable();
        let reel = |word| matches!(word, "reel" | "reels" | "cylinder" | "cylinders");
        words.peek().is_some() && words.all(reel)
    }

    /// The question with what it lacks.
    pub(super) fn told_whole(&self, asked: Asked, period: Option<&Period>) -> Interpretation {
        let (part, subject) = (asked.part, &asked.subject);
        let (id, told) = id_and_told(part);
        let of = match subject {
            None => ", for the whole shop".to_owned(),
            Some(name) => {
                let all = [name].into_iter().chain(&asked.others).map(understood::short);
                format!(", for {}", all.collect::<Vec<_>>().join(" and "))
            }
        };
        let is_unit = |name: &SubjectName| name.kind() == SubjectKind::Unit;
        let missing = match (part, subject) {
            (Part::Card, name) if !name.as_ref().is_some_and(is_unit) => vec![("name", WHICH_UNIT)],
            (Part::Heights, None) => vec![("name", "say which area, such as \"6 green\"")],
            _ => Vec::new(),
        };
        let when = period.filter(|_| reports(part));
        let when = when.map_or_else(String::new, |period| format!(", {}", period.told()));
        let of = if missing.is_empty() { of } else { String::new() };
        let named = if part == Part::Due { self.parts_named("") } else { String::new() };
        let topic = if named.is_empty() { id.to_owned() } else { format!("{id}:{named}") };
        let topic = topic_of(&topic, &asked);
        // Days pick nothing out of what is told in hours.
        let days = part == Part::Due && asked.within_h.is_none() && self.says_days_ahead()
            && hours_a_week(self.question.text).is_none();
        let of = if days { format!("{of}. {HOURS_NOT_DAYS}") } else { of };
        let by_day = self.told_by_the_day().filter(|_| part == Part::Due);
        let of = by_day.map_or_else(|| of.clone(), |told| format!("{of}{told}"));
        let command = Command::Fleet(asked);
        Interpretation {
            topic,
            missing: missing.into_iter().map(|(field, why)| (field, why.to_owned())).collect(),
            ..self.answer(CommandKind::Search, format!("{told}{of}{when}."), command)
        }
    }

    /// The part asked for, when the words are a question to the records and nothing else.
    fn part(&self) -> Option<Part> {
        let (at, chance) = self.heard.asks;
        let proof = &self.heard.proof;
        let enough = self.enough_to_be_asked();
        if chance >= enough && chance > proof.purpose.rival_of_asked(proof.asks_us) {
            return Some(PARTS[at].0);
        }
        let cues = &self.heard.cues;
        let of = |id: &str| weight(cues, "fleet", id).max(weight(cues, "asked", id));
        let best =
            PARTS.iter().reduce(|best, one| if of(one.1) > of(best.1) { one } else { best })?;
        let (part, strength) = (best.0, of(best.1));
        // "Due within 20 hours"; more numbers are of a sum.
        let most = if part == Part::Due { 2 } else { 0 };
        let numbers = self.spoken.quantities.len() > most;
        let telling = proof.deed || proof.told || numbers || proof.findings > 1;
        // "What is it set to?" is a search unless the card is asked for by name.
        let searched = strength < BY_NAME && proof.search > strength;
        // "Did the squeal come back": what is wrong is spoken of, and the records are asked of it.
        if matches!(part, Part::Single(_)) {
            let asks = proof.asks_us && strength >= ASKED_IN_FORM && enough <= 1.0 && !searched;
            return asks.then_some(part);
        }
        (strength >= SURE && !telling && !searched).then_some(part)
    }

    /// The chance from which on the words are a question to the records. More than one: never.
    fn enough_to_be_asked(&self) -> f64 {
        const NEVER: f64 = 2.0;
        let (_, chance) = self.heard.asks;
        let proof = &self.heard.proof;
        let question = proof.question || proof.asks_us;
        let asks = |id: &str| {
            self.heard.cues.iter().any(|cue| cue.family == "asking" && cue.id == id)
        };
        let first = self.spoken.words.first().map_or("", |word| word.text.as_str());
        let sign = asks("sign") || (asks("topic") && !TELLERS.contains(&first));
        let telling = proof.deed || proof.findings > 0;
        let read = proof.recorded > 0 && self.gives_a_number();
        let bare = !sign && self.matter_without("", &[]).is_empty();
        let statement = !question && ((read && !asks("sign")) || (telling && !sign) || bare);
        let told = proof.told && chance < ASKED_AS_TOLD_MIN;
        let of_the_guide = proof.procedure.max(proof.catalogue) >= A_JOB;
        match (question, telling) {
            _ if told || statement || of_the_guide || proof.is_sum() => NEVER,
            _ if self.is_for_notes() => NEVER,
            _ if self.sounds_foreign() => ASKED_OF_OTHERS_MIN,
            (true, _) => ASKED_MIN,
            (false, _) if !sign => ASKED_WITHOUT_A_SIGN_MIN,
            (false, false) => ASKED_UNASKED_MIN,
            (false, true) => ASKED_AS_TOLD_MIN,
        }
    }

    /// Nothing of ours is named, and the words sound like nothing of ours: "how much seed for a green".
    fn sounds_foreign(&self) -> bool {
        let proof = &self.heard.proof;
        let ours = matches!(self.heard.scope, Scope::Answer | Scope::TooVague);
        let named = self.heard.named.subject().is_some();
        !ours && !named && proof.findings == 0
    }

    /// "Why does relief matter" is answered from notes, as is what is asked of notes by name; "why did
    /// unit 2 keep leaving a line this spring" is not.
    fn is_for_notes(&self) -> bool {
        let said = |words: &[&str], most: usize| {
            let tokens = self.spoken.tokens.iter().take(most);
            tokens.into_iter().any(|token| words.contains(&token.text.as_str()))
        };
        let notes = said(&["written"], usize::MAX) && said(&["about"], usize::MAX);
        let why = said(&["why"], 3) && self.heard.proof.named == 0 && self.period().is_none();
        notes || why
    }

    /// It names nothing of the shop and no days, and few sentences like it asked the records: the
    /// knowledge is asked first.
    pub(super) fn is_hardly_for_records(&self) -> bool {
        let (_, chance) = self.heard.asks;
        let named = self.heard.proof.named > 0 || self.period().is_some();
        let of_knowledge =
            self.heard.cues.iter().any(|cue| cue.family == "asks" && OF_KNOWLEDGE.contains(&cue.id));
        !named && (of_knowledge || chance < ASKED_WITHOUT_A_SIGN_MIN)
    }

    /// Whether it says a number that is no year: "fault list for 2026" says none.
    pub(super) fn gives_a_number(&self) -> bool {
        let year = |value: f64| value.fract() == 0.0 && (1950.0..2200.0).contains(&value);
        let all = &self.spoken.quantities;
        all.iter().any(|one| one.unit.is_some() || !year(one.value))
    }

    /// What was spoken of before, where the words point at it or nothing else can be meant.
    fn meant_before(&self, part: Part) -> Option<SubjectName> {
        let spoken_of = self.question.shop.spoken_of.clone();
        match part {
            Part::Card => spoken_of.filter(|name| name.kind() == SubjectKind::Unit),
            Part::Heights => spoken_of.filter(|name| name.kind() == SubjectKind::Area),
            _ => self.pointed_at().filter(|name| name.kind() != SubjectKind::Area),
        }
    }
}

/// The topic of a question of several machines names those beside the first.
pub fn topic_of(topic: &str, asked: &Asked) -> String {
    let others: Vec<String> = asked.others.iter().map(ToString::to_string).collect();
    if others.is_empty() { topic.to_owned() } else { format!("{topic}{SEVERAL}{}", others.join(" ")) }
}

/// The topic without them, and their names.
pub fn several(topic: &str) -> (&str, Vec<&str>) {
    topic.split_once(SEVERAL).map_or((topic, Vec::new()), |(topic, names)| {
        (topic, names.split_whitespace().collect())
    })
}

fn reports(part: Part) -> bool {
    matches!(part, Part::Standing | Part::Wear | Part::Faults | Part::Remedies | Part::Costs)
}
