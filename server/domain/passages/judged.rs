//! Is a value that was measured good? It is held against the target or reading that the words name,
//! and never against one they do not: where they name none, it is asked which it is.

use super::told::{Asking, Told};
use super::{Source, job};
use crate::domain::catalogue::{Acceptance, Basis, SettingTarget};
use crate::domain::units::plain;

/// A target or reading is named when so much of the words stands in its title.
const NAMED_MIN: f64 = 0.5;
/// Readings that are offered where none was named.
const OFFERED_MAX: usize = 4;
/// Stems of words that tell of measuring, and not of what.
const MEASURING: &[&str] = &[
    "measur", "end", "left", "right", "side", "other", "read", "reading", "apprentic", "found",
    "find", "got", "get", "both", "each", "second", "value", "number", "check", "inspect", "middle",
    "lead", "trail",
];
/// Words of a title whose value is one reading taken from another.
const DIFFERENCES: &[&str] = &["against", "end to end", "difference", "side to side"];

/// Between what something is good.
struct Range {
    title: String,
    low: f64,
    high: f64,
    unit: String,
    how: String,
    difference: bool,
}

impl Range {
    fn of(row: &SettingTarget) -> Range {
        let lower = row.title.to_lowercase();
        Range {
            title: row.title.clone(),
            low: row.low,
            high: row.high,
            unit: row.unit.clone(),
            how: row.how.clone(),
            difference: DIFFERENCES.iter().any(|word| lower.contains(word)),
        }
    }

    fn told(&self) -> String {
        format!("{} to {} {}", plain(self.low), plain(self.high), self.unit).trim_end().to_owned()
    }

    fn verdict(&self, value: f64) -> &'static str {
        if value > self.high + 1e-9 {
            "too much"
        } else if value < self.low - 1e-9 {
            "under it"
        } else {
            "good"
        }
    }
}

impl Asking<'_> {
    /// The values of the query, each held against what is good.
    pub(super) fn judged(&self, query: &str) -> Option<Told> {
        let values: Vec<f64> =
            query.split_whitespace().filter_map(|word| word.parse().ok()).collect();
        if values.is_empty() {
            return None;
        }
        let Some((range, basis)) = self.range_named() else {
            return Some(Told::of(vec![self.which_reading()], None));
        };
        let differs = range.difference && values.len() == 2;
        let held: Vec<f64> =
            if differs { vec![(values[0] - values[1]).abs()] } else { values.clone() };
        let all_good = held.iter().all(|value| range.verdict(*value) == "good");
        let each: Vec<String> = held
            .iter()
            .map(|value| {
                let shown = plain(round(*value));
                format!("{shown} {} is {}", range.unit, range.verdict(*value))
            })
            .collect();
        let of = if differs { " (the difference)" } else { "" };
        let lines = vec![
            format!(
                "{}: {}{of}; good is {} ({}).",
                if all_good { "Yes" } else { "No" },
                each.join(", "),
                range.told(),
                range.title
            ),
            format!("{} The machine's manual wins where it speaks.", range.how).trim().to_owned(),
        ];
        Some(Told::of(lines, Some(basis)))
    }

    fn range_named(&self) -> Option<(Range, Basis)> {
        let wanted = |one: Source| matches!(one, Source::Target(_) | Source::Reading { .. });
        let of_reading = |word: &&String| !MEASURING.contains(&word.as_str());
        let asked: Vec<String> = self.asked.iter().filter(of_reading).cloned().collect();
        let found = self.passages.find(&asked, wanted);
        found.iter().filter(|found| found.titled >= NAMED_MIN).find_map(|found| {
            match found.source {
                Source::Target(at) => {
                    let row = self.knowledge.setting_targets.get(at)?;
                    (!row.share_of_height).then(|| (Range::of(row), row.basis.clone()))
                }
                Source::Reading { procedure, step, reading } => {
                    let row = self.knowledge.procedures.get(procedure)?;
                    let reading = row.steps.get(step)?.readings.get(reading)?;
                    let Acceptance::Range { min, max } = reading.accept else { return None };
                    // A wide range only says what can be.
                    let told = max - min <= job::NARROW_MAX;
                    let range = Range {
                        title: reading.label.clone(),
                        low: min,
                        high: max,
                        unit: reading.unit.clone(),
                        how: format!("From \"{}\".", row.title),
                        difference: reading.id.contains("differ"),
                    };
                    told.then(|| (range, row.basis.clone()))
                }
                _ => None,
            }
        })
    }

    fn which_reading(&self) -> String {
        let rows = self.knowledge.setting_targets.iter();
        let rows = rows.filter(|row| !row.share_of_height && row.unit == "mm");
        let offered: Vec<String> = rows
            .take(OFFERED_MAX)
            .map(|row| format!("{} ({})", row.title, Range::of(row).told()))
            .collect();
        format!(
            "That depends on what was measured. Which is it: {}, or another? Say it, and it is \
             judged.",
            offered.join("; ")
        )
    }
}

fn round(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}
