//! Which questions to the records ask for a yes, a kind or a measure that their form alone tells:
//! "nobody has ground them since August, have they", "what was the commonest fault on it", "how much
//! comes off on average", "which one is furthest out", "is the belt still overdue"?
//! Deliberately absent: what leans on a question before (`again`), and the answers.

use super::again::Before;
use super::asked_first::AS_A_RULE;
use super::past::Past;
use super::{Interpretation, Reader, nicknames};
use crate::domain::fleet::parts::Family;
use crate::domain::language::text::{Kind, tokens};
use crate::domain::passages::form::Form;
use crate::domain::recall::deeds::Deed;
use crate::domain::recall::work_words::work;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};

/// Who did not do it.
const NOBODY: &[&str] = &["nobody", "noone", "none"];
const ANYBODY: &[&str] = &["anybody", "anyone", "somebody", "someone"];
/// Words with which what is thought is said.
const THOUGHT: &[&str] = &["think", "reckon", "believe", "suppose", "guess", "doubt", "sure"];
/// Ends that ask whether it is so.
const IS_IT_SO: &[&str] = &[
    "is that right", "am i right", "is that so", "is that true", "have they", "has he", "have we",
    "has it", "right", "correct", "has anyone", "has anybody", "did they", "did he", "did we", "have you",
];
/// Words that ask for one of several.
const WHICH: &[&str] = &["which", "what", "whats", "who", "whose", "when", "how", "why"];
/// The kind of fault that is found most.
const COMMONEST: &[&str] = &["commonest", "common", "frequent", "usual", "main", "biggest"];
const OF_FAULTS: &[&str] = &[
    "fault", "faults", "problem", "problems", "trouble", "one", "cause", "causes", "complaint",
    "complaints", "breakdown", "failure", "thing",
];
/// Machines whose heights are told side by side.
const MACHINES_MAX: usize = 8;
/// So few words may ask without a word that asks.
const BARE_WORDS: usize = 8;
/// Words that name nothing that is counted.
const OF_COUNTING: &[&str] =
    &["not", "before", "complaints", "complaint", "cases", "instances", "records"];
/// What is taken as a rule.
const ON_AVERAGE: &[&str] =
    &["average", "avg", "usually", "typically", "normally", "generally", "typical", "mean"];
const EACH: &[&str] = &["each", "every", "per", "time"];
const TAKEN: &[&str] =
    &["take", "takes", "took", "taken", "taking", "come", "comes", "came", "coming", "lose", "goes"];
/// How far heights lie from what was wanted.
const FURTHEST: &[&str] = &["furthest", "farthest", "worst", "most", "highest", "lowest"];
/// Words with which heights are held against each other.
const ALIKE: &[&str] = &["out", "level", "same", "match", "matched", "matching", "line", "step"];
const OTHERS: &[&str] = &["others", "other", "rest", "two", "three", "all", "each", "both"];
/// What is set, ground or used, and written in a record; a height is asked after by itself.
const SET: &[&str] = &[
    "relief", "land", "angle", "angles", "grit", "pressure", "pressures", "gap", "contact", "depth",
    "setting", "settings", "diameter", "diameters",
];
const UNWRITTEN: &[&str] = &["angle", "angles", "setting", "settings", "diameter", "diameters"];
/// The first words that may ask which.
const WHICH_MAX: usize = 3;
/// Words that only say that a fault was seen to.
const SEEN_TO: &[&str] = &["mended", "fixed", "sorted", "did", "done", "repaired", "cured", "last"];

