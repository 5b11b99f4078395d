//! What does a shop's history look like? An invented shop with two seasons of plausible work, to
//! try things out on before one's own records are in. Every machine, area, number and sentence in
//! it is made up; nothing here is evidence of anything. The same seed gives the same shop, and
//! storing it twice stores it once.
//! Deliberately absent: people, makers, and the clock. The seasons are those of 2025 and 2026.
//!
//! Order of reading: fleet (what there is) -> heights, upkeep (the work of every week) -> faults
//! (what went wrong, and why) -> dice (chance that repeats itself).

pub mod dice;
pub mod faults;
mod fleet;
mod heights;
mod upkeep;

use crate::domain::records::{
    Content, Id, Moment, NewRecord, NewSubject, RequestId, SubjectKind, SubjectName, Which,
};

use dice::Dice;

/// Midnight of the first of April 2025, in UTC: day 0 of the history.
const START: Moment = Moment::from_microseconds(1_743_465_600_000_000);
const DAY_S: i64 = 86_400;
/// Weeks of a season, from April to the end of October.
const SEASON_WEEKS: i64 = 31;
/// From the start of one season to that of the next.
const YEAR_WEEKS: i64 = 52;
/// Who did it, by place and not by name.
const HANDS: [&str; 3] = ["bench one", "bench two", "apprentice"];

/// Machines and areas first, then records in the order they were written down.
#[derive(Debug, Clone, PartialEq)]
pub struct Demo {
    pub subjects: Vec<NewSubject>,
    pub records: Vec<NewRecord>,
}

/// The shop, on a site of one's choice.
pub fn shop(site: &Id, seed: u64) -> Demo {
    let mut book = Book { site: site.clone(), seed, dice: Dice::new(seed), records: Vec::new() };
    for machine in fleet::MACHINES {
        upkeep::keep(&mut book, machine);
    }
    heights::on_turf(&mut book);
    faults::befall(&mut book);
    book.records.sort_by_key(|record| (record.time, record.request_id));
    book.correct_two();
    Demo { subjects: fleet::subjects(site), records: book.records }
}

/// The history as it grows.
struct Book {
    site: Id,
    seed: u64,
    dice: Dice,
    records: Vec<NewRecord>,
}

impl Book {
    fn site_name(&self) -> SubjectName {
        SubjectName::Site { site: self.site.clone() }
    }

    fn machine(&self, machine: &str) -> SubjectName {
        named(&self.site_name(), SubjectKind::Machine, machine)
    }

    fn unit(&self, machine: &str, unit: &str) -> SubjectName {
        named(&self.machine(machine), SubjectKind::Unit, unit)
    }

    fn area(&self, area: &str) -> SubjectName {
        named(&self.site_name(), SubjectKind::Area, area)
    }

    /// Writes a record down on a day of the history, at some time of the working morning.
    fn write(&mut self, subject: SubjectName, day: i64, words: String, content: Content) {
        let minute = 6 * 60 + self.dice.whole(0, 360);
        let time = START.plus_seconds(day * DAY_S + minute * 60);
        let done_by = self.dice.one_of(&HANDS);
        self.records.push(NewRecord {
            subject,
            time: Some(time),
            request_id: self.request_id(self.records.len()),
            supersedes: None,
            content: Content { words, done_by: (*done_by).to_owned(), ..content },
        });
    }

    fn request_id(&self, at: usize) -> RequestId {
        let content = format!("demonstration {} {} {at}", self.site, self.seed);
        RequestId::of_content(content.as_bytes())
    }

    /// Two slips of the pen, as they happen: a meter reading with a figure too many, put right the
    /// same day, and a record that was written down twice and withdrawn.
    fn correct_two(&mut self) {
        let metered = |record: &NewRecord| record.content.machine_hours_h.is_some();
        let Some(at) = self.records.iter().position(metered) else { return };
        let right = self.records[at].clone();
        let wrong = &mut self.records[at].content;
        wrong.machine_hours_h = wrong.machine_hours_h.map(|hours| hours * 10.0);
        let mut amendment = NewRecord { request_id: self.request_id(self.records.len()), ..right };
        amendment.supersedes = Some(Which::Request(self.records[at].request_id));
        "The meter has one figure less than was first written."
            .clone_into(&mut amendment.content.notes);
        self.records.push(amendment);

        let doubled = self.records[self.records.len() / 2].clone();
        let double = NewRecord { request_id: self.request_id(self.records.len()), ..doubled };
        let mut withdrawal =
            NewRecord { request_id: self.request_id(self.records.len() + 1), ..double.clone() };
        withdrawal.supersedes = Some(Which::Request(double.request_id));
        withdrawal.content.withdrawn = true;
        "Written down twice.".clone_into(&mut withdrawal.content.notes);
        self.records.extend([double, withdrawal]);
    }
}

fn named(parent: &SubjectName, kind: SubjectKind, id: &str) -> SubjectName {
    let id = Id::parse("id", id).expect("the ids of the fleet are ids");
    parent.child(kind, id).expect("the fleet's units are on machines, its areas on the site")
}

/// Weeks of both seasons, counted from the first.
fn season_weeks() -> impl Iterator<Item = i64> {
    (0..SEASON_WEEKS).chain(YEAR_WEEKS..YEAR_WEEKS + SEASON_WEEKS)
}
