//! What should this be set to, and how is that worked out? One file per family of formulas; each
//! calculation is a plain function from its inputs to its results with the working shown.
//! Deliberately absent: clocks, stored records, display of units other than the ones named, and the
//! texts of cautions and references (they are named here by id and written in `knowledge/`).
//!
//! Every calculation keeps the same promises. Each number given is checked against its row of
//! `limits::BOUNDS` before it is used. A quantity left out is solved for where the formula allows,
//! else the answer has no results and `common.missing` says what to give. A result that no machine
//! could have is refused too, naming the input to change.

pub mod clip;
pub mod height;
pub mod height_evidence;
pub mod sinkage;
pub mod adjuster;
pub mod turn_worth;
pub mod side_view;
pub mod paper_map;
pub mod gap_cells;
pub mod gap_fit;
pub mod paper_verdict;
pub mod match_units;
pub mod height_plan;
pub mod calendar;
pub mod reel_wear;
pub mod reel_readings;
pub mod reel_taper;
pub mod relief;
pub mod wheel_speed;
pub mod groomer;
pub mod brush;
pub mod verticut;
pub mod tip_speed;
pub mod rotary_level;
pub mod balance;
pub mod capacity;
pub mod repair;
pub mod service_interval;

// The statistics and algebra that the families rest on.
pub mod least_squares;
pub mod student;
pub mod normal_belief;
pub mod special_functions;
pub mod weibull;
pub mod few_failures;
pub mod life_table;
pub mod repairable;

#[cfg(test)]
mod bounds_check;

/// An input that cannot be used. `field` is the name in the request, `value` as given, `remedy`
/// what to do about it; a caller shows all three.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingError {
    pub field: String,
    pub value: String,
    pub remedy: String,
}

impl SettingError {
    pub fn new(
        field: impl Into<String>,
        value: impl ToString,
        remedy: impl Into<String>,
    ) -> SettingError {
        SettingError { field: field.into(), value: value.to_string(), remedy: remedy.into() }
    }
}

impl std::fmt::Display for SettingError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} is {}: {}", self.field, self.value, self.remedy)
    }
}

impl std::error::Error for SettingError {}

/// One line of the working, as a trainer would write it on a board.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// What this line finds.
    pub text: String,
    /// The formula with its numbers put in; empty when the line is words alone.
    pub expression: String,
    /// What it comes to, in `unit`; zero when the line is words alone.
    pub value: f64,
    pub unit: &'static str,
    /// Id of the reference it rests on; empty when it rests on the lines above.
    pub reference: &'static str,
}

/// Something worth knowing that is not a danger: a limit, an assumption, a doubt.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advisory {
    pub id: &'static str,
    pub text: String,
}

/// An input that must be given before there can be an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    pub field: &'static str,
    pub unit: &'static str,
    pub why: String,
}

/// What every answer carries beside its results.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Common {
    /// The answer in one plain sentence; empty when something is missing.
    pub answer: String,
    /// The field that was worked out; empty when something is missing.
    pub solved_for: &'static str,
    pub working: Vec<Working>,
    pub advisories: Vec<Advisory>,
    /// Ids of cautions, in the order they were raised.
    pub cautions: Vec<&'static str>,
    /// Ids of references, in the order they were first used.
    pub references: Vec<&'static str>,
    pub missing: Vec<Missing>,
}

/// The least height of cut published, of a cricket pitch on match day (cricket_pitch_mowing).
const LEAST_HEIGHT_MM: f64 = 1.0;

impl Common {
    /// Writes a line of working that finds a number, and cites what it rests on.
    pub fn step(
        &mut self,
        text: impl Into<String>,
        expression: impl Into<String>,
        value: f64,
        unit: &'static str,
        reference: &'static str,
    ) {
        self.cite(reference);
        let (text, expression) = (text.into(), expression.into());
        self.working.push(Working { text, expression, value, unit, reference });
    }

    /// Writes a line of working in words alone.
    pub fn note(&mut self, text: impl Into<String>, reference: &'static str) {
        self.step(text, "", 0.0, "", reference);
    }

    pub fn advise(&mut self, id: &'static str, text: impl Into<String>) {
        self.advisories.push(Advisory { id, text: text.into() });
    }

    /// A height that nobody cuts at is more often a figure misheard: the least published is that of
    /// a cricket pitch on the day of a match.
    pub fn doubt_a_low_height(&mut self, height_mm: f64) {
        if height_mm < LEAST_HEIGHT_MM {
            self.cite("cricket_pitch_mowing");
            self.advise(
                "height_very_low",
                format!(
                    "That would leave {} mm, less than the least height published here, {} mm for a cricket \
                     pitch on match day: see that the figures are what you meant.",
                    crate::domain::units::decimal(height_mm, 2),
                    crate::domain::units::decimal(LEAST_HEIGHT_MM, 0)
                ),
            );
        }
    }

    pub fn caution(&mut self, id: &'static str) {
        if !self.cautions.contains(&id) {
            self.cautions.push(id);
        }
    }

    /// Cites a reference once; an empty id cites nothing.
    pub fn cite(&mut self, id: &'static str) {
        if !id.is_empty() && !self.references.contains(&id) {
            self.references.push(id);
        }
    }

    pub fn need(&mut self, field: &'static str, unit: &'static str, why: impl Into<String>) {
        self.missing.push(Missing { field, unit, why: why.into() });
    }

    /// The answer, and which field it is the answer to.
    pub fn conclude(&mut self, solved_for: &'static str, answer: impl Into<String>) {
        self.solved_for = solved_for;
        self.answer = answer.into();
    }
}
