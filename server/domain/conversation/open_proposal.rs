//! What do words do to a proposal that stands open? A yes to what was shown last stores it; a no
//! drops it; other talk leaves it open, and it is said that it is not stored yet.

use super::acts::{self, Act};
use super::by_role::role_of;
use super::in_turn::COMPLAINT;
use super::follow_up::{Earlier, FollowUp, follow_up, without_correction};
use super::other_unit::part_instead;
use super::put_in_place::put_in;
use super::putting_right::takes_back;
use super::units_meant::machine_numbered;
use super::{
    Action, Actions, Asked, Conversation, Knowledge, Proposal, Proposed, ask, in_turn, joined,
    safety, say,
};
use crate::domain::language::turns::Open;
use crate::domain::wording::bare_number;

/// A number with its point.
fn figure(word: &str) -> Option<f64> {
    let bare = bare_number(word);
    bare.contains('.').then(|| bare.parse().ok()).flatten()
}

/// Whether the numbers of words are ones that were told already, of several: which of them is
/// wrong, and what is right, cannot be told.
fn says_again(words: &str, earlier: &Earlier) -> bool {
    let told: Vec<f64> = earlier.words.split_whitespace().filter_map(figure).collect();
    let said: Vec<f64> = words.split_whitespace().filter_map(figure).collect();
    let other = told.iter().any(|one| said.iter().all(|said| said != one));
    !said.is_empty() && other && said.iter().all(|one| told.contains(one))
}

/// "No, both 3.6": the one value in the place of all readings that were told.
fn all_alike(words: &str, earlier: &Earlier) -> Option<String> {
    /// Readings of one row differ by less than this part (common practice, no source).
    const APART_MAX: f64 = 0.2;
    let bare = |word: &str| bare_number(word).to_lowercase();
    let said: Vec<String> = words.split_whitespace().map(bare).collect();
    let values: Vec<f64> = said.iter().filter_map(|word| figure(word)).collect();
    let [value] = values[..] else { return None };
    let small = ["it", "was", "is", "were", "they", "are", "both", "all", "each", "at", "ends", "end", "sides", "of",
        "them", "should", "be", "mm", "the", "on", "to", "make", "that"];
    let plain = said.iter().all(|word| figure(word).is_some() || small.contains(&word.as_str()));
    let mut parts: Vec<String> = earlier.words.split(' ').map(str::to_owned).collect();
    let places: Vec<usize> =
        (0..parts.len()).filter(|at| figure(&parts[*at]).is_some()).collect();
    let has = |word: &str| said.iter().any(|one| one == word);
    let counted = has("both") && places.len() == 2
        || (has("all") || has("each")) && places.len() > 1;
    let near = places.iter().all(|at| {
        figure(&parts[*at]).is_some_and(|old| (old - value).abs() <= value * APART_MAX)
    });
    // Where something was set, each end stays a record of its own.
    let read = earlier.words.split(' ').any(|word| {
        matches!(bare(word).as_str(), "height" | "heights" | "read" | "reads" | "reading" | "readings")
    });
    if !plain || !counted || !near || !read {
        return None;
    }
    for at in places {
        let old = bare(&parts[at]);
        parts[at] = parts[at].replace(&old, &value.to_string());
    }
    Some(parts.join(" "))
}

