//! A small shop built by hand: one machine whose meter runs as told, and units on it.

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::fleet::{Books, DAY_US, Entry};
use sward_core::domain::records::detail::{FaultFixed, Hours};
use sward_core::domain::records::subject::{Facts, Label, Machine, Unit};
use sward_core::domain::records::{Content, Detail, Moment, Subject, SubjectName};

/// Midnight of the first of April 2025.
pub const START: Moment = Moment::from_microseconds(1_743_465_600_000_000);

pub fn day(days: f64) -> Moment {
    Moment::from_microseconds(START.microseconds() + (days * DAY_US as f64) as i64)
}

pub fn name(text: &str) -> SubjectName {
    SubjectName::parse("name", text).expect(text)
}

pub fn subject(text: &str, facts: Facts) -> Subject {
    let name = name(text);
    Subject {
        label: Label { display_name: name.id().to_string(), ..Label::default() },
        name,
        facts,
        created: START,
        updated: START,
        version: 1,
    }
}

/// Records as they would be read, kept with what they borrow.
#[derive(Default)]
pub struct Written {
    rows: Vec<(SubjectName, Moment, Content)>,
}

impl Written {
    pub fn write(&mut self, subject: &str, time: Moment, detail: Detail) -> &mut Content {
        self.rows.push((name(subject), time, Content::new(detail)));
        &mut self.rows.last_mut().expect("just written").2
    }

    pub fn meter(&mut self, subject: &str, time: Moment, hours: f64) {
        let content = self.write(subject, time, Detail::Hours(Hours::default()));
        content.machine_hours_h = Some(hours);
    }

    pub fn fault(&mut self, subject: &str, time: Moment, cause: &str, fixed: Option<bool>) {
        let fault = FaultFixed {
            cause: cause.to_owned(),
            procedure: "set_reel_to_bedknife".to_owned(),
            fixed,
            ..FaultFixed::default()
        };
        self.write(subject, time, Detail::FaultFixed(fault));
    }

    pub fn books(&self, subjects: &[Subject], now: Moment) -> Books {
        let entries = self.rows.iter().map(|(subject, time, content)| Entry {
            subject,
            time: *time,
            content,
        });
        Books::of(subjects, entries, now)
    }
}

/// A machine with so many reel units, called 1, 2 and so on.
pub fn machine(units: usize) -> Vec<Subject> {
    let reel = |at: usize| {
        let facts = Unit { equipment: Some(Equipment::ReelUnit), ..Unit::default() };
        subject(&format!("sites/home/machines/m/units/{at}"), Facts::Unit(facts))
    };
    let whole = subject("sites/home/machines/m", Facts::Machine(Machine::default()));
    std::iter::once(whole).chain((1..=units).map(reel)).collect()
}
