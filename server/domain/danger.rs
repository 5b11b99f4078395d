//! Is somebody hurt, must a machine stop now, and may it be done? Asked of everything that is said,
//! before anything else is: of a complaint, a sentence to be understood, a turn of a conversation.
//!
//! The phrases stand in `knowledge/intent/safety.txt`, what is answered in `refusals.toml`.
//! Deliberately absent: whether the words are about our work at all (`language::scope`).

use std::collections::BTreeSet;

use super::catalogue::{Guard, Knowledge, Refusal};
use super::danger_sound::{self, Sound};
use super::job_asked;
use super::language::assertion::{Assertion, assertion};
use super::language::hearing::{Hearing, Reading};
use super::language::patterns::Match;
use super::language::purpose::ASKED_ANY;
use super::language::scope::{GENERAL_REFUSAL, Scope, ScopeReading, scope};
use super::language::text::stem;
use super::wording::{lower_first, plain_words};

/// So many words before a phrase make it a fear or a case that is put.
const UNREAL_REACH: usize = 2;
/// A push for what was refused is not longer.
const PUSH_WORDS_MAX: usize = 9;
/// From this chance on a sentence is very likely a question to the records (no source).
const ASKS_RECORDS: f64 = 0.6;
/// From this one on it is one whatever it sounds like, where no phrase names a danger.
const SURELY_RECORDS: f64 = 0.9;
/// A story of a fault that ends in a question is longer.
const SHORT_WORDS_MAX: usize = 12;
/// Words with a number that name no hazard are not longer.
const FIGURE_WORDS_MAX: usize = 8;
/// A question that asks leave is not longer.
const LEAVE_WORDS_MAX: usize = 32;
/// What the model alone refuses and names no hazard is let pass when it is not longer: a story may
/// tell its danger in words that no list holds.
const HARMLESS_WORDS_MAX: usize = 18;
/// A safety switch that is tied down.
pub const DEFEATED: &str = "interlock_defeated";
/// What nearly happened is answered without a question.
pub const NEAR_MISS: &str = "near_miss";
/// How far people keep.
const PEOPLE_NEAR: &str = "people_near";
/// Glass and the like in the grass.
const MOWN_OVER: &str = "mow_over_litter";
/// Stems of what is on every machine: they name no hazard.
const OF_EVERY_MACHINE: &[&str] = &[
    "rotari", "rotary", "blade", "reel", "deck", "unit", "machin", "machine", "mower", "wheel",
    "engin", "engine", "work",
];
/// Beside those these tell nothing that happened: "just the blades".
#[rustfmt::skip]
const NAMES_NOTHING: &[&str] = &[
    "just", "only", "the", "a", "and", "all", "both", "those", "these", "this", "that", "my", "our",
    "of", "for", "with", "what", "about", "which", "one", "ones", "two", "three", "please", "then",
    "same", "other", "others", "each", "new", "old", "too", "ok", "so",
];
/// "My left hand unit", "my head greenkeeper": no part of a body.
#[rustfmt::skip]
const NO_BODY: &[&str] = &[
    "side", "end", "unit", "units", "reel", "reels", "one", "corner", "edge", "deck", "mower",
    "machine", "greenkeeper", "man", "mechanic", "nine", "brake", "wheel", "roller", "blade",
    "pass", "tyre", "tire", "grip", "throttle", "lever", "cylinder", "bracket", "pivot", "tool",
    "gauge", "grinder", "pin",
];

/// Going on with a reel that was struck.
pub const DAMAGED_REEL: &str = "run_damaged_reel";

/// What was heard of danger.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Danger {
    /// The row that says what to do now.
    pub emergency: Option<String>,
    /// The row by which a machine has to stop first.
    pub stop: Option<String>,
    /// The row that answers whether it may be done.
    pub leave: Option<String>,
    /// It is asked whether work may go on with what is wrong.
    pub running_on: bool,
    /// Something by which somebody could be hurt is named.
    pub hazard: bool,
    /// It is told as over.
    pub over: bool,
    /// What the words sound like as a whole.
    pub sound: Option<Sound>,
}

