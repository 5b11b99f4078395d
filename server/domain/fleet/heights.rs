//! By what steps does an area come to its height, and what is set on each unit at each step? The
//! steps of `height_plan` on turf, the bench height that gives each of them from this area's own
//! readings (`bench_height`), and the ground speed that keeps the clip equal to the height
//! (`clip_spacing`).
//! Deliberately absent: a bench height from readings of another area passed off as its own; the
//! answer says when there are none.

use super::books::{AreaBook, Books, TurfHeight, UnitBook};
use super::{date, days_between};
use crate::domain::catalogue::Equipment;
use crate::domain::records::Moment;
use crate::domain::settings::SettingError;
use crate::domain::settings::clip::{ClipSpacingInputs, clip_spacing};
use crate::domain::settings::height::{BenchHeightInputs, bench_height};
use crate::domain::settings::height_evidence::{HeightEvidence, HeightReading};
use crate::domain::settings::height_plan::{
    HeightPlanAnswer, HeightPlanInputs, HeightStep, height_plan,
};

/// Readings of the area, and of all other areas, that are looked at: the latest.
const READINGS_MAX: usize = 500;
/// Readings at a bench height up to so many times the one asked for tell of it (no source).
const NEAR: f64 = 1.2;
/// Shorter words of a machine's name are of anything (common practice, no source).
const NAME_LETTERS: usize = 4;
/// Words of a machine's name that name an area as well.
const OF_AREAS: &[&str] = &["greens", "green", "tees", "fairway", "fairways", "surrounds", "approaches"];
/// Kinds of machines that read otherwise on turf than the units of the greens.
const OTHER_KINDS: &[&str] = &["rotary", "rotaries", "deck", "decks", "verticut", "groomer", "groomers", "flail", "brush"];
/// Readings within so many days of the last tell where the turf stands now.
const SAME_READING_DAYS: f64 = 1.0;

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Asked {
    /// Place among the areas.
    pub area: usize,
    /// Place of the machine that mows it; none: the one its readings name.
    pub machine: Option<usize>,
    /// On turf; none: what the area says.
    pub target_height_mm: Option<f64>,
    /// On turf; none: its latest reading.
    pub current_height_mm: Option<f64>,
    pub time_available_days: Option<f64>,
    pub mowing_interval_days: Option<f64>,
    pub growth_mm_per_day: Option<f64>,
    pub max_removed_fraction: Option<f64>,
    pub step_limit_mm: Option<f64>,
    /// YYYY-MM-DD; empty: today.
    pub start_date: String,
    /// Of all units; none: what was measured on each.
    pub reel_speed_rpm: Option<f64>,
    pub ground_speed_mps: Option<f64>,
}

/// What one unit is set to at one step.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct UnitStep {
    pub unit: usize,
    pub bench_height_mm: Option<f64>,
    pub low_mm: Option<f64>,
    pub high_mm: Option<f64>,
    /// Nothing was read on this area: measure before trusting it.
    pub measure_first: bool,
    /// The clip at the ground speed given or measured.
    pub clip_spacing_mm: Option<f64>,
    /// The ground speed that makes the clip equal to the height.
    pub ground_speed_mps: Option<f64>,
    /// What stands in the way of a clip; empty when nothing does.
    pub lacking: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub on_turf: HeightStep,
    pub units: Vec<UnitStep>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    pub plan: HeightPlanAnswer,
    pub steps: Vec<Step>,
    pub current_height_mm: Option<f64>,
    /// When the current height was read; none when it was given.
    pub read: Option<Moment>,
    pub target_height_mm: Option<f64>,
    pub machine: Option<usize>,
    /// Readings of this area with their bench height.
    pub reading_count: usize,
}

pub fn plan(books: &Books, asked: &Asked) -> Result<Plan, SettingError> {
    let area = &books.areas[asked.area];
    let latest = latest_height(area);
    let current = asked.current_height_mm.or(latest.map(|(_, height)| height));
    let target = asked.target_height_mm.or(area.facts.target_effective_height_mm);
    let start_date =
        if asked.start_date.is_empty() { date(books.now) } else { asked.start_date.clone() };
    let mut answer = height_plan(&HeightPlanInputs {
        current_height_mm: current,
        target_height_mm: target,
        time_available_days: asked.time_available_days,
        max_removed_fraction: asked.max_removed_fraction,
        mowing_interval_days: asked.mowing_interval_days,
        growth_mm_per_day: asked.growth_mm_per_day,
        step_limit_mm: asked.step_limit_mm,
        start_date,
    })?;
    let machine = asked.machine.or_else(|| named_machine(area));
    let units: Vec<usize> = machine.map_or(Vec::new(), |machine| mowing_units(books, machine));
    if units.is_empty() {
        let why = "the machine that mows it, one with reels or a deck; no reading names one";
        answer.common.need("machine", "", why);
    }
    let history = history(books, asked.area);
    let reading_count = history.iter().filter(|row| row.area == area_key(area)).count();
    let mut steps = Vec::with_capacity(answer.steps.len());
    for on_turf in &answer.steps {
        let of_unit = |unit: &usize| unit_step(books, *unit, on_turf.height_mm, &history, asked);
        let units = units.iter().map(of_unit).collect::<Result<_, _>>()?;
        steps.push(Step { on_turf: on_turf.clone(), units });
    }
    Ok(Plan {
        steps,
        current_height_mm: current,
        read: latest.map(|(time, _)| time).filter(|_| asked.current_height_mm.is_none()),
        target_height_mm: target,
        machine,
        reading_count,
        plan: answer,
    })
}

