//! Free words to typed commands: is the kind right, the calculation, and every number?
//!
//! A row with "calculation" and "inputs" is a calculation, one with "kind" and "fields" a record, one
//! with "complaint" a diagnosis, one with "why" nothing for us, one with "expect" names its kind.

use std::collections::BTreeMap;

use prost_reflect::{DynamicMessage, ReflectMessage as _};
use serde_json::Value;
use sward_core::domain::catalogue::Knowledge;
use sward_core::domain::intent::filled::{Filled, Value as Held};
use sward_core::domain::intent::kind::CommandKind;
use sward_core::domain::intent::subjects::Shop;
use sward_core::domain::intent::{Command, Interpretation, Question, interpret};
use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::fields::{CatalogueList, Fields, Length, Visitor};
use sward_core::domain::records::{Id, SubjectKind, SubjectName};

use crate::record_parts;
use crate::score_sheet::Sheet;

/// Numbers agree within half of one per cent.
const AGREE: f64 = 0.005;
/// When the words of the cases are said.
const NOW: &str = "2026-11-27T10:30:00+00:00[UTC]";

#[derive(Default)]
struct Share {
    right: usize,
    count: usize,
}

impl Share {
    fn add(&mut self, right: bool) {
        self.right += usize::from(right);
        self.count += 1;
    }
}

pub fn score(knowledge: &Knowledge, rows: &[Value], show: bool, sheet: &mut Sheet) {
    let mut shares: BTreeMap<&'static str, Share> = BTreeMap::new();
    let mut took = std::time::Duration::ZERO;
    let mut asked = 0_u32;
    for row in rows {
        let text = |key: &str| row.get(key).and_then(Value::as_str);
        let Some(words) = text("utterance").or_else(|| text("complaint")) else { continue };
        let Some(expected) = expected(row) else { continue };
        let start = std::time::Instant::now();
        let answer = ask(knowledge, words);
        took += start.elapsed();
        asked += 1;
        let kind = expected.contains(&answer.kind);
        let mut wrong: Vec<String> = Vec::new();
        if !kind {
            wrong.push(format!("kind {:?}, wanted {expected:?}", answer.kind));
        }
        shares.entry(name_of(row)).or_default().add(kind);
        if let Some(part) = text("asked") {
            let right = kind && answer.topic == part;
            shares.entry("what is asked of the records").or_default().add(right);
            if kind && !right {
                wrong.push(format!("asks \"{}\", wanted \"{part}\"", answer.topic));
            }
        }
        if text("calculation").is_some() {
            calculation(row, &answer, &mut shares, &mut wrong);
        } else if text("kind").is_some() {
            record(row, &answer, &mut shares, &mut wrong);
        }
        if show && !wrong.is_empty() {
            let id = text("id").unwrap_or("?");
            println!("INTENT {id} {}: {words}\n    {}", wrong.join("; "), answer.understood);
        }
    }
    if asked == 0 {
        return;
    }
    sheet.number("words to commands, milliseconds each", took.as_secs_f64() * 1e3 / f64::from(asked));
    for (name, share) in &shares {
        sheet.share(&format!("  {name}"), share.right, share.count);
    }
}

fn ask(knowledge: &Knowledge, words: &str) -> Interpretation {
    let question = Question {
        text: words,
        now: NOW.parse().expect("a time"),
        site: Id::home(),
        shop: &Shop::default(),
        equipment: None,
        previous: None,
        said_in: Vec::new(),
        case: None,
        asked: None,
    };
    interpret(knowledge, &question)
}

/// The kinds that are right for a row.
fn expected(row: &Value) -> Option<Vec<CommandKind>> {
    use CommandKind::*;
    let text = |key: &str| row.get(key).and_then(Value::as_str);
    if let Some(kind) = text("expect") {
        return Some(match kind {
            "diagnose" => vec![Diagnose],
            "compute" => vec![Compute],
            "record" => vec![Record],
            "search" => vec![Search],
            "procedure" => vec![Procedure],
            "catalogue" => vec![Catalogue],
            "known" => vec![Search, Procedure, Catalogue],
            "refused" => vec![Refused],
            _ => vec![OutOfScope, Unclear],
        });
    }
    if row.get("calculation").is_some() && text("utterance").is_some() {
        return Some(vec![Compute]);
    }
    if row.get("kind").is_some() && row.get("fields").is_some() {
        return Some(vec![Record]);
    }
    if text("complaint").is_some() {
        return Some(vec![Diagnose]);
    }
    match text("why")? {
        "unsafe_request" => Some(vec![Refused]),
        "too_vague" => Some(vec![Unclear, OutOfScope, Diagnose]),
        _ => Some(vec![OutOfScope, Unclear]),
    }
}

