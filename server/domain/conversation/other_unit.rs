//! What do earlier words come to with another unit, the value of one unit, another part or another
//! machine in them: "sorry its 4", "1 should be 3.6", "nope, belt", "sorry, walker 2"?
//! Deliberately absent: numbers, ends and days that are put right (`follow_up`).

use super::follow_up::{Earlier, FollowUp, PAIRS, all_numbers, without_correction, words_put_in};
use super::other_subject::{Named, is_name_word, subject_put_in};
use super::spoken_of;
use crate::domain::intent::names::SPELLED;
use crate::domain::intent::subject_words::{HEADS, PARTS};
use crate::domain::number_text::read_number;
use crate::domain::units::{Kind, Unit};
use crate::domain::wording::{bare_number, bare_word};

/// "4, left rear", "2 not 3": another unit of what was spoken of, where no number was said that it
/// could be instead.
pub(super) fn unit_put_in(rest: &str, earlier: &Earlier) -> Option<String> {
    const UNITS_MAX: u32 = 12;
    let (first, behind) = rest.split_once([',', ' ']).unwrap_or((rest, ""));
    let number: u32 = first.parse().ok().filter(|number| (1..=UNITS_MAX).contains(number))?;
    let sides = |word: &str| PAIRS.iter().any(|(one, other)| word == *one || word == *other);
    let place = |word: &str| {
        sides(word) || matches!(word, "centre" | "center" | "middle" | "one" | "unit" | "the" | "hand")
    };
    let placed = behind.split_whitespace().all(|word| place(&word.to_lowercase()));
    // "Leaves a streak behind 2": where no machine was understood.
    let nameless = earlier.about.is_empty();
    let behind = nameless.then(|| numbered_put_in(&earlier.words, number)).flatten();
    if placed && behind.is_some() {
        return behind;
    }
    let of_a_machine = !earlier.about.is_empty();
    let numbers = all_numbers(earlier);
    // "Took 20 min": 25 would be of the minutes.
    let other = numbers.iter().any(|number| number.meant != "not used" || !number.unit.is_empty());
    if !placed || !of_a_machine || other {
        return None;
    }
    subject_put_in(&earlier.words, &number.to_string(), &earlier.about)
}

/// Words around a unit and its value that say nothing themselves.
const AROUND: &[&str] = &[
    "on", "oh", "he", "she", "they", "i", "we", "means", "meant", "mean", "of", "for", "it", "that", "no",
    "make", "should", "be", "is", "was", "to", "at", "unit", "no", "number", "sorry", "actually", "reads",
    "=", "now",
];

/// "1 should be 3.6", "make 3 9.5": another value of one of the units that were told.
pub(super) fn value_of_unit(words: &str, earlier: &Earlier) -> Option<String> {
    const NEAR: usize = 4;
    // ".140" begins with its point.
    let bare = |word: &str| {
        word.trim_matches([',', ';', ':']).trim_end_matches('.').to_lowercase()
    };
    let figured = figured(words);
    let (words, both) = without_both_ends(&figured);
    let said: Vec<String> = words.split_whitespace().map(bare).collect();
    let rest: Vec<&String> = said.iter().filter(|word| !AROUND.contains(&word.as_str())).collect();
    let [one, two] = rest[..] else { return None };
    // "9.3 on 3".
    let (unit, value) = if one.contains('.') { (two, one) } else { (one, two) };
    let whole = unit.len() <= 2 && unit.chars().all(|ch| ch.is_ascii_digit());
    let figure = |ch: char| ch.is_ascii_digit() || ch == '.';
    let measured = value.contains('.') && value.starts_with(figure);
    let told = figured_rows(&earlier.words);
    let parts: Vec<&str> = told.split_whitespace().collect();
    let number = |word: &str| bare(word).contains('.') && read_number(&bare(word)).is_ok();
    if both {
        let values: Vec<usize> = (0..parts.len()).filter(|at| number(parts[*at])).collect();
        let unit: usize = unit.parse().ok().filter(|_| whole && measured)?;
        return both_ends_of(&parts, &values, unit, value);
    }
    let place = |at: usize| {
        (at + 1..parts.len().min(at + 1 + NEAR)).find(|next| number(parts[*next]))
    };
    let before = |at: usize| {
        let on = at > 1 && matches!(bare(parts[at - 1]).as_str(), "on" | "unit");
        let back = if on && bare(parts[at - 1]) == "unit" { 3 } else { 2 };
        at.checked_sub(back).filter(|value| on && number(parts[*value]))
    };
    let value_of = |at: usize| before(at).or_else(|| place(at));
    // "All 3" counts, and names no unit.
    let counts = |at: usize| at > 0 && bare(parts[at - 1]) == "all";
    let named = |at: &usize| bare(parts[*at]) == *unit && !counts(*at);
    let mut found = (0..parts.len()).filter(named).filter_map(value_of);
    if !whole || !measured {
        return None;
    }
    // "Bench .138 all three", "sorry, unit 3 was .140": the others keep what was told of all.
    let all = || {
        let word = |text: &&str| {
            matches!(bare(text).as_str(), "all" | "both" | "each" | "every" | "them" | "everything")
        };
        let one = parts.iter().filter(|part| number(part)).count() == 1;
        let several = parts.iter().any(|part| word(&part));
        (one && several).then(|| format!("{}, unit {unit} at {value}", earlier.words))
    };
    match (found.next(), found.next()) {
        (Some(at), None) => Some(words_put_in(&parts, at..at + 1, value)),
        (None, _) => all().or_else(|| in_the_row(&parts, unit, value)),
        _ => None,
    }
}