/// What is said of danger.
pub fn heard(knowledge: &Knowledge, reading: &Reading) -> Danger {
    let found = knowledge.cues(reading);
    let section = |one: &Match| knowledge.intent.sections[one.section].as_str();
    let asks = |id: &str| found.iter().any(|one| section(one).strip_prefix("asks:") == Some(id));
    // Two numbers and more are of a sum: "tips to run twelve thou under the cut".
    let sum = reading.quantities.len() > 1;
    let short = reading.words.len() <= LEAVE_WORDS_MAX && !sum;
    let mut danger = Danger {
        running_on: short && asks("run_on"),
        hazard: asks("hazard"),
        over: asks("over"),
        ..Danger::default()
    };
    let unreal: BTreeSet<usize> = found
        .iter()
        .filter(|one| section(one) == "asks:unreal")
        .map(|one| one.last())
        .collect();
    let asked = short && asks("leave");
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    let way = asks_the_way(&texts.join(" "));
    for one in found {
        let Some(row) = section(one).strip_prefix("safety:").and_then(|id| knowledge.refusal(id))
        else {
            continue;
        };
        if !names_it_so(&row.id, &texts) {
            continue;
        }
        let id = || Some(row.id.clone());
        match row.guard {
            Guard::Emergency if !danger.over && is_told(reading, one, &unreal) => {
                // Oil under the skin looks like nothing, so it goes before any other hurt.
                let of = |id: &str| danger.emergency.as_deref() == Some(id);
                let worse = row.id == "injection" || (row.id == "hand_at_leak" && of(danger_sound::INJURY));
                if danger.emergency.is_none() || worse {
                    danger.emergency = id();
                }
            }
            Guard::Stop if danger.stop.is_none() && is_told(reading, one, &unreal) => {
                danger.stop = id();
            }
            Guard::Leave | Guard::Refuse if asked || row.id == NEAR_MISS => {
                let before = danger.leave.as_ref().and_then(|id| knowledge.refusal(id));
                let rank = |row: &Refusal| answers_more(row, way);
                if before.is_none_or(|before| rank(row) > rank(before)) {
                    danger.leave = id();
                }
            }
            _ => {}
        }
    }
    let ear = knowledge.danger_ear.hear(reading);
    if danger.emergency.as_deref() == Some(danger_sound::INJURY) && danger_sound::is_no_hurt(&ear) {
        danger.emergency = None;
    }
    let sound = danger_sound::of(knowledge, reading, &ear).filter(|_| !names_parts_only(reading));
    // "What if I go 5 mph": few words with a number, and no hazard, put another number in a sum.
    let figure = !reading.quantities.is_empty() && reading.words.len() <= FIGURE_WORDS_MAX;
    let sound = sound.filter(|sound| sound.telling || danger.hazard || !figure);
    // "We mow it with a rotary deck" names nobody who could be near.
    let sound = sound.filter(|sound| sound.row != PEOPLE_NEAR || asks("people"));
    // "How do I set the reel without wrecking the bedknife": a job, whatever it sounds like.
    let refuses = |sound: &Sound| {
        knowledge.refusal(&sound.row).is_some_and(|row| row.guard == Guard::Refuse)
    };
    let sound = sound.filter(|sound| !(refuses(sound) && job_asked::is_plain(knowledge, reading)));
    danger.sound = sound.filter(|sound| {
        let surely = if sound.telling { SURELY_RECORDS } else { ASKS_RECORDS };
        asks_records(knowledge, reading) < surely
    });
    danger_sound::tell(knowledge, &mut danger);
    danger
}

/// "Just the blades", "and the other unit": a part is named, and nothing of it told.
fn names_parts_only(reading: &Reading) -> bool {
    let part = |word: &str| OF_EVERY_MACHINE.contains(&stem(word).as_str());
    let mut words = reading.words.iter().map(|word| word.text.as_str());
    words.all(|word| NAMES_NOTHING.contains(&word) || part(word))
}

/// Of several rows that fit, a refusal goes before what may be done in one way, and what is done
/// before who does it: "are the lads allowed to brush the paste on by hand".
fn answers_more(row: &Refusal, way: bool) -> u8 {
    match row.guard {
        // What nearly happened is told, and no leave is asked.
        _ if row.id == NEAR_MISS => 5,
        // What names the very thing goes before what holds of any switch or guard.
        Guard::Refuse if matches!(row.id.as_str(), "key_is_not_all" | "grind_without_guard") => 4,
        Guard::Refuse => 3,
        // That he is alone says more than that he learns.
        _ if row.id == "learner_at_blade" => 0,
        _ if matches!(row.id.as_str(), "learner_alone" | "alone_at_work") => 1,
        // What is needed for the job is more than what holds it up.
        _ if way && matches!(row.id.as_str(), "on_a_jack" | "on_its_latch" | "gloves") => 1,
        _ => 2,
    }
}

/// How likely it is a question to the records, which hurts nobody.
fn asks_records(knowledge: &Knowledge, reading: &Reading) -> f64 {
    knowledge.purpose_ear.hear(reading).chance(ASKED_ANY)
}

/// Whether the words tell how things are, and ask for nothing.
fn is_fact(reading: &Reading) -> bool {
    const ASKS: &[&str] = &[
        "what", "how", "where", "which", "who", "why", "can", "could", "should", "need", "want",
        "best", "way", "tell", "show", "help", "let", "please", "may", "would", "will", "ok",
    ];
    const IS: &[&str] =
        &["has", "have", "had", "is", "are", "was", "were", "been", "keep", "keeps", "got"];
    let says = |list: &[&str]| reading.words.iter().any(|word| list.contains(&word.text.as_str()));
    says(IS) && !says(ASKS)
}

/// Whether the words name what the row is about, where its stem alone may be of another thing.
fn names_it_so(row: &str, texts: &[&str]) -> bool {
    const EYES: &[&str] = &[
        "goggles", "glasses", "shield", "faceshield", "visor", "specs", "protection", "eyewear", "eye", "guard",
    ];
    /// Picked up already, or gone round.
    const CLEARED: &[&str] = &[
        "picked", "cleared", "lifted", "removed", "gone", "round", "around", "path", "pine", "marks", "leaf",
    ];
    let says = |list: &[&str]| texts.iter().any(|word| list.contains(word));
    match row {
        "glasses_and_shield" => says(EYES),
        MOWN_OVER => !says(CLEARED),
        _ => true,
    }
}

