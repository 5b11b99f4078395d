//! Is this about cutting equipment, is it safe to answer, and is it enough to go on?
//!
//! Refusals go by phrases (`lexicon/refusals.txt`) and by a model fitted to whole utterances; what
//! is out of scope goes by phrases, by the model, and by whether anything of ours was heard.
//! Deliberately absent: the words of the answer.

use std::collections::BTreeMap;

use super::assertion::{Assertion, assertion};
use super::hearing::{Ear, Hearing, Reading};
use super::model::Model;
use super::text::Kind;
use crate::domain::catalogue::Equipment;

/// What may be done with a complaint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    Answer,
    /// About our equipment but too vague to rank causes.
    TooVague,
    OffTopic,
    OtherMachine,
    /// Not in a language the lexicon knows.
    Language,
    /// A request that would hurt someone: the id of the refusal.
    Unsafe(String),
}

/// Labels of the scope model, in the order of its columns.
pub const SCOPE_LABELS: &[&str] =
    &["in", "other_machine", "off_topic", "too_vague", "unsafe", "language"];

/// A shorter text is too little for the model alone to call it unsafe.
const UNSAFE_WORDS_MIN: usize = 5;

/// A text with findings that the model is this sure of is a complaint.
const PLAIN: f64 = 0.6;
/// A text of several findings that it is this sure of asks for nothing, whatever phrase it holds.
const SURE: f64 = 0.9;
/// What the model gives less than this is no doubt.
const DOUBT: f64 = 0.01;
/// Phrases of `[scope:safely]` with this weight ask for the safe way by their meaning, whatever
/// else is named; the others only quieten the model.
const SAFE_BY_MEANING: u32 = 2;
/// In doubt, what is asked for is refused: so much surer must the model be that it is a complaint.
const ASKED_LEAN: f64 = 0.1;

/// The refusal named when only the model, and no phrase, finds a request unsafe.
pub const GENERAL_REFUSAL: &str = "general";

/// The model of whole utterances, with dimensions for its few labels.
pub type ScopeModel = Model<128>;

/// The ear for what a whole utterance is about.
#[derive(Clone, Debug, Default)]
pub struct ScopeEar {
    pub model: ScopeModel,
}

/// What the words say about scope and equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct ScopeReading {
    pub scope: Scope,
    /// Weight of the words for each kind of equipment; only kinds that were mentioned.
    pub equipment: BTreeMap<Equipment, u32>,
}

/// Decides the scope of a text.
pub fn scope(
    ear: &Ear,
    scope_ear: &ScopeEar,
    reading: &Reading,
    hearing: &Hearing,
) -> ScopeReading {
    let sections = Sections::count(ear, reading);
    let chance = chances(scope_ear, reading);
    let scope = judge(ear, reading, hearing, &sections, &chance);
    ScopeReading { scope, equipment: sections.equipment }
}

#[derive(Default)]
struct Sections {
    equipment: BTreeMap<Equipment, u32>,
    /// Phrases by scope label.
    phrases: BTreeMap<String, u32>,
    refusal: Option<String>,
}

impl Sections {
    fn count(ear: &Ear, reading: &Reading) -> Sections {
        let mut out = Sections::default();
        for found in &reading.matches {
            let Some((family, id)) = ear.lexicon.sections[found.section].split_once(':') else {
                continue;
            };
            match family {
                "equipment" => {
                    if let Some(kind) = Equipment::from_id(id) {
                        *out.equipment.entry(kind).or_default() += found.weight;
                    }
                }
                "scope" => *out.phrases.entry(id.to_owned()).or_default() += found.weight,
                "refusal" => {
                    let meant = assertion(&reading.words, &found.words, true);
                    if meant != Assertion::Denied && out.refusal.is_none() {
                        out.refusal = Some(id.to_owned());
                    }
                }
                _ => {}
            }
        }
        out
    }

    fn phrases(&self, label: &str) -> u32 {
        self.phrases.get(label).copied().unwrap_or(0)
    }
}

fn chances(scope_ear: &ScopeEar, reading: &Reading) -> Vec<f64> {
    let words = reading.stems();
    if scope_ear.model.label_count() < SCOPE_LABELS.len() {
        return vec![0.0; SCOPE_LABELS.len()];
    }
    scope_ear.model.predict(&words).into_iter().map(f64::from).collect()
}

