//! What do the CSV tables say? Findings, causes, checks, openings, the decision table, exclusions,
//! running on with a fault, references, heights, torques, targets of settings and usual intervals.

use std::str::FromStr;

use super::{File, Problems, text_of};
use crate::domain::catalogue::{
    Basis, Cause, Check, Equipment, Exclusion, Finding, FindingKind, Knowledge, Opening, Reference,
    RunningOn, SettingTarget, SpeciesHeight, TableRow, Torque, UsualInterval, WithFault,
};

pub fn read(files: &[File], knowledge: &mut Knowledge, problems: &mut Problems) {
    knowledge.findings = rows(files, "findings.csv", problems, finding);
    knowledge.causes = rows(files, "causes.csv", problems, cause);
    knowledge.checks = rows(files, "checks.csv", problems, check);
    knowledge.openings = rows(files, "openings.csv", problems, opening);
    knowledge.table = rows(files, "decision_table.csv", problems, table_row);
    knowledge.exclusions = rows(files, "exclusions.csv", problems, exclusion);
    knowledge.running_on = rows(files, "running_on.csv", problems, with_fault);
    knowledge.references = rows(files, "references.csv", problems, reference);
    knowledge.heights = rows(files, "heights.csv", problems, height);
    knowledge.torques = rows(files, "torque.csv", problems, torque);
    knowledge.setting_targets = rows(files, "setting_targets.csv", problems, setting_target);
    knowledge.usual_intervals = rows(files, "service_intervals.csv", problems, usual_interval);
    knowledge.findings.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.causes.sort_by(|a, b| (&a.id, a.equipment).cmp(&(&b.id, b.equipment)));
    knowledge.checks.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.openings.sort_by(|a, b| a.id.cmp(&b.id));
    knowledge.references.sort_by(|a, b| a.id.cmp(&b.id));
}

fn finding(row: &mut Row) -> Option<Finding> {
    Some(Finding {
        id: row.id()?,
        equipment: row.equipment_list("equipment")?,
        kind: match row.text("kind")?.as_str() {
            "complaint" => FindingKind::Complaint,
            "check" => FindingKind::Check,
            other => {
                return row.wrong(format!("kind is \"{other}\""), "write complaint or check");
            }
        },
        leak: row.number("leak", 0.0, 0.9)?,
        sensitivity: row.number("sensitivity", 0.0, 1.0)?,
        false_alarm: row.number("false_alarm", 0.0, 1.0)?,
        group: row.maybe("group"),
        title: row.text("title")?,
        question: row.text("question")?,
        basis: row.basis()?,
    })
}

/// The least and the most minutes that a repair or its procedure may take (from memory).
pub const WORK_MINUTES: (f64, f64) = (1.0, 1_000.0);

fn cause(row: &mut Row) -> Option<Cause> {
    Some(Cause {
        id: row.id()?,
        equipment: row.equipment()?,
        weight: row.number("weight", 0.01, 100.0)?,
        procedure: row.text("procedure")?,
        minutes: row.number("minutes", WORK_MINUTES.0, WORK_MINUTES.1)?,
        success: row.number("success", 0.05, 1.0)?,
        opening: row.text("opening")?,
        cautions: row.list("cautions"),
        title: row.text("title")?,
        remedy: row.text("remedy")?,
        basis: row.basis()?,
    })
}

fn check(row: &mut Row) -> Option<Check> {
    Some(Check {
        id: row.id()?,
        equipment: row.equipment_list("equipment")?,
        minutes: row.number("minutes", 0.5, 240.0)?,
        opening: row.text("opening")?,
        reveals: row.list("reveals"),
        procedure: row.text("procedure")?,
        cautions: row.list("cautions"),
        title: row.text("title")?,
        why: row.text("why")?,
        basis: row.basis()?,
    })
}

fn opening(row: &mut Row) -> Option<Opening> {
    Some(Opening {
        id: row.id()?,
        minutes: row.number("minutes", 0.0, 240.0)?,
        title: row.text("title")?,
        cautions: row.list("cautions"),
        basis: row.basis()?,
    })
}

