//! Where on the deck is each tip and hanger? By its distances, or by a name such as left_front.
//! Deliberately absent: a guess at a name that is neither a side nor an end.

use super::{DeckHanger, TipHeight};
use crate::domain::limits::check;
use crate::domain::settings::SettingError;

/// A named place on the deck, and the height there when one was read.
pub(super) struct Place {
    pub name: String,
    pub x: f64,
    pub y: f64,
    pub height_mm: f64,
}

/// The tips' places: by their names on a square when `named`, else by their distances.
pub(super) fn of_tips(tips: &[TipHeight], named: bool) -> Result<Vec<Place>, SettingError> {
    let mut places: Vec<Place> = Vec::with_capacity(tips.len());
    for (index, tip) in tips.iter().enumerate() {
        let field = |name: &str| format!("tip_heights_mm[{index}].{name}");
        let row = |error: SettingError| SettingError { field: field(&error.field), ..error };
        refuse_name(&tip.point, field("point"), places.iter().map(|place| place.name.as_str()))?;
        let height_mm = tip.height_mm.ok_or_else(|| {
            SettingError::new(
                field("height_mm"),
                "not given",
                "give the tip's height above the floor",
            )
        })?;
        let height_mm = check("rotary_level.height_mm", height_mm).map_err(row)?;
        let (x, y) = if named {
            corner(&tip.point).ok_or_else(|| {
                let remedy = "give x_mm and y_mm, or a name such as left_front or right_rear";
                SettingError::new(field("point"), &tip.point, remedy)
            })?
        } else {
            distances(tip.x_mm, tip.y_mm, &field)?
        };
        places.push(Place { name: tip.point.clone(), x, y, height_mm });
    }
    Ok(places)
}

/// The hangers' places; those of the tips when none are given.
pub(super) fn of_hangers(
    hangers: &[DeckHanger],
    tips: &[Place],
    named: bool,
) -> Result<Vec<Place>, SettingError> {
    if hangers.is_empty() {
        let same = |tip: &Place| Place { name: tip.name.clone(), ..*tip };
        return Ok(tips.iter().map(same).collect());
    }
    if named {
        let remedy = "hangers are placed by distances, so give x_mm and y_mm for every tip as well";
        return Err(SettingError::new("tip_heights_mm[0].x_mm", "not given", remedy));
    }
    let mut places: Vec<Place> = Vec::with_capacity(hangers.len());
    for (index, hanger) in hangers.iter().enumerate() {
        let field = |name: &str| format!("hangers[{index}].{name}");
        refuse_name(
            &hanger.hanger,
            field("hanger"),
            places.iter().map(|place| place.name.as_str()),
        )?;
        let (x, y) = distances(hanger.x_mm, hanger.y_mm, &field)?;
        places.push(Place { name: hanger.hanger.clone(), x, y, height_mm: 0.0 });
    }
    Ok(places)
}

fn refuse_name<'a>(
    name: &str,
    field: String,
    mut earlier: impl Iterator<Item = &'a str>,
) -> Result<(), SettingError> {
    if name.trim().is_empty() {
        return Err(SettingError::new(field, "empty", "name the place, such as left_front"));
    }
    if earlier.any(|other| other == name) {
        return Err(SettingError::new(
            field,
            name,
            "each place has its own name; this one is twice",
        ));
    }
    Ok(())
}

fn distances(
    x_mm: Option<f64>,
    y_mm: Option<f64>,
    field: &impl Fn(&str) -> String,
) -> Result<(f64, f64), SettingError> {
    let one = |name: &str, value: Option<f64>| {
        let value = value.ok_or_else(|| {
            let remedy = "give x_mm and y_mm for every place, or for none";
            SettingError::new(field(name), "not given", remedy)
        })?;
        check(name, value).map_err(|error| SettingError { field: field(name), ..error })
    };
    Ok((one("x_mm", x_mm)?, one("y_mm", y_mm)?))
}

/// The place a name means on a square one wide and one long, middle at zero. `None` when the name
/// has neither a side nor an end, or a word that is not one.
pub(super) fn corner(name: &str) -> Option<(f64, f64)> {
    let (mut x, mut y) = (None, None);
    for word in name.to_lowercase().split(['_', '-', ' ']).filter(|word| !word.is_empty()) {
        let (side, place) = match word {
            "left" => (&mut x, -0.5),
            "right" => (&mut x, 0.5),
            "front" => (&mut y, 0.5),
            "rear" | "back" => (&mut y, -0.5),
            "middle" | "centre" | "center" => continue,
            _ => return None,
        };
        if side.replace(place).is_some() {
            return None;
        }
    }
    (x.is_some() || y.is_some()).then_some((x.unwrap_or(0.0), y.unwrap_or(0.0)))
}
