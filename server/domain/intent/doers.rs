//! Who did it, where it is more than one: "Group C", "me and the lad", "between Kev and me"? Kept whole,
//! as it was said.
//! Deliberately absent: one person by name or role (`deeds`).

use super::people::is_given_name;
use super::spoken::Spoken;
use crate::domain::language::text::{Kind, Token};
use crate::domain::wording::bare_word;

/// What is called by a letter or number behind it.
const GROUPS: &[&str] = &["group", "class", "team", "squad", "crew", "gang", "shift"];
/// Between two who did it.
const AND: &[&str] = &["and", "&", "n", "plus", "with"];
/// Before a role.
const ARTICLES: &[&str] = &["the", "our", "my", "a", "new", "young", "other"];

/// The name of a group, or both of two people.
pub(super) fn together(spoken: &Spoken, roles: &[&str]) -> Option<String> {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let all = || 0..spoken.tokens.len();
    all().find_map(|at| group_at(spoken, at)).or_else(|| {
        let role = |at: usize| roles.contains(&text(at)) || is_given_name(text(at));
        // Past its articles, the last token of who stands there.
        let who = |at: usize| {
            let skipped = (at..at + 2).take_while(|at| ARTICLES.contains(&text(*at))).count();
            role(at + skipped).then_some(at + skipped)
        };
        let mine = |at: usize| matches!(text(at), "me" | "i" | "myself");
        all().find_map(|at| {
            let last = match (mine(at), AND.contains(&text(at + 1))) {
                (true, true) => who(at + 2)?,
                (false, _) => {
                    let last = who(at)?;
                    (AND.contains(&text(last + 1)) && mine(last + 2)).then_some(last + 2)?
                }
                _ => return None,
            };
            Some(written(spoken, at, last))
        })
    })
}

/// "Team 2": tokens of a group and its number, which is no number of the work.
pub(super) fn groups(tokens: &[Token]) -> Vec<(usize, usize)> {
    let is = |at: &usize| {
        let digit = |next: &Token| next.kind == Kind::Number && next.text.len() == 1;
        let number = tokens.get(at + 1).is_some_and(digit);
        number && tokens[*at].text != "gang" && GROUPS.contains(&tokens[*at].text.as_str())
    };
    (0..tokens.len()).filter(is).map(|at| (at, at + 1)).collect()
}

/// Where people stand in words, first and last word, with what joins them: "Dave", "the lad", "Kev
/// and me", "Group C".
pub fn people_in(words: &[&str]) -> Vec<(usize, usize)> {
    let bare = |at: usize| {
        let word = words.get(at).map_or("", |word| bare_word(word));
        word.strip_suffix("'s").unwrap_or(word).to_lowercase()
    };
    let group = |at: usize| {
        let next = words.get(at + 1).map_or("", |word| bare_word(word));
        let short = next.chars().count() == 1 && next.chars().all(char::is_alphanumeric) && next != "a";
        GROUPS.contains(&bare(at).as_str()) && short
    };
    let one = |at: usize| is_given_name(&bare(at)) || super::deeds::is_role(&bare(at));
    let mut out = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let last = if group(at) { at + 1 } else { at };
        if !(group(at) || one(at)) {
            at += 1;
            continue;
        }
        let mut first = at;
        let mine = |at: usize| matches!(bare(at).as_str(), "me" | "i" | "myself");
        let and = |at: usize| AND.contains(&bare(at).as_str());
        while first > 0 && ARTICLES.contains(&bare(first - 1).as_str()) && bare(first - 1) != "a" {
            first -= 1;
        }
        if first > 1 && and(first - 1) && mine(first - 2) {
            first -= 2;
        }
        let mut end = last;
        if and(end + 1) && mine(end + 2) {
            end += 2;
        }
        match out.last_mut() {
            Some((_, before)) if first == *before + 2 && and(first - 1) => *before = end,
            _ => out.push((first, end)),
        }
        at = end + 1;
    }
    out
}

/// "Group C", "class 2": the word with what it is called.
fn group_at(spoken: &Spoken, at: usize) -> Option<String> {
    let text = |at: usize| spoken.tokens.get(at).map_or("", |token| token.text.as_str());
    let called = text(at + 1);
    let short = called.len() == 1 && called.chars().all(char::is_alphanumeric) && called != "a";
    let capital = written(spoken, at + 1, at + 1).chars().next().is_some_and(char::is_uppercase);
    let close = spoken.tokens.get(at + 2).is_none_or(|next| next.text != "." || at + 3 >= spoken.tokens.len()
        || spoken.tokens[at + 3].sentence != spoken.tokens[at].sentence);
    let named = GROUPS.contains(&text(at)) && (short || (called == "a" && capital)) && close;
    // "The gang 3" is of a machine.
    let machine = text(at) == "gang" && called.chars().all(|ch| ch.is_ascii_digit());
    (named && !machine).then(|| written(spoken, at, at + 1))
}

/// The words as they were written.
fn written(spoken: &Spoken, first: usize, last: usize) -> String {
    let (Some(one), Some(two)) = (spoken.tokens.get(first), spoken.tokens.get(last)) else {
        return String::new();
    };
    spoken.text.get(one.start..two.end).unwrap_or_default().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::language::text::tokens;

    #[test]
    fn groups_and_pairs_are_kept_whole() {
        let roles = &["lad", "apprentice", "class"];
        for (words, wanted) in [
            ("lapped it, done by Group C, forty minutes", Some("Group C")),
            ("team 2 ground it", Some("team 2")),
            ("swapped the belt, 2 hrs between me and the lad", Some("me and the lad")),
            ("Kev and me changed it", Some("Kev and me")),
            ("the apprentice lapped it", None),
            ("the class ground the reel", None),
            ("five gang 3 lapped", None),
        ] {
            let spoken = Spoken::new(words, tokens(words), &[]);
            assert_eq!(together(&spoken, roles).as_deref(), wanted, "{words}");
        }
    }
}
