//! How far apart do the cuts of a reel land, and what speed, blades or reel speed gives a wanted
//! clip? Deliberately absent: the height of the ripple that a long clip leaves. No published
//! formula for turf was found, and the free-arc cusp ignores that leaf is gathered before it is
//! cut.

use super::{Common, SettingError};
use crate::domain::limits::{Bound, check, check_given};
use crate::domain::units::{decimal, plain};

/// The turf an answer is for, as far as it changes the advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurfSurface {
    Green,
    /// Tees, fairways, outfields, rough, lawns.
    Longer,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ClipSpacingInputs {
    pub ground_speed_mps: Option<f64>,
    pub blade_count: Option<i32>,
    pub reel_speed_rpm: Option<f64>,
    pub clip_spacing_mm: Option<f64>,
    pub height_of_cut_mm: Option<f64>,
    pub surface: Option<TurfSurface>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ClipSpacingAnswer {
    pub clip_spacing_mm: Option<f64>,
    pub ground_speed_mps: Option<f64>,
    pub blade_count: Option<i32>,
    pub reel_speed_rpm: Option<f64>,
    pub exact_blade_count: Option<f64>,
    pub contact_rate_hz: Option<f64>,
    pub cuts_per_metre: Option<f64>,
    pub clip_to_height_ratio: Option<f64>,
    pub leaf_length_spread_mm: Option<f64>,
    pub ground_speed_for_clip_equal_height_mps: Option<f64>,
    pub common: Common,
}

/// Millimetres in a metre times seconds in a minute: from m/s and rpm to mm.
const MM_PER_M_S_PER_MIN: f64 = 60_000.0;
/// Published band of clip over height for fairways and higher cuts.
const BAND: (f64, f64) = (0.9, 1.1);
/// Under this share of the height the reel beats the leaf (common practice, no source).
const BEATING: f64 = 0.5;
/// A measured clip that differs from the computed one by more than this is told.
const CLIP_DIFFERS: f64 = 0.05;

/// The checked quantities; `clip_mm` may be the height, taken as the clip to aim for.
struct Known {
    speed_mps: Option<f64>,
    blades: Option<f64>,
    reel_rpm: Option<f64>,
    clip_mm: Option<f64>,
    height_mm: Option<f64>,
}

/// The four quantities once all are known, and which was worked out.
struct Solved {
    speed_mps: f64,
    blades: f64,
    reel_rpm: f64,
    exact_blades: Option<f64>,
    field: &'static str,
}

impl Solved {
    fn clip_mm(&self) -> f64 {
        MM_PER_M_S_PER_MIN * self.speed_mps / (self.blades * self.reel_rpm)
    }
}

/// Clip spacing from speed, blades and reel speed, or any of them from the others.
pub fn clip_spacing(inputs: &ClipSpacingInputs) -> Result<ClipSpacingAnswer, SettingError> {
    let known = check_inputs(inputs)?;
    let mut answer = ClipSpacingAnswer::default();
    let Some(solved) = solve(&known, &mut answer.common)? else { return Ok(answer) };
    let clip = solved.clip_mm();
    let contact_rate = solved.blades * solved.reel_rpm / 60.0;
    let common = &mut answer.common;
    common.step(
        "Cuts a second = blades × reel speed / 60",
        format!("{} × {} / 60", plain(solved.blades), plain(solved.reel_rpm)),
        contact_rate,
        "1/s",
        "geometry",
    );
    common.step(
        "Cuts in a metre = 1000 / clip",
        format!("1000 / {}", plain(clip)),
        1_000.0 / clip,
        "1/m",
        "geometry",
    );
    compare_with_measured(inputs.clip_spacing_mm, &solved, common);
    common.caution("hands_clear_of_reel");
    answer.clip_spacing_mm = Some(clip);
    answer.ground_speed_mps = Some(solved.speed_mps);
    // Whole and inside 2 to 30: checked, or rounded up and checked.
    answer.blade_count = Some(solved.blades as i32);
    answer.reel_speed_rpm = Some(solved.reel_rpm);
    answer.exact_blade_count = solved.exact_blades;
    answer.contact_rate_hz = Some(contact_rate);
    answer.cuts_per_metre = Some(1_000.0 / clip);
    if let Some(height) = known.height_mm {
        compare_with_height(&solved, height, inputs.surface, &mut answer);
    }
    answer.common.conclude(solved.field, sentence(&solved));
    Ok(answer)
}

fn check_inputs(inputs: &ClipSpacingInputs) -> Result<Known, SettingError> {
    Ok(Known {
        speed_mps: check_given("ground_speed_mps", inputs.ground_speed_mps)?,
        blades: check_given("blade_count", inputs.blade_count.map(f64::from))?,
        reel_rpm: check_given("reel_speed_rpm", inputs.reel_speed_rpm)?,
        clip_mm: check_given("clip_spacing_mm", inputs.clip_spacing_mm)?,
        height_mm: check_given("height_of_cut_mm", inputs.height_of_cut_mm)?,
    })
}

/// Works out the one quantity left out and writes the line for it; `None` when more are missing.
fn solve(known: &Known, common: &mut Common) -> Result<Option<Solved>, SettingError> {
    let makers = [known.speed_mps, known.blades, known.reel_rpm];
    let absent = makers.iter().filter(|maker| maker.is_none()).count();
    let clip = known.clip_mm.or_else(|| known.height_mm.filter(|_| absent == 1));
    if absent > 1 || (absent == 1 && clip.is_none()) {
        name_missing(known, common);
        return Ok(None);
    }
    if absent == 1 && known.clip_mm.is_none() {
        common.cite("common_practice");
        common.advise(
            "clip_taken_as_height",
            "No clip was given, so it is taken equal to the height of cut, the usual aim.",
        );
    }
    let k = MM_PER_M_S_PER_MIN;
    let clip_mm = clip.unwrap_or(0.0);
    let (field, solved) = match (known.speed_mps, known.blades, known.reel_rpm) {
        (Some(v), Some(z), Some(n)) => ("clip_spacing_mm", (v, z, n)),
        (None, Some(z), Some(n)) => ("ground_speed_mps", (clip_mm * z * n / k, z, n)),
        (Some(v), Some(z), None) => ("reel_speed_rpm", (v, z, k * v / (z * clip_mm))),
        (Some(v), None, Some(n)) => ("blade_count", (v, k * v / (n * clip_mm), n)),
        _ => unreachable!("at most one of the three is absent"),
    };
    let (speed_mps, exact_blades, reel_rpm) = solved;
    let rounded = field == "blade_count";
    // A count that is whole but for rounding is whole: 9.000000000001 blades are 9.
    let blades = if rounded { (exact_blades - 1e-9).ceil() } else { exact_blades };
    check_result(field, [speed_mps, blades, reel_rpm])?;
    let exact_blades = rounded.then_some(exact_blades);
    let solved = Solved { speed_mps, blades, reel_rpm, exact_blades, field };
    say_formula(&solved, clip_mm, common);
    Ok(Some(solved))
}

fn name_missing(known: &Known, common: &mut Common) {
    let why = "give three of ground speed, blade count, reel speed and clip spacing";
    let blades_why = format!("{why}; count the blades on the reel");
    for (absent, field, unit, why) in [
        (known.speed_mps.is_none(), "ground_speed_mps", "m/s", why),
        (known.blades.is_none(), "blade_count", "", blades_why.as_str()),
        (known.reel_rpm.is_none(), "reel_speed_rpm", "rpm", why),
    ] {
        if absent {
            common.need(field, unit, why);
        }
    }
}

/// A result that no machine could have points back at the inputs.
fn check_result(field: &'static str, [speed, blades, reel]: [f64; 3]) -> Result<(), SettingError> {
    let (value, remedy) = match field {
        "ground_speed_mps" => (speed, "shorten the clip, or use fewer blades or a slower reel"),
        "blade_count" if blades < 2.0 => (blades, "shorten the clip or drive faster"),
        "blade_count" => (blades, "lengthen the clip, drive slower or turn the reel faster"),
        "reel_speed_rpm" => (reel, "lengthen the clip, drive slower or fit more blades"),
        _ => return check_clip(MM_PER_M_S_PER_MIN * speed / (blades * reel)),
    };
    check(field, value).map(|_| ()).map_err(|_| {
        let range = Bound::of(field).map(Bound::range).unwrap_or_default();
        SettingError::new(field, plain(value), format!("works out outside {range}; {remedy}"))
    })
}

fn check_clip(clip_mm: f64) -> Result<(), SettingError> {
    check("clip_spacing_mm", clip_mm).map(|_| ()).map_err(|_| {
        let remedy = "works out over 500 mm; check the reel speed";
        SettingError::new("clip_spacing_mm", plain(clip_mm), remedy)
    })
}

fn say_formula(solved: &Solved, clip_mm: f64, common: &mut Common) {
    let [v, z, n] = [solved.speed_mps, solved.blades, solved.reel_rpm].map(plain);
    let clip = plain(clip_mm);
    let geometry = "geometry";
    match solved.field {
        "ground_speed_mps" => common.step(
            "Ground speed = clip × blades × reel speed / 60000",
            format!("{clip} × {z} × {n} / 60000"),
            solved.speed_mps,
            "m/s",
            geometry,
        ),
        "reel_speed_rpm" => common.step(
            "Reel speed = 60000 × ground speed / (blades × clip)",
            format!("60000 × {v} / ({z} × {clip})"),
            solved.reel_rpm,
            "rpm",
            geometry,
        ),
        "blade_count" => {
            common.step(
                "Blades = 60000 × ground speed / (reel speed × clip)",
                format!("60000 × {v} / ({n} × {clip})"),
                solved.exact_blades.unwrap_or(solved.blades),
                "blades",
                geometry,
            );
            common.step("Next whole blade up", z.clone(), solved.blades, "blades", "");
            let at_whole = format!("60000 × {v} / ({z} × {n})");
            common.step("Clip at that count", at_whole, solved.clip_mm(), "mm", geometry);
        }
        _ => common.step(
            "Clip spacing = 60000 × ground speed / (blades × reel speed)",
            format!("60000 × {v} / ({z} × {n})"),
            solved.clip_mm(),
            "mm",
            geometry,
        ),
    }
}

/// When all four were given, the measured clip is held against the computed one.
fn compare_with_measured(measured: Option<f64>, solved: &Solved, common: &mut Common) {
    let computed = solved.clip_mm();
    let Some(measured) = measured.filter(|_| solved.field == "clip_spacing_mm") else { return };
    let apart = measured / computed - 1.0;
    if apart.abs() > CLIP_DIFFERS {
        common.advise(
            "clip_differs_from_measured",
            format!(
                "The clip given, {} mm, is {} % {} than the {} mm computed: measure ground speed \
                 and reel speed again in grass.",
                plain(measured),
                decimal(100.0 * apart.abs(), 0),
                if apart > 0.0 { "longer" } else { "shorter" },
                decimal(computed, 2)
            ),
        );
    } else {
        common.advise("clip_agrees_with_measured", "The clip given agrees with the computed one.");
    }
}

fn compare_with_height(
    solved: &Solved,
    height: f64,
    surface: Option<TurfSurface>,
    answer: &mut ClipSpacingAnswer,
) {
    let clip = solved.clip_mm();
    let ratio = clip / height;
    let spread = leaf_length_spread(height, clip);
    let equal_speed = solved.speed_mps / ratio;
    let common = &mut answer.common;
    common.step(
        "Clip over height of cut; 0.9 to 1.1 suits fairways and higher cuts",
        format!("{} / {}", plain(clip), plain(height)),
        ratio,
        "",
        "clip_and_height_2013",
    );
    common.step(
        "Spread of leaf length = √(height² + clip²) - height (our own geometry)",
        format!("√({0}² + {1}²) - {0}", plain(height), plain(clip)),
        spread,
        "mm",
        "geometry",
    );
    common.step(
        "Ground speed at which the clip equals the height",
        format!("{} × {} / {}", plain(solved.speed_mps), plain(height), plain(clip)),
        equal_speed,
        "m/s",
        "geometry",
    );
    advise_on_ratio(ratio, height, equal_speed, solved, surface, common);
    answer.clip_to_height_ratio = Some(ratio);
    answer.leaf_length_spread_mm = Some(spread);
    answer.ground_speed_for_clip_equal_height_mps = Some(equal_speed);
}

/// A leaf drawn forward by up to one clip before it is cut is the longer side of a triangle. The
/// form below does not cancel when the clip is short.
fn leaf_length_spread(height: f64, clip: f64) -> f64 {
    clip * clip / (height.hypot(clip) + height)
}

fn advise_on_ratio(
    ratio: f64,
    height: f64,
    equal_speed: f64,
    solved: &Solved,
    surface: Option<TurfSurface>,
    common: &mut Common,
) {
    let on_greens = match surface {
        Some(TurfSurface::Longer) => "",
        _ => " On greens the link is looser: change the clip by 10 to 20 % at a time and look.",
    };
    let percent = decimal(100.0 * (ratio - 1.0).abs(), 0);
    if ratio > BAND.1 {
        common.advise(
            "clip_over_height",
            format!(
                "The clip is {percent} % longer than the height of cut: fine ripples may show. To \
                 bring it down to {} mm drive at {} m/s, or turn the reel at {} rpm.{on_greens}",
                decimal(height, 2),
                decimal(equal_speed, 2),
                decimal(solved.reel_rpm * ratio, 0)
            ),
        );
    } else if ratio < BEATING {
        common.cite("common_practice");
        common.advise(
            "clip_far_below_height",
            format!(
                "The clip is under half the height of cut: the reel beats the leaf, wears fast and \
                 packs in tall grass. Turn it slower or drive faster.{on_greens}"
            ),
        );
    } else if ratio < BAND.0 && surface == Some(TurfSurface::Longer) {
        common.advise(
            "clip_below_height",
            format!(
                "The clip is {percent} % shorter than the height of cut, under the band of 10 % \
                 that suits longer turf: no ripples, but more wear than is needed."
            ),
        );
    } else {
        common.advise(
            "clip_suits_height",
            format!("The clip suits the height of cut: no ripples are to be expected.{on_greens}"),
        );
    }
}

fn sentence(solved: &Solved) -> String {
    match solved.field {
        "ground_speed_mps" => format!(
            "Drive at {} m/s ({} km/h).",
            decimal(solved.speed_mps, 2),
            decimal(solved.speed_mps * 3.6, 2)
        ),
        "blade_count" => format!(
            "{} blades are needed; the clip is then {} mm.",
            plain(solved.blades),
            decimal(solved.clip_mm(), 2)
        ),
        "reel_speed_rpm" => format!(
            "Turn the reel at {} rpm, if the manual of the machine allows a reel that fast.",
            decimal(solved.reel_rpm, 0)
        ),
        _ => format!("The clip spacing is {} mm.", decimal(solved.clip_mm(), 2)),
    }
}

#[cfg(test)]
mod tests;