/// "Only when it's driven, spins fine by hand": how it turns is told, and no leave is asked.
pub fn tells_how_it_turns(words: &str) -> bool {
    let said = plain_words(words);
    let texts: Vec<&str> = said.iter().map(String::as_str).collect();
    turns_told(&texts)
}

fn turns_told(texts: &[&str]) -> bool {
    const TURNS: &[&str] = &["spins", "turns", "rolls", "moves", "rotates", "runs", "goes", "spun", "turned"];
    const HOW: &[&str] = &[
        "fine", "free", "freely", "ok", "okay", "easy", "easily", "smooth", "smoothly", "nice", "nicely",
        "lovely", "well", "true", "stiff", "stiffly", "tight", "rough", "hard", "quiet", "quietly",
        "silent", "alright", "right", "perfectly", "sweet", "sweetly",
    ];
    const ASKS: &[&str] = &["can", "could", "may", "should", "shall", "let", "how", "safe", "allowed", "if"];
    // With a person that turns it while it is driven it is none.
    const RUNNING: &[&str] = &["while", "whilst", "with", "hold", "holding", "stop", "stopping"];
    // Another thing that is done to it has its own answer.
    const DONE: &[&str] = &[
        "finger", "fingers", "foot", "boot", "hands", "guard", "switch", "key", "engine", "engine's", "under",
        "jack", "hydraulics", "bar", "isolate", "paste", "glove", "gloves", "off", "jams", "feed", "i", "he",
    ];
    let at = texts.iter().position(|word| TURNS.contains(word));
    let near = at.map_or(&[][..], |at| &texts[at + 1..texts.len().min(at + 6)]);
    let by_hand = near.windows(2).any(|pair| pair[0] == "by" && pair[1] == "hand");
    let how = near.iter().take(3).any(|word| HOW.contains(word));
    // "With no drag" runs nothing.
    let nothing = |at: usize| {
        texts[at] == "with" && texts.get(at + 1).is_some_and(|next| matches!(*next, "no" | "little" | "hardly"))
    };
    let other = |at: usize| {
        let word = texts[at];
        ASKS.contains(&word) || (RUNNING.contains(&word) && !nothing(at)) || DONE.contains(&word)
    };
    by_hand && how && !(0..texts.len()).any(other)
}

/// Whether it has happened, and not to a part of a machine.
fn is_told(reading: &Reading, found: &Match, unreal: &BTreeSet<usize>) -> bool {
    let words = &reading.words;
    let (first, last) = (found.first(), found.last());
    let near = |at: &usize| {
        let before = *at < first && first - *at <= UNREAL_REACH;
        let inside = *at > first && *at < last && !found.words.contains(at);
        (before || inside) && words[*at].segment == words[first].segment
    };
    let of_machine = found.words.iter().any(|at| {
        let hand = matches!(words[*at].text.as_str(), "hand" | "head" | "arm" | "foot" | "finger");
        let next = words.get(at + 1).filter(|next| next.segment == words[*at].segment);
        hand && next.is_some_and(|next| NO_BODY.contains(&next.text.as_str()))
    });
    let denied = assertion(words, &found.words, true) == Assertion::Denied;
    !of_machine && !denied && !unreal.iter().any(near)
}

/// The scope of what was said, with what is dangerous in it.
pub fn judged(
    knowledge: &Knowledge,
    reading: &Reading,
    hearing: &Hearing,
) -> (ScopeReading, Danger) {
    let (mut judged, danger) = judged_as_said(knowledge, reading, hearing);
    let said = matches!(judged.scope, Scope::Unsafe(_));
    let work = if said { None } else { worn_for(reading) };
    if let Some(work) = work.map(|work| knowledge.ear.read(&work)) {
        let (of_work, named) = judged_as_said(knowledge, &work, &knowledge.ear.hear(&work));
        let refused = matches!(&of_work.scope, Scope::Unsafe(id) if id != GENERAL_REFUSAL);
        if refused && named.hazard {
            judged.scope = of_work.scope;
        }
    }
    (judged, danger)
}

/// "What does he wear to reach into it": the work, as if leave were asked for it.
fn worn_for(reading: &Reading) -> Option<String> {
    const WEARS: &[&str] = &["wear", "wearing", "worn"];
    const FOR: &[&str] = &["to", "when", "while", "if", "for"];
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    let worn = texts.iter().position(|word| WEARS.contains(word))?;
    let work = texts[worn + 1..].split_first().filter(|(first, _)| FOR.contains(first))?.1;
    (work.len() > 1).then(|| format!("can i {}", work.join(" ")))
}

