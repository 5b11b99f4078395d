//! Which words of the trade mean one thing to a search? `search_synonyms.csv`: `names,basis`, the
//! names separated by `|`, the usual one first.
//! Deliberately absent: British and American spellings, which `spelling.csv` has for every purpose.

use std::collections::BTreeMap;

use super::tables::{BASIS_REMEDY, basis};
use super::{File, Problems, text_of};

const PATH: &str = "search_synonyms.csv";
/// Words of the longest name that a search looks for.
const WORDS_MAX: usize = 4;

pub fn read(files: &[File], problems: &mut Problems) -> Vec<Vec<String>> {
    let Some(text) = text_of(files, PATH) else {
        problems.add(PATH, 0, "the file is missing", "put it back");
        return Vec::new();
    };
    let mut out = Vec::new();
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    for (at, line) in text.lines().enumerate() {
        let number = at + 1;
        if number == 1 || line.trim().is_empty() {
            continue;
        }
        match names(line) {
            Ok(list) => {
                for name in &list {
                    if let Some(before) = seen.insert(name.clone(), number) {
                        let what = format!("\"{name}\" stands in line {before} too");
                        problems.add(PATH, number, what, "keep it in one line");
                    }
                }
                out.push(list);
            }
            Err((what, remedy)) => problems.add(PATH, number, what, remedy),
        }
    }
    out
}

fn names(line: &str) -> Result<Vec<String>, (String, &'static str)> {
    let Some((cell, source)) = line.rsplit_once(',') else {
        return Err(("a row without a comma".to_owned(), "write names,basis"));
    };
    if basis(source.trim()).is_none() {
        return Err((format!("\"{source}\" is no basis"), BASIS_REMEDY));
    }
    let list: Vec<String> = cell.split('|').map(|name| name.trim().to_owned()).collect();
    if list.len() < 2 {
        return Err((format!("\"{cell}\" is one name only"), "separate two names or more by |"));
    }
    let plain = |ch: char| ch.is_ascii_lowercase() || ch.is_ascii_digit() || ch == ' ';
    if let Some(name) = list.iter().find(|name| name.is_empty() || !name.chars().all(plain)) {
        let remedy = "use small letters and blanks only; a hyphen is a blank";
        return Err((format!("\"{name}\" is no name"), remedy));
    }
    match list.iter().find(|name| name.split(' ').count() > WORDS_MAX) {
        Some(name) => Err((format!("\"{name}\" is too long"), "use at most four words")),
        None => Ok(list),
    }
}
