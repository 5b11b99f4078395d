//! What kinds of thing does the trade reason over? Equipment, findings, causes, checks, openings,
//! procedures, cautions, references and notes, as plain data with public fields.
//! Deliberately absent: reading files (`knowledge.rs`), and what to conclude from any of it.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use super::language::dangers::DangerEar;
use super::language::hearing::{Ear, Reading};
use super::language::patterns::{Lexicon, Match};
use super::language::purpose::PurposeEar;
use super::language::scope::ScopeEar;
use super::language::text::stem;
use super::passages::Passages;
use super::said::naming::NamingEar;
use super::said::placing::PlacingEar;

/// The kinds of equipment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Equipment {
    ReelUnit,
    Groomer,
    RearRollerBrush,
    VerticutReel,
    RotaryDeck,
}

impl Equipment {
    pub const ALL: [Equipment; 5] = [
        Equipment::ReelUnit,
        Equipment::Groomer,
        Equipment::RearRollerBrush,
        Equipment::VerticutReel,
        Equipment::RotaryDeck,
    ];

    /// The id used in files, requests and answers.
    pub fn id(self) -> &'static str {
        match self {
            Equipment::ReelUnit => "reel_unit",
            Equipment::Groomer => "groomer",
            Equipment::RearRollerBrush => "rear_roller_brush",
            Equipment::VerticutReel => "verticut_reel",
            Equipment::RotaryDeck => "rotary_deck",
        }
    }

    /// The words for people.
    pub fn title(self) -> &'static str {
        match self {
            Equipment::ReelUnit => "reel unit",
            Equipment::Groomer => "groomer",
            Equipment::RearRollerBrush => "rear roller brush",
            Equipment::VerticutReel => "verticut reel",
            Equipment::RotaryDeck => "rotary deck",
        }
    }

    pub fn from_id(id: &str) -> Option<Equipment> {
        Equipment::ALL.into_iter().find(|kind| kind.id() == id)
    }
}

/// Where a fact comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Basis {
    /// The id of a reference.
    Published(String),
    CommonPractice,
    FromMemory,
    /// Worked out from shapes or numbers; never an outside check.
    Geometry,
}

/// How a finding becomes known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FindingKind {
    Complaint,
    Check,
}

/// A yes/no fact.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Finding {
    pub id: String,
    pub equipment: Vec<Equipment>,
    pub kind: FindingKind,
    pub leak: f64,
    pub sensitivity: f64,
    pub false_alarm: f64,
    pub group: String,
    pub title: String,
    pub question: String,
    pub basis: Basis,
}

/// A fault, on one kind of equipment.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Cause {
    pub id: String,
    pub equipment: Equipment,
    pub weight: f64,
    pub procedure: String,
    pub minutes: f64,
    pub success: f64,
    pub opening: String,
    pub cautions: Vec<String>,
    pub title: String,
    pub remedy: String,
    pub basis: Basis,
}

/// An action that settles findings.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Check {
    pub id: String,
    pub equipment: Vec<Equipment>,
    pub minutes: f64,
    pub opening: String,
    pub reveals: Vec<String>,
    pub procedure: String,
    pub cautions: Vec<String>,
    pub title: String,
    pub why: String,
    pub basis: Basis,
}

/// Shared preparation, paid once.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Opening {
    pub id: String,
    pub minutes: f64,
    pub title: String,
    pub cautions: Vec<String>,
    pub basis: Basis,
}

/// A row of the decision table: P(finding | only this cause).
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct TableRow {
    pub equipment: Equipment,
    pub cause: String,
    pub finding: String,
    pub probability: f64,
    pub basis: Basis,
}

/// Text shown beside every hazardous step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Caution {
    pub id: String,
    pub title: String,
    pub text: String,
    pub source: String,
    /// Work stops until it is put right.
    pub stops_work: bool,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Reference {
    pub id: String,
    pub citation: String,
    pub basis: Basis,
}