fn judged_as_said(
    knowledge: &Knowledge,
    reading: &Reading,
    hearing: &Hearing,
) -> (ScopeReading, Danger) {
    let mut judged = scope(&knowledge.ear, &knowledge.scope_ear, reading, hearing);
    let mut danger = heard(knowledge, reading);
    let findings = hearing.heard.iter().filter(|heard| heard.present).count();
    if let Some(id) = &danger.emergency {
        judged.scope = Scope::Unsafe(id.clone());
        return (judged, danger);
    }
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    if turns_told(&texts) && danger.stop.is_none() {
        if matches!(judged.scope, Scope::Unsafe(_)) {
            let signs = hearing.heard.is_empty();
            judged.scope = if signs { Scope::TooVague } else { Scope::Answer };
        }
        danger.leave = None;
        return (judged, danger);
    }
    if names_a_grind(&texts) && danger.stop.is_none() {
        judged.scope = Scope::TooVague;
        danger.leave = None;
        return (judged, danger);
    }
    // What a fault does to the cut is told with more than one sign; leave is asked with none.
    if findings > 1 {
        danger.leave = None;
    }
    let short = reading.words.len() <= SHORT_WORDS_MAX;
    let asks = short && reading.tokens.iter().any(|token| token.text == "?");
    let asks = asks || asks_leave(knowledge, reading);
    // A fault is told with it, and nothing asked: it has to stop, and is looked into.
    match findings > 0 && !asks {
        true => danger_sound::tell_with_fault(knowledge, &mut danger),
        false => danger_sound::add(knowledge, &mut judged, &mut danger),
    }
    let by_model = judged.scope == Scope::Unsafe(GENERAL_REFUSAL.to_owned());
    let by_phrase = matches!(judged.scope, Scope::Unsafe(_)) && !by_model;
    let row = danger.leave.as_ref().and_then(|id| knowledge.refusal(id));
    // Of two refusals the one that answers the very question: gloves, and not only hands.
    let refuses = row.is_some_and(|row| row.guard == Guard::Refuse);
    // "A 16 year old lad" drives or grinds, and is carried by nobody.
    let young = danger.leave.as_deref() == Some("young_at_grinder")
        && judged.scope == Scope::Unsafe("ride_passenger_or_child".to_owned());
    if young {
        judged.scope = Scope::TooVague;
        return (judged, danger);
    }
    if by_phrase && !refuses {
        danger.leave = None;
        return (judged, danger);
    }
    let records = || asks_records(knowledge, reading) >= ASKS_RECORDS;
    let short = reading.words.len() <= HARMLESS_WORDS_MAX;
    match row.map(|row| row.guard) {
        Some(Guard::Refuse) => {
            judged.scope = Scope::Unsafe(danger.leave.take().unwrap_or_default());
        }
        Some(_) if by_model => judged.scope = Scope::TooVague,
        // That it was done is told: it has to stop, and nothing was asked for.
        None if by_model && danger.stop.as_deref() == Some(DEFEATED) && is_fact(reading) => {
            judged.scope = Scope::TooVague;
        }
        // "How many hours till it wants grinding": a number is asked for, and no leave.
        None if by_model && asks_an_amount(reading) => judged.scope = Scope::TooVague,
        None if by_model && job_asked::is_plain(knowledge, reading) => {
            judged.scope = Scope::TooVague;
        }
        // The model alone takes much for unsafe that names nothing to be hurt by.
        None if by_model && !danger.hazard && (short || records()) => {
            judged.scope = if findings > 0 { Scope::Answer } else { Scope::TooVague };
        }
        _ => {}
    }
    (judged, danger)
}

/// "Should I relief grind or just spin grind": leave for a job by its name, and nothing in it of a
/// hand, a guard or what runs.
fn names_a_grind(texts: &[&str]) -> bool {
    const WORDS: &[&str] = &[
        "should", "i", "we", "you", "or", "and", "just", "only", "the", "a", "all", "both", "my", "our", "on",
        "spin", "relief", "back", "grind", "grinding", "lap", "backlap", "touch", "up", "face", "do", "better",
        "to", "is", "it", "best", "first", "then", "also", "ever", "still", "every", "time", "year", "winter",
        "season", "month", "week", "as", "well", "instead", "need", "have", "it's", "of", "rather", "than",
        "reel", "reels", "cylinder", "cylinders", "bedknife", "greens", "green", "fairway", "tees", "units",
        "unit", "for", "this", "these", "them", "can", "walker", "walkers", "triplex", "this",
    ];
    let known = |word: &&str| WORDS.contains(word) || word.chars().all(|ch| ch.is_ascii_digit());
    let spin = texts.windows(2).any(|two| two[0] == "spin" && two[1].starts_with("grind"));
    spin && texts.iter().all(known)
}

/// What is said of safety by this row: the answer, and the cautions that go with it.
pub fn told(knowledge: &Knowledge, id: &str, words: &str) -> (String, Vec<String>) {
    let own = (id == GENERAL_REFUSAL).then(|| {
        nearest(knowledge, words).or_else(|| of_hazard(knowledge, &knowledge.ear.read(words)))
    });
    let row = own.flatten().or_else(|| knowledge.refusal(id));
    let row = row.or_else(|| knowledge.refusal(GENERAL_REFUSAL));
    let Some(row) = row else {
        let text = "No: that would hurt someone. Stop the machine and isolate it before any hand \
                    goes near.";
        return (text.to_owned(), Vec::new());
    };
    let text = match asks_the_way(words) || is_bare_handed(row, words) {
        // Who asks what is needed first, or how it is done, has asked for no leave.
        true => row.safe_way.clone(),
        false => answer_to(row, words),
    };
    if let Some(repair) = repaired(knowledge, row, words) {
        return (answer_to(repair, words), repair.cautions.clone());
    }
    if let Some(reel) = of_a_reel(knowledge, row, words) {
        return (answer_to(reel, words), reel.cautions.clone());
    }
    if let Some((worse, other)) = refused_beside(knowledge, row, words) {
        return both_refused(worse, other);
    }
    (also_worn(knowledge, row, words, text), row.cautions.clone())
}

