//! What does the shop have that words can name: machines, units, areas, what was spoken of?
//! Deliberately absent: finding those names in words (`subjects`), and reading the list.

use crate::domain::catalogue::Equipment;
use crate::domain::records::{SubjectKind, SubjectName};

/// A machine, unit or area of the shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    pub name: SubjectName,
    /// What it is called, and what else people call it.
    pub names: Vec<String>,
    pub equipment: Option<Equipment>,
}

/// What the shop has.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shop {
    pub subjects: Vec<Known>,
    /// What was spoken of before: "unit 3" alone is one of its machine.
    pub spoken_of: Option<SubjectName>,
    /// It lies on the southern half of the earth, where spring begins in September.
    pub southern: bool,
    /// Who did the latest work, as the records write them.
    pub people: Vec<String>,
}

impl Shop {
    /// The machine that was spoken of before.
    pub fn machine_spoken_of(&self) -> Option<SubjectName> {
        let name = self.spoken_of.as_ref()?;
        match name.kind() {
            SubjectKind::Machine => Some(name.clone()),
            SubjectKind::Unit => name.holder(),
            SubjectKind::Site | SubjectKind::Area => None,
        }
    }

    /// What the shop knows of a name.
    pub fn known(&self, name: &SubjectName) -> Option<&Known> {
        self.subjects.iter().find(|known| known.name == *name)
    }

    /// The unit of a machine by its id.
    pub fn unit(&self, machine: &SubjectName, id: &str) -> Option<&Known> {
        self.subjects.iter().find(|known| {
            known.name.kind() == SubjectKind::Unit
                && machine.holds(&known.name)
                && known.name.id().as_str() == id
        })
    }
}
