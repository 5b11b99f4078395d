//! What do earlier words come to when they are told of something else: "same for unit 4", "did the
//! same on B", "ditto the left one"? The words with the new unit or machine in the place of the one
//! they were about; where they named none, it is added.

use super::follow_up::{PAIRS, after, side_put_in};

/// What earlier words were about, each name as its words in small letters.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Named {
    machine: Vec<String>,
    unit: Vec<String>,
}

impl Named {
    /// From a resource name: "sites/home/machines/old-bess/units/4".
    pub fn of(subject: &str) -> Named {
        let parts: Vec<&str> = subject.split('/').collect();
        let called = |collection: &str| -> Vec<String> {
            let at = parts.iter().position(|part| *part == collection);
            let id = at.and_then(|at| parts.get(at + 1)).copied().unwrap_or_default();
            id.split('-').filter(|word| !word.is_empty()).map(str::to_owned).collect()
        };
        Named { machine: called("machines"), unit: called("units") }
    }

    /// Whether a word is one of the machine's name.
    pub fn has(&self, word: &str) -> bool {
        self.machine.iter().any(|part| part == word)
    }

    pub fn is_empty(&self) -> bool {
        self.machine.is_empty()
    }

    /// Whether the units of a machine may be numbers: none was named, or one that is a number.
    pub fn numbers_its_units(&self) -> bool {
        let number = |word: &String| word.chars().all(|ch| ch.is_ascii_digit());
        !self.machine.is_empty() && self.unit.iter().all(number)
    }

    pub fn names_a_unit(&self) -> bool {
        !self.unit.is_empty()
    }
}

/// Words that stand before the name of a unit, machine or area.
const SUBJECT_WORDS: &[&str] = &["unit", "number", "no", "machine", "deck", "reel", "green"];
/// Where on a machine a unit sits; the sides are among `PAIRS`.
const PLACES: &[&str] = &["centre", "center", "middle", "inner", "outer", "outside", "inside"];
/// Words that may go with a place and add nothing.
const BESIDE_PLACES: &[&str] = &["one", "unit", "reel", "end", "side", "hand", "head", "deck"];
/// Those that say it is an end of a unit.
const ENDS: &[&str] = &["end", "side"];
/// Words before and behind a name that are no part of it.
const BEFORE: &[&str] = &["on ", "for ", "with ", "to ", "the "];
const BEHIND: &[&str] = &[" too", " as well", " also", " now", " then", " please"];

/// Ends that say that the same was done to one more.
const AS_WELL: &[&str] = &[
    "too", "as well", "aswell", "also", "same", "the same", "same again", "same thing", "ditto",
    "likewise", "same there", "same for that", "same on that", "again", "done too", "done as well",
    "same way", "the same way", "in the same way",
];
/// Beginnings of it.
const AND: &[&str] = &["and ", "also ", "then ", "plus ", "oh and ", "and also ", "and then "];
/// Words that no name of a unit or machine holds.
const NO_NAME: &[&str] = &[
    "is", "was", "are", "were", "it", "that", "no", "not", "has", "have", "will", "what", "who", "mm",
    "min", "mins", "minutes", "hours", "hrs", "thou", "grit", "if", "for", "at", "today", "yesterday",
    "up", "down", "raised", "lowered", "more", "less", "by", "from", "turn", "turns", "flat", "flats",
    "click", "clicks", "i", "we", "he", "they", "yes", "ok", "then", "greased", "lapped", "backlapped", "ground", "spun",
];
/// A name is no longer.
const NAME_WORDS_MAX: usize = 5;

/// "Triplex 2 too", "and tees 2 as well, same": what is named, when nothing else is told of it.
pub fn named_as_well(words: &str) -> Option<String> {
    let lower = words.to_lowercase();
    let mut rest = lower.trim().trim_end_matches(['.', '!']).trim();
    let begun = AND.iter().filter_map(|start| rest.strip_prefix(start));
    let begun = begun.min_by_key(|rest| rest.len());
    let mut said = begun.is_some();
    rest = begun.unwrap_or(rest).trim_start_matches("did ").trim_start_matches("on ");
    loop {
        let shorter = AS_WELL.iter().filter_map(|end| {
            let before = rest.strip_suffix(end)?;
            before.ends_with([' ', ',']).then(|| before.trim_end_matches([' ', ',']))
        });
        match shorter.min_by_key(|rest| rest.len()) {
            Some(shorter) => (rest, said) = (shorter, true),
            None => break,
        }
    }
    let parts: Vec<&str> = rest.split_whitespace().collect();
    let named = !parts.is_empty() && parts.len() <= NAME_WORDS_MAX
        && !parts.iter().any(|part| {
            NO_NAME.contains(&part.trim_matches([',', ';'])) || part.contains('.')
        });
    (said && named).then(|| rest.to_owned())
}

