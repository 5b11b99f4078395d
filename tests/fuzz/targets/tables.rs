//! Tables of records, CSV and JSON lines: every row becomes a record that reads back the same, or
//! says its column, value and remedy.

use std::collections::BTreeMap;

use sward_core::domain::demo;
use sward_core::domain::records::check::{self, Vocabulary};
use sward_core::domain::records::choices::Choice as _;
use sward_core::domain::records::directory::Directory;
use sward_core::domain::records::fields::CatalogueList;
use sward_core::domain::records::import::{self, Reading};
use sward_core::domain::records::moment::DateOrder;
use sward_core::domain::records::row::{Header, Row};
use sward_core::domain::records::{
    Moment, NewRecord, Record, RecordError, RecordName, Subject, SubjectName, export,
};

use super::super::dice::hash;
use super::{Target, must};

const NOW: Moment = Moment::from_microseconds(1_800_000_000_000_000);
/// Records of the invented shop to begin with.
const RECORDS: usize = 400;

/// Every id of the catalogue is taken as known: whether it is, is not asked here.
struct AnyId;

impl Vocabulary for AnyId {
    fn has(&self, _: CatalogueList, _: &str) -> bool {
        true
    }
}

pub struct Tables {
    directory: Directory,
    records: Vec<Record>,
}

impl Tables {
    pub fn new() -> Tables {
        let home = SubjectName::home();
        let demo = demo::shop(home.site(), 1);
        let stored = |new: sward_core::domain::records::NewSubject| Subject {
            name: new.name,
            label: new.label,
            facts: new.facts,
            created: NOW,
            updated: NOW,
            version: 1,
        };
        let records = demo.records.into_iter().zip(1..).map(|(new, number)| record(new, number));
        Tables {
            directory: Directory::new(demo.subjects.into_iter().map(stored).collect()),
            records: records.take(RECORDS).collect(),
        }
    }

    fn reading(&self, order: u8) -> Reading<'_> {
        let date_order = match order % 3 {
            0 => None,
            1 => Some(DateOrder::DayFirst),
            _ => Some(DateOrder::MonthFirst),
        };
        Reading { site: SubjectName::home(), directory: &self.directory, date_order }
    }

    /// The row as a record; the record as rows of both formats, which are the same record.
    fn judge(&self, row: &Row, reading: &Reading<'_>) -> Result<u64, String> {
        let _ = import::subjects_needed(std::slice::from_ref(row), reading);
        let new = match import::record(row, reading) {
            Ok(new) => new,
            Err(faults) => {
                must(!faults.is_empty(), || "refused without a fault".to_owned())?;
                return clear(faults.iter().map(|fault| &fault.error));
            }
        };
        let new = match check::record(new, &AnyId, NOW) {
            Ok(new) => new,
            Err(errors) => return clear(errors.iter()),
        };
        let told = record(new, 1);
        let names = export::column_names(&[]);
        let text = export::csv_header(&names) + &export::csv_line(&names, &told, true);
        let again = csv_rows(text.as_bytes()).pop();
        self.same(&told, again, "CSV")?;
        let line = export::json_line(&told, true);
        let again = Row::from_json(1, &line, &BTreeMap::new());
        self.same(&told, Some(again.map_err(|faults| format!("{faults:?}"))), "JSON")?;
        Ok(hash(told.content.kind().id().as_bytes()))
    }

    fn same(
        &self,
        told: &Record,
        row: Option<Result<Row, String>>,
        format: &str,
    ) -> Result<(), String> {
        let row = row.ok_or_else(|| format!("{format} without a row"))??;
        let read = import::record(&row, &self.reading(0))
            .map_err(|faults| format!("what was written as {format} is refused: {faults:?}"))?;
        let again = check::record(read, &AnyId, NOW)
            .map_err(|errors| format!("what was written as {format} is refused: {errors:?}"))?;
        let content = again.content == told.content && again.time == Some(told.time);
        must(content && again.request_id == told.request_id, || {
            format!("{format} reads back as another record: {:?} {again:?}", told.content)
        })
    }
}

fn record(new: NewRecord, number: u64) -> Record {
    Record {
        name: RecordName { subject: new.subject, number },
        time: new.time.unwrap_or(NOW),
        created: NOW,
        request_id: new.request_id,
        supersedes: None,
        superseded_by: None,
        unit_type: String::new(),
        content: new.content,
    }
}

/// Errors of a row tell their field and remedy.
fn clear<'a>(errors: impl Iterator<Item = &'a RecordError>) -> Result<u64, String> {
    let mut sort = 0;
    for error in errors {
        let clear = !error.field.is_empty() && !error.remedy.is_empty();
        must(clear, || format!("{error:?} is unclear"))?;
        sort ^= hash(error.field.as_bytes()).wrapping_add(error.remedy.len() as u64);
    }
    Ok(sort)
}

/// The rows of a table in CSV, as the command line reads them in.
fn csv_rows(bytes: &[u8]) -> Vec<Result<Row, String>> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
    let Ok(names) = reader.headers() else { return Vec::new() };
    let names: Vec<String> = names.iter().map(str::to_owned).collect();
    let header = match Header::read(&names, &BTreeMap::new()) {
        Ok(header) => header,
        Err(errors) => return vec![clear(errors.iter()).and(Err("no header".to_owned()))],
    };
    let lines = reader.records().map_while(Result::ok);
    let rows = lines.map(|line| {
        let number = line.position().map_or(0, csv::Position::line);
        let cells: Vec<String> = line.iter().map(str::to_owned).collect();
        Row::from_cells(number, &header, &cells).map_err(|fault| format!("{fault:?}"))
    });
    rows.collect()
}

impl Target for Tables {
    fn name(&self) -> &'static str {
        "tables"
    }

    fn corpus(&self) -> Vec<Vec<u8>> {
        let names = export::column_names(&[]);
        let header = export::csv_header(&names);
        let mut corpus: Vec<Vec<u8>> = include_str!("../../records/reports.jsonl")
            .lines()
            .map(|line| format!("\u{1}{line}").into_bytes())
            .collect();
        for record in &self.records {
            let kind = export::column_names(&[record.content.kind()]);
            let own = export::csv_header(&kind) + &export::csv_line(&kind, record, true);
            let full = header.clone() + &export::csv_line(&names, record, true);
            corpus.push(format!("\u{2}{own}").into_bytes());
            if record.name.number % 8 == 0 {
                corpus.push(format!("\u{0}{full}").into_bytes());
            }
            corpus.push(format!("\u{3}{}", export::json_line(record, true)).into_bytes());
        }
        corpus
    }

    fn words(&self) -> Vec<Vec<u8>> {
        let names = export::column_names(&[]);
        let cells = self.records.iter().take(60).flat_map(|record| export::cells(record, true));
        names.into_iter().chain(cells.map(|(_, cell)| cell.text())).map(String::into_bytes).collect()
    }

    /// The first byte says the format and the order of dates.
    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let (first, rest) = input.split_first().unwrap_or((&0, &[]));
        let reading = self.reading(first / 2);
        let rows: Vec<Row> = if first % 2 == 0 {
            csv_rows(rest).into_iter().flatten().collect()
        } else {
            let text = String::from_utf8_lossy(rest);
            let read = |line: &str| Row::from_json(1, line, &BTreeMap::new());
            text.lines().filter_map(|line| read(line).ok()).collect()
        };
        let mut sort = rows.len() as u64;
        for row in &rows {
            sort = sort.rotate_left(7) ^ self.judge(row, &reading)?;
        }
        Ok(sort)
    }
}
