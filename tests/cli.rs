//! The command line as a person meets it: what it prints, where, and with which exit code. Behaviour
//! is tested in the domain; these prove the wiring.

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

const COMPLAINT: &str =
    "thin uncut line down the fairway, same place every pass, behind unit 3 only, the others are fine";

/// Runs `sward` on an empty data directory of its own.
fn sward(arguments: &[&str]) -> Output {
    let data = tempfile::tempdir().expect("a temporary directory");
    command(data.path()).args(arguments).output().expect("sward runs")
}

fn command(data: &std::path::Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.env("SWARD_DATA", data).env_remove("SWARD_SERVER").env("NO_COLOR", "1");
    command
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("plain text")
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn the_answer_comes_first_and_cautions_last() {
    let output = sward(&["diagnose", COMPLAINT]);
    let text = text(&output);
    assert!(output.status.success(), "{}", said(&output));
    assert!(text.starts_with("Most likely:"), "{text}");
    let order: Vec<usize> = ["Causes", "Heard", "Next", "Cautions"]
        .iter()
        .map(|heading| text.find(&format!("\n{heading}\n")).expect("every heading is there"))
        .collect();
    assert!(order.is_sorted(), "{text}");
    assert!(!text.contains('\x1b'), "no colour in a pipe");
}

#[test]
fn json_is_the_canonical_mapping_and_the_same_bytes_twice() {
    let once = sward(&["diagnose", COMPLAINT, "--output", "json"]);
    let twice = sward(&["diagnose", COMPLAINT, "--output", "json"]);
    assert_eq!(once.stdout, twice.stdout);
    let reply: Value = serde_json::from_str(&text(&once)).expect("JSON");
    assert_eq!(reply["outcome"], "OUTCOME_DIAGNOSED");
    assert_eq!(reply["equipment"], "EQUIPMENT_REEL_UNIT");
    assert!(reply["causes"][0]["probability"].as_f64().is_some_and(|p| p > 0.0 && p < 1.0));
    assert!(reply["knowledgeVersion"].is_string());
}

/// (arguments, exit code, what standard error must name)
#[test]
fn bad_input_names_field_value_and_remedy() {
    let long = "x".repeat(4_001);
    let rows: &[(&[&str], i32, &[&str])] = &[
        (&["diagnose"], 65, &["complaint", "empty", "say what is wrong"]),
        (&["diagnose", "   "], 65, &["complaint", "empty"]),
        (&["diagnose", &long], 65, &["complaint", "4001 characters", "at most 4,000"]),
        (&["diagnose", "bad\u{7}bell"], 65, &["complaint", "U+0007", "remove it"]),
        (&["diagnose", "--found", "no_such"], 65, &["observations[0].finding", "no_such", "ListFindings"]),
        (
            &["diagnose", "--found", "vibrates", "--not-found", "vibrates"],
            65,
            &["observations[1].finding", "vibrates", "keep the one"],
        ),
        (
            &["diagnose", "--equipment", "groomer", "--found", "uncut_line"],
            65,
            &["observations[0].finding", "uncut_line", "reel_unit or rotary_deck"],
        ),
        (&["diagnose", "--equipment", "plough", "x"], 65, &["equipment", "plough", "reel_unit"]),
        (&["diagnose", "--causes", "101", "x"], 65, &["max_causes", "101", "0 to 100"]),
        (&["diagnose", "--causes", "-1", "x"], 65, &["max_causes", "-1", "0 to 100"]),
        (&["guide", "procedure", "no_such"], 66, &["procedure", "no_such", "ListProcedures"]),
        (&["guide", "reference", "no_such"], 66, &["reference", "no_such"]),
        (&["--server", "http://127.0.0.1:1", "status"], 69, &["127.0.0.1:1", "start swardd"]),
        (&["no-such-command"], 2, &["no-such-command"]),
    ];
    for (arguments, code, words) in rows {
        let output = sward(arguments);
        let said = said(&output);
        assert_eq!(output.status.code(), Some(*code), "{arguments:?}: {said}");
        for word in *words {
            assert!(said.contains(word), "{arguments:?} does not say {word:?}: {said}");
        }
        assert!(output.stdout.is_empty(), "{arguments:?} prints an answer");
    }
}

#[test]
fn bytes_that_are_not_text_are_refused() {
    use std::os::unix::ffi::OsStrExt as _;
    let data = tempfile::tempdir().expect("a temporary directory");
    let word = std::ffi::OsStr::from_bytes(b"streaks \xff\xfe");
    let output = command(data.path()).arg("diagnose").arg(word).output().expect("sward runs");
    assert_eq!(output.status.code(), Some(65), "{}", said(&output));
    assert!(said(&output).contains("not UTF-8"), "{}", said(&output));
}

#[test]
fn a_million_words_on_standard_input_are_refused() {
    let data = tempfile::tempdir().expect("a temporary directory");
    let mut child = command(data.path())
        .args(["diagnose", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("sward runs");
    let words = "streaks ".repeat(1_000_000);
    // The program stops reading early, so that the pipe breaks under us.
    let _ = child.stdin.take().expect("piped").write_all(words.as_bytes());
    let output = child.wait_with_output().expect("sward ends");
    assert_eq!(output.status.code(), Some(65), "{}", said(&output));
    assert!(said(&output).contains("at most 4,000 characters"), "{}", said(&output));
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let data = tempfile::tempdir().expect("a temporary directory");
    let mut child = command(data.path())
        .args(["guide", "findings"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("sward runs");
    drop(child.stdout.take());
    assert!(child.wait().expect("sward ends").success());
}

#[test]
fn the_dialogue_asks_until_a_repair_is_due() {
    let data = tempfile::tempdir().expect("a temporary directory");
    let mut child = command(data.path())
        .args(["diagnose", "--ask", "the cut is ragged behind one unit"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("sward runs");
    let answers = "n\n".repeat(60);
    let _ = child.stdin.take().expect("piped").write_all(answers.as_bytes());
    let output = child.wait_with_output().expect("sward ends");
    assert!(output.status.success());
    assert!(text(&output).contains("Causes"), "{}", text(&output));
}

#[test]
fn american_words_when_asked() {
    let british = text(&sward(&["guide", "procedure", "set_tyre_pressure"]));
    let american = text(&sward(&["--words", "american", "guide", "procedure", "set_tyre_pressure"]));
    assert!(british.contains("tyre"), "{british}");
    // Titles of sources stay as they were published.
    let prose = american.split("Basis:").next().unwrap_or_default();
    assert!(prose.contains("tire") && !prose.contains(" tyre"), "{american}");
}

#[test]
fn a_running_server_is_used_and_stops_in_good_order() {
    let data = tempfile::tempdir().expect("a temporary directory");
    let mut server = Command::new(env!("CARGO_BIN_EXE_swardd"))
        .args(["--listen", "127.0.0.1:0", "--data"])
        .arg(data.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("swardd runs");
    let mut address = String::new();
    let out = server.stdout.take().expect("piped");
    std::io::BufRead::read_line(&mut std::io::BufReader::new(out), &mut address).expect("a line");
    let url = format!("http://{}", address.trim());
    let over_tcp = sward(&["--server", &url, "diagnose", COMPLAINT, "--output", "json"]);
    let over_socket = command(data.path())
        .args(["diagnose", COMPLAINT, "--output", "json"])
        .output()
        .expect("sward runs");
    let inside = sward(&["diagnose", COMPLAINT, "--output", "json"]);
    assert_eq!(text(&over_tcp), text(&inside));
    assert_eq!(text(&over_socket), text(&inside));
    let ended = Command::new("kill").args(["-TERM", &server.id().to_string()]).status();
    assert!(ended.expect("kill runs").success());
    assert!(server.wait().expect("swardd ends").success());
    assert!(!data.path().join("swardd.sock").exists(), "the socket is taken away");
}

#[test]
fn an_address_open_to_others_is_refused() {
    let data = tempfile::tempdir().expect("a temporary directory");
    let output = Command::new(env!("CARGO_BIN_EXE_swardd"))
        .args(["--listen", "0.0.0.0:0", "--data"])
        .arg(data.path())
        .output()
        .expect("swardd runs");
    assert!(!output.status.success());
    assert!(said(&output).contains("127.0.0.1"), "{}", said(&output));
}

#[test]
fn completions_and_manual_are_made() {
    assert!(text(&sward(&["completions", "bash"])).contains("diagnose"));
    assert!(text(&sward(&["manual"])).contains("diagnose"));
}
