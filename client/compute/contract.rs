//! Which calculations are there, and which flags does each take? Read from the descriptors of the
//! contract and its comments, so that a calculation added there can be asked here at once.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use prost_reflect::{
    EnumDescriptor, FieldDescriptor, FileDescriptor, Kind, MessageDescriptor, MethodDescriptor,
};
use sward_core::domain::units::{self, Unit};

/// Endings of field names and the unit each stands for, longer ones before those they end with.
const ENDINGS: &[(&str, &str)] = &[
    ("_mm_per_day", "mm/day"),
    ("_mm_per_h", "mm/h"),
    ("_mm_per_s", "mm/s"),
    ("_ha_per_h", "ha/h"),
    ("_g_mm", "g mm"),
    ("_mm", "mm"),
    ("_mps", "m/s"),
    ("_rpm", "rpm"),
    ("_hz", "Hz"),
    ("_deg", "deg"),
    ("_days", "days"),
    ("_kg", "kg"),
    ("_kpa", "kPa"),
    ("_ha", "ha"),
    ("_h", "h"),
    ("_n", "N"),
    ("_g", "g"),
    ("_fraction", "fraction"),
];

/// Shorter names of flags, as people say them.
const ALIASES: &[(&str, &str)] = &[
    ("blade_count", "blades"),
    ("clip_spacing_mm", "clip"),
    ("height_of_cut_mm", "height"),
    ("target_effective_height_mm", "target"),
    ("target_height_mm", "target"),
    ("current_height_mm", "current"),
    ("thread_pitch_mm", "pitch"),
    ("turns_count", "turns"),
    ("gap_mm", "gaps"),
    ("unit_heights_mm", "heights"),
    ("tip_heights_mm", "tips"),
    ("time_available_days", "days"),
    ("diameter_readings_mm", "diameters"),
    ("reading_times_h", "hours"),
    ("grinding_times_h", "grindings"),
    ("minimum_diameter_mm", "minimum"),
    ("relief_angle_deg", "angle"),
    ("passes_count", "passes"),
    ("points_per_blade_count", "points"),
    ("target_surface_share_fraction", "target-share"),
    ("working_width_mm", "width"),
    ("field_efficiency_fraction", "efficiency"),
    ("purchase_price", "price"),
    ("machine_time_h", "hours"),
    ("failure_times_h", "failures"),
    ("still_running_times_h", "still-running"),
    ("repair_times_h", "repairs"),
    ("event_count", "events"),
];

/// Fields from this number on are the words that every reply carries, not its results.
pub const FIRST_COMMON_FIELD: u32 = 50;

/// One calculation.
pub struct Calculation {
    /// As it is typed: `clip-spacing`.
    pub name: String,
    pub about: String,
    pub method: MethodDescriptor,
    pub flags: Vec<Flag>,
}

/// One input of it.
pub struct Flag {
    /// As it is typed, without the dashes.
    pub name: String,
    pub alias: Option<&'static str>,
    pub help: String,
    /// What kind of value is to be typed.
    pub value_name: String,
    /// The words it can be, when it is one of a few.
    pub choices: Vec<String>,
    pub field: FieldDescriptor,
}

/// All of them, in the order of the contract.
pub fn calculations() -> &'static [Calculation] {
    static ALL: OnceLock<Vec<Calculation>> = OnceLock::new();
    ALL.get_or_init(|| {
        let name = "sward.v1.SettingsService";
        let service = sward_core::contract().get_service_by_name(name).expect("it is in the contract");
        let comments = comments_of(&service.parent_file());
        service.methods().map(|method| calculation(method, &comments)).collect()
    })
}

fn calculation(method: MethodDescriptor, comments: &BTreeMap<Vec<i32>, String>) -> Calculation {
    Calculation {
        name: kebab(method.name()),
        about: comments.get(method.path()).cloned().unwrap_or_default(),
        flags: flags(&method.input(), comments),
        method,
    }
}

/// Every comment of a file of the contract, by its place there.
fn comments_of(file: &FileDescriptor) -> BTreeMap<Vec<i32>, String> {
    let info = file.file_descriptor_proto().source_code_info.iter();
    info.flat_map(|info| &info.location)
        .map(|place| (place.path.clone(), one_line(place.leading_comments())))
        .collect()
}

/// The fields of any message of the contract as flags.
pub fn flags_of(message: &MessageDescriptor) -> Vec<Flag> {
    flags(message, &comments_of(&message.parent_file()))
}

