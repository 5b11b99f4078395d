//! `sward compute` and `SettingsService` from outside: every case is answered with the value worked
//! out by hand, text and JSON read as promised, bad input is named, a stop reads as a stop, and the
//! pictures are well-formed and labelled. The calculations themselves are tested in the domain.

mod as_read;
pub mod pictures;
mod wire;

use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;

/// Endings of field names and the unit to write beside the number, longer ones first.
const UNITS: &[(&str, &str)] = &[
    ("_mm_per_s", ""),
    ("_mm_per_day", "mm/day"),
    ("_mm", "mm"),
    ("_mps", "m/s"),
    ("_rpm", "rpm"),
    ("_deg", "deg"),
    ("_days", "days"),
    ("_kg", "kg"),
    ("_ha", "ha"),
    ("_h", "h"),
    ("_fraction", ""),
];

/// Runs `sward` on an empty data directory of its own.
pub fn sward(arguments: &[&str]) -> Output {
    let data = tempfile::tempdir().expect("a temporary directory");
    Command::new(env!("CARGO_BIN_EXE_sward"))
        .args(arguments)
        .env("SWARD_DATA", data.path())
        .env_remove("SWARD_SERVER")
        .env_remove("SWARD_UNITS")
        .env_remove("SWARD_WORDS")
        .env("NO_COLOR", "1")
        .output()
        .expect("sward runs")
}

pub fn printed(arguments: &[&str]) -> String {
    let output = sward(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", complaint(&output));
    String::from_utf8(output.stdout).expect("plain text")
}

pub fn complaint(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A server for many questions: each by itself would read the knowledge anew.
struct Served {
    child: Child,
    address: String,
    _data: tempfile::TempDir,
}

impl Served {
    fn start() -> Served {
        let data = tempfile::tempdir().expect("a temporary directory");
        let mut child = Command::new(env!("CARGO_BIN_EXE_swardd"))
            .args(["--listen", "127.0.0.1:0", "--data"])
            .arg(data.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("swardd runs");
        let mut line = String::new();
        let out = child.stdout.take().expect("piped");
        BufReader::new(out).read_line(&mut line).expect("it says where it serves");
        Served { child, address: format!("http://{}", line.trim()), _data: data }
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing to stop.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A field and its value as they are typed.
fn typed(field: &str, value: &Value) -> String {
    let (stem, unit) = UNITS
        .iter()
        .find_map(|(ending, unit)| Some((field.strip_suffix(ending)?, *unit)))
        .unwrap_or((field, ""));
    let text = match value {
        Value::Array(items) => {
            items.iter().map(|item| format!("{item} {unit}")).collect::<Vec<_>>().join(",")
        }
        Value::Object(rows) => {
            let cells = rows.iter().flat_map(|(name, inner)| match inner {
                Value::Object(inner) => {
                    inner.iter().map(|(end, number)| format!("{name}:{end}={number} {unit}")).collect()
                }
                number => vec![format!("{name}={number} {unit}")],
            });
            cells.collect::<Vec<_>>().join(",")
        }
        other => format!("{other} {unit}"),
    };
    format!("--{}={}", stem.replace('_', "-"), text.trim())
}

/// The value at a path such as `end_moves_mm.0.move_mm` in canonical JSON.
fn found<'a>(reply: &'a Value, path: &str) -> Option<&'a Value> {
    path.split('.').try_fold(reply, |here, part| match part.parse::<usize>() {
        Ok(index) => here.get(index),
        Err(_) => here.get(camel(part)),
    })
}

fn camel(name: &str) -> String {
    let mut out = String::new();
    let mut up = false;
    for ch in name.chars() {
        match ch {
            '_' => up = true,
            ch if up => {
                out.push(ch.to_ascii_uppercase());
                up = false;
            }
            ch => out.push(ch),
        }
    }
    out
}

#[test]
fn every_case_is_answered_with_the_value_worked_out_by_hand() {
    let (served, mut compared) = (Served::start(), 0);
    for line in include_str!("cases/settings.jsonl").lines() {
        let case: Value = serde_json::from_str(line).expect("a case is JSON");
        let name = case["calculation"].as_str().expect("a name").replace('_', "-");
        let inputs = case["inputs"].as_object().expect("inputs");
        let asked = ["--server", &served.address, "compute", &name, "--output", "json"];
        let mut arguments: Vec<String> = asked.map(str::to_owned).to_vec();
        arguments.extend(inputs.iter().map(|(field, value)| typed(field, value)));
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let reply: Value = serde_json::from_str(&printed(&arguments)).expect("JSON");
        assert!(reply.get("missing").is_none(), "{arguments:?}: {reply}");
        let solved = case["solve_for"].as_str().expect("what is solved for");
        assert!(found(&reply, solved).is_some(), "{arguments:?} lacks {solved}: {reply}");
        assert!(reply["answer"].as_str().is_some_and(|text| !text.is_empty()), "{reply}");
        let Some(expected) = case["expected"].as_object() else { continue };
        for (path, wanted) in expected {
            let got = found(&reply, path).and_then(Value::as_f64).unwrap_or(f64::NAN);
            let wanted = wanted.as_f64().expect("a number");
            let near = (got - wanted).abs() <= 1e-6 * wanted.abs().max(1e-3);
            assert!(near, "{arguments:?} {path}: {got}, wanted {wanted}");
            compared += 1;
        }
    }
    assert!(compared >= 35, "{compared} values compared");
}
