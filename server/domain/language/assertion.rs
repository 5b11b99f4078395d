//! Is a matched phrase stated, denied, told of the past, or only guessed?
//!
//! The scope rules of clinical negation detection (NegEx and ConText, published), with this trade's
//! trap: many faults are themselves negated verbs ("not cutting"), so a phrase that holds its own
//! negator is never negated by it.

use super::patterns::Word;

/// How a phrase is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Assertion {
    Stated,
    Denied,
    /// A guess, a condition, or something of the past: neither heard nor denied.
    Unsaid,
}

/// How far back a negator or a guess reaches, in words (8 of the published 1..15 did best).
const REACH: usize = 8;

const NEGATORS: &[&str] = &[
    "not", "no", "never", "without", "none", "nothing", "neither", "nor", "nobody", "nowt", "zero",
    "nil",
];

/// Words at which a negator's scope ends.
const CUTS: &[&str] = &[
    "but", "except", "though", "although", "however", "whereas", "while", "because", "since", "so",
    "yet", "then", "until", "till", "unless", "apart", "when", "where", "which", "just", "still",
];

/// "and" followed by one of these begins a statement of its own.
const STARTS: &[&str] = &[
    "it", "the", "they", "we", "i", "you", "there", "is", "are", "now", "then", "its", "still",
    "all", "both", "one", "that", "this", "he", "she", "leaves", "leaving", "cuts", "has", "have",
    "had", "my", "our", "every", "each", "got", "gets", "keeps",
];

/// "and" and a noun followed by one of these begin a statement of their own, too.
const VERBS: &[&str] = &[
    "is", "are", "was", "gets", "got", "has", "have", "comes", "goes", "keeps", "leaves", "looks",
    "feels", "sounds", "runs", "starts", "ends", "cuts", "shakes", "squeals",
];

/// A negator followed by one of these denies nothing.
const PSEUDO_AFTER: &[&str] = &[
    "only",
    "doubt",
    "wonder",
    "matter",
    "idea",
    "reason",
    "change",
    "difference",
    "better",
    "worse",
    "sure",
    "know",
    "just",
    "problem",
    "bother",
    "choice",
    "end",
    "luck",
    "joke",
    "amount",
    "use",
    "help",
    "expert",
    "certain",
    "half",
    "touched",
    "quite",
    "as",
    "improvement",
    "longer",
    "turn",
];

/// Words that make what follows a guess or a condition.
const STRONG_GUESS: &[&str] = &[
    "if",
    "might",
    "maybe",
    "perhaps",
    "possibly",
    "wonder",
    "wondering",
    "whether",
    "suppose",
    "presume",
    "assume",
    "assuming",
    "wondered",
];
const WEAK_GUESS: &[&str] = &[
    "reckon",
    "reckons",
    "think",
    "thinks",
    "thought",
    "guess",
    "guessing",
    "suspect",
    "suspects",
    "bet",
    "blame",
    "blames",
    "blaming",
    "probably",
    "could",
    "may",
    "says",
    "swears",
    "convinced",
    "sounds",
    "worried",
    "believe",
    "believes",
    "seems",
    "apparently",
    "supposedly",
    "should",
];

/// What these "say" is a reading, not a guess.
const INSTRUMENTS: &[&str] = &[
    "tach", "tacho", "tachometer", "straightedge", "gauge", "gage", "prism", "bar", "rule",
    "ruler", "micrometer", "mic", "dial", "clock", "indicator", "meter", "protractor",
    "stopwatch", "watch", "vernier", "verniers", "caliper", "calipers", "level", "probe", "scale",
    "tape", "feeler", "paper", "strip", "contract", "rota",
];

/// "if you look close each leaf is split" tells what is seen, it supposes nothing.
const LOOKS: &[&str] = &["get", "look", "kneel", "bend", "crouch", "part", "stoop", "stand"];

