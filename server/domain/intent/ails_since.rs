//! Did a fault begin with the work that is told beside it, or stay after it ("changed the bedknife,
//! now it squeals", "squealing since I set it")? Then it is a complaint, and no work to be stored.
//! Deliberately absent: which finding it is, and that it began with work (`language`).

use super::dates::MONTHS;
use super::deeds::is_deed;
use super::never_told::wrong_words;
use super::{Interpretation, Reader};
use crate::domain::catalogue::Knowledge;
use crate::domain::language::patterns::NUMBER;
use crate::domain::language::scope::Scope;

/// What joins a fault to the work before it.
const JOINTS: &[&str] = &["since", "after"];
/// What says that a fault is there after all.
const THERE_NOW: &[&str] = &["still", "already"];
/// What says that nothing came of it.
const NO_BETTER: &[(&str, &str)] =
    &[("same", "again"), ("no", "better"), ("no", "different"), ("no", "difference")];
/// What a fault does, or is, beside "it was not ... before".
const DOES_SO: &[&str] = &[
    "doing", "do", "did", "done", "happening", "happen", "happened", "there", "this", "that", "so",
    "bad", "like",
];
/// Work stands so near behind a joint.
const REACH: usize = 5;
/// Who did it, or what it was done with.
const DOERS: &[&str] = &["we", "i", "he", "she", "they", "you", "new", "ever"];
/// Work that is told by its name.
const WORKS: &[&str] = &[
    "grinding", "setting", "changing", "fitting", "lapping", "backlapping", "greasing", "swapping",
    "sharpening", "service", "servicing", "job", "regrind", "adjusting", "adjustment", "change",
    "grind", "refit", "repair", "putting",
];
/// Words that say that the fault is gone.
const GONE: &[&str] =
    &["fine", "good", "ok", "okay", "sorted", "cured", "stopped", "fixed", "better", "quiet"];

