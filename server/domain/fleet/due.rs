//! What is due on each unit, by wear, by the failures of such parts, by the shop's own habit, or by
//! what an inspection said; soonest first, with the interval and the reason.
//! Deliberately absent: a due time where the readings are too few. Then the row says so.

use super::books::{Books, Diameter, LookedAt};
use super::intervals::{Habit, Kind, habits, job, since_job};
use super::lives::{FAILURES_MIN, Lives, lives, running};
use super::parts::{Family, watched};
use super::wear::{TAPER_LIMIT_MM, wear};
use super::{after_days, date, days_between};
use crate::domain::catalogue::{Equipment, UsualInterval};
use crate::domain::records::Moment;
use crate::domain::records::choices::Condition;
use crate::domain::units::decimal;

/// What a due time rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// The line through its diameters.
    Wear,
    /// Failures of such parts here.
    Failures,
    /// How often this shop does it.
    Habit,
    /// What somebody saw.
    Inspection,
    /// What somebody printed, while the shop has no history.
    Usual,
    /// Nothing yet: the readings are too few.
    NotEnough,
}

/// One job on one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// Place among the units of the books.
    pub unit: usize,
    /// What: `reel_grinding`, `reel_diameter`, `bedknife` and so on.
    pub work: String,
    pub title: String,
    pub ground: Ground,
    /// Hours of the machine until it is due; minus when overdue.
    pub left_h: Option<f64>,
    pub left_low_h: Option<f64>,
    pub left_high_h: Option<f64>,
    /// From one time to the next.
    pub interval_h: Option<f64>,
    /// The day on which the hours are up at the pace of the last months.
    pub day: Option<Moment>,
    /// In one sentence.
    pub why: String,
}

impl Due {
    pub fn overdue(&self) -> bool {
        self.left_h.is_some_and(|hours| hours <= 0.0)
    }
}

/// Everything that is due or may become so, soonest first; what nobody can tell stands last.
pub fn due(books: &Books, usual: &[UsualInterval]) -> Vec<Due> {
    let desk = Desk { books, usual, habits: habits(books), lives: lives(books) };
    let mut rows: Vec<Due> = Vec::new();
    for at in 0..books.units.len() {
        desk.of_unit(at, &mut rows);
    }
    for row in &mut rows {
        row.day = row.left_h.and_then(|hours| desk.day(row.unit, hours));
        if row.left_h.is_some()
            && let Some(guess) = desk.reckoned_on(row.unit)
        {
            row.why.push_str(&guess);
        }
    }
    let key = |row: &Due| match (row.left_h, row.day) {
        (Some(hours), _) if hours <= 0.0 => (0, hours),
        (Some(_), Some(day)) => (1, days_between(books.now, day)),
        (Some(hours), None) => (2, hours),
        (None, _) => (3, 0.0),
    };
    rows.sort_by(|a, b| {
        let ((group, value), (other, than)) = (key(a), key(b));
        let named = || (a.unit, &a.work).cmp(&(b.unit, &b.work));
        group.cmp(&other).then(value.total_cmp(&than)).then_with(named)
    });
    rows
}

struct Desk<'a> {
    books: &'a Books,
    usual: &'a [UsualInterval],
    habits: std::collections::BTreeMap<Kind, Habit>,
    lives: std::collections::BTreeMap<(Kind, Family), Lives>,
}

