//! Is a value that was measured good? It is held against the target or reading that the words name,
//! and never against one they do not: where they name none, it is asked which it is.

use super::told::{Asking, Told};
use super::{Source, job};
use crate::domain::catalogue::{Acceptance, Basis, SettingTarget, SpeciesHeight};
use crate::domain::language::text::stem;
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
/// A word of the label that was said counts for so much, small ones too.
const SHARED_WORD: f64 = 0.15;
/// So many of them name it.
const SHARED_MIN: usize = 3;
/// Ranges within this of the best are named as well.
const AS_WELL: f64 = 0.25;
/// Less is a gap, a play or a difference, of which several are alike (common practice, no source).
const HEIGHT_MIN_MM: f64 = 3.0;
/// So many words say of what a value is.
const TOLD_OF_MIN: usize = 2;
/// Words of a title whose value is one reading taken from another.
const DIFFERENCES: &[&str] = &["against", "end to end", "difference", "side to side"];

/// A height of cut is no less than this (the lowest that is published, for tournament greens).
const LOWEST_CUT_MM: f64 = 2.0;
/// Turf by what it is called, what its rows of published heights begin with, and whether one of
/// them says what is usual.
const SURFACES: &[(&[&str], &str, bool)] = &[
    (&["greens", "green"], "green", true),
    (&["tees", "tee", "collars", "collar", "approach", "apron"], "tee_collar_approach", false),
    (&["fairways", "fairway"], "fairway", false),
];
/// Words of a height of cut.
const OF_HEIGHTS: &[&str] =
    &["height", "heights", "hoc", "cut", "cutting", "cuts", "mow", "mowing", "mown", "bench", "mm"];
