//! What do words lean on that was said some turns ago: a record that is put right after other
//! talk, a complaint that is another machine's, the part that "it" is, work that was told and not
//! written down? Deliberately absent: what was shown or stored just now (`putting_right`).

use super::decide::{Meaning, Sense};
use super::follow_up::{Earlier, FollowUp, after, follow_up, without_correction, words_put_in};
use super::in_turn::asks;
use super::other_subject::{Named, subject_put_in};
use super::other_unit::unit_put_in;
use super::put_in_place::put_in;
use super::putting_right::takes_back;
use super::second_hand::told_by;
use super::{Action, Actions, Conversation, joined, say};
use crate::domain::catalogue::Knowledge;
use crate::domain::intent::deeds::DEEDS;
use crate::domain::intent::due_by_day::hours_a_week;
use crate::domain::intent::subject_words::HEADS;

/// Parts that "it" may be.
pub(super) const PARTS: &[&str] = &[
    "belt", "belts", "bedknife", "bedknives", "blades", "blade", "bearing", "bearings", "seal", "seals",
    "hose", "roller", "rollers", "brush", "groomer", "spindle", "tyre", "tyres", "filter", "motor", "scraper",
    "comb", "fitting",
];
/// What is asked whether it did.
const OUTCOMES: &[&str] = &[
    "hold", "work", "last", "come", "help", "cure", "fix", "stay", "stick", "sort", "stop", "go", "get",
    "make", "do", "need", "want", "take", "return", "cut", "run", "keep", "ever",
];
/// What takes back a record, and no answer.
const TAKES_BACK: &[&str] = &["scrub that", "scratch that", "strike that", "scrap that", "correction", "my mistake"];
/// What says that work was another's or elsewhere.
const OF_WORK: &[&str] = &[" i did", " we did", " they did", " he did", " she did", " i worked on", " they worked on"];
/// What is not certain.
const UNSURE: &[&str] = &["may be", "might be", "maybe", "could be", "not sure", "perhaps", "possibly"];
/// Before the name of a machine that is meant instead.
const BEFORE: &[&str] = &[
    "no", "sorry", "actually", "and", "but", "it", "it's", "its", "is", "was", "that", "thats", "that's", "may",
    "might", "could", "be", "maybe", "perhaps", "certainly", "definitely", "on", "of", "the", "rather", "wait",
    "oh", "hang", "i", "think", "meant", "mean", "he", "she", "they", "means",
];
/// Clauses that tell nothing else.
const HEDGES: &[&str] = &[
    "sure", "should have said", "think", "sorry", "beg your pardon", "my mistake", "oops", "i said",
];
const NAME_WORDS_MAX: usize = 5;
/// Beginnings of what is to be written down.
const BOOKING: &[&str] = &[
    "put it down", "put that down", "write it down", "write that down", "note it", "note that", "record it",
    "record that", "book it", "book that", "log it", "log that", "enter it",
];

impl<C: Clone> Conversation<C> {
    /// Keeps which part and which work were spoken of.
    pub(super) fn note_spoken_of(&mut self, words: &str, meaning: &Meaning<C>) {
        let said: Vec<String> = words.split_whitespace().map(bare).collect();
        if let Some(at) = said.iter().position(|word| PARTS.contains(&word.as_str())) {
            let of = at.checked_sub(1).map(|at| said[at].as_str());
            let of = of.filter(|of| matches!(*of, "verticut" | "groomer" | "deck" | "rotary" | "front" | "rear" | "reel"));
            self.part_said = of.map_or_else(|| said[at].clone(), |of| format!("{of} {}", said[at]));
        }
        self.deed_said = match meaning.sense {
            Sense::Write(_) => String::new(),
            _ => deed_of(words).unwrap_or_default(),
        };
    }

    /// "I was mistaken; it is the right end, not the left", of the complaint that is looked into.
    pub(super) fn puts_the_complaint_right(&self, words: &str) -> Option<FollowUp> {
        let corrects = without_correction(words).is_some() && takes_back(words);
        if !self.looks_into_a_case() || !corrects || asks(words) {
            return None;
        }
        let lean = follow_up(words, &self.earlier, false)?;
        matches!(lean, FollowUp::Words(_)).then_some(lean)
    }

