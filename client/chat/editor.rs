//! Where do typed lines come from? On a terminal from an editor with history and completion, else
//! from standard input as it is. It waits on a thread of its own, so that answers do not.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};

use rustyline::error::ReadlineError;
use rustyline::history::FileHistory;
use rustyline::{CompletionType, Config};
use tokio::sync::mpsc;

use super::complete::Completion;

/// Lines of history that are kept.
const HISTORY_MAX: usize = 1_000;
/// Longest line read from a pipe: far more than is understood, so that the server refuses it.
const LINE_BYTES_MAX: usize = 1 << 20;

pub enum Typed {
    Line(String),
    /// Ctrl-C.
    Interrupted,
    /// Ctrl-D, or the end of the pipe.
    End,
    Failed(io::Error),
}

/// What the thread is asked, and what it says.
pub struct Editor {
    ask: Sender<String>,
    typed: mpsc::Receiver<(Typed, Option<usize>)>,
    height: Option<usize>,
}

impl Editor {
    pub fn start(plain: bool, words: Vec<String>, data: PathBuf) -> io::Result<Editor> {
        let (ask, asked) = channel();
        let (tell, typed) = mpsc::channel(1);
        let work = move || {
            if plain {
                read_pipe(&asked, &tell);
            } else if let Err(error) = read_terminal(&asked, &tell, words, &data) {
                let _ = tell.blocking_send((Typed::Failed(io::Error::other(error)), None));
            }
        };
        std::thread::Builder::new().name("editor".to_owned()).spawn(work)?;
        Ok(Editor { ask, typed, height: None })
    }

    /// The next line.
    pub async fn line(&mut self, prompt: &str) -> Typed {
        if self.ask.send(prompt.to_owned()).is_err() {
            return Typed::End;
        }
        let Some((typed, height)) = self.typed.recv().await else { return Typed::End };
        self.height = height.or(self.height);
        typed
    }

    /// Rows of the terminal; none in a pipe.
    pub fn height(&self) -> Option<usize> {
        self.height
    }
}

type Tell = mpsc::Sender<(Typed, Option<usize>)>;

fn read_pipe(asked: &Receiver<String>, tell: &Tell) {
    let mut input = io::stdin().lock();
    while asked.recv().is_ok() {
        let typed = match next_line(&mut input) {
            Ok(None) => Typed::End,
            Ok(Some(bytes)) => match String::from_utf8(bytes) {
                Ok(line) => Typed::Line(line),
                Err(_) => Typed::Failed(io::Error::new(
                    io::ErrorKind::InvalidData,
                    "a line is not UTF-8 text; save it as UTF-8",
                )),
            },
            Err(error) => Typed::Failed(error),
        };
        if tell.blocking_send((typed, None)).is_err() {
            return;
        }
    }
}

/// A line without its end; one that is far too long is cut there and then, to be refused.
fn next_line(input: &mut impl io::BufRead) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    let mut any = false;
    loop {
        let buffer = input.fill_buf()?;
        if buffer.is_empty() {
            return Ok(any.then_some(bytes));
        }
        any = true;
        let end = buffer.iter().position(|byte| *byte == b'\n');
        let part = &buffer[..end.unwrap_or(buffer.len())];
        let room = LINE_BYTES_MAX.saturating_sub(bytes.len());
        bytes.extend_from_slice(&part[..part.len().min(room)]);
        let used = end.map_or(buffer.len(), |at| at + 1);
        input.consume(used);
        if end.is_some() {
            while matches!(bytes.last(), Some(b'\r')) {
                bytes.pop();
            }
            return Ok(Some(bytes));
        }
    }
}

fn read_terminal(
    asked: &Receiver<String>,
    tell: &Tell,
    words: Vec<String>,
    data: &Path,
) -> rustyline::Result<()> {
    let config = Config::builder()
        .completion_type(CompletionType::List)
        .max_history_size(HISTORY_MAX)?
        .build();
    let mut editor = rustyline::Editor::<Completion, FileHistory>::with_config(config)?;
    editor.set_helper(Some(Completion::new(words)));
    let history = data.join("chat_history");
    // The first time there is none.
    let _ = editor.load_history(&history);
    while let Ok(prompt) = asked.recv() {
        let typed = match editor.readline(&prompt) {
            Ok(line) => {
                if !line.trim().is_empty() {
                    let _ = editor.add_history_entry(&line);
                    // The directory comes into being with the first record; without it there is
                    // no history to keep either.
                    if data.is_dir() {
                        let _ = editor.save_history(&history);
                    }
                }
                Typed::Line(line)
            }
            Err(ReadlineError::Interrupted) => Typed::Interrupted,
            Err(ReadlineError::Eof) => Typed::End,
            Err(error) => Typed::Failed(io::Error::other(error)),
        };
        let height = editor.dimensions().map(|(_, rows)| usize::from(rows));
        if tell.blocking_send((typed, height)).is_err() {
            break;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_as_editors_end_them() {
        let mut input: &[u8] = b"one\r\ntwo\n\nlast";
        let mut lines = Vec::new();
        while let Some(line) = next_line(&mut input).expect("memory") {
            lines.push(String::from_utf8(line).expect("text"));
        }
        assert_eq!(lines, ["one", "two", "", "last"]);
    }
}