/// "It's got a crack, can I weld it": what would be done to a damaged blade, and not that it would be run.
fn repaired<'a>(knowledge: &'a Knowledge, row: &Refusal, words: &str) -> Option<&'a Refusal> {
    const REPAIRS: &[&str] = &["weld", "braze", "solder", "straighten", "hammer", "heat"];
    const BENT_BACK: &[&str] = &["knock", "bend", "beat", "tap", "bash", "whack"];
    const OTHERS: &[&str] = &["wheel", "stone", "disc"];
    let stems: Vec<String> = words
        .split(|ch: char| !ch.is_alphanumeric())
        .map(|word| stem(&word.to_lowercase()))
        .collect();
    // The text of it is of rotary blades.
    const OTHER_BLADES: &[&str] = &["reel", "cylinder"];
    const OBJECTS: &[&str] = &["it", "them", "that", "this", "blade", "crack", "chip", "bend"];
    let says = |list: &[&str]| list.iter().any(|word| stems.contains(&stem(word)));
    let blade = says(&["blade", "blades"]) && !says(OTHERS) && !says(OTHER_BLADES);
    let is = |list: &[&str], word: &String| list.iter().any(|one| stem(one) == *word);
    let mended = (0..stems.len()).filter(|at| is(REPAIRS, &stems[*at])).any(|at| {
        let behind = stems[at + 1..].iter().take(2).any(|word| is(OBJECTS, word));
        behind || at.checked_sub(1).is_some_and(|before| stems[before] == "be")
    });
    // "Can I just knock it straight".
    let straight = (0..stems.len()).filter(|at| is(BENT_BACK, &stems[*at])).any(|at| {
        stems[at + 1..].iter().take(3).any(|word| is(&["straight", "true"], word))
    });
    let repair = row.id == "run_damaged_wheel_or_blade" && blade && (mended || straight);
    repair.then(|| knowledge.refusal("straighten_or_weld_blade")).flatten()
}

/// "There's a nick in the reel, can he carry on": what holds of a reel, and not of wheels and rotary
/// blades.
fn of_a_reel<'a>(knowledge: &'a Knowledge, row: &Refusal, words: &str) -> Option<&'a Refusal> {
    const REELS: &[&str] = &[
        "reel", "reels", "cylinder", "cylinders", "bedknife", "bedknives",
    ];
    const OTHERS: &[&str] = &[
        "rotary", "rotaries", "deck", "decks", "wheel", "wheels", "stone", "disc", "grinder", "spindle", "tip", "tips",
        "grind", "grinding", "abrasive", "cbn", "diamond", "flail", "flails", "mulching", "mulcher", "turn", "wing",
    ];
    let lower = words.to_lowercase();
    let said: Vec<&str> = lower.split(|ch: char| !ch.is_alphanumeric()).collect();
    let says = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let reel = row.id == "run_damaged_wheel_or_blade" && says(REELS) && !says(OTHERS);
    reel.then(|| knowledge.refusal(DAMAGED_REEL)).flatten()
}

/// "With the guard off and clear it with his hand", "and a short brush": of two that are refused the
/// hand, which is worse, and the guard.
fn refused_beside<'a>(
    knowledge: &'a Knowledge,
    row: &'a Refusal,
    words: &str,
) -> Option<(&'a Refusal, &'a Refusal)> {
    const OF_THE_GUARD: &[&str] = &["remove_guard", "run_without_guard", "defeat_interlock"];
    const OFF: &[&str] = &["off", "without", "no", "removed", "missing", "open"];
    let reading = knowledge.ear.read(words);
    let found = knowledge.cues(&reading);
    let says = |id: &str| found.iter().any(|one| knowledge.intent.sections[one.section] == id);
    let by_brush = says("safety:lap_by_hand");
    let off = || reading.words.iter().any(|word| OFF.contains(&word.text.as_str()));
    if row.id == "lap_by_hand" && says("asks:hazard_remove_guard") && off() {
        return Some((row, knowledge.refusal("remove_guard")?));
    }
    let hand = OF_THE_GUARD.contains(&row.id.as_str()) && (by_brush || says("asks:cleared_by_hand"));
    let lapped = by_brush || says("asks:hazard_lap_by_hand");
    let id = if lapped { "lap_by_hand" } else { "reach_into_moving_reel" };
    hand.then(|| Some((knowledge.refusal(id)?, row))).flatten()
}

/// "Ok to lap without gloves": gloves off is the rule itself, and no leave is refused.
fn is_bare_handed(row: &Refusal, words: &str) -> bool {
    const OFF: &[&str] = &["without gloves", "no gloves", "gloves off", "without my gloves", "without any gloves"];
    let lower = words.to_lowercase();
    row.id == "gloves_near_driven" && OFF.iter().any(|part| lower.contains(part))
}

/// Both are refused, the worse first; of the other the sentence that holds anywhere.
fn both_refused(worse: &Refusal, other: &Refusal) -> (String, Vec<String>) {
    let first = other.safe_way.split_inclusive(". ").next().unwrap_or_default().trim_end();
    let (one, two) = (lower_first(&worse.title), lower_first(&other.title));
    let text = format!("No to both: {one}, and {two}. {} {first}", worse.safe_way);
    let mut cautions = worse.cautions.clone();
    let more = other.cautions.iter().filter(|id| !worse.cautions.contains(id));
    cautions.extend(more.cloned());
    (text, cautions)
}

