//! What are machines, units, areas and records called? Resource names in their text form, such as
//! `sites/home/machines/greens-triplex/units/1`.
//! Deliberately absent: whether the thing named exists.

use std::fmt;

use super::RecordError;

/// The site of a single shop, which nobody has to type.
pub const HOME: &str = "home";
/// Longest segment of a name.
pub const ID_CHARACTERS_MAX: usize = 63;

const ID_REMEDY: &str = "use 1 to 63 lower-case letters, digits and hyphens, starting and ending \
    with a letter or digit";
const SUBJECT_REMEDY: &str = "write sites/S, sites/S/machines/M, sites/S/machines/M/units/U or \
    sites/S/areas/A";
const RECORD_REMEDY: &str = "write the name of a machine, unit, area or site, then /records/r and \
    the number";
/// One segment of a name.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Id(String);

impl Id {
    pub fn parse(field: &str, text: &str) -> Result<Id, RecordError> {
        let allowed = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let sound = !text.is_empty()
            && text.len() <= ID_CHARACTERS_MAX
            && text.chars().all(allowed)
            && !text.starts_with('-')
            && !text.ends_with('-');
        if sound { Ok(Id(text.to_owned())) } else { Err(RecordError::new(field, text, ID_REMEDY)) }
    }

    /// An id made of what people call a thing: "No. 2 walker" becomes `no-2-walker`.
    pub fn from_words(field: &str, words: &str) -> Result<Id, RecordError> {
        let lower = words.to_lowercase();
        let parts: Vec<&str> =
            lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|p| !p.is_empty()).collect();
        let mut id = parts.join("-");
        id.truncate(ID_CHARACTERS_MAX);
        Id::parse(field, id.trim_end_matches('-')).map_err(|_| {
            RecordError::new(
                field,
                words,
                "give an id of its own: no letter or \
                digit in it can stand in an id",
            )
        })
    }

    pub fn home() -> Id {
        Id(HOME.to_owned())
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a record can be about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SubjectKind {
    Site,
    Machine,
    Unit,
    Area,
}

impl SubjectKind {
    pub const ALL: [SubjectKind; 4] =
        [SubjectKind::Site, SubjectKind::Machine, SubjectKind::Unit, SubjectKind::Area];

    pub const fn word(self) -> &'static str {
        match self {
            SubjectKind::Site => "site",
            SubjectKind::Machine => "machine",
            SubjectKind::Unit => "unit",
            SubjectKind::Area => "area",
        }
    }
}

/// Name of a site, machine, unit or area.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SubjectName {
    Site { site: Id },
    Machine { site: Id, machine: Id },
    Unit { site: Id, machine: Id, unit: Id },
    Area { site: Id, area: Id },
}

impl SubjectName {
    pub fn parse(field: &str, text: &str) -> Result<SubjectName, RecordError> {
        let parts: Vec<&str> = text.split('/').collect();
        let id = |text: &str| {
            Id::parse(field, text)
                .map_err(|error| RecordError::new(field, text_of(&parts), error.remedy))
        };
        match parts[..] {
            ["sites", site] => Ok(SubjectName::Site { site: id(site)? }),
            ["sites", site, "machines", machine] => {
                Ok(SubjectName::Machine { site: id(site)?, machine: id(machine)? })
            }
            ["sites", site, "machines", machine, "units", unit] => {
                Ok(SubjectName::Unit { site: id(site)?, machine: id(machine)?, unit: id(unit)? })
            }
            ["sites", site, "areas", area] => {
                Ok(SubjectName::Area { site: id(site)?, area: id(area)? })
            }
            _ => Err(RecordError::new(field, text, SUBJECT_REMEDY)),
        }
    }

    pub fn home() -> SubjectName {
        SubjectName::Site { site: Id::home() }
    }

    pub fn kind(&self) -> SubjectKind {
        match self {
            SubjectName::Site { .. } => SubjectKind::Site,
            SubjectName::Machine { .. } => SubjectKind::Machine,
            SubjectName::Unit { .. } => SubjectKind::Unit,
            SubjectName::Area { .. } => SubjectKind::Area,
        }
    }

    pub fn site(&self) -> &Id {
        match self {
            SubjectName::Site { site }
            | SubjectName::Machine { site, .. }
            | SubjectName::Unit { site, .. }
            | SubjectName::Area { site, .. } => site,
        }
    }

    /// The machine it is or belongs to.
    pub fn machine(&self) -> Option<&Id> {
        match self {
            SubjectName::Machine { machine, .. } | SubjectName::Unit { machine, .. } => {
                Some(machine)
            }
            SubjectName::Site { .. } | SubjectName::Area { .. } => None,
        }
    }

    /// Its own last segment.
    pub fn id(&self) -> &Id {
        match self {
            SubjectName::Site { site } => site,
            SubjectName::Machine { machine, .. } => machine,
            SubjectName::Unit { unit, .. } => unit,
            SubjectName::Area { area, .. } => area,
        }
    }

    /// What holds it: a unit's machine, a machine's or area's site.
    pub fn holder(&self) -> Option<SubjectName> {
        match self {
            SubjectName::Site { .. } => None,
            SubjectName::Machine { site, .. } | SubjectName::Area { site, .. } => {
                Some(SubjectName::Site { site: site.clone() })
            }
            SubjectName::Unit { site, machine, .. } => {
                Some(SubjectName::Machine { site: site.clone(), machine: machine.clone() })
            }
        }
    }

