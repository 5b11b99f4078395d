//! Knowledge files: whatever stands in an edited copy, it is read, or its mistakes are named by file
//! and what to do; and what is read answers a complaint.

use std::fs;
use std::path::{Path, PathBuf};

use sward_core::domain::complaint::{Models, Question, diagnose};
use sward_core::embedded;
use sward_core::knowledge::File;

use super::super::dice::{Dice, hash};
use super::{Target, must};

const COMPLAINTS: [&str; 2] =
    ["thin uncut line, same place every pass, on the middle unit", "torn leaf tips, blades dull"];
/// The models of the words are made anew when these change, which takes seconds.
const SLOW: [&str; 3] = ["phrasings/", "lexicon/", "intent/"];
/// One input in this many changes a slow file; never where programs are built to be tested, not fast.
const SLOW_IN: usize = if cfg!(debug_assertions) { usize::MAX } else { 40 };
/// Files are spoilt in pieces of this size, so that a mutation meets something.
const PIECE_BYTES: usize = 2_000;
/// What an input begins with: the number of its file and of the piece, two bytes each.
const HEAD_BYTES: usize = 4;

/// One line in this many of the phrasings is kept where one of their files is spoilt: fitting to all
/// of them takes half a minute, and a mistake is a mistake among few.
const KEPT_IN: usize = 40;

/// The built-in knowledge, copied to a directory, with one file at a time spoilt; and a copy with
/// few phrasings, for when it is one of theirs.
pub struct Files {
    directory: PathBuf,
    thinned: PathBuf,
    files: Vec<File>,
}

impl Files {
    pub fn new(data: &Path) -> Files {
        let [directory, thinned] = ["knowledge", "thinned"].map(|name| data.join(name));
        let file = |(path, text): &(&str, &str)| {
            File { path: (*path).to_owned(), text: (*text).to_owned() }
        };
        let files: Vec<File> = embedded::FILES.iter().map(file).collect();
        for file in &files {
            let few: Vec<&str> = file.text.lines().step_by(KEPT_IN).collect();
            let few = if is_phrasings(file) { few.join("\n") } else { file.text.clone() };
            for (directory, text) in [(&directory, &file.text), (&thinned, &few)] {
                let path = directory.join(&file.path);
                fs::create_dir_all(path.parent().expect("in a directory")).expect("a directory");
                fs::write(&path, text).expect("a copy");
            }
        }
        Files { directory, thinned, files }
    }

    /// The file and the place in it that an input is about: its first four bytes say so.
    fn place(&self, input: &[u8]) -> Option<(usize, usize)> {
        let (head, _) = input.split_at_checked(HEAD_BYTES)?;
        let number = |at: usize| usize::from(u16::from_le_bytes([head[at], head[at + 1]]));
        let file = number(0) % self.files.len();
        let pieces = self.files[file].text.len() / PIECE_BYTES + 1;
        (SLOW_IN < usize::MAX || !self.is_slow(file)).then_some((file, number(2) % pieces))
    }

    fn is_slow(&self, file: usize) -> bool {
        SLOW.iter().any(|folder| self.files[file].path.starts_with(folder))
    }

    /// A piece of a file.
    fn piece(&self, file: usize, piece: usize) -> &[u8] {
        let bytes = self.files[file].text.as_bytes();
        let start = (piece * PIECE_BYTES).min(bytes.len());
        &bytes[start..(start + PIECE_BYTES).min(bytes.len())]
    }

    fn input(&self, file: usize, piece: usize) -> Vec<u8> {
        let [file_number, piece_number] = [file, piece].map(|number| (number as u16).to_le_bytes());
        [&file_number, &piece_number, self.piece(file, piece)].concat()
    }

