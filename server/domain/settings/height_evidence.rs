//! How far does the height on turf stand from the bench height on this area, and how sure is that?
//! The offset is signed: a unit may cut below its bench height or ride above it. Readings of the
//! area count most, older ones less; the rest of the shop, and then zero, stand behind them.
//! Deliberately absent: what to set; see `height`.

use std::collections::BTreeMap;

use super::normal_belief::{Belief, Weighted, total_weight, weighted_mean};
use super::{Common, SettingError};
use crate::domain::limits::{check, check_given, check_list, check_rows};
use crate::domain::units::{decimal, plain};

/// One reading of bench height and height on turf at the same setting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightReading {
    pub bench_height_mm: Option<f64>,
    pub effective_height_mm: Option<f64>,
    pub age_days: Option<f64>,
    /// Empty: the area asked about.
    pub area: String,
    /// Empty: the unit type asked about.
    pub unit_type: String,
}

/// What was given to go on, as both calculations of heights take it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HeightEvidence {
    pub reading_bench_height_mm: Option<f64>,
    pub effective_height_readings_mm: Vec<f64>,
    /// Bench height less height on turf.
    pub sinkage_readings_mm: Vec<f64>,
    /// A stated typical sinkage, used when there are no readings.
    pub sinkage_mm: Option<f64>,
    pub reading_age_days: Option<f64>,
    pub history: Vec<HeightReading>,
    pub area: String,
    pub unit_type: String,
    pub confidence_fraction: Option<f64>,
}

/// What is believed of the offset, and from how much.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset {
    pub belief: Belief,
    pub reading_count: usize,
    pub effective_reading_count: f64,
    /// Nothing was measured or stated for this area.
    pub measure_first: bool,
    pub confidence: f64,
}

/// Age at which a reading counts for half (common practice, no source: turf changes by season).
const HALF_LIFE_DAYS: f64 = 60.0;
/// Degrees of freedom of what is believed before any reading (our own judgement: weak).
const PRIOR_DEGREES: f64 = 4.0;
/// A prism reading on one area repeats to about this, mm and share of height (common practice).
const READING_SD: (f64, f64) = (0.15, 0.02);
/// Offsets differ from area to area of one shop by about this (common practice).
const AREA_SD: (f64, f64) = (0.3, 0.03);
/// Offsets in print run from -1.27 to +1.59 mm; a shop's own mean lies within about this.
const SHOP_SD: (f64, f64) = (1.0, 0.1);
const SHARE_DEFAULT: f64 = 0.95;
/// Under this weight of readings the interval is wide enough to say so.
const FEW_READINGS: f64 = 3.0;

fn spread_at((least_mm, share): (f64, f64), height_mm: f64) -> f64 {
    least_mm.max(share * height_mm)
}

/// Readings of this area, and of the rest of the shop by area and unit type.
struct Sorted {
    here: Vec<Weighted>,
    elsewhere: BTreeMap<(String, String), Vec<Weighted>>,
    total: usize,
}

/// The offset at about this height; `None` when an input is missing, which `common` then names.
pub fn offset_at(
    height_mm: f64,
    evidence: &HeightEvidence,
    common: &mut Common,
) -> Result<Option<Offset>, SettingError> {
    let confidence =
        check_given("confidence_fraction", evidence.confidence_fraction)?.unwrap_or(SHARE_DEFAULT);
    let stated = check_given("sinkage_mm", evidence.sinkage_mm)?;
    let Some(sorted) = sort(evidence, common)? else { return Ok(None) };
    let shop = shop_mean(&sorted, height_mm, common);
    let weight = total_weight(&sorted.here);
    let used_stated = stated.filter(|_| sorted.here.is_empty());
    let belief = match used_stated {
        Some(sinkage_mm) => believe_statement(sinkage_mm, height_mm, common),
        None => shop.after(&sorted.here),
    };
    if sorted.here.is_empty() && stated.is_none() {
        say_measure_first(&shop, common);
    } else if used_stated.is_none() {
        say_readings(&shop, &sorted.here, &belief, common);
        advise_on_readings(&sorted, weight, &belief, common);
        if stated.is_some() {
            common.advise(
                "stated_sinkage_not_used",
                "Readings were given, so the stated typical sinkage was not used.",
            );
        }
    }
    Ok(Some(Offset {
        belief,
        reading_count: sorted.here.len(),
        effective_reading_count: weight,
        measure_first: sorted.here.is_empty() && stated.is_none(),
        confidence,
    }))
}