fn chance_of(chances: &[f64], label: &str) -> f64 {
    SCOPE_LABELS.iter().zip(chances).find(|(name, _)| **name == label).map_or(0.0, |(_, p)| *p)
}

fn judge(
    ear: &Ear,
    reading: &Reading,
    hearing: &Hearing,
    sections: &Sections,
    chances: &[f64],
) -> Scope {
    let p = |label: &str| chance_of(chances, label);
    let findings = hearing.heard.iter().filter(|heard| heard.present).count();
    let told_only = findings > 1 && p("in") > SURE && p("unsafe") < 1.0 - SURE;
    let safely = sections.phrases("safely");
    let harmless = told_only || safely >= SAFE_BY_MEANING;
    if let Some(refusal) = sections.refusal.as_ref().filter(|_| !harmless) {
        return Scope::Unsafe(refusal.clone());
    }
    let ours = !sections.equipment.is_empty();
    let other = sections.phrases("other_machine") > 0;
    let off = sections.phrases("off_topic") > 0;
    let enough = reading.words.len() >= UNSAFE_WORDS_MIN && (ours || !(other || off));
    // A plain complaint, or a plain matter of another kind, is none that the model alone refuses.
    let asked = asks(reading);
    let told = findings > 0 && p("in") > PLAIN && !asked;
    let lean = if asked { ASKED_LEAN } else { 0.0 };
    let plain = told || safely > 0 || (off && p("off_topic") > p("unsafe"));
    if enough && !plain && p("unsafe") > 0.6 && p("unsafe") + lean > p("in") {
        return Scope::Unsafe(GENERAL_REFUSAL.to_owned());
    }
    let denials = hearing.heard.len() - findings;
    if is_foreign(ear, reading) || (p("language") > 0.5 && findings == 0) {
        return Scope::Language;
    }
    // "Like a ploughed field", "knocked by the buggy": another machine is named and not meant.
    let aside = findings > 0 && p("in") > SURE && p("other_machine") < DOUBT;
    if other && !aside && (!ours || (p("other_machine") > p("in") && findings == 0)) {
        return Scope::OtherMachine;
    }
    if p("other_machine") > 0.5 && p("other_machine") > p("in") && !ours {
        return Scope::OtherMachine;
    }
    if (off || p("off_topic") > 0.5) && p("off_topic") > p("in") && findings < 2 {
        return Scope::OffTopic;
    }
    // Denials rule causes out; a single one may be about anything.
    if findings > 0 || denials > 1 || (denials == 1 && ours) {
        return Scope::Answer;
    }
    if p("off_topic") > p("too_vague") && p("off_topic") > p("in") {
        return Scope::OffTopic;
    }
    Scope::TooVague
}

/// Whether leave or a way is asked for: "can I", "how do we", "ok to"; not "can not".
fn asks(reading: &Reading) -> bool {
    reading.tokens.iter().enumerate().any(|(at, token)| {
        let next = reading.tokens.get(at + 1).map_or("", |token| token.text.as_str());
        match token.text.as_str() {
            "ok" | "okay" | "fine" | "alright" => matches!(next, "to" | "if"),
            "way" => matches!(next, "to" | "of" | "round" | "around"),
            word => ASKING.contains(&word) && next != "not",
        }
    })
}

/// Words by which leave or a way is asked for ("which" is as often no question: "which is odd").
const ASKING: &[&str] = &[
    "?", "can", "could", "may", "shall", "should", "how", "what", "safe", "safely", "let",
    "want", "trick", "tell", "show", "help", "yes", "yeah",
];

/// Whether most of the words belong to no English we know, by more than typing errors.
fn is_foreign(ear: &Ear, reading: &Reading) -> bool {
    let words: Vec<_> = reading
        .tokens
        .iter()
        .filter(|token| token.kind == Kind::Word && token.text.len() > 1)
        .collect();
    if words.len() < 4 {
        return false;
    }
    let known = words
        .iter()
        .filter(|token| ear.speller.knows(&token.stem) || ear.small_words.contains(&token.stem))
        .count();
    if known * 2 >= words.len() {
        return false;
    }
    let text: Vec<&str> = words.iter().map(|token| token.text.as_str()).collect();
    let guess = whatlang::detect(&text.join(" "));
    !guess.is_some_and(|info| info.lang() == whatlang::Lang::Eng)
}
