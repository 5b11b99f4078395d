//! RING 2: the only server code that knows tonic. One file per proto file; each handler reads
//! *parse, read, decide, write, reply*. Deliberately absent: formulas, thresholds, ranking.

pub mod access;
mod assistant;
mod diagnosis;
mod doors;
mod fleet;
mod gate;
mod guide;
pub mod observe;
mod records;
mod search;
mod serve;
mod settings;
mod speech;
mod status;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock};
use std::time::Instant;

use crate::domain::catalogue::Knowledge;
use crate::domain::complaint::Models;
use crate::embedded;
use crate::index::Pipeline;

pub use records::{Findable, row_of};
pub use serve::{channel_to, check, serve};

/// The version of the program.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Everything the handlers share. Built whole before the first call is taken.
pub struct Shop {
    pub knowledge: Knowledge,
    pub models: Models,
    pub data: PathBuf,
    conversations: assistant::converse::Hub,
    finder: search::Finder,
    /// Words as records and questions are compared by; made by the first question.
    pipeline: OnceLock<Pipeline>,
    keeper: records::Keeper,
    remembered: Mutex<records::remembered::Remembered>,
    started: Instant,
    seen: Arc<observe::Seen>,
}

/// Why a shop cannot open.
#[derive(Debug)]
pub enum OpenError {
    /// The files of `--knowledge` hold mistakes, a line each.
    Knowledge(Vec<String>),
    Io(std::io::Error),
}

impl std::fmt::Display for OpenError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            OpenError::Knowledge(lines) => write!(f, "{}", lines.join("\n")),
            OpenError::Io(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for OpenError {}

impl From<std::io::Error> for OpenError {
    fn from(error: std::io::Error) -> OpenError {
        OpenError::Io(error)
    }
}

impl Shop {
    /// Opens a shop on a data directory; `knowledge`: a directory to use instead of the built-in.
    pub fn open(data: &Path, knowledge: Option<&Path>) -> Result<Arc<Shop>, OpenError> {
        Shop::open_telling(data, knowledge, || ())
    }

    /// The same; `learning` is called before the phrasings of `knowledge` are learned anew.
    pub fn open_telling(
        data: &Path,
        knowledge: Option<&Path>,
        learning: impl FnOnce(),
    ) -> Result<Arc<Shop>, OpenError> {
        let knowledge = match knowledge {
            None => embedded::knowledge(),
            Some(directory) => {
                let (known, problems) = embedded::from_directory(directory, Some(data), learning)?;
                if !problems.is_empty() {
                    return Err(OpenError::Knowledge(
                        problems.iter().map(ToString::to_string).collect(),
                    ));
                }
                known
            }
        };
        let models = Models::new(&knowledge)
            .map_err(|error| OpenError::Knowledge(vec![error.to_string()]))?;
        let seen = Arc::new(observe::Seen::new(VERSION, &knowledge.version));
        Ok(Arc::new(Shop {
            knowledge,
            models,
            data: data.to_owned(),
            conversations: assistant::converse::Hub::default(),
            finder: search::Finder::new(data),
            pipeline: OnceLock::new(),
            keeper: records::Keeper::default(),
            remembered: Mutex::default(),
            started: Instant::now(),
            seen,
        }))
    }
}
