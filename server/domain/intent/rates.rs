//! "Thirty yards in twenty seconds", "a metre every second", "40 s to walk 50 m": which two numbers
//! are one speed?
//! Deliberately absent: speeds that have a unit of their own, which `said_units` has.

use crate::domain::language::text::Token;
use crate::domain::said::numbers::{Quantity, stands, word};
use crate::domain::said::said_units::{CLICKS, said_at};
use crate::domain::units::convert;

/// What stands between a way and its time.
const IN_TIME: &[&str] = &[
    "in", "every", "each", "per", "takes", "takes me", "takes us", "takes him", "takes her",
    "take me", "take us", "takes it", "took", "took me", "took us", "in about", "inside",
    "takes about", "takes me about", "in just", "over", "covered in", "done in", "in every",
];
/// What stands between a time and its way.
const FOR_WAY: &[&str] = &[
    "to", "for", "to walk", "to cover", "to do", "to go", "to mow", "to travel", "to drive",
    "to get", "to cross", "for every", "for each", "to walk about", "to cover about", "to run",
];
/// One of the unit, said with its article.
const ONE_TIME: &[(&str, f64)] = &[("a minute", 60.0), ("one minute", 60.0), ("a second", 1.0)];

/// Makes one quantity of each way with its time.
pub fn rates(tokens: &[Token], quantities: &mut Vec<Quantity>) {
    worth_of_one(tokens, quantities);
    let mut at = 0;
    while at < quantities.len() {
        let (one, next) = (&quantities[at], quantities.get(at + 1));
        let pair = next.and_then(|next| in_time(tokens, one, next));
        if let Some(rate) = pair {
            quantities.remove(at + 1);
            quantities[at] = rate;
        } else if let Some(rate) = in_one(tokens, one) {
            quantities[at] = rate;
        }
        at += 1;
    }
}

/// "One turn is 1.25", "a click is 0.018": what one is worth; that it is one is no number.
fn worth_of_one(tokens: &[Token], quantities: &mut Vec<Quantity>) {
    const WORTH: &[&str] = &[
        "is", "=", "moves", "gives", "makes", "is worth", "worth", "shifts", "lifts", "drops", "equals", "does",
        "being", "is about", "moves it", "closes", "was",
    ];
    let mut at = 0;
    while at + 1 < quantities.len() {
        let (one, next) = (&quantities[at], &quantities[at + 1]);
        let single = one.value == 1.0 && matches!(one.unit, Some("turns" | CLICKS | "flats"));
        let length = matches!(next.unit, None | Some("mm" | "in" | "thou" | "mil"));
        let ends = |way: &&str| said_at(tokens, one.last + 1, way) == next.first.checked_sub(1);
        // "One click 0.018": a click counts nothing else.
        let clicks = one.unit == Some(CLICKS) && one.last + 1 == next.first;
        if single && length && (clicks || WORTH.iter().any(|way| ends(&way))) {
            quantities.remove(at);
        }
        at += 1;
    }
}

fn in_time(tokens: &[Token], one: &Quantity, next: &Quantity) -> Option<Quantity> {
    let between = |ways: &[&str]| {
        let ends = |way: &&str| said_at(tokens, one.last + 1, way) == next.first.checked_sub(1);
        ways.iter().any(|way| ends(way))
    };
    let speed = match (metres(one), seconds(one), metres(next), seconds(next)) {
        (Some(way), _, _, Some(time)) if between(IN_TIME) => way / time,
        (_, Some(time), Some(way), _) if between(FOR_WAY) => way / time,
        _ => return None,
    };
    Some(Quantity { in_words: one.in_words && next.in_words, ..rate(one, next.last, speed) })
}

/// "A hundred yards takes me a minute".
fn in_one(tokens: &[Token], one: &Quantity) -> Option<Quantity> {
    let way = metres(one)?;
    let after = IN_TIME.iter().filter(|said| stands(tokens, one.last + 1, said));
    let time = |said: &&str| {
        let at = said_at(tokens, one.last + 1, said)? + 1;
        let one_time = ONE_TIME.iter().find_map(|(time, seconds)| {
            Some((said_at(tokens, at, time)?, *seconds))
        });
        one_time.filter(|(last, _)| word(tokens, last + 1) != Some("and"))
    };
    let (last, seconds) = after.filter_map(|said| time(&said)).next()?;
    Some(rate(one, last, way / seconds))
}

fn rate(one: &Quantity, last: usize, speed: f64) -> Quantity {
    Quantity { last, value: speed, unit: Some("m/s"), fraction: false, ..one.clone() }
}

fn metres(quantity: &Quantity) -> Option<f64> {
    let way = quantity.unit.filter(|unit| matches!(*unit, "m" | "yd" | "ft"))?;
    convert(quantity.value, way, "m")
}

fn seconds(quantity: &Quantity) -> Option<f64> {
    let time = quantity.unit.filter(|unit| matches!(*unit, "s" | "min"))?;
    convert(quantity.value, time, "s").filter(|seconds| *seconds > 0.0)
}

#[cfg(test)]
mod tests {
    use crate::domain::said::numbers::quantities;
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn a_way_with_its_time_is_a_speed() {
        // (words, metres a second): a yard is 0.9144 m, a foot 0.3048 m (exact by definition).
        let rows: &[(&str, f64)] = &[
            ("twenty metres in fifteen seconds", 20.0 / 15.0),
            ("a metre every three quarters of a second", 4.0 / 3.0),
            ("30 yards in 20 seconds", 27.432 / 20.0),
            ("a hundred feet in half a minute", 30.48 / 30.0),
            ("a hundred yards takes me a minute", 91.44 / 60.0),
            ("forty seconds to walk fifty metres", 1.25),
            ("30 seconds for 40 m", 4.0 / 3.0),
        ];
        for (text, speed) in rows {
            let all = tokens(text);
            let mut found = quantities(&all);
            rates(&all, &mut found);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!((found[0].value - speed).abs() < 1e-9, "{text}: {found:?}");
            assert_eq!((found[0].unit, found[0].last), (Some("m/s"), all.len() - 1), "{text}");
        }
    }

    #[test]
    fn a_length_beside_a_time_of_something_else_is_none() {
        for text in ["12 m wide, 20 seconds", "moved it 3 mm in 5 minutes", "4 m and 10 seconds"] {
            let all = tokens(text);
            let mut found = quantities(&all);
            rates(&all, &mut found);
            assert_eq!(found.len(), 2, "{text}: {found:?}");
        }
    }
}
