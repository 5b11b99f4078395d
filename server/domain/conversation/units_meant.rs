//! On which units was it, where some are taken out or put in: "no wait only 1 and 3", "just left and
//! right, centre was ok", "not 2", "and the right"? What is told beside it is asked for afterwards.
//! Deliberately absent: one unit in the place of another (`other_unit`).

use super::follow_up::without_correction;
use super::put_in_place::put_in;
use super::{Actions, Conversation, Proposal, Proposed, ask, say};
use super::Action;

/// Units by what they are called, and what becomes of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct UnitsMeant {
    /// Only these. Empty: those that were told.
    pub only: Vec<String>,
    pub without: Vec<String>,
    pub also: Vec<String>,
    /// Every unit of the machine: "no, all five".
    pub all: bool,
    /// How many these are, where it is said.
    pub count: Option<usize>,
    /// What else is told, to be understood afterwards.
    pub rest: Option<String>,
}

const PLACES: &[&str] = &["left", "right", "centre", "center", "middle", "front", "rear", "back"];
const SMALL: &[&str] = &["the", "unit", "units", "reel", "reels", "no", "number", "one", "ones", "head", "side", "on", "it", "was", "its", "that"];
/// What is said of a unit on which nothing was done.
const NOT_DONE: &[&str] = &[
    "ok", "okay", "fine", "good", "alright", "untouched", "not done", "wasnt done", "wasn't done", "was not done", "left alone",
    "not touched", "didnt need", "didn't need", "did not need", "is still", "not needed", "not ground", "not changed", "stays",
];
/// No machine has more units (common practice, no source).
const UNITS_MAX: u32 = 12;

/// The units that words name, when they name nothing else.
fn items(text: &str) -> Option<Vec<String>> {
    let mut out: Vec<String> = Vec::new();
    let mut place: Vec<String> = Vec::new();
    for word in text.split([' ', ',']).filter(|word| !word.is_empty()) {
        let word = word.trim_matches(['.', ';', '!', '#']).to_lowercase();
        if PLACES.contains(&word.as_str()) {
            place.push(word);
            continue;
        }
        if !place.is_empty() {
            out.push(std::mem::take(&mut place).join(" "));
        }
        if word.parse::<u32>().is_ok_and(|number| (1..=UNITS_MAX).contains(&number)) {
            out.push(word);
        } else if !(SMALL.contains(&word.as_str()) || matches!(word.as_str(), "and" | "&" | "n" | "plus" | "then")) {
            return None;
        }
    }
    if !place.is_empty() {
        out.push(place.join(" "));
    }
    (!out.is_empty()).then_some(out)
}

/// "All five", "all of them", "the lot": every unit of the machine.
fn is_all(clause: &str) -> bool {
    const BESIDE: &[&str] = &["of", "them", "the", "units", "reels", "heads", "it", "was", "did", "we", "i"];
    let rest = clause.strip_prefix("all").or_else(|| clause.strip_prefix("every one"));
    let rest = rest.or_else(|| clause.strip_prefix("the lot"));
    rest.is_some_and(|rest| {
        let ends = rest.is_empty() || rest.starts_with(' ');
        let known = |word: &str| BESIDE.contains(&word) || counted(word).is_some();
        ends && rest.split_whitespace().all(known)
    })
}

/// "Two" to "nine", in words or figures.
fn counted(word: &str) -> Option<usize> {
    const COUNTS: &[&str] = &["two", "three", "four", "five", "six", "seven", "eight", "nine"];
    let spelled = COUNTS.iter().position(|count| *count == word).map(|at| at + 2);
    spelled.or_else(|| word.parse().ok().filter(|count| (2..10).contains(count)))
}

