//! Records as a person types them: the invented shop, every field put right, doubts told, tables
//! tried before they are stored, and a command that comes while the records are held.

use std::path::Path;
use std::process::{Command, Output};
use std::time::Duration;

use sward_core::store::DataDirectory;

fn command(data: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sward"));
    command.args(arguments).arg("--data").arg(data).env_remove("SWARD_SERVER").env("NO_COLOR", "1");
    command
}

fn run(data: &Path, arguments: &[&str]) -> Output {
    command(data, arguments).output().expect("the program runs")
}

fn said(data: &Path, arguments: &[&str]) -> String {
    let output = run(data, arguments);
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {error}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn refused(data: &Path, arguments: &[&str], code: i32, words: &[&str]) {
    let output = run(data, arguments);
    let error = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {error}");
    for word in words {
        assert!(error.contains(word), "{arguments:?} does not say {word:?}: {error}");
    }
}

/// The number behind a label on a page of `sward status`.
fn status(data: &Path, label: &str) -> String {
    let page = said(data, &["status"]);
    let line = page.lines().find(|line| line.starts_with(label)).expect(label);
    line.trim_start_matches(label).trim().to_owned()
}

#[test]
fn the_invented_shop_is_there_once_and_is_found() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    let first = said(&data, &["demo"]);
    assert!(first.starts_with("An invented shop is ready"), "{first}");
    assert!(first.contains("evidence of nothing"), "{first}");
    let records = status(&data, "records");
    assert!(records.parse::<u64>().is_ok_and(|records| records > 500), "{records}");
    assert!(said(&data, &["demo"]).starts_with("An invented shop was there already"));
    assert_eq!(status(&data, "records"), records);
    // Every command that it offers to try answers.
    for line in first.lines().filter_map(|line| line.strip_prefix("  sward ")) {
        let words = shell_words(line);
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        assert!(!said(&data, &words).is_empty(), "{line}");
    }
    let found = said(&data, &["find", "streaks", "--since", "2026-03-01", "--until", "2026-06-01"]);
    assert!(found.contains("greens-triplex"), "{found}");
    assert_eq!(status(&data, "index behind by"), "0");
    let diagnosis = said(
        &data,
        &["diagnose", "thin streak, same place every pass", "--unit", "greens-triplex/2"],
    );
    assert!(diagnosis.contains("\nBefore\n"), "{diagnosis}");
    assert!(diagnosis.contains("On this unit, "), "{diagnosis}");
}

/// Words parted by blanks, but not within double quotes.
fn shell_words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, part) in line.split('"').enumerate() {
        if at % 2 == 1 {
            words.push(part.to_owned());
        } else {
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}

#[test]
fn the_invented_shop_is_not_mixed_with_a_real_one() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    said(&data, &["add", "machine", "Fairway gang"]);
    refused(&data, &["demo"], 65, &["sites/home has machines of its own", "--site demo"]);
    said(&data, &["record", "hours", "fairway-gang", "--machine-hours-h", "12"]);
    refused(&data, &["demo"], 65, &["sites/home has records of its own", "--data DIR"]);
    let beside = said(&data, &["demo", "--site", "demo"]);
    assert!(beside.contains("sites/demo/machines/greens-triplex/units/2"), "{beside}");
    assert_eq!(said(&data, &["log"]).matches("hours, fairway-gang").count(), 1);
}

#[test]
fn what_is_added_has_every_fact_of_the_contract() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    said(&data, &["add", "machine", "Greens triplex", "--equipment", "reel_unit", "--width", "59 in"]);
    let reel = [
        "add", "unit", "greens-triplex", "2", "--type", "greens reel", "--position", "2",
        "--blades", "11", "--width", "530 mm", "--new-diameter", "128 mm", "--minimum", "114 mm",
        "--height-change-per-turn", "1.2 mm", "--also", "right", "--also", "number two",
    ];
    assert_eq!(said(&data, &reel), "Added sites/home/machines/greens-triplex/units/2.\n");
    said(&data, &["add", "unit", "greens-triplex", "groomer", "--carried-by", "2"]);
    let area = ["add", "area", "6 green", "--surface", "green", "--area", "0.05 ha", "--output", "json"];
    let area = said(&data, &area);
    for part in ["\"AREA_SURFACE_GREEN\"", "\"areaHa\":0.05"] {
        assert!(area.contains(part), "{area}");
    }
    refused(&data, &["add", "unit", "greens-triplex", "3", "--blades", "2.5"], 65, &["--blade-count", "2.5", "whole"]);
    refused(&data, &["add", "unit", "greens-triplex", "3", "--blades", "31"], 65, &["blade_count", "31"]);
    refused(&data, &["add", "unit", "greens-triplex", "3", "--carried-by", "9"], 65, &["carried_by", "units/9"]);
}

