//! Which units does a sentence leave out of the work on all: "all five except 2 and 4", "all but 3, the
//! lad did it"? Where it cannot be told, the record is not offered, and it is asked which it was.
//! Deliberately absent: what the others come to (`which_units`).

use super::deeds::DEEDS;
use super::names::SPELLED;
use super::other_kind::CARE;
use super::record::Recorded;
use super::settle::settle;
use super::spoken::Spoken;
use super::subjects::Mention;
use crate::domain::language::text::{Kind, Token, text_at};
use crate::domain::records::{Content, Detail, SubjectName};
use crate::domain::said::said_units::any_said_at;

/// What takes some out of all of them; the last word of each stands before the first.
const EXCEPT: &[&str] = &[
    "except", "except for", "excepting", "bar number", "bar unit", "excluding", "apart from", "all but", "other than",
    "but not", "but number", "but unit", "units but", "reels but", "heads but", "them but", "all bar", "units bar",
    "not unit", "not units", "not number", "not reel",
];
/// Tokens from there to the unit.
const EXCEPT_REACH: usize = 3;
/// What is asked where it is not clear which they are.
const WHICH: &str = "say on which it was done, in a sentence of its own, such as \"lapped units 1 and 2 of\" \
                     and the machine";

/// Units that are left out.
pub(super) struct Excepted {
    /// Last token of them.
    pub last: usize,
    pub names: Vec<SubjectName>,
    /// Behind them stands nothing but a time or a day.
    pub plain: bool,
    /// Something behind points at them: "that one I gave fifteen".
    pub pointed: bool,
    /// All else is told of the others, or is a time of their own.
    pub clear: bool,
}

/// The units that are excepted, where work on all stands before them.
pub(super) fn excepted(spoken: &Spoken, units: &[Mention]) -> Option<Excepted> {
    const JOINS: &[&str] = &["and", ",", "&", "unit", "units", "number", "numbers", "no", "reel", "reels", "the"];
    // What is said of how they are is of no work on the others.
    const FOUND: &[&str] = &[
        "good", "fine", "ok", "okay", "problem", "problems", "cut", "cuts", "cutting", "was", "were", "are", "is",
        "sharp", "within", "true", "level", "right",
    ];
    const RAN: &[&str] = &["new", "fresh", "ran", "run"];
    let tokens = &spoken.tokens;
    let word = |at: usize| tokens[at].text.as_str();
    let (at, said) = (0..tokens.len())
        .find_map(|at| any_said_at(tokens, at, EXCEPT).map(|last| (at, last)))?;
    let deed = |word: &str| DEEDS.contains(&word) || CARE.contains(&word) || RAN.contains(&word);
    let segment = |one: usize| (tokens[one].sentence, tokens[one].segment);
    let clause = (0..at).filter(|one| at > 0 && segment(*one) == segment(at - 1));
    let found = clause.into_iter().any(|one| FOUND.contains(&word(one)));
    if found || !(0..at).any(|one| deed(word(one))) {
        return None;
    }
    let named = |at: usize| units.iter().any(|one| (one.first..=one.last).contains(&at));
    let listed = |at: &usize| named(*at) || JOINS.contains(&word(*at));
    let first = units.iter().map(|one| one.first).min()?;
    let list = (said..tokens.len()).skip_while(|at| !named(*at)).take_while(listed);
    let last = list.filter(|at| named(*at)).last()?;
    if first < said || first > at + EXCEPT_REACH {
        return None;
    }
    let left = units.iter().filter(|one| one.last <= last);
    let names: Vec<SubjectName> = left.map(|one| one.name.clone()).collect();
    let others = units.iter().any(|one| one.last > last && !names.contains(&one.name));
    let but = (at..=said).any(|at| word(at) == "but") && word(said) != "not";
    let behind = Behind::of(spoken, last, but);
    let clear = !others && behind.clear;
    Some(Excepted { last, names, plain: !others && behind.plain, pointed: behind.pointed, clear })
}

/// What stands behind the units that are left out.
struct Behind {
    plain: bool,
    pointed: bool,
    clear: bool,
}

