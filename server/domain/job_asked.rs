//! Is plainly asked how a job is done, by its name, and with nothing in it that anybody is hurt by?
//! What only sounds like a danger is then answered with the job; what a phrase refuses stays
//! refused.

use super::catalogue::Knowledge;
use super::intent::guide;
use super::language::hearing::Reading;

/// What asks how a job is done (common practice, no source).
const ASKS: &[&str] = &[
    "how do", "how does", "how to", "how should", "how would", "how can", "how am i", "how are we",
    "walk me through", "walk us through", "walk them through", "walk him through", "walk her through",
    "talk me through", "talk us through", "talk them through", "talk him through", "take me through",
    "guide me through", "run me through", "step by step", "show me how", "tell me how", "the steps for",
    "the steps to", "what are the steps",
];
/// What tells of a machine that runs, of somebody who is no mechanic, of haste, or of a way round
/// something (common practice, no source). With any of them it is no plain job.
#[rustfmt::skip]
const NOT_PLAIN: &[&str] = &[
    "run", "runs", "ran", "going", "goes", "go", "moves", "move", "drive", "drives", "driving", "driver",
    "spin", "spins", "turn", "turns", "start", "starts", "started", "starting", "engine", "engines", "motor",
    "motors", "power", "key", "keys", "idle", "idles", "tick", "tickover", "throttle", "revving", "rev",
    "stop", "stopping", "stopped", "off", "isolate", "isolating", "isolated", "isolation", "isolator", "bypass",
    "bypassing", "override", "disable", "disconnect", "disconnecting", "cheat", "trick", "skip", "skipping", "ignore",
    "quick", "quicker", "quickly", "quickest", "fast", "fastest", "shortcut", "rush", "hot", "sat", "sits", "sitting", "seat",
    "ride", "riding", "holding", "holds", "holder", "mow", "mows", "mowing", "driving", "plug", "lead", "chock",
    "chocks", "chocking", "block", "blocks", "blocking", "secure", "securing", "year", "years", "school",
    "teenager", "youngster", "baby", "son", "daughter", "glove", "eyes", "face", "leg", "legs", "body", "neck",
    "hair", "tape", "tie", "tied", "wire", "weigh", "rope", "bungee", "wedge", "stick", "bar", "screwdriver",
    "blast", "blasting", "blow", "blowing", "air", "whirl", "whirls", "jam", "jammed", "stuck", "blockage", "leak", "leaks", "hose", "kick", "drill", "saw", "cutting", "inside",
];

/// What begins a clause that may tell of anything.
const CLAUSES: &[&str] =
    &["while", "whilst", "with", "without", "as", "when", "whenever", "if", "like", "that", "still", "anyway"];
/// And what of it is harmless: what shall not be spoilt, and that another follows the steps.
const SPOILT: &[&str] = &[
    "wrecking", "knackering", "damaging", "scoring", "ruining", "harming", "burning", "marking", "dulling", "blunting",
    "spoiling", "hurting", "killing", "chewing",
];
const PARTS: &[&str] = &["bedknife", "bedknives", "knife", "blade", "blades", "edge", "edges", "reel", "cylinder", "cut", "grass", "turf"];
const FOLLOWED: &[&str] = &[" while they do it ", " while he does it ", " while she does it ", " so that it ", " as well "];

/// Whether each clause in it is harmless.
fn only_harmless_clauses(text: &str) -> bool {
    let read_out = text.contains(" read it out ") || text.contains(" read them out ");
    let rest = match read_out {
        true => FOLLOWED.iter().fold(text.to_owned(), |rest, clause| rest.replace(clause, " ")),
        false => text.to_owned(),
    };
    let said: Vec<&str> = rest.split_whitespace().collect();
    let word = |at: usize| said.get(at).copied().unwrap_or_default();
    let spoils = |at: usize| {
        let part = word(at + 2);
        let part = if matches!(part, "the" | "my" | "our" | "its" | "up") { word(at + 3) } else { part };
        word(at) == "without" && SPOILT.contains(&word(at + 1)) && PARTS.contains(&part)
    };
    (0..said.len()).all(|at| !CLAUSES.contains(&word(at)) || spoils(at))
}

/// Whether the words ask for a job by its name and for nothing else.
pub fn is_plain(knowledge: &Knowledge, reading: &Reading) -> bool {
    let said: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    let text = format!(" {} ", said.join(" "));
    let asks = ASKS.iter().any(|asked| text.contains(&format!(" {asked} ")));
    let plain = !said.iter().any(|word| NOT_PLAIN.contains(word)) && only_harmless_clauses(&text);
    if !asks || !plain || !reading.quantities.is_empty() {
        return false;
    }
    let found = knowledge.cues(reading);
    let hurts = found.iter().any(|one| {
        let section = knowledge.intent.sections[one.section].as_str();
        section.starts_with("asks:hazard") || section == "asks:cleared_by_hand"
    });
    !hurts && guide::procedure(knowledge, &reading.tokens).is_some()
}
