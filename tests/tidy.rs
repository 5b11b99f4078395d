//! The rules of the house, as tests: who may import whom, every file says what it answers, every
//! part of the contract is commented, nothing is left half done.

use std::fs;
use std::path::{Path, PathBuf};

const LONGEST_LINE: usize = 100;
const LONGEST_FILE: usize = 600;
const LONGEST_FUNCTION: usize = 90;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The files with an ending below a folder, in order of path.
fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    fn walk(directory: &Path, ending: &str, out: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(directory).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, ending, out);
            } else if path.extension().is_some_and(|found| found == ending) {
                out.push(path);
            }
        }
    }
    let mut paths = Vec::new();
    walk(&root().join(folder), ending, &mut paths);
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("source files are readable text");
            let name = path.strip_prefix(root()).expect("below the root").display().to_string();
            (name, text)
        })
        .collect()
}

fn sources() -> Vec<(String, String)> {
    let mut all = files("server", "rs");
    all.extend(files("client", "rs"));
    all.extend(files("tests", "rs"));
    all
}

#[test]
fn every_file_opens_with_what_it_answers() {
    for (name, text) in sources() {
        assert!(text.starts_with("//! "), "{name}: open with a line \"//! ...\" saying its purpose");
    }
}

#[test]
fn imports_point_one_way() {
    // (folder, what its files may not name)
    let rules: &[(&str, &[&str])] = &[
        (
            "server/domain",
            &["crate::pb", "crate::service", "crate::store", "crate::index", "crate::knowledge",
                "crate::embedded", "crate::config", "tonic::", "tokio::", "rusqlite::",
                "tantivy::", "prost::", "std::fs", "std::net", "SystemTime", "Instant::now"],
        ),
        ("server/knowledge", &["crate::pb", "crate::service", "crate::store", "crate::index", "tonic::"]),
        ("server/store", &["crate::pb", "crate::service", "crate::index", "crate::knowledge", "tonic::"]),
        ("server/index", &["crate::pb", "crate::service", "crate::store", "tonic::"]),
    ];
    for (folder, forbidden) in rules {
        for (name, text) in files(folder, "rs") {
            for (number, line) in text.lines().enumerate() {
                let code = line.split("//").next().unwrap_or_default();
                for word in *forbidden {
                    assert!(!code.contains(word), "{name}:{}: {folder} may not name {word}", number + 1);
                }
            }
        }
    }
}

#[test]
fn nothing_is_left_half_done() {
    // The one ignored test is the child process that the fault tests start and kill.
    let exempt = ["tests/tidy.rs", "tests/faults/child.rs"];
    for (name, text) in sources().into_iter().filter(|(name, _)| !exempt.contains(&name.as_str())) {
        for word in ["todo!(", "unimplemented!(", "dbg!(", "#[ignore"] {
            assert!(!text.contains(word), "{name}: holds {word}");
        }
    }
}

#[test]
fn lines_functions_and_files_stay_readable() {
    let mut wrong = Vec::new();
    for (name, text) in files("server", "rs").into_iter().chain(files("client", "rs")) {
        let table = text.contains("#[rustfmt::skip]") || name.ends_with("limits.rs");
        // The tests beside the code are a table of rows.
        let code = text.lines().take_while(|line| *line != "#[cfg(test)]").count();
        if code > LONGEST_FILE && !table {
            wrong.push(format!("{name}: {code} lines"));
        }
        for (number, line) in text.lines().enumerate() {
            if line.chars().count() > LONGEST_LINE && !line.contains('"') {
                wrong.push(format!("{name}:{}: over {LONGEST_LINE} columns", number + 1));
            }
        }
        wrong.extend(long_functions(&name, &text));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Functions by indentation: from a line that begins one to the brace at the same depth.
fn long_functions(name: &str, text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let mut wrong = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let trimmed = line.trim_start();
        let starts = ["fn ", "pub fn ", "pub(super) fn ", "pub(crate) fn ", "async fn ", "pub async fn "]
            .iter()
            .any(|start| trimmed.starts_with(start));
        if !starts {
            continue;
        }
        let indent = line.len() - trimmed.len();
        let end = format!("{}}}", " ".repeat(indent));
        let length = lines[at..].iter().position(|line| *line == end).unwrap_or(0);
        if length > LONGEST_FUNCTION {
            wrong.push(format!("{name}:{}: a function of {length} lines", at + 1));
        }
    }
    wrong
}

#[test]
fn every_part_of_the_contract_is_commented() {
    let starts = ["rpc ", "message ", "enum ", "service ", "repeated ", "optional "];
    for (name, text) in files("proto", "proto") {
        let mut above = "";
        for (number, line) in text.lines().enumerate() {
            let code = line.trim();
            let field = code.contains(" = ") && code.ends_with(';') && !code.starts_with("option ")
                && !code.starts_with("syntax");
            let part = starts.iter().any(|start| code.starts_with(start)) || field;
            let commented = above.starts_with("//") || code.contains("//");
            assert!(!part || commented, "{name}:{}: no comment above \"{code}\"", number + 1);
            above = code;
        }
    }
}

#[test]
fn the_top_level_holds_nothing_else() {
    let allowed = [
        "Cargo.toml", "Cargo.lock", "build.rs", "README.md", "DEVELOPERS.md", "LICENSE", "proto",
        "server", "client", "knowledge", "tests", ".gitignore", ".ci", ".git", "target",
        "proptest-regressions",
    ];
    for entry in fs::read_dir(root()).expect("the root is readable").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(allowed.contains(&name.as_str()), "{name} does not belong at the top level");
    }
}

#[test]
fn paths_named_in_the_documents_exist() {
    for document in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(root().join(document)).expect("the documents are there");
        for word in text.split(|ch: char| ch.is_whitespace() || matches!(ch, '`' | '(' | ')' | ',')) {
            let word = word.trim_end_matches(['.', ':', ';']);
            let ours = ["server/", "client/", "tests/", "knowledge/", "proto/"]
                .iter()
                .any(|folder| word.starts_with(folder));
            let pattern = word.contains(['*', '<', '{', '|']) || word.contains("ID");
            assert!(
                !ours || pattern || root().join(word).exists(),
                "{document} names {word}, which does not exist"
            );
        }
    }
}

#[test]
fn every_test_file_is_declared() {
    let main = fs::read_to_string(root().join("tests/main.rs")).expect("tests/main.rs");
    for entry in fs::read_dir(root().join("tests")).expect("tests").flatten() {
        let path = entry.path();
        let name = path.file_stem().map(|stem| stem.to_string_lossy().into_owned());
        let rust = path.extension().is_some_and(|ending| ending == "rs");
        if let Some(name) = name.filter(|name| rust && name != "main") {
            assert!(main.contains(&format!("mod {name};")), "tests/main.rs does not declare {name}");
        }
    }
}

#[test]
fn every_dependency_has_its_reason() {
    let text = fs::read_to_string(root().join("Cargo.toml")).expect("Cargo.toml");
    let mut section = "";
    for line in text.lines() {
        if line.starts_with('[') {
            section = line;
        }
        let dependency = section.contains("dependencies]") && line.contains(" = ");
        assert!(!dependency || line.contains("# "), "Cargo.toml: say why beside \"{line}\"");
    }
}