fn area_key(area: &AreaBook) -> String {
    area.name.to_string()
}

/// The mean of the readings of the last day.
fn latest_height(area: &AreaBook) -> Option<(Moment, f64)> {
    let last = area.turf.last()?.time;
    let near = area.turf.iter().rev();
    let near = near.take_while(|one| days_between(one.time, last) < SAME_READING_DAYS);
    let heights: Vec<f64> = near.map(|one| one.height_mm).collect();
    Some((last, heights.iter().sum::<f64>() / heights.len() as f64))
}

/// The machine that the latest reading with one names.
fn named_machine(area: &AreaBook) -> Option<usize> {
    area.turf.iter().rev().find_map(|one| one.machine)
}

fn mowing_units(books: &Books, machine: usize) -> Vec<usize> {
    let mows = |unit: &UnitBook| {
        matches!(unit.equipment, Some(Equipment::ReelUnit | Equipment::RotaryDeck))
    };
    let units = books.units.iter().enumerate();
    units.filter(|(_, unit)| unit.machine == machine && mows(unit)).map(|(at, _)| at).collect()
}

/// A reading on turf whose bench height is known.
fn row(books: &Books, of: &AreaBook, one: &TurfHeight) -> Option<HeightReading> {
    Some(HeightReading {
        bench_height_mm: Some(one.bench_mm?),
        effective_height_mm: Some(one.height_mm),
        age_days: Some(days_between(one.time, books.now).max(0.0)),
        area: area_key(of),
        unit_type: one.unit.map_or(String::new(), |u| books.units[u].facts.unit_type.clone()),
    })
}

/// The readings that a bench height rests on that is asked for with none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Near {
    /// The latest of any area at about this height, each with what its area is called.
    pub readings: Vec<(HeightReading, String)>,
    /// The area that the words name; empty: none.
    pub area: String,
}

/// Those at about this height; none where the words name a machine, which no reading may be of.
pub fn near(books: &Books, height_mm: f64, words: &str) -> Near {
    let said = name_words(words);
    let both = |title: &str, id: String| [title.to_owned(), id];
    let machines = books.machines.iter();
    let machines = machines.flat_map(|one| both(&one.title, one.name.id().to_string()));
    let names = machines.flat_map(|name| name_words(&name));
    let names_machine = |name: &String| {
        name.len() >= NAME_LETTERS && !OF_AREAS.contains(&name.as_str()) && said.contains(name)
    };
    let other = said.iter().any(|word| OTHER_KINDS.contains(&word.as_str()));
    if other || names.into_iter().any(|name| names_machine(&name)) {
        return Near::default();
    }
    let area = books.areas.iter().find(|area| {
        let names = both(&area.title, area.name.id().to_string());
        names.iter().any(|name| is_said(&said, &name_words(name)))
    });
    Near { readings: all_near(books, height_mm), area: area.map_or_else(String::new, area_key) }
}

/// In small letters, "6th" as "6".
fn name_words(words: &str) -> Vec<String> {
    let lower = words.to_lowercase();
    let parts = lower.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty());
    let word = |word: &str| {
        let digits = word.trim_end_matches(|ch: char| ch.is_alphabetic());
        let ordinal = !digits.is_empty() && matches!(&word[digits.len()..], "st" | "nd" | "rd" | "th");
        if ordinal { digits.to_owned() } else { word.to_owned() }
    };
    parts.map(word).collect()
}

/// "6 green", "green 6": all words of a name side by side.
fn is_said(said: &[String], name: &[String]) -> bool {
    let back: Vec<String> = name.iter().rev().cloned().collect();
    !name.is_empty() && said.windows(name.len()).any(|part| part == name || part == back)
}

