//! What does a few words afterwards take back: "I thought it was bowed, but it isn't"?
//!
//! A clause of nothing but small words with a negator in it says only that what came right before
//! it is not so. Deliberately narrow: one word of matter ("the others don't", "not every time") and
//! the clause speaks of something else.

use super::hearing::Reading;
use super::patterns::Word;

/// Words that were said and are denied by those after them, `first..=last`.
pub type TakenBack = (usize, usize);

/// What turns the sense of the clause round.
const NEGATORS: &[&str] = &["not", "no", "never", "none", "nothing", "nobody", "nope", "nowt"];

/// Words that may open the clause inside a segment.
const OPENS: &[&str] = &["but", "and", "yet", "only", "though", "although", "however"];

/// Words without matter of their own.
const SMALL: &[&str] = &[
    "i", "we", "he", "she", "you", "they", "it", "that", "there", "is", "are", "was", "were", "be",
    "been", "am", "has", "have", "had", "do", "does", "did", "can", "could", "one", "any",
    "anything", "a", "an", "the", "at", "all", "so", "of", "sort", "kind", "such", "thing", "bit",
    "single", "sign", "trace", "sight", "hint", "case", "then", "here", "actually",
    "really", "to", "me", "myself", "far", "in", "fact", "as", "turns", "turned", "out",
];

/// Finding out, with nothing said of what was found.
const PERCEIVED: &[&str] = &[
    "found", "find", "finding", "saw", "see", "seen", "seeing", "heard", "hear", "felt", "feel",
    "got", "noticed", "spotted", "checked", "check", "looked", "look", "measured", "tested",
    "thought", "think", "clocked", "gauged", "went", "over", "down", "round", "up",
];

/// When it is not so.
const WHEN: &[&str] = &[
    "now", "today", "tonight", "more", "anymore", "since", "this", "time", "morning", "afternoon",
    "week", "month", "season", "year", "yet",
];

/// A negator before one of these speaks of a part only, or of what nobody looked at.
const IN_PART: &[&str] = &[
    "all", "that", "so", "as", "this", "really", "then", "thought", "think", "check", "checked",
    "look", "looked", "measured", "tested",
];

/// Verbs by which a clause says by itself that something is not so; "none" and "no" need a doubt.
const SAYS_SO: &[&str] = &[
    "is", "are", "was", "were", "has", "have", "had", "do", "does", "did", "found", "saw", "see",
    "seen", "heard", "hear", "felt", "feel",
];

/// What is said so was looked for, feared or told: it may well not be so.
const DOUBTS: &[&str] = &[
    "look", "looked", "looking", "listened", "listening", "check", "checked", "checking", "search",
    "searched", "thought", "think", "feared", "fear", "expected", "expecting", "asked", "ask",
    "wondered", "worried", "worry", "reckon", "reckoned", "reckons", "blame", "blamed", "bet",
    "could", "might", "would", "heard", "told", "suspected", "hunted", "sure", "guessed", "said",
    "says", "say", "went", "felt", "feeling", "watched", "waiting", "half", "was", "were",
];

/// What something is when it has been put right.
const RIGHT_AGAIN: &[&str] = &[
    "clean", "gone", "fine", "sorted", "mended", "cured", "cleared", "fixed", "right", "okay", "ok",
    "good", "perfect", "tight", "straight", "true", "stopped", "even", "level",
];

/// What was so and need not be any more.
const WAS: &[&str] = &["was", "were", "had"];

/// Beside [`DOUBTS`] and [`WAS`]: what is told of the past, or as supposed.
const SUPPOSED: &[&str] = &[
    "used", "did", "figured", "supposed", "sworn", "afraid", "assumed", "hunch", "tell", "wanted",
    "got", "kept", "should", "before", "once", "reckoning", "swore", "claimed", "claims",
];

/// What was so once, or was feared, told or supposed, with all that may say that it is not so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Followed {
    pub said: TakenBack,
    /// Where the pieces after it end, nearest first.
    pub ends: Vec<usize>,
}

/// So many pieces afterwards may still say how it is now.
const FOLLOWING: usize = 3;

/// Pieces of the past, or in doubt, that something follows, in order: "was slipping on Monday; I
/// put a new belt on and it pulls". Whether that denies it, the model must say.
pub fn followed(reading: &Reading) -> Vec<Followed> {
    let pieces = pieces(&reading.words);
    let doubtful = |texts: &[&str]| {
        texts.iter().any(|word| [WAS, DOUBTS, SUPPOSED].iter().any(|list| list.contains(word)))
    };
    let mut out = Vec::new();
    for (number, piece) in pieces.iter().enumerate() {
        let sentence = |at: usize| reading.words[at].sentence;
        let after = pieces[number + 1..].iter().take(FOLLOWING);
        let near = after.take_while(|(_, last)| sentence(*last) <= sentence(piece.1) + 1);
        let ends: Vec<usize> = near.map(|(_, last)| *last).collect();
        if piece.1 > piece.0 && !ends.is_empty() && doubtful(&words_in(reading, piece)) {
            out.push(Followed { said: *piece, ends });
        }
    }
    out
}

/// Runs of words that what follows denies, in order.
pub fn taken_back(reading: &Reading) -> Vec<TakenBack> {
    let pieces = pieces(&reading.words);
    let mut out = Vec::new();
    for (number, piece) in pieces.iter().enumerate().skip(1) {
        let bare = is_bare_denial(reading, piece);
        let mended = !bare && is_right_again(&words_in(reading, piece));
        if !bare && !mended {
            continue;
        }
        let before = pieces[..number].iter().rev();
        let mut before = before.take_while(|one| near(reading, one, piece));
        let Some(said) = before.find(|one| !is_small(&words_in(reading, one))) else {
            continue;
        };
        let texts = words_in(reading, said);
        let doubted = texts.iter().any(|word| DOUBTS.contains(word));
        let clause = words_in(reading, piece);
        let says_so = clause.iter().any(|word| SAYS_SO.contains(word)) || clause.len() > 4;
        if bare && !doubted && !says_so {
            continue;
        }
        let denied = texts.iter().any(|word| NEGATORS.contains(word) || *word == "without");
        let past = texts.iter().any(|word| WAS.contains(word));
        if !denied && (bare || past) {
            out.push(*said);
        }
    }
    out
}

