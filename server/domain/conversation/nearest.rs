//! Which of several numbers does a new one put right, by its size?
//! Deliberately absent: which of them the words name (`follow_up`).

use super::follow_up::HeardNumber;
use crate::domain::number_text::read_number;

/// Of what it was and what it is, the one that is clearly nearer to the new number.
pub(super) fn closest(fit: Vec<&HeardNumber>, value: f64) -> Vec<&HeardNumber> {
    let pair = fit.len() == 2
        && fit.iter().any(|one| one.meant.contains("before"))
        && fit.iter().any(|one| one.meant.contains("after"));
    let off = |one: &HeardNumber| one.value.map_or(f64::MAX, |known| (known - value).abs());
    let nearest = fit.iter().copied().min_by(|one, two| off(one).total_cmp(&off(two)));
    let after = fit.iter().copied().find(|one| one.meant.contains("after"));
    match (pair, nearest, after) {
        (true, Some(nearest), Some(after)) if !std::ptr::eq(nearest, after) => {
            if off(nearest) * 2.0 < off(after) { vec![nearest] } else { fit }
        }
        (true, _, Some(after)) => vec![after],
        _ => fit,
    }
}

/// A slip is of about the same size: this many times at the most, and others are that much farther.
const SIZE_RATIO_MAX: f64 = 2.0;
const SIZE_RATIO_OTHERS: f64 = 4.0;
/// Within this it is as good as the same, where others are farther than that.
const CLOSE_RATIO_MAX: f64 = 1.03;
const CLOSE_RATIO_OTHERS: f64 = 1.3;

/// The one number of about that size, when all others are far from it.
pub(super) fn nearest_in_size(fit: Vec<&HeardNumber>, value: f64) -> Vec<&HeardNumber> {
    let ratio = |number: &HeardNumber| {
        let other = read_number(&number.text).ok()?.value;
        (other > 0.0 && value > 0.0).then(|| (other / value).max(value / other))
    };
    let near: Vec<&HeardNumber> = fit
        .iter()
        .copied()
        .filter(|number| ratio(number).is_some_and(|ratio| ratio <= SIZE_RATIO_MAX))
        .collect();
    let others_far = fit.iter().all(|number| {
        near.iter().any(|one| std::ptr::eq(*one, *number))
            || ratio(number).is_some_and(|ratio| ratio >= SIZE_RATIO_OTHERS)
    });
    // 121.9 is a slip of 121.8, and hardly of 70.
    let close = |number: &&HeardNumber| ratio(number).is_some_and(|ratio| ratio <= CLOSE_RATIO_MAX);
    let mut alike = fit.iter().copied().filter(close);
    if let (Some(only), None) = (alike.next(), alike.next())
        && fit.iter().all(|one| close(one)
        || ratio(one).is_some_and(|ratio| ratio > CLOSE_RATIO_OTHERS))
    {
        return vec![only];
    }
    match near.len() {
        0 => fit,
        1 if !others_far => fit,
        _ => near,
    }
}