/// "Specs and gloves for lapping?": what else is worn and was asked about is answered too.
fn also_worn(knowledge: &Knowledge, row: &Refusal, words: &str, text: String) -> String {
    let found = knowledge.intent.find(&knowledge.ear.read(words).words);
    let ids = found.iter().filter_map(|one| {
        knowledge.intent.sections[one.section].strip_prefix("safety:")
    });
    let worn: BTreeSet<&str> = ids.filter(|id| danger_sound::WORN.contains(id)).collect();
    let gloves = |id: &str| id.starts_with("gloves");
    // "Broken glass" is nothing to wear, though its stem is that of glasses.
    let glass = |id: &str| id == "glasses_and_shield" && row.id == MOWN_OVER;
    let others = worn
        .into_iter()
        .filter(|id| *id != row.id && !(gloves(id) && gloves(&row.id)) && !glass(id));
    others.filter_map(|id| knowledge.refusal(id)).fold(text, |text, other| {
        format!("{text} {}: {}", other.title, lower_first(&other.safe_way))
    })
}

/// Whether a refusal is of a danger that the words name, and not only of how they sound as a whole.
pub fn is_named(knowledge: &Knowledge, id: &str, words: &str) -> bool {
    let hazard = || of_hazard(knowledge, &knowledge.ear.read(words));
    let named = || nearest(knowledge, words).or_else(hazard).is_some();
    id != GENERAL_REFUSAL || named()
}

/// Whether only an amount or a time is asked for, of nothing that a body comes near.
fn asks_an_amount(reading: &Reading) -> bool {
    const AMOUNTS: &[&[&str]] = &[
        &["how", "many", "hours"], &["how", "many", "hrs"], &["how", "many", "h"],
        &["how", "many", "minutes"], &["how", "many", "mins"], &["how", "many", "days"],
        &["how", "many", "weeks"], &["how", "many", "times"], &["what", "hours"],
        &["when", "is"], &["when", "will"], &["when", "was"], &["when", "does"],
    ];
    const NEAR: &[&str] = &[
        "hand", "hands", "finger", "fingers", "guard", "guards", "switch", "without", "off", "under",
        "alone", "running", "can", "may", "drunk", "tired", "cracked", "bent", "child", "kid",
    ];
    let words: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    let amount = AMOUNTS.iter().any(|asked| words.windows(asked.len()).any(|part| part == *asked));
    amount && !words.iter().any(|word| NEAR.contains(word))
}

/// The words of a row to what was asked: what is asked as enough gets no yes while more is needed.
pub fn answer_to(row: &Refusal, words: &str) -> String {
    const ENOUGH: &[&str] = &[
        "enough", "sufficient", "will that do", "will do", "would do", "all i need", "all we need",
        "all he needs", "all they need", "need more", "more than that", "anything else", "or do i need",
        "or do they need", "just the", "only the", "with just", "with only", "is that it",
    ];
    let text = answer(row);
    let lower = words.to_lowercase();
    let rest = text.strip_prefix("Yes").filter(|_| ENOUGH.iter().any(|part| lower.contains(part)));
    let Some(rest) = rest else { return text };
    match rest.trim_start_matches([',', ':', ' ']) {
        rest if rest.starts_with("if ") => format!("Not by that alone, only {rest}"),
        rest => format!("That alone is not enough: {rest}"),
    }
}

/// Whether the words ask how it is done rather than whether it may be.
pub fn asks_the_way(words: &str) -> bool {
    const WAYS: &[&str] = &[
        "what do i need", "what do we need", "need first", "what first", "what do i do first",
        "safest way", "safe way", "proper way", "right way", "how should", "what should the rule",
        "what is the rule", "what's the rule", "whats the rule",
    ];
    let lower = words.to_lowercase();
    WAYS.iter().any(|way| lower.contains(way))
}

/// The refusal of the first thing named by which somebody could be hurt.
fn of_hazard<'a>(knowledge: &'a Knowledge, reading: &Reading) -> Option<&'a Refusal> {
    let rows = knowledge.cues(reading).iter().filter_map(|one| {
        let id = knowledge.intent.sections[one.section].strip_prefix("asks:hazard_")?;
        Some((one.section, knowledge.refusal(id)?))
    });
    // As they stand in the file: the more telling first.
    rows.min_by_key(|(section, _)| *section).map(|(_, row)| row)
}

/// Whether anything of danger is in the words: told, asked or refused, or only something named by
/// which somebody could be hurt. What cuts words down, or answers a part of them, asks this of the
/// whole first.
pub fn is_any(knowledge: &Knowledge, words: &str) -> bool {
    let (judged, danger) = of_words(knowledge, words);
    danger.hazard || is_answered(&judged, &danger)
}

/// Whether the words are answered by what is said of safety, alone or before anything else.
pub fn is_judged(knowledge: &Knowledge, words: &str) -> bool {
    let (judged, danger) = of_words(knowledge, words);
    is_answered(&judged, &danger)
}

