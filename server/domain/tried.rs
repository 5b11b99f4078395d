//! Which remedies were done in vain? "Lapped it and it is still grey", "he slowed down already and it
//! is no better", "we swapped the blade. Still does it": work that is told as done, with the fault
//! still there. Its causes count less, and it is not advised again.
//! Deliberately absent: the chances (`diagnosis`).

use super::catalogue::{Cause, Equipment, Knowledge};
use super::diagnosis::Network;
use super::language::text::stem;

/// Words by which work was done, and the words by which remedies tell it.
#[rustfmt::skip]
const DEEDS: &[(&[&str], &[&str])] = &[
    (&["lapped", "backlapped", "relapped"], &["lap"]),
    (&["ground", "reground", "grinded"], &["grind"]),
    (&["slowed", "slower"], &["slow"]),
    (&["set", "reset", "adjusted", "readjusted"], &["set", "close", "back"]),
    (&["levelled", "leveled", "relevelled"], &["level", "same"]),
    (&["tightened", "retightened", "torqued"], &["tighten"]),
    (&["swapped", "changed", "replaced", "renewed", "fitted"], &["fit", "replace", "renew", "change"]),
    (&["cleaned", "scraped", "washed", "cleared"], &["clean", "scrape"]),
    (&["pumped", "inflated"], &["tyres"]),
    (&["balanced", "rebalanced"], &["balance"]),
    (&["sharpened", "resharpened"], &["sharpen", "grind"]),
    (&["raised"], &["raise"]),
    (&["lowered"], &["lower"]),
];
/// Signs that it was in vain.
#[rustfmt::skip]
const IN_VAIN: &[&str] = &[
    "still", "no better", "not better", "no different", "no change", "no joy", "no good", "no use",
    "no difference", "just the same", "same as before", "same as it was", "the same again", "no avail",
    "in vain", "not fix", "not help", "not cure", "not solve", "not work", "not sort", "not change",
    "not make", "not do anything", "not do any", "not done anything", "not gone", "not stop",
    "not touch", "back again", "came back", "come back", "twice", "three times", "several times",
    "nothing changed", "never helped", "never fixed", "never cured", "any better", "worse",
];
/// Those of them that tell how often something was done, whatever came of it.
const OFTEN: &[&str] = &["twice", "three times", "several times", "any better"];
/// Signs that it helped, as whole words.
#[rustfmt::skip]
const HELPED: &[&str] = &[
    "good now", "gone now", "fine now", "ok now", "okay now", "quiet now", "smooth now", "cuts now", "its right now", "it's right now",
    "has gone", "have gone", "it's gone", "its gone", "they've gone", "theyve gone", "went away", "gone away",
    "it's quiet", "its quiet", "is quiet", "and quiet", "gone quiet", "went quiet",
    "runs smooth", "running smooth", "runs quiet", "runs fine",
    "runs sweet", "runs true", "cuts paper", "cuts clean", "cutting clean", "cuts fine", "cuts lovely",
    "all good", "good as new", "spot on", "stopped squealing",
    "that did it", "that did the trick", "did the trick", "that cured it", "that fixed it",
];
/// Behind these a fault went, where nothing follows: "and they went", "no line".
#[rustfmt::skip]
const WENT: &[&str] = &["they went", "it went", "that went", "lines went", "they stopped", "noise stopped", "noise went",
    "it disappeared", "they disappeared", "it vanished", "they vanished", "it cleared", "they cleared",
    "sorted", "cured", "fixed", "no more"];
/// What of a mark in the turf is gone, and what of a noise.
const NO_MARK: &[&str] = &["no line", "no lines", "no streak", "no streaks"];
const NO_NOISE: &[&str] = &["no noise", "no squeal", "no squealing", "no vibration"];
/// By these it is a mark that is complained of, or a noise (stems).
const MARKS: &[&str] = &["line", "streak", "strip", "stragg", "mark", "uncut", "tuft", "ridge"];
#[rustfmt::skip]
const NOISES: &[&str] = &["squeal", "nois", "rattl", "vibrat", "knock", "rumbl", "whin", "growl", "grind", "scream", "shak",
    "loud", "hum", "chatter", "wobbl", "screech", "bang", "clunk"];
/// Signs that something is wrong all the same, or was so long ago.
#[rustfmt::skip]
const ALL_THE_SAME: &[&str] = &[" still ", " not ", "n't ", " wont ", "nt cut", " but ", " louder ", " nothing ", " until ",
    " till ", " at idle ", " for a bit ", " for a while ", " for a minute ", " for ten ", " stopped cutting ", " has moved ",
    " have moved ", " last year ", " last time ", " last season ", " last month ", " last week ", " is back ", " it's back "];

