//! Which messages of the contract stand for a machine, unit or area, and what do they share?

use prost::Message;

use super::wire;
use crate::domain::records::subject::{Area, Facts, Label, Machine, Unit};
use crate::domain::records::{Subject, SubjectKind};
use crate::pb;

/// A message of the contract that stands for a machine, unit or area.
pub trait Kept: Message + Default + Send + 'static {
    const MESSAGE: &'static str;
    const KIND: SubjectKind;
    fn facts() -> Facts;
    fn name(&self) -> &str;
    fn etag(&self) -> &str;
    fn label(&self) -> Label;
    /// Sets what the facts do not say.
    fn signed(self, subject: &Subject) -> Self;
}

macro_rules! kept {
    ($message:ident, $name:literal, $kind:ident, $facts:expr) => {
        impl Kept for pb::$message {
            const MESSAGE: &'static str = $name;
            const KIND: SubjectKind = SubjectKind::$kind;

            fn facts() -> Facts {
                $facts
            }

            fn name(&self) -> &str {
                &self.name
            }

            fn etag(&self) -> &str {
                &self.etag
            }

            fn label(&self) -> Label {
                Label {
                    display_name: self.display_name.clone(),
                    other_names: self.other_names.clone(),
                    notes: self.notes.clone(),
                    retired: self.retired,
                }
            }

            fn signed(self, subject: &Subject) -> Self {
                let label = subject.label.clone();
                pb::$message {
                    name: subject.name.to_string(),
                    display_name: label.display_name,
                    other_names: label.other_names,
                    notes: label.notes,
                    retired: label.retired,
                    create_time: Some(wire::timestamp(subject.created)),
                    update_time: Some(wire::timestamp(subject.updated)),
                    etag: subject.version.to_string(),
                    ..self
                }
            }
        }
    };
}

kept!(Machine, "Machine", Machine, Facts::Machine(Machine::default()));
kept!(CuttingUnit, "CuttingUnit", Unit, Facts::Unit(Unit::default()));
kept!(Area, "Area", Area, Facts::Area(Area::default()));