/// "Two is .140", of a bare row of three or five: the one of that unit by the order of the row.
fn in_the_row(parts: &[&str], unit: &str, value: &str) -> Option<String> {
    let number = |at: &usize| {
        let word = bare_number(parts[*at]);
        word.contains('.') && read_number(word).is_ok()
    };
    let values: Vec<usize> = (0..parts.len()).filter(number).collect();
    // A row stands together, with nothing told of any.
    let row = values.windows(2).all(|pair| pair[1] == pair[0] + 1);
    let unit: usize = unit.parse().ok().filter(|_| row && matches!(values.len(), 3 | 5))?;
    both_ends_of(parts, &values, unit, value)
}

/// "Two is .140": a number in words that begins what is said of a unit, in figures.
fn figured(words: &str) -> String {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let number = |at: usize| {
        let says = parts.get(at + 1).is_some_and(|next| {
            matches!(*next, "is" | "was" | "should" | "reads" | "read" | "=")
        });
        let spelled = |word: &&&str| word.eq_ignore_ascii_case(bare_word(parts[at]));
        // "That one is 12.5", "the left one is" point at something.
        let before = at.checked_sub(1).map(|at| parts[at]);
        let begins = before.is_none_or(|before| {
            let word = bare_word(before).to_lowercase();
            before.ends_with([',', ';', '.', ':'])
                || matches!(word.as_str(), "unit" | "number" | "no" | "sorry" | "and" | "heights" | "actually" | "nope")
        });
        let nth = SPELLED.iter().position(|word| spelled(&word)).filter(|_| says && begins)?;
        Some((nth + 1).to_string())
    };
    let each = (0..parts.len()).map(|at| number(at).unwrap_or_else(|| parts[at].to_owned()));
    each.collect::<Vec<String>>().join(" ")
}

/// The same of what was told before, where more than one is so.
fn figured_rows(words: &str) -> String {
    let new = figured(words);
    let pairs = words.split_whitespace().zip(new.split_whitespace());
    if pairs.filter(|(old, new)| old != new).count() > 1 { new } else { words.to_owned() }
}

/// What is said without "on both ends" behind it, and whether that stood there.
fn without_both_ends(words: &str) -> (&str, bool) {
    const BOTH: &[&str] = &[" both ends", " both sides", " each end", " either end", " all along", " both"];
    let plain = words.trim_end_matches(['.', '!', ' ']);
    let Some(rest) = BOTH.iter().find_map(|both| plain.strip_suffix(both)) else {
        return (words, false);
    };
    let rest = rest.trim_end_matches([',', ' ']);
    let rest = [" on", " at"].iter().find_map(|link| rest.strip_suffix(link)).unwrap_or(rest);
    (rest, true)
}