impl Reader<'_> {
    /// "How long till the blades stop on that thing": what was timed last, and no wear.
    pub(super) fn how_long_to_stop(&self) -> Option<Interpretation> {
        const STOPPING: &[&str] = &["stop", "stops", "stopping", "standstill"];
        let texts = self.spoken.texts();
        let long = texts.windows(2).any(|pair| matches!(pair, ["how", "long" | "quick" | "quickly" | "fast" | "many"]));
        let stops = self.says(STOPPING) || texts.windows(2).any(|pair| matches!(pair, ["run" | "running", "on"]));
        // "How long do blades run on" asks for the rule.
        let own = self.says(&["the", "my", "our", "that", "this", "last"]);
        let blades = own && self.says(&["blade", "blades", "rotor", "rotors", "knives"]);
        let to = self.says(&["till", "until", "til", "before", "to", "take", "takes", "took", "do", "did", "for"]);
        // What is to be waited for before a hand goes in has its own answer.
        let proof = &self.heard.proof;
        let other = self.says(&["must", "should", "wait", "clear", "reach", "hand", "hands", "from", "squealing", "noise", "line",
            "so", "get", "in", "lift", "unclog", "clean", "pull", "under", "touch", "and"]);
        if !(long && stops && blades && to) || other || proof.deed || !self.gives_no_number() {
            return None;
        }
        let subjects = self.meant_or_before();
        Some(self.told_past(Past { words: "brake".to_owned(), subjects, ..self.blank(Single::Last) }))
    }

    /// "How should I set the groomer, height is 3.5": with its number it is a sum.
    pub(super) fn set_by_a_height(&self) -> Option<Interpretation> {
        let best = &self.heard.asked[0];
        let words = &self.spoken.words;
        let how = words.first().is_some_and(|word| matches!(word.text.as_str(), "how" | "what"));
        let height = best.placed.iter().any(|(_, field, _)| field == "height_of_cut_mm");
        // "The fairway five" gives no height.
        let given = !self.gives_no_number();
        (given && how && best.calculation == "groomer_depth" && height).then(|| self.compute())
    }

    /// "I do not think anybody has ground the fairway reels since June": yes or no, by the records.
    pub(super) fn nobody(&self) -> Option<Interpretation> {
        let words = &self.spoken.tokens;
        let not = self.says(&["not"]) && (self.says(ANYBODY) || self.says(&["been"]));
        let no_one = words.windows(2).any(|pair| pair[0].text == "no" && pair[1].text == "one");
        let nobody = self.says(NOBODY) || no_one;
        let which = words.iter().take(3).any(|token| WHICH.contains(&token.text.as_str()));
        let plain = self.question.text.to_lowercase();
        let plain = plain.trim().trim_end_matches(['?', '.', '!', ' ']);
        let so = IS_IT_SO.iter().any(|end| plain.ends_with(end));
        let asks = so || self.says(THOUGHT) || self.question.text.trim_end().ends_with('?');
        let told = nobody && self.says(&["has", "have", "did", "touched"]);
        if !(nobody || not) || which || !(asks || told) || !self.gives_no_number() {
            return None;
        }
        // "May I lap it if nobody is at the controls": how it is done, and nothing of the records.
        if asks_leave_with_nobody(plain) {
            return None;
        }
        let words = self.matter_without("never", &self.shape().taken);
        let words = self.trade_of(&words);
        let does = |word: &str| {
            Family::of(word).is_some() || work(word).is_some()
        };
        let ails = self.heard.danger.stop.is_some() || (self.heard.proof.findings > 0 && !asks);
        if !words.split_whitespace().any(does) || ails {
            return None;
        }
        let subjects = self.meant_here();
        let mut past = Past { words, subjects, ..self.blank(Single::Nobody) };
        past.people.clone_from(&self.shape().people);
        past.put_in(&self.shape().periods);
        Some(self.told_past(past))
    }

    /// The kind, the share or the measure that is asked for.
    pub(super) fn of_a_figure(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let asks = matches!(first, "who" | "when" | "how" | "has" | "have");
        let told = self.heard.proof.told && !asks;
        if told || !self.gives_no_number() {
            return None;
        }
        let asked = self.lost_in_all().or_else(|| self.never_touched());
        let asked = asked.or_else(|| self.ever_had()).or_else(|| self.who_mended());
        let asked = asked.or_else(|| self.when_done()).or_else(|| self.who_worked());
        let asked = asked.or_else(|| self.one_work_or_other()).or_else(|| self.commonest());
        asked.or_else(|| self.off_on_average()).or_else(|| self.furthest_out())
    }

    /// "What relief did we put on unit 1 in January": the last record that says it.
    pub(super) fn what_was_set(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let at = words.iter().take(WHICH_MAX).position(|word| matches!(*word, "what" | "which"))?;
        let set = words.get(at + 1..)?.iter().take(2).any(|word| SET.contains(word));
        let was = self.says(&["did", "was", "were", "had", "got", "used", "have"]);
        // "What grit have we got to use", "had we better".
        let must = words.windows(2).any(|pair| matches!(pair, ["got", "to"] | ["we", "to"] | ["we", "better"]))
            || self.says(&["say", "said"]);
        let rule = must
            || self.says(&["should", "must", "need", "needs", "good", "best", "right", "mean"]);
        let shape = self.shape();
        let here = !self.meant_here().is_empty() || !shape.periods.is_empty()
            || self.says(&["we", "he", "they", "you", "last"]);
        // "What grit did he use" of what was told is asked of that.
        let told = matches!(self.question.asked, Some(Before::Single(_)));
        let named = !self.meant_here().is_empty() || !shape.periods.is_empty();
        let leans = told && !named && self.says(&["he", "she", "they"]);
        if !set || !was || rule || !here || leans {
            return None;
        }
        let words = self.trade_and_set(&self.matter_without("last", &shape.taken));
        let mut past = Past { words, subjects: self.meant_here(), ..self.blank(Single::Last) };
        past.people.clone_from(&shape.people);
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// The words of the trade, and what is set or read.
    fn trade_and_set(&self, words: &str) -> String {
        let kept = words.split_whitespace().filter(|word| {
            SET.contains(word) || !self.trade_of(word).is_empty()
        });
        let kept: Vec<&str> = kept.collect();
        // Records write these as figures, without the word.
        let figure = |word: &str| UNWRITTEN.contains(&word);
        let named: Vec<&str> = kept.iter().copied().filter(|word| !figure(word)).collect();
        if named.is_empty() && kept.iter().any(|word| word.starts_with("angle")) {
            return "relief".to_owned();
        }
        if named.is_empty() { kept.join(" ") } else { named.join(" ") }
    }

    /// "How much has it lost all told since it was new", "how many grams came off in all": all that
    /// was taken off.
    fn lost_in_all(&self) -> Option<Interpretation> {
        let words: Vec<&str> = self.spoken.texts();
        let how = words.windows(2).any(|pair| matches!(pair, ["how", "much" | "many"]));
        let grams = self.says(&["grams", "gram", "grammes"]);
        let whole = self.says(&["altogether", "total", "overall"])
            || words.windows(2).any(|pair| {
                matches!(pair, ["all", "told"] | ["all", "in"] | ["in", "all"] | ["in", "total"]
                    | ["since", "new"] | ["was", "new"] | ["so", "far"] | ["its", "life"])
            });
        let lost = self.says(&["lost", "lose"]) || (self.says(&["off"]) && self.says(TAKEN));
        let other = self.says(&[
            "time", "hours", "hour", "hrs", "minutes", "oil", "work", "days", "money", "seed",
        ]);
        if !how || !(grams || (whole && lost)) || other || self.question.case.is_some() {
            return None;
        }
        let shape = self.shape();
        let mut past = Past { words: "sharpened".to_owned(), ..self.blank(Single::Off) };
        past.subjects = self.meant_here();
        if let Some(before) = self.single_before() {
            if past.subjects.is_empty() {
                past.subjects.clone_from(&before.subjects);
            }
            if grams {
                (past.start, past.end) = (before.start.clone(), before.end.clone());
            }
        }
        if past.subjects.is_empty() {
            past.subjects.extend(self.question.shop.spoken_of.clone());
        }
        past.people.clone_from(&shape.people);
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// "Which machine has not been worked on this month": by all work.
    fn never_touched(&self) -> Option<Interpretation> {
        let which = self.says(&["which", "what", "whats"]) && self.says(&["not", "never"]);
        let any = self.says(&["worked", "touched", "seen", "looked", "attention", "anything", "done"]);
        let shape = self.shape();
        let words = self.trade_of(&self.matter_without("never", &shape.taken));
        let named = words.split_whitespace().any(|word| {
            let other = work(word).is_some_and(|(_, deed)| deed != Some(Deed::Any));
            other || Family::of(word).is_some()
        });
        let units = self.says(&[
            "machine", "machines", "mower", "mowers", "unit", "units", "reels", "heads",
        ]);
        if !(which && any && units) || named || self.question.case.is_some() {
            return None;
        }
        let subjects = self.meant_here();
        let words = "touched".to_owned();
        Some(self.told_of(Single::Never, words, subjects, &shape.periods))
    }

    /// "Has the triplex ever had a cone in a reel": how often, and never a new complaint.
    fn ever_had(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let ever = self.says(&["ever", "before"])
            && self.says(&["had", "have", "has", "been", "seen", "find"]);
        // "Any complaints of it being too tight".
        let any = first == "any"
            && self.says(&["complaints", "complaint", "cases", "instances", "records"]);
        let ever = ever && matches!(first, "has" | "have" | "did");
        if !(ever || any) || self.question.case.is_some() {
            return None;
        }
        let shape = self.shape();
        let said = self.matter_without("count", &shape.taken);
        let words: Vec<&str> =
            said.split_whitespace().filter(|word| !OF_COUNTING.contains(word)).collect();
        if words.is_empty() || self.heard.danger.stop.is_some() {
            return None;
        }
        let words = words.join(" ");
        Some(self.told_of(Single::Count, words, self.meant_here(), &shape.periods))
    }

    /// "Who fixed the loose bedknife screws": the last time, whatever ails in those words.
    fn who_mended(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let mended = self.says(&["fixed", "mended", "sorted", "cured", "repaired", "found", "noticed"]);
        let shape = self.shape();
        let said = self.matter_without("cured", &shape.taken);
        let words: Vec<&str> = said
            .split_whitespace()
            .filter(|word| !SEEN_TO.contains(word) && !matches!(*word, "not" | "found" | "noticed"))
            .collect();
        if first != "who" || !mended || words.is_empty() {
            return None;
        }
        let words = words.join(" ");
        Some(self.told_of(Single::Last, words, self.meant_here(), &shape.periods))
    }

    /// "When were the verticuts done": sharpened, changed or mended, and not only looked at.
    fn when_done(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let machines = self.machines_asked_about();
        let bare = self.matter_of("last").is_empty() && !machines.is_empty();
        let done = self.says(&["done", "serviced", "overhauled"]);
        if first != "when" || !done || !bare {
            return None;
        }
        let words = "serviced".to_owned();
        Some(self.told_of(Single::Last, words, machines, &self.shape().periods))
    }

    /// "Who did the work on the fairway five in October": how much of it each did.
    fn who_worked(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let worked = self.says(&["worked", "working"])
            || (self.says(&["did", "done"]) && self.says(&["work", "jobs"]));
        let shape = self.shape();
        let named = !self.machines_asked_about().is_empty() || !shape.periods.is_empty();
        let bare = self.matter_of("count").is_empty() && !self.says(&["last"]);
        if first != "who" || !worked || !named || !bare {
            return None;
        }
        let mut past = Past { subjects: self.meant_here(), ..self.blank(Single::Count) };
        past.by = Some(By::Person);
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// What was asked before, of what and of which days.
    fn single_before(&self) -> Option<&Past> {
        match self.question.asked.as_ref()? {
            Before::Single(past) => Some(past),
            Before::Whole(_) => None,
        }
    }

    /// "Can I just lap it or has it got to be ground": of two kinds of sharpening the knowledge tells
    /// when each will do.
    fn one_work_or_other(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let asks = self.says(&["or"])
            && matches!(first, "can" | "could" | "should" | "shall" | "do" | "does" | "must");
        let mut deeds: Vec<Deed> = Vec::new();
        for token in &self.spoken.tokens {
            let deed = work(&token.text).and_then(|(_, deed)| deed);
            let sharpens = matches!(deed, Some(Deed::Backlap | Deed::Grind | Deed::ReliefGrind));
            deeds.extend(deed.filter(|deed| sharpens && !deeds.contains(deed)));
        }
        (asks && deeds.len() == 2).then(|| {
            let name = |deed: &Deed| match deed {
                Deed::Backlap => "lapping",
                Deed::ReliefGrind => "relief grinding",
                _ => "grinding",
            };
            let query = format!("{} or {} when", name(&deeds[0]), name(&deeds[1]));
            self.asked_of_knowledge(Form::Differ, query)
        })
    }

    /// "What was the commonest one on it".
    fn commonest(&self) -> Option<Interpretation> {
        let often = self.says(&["often"]) && self.says(&["most"]) && self.says(&["goes", "wrong"]);
        let common = self.says(COMMONEST) && self.says(OF_FAULTS);
        let bare = self.spoken.words.len() <= BARE_WORDS && self.heard.proof.findings == 0;
        if !(common || often) || !(self.says(WHICH) || bare) {
            return None;
        }
        // What is commonest in a trade is asked of the knowledge.
        let before = self.single_before();
        let shape = self.shape();
        let mut subjects = self.meant_here();
        let here = !subjects.is_empty() || !shape.periods.is_empty() || before.is_some()
            || self.says(&["we", "us", "our", "here", "had"]);
        let other = self.matter_without("count", &shape.taken);
        let left = |word: &&str| {
            !COMMONEST.contains(word) && !OF_FAULTS.contains(word)
                && !matches!(*word, "wrong" | "goes" | "most" | "often")
        };
        let other: Vec<&str> = other.split_whitespace().filter(left).collect();
        if !here || !self.trade_of(&other.join(" ")).is_empty() {
            return None;
        }
        let mut past = Past { words: "faults".to_owned(), ..self.blank(Single::Count) };
        past.by = Some(By::Cause);
        if let Some(before) = before {
            if subjects.is_empty() && before.by.is_none() {
                subjects.clone_from(&before.subjects);
            }
            (past.start, past.end) = (before.start.clone(), before.end.clone());
        }
        past.subjects = subjects;
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// "How much did he take off on average".
    fn off_on_average(&self) -> Option<Interpretation> {
        let each = self.says(EACH) && self.says(&["grind", "ground", "grinding"]);
        // "How much steel came off each", whatever it was taken off by.
        let metal = self.says(&["steel", "metal"]) && self.says(TAKEN);
        let rule = self.says(ON_AVERAGE) || each || metal;
        let off = self.says(&["off"]) && (self.says(TAKEN) || self.says(&["grind", "grinding"]));
        if !rule || !off || !self.says(&["how", "what"]) {
            return None;
        }
        let shape = self.shape();
        let mut past = Past { words: "grind".to_owned(), ..self.blank(Single::Off) };
        past.subjects = self.meant_here();
        past.people.clone_from(&shape.people);
        if let Some(before) = self.single_before() {
            if past.subjects.is_empty() {
                past.subjects.clone_from(&before.subjects);
            }
            if past.people.is_empty() {
                past.people.clone_from(&before.people);
            }
            (past.start, past.end) = (before.start.clone(), before.end.clone());
        }
        past.put_in(&shape.periods);
        Some(self.told_past(past))
    }

    /// "Which one is furthest out" after heights, "is unit 3 still out of height with the others".
    fn furthest_out(&self) -> Option<Interpretation> {
        let heights = self.says(&["height", "heights", "hoc"]);
        let out = (self.says(&["out", "target", "targets"]) || self.says(&["furthest", "farthest"]))
            && self.says(FURTHEST)
            && self.says(&["which", "what", "whats"]);
        let alike = self.says(ALIKE) && self.says(OTHERS)
            && self.says(&["is", "are", "still", "does"]);
        let first = self.first_word();
        let asks = matches!(first, "is" | "are" | "does" | "do" | "which" | "what" | "whats");
        let machine = |name: &SubjectName| match name.kind() {
            SubjectKind::Unit => name.holder(),
            _ => Some(name.clone()),
        };
        let named = self.meant_here().into_iter().next();
        let named = named.or_else(|| self.question.shop.machine_spoken_of());
        let target = out && self.says(&["target", "targets"]) && self.question.case.is_none();
        if named.is_none() && target && matches!(self.first_word(), "which" | "what" | "whats") {
            // Of no machine: of each.
            let all = self.question.shop.subjects.iter().map(|known| known.name.clone());
            let all = all.filter(|name| name.kind() == SubjectKind::Machine).take(MACHINES_MAX);
            let subjects = all.collect();
            return Some(self.told_past(Past { subjects, ..self.blank(Single::Height) }));
        }
        let subject = named.as_ref().and_then(machine)?;
        let units = self.says(&["units", "unit", "heads", "reels"])
            && self.heard.proof.findings <= 1;
        let fits = out || (alike && (heights || units));
        let machine = subject.kind() == SubjectKind::Machine;
        if !fits || !asks || !machine || self.question.case.is_some() {
            return None;
        }
        let subjects = vec![subject];
        Some(self.told_past(Past { subjects, ..self.blank(Single::Height) }))
    }

    /// "So is the belt still overdue": of the machine that was spoken of where none is named.
    pub(super) fn overdue_part(&self) -> Option<Interpretation> {
        let first = self.first_word();
        let still = matches!(first, "is" | "are") && self.says(&["overdue", "due"]);
        if !still || self.parts_named("").is_empty() || self.question.case.is_some() {
            return None;
        }
        let machines = self.machines_asked_about().into_iter();
        let named = machines.filter(|name| name.kind() != SubjectKind::Area).next();
        let subject = named.or_else(|| self.question.shop.spoken_of.clone());
        let subject = subject.filter(|name| {
            matches!(name.kind(), SubjectKind::Machine | SubjectKind::Unit)
        });
        Some(self.told_due(subject, ""))
    }

    /// A part or work that is named beside a complaint is asked about, and not the complaint: "who
    /// did the last hose", "when was it last ground", "who set it".
    pub(super) fn named_beside_the_case(&self) -> Option<Interpretation> {
        let case = self.question.case.as_ref()?;
        let first = self.first_word();
        let last = matches!(first, "who" | "when" | "whens" | "whos");
        // Who does it as a rule is asked of all.
        let rule = self.says(AS_A_RULE) || self.says(&["most"]);
        if !last || rule || !self.gives_no_number() {
            return None;
        }
        let set = self.says(&["set", "adjusted", "setting"]) && self.points(&["it", "that", "this"]);
        let said = self.matter_without("last", &self.shape().taken);
        let known = |word: &&str| {
            let ear = &self.knowledge.ear;
            !SEEN_TO.contains(word)
                && (work(word).is_some_and(|(_, deed)| {
                    !matches!(deed, Some(Deed::Fault | Deed::Cure | Deed::Any) | None)
                }) || Family::of(word).is_some()
                    || (!ear.small_words.contains(*word) && ear.common.contains(*word)))
        };
        let words: Vec<&str> = said.split_whitespace().filter(known).collect();
        let words = if set { vec!["adjustment"] } else { words };
        if words.is_empty() {
            return None;
        }
        let named = self.machines_asked_about();
        let (subjects, guessed) = match (named.is_empty(), case.unit.clone()) {
            (false, _) => (named, false),
            (true, Some(unit)) => (vec![unit], false),
            (true, None) => (self.unit_of_the_case().into_iter().collect(), true),
        };
        let mut past = Past { words: words.join(" "), subjects, ..self.blank(Single::Last) };
        past.put_in(&self.shape().periods);
        let mut told = self.told_past(past);
        if guessed {
            let guess = match told.understood.contains(", for ") {
                true => "Guessed from what was told which machine that is.",
                false => "Which machine it is was not said, so this is of the whole shop.",
            };
            told.understood = format!("{guess} {}", told.understood);
        }
        Some(told)
    }

    /// The unit of a complaint by the surface and the number that it tells: "greens", "no 2 unit".
    fn unit_of_the_case(&self) -> Option<SubjectName> {
        let case = self.question.case.as_ref()?;
        let said = tokens(&case.complaint);
        let shop = self.question.shop;
        let machine = nicknames::of_surface(&said, shop)?;
        let beside = |at: usize| {
            let near = [at.wrapping_sub(1), at + 1];
            near.iter().filter_map(|at| said.get(*at)).any(|token| {
                matches!(token.text.as_str(), "unit" | "no" | "number" | "reel" | "head")
            })
        };
        let number = (0..said.len()).find(|at| said[*at].kind == Kind::Number && beside(*at));
        let unit = number.and_then(|at| shop.unit(&machine, &said[at].text));
        Some(unit.map(|known| known.name.clone()).unwrap_or(machine))
    }
}

/// "Is it okay to lap it if nobody's at the controls", "can I do it with no one in the seat": leave is
/// asked, and that nobody is there is how it is to be done.
fn asks_leave_with_nobody(plain: &str) -> bool {
    const MAY: &[&str] = &["may", "can", "could", "shall", "should"];
    const WHO: &[&str] = &["i", "we", "he", "she", "they", "one", "the", "my", "our", "a"];
    const FINE: &[&str] = &["ok", "okay", "safe", "alright", "right", "fine", "allowed", "all", "acceptable"];
    const HOW: &[&str] = &["if", "while", "when", "with", "and", "as", "so", "but", "where", "provided", "long"];
    let words = plain.split(|ch: char| !ch.is_alphanumeric());
    let said: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let leave = match said[..] {
        ["is" | "would", "it" | "that", fine, ..] => FINE.contains(&fine),
        [may, who, ..] => MAY.contains(&may) && WHO.contains(&who),
        _ => false,
    };
    let nobody = |at: usize| {
        NOBODY.contains(&said[at]) || (said[at] == "no" && said.get(at + 1) == Some(&"one"))
    };
    leave && (1..said.len()).any(|at| nobody(at) && HOW.contains(&said[at - 1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn that_nobody_is_there_asks_no_records() {
        for (words, wanted) in [
            ("is it okay to backlap if i use the long brush and nobody's at the controls", true),
            ("can i do the bedknife when no one is in the seat", true),
            ("may we lap it with nobody about", true),
            ("is it right that nobody has ground them since august", false),
            ("nobody has ground them since august, have they", false),
            ("is it so nobody did it", false),
        ] {
            assert_eq!(asks_leave_with_nobody(words), wanted, "{words}");
        }
    }
}