/// Whether a word tells that the work of a remedy was done.
pub fn is_done(word: &str) -> bool {
    DEEDS.iter().any(|(done, _)| done.contains(&word))
}

/// "I slowed down and they went", "backed it off and it's quiet": whether it is said that the fault is
/// gone. A trial without the part, and a guard that was defeated, cure nothing.
pub fn helped(words: &str) -> bool {
    let lower = words.to_lowercase().replace('\u{2019}', "'");
    let ends = |said: &&str| {
        lower.split([',', '.', ';', '!']).any(|part| {
            let part = part.trim().trim_end_matches(" now").trim_end_matches(" straight away");
            let part = part.trim_end_matches(" at all").trim_end_matches(" any more");
            let before = part.strip_suffix(*said);
            before.is_some_and(|before| before.is_empty() || before.ends_with(' '))
        })
    };
    let plain = spaced(&lower);
    let gone = HELPED.iter().any(|sign| plain.contains(&format!(" {sign} ")))
        || plain.contains(" no more squeal") || plain.contains(" no more noise ")
        || [WENT, NO_MARK, NO_NOISE].iter().any(|list| list.iter().any(|said| ends(&said)));
    gone && !goes_on(words) && !is_trial(words) && !lower.trim_end().ends_with('?')
}

/// The same of this complaint: a line that is not there cures no squeal.
pub fn helped_with(complaint: &str, words: &str) -> bool {
    let complaint = complaint.to_lowercase();
    let of = |stems: &[&str]| stems.iter().any(|stem| complaint.contains(stem));
    let (mark, noise) = (of(MARKS), of(NOISES));
    let mut left = words.to_lowercase();
    for (list, other) in [(NO_MARK, noise && !mark), (NO_NOISE, mark && !noise)] {
        for sign in list.iter().rev().filter(|_| other) {
            left = left.replace(sign, "");
        }
    }
    helped(&left)
}

/// The words in small letters with single blanks around each.
fn spaced(words: &str) -> String {
    let part = |ch: char| !ch.is_alphanumeric() && ch != '\'';
    let lower = words.to_lowercase().replace('\u{2019}', "'");
    let said: Vec<&str> = lower.split(part).filter(|word| !word.is_empty()).collect();
    format!(" {} ", said.join(" "))
}

/// Whether it is said that something is wrong all the same, or that it was so long ago.
pub fn goes_on(words: &str) -> bool {
    let plain = spaced(words);
    let vain = IN_VAIN.iter().filter(|sign| !OFTEN.contains(*sign));
    ALL_THE_SAME.iter().any(|sign| plain.contains(sign))
        || vain.into_iter().any(|sign| plain.contains(&format!(" {sign}")))
}

/// "Took the belt off and no noise", "turned the engine off", "the switch is bypassed": what is tried,
/// or defeated, and no remedy.
pub fn is_trial(words: &str) -> bool {
    const GUARDS: &[&str] = &[
        "guard", "guards", "interlock", "interlocks", "switch", "switches", "shield", "shields",
    ];
    const DEFEATED: &[&str] = &[
        "off", "removed", "pulled", "took", "taken", "tied", "taped", "without", "disconnected", "unplugged", "wedged", "jumped",
    ];
    const TAKEN: &[&str] = &["took", "taken", "pulled", "whipped", "removed", "unbolted", "unplugged", "disconnected", "lifted"];
    const PARTS: &[&str] = &[
        "belt", "belts", "blade", "blades", "brush", "groomer", "catcher", "box", "roller", "deck", "unit", "reel", "motor",
        "cover", "scraper", "wheel", "plug", "reels", "units", "grassbox", "bucket", "comb",
    ];
    const AGAIN: &[&str] = &[
        "back", "refitted", "fitted", "new", "replaced", "changed", "cleaned", "washed", "greased", "ground", "sharpened",
        "balanced", "put", "dressed", "lapped", "straightened", "oiled", "scraped", "swapped", "filed", "freed", "repacked",
        "fixed", "mended", "repaired", "adjusted", "tightened", "rewired", "renewed",
    ];
    const HALTED: &[&str] = &["turned", "switched", "shut", "knocked"];
    const DRIVES: &[&str] = &["engine", "machine", "motor", "reel", "reels", "deck", "blades", "pto", "drive", "mower"];
    let plain = spaced(words);
    let said: Vec<&str> = plain.split_whitespace().collect();
    let near = |at: usize, list: &[&str]| {
        said.iter().skip(at + 1).take(4).any(|word| list.contains(word))
    };
    let again = said.iter().any(|word| AGAIN.contains(word));
    let taken = (0..said.len()).any(|at| TAKEN.contains(&said[at]) && near(at, PARTS));
    let halted = (0..said.len()).any(|at| {
        let off = HALTED.contains(&said[at]) && near(at, &["off"]);
        (off || matches!(said[at], "stopped" | "disengaged")) && near(at, DRIVES)
    });
    let other = ["swapped to the other", "went to the other", "used the other", "swapped to another"];
    let has = |list: &[&str]| said.iter().any(|word| list.contains(word));
    let defeated = has(&["bypass", "bypassed"]) || (has(GUARDS) && has(DEFEATED) && !again);
    defeated || (taken && !again) || halted
        || other.iter().any(|sign| plain.contains(sign))
}

