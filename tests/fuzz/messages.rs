//! Which messages can be made by chance from nothing but the contract? Of any kind, each field set
//! or not, with values that are likely, at a bound, or wrong.

use prost_reflect::{
    Cardinality, DynamicMessage, FieldDescriptor, Kind, MapKey, MessageDescriptor, Value,
};
use sward_core::domain::catalogue::Knowledge;

use super::dice::Dice;

/// Messages inside messages are made to this depth.
const DEPTH_MAX: usize = 5;

const NUMBERS: &[f64] = &[
    0.0, -0.0, 1.0, -1.0, 0.5, 2.0, 3.0, 3.2, 5.0, 8.0, 11.0, 12.7, 25.4, 50.0, 90.0, 100.0, 125.0,
    180.0, 200.0, 500.0, 1_000.0, 2_000.0, 0.001, 0.05, 1e-9, 1e-300, 5e-324, 1e6, 1e12, 1e308,
    f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE,
];

const TEXTS: &[&str] = &[
    "", " ", "sites/home", "sites/home/machines/m1", "sites/home/machines/m1/units/1",
    "sites/home/machines/m1/records/r1", "sites/home/areas/a1", "sites/home/records/r1",
    "sites/other", "sites//", "m1", "1", "a1", "Triplex", "triplex", "not-an-id-\u{2014}",
    "7c9e6679-7425-40de-944b-e07fc1f90ae7", "00000000-0000-0000-0000-000000000000", "time desc",
    "time", "display_name", "notes", "*", "other", "thin uncut line, same place every pass",
    "ragged at one end; not noisy", "streaks after topdressing", "5 thou", "\u{0}", "\u{1f600}",
    "Europe/London", "+01:00", "2026-03-14", "AAAA", "kind,time,machine", "{\"kind\":\"hours\"}",
    "kind", "hours", "machine", "machine_hours_h", "1412",
];

/// Makes messages; knows the ids of the catalogue.
pub struct Maker {
    pub texts: Vec<String>,
}

impl Maker {
    pub fn new(knowledge: &Knowledge) -> Maker {
        let mut texts: Vec<String> = TEXTS.iter().map(|&text| text.to_owned()).collect();
        texts.extend(knowledge.findings.iter().take(20).map(|row| row.id.clone()));
        texts.extend(knowledge.causes.iter().take(20).map(|row| row.id.clone()));
        texts.extend(knowledge.procedures.iter().take(10).map(|row| row.id.clone()));
        texts.extend(knowledge.references.iter().take(4).map(|row| row.id.clone()));
        Maker { texts }
    }

    pub fn message(&self, of: &MessageDescriptor, dice: &mut Dice) -> DynamicMessage {
        self.at_depth(of, 0, dice)
    }

    fn at_depth(&self, of: &MessageDescriptor, depth: usize, dice: &mut Dice) -> DynamicMessage {
        let mut message = DynamicMessage::new(of.clone());
        // Some messages are full, some hold hardly anything.
        let one_in = 1 + dice.below(3);
        for field in of.fields() {
            if dice.once_in(one_in) && (depth < DEPTH_MAX || !holds_message(&field)) {
                message.set_field(&field, self.field(&field, depth, dice));
            }
        }
        message
    }

    fn field(&self, field: &FieldDescriptor, depth: usize, dice: &mut Dice) -> Value {
        let many = if dice.once_in(60) { dice.below(250) } else { dice.below(5) };
        if field.is_map() {
            let value = match field.kind() {
                Kind::Message(entry) => entry.map_entry_value_field(),
                _ => field.clone(),
            };
            let entry = |dice: &mut Dice| {
                (MapKey::String(self.text(dice)), self.value(&value, depth + 1, dice))
            };
            return Value::Map((0..many).map(|_| entry(dice)).collect());
        }
        if field.cardinality() == Cardinality::Repeated {
            return Value::List((0..many).map(|_| self.value(field, depth + 1, dice)).collect());
        }
        self.value(field, depth + 1, dice)
    }

    fn value(&self, field: &FieldDescriptor, depth: usize, dice: &mut Dice) -> Value {
        let whole = |dice: &mut Dice| match dice.below(8) {
            0 => i64::MAX,
            1 => i64::MIN,
            2 => -1,
            3 => dice.draw() as i64,
            4 => 1_700_000_000 + dice.below(90_000_000) as i64,
            _ => dice.below(20) as i64,
        };
        match field.kind() {
            Kind::Double => Value::F64(number(dice)),
            Kind::Float => Value::F32(number(dice) as f32),
            Kind::Int32 | Kind::Sint32 | Kind::Sfixed32 => Value::I32(whole(dice) as i32),
            Kind::Int64 | Kind::Sint64 | Kind::Sfixed64 => Value::I64(whole(dice)),
            Kind::Uint32 | Kind::Fixed32 => Value::U32(whole(dice) as u32),
            Kind::Uint64 | Kind::Fixed64 => Value::U64(whole(dice) as u64),
            Kind::Bool => Value::Bool(dice.once_in(2)),
            Kind::String => Value::String(self.text(dice)),
            Kind::Bytes => Value::Bytes(self.text(dice).into_bytes().into()),
            Kind::Enum(list) => Value::EnumNumber(match dice.below(12) {
                0 => whole(dice) as i32,
                _ => dice.below(list.values().len() + 1) as i32,
            }),
            Kind::Message(inner) => Value::Message(self.at_depth(&inner, depth, dice)),
        }
    }

    fn text(&self, dice: &mut Dice) -> String {
        match dice.below(12) {
            0 => format!("{} {}", dice.one_of(&self.texts), dice.one_of(&self.texts)),
            1 if dice.once_in(10) => dice.one_of(&self.texts).repeat(dice.below(400)),
            2 => uuid::Uuid::from_u64_pair(dice.draw(), dice.draw()).to_string(),
            _ => dice.one_of(&self.texts).clone(),
        }
    }
}

fn holds_message(field: &FieldDescriptor) -> bool {
    matches!(field.kind(), Kind::Message(_))
}

fn number(dice: &mut Dice) -> f64 {
    match dice.below(4) {
        0 => *dice.one_of(NUMBERS),
        1 => f64::from_bits(dice.draw()),
        2 => dice.below(400) as f64,
        _ => dice.below(40_000) as f64 / 100.0,
    }
}