    fn looks_into_a_case(&self) -> bool {
        self.context.case.is_some() && self.proposal.is_none() && self.walking.is_none()
    }

    /// What was complained of is put right: the whole complaint anew, and not one more sign of it.
    pub(super) fn complaint_put_right(&mut self, words: String) -> String {
        let of_case = self.looks_into_a_case();
        let before = self.earlier.words.clone();
        if !of_case || self.turn.repeats || self.turn.amends || before.is_empty()
            || !self.case_words.contains(&before) {
            return words;
        }
        let whole = self.case_words.replacen(&before, &words, 1);
        self.close_case();
        self.case_words.clear();
        self.turn.words.clone_from(&whole);
        whole
    }

    /// Keeps what the complaint was told with.
    pub(super) fn note_case_words(&mut self) {
        let words = self.turn.words.clone();
        let before = std::mem::take(&mut self.case_words);
        self.case_words = match before.is_empty() {
            true => words,
            false if before.contains(&words) => before,
            false => joined(before.trim_end_matches('.'), ". ", &words).unwrap_or(before),
        };
    }

    /// "Unit 3" and nothing else, of a complaint of another unit.
    fn unit_alone(&self, knowledge: &Knowledge, words: &str) -> Option<String> {
        let said: Vec<&str> = words.trim_end_matches(['.', '!']).split_whitespace().collect();
        let [head, number] = said[..] else { return None };
        let unit = matches!(head.to_lowercase().as_str(), "unit" | "number");
        let of_unit = self.context.subject.contains("/units/") && self.context.question.is_none();
        let other = !self.context.subject.ends_with(&format!("/units/{number}"));
        let figure = number.chars().all(|ch| ch.is_ascii_digit());
        let moved = unit && of_unit && other && figure;
        moved.then(|| machine_meant(knowledge, &format!("it's {words}"))).flatten()
    }

    /// "No, it was not the rotary, it was the tees mower": the complaint of before, of another machine.
    pub(super) fn case_moved(&mut self, knowledge: &Knowledge, words: &str) -> Option<Actions<C>> {
        if let Some(taken_back) = self.no_complaint(knowledge, words) {
            return Some(taken_back);
        }
        let latest = self.stored.as_ref().is_some_and(super::putting_right::Stored::is_latest);
        let free = self.proposal.is_none() && self.walking.is_none() && !latest;
        if !free || self.context.case.is_none() || asks(words) || self.case_words.is_empty() {
            return None;
        }
        if let Some(actions) = self.side_of_the_case(words) {
            return Some(actions);
        }
        let name = machine_meant(knowledge, words).or_else(|| self.unit_alone(knowledge, words))?;
        let lower = words.to_lowercase();
        if UNSURE.iter().any(|sign| lower.contains(sign)) {
            let stays = short(&self.context.subject);
            return Some(vec![say(format!(
                "It may be {name}: what was found so far stays on {stays} until that is certain. Look at \
                 both, and say \"it is {name}\" when it is."
            ))]);
        }
        let about = Named::of(&self.context.subject);
        let whole = match about.is_empty() {
            // Where it is was not said before: the signs stay as they are.
            true => joined(self.case_words.trim_end_matches(['.', '!', '?']), ". It is on the ", &name),
            false => self.of_another_unit(&name, &about)
                .or_else(|| called_by_part(&self.case_words, &name, &about))
                .or_else(|| subject_put_in(&self.case_words, &name, &about)),
        };
        let whole = whole?;
        self.close_case();
        self.case_words.clear();
        self.turn.words.clone_from(&whole);
        Some(vec![Action::Interpret(whole)])
    }

    /// "Actually it's unit 5", of a complaint on unit 3.
    fn of_another_unit(&self, name: &str, about: &Named) -> Option<String> {
        let number = name.strip_prefix("unit ").or_else(|| name.strip_prefix("number "))?;
        let (words, about) = (self.case_words.clone(), about.clone());
        unit_put_in(number, &Earlier { words, numbers: Vec::new(), about })
    }

