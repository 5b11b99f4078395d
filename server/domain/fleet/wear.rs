//! How much of a reel or brush is left, and when is it worn out? The straight line of `reel_wear`
//! over the diameters since it was new.
//! Deliberately absent: a line through fewer than two hours of reading.

use super::books::{Books, Diameter, UnitBook};
use crate::domain::limits::ROWS_MAX;
use crate::domain::records::Moment;
use crate::domain::settings::reel_wear::{
    DiameterReading, ReelWearAnswer, ReelWearInputs, reel_wear,
};

/// A diameter larger than the one before by more than this is a new reel (as in `reel_wear`).
const NEW_MM: f64 = 0.05;
/// Taper at which a reel is ground (as in `reel_wear`).
pub const TAPER_LIMIT_MM: f64 = 0.25;

/// What the diameters of a unit say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wear {
    pub last: Option<(Moment, f64)>,
    pub taper_mm: Option<f64>,
    /// Of what may be worn off, how much is gone; over 1 when it is under its least diameter.
    pub used_fraction: Option<f64>,
    /// Diameter lost in 100 h, grinding shared out.
    pub loss_per_100_h_mm: Option<f64>,
    /// Hours left from the last reading, with the ends of their interval.
    pub left_h: Option<f64>,
    pub left_low_h: Option<f64>,
    pub left_high_h: Option<f64>,
    /// Hours of the last reading.
    pub read_at_h: Option<f64>,
    pub reading_count: usize,
    /// Why there is no forecast; empty when there is one.
    pub lacking: String,
}

pub fn wear(books: &Books, unit: &UnitBook) -> Wear {
    let readings = since_new(&unit.diameters);
    let last = readings.last();
    let mut wear = Wear {
        last: last.and_then(|one| Some((one.time, one.mm()?))),
        taper_mm: readings.iter().rev().find_map(Diameter::taper_mm),
        reading_count: readings.len(),
        ..Wear::default()
    };
    let (new, least) = (unit.facts.new_diameter_mm, unit.facts.minimum_diameter_mm);
    if let (Some((_, now)), Some(new), Some(least)) = (wear.last, new, least)
        && new > least
    {
        wear.used_fraction = Some((new - now) / (new - least));
    }
    forecast(books, unit, readings, &mut wear);
    wear
}

/// The readings since the reel was last larger than before.
fn since_new(readings: &[Diameter]) -> &[Diameter] {
    let grew = readings.windows(2).rposition(|pair| match (pair[0].mm(), pair[1].mm()) {
        (Some(before), Some(after)) => after > before + NEW_MM,
        _ => false,
    });
    let since = &readings[grew.map_or(0, |at| at + 1)..];
    &since[since.len().saturating_sub(ROWS_MAX)..]
}

fn forecast(books: &Books, unit: &UnitBook, readings: &[Diameter], wear: &mut Wear) {
    let meter = &books.machine_of(unit).meter;
    let row = |one: &Diameter| {
        Some(DiameterReading {
            time_h: Some(meter.at(one.time)?),
            diameter_mm: one.mean_mm,
            left_diameter_mm: one.left_mm,
            right_diameter_mm: one.right_mm,
            after_grinding: one.after_grinding,
        })
    };
    let rows: Vec<DiameterReading> = readings.iter().filter_map(row).collect();
    let inputs = ReelWearInputs {
        readings: rows,
        minimum_diameter_mm: unit.facts.minimum_diameter_mm,
        ..ReelWearInputs::default()
    };
    wear.read_at_h = inputs.readings.last().and_then(|row| row.time_h);
    wear.lacking = match inputs.readings.len() {
        0 if readings.is_empty() => "no diameter was read".to_owned(),
        0 => "no hours are known of when its diameters were read".to_owned(),
        1 => "one diameter says nothing of wear; read it again some hours on".to_owned(),
        _ => match reel_wear(&inputs) {
            Ok(answer) => take(&answer, unit, wear),
            // Readings of one hour, or that contradict each other: the calculation says which.
            Err(error) => error.remedy,
        },
    };
}

/// Takes the forecast over; answers what is lacking.
fn take(answer: &ReelWearAnswer, unit: &UnitBook, wear: &mut Wear) -> String {
    wear.left_h = answer.remaining_life_h;
    wear.left_low_h = answer.remaining_life_low_h;
    wear.left_high_h = answer.remaining_life_high_h;
    if let (Some(left_h), Some((_, now)), Some(least)) =
        (wear.left_h.filter(|hours| *hours > 0.0), wear.last, unit.facts.minimum_diameter_mm)
    {
        wear.loss_per_100_h_mm = Some(100.0 * (now - least) / left_h);
    }
    if unit.facts.minimum_diameter_mm.is_none() {
        "give the least diameter of its manual with the unit".to_owned()
    } else if wear.left_h.is_none() {
        "the readings show no wear".to_owned()
    } else {
        String::new()
    }
}
