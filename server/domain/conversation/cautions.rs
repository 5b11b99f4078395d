//! Which cautions were read out in this conversation already? The first time one belongs it is told
//! by a sentence, afterwards by its name; "cautions" gives those of the last answer whole. One that
//! stops the work is told whole every time.
//! Deliberately absent: the steps of a job, which carry their cautions whole always.

use std::collections::BTreeSet;

/// What was told. Bounded by the cautions there are.
#[derive(Clone, Debug, Default)]
pub struct CautionsTold {
    told: BTreeSet<String>,
    /// Those of the last answer that had any.
    latest: Vec<String>,
}

impl CautionsTold {
    /// Notes cautions that are told in full.
    pub fn in_full<S: AsRef<str>>(&mut self, ids: &[S]) {
        if ids.is_empty() {
            return;
        }
        self.latest = ids.iter().map(|id| id.as_ref().to_owned()).collect();
        self.told.extend(self.latest.iter().cloned());
    }

    /// For each caution of an answer, by its id and whether it stops the work: is it to be told in
    /// full?
    pub fn tell(&mut self, cautions: &[(&str, bool)]) -> Vec<bool> {
        let full = cautions.iter().map(|(id, stops)| *stops || !self.told.contains(*id)).collect();
        let ids: Vec<&str> = cautions.iter().map(|(id, _)| *id).collect();
        self.in_full(&ids);
        full
    }

    pub fn latest(&self) -> &[String] {
        &self.latest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_full_once_and_those_that_stop_the_work_always() {
        let mut told = CautionsTold::default();
        assert_eq!(told.tell(&[("isolate", false), ("stop", true)]), [true, true]);
        assert_eq!(told.tell(&[("isolate", false), ("gloves", false)]), [false, true]);
        assert_eq!(told.latest(), ["isolate", "gloves"]);
        assert_eq!(told.tell(&[]), [false; 0]);
        assert_eq!(told.latest(), ["isolate", "gloves"], "an answer without any changes nothing");
        assert_eq!(told.tell(&[("stop", true)]), [true]);
    }
}