fn name_of(row: &Value) -> &'static str {
    if row.get("expect").is_some() {
        "kind, of the routing cases"
    } else if row.get("calculation").is_some() {
        "kind, of calculations"
    } else if row.get("fields").is_some() {
        "kind, of records"
    } else if row.get("complaint").is_some() {
        "kind, of complaints"
    } else {
        "kind, of what is outside"
    }
}

fn close(got: f64, wanted: f64) -> bool {
    (got - wanted).abs() <= AGREE * wanted.abs().max(1e-9)
}

fn calculation(
    row: &Value,
    answer: &Interpretation,
    shares: &mut BTreeMap<&'static str, Share>,
    wrong: &mut Vec<String>,
) {
    let wanted = row["calculation"].as_str().unwrap_or_default();
    let (got, filled, solve_for) = match &answer.command {
        Command::Compute { calculation, filled, solve_for } => {
            (*calculation, filled.clone(), solve_for.clone())
        }
        _ => ("", Filled::default(), String::new()),
    };
    let same = got == wanted;
    shares.entry("calculation").or_default().add(same);
    let mut held = Vec::new();
    flatten(&filled, "", &mut held);
    let mut numbers = true;
    for (field, value) in row["inputs"].as_object().into_iter().flatten() {
        let mut list = Vec::new();
        numbers_in(value, &mut list);
        for number in list {
            let found = same && held.iter().any(|(name, got)| name == field && close(*got, number));
            shares.entry("number of a calculation").or_default().add(found);
            numbers &= found;
            if !found {
                wrong.push(format!("{wanted}.{field} {number}"));
            }
        }
    }
    let extra: Vec<&str> = held
        .iter()
        .map(|(name, _)| name.as_str())
        .filter(|name| row["inputs"].get(*name).is_none() && *name != "mowing_interval_days")
        .collect();
    if !extra.is_empty() {
        wrong.push(format!("not asked: {}", extra.join(", ")));
    }
    let whole = same && numbers && extra.is_empty();
    shares.entry("whole calculation").or_default().add(whole);
    let asked = row["solve_for"].as_str() == Some(solve_for.as_str());
    shares.entry("what a calculation asks for").or_default().add(asked);
    shares.entry("whole calculation, and what it asks for").or_default().add(whole && asked);
    if !asked {
        wrong.push(format!("asks for {solve_for}, wanted {}", row["solve_for"]));
    }
    if same && !fits_the_contract(got, &filled) {
        wrong.push("a field that the contract does not have".to_owned());
    }
}

/// Whether every field of a command is in its request message.
fn fits_the_contract(calculation: &str, filled: &Filled) -> bool {
    let command = sward_core::contract().get_message_by_name("sward.v1.Command").expect("it is in the contract");
    let field = command.get_field_by_name(calculation).expect("each has its field");
    let kind = field.kind();
    let request = DynamicMessage::new(kind.as_message().expect("a message").clone());
    filled.0.iter().all(|(name, _)| request.descriptor().get_field_by_name(name).is_some())
}

fn flatten(filled: &Filled, under: &str, out: &mut Vec<(String, f64)>) {
    for (name, value) in &filled.0 {
        let name = if under.is_empty() { name.clone() } else { under.to_owned() };
        match value {
            Held::Number(number) => out.push((name, *number)),
            Held::Numbers(list) => out.extend(list.iter().map(|number| (name.clone(), *number))),
            Held::Rows(rows) => rows.iter().for_each(|row| flatten(row, &name, out)),
            Held::Text(_) => {}
        }
    }
}

