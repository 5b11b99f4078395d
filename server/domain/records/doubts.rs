//! What in a new record does not fit the ones before it? A meter that went back, a reel that grew.
//! Doubts are told and the record is stored all the same: the shop knows better than a rule, and a
//! slip can be amended. Deliberately absent: anything that makes a record invalid (see `check`).

use crate::domain::fleet::parts::Family;
use crate::domain::recall::day;
use crate::domain::recall::deeds::changed_parts;
use crate::domain::settings::Advisory;

use super::choices::{AdjustmentTarget, RecordKind};
use super::detail::{Detail, Part, Sharpening};
use super::names::SubjectName;
use super::{Content, Moment, NewRecord, Record};

/// Growth of a reel between two measurements that a micrometer may show by itself.
const DIAMETER_SPREAD_MM: f64 = 0.1;
/// More is hardly taken off between two measurements (common practice, no source).
const DIAMETER_STEP_MM: f64 = 8.0;
/// A meter counts no more than the day has hours; a tenth more allows for times put down roughly.
const HOURS_PER_DAY_MAX: f64 = 24.0 * 1.1;
const DAY_MICROSECONDS: f64 = 86_400e6;

/// What is doubtful about `new`, beside earlier records of its subject or machine, in any order.
pub fn doubts(new: &NewRecord, now: Moment, earlier: &[Record]) -> Vec<Advisory> {
    let time = new.time.unwrap_or(now);
    let mut doubts = Vec::new();
    if let Detail::Sharpening(sharpening) = &new.content.detail {
        doubts.extend(grown(sharpening));
        let now_mm = sharpening.diameter_before_mm.or(sharpening.diameter_after_mm);
        doubts.extend(now_mm.and_then(|now| grown_since(&new.subject, now, time, earlier)));
    }
    if let Detail::Inspection(detail) = &new.content.detail {
        let ends = [detail.left_diameter_mm, detail.right_diameter_mm];
        let of = |mm: &f64| grown_since(&new.subject, *mm, time, earlier);
        doubts.extend(ends.iter().flatten().find_map(of));
    }
    doubts.extend(meter(new, time, earlier));
    doubts.extend(outlived(new, time, earlier));
    doubts.extend(far_height(new, time, earlier));
    doubts
}

/// So much over what the machine ran may be another season (common practice, no source).
const LIFE_SHARE_MAX: f64 = 1.25;

/// "Belt, life 412 h", of one that was fitted about 290 hours ago as the machine runs.
fn outlived(new: &NewRecord, time: Moment, earlier: &[Record]) -> Option<Advisory> {
    let Detail::PartReplaced(detail) = &new.content.detail else { return None };
    let machine = new.subject.machine()?;
    let lived = |part: &Part| Some((Family::of(&part.part)?, part.life_h?));
    let (family, life_h) = detail.parts.iter().find_map(lived)?;
    let changed = |record: &Record| {
        let same = record.name.subject == new.subject;
        let parts = changed_parts(record);
        (same && parts.iter().any(|part| Family::of(part) == Some(family))).then_some(0.0)
    };
    let (fitted, _) = latest(earlier, time, changed)?;
    let read = |record: &Record| {
        let own = record.name.subject.machine() == Some(machine);
        own.then_some(record.content.machine_hours_h)?
    };
    let (_, then_h) = latest(earlier, fitted.time, read)?;
    let (last, last_h) = latest(earlier, time, read)?;
    let days = |from: Moment, to: Moment| {
        (to.microseconds() - from.microseconds()) as f64 / DAY_MICROSECONDS
    };
    let (ran_h, ran_days) = (last_h - then_h, days(fitted.time, last.time));
    // With no reading since then nothing is known of how it runs.
    let likely_h = (ran_days > 0.0).then(|| ran_h * days(fitted.time, time) / ran_days)?;
    (life_h > LIFE_SHARE_MAX * likely_h.max(ran_h)).then(|| Advisory {
        id: "life_over_hours_run",
        text: format!(
            "A life of {life_h} h is hardly that of the old {0}: the records have one fitted on {1}, \
             and the machine ran {2} h since, by its reading of {3}. If it is what the clock \
             reads, say \"no, {life_h} is machine hours\".",
            family.id(),
            day(fitted.time),
            round(ran_h),
            day(last.time)
        ),
    })
}

/// A height so many times the last one, or as small a part of it, is hardly one (common practice,
/// no source).
const HEIGHT_RATIO_MAX: f64 = 3.0;

