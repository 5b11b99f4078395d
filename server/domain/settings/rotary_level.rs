//! Which deck hanger is moved, and how far, so that the blades run level across and a little lower
//! in front? A plane through the tip heights by least squares, and at every hanger the wanted plane
//! less that one. Deliberately absent: which nut does it on which machine.

mod places;

use self::places::Place;
use super::{Common, SettingError};
use crate::domain::limits::{check_given, check_rows};
use crate::domain::units::{decimal, plain};

/// The rake taken when none is given: the middle of 3 to 6 mm, front lower (common practice).
pub const USUAL_RAKE_MM: f64 = 4.5;
pub const RAKE_RANGE_MM: (f64, f64) = (3.0, 6.0);
/// Side to side, manuals commonly allow this much.
pub const SIDE_TOLERANCE_MM: f64 = 6.0;
/// A tip further than this from the plane is not a matter of hangers (common practice).
pub const TWIST_LIMIT_MM: f64 = 3.0;
/// A move smaller than this is not worth a spanner.
const LEAST_MOVE_MM: f64 = 0.5;
/// Places closer to one line than this share of their spread fix no plane.
const LINE_SHARE: f64 = 1e-9;

#[derive(Debug, Clone, Default, PartialEq)]
pub struct TipHeight {
    pub point: String,
    /// To the right of the deck's middle.
    pub x_mm: Option<f64>,
    /// Forward of the deck's middle.
    pub y_mm: Option<f64>,
    pub height_mm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct DeckHanger {
    pub hanger: String,
    pub x_mm: Option<f64>,
    pub y_mm: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RotaryLevelInputs {
    pub tip_heights_mm: Vec<TipHeight>,
    pub rake_front_low_mm: Option<f64>,
    pub target_height_mm: Option<f64>,
    pub hangers: Vec<DeckHanger>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct HangerCorrection {
    pub hanger: String,
    /// Positive raises the deck there.
    pub move_mm: f64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct TipResidual {
    pub point: String,
    pub residual_mm: f64,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RotaryLevelAnswer {
    pub hanger_corrections_mm: Vec<HangerCorrection>,
    pub mean_height_mm: Option<f64>,
    /// Right side higher than left.
    pub side_tilt_mm: Option<f64>,
    /// Front lower than rear.
    pub rake_mm: Option<f64>,
    pub residual_sd_mm: Option<f64>,
    pub residuals: Vec<TipResidual>,
    pub common: Common,
}

/// z = mean + right * (x - x_mean) + forward * (y - y_mean).
struct Plane {
    x_mean: f64,
    y_mean: f64,
    mean_mm: f64,
    right: f64,
    forward: f64,
}

pub fn rotary_level(inputs: &RotaryLevelInputs) -> Result<RotaryLevelAnswer, SettingError> {
    let wanted_rake = check_given("rake_front_low_mm", inputs.rake_front_low_mm)?;
    let target_mm = check_given("rotary_level.target_height_mm", inputs.target_height_mm)?;
    check_rows("tip_heights_mm", inputs.tip_heights_mm.len())?;
    check_rows("hangers", inputs.hangers.len())?;

    let mut answer = RotaryLevelAnswer::default();
    if inputs.tip_heights_mm.len() < 3 {
        answer.common.need(
            "tip_heights_mm",
            "mm",
            "Tip heights at three places or more, not on one line: left_front, left_rear, \
             right_front and right_rear, from a level floor, tyres at pressure.",
        );
        return Ok(answer);
    }
    let named = inputs.tip_heights_mm.iter().all(|tip| tip.x_mm.is_none() && tip.y_mm.is_none());
    let tips = places::of_tips(&inputs.tip_heights_mm, named)?;
    let hangers = places::of_hangers(&inputs.hangers, &tips, named)?;
    let plane = fit(&tips)?;
    if named {
        answer.common.advise(
            "square_assumed",
            "The places have no distances, so they are taken as the corners and sides of a square, \
             with the hangers at the same places.",
        );
    }
    let rake_mm = wanted_rake.unwrap_or(USUAL_RAKE_MM);
    if wanted_rake.is_none() {
        answer.common.cite("deck_rake");
        answer.common.advise(
            "rake_assumed",
            "No rake was given: 4.5 mm lower in front is taken, inside the usual 3 to 6 mm. The \
             machine's manual has its own figure.",
        );
    }
    describe(&mut answer, &tips, &plane);
    correct(&mut answer, &plane, &tips, &hangers, rake_mm, target_mm);
    conclude(&mut answer, rake_mm, wanted_rake.is_some());
    Ok(answer)
}

fn fit(tips: &[Place]) -> Result<Plane, SettingError> {
    let count = tips.len() as f64;
    let mean = |of: fn(&Place) -> f64| tips.iter().map(of).sum::<f64>() / count;
    let (x_mean, y_mean, mean_mm) =
        (mean(|tip| tip.x), mean(|tip| tip.y), mean(|tip| tip.height_mm));
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for tip in tips {
        let (x, y, z) = (tip.x - x_mean, tip.y - y_mean, tip.height_mm - mean_mm);
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let determinant = xx * yy - xy * xy;
    let spread = (xx + yy) / 2.0;
    if determinant <= LINE_SHARE * spread * spread {
        let remedy = "the places lie on one line; read at least one more, off that line";
        return Err(SettingError::new("tip_heights_mm", format!("{count} places"), remedy));
    }
    Ok(Plane {
        x_mean,
        y_mean,
        mean_mm,
        right: (xz * yy - yz * xy) / determinant,
        forward: (yz * xx - xz * xy) / determinant,
    })
}

impl Plane {
    fn height_mm(&self, place: &Place) -> f64 {
        self.mean_mm + self.right * (place.x - self.x_mean) + self.forward * (place.y - self.y_mean)
    }
}

/// From the least to the most of one coordinate.
fn span(tips: &[Place], of: fn(&Place) -> f64) -> f64 {
    let most = tips.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let least = tips.iter().map(of).fold(f64::INFINITY, f64::min);
    most - least
}

fn describe(answer: &mut RotaryLevelAnswer, tips: &[Place], plane: &Plane) {
    let common = &mut answer.common;
    common.step(
        "mean height of the readings",
        format!("sum of {} heights / {}", tips.len(), tips.len()),
        plane.mean_mm,
        "mm",
        "geometry",
    );
    let (across, along) = (span(tips, |tip| tip.x), span(tips, |tip| tip.y));
    let (side_mm, rake_mm) = (plane.right * across, -plane.forward * along);
    common.step(
        "right higher than left, by the plane of least squares",
        format!("{} * {}", plain(plane.right), plain(across)),
        side_mm,
        "mm",
        "geometry",
    );
    common.step(
        "front lower than rear, by the same plane",
        format!("{} * {}", plain(-plane.forward), plain(along)),
        rake_mm,
        "mm",
        "geometry",
    );
    answer.residuals = tips
        .iter()
        .map(|tip| TipResidual {
            point: tip.name.clone(),
            residual_mm: tip.height_mm - plane.height_mm(tip),
        })
        .collect();
    if tips.len() > 3 {
        let squares: f64 = answer.residuals.iter().map(|tip| tip.residual_mm.powi(2)).sum();
        let spare = tips.len() - 3;
        let deviation_mm = (squares / spare as f64).sqrt();
        common.step(
            "scatter of the tips about the plane",
            format!("sqrt({} / {spare})", plain(squares)),
            deviation_mm,
            "mm",
            "geometry",
        );
        answer.residual_sd_mm = Some(deviation_mm);
    } else {
        common.advise(
            "three_points_fit_anything",
            "Three readings always fit a plane: read a fourth to see a bent blade or a slip of \
             the rule.",
        );
    }
    answer.mean_height_mm = Some(plane.mean_mm);
    answer.side_tilt_mm = Some(side_mm);
    answer.rake_mm = Some(rake_mm);
}

fn correct(
    answer: &mut RotaryLevelAnswer,
    plane: &Plane,
    tips: &[Place],
    hangers: &[Place],
    rake_mm: f64,
    target_mm: Option<f64>,
) {
    let along = span(tips, |tip| tip.y);
    let wanted = Plane {
        mean_mm: target_mm.unwrap_or(plane.mean_mm),
        right: 0.0,
        forward: -rake_mm / along,
        ..*plane
    };
    for hanger in hangers {
        let (now_mm, then_mm) = (plane.height_mm(hanger), wanted.height_mm(hanger));
        let move_mm = then_mm - now_mm;
        answer.common.step(
            format!("move at {} = wanted plane - plane found", hanger.name),
            format!("{} - {}", plain(then_mm), plain(now_mm)),
            move_mm,
            "mm",
            "geometry",
        );
        answer
            .hanger_corrections_mm
            .push(HangerCorrection { hanger: hanger.name.clone(), move_mm });
    }
}

fn conclude(answer: &mut RotaryLevelAnswer, rake_mm: f64, rake_given: bool) {
    let worst = answer.residuals.iter().fold(None::<&TipResidual>, |worst, tip| match worst {
        Some(other) if other.residual_mm.abs() >= tip.residual_mm.abs() => Some(other),
        _ => Some(tip),
    });
    let worst = worst.filter(|tip| tip.residual_mm.abs() > TWIST_LIMIT_MM).cloned();
    let moves: Vec<String> = answer
        .hanger_corrections_mm
        .iter()
        .filter(|hanger| hanger.move_mm.abs() >= LEAST_MOVE_MM)
        .map(|hanger| {
            let verb = if hanger.move_mm > 0.0 { "raise" } else { "lower" };
            format!("{verb} {} {} mm", spoken(&hanger.hanger), decimal(hanger.move_mm.abs(), 1))
        })
        .collect();
    let found = found_in_words(answer);
    let common = &mut answer.common;
    let words = if let Some(tip) = worst {
        common.advise(
            "not_a_plane",
            "Bent blade, bent spindle, bent shell or a slip of the rule: measure again with the \
             same blade turned to each place, and mend that before any hanger.",
        );
        format!(
            "Do not turn a hanger yet: {} stands {} mm off the plane of the others.",
            spoken(&tip.point),
            decimal(tip.residual_mm.abs(), 1)
        )
    } else if moves.is_empty() {
        format!("Leave the hangers: the deck is level across with {} mm rake.", decimal(rake_mm, 1))
    } else {
        let moves = moves.join(", ");
        let rake = decimal(rake_mm, 1);
        format!(
            "To run level across and {rake} mm lower in front: {moves}. Then measure again. {found}"
        )
    };
    common.conclude("hanger_corrections_mm", words);
    if answer.side_tilt_mm.is_some_and(|tilt_mm| tilt_mm.abs() > SIDE_TOLERANCE_MM) {
        common.advise(
            "side_tilt_large",
            "More than 6 mm from side to side is past what manuals commonly allow: look for a \
             soft tyre or a bent hanger before adjusting.",
        );
    }
    if rake_given && !(RAKE_RANGE_MM.0..=RAKE_RANGE_MM.1).contains(&rake_mm) {
        common.cite("deck_rake");
        common.advise(
            "rake_unusual",
            "The rake asked for is outside the usual 3 to 6 mm lower in front; follow the manual.",
        );
    }
    common.advise(
        "tyres_first",
        "Put every tyre at its pressure before measuring, on a flat, level floor, and turn the \
         same blade tip to every place.",
    );
    for caution in
        ["isolate_drive", "block_rotary_blade", "support_raised_machine", "cut_gloves_stationary"]
    {
        common.caution(caution);
    }
}

fn found_in_words(answer: &RotaryLevelAnswer) -> String {
    let side_mm = answer.side_tilt_mm.unwrap_or_default();
    let rake_mm = answer.rake_mm.unwrap_or_default();
    let side = if side_mm < 0.0 { "left" } else { "right" };
    let end = if rake_mm < 0.0 { "rear" } else { "front" };
    format!(
        "Found: the {side} side {} mm high, the {end} {} mm low.",
        decimal(side_mm.abs(), 1),
        decimal(rake_mm.abs(), 1)
    )
}

/// A place as it is said: `left_front` is "left front".
fn spoken(name: &str) -> String {
    name.replace('_', " ")
}

#[cfg(test)]
mod tests;
