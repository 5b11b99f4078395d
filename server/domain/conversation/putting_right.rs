//! How is put right what was stored a moment ago? A correction comes to an amendment, "undo" to a
//! withdrawal; each is shown first and stored on a yes, and what stood before stays in the history.
//! Only what this conversation stored itself is put right here; `sward amend` does the rest.

use super::follow_up::{Earlier, without_correction};
use super::in_turn::asks;
use super::readings_of_units;
use super::put_in_place::{name_put_down, put_in, span_put_in};
use super::other_subject::{Named, named_as_well, subject_put_in};
use super::{Action, Actions, Conversation, Proposed, say};
use crate::domain::catalogue::Knowledge;
use crate::domain::wording::bare_word;

/// Records that a yes stored.
#[derive(Clone, Debug)]
pub struct Stored {
    /// Their resource names.
    pub names: Vec<String>,
    /// In one plain sentence.
    pub understood: String,
    /// Nothing else was understood since.
    latest: bool,
    /// The words it came of.
    of: Earlier,
}

impl Stored {
    pub(super) fn is_latest(&self) -> bool {
        self.latest
    }

    /// The units the records are of, by number.
    pub(super) fn units(&self) -> Vec<u32> {
        let of = |name: &String| name.split("/units/").nth(1)?.split('/').next()?.parse().ok();
        self.names.iter().filter_map(of).collect()
    }

    pub(super) fn earlier(&self) -> &Earlier {
        &self.of
    }
}

/// Verbs of what is told of something; a name has none.
const TELLS: &[&str] = &["is", "are", "has", "have", "needs", "looks", "sounds", "leaks", "squeals"];
/// More words than these say more than what was meant.
const NAME_WORDS_MAX: usize = 6;

impl<C: Clone> Conversation<C> {
    /// A proposal was stored under these names.
    pub fn stored(&mut self, names: Vec<String>, understood: &str) -> Actions<C> {
        let of = std::mem::take(&mut self.confirmed);
        self.stored = (!names.is_empty())
            .then(|| Stored { names, understood: understood.to_owned(), latest: true, of });
        let held = self.next_held();
        if held.is_empty() && !self.afterwards.is_empty() {
            let words = self.afterwards.remove(0);
            self.turn.words.clone_from(&words);
            self.turn.leans = false;
            return vec![Action::Interpret(words)];
        }
        held
    }

    /// Something that was stored was withdrawn.
    pub fn withdrawn(&mut self) -> Actions<C> {
        self.stored = None;
        self.next_held()
    }

    /// What was stored last here.
    pub fn stored_last(&self) -> Option<&Stored> {
        self.stored.as_ref()
    }

    /// It is spoken of again, by the words it came of.
    pub(super) fn stored_again(&mut self, of: &Earlier) {
        self.earlier.clone_from(of);
        self.said = vec![of.words.clone()];
        if let Some(stored) = &mut self.stored {
            stored.latest = true;
        }
    }

    /// Something else was understood.
    pub(super) fn stored_is_past(&mut self) {
        if let Some(stored) = &mut self.stored {
            stored.latest = false;
        }
    }

    /// Whether these words put right what was stored just now.
    pub(super) fn puts_the_stored_right(&self, words: &str) -> bool {
        let latest = self.stored.as_ref().is_some_and(|stored| stored.latest);
        latest && self.proposal.is_none() && corrects(words)
    }

    /// "No, Kev did it", "took 40 min", of what was stored just now.
    pub(super) fn put_in_the_stored(&self, words: &str) -> Option<String> {
        let free = self.proposal.is_none();
        let latest = self.stored.as_ref().filter(|stored| stored.latest && free)?;
        let asked = asks(words) && name_put_down(words).is_none();
        // Readings of units fit only records of these units.
        let plain = words.trim().trim_end_matches(['.', '!']);
        if readings_of_units::put_in(plain, &latest.of).is_some() {
            return self.readings_of_the_stored(plain);
        }
        put_in(words, &latest.of, "").filter(|_| !asked)
    }

