//! Which units may be meant by a word that fits several, as "the left unit" where there is a left
//! front and a left rear? None is taken then: whoever said it is asked.

use super::kind::CommandKind;
use super::nicknames::is_called;
use super::name_ends::holds_words;
use super::record::Recorded;
use super::subjects::Shop;
use super::{Command, Reader, understood};
use crate::domain::records::{Content, SubjectKind, SubjectName};

/// Records, each with what it is about.
type Records = Vec<(SubjectName, Content)>;

impl Reader<'_> {
    /// The command for each of the units or machines that may be meant; none where it is plain.
    pub(super) fn meant(
        &self,
        recorded: &Recorded,
        records: &[(SubjectName, Content)],
    ) -> Vec<(CommandKind, String, Command)> {
        let time = recorded.time.as_ref();
        let command = |mut records: Records| {
            self.one_unit(&mut records);
            let told = understood::recorded(&records, time, &recorded.placed);
            (CommandKind::Record, told, Command::Record { records, time: time.cloned() })
        };
        readings(self.question.shop, records).into_iter().map(command).collect()
    }
}

/// The records as they would be with each of the units that may be meant; none where it is plain.
fn readings(shop: &Shop, records: &[(SubjectName, Content)]) -> Vec<Records> {
    let vague = records.iter().map(|(name, _)| (name, several(shop, name)));
    let Some((vague, fits)) = vague.into_iter().find(|(_, fits)| !fits.is_empty()) else {
        return Vec::new();
    };
    let with = |unit: &SubjectName| -> Records {
        let name = |name: &SubjectName| if name == vague { unit.clone() } else { name.clone() };
        records.iter().map(|(about, content)| (name(about), content.clone())).collect()
    };
    fits.iter().map(with).collect()
}

/// The shop's units, of the same machine, that are called by every word of this unit's name, or its
/// machines of that name; none when the shop knows it itself, or fewer than two.
pub fn several(shop: &Shop, name: &SubjectName) -> Vec<SubjectName> {
    let known = |name: &SubjectName| shop.subjects.iter().any(|subject| subject.name == *name);
    if known(name) {
        return Vec::new();
    }
    if let SubjectName::Machine { machine, .. } = name {
        // "One of the walkers".
        return called(shop, machine.as_str().trim_end_matches('s'));
    }
    let SubjectName::Unit { site, machine, unit } = name else { return Vec::new() };
    let machine = SubjectName::Machine { site: site.clone(), machine: machine.clone() };
    let said: Vec<String> = unit.as_str().split('-').map(str::to_owned).collect();
    let unit = |name: &SubjectName| name.kind() == SubjectKind::Unit && machine.holds(name);
    let called = |names: &[String]| names.iter().any(|name| holds_words(name, &said));
    let fits: Vec<SubjectName> = shop
        .subjects
        .iter()
        .filter(|subject| unit(&subject.name) && called(&subject.names))
        .map(|subject| subject.name.clone())
        .collect();
    if fits.len() < 2 { Vec::new() } else { fits }
}

/// "Ground the walker": the machines that are called so; none when there are fewer than two.
fn called(shop: &Shop, word: &str) -> Vec<SubjectName> {
    let fits = shop.subjects.iter().filter(|known| {
        known.name.kind() == SubjectKind::Machine && is_called(known, word)
    });
    let fits: Vec<SubjectName> = fits.map(|known| known.name.clone()).collect();
    if fits.len() < 2 { Vec::new() } else { fits }
}

#[cfg(test)]
mod tests {
    use super::super::subjects::Known;
    use super::*;

    #[test]
    fn a_word_of_two_units_is_neither() {
        let name = |unit: &str| {
            let text = format!("sites/home/machines/gang/units/{unit}");
            SubjectName::parse("name", &text).expect("a name")
        };
        let known = |unit: &str, called: &str| Known {
            name: name(unit),
            names: vec![called.to_owned()],
            equipment: None,
        };
        let shop = Shop {
            subjects: vec![
                known("left-front", "left front"),
                known("left-rear", "Left Rear"),
                known("centre", "centre"),
            ],
            ..Shop::default()
        };
        let fits = |unit: &str| several(&shop, &name(unit));
        assert_eq!(fits("left"), [name("left-front"), name("left-rear")]);
        assert_eq!(fits("front"), [], "only one");
        assert_eq!(fits("centre"), [], "known itself");
        assert_eq!(fits("right"), []);
    }
}