/// Whether what is told of is what was put right, in words of any kind: work, whatever it brought.
pub fn tells_of_gone(words: &str) -> bool {
    let plain = spaced(words);
    let signs = |list: &[&str]| list.iter().any(|sign| plain.contains(sign));
    let gone = signs(HELPED) || signs(NO_MARK) || signs(NO_NOISE)
        || signs(&[" sorted", " cured", " no more "]);
    gone && !signs(&[" still", " not ", "n't ", " but "])
}

/// "Cut my thumb doing it": a part of who did the work.
pub fn hurt_at_it(words: &str) -> bool {
    const HURT: &[&str] = &["thumb", "thumbs", "finger", "fingers", "hand", "hands", "arm", "leg", "foot", "eye", "knee"];
    let plain = spaced(words);
    HURT.iter().any(|part| plain.contains(&format!(" my {part} ")))
}

/// Words that make it work that was not done.
const UNDONE: &[&str] =
    &["not", "never", "without", "before", "if", "should", "yet", "nobody", "cannot", "or"];
/// So many words before it.
const UNDONE_REACH: usize = 2;
/// Things that work is done to.
#[rustfmt::skip]
const THINGS: &[&str] = &[
    "reel", "cylinder", "bedknife", "knife", "blade", "roller", "tyre", "belt", "bearing", "spindle",
    "groomer", "brush", "deck", "motor", "screw", "clamp", "pin", "catcher", "wheel", "unit", "seal",
    "hose", "arm", "bush",
];
/// A remedy never rules its cause out.
const LEFT_MIN: f64 = 0.1;

/// The causes whose remedy was done in vain.
pub fn in_vain<'a>(knowledge: &'a Knowledge, kind: Equipment, words: &str) -> Vec<&'a Cause> {
    let plain = words.to_lowercase().replace("n\u{2019}t", " not").replace("n't", " not");
    let mut found: Vec<&Cause> = Vec::new();
    let mut before = Vec::new();
    for sentence in plain.split(['.', ';', '!', '?']).filter(|one| !one.trim().is_empty()) {
        let said: Vec<&str> = sentence
            .split(|ch: char| !ch.is_alphanumeric())
            .map(|word| if UNAPOSTROPHED.contains(&word) { "not" } else { word })
            .filter(|word| !word.is_empty())
            .collect();
        let text = format!(" {} ", said.join(" "));
        let vain = IN_VAIN.iter().any(|sign| text.contains(&format!(" {sign}")));
        // "Lads lapped it last month though": so it is not that.
        let undone = said.iter().any(|word| matches!(*word, "never" | "not" | "should"));
        let vain = vain || (text.trim_end().ends_with(" though") && !undone);
        let own = deeds(&said);
        let of = if own.is_empty() { &before } else { &own };
        if vain {
            for (verbs, things) in of {
                let rows = knowledge.causes.iter().filter(|row| row.equipment == kind);
                found.extend(rows.filter(|row| is_remedy(row, verbs, things)));
            }
        }
        before = own;
    }
    // What is cured by the same piece of work was tried with it.
    let jobs: Vec<&str> = found.iter().map(|row| row.procedure.as_str()).collect();
    let rows = knowledge.causes.iter().filter(|row| row.equipment == kind);
    rows.filter(|row| jobs.contains(&row.procedure.as_str())).collect()
}

/// Typed without its apostrophe.
const UNAPOSTROPHED: &[&str] =
    &["didnt", "doesnt", "hasnt", "havent", "isnt", "dont", "wont", "aint", "wasnt"];

type Deed<'a> = (&'static [&'static str], Vec<String>);

/// What was done, with the things it was done to.
fn deeds(said: &[&str]) -> Vec<Deed<'static>> {
    let done = said.iter().enumerate().filter_map(|(at, word)| {
        let (_, verbs) = DEEDS.iter().find(|(forms, _)| forms.contains(word))?;
        let from = at.saturating_sub(UNDONE_REACH);
        let undone = said[from..at].iter().any(|one| UNDONE.contains(one));
        // "The ground is soft", "a set of reels", "the blades are set at 3".
        let before = at.checked_sub(1).map_or("", |at| said[at]);
        let noun = matches!(before, "the" | "a" | "soft" | "hard" | "wet" | "new");
        let near = said.iter().skip(at + 1).take(4).map(|word| stem(word));
        let things = near.filter(|word| THINGS.iter().any(|thing| stem(thing) == *word));
        (!undone && !noun).then(|| (*verbs, things.collect()))
    });
    done.collect()
}