fn is_answered(judged: &ScopeReading, danger: &Danger) -> bool {
    matches!(judged.scope, Scope::Unsafe(_))
        || [&danger.emergency, &danger.stop, &danger.leave].iter().any(|row| row.is_some())
}

fn of_words(knowledge: &Knowledge, words: &str) -> (ScopeReading, Danger) {
    let reading = knowledge.ear.read(words);
    self::judged(knowledge, &reading, &knowledge.ear.hear(&reading))
}

/// Whether the words ask if work may go on.
pub fn asks_to_run_on(knowledge: &Knowledge, words: &str) -> bool {
    heard(knowledge, &knowledge.ear.read(words)).running_on
}

/// Whether the words only ask to go on with what was told before: refused by the model alone.
pub fn only_goes_on(knowledge: &Knowledge, words: &str) -> bool {
    let (judged, danger) = of_words(knowledge, words);
    danger.running_on && judged.scope == Scope::Unsafe(GENERAL_REFUSAL.to_owned())
}

/// "So can I use it for the last strip, then fix it": what was refused, for a while yet, and nothing
/// that is judged by itself.
pub fn asks_to_go_on(knowledge: &Knowledge, words: &str) -> bool {
    const LEADS: &[&str] = &["so", "ok", "okay", "but", "then", "and", "well"];
    const MAY: &[&str] = &["can", "could", "may"];
    const WHO: &[&str] = &["i", "we", "he", "she", "they", "you", "it"];
    const GOES_ON: &[&str] = &["use", "run", "keep", "finish", "mow", "cut"];
    const AS_IT_IS: &[&str] = &[
        "it", "this", "that", "her", "them", "for", "the", "last", "few", "next", "strip", "strips", "hole", "holes",
        "green", "greens", "bit", "rest", "of", "day", "today", "morning", "round", "one", "two", "more", "just", "then",
        "fix", "mend", "sort", "after", "till", "until", "i", "we", "tonight", "tomorrow", "on", "going", "like", "now",
    ];
    let said = plain_words(words);
    let texts = said.iter().map(String::as_str);
    let texts: Vec<&str> = texts.skip_while(|word| LEADS.contains(word)).collect();
    let [may, who, goes_on, rest @ ..] = &texts[..] else { return false };
    let asks = MAY.contains(may) && WHO.contains(who) && GOES_ON.contains(goes_on);
    if !asks || !rest.iter().all(|word| AS_IT_IS.contains(word)) {
        return false;
    }
    let (judged, danger) = of_words(knowledge, words);
    judged.scope == Scope::Unsafe(GENERAL_REFUSAL.to_owned()) || !is_answered(&judged, &danger)
}

/// What follows for somebody who was hurt, or nearly, as it is asked now.
pub fn after_hurt<'a>(knowledge: &'a Knowledge, words: &str) -> Option<&'a Refusal> {
    const PEOPLE: &[&str] = &[
        "he", "she", "him", "her", "they", "them", "lad", "apprentice", "trainee", "operator",
        "driver", "man", "i", "me", "boy", "girl", "his",
    ];
    let reading = knowledge.ear.read(words);
    let found = knowledge.cues(&reading);
    let says = |id: &str| {
        found.iter().any(|one| {
            knowledge.intent.sections[one.section].strip_prefix("asks:after_") == Some(id)
        })
    };
    let person = reading.words.iter().any(|word| PEOPLE.contains(&word.text.as_str()));
    let id = match () {
        () if says("report_it") => "report_it",
        () if says("prevent") => NEAR_MISS,
        () if says("carry_on_hurt") && person => "carry_on_hurt",
        () => return None,
    };
    knowledge.refusal(id)
}

/// The words of a row.
pub fn answer(row: &Refusal) -> String {
    match row.guard {
        Guard::Refuse => format!("No: {}. {}", lower_first(&row.title), row.safe_way),
        Guard::Emergency | Guard::Stop | Guard::Leave => row.safe_way.clone(),
    }
}

/// How work that is told was done wrongly: what hurts is named, and a phrase or the sound says how.
/// `danger`: what was heard of it in these words.
pub fn done_wrongly<'a>(
    knowledge: &'a Knowledge,
    reading: &Reading,
    danger: &Danger,
) -> Option<&'a Refusal> {
    of_hazard(knowledge, reading)?;
    let of_the_deed = |reading: &Reading| {
        let own = knowledge.cues(reading).iter().filter(|one| is_of_one_deed(reading, one));
        own.into_iter().find_map(|one: &Match| {
            knowledge.refusal(knowledge.intent.sections[one.section].strip_prefix("safety:")?)
        })
    };
    // "Set it, then ran it from the seat": what was done next is judged by itself.
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    if let Some(then) = texts.iter().rposition(|word| matches!(*word, "then" | "afterwards")) {
        let parts = [&texts[..then], &texts[then + 1..]];
        let wrong = |part: &[&str]| of_the_deed(&knowledge.ear.read(&part.join(" ")));
        return parts.into_iter().find_map(wrong).filter(|row| row.guard == Guard::Refuse);
    }
    let by_phrase = of_the_deed(reading);
    let sound = danger.sound.as_ref().filter(|sound| sound.sure || sound.telling);
    let by_sound = || knowledge.refusal(&sound?.row);
    by_phrase.or_else(by_sound).filter(|row| row.guard == Guard::Refuse)
}

