//! Which causes do words name, and which of them do they rule out? "Nothing to do with the height, we
//! checked it Friday", "it isn't the bearing, that is new": a cause that was looked at and found
//! good counts less. "Is it the bedknife or not" names one and rules out none.
//! Deliberately absent: a part that was found good (`conversation::looked_at`), the chances.

use super::catalogue::{Cause, Equipment, Knowledge};
use super::wording;

/// What stands before the thing that is ruled out; nothing of it may be left over.
const OUT: &[&str] = &[
    "nothing to do with", "not to do with", "nowt to do with", "not down to", "not because of",
    "can not be the", "can not be", "will not be the", "not due to",
    "not caused by", "ruled out", "rule out", "can rule out", "eliminated",
    "discounted", "can discount", "not the", "not a", "not an", "not my", "not our", "never the",
];
/// What stands behind it and rules it out.
const GOOD: &[&str] = &[
    "ruled out", "not it", "not the problem", "not the cause", "not to blame", "not the fault",
    "not the issue", "not the trouble", "not guilty", "out of it", "is not why", "are not why",
];
/// Words that end the thing.
const ENDS: &[&str] = &[
    "we", "i", "he", "she", "they", "because", "as", "cos", "but", "that", "thats", "this", "since",
    "so", "its", "is", "are", "was", "were", "has", "have", "just", "checked", "either", "problem",
    "issue", "fault", "cause", "trouble", "and", "though", "mate",
];
/// Words that name no cause.
const EMPTY: &[&str] = &[
    "the", "a", "an", "it", "its", "that", "this", "our", "my", "his", "unit", "units", "set", "or",
    "not", "is", "wrong", "one", "no", "of", "in", "on", "for", "to", "over", "cut", "be", "too",
    "at", "end", "so", "then", "any", "all", "machine", "first", "low", "high", "alike", "rather",
    "than", "under", "side", "through", "same", "often",
];
/// A thing is named in no more words.
const THING_WORDS_MAX: usize = 4;
/// So many causes may name one thing beside others.
const FEW: usize = 4;
/// More causes than these are named by no one thing.
const NAMED_MAX: usize = 8;

/// The words of a text, small, without signs; "isn't" is "is not".
pub fn plain(text: &str) -> Vec<String> {
    let lower = wording::plain(text);
    let words = lower.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty());
    words
        .flat_map(|word| match word {
            "isnt" | "aint" => vec!["is", "not"],
            "arent" => vec!["are", "not"],
            "wasnt" => vec!["was", "not"],
            "cant" | "couldnt" => vec!["can", "not"],
            "knife" | "knives" => vec!["bedknife"],
            word => vec![word],
        })
        .map(str::to_owned)
        .collect()
}

/// The causes of a kind that these words name by a thing of their title. None where the words
/// name no thing, or one that is in half of them.
pub fn named<'a>(knowledge: &'a Knowledge, kind: Equipment, words: &str) -> Vec<&'a Cause> {
    let terms = &knowledge.passages().terms;
    let empty = |word: &&String| !EMPTY.contains(&word.as_str());
    let text: Vec<String> = plain(words).iter().filter(empty).cloned().collect();
    let said = terms.of(&text.join(" "));
    let rows: Vec<(&Cause, Vec<String>)> = knowledge
        .causes
        .iter()
        .filter(|row| row.equipment == kind)
        .map(|row| {
            // "For the height" is what it is wrong for.
            let own = row.title.split(" for ").next().unwrap_or_default();
            let title: Vec<String> = plain(own).iter().filter(empty).cloned().collect();
            (row, terms.of(&title.join(" ")))
        })
        .collect();
    let known = |term: &&String| rows.iter().any(|(_, title)| title.contains(term));
    let things: Vec<&String> = said.iter().filter(known).collect();
    let count = |title: &[String]| things.iter().filter(|term| title.contains(term)).count();
    let most = rows.iter().map(|(_, title)| count(title)).max().unwrap_or(0);
    let fit = || rows.iter().filter(|(_, title)| count(title) == most);
    // Where many name it, those that begin with it are about it.
    let begins = |title: &[String]| title.first().is_some_and(|first| things.contains(&first));
    let own: Vec<&Cause> = fit().filter(|(_, title)| begins(title)).map(|(row, _)| *row).collect();
    let all: Vec<&Cause> = fit().map(|(row, _)| *row).collect();
    let found = if all.len() > FEW && !own.is_empty() { own } else { all };
    if most == 0 || found.len() > NAMED_MAX { Vec::new() } else { found }
}

