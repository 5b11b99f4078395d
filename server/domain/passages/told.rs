//! What is answered to a question to the knowledge? A passage that answers it, shortly, and what it
//! rests on; nothing where no passage does.

use super::form::Form;
use super::{Found, Passages, Source, job, one_go};
use crate::domain::catalogue::{Acceptance, Basis, Knowledge, Note};
use crate::domain::units::plain;

/// A cause shows a finding when it does so in half the cases.
const SHOWS: f64 = 0.5;
/// Signs that are named.
const NAMED_MAX: usize = 5;
/// A word is defined by a note whose title is about little else.
const DEFINES: f64 = 0.4;
/// So much of what is asked, by weight, stands in the title of a note that defines it.
const OWN_MIN: f64 = 0.65;
/// Words of a paragraph that tells how something shows.
const SHOWING: &[&str] = &["On turf", "looks", "shows", "Look at", "bright", "line"];
/// A passage is about what is asked when so much of it, by weight, stands in its title.
const TITLED_MIN: f64 = 0.5;
/// All of it.
const ALL_TITLED: f64 = 0.99;
/// So much of what is asked, by weight, stands in one paragraph and the title.
const TOGETHER_MIN: f64 = 0.6;
/// Beginnings of titles of notes that say by themselves what is good.
pub(crate) const GOOD_TITLES: &[&str] =
    &["What a good", "How tight", "How light", "How much", "How deep", "Which grit", "What torque"];
/// So much of the title of such a note is asked about.
const ABOUT_IT: f64 = 0.3;
/// A range of a reading that is as wide only says what can be.
const SAYS_LITTLE: f64 = 50.0;
/// Words of a title that tells what goes wrong.
const WARNING: &[&str] = &["wrong", "mistake", "What happens", "happens when"];
/// Stands between the things that are compared.
pub const OR: &str = " or ";
/// Stands between the title of a note and the words that ask.
pub const NAMED: &str = ": ";
/// Questions when no number is said.
const QUESTIONS: usize = 3;

/// An answer, and what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    pub lines: Vec<String>,
    pub basis: Option<Basis>,
    /// Note in which more stands: id and title.
    pub more: Option<(String, String)>,
}

impl Told {
    pub(super) fn of(lines: Vec<String>, basis: Option<Basis>) -> Told {
        Told { lines, basis, more: None }
    }
}

/// The answer to a question of this form about these words; none when nothing answers it.
pub fn answer(knowledge: &Knowledge, passages: &Passages, form: Form, query: &str) -> Option<Told> {
    if form == Form::Differ {
        return differ(knowledge, passages, query);
    }
    if form == Form::Named {
        return named(knowledge, passages, query);
    }
    if query.starts_with(one_go::ONE_GO) {
        return one_go::answer(knowledge, query);
    }
    let asked = passages.terms.of(query);
    let of = Asking { knowledge, passages, asked: &asked };
    if form == Form::Wear {
        return of.wear();
    }
    if form == Form::Judge {
        return of.judged(query);
    }
    if asked.is_empty() {
        return None;
    }
    if form.of_a_job() {
        return of.job(form, query);
    }
    match form {
        Form::Define | Form::Use => of.defined().or_else(|| of.named()),
        Form::Looks | Form::Signs => of.signs(),
        Form::Good => of.good(),
        Form::Order => of.order(),
        Form::Wrong => of.wrong(),
        Form::Method => of.method(),
        Form::Often => of.often().or_else(|| of.numbered()),
        _ => of.why(),
    }
}

/// What the note whose title begins the words says of the rest of them.
fn named(knowledge: &Knowledge, passages: &Passages, query: &str) -> Option<Told> {
    let of = |row: &&Note| {
        query.strip_prefix(row.title.as_str()).is_some_and(|rest| rest.starts_with(NAMED))
    };
    let row = knowledge.notes.iter().find(of)?;
    let asked = passages.terms.of(&query[row.title.len()..]);
    Some(Asking { knowledge, passages, asked: &asked }.passage(row, None))
}