    /// "Scrub that, it was tees 1 they did": what was stored before other talk is put right.
    pub(super) fn puts_earlier_right(
        &mut self,
        knowledge: &Knowledge,
        words: &str,
    ) -> Option<Actions<C>> {
        let stored = self.stored.as_ref().filter(|stored| !stored.is_latest())?;
        if self.proposal.is_some() || self.walking.is_some() || asks(words) {
            return None;
        }
        let lower = words.trim().trim_end_matches(['.', '!']).to_lowercase();
        let back = TAKES_BACK.iter().any(|start| lower.starts_with(start));
        let of_work = OF_WORK.iter().any(|end| lower.ends_with(end));
        let rest = without_correction(words)?;
        let of = stored.earlier().clone();
        let lean = put_in(words, &of, "").map(FollowUp::Words).or_else(|| follow_up(words, &of, true));
        // A number, day, name or part of what was talked of since is put right there.
        let since = follow_up(words, &self.earlier, true).is_some()
            && self.earlier.words != of.words;
        let leans = matches!(lean, Some(FollowUp::Words(_))) && (!since || back);
        let names = (back || of_work) && rest.split_whitespace().count() <= NAME_WORDS_MAX + 1;
        if !leans && !names {
            return None;
        }
        self.stored_again(&of);
        match lean {
            Some(lean) => {
                self.turn.amends = true;
                Some(self.leaning(knowledge, lean))
            }
            None => Some(vec![Action::PutRight(rest.to_owned())]),
        }
    }

    /// Words that tell of work at second hand, of the part that was spoken of, or of what was told
    /// before, whole.
    pub(super) fn told_of_before(&self, words: &str) -> Option<String> {
        if let Some(whole) = self.booked_now(words) {
            return Some(whole);
        }
        let told = told_by(words);
        let text = told.as_deref().unwrap_or(words);
        let whole = new_one_put_in(text, &self.part_said).or_else(|| self.part_put_in(text));
        whole.or(told)
    }

    /// "So when's the next one due", of the part that was spoken of.
    pub(super) fn due_of_the_part(&self, words: &str) -> Option<String> {
        const WORDS_MAX: usize = 9;
        let parts: Vec<&str> = words.split_whitespace().collect();
        let said: Vec<String> = parts.iter().map(|word| bare(word)).collect();
        let says = |word: &str| said.iter().any(|one| one == word);
        let names = |word: &&str| PARTS.contains(word) || HEADS.contains(word);
        let named = said.iter().map(String::as_str).any(|word| names(&word));
        let at = said.iter().position(|word| word == "one" || word == "it")?;
        let due = says("due") || says("want") || (says("next") && says("when"));
        if named || !due || self.part_said.is_empty() || said.len() > WORDS_MAX {
            return None;
        }
        let machine = short(&self.context.subject);
        let machine = machine.split(',').next().unwrap_or_default().replace('-', " ");
        (!self.context.subject.is_empty())
            .then(|| format!("when is the {} due on the {machine}", self.part_said))
            .filter(|_| at > 0)
    }

    /// "We do about 20 hours a week", after what is due: the question with the rate in it.
    pub(super) fn due_at_a_rate(&self, words: &str) -> Option<String> {
        const WORDS_MAX: usize = 14;
        let (_, topic) = self.context.question.as_ref()?;
        // "What is due at 20 hours a week" asks for itself.
        let few = words.split_whitespace().count() <= WORDS_MAX && !words.contains("due");
        let told = topic == "due" && few && self.proposal.is_none() && !words.trim_end().ends_with('?');
        let hours = hours_a_week(words).filter(|_| told)?;
        let before = self.earlier.words.trim_end_matches(['?', '.', '!', ' ']);
        (!before.is_empty()).then(|| format!("{before}, at {hours} hours a week"))
    }