/// "Unit 4", "the reel 2", and nothing more.
pub fn names_a_subject(rest: &str) -> bool {
    let lower = rest.to_lowercase();
    let mut words = lower.split_whitespace().skip_while(|word| matches!(*word, "on" | "the"));
    let (Some(first), Some(second), None) = (words.next(), words.next(), words.next()) else {
        return false;
    };
    SUBJECT_WORDS.contains(&first.trim_end_matches('.')) && is_short_name(second)
}

/// Whether the word behind this one is a name: "unit 3", "no. 2".
pub fn is_name_word(word: &str) -> bool {
    const OTHERS: &[&str] = &["units", "reels", "walker", "triplex", "fairway", "bench", "green"];
    let lower = word.to_lowercase();
    let bare = lower.trim_end_matches('.');
    SUBJECT_WORDS.contains(&bare) || OTHERS.contains(&bare)
}

fn is_short_name(word: &str) -> bool {
    word.chars().count() <= 3 && word.chars().all(char::is_alphanumeric)
}

/// The earlier words told of `said` instead of what they were `about`.
pub fn subject_put_in(words: &str, said: &str, about: &Named) -> Option<String> {
    let new = bare(said);
    if new.is_empty() {
        return None;
    }
    let parts: Vec<&str> = words.split_whitespace().collect();
    if names_a_place(new) {
        return Some(place_put_in(words, &parts, new, about));
    }
    if let Some(at) = numbered(&parts)
        && (is_short_name(new) || names_a_subject(new))
    {
        // "Same for 4" keeps the word that stands before the number.
        let kept = if is_short_name(new) { at + 1 } else { at };
        return Some(replaced(&parts, (kept, at + 1), new));
    }
    // "Tees 2", and then "unit 1": the number behind the name of the machine.
    if let Some(at) = number_of_unit(&parts, about)
        && (is_short_name(new) || names_a_subject(new) || is_unit_of(new, about))
    {
        let number = new.split_whitespace().next_back().unwrap_or(new);
        return Some(replaced(&parts, (at, at), number));
    }
    let machine = find(&parts, &about.machine);
    Some(match machine {
        // "Triplex A", and then "B".
        Some((first, last))
            if last > first && is_short_name(new) && is_short_name(plain(parts[last])) =>
        {
            replaced(&parts, (last, last), new)
        }
        Some(at) if !names_a_subject(new) => replaced(&parts, at, new),
        _ => format!("{words} on {new}"),
    })
}

/// "The right rear", "the other end": an end, the unit that sits there, or the unit by its number.
fn place_put_in(words: &str, parts: &[&str], new: &str, about: &Named) -> String {
    let places: Vec<&str> = new.split_whitespace().filter(|word| is_place(word)).collect();
    let places = places.join(" ");
    let of_an_end = new.split_whitespace().any(|word| ENDS.contains(&word));
    let end = side_put_in(new, words).filter(|_| of_an_end);
    let unit = || {
        let named = format!("{places} unit");
        let numbered = numbered(parts).map(|at| replaced(parts, (at, at + 1), &named));
        let by_place = about.unit.iter().all(|word| is_place(word));
        numbered.or_else(|| {
            find(parts, &about.unit).filter(|_| by_place).map(|at| replaced(parts, at, &places))
        })
    };
    end.or_else(unit).or_else(|| side_put_in(new, words)).unwrap_or(format!("{words} on {new}"))
}

/// Without the words around a name.
fn bare(said: &str) -> &str {
    let mut new = said.trim();
    while let Some(rest) = BEFORE.iter().find_map(|word| after(new, word)) {
        new = rest;
    }
    while let Some(rest) = BEHIND.iter().find_map(|word| new.strip_suffix(word)) {
        new = rest.trim_end();
    }
    new
}

fn is_place(word: &str) -> bool {
    let side = |(one, other): &(&str, &str)| word == *one || word == *other;
    PLACES.contains(&word) || PAIRS.iter().any(side)
}

/// "Left", "the right hand one", "centre unit": only where it sits.
fn names_a_place(new: &str) -> bool {
    let lower = new.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    words.iter().any(|word| is_place(word))
        && words.iter().all(|word| is_place(word) || BESIDE_PLACES.contains(word))
}

