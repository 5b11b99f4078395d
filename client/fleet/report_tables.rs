//! How are the lists of a report laid out as tables? One function for each list.

use sward_core::domain::units::decimal;
use sward_core::pb;

use super::document::{
    Table, data, date, length, moment, number, numbers, range, raw, shown, shown_right, words,
};
use crate::picture::Scale;

/// Units of which nothing was ever read stand last, and are not shown to people.
pub fn units(rows: &[pb::UnitState], scale: Scale) -> Table {
    let (told, blank): (Vec<_>, Vec<_>) = rows.iter().partition(|row| is_told(row));
    let shown_max = Some(told.len().max(1));
    let columns = vec![
        data("unit"),
        words("unit_title", "Unit"),
        shown("Height / target"),
        data("height_time"),
        data("height_mm"),
        data("target_height_mm"),
        shown_right("Ends apart"),
        data("end_difference_mm"),
        shown_right("Off its neighbours"),
        data("neighbour_difference_mm"),
        shown_right("Diameter"),
        data("diameter_mm"),
        shown_right("Used"),
        data("wear_used_fraction"),
        data("taper_mm"),
        data("loss_per_100_h_mm"),
        shown_right("Since ground, h"),
        data("since_ground_h"),
        data("ground_time"),
        words("open", "Open, or to watch"),
    ];
    let rows = told.into_iter().chain(blank).map(|row| {
        vec![
            row.unit.clone(),
            row.unit_title.clone(),
            height_and_target(row, scale),
            moment(row.height_time.as_ref()),
            raw(row.height_mm),
            raw(row.target_height_mm),
            plain_length(row.end_difference_mm, scale),
            raw(row.end_difference_mm),
            plain_length(row.neighbour_difference_mm, scale),
            raw(row.neighbour_difference_mm),
            plain_length(row.diameter_mm, scale),
            raw(row.diameter_mm),
            row.wear_used_fraction
                .map_or("-".to_owned(), |used| format!("{} %", decimal(100.0 * used, 0))),
            raw(row.wear_used_fraction),
            raw(row.taper_mm),
            raw(row.loss_per_100_h_mm),
            number(row.since_ground_h, 0),
            raw(row.since_ground_h),
            moment(row.ground_time.as_ref()),
            open(row),
        ]
    });
    Table { shown_max, ..Table::new(columns, rows) }
}

fn is_told(row: &pb::UnitState) -> bool {
    let read = [row.height_mm, row.diameter_mm, row.since_ground_h];
    read.iter().any(Option::is_some) || !row.open_faults.is_empty() || !row.watch.is_empty()
}

/// "3.51 / 3.5 mm".
fn height_and_target(row: &pb::UnitState, scale: Scale) -> String {
    match (row.height_mm, row.target_height_mm) {
        (Some(height), Some(target)) => {
            format!("{} / {}", plain_length(Some(height), scale), scale.say(target))
        }
        (height, _) => length(height, scale),
    }
}

/// A length without its unit, which the heading or its neighbour says.
fn plain_length(value_mm: Option<f64>, scale: Scale) -> String {
    number(value_mm.map(|mm| scale.of(mm)), if scale.inches() { 4 } else { 2 })
}

fn open(row: &pb::UnitState) -> String {
    let faults = row.open_faults.iter().map(|fault| {
        let what = if fault.fault.is_empty() { &fault.cause } else { &fault.fault };
        format!("{} open since {}", what, date(fault.time.as_ref()))
    });
    let watched = row.watch.iter().map(|seen| {
        let verb = if seen.bad { "bad" } else { "watch" };
        format!("{verb}: {}, {} ({})", seen.item, seen.found, date(seen.time.as_ref()))
    });
    faults.chain(watched).collect::<Vec<String>>().join("; ")
}

/// The cause in words, or its id.
fn named(title: &str, cause: &str) -> String {
    if title.is_empty() { cause.to_owned() } else { title.to_owned() }
}

fn equipment(kind: pb::Equipment) -> &'static str {
    match kind {
        pb::Equipment::Unspecified => "",
        pb::Equipment::ReelUnit => "reel unit",
        pb::Equipment::Groomer => "groomer",
        pb::Equipment::RearRollerBrush => "rear roller brush",
        pb::Equipment::VerticutReel => "verticut reel",
        pb::Equipment::RotaryDeck => "rotary deck",
    }
}