    /// "No wait, it was walker 2": what stands behind the correction, when something is open or was
    /// stored just now that it may be about.
    pub(super) fn names_what_was_meant(&self, words: &str) -> Option<String> {
        let open = self.turn.was_fresh && self.proposal.is_some();
        if !open && !self.puts_the_stored_right(words) {
            return None;
        }
        let named = only_the_name(words);
        let lead = behind_it_was(words).map(|_| named.as_str());
        let rest = without_correction(words).or(lead)?;
        let count = rest.split_whitespace().count();
        // "The right front was 3.52" is of a value.
        let measured = rest.split_whitespace().any(|word| {
            let bare = word.trim_end_matches(['.', ',']);
            bare.contains('.') && bare.starts_with(|ch: char| ch.is_ascii_digit())
        });
        // "No, and unit 3 is noisy" tells of another matter.
        let tells = rest.split_whitespace().any(|word| TELLS.contains(&bare_word(word)));
        let named = !measured && !tells && count <= NAME_WORDS_MAX;
        (named && !rest.ends_with('?')).then(|| rest.to_owned())
    }

    /// What was proposed or stored is about `subject`: its command, and what it comes to in words.
    pub fn put_right(&mut self, command: C, subject: &str, understood: String) -> Actions<C> {
        self.turn.leans = true;
        self.said.push(self.turn.words.clone());
        subject.clone_into(&mut self.meant);
        subject.clone_into(&mut self.context.subject);
        let kind = self.proposal.as_ref().map_or_else(String::new, |open| open.kind.clone());
        let open = self.proposal.as_ref().map(|open| &open.what);
        let what = match (open, &self.stored) {
            (Some(Proposed::Amend { names, .. }), _) => {
                Proposed::Amend { names: names.clone(), command }
            }
            (None, Some(stored)) => Proposed::Amend { names: stored.names.clone(), command },
            _ => Proposed::Command(command),
        };
        self.propose(what, understood, kind)
    }

    /// "Triplex 2 too", "and tees 2 as well, same": what is named beside the record that was shown or
    /// stored just now.
    pub(super) fn records_again(&self, words: &str) -> Option<String> {
        let shown = self.turn.was_fresh || self.turn.was_reminded;
        let open = self.proposal.as_ref().is_some_and(|open| match open.what {
            Proposed::Command(_) | Proposed::Amend { .. } => shown,
            Proposed::Walk { .. } | Proposed::Withdraw { .. } => false,
        });
        let latest = self.stored.as_ref().is_some_and(|stored| stored.latest);
        let just_now = open || (self.proposal.is_none() && latest);
        if !just_now || self.walking.is_some() || asks(words) {
            return None;
        }
        // "No, and unit 3": one more, and not in the place of the one.
        named_as_well(and_behind_no(words).or_else(|| without_correction(words)).unwrap_or(words))
    }

    /// "Also did unit 3 the same way, 10 minutes": the same work there, with a time of its own.
    pub(super) fn again_with_a_time(&self, words: &str) -> Option<String> {
        let (named, time) = words.trim().trim_end_matches('.').rsplit_once(',')?;
        let named = self.records_again(named.trim())?;
        let stored = self.stored.as_ref().filter(|_| self.proposal.is_none());
        let earlier = stored.map_or(&self.earlier, |stored| &stored.of);
        let whole = span_put_in(time.trim(), earlier)?;
        subject_put_in(&whole, &named, &earlier.about).filter(|put_in| !put_in.starts_with(&whole))
    }

    /// "No, and unit 3 is noisy", of what was stored just now: another matter, which the no denies not.
    pub(super) fn goes_on(&self, words: &str) -> Option<String> {
        let rest = and_behind_no(words).filter(|_| self.puts_the_stored_right(words))?;
        let tells = rest.split_whitespace().any(|word| TELLS.contains(&bare_word(word)));
        let rest = rest.split_once(' ').map(|(_, rest)| rest.to_owned());
        rest.filter(|_| tells)
    }

    /// The same record for `subject`: the command, how it reads and its kind. The words named it.
    pub fn again_for(
        &mut self,
        command: C,
        words: &str,
        subject: &str,
        (understood, kind): (String, String),
    ) -> Actions<C> {
        self.said.push(self.turn.words.clone());
        self.meant.clear();
        subject.clone_into(&mut self.context.subject);
        let put_in = subject_put_in(&self.earlier.words, words, &self.earlier.about);
        let about = Named::of(subject);
        // What only stands behind them would be about both.
        let put_in = put_in.filter(|words| !words.starts_with(&self.earlier.words));
        self.earlier = put_in.map_or_else(Earlier::default, |words| {
            Earlier { words, numbers: Vec::new(), about }
        });
        self.propose(Proposed::Command(command), understood, kind)
    }

