//! What do whole sentences ask for, and what are their numbers? The sentences of `phrasings/` whose
//! label is `command=NAME` become two models: of the command, and of the field of each number.

use std::collections::BTreeSet;
use std::ops::Range;

use super::marks::UNSURE;
use super::words::{Phrasing, stems, stems_of};
use crate::domain::language::model::{Example, Known, known};
use crate::domain::language::purpose::{
    ASKED, ASKED_ANY, COMMAND, COMPLAINT, KNOWN, KNOWN_ANY, PurposeModel,
};
use crate::domain::language::turns::TURN;
use crate::domain::said::naming::{self, MACHINE, NamingModel};
use crate::domain::said::placing::{Clues, NO_FIELD, PlacingModel, clues};

/// The sentences of commands are few, and learned in more rounds (no source).
const COMMAND_EPOCHS: usize = 30;

/// One in so many of the single signs is learned as a complaint, which makes some seven hundred.
const SIGNS_PER_COMPLAINT: usize = 40;

/// Words are many, so fewer rounds do (no source).
const NAME_EPOCHS: usize = 12;

/// Turns that put a number in or right, by their beginnings.
const OF_NUMBERS: &[&str] = &["turn=sum_", "turn=rec_"];

/// The command that a whole sentence asks for, or the role of a turn, as the model names it.
pub fn command_of<'a>(phrasing: &Phrasing<'a>) -> Option<&'a str> {
    let name = |label: &&'a str| label.strip_prefix(COMMAND).or(is_turn(label).then_some(*label));
    phrasing.labels.iter().find_map(name)
}

/// Whether a label or a name is that of a turn.
pub fn is_turn(name: &str) -> bool {
    name.starts_with(TURN)
}

/// Questions to the records are learned as one command beside each by itself, and so are those of
/// the trade.
fn group_of(command: &str) -> Option<&'static str> {
    let groups = [(ASKED, ASKED_ANY), (KNOWN, KNOWN_ANY)];
    groups.into_iter().find(|(start, _)| command.starts_with(start)).map(|(_, any)| any)
}

/// The names of the commands, and the model fitted to their sentences. Records name their machine
/// nearly always and clauses of signs hardly ever, and people name it in both: so that a name alone
/// is no record, single signs are learned as complaints with names too.
pub fn fit_purposes(
    sentences: &[&Phrasing<'_>],
    signs: &[&Phrasing<'_>],
) -> (Vec<String>, Vec<u8>) {
    let groups = sentences.iter().filter_map(|sentence| group_of(command_of(sentence)?));
    let names: BTreeSet<&str> =
        sentences.iter().filter_map(|sentence| command_of(sentence)).chain(groups).collect();
    let names: Vec<String> = names.into_iter().map(str::to_owned).collect();
    let example = |sentence: &&Phrasing| {
        let column = |name: &str| names.iter().position(|known| known == name);
        let command = command_of(sentence);
        let both = command.into_iter().chain(command.and_then(group_of));
        let labels = both.filter_map(column).collect();
        Example { words: stems_of(sentence), labels }
    };
    let mut examples: Vec<Example> = sentences.iter().map(example).collect();
    if let Some(column) = names.iter().position(|name| name == COMPLAINT) {
        let named = named_signs(sentences, signs).into_iter();
        examples.extend(named.map(|words| Example { words, labels: vec![column] }));
    }
    // "2,310 then", to a sum or a record, would be a reading by itself: such turns teach no more
    // than what they do there.
    let within = |labels: &[usize]| {
        let role = labels.first().map(|column| names[*column].as_str());
        let open = role.and_then(|role| OF_NUMBERS.iter().find(|open| role.starts_with(**open)));
        open.map_or(0..names.len(), |open| columns_of(&names, open))
    };
    let table = PurposeModel::fit_within(&known(&examples), names.len(), COMMAND_EPOCHS, within);
    (names, table)
}

/// The columns of names that begin so, which stand side by side.
pub fn columns_of(names: &[impl AsRef<str>], start: &str) -> Range<usize> {
    let is = |name: &_| AsRef::<str>::as_ref(name).starts_with(start);
    let first = names.iter().position(is).unwrap_or_default();
    first..first + names.iter().filter(|name| is(name)).count()
}

/// Some of the single signs that are said to be there, each with a machine's name before or behind
/// it.
fn named_signs(sentences: &[&Phrasing<'_>], signs: &[&Phrasing<'_>]) -> Vec<Vec<String>> {
    let marks = sentences.iter().flat_map(|one| one.marks.iter().map(move |mark| (one, mark)));
    let machines = marks.filter(|(_, (_, field))| *field == MACHINE);
    let names: Vec<&str> = machines.map(|(one, (place, _))| &one.clause[place.clone()]).collect();
    let stated = |one: &&&Phrasing| one.labels.iter().any(|label| label.ends_with("=yes"));
    let signs = signs.iter().filter(stated).step_by(SIGNS_PER_COMPLAINT);
    let clauses = signs.map(|one| one.clause.as_ref());
    let with_name = |(clause, (at, name)): (&str, (usize, &&str))| match at % 2 {
        0 => stems(&format!("{name} {clause}")),
        _ => stems(&format!("{clause} on {name}")),
    };
    clauses.zip(names.iter().enumerate().cycle()).map(with_name).collect()
}

/// The commands of which some sentence has such a mark.
fn marked<'a>(sentences: &[&Phrasing<'a>], is: &dyn Fn(&str) -> bool) -> BTreeSet<&'a str> {
    let has = |sentence: &&&Phrasing| sentence.marks.iter().any(|(_, mark)| is(mark));
    sentences.iter().filter(has).filter_map(|sentence| command_of(sentence)).collect()
}

