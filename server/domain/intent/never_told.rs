//! Which words are never offered as a record, though a record could be made of them? A question in
//! any form, and what a machine does wrong with no work told about it.
//! Deliberately absent: which record it would be (`record`), and what the question asks.

use super::asking::tells_more;
use super::clauses::clauses;
use super::deeds::{DEEDS, FOUND_SO, is_deed, sheds};
use super::kind::{CommandKind, Purpose};
use super::other_kind::{CARE, takes_off_and_cleans};
use super::record::Recorded;
use super::record_kind::{LOGS, POLITE, REMEDIES};
use super::spoken::Spoken;
use super::{Interpretation, Reader};
use crate::domain::language::patterns::{NUMBER, Word};
use crate::domain::records::Detail;

/// First words of a clause that always ask.
const ASKS: &[&str] = &[
    "whats", "what's", "hows", "how's", "whens", "when's", "whos", "who's", "wheres", "where's",
    "why", "is", "are", "does", "can", "could", "should", "would", "shall", "may", "am",
];
/// First words that ask when one of [`ASKED_OF`] follows.
const ASKS_OF: &[&str] =
    &["was", "were", "has", "have", "had", "do", "did", "will", "might", "must"];
const ASKED_OF: &[&str] = &[
    "i", "we", "you", "it", "that", "this", "they", "he", "she", "there", "those", "these",
    "anyone", "anybody", "someone", "somebody",
];
/// First words that ask of a thing as well: "has the roller been changed". "Did the bedknife" tells.
const ASKS_OF_THINGS: &[&str] = &["has", "have", "was", "were", "does"];
const THINGS: &[&str] = &["the", "our", "any", "all", "either", "both", "unit", "my"];
/// First words that ask unless somebody is said to have done something: "what we did".
const ASKS_UNLESS: &[&str] = &["what", "how", "which", "who", "when", "where"];
/// What tells after those: "when we wanted 4", "what the meter reads".
const TELLS_AFTER: &[&str] =
    &["i", "we", "you", "he", "she", "they", "it", "the", "this", "that", "my", "our"];
/// Words that may stand before those that ask.
const BEFORE: &[&str] = &["and", "so", "ok", "okay", "but", "then", "well", "right", "hey", "also"];
/// Deeds that are said as well of what nobody did just now: "just been set", "found wanting".
const WEAK_DEEDS: &[&str] =
    &["set", "found", "read", "let", "put", "done", "did", "ran", "went", "looked", "turned", "took",
      "lifted", "dropped", "ground", "pulled", "opened", "spin", "relief", "fit", "gave", "moved"];
/// A bare number beside a name is what a meter or a gauge reads.
const SHORT_WORDS_MAX: usize = 6;

/// Longer words tell more than that.
const FOUND_WORDS_MAX: usize = 10;

/// From this chance of a record on, its numbers are readings, whatever goes wrong (no source).
const READ_SURELY: f64 = 0.9;
/// From this weight on the words of a record with its number tell what was read.
const READ_WORDS: u32 = 6;

/// Said of words that put right what does not stand open.
const NOTHING_PUT_RIGHT: &str = "Nothing is open that this would put right, so nothing is written down. Say \
    it whole, with this in it: what is wrong, or what was done to which machine.";