    /// "Put it down then, 121.3 mm now": with the work that was told before.
    fn booked_now(&self, words: &str) -> Option<String> {
        let lower = words.to_lowercase();
        let at = BOOKING.iter().find_map(|start| lower.find(start).filter(|at| *at < 12)
            .map(|at| at + start.len()))?;
        let rest = words.get(at..)?.trim_start_matches([',', '.', ' ', ':']);
        let rest = after(rest, "then").unwrap_or(rest).trim_start_matches([',', '.', ' ', ':']);
        let told = (!self.deed_said.is_empty()).then_some(&self.deed_said)?;
        (!rest.is_empty() && !rest.ends_with('?')).then(|| format!("record that, {told}, {rest}"))
    }

    /// "Changed it again on Friday": the part that was spoken of.
    fn part_put_in(&self, words: &str) -> Option<String> {
        // "Did those on Friday" tells.
        let lower = words.to_lowercase();
        let behind = ["did those ", "did them ", "did it ", "did that "].iter()
            .find_map(|start| lower.strip_prefix(start));
        // "Did it hold" asks.
        let told = behind.is_some_and(|rest| {
            let next = rest.split_whitespace().next().map(bare).unwrap_or_default();
            !OUTCOMES.contains(&next.as_str())
        });
        let asks = (asks(words) && !told) || words.trim_end().ends_with('?');
        if self.part_said.is_empty() || self.context.case.is_some() || asks
            || self.proposal.is_some() {
            return None;
        }
        let parts: Vec<&str> = words.split_whitespace().collect();
        let at = (1..parts.len()).find(|at| {
            let it = matches!(bare(parts[*at]).as_str(), "it" | "them" | "that" | "those");
            it && matches!(
                bare(parts[*at - 1]).as_str(),
                "changed" | "replaced" | "swapped" | "renewed" | "fitted" | "did" | "done" | "ground" | "sharpened"
            )
        })?;
        let named = parts.iter().any(|word| PARTS.contains(&bare(word).as_str()));
        let next = parts.get(at + 1).map(|word| bare(word)).unwrap_or_default();
        let noun = matches!(bare(parts[at]).as_str(), "that" | "those") && next.len() > 3 && next != "today";
        if named || noun {
            return None;
        }
        let whole = words_put_in(&parts, at..at + 1, &format!("the {}", self.part_said));
        Some(if told { format!("we {whole}") } else { whole })
    }
}

/// "Changed em all", "put a new one on", "blade bent, binned, new one on": the part that its own words
/// name before, else the one that was spoken of.
fn new_one_put_in(words: &str, said: &str) -> Option<String> {
    const CHANGED: &[&str] = &["changed", "replaced", "swapped", "renewed", "fitted", "swopped"];
    if words.trim_end().ends_with('?') || asks(words) {
        return None;
    }
    let parts: Vec<&str> = words.split_whitespace().collect();
    let text: Vec<String> = parts.iter().map(|word| bare(word)).collect();
    let word = |at: usize| text.get(at).map_or("", String::as_str);
    let part_before = |at: usize| {
        text[..at].iter().rev().find(|word| PARTS.contains(&word.as_str())).cloned()
    };
    let any = text.iter().any(|word| PARTS.contains(&word.as_str()));
    let spoken_of = || (!any && !said.is_empty()).then(|| said.to_owned());
    let part_of = |at: usize| part_before(at).or_else(spoken_of);
    // "Changed em all".
    let them = (1..parts.len()).find(|at| {
        matches!(word(*at), "em" | "'em" | "them") && CHANGED.contains(&word(at - 1))
    });
    if let Some(at) = them {
        let part = part_of(at)?;
        let all = matches!(word(at + 1), "all" | "both");
        let put = if all { format!("{} the {part}", word(at + 1)) } else { format!("the {part}") };
        return Some(words_put_in(&parts, at..at + 1 + usize::from(all), &put));
    }
    let new = (0..parts.len()).find(|at| {
        word(*at) == "new" && matches!(word(at + 1), "one" | "ones" | "set" | "pair")
            && !matches!(word(at + 2), "of" | "is" | "has" | "was")
    })?;
    let part = part_of(new)?;
    let on = matches!(word(new + 2), "on" | "in" | "fitted");
    let end = new + 2 + usize::from(on);
    let before = new.checked_sub(1).map(word).unwrap_or_default();
    let article = matches!(before, "a" | "the");
    let verb = new.checked_sub(1 + usize::from(article)).map(word).unwrap_or_default();
    let done = CHANGED.contains(&verb) || matches!(verb, "put" | "got" | "stuck");
    if !(done || on) {
        return None;
    }
    let from = new - usize::from(article) - usize::from(done);
    let sign = if parts[end - 1].ends_with(',') { "," } else { "" };
    let put = format!("fitted a new {part}{sign}");
    // Told first, so that it is the work.
    let rest: Vec<&str> = [&parts[..from], &parts[end..]].concat();
    let rest = rest.join(" ");
    let rest = rest.trim_matches([',', ' ']);
    if from == 0 {
        return Some(format!("{put} {rest}").trim_end().to_owned());
    }
    Some(format!("{}, {rest}", put.trim_end_matches(',')))
}