/// One value in the place of both that a unit was told with: behind its number, else by the order
/// of the row where no unit was told.
fn both_ends_of(parts: &[&str], values: &[usize], unit: usize, value: &str) -> Option<String> {
    let small = |at: usize| parts[at].trim_matches([',', ';', ':']).parse::<usize>().ok();
    let told = |at: usize| {
        values.contains(&at) || parts.get(at).is_some_and(|next| {
            matches!(*next, "is" | "was" | "left" | "right" | "l" | "r" | "lh" | "rh")
        })
    };
    let units: Vec<usize> =
        (0..parts.len()).filter(|at| small(*at).is_some() && told(at + 1)).collect();
    let own: Vec<usize> = match units.iter().position(|at| small(*at) == Some(unit)) {
        Some(nth) => {
            let end = units.get(nth + 1).copied().unwrap_or(parts.len());
            values.iter().copied().filter(|at| (units[nth]..end).contains(at)).collect()
        }
        // One of each, or the ends of each, of three or five units.
        None if units.is_empty() => match values.len() {
            3 | 5 => values.get(unit.checked_sub(1)?..unit)?.to_vec(),
            6 | 10 => values.get((unit.checked_sub(1)?) * 2..unit * 2)?.to_vec(),
            _ => return None,
        },
        None => return None,
    };
    let mut out: Vec<String> = parts.iter().map(|part| (*part).to_owned()).collect();
    for at in &own {
        let sign = if out[*at].ends_with(',') { "," } else { "" };
        out[*at] = format!("{value}{sign}");
    }
    matches!(own.len(), 1 | 2).then(|| out.join(" "))
}

/// "2 was six thou", of "five thou off 1, five off 2": another amount of one of the units, said with
/// its unit of length.
pub(super) fn amount_of_unit(words: &str, earlier: &Earlier) -> Option<String> {
    const BESIDE: &[&str] = &["on", "off", "from", "of"];
    let bare = |word: &str| word.trim_matches([',', ';', ':']).trim_end_matches('.').to_lowercase();
    let length = |text: &str| {
        let unit = read_number(text).ok().and_then(|read| Unit::named(&read.rest));
        unit.is_some_and(|unit| unit.kind == Kind::Length)
    };
    let said: Vec<String> = words.split_whitespace().map(bare).collect();
    let rest = said.iter().map(String::as_str).filter(|word| !AROUND.contains(word));
    let rest: Vec<&str> = rest.collect();
    let whole = |word: &&str| word.len() <= 2 && word.chars().all(|ch| ch.is_ascii_digit());
    let (first, last) = (*rest.first()?, *rest.last()?);
    let ahead = (first, rest[1..].join(" "));
    let behind = (last, rest[..rest.len() - 1].join(" "));
    let fits = |(unit, value): &(&str, String)| whole(unit) && length(value);
    let (unit, value) = [ahead, behind].into_iter().find(fits)?;
    let parts: Vec<&str> = earlier.words.split_whitespace().collect();
    let amount = |from: usize, to: usize| {
        let text = parts[from..to].iter().map(|part| bare(part)).collect::<Vec<_>>().join(" ");
        read_number(&text).is_ok_and(|read| read.rest.is_empty()) || length(&text)
    };
    let place = |at: usize| {
        let linked = at > 1 && BESIDE.contains(&bare(parts[at - 1]).as_str());
        let beside = linked && bare(parts[at]) == unit;
        let from = [3, 2].into_iter().filter_map(|back| at.checked_sub(back));
        from.filter(|_| beside).find(|from| amount(*from, at - 1)).map(|from| from..at - 1)
    };
    let mut found = (0..parts.len()).filter_map(place);
    match (found.next(), found.next()) {
        (Some(place), None) => Some(words_put_in(&parts, place, &value)),
        (None, _) if of_one_machine(&parts, &earlier.about) => each_apart(&parts, unit, &value),
        _ => None,
    }
}

/// Whether all that was told is of one machine whose units are numbers: "both walkers" are two.
fn of_one_machine(parts: &[&str], about: &Named) -> bool {
    let several = |part: &&str| {
        let word = bare_word(part).to_lowercase();
        // "Both cutters" may be two of one machine.
        let unit = matches!(word.as_str(), "cutters" | "decks");
        let machine = |one: &str| HEADS.contains(&one) || about.has(one);
        !unit && word.strip_suffix('s').is_some_and(machine)
    };
    about.numbers_its_units() && !parts.iter().any(|part| several(&part))
}