fn table_row(row: &mut Row) -> Option<TableRow> {
    Some(TableRow {
        equipment: row.equipment()?,
        cause: row.text("cause")?,
        finding: row.text("finding")?,
        probability: row.number("probability", 0.0, 1.0)?,
        basis: row.basis()?,
    })
}

fn exclusion(row: &mut Row) -> Option<Exclusion> {
    Some(Exclusion { one: row.text("one")?, other: row.text("other")?, basis: row.basis()? })
}

fn with_fault(row: &mut Row) -> Option<WithFault> {
    Some(WithFault {
        cause: row.text("cause")?,
        answer: match row.text("answer")?.as_str() {
            "stop" => RunningOn::Stop,
            "soon" => RunningOn::Soon,
            "poor" => RunningOn::Poor,
            other => {
                return row.wrong(format!("answer is \"{other}\""), "write stop, soon or poor");
            }
        },
        why: row.text("why")?,
        basis: row.basis()?,
    })
}

fn reference(row: &mut Row) -> Option<Reference> {
    Some(Reference { id: row.id()?, citation: row.text("citation")?, basis: row.basis()? })
}

fn height(row: &mut Row) -> Option<SpeciesHeight> {
    Some(SpeciesHeight {
        species: row.text("species")?,
        surface: row.text("surface")?,
        min_mm: row.number("min_mm", 0.0, 500.0)?,
        max_mm: row.number("max_mm", 0.0, 500.0)?,
        reference: row.maybe("reference"),
        basis: row.basis()?,
    })
}

fn torque(row: &mut Row) -> Option<Torque> {
    Some(Torque {
        thread: row.text("thread")?,
        class: row.text("class")?,
        condition: row.text("condition")?,
        torque_nm: row.number("torque_nm", 0.1, 10_000.0)?,
        reference: row.maybe("reference"),
        basis: row.basis()?,
    })
}

fn setting_target(row: &mut Row) -> Option<SettingTarget> {
    let low = row.number("low", -1_000.0, 1_000.0)?;
    let high = row.number("high", -1_000.0, 1_000.0)?;
    if high < low {
        return row.wrong(format!("high is {high}"), "write at least what low says");
    }
    Some(SettingTarget {
        equipment: row.equipment()?,
        setting: row.text("setting")?,
        low,
        high,
        unit: row.maybe("unit"),
        share_of_height: match row.text("share_of_height")?.as_str() {
            "yes" => true,
            "no" => false,
            other => {
                return row.wrong(format!("share_of_height is \"{other}\""), "write yes or no");
            }
        },
        title: row.text("title")?,
        how: row.text("how")?,
        basis: row.basis()?,
    })
}

fn usual_interval(row: &mut Row) -> Option<UsualInterval> {
    let low_h = row.number("low_h", 0.1, 100_000.0)?;
    let high_h = row.number("high_h", 0.1, 100_000.0)?;
    if high_h < low_h {
        return row.wrong(format!("high_h is {high_h}"), "write at least what low_h says");
    }
    Some(UsualInterval {
        equipment: row.equipment()?,
        work: row.text("work")?,
        low_h,
        high_h,
        title: row.text("title")?,
        basis: row.basis()?,
    })
}

/// Reads every row that can be read; each that cannot adds a problem.
fn rows<T>(
    files: &[File],
    path: &str,
    problems: &mut Problems,
    parse: fn(&mut Row) -> Option<T>,
) -> Vec<T> {
    let Some(text) = text_of(files, path) else {
        problems.add(path, 0, "the file is missing", "put it back; knowledge/README.md shows its form");
        return Vec::new();
    };
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let headers = match reader.headers() {
        Ok(headers) => headers.clone(),
        Err(error) => {
            problems.add(path, 1, error.to_string(), "write the column names in the first line");
            return Vec::new();
        }
    };
    let mut out = Vec::new();
    for record in reader.records() {
        match record {
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line);
                let line = usize::try_from(line).unwrap_or(0);
                let mut row = Row { path, line, headers: &headers, record, problems };
                out.extend(parse(&mut row));
            }
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                let line = usize::try_from(line).unwrap_or(0);
                problems.add(path, line, error.to_string(), "give every column; quote commas");
            }
        }
    }
    out
}