fn all_near(books: &Books, height_mm: f64) -> Vec<(HeightReading, String)> {
    let about = |reading: &HeightReading| {
        let bench = reading.bench_height_mm.unwrap_or_default();
        bench.max(height_mm) <= NEAR * bench.min(height_mm)
    };
    let of = |area: &AreaBook, one: &TurfHeight| {
        let title = Some(area.title.clone()).filter(|title| !title.is_empty());
        let title = title.unwrap_or_else(|| area.name.id().to_string());
        Some((row(books, area, one).filter(about)?, title))
    };
    let all = books.areas.iter();
    let mut all: Vec<(HeightReading, String)> =
        all.flat_map(|area| area.turf.iter().filter_map(move |one| of(area, one))).collect();
    let age = |one: &HeightReading| one.age_days.unwrap_or_default();
    all.sort_by(|a, b| age(&a.0).total_cmp(&age(&b.0)).then_with(|| a.0.area.cmp(&b.0.area)));
    all.truncate(READINGS_MAX);
    all
}

/// Every reading on turf whose bench height is known: the latest of this area and of the others.
fn history(books: &Books, area: usize) -> Vec<HeightReading> {
    let row = |of: &AreaBook, one: &TurfHeight| row(books, of, one);
    let own = &books.areas[area];
    let here = own.turf.iter().rev().filter_map(|one| row(own, one)).take(READINGS_MAX);
    let mut others: Vec<HeightReading> = books
        .areas
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != area)
        .flat_map(|(_, other)| other.turf.iter().filter_map(|one| row(other, one)))
        .collect();
    others.sort_by(|a, b| {
        let age = |one: &HeightReading| one.age_days.unwrap_or_default();
        age(a).total_cmp(&age(b)).then_with(|| a.area.cmp(&b.area))
    });
    others.truncate(READINGS_MAX);
    here.chain(others).collect()
}

fn unit_step(
    books: &Books,
    at: usize,
    height_mm: f64,
    history: &[HeightReading],
    asked: &Asked,
) -> Result<UnitStep, SettingError> {
    let unit = &books.units[at];
    let bench = bench_height(&BenchHeightInputs {
        target_effective_height_mm: Some(height_mm),
        evidence: HeightEvidence {
            history: history.to_vec(),
            area: area_key(&books.areas[asked.area]),
            unit_type: unit.facts.unit_type.clone(),
            ..HeightEvidence::default()
        },
    })?;
    let mut step = UnitStep {
        unit: at,
        bench_height_mm: bench.bench_height_mm,
        low_mm: bench.bench_height_low_mm,
        high_mm: bench.bench_height_high_mm,
        measure_first: bench.measure_first,
        ..UnitStep::default()
    };
    if unit.equipment == Some(Equipment::ReelUnit) {
        clip(unit, height_mm, asked, &mut step)?;
    }
    Ok(step)
}

fn clip(
    unit: &UnitBook,
    height_mm: f64,
    asked: &Asked,
    step: &mut UnitStep,
) -> Result<(), SettingError> {
    let reel_rpm = asked.reel_speed_rpm.or(unit.measured.reel_speed_rpm.map(|(_, rpm)| rpm));
    // At most 30 blades.
    let blades = unit.facts.blade_count.and_then(|count| i32::try_from(count).ok());
    let (Some(reel_speed_rpm), Some(blade_count)) = (reel_rpm, blades) else {
        step.lacking = "give the reel speed, and the count of blades with the unit".to_owned();
        return Ok(());
    };
    let known = ClipSpacingInputs {
        blade_count: Some(blade_count),
        reel_speed_rpm: Some(reel_speed_rpm),
        ..ClipSpacingInputs::default()
    };
    let aim = ClipSpacingInputs { height_of_cut_mm: Some(height_mm), ..known.clone() };
    match clip_spacing(&aim) {
        Ok(answer) => step.ground_speed_mps = answer.ground_speed_mps,
        // A reel speed out of bounds is the caller's; a ground speed worked out too high is not.
        Err(error) if error.field == "ground_speed_mps" => step.lacking = error.remedy,
        Err(error) => return Err(error),
    }
    let speed = asked.ground_speed_mps.or(unit.measured.ground_speed_mps.map(|(_, mps)| mps));
    if let Some(speed) = speed {
        let drive = ClipSpacingInputs { ground_speed_mps: Some(speed), ..known };
        step.clip_spacing_mm = clip_spacing(&drive)?.clip_spacing_mm;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_area_is_said_by_all_words_of_its_name() {
        for (words, name, wanted) in [
            ("what bench height do I need on 6 green for 3.2 effective", "6-green", true),
            ("bench for 3.2 on the 6th green", "6 green", true),
            ("bench for 3.2 on green 6", "6 green", true),
            ("bench for 6.2 on the greens", "6 green", false),
            ("bench for 3.2 on 16 green", "6 green", false),
        ] {
            assert_eq!(is_said(&name_words(words), &name_words(name)), wanted, "{words}");
        }
    }
}