    /// The file with the input in the place of its piece.
    fn spoilt(&self, file: usize, piece: usize, input: &[u8]) -> Vec<u8> {
        let bytes = self.files[file].text.as_bytes();
        let start = (piece * PIECE_BYTES).min(bytes.len());
        let end = (start + PIECE_BYTES).min(bytes.len());
        [&bytes[..start], &input[HEAD_BYTES..], &bytes[end..]].concat()
    }

    fn judge(&self, directory: &Path) -> Result<u64, String> {
        let (knowledge, problems) = match embedded::from_directory(directory, None, || ()) {
            Ok(read) => read,
            Err(error) => {
                must(!error.to_string().is_empty(), || "an error that says nothing".to_owned())?;
                return Ok(1);
            }
        };
        let mut sort = 0;
        for problem in &problems {
            let named = self.files.iter().any(|file| file.path == problem.file);
            must(named, || format!("{problem} names no file"))?;
            must(!problem.remedy.is_empty(), || format!("{problem} says no remedy"))?;
            sort ^= hash(problem.file.as_bytes()) ^ hash(problem.remedy.as_bytes());
        }
        if !problems.is_empty() {
            return Ok(sort);
        }
        let models = Models::new(&knowledge)
            .map_err(|error| format!("knowledge without a mistake makes no model: {error}"))?;
        for complaint in COMPLAINTS {
            let question = Question { complaint: complaint.to_owned(), ..Question::default() };
            let answer = diagnose(&knowledge, &models, &question);
            let answer = answer.map_err(|error| format!("a sound complaint: {error:?}"))?;
            let chances = answer.causes.iter().all(|cause| cause.probability.is_finite());
            must(chances, || "a chance that is no number".to_owned())?;
            sort = sort.rotate_left(3) ^ answer.causes.len() as u64;
        }
        Ok(sort)
    }
}

fn is_phrasings(file: &File) -> bool {
    file.path.starts_with("phrasings/")
}

impl Target for Files {
    fn name(&self) -> &'static str {
        "knowledge"
    }

    /// Whole files answer nothing new; inputs are made from nothing.
    fn corpus(&self) -> Vec<Vec<u8>> {
        Vec::new()
    }

    fn words(&self) -> Vec<Vec<u8>> {
        let words = self.files.iter().flat_map(|file| {
            file.text.split(|letter: char| !letter.is_alphanumeric() && letter != '_').take(40)
        });
        words.filter(|word| word.len() > 2).map(|word| word.as_bytes().to_vec()).collect()
    }

    fn fresh(&self, dice: &mut Dice) -> Option<Vec<u8>> {
        let slow = dice.once_in(SLOW_IN);
        let some: Vec<usize> = (0..self.files.len())
            .filter(|&file| self.is_slow(file) == slow)
            .collect();
        let file = *dice.one_of(&some);
        let piece = dice.below(self.files[file].text.len() / PIECE_BYTES + 1);
        let input = self.input(file, piece);
        let others = [self.piece(file, 0).to_vec()];
        let mut spoilt = super::super::mutate::mutate(&input[HEAD_BYTES..], &others, &[], dice);
        spoilt.splice(0..0, input[..HEAD_BYTES].iter().copied());
        Some(spoilt)
    }

    fn run(&mut self, input: &[u8]) -> Result<u64, String> {
        let Some((file, piece)) = self.place(input) else { return Ok(0) };
        let thin = is_phrasings(&self.files[file]);
        let directory = if thin { &self.thinned } else { &self.directory };
        let path = directory.join(&self.files[file].path);
        let before = fs::read(&path).map_err(|error| error.to_string())?;
        // Of a long file of phrasings the spoilt piece is all that is kept.
        let alone = || input[HEAD_BYTES..].to_vec();
        let spoilt = if thin { alone() } else { self.spoilt(file, piece, input) };
        fs::write(&path, spoilt).map_err(|error| error.to_string())?;
        let judged = self.judge(directory);
        fs::write(&path, before).map_err(|error| error.to_string())?;
        Ok(judged? ^ (file as u64) << 48)
    }
}
