//! How much does each sign weigh for a calculation, a record and a complaint?

use super::kind::{CommandKind, Evidence};

impl Evidence {
    /// What the weights of [`WEIGHTS`] stand beside, each between about 0 and 1.
    pub fn features(&self) -> [f64; FEATURES] {
        let flag = |is: bool| if is { 1.0 } else { 0.0 };
        let share = |count: f64, most: f64| (count / most).min(1.0);
        [
            1.0,
            share(f64::from(self.record_words), 20.0),
            flag(self.record_words >= 5),
            share(self.recorded as f64, 4.0),
            flag(self.deed),
            share(self.named as f64, 2.0),
            flag(self.dated),
            share(self.findings as f64, 4.0),
            flag(self.findings >= 1),
            share(f64::from(self.complaint), 15.0),
            flag(self.question),
            share(self.words as f64, 60.0),
            share(self.sentences as f64, 5.0),
            share(self.said, 25.0),
            flag(self.asks),
            share(self.placed as f64, 4.0) - share(self.left as f64, 4.0),
            share(self.deeds as f64, 3.0),
            flag(self.mended),
        ]
    }
}

/// How many signs are weighed.
pub(super) const FEATURES: usize = 18;
/// Weights of the features for a calculation, a record and a complaint: a softmax fitted to the
/// sentences of `tests/cases` and, six times over, to those of `phrasings/commands_named.tsv` (each
/// kind counting alike, a small penalty on large weights). Fit again when features change.
pub(super) const WEIGHTS: [(CommandKind, [f64; FEATURES]); 3] = [
    (
        CommandKind::Compute,
        [
            -1.33, -0.42, -0.3, 0.87, -0.46, -1.41, -0.51, -0.75, -0.51,
            -0.66, 2.42, -0.22, 0.76, 2.22, 0.83, 2.58, -0.86, -0.02,
        ],
    ),
    (
        CommandKind::Record,
        [
            0.93, 1.36, 0.29, 1.14, 0.55, 2.01, 0.45, -0.98, -0.09,
            -1.46, -1.67, -2.88, -1.56, -0.81, -0.7, -1.17, 1.62, 0.37,
        ],
    ),
    (
        CommandKind::Diagnose,
        [
            0.4, -0.93, 0.02, -2.01, -0.09, -0.6, 0.06, 1.73, 0.61,
            2.12, -0.75, 3.1, 0.8, -1.41, -0.13, -1.41, -0.76, -0.35,
        ],
    ),
];