pub fn causes(rows: &[pb::CauseRate]) -> Table {
    let columns = vec![
        data("cause"),
        words("title", "Cause"),
        words("equipment", "On"),
        numbers("count", "Times"),
        numbers("unit_count", "Units"),
        numbers("minutes", "Minutes"),
        data("exposure_h"),
        shown("For each 100 h (90 % interval)"),
        data("rate_per_100_h"),
        data("low_per_100_h"),
        data("high_per_100_h"),
    ];
    let rows = rows.iter().map(|row| {
        let rate = row.rate_per_100_h;
        vec![
            row.cause.clone(),
            named(&row.title, &row.cause),
            equipment(row.equipment()).to_owned(),
            (row.count + row.without_hours_count).to_string(),
            row.unit_count.to_string(),
            decimal(row.minutes, 0),
            row.exposure_h.to_string(),
            rate.map_or("not enough readings".to_owned(), |rate| rate_words(&rate)),
            raw(rate.map(|rate| rate.rate)),
            raw(rate.map(|rate| rate.low)),
            raw(rate.map(|rate| rate.high)),
        ]
    });
    Table::new(columns, rows)
}

fn rate_words(rate: &pb::RatePer100h) -> String {
    format!("{} ({})", decimal(rate.rate, 2), range(rate.low, rate.high, 2))
}

/// Rows of what comes back that people see.
const RETURNING_SHOWN: usize = 20;

/// What was found more than once stands first, and alone is shown to people.
pub fn returning(rows: &[pb::ReturningFault]) -> Table {
    let (again, once): (Vec<_>, Vec<_>) = rows.iter().partition(|row| row.count > 1);
    let shown_max = Some(again.len().clamp(1, RETURNING_SHOWN));
    let columns = vec![
        data("unit"),
        words("unit_title", "Unit"),
        data("cause"),
        words("title", "Cause"),
        numbers("count", "Times"),
        numbers("exposure_h", "Hours"),
        numbers("counted_per_100_h", "As counted"),
        shown("Believed (90 % interval)"),
        data("believed_per_100_h"),
        data("low_per_100_h"),
        data("high_per_100_h"),
        numbers("alike_per_100_h", "Units alike"),
        words("comes_back", "Comes back"),
    ];
    let rows = again.into_iter().chain(once).map(|row| {
        let rate = row.believed_per_100_h;
        vec![
            row.unit.clone(),
            row.unit_title.clone(),
            row.cause.clone(),
            named(&row.title, &row.cause),
            row.count.to_string(),
            decimal(row.exposure_h, 0),
            number(row.counted_per_100_h, 2),
            rate.map_or("-".to_owned(), |rate| rate_words(&rate)),
            raw(rate.map(|rate| rate.rate)),
            raw(rate.map(|rate| rate.low)),
            raw(rate.map(|rate| rate.high)),
            decimal(row.alike_per_100_h, 2),
            if row.comes_back { "yes" } else { "" }.to_owned(),
        ]
    });
    Table { shown_max, ..Table::new(columns, rows) }
}

pub fn remedies(rows: &[pb::RemedyRecord]) -> Table {
    let columns = vec![
        data("cause"),
        words("title", "Cause"),
        data("procedure"),
        words("procedure_title", "Remedy"),
        numbers("cured_count", "Cured"),
        numbers("not_cured_count", "Not cured"),
        numbers("came_back_count", "Came back"),
        shown("Holds 100 h"),
        data("held_fraction"),
        data("held_standard_error"),
        data("watched_count"),
    ];
    let rows = rows.iter().map(|row| {
        let error = row.held_standard_error.unwrap_or_default();
        vec![
            row.cause.clone(),
            named(&row.title, &row.cause),
            row.procedure.clone(),
            named(&row.procedure_title, &row.procedure),
            row.cured_count.to_string(),
            row.not_cured_count.to_string(),
            row.came_back_count.to_string(),
            row.held_fraction.map_or("not watched so long".to_owned(), |held| {
                let share = format!("{} %", decimal(100.0 * held, 0));
                let error = format!(" (+- {})", decimal(100.0 * error, 0));
                if error == " (+- 0)" { share } else { share + &error }
            }),
            raw(row.held_fraction),
            raw(row.held_standard_error),
            row.watched_count.to_string(),
        ]
    });
    Table::new(columns, rows)
}

pub fn costs(rows: &[pb::MachineCost]) -> Table {
    let mut columns = vec![
        data("machine"),
        words("machine_title", "Machine"),
        shown_right("Ran, h"),
        data("hours_h"),
        shown_right("Work, h"),
        data("minutes"),
        numbers("part_count", "Parts"),
        words("most_time_on", "Most time on"),
        data("labour_cost"),
        data("parts_cost"),
        data("published_cost"),
    ];
    let money = rows.iter().any(|row| row.labour_cost.is_some());
    if money {
        columns.push(shown_right("Labour"));
        columns.push(shown_right("Parts cost"));
        columns.push(shown_right("Published curve"));
    }
    columns.push(words("unpriced_parts", if money { "Parts without a price" } else { "" }));
    let rows = rows.iter().map(|row| {
        let most: Vec<String> = row
            .kinds
            .iter()
            .take(2)
            .map(|kind| {
                format!("{} {} h", kind.kind.replace('_', " "), decimal(kind.minutes / 60.0, 1))
            })
            .collect();
        let mut cells = vec![
            row.machine.clone(),
            row.machine_title.clone(),
            decimal(row.hours_h, 0),
            row.hours_h.to_string(),
            decimal(row.minutes / 60.0, 1),
            row.minutes.to_string(),
            row.part_count.to_string(),
            most.join(", "),
            raw(row.labour_cost),
            raw(row.parts_cost),
            raw(row.published_cost),
        ];
        if money {
            let costs = [row.labour_cost, row.parts_cost, row.published_cost];
            cells.extend(costs.map(|cost| number(cost, 0)));
        }
        cells.push(row.unpriced_parts.join(", "));
        cells
    });
    Table::new(columns, rows)
}