/// One question.
pub(super) struct Asking<'a> {
    pub(super) knowledge: &'a Knowledge,
    pub(super) passages: &'a Passages,
    pub(super) asked: &'a [String],
}

impl Asking<'_> {
    pub(super) fn notes(&self) -> Vec<(Found, &Note)> {
        let found = self.passages.find(self.asked, |source| matches!(source, Source::Note(_)));
        let row = |found: Found| match found.source {
            Source::Note(at) => self.knowledge.notes.get(at).map(|row| (found, row)),
            _ => None,
        };
        found.into_iter().filter_map(row).collect()
    }

    pub(super) fn note(&self) -> Option<Told> {
        let notes = self.notes();
        // A note that only mentions the words by the way answers nothing, nor does one that holds
        // them in different places.
        let (found, row) = notes.iter().find(|(_, row)| self.holds_together(row))?;
        let told = found.to_the_point > 0.0 || (found.covered > 0.9 && self.asked.len() > 1);
        let next = notes.iter().map(|(_, row)| *row).find(|other| other.id != row.id);
        told.then(|| self.passage(row, next))
    }

    /// So much of what is asked stands among these words, by weight.
    fn share_in(&self, held: &[String]) -> f64 {
        let weigh = |words: &mut dyn Iterator<Item = &String>| -> f64 {
            words.map(|word| self.passages.weight(word)).sum()
        };
        let whole = weigh(&mut self.asked.iter());
        weigh(&mut self.asked.iter().filter(|word| held.contains(word))) / whole.max(f64::EPSILON)
    }

    /// Whether one paragraph, with the title, holds most of what is asked.
    fn holds_together(&self, row: &Note) -> bool {
        let title = self.passages.terms.of(&row.title);
        row.text.split("\n\n").any(|text| {
            let mut held = self.passages.terms.of(text);
            held.extend(title.iter().cloned());
            self.share_in(&held) >= TOGETHER_MIN
        })
    }

    /// A note that is about it, else the why of a step or the caution that is, else any note.
    fn why(&self) -> Option<Told> {
        let notes = self.notes();
        let gives = |(found, row): &&(Found, &Note)| {
            row.title.starts_with("Why") && found.titled >= TITLED_MIN && found.covered > 0.9
        };
        if let Some((_, row)) = notes.iter().find(gives) {
            return Some(self.passage(row, None));
        }
        if notes.first().is_some_and(|(found, _)| found.titled >= TITLED_MIN) {
            return self.note();
        }
        self.caution().or_else(|| self.step()).or_else(|| self.note())
    }

    fn caution(&self) -> Option<Told> {
        let found = self.passages.find(self.asked, |source| matches!(source, Source::Caution(_)));
        let best = found.first().filter(|found| found.titled >= TITLED_MIN)?;
        let Source::Caution(at) = best.source else { return None };
        let row = self.knowledge.cautions.get(at)?;
        let basis = match row.source.as_str() {
            "common practice" => Basis::CommonPractice,
            id => Basis::Published(id.to_owned()),
        };
        let from = format!("From the caution \"{}\".", row.title);
        Some(Told::of(vec![row.text.clone(), from], Some(basis)))
    }

    fn named(&self) -> Option<Told> {
        let notes = self.notes();
        let (found, row) = notes.first()?;
        let whole = found.covered > 0.9 && found.to_the_point > 0.0;
        whole.then(|| self.passage(row, None))
    }

    /// The paragraph of a note that holds most of what is asked beside its title; the first one
    /// says what the title promises.
    fn passage(&self, row: &Note, next: Option<&Note>) -> Told {
        let title = self.passages.terms.of(&row.title);
        let mut best: Option<(f64, &str)> = None;
        for text in row.text.split("\n\n") {
            let held = self.passages.terms.of(text);
            let held = self.asked.iter().filter(|word| held.contains(word));
            let beside = held.filter(|word| !title.contains(word));
            let score: f64 = beside.map(|word| self.passages.weight(word)).sum();
            if best.is_none_or(|(before, _)| score > before + 1e-9) {
                best = Some((score, text));
            }
        }
        let text = best.map_or(row.text.as_str(), |(_, text)| text);
        let text = self.knowledge.with_titles(&text.replace('\n', " "));
        let from = format!("From the note \"{}\" (sward guide note {}).", row.title, row.id);
        let lines = vec![text, from];
        let more = next.map(|row| (row.id.clone(), row.title.clone()));
        Told { lines, basis: Some(row.basis.clone()), more }
    }

    /// A note that says what the words mean, its first paragraph.
    fn defined(&self) -> Option<Told> {
        self.defining().map(|(row, _)| self.first_of(row))
    }

    /// The first paragraph of a note, which says what its title promises.
    pub(super) fn first_of(&self, row: &Note) -> Told {
        let first = row.text.split("\n\n").next().unwrap_or_default().replace('\n', " ");
        let from = format!("From the note \"{}\" (sward guide note {}).", row.title, row.id);
        Told::of(vec![first, from], Some(row.basis.clone()))
    }

    /// How a thing shows: where a note that says what it is tells of it.
    fn shown(&self) -> Option<Told> {
        let (row, basis) = self.defining()?;
        let mut parts = row.text.split("\n\n");
        let shows = |text: &&str| SHOWING.iter().any(|word| text.contains(word));
        let text = parts.clone().find(shows).or_else(|| parts.next())?.replace('\n', " ");
        let from = format!("From the note \"{}\" (sward guide note {}).", row.title, row.id);
        Some(Told::of(vec![text, from], Some(basis)))
    }

    fn defining(&self) -> Option<(&Note, Basis)> {
        let notes = self.notes();
        let whole: f64 = self.asked.iter().map(|word| self.passages.weight(word)).sum();
        let defines = |(found, row): &&(Found, &Note)| {
            let title = self.passages.terms.of(&row.title);
            let own = self.asked.iter().filter(|word| title.contains(word));
            let own: f64 = own.map(|word| self.passages.weight(word)).sum();
            let own = own >= OWN_MIN * whole;
            own && (found.to_the_point >= DEFINES || row.id.starts_with("word_"))
        };
        // A note that explains words comes before one that is about the thing.
        let explains = |(_, row): &&&(Found, &Note)| row.id.starts_with("word_");
        let fit: Vec<&(Found, &Note)> = notes.iter().filter(defines).collect();
        let (_, row) = fit.iter().find(explains).or(fit.first())?;
        Some((*row, row.basis.clone()))
    }

    /// The step whose why holds what is asked.
    fn step(&self) -> Option<Told> {
        let found = self.passages.find(self.asked, |source| matches!(source, Source::Step { .. }));
        let best = found.first().filter(|found| found.covered > 0.75 && self.asked.len() > 1)?;
        let Source::Step { procedure, step } = best.source else { return None };
        let row = self.knowledge.procedures.get(procedure)?;
        let step = row.steps.get(step)?;
        let lines = vec![
            step.why.clone(),
            format!("From \"{}\", step \"{}\".", row.title, step.title),
        ];
        Some(Told::of(lines, Some(row.basis.clone())))
    }

    /// What shows a fault: the words for it, its signs by the decision table, a note.
    fn signs(&self) -> Option<Told> {
        let wanted = |source: Source| matches!(source, Source::Cause(_) | Source::Note(_));
        let found = self.passages.find(self.asked, wanted);
        let cause = found.iter().find_map(|found| match found.source {
            Source::Cause(at) if found.to_the_point > 0.3 => {
                self.knowledge.causes.get(at).map(|row| (found, row))
            }
            _ => None,
        });
        let note = self.shown();
        let Some((_, row)) = cause else { return note.or_else(|| self.note()) };
        let cells = self.knowledge.table.iter();
        let cells = cells.filter(|cell| cell.cause == row.id && cell.equipment == row.equipment);
        let mut shown: Vec<(f64, &str)> = cells
            .filter(|cell| cell.probability >= SHOWS)
            .filter_map(|cell| {
                let finding = self.knowledge.finding(&cell.finding)?;
                Some((cell.probability, finding.title.as_str()))
            })
            .collect();
        shown.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        let shown: Vec<&str> = shown.iter().take(NAMED_MAX).map(|(_, title)| *title).collect();
        let line = format!("{}: it mostly shows {}.", row.title, lower_all(&shown).join("; "));
        match note {
            Some(mut told) => {
                told.lines.push(line);
                Some(told)
            }
            None if shown.is_empty() => None,
            None => Some(Told::of(vec![line], Some(row.basis.clone()))),
        }
    }

    /// Between what a value is good: the targets, the readings, a note with a number.
    fn good(&self) -> Option<Told> {
        let wanted = |source: Source| matches!(source, Source::Target(_) | Source::Reading { .. });
        let found = self.passages.find(self.asked, wanted);
        let mut by_name = found.iter().filter(|found| found.titled >= TITLED_MIN);
        let note = self.numbered();
        let told = by_name.find_map(|found| match found.source {
            Source::Target(at) => {
                let row = self.knowledge.setting_targets.get(at)?;
                let unit = if row.share_of_height { "of the height of cut" } else { &row.unit };
                let (low, high) = (plain(row.low), plain(row.high));
                let range = format!("{}: {low} to {high} {unit}", row.title);
                let line = format!("{}. {}", range.trim_end(), row.how);
                let manual = "The machine's manual wins where it speaks.".to_owned();
                Some(Told::of(vec![line, manual], Some(row.basis.clone())))
            }
            // A range with nothing to go back to only says what can be.
            Source::Reading { procedure, step, reading } => {
                let row = self.knowledge.procedures.get(procedure)?;
                let reading = row.steps.get(step)?.readings.get(reading)?;
                let ranged = match reading.accept {
                    Acceptance::Range { min, max } => max - min < SAYS_LITTLE,
                    Acceptance::Yes => false,
                };
                // What was found or is chosen says nothing of what is good.
                let chosen = reading.label.contains("worked out") || reading.label.contains("to be");
                let found_so = chosen || reading.id.contains("before");
                if !ranged || found_so || reading.otherwise_step.is_none() {
                    return None;
                }
                Some(Told::of(vec![job::good(reading, row)], Some(row.basis.clone())))
            }
            _ => None,
        });
        let titled = self.titled_good();
        titled.or(told).or(note).or_else(|| self.note())
    }

    /// A note that is about just that: its paragraph with the figure or the manual; where its title
    /// says what is good, its first.
    fn titled_good(&self) -> Option<Told> {
        let notes = self.notes();
        let asks = |row: &Note| GOOD_TITLES.iter().any(|start| row.title.starts_with(start));
        let whole = |found: &Found, titled_min: f64| {
            found.titled >= titled_min && found.to_the_point >= ABOUT_IT
        };
        // Of two whose titles hold all that is asked, the one that says how much.
        let first = notes.iter().find(|(found, row)| asks(row) && whole(found, ALL_TITLED));
        let (_, row) = first.or_else(|| notes.iter().find(|(found, row)| {
            whole(found, if asks(row) { TITLED_MIN } else { OWN_MIN })
        }))?;
        if asks(row) {
            return Some(self.first_of(row));
        }
        let figured = |text: &&str| {
            text.chars().any(|ch| ch.is_ascii_digit()) || text.contains("manual")
        };
        let text = row.text.split("\n\n").find(figured)?.replace('\n', " ");
        let from = format!("From the note \"{}\" (sward guide note {}).", row.title, row.id);
        Some(Told::of(vec![self.knowledge.with_titles(&text), from], Some(row.basis.clone())))
    }

    /// The sentence of a note or caution that holds a number, or the manual, and what is asked.
    fn numbered(&self) -> Option<Told> {
        let wanted = |source: Source| matches!(source, Source::Note(_) | Source::Caution(_));
        let found = self.passages.find(self.asked, wanted);
        for found in found.iter().take(NAMED_MAX) {
            let (text, from, basis) = match found.source {
                Source::Note(at) => {
                    let row = self.knowledge.notes.get(at)?;
                    (&row.text, &row.title, Some(row.basis.clone()))
                }
                Source::Caution(at) => {
                    let row = self.knowledge.cautions.get(at)?;
                    (&row.text, &row.title, None)
                }
                _ => continue,
            };
            let told: Vec<&str> = sentences(text)
                .filter(|one| one.chars().any(|ch| ch.is_ascii_digit()) || one.contains("manual"))
                .filter(|one| {
                    let held = self.passages.terms.of(one);
                    found.titled >= TITLED_MIN && self.asked.iter().any(|word| held.contains(word))
                        || self.share_in(&held) >= TITLED_MIN
                })
                .take(2)
                .collect();
            if !told.is_empty() {
                let lines = vec![told.join(" "), format!("From \"{from}\".")];
                return Some(Told::of(lines, basis));
            }
        }
        None
    }

    fn order(&self) -> Option<Told> {
        let ordering = ["order", "first", "sequence", "middle outwards"];
        let notes = self.notes();
        let fit = notes.iter().find(|(found, row)| {
            let title = row.title.to_lowercase();
            ordering.iter().any(|word| title.contains(word)) && found.covered > 0.5
        });
        if let Some((_, row)) = fit {
            return Some(self.passage(row, None));
        }
        let jobs = job::jobs(self.knowledge, self.passages, self.asked);
        let by_job = jobs.first().map(|row| Told::of(job::order(row), Some(row.basis.clone())));
        by_job.or_else(|| self.note())
    }

    fn wrong(&self) -> Option<Told> {
        let notes = self.notes();
        let warns = |row: &Note| WARNING.iter().any(|word| row.title.contains(word));
        if let Some((_, row)) = notes.iter().find(|(_, row)| warns(row)) {
            return Some(self.passage(row, None));
        }
        let jobs = job::jobs(self.knowledge, self.passages, self.asked);
        let by_job = jobs.first().map(|row| Told::of(job::wrong(row), Some(row.basis.clone())));
        by_job.or_else(|| self.note()).or_else(|| self.signs())
    }

    fn job(&self, form: Form, query: &str) -> Option<Told> {
        // "A sheet for the lads on lapping" is of lapping.
        let of_job = |word: &&String| *word != "operator";
        let asked: Vec<String> = self.asked.iter().filter(of_job).cloned().collect();
        let jobs = job::jobs(self.knowledge, self.passages, &asked);
        let Some(row) = jobs.first() else {
            return if form == Form::Long { self.timed() } else { None };
        };
        let lines = match form {
            Form::Tools => job::tools(row),
            Form::Cautions => job::cautions(self.knowledge, &jobs),
            Form::Sheet => job::sheet(&jobs),
            Form::Whole => job::whole(self.knowledge, row),
            Form::Answers => job::answers(self.knowledge, row),
            Form::Quiz => job::quiz(row, number_in(query).unwrap_or(QUESTIONS)),
            _ => job::time(row),
        };
        let mut told = Told::of(lines, Some(row.basis.clone()));
        if form == Form::Long && let Some(more) = self.timed() {
            told.lines.splice(0..0, more.lines);
        }
        Some(told)
    }

    /// The sentence with a time in it, of a passage that is about what is asked.
    fn timed(&self) -> Option<Told> {
        let wanted = |source: Source| matches!(source, Source::Note(_) | Source::Caution(_));
        let found = self.passages.find(self.asked, wanted);
        let near = found.iter().filter(|found| found.titled >= TITLED_MIN && found.covered > 0.9);
        near.take(NAMED_MAX).find_map(|found| {
            let (text, title) = match found.source {
                Source::Note(at) => {
                    self.knowledge.notes.get(at).map(|row| (&row.text, &row.title))?
                }
                Source::Caution(at) => {
                    self.knowledge.cautions.get(at).map(|row| (&row.text, &row.title))?
                }
                _ => return None,
            };
            let told = sentences(text).find(|one| has_time(one))?;
            Some(Told::of(vec![told.to_owned(), format!("From \"{title}\".")], None))
        })
    }
}