/// One row of a table, with the ways to read a cell.
struct Row<'a> {
    path: &'a str,
    line: usize,
    headers: &'a csv::StringRecord,
    record: csv::StringRecord,
    problems: &'a mut Problems,
}

impl Row<'_> {
    fn wrong<T>(&mut self, what: String, remedy: &str) -> Option<T> {
        self.problems.add(self.path, self.line, what, remedy);
        None
    }

    fn maybe(&self, column: &str) -> String {
        let at = self.headers.iter().position(|name| name == column);
        at.and_then(|at| self.record.get(at)).unwrap_or_default().to_owned()
    }

    fn text(&mut self, column: &str) -> Option<String> {
        let text = self.maybe(column);
        if text.is_empty() {
            return self.wrong(format!("{column} is empty"), "fill it in");
        }
        Some(text)
    }

    fn id(&mut self) -> Option<String> {
        let id = self.text("id")?;
        let plain = |ch: char| ch.is_ascii_lowercase() || ch.is_ascii_digit() || ch == '_';
        if id.chars().all(plain) {
            return Some(id);
        }
        self.wrong(format!("id is \"{id}\""), "use small letters, digits and _ only")
    }

    fn number(&mut self, column: &str, min: f64, max: f64) -> Option<f64> {
        let text = self.text(column)?;
        match f64::from_str(&text) {
            Ok(number) if (min..=max).contains(&number) => Some(number),
            _ => {
                let remedy = format!("write a number from {min} to {max}");
                self.wrong(format!("{column} is \"{text}\""), &remedy)
            }
        }
    }

    fn list(&self, column: &str) -> Vec<String> {
        let text = self.maybe(column);
        text.split('|').map(str::trim).filter(|item| !item.is_empty()).map(str::to_owned).collect()
    }

    fn equipment(&mut self) -> Option<Equipment> {
        let text = self.text("equipment")?;
        match Equipment::from_id(&text) {
            Some(kind) => Some(kind),
            None => self.wrong(format!("equipment is \"{text}\""), EQUIPMENT_REMEDY),
        }
    }

    fn equipment_list(&mut self, column: &str) -> Option<Vec<Equipment>> {
        let mut kinds = Vec::new();
        for item in self.list(column) {
            match Equipment::from_id(&item) {
                Some(kind) => kinds.push(kind),
                None => return self.wrong(format!("{column} holds \"{item}\""), EQUIPMENT_REMEDY),
            }
        }
        if kinds.is_empty() {
            return self.wrong(format!("{column} is empty"), EQUIPMENT_REMEDY);
        }
        Some(kinds)
    }

    fn basis(&mut self) -> Option<Basis> {
        let text = self.text("basis")?;
        match basis(&text) {
            Some(basis) => Some(basis),
            None => self.wrong(format!("basis is \"{text}\""), BASIS_REMEDY),
        }
    }
}

const EQUIPMENT_REMEDY: &str =
    "use reel_unit, groomer, rear_roller_brush, verticut_reel or rotary_deck, separated by |";

pub const BASIS_REMEDY: &str =
    "write published:REFERENCE_ID, common practice, from memory or geometry";

/// The basis words of the files.
pub fn basis(text: &str) -> Option<Basis> {
    match text.trim() {
        "common practice" => Some(Basis::CommonPractice),
        "from memory" => Some(Basis::FromMemory),
        "geometry" => Some(Basis::Geometry),
        "published" => Some(Basis::Published(String::new())),
        other => other.strip_prefix("published:").map(|id| Basis::Published(id.trim().to_owned())),
    }
}