    /// Itself, what holds it, and so on up to the site.
    pub fn with_holders(&self) -> Vec<SubjectName> {
        std::iter::successors(Some(self.clone()), SubjectName::holder).collect()
    }

    /// Whether `other` is this or lies inside it.
    pub fn holds(&self, other: &SubjectName) -> bool {
        other.with_holders().contains(self)
    }

    /// The name of one of its machines, units or areas.
    pub fn child(&self, kind: SubjectKind, id: Id) -> Result<SubjectName, RecordError> {
        match (self.clone(), kind) {
            (SubjectName::Site { site }, SubjectKind::Machine) => {
                Ok(SubjectName::Machine { site, machine: id })
            }
            (SubjectName::Site { site }, SubjectKind::Area) => {
                Ok(SubjectName::Area { site, area: id })
            }
            (SubjectName::Machine { site, machine }, SubjectKind::Unit) => {
                Ok(SubjectName::Unit { site, machine, unit: id })
            }
            (parent, kind) => Err(RecordError::new(
                "parent",
                parent,
                format!(
                    "a {} belongs to {}",
                    kind.word(),
                    match kind {
                        SubjectKind::Unit => "a machine: sites/S/machines/M",
                        SubjectKind::Machine | SubjectKind::Area => "a site: sites/S",
                        SubjectKind::Site => "nothing",
                    }
                ),
            )),
        }
    }
}

fn text_of(parts: &[&str]) -> String {
    parts.join("/")
}

impl fmt::Display for SubjectName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SubjectName::Site { site } => write!(f, "sites/{site}"),
            SubjectName::Machine { site, machine } => write!(f, "sites/{site}/machines/{machine}"),
            SubjectName::Unit { site, machine, unit } => {
                write!(f, "sites/{site}/machines/{machine}/units/{unit}")
            }
            SubjectName::Area { site, area } => write!(f, "sites/{site}/areas/{area}"),
        }
    }
}

/// Name of a stored record: what it is about, and its number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordName {
    pub subject: SubjectName,
    pub number: u64,
}

impl RecordName {
    pub fn parse(field: &str, text: &str) -> Result<RecordName, RecordError> {
        let fail = || RecordError::new(field, text, RECORD_REMEDY);
        let (subject, id) = text.rsplit_once("/records/").ok_or_else(fail)?;
        let digits = id.strip_prefix('r').ok_or_else(fail)?;
        let number: u64 = digits.parse().map_err(|_| fail())?;
        // One record has one name, and a stored number fits a signed 64-bit column.
        if number == 0 || number > i64::MAX.unsigned_abs() || number.to_string() != digits {
            return Err(fail());
        }
        let subject = SubjectName::parse(field, subject)
            .map_err(|error| RecordError::new(field, text, error.remedy))?;
        Ok(RecordName { subject, number })
    }
}

impl fmt::Display for RecordName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/records/r{}", self.subject, self.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back_as_written() {
        for text in [
            "sites/home",
            "sites/home/machines/greens-triplex",
            "sites/home/machines/greens-triplex/units/1",
            "sites/north-9/areas/6-green",
        ] {
            assert_eq!(SubjectName::parse("parent", text).expect(text).to_string(), text);
            let record = format!("{text}/records/r17");
            assert_eq!(RecordName::parse("name", &record).expect(text).to_string(), record);
        }
    }

    #[test]
    fn other_names_are_refused() {
        for text in [
            "",
            "sites",
            "sites/",
            "sites/Home",
            "sites/home/",
            "sites/home/machines/",
            "sites/home/machines/a/units/-1",
            "sites/home/machines/a/areas/b",
            "sites/home/machines/../units/1",
            "machines/a",
        ] {
            let error = SubjectName::parse("parent", text).expect_err(text);
            assert_eq!((error.field.as_str(), error.value.as_str()), ("parent", text));
        }
        for id in ["r0", "r", "17", "r01", "r-1", "r99999999999999999999", "r9223372036854775808"] {
            let text = format!("sites/home/records/{id}");
            assert!(RecordName::parse("name", &text).is_err(), "{text}");
        }
        assert!(Id::parse("machine_id", &"a".repeat(64)).is_err());
    }

    #[test]
    fn ids_come_from_what_people_say() {
        for (words, id) in [
            ("Greens Triplex", "greens-triplex"),
            ("No. 2 walker", "no-2-walker"),
            ("  60\" deck ", "60-deck"),
            ("6 green", "6-green"),
        ] {
            assert_eq!(Id::from_words("display_name", words).expect(words).as_str(), id);
        }
        let error = Id::from_words("display_name", "\u{4e09}").expect_err("no letter to use");
        assert_eq!(error.value, "\u{4e09}");
    }

    #[test]
    fn a_thing_is_held_by_its_machine_and_site() {
        let unit = SubjectName::parse("unit", "sites/home/machines/a/units/1").expect("a name");
        let other = SubjectName::parse("unit", "sites/home/machines/ab").expect("a name");
        assert!(SubjectName::home().holds(&unit));
        assert!(!other.holds(&unit));
        assert!(unit.child(SubjectKind::Area, Id::home()).is_err());
    }
}
