//! Does search find what answers the question? Rows with "query": over the notes, graded note by
//! note (0 to 3, a note that is not named is 0), or over the records of the demonstration shop,
//! graded by the cause of the fault. Measures: nDCG at 10 with gains of 2^grade - 1 (Jarvelin and
//! Kekalainen 2002; the exponential gain is the common variant), and the mean reciprocal rank of
//! the first hit graded 2 or more. Each part of the search is left out in turn to see what it adds.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::Value;
use sward_core::domain::catalogue::Knowledge;
use sward_core::domain::demo;
use sward_core::domain::records::names::Id;
use sward_core::domain::records::{
    NewRecord, Record, RecordName, RequestId, Superseded, Which,
};
use sward_core::index::{Ask, Change, Index, Kind, Source, Ways};

use super::score_sheet::Sheet;

const HITS: usize = 10;
/// Grade from which a hit answers the question.
const ANSWERS: u32 = 2;

const PARTS: [(&str, Ways); 5] = [
    ("everything", Ways::ALL),
    ("without synonyms", Ways { synonyms: false, ..Ways::ALL }),
    ("without typos", Ways { typos: false, ..Ways::ALL }),
    ("without numbers", Ways { numbers: false, ..Ways::ALL }),
    ("plain BM25", Ways::NONE),
];

/// A question, and the grades of what answers it.
struct Row {
    query: String,
    kind: Kind,
    grades: BTreeMap<String, u32>,
}

pub fn score(
    knowledge: &Knowledge,
    rows: &[Value],
    show: bool,
    sheet: &mut Sheet,
) -> Result<(), String> {
    let rows: Vec<Row> = rows.iter().filter(|row| row["query"].is_string()).map(row).collect();
    if rows.is_empty() {
        return Ok(());
    }
    sheet.words("search, queries", rows.len().to_string());
    for (name, ways) in PARTS {
        let source: Arc<dyn Source> = Arc::new(Shop::new());
        let index = Index::in_memory(knowledge, ways, Some(source)).map_err(|e| e.to_string())?;
        for (kind, over) in [(Kind::Note, "notes"), (Kind::Record, "records")] {
            let (mut gains, mut ranks, mut count) = (0.0, 0.0, 0.0);
            for row in rows.iter().filter(|row| row.kind == kind) {
                let (gain, rank) = judge(&index, row, show && ways == Ways::ALL)?;
                gains += gain;
                ranks += rank;
                count += 1.0;
            }
            sheet.number(&format!("search, {over}, {name}: nDCG@10"), gains / count);
            sheet.number(&format!("search, {over}, {name}: MRR"), ranks / count);
        }
    }
    Ok(())
}

fn row(row: &Value) -> Row {
    let over_records = row["over"] == "records";
    let grades = if over_records { &row["causes"] } else { &row["relevant"] };
    let grade = |(id, grade): (&String, &Value)| {
        Some((id.clone(), u32::try_from(grade.as_u64()?).ok()?))
    };
    Row {
        query: row["query"].as_str().unwrap_or_default().to_owned(),
        kind: if over_records { Kind::Record } else { Kind::Note },
        grades: grades.as_object().into_iter().flatten().filter_map(grade).collect(),
    }
}

/// nDCG and reciprocal rank of one question.
fn judge(index: &Index, row: &Row, show: bool) -> Result<(f64, f64), String> {
    let ask = Ask {
        query: row.query.clone(),
        kinds: vec![row.kind],
        limit: HITS,
        ..Ask::default()
    };
    let found = index.search(&ask).map_err(|error| error.to_string())?;
    let grade_of = |name: &str, causes: &[String]| {
        let by_cause = causes.iter().filter_map(|cause| row.grades.get(cause)).max();
        row.grades.get(name).or(by_cause).copied().unwrap_or(0)
    };
    let got: Vec<u32> = found
        .hits
        .iter()
        .map(|hit| grade_of(&hit.document.name, &hit.document.causes))
        .collect();
    let ndcg = gain(&got) / gain(&best(index, row)?);
    let first = got.iter().position(|grade| *grade >= ANSWERS);
    let rank = first.map_or(0.0, |at| 1.0 / (at + 1) as f64);
    if show && (ndcg < 0.7 || rank < 1.0) {
        let hits: Vec<String> = found
            .hits
            .iter()
            .zip(&got)
            .take(5)
            .map(|(hit, grade)| format!("{}={grade}", hit.document.name))
            .collect();
        println!("search {ndcg:.2} {rank:.2} \"{}\": {}", row.query, hits.join(" "));
    }
    Ok((ndcg, rank))
}

/// The grades of the best answer there could be: every note that was graded, or every record of a
/// graded cause.
fn best(index: &Index, row: &Row) -> Result<Vec<u32>, String> {
    let mut grades = Vec::new();
    for (id, grade) in &row.grades {
        let many = match row.kind {
            Kind::Record => {
                let kinds = vec![Kind::Record];
                let ask = Ask { cause: Some(id.clone()), kinds, limit: 1, ..Ask::default() };
                index.search(&ask).map_err(|error| error.to_string())?.total
            }
            Kind::Note | Kind::Procedure => 1,
        };
        grades.extend((0..many).map(|_| *grade));
    }
    grades.sort_by(|a, b| b.cmp(a));
    grades.truncate(HITS);
    Ok(grades)
}

fn gain(grades: &[u32]) -> f64 {
    let gains = grades.iter().enumerate().map(|(at, grade)| {
        (2_f64.powi(i32::try_from(*grade).unwrap_or(0)) - 1.0) / ((at + 2) as f64).log2()
    });
    gains.sum()
}

/// The demonstration shop as somebody who keeps records, in the order they were written down.
struct Shop(Vec<Record>);

impl Shop {
    fn new() -> Shop {
        let mut records: Vec<Record> = Vec::new();
        let mut numbers: BTreeMap<RequestId, RecordName> = BTreeMap::new();
        for (number, new) in (1..).zip(demo::shop(&Id::home(), 1).records) {
            let name = RecordName { subject: new.subject.clone(), number };
            numbers.insert(new.request_id, name.clone());
            let record = stored(new, name, &numbers);
            if let Some(old) = &record.supersedes {
                let at = usize::try_from(old.name.number).expect("a small number") - 1;
                records[at].superseded_by = Some(record.name.clone());
            }
            records.push(record);
        }
        Shop(records)
    }
}

fn stored(new: NewRecord, name: RecordName, numbers: &BTreeMap<RequestId, RecordName>) -> Record {
    let time = new.time.expect("the demonstration says when");
    let superseded = |which: Which| match which {
        Which::Request(id) => Some(Superseded { name: numbers.get(&id)?.clone(), request_id: id }),
        Which::Name(_) => None,
    };
    Record {
        name,
        time,
        created: time,
        request_id: new.request_id,
        supersedes: new.supersedes.and_then(superseded),
        superseded_by: None,
        unit_type: String::new(),
        content: new.content,
    }
}

impl Source for Shop {
    fn database_id(&self) -> [u8; 16] {
        [1; 16]
    }

    fn last_sequence(&self) -> u64 {
        self.0.len() as u64
    }

    fn changes_since(&self, sequence: u64, limit: usize) -> Result<Vec<Change>, String> {
        let from = usize::try_from(sequence).map_err(|error| error.to_string())?;
        let change = |record: &Record| Change {
            sequence: record.name.number,
            record: Some(Box::new(record.clone())),
        };
        Ok(self.0.iter().skip(from).take(limit).map(change).collect())
    }
}
