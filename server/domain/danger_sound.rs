//! What danger do words sound like as a whole, where no phrase names it?
//!
//! The bounds were chosen on an author whom the model had not met. Of 374 dangerous sentences of
//! another, whom nobody has read, phrases answer 52 in 100 and 32 by the right row; with this it is
//! 88 and 80. Of 132 harmless ones 3 are taken for dangerous, as before.
//! Deliberately absent: the phrases, and what is answered (`danger`).

use super::catalogue::{Guard, Knowledge, Refusal};
use super::danger::Danger;
use super::language::dangers::Heard;
use super::language::hearing::Reading;
use super::language::scope::{GENERAL_REFUSAL, Scope, ScopeReading};

/// From this chance of any danger on, a row is believed from [`LIKELY_ROW`] on.
const LIKELY: f64 = 0.5;
const LIKELY_ROW: f64 = 0.05;
/// From this chance on a row is believed by itself, unless danger is less likely than this.
const DOUBTED: f64 = 0.3;
const TELLING_ROW: f64 = 0.2;
/// Somebody is hurt.
pub const INJURY: &str = "injury";
/// Of 16 hurts that the model had not met none was less likely than 0.24; what phrases took for one
/// was below 0.01.
const NO_HURT: f64 = 0.02;
/// A story is longer.
const STORY_WORDS_MIN: usize = 18;
/// From this chance on it goes before what a phrase says: of 36 where both differ it is right in
/// 34.
const SURE_ROW: f64 = 0.4;

/// What oil under pressure comes out of.
const LEAKS: &[&str] =
    &["oil", "fluid", "leak", "hose", "pipe", "hydraul", "jet", "spray", "line", "fit"];

/// Stems of who may have been touched by it, and of how.
const TOUCHED: &[&str] = &[
    "i", "me", "he", "him", "she", "her", "we", "us", "they", "them", "my", "his", "their", "lad", "lass", "mate", "man", "gui",
    "guy", "somebodi", "somebody", "someon", "someone", "anybodi", "anyon", "apprentic", "traine", "operator", "oper", "driver",
    "mechan", "student", "inject", "hit", "sprai", "spray", "squirt", "soak", "stung", "sting", "jab", "prick", "got",
    "burst", "puncture", "punctur", "pierc", "jet", "poke", "wound", "doctor", "swell", "swollen", "touch", "felt",
];

/// Rows of what is worn, which phrases name by the thing itself.
pub const WORN: &[&str] = &["gloves", "glasses_and_shield", "dust_mask", "hearing"];
/// Stems of a body, and of what is done to it.
const BODY: &[&str] = &[
    "hand", "finger", "thumb", "ey", "eye", "foot", "feet", "leg", "arm", "toe", "knuckl", "wrist",
    "face", "head", "skin", "palm", "nail", "lip", "back", "shoulder", "knee", "ankl", "hair",
    "sleev", "blood", "bleed", "hurt", "injur", "crush", "stitch", "faint", "shock", "himself",
    "herself", "myself", "hospit", "fingertip", "shin", "chest", "neck", "ear", "teeth", "burn",
    "boot", "trouser", "lace", "cuff", "cloth",
];
/// A part came off a machine.
const CAME_OFF: &str = "came_off";
/// What is done to a part that was taken off for it.
#[rustfmt::skip]
const DONE_TO_IT: &[&str] = &[
    "done", "did", "ground", "sharpened", "lapped", "backlapped", "balanced", "cleaned", "greased", "faced",
    "filed", "dressed", "fitted", "changed", "swapped", "replaced", "straightened", "painted", "checked",
];
/// What a question begins with: a case that is put, and nothing that happened.
const ASKING: &[&str] = &[
    "how", "will", "would", "can", "could", "what", "is", "are", "do", "doe", "does", "why", "should",
    "shall", "may", "if", "when", "who", "which",
];

/// A row that words sound like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sound {
    pub row: String,
    /// Likely enough by itself.
    pub telling: bool,
    pub sure: bool,
}

/// What words sound like, if it is to be believed.
pub fn of(knowledge: &Knowledge, reading: &Reading, heard: &Heard) -> Option<Sound> {
    let (id, chance) = heard.likeliest()?;
    let row = knowledge.refusal(id)?;
    let (any, sure) = (heard.any >= LIKELY, chance >= SURE_ROW);
    let telling = chance >= TELLING_ROW && (sure || heard.any >= DOUBTED);
    let likely = any && chance >= LIKELY_ROW && row.guard != Guard::Emergency;
    // A long story names much in passing.
    let long = reading.words.len() > STORY_WORDS_MIN;
    let of_what_happened = row.guard == Guard::Emergency || id == CAME_OFF;
    let told = !of_what_happened || is_told(id, reading);
    let believed = told && if long { any && telling } else { likely || telling };
    believed.then(|| Sound { row: row.id.clone(), telling, sure })
}