/// "We ground it last week actually, did nobody write it down?": what was done, as it was told.
fn deed_of(words: &str) -> Option<String> {
    const WHO: &[&str] = &["we", "i", "he", "she", "they", "apprentice", "lad"];
    let clause = words.split([',', '?', '.', ';']).next()?.trim();
    let said: Vec<String> = clause.split_whitespace().map(str::to_lowercase).collect();
    let said: Vec<String> = said
        .into_iter()
        .filter(|word| !matches!(word.as_str(), "have" | "has" | "had" | "just" | "already" | "only" | "also"))
        .collect();
    let does = said.windows(2).any(|pair| {
        WHO.contains(&pair[0].as_str()) && DEEDS.contains(&pair[1].as_str())
    });
    let asks_first = said.first().is_some_and(|word| {
        matches!(word.as_str(), "when" | "who" | "what" | "did" | "why" | "how" | "have" | "has" | "which")
    });
    let clause = clause.strip_suffix(" actually").unwrap_or(clause);
    (does && !asks_first).then(|| clause.to_owned())
}

/// "The triplex squeals", and then "walker 2": the machine was called by part of its name.
fn called_by_part(words: &str, name: &str, about: &Named) -> Option<String> {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let is = |at: &usize| HEADS.contains(&bare(parts[*at]).as_str())
        && about.has(&bare(parts[*at]));
    let mut found = (0..parts.len()).filter(is);
    let (Some(at), None) = (found.next(), found.next()) else { return None };
    let of_name = |at: usize| about.has(&bare(parts[at])) || matches!(bare(parts[at]).as_str(), "the" | "no" | "number");
    let first = (0..at).rev().take_while(|at| of_name(*at)).last().unwrap_or(at);
    let number = |at: usize| parts.get(at).is_some_and(|word| bare(word).parse::<u32>().is_ok());
    let unit = parts.get(at + 1).is_some_and(|word| bare(word) == "unit") && number(at + 2);
    let last = at + if unit { 2 } else { usize::from(number(at + 1)) };
    let sign = if parts[last].ends_with([',', '.']) { &parts[last][parts[last].len() - 1..] } else { "" };
    let put = format!("{name}{sign}");
    Some([&parts[..first], &[put.as_str()], &parts[last + 1..]].concat().join(" "))
}

/// A word without the signs around it, small.
fn bare(word: &str) -> String {
    word.trim_matches([',', '.', '?', '!']).to_lowercase()
}

