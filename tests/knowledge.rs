//! A mistake in an edited copy of the knowledge is named by file and line, with what to do; the
//! built-in knowledge covers the whole catalogue.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use sward_core::domain::catalogue::Equipment;
use sward_core::domain::complaint::Models;
use sward_core::embedded;
use tempfile::TempDir;

fn sward(arguments: &[&str]) -> (Option<i32>, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_sward"))
        .args(arguments)
        .output()
        .expect("sward runs");
    let text = String::from_utf8_lossy(&output.stdout).into_owned()
        + &String::from_utf8_lossy(&output.stderr);
    (output.status.code(), text)
}

/// A copy of the knowledge to be edited, gone with the first; its path, and that as text.
fn copied() -> (TempDir, PathBuf, String) {
    let parent = tempfile::tempdir().expect("a temporary directory");
    let directory = parent.path().join("edited");
    let named = directory.to_string_lossy().into_owned();
    assert_eq!(sward(&["knowledge", "copy", &named]).0, Some(0));
    (parent, directory, named)
}

fn edit(directory: &Path, file: &str, from: &str, to: &str) -> usize {
    let path = directory.join(file);
    let text = fs::read_to_string(&path).expect("a knowledge file");
    let at = text.find(from).expect("the text to edit is there");
    fs::write(&path, text.replacen(from, to, 1)).expect("the copy can be written");
    let at = at + from.len() - from.trim_start_matches('\n').len();
    text[..at].matches('\n').count() + 1
}

/// A step that has no reason is told at its heading.
const STEP_WITH_WHY: &str = "## 1. Secure, tip and block the unit\n\
    cautions: isolate_drive, block_tipped_unit, hands_clear_of_reel, hot_surfaces\nwhy:";
const STEP_WITHOUT_WHY: &str = "## 1. Secure, tip and block the unit\n\
    cautions: isolate_drive, block_tipped_unit, hands_clear_of_reel, hot_surfaces\nwhyever:";

#[test]
fn mistakes_are_named_by_file_and_line() {
    let (_parent, directory, named) = copied();
    let (code, text) = sward(&["knowledge", "check", &named]);
    assert_eq!(code, Some(0), "{text}");
    let rows = [
        ("causes.csv", "gap_open_one_end,reel_unit,1.4", "gap_open_one_end,reel_unit,heavy"),
        ("decision_table.csv", "gap_open_one_end,uncut_at_one_end,0.87", "gap_open_one_end,uncut_at_one_end,1.87"),
        ("checks.csv", "paper_fails_middle|", "paper_fails_muddle|"),
        ("procedures/set_reel_to_bedknife.md", STEP_WITH_WHY, STEP_WITHOUT_WHY),
        ("cautions.toml", "\nstops_work", "\nstops_wurk"),
        ("procedures/set_reel_to_bedknife.md", "\nminutes = ", "\nminutes = 9e9 # "),
        ("phrasings/commands_third.tsv", "command=clip_spacing", "command=clip_spaces"),
        ("phrasings/commands_third.tsv", "=blade_count}", "=blade_count"),
    ];
    for (file, from, to) in rows {
        let line = edit(&directory, file, from, to);
        let (code, text) = sward(&["knowledge", "check", &named]);
        assert_eq!(code, Some(65), "{file}: {text}");
        let place = format!("knowledge/{file}:{line}:");
        assert!(text.contains(&place), "{place} is not named: {text}");
        edit(&directory, file, to, from);
    }
}

#[test]
fn a_finding_whose_heading_got_lost_is_named() {
    let (_parent, directory, named) = copied();
    let folder = fs::read_dir(directory.join("lexicon")).expect("the folder of phrases");
    for file in folder.map(|file| file.expect("a file").path()) {
        let text = fs::read_to_string(&file).expect("a file of phrases");
        fs::write(&file, text.replace("[leaf_wet_at_cut]\n", "")).expect("it can be written");
    }
    let (code, text) = sward(&["knowledge", "check", &named]);
    assert_eq!(code, Some(65), "{text}");
    let line = edit(&directory, "findings.csv", "\nleaf_wet_at_cut,", "\nleaf_wet_at_cut,");
    assert!(text.contains(&format!("knowledge/findings.csv:{line}: no phrases")), "{text}");
}

/// A copy of a note that was given a new id, but not a file of that name.
#[test]
fn mistakes_of_a_file_are_told_of_that_file_whatever_its_id() {
    let (_parent, directory, named) = copied();
    let note = "notes/caked_roller_raises_cut.md";
    let lines = [
        edit(&directory, note, "id = \"", "id = \"our_"),
        edit(&directory, note, "causes = [\"", "causes = [\"our_"),
    ];
    let (code, text) = sward(&["knowledge", "check", &named]);
    assert_eq!(code, Some(65), "{text}");
    for line in lines {
        assert!(text.contains(&format!("knowledge/{note}:{line}:")), "line {line}: {text}");
    }
    assert!(!text.contains("our_caked_roller_raises_cut.md"), "{text}");
}

#[test]
fn an_edited_copy_is_used() {
    let (_parent, directory, named) = copied();
    edit(&directory, "causes.csv", "Reel-to-bedknife gap too wide at one end", "Gap open at one end");
    let (_, text) = sward(&["--knowledge", &named, "guide", "causes"]);
    assert!(text.contains("Gap open at one end"), "{text}");
}

#[test]
fn every_kind_has_a_model_and_every_remedy_a_procedure_with_cautions() {
    let knowledge = embedded::knowledge();
    let models = Models::new(&knowledge).expect("the tables make models");
    for kind in Equipment::ALL {
        let (network, bench) = models.of(kind);
        assert!(network.causes.len() >= 7, "{}", kind.id());
        assert!(bench.checks.len() >= 5, "{}", kind.id());
    }
    for cause in &knowledge.causes {
        let procedure = knowledge.procedure(&cause.procedure).expect("checked in the build");
        assert!(procedure.steps.len() >= 3, "{} has few steps", procedure.id);
    }
    // A step where hands come near an edge, a wheel or a raised machine carries its caution.
    for procedure in &knowledge.procedures {
        let hazardous = ["grind", "backlap", "bedknife", "blade", "hydraulic"];
        let near = hazardous.iter().any(|word| procedure.id.contains(word));
        let carries = procedure.steps.iter().any(|step| !step.cautions.is_empty());
        assert!(!near || carries, "{} has no caution", procedure.id);
    }
}

/// A mechanic is sent to another job by its title, never by its id.
#[test]
fn steps_name_other_jobs_by_their_titles() {
    let knowledge = embedded::knowledge();
    let step = &knowledge.procedure("set_reel_to_bedknife").expect("it is there").steps[0];
    let shown = knowledge.with_titles(&step.text);
    assert!(shown.starts_with("Do \"Secure the machine for work\""), "{shown}");
    for procedure in &knowledge.procedures {
        for step in &procedure.steps {
            let shown = knowledge.with_titles(&step.text);
            let id = |word: &&str| word.contains('_') || word.contains('`');
            let left = shown.split_whitespace().find(id);
            assert_eq!(left, None, "{} step {}", procedure.id, step.title);
        }
    }
}
