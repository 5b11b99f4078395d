//! The contract and the program know the same fields of every kind of record, under the same keys.

use std::collections::BTreeMap;
use std::path::Path;

use sward_core::domain::records::choices::Choice;
use sward_core::domain::records::fields::{CatalogueList, Fields, Length, Visitor};
use sward_core::domain::records::{Detail, RecordKind, SubjectKind, SubjectName};

/// Message of the contract for each kind, and for each list by its key.
const MESSAGES: [(&str, &str); 12] = [
    ("sharpening", "SharpeningDetail"),
    ("adjustment", "AdjustmentDetail"),
    ("part_replaced", "PartReplacedDetail"),
    ("height_reading", "HeightReadingDetail"),
    ("inspection", "InspectionDetail"),
    ("fault_fixed", "FaultFixedDetail"),
    ("hours", "HoursDetail"),
    ("parts", "PartReplacement"),
    ("readings", "HeightPoint"),
    ("observations", "Observation"),
    ("items", "InspectionItem"),
    ("since", "HoursSince"),
];

/// Keys of each message.
type Keys = BTreeMap<&'static str, Vec<String>>;

fn message(key: &str) -> &'static str {
    MESSAGES.iter().find(|(known, _)| *known == key).expect("every list has its message").1
}

/// Gathers keys instead of values.
struct Gather {
    message: &'static str,
    keys: Keys,
}

impl Gather {
    fn add(&mut self, key: &str) {
        self.keys.entry(self.message).or_default().push(key.to_owned());
    }
}

impl Visitor for Gather {
    fn number(&mut self, key: &'static str, _: &mut Option<f64>) {
        self.add(key);
    }
    fn count(&mut self, key: &'static str, _: &mut Option<u32>) {
        self.add(key);
    }
    fn flag(&mut self, key: &'static str, _: &mut Option<bool>) {
        self.add(key);
    }
    fn choice<C: Choice>(&mut self, key: &'static str, _: &mut Option<C>) {
        self.add(key);
    }
    fn text(&mut self, key: &'static str, _: Length, _: &mut String) {
        self.add(key);
    }
    fn id(&mut self, key: &'static str, _: CatalogueList, _: &mut String) {
        self.add(key);
    }
    fn subject(&mut self, key: &'static str, _: SubjectKind, _: &mut Option<SubjectName>) {
        self.add(key);
    }
    fn list<T: Fields + Default>(&mut self, key: &'static str, _: &'static str, _: &mut Vec<T>) {
        self.add(key);
        let outer = std::mem::replace(&mut self.message, message(key));
        self.keys.remove(self.message);
        T::default().visit(self);
        self.message = outer;
    }
}

/// The fields of each message of a proto file, in the order of their numbers there.
fn proto_fields(text: &str) -> BTreeMap<String, Vec<String>> {
    let mut messages: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut name = String::new();
    for line in text.lines().map(str::trim) {
        if let Some(rest) = line.strip_prefix("message ") {
            name = rest.trim_end_matches(['{', '}', ' ']).to_owned();
        } else if let Some((field, _)) = line.split_once(" = ")
            && !line.starts_with("//")
        {
            let field = field.rsplit(' ').next().expect("a word").to_owned();
            messages.entry(name.clone()).or_default().push(field);
        }
    }
    messages
}

#[test]
fn every_field_stands_in_the_contract_and_every_field_there_is_kept() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("proto/sward/v1");
    let mut proto = BTreeMap::new();
    for file in ["records.proto", "diagnosis.proto"] {
        let text = std::fs::read_to_string(folder.join(file)).expect("the contract");
        proto.extend(proto_fields(&text));
    }
    let mut gather = Gather { message: "", keys: Keys::new() };
    for kind in RecordKind::ALL {
        gather.message = message(kind.id());
        Detail::empty(*kind).visit(&mut gather);
    }
    assert_eq!(gather.keys.len(), MESSAGES.len());
    for (message, keys) in &gather.keys {
        let (mut here, mut there) = (keys.clone(), proto[*message].clone());
        here.sort();
        there.sort();
        assert_eq!(here, there, "{message}");
    }
}