/// Segments, cut once more where a clause may open.
fn pieces(words: &[Word]) -> Vec<(usize, usize)> {
    let mut out = Vec::new();
    let mut from = 0;
    for at in 1..=words.len() {
        let ends = at == words.len()
            || words[at].segment != words[at - 1].segment
            || OPENS.contains(&words[at].text.as_str());
        if ends {
            out.push((from, at - 1));
            from = at;
        }
    }
    out
}

fn words_in<'a>(reading: &'a Reading, (first, last): &(usize, usize)) -> Vec<&'a str> {
    reading.words[*first..=*last].iter().map(|word| word.text.as_str()).collect()
}

fn is_small(texts: &[&str]) -> bool {
    texts.iter().all(|word| {
        [SMALL, PERCEIVED, WHEN, OPENS, NEGATORS].iter().any(|list| list.contains(word))
    })
}

/// A clause that is not the first looks back over its own sentence, and over the one before when
/// it opens its own.
fn near(reading: &Reading, one: &(usize, usize), clause: &(usize, usize)) -> bool {
    let sentence = |at: usize| reading.words[at].sentence;
    let opens = sentence(clause.0 - 1) != sentence(clause.0);
    sentence(one.1) == sentence(clause.0) || (opens && sentence(one.1) + 1 == sentence(clause.0))
}

/// "but it isn't", "and found nothing of the sort", "not any more".
fn is_bare_denial(reading: &Reading, piece: &(usize, usize)) -> bool {
    let texts = words_in(reading, piece);
    let Some(negator) = texts.iter().position(|word| NEGATORS.contains(word)) else {
        return false;
    };
    let after = texts.get(negator + 1).copied().unwrap_or_default();
    let at_all = texts[negator..].starts_with(&["not", "at", "all"]);
    let partly = IN_PART.contains(&after) && !at_all;
    // "and no, it isn't shaking" looks ahead.
    let ahead = texts == ["and", "no"] || texts == ["no"] || texts == ["not"];
    // "this one isn't", "that one isn't": another than the one spoken of.
    let another = texts.windows(2).any(|pair| {
        matches!(pair, ["this" | "that" | "the", "one"])
    });
    is_small(&texts) && !partly && !ahead && !another && !asks_back(reading, piece, &texts)
}

/// "isn't it", "has it not", "no?": asks whether it is so, and denies nothing.
fn asks_back(reading: &Reading, piece: &(usize, usize), texts: &[&str]) -> bool {
    let pronoun = |word: &&str| matches!(*word, "it" | "they" | "that" | "there" | "he" | "we");
    let tag = texts.len() == 3
        && (texts[1] == "not" && pronoun(&texts[2]) || texts[2] == "not" && pronoun(&texts[1]));
    let sign = reading.spans[piece.1].1 + 1;
    let asked = reading.tokens.get(sign).is_some_and(|token| token.text == "?");
    tag || asked
}

/// "it's been scraped off and it's clean now".
fn is_right_again(texts: &[&str]) -> bool {
    let right = |word: &&str| RIGHT_AGAIN.contains(word);
    let now = texts.iter().any(|word| matches!(*word, "now" | "today" | "since" | "again"));
    let (said, rest): (Vec<&str>, Vec<&str>) =
        texts.iter().copied().filter(|word| *word != "again").partition(right);
    let negated = rest.iter().any(|word| NEGATORS.contains(word));
    !said.is_empty() && now && !negated && is_small(&rest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::hearing::Ear;

    /// What is taken back of each sentence; the sentences are this project's own.
    #[test]
    fn small_words_take_back_what_came_before() {
        let rows = [
            ("I thought the bar was bent, but it isn't", "i thought the bar was bent"),
            ("They reckon the clip is short but I measured and it's not", "they reckon the clip is short"),
            ("It leaves a line, and I blamed the bar, but no, it is true", "and i blamed the bar"),
            ("Looked for one dead spot. Isn't one.", "looked for one dead spot"),
            ("I listened for a knock and heard nothing of the sort", "i listened for a knock"),
            ("It was squealing last week, not any more", "it was squealing last week"),
            ("The roller was caked yesterday and it's clean now", "the roller was caked yesterday"),
            ("It leaves a line, isn't it", ""),
            ("It leaves a line, no?", ""),
            ("Unit 3 scalps, the others don't", ""),
            ("It leaves a line, not every time", ""),
            ("It leaves a line, but not all the time", ""),
            ("Those cut fine, but this one doesn't", ""),
            ("It doesn't knock, not any more", ""),
            ("It knocks but I don't know why", ""),
            ("There is a tick as it turns, and no, it isn't shaking", ""),
            ("Good lines in spring, light lines in summer, none now", ""),
            ("It was set for fairways, I never thought to check", ""),
            ("All the units, not one", ""),
            ("The edge is nicked and the roller is clean now", ""),
        ];
        let ear = Ear::default();
        for (sentence, expected) in rows {
            let reading = ear.read(sentence);
            let back = taken_back(&reading);
            let got: Vec<String> =
                back.iter().map(|one| words_in(&reading, one).join(" ")).collect();
            assert_eq!(got.join(" / "), expected, "{sentence}");
        }
    }
}