pub fn months(rows: &[pb::MonthRecord]) -> Table {
    let columns = vec![
        words("month", "Month"),
        shown_right("Hours"),
        data("hours_h"),
        numbers("fault_count", "Faults"),
        shown_right("For each 100 h"),
        data("faults_per_100_h"),
        shown("Chance keeps it"),
        data("limit_low_per_100_h"),
        data("limit_high_per_100_h"),
        shown_right("Work, h"),
        data("minutes"),
        numbers("part_count", "Parts"),
        numbers("record_count", "Records"),
        words("stands_out", "Outside"),
    ];
    let rows = rows.iter().map(|row| {
        let limits = row.limit_low_per_100_h.zip(row.limit_high_per_100_h);
        vec![
            row.month.clone(),
            decimal(row.hours_h, 0),
            row.hours_h.to_string(),
            row.fault_count.to_string(),
            number(row.faults_per_100_h, 2),
            raw(row.faults_per_100_h),
            limits.map_or("-".to_owned(), |(low, high)| range(low, high, 2)),
            raw(row.limit_low_per_100_h),
            raw(row.limit_high_per_100_h),
            decimal(row.minutes / 60.0, 1),
            row.minutes.to_string(),
            row.part_count.to_string(),
            row.record_count.to_string(),
            if row.stands_out { "yes" } else { "" }.to_owned(),
        ]
    });
    Table::new(columns, rows)
}

pub fn changes(rows: &[pb::ChangeComparison]) -> Table {
    let columns = vec![
        data("cause"),
        words("title", "Cause"),
        numbers("before_count", "Before"),
        shown_right("in hours"),
        data("before_h"),
        numbers("after_count", "After"),
        shown_right("in hours"),
        data("after_h"),
        shown("Times as often (90 % interval)"),
        data("ratio"),
        data("ratio_low"),
        data("ratio_high"),
        words("verdict", "Verdict"),
    ];
    let rows = rows.iter().map(|row| {
        let interval = match (row.ratio_low, row.ratio_high) {
            (Some(low), Some(high)) => format!(" ({})", range(low, high, 2)),
            (Some(low), None) => format!(" (at least {})", decimal(low, 2)),
            _ => String::new(),
        };
        vec![
            row.cause.clone(),
            row.title.clone(),
            row.before_count.to_string(),
            decimal(row.before_h, 0),
            row.before_h.to_string(),
            row.after_count.to_string(),
            decimal(row.after_h, 0),
            row.after_h.to_string(),
            number(row.ratio, 2) + &interval,
            raw(row.ratio),
            raw(row.ratio_low),
            raw(row.ratio_high),
            row.verdict.clone(),
        ]
    });
    Table::new(columns, rows)
}

/// Readings of a long history that a table shows; the drawing shows all.
const READINGS_SHOWN: usize = 12;

pub fn heights(history: &pb::HeightHistory, scale: Scale) -> Table {
    let columns = vec![
        shown("Read"),
        data("time"),
        shown("Mean of the ends"),
        data("height_mm"),
        words("stands_out", "Outside its scatter"),
    ];
    let from = history.points.len().saturating_sub(READINGS_SHOWN);
    let rows = history.points[from..].iter().map(|row| {
        vec![
            date(row.time.as_ref()),
            moment(row.time.as_ref()),
            scale.say(row.height_mm),
            row.height_mm.to_string(),
            if row.stands_out { "yes" } else { "" }.to_owned(),
        ]
    });
    Table::new(columns, rows)
}

pub fn diameters(points: &[pb::DiameterPoint], scale: Scale) -> Table {
    let columns = vec![
        shown("Read"),
        data("time"),
        shown_right("At hours"),
        data("machine_hours_h"),
        shown("Diameter"),
        data("diameter_mm"),
        words("after_grinding", "After grinding"),
    ];
    let from = points.len().saturating_sub(READINGS_SHOWN);
    let rows = points[from..].iter().map(|row| {
        vec![
            date(row.time.as_ref()),
            moment(row.time.as_ref()),
            number(row.machine_hours_h, 0),
            raw(row.machine_hours_h),
            scale.say(row.diameter_mm),
            row.diameter_mm.to_string(),
            if row.after_grinding { "yes" } else { "" }.to_owned(),
        ]
    });
    Table::new(columns, rows)
}