impl Reader<'_> {
    /// What the words are where they would be a record and are none.
    pub(super) fn no_record(&self) -> Option<Interpretation> {
        let proof = &self.heard.proof;
        let safety = ["safety", "safely", "safe", "hazards", "dangers", "risks"];
        let of_safety = self.spoken.words.iter().any(|word| safety.contains(&word.text.as_str()));
        if of_safety && !proof.deed && proof.named == 0 {
            return Some(self.asked_instead());
        }
        if asks(self.spoken) && !(proof.told && !self.spoken.is_question()) {
            return Some(self.asked_instead());
        }
        if puts_words_right(self.spoken) && !proof.told && !proof.dated {
            let understood = NOTHING_PUT_RIGHT.to_owned();
            return Some(Interpretation { understood, ..self.nothing(CommandKind::Unclear) });
        }
        let ails = self.only_ails() || found_so(self.spoken) || tells_spacing(self.spoken);
        ails.then(|| self.diagnose())
    }

    /// Work that was begun with, with nothing wrong and nothing asked: "set reel to knife on walker 2,
    /// light contact, cuts paper both ends".
    pub(super) fn is_work_told(&self) -> bool {
        let proof = &self.heard.proof;
        let done = proof.deed && proof.record_words >= 5 && proof.named > 0;
        let wrong = proof.findings > 0 || proof.complaint >= 5 || goes_wrong(self.spoken);
        done && !wrong && !asks(self.spoken) && self.heard.recorded.is_some()
    }

    /// "Greased the walkers": care that was given, with nothing asked and nothing wrong.
    pub(super) fn is_care_told(&self) -> bool {
        let spoken = self.spoken;
        let lead = |at: &usize| !matches!(spoken.word(*at), "i" | "we" | "just" | "also" | "have");
        let begins = (0..spoken.words.len()).find(lead);
        let care = begins.is_some_and(|at| CARE.contains(&spoken.word(at)));
        let care = care || takes_off_and_cleans(spoken);
        let wrong = goes_wrong(spoken) || self.heard.proof.findings > 0;
        let told = self.heard.recorded.as_ref()
            .is_some_and(|one| self.heard.proof.named > 0 || cares_for_a_part(one));
        care && told && !asks(spoken) && !wrong
    }

    /// "The fairway five dropped oil on the pitch", "the deck drops clumps": what ails, and no work.
    pub(super) fn loses_oil(&self) -> bool {
        // "Changed the seal, it leaks oil no more": what was done, and that it is over.
        const OVER: &[&str] = &["no", "not", "never", "well", "fine", "stopped", "now"];
        let over = self.spoken.texts().iter().any(|word| OVER.contains(word));
        if self.heard.proof.deed && over {
            return false;
        }
        (0..self.spoken.words.len()).any(|at| {
            let lost = matches!(
                self.spoken.word(at),
                "dropped" | "lost" | "leaked" | "spilt" | "spilled" | "dripped" | "dumped" | "losing" | "dropping"
                    | "drops" | "drop" | "loses" | "leaks" | "drips" | "dumps" | "dumping" | "sheds" | "throws"
            );
            let what = |at: usize| matches!(
                self.spoken.word(at),
                "oil" | "fluid" | "diesel" | "fuel" | "hydraulic" | "clumps" | "clippings" | "grass" | "clods"
            );
            lost && (what(at + 1) || (self.spoken.word(at + 1).len() < 5 && what(at + 2)))
        })
    }

    /// A question that nothing here answers: what ails is looked into, else the knowledge is asked.
    fn asked_instead(&self) -> Interpretation {
        let found = self.heard.proof.findings > 0 && self.heard.proof.purpose.complaint > 0.1;
        if found || goes_wrong(self.spoken) {
            return self.diagnose();
        }
        self.explained(CommandKind::Search).unwrap_or_else(|| self.nothing(CommandKind::Unclear))
    }

    /// Something is wrong, and no work, reading or hours are told.
    fn only_ails(&self) -> bool {
        let proof = &self.heard.proof;
        let work = proof.told || proof.mended || proof.looked_over || proof.dated || proof.deed;
        if work || does(self.spoken) {
            return false;
        }
        let read = proof.recorded > 0 && proof.record_words >= READ_WORDS;
        let wrong = (proof.findings > 0 && !read) || goes_wrong(self.spoken);
        let Purpose { complaint, record, .. } = proof.purpose;
        // "2.6 seconds from knocking it off", "it has leaks and the tyres are at 14": readings.
        let surely_read = proof.recorded > 0 && record >= READ_SURELY && record > complaint;
        // "Used to be 3": it is not as it was.
        let surely_read = surely_read
            && !self.spoken.words.windows(2).any(|pair| pair[0].text == "used" && pair[1].text == "to");
        wrong && complaint >= record
            || (goes_wrong(self.spoken) && self.spoken.words.len() > 2 && !surely_read)
    }
}

