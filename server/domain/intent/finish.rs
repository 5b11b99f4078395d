//! What follows from the numbers that were said: a load that is added to, a drop that is a change
//! downwards, "twice a week" that is every three and a half days?
//! Deliberately absent: anything that a calculation works out itself.

use super::filled::{Filled, Value};
use super::settle::Settled;
use super::spoken::Spoken;
use crate::domain::said::numbers::{Quantity, stands};

type Placed = Vec<(usize, String, Settled)>;

/// Puts helping fields into the fields of the contract.
pub fn finish(calculation: &str, spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    super::sizes::by_size(calculation, spoken, filled, placed);
    match calculation {
        "effective_height" => {
            same_setting(filled, placed);
            one_sinkage(filled, placed);
            height_on_turf(filled, placed);
        }
        "bench_height" => one_sinkage(filled, placed),
        "sinkage_change" => {
            changed_load(filled, placed);
            firmness(spoken, filled);
        }
        "adjuster_turns" => {
            asked_in_turns(spoken, filled, placed);
            signed_change(filled, placed);
            lowered(spoken, filled, placed);
            // The size of a thread only tells which number is its pitch.
            filled.remove("thread_size_mm");
            placed.retain(|(_, field, _)| field != "thread_size_mm");
            worth_of_a_turn(filled, placed);
            drop_doubled(filled, placed);
            turns_made(filled, placed);
        }
        "field_capacity" => {
            working_share(filled, placed);
            by_the_hour(spoken, filled, placed);
        }
        "repair_cost" => hours_so_far(filled, placed),
        "brush_contact" => twice_as_fast(spoken, filled),
        "service_interval" => still_in(filled, placed),
        "match_units" => worth_of_a_turn(filled, placed),
        "height_plan" => mowing_interval(spoken, filled, placed),
        _ => {}
    }
}

/// Readings without a bench height of their own were taken at the one asked about.
fn same_setting(filled: &mut Filled, placed: &mut Placed) {
    let readings = filled.has("effective_height_readings_mm");
    if readings
        && !filled.has("reading_bench_height_mm")
        && let Some(bench) = filled.get_number("bench_height_mm")
    {
        filled.number("reading_bench_height_mm", bench);
    }
    if !readings && !filled.has("bench_height_mm") {
        // A sinkage is the same at any setting.
        if let Some(bench) = filled.get_number("reading_bench_height_mm") {
            filled.number("bench_height_mm", bench);
            filled.remove("reading_bench_height_mm");
            rename(placed, "reading_bench_height_mm", "bench_height_mm");
        }
    }
    if readings
        && !filled.has("bench_height_mm")
        && let Some(bench) = filled.get_number("reading_bench_height_mm")
    {
        filled.number("bench_height_mm", bench);
    }
}

/// One sinkage is the sinkage, however it was read.
fn one_sinkage(filled: &mut Filled, placed: &mut Placed) {
    let Some(Value::Numbers(list)) = filled.get("sinkage_readings_mm") else { return };
    let [only] = list[..] else { return };
    filled.remove("sinkage_readings_mm");
    if !filled.has("sinkage_mm") {
        filled.number("sinkage_mm", only);
        rename(placed, "sinkage_readings_mm[0]", "sinkage_mm");
    }
}

/// "Bench at .140 and it cuts .128": no unit sinks by half of its height (common
/// practice, no source), so that is what it cuts.
fn height_on_turf(filled: &mut Filled, placed: &mut Placed) {
    const SINKS_MOST: f64 = 0.5;
    let bench = filled.get_number("bench_height_mm");
    let (Some(bench), Some(sinkage)) = (bench, filled.get_number("sinkage_mm")) else { return };
    if sinkage > SINKS_MOST * bench && !filled.has("effective_height_readings_mm") {
        filled.remove("sinkage_mm");
        filled.set("effective_height_readings_mm", Value::Numbers(vec![sinkage]));
        rename(placed, "sinkage_mm", "effective_height_readings_mm[0]");
        same_setting(filled, placed);
    }
}

/// "How much in an hour?" asks for a rate: the hour is none that somebody has.
fn by_the_hour(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    let hour = |(index, field, _): &(usize, String, Settled)| {
        let quantity = &spoken.quantities[*index];
        let one = quantity.value == 1.0 && quantity.unit == Some("h");
        field == "time_h" && quantity.in_words && one
    };
    if placed.iter().any(hour) && !filled.has("area_ha") {
        filled.remove("time_h");
        placed.retain(|one| !hour(one));
    }
}