/// Checks every reading and puts it with its area.
fn sort(e: &HeightEvidence, common: &mut Common) -> Result<Option<Sorted>, SettingError> {
    let effective = check_list("effective_height_readings_mm", &e.effective_height_readings_mm)?;
    let sinkages = check_list("sinkage_readings_mm", &e.sinkage_readings_mm)?;
    let bench = check_given("reading_bench_height_mm", e.reading_bench_height_mm)?;
    let age_days = check_given("reading_age_days", e.reading_age_days)?.unwrap_or(0.0);
    let mut sorted = Sorted { here: Vec::new(), elsewhere: BTreeMap::new(), total: 0 };
    if !effective.is_empty() {
        let Some(bench) = bench else {
            common.need(
                "reading_bench_height_mm",
                "mm",
                "the bench height at which the heights on turf were read",
            );
            return Ok(None);
        };
        sorted.here.extend(effective.iter().map(|height| aged(height - bench, age_days)));
    }
    sorted.here.extend(sinkages.iter().map(|sinkage| aged(-sinkage, age_days)));
    check_rows("history", e.history.len())?;
    for (index, reading) in e.history.iter().enumerate() {
        let offset = history_offset(index, reading)?;
        let same = |asked: &str, told: &str| asked.is_empty() || told.is_empty() || asked == told;
        if same(&e.area, &reading.area) && same(&e.unit_type, &reading.unit_type) {
            sorted.here.push(offset);
        } else {
            let key = (reading.area.clone(), reading.unit_type.clone());
            sorted.elsewhere.entry(key).or_default().push(offset);
        }
    }
    let elsewhere: usize = sorted.elsewhere.values().map(Vec::len).sum();
    sorted.total = sorted.here.len() + elsewhere;
    Ok(Some(sorted))
}

fn aged(value: f64, age_days: f64) -> Weighted {
    Weighted { value, weight: 0.5_f64.powf(age_days / HALF_LIFE_DAYS) }
}

fn history_offset(index: usize, reading: &HeightReading) -> Result<Weighted, SettingError> {
    let read = |name: &'static str, value: Option<f64>| {
        let field = format!("history[{index}].{name}");
        let value = value.ok_or_else(|| {
            SettingError::new(field.clone(), "missing", "give both heights of a reading")
        })?;
        check(name, value).map_err(|error| SettingError { field, ..error })
    };
    let bench = read("bench_height_mm", reading.bench_height_mm)?;
    let effective = read("effective_height_mm", reading.effective_height_mm)?;
    let age_days = read("age_days", Some(reading.age_days.unwrap_or(0.0)))?;
    Ok(aged(effective - bench, age_days))
}

/// What is believed of this area before its own readings: the mean of the shop's other areas, drawn
/// toward zero, and as wide as areas differ.
fn shop_mean(sorted: &Sorted, height_mm: f64, common: &mut Common) -> Belief {
    let reading_sd = spread_at(READING_SD, height_mm);
    let area_sd = spread_at(AREA_SD, height_mm);
    let shop_sd = spread_at(SHOP_SD, height_mm);
    let mut precision = 1.0 / (shop_sd * shop_sd);
    let mut sum = 0.0;
    for readings in sorted.elsewhere.values() {
        // A group whose readings are all too old to count for anything says nothing.
        let Some(mean) = weighted_mean(readings) else { continue };
        let weight = total_weight(readings);
        let its_precision = 1.0 / (area_sd * area_sd + reading_sd * reading_sd / weight);
        precision += its_precision;
        sum += its_precision * mean;
    }
    let mean = sum / precision;
    if !sorted.elsewhere.is_empty() {
        let areas = sorted.elsewhere.len();
        common.step(
            format!("Mean offset of the shop's other areas ({areas}), drawn toward zero"),
            format!("{} / {}", plain(sum), plain(precision)),
            mean,
            "mm",
            "normal_model",
        );
    }
    let variance_of_mean = area_sd * area_sd + 1.0 / precision;
    let variance = reading_sd * reading_sd;
    Belief { mean, weight: variance / variance_of_mean, variance, degrees: PRIOR_DEGREES }
}

