//! Is what a check asks answered in a few words that are no plain yes or no: "it does", "a touch", "not
//! that I can see", "looks like it"? Every word of them is one that only answers; with any other
//! they tell something, and are heard.
//! Deliberately absent: parts that are good or bad (`looked_at`), yes and no themselves (`acts`).

use super::acts::Act;
use super::{Asked, Conversation};
use crate::domain::wording::plain_words;

/// Longer words tell more than an answer.
const WORDS_MAX: usize = 8;
/// What was asked of. Behind one of them a verb alone answers: "it does".
const SUBJECTS: &[&str] = &["it", "they", "there", "that", "this", "one", "some"];
const VERBS: &[&str] =
    &["is", "are", "was", "were", "does", "do", "did", "has", "have", "its", "thats", "theyre", "theres"];
/// These say by themselves that it is so.
#[rustfmt::skip]
const SO: &[&str] = &[
    "bit", "touch", "little", "slightly", "loads", "lots", "lot", "plenty", "definitely",
    "certainly", "absolutely", "deffo", "defo", "probably", "obviously", "clearly", "noticeably", "badly",
];
/// And these together.
const SO_TOGETHER: &[&str] = &[
    "think so", "reckon so", "say so", "guess so", "seems so", "looks so", "afraid so", "believe so",
    "looks like it", "seems like it", "sounds like it", "feels like it", "sort of", "kind of",
    "more or less", "pretty much", "of course", "seems to", "appears to", "looks to be", "seem to",
];
#[rustfmt::skip]
const NOT: &[&str] = &[
    "not", "no", "none", "nothing", "nowt", "never", "isnt", "arent", "wasnt", "werent", "doesnt",
    "dont", "didnt", "hasnt", "havent", "cant", "cannot", "couldnt", "hardly", "barely", "scarcely",
    "nope", "nah", "aint",
];
/// What may stand beside them.
#[rustfmt::skip]
const BESIDE: &[&str] = &[
    "i", "we", "a", "an", "of", "only", "just", "quite", "very", "still", "well", "yeah", "yes",
    "aye", "yep", "so", "think", "reckon", "guess", "say", "id", "would", "like", "seems", "seem",
    "looks", "look", "sounds", "feels", "appears", "believe", "afraid", "sort", "kind", "pretty",
    "much", "fair", "fairly", "more", "or", "less", "really", "at", "all", "that", "can", "could",
    "see", "tell", "find", "feel", "any", "anything", "sign", "far", "as", "to", "be", "course", "the",
    "mate", "though", "now", "here", "im", "oh", "mm", "and", "in", "them", "too",
];

/// Yes or no, where the words answer and tell nothing else.
fn answer(words: &str) -> Option<Act> {
    let said = plain_words(words);
    let said: Vec<&str> = said.iter().map(String::as_str).collect();
    let is = |list: &[&str], word: &str| list.contains(&word);
    let first = said.windows(2).next();
    let turned = first.is_some_and(|two| is(VERBS, two[0]) && is(SUBJECTS, two[1]));
    let asks = turned || words.trim_end().ends_with('?');
    let lists = [SUBJECTS, VERBS, SO, NOT, BESIDE];
    let known = said.iter().all(|word| lists.iter().any(|list| is(list, word)));
    if asks || !known || said.is_empty() || said.len() > WORDS_MAX {
        return None;
    }
    let text = said.join(" ");
    let together = || SO_TOGETHER.iter().any(|one| text.contains(one));
    // "All of them" is how far it reaches.
    let reaches = said.contains(&"all") && !text.contains("at all");
    let denied = said.iter().any(|word| is(NOT, word));
    let says = |list: &[&str]| said.iter().any(|word| list.contains(word));
    // "Can't tell", "couldn't say", "didn't look".
    let unsure = (says(&["cant", "cannot", "couldnt"]) && says(&["say", "tell"]) && !says(&["any", "see"]))
        || (says(&["not"]) && text.contains("can not really"));
    if unsure {
        return Some(Act::Unknown);
    }
    // "Some do, some don't", "not just a little, loads": neither yes nor no.
    let plain = said.iter().any(|word| matches!(*word, "do" | "does" | "is" | "are" | "has" | "have"));
    let mixed = denied && (text.contains("not just") || text.contains("not only") || (plain && says(&["some", "one"])));
    if mixed {
        return None;
    }
    let verb = said.windows(2).any(|two| is(SUBJECTS, two[0]) && is(VERBS, two[1]));
    let verb = verb || said.first().is_some_and(|first| matches!(*first, "its" | "thats" | "theyre" | "theres"));
    let so = said.iter().any(|word| is(SO, word)) || together();
    match (denied, so || verb) {
        _ if reaches => None,
        (true, _) => Some(Act::No),
        (false, true) => Some(Act::Yes),
        (false, false) => None,
    }
}

impl<C: Clone> Conversation<C> {
    /// The yes or no that these words come to, while a check's question is open.
    pub(super) fn answers_the_check(&self, words: &str) -> Option<Act> {
        let open = matches!(self.asked, Some(Asked::Findings { .. }));
        let free = self.walking.is_none() && self.proposal.is_none();
        if open && free { answer(words) } else { None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_is_answered_in_few_words_of_any_kind() {
        let (yes, no) = (Some(Act::Yes), Some(Act::No));
        for (words, wanted) in [
            ("it does", yes.clone()),
            ("there is a bit", yes.clone()),
            ("a touch", yes.clone()),
            ("looks like it", yes.clone()),
            ("I reckon so", yes.clone()),
            ("only slightly", yes.clone()),
            ("definitely", yes.clone()),
            ("yeah, quite a lot", yes),
            ("can't really say", Some(Act::Unknown)),
            ("couldn't tell", Some(Act::Unknown)),
            ("some do some don't", None),
            ("not just a little, loads", None),
            ("not really", no.clone()),
            ("not that I can see", no.clone()),
            ("none at all", no.clone()),
            ("can't see any", no.clone()),
            ("they don't", no.clone()),
            ("I don't think so", no),
            ("does it", None),
            ("is it a bit?", None),
            ("all of them", None),
            ("not cutting", None),
            ("it is the roller", None),
            ("they", None),
        ] {
            assert_eq!(answer(words), wanted, "{words}");
        }
    }
}