impl Desk<'_> {
    fn day(&self, unit: usize, left_h: f64) -> Option<Moment> {
        let now = self.books.now;
        if left_h <= 0.0 {
            return Some(now);
        }
        let meter = &self.books.machine_of(&self.books.units[unit]).meter;
        let days = left_h / meter.pace_at(now).filter(|pace| *pace > 0.0)?;
        // Further than ten years is no date to plan by.
        (days <= 3_650.0).then(|| after_days(now, days))
    }

    /// That hours since the last reading are a guess, where some are counted.
    fn reckoned_on(&self, unit: usize) -> Option<String> {
        let meter = &self.books.machine_of(&self.books.units[unit]).meter;
        let (read, then_h) = meter.last()?;
        let guess_h = meter.now(self.books.now)? - then_h;
        (guess_h >= 1.0).then(|| {
            let (guess, read) = (decimal(guess_h, 0), date(read));
            format!(" {guess} h of it are a guess, at the pace of before the reading of {read}.")
        })
    }

    fn of_unit(&self, at: usize, rows: &mut Vec<Due>) {
        let unit = &self.books.units[at];
        let Some(kind) = Kind::of(unit) else { return };
        match kind.equipment {
            Equipment::ReelUnit => rows.push(self.diameter(at, "reel_diameter", "Reel worn out")),
            Equipment::RearRollerBrush if !unit.diameters.is_empty() => {
                rows.push(self.diameter(at, "brush_diameter", "Brush worn out"));
            }
            _ => {}
        }
        if job(kind.equipment).is_some() {
            rows.push(self.sharpening(at, &kind));
        }
        for family in watched(kind.equipment) {
            rows.push(self.part(at, &kind, *family));
        }
        rows.extend(unit.looked_at.iter().filter_map(|seen| self.seen(at, seen)));
    }

    /// When the diameter is down to the least, with the hours run since the last reading taken off.
    fn diameter(&self, at: usize, work: &str, title: &str) -> Due {
        let unit = &self.books.units[at];
        let wear = wear(self.books, unit);
        let mut row = blank(at, work, title);
        let now_h = self.books.machine_of(unit).meter.now(self.books.now);
        let run_h = now_h.zip(wear.read_at_h).map_or(0.0, |(now, read)| (now - read).max(0.0));
        let (Some(left_h), Some((read, mm))) = (wear.left_h, wear.last) else {
            row.why = not_enough(&wear.lacking);
            return row;
        };
        row.ground = Ground::Wear;
        row.left_h = Some(left_h - run_h);
        row.left_low_h = wear.left_low_h.map(|hours| hours - run_h);
        row.left_high_h = wear.left_high_h.map(|hours| hours - run_h);
        let loss = wear.loss_per_100_h_mm.map_or(String::new(), |loss| {
            format!(", losing {} mm in 100 h with grinding", decimal(loss, 2))
        });
        row.why = format!(
            "{} mm on {}{loss}; least {} mm.",
            decimal(mm, 2),
            date(read),
            decimal(unit.facts.minimum_diameter_mm.unwrap_or_default(), 1)
        );
        row
    }

    fn sharpening(&self, at: usize, kind: &Kind) -> Due {
        let reel = kind.equipment == Equipment::ReelUnit;
        let (work, title) = if reel {
            ("reel_grinding", "Grind the reel")
        } else {
            ("blade_sharpening", "Sharpen the blades")
        };
        let mut row = blank(at, work, title);
        let unit = &self.books.units[at];
        let last_taper = unit.diameters.iter().rev().find_map(Diameter::taper_mm);
        let taper = last_taper.filter(|taper| taper.abs() > TAPER_LIMIT_MM);
        if let Some(taper) = taper.filter(|_| reel) {
            row.ground = Ground::Wear;
            row.left_h = Some(0.0);
            row.why = format!(
                "Taper of {} mm, over {} mm: grind it now.",
                decimal(taper.abs(), 2),
                decimal(TAPER_LIMIT_MM, 2)
            );
            return row;
        }
        let Some(since) = since_job(self.books, unit) else {
            row.why = not_enough("it was never recorded as ground or sharpened");
            return row;
        };
        let meter = &self.books.machine_of(unit).meter;
        let fresh = meter.is_unread_since(since.time).then_some(0.0);
        let Some(run_h) = since.hours_h.or(fresh) else {
            row.why = not_enough("no hours are known since it was last done");
            return row;
        };
        let last = format!("last {}, {} h ago", date(since.time), decimal(run_h, 0));
        let habit = self.habits.get(kind);
        if let Some((interval_h, (low_h, high_h))) =
            habit.and_then(|habit| habit.median_h().zip(habit.middle_half_h()))
        {
            row.ground = Ground::Habit;
            row.interval_h = Some(interval_h);
            row.left_h = Some(interval_h - run_h);
            row.left_low_h = Some(low_h - run_h);
            row.left_high_h = Some(high_h - run_h);
            row.why = format!(
                "Here every {} h on the median ({} intervals of {}, half of them {} to {} h); \
                 {last}.",
                decimal(interval_h, 0),
                habit.map_or(0, |habit| habit.intervals_h.len()),
                kind.title(),
                decimal(low_h, 0),
                decimal(high_h, 0)
            );
        } else if let Some(usual) =
            self.usual.iter().find(|row| row.equipment == kind.equipment && row.work == work)
        {
            row.ground = Ground::Usual;
            row.interval_h = Some(usual.high_h);
            row.left_h = Some(usual.high_h - run_h);
            row.left_low_h = Some(usual.low_h - run_h);
            row.why = format!(
                "Too few intervals of its own; in print every {} to {} h; {last}.",
                decimal(usual.low_h, 0),
                decimal(usual.high_h, 0)
            );
        } else {
            row.why = not_enough(&format!("fewer than three intervals here; {last}"));
        }
        row
    }

    fn part(&self, at: usize, kind: &Kind, family: Family) -> Due {
        let unit = &self.books.units[at];
        let mut row = blank(at, family.id(), title_of(family));
        let known = self.lives.get(&(kind.clone(), family));
        let counts = known.map_or((0, 0), |l| (l.failures_h.len(), l.survivors_h.len()));
        let Some((at_h, low_h, high_h)) = known.and_then(Lives::change_at_h) else {
            row.why = not_enough(&format!(
                "{} of {}, {} ended here; a forecast needs {FAILURES_MIN}",
                family.id(),
                kind.title(),
                counts.0
            ));
            return row;
        };
        row.interval_h = Some(at_h);
        let Some(part) = running(self.books, unit, family) else {
            row.why = not_enough(&format!(
                "such parts are due at {} h here, but nobody recorded when this one was fitted",
                decimal(at_h, 0)
            ));
            return row;
        };
        row.ground = Ground::Failures;
        row.left_h = Some(at_h - part.age_h);
        row.left_low_h = low_h.map(|hours| hours - part.age_h);
        row.left_high_h = high_h.map(|hours| hours - part.age_h);
        row.why = format!(
            "Fitted {}, {} h ago; forecast: one in ten of such parts would not last {} h (worked out \
             from {} that ended and {} still running{}).",
            date(part.since),
            decimal(part.age_h, 0),
            decimal(at_h, 0),
            counts.0,
            counts.1,
            if counts.0 < 5 { "; few, so the interval is wide" } else { "" }
        );
        row
    }

    /// What an inspection found bad, or gave so many hours.
    fn seen(&self, at: usize, seen: &LookedAt) -> Option<Due> {
        let bad = seen.condition == Some(Condition::Bad);
        if !bad && seen.remaining_h.is_none() {
            return None;
        }
        let unit = &self.books.units[at];
        let meter = &self.books.machine_of(unit).meter;
        let run_h =
            meter.now(self.books.now).zip(meter.at(seen.time)).map(|(now, then)| now - then);
        let title = format!("{}, as inspected", capital(&seen.item));
        let mut row = blank(at, &format!("inspected: {}", seen.item), &title);
        let found = if seen.found.is_empty() { "bad" } else { &seen.found };
        match seen.remaining_h {
            None => {
                row.left_h = Some(0.0);
                row.why = format!("Found {} on {}.", found, date(seen.time));
            }
            Some(remaining_h) => {
                let Some(run_h) = run_h else {
                    row.why = not_enough(&format!(
                        "given {} h on {}, but no hours are known since",
                        decimal(remaining_h, 0),
                        date(seen.time)
                    ));
                    return Some(row);
                };
                row.left_h = Some(remaining_h - run_h);
                row.interval_h = Some(remaining_h);
                row.why = format!(
                    "Given {} h on {}; {} h run since.",
                    decimal(remaining_h, 0),
                    date(seen.time),
                    decimal(run_h, 0)
                );
            }
        }
        row.ground = Ground::Inspection;
        Some(row)
    }
}

fn blank(unit: usize, work: &str, title: &str) -> Due {
    Due {
        unit,
        work: work.to_owned(),
        title: title.to_owned(),
        ground: Ground::NotEnough,
        left_h: None,
        left_low_h: None,
        left_high_h: None,
        interval_h: None,
        day: None,
        why: String::new(),
    }
}

fn title_of(family: Family) -> &'static str {
    match family {
        Family::Bedknife => "Change the bedknife",
        Family::Bearings => "Change the bearings",
        Family::Blades => "Change the blades",
        Family::Brush => "Change the brush",
        Family::Rollers => "Change the rollers",
        Family::Belt => "Change the belt",
    }
}

fn not_enough(why: &str) -> String {
    format!("Not enough readings: {why}.")
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}