fn changed_load(filled: &mut Filled, placed: &mut Placed) {
    let added = filled.get_number("added_load_kg").unwrap_or(0.0);
    let removed = filled.get_number("removed_load_kg").unwrap_or(0.0);
    let changed = filled.has("added_load_kg") || filled.has("removed_load_kg");
    let now = filled.get_number("new_roller_load_kg").filter(|_| changed);
    if let (Some(load), false) = (now, filled.has("roller_load_kg")) {
        // "35 kg now, and I add 5": what it weighs now is what is added to.
        filled.number("roller_load_kg", load);
        rename(placed, "new_roller_load_kg", "roller_load_kg");
    }
    if let (true, Some(load)) = (changed, filled.get_number("roller_load_kg")) {
        filled.number("new_roller_load_kg", load + added - removed);
        rename(placed, "added_load_kg", "new_roller_load_kg");
        rename(placed, "removed_load_kg", "new_roller_load_kg");
    }
    filled.remove("added_load_kg");
    filled.remove("removed_load_kg");
}

/// The one that still runs is the one whose time ahead is asked about.
fn one_goes_on(filled: &mut Filled, placed: &mut Placed) {
    let ahead = filled.has("horizon_h") && !filled.has("survived_time_h");
    let Some(Value::Numbers(list)) = filled.get("still_running_times_h") else { return };
    if let (true, [only]) = (ahead, &list[..]) {
        filled.number("survived_time_h", *only);
        filled.remove("still_running_times_h");
        rename(placed, "still_running_times_h[0]", "survived_time_h");
    }
}

/// What one has survived, with no time ahead that is asked about, is one that still runs.
fn still_in(filled: &mut Filled, placed: &mut Placed) {
    one_goes_on(filled, placed);
    let survived = filled.get_number("survived_time_h").filter(|_| !filled.has("horizon_h"));
    if let Some(hours) = survived {
        filled.remove("survived_time_h");
        let at = filled.push("still_running_times_h", hours);
        rename(placed, "survived_time_h", &format!("still_running_times_h[{at}]"));
    }
}

/// "Twice as firm", "half as firm again": a ratio in words.
fn firmness(spoken: &Spoken, filled: &mut Filled) {
    const SAID: &[(&str, f64)] = &[
        ("twice as firm", 2.0),
        ("twice as hard", 2.0),
        ("half as firm again", 1.5),
        ("half as hard again", 1.5),
        ("half as firm", 0.5),
        ("half as hard", 0.5),
        ("twice as soft", 0.5),
    ];
    const BY_HALF: &[&str] = &[
        "firmed up by half", "firmer by half", "harder by half", "firmed by half",
        "hardened up by half",
    ];
    let at = |words: &str| (0..spoken.tokens.len()).any(|at| stands(&spoken.tokens, at, words));
    // The half is what was added.
    if BY_HALF.iter().any(|words| at(words)) {
        filled.number("ground_firmness_ratio", 1.5);
    }
    if filled.has("ground_firmness_ratio") {
        return;
    }
    if let Some((_, ratio)) = SAID.iter().find(|(words, _)| at(words)) {
        filled.number("ground_firmness_ratio", *ratio);
    }
}

/// "Twice ground speed": a ratio in words.
fn twice_as_fast(spoken: &Spoken, filled: &mut Filled) {
    const TIMES: &[(&str, f64)] = &[("twice", 2.0), ("double", 2.0), ("half", 0.5)];
    const SPEED: &[&str] = &[
        "ground speed", "the ground speed", "walking speed", "the speed of the roller",
        "our ground speed", "mowing speed", "roller speed", "the roller speed", "our speed",
        "as fast as", "the speed",
    ];
    let said = |at: usize| {
        let (_, times) = TIMES.iter().find(|(word, _)| stands(&spoken.tokens, at, word))?;
        SPEED.iter().any(|words| stands(&spoken.tokens, at + 1, words)).then_some(*times)
    };
    if filled.has("surface_speed_ratio") {
        return;
    }
    if let Some(times) = (0..spoken.tokens.len()).find_map(said) {
        filled.number("surface_speed_ratio", times);
    }
}

/// Hours done, with no later hours, are those the repairs are asked for.
fn hours_so_far(filled: &mut Filled, placed: &mut Placed) {
    let later = filled.has("machine_time_h");
    if let (Some(hours), false) = (filled.get_number("start_time_h"), later) {
        filled.number("machine_time_h", hours);
        filled.remove("start_time_h");
        rename(placed, "start_time_h", "machine_time_h");
    }
}

