//! How many hours had the machine run at any time? From readings of its meter as they come, months
//! apart or twice a day, some of them slips of the pen.
//! A reading that cannot be true beside the others (the meter fell, or ran more than 24 h a day) is
//! left out: kept is the longest row of readings that agree with each other. Between readings
//! hours are shared out evenly; beyond them they are reckoned on for a short while only.
//! Deliberately absent: a guess where nothing was read; then there are no hours.

use super::{days_between, quantile};
use crate::domain::records::Moment;

/// How far hours are reckoned on before the first reading and after the last.
pub const REACH_DAYS: f64 = 45.0;
/// The pace of work is that of readings this many days back from the last one.
const PACE_DAYS: f64 = 90.0;
/// Readings closer together than this tell no pace.
const PACE_DAYS_MIN: f64 = 6.0;
/// So near a reading hours are as good as read (no source).
const NEAR_DAYS: f64 = 2.0;

/// When, and what the meter said.
pub type Reading = (Moment, f64);

/// The readings of one machine that agree with each other, by time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Meter {
    points: Vec<(Moment, f64)>,
    /// Readings that cannot be true beside the others.
    pub left_out: usize,
}

impl Meter {
    /// From readings of the meter; without any, from hours noted as run since the note before.
    pub fn new(readings: &[(Moment, f64)], runs: &[(Moment, f64)]) -> Meter {
        if !readings.is_empty() {
            return Meter::of_readings(readings);
        }
        let mut runs = runs.to_vec();
        runs.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut total_h = 0.0;
        let points = runs.into_iter().map(|(time, run_h)| {
            total_h += run_h;
            (time, total_h)
        });
        Meter { points: points.collect(), left_out: 0 }
    }

    fn of_readings(readings: &[(Moment, f64)]) -> Meter {
        // A reading may follow another when hours rise, and by at most 24 in a day. With the hours
        // not run (24 a day less the meter) as a second number, both must rise; so the longest
        // row that agrees is the longest rising row of the second, in order of the first.
        let mut points: Vec<(f64, f64, Moment)> = readings
            .iter()
            .map(|&(time, hours)| (hours, 24.0 * days_of(time) - hours, time))
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        points.dedup();
        let kept = longest_rising(&points.iter().map(|point| point.1).collect::<Vec<f64>>());
        let left_out = points.len() - kept.len();
        let points = kept.into_iter().map(|at| (points[at].2, points[at].0)).collect();
        Meter { points, left_out }
    }

    pub fn first(&self) -> Option<(Moment, f64)> {
        self.points.first().copied()
    }

    pub fn last(&self) -> Option<(Moment, f64)> {
        self.points.last().copied()
    }

    /// Whether it was read before, and not since: no hours are known to have run then.
    pub fn is_unread_since(&self, time: Moment) -> bool {
        self.last().is_some_and(|(read, _)| read < time)
    }

    pub fn reading_count(&self) -> usize {
        self.points.len()
    }

    /// Hours a day over the last months of readings; none when they are too few or too close.
    pub fn pace(&self) -> Option<f64> {
        let (last, hours) = self.last()?;
        let recent = |point: &&(Moment, f64)| days_between(point.0, last) <= PACE_DAYS;
        let &(first, first_hours) = self.points.iter().find(recent)?;
        let days = days_between(first, last);
        (days >= PACE_DAYS_MIN).then(|| (hours - first_hours) / days)
    }

    /// The pace of work, if it is still that of today.
    pub fn pace_at(&self, now: Moment) -> Option<f64> {
        let (last, _) = self.last()?;
        self.pace().filter(|_| days_between(last, now) <= REACH_DAYS)
    }

    /// Hours at a moment; none where nothing near it was read.
    pub fn at(&self, time: Moment) -> Option<f64> {
        let after = self.points.partition_point(|point| point.0 <= time);
        let Some(&(next, next_h)) = self.points.get(after) else { return self.beyond(time) };
        let Some(&(before, before_h)) = after.checked_sub(1).and_then(|at| self.points.get(at))
        else {
            return self.ahead_of_first(time);
        };
        let whole = days_between(before, next);
        Some(before_h + (next_h - before_h) * days_between(before, time) / whole)
    }

    fn beyond(&self, time: Moment) -> Option<f64> {
        let (last, hours) = self.last()?;
        let days = days_between(last, time);
        if days == 0.0 {
            return Some(hours);
        }
        (days <= REACH_DAYS).then(|| self.pace().map(|pace| hours + pace * days))?
    }

    fn ahead_of_first(&self, time: Moment) -> Option<f64> {
        let (first, hours) = self.first()?;
        let days = days_between(time, first);
        let next =
            self.points.iter().find(|point| days_between(first, point.0) >= PACE_DAYS_MIN)?;
        let pace = (next.1 - hours) / days_between(first, next.0);
        (days <= REACH_DAYS).then(|| (hours - pace * days).max(0.0))
    }

    /// Hours now; those of the last reading when it lies too far back to reckon on from.
    pub fn now(&self, now: Moment) -> Option<f64> {
        let (last, hours) = self.last()?;
        if now < last { self.at(now) } else { self.at(now).or(Some(hours)) }
    }

    /// The stretch of time over which hours are known, as far as `now`: from the first reading to
    /// the last. What was run since is a guess, which no report and no rate counts.
    pub fn known(&self, now: Moment) -> Option<(Moment, Moment)> {
        let (first, last) = (self.first()?.0, self.last()?.0);
        (last > first).then_some((first, last.min(now.max(first))))
    }