/// A word without the sign behind it.
fn plain(word: &str) -> &str {
    word.trim_end_matches([',', '.', ';', ':'])
}

/// Where "unit 3" stands: its first word.
fn numbered(parts: &[&str]) -> Option<usize> {
    parts.windows(2).position(|pair| {
        let first = pair[0].to_lowercase();
        let number = plain(pair[1]);
        SUBJECT_WORDS.contains(&first.trim_end_matches('.'))
            && is_short_name(number)
            && number.chars().any(|ch| ch.is_ascii_digit())
    })
}

/// Where the number of the unit stands, when it stands once and behind a word of its machine.
fn number_of_unit(parts: &[&str], about: &Named) -> Option<usize> {
    let [unit] = &about.unit[..] else { return None };
    let of_machine = |word: &str| {
        let word = plain(word).to_lowercase();
        let word = word.trim_end_matches('s');
        about.machine.iter().any(|part| part.trim_end_matches('s') == word)
    };
    let is = |at: &usize| plain(parts[*at]) == unit && of_machine(parts[at - 1]);
    let mut found = (1..parts.len()).filter(is);
    match (found.next(), found.next()) {
        (Some(at), None) => Some(at),
        _ => None,
    }
}

/// "Triplex 1" beside "triplex 3": a number behind a word of the same machine.
fn is_unit_of(new: &str, about: &Named) -> bool {
    let parts: Vec<&str> = new.split_whitespace().collect();
    let [before @ .., last] = &parts[..] else { return false };
    let own = |word: &&str| {
        let word = word.to_lowercase();
        about.machine.iter().any(|part| part.trim_end_matches('s') == word.trim_end_matches('s'))
    };
    !before.is_empty() && before.iter().all(own) && is_short_name(last)
}

/// Where a name stands: its first and last word.
fn find(parts: &[&str], name: &[String]) -> Option<(usize, usize)> {
    if name.is_empty() {
        return None;
    }
    let at = parts.windows(name.len()).position(|window| {
        window.iter().zip(name).all(|(part, word)| plain(part).eq_ignore_ascii_case(word))
    })?;
    Some((at, at + name.len() - 1))
}

/// The words with others in the place of some of them; the sign behind those stays.
fn replaced(parts: &[&str], (first, last): (usize, usize), new: &str) -> String {
    let sign = &parts[last][plain(parts[last]).len()..];
    let new = format!("{new}{sign}");
    let mut out: Vec<&str> = parts[..first].to_vec();
    out.push(&new);
    out.extend(&parts[last + 1..]);
    out.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_new_name_stands_where_the_old_one_stood() {
        let bess = "sites/home/machines/old-bess/units/3";
        let triplex = "sites/home/machines/triplex-a";
        let centre = "sites/home/machines/gang/units/centre";
        for (words, about, said, wanted) in [
            ("spun unit 3 on Old Bess, 20 min", bess, "4", "spun unit 4 on Old Bess, 20 min"),
            ("spun unit 3 on Old Bess, 20 min", bess, "unit 4 too", "spun unit 4 on Old Bess, 20 min"),
            ("spun unit 3 on Old Bess, 20 min", bess, "the gang", "spun unit 3 on gang, 20 min"),
            ("greased triplex A, 10 min", triplex, "B", "greased triplex B, 10 min"),
            ("greased triplex A, 10 min", triplex, "triplex C", "greased triplex C, 10 min"),
            ("greased it, 10 min", triplex, "B", "greased it, 10 min on B"),
            ("raised the left end 0.3", "", "the right one", "raised the right end 0.3"),
            ("new seals, centre unit, gang", centre, "the left one", "new seals, left unit, gang"),
            ("ground the reel to 126", "", "unit 4", "ground the reel to 126 on unit 4"),
            ("greased it", "", "on unit 4", "greased it on unit 4"),
            ("3 hours on unit 3, Bess", bess, "the centre one", "3 hours on centre unit, Bess"),
            ("spun left front unit", "", "the right rear", "spun right rear unit"),
            ("raised the left end of unit 3", bess, "right end", "raised the right end of unit 3"),
        ] {
            let got = subject_put_in(words, said, &Named::of(about));
            assert_eq!(got.as_deref(), Some(wanted), "{words}: {said}");
        }
        assert_eq!(subject_put_in("greased it", " ", &Named::default()), None);
    }
}