/// The causes that are ruled out by what was said, sentence by sentence.
pub fn causes<'a>(knowledge: &'a Knowledge, kind: Equipment, words: &str) -> Vec<&'a Cause> {
    let mut found: Vec<&Cause> = Vec::new();
    let two = contrasted(knowledge, kind, words);
    found.extend(two.iter().flat_map(|two| &two.is_not).copied());
    let stays = |row: &Cause| {
        two.iter().flat_map(|two| &two.is).any(|one| one.id == row.id)
    };
    for sentence in words.split_inclusive(['.', ';', '!', '?', ',']) {
        let said = plain(sentence);
        let asks = sentence.ends_with('?') || doubts(&said);
        let Some(thing) = thing_ruled_out(&said).filter(|_| !asks) else { continue };
        for row in named(knowledge, kind, &thing) {
            if !stays(row) && !found.iter().any(|old| old.id == row.id) {
                found.push(row);
            }
        }
    }
    found
}

/// Two things held against each other: what is of the one that it is, and of the other alone.
struct Contrasted<'a> {
    is: Vec<&'a Cause>,
    is_not: Vec<&'a Cause>,
}

/// "It's the bearing that's hot, not the knife", "not the blades, it's the belt".
fn contrasted<'a>(
    knowledge: &'a Knowledge,
    kind: Equipment,
    words: &str,
) -> Option<Contrasted<'a>> {
    let said = plain(words);
    let (first, second) = two_contrasted(&said)?;
    // "It's the left side, not the right": where, and no thing.
    const SIDES: &[&str] = &["left", "right", "front", "rear", "side", "end"];
    if second.split(' ').any(|word| SIDES.contains(&word)) {
        return None;
    }
    if words.trim_end().ends_with('?') || doubts(&said) {
        return None;
    }
    let terms = &knowledge.passages().terms;
    let (first, second) = (terms.of(&first), terms.of(&second));
    let names = |text: &str, of: &[String]| {
        let text = terms.of(text);
        of.iter().any(|term| text.contains(term))
    };
    // What is mended by the first stays, whatever its title.
    let is_first = |row: &&Cause| names(&format!("{} {}", row.title, row.remedy), &first);
    let rows = || knowledge.causes.iter().filter(|row| row.equipment == kind);
    let is: Vec<&Cause> = rows().filter(is_first).collect();
    let mut is_not: Vec<&Cause> =
        rows().filter(|row| names(&row.title, &second) && !is_first(row)).collect();
    // Those that are likelier at all are named first.
    is_not.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    (!is.is_empty()).then_some(Contrasted { is, is_not })
}

/// "Bearing hot" and "bedknife", of "its the bearing thats hot not the knife".
fn two_contrasted(said: &[String]) -> Option<(String, String)> {
    const IS: &[&[&str]] = &[&["its", "the"], &["is", "the"], &["its", "a"], &["was", "the"]];
    const NOT: &[&[&str]] = &[&["not", "the"], &["not", "my"], &["not", "our"], &["not", "a"]];
    let at = |list: &[&[&str]]| said.windows(2).position(|two| list.iter().any(|one| two == *one));
    let (is, not) = (at(IS)?, at(NOT)?);
    let part = |from: usize, end: usize| {
        let kept = said[from + 2..end].iter().filter(|word| !EMPTY.contains(&word.as_str()));
        kept.map(String::as_str).collect::<Vec<_>>().join(" ")
    };
    let behind = &said[not + 2..];
    let end = behind.iter().position(|word| ENDS.contains(&word.as_str())).unwrap_or(behind.len());
    let end_of_not = not + 2 + end;
    let first = match is < not {
        true => part(is, not.max(is + 2)),
        false if end_of_not <= is => part(is, said.len().min(is + 2 + THING_WORDS_MAX)),
        false => return None,
    };
    let second = part(not, end_of_not);
    let short = (1..=THING_WORDS_MAX).contains(&end);
    (short && !first.is_empty() && !second.is_empty()).then_some((first, second))
}

