//! Is the work still to be done ("lapping triplex 1 this aft, walk me", "going to change the belt")? Then
//! it is walked through, and never a record. Nor are numbers that only make a sum.
//! Deliberately absent: which job it is (`guide`).

use super::deeds::DEEDS;
use super::kind::CommandKind;
use super::{Interpretation, Reader};

/// What is said of work that is still to be done.
pub const NOT_YET: &str = "That is still to be done, so nothing is recorded: say it when it is done. \
    \"Walk me through\" and the job shows how.";
/// What says outright that it is still to be done.
const AHEAD: &[&[&str]] = &[
    &["going", "to"], &["about", "to"], &["gunna"], &["planning", "to"], &["plan", "to"],
    &["tomorrow"], &["next", "week"], &["fixing", "to"], &["will", "do"],
];
/// What says so where no reading is told: "got to 1,250 hours".
const AHEAD_WITHOUT_NUMBERS: &[&[&str]] = &[
    &["will", "be"], &["want", "to"], &["need", "to"], &["have", "to"], &["got", "to"],
    &["due", "to"], &["am", "off", "to"], &["just", "off", "to"], &["ready", "to"],
];
/// Times that are ahead when something is being done then.
const LATER: &[&str] = &["aft", "afternoon", "evening", "later", "tonight", "tonite", "arvo", "tmrw"];
/// Words that ask to be walked through.
const WALK: &[&[&str]] = &[
    &["walk", "me"], &["talk", "me", "through"], &["take", "me", "through"], &["guide", "me"],
    &["step", "me", "through"], &["lead", "me", "through"],
];

impl Reader<'_> {
    /// A job that is asked to be walked through, whatever else the words would be.
    pub(super) fn asks_to_be_walked(&self) -> Option<Interpretation> {
        if !WALK.iter().any(|words| self.said_in_row(words)) {
            return None;
        }
        let job = self.procedure();
        (!job.topic.is_empty() || job.alternatives.len() > 1).then_some(job)
    }

    /// "How do I set the height with a gauge bar": the job that it names, where no number is told.
    pub(super) fn how_to(&self) -> Option<Interpretation> {
        let asks = self.asks_how_to() && self.spoken.quantities.is_empty();
        let free = self.question.case.is_none();
        let job = (asks && free).then(|| self.procedure())?;
        (!job.topic.is_empty()).then_some(job)
    }

    /// Whether the work that is told is still to be done.
    pub(super) fn is_ahead(&self) -> bool {
        let word = |at: usize| self.spoken.word(at);
        let all = 0..self.spoken.words.len();
        let done = all.clone().any(|at| DEEDS.contains(&word(at)) && !matches!(word(at), "set" | "fit" | "spin"
            | "put" | "let" | "read" | "done" | "did" | "relief"));
        if done {
            return false;
        }
        let begins = all.clone().take(3).any(|at| word(at).len() > 4 && word(at).ends_with("ing"));
        let later = begins && all.clone().any(|at| LATER.contains(&word(at)));
        let unread = self.heard.proof.recorded == 0;
        let ahead = AHEAD_WITHOUT_NUMBERS.iter().filter(|_| unread).chain(AHEAD);
        later || ahead.into_iter().any(|words| self.said_in_row(words))
    }

    /// "3.4 to 3.6 at 1.25 pitch": of no machine, with nothing done.
    pub(super) fn is_sum_of_turns(&self) -> bool {
        let proof = &self.heard.proof;
        let best = &self.heard.asked[0];
        let pitch = self.said_in_row(&["pitch"]) || self.said_in_row(&["a", "turn"]);
        pitch && proof.named == 0 && !proof.deed && best.calculation == "adjuster_turns" && best.placed.len() > 1
    }

    fn said_in_row(&self, words: &[&str]) -> bool {
        let tokens = &self.spoken.tokens;
        tokens.windows(words.len()).any(|window| {
            window.iter().zip(words).all(|(token, word)| token.text == *word)
        })
    }

    /// What work that is still to be done comes to.
    pub(super) fn not_done_yet(&self) -> Interpretation {
        Interpretation { understood: NOT_YET.to_owned(), ..self.nothing(CommandKind::Unclear) }
    }
}