/// "I lose a fifth of my time": four fifths are worked.
fn working_share(filled: &mut Filled, placed: &mut Placed) {
    let lost = filled.get_number("lost_time_fraction");
    if let Some(lost) = lost.filter(|_| !filled.has("field_efficiency_fraction")) {
        filled.number("field_efficiency_fraction", 1.0 - lost);
        rename(placed, "lost_time_fraction", "field_efficiency_fraction");
    }
    filled.remove("lost_time_fraction");
}

/// "How many turns to lift 0.6": the turns are asked for, and the number is how far.
fn asked_in_turns(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    const FAR: &[&str] =
        &["height_change_mm", "height_rise_mm", "height_drop_mm", "target_height_mm"];
    let said = |words: &str| (0..spoken.tokens.len()).any(|at| stands(&spoken.tokens, at, words));
    let asked = ["how many turns", "how many flats", "many turns"].iter().any(|words| said(words));
    let known = FAR.iter().any(|field| filled.has(field));
    let bare = |(index, field, _): &&(usize, String, Settled)| {
        field == "turns_count" && spoken.quantities[*index].unit.is_none()
    };
    let Some(far) = placed.iter().find(bare).map(|(_, _, settled)| settled.value) else { return };
    if !asked || known {
        return;
    }
    let down = ["drop", "lower", "down", "bring it down"].iter().any(|words| said(words));
    let to = if down { "height_drop_mm" } else { "height_rise_mm" };
    filled.remove("turns_count");
    filled.number(to, far);
    for (_, field, settled) in placed.iter_mut().filter(|(_, field, _)| field == "turns_count") {
        to.clone_into(field);
        settled.unit = "mm";
    }
}

fn signed_change(filled: &mut Filled, placed: &mut Placed) {
    let change = match (filled.get_number("height_rise_mm"), filled.get_number("height_drop_mm")) {
        (_, Some(drop)) => Some(-drop.abs()),
        (Some(rise), None) => Some(rise),
        (None, None) => None,
    };
    if let Some(change) = change {
        filled.number("height_change_mm", change);
    }
    for (_, field, settled) in placed.iter_mut() {
        if field == "height_drop_mm" {
            settled.value = -settled.value.abs();
        }
    }
    rename(placed, "height_rise_mm", "height_change_mm");
    rename(placed, "height_drop_mm", "height_change_mm");
    filled.remove("height_rise_mm");
    filled.remove("height_drop_mm");
}

/// "Lower fairway 1 by 0.5": which way is said, however far from the number.
fn lowered(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    let said = |words: &[&str]| {
        spoken.tokens.iter().any(|token| words.contains(&token.text.as_str()))
    };
    let down = said(&["lower", "drop", "down", "lowering", "dropping", "lowered"]);
    let up = said(&["raise", "up", "lift", "rise", "raised", "higher", "or", "raising"]);
    let turns = filled.get_number("turns_count").filter(|turns| *turns > 0.0);
    if let Some(turns) = turns.filter(|_| down && !up) {
        filled.number("turns_count", -turns);
        for (_, _, settled) in placed.iter_mut().filter(|(_, field, _)| field == "turns_count") {
            settled.value = -settled.value.abs();
        }
    }
    let Some(change) = filled.get_number("height_change_mm").filter(|change| *change > 0.0) else {
        return;
    };
    if down && !up {
        filled.number("height_change_mm", -change);
        for (_, _, settled) in placed.iter_mut().filter(|(_, field, _)| field == "height_change_mm") {
            settled.value = -settled.value.abs();
        }
    }
}

/// "Two turns move it 1.2 mm": a turn is worth half of that.
fn worth_of_a_turn(filled: &mut Filled, placed: &mut Placed) {
    let turns = filled.get_number("measured_turns_count").filter(|turns| *turns > 0.0);
    if let (Some(turns), Some(change)) = (turns, filled.get_number("height_change_per_turn_mm")) {
        filled.number("height_change_per_turn_mm", change / turns);
        rename(placed, "measured_turns_count", "height_change_per_turn_mm");
    }
    filled.remove("measured_turns_count");
}

/// A wanted height and a height now make the change.
fn drop_doubled(filled: &mut Filled, placed: &mut Placed) {
    let doubled = filled.has("target_height_mm") && filled.has("current_height_mm");
    if doubled && filled.has("height_change_mm") {
        filled.remove("height_change_mm");
        placed.retain(|(_, field, _)| field != "height_change_mm");
    }
    if filled.has("calibration_height_before_mm") && !filled.has("calibration_turns_count") {
        filled.remove("calibration_height_before_mm");
    }
}