impl Reader<'_> {
    /// The complaint, where one is told with the work that it began with.
    pub(super) fn ails_since(&self) -> Option<Interpretation> {
        (self.question.case.is_none() && self.ails_since_work()).then(|| self.diagnose())
    }

    /// "Vibrating after we fitted a new reel", "set it this morning and it is streaking already".
    pub(super) fn ails_since_work(&self) -> bool {
        let proof = &self.heard.proof;
        let other = proof.told || proof.asks_us || self.spoken.is_question();
        let ours = !matches!(self.heard.scope, Scope::OtherMachine | Scope::OffTopic);
        let told = self.began_with_work() || self.stayed_after_work() || self.is_no_better()
            || self.was_not_before_work() || self.ails_beside_past_work();
        ours && !other && told
    }

    /// A fault, then what joins it to the work, and nothing done behind that.
    fn began_with_work(&self) -> bool {
        let last = self.spoken.words.len();
        let joint = (1..last).find(|at| JOINTS.contains(&self.word(*at)) && self.joins_work(*at));
        joint.is_some_and(|joint| {
            let segment = self.spoken.words[joint].segment;
            let later = |at: usize| self.spoken.words[at].segment != segment && self.is_work(at);
            self.fault_within(0, joint - 1) && !(joint..last).any(later)
        })
    }

    /// "It wasn't doing that before I put the new roller on": what was not so before the work is so
    /// since.
    fn was_not_before_work(&self) -> bool {
        let last = self.spoken.words.len();
        let before = |at: &usize| matches!(self.word(*at), "before" | "until" | "till");
        let joint = (1..last).find(|at| before(at) && self.joins_work(*at));
        joint.is_some_and(|joint| {
            let from = self.begin_of_clause(joint);
            let says = |is: &dyn Fn(&str) -> bool| (from..joint).any(|at| is(self.word(at)));
            let denied = says(&|word| matches!(word, "not" | "never") || word.ends_with("n't"));
            let so = says(&|word| DOES_SO.contains(&word));
            let fault = self.fault_within(0, from.saturating_sub(1));
            denied && so && (fault || self.fault_within(from, joint - 1))
        })
    }

    /// "Tips are white, all ground in July", "tufty, ground them in July, shouldn't be like that": what
    /// is wrong now, and in a clause of its own work of long ago, or that it should not be so.
    fn ails_beside_past_work(&self) -> bool {
        let last = self.spoken.words.len();
        let Some(done) = (1..last).find(|at| self.is_work(*at)) else { return false };
        let clause = self.begin_of_clause(done);
        let wrong = clause > 0 && self.is_so_now(clause) && self.fault_within(0, clause - 1);
        let over = (done..last).any(|at| GONE.contains(&self.word(at)));
        let wrong_so = (done + 1..last).any(|at| self.should_not_be(at));
        !over && ((wrong && self.is_long_ago(done)) || (wrong_so && self.is_so_now(clause)))
    }

    /// It is said to be so, and not to have been so.
    fn is_so_now(&self, end: usize) -> bool {
        let any = |list: &[&str]| (0..end).any(|at| list.contains(&self.word(at)));
        any(&["is", "are", "has", "have", "keeps", "keep", "looks", "look", "its", "leaving", "leaves"])
            && !any(&["was", "were", "had"])
    }

    /// "In July", "last month", "3 weeks ago" behind the work: told of before, and not to be written down.
    fn is_long_ago(&self, done: usize) -> bool {
        let end = self.end_of_clause(done);
        (done + 1..=end).any(|at| {
            let word = self.word(at);
            let month = MONTHS.iter().any(|month| word.len() > 2 && month.starts_with(word));
            let last = self.word(at - 1) == "last" && matches!(word, "month" | "season" | "year" | "winter"
                | "spring" | "summer" | "autumn");
            let ago = word == "ago";
            (month && matches!(self.word(at - 1), "in" | "since" | "during" | "early" | "late" | "mid" | "back"))
                || last || ago
        })
    }

    /// "Shouldn't be like that", "can't be right".
    fn should_not_be(&self, at: usize) -> bool {
        let denied = matches!(self.word(at), "shouldnt" | "shouldn't" | "cant" | "cannot")
            || (matches!(self.word(at), "should" | "can") && self.word(at + 1) == "not");
        let so = |at: usize| matches!(self.word(at), "like" | "so" | "doing" | "this" | "that" | "right" | "happening");
        denied && (at + 1..at + 5).any(|next| self.word(next) == "be" && (so(next + 1) || so(next + 2)))
    }

    /// Work behind a joint, and no count of hours: "sixty hours since we ground it".
    fn joins_work(&self, joint: usize) -> bool {
        let end = (joint + REACH).min(self.spoken.words.len() - 1);
        let told = |at: usize| DOERS.contains(&self.word(at)) || self.is_work(at);
        !self.counts_hours(joint - 1)
            && self.spoken.words.get(joint + 1).is_some_and(|next| next.stem != NUMBER)
            && (joint + 1..=end).any(told)
    }

    fn counts_hours(&self, at: usize) -> bool {
        self.spoken.words[at].stem == NUMBER || matches!(self.word(at), "hours" | "hrs" | "hour")
    }

    /// Work, then in a clause of its own a fault that is there now.
    fn stayed_after_work(&self) -> bool {
        let last = self.spoken.words.len();
        let Some(done) = (0..last).find(|at| self.is_work(*at)) else { return false };
        let now = (done + 1..last).find(|at| self.is_there_now(*at));
        now.is_some_and(|now| {
            let end = self.end_of_clause(now);
            let begun = self.begin_of_clause(now).max(done + 1);
            !(now..last).any(|at| self.is_work(at)) && self.fault_within(begun, end)
        })
    }

    /// "Now it ...", "still ...", "and it ...": what is so after the work.
    fn is_there_now(&self, at: usize) -> bool {
        let joined = matches!(self.word(at - 1), "and" | "but" | "yet");
        let past = matches!(self.word(at + 1), "was" | "had" | "were");
        let it = matches!(self.word(at), "it" | "its" | "it's" | "they" | "that");
        let it = it && joined && !past;
        // "Barely skims the roller now" is what came of the work.
        let now = self.word(at) == "now" && (joined || self.begin_of_clause(at) == at);
        it || now || THERE_NOW.contains(&self.word(at))
    }

    /// "Nipped it up, did four greens, same again": work that did not help.
    fn is_no_better(&self) -> bool {
        let all = 1..self.spoken.words.len();
        let no_better = |at: &usize| NO_BETTER.contains(&(self.word(*at - 1), self.word(*at)));
        let Some(at) = all.rev().find(no_better) else { return false };
        self.heard.proof.findings > 0 && (0..at).any(|before| self.is_work(before))
    }

    /// The words back to a stop or to what joins clauses.
    fn begin_of_clause(&self, at: usize) -> usize {
        let words = &self.spoken.words;
        let stops = |before: &usize| {
            words[*before].segment != words[at].segment
                || matches!(words[*before].text.as_str(), "and" | "but" | "yet")
        };
        (0..at).rev().find(stops).map_or(0, |stop| stop + 1)
    }

    fn end_of_clause(&self, at: usize) -> usize {
        let words = &self.spoken.words;
        let inside = |next: &usize| words[*next].segment == words[at].segment;
        (at..words.len()).take_while(inside).last().unwrap_or(at)
    }

    fn is_work(&self, at: usize) -> bool {
        // "The engine ran", "it went": what a machine does.
        let weak = matches!(
            self.word(at),
            "ran" | "went" | "found" | "mowed" | "took" | "did" | "looked" | "measured" | "checked"
                | "gave" | "cut"
        );
        let new = self.word(at) == "new" && (at + 1..at + 4).any(|at| self.word(at) == "on");
        (is_deed(self.spoken, at) && !weak) || new || WORKS.contains(&self.word(at))
    }

    /// A fault that is said to be there within these words, and not to be gone.
    fn fault_within(&self, first: usize, last: usize) -> bool {
        // "Gone noisy" is not gone.
        let gone = |at: usize| match self.word(at) {
            "gone" => at == self.end_of_clause(at),
            word => GONE.contains(&word),
        };
        if first > last || (first..=last).any(gone) {
            return false;
        }
        let (start, end) = (self.spoken.bytes(first).0, self.spoken.bytes(last).1);
        let heard = self.heard.shown.iter().any(|fault| (start..end).contains(fault));
        heard || wrong_words(self.spoken, first, last) || self.sign_within(start, end)
    }

    /// A phrase of the lexicon that says a fault, heard for itself.
    fn sign_within(&self, start: usize, end: usize) -> bool {
        let clause = self.question.text.get(start..end).unwrap_or_default();
        let ear = &self.knowledge.ear;
        let heard = ear.hear(&ear.read(clause)).heard;
        heard.iter().any(|one| one.present && is_fault(self.knowledge, &one.finding))
    }

    fn word(&self, at: usize) -> &str {
        self.spoken.word(at)
    }
}

/// Something wrong that shows in use, and not where, when or what was measured.
pub(super) fn is_fault(knowledge: &Knowledge, finding: &str) -> bool {
    knowledge.ear.findings.get(finding).is_some_and(|of| of.observable && !of.context)
}
