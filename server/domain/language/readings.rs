//! Which finding follows from two numbers that the speaker compares ("bench 3.5, prism 2.6")?
//!
//! A section of the lexicon named `[less|more|equal]` holds patterns with two numbers. When the
//! first is the smaller, the findings before the first bar hold; when it is the greater, those of
//! the second place; when they agree, those of the third are denied. Several findings in one place
//! are joined by `+`; `-` stands for none.

use super::quantities::Quantity;

/// Numbers within this share of each other agree, since a reading repeats no better than that: a
/// prism on turf, a bar on the bench, a micrometer on a reel.
const AGREE_ON_TURF: f64 = 0.04;
const AGREE_ON_BENCH: f64 = 0.01;
const AGREE_ON_REEL: f64 = 0.002;

/// Units that measure lengths, with their size in millimetres.
const LENGTHS_MM: &[(&str, f64)] = &[
    ("mm", 1.0),
    ("mil", 0.0254),
    ("thou", 0.0254),
    ("cm", 10.0),
    ("in", 25.4),
    ("ft", 304.8),
    ("m", 1000.0),
];

/// The findings that follow, each with whether it is present.
pub fn compared<'a>(section: &'a str, first: &Quantity, second: &Quantity) -> Vec<(&'a str, bool)> {
    let mut places = section.split('|').map(str::trim);
    let less = places.next().unwrap_or("-");
    let more = places.next().unwrap_or("-");
    let equal = places.next().unwrap_or("-");
    let Some((a, b)) = same_unit(first, second) else { return Vec::new() };
    let agree = match section {
        _ if section.contains("effective_") => AGREE_ON_TURF,
        _ if section.contains("reel_diameter") => AGREE_ON_REEL,
        _ => AGREE_ON_BENCH,
    };
    let (place, present) = if (a - b).abs() <= agree * a.abs().max(b.abs()) {
        (equal, false)
    } else if a < b {
        (less, true)
    } else {
        (more, true)
    };
    place.split('+').filter(|id| *id != "-" && !id.is_empty()).map(|id| (id, present)).collect()
}

/// A number without a unit takes the other's; different kinds of quantity cannot be compared.
fn same_unit(first: &Quantity, second: &Quantity) -> Option<(f64, f64)> {
    let size = |unit: Option<&str>| {
        unit.map(|unit| LENGTHS_MM.iter().find(|(key, _)| *key == unit).map(|(_, mm)| *mm))
    };
    match (size(first.unit), size(second.unit)) {
        (None, None) => Some((first.value, second.value)),
        (Some(Some(a)), Some(Some(b))) => Some((first.value * a, second.value * b)),
        (Some(Some(_)), None) | (None, Some(Some(_))) => Some((first.value, second.value)),
        (Some(None), _) | (_, Some(None)) => {
            (first.unit == second.unit).then_some((first.value, second.value))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quantity(value: f64, unit: Option<&'static str>) -> Quantity {
        Quantity { first: 0, last: 0, value, unit }
    }

    #[test]
    fn the_smaller_number_chooses_the_finding() {
        let section = "effective_above_bench|effective_below_bench+height_off_target|height_off_target";
        let say = |a, b| compared(section, &a, &b);
        let mm = Some("mm");
        assert_eq!(say(quantity(2.8, mm), quantity(3.4, None)), [("effective_above_bench", true)]);
        assert_eq!(say(quantity(3.5, mm), quantity(2.6, mm)).len(), 2);
        assert_eq!(say(quantity(3.5, mm), quantity(3.5, mm)), [("height_off_target", false)]);
        assert_eq!(say(quantity(0.125, Some("in")), quantity(3.175, mm)), [("height_off_target", false)]);
        assert!(say(quantity(3.5, mm), quantity(6.0, Some("mph"))).is_empty());
    }
}