/// A setting of nothing named is a height from here on, mm (common practice, no source).
const SETTING_IS_HEIGHT_MM: f64 = 1.5;

/// "Height of 35 mm, where it stood at 3.5 mm".
fn far_height(new: &NewRecord, time: Moment, earlier: &[Record]) -> Option<Advisory> {
    let of = |content: &Content| match &content.detail {
        Detail::HeightReading(detail) => detail.readings.iter().filter_map(|one| one.height_mm)
            .reduce(f64::max),
        Detail::Adjustment(detail) => {
            let height = matches!(detail.target, None | Some(AdjustmentTarget::HeightOfCut));
            detail.setting_mm.filter(|mm| height && *mm >= SETTING_IS_HEIGHT_MM)
        }
        _ => None,
    };
    let height = of(&new.content)?;
    let machine = new.subject.machine()?;
    let (last, last_mm) = latest(earlier, time, |record| {
        (record.name.subject.machine() == Some(machine)).then(|| of(&record.content)).flatten()
    })?;
    let far = height > last_mm * HEIGHT_RATIO_MAX || height * HEIGHT_RATIO_MAX < last_mm;
    far.then(|| Advisory {
        id: "height_far_off",
        text: format!("A height of {height} mm, where it was {last_mm} mm in {}.", last.name),
    })
}

fn grown(sharpening: &Sharpening) -> Option<Advisory> {
    let (before, after) = (sharpening.diameter_before_mm?, sharpening.diameter_after_mm?);
    (after > before).then(|| Advisory {
        id: "diameter_grew",
        text: format!("The diameter after ({after} mm) is over that before ({before} mm)."),
    })
}

fn grown_since(
    subject: &SubjectName,
    now_mm: f64,
    time: Moment,
    earlier: &[Record],
) -> Option<Advisory> {
    let last = latest(earlier, time, |record| {
        (record.name.subject == *subject).then(|| diameter_mm(&record.content)).flatten()
    })?;
    if now_mm + DIAMETER_STEP_MM < last.1 {
        let text = format!("{now_mm} mm is {} mm less than in {}.", round(last.1 - now_mm), last.0.name);
        return Some(Advisory { id: "diameter_far_below", text });
    }
    (now_mm > last.1 + DIAMETER_SPREAD_MM).then(|| Advisory {
        id: "diameter_over_last",
        text: format!(
            "{now_mm} mm is over the {} mm of {}; was the reel replaced?",
            last.1, last.0.name
        ),
    })
}

