//! `sward due`, `report`, `sheet` and `plan` from outside, on the invented shop.

use std::path::Path;
use std::process::{Command, Output};
use std::sync::OnceLock;

use serde_json::Value;

use crate::compute::pictures::{colours, is_grey, words_of};

fn sward(data: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sward"))
        .args(arguments)
        .env("SWARD_DATA", data)
        .env_remove("SWARD_SERVER")
        .env_remove("SWARD_UNITS")
        .env_remove("SWARD_WORDS")
        .env("NO_COLOR", "1")
        .env("TZ", "UTC")
        .output()
        .expect("sward runs")
}

/// The invented shop, stored once for all tests, and copied by each so that none waits for another.
pub fn shop() -> tempfile::TempDir {
    static FILLED: OnceLock<tempfile::TempDir> = OnceLock::new();
    let filled = FILLED.get_or_init(|| {
        let place = tempfile::tempdir().expect("a directory");
        let copy = place.path().join("copy.sqlite3");
        let data = place.path().join("data");
        said(&data, &["demo"]);
        said(&data, &["backup", &copy.to_string_lossy()]);
        place
    });
    let own = tempfile::tempdir().expect("a directory");
    let copy = filled.path().join("copy.sqlite3");
    said(own.path(), &["restore", &copy.to_string_lossy()]);
    own
}

pub fn said(data: &Path, arguments: &[&str]) -> String {
    let output = sward(data, arguments);
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {error}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

const AS_OF: &str = "2026-09-01";
const TRIPLEX: &str = "greens-triplex=42000";

/// (arguments, words that the text, and the page, must hold)
const ASKED: &[(&[&str], &[&str])] = &[
    (
        &["due", "--as-of", AS_OF, "--all"],
        &["Due, soonest first", "Change the bedknife", "Not to be told yet"],
    ),
    (
        &["report", "fleet", "--as-of", AS_OF, "--labour-cost", "35", "--price", TRIPLEX],
        &["How each unit stands", "What keeps coming back", "Published", "Month by month"],
    ),
    (
        &["report", "unit", "greens-triplex/2", "--as-of", AS_OF],
        &["Bench heights", "Diameters", "2 right front"],
    ),
    (
        &["report", "season", "2026", "--as-of", AS_OF, "--change", "2026-06-01"],
        &["Before the change and after it", "2026-04", "All faults"],
    ),
    (
        &[
            "sheet",
            "greens-triplex/2",
            "--as-of",
            AS_OF,
            "--front-roller-diameter",
            "63.5",
            "--rear-roller-diameter",
            "50.8",
            "--roller-centre-distance",
            "190",
            "--edge-to-rear-roller",
            "95",
            "--pitch",
            "1.25",
        ],
        &["Reel-to-bedknife gap", "Cautions", "Isolate the drive", "turns to the millimetre"],
    ),
    (
        &[
            "plan",
            "heights",
            "6-green",
            "--as-of",
            AS_OF,
            "--machine",
            "greens-triplex",
            "--current",
            "4 mm",
            "--reel-speed",
            "2000 rpm",
        ],
        &["Steps on turf", "What to set on Greens triplex", "km/h"],
    ),
];

#[test]
fn each_command_answers_in_every_form() {
    let shop = shop();
    for (arguments, wanted) in ASKED {
        let text = said(shop.path(), arguments);
        let page = said(shop.path(), &[*arguments, &["--format", "html"]].concat());
        // Sentences go over line ends.
        let flat = text.split_whitespace().collect::<Vec<&str>>().join(" ");
        for words in *wanted {
            assert!(flat.contains(words), "{arguments:?}: no {words:?} in\n{text}");
            assert!(page.contains(words), "{arguments:?}: no {words:?} in the page");
        }
        let longest = text.lines().map(|line| line.chars().count()).max().unwrap_or(0);
        assert!(longest <= 130, "{arguments:?}: a line of {longest}");
        assert_eq!(text, said(shop.path(), arguments), "the same question, the same bytes");
        let json = said(shop.path(), &[*arguments, &["--output", "json"]].concat());
        let reply: Value = serde_json::from_str(&json).expect("one JSON object");
        assert!(reply.as_object().is_some_and(|reply| reply.len() > 1), "{json}");
        let csv = said(shop.path(), &[*arguments, &["--format", "csv"]].concat());
        let mut table = csv::Reader::from_reader(csv.as_bytes());
        assert!(table.headers().is_ok_and(|names| names.len() > 3));
        assert!(table.records().all(|row| row.is_ok()), "{csv}");
        sound_page(arguments, &page);
    }
}

/// One file that fetches nothing, is well formed, and tells nothing by colour.
fn sound_page(arguments: &[&str], page: &str) {
    for fetched in ["src=", "href=", "@import", "url(http", "<script"] {
        assert!(!page.contains(fetched), "{arguments:?}: the page holds {fetched}");
    }
    assert!(page.contains("@page"), "{arguments:?}: nothing for paper");
    let drawings = page.split("<figure>").skip(1);
    let drawings: Vec<&str> = drawings.filter_map(|rest| rest.split("</figure>").next()).collect();
    assert!(!drawings.is_empty(), "{arguments:?}: no drawing");
    for svg in drawings {
        words_of(svg).unwrap_or_else(|fault| panic!("{arguments:?}: {fault}"));
        for colour in colours(svg) {
            let own = colour.starts_with("url(#hatch");
            assert!(own || is_grey(&colour), "{arguments:?} uses the colour {colour}");
        }
    }
}

#[test]
fn a_table_goes_into_its_file_by_name() {
    let shop = shop();
    let path = shop.path().join("remedies.csv");
    let file = path.to_string_lossy().into_owned();
    let asked = ["report", "fleet", "--as-of", AS_OF, "--format", "csv", "--table", "remedies"];
    assert!(said(shop.path(), &[&asked[..], &["--file", &file]].concat()).is_empty());
    let table = std::fs::read_to_string(&path).expect("the file was written");
    assert!(table.starts_with("cause,title,procedure,"), "{table}");
    assert!(table.contains("set_reel_to_bedknife"), "{table}");
    let wrong = sward(shop.path(), &[&asked[..7], &["nothing"]].concat());
    assert_eq!(wrong.status.code(), Some(65));
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("remedies"));
}