    /// They named nothing of the shop.
    pub fn not_again(&mut self, knowledge: &Knowledge) -> Actions<C> {
        let words = self.turn.words.clone();
        self.of_their_own(knowledge, &words)
    }

    /// The record of a walk that is proposed is about something else.
    pub fn walk_put_right(&mut self, subject: String) -> Actions<C> {
        if let Some(walking) = &mut self.walking {
            walking.walk.subject.clone_from(&subject);
        }
        let Some(open) = &mut self.proposal else { return Vec::new() };
        if let Proposed::Walk { subject: about, .. } = &mut open.what {
            *about = subject;
        }
        open.fresh = true;
        vec![Action::Propose]
    }

    /// The words named nothing that is known.
    pub fn not_put_right(&mut self) -> Actions<C> {
        let words = self.turn.words.clone();
        if let Some(asked) = self.corrects_nothing(&words) {
            return asked;
        }
        let alone = self.adds_to_the_proposal();
        vec![if alone { Action::InterpretAlone(words) } else { Action::Interpret(words) }]
    }

    /// Proposes to take back what was stored last.
    pub(super) fn undo(&mut self) -> Actions<C> {
        let Some(stored) = self.stored.clone() else {
            return vec![say(
                "Nothing was stored in this conversation. An older record is withdrawn by \
                 \"sward amend RECORD --withdraw\".",
            )];
        };
        let understood = format!("Take back: {}", stored.understood);
        self.propose(Proposed::Withdraw { names: stored.names }, understood, String::new())
    }

    pub(super) fn what_was_stored(&self) -> Actions<C> {
        let open = self.proposal.as_ref().map(|open| {
            say(format!("Not stored yet: {}", open.understood))
        });
        let stored = match &self.stored {
            Some(stored) => vec![Action::Say(
                std::iter::once(format!("Stored last: {}", stored.understood))
                    .chain(stored.names.iter().map(|name| format!("  {name}")))
                    .collect(),
            )],
            None => vec![say("Nothing was stored in this conversation.")],
        };
        stored.into_iter().chain(open).collect()
    }
}

impl<C: Clone> Conversation<C> {
    /// A correction of what was shown just now, in so many words, that fits nothing of it.
    pub(super) fn corrects_nothing(&mut self, words: &str) -> Option<Actions<C>> {
        let open = self.proposal.as_ref().filter(|_| self.turn.was_fresh && !self.turn.leans)?;
        let command = matches!(open.what, Proposed::Command(_) | Proposed::Amend { .. });
        (command && takes_back(words) && !asks(words)).then(|| self.fits_nothing()).flatten()
    }
}

/// "No, and unit 3 is noisy": what is told behind a no that only goes on.
fn and_behind_no(words: &str) -> Option<&str> {
    let head = |start: &&str| {
        words.get(..start.len()).is_some_and(|head| head.eq_ignore_ascii_case(start))
    };
    let lead = ["no, ", "no ", "sorry, ", "sorry ", "oh "].into_iter().find(head)?;
    let rest = words[lead.len()..].trim_start();
    let first = rest.split_whitespace().next()?.to_lowercase();
    matches!(first.as_str(), "and" | "also" | "plus").then_some(rest)
}

/// Whether words begin by taking back, and not only with a no: "no wait", "hang on, it was".
pub(super) fn takes_back(words: &str) -> bool {
    const STRONG: &[&str] = &[
        "wait", "sorry", "hang", "hold", "actually", "meant", "mistaken", "mistake", "wrong", "correction", "rather",
    ];
    const HEAD_WORDS_MAX: usize = 4;
    let lower = words.to_lowercase();
    let bare = |word: &str| bare_word(word).to_owned();
    let mut head = lower.split_whitespace().take(HEAD_WORDS_MAX).map(bare);
    let no = lower.starts_with("no,") || lower.starts_with("no ") || lower.starts_with("nope");
    let it = ["it was", "that was", "that is", "that's", "thats", "it is", "only", "just"];
    let short = lower.split_whitespace().count() <= 16;
    let points = no && short && it.iter().any(|sign| lower.contains(sign));
    // "Oh and it was Thursday not Friday".
    let other = lower.split_once(" not ").is_some_and(|(before, behind)| {
        let was = ["it was ", "that was ", "its ", "it's "].iter().any(|sign| before.contains(sign));
        // "No, 80 thou was the depth, not how thick".
        let was = was || (no && before.contains(" was "));
        was && before.split_whitespace().count() + behind.split_whitespace().count() <= 10
    });
    if other {
        return true;
    }
    let strong = head.any(|word| STRONG.contains(&word.as_str()));
    without_correction(words).is_some() && (strong || points)
}

