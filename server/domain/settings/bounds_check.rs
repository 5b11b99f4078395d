//! Does a calculation refuse a field outside its bounds, take it just inside, and treat minus zero
//! as zero? One check for every field of every calculation. For tests only.

use std::fmt::Debug;

use super::SettingError;
use crate::domain::limits::{Bound, check};

/// Tries one field of a calculation at and around its bounds; `base` is a question that is
/// answered.
pub fn holds_bounds<I: Clone, A: Debug + PartialEq>(
    base: &I,
    field: &str,
    set: impl Fn(&mut I, f64),
    run: impl Fn(&I) -> Result<A, SettingError>,
) {
    let bound = Bound::of(field).expect("every field has its row");
    let name = field.rsplit('.').next().expect("a name has a last part");
    let ask = |value: f64| {
        let mut inputs = base.clone();
        set(&mut inputs, value);
        run(&inputs)
    };
    let mut outside = vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1e308];
    outside.extend([bound.min.next_down(), bound.max.next_up()]);
    outside.extend([bound.min, bound.max].into_iter().filter(|&edge| !bound.holds(edge)));
    for value in outside {
        let error = ask(value).expect_err(&format!("{name} = {value} must be refused"));
        assert!(error.field.contains(name), "{name} = {value} blamed on {error}");
        assert!(error.remedy.contains(bound.why), "{name} = {value}: {error}");
    }
    for value in [bound.min.next_up(), bound.min, bound.max, f64::midpoint(bound.min, bound.max)] {
        if !bound.holds(value) {
            continue;
        }
        // A number inside its bounds may still make no sense with the others, but that is another
        // message than the one of the bound.
        if let Err(error) = ask(value) {
            let by_bound = error.remedy.contains(&bound.range()) && error.field.contains(name);
            let same_words = error.remedy.contains(bound.why) && by_bound;
            assert!(!same_words, "{name} = {value} is inside, yet: {error}");
        }
    }
    if check(field, 0.0).is_ok() {
        assert_eq!(ask(-0.0), ask(0.0), "{name}: minus zero is zero");
    } else {
        assert!(ask(-0.0).is_err(), "{name}: minus zero is zero");
    }
}