/// "Ground all three, took five thou off each", and 2 was six: each unit with its own amount.
fn each_apart(parts: &[&str], unit: &str, value: &str) -> Option<String> {
    const COUNTS: &[&str] = &["two", "three", "four", "five", "six", "seven"];
    let bare = |at: usize| bare_word(parts[at]).to_lowercase();
    let counted = |at: usize| -> Option<usize> {
        let next = parts.get(at + 1).map(|_| bare(at + 1)).unwrap_or_default();
        let spelled = COUNTS.iter().position(|word| *word == next).map(|at| at + 2);
        match bare(at).as_str() {
            "both" => Some(2),
            "all" => spelled.or_else(|| next.parse().ok()),
            _ => None,
        }
    };
    let count = (0..parts.len()).find_map(counted).filter(|count| (2..=7).contains(count))?;
    let own: usize = unit.parse().ok().filter(|own| (1..=count).contains(own))?;
    // "Took five thou off each": the amount stands between.
    let took = (0..parts.len()).find(|at| matches!(bare(*at).as_str(), "took" | "taken" | "removed" | "lost"))?;
    let off = (took + 2..parts.len()).find(|at| matches!(bare(*at).as_str(), "off" | "from"))?;
    let all = matches!(parts.get(off + 1).map(|_| bare(off + 1))?.as_str(), "each" | "all" | "both" | "them");
    let amount = parts[took + 1..off].join(" ");
    let told = |at: usize| format!("{} off {at}", if at == own { value } else { amount.as_str() });
    let each: Vec<String> = (1..=count).map(told).collect();
    let counted = parts.get(off + 2).is_some_and(|_| COUNTS.contains(&bare(off + 2).as_str()));
    let last = off + 1 + usize::from(counted);
    let known = all && read_number(&amount).is_ok();
    known.then(|| words_put_in(parts, took + 1..last + 1, &each.join(", ")))
}

/// Another number in the place of the only one that is that of a unit.
fn numbered_put_in(words: &str, number: u32) -> Option<String> {
    let parts: Vec<&str> = words.split_whitespace().collect();
    let bare = |word: &str| word.trim_matches([',', '.', ';']).to_lowercase();
    let unit = |at: &usize| {
        let before = bare(parts[*at - 1]);
        let names = is_name_word(&before) || matches!(before.as_str(), "behind" | "on");
        names && bare(parts[*at]).parse::<u32>().is_ok_and(|old| old < 100)
    };
    let mut found = (1..parts.len()).filter(unit);
    let (Some(at), None) = (found.next(), found.next()) else { return None };
    let new = number.to_string();
    let mut out = parts.clone();
    out[at] = &new;
    Some(out.join(" "))
}

/// "Sorry, walker 2": the earlier words of another machine.
pub(super) fn machine_put_in(words: &str, earlier: &Earlier) -> Option<String> {
    const NAME_WORDS_MAX: usize = 4;
    let rest = without_correction(words.trim_end_matches(['.', '!']))?;
    let named: Vec<String> = rest.split_whitespace().map(str::to_lowercase).collect();
    let of_machine = |word: &String| HEADS.contains(&word.as_str()) || earlier.about.has(word);
    let machine = named.iter().any(of_machine);
    let plain = named.len() <= NAME_WORDS_MAX && !rest.ends_with('?') && !earlier.words.is_empty();
    (machine && plain).then(|| subject_put_in(&earlier.words, rest, &earlier.about)).flatten()
}

/// "Nope, seals": the only part of the earlier words is that one.
pub(super) fn part_instead(words: &str, earlier: &Earlier) -> Option<String> {
    let bare = words.split_whitespace().map(bare_word);
    let said: Vec<String> = bare.map(str::to_lowercase).collect();
    let [no, part] = &said[..] else { return None };
    let is_part = |word: &str| spoken_of::PARTS.contains(&word);
    let mut told = earlier.words.split_whitespace().filter(|word| is_part(&word.to_lowercase()));
    let (Some(only), None) = (told.next(), told.next()) else { return None };
    let corrects = matches!(no.as_str(), "no" | "nope" | "nah" | "naw") && is_part(part);
    corrects.then(|| earlier.words.replacen(only, part, 1))
}

