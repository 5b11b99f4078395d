//! How does an answer read? The sentence first, then the results, the working as on a board, what
//! is worth knowing, the cautions and the sources. A stop reads as a stop: it comes before all.

use prost_reflect::{DynamicMessage, FieldDescriptor, Kind, ReflectMessage as _, Value};
use sward_core::domain::units::{self, LengthUnit, plain};

use super::contract::{self, Calculation, FIRST_COMMON_FIELD};
use super::imperial::in_units_of;
use crate::commands::Units;
use crate::page::Page;

/// The common part of every reply, by name.
struct Reply<'a>(&'a DynamicMessage);

impl Reply<'_> {
    fn text(&self, field: &str) -> String {
        text_of(self.0, field)
    }

    fn rows(&self, field: &str) -> Vec<DynamicMessage> {
        let value = self.0.get_field_by_name(field);
        let list = value.as_ref().and_then(|value| value.as_list()).unwrap_or_default();
        list.iter().filter_map(|row| row.as_message().cloned()).collect()
    }
}

fn text_of(message: &DynamicMessage, field: &str) -> String {
    let value = message.get_field_by_name(field);
    value.as_ref().and_then(|value| value.as_str()).unwrap_or_default().to_owned()
}

fn is_true(message: &DynamicMessage, field: &str) -> bool {
    message.get_field_by_name(field).and_then(|value| value.as_bool()).unwrap_or(false)
}

pub fn page(
    calculation: &Calculation,
    reply: &DynamicMessage,
    assumptions: &[String],
    shown_in: Units,
) -> Page {
    let (mut page, reply) = (Page::new(), Reply(reply));
    let cautions = reply.rows("cautions");
    let (stops, warnings): (Vec<_>, Vec<_>) =
        cautions.into_iter().partition(|caution| is_true(caution, "stops_work"));
    // Over a limit the server leads with a stop; one that only belongs to the work comes below.
    let stopped = reply.text("answer").starts_with("Stop");
    if stopped {
        page.answer("STOP: the work must not go on until this is put right.");
        say_cautions(&mut page, &stops);
        page.blank();
    }
    say_answer(&mut page, calculation, &reply, shown_in);
    for assumption in assumptions {
        page.item("  taken: ", assumption);
    }
    results(&mut page, &reply, shown_in);
    working(&mut page, &reply);
    let advisories = reply.rows("advisories");
    if !advisories.is_empty() {
        page.heading("Worth knowing");
    }
    for advice in &advisories {
        page.item("  - ", &in_units_of(&text_of(advice, "text"), shown_in));
    }
    let below: Vec<DynamicMessage> =
        if stopped { warnings } else { stops.into_iter().chain(warnings).collect() };
    if !below.is_empty() {
        page.heading("Cautions");
    }
    say_cautions(&mut page, &below);
    references(&mut page, &reply);
    page
}

fn say_cautions(page: &mut Page, cautions: &[DynamicMessage]) {
    for caution in cautions {
        let mark = if is_true(caution, "stops_work") { "  STOP " } else { "  ! " };
        let said = format!("{}: {}", text_of(caution, "title"), text_of(caution, "text"));
        page.item(mark, &said);
    }
}

fn say_answer(page: &mut Page, calculation: &Calculation, reply: &Reply<'_>, shown_in: Units) {
    let answer = reply.text("answer");
    if !answer.is_empty() {
        page.answer(&in_units_of(&answer, shown_in));
    }
    let missing = reply.rows("missing");
    if missing.is_empty() {
        return;
    }
    page.answer("More is needed before this can be worked out:");
    for input in &missing {
        let field = text_of(input, "field");
        let flag = calculation.flags.iter().find(|flag| flag.field.name() == field);
        let name = flag.map_or_else(|| contract::flag_name(&field), |flag| flag.name.clone());
        let unit = text_of(input, "unit");
        let unit = if unit.is_empty() { String::new() } else { format!(", in {unit}") };
        let label = contract::label(&field);
        let why = in_units_of(&text_of(input, "why"), shown_in);
        page.item("  ? ", &format!("What is the {label}{unit}? (--{name}) {why}"));
    }
}

fn results(page: &mut Page, reply: &Reply<'_>, shown_in: Units) {
    let fields: Vec<(FieldDescriptor, &Value)> =
        reply.0.fields().filter(|(field, _)| field.number() < FIRST_COMMON_FIELD).collect();
    if fields.is_empty() {
        return;
    }
    page.heading("Results");
    let label = |field: &FieldDescriptor| contract::label(field.name());
    let single = |field: &FieldDescriptor| !(field.is_list() && is_row(field));
    let widths = fields.iter().filter(|(field, _)| single(field));
    let width = widths.map(|(field, _)| label(field).chars().count()).max().unwrap_or(0);
    for (field, value) in fields.iter().filter(|(field, _)| single(field)) {
        let shown = match value {
            Value::List(list) => {
                let all = list.iter().map(|value| show(field, value, shown_in));
                all.collect::<Vec<_>>().join(", ")
            }
            value => show(field, value, shown_in),
        };
        page.item(&format!("  {:width$}  ", label(field)), &shown);
    }
    for (field, value) in fields.iter().filter(|(field, _)| !single(field)) {
        page.item("  ", &label(field));
        table(page, value, shown_in);
    }
}

