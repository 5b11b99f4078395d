//! How does a turn look? Its lines, wrapped; a long answer on a terminal page by page, or through
//! `$PAGER`; in a pipe as it comes.

use std::io::{self, Write};
use std::process::{Command, Stdio};

use sward_core::pb;
use sward_core::pb::converse_response::Payload;

use super::editor::{Editor, Typed};
use crate::commands::Units;
use crate::compute::in_units_of;
use crate::page::wrap;

/// Widest line.
const WIDTH: usize = 96;
/// How a job that was thrown away is told.
const THROWN_AWAY: &str = "Thrown away";
/// Rows that are left for the line below a page.
const ROWS_LEFT: usize = 2;

pub struct Screen {
    plain: bool,
    units: Units,
    lines: Vec<String>,
    in_a_job: bool,
}

impl Screen {
    pub fn new(plain: bool, units: Units) -> Screen {
        Screen { plain, units, lines: Vec::new(), in_a_job: false }
    }

    pub fn in_a_job(&self) -> bool {
        self.in_a_job
    }

    /// Adds a response to the turn.
    pub fn note(&mut self, response: &pb::ConverseResponse) {
        match response.payload {
            Some(Payload::Step(_)) => self.in_a_job = true,
            Some(Payload::Saved(_)) => self.in_a_job = false,
            // A job that was thrown away is no draft any more.
            Some(Payload::Remark(_))
                if response.lines.iter().any(|line| line.starts_with(THROWN_AWAY)) =>
            {
                self.in_a_job = false;
            }
            _ => {}
        }
        let first = !self.lines.is_empty() && !response.lines.is_empty();
        if first && starts_a_part(response) {
            self.lines.push(String::new());
        }
        for line in &response.lines {
            let line = in_units_of(line, self.units);
            self.lines.extend(wrapped(&plain(&line)));
        }
    }

    /// Shows what was noted.
    pub async fn show(&mut self, editor: &mut Editor) -> io::Result<()> {
        let lines = std::mem::take(&mut self.lines);
        let rows = editor.height().filter(|_| !self.plain).unwrap_or(usize::MAX);
        if lines.len() + ROWS_LEFT <= rows {
            return self.write(&lines);
        }
        match std::env::var("PAGER").ok().filter(|pager| !pager.trim().is_empty()) {
            Some(pager) if paged(&pager, &lines).is_ok() => Ok(()),
            _ => self.page_by_page(&lines, rows.saturating_sub(ROWS_LEFT).max(1), editor).await,
        }
    }

    async fn page_by_page(
        &self,
        lines: &[String],
        rows: usize,
        editor: &mut Editor,
    ) -> io::Result<()> {
        let mut pages = lines.chunks(rows).peekable();
        while let Some(page) = pages.next() {
            self.write(page)?;
            if pages.peek().is_none() {
                break;
            }
            match editor.line("-- more -- (Enter goes on, q ends) ").await {
                Typed::Line(typed) if typed.trim().eq_ignore_ascii_case("q") => break,
                Typed::Line(_) => {}
                Typed::Interrupted | Typed::End => break,
                Typed::Failed(error) => return Err(error),
            }
        }
        Ok(())
    }

    pub fn say(&self, text: &str) -> io::Result<()> {
        self.write(&wrapped(text))
    }

    fn write(&self, lines: &[String]) -> io::Result<()> {
        let mut out = io::stdout().lock();
        for line in lines {
            writeln!(out, "{line}")?;
        }
        // A blank line parts the turns.
        writeln!(out)?;
        out.flush()
    }
}

/// Parts that stand apart from what comes before them.
fn starts_a_part(response: &pb::ConverseResponse) -> bool {
    matches!(
        response.payload,
        Some(Payload::Step(_) | Payload::Proposal(_) | Payload::Answer(_) | Payload::Question(_))
    )
}

/// A line within the width, what follows under its own beginning.
fn wrapped(line: &str) -> Vec<String> {
    let text = line.trim_start_matches(' ');
    let indent = line.len() - text.len();
    let hang = if text.starts_with("! ") { indent + 2 } else { indent };
    let mut out = Vec::new();
    for (number, part) in wrap(text, WIDTH.saturating_sub(hang).max(20)).into_iter().enumerate() {
        let margin = if number == 0 { indent } else { hang };
        out.push(format!("{}{part}", " ".repeat(margin)));
    }
    out
}

/// Without signs that would steer the terminal: records hold what anyone typed.
fn plain(text: &str) -> String {
    text.chars().filter(|ch| !ch.is_control()).collect()
}

/// Through the person's own pager.
fn paged(pager: &str, lines: &[String]) -> io::Result<()> {
    let mut child = Command::new("sh").args(["-c", pager]).stdin(Stdio::piped()).spawn()?;
    if let Some(mut input) = child.stdin.take() {
        // It may be left before the end.
        let _ = input.write_all((lines.join("\n") + "\n").as_bytes());
    }
    let ended = child.wait()?;
    if ended.success() { Ok(()) } else { Err(io::Error::other("the pager failed")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_stands_under_its_own_beginning() {
        let long = format!("  ! Caution: {}", "word ".repeat(40));
        let lines = wrapped(&long);
        assert!(lines[0].starts_with("  ! Caution:") && lines[1].starts_with("    word"));
        assert!(lines.iter().all(|line| line.chars().count() <= WIDTH));
        assert_eq!(wrapped(""), [""]);
    }

    #[test]
    fn signs_that_steer_a_terminal_are_taken_out() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}"), "a[31mb");
    }
}