/// What words say of units taken out or put in. `shown`: a record was shown right before them.
pub(super) fn units_meant(words: &str, shown: bool) -> Option<UnitsMeant> {
    let plain = words.trim().trim_end_matches(['.', '!']);
    if plain.ends_with('?') {
        return None;
    }
    let corrected = without_correction(plain);
    let text = corrected.unwrap_or(plain);
    // "Hang on, not the centre": the word that denies was taken for one of those that correct.
    let before = plain.get(..plain.len() - text.len()).unwrap_or_default();
    let before = before.trim_end().to_lowercase();
    let denied = before.ends_with(" not") || before == "not";
    let text = if denied && plain.ends_with(text) { format!("not {text}") } else { text.to_owned() };
    let lower = text.to_lowercase();
    let mut meant = UnitsMeant::default();
    let mut rest: Vec<String> = Vec::new();
    // "1, 2 and 4 only": a list goes on over its commas.
    let mut clauses: Vec<String> = Vec::new();
    for clause in lower.split([',', ';']).map(str::trim).filter(|clause| !clause.is_empty()) {
        let number = |text: &str| text.parse::<u32>().is_ok();
        match clauses.last_mut() {
            Some(last) if last.split(' ').next_back().is_some_and(number) && items(clause.trim_end_matches(" only")).is_some() => {
                *last = format!("{last} and {clause}");
            }
            _ => clauses.push(clause.to_owned()),
        }
    }
    // "Unit 3, not 4".
    let instead = clauses.iter().any(|clause| clause.starts_with("not "));
    for clause in &clauses {
        let clause = clause.strip_prefix("but ").unwrap_or(clause);
        let only = ["only ", "just ", "it was only ", "it was just "].iter().find_map(|start| clause.strip_prefix(start));
        let only = only.or_else(|| clause.strip_suffix(" only"));
        let not = ["not on ", "not ", "without ", "except ", "apart from ", "but not "].iter()
            .find_map(|start| clause.strip_prefix(start));
        let also = [" as well", " too", " also"].iter().find_map(|end| clause.strip_suffix(end));
        let also = also.or_else(|| clause.strip_prefix("and ").filter(|_| corrected.is_none() && shown));
        let left = NOT_DONE.iter().find_map(|end| clause.find(end)).and_then(|at| clause.get(..at));
        let left = left.map(|text| text.trim_end().trim_end_matches(" is").trim_end_matches(" was"));
        if corrected.is_some() && is_all(clause) {
            meant.all = true;
            meant.count = clause.split(' ').find_map(counted);
        } else if let Some(units) = only.and_then(items) {
            meant.only.extend(units);
        } else if let Some(units) = not.and_then(items) {
            meant.without.extend(units);
        } else if let Some(units) = also.and_then(items) {
            meant.also.extend(units);
        } else if let Some(units) = left.and_then(items) {
            meant.without.extend(units);
        } else if let Some(units) = items(clause)
            .filter(|units| corrected.is_some() && (units.len() > 1 || instead))
        {
            meant.only.extend(units);
        } else {
            rest.push(clause.to_owned());
        }
    }
    let named = [&meant.only, &meant.without, &meant.also].iter().any(|units| !units.is_empty());
    let any = meant.all || named;
    // "2 not 1" puts one in the place of another; "not 2" of the shown ones takes it out.
    let begins = corrected.is_some() || shown;
    let told = !(meant.only.is_empty() && meant.also.is_empty()) || corrected.is_some() || lower.starts_with("not ");
    meant.rest = (!rest.is_empty()).then(|| rest.join(", "));
    (any && begins && told).then_some(meant)
}

impl<C> Proposal<C> {
    /// "40 min each": the time told is that of each unit.
    pub fn time_of_each(&self) -> bool {
        self.of.numbers.iter().filter(|one| one.meant.starts_with("duration")).any(|one| {
            let behind = self.of.words.get(one.end..).unwrap_or_default().trim_start();
            ["each", "apiece", "per "].iter().any(|each| behind.starts_with(each))
        })
    }
}

impl<C: Clone> Conversation<C> {
    /// The record that stands open is of other units.
    pub(super) fn units_of_the_open(&self, words: &str) -> Option<UnitsMeant> {
        let open = self.proposal.as_ref()?;
        matches!(open.what, Proposed::Command(_)).then(|| units_meant(words, true)).flatten()
    }

    /// It is of these units: their resource names, and how it reads. What is told beside them of
    /// the work itself is put in before it is shown.
    pub fn units_put_right(&mut self, units: Vec<String>, rest: Option<String>) -> Actions<C> {
        let Some(open) = &mut self.proposal else { return Vec::new() };
        open.about = units.join(" ");
        self.meant.clone_from(&open.about);
        let understood = std::mem::take(&mut open.understood);
        open.understood = super::in_turn::told_of(understood, &self.meant);
        open.fresh = true;
        let kind = open.kind.clone();
        let whole = rest.as_ref().and_then(|rest| put_in(rest, &self.earlier, &kind));
        if let Some(whole) = whole {
            self.turn.leans = true;
            return vec![Action::Interpret(whole)];
        }
        self.said.push(self.turn.words.clone());
        open.said = self.said.join("; ");
        let mut actions = Vec::new();
        if let Some(rest) = rest {
            actions.push(say(format!("Asked for after this one: {rest}.")));
            // "2 has a new bedknife" names a unit.
            let number = rest.starts_with(|ch: char| ch.is_ascii_digit());
            self.afterwards.push(if number { format!("unit {rest}") } else { rest });
        }
        actions.push(Action::Propose);
        actions
    }

    /// The words named no units of that machine.
    pub fn no_such_units(&mut self) -> Actions<C> {
        self.fits_nothing().unwrap_or_default()
    }