/// "Cleaned the rear brush": of a part that has a name, on a machine still to be said.
fn cares_for_a_part(one: &Recorded) -> bool {
    one.records.iter().any(|(_, content)| match &content.detail {
        Detail::Inspection(detail) => {
            detail.items.iter().any(|item| !item.item.is_empty() && item.item != "whole machine")
        }
        _ => false,
    })
}

/// Whether the words ask, by a mark or by how their first or last clause begins.
pub fn asks(spoken: &Spoken) -> bool {
    if spoken.text.trim_end().ends_with('?')
        || ends_in_doubt(spoken)
        || (0..spoken.words.len()).any(|at| asks_within(spoken, at)) {
        return true;
    }
    let all = clauses(spoken);
    let ends = [all.first(), all.last()];
    ends.into_iter().flatten().any(|clause| {
        let word = |at: usize| if at > clause.last { "" } else { spoken.word(at) };
        let mut at = clause.first;
        while BEFORE.contains(&word(at)) {
            at += 1;
        }
        // "Can you log 4 hours".
        let asked_to = (at..=clause.last).find(|at| !POLITE.contains(&word(*at)));
        if asked_to.is_some_and(|at| LOGS.contains(&word(at))) {
            return false;
        }
        let next = word(at + 1);
        if tells_more(spoken, at) {
            return false;
        }
        ASKS.contains(&word(at))
            || (ASKS_OF.contains(&word(at)) && ASKED_OF.contains(&next))
            || (ASKS_OF_THINGS.contains(&word(at)) && THINGS.contains(&next))
            || (ASKS_UNLESS.contains(&word(at)) && !TELLS_AFTER.contains(&next) && at < clause.last)
    })
}

/// "Set an eighth below the rollers, that too much": what is asked of it without a verb.
fn ends_in_doubt(spoken: &Spoken) -> bool {
    const IS_IT: &[&str] = &["ok", "okay", "alright", "right", "normal", "bad", "enough", "good", "safe", "allowed"];
    let last = spoken.words.len();
    let word = |back: usize| last.checked_sub(back).map_or("", |at| spoken.word(at));
    let begins = |back: usize| last.checked_sub(back).is_some_and(|at| {
        at > 0 && spoken.words[at].segment != spoken.words[at - 1].segment
    });
    let this = |back: usize| matches!(word(back), "that" | "this") && begins(back);
    (this(3) && word(2) == "too") || (this(2) && IS_IT.contains(&word(1)))
}

/// "One turn of the adjuster is how much height": what is asked for stands behind the verb.
fn asks_within(spoken: &Spoken, at: usize) -> bool {
    let asked = matches!(spoken.word(at + 2), "much" | "many" | "far" | "long");
    asked && spoken.word(at + 1) == "how" && matches!(spoken.word(at), "is" | "was" | "equals" | "means" | "makes")
}

/// "It's the reel, not a rotary blade": what something is called, with nothing done and nothing read.
fn puts_words_right(spoken: &Spoken) -> bool {
    const BEFORE: &[&str] = &["no", "nah", "nope", "wait", "sorry", "oh", "and", "well", "actually", "but"];
    let word = |at: usize| spoken.word(at);
    let first = (0..spoken.words.len()).find(|at| !BEFORE.contains(&word(*at))).unwrap_or(0);
    let is = matches!(word(first), "its" | "it's" | "thats" | "that's")
        || (matches!(word(first), "it" | "that" | "this") && matches!(word(first + 1), "is" | "was"));
    let not = (first..spoken.words.len()).any(|at| word(at) == "not");
    is && not && spoken.quantities.is_empty() && !does(spoken)
}

/// "The lines are about 20 mm apart": marks in the turf, and no height.
fn tells_spacing(spoken: &Spoken) -> bool {
    const MARKS: &[&str] = &[
        "line", "lines", "ripple", "ripples", "ridge", "ridges", "rib", "ribs", "wave", "waves", "mark", "marks",
        "hump", "humps", "bump", "bumps", "stripe", "stripes", "tufts",
    ];
    let marks = spoken.words.iter().any(|word| MARKS.contains(&word.text.as_str()));
    let apart = |pair: &[Word]| pair[0].stem == NUMBER && pair[1].text == "apart";
    let work = (0..spoken.words.len()).any(|at| DEEDS.contains(&spoken.word(at)));
    marks && !work && spoken.words.windows(2).any(apart)
}