/// Units that a height of some turf is said in.
const UNITS: &[&str] = &["thou", "in", "inch", "inches"];

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

    /// The values that are held against it: of a difference, that of the two.
    fn held(&self, values: &[f64]) -> Vec<f64> {
        match values {
            [one, other] if self.difference => vec![(one - other).abs()],
            _ => values.to_vec(),
        }
    }

    fn good(&self, values: &[f64]) -> bool {
        self.held(values).iter().all(|value| self.verdict(*value) == "good")
    }

    fn line(&self, values: &[f64]) -> String {
        let held = self.held(values);
        let of = if held.len() < values.len() { " (the difference)" } else { "" };
        let each: Vec<String> = held
            .iter()
            .map(|value| {
                let shown = plain(round(*value));
                format!("{shown} {} is {}", self.unit, self.verdict(*value))
            })
            .collect();
        format!(
            "{}: {}{of}. Good is {} ({}).",
            if self.good(values) { "Good" } else { "Not good" },
            each.join(", "),
            self.told(),
            self.title
        )
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
        if let Some(told) = self.height_judged(query, &values) {
            return Some(told);
        }
        let ranges = self.ranges_named(query);
        let Some((first, basis)) = ranges.first() else {
            // "Is 35 on a pitch in winter ok": a note whose title says that tells between what it is.
            let titled = self.notes().first().is_some_and(|(found, _)| found.titled >= NAMED_MIN);
            let height = values.iter().all(|value| *value >= HEIGHT_MIN_MM);
            let told = titled && height && self.asked.len() >= TOLD_OF_MIN;
            let note = told.then(|| self.note()).flatten();
            return Some(note.unwrap_or_else(|| Told::of(vec![self.which_reading()], None)));
        };
        let verdict = |range: &Range| range.line(&values);
        let mut lines: Vec<String> = vec![verdict(first)];
        // Two that fit as well and say otherwise are both told.
        let other = ranges.iter().map(|(range, _)| range).find(|range| {
            range.good(&values) != first.good(&values)
        });
        if let Some(other) = other {
            lines.push(format!("Or, if it was the other: {}", verdict(other)));
        }
        lines.push(format!("{} The machine's manual wins where it speaks.", first.how).trim().to_owned());
        Some(Told::of(lines, Some(basis.clone())))
    }

    /// "The cutting height on the greens is 3.6, is that bad": by the heights that are published for
    /// that turf; without it, what is published for each.
    fn height_judged(&self, query: &str, values: &[f64]) -> Option<Told> {
        let [value] = *values else { return None };
        let words = query.split_whitespace().filter(|word| word.parse::<f64>().is_err());
        let said: Vec<&str> = words.collect();
        let surface = |word: &str| SURFACES.iter().find(|(names, ..)| names.contains(&word));
        let own = |word: &str| {
            let small = || self.knowledge.ear.small_words.contains(&stem(word));
            let listed = OF_HEIGHTS.contains(&word) || UNITS.contains(&word);
            surface(word).is_some() || listed || small()
        };
        let height = said.iter().any(|word| OF_HEIGHTS.contains(word));
        let found = said.iter().find_map(|word| surface(word));
        let named = height || found.is_some();
        // Without its turf so small a value is no height.
        let small = value < LOWEST_CUT_MM && found.is_none();
        if !said.iter().all(|word| own(word)) || !named || small {
            return None;
        }
        let Some((names, id, wide)) = found else {
            let each = SURFACES.iter().filter_map(|(names, id, wide)| {
                Some(self.published(names[0], id, *wide)?.0)
            });
            let each: Vec<String> = each.collect();
            return Some(Told::of(vec![format!("That depends on the turf. {} Say where it is cut.", each.join(" "))], None));
        };
        let (line, low, high, basis) = self.published(names[0], id, *wide)?;
        let verdict = match (value < low, high.filter(|high| value > *high)) {
            (true, _) => "lower than is published for any grass there",
            (_, Some(_)) => "higher than is usual there",
            (false, None) if high.is_some() => "within what is usual there",
            (false, None) => {
                "not under the lowest that is published; how high is usual there is not published, so \
                 whether it is too high the card says"
            }
        };
        let value = plain(round(value));
        let turf = "The turf decides, and what is wanted on the machine's card wins.";
        Some(Told::of(vec![format!("{value} mm is {verdict}. {line}"), turf.to_owned()], Some(basis)))
    }

    /// What is published for a surface: in a sentence, the lowest, and the highest that is usual.
    fn published(
        &self,
        name: &str,
        id: &str,
        usual: bool,
    ) -> Option<(String, f64, Option<f64>, Basis)> {
        let rows = || self.knowledge.heights.iter();
        let is_lowest = |row: &&SpeciesHeight| {
            let of_play = !row.surface.contains("tournament");
            row.surface.starts_with(id) && row.surface.ends_with("_lowest") && of_play
        };
        if usual {
            let row = rows().find(|row| row.species == "any" && row.surface == id)?;
            let told = format!("On {name} {} to {} mm is usual.", plain(row.min_mm), plain(row.max_mm));
            let basis = Basis::Published(row.reference.clone());
            return Some((told, row.min_mm, Some(row.max_mm), basis));
        }
        let least = rows().filter(is_lowest).min_by(|a, b| a.min_mm.total_cmp(&b.min_mm))?;
        let most = rows().filter(is_lowest).max_by(|a, b| a.min_mm.total_cmp(&b.min_mm))?;
        let species = |row: &SpeciesHeight| row.species.replace('_', " ");
        let told = format!(
            "On {name} the lowest published is {} mm ({}) to {} mm ({}), by the grass.",
            plain(least.min_mm), species(least), plain(most.min_mm), species(most)
        );
        Some((told, least.min_mm, None, Basis::Published(least.reference.clone())))
    }

    /// The ranges that the words name about as well as the best, the best first.
    fn ranges_named(&self, query: &str) -> Vec<(Range, Basis)> {
        let said: Vec<&str> = query.split_whitespace().collect();
        let sides = said.contains(&"left") && said.contains(&"right");
        let between = said.iter().any(|word| matches!(*word, "between" | "difference" | "differ"));
        let ends = self.knowledge.setting_targets.iter().find(|row| row.setting == "end_difference");
        if let Some(row) = ends.filter(|_| (sides || said.contains(&"ends")) && between) {
            return vec![(Range::of(row), row.basis.clone())];
        }
        let wanted = |one: Source| matches!(one, Source::Target(_) | Source::Reading { .. });
        let of_reading = |word: &&String| !MEASURING.contains(&word.as_str());
        let asked: Vec<String> = self.asked.iter().filter(of_reading).cloned().collect();
        let found = self.passages.find(&asked, wanted);
        let mut all: Vec<(f64, Range, Basis)> = found
            .iter()
            .filter_map(|found| {
                let (range, basis) = self.range_of(found.source)?;
                let lower = range.title.to_lowercase();
                let label: Vec<&str> = lower.split(|ch: char| !ch.is_alphanumeric()).collect();
                let shared = said.iter().filter(|word| label.contains(word)).count();
                // "Up and down play" is named by its small words.
                let named = found.titled >= NAMED_MIN || shared >= SHARED_MIN;
                named.then_some((found.score + SHARED_WORD * shared as f64, range, basis))
            })
            .collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        let best = all.first().map_or(0.0, |(score, ..)| *score);
        all.retain(|(score, ..)| best - score <= AS_WELL);
        all.into_iter().map(|(_, range, basis)| (range, basis)).collect()
    }

    fn range_of(&self, source: Source) -> Option<(Range, Basis)> {
        match source {
            Source::Target(at) => {
                let row = self.knowledge.setting_targets.get(at)?;
                (!row.share_of_height).then(|| (Range::of(row), row.basis.clone()))
            }
            Source::Reading { procedure, step, reading } => {
                let row = self.knowledge.procedures.get(procedure)?;
                let reading = row.steps.get(step)?.readings.get(reading)?;
                let Acceptance::Range { min, max } = reading.accept else { return None };
                let range = Range {
                    title: reading.label.clone(),
                    low: min,
                    high: max,
                    unit: reading.unit.clone(),
                    how: format!("From \"{}\".", row.title),
                    difference: reading.id.contains("differ"),
                };
                // A wide range only says what can be.
                (max - min <= job::NARROW_MAX).then(|| (range, row.basis.clone()))
            }
            _ => None,
        }
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