fn round(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn diameter_mm(content: &Content) -> Option<f64> {
    match &content.detail {
        Detail::Sharpening(sharpening) => {
            sharpening.diameter_after_mm.or(sharpening.diameter_before_mm)
        }
        // The thicker end: a taper is not growth.
        Detail::Inspection(inspection) => {
            match (inspection.left_diameter_mm, inspection.right_diameter_mm) {
                (Some(left), Some(right)) => Some(left.max(right)),
                (left, right) => left.or(right),
            }
        }
        Detail::Adjustment(_)
        | Detail::PartReplaced(_)
        | Detail::HeightReading(_)
        | Detail::FaultFixed(_)
        | Detail::Hours(_) => None,
    }
}

fn meter(new: &NewRecord, time: Moment, earlier: &[Record]) -> Option<Advisory> {
    let hours_h = new.content.machine_hours_h?;
    let machine = new.subject.machine()?;
    let (last, last_h) = latest(earlier, time, |record| {
        (record.name.subject.machine() == Some(machine))
            .then_some(record.content.machine_hours_h)?
    })?;
    let days = (time.microseconds() - last.time.microseconds()) as f64 / DAY_MICROSECONDS;
    if hours_h < last_h {
        let text = format!("The meter reads {hours_h} h, and read {last_h} h in {}.", last.name);
        return Some(Advisory { id: "meter_went_back", text });
    }
    // Two entries of one day are not held to minutes.
    (hours_h - last_h > HOURS_PER_DAY_MAX * days.max(1.0)).then(|| Advisory {
        id: "meter_ran_ahead",
        text: format!(
            "The meter reads {hours_h} h, {} h more than in {}, only {days:.0} days \
            before.",
            hours_h - last_h,
            last.name
        ),
    })
}

/// The latest standing record, up to a time, that gives a value; of one time, the one stored last.
fn latest(
    earlier: &[Record],
    time: Moment,
    value: impl Fn(&Record) -> Option<f64>,
) -> Option<(&Record, f64)> {
    earlier
        .iter()
        .filter(|record| record.stands() && record.time <= time)
        .filter_map(|record| value(record).map(|value| (record, value)))
        .max_by_key(|(record, _)| (record.time, record.name.number))
}

/// The kinds of record that `doubts` looks at.
pub const KINDS_LOOKED_AT: [RecordKind; 3] =
    [RecordKind::Sharpening, RecordKind::Inspection, RecordKind::Hours];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::records::detail::{Hours, PartReplaced};
    use crate::domain::records::{RecordName, RequestId};

    const DAY_S: i64 = 86_400;
    const START: Moment = Moment::from_microseconds(1_773_473_400_000_000);

    fn subject() -> SubjectName {
        SubjectName::parse("parent", "sites/home/machines/gang/units/1").expect("a name")
    }

    fn new(content: Content, day: i64) -> NewRecord {
        NewRecord {
            subject: subject(),
            time: Some(START.plus_seconds(day * DAY_S)),
            request_id: RequestId::of_content(b"a record"),
            supersedes: None,
            content,
        }
    }

    fn stored(content: Content, day: i64) -> Record {
        let new = new(content, day);
        Record {
            name: RecordName { subject: new.subject, number: 1 + day.unsigned_abs() },
            time: new.time.expect("given"),
            created: START,
            request_id: new.request_id,
            supersedes: None,
            superseded_by: None,
            unit_type: String::new(),
            content: new.content,
        }
    }

    fn hours(machine_hours_h: f64) -> Content {
        let mut content = Content::new(Detail::Hours(Hours::default()));
        content.machine_hours_h = Some(machine_hours_h);
        content
    }

    fn ground(before_mm: f64, after_mm: f64) -> Content {
        Content::new(Detail::Sharpening(Sharpening {
            diameter_before_mm: Some(before_mm),
            diameter_after_mm: Some(after_mm),
            ..Sharpening::default()
        }))
    }

    fn told(content: Content, day: i64, earlier: &[Record]) -> Vec<&'static str> {
        let doubts = doubts(&new(content, day), START, earlier);
        doubts.into_iter().map(|doubt| doubt.id).collect()
    }

    #[test]
    fn a_meter_neither_goes_back_nor_runs_ahead() {
        let earlier = [stored(hours(1_412.0), 0), stored(hours(1_430.0), 10)];
        assert_eq!(told(hours(1_440.0), 11, &earlier), [""; 0]);
        assert_eq!(told(hours(1_420.0), 11, &earlier), ["meter_went_back"]);
        assert_eq!(told(hours(14_300.0), 11, &earlier), ["meter_ran_ahead"]);
        // Put down late: only what was read up to that day counts.
        assert_eq!(told(hours(1_420.0), 5, &earlier), [""; 0]);
        // What was withdrawn or replaced counts no more.
        let mut replaced = earlier.clone();
        replaced[1].superseded_by = Some(replaced[0].name.clone());
        assert_eq!(told(hours(1_420.0), 11, &replaced), [""; 0]);
    }

    #[test]
    fn a_part_lived_no_longer_than_the_machine_ran() {
        let belt = |life_h: Option<f64>| {
            let part = Part { part: "deck belt".to_owned(), life_h, ..Part::default() };
            Content::new(Detail::PartReplaced(PartReplaced {
                parts: vec![part],
                ..PartReplaced::default()
            }))
        };
        let fitted = stored(belt(None), 1);
        let earlier = [stored(hours(1_000.0), 0), fitted, stored(hours(1_100.0), 50)];
        assert_eq!(told(belt(Some(120.0)), 60, &earlier), [""; 0]);
        assert_eq!(told(belt(Some(412.0)), 60, &earlier), ["life_over_hours_run"]);
        // With no belt before it, or no reading since, nothing is known.
        assert_eq!(told(belt(Some(412.0)), 60, &earlier[..1]), [""; 0]);
        assert_eq!(told(belt(Some(412.0)), 60, &earlier[..2]), [""; 0]);
    }

    #[test]
    fn a_reel_does_not_grow() {
        let earlier = [stored(ground(127.5, 126.7), 0)];
        assert_eq!(told(ground(126.7, 126.2), 30, &earlier), [""; 0]);
        assert_eq!(told(ground(126.2, 126.7), 30, &earlier), ["diameter_grew"]);
        assert_eq!(told(ground(128.0, 127.5), 30, &earlier), ["diameter_over_last"]);
    }
}