/// A value to be read during a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StepReading {
    pub id: String,
    pub unit: String,
    pub label: String,
    pub accept: Acceptance,
    /// The step to go back to when the reading is not accepted.
    pub otherwise_step: Option<usize>,
}

/// Which readings are good.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Acceptance {
    /// Both ends included.
    Range { min: f64, max: f64 },
    Yes,
}

#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Step {
    pub title: String,
    pub cautions: Vec<String>,
    pub why: String,
    pub readings: Vec<StepReading>,
    /// Id of a calculation the step needs.
    pub compute: Option<String>,
    pub text: String,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Procedure {
    pub id: String,
    pub title: String,
    pub equipment: Vec<Equipment>,
    pub minutes: f64,
    pub tools: Vec<String>,
    pub summary: String,
    pub basis: Basis,
    pub references: Vec<String>,
    pub steps: Vec<Step>,
}

/// A troubleshooting note.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Note {
    pub id: String,
    pub title: String,
    pub equipment: Vec<Equipment>,
    pub findings: Vec<String>,
    pub causes: Vec<String>,
    pub basis: Basis,
    pub references: Vec<String>,
    pub text: String,
}

/// What a row of `refusals.toml` answers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Guard {
    /// A request that is not answered as asked.
    #[default]
    Refuse,
    /// Somebody is hurt or about to be: what to do now, and nothing else.
    Emergency,
    /// A machine that has to stop before anything is looked into.
    Stop,
    /// Leave that is asked: the answer is yes if, or how.
    Leave,
}

/// A request that is refused, with the safe way to the same end; or another thing said of safety.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Refusal {
    pub id: String,
    pub guard: Guard,
    pub title: String,
    pub cautions: Vec<String>,
    pub safe_way: String,
    pub source: String,
}

/// Whether a machine may go on working with a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RunningOn {
    /// It spoils grass or time, and hurts nobody.
    Poor,
    /// It wears or breaks something: the round may be ended, no more.
    Soon,
    /// It can hurt somebody or wreck the machine.
    Stop,
}

/// The finding of what is too hot to go on, whatever the cause.
pub const RUNS_HOT: &str = "runs_hot";

/// What comes of working on with a cause not put right, or with what runs hot.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct WithFault {
    pub cause: String,
    pub answer: RunningOn,
    pub why: String,
    pub basis: Basis,
}

/// A published height of cut for a species or surface.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SpeciesHeight {
    pub species: String,
    pub surface: String,
    pub min_mm: f64,
    pub max_mm: f64,
    pub reference: String,
    pub basis: Basis,
}

/// Within what a setting should lie when no manual says better. The machine's manual wins.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SettingTarget {
    pub equipment: Equipment,
    pub setting: String,
    pub low: f64,
    pub high: f64,
    /// Unit of `low` and `high`; empty for a bare ratio.
    pub unit: String,
    /// `low` and `high` are shares of the height of cut.
    pub share_of_height: bool,
    pub title: String,
    pub how: String,
    pub basis: Basis,
}

/// How often a job is usually done, for a shop that has no history of its own yet.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct UsualInterval {
    pub equipment: Equipment,
    pub work: String,
    pub low_h: f64,
    pub high_h: f64,
    pub title: String,
    pub basis: Basis,
}

/// A published tightening torque; the machine's manual wins.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Torque {
    pub thread: String,
    pub class: String,
    pub condition: String,
    pub torque_nm: f64,
    pub reference: String,
    pub basis: Basis,
}

/// Two findings of which a fault shows one or the other.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Exclusion {
    pub one: String,
    pub other: String,
    pub basis: Basis,
}