/// The fields of marked numbers, each with its command, and the model fitted to all the numbers of
/// the commands that have marks.
pub fn fit_placings(sentences: &[&Phrasing<'_>]) -> (Vec<String>, Vec<u8>) {
    let marked = marked(sentences, &|mark| mark != MACHINE);
    let numbers: Vec<(String, Vec<u32>)> = sentences
        .iter()
        .filter_map(|sentence| Some((command_of(sentence)?, sentence)))
        .filter(|(command, _)| marked.contains(command))
        .flat_map(|(command, sentence)| {
            let field = move |number: &Clues| format!("{command}.{}", field_of(sentence, number));
            let open = |number: &Clues| field_of(sentence, number) != UNSURE;
            let numbers = clues(&sentence.clause).into_iter().filter(open);
            numbers.map(move |one| (field(&one), one.features))
        })
        .collect();
    let fields: BTreeSet<&String> = numbers.iter().map(|(field, _)| field).collect();
    let fields: Vec<String> = fields.into_iter().cloned().collect();
    let known = |(field, features): &(String, Vec<u32>)| {
        (features.clone(), fields.binary_search(field).into_iter().collect())
    };
    let known: Vec<Known> = numbers.iter().map(known).collect();
    let table = PlacingModel::fit_features(&known, fields.len(), COMMAND_EPOCHS);
    (fields, table)
}

/// The model of names, fitted to the words of the commands whose machine is marked.
pub fn fit_names(sentences: &[&Phrasing<'_>]) -> Vec<u8> {
    let marked = marked(sentences, &|mark| mark == MACHINE);
    let of_marked = |sentence: &&&Phrasing| {
        command_of(sentence).is_some_and(|command| marked.contains(command))
    };
    let words = |sentence: &&Phrasing| {
        let names = sentence.marks.iter().filter(|mark| mark.1 == MACHINE);
        naming::examples(&sentence.clause, &names.map(|mark| &mark.0).collect::<Vec<_>>())
    };
    let known: Vec<Known> = sentences.iter().filter(of_marked).flat_map(words).collect();
    NamingModel::fit_features(&known, naming::COLUMNS, NAME_EPOCHS)
}

/// The field that a number is marked with.
fn field_of<'a>(sentence: &Phrasing<'a>, number: &Clues) -> &'a str {
    let place = &number.place;
    let over = |(mark, _): &&(Range<usize>, &str)| {
        mark.start < place.end && place.start < mark.end
    };
    let marked = sentence.marks.iter().find(over).map_or(NO_FIELD, |(_, field)| field);
    // The number of a machine goes to no field.
    if marked == MACHINE { NO_FIELD } else { marked }
}
