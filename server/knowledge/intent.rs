//! Which words ask for which command? The files of `intent/`: patterns like those of the lexicon,
//! under sections that say what they point at.
//! Deliberately absent: the names of the fields, which `domain::intent` checks in its tests.

use super::{File, Problems, files_in};
use crate::domain::language::patterns::{Builder, Lexicon, Mistake};

/// What a section can be about; it stands before the colon.
const FAMILIES: &[&str] = &[
    "about",
    "ask",
    "value",
    "kind",
    "record",
    "part",
    "method",
    "target",
    "height",
    "direction",
    "reason",
    "fixed",
    "thing",
    "fleet",
    "asked",
    "asking",
    "safety",
    "asks",
];

pub fn read(files: &[File], problems: &mut Problems) -> Lexicon {
    let all: Vec<&File> = files_in(files, "intent/", ".txt").collect();
    if all.is_empty() {
        problems.add("intent", 0, "its files are missing", "put them back");
    }
    let mut builder = Builder::default();
    for file in &all {
        report(file, builder.classes(&file.text), problems);
    }
    for file in &all {
        report(file, builder.patterns(&file.text), problems);
        sections(file, problems);
    }
    builder.build()
}

fn report(file: &File, mistakes: Vec<Mistake>, problems: &mut Problems) {
    for Mistake { line, what, remedy } in mistakes {
        problems.add(&file.path, line, what, &remedy);
    }
}

fn sections(file: &File, problems: &mut Problems) {
    for (at, line) in file.text.lines().enumerate() {
        let Some(name) = line.trim().strip_prefix('[').and_then(|rest| rest.strip_suffix(']'))
        else {
            continue;
        };
        let family = name.split_once(':').map(|(family, _)| family);
        if !family.is_some_and(|family| FAMILIES.contains(&family)) {
            let remedy = format!("begin it with one of {} and a colon", FAMILIES.join(", "));
            problems.add(&file.path, at + 1, format!("[{name}] is no section"), &remedy);
        }
    }
}