    /// A correction that fits nothing of what stands open: nothing is changed, and a yes shows it
    /// again first.
    pub(super) fn fits_nothing(&mut self) -> Option<Actions<C>> {
        let open = self.proposal.as_mut()?;
        (open.fresh, open.reminded, open.doubted) = (false, false, true);
        let text = format!(
            "I cannot tell what that puts right, so nothing was changed. Open is: {} Say which part of it \
             is wrong and what is right, such as \"it was Kev\", \"only 1 and 3\" or \"45 min\"; \"no\" drops it.",
            open.understood
        );
        Some(vec![ask(text)])
    }
}

/// "It was no 2 not no 1", of walker 1: the machine of the other number, by its name.
pub(super) fn machine_numbered(words: &str, subject: &str) -> Option<String> {
    const AROUND: &[&str] = &["no", "number", "#", "walker", "machine", "mower", "one", "the", "on", "it", "was", "that", "and"];
    let rest = without_correction(words.trim().trim_end_matches(['.', '!']))?.to_lowercase();
    let machine = subject.split("/machines/").nth(1)?;
    let (machine, unit) = machine.split_once("/units/").unwrap_or((machine, ""));
    let (name, own) = machine.rsplit_once('-')?;
    if own.parse::<u32>().is_err() || unit.starts_with(|ch: char| ch.is_ascii_digit()) {
        return None;
    }
    let numbers = |text: &str| -> Option<Vec<u32>> {
        let words = text.split_whitespace().map(|word| word.trim_matches(['.', ',', '#']));
        let other = words.filter(|word| !AROUND.contains(word) && !word.is_empty());
        other.map(|word| word.parse().ok()).collect()
    };
    let (right, wrong) = rest.split_once(" not ").map_or((rest.as_str(), None), |(right, wrong)| (right, Some(wrong)));
    let [new] = numbers(right)?[..] else { return None };
    let said = wrong.map(numbers);
    let fits = match said {
        Some(Some(old)) => old.len() == 1 && old[0].to_string() == own,
        Some(None) => false,
        None => words.to_lowercase().split_whitespace().any(|word| matches!(word, "no" | "number" | "no." | "walker")),
    };
    let plain = rest.contains(['.', ':']) || new > UNITS_MAX || new.to_string() == own;
    (fits && !plain).then(|| format!("{} {new}", name.replace('-', " ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_number_is_another_machine() {
        let walker = "sites/home/machines/walker-1/units/reel";
        for (words, subject, wanted) in [
            ("hang on it was no 2 not no 1", walker, Some("walker 2")),
            ("sorry, number 2", walker, Some("walker 2")),
            ("no, 3.2", walker, None),
            ("no, 25", walker, None),
            ("it was no 2 not no 3", walker, None),
            ("sorry, no 2", "sites/home/machines/triplex/units/1", None),
        ] {
            assert_eq!(machine_numbered(words, subject).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn units_are_taken_out_and_put_in() {
        let list = |units: &[&str]| -> Vec<String> {
            units.iter().map(|one| (*one).to_owned()).collect()
        };
        for (words, only, without, also, rest) in [
            ("no wait only 1 and 3, 2 has a new bedknife instead", &["1", "3"][..], &[][..], &[][..], Some("2 has a new bedknife")),
            ("no wait just left and right, centre was ok", &["left", "right"], &["centre"], &[], None),
            ("1, 2 and 4 only", &["1", "2", "4"], &[], &[], None),
            ("not 2", &[], &["2"], &[], None),
            ("sorry, 1 and 3", &["1", "3"], &[], &[], None),
            ("and the right", &[], &[], &["right"], None),
            ("3 as well", &[], &[], &["3"], None),
            ("no, not the right front", &[], &["right front"], &[], None),
        ] {
            let wanted = UnitsMeant {
                only: list(only),
                without: list(without),
                also: list(also),
                all: false,
                count: None,
                rest: rest.map(str::to_owned),
            };
            assert_eq!(units_meant(words, true), Some(wanted), "{words}");
        }
        for (words, all) in [("no all five", true), ("sorry, all of them", true), ("no, all good", false)] {
            assert_eq!(units_meant(words, true).is_some_and(|meant| meant.all), all, "{words}");
        }
        for (words, count) in [("no all 4", Some(4)), ("no all five, 20 min each", Some(5)), ("no, all of them", None)] {
            assert_eq!(units_meant(words, true).and_then(|meant| meant.count), count, "{words}");
        }
        for words in ["no, unit 3", "no, 3.2", "2 not 1", "took 2 hr", "no it was Kev", "and 45 mins", "yes"] {
            assert_eq!(units_meant(words, true), None, "{words}");
        }
    }
}
