//! What is built in, and on which terms? Every dependency has its reason and an allowed licence, comes
//! from the registry under lock, and nothing here is unsafe.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

/// Licences that ask for no more than to be named. Identifiers of the SPDX licence list.
const ALLOWED: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Whether an SPDX expression can be met with the allowed licences alone.
fn allowed(expression: &str) -> bool {
    // Older manifests write "/" for OR.
    let text = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut at = 0;
    any_of(&words, &mut at).is_some_and(|met| met && at == words.len())
}

/// Nothing where the expression is malformed.
fn any_of(words: &[&str], at: &mut usize) -> Option<bool> {
    let mut met = all_of(words, at)?;
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        met |= all_of(words, at)?;
    }
    Some(met)
}

fn all_of(words: &[&str], at: &mut usize) -> Option<bool> {
    let mut met = one(words, at)?;
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at)?;
    }
    Some(met)
}

fn one(words: &[&str], at: &mut usize) -> Option<bool> {
    let word = words.get(*at)?;
    *at += 1;
    if *word == "(" {
        let met = any_of(words, at)?;
        *at += 1;
        return (words.get(*at - 1) == Some(&")")).then_some(met);
    }
    let mut met = ALLOWED.contains(word);
    if words.get(*at) == Some(&"WITH") {
        // An exception only ever gives more.
        met &= words.get(*at + 1)?.ends_with("-exception");
        *at += 2;
    }
    Some(met)
}

#[test]
fn expressions_are_read_as_spdx_writes_them() {
    // Forms of annex D of the SPDX specification.
    for good in [
        "MIT",
        "MIT OR Apache-2.0",
        "MIT/Apache-2.0",
        "Apache-2.0 WITH LLVM-exception",
        "(MIT OR Apache-2.0) AND Unicode-3.0",
        "GPL-3.0-only OR MIT",
        "Apache-2.0 AND ISC",
    ] {
        assert!(allowed(good), "{good}");
    }
    for bad in [
        "",
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT OR Apache-2.0) AND AGPL-3.0-only",
        "MIT OR",
        "(MIT",
        "MIT Apache-2.0",
    ] {
        assert!(!allowed(bad), "{bad}");
    }
}

/// Everything that is built in on any system, as cargo knows it without the network.
fn packages() -> Option<Vec<Value>> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let run = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(root())
        .output()
        .expect("cargo runs");
    if !run.status.success() {
        println!("skipped: {}", String::from_utf8_lossy(&run.stderr));
        return None;
    }
    let metadata: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    let built: BTreeSet<&str> = metadata["resolve"]["nodes"]
        .as_array()
        .expect("a graph")
        .iter()
        .filter_map(|node| node["id"].as_str())
        .collect();
    let packages = metadata["packages"].as_array().expect("packages").iter();
    let wanted = |package: &&Value| package["id"].as_str().is_some_and(|id| built.contains(id));
    Some(packages.filter(wanted).cloned().collect())
}

#[test]
fn every_licence_is_one_that_is_allowed() {
    let Some(packages) = packages() else { return };
    assert!(packages.len() > 100, "only {} packages", packages.len());
    let mut wrong = Vec::new();
    for package in &packages {
        let (name, version) = (&package["name"], &package["version"]);
        let licence = package["license"].as_str().unwrap_or_default();
        if !allowed(licence) {
            wrong.push(format!("{name} {version}: \"{licence}\""));
        }
    }
    assert!(wrong.is_empty(), "licences that are not allowed:\n{}", wrong.join("\n"));
}

#[test]
fn everything_comes_from_the_registry_under_a_checksum() {
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).expect("the lock file");
    let lock: toml::Table = lock.parse().expect("TOML");
    for package in lock["package"].as_array().expect("packages") {
        let name = package["name"].as_str().expect("a name");
        if name == "sward" {
            continue;
        }
        let source = package.get("source").and_then(toml::Value::as_str).unwrap_or_default();
        assert!(source.starts_with("registry+"), "{name} comes from \"{source}\"");
        assert!(package.get("checksum").is_some(), "{name} has no checksum");
    }
}

/// The dependencies of the manifest: name, and its line.
fn dependencies() -> Vec<(String, String)> {
    let text = std::fs::read_to_string(root().join("Cargo.toml")).expect("the manifest");
    let mut section = "";
    let mut found = Vec::new();
    for line in text.lines() {
        if line.starts_with('[') {
            section = line;
        }
        if let Some((name, _)) = line.split_once(" = ")
            && section.ends_with("dependencies]")
            && !line.starts_with('#')
        {
            found.push((name.to_owned(), line.to_owned()));
        }
    }
    found
}

#[test]
fn every_dependency_has_its_reason_in_words() {
    let found = dependencies();
    assert!(found.len() > 30, "only {} dependencies were found", found.len());
    for (name, line) in found {
        let reason = line.rsplit_once("  # ").map_or("", |(_, reason)| reason);
        assert!(!reason.trim().is_empty(), "Cargo.toml: say what {name} is for");
    }
}

#[test]
fn no_dependency_is_left_over() {
    let mut sources = String::new();
    let mut folders = vec![root().join("server"), root().join("client"), root().join("tests")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("listed").flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                sources.push_str(&std::fs::read_to_string(path).expect("text"));
            }
        }
    }
    sources.push_str(&std::fs::read_to_string(root().join("build.rs")).expect("text"));
    // Named by generated code only.
    let generated = ["tonic-prost"];
    for (name, _) in dependencies() {
        let word = name.replace('-', "_");
        let used = sources.contains(&format!("{word}::")) || sources.contains(&format!("use {word}"));
        assert!(used || generated.contains(&name.as_str()), "nothing uses {name}; leave it out");
    }
}

#[test]
fn nothing_here_is_unsafe() {
    let manifest = std::fs::read_to_string(root().join("Cargo.toml")).expect("the manifest");
    assert!(manifest.contains("unsafe_code = \"forbid\""));
}

/// What the C library is told about memory, from memory of its manual (mallopt(3)): the same in the
/// unit file, which the load runs start the server with, and in the container.
#[test]
fn unit_file_and_container_set_the_same() {
    let read = |name: &str| {
        std::fs::read_to_string(root().join("tests/deploy").join(name)).expect("it is there")
    };
    let (unit, container) = (read("swardd.service"), read("Containerfile"));
    let set: Vec<&str> = unit.lines().filter_map(|line| line.strip_prefix("Environment=")).collect();
    assert!(set.len() >= 3, "{set:?}");
    for pair in set {
        assert!(container.contains(pair), "the container does not set {pair}");
    }
}