/// Whether somebody is hurt, or nearly, by what the words name: "a stone hit the bedknife" is none.
fn is_told(emergency: &str, reading: &Reading) -> bool {
    let stems = reading.stems();
    let names = |list: &[&str]| stems.iter().any(|stem| list.contains(stem));
    let asks = stems.first().is_some_and(|first| ASKING.contains(first));
    match emergency {
        // "The hydraulic hose leaks oil" touched nobody.
        "injection" | "hand_at_leak" => names(LEAKS) && !asks && (names(BODY) || names(TOUCHED)),
        INJURY => names(BODY) && !asks,
        // "Blades done while it was off": nothing came off.
        CAME_OFF => (!asks || has_come_off(reading)) && !is_work_while_off(reading),
        _ => !asks,
    }
}

/// "A blade has come off", "it flew off": told, whatever is asked beside it.
fn has_come_off(reading: &Reading) -> bool {
    const CAME: &[&str] = &["come", "came", "flown", "flew", "fallen", "fell", "spun", "shot", "ripped"];
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    texts.windows(2).any(|pair| CAME.contains(&pair[0]) && matches!(pair[1], "off" | "out" | "loose"))
}

/// "Blades done while it was off": work is told of what was off for it, and nothing that came off.
fn is_work_while_off(reading: &Reading) -> bool {
    const OFF: &[&str] = &["off", "out", "apart", "down"];
    let texts: Vec<&str> = reading.words.iter().map(|word| word.text.as_str()).collect();
    let when = texts.iter().position(|word| matches!(*word, "while" | "whilst" | "when"));
    let Some(when) = when else { return false };
    let was = texts[when..].iter().position(|word| matches!(*word, "was" | "were" | "is" | "are" | "had" | "i" | "we"));
    let off = was.is_some() && texts[when..].iter().any(|word| OFF.contains(word));
    off && !has_come_off(reading) && texts[..when].iter().any(|word| DONE_TO_IT.contains(word))
}

/// Whether words in which a phrase finds a hurt sound like none: "lost the fingers guard".
pub fn is_no_hurt(heard: &Heard) -> bool {
    heard.chance(INJURY) < NO_HURT
}

fn row_of<'a>(knowledge: &'a Knowledge, danger: &Danger) -> Option<(&'a Refusal, bool)> {
    let sound = danger.sound.as_ref()?;
    Some((knowledge.refusal(&sound.row)?, sound.sure))
}

/// Puts what is told in words of its own beside what phrases told: somebody is hurt, or it must
/// stop.
pub fn tell(knowledge: &Knowledge, danger: &mut Danger) {
    let Some((row, _)) = row_of(knowledge, danger) else { return };
    match row.guard {
        Guard::Emergency if !danger.over => {
            danger.emergency.get_or_insert_with(|| row.id.clone());
        }
        Guard::Stop => {
            danger.stop.get_or_insert_with(|| row.id.clone());
        }
        _ => {}
    }
}

/// Puts what is done wrong beside a fault that is told with it: the machine has to stop.
pub fn tell_with_fault(knowledge: &Knowledge, danger: &mut Danger) {
    let row = row_of(knowledge, danger).map(|(row, _)| row);
    if let Some(row) = row.filter(|row| row.guard == Guard::Refuse) {
        danger.stop.get_or_insert_with(|| row.id.clone());
    }
}

/// Puts what is asked or meant to be done beside what phrases found. What a phrase refuses stays
/// refused.
pub fn add(knowledge: &Knowledge, judged: &mut ScopeReading, danger: &mut Danger) {
    let Some((row, sure)) = row_of(knowledge, danger) else { return };
    let leave = danger.leave.as_ref().and_then(|id| knowledge.refusal(id));
    let refused = matches!(&judged.scope, Scope::Unsafe(id) if id != GENERAL_REFUSAL)
        || leave.is_some_and(|row| row.guard == Guard::Refuse || WORN.contains(&&*row.id));
    // "My chainsaw bogs": no matter of ours, and none of its dangers.
    let ours = !matches!(judged.scope, Scope::OtherMachine | Scope::OffTopic | Scope::Language);
    let stands = sure || (ours && !refused && danger.leave.is_none());
    match row.guard {
        Guard::Leave if stands && !refused => danger.leave = Some(row.id.clone()),
        Guard::Refuse if stands => {
            judged.scope = Scope::Unsafe(row.id.clone());
            danger.leave = None;
        }
        _ => {}
    }
}
