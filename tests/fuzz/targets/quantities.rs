//! Quantities: a value typed beside its name, and numbers inside sentences. What is read is a
//! number that can be written and read again; what is not read says what to write.

use prost_reflect::Kind as FieldKind;
use sward_core::domain::language::quantities::quantities;
use sward_core::domain::language::text::tokens;
use sward_core::domain::typed_quantity::{parse_field, parse_quantity};
use sward_core::domain::units::{UNITS, Unit};

use super::super::dice::hash;
use super::{Target, must};

/// Sound values; the first byte of an input chooses the field.
const VALUES: &[&str] = &[
    "3.8 mph", "5/32\"", "12 thou", "5 mil", ".125", "1 1/8 in", "1-1/8", "four and a half",
    "a quarter of an inch", "half an inch", "2,200 rpm", "1 500", "12.5mm", "90 deg", "0.001 in",
    "thirty second", "6 km/h", "40 ft/min", "3\u{bd} in", "5 ft 6 in", "1/2 turn", "75 %", "30 psi",
    "1e3", "-0.5 mm", "two hundred", "22 1/2 degrees", "14.7 lb", "1 h 30 min", "3 m 20", "6 feet",
    "set at 3.5, cuts at .140 in, wants 5/32; two turns of the screw and half an hour",
];

pub struct Quantities {
    fields: Vec<String>,
}

impl Quantities {
    pub fn new() -> Quantities {
        let mut fields: Vec<String> = sward_core::contract()
            .all_messages()
            .filter(|message| message.full_name().starts_with("sward."))
            .flat_map(|message| message.fields().collect::<Vec<_>>())
            .filter(|field| field.kind() == FieldKind::Double)
            .map(|field| field.name().to_owned())
            .collect();
        fields.sort();
        fields.dedup();
        Quantities { fields }
    }

    fn typed(&self, field: &str, text: &str) -> Result<u64, String> {
        let own = Unit::of_field(field);
        match parse_field(field, text) {
            Ok(parsed) => {
                let value = parsed.value;
                must(value.is_finite(), || format!("{field} is read as {value}"))?;
                // What is told to a person, typed again, is the same.
                let again = parse_field(field, &format!("{value} {}", own.symbol));
                let same = again.as_ref().is_ok_and(|again| {
                    (again.value - value).abs() <= 1e-9 * value.abs().max(1e-300)
                });
                must(same, || format!("{value} {} of {field} read again: {again:?}", own.symbol))?;
                Ok(hash(parsed.unit.as_bytes()) ^ u64::from(parsed.assumption.is_some()))
            }
            Err(error) => {
                must(!error.remedy.is_empty(), || format!("{error:?} says no remedy"))?;
                let known = error.choices.iter().all(|unit| Unit::named(unit).is_some());
                must(known, || format!("{:?} are no units", error.choices))?;
                Ok(hash(error.remedy.chars().filter(|c| !c.is_ascii_digit()).collect::<String>().as_bytes()))
            }
        }
    }
}

/// Numbers inside a sentence stand in it, one after the other.
fn spoken(text: &str) -> Result<u64, String> {
    let tokens = tokens(text);
    let mut from = 0;
    for token in &tokens {
        let span = text.get(token.start..token.end);
        must(span.is_some() && token.end >= token.start, || format!("{token:?} is nowhere"))?;
    }
    let found = quantities(&tokens);
    for quantity in &found {
        let placed = from <= quantity.first && quantity.first <= quantity.last;
        must(placed && quantity.last < tokens.len(), || format!("{quantity:?} is nowhere"))?;
        must(quantity.value.is_finite(), || format!("{quantity:?} is no number"))?;
        from = quantity.last + 1;
    }
    let units: String = found.iter().filter_map(|quantity| quantity.unit).collect();
    Ok(hash(units.as_bytes()))
}

impl Target for Quantities {
    fn name(&self) -> &'static str {
        "quantities"
    }

    fn corpus(&self) -> Vec<Vec<u8>> {
        let fields = 0..self.fields.len();
        let value = |at: usize| VALUES[at % VALUES.len()];
        fields.map(|at| [&[at as u8], value(at).as_bytes()].concat()).collect()
    }

    fn words(&self) -> Vec<Vec<u8>> {
        UNITS.iter().map(|unit| unit.symbol.as_bytes().to_vec()).collect()
    }

    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let (first, rest) = input.split_first().unwrap_or((&0, &[]));
        let text = String::from_utf8_lossy(rest);
        let field = &self.fields[usize::from(*first) % self.fields.len()];
        let kind = UNITS[usize::from(*first) % UNITS.len()].kind;
        let sort = self.typed(field, &text)?;
        if let Ok(parsed) = parse_quantity(&text, kind) {
            must(parsed.value.is_finite(), || format!("{kind:?} is read as {}", parsed.value))?;
        }
        Ok(sort ^ spoken(&text)?.rotate_left(1))
    }
}
