//! What do the records say when they are asked: when last and by whom, how often, what cured it,
//! did it hold, how long did it take, what does the meter say, how high is it set, which never, is
//! it ready? A manager's questions, each answered in a sentence and the records that it rests on.
//!
//! Order of reading: deeds, work_words and cause_words (which work, which cause is named) -> sieve
//! (which records are meant) -> told (how one reads in a line) -> answers (what they come to),
//! lasted (what held), lacking (which had it never), tally (sums, ranks and spans), heights, hours,
//! standing and season (answers that need the books of the shop) -> side_by_side (two people, years
//! or machines).
//! Deliberately absent: reading records and words; both come in.

pub mod answers;
pub mod cause_words;
pub mod deeds;
mod heights;
pub mod hours;
pub mod lacking;
pub mod lasted;
pub mod season;
pub mod side_by_side;
pub mod sieve;
pub mod standing;
pub mod tally;
pub mod told;
pub mod work_words;

use super::fleet::{Books, Period};
use super::records::{Moment, Record, RecordName, SubjectName};

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// When, by whom or how something was done or found the last time.
    Last,
    /// How many times, how many parts.
    Count,
    /// What was done, found or read.
    History,
    /// What put a fault right.
    Cured,
    /// Whether it stayed so.
    Held,
    /// How long it took.
    Took,
    /// What the meter says, or how many hours it is since.
    Hours,
    /// How high something is set, or was read.
    Height,
    /// Which had it never, or not for longest.
    Never,
    /// Whether anything stands open.
    Ready,
    /// How long parts last.
    Life,
    /// Hours of work, not of the machine.
    Labour,
    /// Hours of the machine from one time to the next.
    Between,
    /// Which took longest.
    Longest,
    /// A stretch of time in a few lines.
    Summary,
    /// Which parts to have at hand.
    Order,
    /// Whether it is true that nobody did it.
    Nobody,
    /// How much of the diameter was taken off.
    Off,
}

/// By what records are told apart, the most first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    Machine,
    Unit,
    Person,
    Month,
    Cause,
}

impl Asked {
    /// A number comes out, so that a record of other work must not count.
    pub fn is_a_figure(self) -> bool {
        use Asked::{Between, Count, Labour, Life, Longest, Never, Nobody, Off, Took};
        matches!(
            self,
            Count | Took | Labour | Between | Life | Longest | Never | Nobody | Off
        )
    }

    /// Work is asked about, and not how long something ran.
    pub fn is_of_doing(self) -> bool {
        use Asked::{Count, History, Last, Never, Nobody, Took};
        matches!(self, Last | History | Count | Never | Nobody | Took)
    }

    /// A part that is named is one that was changed, when no work is named.
    pub fn is_of_parts(self) -> bool {
        use Asked::{Between, Count, Hours, Last, Life, Never, Nobody, Took};
        matches!(self, Count | Life | Last | Never | Nobody | Took | Between | Hours)
    }
}

/// A question.
#[derive(Clone, Debug, PartialEq)]
pub struct Query {
    pub asked: Asked,
    /// Empty: everything of the site.
    pub subjects: Vec<SubjectName>,
    pub from: Option<Moment>,
    /// The first moment after.
    pub until: Option<Moment>,
    /// Empty: anybody.
    pub done_by: String,
    /// Findings that the fault asked about shows.
    pub findings: Vec<String>,
    /// Causes that the words name.
    pub causes: Vec<&'static str>,
    /// Told apart by this.
    pub by: Option<By>,
    /// So many of the newest are passed over: "the one before".
    pub passed_over: usize,
    /// Only these. Empty: whatever is of the rest.
    pub records: Vec<RecordName>,
}

/// A record that is meant, and how it reads.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub record: Record,
    pub what: String,
    /// What there is to know beside it: "came back 16 May 2026".
    pub remark: String,
}

/// What the records say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// The answer, first of all in one sentence.
    pub lines: Vec<String>,
    /// What it rests on, the newest first.
    pub rows: Vec<Row>,
    /// Records that are meant; more than `rows` when there are many.
    pub total: usize,
    pub notes: Vec<String>,
    /// What comes first where several are told apart, or what the one record is about.
    pub named: Option<SubjectName>,
}

impl Query {
    /// Whether something of this moment is asked about.
    pub fn holds(&self, time: Moment) -> bool {
        self.from.is_none_or(|from| from <= time) && self.until.is_none_or(|until| time < until)
    }

    /// Whether this machine, unit or area is asked about, or something of it.
    pub fn is_about(&self, name: &SubjectName) -> bool {
        self.subjects.is_empty() || self.subjects.iter().any(|asked| asked.holds(name))
    }

    /// The days asked about, as far as there are records.
    pub fn period(&self, books: &Books) -> Period {
        let first = books.work.first().map_or(books.now, |work| work.time);
        let until = self.until.unwrap_or_else(|| books.now.plus_seconds(1));
        Period { from: self.from.unwrap_or(first), until }
    }
}

/// "22 Jul 2026".
pub fn day(moment: Moment) -> String {
    let time = jiff::Timestamp::from_microsecond(moment.microseconds());
    time.map_or_else(|_| super::fleet::date(moment), |time| time.strftime("%-d %b %Y").to_string())
}