impl<C: Clone> Conversation<C> {
    pub(super) fn about_the_proposal(
        &mut self,
        knowledge: &Knowledge,
        act: Option<&Act>,
        words: &str,
        was_fresh: bool,
    ) -> Option<Actions<C>> {
        let reminded = self.turn.was_reminded;
        let drops = act.is_none() && self.proposal.is_some();
        if drops && acts::says_it_ails(words) && let Some(ails) = self.ails_instead() {
            return Some(ails);
        }
        if let Some(rest) = acts::behind_not_storing(words).filter(|_| drops) {
            return Some(self.dropped_for(rest));
        }
        // What was asked since gets the yes; "store it" is of the proposal.
        let asked = self.asked.is_some() && !was_fresh && !acts::of_storing(words);
        let open = self.proposal.as_mut()?;
        let of_command = matches!(open.what, Proposed::Command(_) | Proposed::Amend { .. });
        match act {
            Some(Act::Yes) if was_fresh || reminded => {
                let confirmed = self.proposal.take()?;
                self.confirmed.clone_from(&confirmed.of);
                Some(vec![Action::Write(confirmed)])
            }
            Some(Act::Yes | Act::No | Act::Acknowledge) if asked => None,
            Some(Act::Yes | Act::Acknowledge | Act::Done | Act::Again) => {
                open.fresh = true;
                Some(vec![Action::Propose])
            }
            Some(Act::No | Act::Cancel | Act::Undo) => Some(self.decline()),
            Some(_) => None,
            // A bare number corrects only what was shown just now.
            None if self.turn.was_fresh || (reminded && takes_back(words)) => {
                if !self.turn.was_fresh {
                    // After other talk it is the record that is corrected, by its own words.
                    self.turn.was_fresh = true;
                    self.earlier.clone_from(&open.of);
                    self.said = vec![open.said.clone()];
                }
                if let Some(wanted) = self.wants_a_height(words) {
                    return Some(wanted);
                }
                if of_command && let Some(name) = machine_numbered(words, &self.context.subject) {
                    return Some(vec![Action::PutRight(name)]);
                }
                if let Some(units) = self.units_of_the_open(words) {
                    return Some(vec![Action::Units(units)]);
                }
                let kind = self.proposal.as_ref().map_or("", |open| open.kind.as_str());
                let put_in = put_in(words, &self.earlier, kind);
                let put_in = put_in.or_else(|| part_instead(words, &self.earlier));
                if let Some(whole) = put_in.or_else(|| self.took_minutes(words)) {
                    return Some(self.leaning(knowledge, FollowUp::Words(whole)));
                }
                if let Some(lean) = follow_up(words, &self.earlier, true) {
                    return Some(self.leaning(knowledge, lean));
                }
                if let Some(unit) = self.names_the_unit(words) {
                    return Some(vec![Action::PutRight(unit)]);
                }
                let rest = without_correction(words).unwrap_or(words);
                let alike = all_alike(rest, &self.earlier).filter(|_| of_command && rest != words);
                if let Some(whole) = alike {
                    return Some(self.leaning(knowledge, FollowUp::Words(whole)));
                }
                if of_command && rest != words && says_again(rest, &self.earlier) {
                    return self.fits_nothing();
                }
                let whole = of_command.then(|| self.told_again(knowledge, words, rest)).flatten()?;
                self.turn.told_again = Some(rest.to_owned());
                Some(self.leaning(knowledge, FollowUp::Words(whole)))
            }
            // After other talk it has to say that it corrects.
            None if without_correction(words).is_some() => {
                let whole = put_in(words, &open.of, &open.kind)?;
                self.earlier.clone_from(&open.of);
                self.said = vec![open.said.clone()];
                Some(self.leaning(knowledge, FollowUp::Words(whole)))
            }
            None => None,
        }
    }

    pub(super) fn leaning(&mut self, knowledge: &Knowledge, lean: FollowUp) -> Actions<C> {
        match lean {
            FollowUp::Which(question) => vec![ask(question)],
            FollowUp::Words(words) => match safety::refused(knowledge, &words) {
                Some(refusal) => vec![refusal],
                None => {
                    self.turn.leans = !self.turn.repeats;
                    let words = self.complaint_put_right(words);
                    vec![Action::Interpret(words)]
                }
            },
        }
    }

    /// "No it were relief", which no list puts right: what was told, with this behind it.
    fn told_again(&self, knowledge: &Knowledge, words: &str, rest: &str) -> Option<String> {
        let fixes = role_of(knowledge, words, Open::Record) == Some("fix") && !in_turn::asks(words);
        let before = self.earlier.words.trim_end_matches(['.', '!', ' ']);
        (fixes && !before.is_empty()).then(|| joined(before, "; ", rest)).flatten()
    }

    /// "Took 15": minutes, where the record tells no time yet.
    fn took_minutes(&self, words: &str) -> Option<String> {
        const TOOK: &[&str] = &["took", "it took", "took me", "took us", "took him", "took about", "that took"];
        let lower = words.trim().trim_end_matches('.').to_lowercase();
        let (said, number) = lower.rsplit_once(' ')?;
        let minutes: u32 = number.parse().ok().filter(|minutes| (5..=600).contains(minutes))?;
        let timed = self.earlier.numbers.iter().any(|one| one.meant.starts_with("duration"));
        let whole = format!("{}, took {minutes} min", self.earlier.words);
        (TOOK.contains(&said) && !timed && !self.earlier.words.is_empty()).then_some(whole)
    }

    /// "2": a bare number that can be no number of the record is the unit.
    fn names_the_unit(&self, words: &str) -> Option<String> {
        const UNITS_MAX: u32 = 12;
        let number: u32 = words.trim().trim_end_matches('.').parse().ok()?;
        let open = self.earlier.numbers.is_empty() && !self.earlier.about.names_a_unit();
        (open && (1..=UNITS_MAX).contains(&number)).then(|| format!("unit {number}"))
    }

