//! How do records, machines, units and areas stand in the contract? The domain says every field
//! once (`domain::records::fields`), under the key it has in the contract, so both directions go
//! through that list and there is no second one here.
//! Deliberately absent: bounds, which `domain::records::check` knows.

use prost::Message;
use prost_reflect::{DynamicMessage, FieldDescriptor, Kind, ReflectMessage, Value};
use tonic::Status;

use crate::domain::records::choices::Choice;
use crate::domain::records::fields::{CatalogueList, Fields, Length, Visitor};
use crate::domain::records::{
    Content, Detail, Moment, Record, RecordError, RecordKind, SubjectKind, SubjectName,
};
use crate::pb;
use crate::service::status::{invalid, refused};

/// An empty message `sward.v1.NAME`.
pub fn empty(name: &str) -> DynamicMessage {
    let full = format!("sward.v1.{name}");
    DynamicMessage::new(crate::contract().get_message_by_name(&full).expect("it is in the contract"))
}

/// A message by its fields.
pub fn dynamic(name: &str, message: &impl Message) -> DynamicMessage {
    let mut dynamic = empty(name);
    dynamic.transcode_from(message).expect("it is a message of this name");
    dynamic
}

/// A message by its type.
pub fn typed<T: Message + Default>(message: &DynamicMessage) -> T {
    message.transcode_to().expect("it is a message of this type")
}

pub fn timestamp(moment: Moment) -> prost_types::Timestamp {
    let microseconds = moment.microseconds();
    let fine = i32::try_from(microseconds.rem_euclid(1_000_000)).expect("below a million");
    prost_types::Timestamp { seconds: microseconds.div_euclid(1_000_000), nanos: fine * 1_000 }
}

pub fn moment(
    field: &str,
    time: Option<&prost_types::Timestamp>,
) -> Result<Option<Moment>, RecordError> {
    time.map(|time| Moment::from_timestamp(field, time.seconds, time.nanos)).transpose()
}

/// What a record of the contract says, whatever the server sets.
pub fn content(record: &pb::Record) -> Result<Content, Status> {
    let whole = dynamic("Record", record);
    let said = RecordKind::ALL.iter().copied().find_map(|kind| {
        let field = whole.descriptor().get_field_by_name(kind.id())?;
        whole.has_field(&field).then(|| (kind, whole.get_field(&field).into_owned()))
    });
    let Some((kind, Value::Message(detail))) = said else {
        let remedy = format!("set one of: {}", RecordKind::all_ids());
        return Err(invalid("record.detail", "empty", &remedy));
    };
    let mut content = Content::new(Detail::empty(kind));
    read(&mut content, vec![whole, detail])?;
    Ok(content)
}

pub fn record_reply(record: &Record) -> pb::Record {
    pb::Record {
        name: record.name.to_string(),
        time: Some(timestamp(record.time)),
        create_time: Some(timestamp(record.created)),
        request_id: record.request_id.to_string(),
        supersedes: record.supersedes.as_ref().map_or_else(String::new, |old| old.name.to_string()),
        superseded_by: record.superseded_by.as_ref().map_or_else(String::new, ToString::to_string),
        withdrawn: record.content.withdrawn,
        unit_type: record.unit_type.clone(),
        ..record_said(&record.content)
    }
}

/// What a record says, before it is stored.
pub fn record_said(content: &Content) -> pb::Record {
    let kind = content.kind();
    let mut whole = empty("Record");
    let field = whole.descriptor().get_field_by_name(kind.id()).expect("each kind has its field");
    let Kind::Message(of_detail) = field.kind() else { unreachable!("a detail is a message") };
    let mut detail = DynamicMessage::new(of_detail);
    let mut writer = ToWire { layers: vec![&mut whole, &mut detail] };
    content.clone().visit(&mut writer);
    whole.set_field(&field, Value::Message(detail));
    typed(&whole)
}

/// Fills fields from messages; a key is looked up in the first that has it.
pub fn read(fields: &mut impl Fields, layers: Vec<DynamicMessage>) -> Result<(), Status> {
    let mut reader = FromWire { layers, prefix: String::new(), errors: Vec::new() };
    fields.visit(&mut reader);
    if reader.errors.is_empty() { Ok(()) } else { Err(refused(&reader.errors)) }
}

/// Writes fields into a message.
pub fn write(fields: &mut impl Fields, message: &mut DynamicMessage) {
    fields.visit(&mut ToWire { layers: vec![message] });
}

struct FromWire {
    layers: Vec<DynamicMessage>,
    /// Path of the list row that is being read.
    prefix: String,
    errors: Vec<RecordError>,
}

impl FromWire {
    /// The value of a field; nothing when it was not said.
    fn said(&self, key: &str) -> Option<(FieldDescriptor, Value)> {
        let mut layers = self.layers.iter();
        let (layer, field) = layers
            .find_map(|layer| Some((layer, layer.descriptor().get_field_by_name(key)?)))
            .expect("every key of the domain is in the contract");
        let said = !field.supports_presence() || layer.has_field(&field);
        said.then(|| (field.clone(), layer.get_field(&field).into_owned()))
    }

    fn fail(&mut self, key: &str, value: impl ToString, remedy: String) {
        let field =
            if self.prefix.is_empty() { key.to_owned() } else { format!("{}.{key}", self.prefix) };
        self.errors.push(RecordError::new(field, value, remedy));
    }