/// A stated sinkage is a conclusion: it is taken as it stands, and trusted like one reading.
fn believe_statement(sinkage_mm: f64, height_mm: f64, common: &mut Common) -> Belief {
    let reading_sd = spread_at(READING_SD, height_mm);
    common.step(
        "Offset from the stated sinkage",
        format!("-({})", plain(sinkage_mm)),
        -sinkage_mm,
        "mm",
        "",
    );
    common.advise(
        "stated_sinkage",
        "The sinkage was stated, not read: it is trusted like a single reading. Three or four \
         readings on the area would narrow the answer.",
    );
    let variance = reading_sd * reading_sd;
    Belief { mean: -sinkage_mm, weight: 1.0, variance, degrees: PRIOR_DEGREES }
}

fn say_measure_first(shop: &Belief, common: &mut Common) {
    common.step(
        "No reading on this area: the offset may be anything seen in the trade",
        format!("{} ± {} (one standard deviation)", plain(shop.mean), plain(spread_of(shop))),
        shop.mean,
        "mm",
        "bench_offsets_seen",
    );
    common.advise(
        "measure_first",
        "Measure first: read the height on turf at four places on the area at a known bench \
         height. Offsets in print run from 1.3 mm below the bench height to 1.6 mm above it.",
    );
}

fn spread_of(belief: &Belief) -> f64 {
    (belief.variance / belief.weight).sqrt()
}

fn say_readings(shop: &Belief, here: &[Weighted], belief: &Belief, common: &mut Common) {
    const SHOWN: usize = 8;
    let values: Vec<String> = here.iter().take(SHOWN).map(|r| plain(r.value)).collect();
    let more = if here.len() > SHOWN { ", ..." } else { "" };
    let mean = weighted_mean(here).unwrap_or(shop.mean);
    let weight = total_weight(here);
    common.step(
        format!("Offsets read, height on turf less bench height ({} readings)", here.len()),
        format!("mean of {}{more}", values.join(", ")),
        mean,
        "mm",
        "",
    );
    if weight < here.len() as f64 {
        common.step(
            "Older readings count for less, half at 60 days: worth in fresh readings",
            "sum of 0.5^(age / 60)",
            weight,
            "",
            "common_practice",
        );
    }
    common.step(
        "Offset, drawn a little toward what was believed before",
        format!(
            "({} × {} + {} × {}) / {}",
            plain(shop.weight),
            plain(shop.mean),
            plain(weight),
            plain(mean),
            plain(belief.weight)
        ),
        belief.mean,
        "mm",
        "normal_model",
    );
}

/// Less than this no gauge tells (no source).
const NO_OFFSET_MM: f64 = 0.03;

/// What it says of the turf that the unit cuts at another height than the bench shows (common
/// practice, no source).
fn advise_on_offset(offset_mm: f64, common: &mut Common) {
    if offset_mm.abs() < NO_OFFSET_MM {
        return;
    }
    let by = decimal(offset_mm.abs(), 2);
    let told = if offset_mm < 0.0 {
        format!(
            "As read, it cuts {by} mm lower on the turf than on the bench: it sinks in. Soft or \
             puffy turf, a heavy unit and narrow or grooved rollers do that. Set the bench {by} mm \
             higher than what is wanted on the turf."
        )
    } else {
        format!(
            "As read, it cuts {by} mm higher on the turf than on the bench: it rides on leaf or \
             thatch, carries too little weight, or the bar reads low. Set the bench {by} mm lower \
             than what is wanted on the turf, once the gauge is checked."
        )
    };
    common.advise("offset_read", told);
}

fn advise_on_readings(sorted: &Sorted, weight: f64, belief: &Belief, common: &mut Common) {
    let count = sorted.here.len();
    if let Some(offset_mm) = weighted_mean(&sorted.here) {
        advise_on_offset(offset_mm, common);
    }
    if weight < FEW_READINGS {
        common.advise(
            "few_readings",
            format!(
                "Only {count} reading(s), worth {} fresh: the interval is wide. Read the area at \
                 three or four places.",
                plain(weight)
            ),
        );
    }
    if weight < count as f64 / 2.0 {
        common.advise(
            "old_readings",
            "The readings are more than two months old on the whole; turf changes with the season.",
        );
    }
    let prior_sd = READING_SD.0;
    if belief.variance.sqrt() > 3.0 * prior_sd {
        common.advise(
            "readings_scatter",
            format!(
                "The readings scatter by {} mm; look for soft places, a grain, or a unit that is \
                 not level.",
                plain(belief.variance.sqrt())
            ),
        );
    }
}