/// "Cleaned it, it knocks with the engine running": behind the comma a sign is told, and not how it was
/// done.
fn is_of_one_deed(reading: &Reading, found: &Match) -> bool {
    const HOW: &[&str] = &["with", "while", "whilst", "engine", "motor", "without", "by", "under", "no"];
    let words = &reading.words;
    let own = words[found.first()].segment;
    let behind = words[found.first()..=found.last()].iter().find(|word| word.segment != own);
    behind.is_none_or(|word| HOW.contains(&word.text.as_str()))
}

/// The refusal whose title shares most words with what was asked, two at least: a refusal by the
/// model alone names its own hazard where it can.
fn nearest<'a>(knowledge: &'a Knowledge, words: &str) -> Option<&'a Refusal> {
    let small = &knowledge.ear.small_words;
    let stems = |text: &str| -> BTreeSet<String> {
        let words = text.split(|ch: char| !ch.is_alphanumeric()).filter(|word| word.len() > 2);
        words.map(|word| stem(&word.to_lowercase())).filter(|one| !small.contains(one)).collect()
    };
    let mut said = stems(words);
    said.retain(|word| !OF_EVERY_MACHINE.contains(&word.as_str()));
    let shared = |row: &&Refusal| stems(&row.title).intersection(&said).count();
    let rows = knowledge.refusals.iter().filter(|row| row.guard == Guard::Refuse);
    rows.max_by_key(shared).filter(|row| shared(row) >= 2)
}

/// Whether leave or a way is asked.
pub fn asks_leave(knowledge: &Knowledge, reading: &Reading) -> bool {
    let found = knowledge.cues(reading);
    found.iter().any(|one| knowledge.intent.sections[one.section] == "asks:leave")
}

/// The row that words come to beside those said before, by a phrase that holds some of the new
/// words.
pub fn told_with<'a>(knowledge: &'a Knowledge, before: &str, words: &str) -> Option<&'a Refusal> {
    let rows: Vec<&Refusal> = told_over(knowledge, before, words).collect();
    let of = |guard: Guard| rows.iter().position(|row| row.guard == guard);
    // What is refused goes before how a thing may be done.
    of(Guard::Refuse).or_else(|| of(Guard::Leave)).map(|at| rows[at])
}

/// What must be done now by both together and by neither alone: "the deck shakes", "since they hit a
/// root".
pub fn arises<'a>(knowledge: &'a Knowledge, before: &str, words: &str) -> Option<&'a Refusal> {
    let told = |text: &str| heard(knowledge, &knowledge.ear.read(text));
    let (said, own) = (told(before), told(words));
    let sure = |id: &String| id != danger_sound::INJURY;
    if own.emergency.as_ref().is_some_and(sure) {
        return None;
    }
    let both = told(&over(before, words));
    // Worse than what was told before goes before it.
    if said.emergency.is_some() && said.emergency == both.emergency {
        return None;
    }
    // Oil under the skin looks like nothing; another hurt is told at once.
    let oil = both.emergency.filter(|id| matches!(id.as_str(), "injection" | "hand_at_leak"));
    let stop = both.stop.filter(|_| said.stop.is_none() && own.stop.is_none());
    let id = oil.or(stop)?;
    told_over(knowledge, before, words).find(|row| row.id == id)
}

/// Both, with no sign between them: a phrase may lie over both.
fn over(before: &str, words: &str) -> String {
    format!("{} {words}", before.trim_end_matches(['?', '.', '!', ',', ' ']))
}

/// The rows that words tell of together with those before them.
fn told_over<'a>(
    knowledge: &'a Knowledge,
    before: &str,
    words: &str,
) -> impl Iterator<Item = &'a Refusal> {
    let from = knowledge.ear.read(before).words.len();
    let reading = knowledge.ear.read(&over(before, words));
    let found = knowledge.intent.find(&reading.words);
    let new = found.into_iter().filter(move |one| {
        let of_new = |at: &usize| *at >= from;
        one.words.iter().any(of_new)
    });
    let rows = new.filter_map(move |one| {
        let section = knowledge.intent.sections[one.section].as_str();
        knowledge.refusal(section.strip_prefix("safety:")?)
    });
    rows
}

/// Whether the words only push for what was refused: "why not", "just for a second".
pub fn pushes(knowledge: &Knowledge, words: &str) -> bool {
    let reading = knowledge.ear.read(words);
    let found = knowledge.cues(&reading);
    let push = found.iter().any(|one| knowledge.intent.sections[one.section] == "asks:push");
    let signs = knowledge.ear.hear(&reading).heard.len();
    push && signs == 0 && reading.words.len() <= PUSH_WORDS_MAX && reading.quantities.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_it_turns_by_hand_is_told() {
        for (words, wanted) in [
            ("only when its driven spins fine by hand", true),
            ("the reel turns freely by hand", true),
            ("it spins stiff by hand", true),
            ("it turns free by hand with no drag", true),
            ("it turns free by hand with no guard", false),
            ("it turns free by hand with the drive in", false),
            ("he turns it by hand while it runs", false),
            ("can i spin it by hand if it turns easy", false),
            ("he spins the reel by hand", false),
        ] {
            let texts: Vec<&str> = words.split(' ').collect();
            assert_eq!(turns_told(&texts), wanted, "{words}");
        }
    }
}
