//! Is a record about the right machine and unit, of the right day, by the right person, and does
//! each number stand in the field of its name? The days are worked out here anew, so that the
//! reader of days is not its own judge.

use std::collections::BTreeSet;

use jiff::civil::{Date, Weekday};
use jiff::{ToSpan, ZonedDateTime};
use serde_json::Value;
use sward_core::domain::catalogue::Equipment;
use sward_core::domain::intent::{Command, Interpretation};
use sward_core::domain::records::{Content, Detail, SubjectName};

/// Parts that were checked, each with what is wrong with it, if anything.
pub type Parts = Vec<(&'static str, Option<String>)>;

pub fn parts(row: &Value, answer: &Interpretation, now: &ZonedDateTime) -> Parts {
    let Command::Record { records, time } = &answer.command else { return Vec::new() };
    let text = |key: &str| row.get(key).and_then(Value::as_str);
    let said = |key: &str| row["fields"].get(key).and_then(Value::as_str);
    let mut out: Parts = Vec::new();
    let machine = machine(text("machine"), records);
    out.push(("machine of a record", machine));
    out.push(("unit of a record", unit(text("unit"), answer, records)));
    if let Some(said) = said("date_said") {
        let wanted = day(said, now.date());
        let got = time.as_ref().map(ZonedDateTime::date);
        let wrong = wanted.is_none() || got != wanted;
        out.push(("day of a record", wrong.then(|| format!("day {got:?}, wanted {wanted:?}"))));
    }
    if let Some(wanted) = said("done_by").or_else(|| said("by")) {
        let got = records.first().map_or("", |(_, content)| content.done_by.as_str());
        let wrong = !got.eq_ignore_ascii_case(wanted);
        out.push(("who did it", wrong.then(|| format!("who {got:?}, wanted {wanted}"))));
    }
    out
}

/// The words of a name that tell it from others, in any order.
fn folded(words: &str) -> BTreeSet<String> {
    const NUMBERS: [&str; 11] = ["zero", "one", "two", "three", "four", "five", "six", "seven",
        "eight", "nine", "ten"];
    let same = |word: &str| match word {
        "no" => "number".to_owned(),
        "center" | "middle" => "centre".to_owned(),
        "nearside" => "left".to_owned(),
        "offside" => "right".to_owned(),
        "back" => "rear".to_owned(),
        _ => match NUMBERS.iter().position(|number| *number == word) {
            Some(number) => number.to_string(),
            None => word.to_owned(),
        },
    };
    words
        .to_lowercase()
        .split(|ch: char| !ch.is_alphanumeric())
        .filter(|word| !word.is_empty() && *word != "the")
        .map(same)
        .collect()
}

fn machine(wanted: Option<&str>, records: &[(SubjectName, Content)]) -> Option<String> {
    let wanted = wanted.into_iter().flat_map(|all| all.split(", "));
    let wanted: BTreeSet<_> = wanted.map(folded).collect();
    let got: BTreeSet<_> = records
        .iter()
        .filter_map(|(name, _)| Some(folded(name.machine()?.as_str())))
        .collect();
    (got != wanted).then(|| format!("machine {got:?}, wanted {wanted:?}"))
}

fn unit(
    wanted: Option<&str>,
    answer: &Interpretation,
    records: &[(SubjectName, Content)],
) -> Option<String> {
    const WORN: &[(&str, Equipment)] = &[
        ("groomer", Equipment::Groomer),
        ("groomers", Equipment::Groomer),
        ("brush", Equipment::RearRollerBrush),
        ("verticut", Equipment::VerticutReel),
        ("spindle", Equipment::RotaryDeck),
    ];
    const FILL: [&str; 9] =
        ["unit", "units", "head", "heads", "reel", "number", "roller", "rear", "hand"];
    let mut got: BTreeSet<BTreeSet<String>> = BTreeSet::new();
    for (name, content) in records {
        let mut units = vec![name.clone()];
        if let Detail::HeightReading(detail) = &content.detail {
            units.extend(detail.readings.iter().filter_map(|point| point.unit.clone()));
        }
        let units = units.iter().filter(|name| matches!(name, SubjectName::Unit { .. }));
        got.extend(units.map(|name| folded(name.id().as_str())));
    }
    got.extend(answer.homeless_units.iter().map(|unit| folded(unit)));
    let Some(wanted) = wanted else {
        return (!got.is_empty()).then(|| format!("unit {got:?}, wanted none"));
    };
    if wanted.starts_with("all") || wanted.starts_with("both") {
        return None;
    }
    let mut units: BTreeSet<BTreeSet<String>> = BTreeSet::new();
    for one in wanted.split(", ").flat_map(|part| part.split(" and ")) {
        let mut words = folded(one);
        let worn = WORN.iter().find(|(word, _)| words.remove(*word));
        if let Some((word, equipment)) = worn {
            let right = records.iter().all(|(_, content)| content.equipment == Some(*equipment));
            if !right {
                return Some(format!("equipment, wanted {word}"));
            }
            words.remove("rear");
        }
        if words.len() > 1 || worn.is_some() {
            let corner = worn.is_none();
            words.retain(|word| !FILL.contains(&word.as_str()) || (corner && word == "rear"));
        }
        if !words.is_empty() {
            units.insert(words);
        }
    }
    (got != units).then(|| format!("unit {got:?}, wanted {units:?}"))
}

/// The day that words mean, counted from today; never after it.
fn day(said: &str, today: Date) -> Option<Date> {
    const DAYS: [(&str, Weekday); 7] = [("mon", Weekday::Monday), ("tue", Weekday::Tuesday),
        ("wed", Weekday::Wednesday), ("thu", Weekday::Thursday), ("fri", Weekday::Friday),
        ("sat", Weekday::Saturday), ("sun", Weekday::Sunday)];
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep",
        "oct", "nov", "dec"];
    let lower = said.to_lowercase();
    let has = |word: &str| lower.contains(word);
    let back = |days: i32| today.checked_sub(days.days()).ok();
    let numbers: Vec<i16> = lower
        .split(|ch: char| !ch.is_ascii_digit())
        .filter_map(|digits| digits.parse().ok())
        .collect();
    let month = MONTHS.iter().position(|name| lower.split(' ').any(|word| word.starts_with(name)));
    let named = DAYS.iter().find(|(name, _)| lower.split(' ').any(|word| word.starts_with(name)));
    if has("day before yesterday") {
        return back(2);
    }
    if has("yesterday") || has("last night") {
        return back(1);
    }
    if has("ago") {
        let in_words = if has("two") || has("couple") { 2 } else { 1 };
        let count = numbers.first().copied().unwrap_or(in_words);
        return back(i32::from(count) * if has("week") { 7 } else { 1 });
    }
    if has("last week") {
        return back(7);
    }
    if has("today") || has("this") || has("tonight") || has("now") {
        return Some(today);
    }
    let past = |date: Option<Date>| date.filter(|date| *date <= today);
    match (month, &numbers[..]) {
        (Some(month), [day, rest @ ..]) => {
            let of = |year: i16| Date::new(year, month as i8 + 1, *day as i8).ok();
            let year = rest.first().copied();
            year.map_or_else(|| past(of(today.year())).or_else(|| of(today.year() - 1)), of)
        }
        (None, [day, month, year] | [year, month, day]) if *year > 1900 => {
            Date::new(*year, *month as i8, *day as i8).ok()
        }
        (None, [day, month]) => past(Date::new(today.year(), *month as i8, *day as i8).ok())
            .or_else(|| Date::new(today.year() - 1, *month as i8, *day as i8).ok()),
        (None, [day]) if named.is_none() => {
            let of = |date: Date| date.with().day(*day as i8).build().ok();
            past(of(today)).or_else(|| of(today.checked_sub(1.month()).ok()?))
        }
        _ => today.nth_weekday(-1, named?.1).ok(),
    }
}