fn is_row(field: &FieldDescriptor) -> bool {
    matches!(field.kind(), Kind::Message(_))
}

/// The rows of a result in columns, a heading above each.
fn table(page: &mut Page, value: &Value, shown_in: Units) {
    let rows: Vec<&DynamicMessage> =
        value.as_list().unwrap_or_default().iter().filter_map(Value::as_message).collect();
    let Some(first) = rows.first() else { return };
    let given = |field: &FieldDescriptor| rows.iter().any(|row| row.has_field(field));
    let fields: Vec<FieldDescriptor> = first.descriptor().fields().filter(given).collect();
    let mut lines = vec![fields.iter().map(|field| contract::label(field.name())).collect()];
    lines.extend(rows.iter().map(|row| {
        let cells = fields.iter().map(|field| show(field, &row.get_field(field), shown_in));
        cells.collect::<Vec<String>>()
    }));
    let widths: Vec<usize> = (0..fields.len())
        .map(|column| lines.iter().map(|line| line[column].chars().count()).max().unwrap_or(0))
        .collect();
    for line in &lines {
        let cells = line.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}"));
        // Already laid out: only a first part keeps its blanks.
        page.item(format!("    {}", cells.collect::<Vec<_>>().join("  ")).trim_end(), "");
    }
}

/// One value with its unit, as people read it.
fn show(field: &FieldDescriptor, value: &Value, shown_in: Units) -> String {
    match value {
        Value::F64(number) => number_of(field.name(), *number, shown_in),
        Value::I32(number) => number.to_string(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        Value::String(text) => text.clone(),
        Value::EnumNumber(number) => match field.kind() {
            Kind::Enum(of) => of.get_value(*number).map_or_else(
                || number.to_string(),
                |value| contract::choice(&of, value.name()).replace('-', " "),
            ),
            _ => number.to_string(),
        },
        other => other.to_string(),
    }
}

fn number_of(field: &str, number: f64, shown_in: Units) -> String {
    let to = |unit: &str, of: &str| units::convert(number, of, unit).unwrap_or(number);
    match (contract::unit_of(field), shown_in) {
        ("mm", _) => length(number, shown_in),
        ("m/s", Units::In) if field.starts_with("ground_speed") => {
            format!("{} mph", units::decimal(to("mph", "m/s"), 2))
        }
        ("m/s", Units::In) => format!("{} ft/min", units::decimal(to("ft/min", "m/s"), 0)),
        ("m/s", Units::Mm) if field.starts_with("ground_speed") => {
            let kmh = units::decimal(to("km/h", "m/s"), 2);
            format!("{} m/s ({kmh} km/h)", plain(number))
        }
        ("fraction", _) => format!("{} %", units::decimal(100.0 * number, 2)),
        ("", _) => plain(number),
        (unit, _) => format!("{} {unit}", plain(number)),
    }
}

/// A length, without a minus before what rounds to nothing.
fn length(length_mm: f64, shown_in: Units) -> String {
    let text = units::format_length(length_mm, match shown_in {
        Units::Mm => LengthUnit::Millimetre,
        Units::In => LengthUnit::Inch,
    });
    match text.strip_prefix('-') {
        Some(rest) if !rest.contains(|figure| matches!(figure, '1'..='9')) => rest.to_owned(),
        _ => text,
    }
}

fn working(page: &mut Page, reply: &Reply<'_>) {
    let steps = reply.rows("working");
    if steps.is_empty() {
        return;
    }
    page.heading("Working");
    for (number, step) in (1..).zip(&steps) {
        let reference = text_of(step, "reference");
        let basis = if reference.is_empty() { String::new() } else { format!(" [{reference}]") };
        page.item(&format!("  {number}. "), &format!("{}{basis}", text_of(step, "text")));
        let expression = text_of(step, "expression");
        if !expression.is_empty() {
            let value = step.get_field_by_name("value").and_then(|value| value.as_f64());
            let value = plain(value.unwrap_or_default());
            let unit = text_of(step, "unit");
            page.item("     = ", format!("{expression} = {value} {unit}").trim_end());
        }
    }
}

fn references(page: &mut Page, reply: &Reply<'_>) {
    let references = reply.rows("references");
    if !references.is_empty() {
        page.heading("Where this comes from");
    }
    for reference in &references {
        let cited = format!("[{}] {}", text_of(reference, "id"), text_of(reference, "citation"));
        page.item("  ", &cited);
    }
}