    fn words(&self, key: &str) -> String {
        match self.said(key) {
            Some((_, Value::String(text))) => text,
            _ => String::new(),
        }
    }
}

impl Visitor for FromWire {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        *value = self.said(key).and_then(|(_, value)| value.as_f64());
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        *value = self.said(key).and_then(|(_, value)| value.as_u32());
    }

    fn flag(&mut self, key: &'static str, value: &mut Option<bool>) {
        *value = self.said(key).and_then(|(_, value)| value.as_bool());
    }

    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>) {
        let Some((field, Value::EnumNumber(number))) = self.said(key) else { return };
        if number == 0 {
            return;
        }
        *value = choice_of(&field, number);
        if value.is_none() {
            self.fail(key, number, format!("it must be one of: {}", C::all_ids()));
        }
    }

    fn text(&mut self, key: &'static str, _: Length, value: &mut String) {
        *value = self.words(key);
    }

    fn id(&mut self, key: &'static str, _: CatalogueList, value: &mut String) {
        *value = self.words(key);
    }

    fn subject(&mut self, key: &'static str, _: SubjectKind, value: &mut Option<SubjectName>) {
        let words = self.words(key);
        if words.is_empty() {
            return;
        }
        match SubjectName::parse(key, &words) {
            Ok(name) => *value = Some(name),
            Err(error) => self.fail(key, words, error.remedy),
        }
    }

    fn list<T: Fields + Default>(
        &mut self,
        key: &'static str,
        _: &'static str,
        value: &mut Vec<T>,
    ) {
        let Some((_, Value::List(rows))) = self.said(key) else { return };
        for (at, row) in rows.into_iter().enumerate() {
            let Value::Message(row) = row else { continue };
            let mut inner = FromWire {
                layers: vec![row],
                prefix: format!("{key}[{at}]"),
                errors: Vec::new(),
            };
            let mut one = T::default();
            one.visit(&mut inner);
            self.errors.extend(inner.errors);
            value.push(one);
        }
    }
}

/// The choice that a number of an enumeration stands for.
fn choice_of<C: Choice>(field: &FieldDescriptor, number: i32) -> Option<C> {
    let Kind::Enum(of) = field.kind() else { return None };
    let first = of.values().next()?;
    let prefix = first.name().trim_end_matches("UNSPECIFIED").to_owned();
    C::parse(of.get_value(number)?.name().strip_prefix(&prefix)?)
}

struct ToWire<'a> {
    layers: Vec<&'a mut DynamicMessage>,
}

impl ToWire<'_> {
    fn set(&mut self, key: &str, value: Option<Value>) {
        let Some(value) = value else { return };
        let mut layers = self.layers.iter_mut();
        let (layer, field) = layers
            .find_map(|layer| {
                let field = layer.descriptor().get_field_by_name(key)?;
                Some((layer, field))
            })
            .expect("every key of the domain is in the contract");
        layer.set_field(&field, value);
    }

    fn kind_of(&self, key: &str) -> Kind {
        let mut layers = self.layers.iter();
        let field = layers.find_map(|layer| layer.descriptor().get_field_by_name(key));
        field.expect("every key of the domain is in the contract").kind()
    }
}

impl Visitor for ToWire<'_> {
    fn number(&mut self, key: &'static str, value: &mut Option<f64>) {
        self.set(key, value.map(Value::F64));
    }

    fn count(&mut self, key: &'static str, value: &mut Option<u32>) {
        self.set(key, value.map(Value::U32));
    }

    fn flag(&mut self, key: &'static str, value: &mut Option<bool>) {
        self.set(key, value.map(Value::Bool));
    }

    fn choice<C: Choice>(&mut self, key: &'static str, value: &mut Option<C>) {
        let (Some(choice), Kind::Enum(of)) = (*value, self.kind_of(key)) else { return };
        let ending = choice.id().to_uppercase();
        let first = of.values().next().map(|first| first.name().to_owned()).unwrap_or_default();
        let name = format!("{}{ending}", first.trim_end_matches("UNSPECIFIED"));
        let number = of.get_value_by_name(&name).map(|value| value.number());
        self.set(key, Some(Value::EnumNumber(number.expect("every choice is in the contract"))));
    }

    fn text(&mut self, key: &'static str, _: Length, value: &mut String) {
        self.set(key, Some(Value::String(value.clone())));
    }

    fn id(&mut self, key: &'static str, _: CatalogueList, value: &mut String) {
        self.set(key, Some(Value::String(value.clone())));
    }

    fn subject(&mut self, key: &'static str, _: SubjectKind, value: &mut Option<SubjectName>) {
        self.set(key, value.as_ref().map(|name| Value::String(name.to_string())));
    }

    fn list<T: Fields + Default>(
        &mut self,
        key: &'static str,
        _: &'static str,
        value: &mut Vec<T>,
    ) {
        let Kind::Message(of_row) = self.kind_of(key) else { return };
        let mut rows = Vec::with_capacity(value.len());
        for row in value {
            let mut message = DynamicMessage::new(of_row.clone());
            row.visit(&mut ToWire { layers: vec![&mut message] });
            rows.push(Value::Message(message));
        }
        self.set(key, Some(Value::List(rows)));
    }
}
