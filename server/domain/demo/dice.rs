//! Chance that repeats itself: the same seed, the same history.

/// SplitMix64 (from memory): enough for plausible numbers, and the same on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    /// Sixty-four bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From `low` up to and not including `high`.
    pub fn whole(&mut self, low: i64, high: i64) -> i64 {
        let span = high.abs_diff(low).max(1);
        low + i64::try_from(self.bits() % span).expect("spans of the demonstration are short")
    }

    /// From `low` to `high`, rounded to so many decimals, as a person writes a number down.
    pub fn number(&mut self, low: f64, high: f64, decimals: i32) -> f64 {
        let share = self.whole(0, 1_000_001) as f64 / 1e6;
        rounded(low + (high - low) * share, decimals)
    }

    /// Whether something happens that does so in `percent` of cases.
    pub fn happens(&mut self, percent: i64) -> bool {
        self.whole(0, 100) < percent
    }

    pub fn one_of<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        let count = i64::try_from(choices.len()).expect("lists of the demonstration are short");
        let at = usize::try_from(self.whole(0, count)).expect("not below zero");
        &choices[at]
    }
}

pub fn rounded(value: f64, decimals: i32) -> f64 {
    let factor = 10_f64.powi(decimals);
    (value * factor).round() / factor
}