#[test]
fn a_doubt_is_told_and_every_field_can_be_put_right() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    said(&data, &["add", "machine", "Greens triplex", "--equipment", "reel-unit"]);
    said(&data, &["add", "unit", "greens-triplex", "2"]);
    said(&data, &["add", "unit", "greens-triplex", "3"]);
    let grind = [
        "record", "sharpening", "greens-triplex/2", "--method", "spin_grind", "--time",
        "2026-03-14", "--diameter-before-mm", "127.5", "--diameter-after-mm", "128.5",
    ];
    let stored = said(&data, &grind);
    assert!(stored.starts_with("Stored: 2026-03-14 sharpening, greens-triplex/2, r"), "{stored}");
    assert!(stored.contains("doubtful: The diameter after (128.5 mm) is over"), "{stored}");
    let name = stored.split(['.', ',']).find_map(|word| word.trim().strip_prefix('r'));
    let name = format!("r{}", name.expect("a short name"));
    let amended = said(
        &data,
        &["amend", &name, "--diameter-after-mm", "5.01 in", "--by", "bench two", "--unit", "greens-triplex/3"],
    );
    assert!(amended.starts_with("Amended: 2026-03-14 sharpening, greens-triplex/3"), "{amended}");
    assert!(amended.contains("diameter after 127.254 mm"), "{amended}");
    assert!(amended.contains("by bench two"), "{amended}");
    assert!(!amended.contains("doubtful"), "{amended}");
    refused(&data, &["amend", &name, "--by", "x"], 65, &["superseded by", "amend that one"]);
    let log = said(&data, &["log", "greens-triplex", "--history"]);
    assert_eq!(log.matches("sharpening").count(), 2, "{log}");
    let newer = amended.split(['.', ',']).find_map(|word| word.trim().strip_prefix('r'));
    let newer = format!("r{}", newer.expect("a short name"));
    refused(&data, &["amend", &newer], 65, &["nothing is said to be wrong", "--withdraw"]);
    refused(&data, &["amend", &newer, "--fixed", "yes"], 65, &["--fixed"]);
    let emptied = said(&data, &["amend", &newer, "--by", ""]);
    assert!(!emptied.contains("bench two"), "{emptied}");
    let last = emptied.split(['.', ',']).find_map(|word| word.trim().strip_prefix('r'));
    let last = format!("r{}", last.expect("a short name"));
    assert!(said(&data, &["amend", &last, "--withdraw"]).starts_with("Withdrawn: "));
    assert!(said(&data, &["log"]).starts_with("Nothing is recorded"));
}

#[test]
fn a_dry_run_says_what_the_real_one_does() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    let table = place.path().join("table.csv");
    // The second row is the first again; the fourth supersedes what nobody brought.
    let text = "kind,time,machine,machine_hours_h,request_id,supersedes\n\
        hours,2026-03-14,Fairway gang,1412,,\n\
        hours,2026-03-14,Fairway gang,1412,,\n\
        hours,2026-03-15,Fairway gang,minus,,\n\
        hours,2026-03-16,Fairway gang,1420,,7c9e6679-7425-40de-944b-e07fc1f90ae7\n";
    std::fs::write(&table, text).expect("a table");
    let file = table.to_str().expect("a path");
    let dry = said(&data, &["import", file, "--create-missing", "--dry-run"]);
    assert!(dry.starts_with("1 would be stored, 1 already there, 2 rejected."), "{dry}");
    assert!(dry.contains("would add sites/home/machines/fairway-gang"), "{dry}");
    assert!(dry.contains("Nothing was stored"), "{dry}");
    assert_eq!(status(&data, "records"), "0");
    let real = said(&data, &["import", file, "--create-missing"]);
    assert!(real.starts_with("1 stored, 1 already there, 2 rejected."), "{real}");
    let faults = |page: &str| -> Vec<String> {
        page.lines().filter(|line| line.starts_with("  row ")).map(str::to_owned).collect()
    };
    assert_eq!(faults(&dry), faults(&real));
    assert_eq!(faults(&real).len(), 2, "{real}");
}