/// The words with a stop before the thing that it is not, so that what stands before is not denied.
pub fn parted(words: &str) -> String {
    const NOT: &[&str] = &[", not the ", " not the ", ", not a ", ", not my ", ", not our "];
    if two_contrasted(&plain(words)).is_none() {
        return words.to_owned();
    }
    let at = NOT.iter().find_map(|not| Some((words.find(not)?, not)));
    at.map_or_else(|| words.to_owned(), |(at, not)| {
        let behind = &words[at + not.len()..];
        let not = not.trim_start_matches([',', ' ']);
        format!("{}. {not}{behind}", &words[..at])
    })
}

/// Whether what is said of a thing asks for it: "not the bearing then", "can't be that, could it".
pub fn doubts(said: &[String]) -> bool {
    const TAGS: &[&str] =
        &["then", "could it", "is it", "would it", "can it", "was it", "or not", "right", "or is it"];
    let text = said.join(" ");
    TAGS.iter().any(|tag| text.strip_suffix(tag).is_some_and(|rest| rest.ends_with(' ')))
}

/// "The height" of "nothing to do with the height we checked it", and of "the height is not it".
fn thing_ruled_out(said: &[String]) -> Option<String> {
    let text = |words: &[String]| words.join(" ");
    let joined = format!(" {} ", text(said));
    let behind = OUT.iter().find_map(|start| {
        let at = joined.find(&format!(" {start} "))?;
        Some(&joined[at + start.len() + 2..])
    });
    if let Some(behind) = behind {
        let words: Vec<&str> = behind.split_whitespace().collect();
        let end = words.iter().position(|word| ENDS.contains(word)).unwrap_or(words.len());
        return (1..=THING_WORDS_MAX).contains(&end).then(|| words[..end].join(" "));
    }
    let at = GOOD.iter().find_map(|end| joined.trim_end().strip_suffix(end).map(str::len))?;
    let before: Vec<&str> = joined[..at].split_whitespace().collect();
    let before: Vec<&str> =
        before.into_iter().filter(|word| !matches!(*word, "is" | "are" | "was" | "were")).collect();
    (1..=THING_WORDS_MAX).contains(&before.len()).then(|| before.join(" "))
}

/// What is said of them.
pub fn told(ruled_out: &[&Cause]) -> Option<String> {
    const TITLES_MAX: usize = 2;
    let first: Vec<String> =
        ruled_out.iter().take(TITLES_MAX).map(|row| format!("\"{}\"", row.title)).collect();
    let more = match ruled_out.len().saturating_sub(TITLES_MAX) {
        0 => String::new(),
        more => format!(" and {more} more of it"),
    };
    let titles = first.join(", ");
    (!first.is_empty()).then(|| format!("Counted less, as you ruled it out: {titles}{more}."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_things_are_held_against_each_other() {
        let two = |words: &str| two_contrasted(&plain(words));
        let of = |one: &str, other: &str| Some((one.to_owned(), other.to_owned()));
        assert_eq!(two("no it's the bearing that's hot not the knife"), of("bearing thats hot", "bedknife"));
        assert_eq!(two("it is the belt, not the blade, I looked"), of("belt", "blade"));
        assert_eq!(two("not the blades, it's the belt"), of("belt", "blades"));
        assert_eq!(two("it is not the belt"), None);
        assert_eq!(parted("it's the belt, not the blades"), "it's the belt. not the blades");
        assert_eq!(parted("it is not the belt"), "it is not the belt");
    }

    #[test]
    fn a_thing_is_ruled_out_before_or_behind() {
        for (words, wanted) in [
            ("nothing to do with height we checked it friday", Some("height")),
            ("it isn't the bearing", Some("bearing")),
            ("we ruled out the drive belt", Some("the drive belt")),
            ("the roller is not it", Some("the roller")),
            ("it is not cutting", None),
            ("behind unit 3", None),
        ] {
            assert_eq!(thing_ruled_out(&plain(words)).as_deref(), wanted, "{words}");
        }
    }
}