/// The machine or unit that words name instead, when they tell nothing else.
fn machine_meant(knowledge: &Knowledge, words: &str) -> Option<String> {
    let text = words.trim().trim_end_matches(['.', '!']);
    let numbered = text.replace("No. ", "No ").replace("no. ", "no ");
    let mut name = None;
    for clause in numbered.split([',', ';', '.']).map(str::trim)
        .filter(|clause| !clause.is_empty()) {
        let lower = clause.to_lowercase();
        let bare = lower.split_once(" that ").map_or(lower.as_str(), |(bare, _)| bare);
        let bare = bare.strip_suffix(" after all").unwrap_or(bare);
        let denied = bare.split_whitespace().any(|word| word == "not" || word == "isn't" || word == "wasn't");
        let hedges = UNSURE.iter().chain(HEDGES).any(|sign| lower.contains(sign));
        let rest: Vec<&str> = bare.split_whitespace().skip_while(|word| BEFORE.contains(word))
            .collect();
        // "No 2 walker": the word belongs to its name.
        let surface = |word: &str| matches!(word, "tees" | "greens" | "fairway" | "fairways" | "five" | "rough" | "pitch");
        let surfaces = rest.iter().all(|word| surface(word) || word.parse::<u32>().is_ok());
        let named = rest.iter().any(|word| HEADS.contains(word)) || (surfaces && surface(rest.first().unwrap_or(&"")));
        let number = rest.first().is_some_and(|word| word.parse::<u32>().is_ok()) && lower.contains("no ");
        let unit = rest.len() == 2 && matches!(rest[0], "unit" | "number");
        if denied || (hedges && !named) || rest.is_empty() {
            continue;
        }
        // "The walker, no 2".
        if let (Some(before), true, [of]) = (&name, number, &rest[..]) {
            name = Some(format!("{before} {of}"));
            continue;
        }
        if rest.len() > NAME_WORDS_MAX || !(named || unit) {
            return None;
        }
        let said = if number { format!("no. {}", rest.join(" ")) } else { rest.join(" ") };
        name = Some(match name {
            Some(before) => format!("{before} {said}"),
            None => said,
        });
    }
    let ear = &knowledge.ear;
    let name: String = name?;
    // "The tees": their mower.
    let lone = matches!(name.as_str(), "tees" | "greens" | "fairway" | "fairways" | "rough");
    let name = if lone { format!("{name} mower") } else { name };
    let leans = without_correction(words).is_some()
        || BEFORE.contains(&words.split_whitespace().next()?.to_lowercase().as_str());
    // That it is one unit is no other sign.
    let of_place = |id: &str| {
        knowledge.finding(id).is_some_and(|row| row.title.to_lowercase().contains("unit"))
    };
    let heard = ear.hear(&ear.read(&name)).heard;
    let signs = heard.iter().any(|heard| heard.present && !of_place(&heard.finding));
    (leans && !signs).then_some(name)
}

/// "Greens-triplex, unit 2" of a resource name.
fn short(name: &str) -> String {
    let parts: Vec<&str> = name.split('/').skip(2).collect();
    let ids: Vec<&str> = parts.chunks(2).filter_map(|pair| pair.get(1).copied()).collect();
    match ids[..] {
        [machine, unit] => format!("{machine}, unit {unit}"),
        [machine] => machine.to_owned(),
        _ => "what was said".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_was_told_beside_a_question_is_kept() {
        let told = deed_of("We ground it last week actually, did nobody write it down?");
        assert_eq!(told.as_deref(), Some("We ground it last week"));
        assert_eq!(deed_of("when did we grind it"), None);
    }

    #[test]
    fn the_new_one_is_the_part_that_was_spoken_of() {
        for (words, said, wanted) in [
            ("changed em all today, 90 min", "blades", Some("changed all the blades today, 90 min")),
            ("put a new one on yest", "belt", Some("fitted a new belt yest")),
            ("blade bent 6mm, binned, new one on", "", Some("fitted a new blade, blade bent 6mm, binned")),
            ("fitted a new one, 45 min", "brush", Some("fitted a new brush, 45 min")),
            ("put a new one on", "", None),
            ("is the new one on?", "belt", None),
            ("new one is slack", "belt", None),
        ] {
            assert_eq!(new_one_put_in(words, said).as_deref(), wanted, "{words}");
        }
    }

    #[test]
    fn a_machine_called_by_part_of_its_name_gives_way_to_another() {
        let about = Named::of("sites/home/machines/bank-triplex/units/2");
        for (words, wanted) in [
            ("the triplex is squealing", "walker 2 is squealing"),
            ("bank triplex 2 squeals, and the lad heard it", "walker 2 squeals, and the lad heard it"),
        ] {
            assert_eq!(called_by_part(words, "walker 2", &about).as_deref(), Some(wanted), "{words}");
        }
        assert_eq!(called_by_part("it squeals", "walker 2", &about), None);
    }
}