/// Decides how the words at `matched` are meant. `observable`: the finding is something seen, heard
/// or felt in use, which a weak guess ("I think it leaves a line") does not unsay.
pub fn assertion(words: &[Word], matched: &[usize], observable: bool) -> Assertion {
    let (first, last) = (matched[0], matched[matched.len() - 1]);
    if told_of_the_past(words, first, last) {
        return Assertion::Unsaid;
    }
    let negates = |at: usize| NEGATORS.contains(&words[at].text.as_str());
    let holds_negator = matched.iter().any(|at| negates(*at));
    if !holds_negator && none_after(words, last) {
        return Assertion::Denied;
    }
    // "the screws might be loose": the guess stands in a gap of the phrase.
    let guess_in_gap = (first..last).any(|at| {
        matches!(words[at].text.as_str(), "might" | "maybe" | "perhaps") && !matched.contains(&at)
    });
    if guess_in_gap || guessed(words, first, observable) {
        return Assertion::Unsaid;
    }
    if holds_negator {
        return if out_of_it(words, matched) { Assertion::Denied } else { Assertion::Stated };
    }
    // "the bottom blade is not bowed": the negator stands in a gap of the phrase.
    let in_gap = (first..last).any(|at| {
        negates(at) && words[at].segment == words[last].segment && !is_pseudo(words, at, last)
    });
    if in_gap {
        return Assertion::Denied;
    }
    if negated_before(words, first) || cured_after(words, last) {
        return Assertion::Denied;
    }
    Assertion::Stated
}

/// "The deck is not out of level" for "not level": what the negator turns is the fault.
fn out_of_it(words: &[Word], matched: &[usize]) -> bool {
    matched.iter().any(|at| {
        let next = words.get(at + 1).map_or("", |word| word.text.as_str());
        NEGATORS.contains(&words[*at].text.as_str())
            && matches!(next, "out" | "outside")
            && !matched.contains(&(at + 1))
    })
}

/// Whether a negator stands within the phrase or right before it ("the slits are not deep").
pub fn negator_is_close(words: &[Word], matched: &[usize]) -> bool {
    let (first, last) = (matched[0], matched[matched.len() - 1]);
    (first.saturating_sub(2)..last).any(|at| {
        NEGATORS.contains(&words[at].text.as_str()) && words[at].segment == words[last].segment
    })
}

/// Positions before `first` that a cue may stand at: same sentence, nearest first.
fn scope_before(words: &[Word], first: usize) -> impl Iterator<Item = usize> + '_ {
    let from = first.saturating_sub(REACH);
    let sentence = words[first].sentence;
    (from..first).rev().take_while(move |&at| words[at].sentence == sentence)
}

fn negated_before(words: &[Word], first: usize) -> bool {
    let mut segment = words[first].segment;
    for at in scope_before(words, first) {
        let word = words[at].text.as_str();
        let next = words[at + 1].text.as_str();
        if words[at].segment != segment {
            // A list ("no knock, shake or rattle") carries on over a comma; a new clause does not.
            if !is_list_item(words, first) {
                return false;
            }
            segment = words[at].segment;
        }
        let verb = words.get(at + 2).is_some_and(|word| VERBS.contains(&word.text.as_str()));
        if CUTS.contains(&word) || (word == "and" && (STARTS.contains(&next) || verb)) {
            return false;
        }
        if NEGATORS.contains(&word) {
            return !is_pseudo(words, at, first);
        }
    }
    false
}

fn is_pseudo(words: &[Word], negator: usize, first: usize) -> bool {
    let next = words[negator + 1].text.as_str();
    // "no longer scalping" is a denial of today; only the bare pseudo words are not.
    negator + 1 < first && PSEUDO_AFTER.contains(&next) && next != "longer"
}

/// A segment of at most four words holding or followed by "or"/"nor" is an item of a list.
fn is_list_item(words: &[Word], first: usize) -> bool {
    let segment = words[first].segment;
    let inside: Vec<&Word> = words.iter().filter(|word| word.segment == segment).collect();
    let or = |word: &&Word| matches!(word.text.as_str(), "or" | "nor");
    let next_starts_with_or =
        words.iter().find(|word| word.segment > segment).is_some_and(|w| or(&w));
    inside.len() <= 5 && (inside.iter().any(|word| or(word)) || next_starts_with_or)
}