fn flags(message: &MessageDescriptor, comments: &BTreeMap<Vec<i32>, String>) -> Vec<Flag> {
    let flags = message.fields().map(|field| Flag {
        name: flag_name(field.name()),
        alias: ALIASES.iter().find(|(of, _)| *of == field.name()).map(|&(_, alias)| alias),
        help: comments.get(field.path()).cloned().unwrap_or_default(),
        value_name: value_name(&field),
        choices: match field.kind() {
            Kind::Enum(of) => choices(&of),
            _ => Vec::new(),
        },
        field,
    });
    flags.collect()
}

fn one_line(comment: &str) -> String {
    let line = comment.split_whitespace().collect::<Vec<_>>().join(" ");
    line.trim_end_matches('.').to_owned()
}

/// `ClipSpacing` as it is typed.
fn kebab(camel: &str) -> String {
    let mut out = String::new();
    for ch in camel.chars() {
        if ch.is_ascii_uppercase() && !out.is_empty() {
            out.push('-');
        }
        out.push(ch.to_ascii_lowercase());
    }
    out
}

/// A field's name without its unit, as a flag.
pub fn flag_name(field: &str) -> String {
    without_unit(field).replace('_', "-")
}

/// A field's name without its unit, in words.
pub fn label(field: &str) -> String {
    without_unit(field).replace('_', " ")
}

pub fn without_unit(field: &str) -> &str {
    ENDINGS.iter().find_map(|(ending, _)| field.strip_suffix(ending)).unwrap_or(field)
}

/// The unit that a field's name ends in; empty for a pure number or a word.
pub fn unit_of(field: &str) -> &'static str {
    ENDINGS.iter().find(|(ending, _)| field.ends_with(ending)).map_or("", |(_, unit)| unit)
}

/// A value of an enumeration as it is typed: its name without that of the enumeration.
pub fn choice(of: &EnumDescriptor, value: &str) -> String {
    let first = of.values().next().map(|first| first.name().to_owned()).unwrap_or_default();
    let prefix = first.trim_end_matches("UNSPECIFIED");
    value.strip_prefix(prefix).unwrap_or(value).to_lowercase().replace('_', "-")
}

/// The values of an enumeration that can be typed.
pub fn choices(of: &EnumDescriptor) -> Vec<String> {
    of.values().skip(1).map(|value| choice(of, value.name())).collect()
}

/// The field of a row by its name as typed, with or without its unit.
pub fn field_of(row: &MessageDescriptor, typed: &str) -> Option<FieldDescriptor> {
    let typed = typed.trim().replace('-', "_");
    row.fields().find(|field| field.name() == typed || without_unit(field.name()) == typed)
}

fn value_name(field: &FieldDescriptor) -> String {
    let kind = match field.kind() {
        Kind::Double => match Unit::of_field(field.name()).kind {
            units::Kind::Number => "NUMBER".to_owned(),
            units::Kind::Turn => "TURNS".to_owned(),
            units::Kind::Rotation => "RPM".to_owned(),
            kind => format!("{kind:?}").to_uppercase(),
        },
        Kind::Int32 | Kind::Uint32 => "NUMBER".to_owned(),
        Kind::Message(_) => "ROWS".to_owned(),
        Kind::Enum(_) => "KIND".to_owned(),
        _ if field.name().ends_with("_date") => "YYYY-MM-DD".to_owned(),
        _ => "NAME".to_owned(),
    };
    if field.is_list() { format!("{kind},...") } else { kind }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_flag_of_a_calculation_has_a_name_of_its_own_and_a_help_text() {
        assert_eq!(calculations().len(), 20);
        for calculation in calculations() {
            assert!(!calculation.about.is_empty(), "{}", calculation.name);
            let names = calculation.flags.iter().map(|flag| flag.name.as_str());
            let aliases = calculation.flags.iter().filter_map(|flag| flag.alias);
            let mut all: Vec<&str> = names.chain(aliases).collect();
            let count = all.len();
            all.sort_unstable();
            all.dedup();
            assert_eq!(all.len(), count, "{}", calculation.name);
            for flag in &calculation.flags {
                assert!(!flag.help.is_empty(), "{} --{}", calculation.name, flag.name);
            }
        }
    }

    #[test]
    fn every_alias_is_of_a_field() {
        for (field, alias) in ALIASES {
            let mut flags = calculations().iter().flat_map(|calculation| &calculation.flags);
            assert!(flags.any(|flag| flag.field.name() == *field), "{alias}");
        }
    }
}
