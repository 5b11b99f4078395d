//! Where does the finger stand for a wanted relief angle at this reel diameter, and what land does
//! a pass leave? Deliberately absent: how deep to feed in one pass, and which wheel; see the
//! grinder's manual.
//!
//! The finger holds the blade off the line through the reel's centre and the wheel's contact, which
//! turns the blade by the relief angle: offset = (D / 2) sin angle, as in the cutter-clearance
//! tables of machinists' handbooks (from memory). The ground face then falls away from the back of
//! the land at that angle: depth at the heel = (blade thickness - land) tan angle.

use super::{Common, SettingError};
use crate::domain::limits::{Bound, check, check_given};
use crate::domain::units::{decimal, plain};

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReliefGrindInputs {
    pub relief_angle_deg: Option<f64>,
    pub reel_diameter_mm: Option<f64>,
    pub finger_offset_mm: Option<f64>,
    pub land_width_mm: Option<f64>,
    pub blade_thickness_mm: Option<f64>,
    pub pass_depth_mm: Option<f64>,
    pub radius_wear_mm: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReliefGrindAnswer {
    pub finger_offset_mm: Option<f64>,
    pub relief_angle_deg: Option<f64>,
    pub reel_diameter_mm: Option<f64>,
    pub land_width_mm: Option<f64>,
    pub pass_depth_mm: Option<f64>,
    pub ground_face_mm: Option<f64>,
    pub land_growth_per_radius_mm: Option<f64>,
    pub common: Common,
}

/// Land that is usually left, mm (common practice, no source).
const USUAL_LAND_MM: (f64, f64) = (1.0, 1.5);

/// The three quantities of the offset once all are known.
struct Offset {
    angle_deg: f64,
    diameter: f64,
    finger: f64,
    field: &'static str,
}

/// Finger offset, relief angle or reel diameter from the other two, and the land.
pub fn relief_grind(inputs: &ReliefGrindInputs) -> Result<ReliefGrindAnswer, SettingError> {
    let angle = check_given("relief_angle_deg", inputs.relief_angle_deg)?;
    let diameter = check_given("reel_diameter_mm", inputs.reel_diameter_mm)?;
    let finger = check_given("finger_offset_mm", inputs.finger_offset_mm)?;
    let mut answer = ReliefGrindAnswer::default();
    let land = check_land(inputs)?;
    let Some(offset) = solve(angle, diameter, finger, &mut answer.common)? else {
        return Ok(answer);
    };
    let tangent = offset.angle_deg.to_radians().tan();
    answer.finger_offset_mm = Some(offset.finger);
    answer.relief_angle_deg = Some(offset.angle_deg);
    answer.reel_diameter_mm = Some(offset.diameter);
    answer.land_growth_per_radius_mm = Some(1.0 / tangent);
    answer.common.step(
        "Growth of the land for each millimetre the radius wears = 1 / tan angle",
        format!("1 / tan {}°", plain(offset.angle_deg)),
        1.0 / tangent,
        "mm",
        "geometry",
    );
    if let Some(land) = land {
        describe_land(&land, &offset, &mut answer)?;
    }
    answer.common.conclude(offset.field, sentence(&offset, answer.land_width_mm));
    advise(&mut answer);
    Ok(answer)
}

fn solve(
    angle: Option<f64>,
    diameter: Option<f64>,
    finger: Option<f64>,
    common: &mut Common,
) -> Result<Option<Offset>, SettingError> {
    let solved = match (angle, diameter, finger) {
        (Some(angle), Some(diameter), Some(finger)) => {
            let fitting = diameter / 2.0 * angle.to_radians().sin();
            let remedy = format!(
                "for {}° on {} mm it is {} mm; leave one of the three out",
                plain(angle),
                plain(diameter),
                plain(fitting)
            );
            return Err(SettingError::new("finger_offset_mm", plain(finger), remedy));
        }
        (Some(angle_deg), Some(diameter), None) => {
            let finger = diameter / 2.0 * angle_deg.to_radians().sin();
            Offset { angle_deg, diameter, finger, field: "finger_offset_mm" }
        }
        (None, Some(diameter), Some(finger)) => {
            let angle_deg = (finger / (diameter / 2.0)).asin().to_degrees();
            let checked = check("relief_angle_deg", angle_deg);
            checked.map_err(|_| out_of_range("finger_offset_mm", finger, "angle", angle_deg))?;
            Offset { angle_deg, diameter, finger, field: "relief_angle_deg" }
        }
        (Some(angle_deg), None, Some(finger)) => {
            let diameter = 2.0 * finger / angle_deg.to_radians().sin();
            let checked = check("reel_diameter_mm", diameter);
            checked.map_err(|_| out_of_range("finger_offset_mm", finger, "diameter", diameter))?;
            Offset { angle_deg, diameter, finger, field: "reel_diameter_mm" }
        }
        _ => {
            name_missing(angle, diameter, finger, common);
            return Ok(None);
        }
    };
    say_offset(&solved, common);
    Ok(Some(solved))
}

fn out_of_range(field: &str, given: f64, what: &str, value: f64) -> SettingError {
    let bound = if what == "angle" { "relief_angle_deg" } else { "reel_diameter_mm" };
    let range = Bound::of(bound).map(Bound::range).unwrap_or_default();
    let worked_out = if value.is_nan() { "no angle at all".to_owned() } else { plain(value) };
    let remedy = format!("the {what} works out at {worked_out}; it must be {range}");
    SettingError::new(field, plain(given), remedy)
}

/// Two of three are needed: asks for the one most easily measured.
fn name_missing(
    angle: Option<f64>,
    diameter: Option<f64>,
    finger: Option<f64>,
    common: &mut Common,
) {
    if diameter.is_none() {
        common.need("reel_diameter_mm", "mm", "the reel's diameter where it is ground");
    }
    if angle.is_none() && finger.is_none() {
        common.need("relief_angle_deg", "deg", "the relief angle wanted; see the machine's manual");
    }
    if diameter.is_none() && angle.is_none() && finger.is_some() {
        common.need("relief_angle_deg", "deg", "the relief angle, to go with the offset");
    }
}

fn say_offset(o: &Offset, common: &mut Common) {
    let [angle, diameter, finger] = [o.angle_deg, o.diameter, o.finger].map(plain);
    let reference = "cutter_clearance_tables";
    match o.field {
        "relief_angle_deg" => common.step(
            "Relief angle: sin angle = offset / (diameter / 2)",
            format!("asin({finger} / ({diameter} / 2))"),
            o.angle_deg,
            "deg",
            reference,
        ),
        "reel_diameter_mm" => common.step(
            "Reel diameter = 2 × offset / sin angle",
            format!("2 × {finger} / sin {angle}°"),
            o.diameter,
            "mm",
            reference,
        ),
        _ => common.step(
            "Finger offset = (diameter / 2) × sin angle",
            format!("({diameter} / 2) × sin {angle}°"),
            o.finger,
            "mm",
            reference,
        ),
    }
}

/// What is known of the blade and the pass.
struct Land {
    thickness: f64,
    width: Option<f64>,
    depth: Option<f64>,
    wear: f64,
}

/// Checks the inputs of the land; `None` without a blade thickness.
fn check_land(inputs: &ReliefGrindInputs) -> Result<Option<Land>, SettingError> {
    let width = check_given("land_width_mm", inputs.land_width_mm)?;
    let depth = check_given("pass_depth_mm", inputs.pass_depth_mm)?;
    let wear = check_given("radius_wear_mm", inputs.radius_wear_mm)?.unwrap_or(0.0);
    let thickness = check_given("blade_thickness_mm", inputs.blade_thickness_mm)?;
    let Some(thickness) = thickness else { return Ok(None) };
    if let Some(width) = width.filter(|&width| width >= thickness) {
        let remedy = format!("it must be less than the blade's thickness, {} mm", plain(thickness));
        return Err(SettingError::new("land_width_mm", plain(width), remedy));
    }
    if let (Some(_), Some(depth)) = (width, depth) {
        let remedy = "give either the land wanted or the depth ground; the other follows";
        return Err(SettingError::new("pass_depth_mm", plain(depth), remedy));
    }
    Ok(Some(Land { thickness, width, depth, wear }))
}

fn describe_land(
    land: &Land,
    offset: &Offset,
    answer: &mut ReliefGrindAnswer,
) -> Result<(), SettingError> {
    let angle = offset.angle_deg.to_radians();
    let (thickness, told_angle) = (land.thickness, plain(offset.angle_deg));
    let common = &mut answer.common;
    let (fresh, depth) = match (land.width, land.depth) {
        (Some(width), _) => (width, (thickness - width) * angle.tan()),
        (None, Some(depth)) => (thickness - depth / angle.tan(), depth),
        (None, None) => {
            common.advise(
                "land_not_said",
                "Give the land wanted or the depth ground at the heel to be told the other.",
            );
            return Ok(());
        }
    };
    if fresh < 0.0 {
        let most = plain(thickness * angle.tan());
        let remedy = format!("so deep a pass leaves no land; grind less than {most} mm");
        return Err(SettingError::new("pass_depth_mm", plain(depth), remedy));
    }
    let face = (thickness - fresh) / angle.cos();
    let worn = fresh + land.wear / angle.tan();
    if land.width.is_some() {
        common.step(
            "Depth at the heel = (thickness - land) × tan angle",
            format!("({} - {}) × tan {told_angle}°", plain(thickness), plain(fresh)),
            depth,
            "mm",
            "geometry",
        );
    } else {
        common.step(
            "Land left = thickness - depth / tan angle",
            format!("{} - {} / tan {told_angle}°", plain(thickness), plain(depth)),
            fresh,
            "mm",
            "geometry",
        );
    }
    common.step(
        "Ground face = (thickness - land) / cos angle",
        format!("({} - {}) / cos {told_angle}°", plain(thickness), plain(fresh)),
        face,
        "mm",
        "geometry",
    );
    if land.wear > 0.0 {
        common.step(
            "Land after wear = land + wear of the radius / tan angle",
            format!("{} + {} / tan {told_angle}°", plain(fresh), plain(land.wear)),
            worn.min(thickness),
            "mm",
            "geometry",
        );
    }
    if worn >= thickness {
        common.advise(
            "relief_worn_away",
            "The wear has used up the relief: the land is as wide as the blade. Grind relief anew.",
        );
    }
    // Once the relief is gone the land is the whole blade and cannot grow further.
    answer.land_width_mm = Some(worn.min(thickness));
    answer.pass_depth_mm = Some(depth);
    answer.ground_face_mm = Some(face);
    Ok(())
}

fn sentence(offset: &Offset, land: Option<f64>) -> String {
    let first = match offset.field {
        "relief_angle_deg" => format!("The relief angle is {}°", decimal(offset.angle_deg, 1)),
        "reel_diameter_mm" => format!("The reel diameter is {} mm", decimal(offset.diameter, 1)),
        _ => format!("Set the finger {} mm off the centre line", decimal(offset.finger, 2)),
    };
    match land {
        Some(land) => format!("{first}; the land is {} mm.", decimal(land, 2)),
        None => format!("{first}."),
    }
}

fn advise(answer: &mut ReliefGrindAnswer) {
    let common = &mut answer.common;
    common.cite("relief_angles");
    if let Some(land) = answer.land_width_mm
        && !(USUAL_LAND_MM.0..=USUAL_LAND_MM.1).contains(&land)
    {
        common.advise(
            "land_unusual",
            "A land of 1 to 1.5 mm is usual; a narrower one wears fast, a wider one drags.",
        );
    }
    common.advise(
        "offset_from_centre_line",
        "The offset is measured from the line through the reel's centre and the wheel's contact. \
         The grinder's manual may measure from elsewhere; it wins. Spin grind first, relief after.",
    );
    for id in [
        "isolate_drive",
        "mounted_wheel",
        "guards_in_place",
        "eye_and_face",
        "grinding_dust",
        "noise",
        "cut_gloves_stationary",
    ] {
        common.caution(id);
    }
}

#[cfg(test)]
mod tests;
