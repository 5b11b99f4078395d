//! Training sheets and the chat from outside: what they print, that a sheet needs no other file and
//! no colour, and how a chat in a pipe ends.

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use sward_core::embedded;

fn command(data: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.args(arguments).env("SWARD_DATA", data).env_remove("SWARD_SERVER").env("NO_COLOR", "1");
    command
}

fn sward(arguments: &[&str]) -> Output {
    let data = tempfile::tempdir().expect("a directory");
    command(data.path(), arguments).output().expect("the program runs")
}

fn text(output: Output) -> String {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[test]
fn a_sheet_holds_every_step_with_its_why_its_cautions_and_its_readings() {
    let knowledge = embedded::knowledge();
    for id in ["set_reel_to_bedknife", "level_deck"] {
        let row = knowledge.procedure(id).expect("it is known");
        let html = text(sward(&["teach", id, "--format", "html"]));
        let markdown = text(sward(&["teach", id]));
        for step in &row.steps {
            for said in [&step.title, &step.why] {
                assert!(markdown.contains(said.as_str()), "{id}: {said}");
                assert!(html.contains(&escaped(said)), "{id}: {said}");
            }
            for caution in &step.cautions {
                let caution = knowledge.caution(caution).expect("it is known");
                assert!(html.contains(&escaped(&caution.text)), "{id}: {}", caution.id);
                // The text stands once; each step names it.
                assert_eq!(html.matches(&escaped(&caution.text)).count(), 1);
            }
            for reading in &step.readings {
                assert!(html.contains(&escaped(&reading.label)), "{id}: {}", reading.id);
            }
        }
        for page in [&html, &markdown] {
            assert!(page.contains("Trainee") && page.contains("Questions for the trainee"));
            assert!(page.contains("manual, local rules and licensed practice stand above"));
        }
    }
}

#[test]
fn a_sheet_is_one_file_in_black_and_white() {
    let html = text(sward(&["teach", "set_height_of_cut", "--format", "html"]));
    assert_eq!(html.matches("<svg").count(), 1);
    // The only address is the name of the SVG language.
    assert_eq!(html.matches("http").count(), 1);
    for outside in ["src=", "href=", "@import", "url(http", "<script"] {
        assert!(!html.contains(outside), "{outside}");
    }
    let colour = |at: usize| html[at + 1..].chars().take(3).all(|ch| ch.is_ascii_hexdigit());
    let colours: Vec<&str> = html
        .match_indices('#')
        .filter(|(at, _)| colour(*at))
        .map(|(at, _)| &html[at..at + 4])
        .collect();
    assert!(colours.iter().all(|one| ["#000", "#fff"].contains(one)), "{colours:?}");
    for tag in ["div", "p", "table", "tr", "td", "ol", "li", "svg", "body", "html"] {
        let (open, close) = (format!("<{tag}"), format!("</{tag}>"));
        let opened = html.match_indices(&open).filter(|(at, _)| {
            html[at + open.len()..].starts_with([' ', '>', '\n'])
        });
        assert_eq!(opened.count(), html.matches(&close).count(), "{tag} is closed");
    }
}

#[test]
fn a_sheet_goes_into_a_file_and_errors_are_told() {
    let place = tempfile::tempdir().expect("a directory");
    let file = place.path().join("sheet.md");
    let name = file.to_str().expect("a path");
    assert!(text(sward(&["teach", "set_clip", "--file", name])).is_empty());
    assert!(std::fs::read_to_string(&file).expect("written").starts_with("# "));
    for (arguments, code) in [
        (&["teach", "no_such"][..], 66),
        (&["teach", "set_clip", "--file", "/no/such/place/sheet.md"][..], 74),
        (&["teach", "set_clip", "--format", "pdf"][..], 2),
    ] {
        assert_eq!(sward(arguments).status.code(), Some(code), "{arguments:?}");
    }
    let american = text(sward(&["--words", "american", "teach", "set_tyre_pressure"]));
    assert!(american.contains("tire"), "{american}");
}

/// What a chat in a pipe prints for these lines.
fn chat(data: &Path, lines: &str) -> Output {
    let mut child = command(data, &["chat", "--plain"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let _ = child.stdin.take().expect("piped").write_all(lines.as_bytes());
    child.wait_with_output().expect("it ends")
}

#[test]
fn a_chat_in_a_pipe_answers_line_by_line_and_keeps_drafts() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    let output = chat(&data, "show set_height_of_cut\nok\r\n\ndone\nok\n3.2 mm");
    let said = text(output);
    assert!(said.contains("Step 1 of 7") && said.contains("Step 3 of 7"), "{said}");
    assert!(said.contains("kept as a draft"), "{said}");
    assert!(!said.contains('\u{1b}') && !said.contains("\n> "), "no colour, no prompt: {said}");
    let said = text(chat(&data, "drafts\nresume\nbye\nnever read\n"));
    assert!(said.contains("1. Set the height of cut, step 3"), "{said}");
    assert!(said.contains("1 reading is kept from before."), "{said}");
    let output = chat(&data, "hello \u{feff}\n");
    assert!(output.status.success());
}

#[test]
fn one_thing_said_is_answered_and_left() {
    let data = tempfile::tempdir().expect("a directory");
    let output = command(data.path(), &["chat", "what is rifling"]).output().expect("it runs");
    let said = text(output);
    assert!(said.contains("Basis:"), "{said}");
    assert!(!said.contains('\u{1b}') && !said.contains("kept as a draft"), "{said}");
}

#[test]
fn a_chat_that_cannot_begin_has_its_exit_code() {
    for (arguments, code) in [
        (&["chat", "--plain", "--unit", "no-such-machine/9"][..], 66),
        (&["chat", "--plain", "--server", "http://127.0.0.1:1"][..], 69),
        (&["chat", "--plain", "--colour"][..], 2),
    ] {
        let data = tempfile::tempdir().expect("a directory");
        let output = command(data.path(), arguments).stdin(Stdio::null()).output().expect("it runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {said}");
        assert!(!said.is_empty() && output.stdout.is_empty(), "{arguments:?}: {said}");
    }
}
