//! How does text look on this terminal? Bold only where a person reads it, lines of a width that
//! can be read, nothing but plain text in a pipe.

use std::io::{self, IsTerminal, Write};

/// Widest line.
pub const WIDTH: usize = 96;

/// Around a part that stands out; they take no room.
pub const MARK: char = '\u{2}';
pub const UNMARK: char = '\u{3}';

/// A page of text on its way to standard output.
pub struct Page {
    text: String,
    bold: bool,
}

impl Page {
    pub fn new() -> Page {
        let set = |key: &str| std::env::var_os(key).is_some_and(|value| !value.is_empty());
        let dumb = std::env::var("TERM").is_ok_and(|term| term == "dumb");
        Page { text: String::new(), bold: io::stdout().is_terminal() && !set("NO_COLOR") && !dumb }
    }

    /// A line of the answer itself.
    pub fn answer(&mut self, text: &str) {
        let lines = wrap(text, WIDTH);
        let text = lines.join("\n");
        if self.bold {
            self.text.push_str(&format!("\x1b[1m{text}\x1b[0m\n"));
        } else {
            self.text.push_str(&format!("{text}\n"));
        }
    }

    /// A heading with a blank line above it.
    pub fn heading(&mut self, text: &str) {
        self.text.push('\n');
        self.answer(text);
    }

    /// A paragraph, its first line after `first`, the others indented as far.
    pub fn item(&mut self, first: &str, text: &str) {
        let indent = first.chars().count();
        let width = WIDTH.saturating_sub(indent).max(20);
        for (at, line) in wrap(text, width).iter().enumerate() {
            let margin = if at == 0 { first.to_owned() } else { " ".repeat(indent) };
            self.text.push_str(&format!("{margin}{line}\n"));
        }
    }

    /// A paragraph like `item`, in which the parts between `MARK` and `UNMARK` stand out.
    pub fn marked(&mut self, first: &str, text: &str) {
        let before = self.text.len();
        self.item(first, text);
        let written = self.text.split_off(before);
        let (mark, unmark) = if self.bold { ("\x1b[1m", "\x1b[0m") } else { ("", "") };
        self.text.push_str(&written.replace(MARK, mark).replace(UNMARK, unmark));
    }

    /// A line as it stands, such as one of a table.
    pub fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// What is written so far, with nothing that stands out.
    pub fn plain(&self) -> String {
        self.text.replace("\x1b[1m", "").replace("\x1b[0m", "")
    }

    pub fn blank(&mut self) {
        self.text.push('\n');
    }

    /// Writes the page; a reader that went away ends it quietly.
    pub fn print(&self) -> io::Result<()> {
        let mut out = io::stdout().lock();
        out.write_all(self.text.as_bytes())?;
        out.flush()
    }
}

/// Columns that a text takes.
fn room(text: &str) -> usize {
    text.chars().filter(|ch| !matches!(*ch, MARK | UNMARK)).count()
}

/// Breaks at blanks; line ends in the text stay. Always at least one line.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            let longer = room(&line) + 1 + room(word);
            if !line.is_empty() && longer > width {
                out.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        out.push(line);
    }
    out
}
