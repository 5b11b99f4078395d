//! Which single records are asked about: the machines and units, the days, and the words of the
//! work or the fault? "When was unit 3 of the five last lapped" is the last of `lapped` on that unit.
//! Deliberately absent: what is asked (`fleet`), and finding the records (`domain::recall`).

use jiff::ZonedDateTime;

use super::fleet::{Part, id_and_told};
use super::kind::CommandKind;
use super::subjects::Mention;
use super::{Command, Interpretation, Reader, understood};
use crate::domain::language::text::Kind;
use crate::domain::records::SubjectName;
use crate::domain::said::numerals::SMALL;

/// A question to single records.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    pub asked: crate::domain::recall::Asked,
    /// Empty: the whole shop.
    pub subjects: Vec<SubjectName>,
    /// Words of the work, part or fault; empty: any.
    pub words: String,
    pub start: Option<ZonedDateTime>,
    pub end: Option<ZonedDateTime>,
}

impl Reader<'_> {
    /// A question to single records, of the part `id` in `fleet::PARTS`.
    pub(super) fn past(
        &self,
        asked: crate::domain::recall::Asked,
        id: &'static str,
        told: &str,
    ) -> Interpretation {
        let period = self.period();
        let subjects = self.asked_about();
        let words = self.matter_without(id, period.as_ref().map(|said| (said.first, said.last)));
        let when = period.as_ref().map_or_else(String::new, |said| format!(", {}", said.told()));
        let (start, end) = period.map_or((None, None), |said| (said.start, said.end));
        let past = Past { asked, subjects, words, start, end };
        self.past_in_words(past, (id, told), &when)
    }

    /// A question before, asked again.
    pub(super) fn told_past(&self, past: Past) -> Interpretation {
        let (id, told) = id_and_told(Part::Single(past.asked));
        let day = |time: &ZonedDateTime| time.strftime("%-d %b %Y").to_string();
        let when = match (&past.start, &past.end) {
            (Some(start), Some(end)) => format!(", {} to before {}", day(start), day(end)),
            (Some(start), None) => format!(", from {}", day(start)),
            (None, Some(end)) => format!(", before {}", day(end)),
            (None, None) => String::new(),
        };
        self.past_in_words(past, (id, told), &when)
    }

    fn past_in_words(&self, past: Past, (id, told): (&str, &str), when: &str) -> Interpretation {
        let of = match &past.subjects[..] {
            [] => String::new(),
            several => {
                let names: Vec<String> = several.iter().map(understood::short).collect();
                format!(", for {}", names.join(" and "))
            }
        };
        let what =
            if past.words.is_empty() { String::new() } else { format!(" \"{}\"", past.words) };
        let understood = format!("{told}{what}{of}{when}.");
        Interpretation {
            topic: id.to_owned(),
            ..self.answer(CommandKind::Search, understood, Command::Past(past))
        }
    }

    /// Units that are named, else machines, else areas; else what the words point at.
    fn asked_about(&self) -> Vec<SubjectName> {
        let mut names = self.named_here();
        names.sort();
        names.dedup();
        if names.is_empty() { self.pointed_at().into_iter().collect() } else { names }
    }

    /// Units of the shop that are named, else machines, else areas.
    pub(super) fn named_here(&self) -> Vec<SubjectName> {
        let named = &self.heard.named;
        let known = |list: &[Mention]| -> Vec<SubjectName> {
            list.iter().filter(|one| one.known).map(|one| one.name.clone()).collect()
        };
        let mut all = [&named.units, &named.machines, &named.areas].into_iter();
        all.find_map(|list| Some(known(list)).filter(|names| !names.is_empty())).unwrap_or_default()
    }

    /// The words that name work, part or fault: those that are no name, no day and no asking.
    /// `id`: of the part that is asked, whose own words are left out too.
    pub(super) fn matter_without(&self, id: &str, period: Option<(usize, usize)>) -> String {
        let named = &self.heard.named;
        let all = named.machines.iter().chain(&named.units).chain(&named.areas);
        let known = all.filter(|mention| mention.known);
        let mut taken: Vec<(usize, usize)> =
            known.map(|mention| (mention.first, mention.last)).collect();
        taken.extend(period);
        let asking = self.heard.cues.iter().filter(|cue| {
            cue.family == "asking" && (cue.id == "word" || cue.id == id)
        });
        for place in asking.flat_map(|cue| &cue.words).map(|word| &self.spoken.places[*word]) {
            taken.push((place.first, place.last));
        }
        let tokens = &self.spoken.tokens;
        let small = &self.knowledge.ear.small_words;
        let free = |at: usize| !taken.iter().any(|(first, last)| (*first..=*last).contains(&at));
        let matters = |at: usize| {
            let token = &tokens[at];
            // "Bench two" is somebody; any other number counts.
            let after = at > 0 && free(at - 1) && tokens[at - 1].kind == Kind::Word
                && !small.contains(&tokens[at - 1].stem) && tokens[at - 1].text != "unit";
            match token.kind {
                Kind::Word if is_numeral(&token.text) => after,
                Kind::Word => !small.contains(&token.stem) && !small.contains(&token.text),
                Kind::Number | Kind::Sign => false,
            }
        };
        let words = (0..tokens.len()).filter(|at| free(*at) && matters(*at));
        words.map(|at| tokens[at].text.as_str()).collect::<Vec<_>>().join(" ")
    }
}

fn is_numeral(word: &str) -> bool {
    SMALL.contains(&word)
}