    /// Hours run from one moment to another, as far as they are known.
    pub fn run_between(&self, from: Moment, until: Moment, now: Moment) -> f64 {
        let Some((first, end)) = self.known(now) else { return 0.0 };
        let (from, until) = (from.max(first), until.min(end));
        if until <= from {
            return 0.0;
        }
        match (self.at(from), self.at(until)) {
            (Some(start), Some(stop)) => (stop - start).max(0.0),
            _ => 0.0,
        }
    }

    /// Whether it was read within a day or two of a moment, so that hours there are no guess.
    pub fn is_read_near(&self, time: Moment) -> bool {
        self.points.iter().any(|point| {
            days_between(point.0, time).abs() <= NEAR_DAYS
        })
    }

    /// The first and the last reading of a time, when there are two.
    pub fn read_between(&self, from: Moment, until: Moment) -> Option<(Reading, Reading)> {
        let mut within = self.points.iter().filter(|point| from <= point.0 && point.0 <= until);
        let first = within.next()?;
        Some((*first, *within.next_back()?))
    }

    /// Days between readings, the middle and the longest; for a note on how often they are taken.
    pub fn gaps_days(&self) -> Option<(f64, f64)> {
        let gaps: Vec<f64> =
            self.points.windows(2).map(|pair| days_between(pair[0].0, pair[1].0)).collect();
        Some((quantile(&gaps, 0.5)?, quantile(&gaps, 1.0)?))
    }
}

fn days_of(time: Moment) -> f64 {
    days_between(Moment::from_microseconds(0), time)
}

/// Places of a longest row of numbers none of which is less than the one before (patience sorting).
fn longest_rising(values: &[f64]) -> Vec<usize> {
    // For each length, the place of the least number that ends a row so long.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; values.len()];
    for (at, value) in values.iter().enumerate() {
        let length = ends.partition_point(|end| values[*end] <= *value);
        before[at] = length.checked_sub(1).map(|shorter| ends[shorter]);
        if length == ends.len() {
            ends.push(at);
        } else {
            ends[length] = at;
        }
    }
    let mut row: Vec<usize> =
        std::iter::successors(ends.last().copied(), |at| before[*at]).collect();
    row.reverse();
    row
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fleet::after_days;
    use proptest::prelude::{prop, prop_assert, prop_assert_eq, proptest};

    const START: Moment = Moment::from_microseconds(1_743_465_600_000_000);

    fn day(days: f64) -> Moment {
        after_days(START, days)
    }

    fn readings(rows: &[(f64, f64)]) -> Vec<(Moment, f64)> {
        rows.iter().map(|&(days, hours)| (day(days), hours)).collect()
    }

    #[test]
    fn slips_of_the_pen_are_left_out() {
        let meter = Meter::new(
            &readings(&[(0.0, 1_000.0), (10.0, 1_020.0), (20.0, 10_400.0), (30.0, 1_060.0)]),
            &[],
        );
        assert_eq!((meter.reading_count(), meter.left_out), (3, 1));
        assert_eq!(meter.at(day(20.0)), Some(1_040.0));
        let fell = Meter::new(&readings(&[(0.0, 500.0), (10.0, 50.0), (20.0, 540.0)]), &[]);
        assert_eq!((fell.left_out, fell.at(day(10.0))), (1, Some(520.0)));
    }

    #[test]
    fn hours_are_reckoned_on_for_a_while_and_no_longer() {
        let meter = Meter::new(&readings(&[(0.0, 100.0), (30.0, 160.0)]), &[]);
        assert_eq!(meter.pace(), Some(2.0));
        assert_eq!(meter.at(day(40.0)), Some(180.0));
        assert_eq!(meter.at(day(-10.0)), Some(80.0));
        assert_eq!(meter.at(day(90.0)), None);
        assert_eq!(meter.at(day(-90.0)), None);
        assert_eq!(meter.now(day(90.0)), Some(160.0), "the last reading stands");
        assert_eq!(meter.pace_at(day(90.0)), None);
        assert_eq!(meter.run_between(day(10.0), day(20.0), day(90.0)), 20.0);
        assert_eq!(meter.run_between(day(-500.0), day(500.0), day(500.0)), 60.0, "as read");
    }

    #[test]
    fn one_reading_tells_hours_and_no_pace() {
        let meter = Meter::new(&readings(&[(0.0, 100.0)]), &[]);
        assert_eq!((meter.pace(), meter.at(day(1.0))), (None, None));
        assert_eq!(meter.now(day(1.0)), Some(100.0));
        assert_eq!(meter.run_between(day(0.0), day(9.0), day(9.0)), 0.0);
        assert_eq!(Meter::default().now(day(0.0)), None);
    }

    #[test]
    fn hours_noted_as_run_stand_in_for_a_meter() {
        let meter = Meter::new(&[], &readings(&[(0.0, 4.0), (7.0, 6.0), (14.0, 5.0)]));
        assert_eq!(meter.last(), Some((day(14.0), 15.0)));
        assert_eq!(meter.run_between(day(0.0), day(14.0), day(14.0)), 11.0);
    }

    proptest! {
        #[test]
        fn hours_never_fall_whatever_was_written(
            rows in prop::collection::vec((0.0..700.0f64, 0.0..5_000.0f64), 0..60),
            from in 0.0..700.0f64,
            days in 0.0..100.0f64,
        ) {
            let rows = readings(&rows);
            let meter = Meter::new(&rows, &[]);
            if let (Some(early), Some(late)) = (meter.at(day(from)), meter.at(day(from + days))) {
                prop_assert!(late >= early - 1e-6);
                prop_assert!(late - early <= 24.0 * days + 1e-3);
            }
            let mut turned = rows.clone();
            turned.reverse();
            prop_assert_eq!(meter, Meter::new(&turned, &[]));
        }
    }
}
