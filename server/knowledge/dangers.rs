//! Which sentences are dangerous, and which only sound so? The sentences of `phrasings/` whose
//! label is `danger=ID` become a model, with what people say to us every day beside them.

use std::collections::BTreeSet;

use super::commands::{command_of, is_turn};
use super::words::{Phrasing, stems_of};
use crate::domain::language::dangers::{DANGER, DANGER_ANY, DangerModel, NO_DANGER};
use crate::domain::language::model::Example;
use crate::domain::language::purpose::{KNOWN, NO_COMMAND};

/// The sentences are few, and learned in more rounds (no source).
const ROUNDS: usize = 24;

/// One in so many of the single signs is learned as no danger, which makes some four thousand.
const SIGNS_PER_EXAMPLE: usize = 20;

/// A request that is refused, without the row that it is refused by.
const UNSAFE: &str = "scope=unsafe";

/// The row of a sentence, or `none`.
pub fn danger_of<'a>(phrasing: &Phrasing<'a>) -> Option<&'a str> {
    phrasing.labels.iter().find_map(|label| label.strip_prefix(DANGER))
}

/// The rows, with any danger as one more, and the model fitted to the sentences.
pub fn fit_dangers(
    dangers: &[&Phrasing<'_>],
    commands: &[&Phrasing<'_>],
    clauses: &[&Phrasing<'_>],
) -> (Vec<String>, Vec<u8>) {
    let rows = dangers.iter().filter_map(|one| danger_of(one)).filter(|row| *row != NO_DANGER);
    let names: BTreeSet<&str> = rows.chain([DANGER_ANY]).collect();
    let names: Vec<String> = names.into_iter().map(str::to_owned).collect();
    let column = |name: &str| names.iter().position(|known| known == name);
    let example = |one: &Phrasing, row: Option<&str>| {
        let labels = row.into_iter().flat_map(|row| [column(DANGER_ANY), column(row)]);
        Example { words: stems_of(one), labels: labels.flatten().collect() }
    };
    let told = dangers.iter().map(|one| {
        example(one, danger_of(one).filter(|row| *row != NO_DANGER))
    });
    let refused = clauses.iter().filter(|one| one.labels.contains(&UNSAFE));
    let refused = refused.map(|one| example(one, Some(DANGER_ANY)));
    let of_scope = |one: &&&Phrasing| one.labels.iter().any(|label| label.starts_with("scope="));
    let harmless = clauses.iter().filter(of_scope).filter(|one| !one.labels.contains(&UNSAFE));
    let signs = clauses.iter().filter(|one| !of_scope(one)).step_by(SIGNS_PER_EXAMPLE);
    // What is said to a complaint or a refusal may well be dangerous.
    // Questions of the trade stand among the sentences that only sound dangerous.
    let quiet = |one: &&&Phrasing| {
        let other = |name: &str| name == NO_COMMAND || is_turn(name) || name.starts_with(KNOWN);
        command_of(one).is_some_and(|name| !other(name))
    };
    let asked = commands.iter().filter(quiet);
    let quiet = harmless.chain(signs).chain(asked).map(|one| example(one, None));
    let examples: Vec<Example> = told.chain(refused).chain(quiet).collect();
    let table = DangerModel::fit(&examples, names.len(), ROUNDS);
    (names, table)
}
