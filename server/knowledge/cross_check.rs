//! Do the files agree with each other? Every id that is named exists, nothing is given twice, and
//! what can hurt carries a caution.

use std::collections::BTreeSet;

use super::{File, Problems, fitted, files_in, text_of};
use crate::domain::catalogue::{Basis, Equipment, FindingKind, Knowledge, RUNS_HOT};
use crate::domain::language::dangers::{DANGER, NO_DANGER};
use crate::domain::language::purpose::{ASKED, COMMAND, KNOWN, NO_COMMAND};

/// Words of a step that mean a hazard, and cautions of which one at least must stand beside it.
const HAZARDS: &[(&str, &[&str])] = &[
    ("grinding wheel", &["mounted_wheel", "guards_in_place", "eye_and_face", "isolate_drive"]),
    ("backlap", &["backlap_at_distance", "isolate_drive", "hands_clear_of_reel", "eye_and_face"]),
    ("jack", &["support_raised_machine"]),
    ("hydraulic line", &["hydraulic_pressure"]),
];

pub fn check(files: &[File], knowledge: &Knowledge, problems: &mut Problems) {
    let mut checker = Checker { files, knowledge, problems };
    checker.findings();
    checker.causes();
    checker.checks();
    checker.table();
    checker.exclusions();
    checker.words();
    checker.safety();
    checker.procedures();
    checker.notes();
    checker.references();
}

struct Checker<'a> {
    files: &'a [File],
    knowledge: &'a Knowledge,
    problems: &'a mut Problems,
}