/// The fields of a record that a number of this name may stand in; none: in any.
pub fn fields_of(kind: &str, name: &str) -> &'static [&'static str] {
    match (kind, name) {
        (_, "duration") => &["duration_min"],
        (_, "duration_each") => &["duration_each_min"],
        (_, "machine_hours" | "engine_hours") => &["machine_hours_h"],
        (_, "grit") => &["grit"],
        ("sharpening", "diameter_before") => &["diameter_before_mm"],
        ("sharpening", "diameter_after") => &["diameter_after_mm"],
        (_, "relief_angle") => &["relief_angle_deg"],
        (_, "land_width") => &["land_width_mm"],
        ("sharpening", "blade_count") => &["sharpened_blade_count"],
        ("sharpening", "mass_removed") => &["mass_removed_g"],
        ("adjustment", "height_change") => &["height_change_mm"],
        (_, "turns") => &["turns"],
        ("adjustment", "setting" | "height_after") => &["setting_mm"],
        ("adjustment", "setting_before" | "height_before") => &["setting_before_mm"],
        ("adjustment", "movement") => &["movement_mm"],
        (_, "pressure") => &["pressure_kpa"],
        (_, "pressure_before") => &["pressure_before_kpa"],
        ("part_replaced", "screw_count" | "blade_count" | "blade_count_per_head") => &["count"],
        (_, "blade_count_replaced") => &["count"],
        ("part_replaced", "life") => &["life_h"],
        ("part_replaced", "old_diameter") => &["old_diameter_mm"],
        ("part_replaced", "blade_thickness") => &["thickness_mm"],
        ("height_reading", "left" | "right" | "heights") => &["height_mm"],
        ("height_reading", "bench_height") => &["bench_height_mm"],
        (_, "left_diameter") => &["left_diameter_mm"],
        (_, "right_diameter") => &["right_diameter_mm"],
        (_, "blade_stop_time") => &["blade_stop_time_s"],
        (_, "reel_speed") => &["reel_speed_rpm"],
        (_, "belt_remaining") => &["remaining_h"],
        (_, "hours_run") => &["hours_run_h"],
        (_, "hours_since") => &["hours_since_h", "hours_h"],
        _ => &[],
    }
}

/// Numbers that are kept in the notes ("bow in the bedknife: 25 thou"), as field and value.
pub fn noted(notes: &str) -> Vec<(String, f64)> {
    let number = |note: &str| {
        let (_, said) = note.rsplit_once(": ")?;
        let (value, unit) = said.split_once(' ').unwrap_or((said, ""));
        Some((format!("noted_{unit}"), value.parse().ok()?))
    };
    notes.split("; ").filter_map(number).collect()
}