/// Whether such work is the remedy of a cause.
fn is_remedy(row: &Cause, verbs: &[&str], things: &[String]) -> bool {
    let first = row.remedy.split(';').next().unwrap_or_default();
    let stems = |text: &str| -> Vec<String> {
        let words = text.split(|ch: char| !ch.is_alphanumeric()).filter(|word| !word.is_empty());
        words.map(|word| stem(&word.to_lowercase())).collect()
    };
    let own = stems(first);
    let does = verbs.iter().any(|verb| own.contains(&stem(verb)));
    // What is set with nothing named is the reel.
    let bare = things.is_empty() && verbs.first() == Some(&"set");
    let of_reel = own.iter().any(|word| *word == stem("reel"));
    let titled = [own.clone(), stems(&row.title)].concat();
    let of_these = things.is_empty() || things.iter().any(|thing| titled.contains(thing));
    does && of_these && (!bare || of_reel)
}

/// The network with less of these causes, by how seldom their remedy fails.
pub fn lowered(network: &Network, tried: &[&Cause]) -> Network {
    let mut lower = network.clone();
    for cause in &mut lower.causes {
        if tried.iter().any(|row| row.id == cause.id) {
            cause.prior *= (1.0 - cause.success).max(LEFT_MIN);
        }
    }
    lower
}

/// The network with hardly any of these causes, which somebody looked at and ruled out.
pub fn excluded(network: &Network, out: &[&Cause]) -> Network {
    let mut lower = network.clone();
    for cause in lower.causes.iter_mut().filter(|cause| out.iter().any(|row| row.id == cause.id)) {
        cause.prior *= LEFT_MIN;
    }
    lower
}

/// What is said of them: the title of each that still counts, and what of its remedy is left.
pub fn told(tried: &[&Cause], ranked: &[&str]) -> Option<String> {
    let ranked = |row: &&&Cause| ranked.contains(&row.id.as_str());
    let shown: Vec<&&Cause> = tried.iter().filter(ranked).collect();
    let first = shown.first()?;
    let titles: Vec<String> = shown.iter().map(|row| format!("\"{}\"", row.title)).collect();
    let left = first.remedy.split_once(';').map_or(String::new(), |(_, rest)| {
        let rest = rest.rsplit(", ").next().unwrap_or(rest).trim().trim_end_matches('.');
        format!(" What is left of that remedy: {rest}.")
    });
    Some(format!(
        "The remedy of {} was done without help, so it counts less and is not advised again.{left}",
        titles.join(" and ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_that_went_is_told_in_any_words() {
        for (words, wanted) in [
            ("i slowed down and they went", true),
            ("backed it off an eighth and its quiet", true),
            ("did that and its good now", true),
            ("slowed it down, they've gone", true),
            ("i slowed down and they went worse", false),
            ("slowed down but they went", false),
            ("they went over the kerb", false),
            ("did they go", false),
            ("lapped it, still not cured", false),
            ("backed it off two clicks, it's quieter", false),
            ("moved it back two clicks, it's quiet, but", false),
            ("did that and it went, then came back", false),
            ("changed the bearing and no vibration, noise is louder", false),
            ("ground it last week and no noise till today", false),
            ("set the gap, no line of light at all", false),
            ("set it, no line, nothing cuts", false),
            ("changed the belt, no vibration at idle", false),
            ("did that and it's sorted of better", false),
            ("sorted the bedknife, line has moved", false),
            ("lapped it twice, no line now", true),
            ("pulled the guard off and it went", false),
            ("the switch is bypassed, good now", false),
            ("turned the engine off, no noise", false),
            ("removed the guard, cleared the grass, refitted it, no noise", true),
            ("fixed the seat switch, all good", true),
            ("took the belt off and no noise", false),
            ("took the belt off and put a new one on, no noise", true),
            ("took the burr off and it's gone", true),
            ("swapped to the other triplex and they went", false),
        ] {
            assert_eq!(helped(words), wanted, "{words}");
        }
    }

    #[test]
    fn what_is_gone_is_of_the_complaint() {
        for (complaint, words, wanted) in [
            ("unit 2 squeals", "set it, no line", false),
            ("unit 2 squeals", "set it, no noise now", true),
            ("it leaves a line", "set it, no line", true),
            ("it leaves a line", "set it, no noise", false),
            ("there are ripples", "set it, no lines", true),
        ] {
            assert_eq!(helped_with(complaint, words), wanted, "{complaint}: {words}");
        }
    }
}