fn guessed(words: &[Word], first: usize, observable: bool) -> bool {
    for at in scope_before(words, first) {
        let word = words[at].text.as_str();
        if matches!(word, "but" | "though" | "although" | "however") {
            return false;
        }
        let looks = word == "if"
            && words[at + 1].text == "you"
            && words.get(at + 2).is_some_and(|next| LOOKS.contains(&next.text.as_str()));
        let strong = STRONG_GUESS.contains(&word) && !looks;
        if strong && words[at].segment == words[first].segment {
            return true;
        }
        let reading = word == "says" && at > 0 && INSTRUMENTS.contains(&words[at - 1].text.as_str());
        if !observable && WEAK_GUESS.contains(&word) && first - at <= 6 && !reading {
            return true;
        }
    }
    false
}

/// "used to scalp", "it never did that before": says nothing of a fault today, or denies it.
fn told_of_the_past(words: &[Word], first: usize, last: usize) -> bool {
    let used_to = (first.saturating_sub(2)..last).any(|at| {
        words[at].text == "used"
            && words[at + 1].text == "to"
            && words[at].sentence == words[first].sentence
    });
    let never = scope_before(words, first).any(|at| words[at].text == "never");
    let before = words[last..]
        .iter()
        .take(6)
        .take_while(|word| word.segment == words[last].segment)
        .any(|word| word.text == "before");
    used_to || (never && before)
}

/// When something was so, that need not be so any more.
const TIMES: &[&str] = &[
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december", "spring", "summer", "autumn", "winter",
];

/// What tells that it is so no more.
const OVER: &[&str] =
    &["gone", "cured", "sorted", "mended", "fixed", "cleared", "clean", "straight", "stopped"];

/// "the waves we had in June, all gone since the new tyres": a fault of the past that is over.
pub fn past_and_over(words: &[Word], matched: &[usize]) -> bool {
    let (first, last) = (matched[0], matched[matched.len() - 1]);
    let sentence = words[first].sentence;
    let from = first.saturating_sub(REACH);
    let text = |at: usize| words[at].text.as_str();
    let inside = |at: &usize| words[*at].sentence == sentence;
    let was = (from..last).filter(inside).any(|at| matches!(text(at), "was" | "were" | "had"));
    let past = |at: usize| {
        (matches!(text(at - 1), "in" | "since") && TIMES.contains(&text(at)))
            || (text(at - 1) == "last" && matches!(text(at), "week" | "month" | "year" | "season"))
    };
    let to = (last + REACH).min(words.len());
    let dated = (from.max(1)..to).filter(inside).any(past);
    let put_right = |at: usize| text(at) == "right" && text(at - 1) == "put";
    let over = (last + 1..words.len())
        .filter(inside)
        .any(|at| (OVER.contains(&text(at)) || put_right(at)) && !NEGATORS.contains(&text(at - 1)));
    was && dated && over
}

/// "looked for a nick and there is none", "worry about a line, there is not one".
fn none_after(words: &[Word], last: usize) -> bool {
    let from = last + 1;
    let to = (from + REACH).min(words.len());
    let ends = |at: usize| at + 1 >= words.len() || words[at + 1].segment != words[at].segment;
    let goes_on = |at: &usize| {
        let until = matches!(words[*at].text.as_str(), "until" | "till" | "to");
        words[*at].sentence == words[last].sentence && !until
    };
    (from..to).take_while(goes_on).any(|at| {
        let there = words[..at].iter().rev().take(2).any(|word| word.text == "there");
        let found = words[at - 1].text == "found" || words[at - 1].text == "saw";
        match words[at].text.as_str() {
            "none" => ends(at) && (there || found),
            "one" | "any" => ends(at) && words[at - 1].text == "not" && there_is_not(words, at),
            _ => false,
        }
    })
}