/// "Unit 4's rear roller was rough": how a part was found, with nothing done to it.
fn found_so(spoken: &Spoken) -> bool {
    let was = |at: usize| matches!(spoken.word(at), "was" | "were");
    let so = |at: usize| FOUND_SO.contains(&spoken.word(at));
    let found = (1..spoken.words.len()).any(|at| was(at) && (so(at + 1) || so(at + 2)));
    found && spoken.quantities.len() < 2 && spoken.words.len() <= FOUND_WORDS_MAX && !does(spoken)
}

/// Whether anybody did anything, or a part is new.
fn does(spoken: &Spoken) -> bool {
    let all = || 0..spoken.words.len();
    let word = |at: usize| spoken.word(at);
    let been = |at: usize| {
        (at.saturating_sub(2)..at).any(|at| matches!(word(at), "been" | "was" | "were" | "since"))
    };
    let ground = |at: usize| {
        let before = at.checked_sub(1).map_or("", word);
        word(at) == "ground" && matches!(before, "the" | "soft" | "hard" | "wet" | "of")
    };
    let early = |at: usize| at < 3;
    all().any(|at| {
        let said = word(at);
        let deed = DEEDS.contains(&said) && !sheds(spoken, at);
        let strong = deed && (!WEAK_DEEDS.contains(&said) || early(at));
        let remedy = REMEDIES.contains(&said) && said != "cut";
        let moved = is_deed(spoken, at) && !DEEDS.contains(&said);
        let number = moved || matches!(said, "fresh" | "replacement" | "hours" | "hrs" | "meter");
        (strong && !been(at) && !ground(at)) || remedy || number
    })
}

/// "Groomer not turning", "brush pulling the grass", "1 and 3 do not match": what something does
/// that it should not.
fn goes_wrong(spoken: &Spoken) -> bool {
    let numbers = spoken.words.iter().filter(|word| word.stem == NUMBER).count();
    let listed = numbers > 2 && spoken.words.len() < SHORT_WORDS_MAX;
    !listed && wrong_words(spoken, 0, spoken.words.len().saturating_sub(1))
}

/// The same, said within the words `first..=last`.
pub fn wrong_words(spoken: &Spoken, first: usize, last: usize) -> bool {
    const DOES: &[&str] = &[
        "leaves", "leaving", "pulling", "pulls", "keeps", "squealing", "squeals", "rattles",
        "rattling", "knocking", "dragging", "drags", "scalping", "scalps", "tearing", "tears",
        "streaking", "streaks", "jammed", "jams", "stuck", "seized", "gummed", "clogged", "bowed",
        "bobbing", "stops", "slips", "slipping", "leaks", "leaking", "wont", "cant", "doesnt",
        "dont", "isnt", "aint", "smoking", "overheats", "wobbles", "shakes", "shaking", "vibrates",
        "misses", "missing", "skips", "uncut", "rifling", "ridges", "ribs", "grinding", "hot",
        "looks", "looking", "feels", "sounds",
    ];
    (first..=last).any(|at| {
        let (said, next) = (spoken.word(at), spoken.word(at + 1));
        let not = matches!(said, "not" | "never") && (next.ends_with("ing") || next == "right");
        let negated = matches!(said, "do" | "does" | "is" | "are" | "will" | "can")
            && matches!(next, "not");
        let goes_on = matches!(said, "carry" | "carries" | "run" | "runs" | "spin" | "spins")
            && next == "on";
        let than = matches!(said, "lower" | "higher" | "shorter" | "longer" | "tighter" | "worse"
            | "deeper" | "closer") && next == "than";
        not || than || goes_on || negated || said == "cannot" || DOES.contains(&said)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn what_is_asked_without_a_verb_is_no_record() {
        for (words, wanted) in [
            ("the blades are set an eighth below the rollers, that too much", true),
            ("set it to 3.2, that ok", true),
            ("set it to 3.2, that was too much", false),
            ("set it to 3.2, ok", false),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            assert_eq!(ends_in_doubt(&spoken), wanted, "{words}");
        }
    }
}