/// Whether the words say that something was wrong, rather than tell of the next thing.
fn corrects(words: &str) -> bool {
    without_correction(words).is_some()
        || behind_it_was(words).is_some()
        || words.to_lowercase().contains(" not ")
}

/// "Its the tees mower no 2 unit": the name alone, the word for what before its number.
pub(super) fn only_the_name(words: &str) -> String {
    const WHAT: &[&str] = &["unit", "head", "reel"];
    const NUMBER: &[&str] = &["no", "no.", "number"];
    let few = |rest: &&str| rest.split_whitespace().count() <= NAME_WORDS_MAX;
    let rest = behind_it_was(words).filter(few).unwrap_or(words).trim();
    let said: Vec<&str> = rest.split_whitespace().collect();
    let [name @ .., number, what] = &said[..] else { return rest.to_owned() };
    let what = what.trim_end_matches(['.', '!']).to_lowercase();
    let counts = number.parse::<u32>().is_ok_and(|number| number > 0);
    if !WHAT.contains(&what.as_str()) || !counts {
        return rest.to_owned();
    }
    let name = match name.split_last() {
        Some((last, name)) if NUMBER.contains(&last.to_lowercase().as_str()) => name,
        _ => name,
    };
    [name, &[what.as_str(), *number]].concat().join(" ")
}

/// "Its the tees mower no 2 unit", of what was told of unit 1: that name, and what was told without
/// the unit that it takes the place of.
pub(super) fn name_instead(before: String, words: &str) -> (String, String) {
    const WHAT: &[&str] = &["unit", "head", "reel"];
    let name = only_the_name(words);
    let numbered = |text: &str| -> Vec<usize> {
        let parts = text.split_whitespace().map(|word| bare_word(word).to_lowercase());
        let parts: Vec<String> = parts.collect();
        let what = |at: &usize| {
            WHAT.contains(&parts[*at].as_str()) && parts[*at + 1].parse::<u32>().is_ok()
        };
        (0..parts.len().saturating_sub(1)).filter(what).collect()
    };
    let (told, meant) = (numbered(&before), numbered(&name));
    let ([old], [_]) = (&told[..], &meant[..]) else { return (before, name) };
    let mut parts: Vec<&str> = before.split_whitespace().collect();
    parts.drain(*old..*old + 2);
    if parts.last().is_some_and(|last| matches!(*last, "on" | "of")) {
        parts.pop();
    }
    (parts.join(" "), name)
}

fn behind_it_was(words: &str) -> Option<&str> {
    let starts = ["it was ", "that was ", "that's ", "it's ", "thats ", "it is ", "that is ", "its "];
    let head = |start: &&str| words.get(..start.len()).is_some_and(|head| {
        head.eq_ignore_ascii_case(start)
    });
    let start = starts.iter().find(|start| head(start))?;
    let rest = words[start.len()..].trim_end_matches(['.', '!']).trim();
    // "Its bedknife is dull" tells of a part.
    let own = *start == "its " && !rest.to_lowercase().starts_with("the ");
    (!own).then_some(rest)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_told_in_many_ways() {
        for (before, words, wanted) in [
            ("changed the bedknife on unit 1", "its the tees mower no 2 unit", ("changed the bedknife", "the tees mower unit 2")),
            ("changed the bedknife on unit 1", "the tees mower", ("changed the bedknife on unit 1", "the tees mower")),
        ] {
            let got = name_instead(before.to_owned(), words);
            assert_eq!((got.0.as_str(), got.1.as_str()), wanted, "{words}");
        }
        for (words, wanted) in [
            ("its the tees mower no 2 unit", "the tees mower unit 2"),
            ("it was the triplex number 3 reel.", "the triplex reel 3"),
            ("tees mower unit 2", "tees mower unit 2"),
            ("its bedknife is dull", "its bedknife is dull"),
            ("3.5", "3.5"),
        ] {
            assert_eq!(only_the_name(words), wanted, "{words}");
        }
    }
}