    /// What was proposed as work is looked into as what ails.
    fn ails_instead(&mut self) -> Option<Actions<C>> {
        let open = self.proposal.as_ref()?;
        let told = open.of.words.clone();
        if !matches!(open.what, Proposed::Command(_)) || told.is_empty() {
            return None;
        }
        let mut actions = self.decline();
        actions.push(Action::Interpret(format!("{COMPLAINT}: {told}")));
        Some(actions)
    }

    /// Nothing is stored; what is said behind that is asked or told of the same words.
    fn dropped_for(&mut self, rest: &str) -> Actions<C> {
        let told = self.earlier.words.trim_end_matches(['.', '!', ' ']).to_owned();
        let mut actions = self.decline();
        if !rest.is_empty() {
            actions.extend(joined(&told, ", ", rest).map(Action::InterpretAlone));
        }
        actions
    }

    pub(super) fn decline(&mut self) -> Actions<C> {
        let Some(dropped) = self.proposal.take() else { return vec![say("Nothing was open.")] };
        self.afterwards.clear();
        let mut actions = match (dropped.what, self.walking.take()) {
            (Proposed::Walk { .. }, Some(walking)) => vec![
                Action::KeepDraft(walking),
                say("Not recorded. It is kept as a draft: \"resume\" takes it up again, \
                     \"discard draft\" throws it away."),
            ],
            (Proposed::Amend { names, .. }, walking) => {
                self.walking = walking;
                let ids: Vec<&str> = names.iter().filter_map(|name| name.rsplit('/').next())
                    .collect();
                let ids = ids.join(", ");
                vec![say(format!(
                    "Nothing was stored: {ids} stands as it was. \"Undo\" takes it back."
                ))]
            }
            (_, walking) => {
                self.walking = walking;
                vec![say("Nothing was stored.")]
            }
        };
        actions.extend(self.next_held());
        actions
    }

    /// At the end of a turn: what is open still and was not shown in it. A yes stores it then.
    pub fn still_open(&mut self) -> Option<String> {
        let quiet = self.walking.is_some() || self.refused.is_some();
        // The yes is to the record, whatever a diagnosis asked since.
        let findings = matches!(self.asked, Some(Asked::Findings { .. }));
        let asked = self.asked.is_some() && !findings;
        let open = self.proposal.as_mut().filter(|open| !quiet && !open.fresh && !open.doubted)?;
        if matches!(open.what, Proposed::Walk { .. }) {
            return None;
        }
        open.reminded = !asked;
        let how = if asked { "\"Store it\" shows it again" } else { "\"Yes\" stores it" };
        Some(format!("Still not stored: {} {how}, \"scrap that\" drops it.", open.understood))
    }

    /// Something else was talked of: a bare yes is no answer to the proposal any more.
    pub(super) fn other_talk(&mut self) {
        if let Some(open) = &mut self.proposal {
            open.fresh = false;
        }
    }

    /// A yes to a proposal by its number.
    pub fn confirm(&mut self, number: u64) -> Actions<C> {
        self.other_talk();
        match self.proposal.take() {
            Some(open) if open.number == number => {
                self.confirmed.clone_from(&open.of);
                vec![Action::Write(open)]
            }
            other => {
                self.proposal = other;
                vec![say(format!("Proposal {number} is not open; nothing was stored."))]
            }
        }
    }

    /// A no to a proposal by its number.
    pub fn decline_number(&mut self, number: u64) -> Actions<C> {
        self.other_talk();
        if self.proposal.as_ref().is_some_and(|open| open.number == number) {
            return self.decline();
        }
        vec![say(format!("Proposal {number} is not open; nothing was stored."))]
    }

    /// The proposal was not stored because something is wrong with it; it stays open.
    pub fn not_stored(&mut self, mut proposal: Proposal<C>) {
        (proposal.fresh, proposal.reminded) = (false, false);
        self.proposal = Some(proposal);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_stands_in_the_place_of_all() {
        let heights = "walker 1 heights 3.5 left 3.52 right";
        let set = "set walker 1 left to 3.5, and right to 3.6";
        for (before, words, wanted) in [
            (heights, "it was 3.52 both ends", Some("walker 1 heights 3.52 left 3.52 right")),
            (set, "both 3.6", None),
            (heights, "it was 3.52", None),
            (heights, "both 35.2", None),
            (heights, "the left was 3.52 both times", None),
            ("triplex heights 3.5 3.48 3.52", "both 3.52", None),
        ] {
            let earlier = Earlier { words: before.to_owned(), ..Earlier::default() };
            assert_eq!(all_alike(words, &earlier).as_deref(), wanted, "{words}");
        }
    }
}
