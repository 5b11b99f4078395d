//! How does this caller want to be spoken to, and how do facts of the knowledge become messages?

use tonic::Request;

use super::Shop;
use crate::domain::catalogue::{Basis, Equipment};
use crate::domain::wording::Wording;
use crate::pb;

/// The header by which a caller asks for American words.
pub const WORDS_HEADER: &str = "sward-words";

/// The header by which a caller asks for the seasons of the southern half of the earth.
pub const SEASONS_HEADER: &str = "sward-seasons";

/// The header by which a caller says that lengths are read in inches.
pub const UNITS_HEADER: &str = "sward-units";

/// Whether whoever calls works in inches; when it is not said, they do not.
pub fn inches<T>(request: &Request<T>) -> bool {
    request.metadata().get(UNITS_HEADER).is_some_and(|value| value == "in")
}

/// Whether a request is made on the southern half of the earth; when it does not say, it is not.
pub fn southern<T>(request: &Request<T>) -> bool {
    request.metadata().get(SEASONS_HEADER).is_some_and(|value| value == "southern")
}

impl Shop {
    /// The wording a request asks for in its headers; British when it does not say.
    pub(super) fn wording<T>(&self, request: &Request<T>) -> Wording {
        let asked = request.metadata().get(WORDS_HEADER).and_then(|value| value.to_str().ok());
        match asked {
            Some("american") => Wording::american(&self.knowledge.spelling),
            _ => Wording::british(),
        }
    }

    pub(super) fn caution(&self, id: &str, words: &Wording) -> Option<pb::Caution> {
        self.knowledge.caution(id).map(|row| pb::Caution {
            id: row.id.clone(),
            title: words.say(&row.title),
            text: words.say(&row.text),
            source: row.source.clone(),
            stops_work: row.stops_work,
        })
    }

    pub(super) fn cautions<S: AsRef<str>>(&self, ids: &[S], words: &Wording) -> Vec<pb::Caution> {
        ids.iter().filter_map(|id| self.caution(id.as_ref(), words)).collect()
    }

    pub(super) fn reference(&self, id: &str) -> Option<pb::Reference> {
        self.knowledge.reference(id).map(|row| pb::Reference {
            id: row.id.clone(),
            citation: row.citation.clone(),
            basis: basis(&row.basis).into(),
        })
    }

    pub(super) fn references<S: AsRef<str>>(&self, ids: &[S]) -> Vec<pb::Reference> {
        ids.iter().filter_map(|id| self.reference(id.as_ref())).collect()
    }
}

pub fn basis(basis: &Basis) -> pb::Basis {
    match basis {
        Basis::Published(_) => pb::Basis::Published,
        Basis::CommonPractice => pb::Basis::CommonPractice,
        Basis::FromMemory => pb::Basis::FromMemory,
        Basis::Geometry => pb::Basis::Geometry,
    }
}

pub fn equipment(kind: Equipment) -> pb::Equipment {
    match kind {
        Equipment::ReelUnit => pb::Equipment::ReelUnit,
        Equipment::Groomer => pb::Equipment::Groomer,
        Equipment::RearRollerBrush => pb::Equipment::RearRollerBrush,
        Equipment::VerticutReel => pb::Equipment::VerticutReel,
        Equipment::RotaryDeck => pb::Equipment::RotaryDeck,
    }
}

/// The kind a request names: none when unspecified, refused when out of the list.
pub fn equipment_asked(value: i32) -> Result<Option<Equipment>, tonic::Status> {
    match pb::Equipment::try_from(value) {
        Ok(pb::Equipment::Unspecified) => Ok(None),
        Ok(pb::Equipment::ReelUnit) => Ok(Some(Equipment::ReelUnit)),
        Ok(pb::Equipment::Groomer) => Ok(Some(Equipment::Groomer)),
        Ok(pb::Equipment::RearRollerBrush) => Ok(Some(Equipment::RearRollerBrush)),
        Ok(pb::Equipment::VerticutReel) => Ok(Some(Equipment::VerticutReel)),
        Ok(pb::Equipment::RotaryDeck) => Ok(Some(Equipment::RotaryDeck)),
        Err(_) => {
            let remedy = "use a value of sward.v1.Equipment, or leave it out";
            Err(super::status::invalid("equipment", &value.to_string(), remedy))
        }
    }
}
