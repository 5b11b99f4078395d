//! What does each column of the fitted model say: which finding, stated or denied?

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::hearing::FindingTraits;

/// One column.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Column {
    pub finding: String,
    pub present: bool,
    /// The column that says the contrary.
    pub opposite: Option<usize>,
    pub traits: FindingTraits,
}

/// The columns of a model, in its order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Columns {
    all: Vec<Column>,
    /// By finding: the columns that deny it and state it.
    of: BTreeMap<String, [Option<usize>; 2]>,
}

impl Columns {
    /// `labels`: the finding of each column, and whether it states it.
    pub fn new(
        labels: &[(String, bool)],
        findings: &BTreeMap<String, FindingTraits>,
    ) -> Columns {
        let mut of: BTreeMap<String, [Option<usize>; 2]> = BTreeMap::new();
        for (at, (finding, present)) in labels.iter().enumerate() {
            of.entry(finding.clone()).or_default()[usize::from(*present)] = Some(at);
        }
        let column = |(finding, present): &(String, bool)| Column {
            finding: finding.clone(),
            present: *present,
            opposite: of[finding][usize::from(!present)],
            traits: findings.get(finding).copied().unwrap_or_default(),
        };
        Columns { all: labels.iter().map(column).collect(), of }
    }

    pub fn all(&self) -> &[Column] {
        &self.all
    }

    /// The column that states a finding, or the one that denies it.
    pub fn of(&self, finding: &str, present: bool) -> Option<usize> {
        self.of.get(finding)?[usize::from(present)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_knows_its_contrary() {
        let label = |finding: &str, present| (finding.to_owned(), present);
        let labels = [label("streak", false), label("noise", true), label("streak", true)];
        let columns = Columns::new(&labels, &BTreeMap::new());
        assert_eq!(columns.of("streak", true), Some(2));
        assert_eq!(columns.of("noise", false), None);
        let opposites: Vec<Option<usize>> =
            columns.all().iter().map(|column| column.opposite).collect();
        assert_eq!(opposites, [Some(2), None, Some(0)]);
    }
}