/// "Half a turn on a 1.5 thread": with no heights of a trial they are turns that are made.
fn turns_made(filled: &mut Filled, placed: &mut Placed) {
    const OF_A_TRIAL: &[&str] =
        &["calibration_height_before_mm", "current_height_mm", "height_change_mm", "target_height_mm"];
    let trial = OF_A_TRIAL.iter().any(|field| filled.has(field));
    let turns = filled.get_number("calibration_turns_count").filter(|_| !trial);
    let Some(turns) = turns.filter(|_| filled.has("thread_pitch_mm") && !filled.has("turns_count"))
    else {
        return;
    };
    filled.remove("calibration_turns_count");
    filled.number("turns_count", turns);
    rename(placed, "calibration_turns_count", "turns_count");
}

fn mowing_interval(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) {
    const SAID: &[(&str, f64)] = &[
        ("twice a week", 3.5),
        ("once a week", 7.0),
        ("every other day", 2.0),
        ("every second day", 2.0),
        ("every third day", 3.0),
        ("every fourth day", 4.0),
        ("every day", 1.0),
        ("each day", 1.0),
        ("daily", 1.0),
        ("once a day", 1.0),
        ("twice a day", 0.5),
        ("weekly", 7.0),
        ("every week", 7.0),
    ];
    let says = |words: &str| (0..spoken.tokens.len()).any(|at| stands(&spoken.tokens, at, words));
    let said = SAID.iter().find(|(words, _)| says(words));
    let times = filled.get_number("mowings_per_week_count").filter(|times| *times > 0.0);
    if let Some(times) = times {
        filled.number("mowing_interval_days", 7.0 / times);
        rename(placed, "mowings_per_week_count", "mowing_interval_days");
    }
    filled.remove("mowings_per_week_count");
    let often = times_a_week(spoken, filled, placed);
    // "A day between cuts": the days of two cuts lie on either side of one that is free.
    let word = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let off = |one: &Quantity| word(one.last + 1) == "off";
    let free = spoken.quantities.iter().position(|one| {
        let between = word(one.last + 1) == "between"
            || (word(one.last + 1) == "in" && word(one.last + 2) == "between")
            || off(one);
        one.value == 1.0 && word(one.last).starts_with("day") && between
    });
    // "Three times a week with one day off": how often is told already.
    let given = times.is_some() || said.is_some() || often;
    let by_day = free.is_some_and(|index| !given || !off(&spoken.quantities[index]));
    // A free day is no time that there is.
    for (_, field, settled) in placed.iter_mut().filter(|one| by_day && Some(one.0) == free) {
        filled.remove(field);
        "mowing_interval_days".clone_into(field);
        settled.unit = "days";
    }
    placed.retain(|(index, field, _)| {
        let stray = Some(*index) == free && field != "mowing_interval_days";
        if stray {
            filled.remove(field);
        }
        !stray
    });
    if by_day {
        filled.number("mowing_interval_days", 2.0);
        for (_, field, settled) in placed.iter_mut() {
            if field == "mowing_interval_days" {
                settled.value = 2.0;
            }
        }
        return;
    }
    if filled.has("mowing_interval_days") {
        return;
    }
    if let Some((_, days)) = said {
        filled.set("mowing_interval_days", Value::Number(*days));
    }
}

/// "Mowing 3 times a week": the number counts cuts, and no days between them.
fn times_a_week(spoken: &Spoken, filled: &mut Filled, placed: &mut Placed) -> bool {
    const TIMES: &[&str] = &["times", "cuts", "mows", "mowings", "goes"];
    let word = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let counts = |index: usize| {
        let at = spoken.quantities[index].number_last + 1;
        let each = matches!(word(at + 1), "a" | "per" | "each" | "every");
        TIMES.contains(&word(at)) && each && word(at + 2) == "week"
    };
    let told = |one: &&mut (usize, String, Settled)| {
        one.1 == "mowing_interval_days" && counts(one.0) && spoken.quantities[one.0].value > 0.0
    };
    let Some((index, _, settled)) = placed.iter_mut().find(told) else { return false };
    settled.value = 7.0 / spoken.quantities[*index].value;
    settled.unit = "days";
    filled.number("mowing_interval_days", settled.value);
    true
}

fn rename(placed: &mut Placed, from: &str, to: &str) {
    for (_, field, _) in placed.iter_mut().filter(|(_, field, _)| field == from) {
        to.clone_into(field);
    }
}