fn numbers_in(value: &Value, out: &mut Vec<f64>) {
    match value {
        Value::Number(number) => out.extend(number.as_f64()),
        Value::Array(list) => list.iter().for_each(|value| numbers_in(value, out)),
        Value::Object(map) => map.values().for_each(|value| numbers_in(value, out)),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

fn record(
    row: &Value,
    answer: &Interpretation,
    shares: &mut BTreeMap<&'static str, Share>,
    wrong: &mut Vec<String>,
) {
    let wanted = row["kind"].as_str().unwrap_or_default();
    let mut held = Numbers(Vec::new());
    let mut got = "";
    if let Command::Record { records, .. } = &answer.command {
        for (_, content) in records {
            got = content.kind().id();
            content.clone().visit(&mut held);
            held.0.extend(record_parts::noted(&content.notes));
        }
    }
    shares.entry("kind of record").or_default().add(got == wanted);
    if got != wanted {
        wrong.push(format!("record {got}, wanted {wanted}"));
    }
    let mut numbers = Vec::new();
    for (field, value) in row["fields"].as_object().into_iter().flatten() {
        by_unit(field, value, &mut numbers);
    }
    let (mut all, mut placed) = (true, true);
    for (field, number) in numbers {
        let same = |(name, got): &&(String, f64)| close(base(name, *got).abs(), number.abs());
        let found: Vec<&str> = held.0.iter().filter(same).map(|(name, _)| name.as_str()).collect();
        shares.entry("number of a record").or_default().add(!found.is_empty());
        all &= !found.is_empty();
        let own = record_parts::fields_of(wanted, stem(&field));
        let there = found.iter().any(|name| own.is_empty() || own.contains(name));
        placed &= there;
        if !there {
            wrong.push(format!("{field} {number} in {found:?}"));
        }
    }
    shares.entry("whole record").or_default().add(got == wanted && all);
    let mut every = got == wanted && placed;
    for (part, fault) in record_parts::parts(row, answer, &NOW.parse().expect("a time")) {
        shares.entry(part).or_default().add(fault.is_none());
        every &= fault.is_none();
        wrong.extend(fault);
    }
    let name = "whole record with its fields, machine, unit, day and who";
    shares.entry(name).or_default().add(every);
}

/// The name of a field without its unit.
fn stem(field: &str) -> &str {
    field.rsplit_once('_').map_or(field, |(stem, unit)| {
        if matches!(unit, "count" | "turns") { field } else { stem }
    })
}

/// The numbers of an expected field in base units; an object holds one for each unit or machine.
fn by_unit(field: &str, value: &Value, out: &mut Vec<(String, f64)>) {
    match value {
        Value::Number(number) => {
            out.extend(number.as_f64().map(|number| (field.to_owned(), base(field, number))));
        }
        Value::Array(list) => list.iter().for_each(|value| by_unit(field, value, out)),
        Value::Object(map) => map.values().for_each(|value| by_unit(field, value, out)),
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

/// A number in millimetres, minutes, kilopascals or turns, by the ending of its field.
fn base(field: &str, value: f64) -> f64 {
    const ENDINGS: &[(&str, f64)] = &[("_in", 25.4), ("_thou", 0.0254), ("_h", 60.0),
        ("_psi", 6.894_757), ("_bar", 100.0), ("flats", 1.0 / 6.0)];
    let known = ENDINGS.iter().find(|(ending, _)| field.ends_with(ending));
    known.map_or(value, |(_, factor)| value * factor)
}

/// Every number of a record with its key.
struct Numbers(Vec<(String, f64)>);

impl Visitor for Numbers {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        self.0.extend(value.map(|value| (key.to_owned(), value)));
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        self.0.extend(value.map(|value| (key.to_owned(), f64::from(value))));
    }

    fn flag(&mut self, _: &'static str, _: &mut Option<bool>) {}
    fn choice<C: Choice>(&mut self, _: &'static str, _: &mut Option<C>) {}
    fn text(&mut self, _: &'static str, _: Length, _: &mut String) {}
    fn id(&mut self, _: &'static str, _: CatalogueList, _: &mut String) {}
    fn subject(&mut self, _: &'static str, _: SubjectKind, _: &mut Option<SubjectName>) {}

    fn list<T: Fields + Default>(
        &mut self,
        _: &'static str,
        _: &'static str,
        value: &mut Vec<T>,
    ) {
        value.iter_mut().for_each(|row| row.visit(self));
    }
}
