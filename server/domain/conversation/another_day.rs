//! What do earlier words come to on another day: "no, yesterday", "it was Friday actually, not today"?
//! Deliberately absent: which day that is (`intent::dates`).

use super::follow_up::words_put_in;

/// Days, and what may stand before and behind them.
const DAYS: &[&str] = &[
    "today", "yesterday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
    "tonight", "yest", "yday", "mon", "tue", "tues", "weds", "wed", "thu", "thur", "thurs", "fri", "sat",
];
const BEFORE_DAYS: &[&str] = &["on", "last", "this", "the", "day", "before", "late", "early"];
const OF_DAYS: &[&str] = &["morning", "afternoon", "evening", "night", "dinner", "lunchtime"];

/// "Yesterday", "last Tuesday", "the day before yesterday", "two days ago": a day and nothing else.
fn is_day(rest: &str) -> bool {
    let lower = rest.to_lowercase();
    let parts = lower.split_whitespace().map(|part| part.trim_matches([',', '.']));
    let parts: Vec<&str> = parts.collect();
    let days = |part: &&str| DAYS.contains(part) || OF_DAYS.contains(part);
    let ago = matches!(&parts[..], [_, "day" | "days" | "week" | "weeks", "ago"]);
    let only = parts.iter().any(|part| days(part))
        && parts.iter().all(|part| days(part) || BEFORE_DAYS.contains(part));
    ago || only
}

/// "Walker 2, he did it yesterday": what is named, and the day behind it.
pub(super) fn name_and_day(rest: &str) -> Option<(&str, &str)> {
    let (name, behind) = rest.split_once(", ")?;
    let last = behind.rsplit(' ').next()?;
    let two = behind.rsplitn(3, ' ').nth(1).map(|before| format!("{before} {last}"));
    let long = two.filter(|two| is_day(two)).map(|two| &behind[behind.len() - two.len()..]);
    let day = long.or_else(|| is_day(last).then_some(last))?;
    (!is_day(name)).then_some((name, day))
}

/// "Friday actually, not today": the day without what only says that it was another.
fn day_told(rest: &str) -> &str {
    const BEHIND: &[&str] = &[" actually", " sorry", " rather", " instead", " really"];
    let not = [", not ", " not "].iter().find_map(|not| rest.split_once(not));
    let day = not.filter(|(_, other)| is_day(other)).map_or(rest, |(day, _)| day);
    let day = day.trim_end_matches([',', '.', ' ']);
    let end = BEHIND.iter().find_map(|end| day.strip_suffix(end));
    end.unwrap_or(day).trim_end_matches(',')
}

/// The earlier words on another day: in the place of the one that was said, else behind them.
pub(super) fn day_put_in(rest: &str, words: &str) -> Option<String> {
    let rest = day_told(rest);
    if !is_day(rest) {
        return None;
    }
    let parts: Vec<&str> = words.split_whitespace().collect();
    let bare = |part: &str| part.trim_matches([',', '.', ';']).to_lowercase();
    let is = |part: &str| DAYS.contains(&bare(part).as_str());
    let this = |at: usize| {
        matches!(bare(parts[at]).as_str(), "this" | "last")
            && parts.get(at + 1).is_some_and(|next| OF_DAYS.contains(&bare(next).as_str()))
    };
    let Some(at) = (0..parts.len()).find(|at| is(parts[*at]) || this(*at)) else {
        return Some(format!("{}, {rest}", words.trim_end_matches(['.', ' '])));
    };
    let mut last = at + usize::from(this(at));
    while parts.get(last + 1).is_some_and(|next| OF_DAYS.contains(&bare(next).as_str())) {
        last += 1;
    }
    let first = at - usize::from(at > 0 && matches!(bare(parts[at - 1]).as_str(), "on" | "last"));
    Some(words_put_in(&parts, first..last + 1, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_day_takes_the_place_of_the_one_told() {
        for (before, rest, wanted) in [
            ("lapped walker 1 today", "Friday", Some("lapped walker 1 Friday")),
            ("lapped walker 1 today", "Friday actually, not today", Some("lapped walker 1 Friday")),
            ("lapped walker 1.", "Friday actually, not today", Some("lapped walker 1, Friday")),
            ("lapped walker 1", "last tuesday not monday", Some("lapped walker 1, last tuesday")),
            ("lapped walker 1", "Friday he did it", None),
        ] {
            assert_eq!(day_put_in(rest, before).as_deref(), wanted, "{rest}");
        }
    }
}
