//! What do words mean that lean on what an answer named: the machine that came first, its sister, a
//! unit by its bare number, what is due? Deliberately absent: the question put together (`again`).

use super::again::{Before, MINUTES, POINTS, SHORT};
use super::asked_shape::Shape;
use super::fleet::{Asked, Part};
use super::past::Past;
use super::subjects::Known;
use super::{Interpretation, Reader};
use crate::domain::catalogue::Equipment;
use crate::domain::fleet::parts::{Family, watched};
use crate::domain::language::text::Kind;
use crate::domain::passages::form::Form;
use crate::domain::recall::{Asked as Single, By};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::said::said_units::any_said_at;

/// Whether something is worth keeping is asked with these.
const KEEPING: &[&str] = &["replace", "replacing", "scrap", "sell", "keep", "keeping", "renew"];
const WOULD: &[&str] = &["would", "should", "worth", "shall", "ought"];
/// Whether what is set, read or done is as it should be.
const ALRIGHT: &[&str] = &[
    "alright", "ok", "okay", "right", "fine", "good", "bad", "normal", "low", "high", "enough", "safe",
];

/// The newest but one.
const BEFORE_THAT: &[&str] = &[
    "the one before", "and before that", "and the time before", "and the time before that", "the time before that", "before that", "the time before", "and the one before",
    "the last but one", "the previous one", "what about before that", "what was it before",
    "and what was it before", "what were they before", "and what were they before", "and before",
];
impl Reader<'_> {
    /// "And before that": the record before the one that was told; "and before Easter" asks of a time.
    pub(super) fn one_before(&self, before: &Before) -> Option<Interpretation> {
        let tokens = &self.spoken.tokens;
        let ends = |last: usize| tokens.get(last + 1).is_none_or(|next| next.kind == Kind::Sign);
        let before_that = any_said_at(tokens, 0, BEFORE_THAT)
            .is_some_and(|last| ends(last) || tokens[last].text != "before");
        let Before::Single(past) = before else { return None };
        let height = past.asked == Single::Height;
        let asked = if height { Single::Height } else { Single::Last };
        let passed_over = past.passed_over + 1;
        before_that.then(|| self.told_past(Past { asked, passed_over, ..past.clone() }))
    }

    /// "When is it due again", "how sure are you about the belt" after what is due.
    pub(super) fn due_follows(
        &self,
        before: &Before,
        matter: &str,
        subjects: &[SubjectName],
    ) -> Option<Interpretation> {
        let says = |list: &[&str]| self.says(list);
        let again = says(&["due", "overdue"]) && self.points(POINTS) && matter.is_empty();
        // "So do I order one" of a part whose hours were told: whether it is due.
        let of_part = matches!(before, Before::Single(past)
            if past.words.split_whitespace().any(|word| Family::of(word).is_some()));
        let buys = says(&["order", "buy", "get"]) && says(&["one", "new", "another", "some", "them"])
            && says(&["do", "should", "shall", "need", "must"]);
        let again = again || (of_part && buys && !says(&["did"]));
        // "Was that overdue" of a part that was changed: what it ran, against what is due here.
        let was = self.spoken.tokens.iter().take(2).any(|token| {
            matches!(token.text.as_str(), "was" | "were")
        });
        if let (Before::Single(past), true, true) = (before, again, was)
            && self.question.shop.spoken_of.is_some()
            && past.words.split_whitespace().any(|word| Family::of(word).is_some())
        {
            let mut subjects = past.subjects.clone();
            if subjects.is_empty() {
                subjects.extend(self.question.shop.spoken_of.clone());
            }
            let (start, end) = (None, None);
            let past = Past { asked: Single::Life, subjects, start, end, by: None, ..past.clone() };
            return Some(self.told_past(past));
        }
        let about_due = matches!(before, Before::Whole(asked) if asked.part == Part::Due);
        let takes = matter.is_empty() && says(&["take", "takes", "need"])
            && says(&["long", "time", "hours", "hrs"]);
        if let (Before::Whole(asked), true, true) = (before, about_due, takes)
            && asked.words.is_empty()
        {
            // How long all that takes.
            return Some(self.minutes_of_due(asked.clone()));
        }
        let first = says(&["worst", "first", "most", "longest"]) && says(&["which", "what"]);
        let first = first && about_due && matter.is_empty();
        if let (Before::Whole(asked), true) = (before, first) {
            return Some(self.told_whole(Asked { within_h: Some(0.0), ..asked.clone() }, None));
        }
        let doubted = says(&["sure", "certain", "why"]) && !self.parts_named("").is_empty();
        // "Why the belt" after just the walkers, which have none: of the one that is due elsewhere.
        let elsewhere = before.subject().is_some_and(|name| !self.has_what_is_named(name));
        if about_due && doubted && subjects.is_empty() && elsewhere {
            return Some(self.told_due(None, ""));
        }
        (again || (about_due && doubted)).then(|| self.due_again(before, subjects))
    }

    /// How long all that is due now takes.
    pub(super) fn minutes_of_due(&self, asked: Asked) -> Interpretation {
        let mut told = self.told_whole(Asked { within_h: Some(0.0), ..asked }, None);
        MINUTES.clone_into(&mut told.topic);
        told.understood = "Add up how long what is due now takes.".to_owned();
        told
    }

    /// Whether a machine has a unit with a part that is named, as far as its units are known.
    fn has_what_is_named(&self, name: &SubjectName) -> bool {
        let named = self.parts_named("");
        let families: Vec<Family> = named.split_whitespace().filter_map(Family::of).collect();
        let units = self.question.shop.subjects.iter();
        let units = units.filter(|known| known.name.machine() == name.machine());
        let kinds: Vec<Equipment> = units.filter_map(|known| known.equipment).collect();
        let watched = |family: &Family| kinds.iter().any(|kind| watched(*kind).contains(family));
        kinds.is_empty() || families.is_empty() || families.iter().any(watched)
    }

    /// When what was told is due again.
    fn due_again(&self, before: &Before, subjects: &[SubjectName]) -> Interpretation {
        let words = match before {
            Before::Single(past) => past.words.clone(),
            Before::Whole(asked) if asked.part == Part::Due => asked.words.clone(),
            Before::Whole(_) => String::new(),
        };
        let subject = subjects.first().or(before.subject()).cloned();
        let subject = subject.filter(|name| name.kind() != SubjectKind::Area);
        self.told_due(subject, &words)
    }

    /// "Why" after a rank, and "would you replace it": of the machine that was named first.
    pub(super) fn of_what_came_first(&self, before: &Before) -> Option<Interpretation> {
        let says = |list: &[&str]| self.says(list);
        let short = self.spoken.words.len() <= SHORT + 2;
        let why = self.spoken.tokens.first().is_some_and(|token| token.text == "why");
        if let Before::Whole(asked) = before
            && asked.part == Part::Wear && why && short
            && self.trade_of(&self.matter_without("wear", &[])).is_empty()
        {
            let subjects = asked.subject.iter().chain(&asked.others).cloned().collect();
            let mut told = self.told_of(Single::Off, "grind".to_owned(), subjects, &[]);
            told.understood = format!("Why is not written; what was ground off is. {}", told.understood);
            return Some(told);
        }
        let subject = before.subject().cloned();
        let subject = subject.or_else(|| self.question.shop.spoken_of.clone());
        let which = self.spoken.tokens.first().is_some_and(|token| token.text == "which");
        if let Before::Single(past) = before
            && past.asked == Single::Hours && which && short && says(&["more", "most"])
        {
            // "Which has done more" of the hours of several.
            return Some(self.told_past(Past { by: Some(By::Machine), ..past.clone() }));
        }
        // "So which one's worst" after the hours of a part: which of them is due first.
        let lead = ["so", "and", "ok", "then", "which", "which's", "whichs"];
        let texts = self.spoken.texts();
        let mut first = texts.iter().take_while(|text| lead.contains(text));
        let which = first.any(|text| text.starts_with("which"));
        if let Before::Single(past) = before
            && matches!(past.asked, Single::Hours | Single::Life) && which && short
            && says(&["worst", "oldest", "first", "next", "longest", "nearest"])
            && past.words.split_whitespace().any(|word| Family::of(word).is_some())
        {
            return Some(self.told_due_of(past.subjects.clone(), &past.words));
        }
        let subject = subject?;
        if says(WOULD) && says(KEEPING) && self.points(POINTS) && short {
            let (part, machine) = (Part::Costs, None);
            let (start, end, within_h, words) = (None, None, None, String::new());
            let subject = Some(subject).filter(|name| name.kind() != SubjectKind::Area);
            let others = Vec::new();
            let asked = Asked { part, subject, others, machine, start, end, within_h, words };
            let mut told = self.told_whole(asked, None);
            told.understood = format!("That is for you to judge. {}", told.understood);
            return Some(told);
        }
        let Before::Single(past) = before else { return None };
        if past.asked == Single::Height && says(ALRIGHT) && self.points(POINTS) && !says(&["same"]) {
            let mut told = self.told_past(past.clone());
            let cannot = "Whether that suits the season the records cannot say; \"plan the heights \
                          of\" an area sets it out.";
            told.understood = format!("{cannot} {}", told.understood);
            return Some(told);
        }
        let ends = says(&["both", "each", "either"]) && says(&["end", "ends", "sides"]) && short;
        if past.asked == Single::Height && ends {
            return Some(self.told_past(past.clone()));
        }
        let cure = says(&["fix", "cure", "remedy", "sort"]) && self.points(POINTS);
        if past.asked == Single::Height && cure && short {
            // What stands out of height is set, which a job tells.
            return Some(self.asked_of_knowledge(Form::Order, "set the height of cut".to_owned()));
        }
        let why = self.spoken.tokens.first().is_some_and(|token| token.text == "why");
        let ranked = matches!(past.by, Some(By::Machine | By::Unit));
        (why && ranked && self.spoken.words.len() <= SHORT).then(|| {
            let (subjects, asked) = (vec![subject], Single::History);
            self.told_past(Past { subjects, asked, by: None, ..past.clone() })
        })
    }

    /// "Why do they keep coming back": which do, more than on units alike.
    pub(super) fn why_back(&self, before: &Before) -> Option<Interpretation> {
        let why = self.spoken.tokens.first().is_some_and(|token| token.text == "why");
        let came = self.says(&["came", "come", "comes", "coming"]) && self.says(&["back"]);
        if !why || !came {
            return None;
        }
        let (start, end) = match before {
            Before::Single(past) => (past.start.clone(), past.end.clone()),
            Before::Whole(asked) => (asked.start.clone(), asked.end.clone()),
        };
        let subject = before.subject().filter(|name| name.kind() != SubjectKind::Area).cloned();
        let (part, machine, within_h, words) = (Part::Faults, None, None, String::new());
        let others = Vec::new();
        let asked = Asked { part, subject, others, machine, start, end, within_h, words };
        let mut told = self.told_whole(asked, self.shape().periods.first());
        told.understood = format!("Why is not written. {}", told.understood);
        Some(told)
    }

    /// What is named now: a unit by its bare number is one of the machine before.
    pub(super) fn meant_again(
        &self,
        before: &Before,
        leans: bool,
        shape: &mut Shape,
    ) -> Vec<SubjectName> {
        let named = self.machines_asked_about();
        let tokens = &self.spoken.tokens;
        if let (true, Some(other)) = (named.is_empty() && leans, self.the_other(before)) {
            return vec![other];
        }
        let others = self.other_units(before);
        if named.is_empty() && leans && !others.is_empty() {
            let said = |at: &usize| matches!(tokens[*at].text.as_str(), "rest" | "units" | "reels");
            shape.taken.extend((0..tokens.len()).filter(said).map(|at| (at, at)));
            return others;
        }
        let number = tokens.iter().position(|token| token.kind == Kind::Number);
        let (true, Some(at), true) = (named.is_empty(), number, leans && tokens.len() <= SHORT + 1)
        else {
            return named;
        };
        let machine = match before.subject() {
            Some(name) if name.kind() == SubjectKind::Unit => name.holder(),
            Some(name) => Some(name.clone()),
            None => self.question.shop.machine_spoken_of(),
        };
        // "And what about no 2" after walker 1: its sister.
        let sister = |known: &&Known| {
            let own = numbered_name(&known.name);
            let (Some((stem, number)), Some(machine)) = (own, &machine) else { return false };
            known.name.kind() == SubjectKind::Machine && number == tokens[at].text
                && numbered_name(machine).is_some_and(|(before, _)| before == stem)
        };
        let shop = self.question.shop;
        let unit = machine.as_ref().and_then(|machine| shop.unit(machine, &tokens[at].text));
        let unit = unit.or_else(|| shop.subjects.iter().find(sister));
        shape.taken.extend(unit.map(|_| (at, at)));
        unit.map(|known| known.name.clone()).into_iter().collect()
    }

    /// "And the other units", "the rest": those of the machine before that are alike and were not
    /// asked about.
    fn other_units(&self, before: &Before) -> Vec<SubjectName> {
        let several = self.says(&["others", "rest"])
            || (self.says(&["other"]) && self.says(&["units", "reels", "heads", "ones", "two", "four"]));
        let Some(unit) = before.subject().filter(|name| name.kind() == SubjectKind::Unit) else {
            return Vec::new();
        };
        let asked = match before {
            Before::Single(past) => &past.subjects[..],
            Before::Whole(_) => std::slice::from_ref(unit),
        };
        let shop = self.question.shop;
        let kind = shop.known(unit).and_then(|known| known.equipment);
        let alike = |known: &&Known| {
            known.name.kind() == SubjectKind::Unit && known.name.machine() == unit.machine()
                && known.equipment == kind && !asked.contains(&known.name)
        };
        let all = shop.subjects.iter().filter(alike).map(|known| known.name.clone());
        if several { all.collect() } else { Vec::new() }
    }

    /// "And the other one": the only sister of the machine before.
    fn the_other(&self, before: &Before) -> Option<SubjectName> {
        let machine = before.subject()?;
        let says = self.spoken.tokens.iter().any(|token| token.text == "other");
        let stem = |name: &'_ SubjectName| numbered_name(name).map(|(stem, _)| stem.to_owned());
        let known = self.question.shop.subjects.iter().map(|known| &known.name);
        let mut sisters = known.filter(|name| {
            name.kind() == SubjectKind::Machine && *name != machine
                && stem(name).is_some() && stem(name) == stem(machine)
        });
        let only = sisters.next().filter(|_| says)?;
        sisters.next().is_none().then(|| only.clone())
    }
}

/// "Walker-" and "2" of a name that ends in a number.
fn numbered_name(name: &SubjectName) -> Option<(&str, &str)> {
    let id = name.id().as_str();
    let stem = id.trim_end_matches(|ch: char| ch.is_ascii_digit());
    (stem.len() < id.len()).then(|| id.split_at(stem.len()))
}