/// (arguments, exit code, words of the complaint)
const REFUSED: &[(&[&str], i32, &str)] = &[
    (&["sheet", "greens-triplex/9"], 66, "add the unit first"),
    (&["sheet", "greens-triplex"], 65, "give a unit"),
    (&["report", "unit", "greens-triplex"], 65, "needs one"),
    (&["due", "areas/6-green"], 65, "give a site, a machine or a unit"),
    (&["due", "--within", "-1"], 65, "within_h"),
    (&["plan", "heights", "nowhere"], 66, "add the area first"),
    (&["plan", "heights", "6-green", "--machine", "none"], 66, "add the machine first"),
    (&["report", "fleet", "--since", "tomorrow"], 65, "write a date"),
    (&["report", "fleet", "--labour-cost", "-5"], 65, "labour_cost_per_h"),
    (&["report", "fleet", "--price", "greens-triplex"], 65, "NAME=PRICE"),
    (&["report", "season", "2026", "--change", "2031-01-01"], 65, "give a time between"),
    (
        &[
            "sheet",
            "greens-triplex/2",
            "--front-roller-diameter",
            "63.5",
            "--rear-roller-diameter",
            "50.8",
            "--roller-centre-distance",
            "40",
            "--edge-to-rear-roller",
            "20",
        ],
        65,
        "would cut into each other",
    ),
];

#[test]
fn what_cannot_be_answered_is_refused_by_name() {
    let shop = shop();
    for (arguments, code, words) in REFUSED {
        let output = sward(shop.path(), arguments);
        let error = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(*code), "{arguments:?}: {error}");
        assert!(error.contains(words), "{arguments:?}: {error}");
    }
}

#[test]
fn an_empty_shop_says_so() {
    let place = tempfile::tempdir().expect("a directory");
    for arguments in [&["due"][..], &["report", "fleet"]] {
        assert!(said(place.path(), arguments).contains("Nothing is recorded yet"), "{arguments:?}");
    }
    assert!(!place.path().join("records.sqlite3").exists());
}