impl Checker<'_> {
    /// Adds a problem at the first line of the file that holds all the words.
    fn at(&mut self, path: &str, words: &[&str], what: String, remedy: &str) {
        let line = text_of(self.files, path)
            .and_then(|text| text.lines().position(|line| words.iter().all(|w| holds(line, w))))
            .map_or(0, |at| at + 1);
        self.problems.add(path, line, what, remedy);
    }

    fn twice<'b>(&mut self, path: &str, ids: impl Iterator<Item = &'b str>) {
        let mut seen = BTreeSet::new();
        for id in ids {
            if !seen.insert(id) {
                self.at(path, &[id], format!("{id} is given twice"), "keep one row");
            }
        }
    }

    fn findings(&mut self) {
        let knowledge = self.knowledge;
        self.twice("findings.csv", knowledge.findings.iter().map(|row| row.id.as_str()));
        for finding in &knowledge.findings {
            if finding.false_alarm >= finding.sensitivity {
                let what = format!("{}: false_alarm is not below sensitivity", finding.id);
                self.at("findings.csv", &[&finding.id], what, "lower false_alarm");
            }
            if finding.kind == FindingKind::Complaint {
                continue;
            }
            for kind in &finding.equipment {
                let revealed = knowledge.checks.iter().any(|check| {
                    check.equipment.contains(kind) && check.reveals.contains(&finding.id)
                });
                if !revealed {
                    let what = format!("no check of {} reveals {}", kind.id(), finding.id);
                    self.at("findings.csv", &[&finding.id], what, "add it to a row of checks.csv");
                }
            }
        }
    }

    fn causes(&mut self) {
        let knowledge = self.knowledge;
        let path = "causes.csv";
        let mut pairs = BTreeSet::new();
        for cause in &knowledge.causes {
            let words = [cause.id.as_str(), cause.equipment.id()];
            if !pairs.insert(words) {
                self.at(path, &words, format!("{} is given twice", cause.id), "keep one row");
            }
            self.known_procedure(path, &words, &cause.procedure);
            self.known_opening(path, &words, &cause.opening);
            self.known_cautions(path, &words, &cause.cautions);
            let shown = knowledge
                .table
                .iter()
                .any(|row| row.cause == cause.id && row.equipment == cause.equipment);
            if !shown {
                let what = format!("{} has no row in decision_table.csv", cause.id);
                self.at(path, &words, what, "say by which findings it shows");
            }
        }
    }

    fn checks(&mut self) {
        let knowledge = self.knowledge;
        let path = "checks.csv";
        self.twice(path, knowledge.checks.iter().map(|row| row.id.as_str()));
        self.twice("openings.csv", knowledge.openings.iter().map(|row| row.id.as_str()));
        for check in &knowledge.checks {
            let words = [check.id.as_str()];
            self.known_procedure(path, &words, &check.procedure);
            self.known_opening(path, &words, &check.opening);
            self.known_cautions(path, &words, &check.cautions);
            if check.reveals.is_empty() {
                self.at(path, &words, format!("{} reveals nothing", check.id), "name its findings");
            }
            for finding in &check.reveals {
                self.known_finding(path, &words, finding);
            }
        }
        for opening in &knowledge.openings {
            self.known_cautions("openings.csv", &[&opening.id], &opening.cautions);
        }
    }

    fn exclusions(&mut self) {
        let knowledge = self.knowledge;
        let path = "exclusions.csv";
        let mut seen = BTreeSet::new();
        for row in &knowledge.exclusions {
            let words = [row.one.as_str(), row.other.as_str()];
            self.known_finding(path, &words, &row.one);
            self.known_finding(path, &words, &row.other);
            let pair = (row.one.as_str().min(&row.other), row.one.as_str().max(&row.other));
            if row.one == row.other || !seen.insert(pair) {
                let what = format!("{} and {} are one thing or stand twice", row.one, row.other);
                self.at(path, &words, what, "write each pair of two findings once");
            }
        }
    }

    fn table(&mut self) {
        let knowledge = self.knowledge;
        let path = "decision_table.csv";
        let mut seen = BTreeSet::new();
        for row in &knowledge.table {
            let words = [row.equipment.id(), row.cause.as_str(), row.finding.as_str()];
            if !seen.insert(words) {
                self.at(path, &words, format!("{words:?} is given twice"), "keep one row");
            }
            if knowledge.cause(row.equipment, &row.cause).is_none() {
                let what = format!("{} is no cause of {}", row.cause, row.equipment.id());
                self.at(path, &words, what, "add it to causes.csv or mend the id");
            }
            let Some(finding) = knowledge.finding(&row.finding) else {
                self.known_finding(path, &words, &row.finding);
                continue;
            };
            if !finding.equipment.contains(&row.equipment) {
                let what = format!("{} is no finding of {}", row.finding, row.equipment.id());
                self.at(path, &words, what, "add the kind to its row of findings.csv");
            }
            if row.probability < finding.leak {
                let what = format!("{} is below the leak {}", row.probability, finding.leak);
                let remedy = "raise it, or remove the row: a cause cannot make a finding rarer";
                self.at(path, &words, what, remedy);
            }
        }
    }

    /// Every finding has its phrases; labels, sections and implications name findings that exist.
    fn words(&mut self) {
        let knowledge = self.knowledge;
        // A heading that gets lost gives its phrases to the one above.
        for finding in &knowledge.findings {
            if !knowledge.ear.lexicon.sections.contains(&finding.id) {
                let what = format!("no phrases of lexicon/ stand under [{}]", finding.id);
                let remedy = "head those that tell of it, in any file of lexicon/";
                self.at("findings.csv", &[&finding.id], what, remedy);
            }
        }
        for section in &knowledge.ear.lexicon.sections {
            let ids: Vec<&str> = match section.split_once(':') {
                Some(("refusal", id)) => {
                    if knowledge.refusal(id).is_none() {
                        let what = format!("[{section}] is not in refusals.toml");
                        self.problems.add("lexicon/refusals.txt", 0, what, "add it there");
                    }
                    continue;
                }
                Some(("equipment", id)) if Equipment::from_id(id).is_some() => continue,
                Some(("scope", _) | ("aside", "extent")) => continue,
                Some(_) => vec![section.as_str()],
                None => section.split(['|', '+']).map(str::trim).filter(|id| *id != "-").collect(),
            };
            for id in ids.into_iter().filter(|id| knowledge.finding(id).is_none()) {
                let file = files_in(self.files, "lexicon/", ".txt")
                    .find(|file| file.text.contains(&format!("[{section}]")));
                let path = file.map_or("lexicon", |file| file.path.as_str()).to_owned();
                let heading = format!("[{section}]");
                self.at(&path, &[&heading], format!("{id} is no finding"), "mend the section name");
            }
        }
        for rule in &knowledge.ear.implications {
            for id in [&rule.if_finding, &rule.finding] {
                self.known_finding("implications.csv", &[id], id);
            }
        }
        self.labels();
    }

    /// What is said of safety has its row, its cautions, and causes that exist.
    fn safety(&mut self) {
        let knowledge = self.knowledge;
        self.twice("refusals.toml", knowledge.refusals.iter().map(|row| row.id.as_str()));
        for section in &knowledge.intent.sections {
            let id = section.strip_prefix("safety:");
            if let Some(id) = id.filter(|id| knowledge.refusal(id).is_none()) {
                let what = format!("[safety:{id}] is not in refusals.toml");
                self.problems.add("intent/safety.txt", 0, what, "add it there");
            }
        }
        for row in &knowledge.refusals {
            self.known_cautions("refusals.toml", &[&row.id], &row.cautions);
        }
        for row in &knowledge.running_on {
            let cause = knowledge.causes.iter().any(|cause| cause.id == row.cause);
            if !cause && row.cause != RUNS_HOT {
                let what = format!("{} is no cause", row.cause);
                self.at("running_on.csv", &[&row.cause], what, "use an id of causes.csv");
            }
        }
    }

    /// The labels of the phrasings: findings, rows of `refusals.toml`, and commands that
    /// `intent/` has words for.
    fn labels(&mut self) {
        let sections = &self.knowledge.intent.sections;
        let command = |name: &str| {
            if let Some(passage) = name.strip_prefix(KNOWN) {
                let job = self.knowledge.procedure(passage).is_some();
                return job || self.knowledge.note(passage).is_some();
            }
            let own = |(family, name): (&str, &str)| sections.contains(&format!("{family}:{name}"));
            let asked = name.strip_prefix(ASKED).unwrap_or_default();
            let all = [("about", name), ("record", name), ("kind", name)];
            let all = all.into_iter().chain([("asked", asked), ("fleet", asked)]);
            name == NO_COMMAND || all.into_iter().any(own)
        };
        for file in files_in(self.files, "phrasings/", ".tsv") {
            for (at, line) in file.text.lines().enumerate() {
                let labels = line.split_once('\t').map_or("", |(labels, _)| labels);
                for label in labels.split_whitespace() {
                    let finding = fitted::label(label).map(|(finding, _)| finding);
                    let finding = finding.filter(|id| self.knowledge.finding(id).is_none());
                    let asked = label.strip_prefix(COMMAND).filter(|name| !command(name));
                    let danger = label.strip_prefix(DANGER).filter(|row| {
                        *row != NO_DANGER && self.knowledge.refusal(row).is_none()
                    });
                    let what = finding
                        .map(|finding| format!("{finding} is no finding"))
                        .or_else(|| danger.map(|row| format!("{row} is no row of refusals.toml")))
                        .or_else(|| asked.map(|name| format!("{name} is no command")));
                    if let Some(what) = what {
                        self.problems.add(&file.path, at + 1, what, "mend the label");
                    }
                }
            }
        }
    }

    fn procedures(&mut self) {
        let knowledge = self.knowledge;
        for procedure in &knowledge.procedures {
            let path = format!("procedures/{}.md", procedure.id);
            for (at, step) in procedure.steps.iter().enumerate() {
                self.known_cautions(&path, &[&step.title], &step.cautions);
                if step.why.is_empty() {
                    let what = format!("step {} has no why", at + 1);
                    self.at(&path, &[&step.title], what, "add a line \"why: ...\"");
                }
                for reading in &step.readings {
                    if reading.otherwise_step.is_some_and(|n| n == 0 || n > procedure.steps.len()) {
                        let what = format!("{} goes back to a step that is not there", reading.id);
                        self.at(&path, &[&reading.id], what, "name a step of this procedure");
                    }
                }
                let text = step.text.to_lowercase();
                for (word, cautions) in HAZARDS {
                    let covered = step.cautions.iter().any(|id| cautions.contains(&id.as_str()));
                    if text.contains(word) && !covered {
                        let what = format!("step {} speaks of \"{word}\" without a caution", at + 1);
                        let remedy = format!("add one of {}", cautions.join(", "));
                        self.at(&path, &[&step.title], what, &remedy);
                    }
                }
            }
        }
    }

    fn notes(&mut self) {
        let knowledge = self.knowledge;
        for note in &knowledge.notes {
            let path = format!("notes/{}.md", note.id);
            for finding in &note.findings {
                self.known_finding(&path, &["findings"], finding);
            }
            for cause in &note.causes {
                if !knowledge.causes.iter().any(|row| row.id == *cause) {
                    self.at(&path, &["causes"], format!("{cause} is no cause"), "mend the id");
                }
            }
        }
    }

    /// Whatever is called published names a reference that exists.
    fn references(&mut self) {
        let knowledge = self.knowledge;
        let mut named: Vec<(String, String)> = Vec::new();
        let mut name = |path: &str, basis: &Basis| {
            if let Basis::Published(id) = basis
                && !id.is_empty()
            {
                named.push((path.to_owned(), id.clone()));
            }
        };
        knowledge.findings.iter().for_each(|row| name("findings.csv", &row.basis));
        knowledge.causes.iter().for_each(|row| name("causes.csv", &row.basis));
        knowledge.checks.iter().for_each(|row| name("checks.csv", &row.basis));
        knowledge.table.iter().for_each(|row| name("decision_table.csv", &row.basis));
        knowledge.setting_targets.iter().for_each(|row| name("setting_targets.csv", &row.basis));
        knowledge.usual_intervals.iter().for_each(|row| name("service_intervals.csv", &row.basis));
        for row in &knowledge.procedures {
            name(&format!("procedures/{}.md", row.id), &row.basis);
        }
        for row in &knowledge.notes {
            name(&format!("notes/{}.md", row.id), &row.basis);
        }
        for row in &knowledge.procedures {
            let path = format!("procedures/{}.md", row.id);
            named.extend(row.references.iter().map(|id| (path.clone(), id.clone())));
        }
        for row in &knowledge.notes {
            let path = format!("notes/{}.md", row.id);
            named.extend(row.references.iter().map(|id| (path.clone(), id.clone())));
        }
        self.twice("references.csv", knowledge.references.iter().map(|row| row.id.as_str()));
        for (path, id) in named {
            if knowledge.reference(&id).is_none() {
                let what = format!("the reference {id} does not exist");
                self.at(&path, &[&id], what, "add it to references.csv");
            }
        }
    }

    fn known_finding(&mut self, path: &str, words: &[&str], id: &str) {
        if self.knowledge.finding(id).is_none() {
            self.at(path, words, format!("{id} is no finding"), "use an id of findings.csv");
        }
    }

    fn known_procedure(&mut self, path: &str, words: &[&str], id: &str) {
        if self.knowledge.procedure(id).is_none() {
            let what = format!("there is no procedure {id}");
            self.at(path, words, what, "write procedures/ID.md or mend the id");
        }
    }

    fn known_opening(&mut self, path: &str, words: &[&str], id: &str) {
        if self.knowledge.opening(id).is_none() {
            self.at(path, words, format!("there is no opening {id}"), "use an id of openings.csv");
        }
    }

    fn known_cautions(&mut self, path: &str, words: &[&str], ids: &[String]) {
        for id in ids {
            if self.knowledge.caution(id).is_none() {
                let what = format!("there is no caution {id}");
                self.at(path, words, what, "use an id of cautions.toml");
            }
        }
    }
}

/// Whether the line holds the word with nothing of an id on either side.
fn holds(line: &str, word: &str) -> bool {
    let part = |ch: char| ch.is_ascii_alphanumeric() || ch == '_';
    line.match_indices(word).any(|(at, _)| {
        !line[..at].chars().next_back().is_some_and(part)
            && !line[at + word.len()..].chars().next().is_some_and(part)
    })
}