/// "About five minutes", "3 s".
fn has_time(text: &str) -> bool {
    const NUMBERS: &[&str] = &["two", "three", "five", "ten", "fifteen", "twenty", "thirty"];
    const UNITS: &[&str] =
        &["minute", "minutes", "hour", "hours", "second", "seconds", "s", "min", "h"];
    let words: Vec<&str> =
        text.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    words.windows(2).any(|pair| {
        let number = NUMBERS.contains(&pair[0]) || pair[0].parse::<f64>().is_ok();
        number && UNITS.contains(&pair[1])
    })
}

/// Two things held against each other: one passage about both, else what each of them is.
fn differ(knowledge: &Knowledge, passages: &Passages, query: &str) -> Option<Told> {
    let things: Vec<Vec<String>> =
        query.split(OR).map(|one| passages.terms.of(one)).filter(|one| !one.is_empty()).collect();
    if things.len() < 2 {
        return None;
    }
    let both: Vec<String> = things.concat();
    let of = Asking { knowledge, passages, asked: &both };
    let notes = of.notes();
    let titled = notes.iter().find(|(_, row)| {
        let title = passages.terms.of(&row.title);
        things.iter().all(|thing| thing.iter().any(|word| title.contains(word)))
    });
    let whole = titled.or_else(|| notes.first().filter(|(found, _)| found.covered > 0.85));
    if let Some((_, row)) = whole {
        return Some(of.passage(row, None));
    }
    let each: Vec<Option<Told>> = things
        .iter()
        .map(|thing| {
            let of = Asking { knowledge, passages, asked: thing };
            of.defined().or_else(|| of.named())
        })
        .collect();
    if each.iter().any(Option::is_none) {
        return None;
    }
    let each: Vec<Told> = each.into_iter().flatten().collect();
    let basis = each.first().and_then(|told| told.basis.clone());
    Some(Told::of(each.into_iter().flat_map(|told| told.lines).collect(), basis))
}

/// Sentences; a point between figures ends none.
pub(super) fn sentences(text: &str) -> impl Iterator<Item = &str> {
    text.split("\n\n").flat_map(|part| part.split_inclusive(". ")).map(str::trim).filter(|one| {
        one.len() > 3
    })
}

fn lower_all(titles: &[&str]) -> Vec<String> {
    titles
        .iter()
        .map(|title| {
            let mut letters = title.chars();
            letters
                .next()
                .map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
        })
        .collect()
}

const SMALL_NUMBERS: &[&str] = &["one", "two", "three", "four", "five"];

/// A small number in words.
pub fn is_number(word: &str) -> bool {
    SMALL_NUMBERS.contains(&word)
}

/// A small number in words or figures.
fn number_in(text: &str) -> Option<usize> {
    text.split_whitespace().find_map(|word| {
        let named = SMALL_NUMBERS.iter().position(|known| *known == word).map(|at| at + 1);
        let number = named.or_else(|| word.parse().ok());
        number.filter(|number| (1..=job::QUESTIONS_MAX).contains(number))
    })
}
