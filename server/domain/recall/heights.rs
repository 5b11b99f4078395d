//! Are the heights that were read together alike, and which is furthest out? Each against the
//! height that was wanted, else against the middle of them all.
//! Deliberately absent: how much a height may be out, which no record says.

use std::collections::BTreeMap;

use crate::domain::fleet::median;
use crate::domain::records::choices::{Choice as _, HeightMethod};
use crate::domain::records::detail::Detail;
use crate::domain::records::Record;
use crate::domain::units::decimal;

const DECIMALS: usize = 2;
/// Less than this no gauge tells (no source).
const ALIKE_MM: f64 = 0.005;

/// "Furthest out: 3 left, 9.47 mm, 0.03 mm under the 9.5 mm wanted; the units lie within 0.01 mm."
pub fn spread(record: &Record) -> Option<String> {
    let Detail::HeightReading(read) = &record.content.detail else { return None };
    let read_at = read.readings.iter().enumerate().filter_map(|(at, point)| {
        let unit = point.unit.as_ref().map(|name| name.id().to_string());
        let end = point.end.map(|end| end.id().replace('_', " "));
        let place = match (unit.clone(), end) {
            (Some(unit), Some(end)) => format!("{unit} {end}"),
            (Some(unit), None) => unit,
            (None, Some(end)) => end,
            (None, None) => format!("the reading in place {}", at + 1),
        };
        Some((unit, place, point.height_mm?))
    });
    let all: Vec<(Option<String>, String, f64)> = read_at.collect();
    if all.len() < 2 {
        return None;
    }
    let heights: Vec<f64> = all.iter().map(|(.., height)| *height).collect();
    // Read on the turf: against the bench at which it was mown.
    if let Some(bench) = read.bench_height_mm.filter(|_| read.method == Some(HeightMethod::Prism)) {
        return Some(against_the_bench(&heights, bench));
    }
    let (wanted, of) = match read.target_height_mm {
        Some(target) => (target, "wanted"),
        None => (median(&heights)?, "in the middle of them"),
    };
    let furthest = all.iter().reduce(|far, one| {
        if (one.2 - wanted).abs() > (far.2 - wanted).abs() + ALIKE_MM { one } else { far }
    })?;
    let out = furthest.2 - wanted;
    let first = if out.abs() < ALIKE_MM {
        format!("All at {} mm", decimal(wanted, DECIMALS))
    } else {
        let side = if out > 0.0 { "over" } else { "under" };
        format!(
            "Furthest out: {}, {} mm, {} mm {side} the {} mm {of}",
            furthest.1,
            decimal(furthest.2, DECIMALS),
            decimal(out.abs(), DECIMALS),
            decimal(wanted, DECIMALS)
        )
    };
    let mut units: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (unit, _, height) in &all {
        if let Some(unit) = unit {
            units.entry(unit).or_default().push(*height);
        }
    }
    let means: Vec<f64> =
        units.values().map(|all| all.iter().sum::<f64>() / all.len() as f64).collect();
    let low = means.iter().copied().fold(f64::INFINITY, f64::min);
    let high = means.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(match means.len() {
        0 | 1 => format!("{first}."),
        _ => format!("{first}; the units lie within {} mm.", decimal(high - low, DECIMALS)),
    })
}

/// "Read 3.18 to 3.28 mm on the turf at a bench of 3.51 mm: 0.23 to 0.33 mm under it."
fn against_the_bench(heights: &[f64], bench: f64) -> String {
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let read = format!("{:.2} to {:.2} mm", low, high);
    let lead = format!("Read {read} on the turf at a bench of {bench:.2} mm");
    let range = |one: f64, two: f64| format!("{one:.2} to {two:.2} mm");
    if high < bench {
        return format!("{lead}: {} under it.", range(bench - high, bench - low));
    }
    if low > bench {
        return format!("{lead}: {} over it.", range(low - bench, high - bench));
    }
    format!("{lead}.")
}
