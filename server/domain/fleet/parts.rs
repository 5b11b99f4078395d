//! Which part do these words mean? A shop writes "bedknife", "new bed knife" or "spindle bearings";
//! what wears alike is counted together. Words of the trade, common practice, no source.
//! Deliberately absent: parts that nobody changes by the hours; they keep the shop's own words.

use crate::domain::catalogue::Equipment;
use crate::domain::records::detail::FaultFixed;

/// Parts that wear, or break with age.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    Bedknife,
    Bearings,
    Blades,
    Brush,
    Rollers,
    Belt,
}

impl Family {
    pub const ALL: [Family; 6] = [
        Family::Bedknife,
        Family::Bearings,
        Family::Blades,
        Family::Brush,
        Family::Rollers,
        Family::Belt,
    ];

    pub fn id(self) -> &'static str {
        match self {
            Family::Bedknife => "bedknife",
            Family::Bearings => "bearings",
            Family::Blades => "blades",
            Family::Brush => "brush",
            Family::Rollers => "rollers",
            Family::Belt => "belt",
        }
    }

    /// What these words name. "bottom blade" is a bedknife, so it goes first.
    pub fn of(words: &str) -> Option<Family> {
        const WORDS: &[(Family, &[&str])] = &[
            (Family::Bedknife, &["bedknife", "bed knife", "bottom blade", "bedknives"]),
            (Family::Bearings, &["bearing"]),
            (Family::Belt, &["belt"]),
            (Family::Brush, &["brush"]),
            (Family::Rollers, &["roller"]),
            (Family::Blades, &["blade", "knives"]),
        ];
        let lower = words.to_lowercase().replace(['_', '-'], " ");
        let named = |names: &[&str]| names.iter().any(|name| lower.contains(name));
        WORDS.iter().find(|(_, names)| named(names)).map(|(family, _)| *family)
    }
}

/// Words that say that a part was changed.
const CHANGED: &[&str] =
    &["new", "changed", "replaced", "renewed", "swapped", "fitted", "exchanged"];
/// Words after which that is still to be done, or was not.
const NOT_YET: &[&str] = &["to", "will", "not", "order", "ordered", "needs", "no", "awaiting"];

/// The parts that were changed while a fault was put right, in words: those listed, else the one of
/// the procedure, else what the action says was new ("new belt, tension set").
pub fn changed(fault: &FaultFixed) -> Vec<String> {
    if !fault.parts.is_empty() {
        return fault.parts.iter().map(|part| part.part.clone()).collect();
    }
    if let Some(part) = fault.procedure.strip_prefix("replace_") {
        return vec![part.replace('_', " ")];
    }
    let lower = fault.action.to_lowercase();
    let clauses = lower.split([',', ';', '.']).filter(|clause| {
        let says = |words: &[&str]| {
            clause.split_whitespace().any(|word| words.contains(&word))
        };
        says(CHANGED) && !says(NOT_YET) && Family::of(clause).is_some()
    });
    clauses.map(|clause| clause.trim().to_owned()).collect()
}

/// The parts of a kind of equipment that are watched for age.
pub fn watched(equipment: Equipment) -> &'static [Family] {
    match equipment {
        Equipment::ReelUnit => &[Family::Bedknife, Family::Bearings, Family::Rollers],
        Equipment::Groomer | Equipment::VerticutReel => &[Family::Blades, Family::Bearings],
        Equipment::RearRollerBrush => &[Family::Brush, Family::Bearings],
        Equipment::RotaryDeck => &[Family::Blades, Family::Bearings, Family::Belt],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_is_known_however_it_is_written() {
        for (words, family) in [
            ("bedknife", Some(Family::Bedknife)),
            ("new bottom blade", Some(Family::Bedknife)),
            ("verticut blade", Some(Family::Blades)),
            ("Spindle bearings", Some(Family::Bearings)),
            ("brush bearing", Some(Family::Bearings)),
            ("rear roller brush", Some(Family::Brush)),
            ("deck belt", Some(Family::Belt)),
            ("replace_reel_bearings", Some(Family::Bearings)),
            ("hose", None),
        ] {
            assert_eq!(Family::of(words), family, "{words}");
        }
    }

    #[test]
    fn a_part_changed_within_a_fault_is_one_that_was_changed() {
        for (action, procedure, wanted) in [
            ("new belt, tension set", "", vec!["new belt"]),
            ("both bearings and seals changed; pre-load set", "", vec!["both bearings and seals changed"]),
            ("set again", "replace_reel_bearings", vec!["reel bearings"]),
            ("new belt to be ordered", "", vec![]),
            ("bedknife set, lapped", "", vec![]),
        ] {
            let fault = FaultFixed {
                action: action.to_owned(),
                procedure: procedure.to_owned(),
                ..FaultFixed::default()
            };
            assert_eq!(changed(&fault), wanted, "{action}");
        }
    }
}