/// All that is known, checked. Lists are in order of id.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Knowledge {
    /// Changes whenever any file of the knowledge changes.
    pub version: String,
    pub findings: Vec<Finding>,
    pub causes: Vec<Cause>,
    pub checks: Vec<Check>,
    pub openings: Vec<Opening>,
    pub table: Vec<TableRow>,
    pub exclusions: Vec<Exclusion>,
    pub cautions: Vec<Caution>,
    pub references: Vec<Reference>,
    pub procedures: Vec<Procedure>,
    pub notes: Vec<Note>,
    pub refusals: Vec<Refusal>,
    pub running_on: Vec<WithFault>,
    pub heights: Vec<SpeciesHeight>,
    pub torques: Vec<Torque>,
    pub setting_targets: Vec<SettingTarget>,
    pub usual_intervals: Vec<UsualInterval>,
    /// British words with their American form.
    pub spelling: Vec<(String, String)>,
    /// For search: names of one thing, the usual one first.
    pub search_synonyms: Vec<Vec<String>>,
    /// The cue words of commands.
    pub intent: Lexicon,
    pub ear: Ear,
    /// A model and no more, which is kept apart.
    #[serde(skip)]
    pub scope_ear: ScopeEar,
    pub purpose_ear: PurposeEar,
    pub placing_ear: PlacingEar,
    pub danger_ear: DangerEar,
    #[serde(skip)]
    pub naming_ear: NamingEar,
    /// Made of all of the above when first asked for: see `passages`.
    #[serde(skip)]
    pub made_passages: OnceLock<Passages>,
    /// Likewise: see `title_stems`.
    #[serde(skip)]
    pub made_title_stems: OnceLock<BTreeSet<String>>,
}

impl Knowledge {
    /// Every passage that can answer a question.
    pub fn passages(&self) -> &Passages {
        self.made_passages.get_or_init(|| Passages::new(self))
    }

    /// The cues of commands in words; a complaint is asked for them several times.
    pub fn cues<'a>(&self, reading: &'a Reading) -> &'a [Match] {
        reading.found_cues.get_or_init(|| self.intent.find(&reading.words))
    }

    /// The stems of all words in the names of causes, signs and jobs.
    pub fn title_stems(&self) -> &BTreeSet<String> {
        self.made_title_stems.get_or_init(|| {
            let causes = self.causes.iter().map(|row| &row.title);
            let findings = self.findings.iter().map(|row| &row.title);
            let procedures = self.procedures.iter().map(|row| &row.title);
            let words = causes.chain(findings).chain(procedures).flat_map(|title| {
                title.split(|ch: char| !ch.is_alphanumeric())
            });
            words.filter(|word| !word.is_empty()).map(|word| stem(&word.to_lowercase())).collect()
        })
    }

    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|row| row.id == id)
    }

    pub fn cause(&self, equipment: Equipment, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|row| row.equipment == equipment && row.id == id)
    }

    pub fn check(&self, id: &str) -> Option<&Check> {
        self.checks.iter().find(|row| row.id == id)
    }

    pub fn opening(&self, id: &str) -> Option<&Opening> {
        self.openings.iter().find(|row| row.id == id)
    }

    pub fn caution(&self, id: &str) -> Option<&Caution> {
        self.cautions.iter().find(|row| row.id == id)
    }

    pub fn reference(&self, id: &str) -> Option<&Reference> {
        self.references.iter().find(|row| row.id == id)
    }

    pub fn note(&self, id: &str) -> Option<&Note> {
        self.notes.iter().find(|row| row.id == id)
    }

    pub fn procedure(&self, id: &str) -> Option<&Procedure> {
        self.procedures.iter().find(|row| row.id == id)
    }

    /// A text for people: procedures that it names in backticks are named by their titles.
    pub fn with_titles(&self, text: &str) -> String {
        let part = |(at, part): (usize, &str)| match self.procedure(part).filter(|_| at % 2 == 1) {
            Some(row) => format!("\"{}\"", row.title),
            None => part.to_owned(),
        };
        text.split('`').enumerate().map(part).collect()
    }

    pub fn refusal(&self, id: &str) -> Option<&Refusal> {
        self.refusals.iter().find(|row| row.id == id)
    }
}