impl Behind {
    fn of(spoken: &Spoken, last: usize, but: bool) -> Behind {
        const TIMED: &[&str] = &[
            "that", "one", "which", "i", "we", "it", "gave", "got", "had", "for", "has", "today", "yesterday", "this",
            "morning", "afternoon", ",", ".", "min", "mins", "minute", "minutes", "h", "hour", "hours", "each", "apiece",
        ];
        const WHY: &[&str] = &["because", "since", "as", "cos", "which"];
        const POINTS: &[&str] = &["that", "which", "it", "gave", "instead", "one", "got", "had", "has"];
        // "All but unit 3 has a leak": it may be another matter, or what was left out.
        const STATES: &[&str] = &["has", "is", "was", "still", "needs", "looks", "got", "leaks", "needed"];
        let tokens = &spoken.tokens;
        let word = |at: usize| text_at(tokens, at);
        let number = |at: usize| {
            spoken.quantities.iter().any(|one| (one.first..=one.last).contains(&at))
        };
        let all = || last + 1..tokens.len();
        let plain = all().all(|at| TIMED.contains(&word(at)) || number(at));
        let tail = || all().take_while(|at| !WHY.contains(&word(*at)));
        // "Bench one did it" says who.
        let who = |at: usize| word(at) == "it" && matches!(word(at - 1), "did" | "done" | "on" | "for");
        let counts = |at: usize| word(at) == "one" && !matches!(word(at - 1), "that" | "this");
        let points = |at: usize| POINTS.contains(&word(at)) && !who(at) && !counts(at);
        let pointed = tail().any(points) || all().any(|at| word(at) == "which");
        let work = |at: usize| {
            let deed = DEEDS.contains(&word(at)) || CARE.contains(&word(at));
            deed && !matches!(word(at), "did" | "done") && !matches!(word(at + 1), "them" | "all" | "both")
        };
        let matter = but && STATES.contains(&word(last + 1)) && !all().any(number);
        let clear = !matter && (plain || !(pointed || tail().any(work)));
        Behind { plain, pointed, clear }
    }
}

/// "15 min", "that one I gave fifteen": the minutes of the excepted alone.
pub(super) fn own_minutes(spoken: &Spoken, last: usize, index: usize) -> Option<f64> {
    let one = &spoken.quantities[index];
    let timed = matches!(one.unit, Some("min" | "h"));
    let gave = (last + 1..one.first)
        .any(|at| matches!(spoken.token(at), "gave" | "got" | "had" | "for" | "has"));
    let ends = spoken.tokens.get(one.last + 1).is_none_or(|next| next.kind == Kind::Sign);
    let only = index + 1 == spoken.quantities.len();
    if !only || !(timed || (gave && ends && one.unit.is_none())) {
        return None;
    }
    let mut spoken = spoken.clone();
    spoken.quantities[index].unit = spoken.quantities[index].unit.or(Some("min"));
    settle(&spoken, index, "duration_each_min").map(|settled| settled.value)
}

/// Field and reason, where work on all was told with some left out, and the records are of none but
/// these; or where it is only counted how many were left out.
pub(super) fn which_is_asked(
    recorded: &Recorded,
    records: &[(SubjectName, Content)],
) -> Option<(&'static str, String)> {
    let (named, tokens) = (&recorded.named, &recorded.spoken.tokens);
    let own = |name: &SubjectName| named.units.iter().any(|one| one.name == *name);
    let only = !records.is_empty() && records.iter().all(|(name, _)| own(name));
    // "Lapped all the reels but on unit 2 the bedknife is chipped".
    let but = |unit: &Mention| tokens[..unit.first].iter().any(|token| token.text == "but");
    let aside = named.all_units && !named.units.is_empty() && named.units.iter().all(but);
    let left = only && (aside || excepted(&recorded.spoken, &named.units).is_some());
    let hours = records.iter().any(|(_, content)| matches!(content.detail, Detail::Hours(_)));
    let counted = left_out_counted(tokens) && !hours;
    (left || counted).then(|| ("units", WHICH.to_owned()))
}

/// "All but 2 units of the five", "all the units but one": how many, and not which.
fn left_out_counted(tokens: &[Token]) -> bool {
    let text = |at: usize| text_at(tokens, at);
    (1..tokens.len()).any(|at| {
        let spelled = SPELLED.contains(&text(at));
        let count = spelled || text(at).parse::<u32>().is_ok_and(|count| count < 10);
        let behind = text(at + 1);
        let things = matches!(behind, "units" | "reels" | "heads" | "cylinders" | "of");
        let ends = spelled && tokens.get(at + 1).is_none_or(|next| next.kind == Kind::Sign);
        let all = tokens[..at].iter().any(|token| matches!(token.text.as_str(), "all" | "every"));
        let but = matches!(text(at - 1), "but" | "bar" | "except");
        all && but && count && (things || ends)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn how_many_were_left_out_is_not_which() {
        for (words, wanted) in [
            ("lapped all but 2 units of the greens triplex", true),
            ("lapped all the units of the greens triplex but one", true),
            ("lapped all but two of the greens triplex reels, 40 min", true),
            ("lapped all the greens triplex units but 2", false),
            ("lapped all three units of the greens triplex", false),
            ("lapped unit 1 but 2 units were fine", false),
        ] {
            assert_eq!(left_out_counted(&tokens(words)), wanted, "{words}");
        }
    }
}