/// "there is not one": the two words before "not one".
fn there_is_not(words: &[Word], one: usize) -> bool {
    one >= 3 && words[one - 3].text == "there"
}

/// "vibration gone", "ripples: none".
fn cured_after(words: &[Word], last: usize) -> bool {
    let mut after = words[last + 1..]
        .iter()
        .take(3)
        .take_while(|word| word.segment == words[last].segment)
        .map(|word| word.text.as_str());
    let first = after.next().unwrap_or_default();
    let second = after.next().unwrap_or_default();
    let cured =
        |word: &str| matches!(word, "gone" | "cured" | "sorted" | "cleared" | "disappeared");
    cured(first) || (matches!(first, "is" | "has" | "was" | "all") && cured(second))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text;
    use crate::domain::language::words_of;

    fn check(sentence: &str, phrase: &str, expected: Assertion) {
        let (words, _) = words_of(&text::tokens(sentence));
        let stems: Vec<String> =
            words_of(&text::tokens(phrase)).0.into_iter().map(|w| w.stem).collect();
        let first = (0..words.len())
            .find(|&at| {
                words.len() >= at + stems.len()
                    && stems.iter().zip(&words[at..]).all(|(stem, word)| *stem == word.stem)
            })
            .expect("the phrase stands in the sentence");
        let matched: Vec<usize> = (first..first + stems.len()).collect();
        let got = assertion(&words, &matched, true);
        assert_eq!(got, expected, "{phrase} in {sentence}");
    }

    /// Rules after NegEx/ConText (published); the sentences are this project's own.
    #[test]
    fn scope_of_negation() {
        use Assertion::{Denied, Stated, Unsaid};
        let rows = [
            ("there are no ripples at all", "ripples", Denied),
            ("not streaking", "streaking", Denied),
            ("it is not cutting even", "not cutting even", Stated),
            ("no knock, shake or rattle", "rattle", Denied),
            ("no knock, it shakes like mad", "shakes", Stated),
            ("no knock but it shakes", "shakes", Stated),
            ("no longer scalping after we set the height", "scalping", Denied),
            ("it used to scalp", "scalp", Unsaid),
            ("it never scalped before", "scalped", Unsaid),
            ("if I go fast it ripples", "ripples", Unsaid),
            ("not only ripples", "ripples", Stated),
            ("no doubt it ripples", "ripples", Stated),
            ("my zero turn ripples", "ripples", Stated),
            ("if you look close it ripples", "ripples", Stated),
            ("the vibration is gone", "vibration", Denied),
            ("no. 4 ripples", "ripples", Stated),
            ("I looked for ripples and there are none", "ripples", Denied),
            ("they worry about ripples, there is not one", "ripples", Denied),
            ("the slits are not too shallow", "too shallow", Denied),
        ];
        for (sentence, phrase, expected) in rows {
            check(sentence, phrase, expected);
        }
    }

    /// Own sentences; "not .. level" is the phrase.
    #[test]
    fn not_out_of_level_is_level() {
        let rows = [
            ("the deck is not out of level", Assertion::Denied),
            ("the deck is not quite dead level", Assertion::Stated),
        ];
        for (sentence, expected) in rows {
            let (words, _) = words_of(&text::tokens(sentence));
            let matched = [3, words.len() - 1];
            assert_eq!(assertion(&words, &matched, true), expected, "{sentence}");
        }
    }

    #[test]
    fn what_was_and_is_over() {
        let rows = [
            ("we had ripples in June, all gone since the new tyres", true),
            ("there were ripples last week, but it is clean now", true),
            ("we had ripples in June and have them still", false),
            ("it ripples and the brush is clean", false),
        ];
        for (sentence, over) in rows {
            let (words, _) = words_of(&text::tokens(sentence));
            let at = words.iter().position(|word| word.text == "ripples").expect("it is said");
            assert_eq!(past_and_over(&words, &[at]), over, "{sentence}");
        }
    }
}