#[test]
fn copies_answer_in_json_too() {
    let place = tempfile::tempdir().expect("a directory");
    let (data, other) = (place.path().join("data"), place.path().join("other"));
    said(&data, &["add", "machine", "Fairway gang"]);
    said(&data, &["record", "hours", "fairway-gang", "--machine-hours-h", "12"]);
    let json = |data: &Path, arguments: &[&str]| -> serde_json::Value {
        let text = said(data, &[arguments, &["--output", "json"]].concat());
        serde_json::from_str(&text).expect("JSON")
    };
    let exported = json(&data, &["export", "--jsonl"]);
    assert_eq!(exported["recordCount"], 1);
    assert_eq!(exported["text"], said(&data, &["export", "--jsonl"]));
    let table = place.path().join("table.jsonl");
    let table = table.to_str().expect("a path");
    assert!(said(&data, &["export", "--jsonl", "--into", table]).starts_with("Wrote 1 records"));
    assert_eq!(std::fs::read_to_string(table).expect("a table"), exported["text"]);
    refused(&data, &["export", "--into", table], 66, &["table.jsonl", "exists"]);
    let copy = place.path().join("copy.sqlite3");
    let copy = copy.to_str().expect("a path");
    assert_eq!(json(&data, &["backup", copy])["recordCount"], "1");
    assert_eq!(json(&other, &["restore", copy])["summary"]["recordCount"], "1");
}

#[test]
fn a_command_waits_for_whoever_holds_the_records() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    said(&data, &["add", "machine", "Fairway gang"]);
    let held = DataDirectory::claim(&data, false).expect("free");
    let waiting = command(&data, &["log"]).stdout(std::process::Stdio::piped()).spawn();
    std::thread::sleep(Duration::from_millis(700));
    drop(held);
    let output = waiting.expect("it starts").wait_with_output().expect("it ends");
    assert!(output.status.success());
    assert!(String::from_utf8_lossy(&output.stdout).starts_with("Nothing is recorded"));
}

#[test]
fn an_import_that_is_killed_goes_on_where_it_was() {
    const ROWS: usize = 3_000;
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    let table = place.path().join("table.csv");
    let mut text = "kind,time,machine,machine_hours_h\n".to_owned();
    for row in 0..ROWS {
        text.push_str(&format!("hours,2026-03-{:02},Fairway gang,{}\n", row % 28 + 1, 100 + row));
    }
    std::fs::write(&table, text).expect("a table");
    let import = ["import", table.to_str().expect("a path"), "--create-missing"];
    // Longer and longer, so that some are killed before, some among, and some after the rows.
    let mut killed = 0;
    for round in 1..=6 {
        let mut child = command(&data, &import)
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .expect("it starts");
        std::thread::sleep(Duration::from_millis(250 * round));
        killed += u32::from(child.try_wait().expect("a state").is_none());
        // It may have ended by itself.
        let _ = child.kill();
        child.wait().expect("it ends");
    }
    assert!(killed > 0, "none was killed in time");
    let last = said(&data, &import);
    let stored: usize = last.split(' ').next().and_then(|n| n.parse().ok()).expect("a number");
    let there = format!("{stored} stored, {} already there, 0 rejected.", ROWS - stored);
    assert!(last.starts_with(&there), "{last}");
    assert_eq!(status(&data, "records"), ROWS.to_string());
}

#[test]
fn a_command_that_comes_while_a_server_starts_uses_it() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    said(&data, &["add", "machine", "Fairway gang"]);
    let mut server = Command::new(env!("CARGO_BIN_EXE_swardd"))
        .args(["--listen", "127.0.0.1:0", "--data"])
        .arg(&data)
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .expect("it starts");
    // From before the server has the records until it answers.
    let outcomes: Vec<Output> = (0..8).map(|_| run(&data, &["log"])).collect();
    let state = server.try_wait().expect("a state");
    server.kill().expect("it runs");
    server.wait().expect("it ends");
    for output in outcomes {
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
    assert!(state.is_none(), "the server gave up: {state:?}");
}