/// "Nope, belt": another part than the one that was told, of the record that is open.
pub(super) fn part_put_in(rest: &str, earlier: &Earlier) -> Option<FollowUp> {
    const PART_WORDS_MAX: usize = 4;
    let words: Vec<String> = rest.split_whitespace().map(str::to_lowercase).collect();
    let is_part = |word: &String| {
        let one = word.strip_suffix('s').unwrap_or(word);
        PARTS.contains(&word.as_str()) || PARTS.contains(&one)
    };
    let plain = words.len() <= PART_WORDS_MAX && words.iter().any(is_part);
    let told = || {
        earlier.words.split_whitespace().map(str::to_lowercase).any(|word| is_part(&word))
    };
    (plain && told()).then(|| FollowUp::Words(format!("{}, no, {rest}", earlier.words)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn earlier(words: &str, about: &str) -> Earlier {
        Earlier { words: words.to_owned(), numbers: Vec::new(), about: Named::of(about) }
    }

    #[test]
    fn another_unit_part_or_machine_stands_where_the_old_one_stood() {
        let quint = "sites/home/machines/meadow-quint/units/3";
        let case = earlier("meadow quint no 3, ribs each pass", quint);
        let got = unit_put_in("4, left rear", &case);
        assert_eq!(got.as_deref(), Some("meadow quint no 4, ribs each pass"));
        let behind = earlier("a streak behind 2", "");
        assert_eq!(unit_put_in("3", &behind).as_deref(), Some("a streak behind 3"));
        let set = earlier("set unit 1 at 3.5, unit 2 at 3.6", quint);
        let got = value_of_unit("1 should be 3.7", &set);
        assert_eq!(got.as_deref(), Some("set unit 1 at 3.7, unit 2 at 3.6"));
        assert_eq!(value_of_unit("should be 3.7", &set), None);
        let all = earlier("triplex bench .138 all 3 today", quint);
        let got = value_of_unit("sorry unit 3 was .140", &all);
        assert_eq!(got.as_deref(), Some("triplex bench .138 all 3 today, unit 3 at .140"));
        for (told, words, wanted) in [
            ("heights one is .138 and .137, two is .139 and .137", "two is .140 on both ends",
                Some("heights 1 is .138 and .137, 2 is .140 and .140")),
            ("triplex heights unit 1 3.48 3.5, unit 2 3.48 3.49", "2 is 3.52 both ends",
                Some("triplex heights unit 1 3.48 3.5, unit 2 3.52 3.52")),
            ("triplex heights .138 .139 .138 by unit", "no two is .140 on both ends",
                Some("triplex heights .138 .140 .138 by unit")),
            ("triplex heights 3.5 3.5", "two is 3.52 on both ends", None),
            ("triplex heights .138 .139 .138", "two is .140", Some("triplex heights .138 .140 .138")),
            ("triplex heights unit 1 left 3.48 right 3.5, unit 2 left 3.48 right 3.49", "no 2 is 3.52 both ends",
                Some("triplex heights unit 1 left 3.48 right 3.5, unit 2 left 3.52 right 3.52")),
            ("triplex heights unit 1 12.1, unit 2 12.2", "that one is 12.5", None),
        ] {
            assert_eq!(value_of_unit(words, &earlier(told, quint)).as_deref(), wanted, "{words}");
        }
        let quint = "sites/home/machines/meadow-quint";
        let off = earlier("took five thou off 1, six off 2 and five off 3", quint);
        let each = earlier("ground all three reels, took five thou off each, cuts paper", quint);
        let got = amount_of_unit("sorry, 2 was six thou", &each);
        let wanted = "ground all three reels, took five thou off 1, six thou off 2, five thou off 3, cuts paper";
        assert_eq!(got.as_deref(), Some(wanted));
        // Two machines with a reel each have no unit 1 and 2.
        let walker = "sites/home/machines/walker-1/units/reel";
        for words in ["ground both walkers, took five thou off each",
            "ground walker 1 and 2, took five thou off both"]
        {
            assert_eq!(amount_of_unit("1 was six thou", &earlier(words, walker)), None, "{words}");
            assert_eq!(amount_of_unit("1 was six thou", &earlier(words, "")), None, "{words}");
        }
        for (words, wanted) in [
            ("no, 2 was 7 thou", Some("took five thou off 1, 7 thou off 2 and five off 3")),
            ("six thou on 1", Some("took six thou off 1, six off 2 and five off 3")),
            ("2 was fine", None),
        ] {
            assert_eq!(amount_of_unit(words, &off).as_deref(), wanted, "{words}");
        }
        let belt = part_put_in("belt", &earlier("blades changed on the deck", quint));
        assert!(matches!(belt, Some(FollowUp::Words(words)) if words.ends_with("no, belt")));
        assert_eq!(part_put_in("yesterday", &set), None);
        let walker = earlier("walker 1 squeals", "sites/home/machines/walker-1");
        let got = machine_put_in("sorry, walker 2", &walker);
        assert_eq!(got.as_deref(), Some("walker 2 squeals"));
    }
}
