//! What do people ask in the middle of a job: why this step, what tools, how long, how many steps
//! are left, what is good, what was read, why back again? Answered from the walk and its procedure.
//! A question that names anything else is left to those who know of it.
//! Deliberately absent: the text of a step whose cautions were not read.

use std::collections::BTreeSet;

use super::acts;
use crate::domain::catalogue::{Acceptance, Knowledge, Procedure, Step, StepReading};
use crate::domain::passages::form::Form;
use crate::domain::passages::{practical, told};
use crate::domain::units::{Unit, plain};
use crate::domain::wording::{bare_word, upper_first};
use crate::domain::walkthrough::reading::{self, Judgement, Value, judge, value_text, wanted};
use crate::domain::walkthrough::spoken::{self, Spoken};
use crate::domain::walkthrough::{Read, View, Walk, sheet};

/// Words that carry nothing of the question.
#[rustfmt::skip]
const SMALL: &[&str] = &[
    "the", "a", "an", "this", "that", "it", "its", "is", "are", "i", "we", "you", "me", "us", "my", "our",
    "have", "has", "been", "was", "were", "did", "do", "does", "be", "to", "of", "on", "up", "in", "at",
    "for", "one", "here", "there", "please", "just", "now", "then", "so", "well", "oh", "ok", "okay",
    "right", "mate", "again", "all", "can", "could", "would", "will", "should", "and", "with", "tell",
    "him", "he", "them", "they", "still", "whole", "any", "thing", "bit", "about", "supposed", "meant",
    "remind", "list", "show", "say", "said", "by", "or", "get", "got", "exactly", "actually", "part",
    "step", "job", "anyway", "though", "lads", "lad", "guy", "guys",
];

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Asked {
    Why,
    Tools,
    HowLong,
    StepsLeft,
    WhatIsGood,
    WhyBack,
    ReadSoFar,
    WhatIsLeft,
    WhyOrder,
    Wear,
}

/// Sets of words that ask, whatever stands around them.
#[rustfmt::skip]
const SETS: &[(Asked, &[&str])] = &[
    (Asked::Why, &["why", "how come", "what reason", "what why", "why need", "what point",
        "why bother", "why matter", "why matters", "why important", "reason", "what purpose",
        "why way", "why like"]),
    (Asked::Tools, &["what tools", "which tools", "tools", "what tools need", "what need",
        "which tools need", "what tool", "what kit", "what kit need", "what spanners",
        "what use", "what tools use", "need", "tools need", "what gear", "what gear need"]),
    (Asked::HowLong, &["how long", "how long take", "how long takes", "how long more",
        "how much longer", "how long go", "how long left", "how many minutes", "how much time",
        "how much time left", "how long usually take", "how long normally take", "how long give",
        "how long give first year", "how long first year", "how long allow", "how long till done",
        "how long until done", "how long apprentice", "how long give apprentice", "how long need"]),
    (Asked::StepsLeft, &["how many left", "how many more", "how many steps left", "how many steps",
        "how many steps more", "how many steps go", "how far", "how far along", "how far through",
        "how much left", "how many go", "how much more"]),
    (Asked::WhatIsGood, &["what good", "what range", "what limit", "what tolerance", "what allowed",
        "what reading", "what want", "what wanted", "what acceptable", "what looking",
        "what good number", "what good reading", "what limits", "what good range", "what ok",
        "what aiming", "what read", "what aim", "how much allowed", "what number", "what figure"]),
    (Asked::WhyBack, &["why back", "why send back", "why sent back", "why go back", "why went back",
        "why going back", "why repeat", "why do again", "why same"]),
    (Asked::ReadSoFar, &["what read far", "what readings", "what readings far", "what done far",
        "readings", "what readings taken", "what values", "what values far", "what numbers",
        "what far", "what measured", "what measured far", "what written far", "what down far"]),
    (Asked::WhyOrder, &["why order", "why first", "why sequence", "why start", "why before",
        "why way round", "what reason order", "why order matter"]),
    (Asked::Wear, &["what wear", "what put on", "what ppe", "ppe", "gloves", "need gloves",
        "what gloves", "need glasses", "what protection", "what wear for"]),
    (Asked::WhatIsLeft, &["what left", "what comes next", "what remains", "what left do",
        "what comes after", "what after", "what follows", "what else", "what else left",
        "which steps left", "what steps left", "steps left", "what comes"]),
];

/// "Is 5 too much then", of "lower by about 5 mm" that was said before: the number in that unit.
pub fn in_the_unit_of(before: &str, words: &str) -> Option<String> {
    let figure = |word: &str| {
        !word.is_empty() && word.chars().all(|ch| ch.is_ascii_digit() || ch == '.')
    };
    let said: Vec<&str> = words.split_whitespace().collect();
    let at = said.iter().position(|word| figure(word))?;
    let told: Vec<&str> = before.split_whitespace().collect();
    let unit = told.windows(2).find(|two| two[0] == said[at]).map(|two| two[1])?;
    let unit = unit.trim_matches([',', '.', '?', '!']);
    Unit::named(unit)?;
    let own = said.get(at + 1).is_some_and(|next| Unit::named(next).is_some());
    (!own).then(|| [&said[..=at], &[unit], &said[at + 1..]].concat().join(" "))
}

/// The answer to a question about the job somebody is in, or none when it is about something else.
pub fn answer(
    knowledge: &Knowledge,
    walk: &Walk,
    words: &str,
    inches: bool,
) -> Option<Vec<String>> {
    let view = walk.view(knowledge)?;
    let question = words.trim_end().ends_with('?');
    let plain = acts::plain(words);
    let plain = plain.trim_end_matches('?');
    if let Some(lines) = is_it_good(knowledge, walk, &view, (plain, question), inches) {
        return Some(lines);
    }
    if let Some(lines) = what_was_read(knowledge, walk, plain) {
        return Some(lines);
    }
    if asks_what_was_told(plain) {
        return Some(read_so_far(knowledge, walk));
    }
    if let Some(lines) = what_if_not(knowledge, view.procedure, plain) {
        return Some(lines);
    }
    if let Some(lines) = why_one_before_another(knowledge, &view, plain) {
        return Some(lines);
    }
    if let Some(asked) = asked(plain) {
        return Some(lines_of(knowledge, walk, &view, asked));
    }
    told_in_the_step(knowledge, &view, plain).or_else(|| told_of_the_job(knowledge, &view, plain))
}

/// "The bar's at 3.2", before it is asked: the step that asks for it.
pub fn asked_later(view: &View<'_>, words: &str, inches: bool) -> Option<String> {
    let later = view.procedure.steps.iter().enumerate().skip(view.number - 1);
    let (at, asked) = later.filter(|(at, _)| !view.open || at + 1 > view.number).find_map(
        |(at, step)| {
            let numbers = |asked: &&StepReading| matches!(asked.accept, Acceptance::Range { .. });
            Some((at + 1, step.readings.iter().find(numbers)?))
        },
    )?;
    let Spoken::Value(..) = spoken::value(asked, words, inches) else { return None };
    let say = if view.open { "done" } else { "ok" };
    Some(format!("A value is asked for at step {at}: {}. Say \"{say}\" first.", label(asked)))
}

fn words_of(plain: &str) -> Vec<&str> {
    let words = plain.split(|ch: char| !ch.is_alphanumeric() && ch != '.');
    words.filter(|word| !word.is_empty()).collect()
}

fn asked(plain: &str) -> Option<Asked> {
    let said = words_of(plain);
    let content: BTreeSet<&str> =
        said.iter().copied().filter(|word| !SMALL.contains(word)).collect();
    // "Again" and "do" are small words, and not in "why do we do it again".
    let again = said.first() == Some(&"why") && said.last() == Some(&"again") && said.len() > 2;
    if again && content.len() == 1 {
        return Some(Asked::WhyBack);
    }
    // "What is this step for".
    if content.len() == 1 && content.contains("what") && said.last() == Some(&"for") {
        return Some(Asked::Why);
    }
    let same = |set: &&&str| {
        let words: BTreeSet<&str> =
            set.split_whitespace().filter(|word| !SMALL.contains(word)).collect();
        !words.is_empty() && words == content
    };
    SETS.iter().find(|(_, sets)| sets.iter().any(|set| same(&set))).map(|(asked, _)| *asked)
}

fn lines_of(
    knowledge: &Knowledge,
    walk: &Walk,
    view: &View<'_>,
    asked: Asked,
) -> Vec<String> {
    let procedure = view.procedure;
    let (count, at) = (procedure.steps.len(), view.number);
    match asked {
        Asked::Why => sheet::why_lines(view),
        Asked::Tools if procedure.tools.is_empty() => {
            vec!["No tools are named for this job.".to_owned()]
        }
        Asked::Tools => vec![format!("Tools: {}.", procedure.tools.join("; "))],
        Asked::HowLong => {
            let left = procedure.minutes * (count + 1 - at) as f64 / count as f64;
            vec![format!(
                "About {} minutes more. {}: about {} minutes in all; step {at} of {count} now.",
                plain(left.ceil()),
                procedure.title,
                plain(procedure.minutes)
            )]
        }
        Asked::StepsLeft => vec![match count - at {
            0 => format!("This is the last of {count} steps."),
            left => format!("{left} after this one: step {at} of {count} now."),
        }],
        Asked::WhatIsGood => what_is_good(view),
        Asked::WhyBack => why_back(knowledge, walk),
        Asked::ReadSoFar => read_so_far(knowledge, walk),
        Asked::WhyOrder => why_order(procedure),
        Asked::Wear => practical::wear(knowledge, &[procedure]),
        Asked::WhatIsLeft => {
            let left = procedure.steps.iter().enumerate().skip(at);
            let lines: Vec<String> =
                left.map(|(number, step)| format!("  {}. {}", number + 1, step.title)).collect();
            match lines.is_empty() {
                true => vec!["This is the last step; then the job is recorded.".to_owned()],
                false => [vec!["After this step:".to_owned()], lines].concat(),
            }
        }
    }
}

/// "What have I told you so far", "what did I say for it".
fn asks_what_was_told(plain: &str) -> bool {
    const TELLING: &[&str] = &[
        "told", "tell", "given", "give", "gave", "said", "say", "read", "measured", "put", "noted",
        "got",
    ];
    let said = words_of(plain);
    let so_far = said.windows(2).any(|pair| pair == ["so", "far"]);
    let by_us = said.windows(2).any(|pair| {
        matches!(pair[0], "have" | "did") && matches!(pair[1], "i" | "we" | "you")
    });
    let asks = matches!(said.first(), Some(&("what" | "which" | "show" | "list")));
    asks && (so_far || (by_us && said.iter().any(|word| TELLING.contains(word))))
        && said.len() <= 10
}

/// "What if it still knocks", "and if it won't cut after": what proves the job, where it goes back to
/// when that fails, and what its remedy says of it.
fn what_if_not(
    knowledge: &Knowledge,
    procedure: &Procedure,
    plain: &str,
) -> Option<Vec<String>> {
    if !supposes_it_failed(plain) {
        return None;
    }
    let mut lines = Vec::new();
    let of_job = knowledge.causes.iter().filter(|row| row.procedure == procedure.id);
    let beside = of_job.flat_map(|row| row.remedy.split(';')).find(|part| part.trim().starts_with("if "));
    lines.extend(beside.map(|part| format!("{}.", upper_first(part.trim().trim_end_matches('.')))));
    let proves = |(_, step): &(usize, &Step)| {
        step.readings.iter().any(|asked| asked.otherwise_step.is_some())
    };
    let proved = procedure.steps.iter().enumerate().rfind(proves);
    for asked in proved.iter().flat_map(|(_, step)| &step.readings) {
        let Some(back) = asked.otherwise_step else { continue };
        let title = procedure.steps.get(back.checked_sub(1)?).map_or("", |step| step.title.as_str());
        let at = proved.map_or(0, |(at, _)| at + 1);
        lines.push(match back == at {
            true => format!("Step {at} proves it: {}; else step {at} again.", label(asked)),
            false => format!("Step {at} proves it: {}; else back to step {back}, {title}.", label(asked)),
        });
    }
    if lines.is_empty() {
        return None;
    }
    lines.push("When it is still there after that, it was not this: say what it shows then.".to_owned());
    Some(lines)
}

fn supposes_it_failed(plain: &str) -> bool {
    const SUPPOSES: &[&str] = &["what if ", "and if ", "what happens if ", "but if ", "say "];
    const FAILED: &[&str] = &[
        "still", "wont", "won't", "doesnt", "doesn't", "not", "cannot", "cant", "isnt", "isn't",
        "didnt", "didn't", "hasnt", "hasn't", "fails", "worse",
    ];
    let said: Vec<&str> = plain.split_whitespace().collect();
    let supposes = SUPPOSES.iter().any(|start| plain.starts_with(start));
    let of_it = said.iter().take(4).any(|word| matches!(*word, "it" | "its" | "that" | "they"));
    supposes && of_it && said.iter().any(|word| FAILED.contains(word)) && said.len() <= SUPPOSED_MAX
}

/// Longer words suppose something of their own.
const SUPPOSED_MAX: usize = 10;

/// The steps with their whys, which is why they stand in this order.
fn why_order(procedure: &Procedure) -> Vec<String> {
    let mut lines = vec!["Each step makes the next one true:".to_owned()];
    let steps = procedure.steps.iter().zip(1..);
    lines.extend(steps.map(|(step, at)| format!("  {at}. {}: {}", step.title, step.why)));
    lines
}

/// "Why clamp first then measure": the whys of the steps whose titles hold the words.
fn why_one_before_another(
    knowledge: &Knowledge,
    view: &View<'_>,
    plain: &str,
) -> Option<Vec<String>> {
    const ORDER: &[&str] = &["first", "before", "then", "after"];
    let said = words_of(plain);
    let ordered = said.first() == Some(&"why") && said.iter().any(|word| ORDER.contains(word));
    if !ordered || said.len() > 12 {
        return None;
    }
    let stem_of = |word: &str| crate::domain::language::text::stem(word);
    let content: Vec<String> = said
        .iter()
        .filter(|word| word.len() > 3 && !SMALL.contains(word) && !ORDER.contains(word))
        .map(|word| stem_of(word))
        .collect();
    let holds = |text: &str| {
        let lower = text.to_lowercase();
        words_of(&lower).iter().any(|word| content.contains(&stem_of(word)))
    };
    let steps = view.procedure.steps.iter().zip(1..).filter(|(step, _)| holds(&step.title));
    let lines: Vec<String> = steps
        .map(|(step, at)| {
            format!("Step {at}, {}: {}", step.title, knowledge.with_titles(&step.why))
        })
        .collect();
    (!lines.is_empty()).then_some(lines)
}

fn what_is_good(view: &View<'_>) -> Vec<String> {
    let readings = &view.step.readings;
    match (view.open, view.asked) {
        (true, Some(asked)) => vec![format!("Good is: {}.", wanted(asked))],
        _ if readings.is_empty() => vec!["No value is read in this step.".to_owned()],
        _ => readings.iter().map(|asked| format!("Good is: {}.", wanted(asked))).collect(),
    }
}

fn reading_of<'a>(knowledge: &'a Knowledge, read: &Read) -> Option<&'a StepReading> {
    let step = knowledge.procedure(&read.procedure)?.steps.get(read.step.checked_sub(1)?)?;
    step.readings.iter().find(|asked| asked.id == read.id)
}

fn line_of(knowledge: &Knowledge, read: &Read) -> Option<String> {
    let asked = reading_of(knowledge, read)?;
    let good = if read.good { "good" } else { "not good" };
    let value = value_text(&read.value, &asked.unit);
    Some(format!("  step {}, {}: {value}, {good}", read.step, label(asked)))
}

fn label(asked: &StepReading) -> &str {
    asked.label.split(" (").next().unwrap_or(&asked.label)
}

fn read_so_far(knowledge: &Knowledge, walk: &Walk) -> Vec<String> {
    let lines: Vec<String> =
        walk.readings.iter().filter_map(|read| line_of(knowledge, read)).collect();
    match lines.is_empty() {
        true => vec!["Nothing was read yet.".to_owned()],
        false => [vec!["Read so far:".to_owned()], lines].concat(),
    }
}

fn why_back(knowledge: &Knowledge, walk: &Walk) -> Vec<String> {
    let bad = walk.readings.iter().rfind(|read| !read.good);
    let told = bad.and_then(|read| {
        let asked = reading_of(knowledge, read)?;
        let step = asked.otherwise_step?;
        let procedure = knowledge.procedure(&read.procedure)?;
        let why = procedure.steps.get(step.checked_sub(1)?)?;
        Some(format!(
            "{} was {}; good is {}. Step {step} ({}) is where that is put right: {}",
            label(asked),
            value_text(&read.value, &asked.unit),
            range_text(asked),
            why.title,
            why.why
        ))
    });
    vec![told.unwrap_or_else(|| "No reading sent you back.".to_owned())]
}

fn range_text(asked: &StepReading) -> String {
    let unit = if asked.unit == "count" || asked.unit == "yes/no" { "" } else { &asked.unit };
    format!("{} {unit}", reading::range(asked)).trim_end().to_owned()
}

/// Words that stand beside a value.
const BESIDE_VALUES: &[&str] =
    &["mm", "in", "inch", "inches", "thou", "left", "right", "trailing", "leading"];

/// "Is that good?", "is .005 too much": of the value said, else of the one read last.
fn is_it_good(
    knowledge: &Knowledge,
    walk: &Walk,
    view: &View<'_>,
    (plain, question): (&str, bool),
    inches: bool,
) -> Option<Vec<String>> {
    const JUDGING: &[&str] = &[
        "good", "ok", "okay", "alright", "fine", "bad", "much", "enough", "high", "low", "right",
        "tolerance", "within", "big", "small", "acceptable", "tight", "limits", "too", "wide", "close",
        "deep", "short", "long", "safe", "pass", "normal", "usual", "off",
    ];
    let said = words_of(plain);
    let asked_so = matches!(said.first(), Some(&("is" | "was" | "are" | "will" | "would")));
    let rest: &[&str] = if asked_so { &said[1..] } else { &said };
    let bare = !asked_so && rest.len() <= 5 && (question || rest.contains(&"enough"));
    if !(asked_so || bare) || !rest.iter().any(|word| JUDGING.contains(word)) {
        return None;
    }
    let known = |word: &&str| {
        JUDGING.contains(word)
            || SMALL.contains(word)
            || BESIDE_VALUES.contains(word)
            || word.contains(|ch: char| ch.is_ascii_digit())
    };
    if !rest.iter().all(|word| known(&word)) {
        return None;
    }
    if rest.iter().any(|word| word.contains(|ch: char| ch.is_ascii_digit())) {
        let said: Vec<&str> =
            rest.iter().copied().filter(|word| !JUDGING.contains(word)).collect();
        return number_judged(knowledge, walk, view, &said.join(" "), inches);
    }
    let read = walk.readings.last();
    let told = read.and_then(|read| Some(judged(reading_of(knowledge, read)?, &read.value)));
    Some(told.map_or_else(|| what_is_good(view), |line| vec![line]))
}

/// A number held against the reading it is of: the one read just now as that, the one asked for, or
/// another of the step.
fn number_judged(
    knowledge: &Knowledge,
    walk: &Walk,
    view: &View<'_>,
    said: &str,
    inches: bool,
) -> Option<Vec<String>> {
    let last = walk.last_value(knowledge);
    let was_read = last.filter(|(asked, read)| {
        matches!(spoken::value(asked, said, inches), Spoken::Value(value, _) if value == *read)
    });
    if let Some((asked, value)) = was_read {
        return Some(vec![judged(asked, &value)]);
    }
    let ranged = |asked: &&StepReading| matches!(asked.accept, Acceptance::Range { .. });
    let asked = view.asked.filter(|_| view.open).filter(ranged);
    // Else the next of the job that is a number.
    let later = || {
        let steps = view.procedure.steps.iter().skip(view.number - 1);
        steps.flat_map(|step| &step.readings).find(|asked| ranged(asked))
    };
    let asked = asked.or_else(later)?;
    match spoken::value(asked, said, inches) {
        Spoken::Value(value, _) => Some(vec![judged(asked, &value)]),
        Spoken::Doubt(doubt) => Some(vec![format!("{doubt}.")]),
        Spoken::Nothing => None,
    }
}

fn judged(asked: &StepReading, value: &Value) -> String {
    let verdict = match judge(asked, value) {
        Judgement::Good => "good",
        Judgement::Over => "too much",
        Judgement::Under => "too little",
        Judgement::NotSo => "not as it should be",
    };
    let value = value_text(value, &asked.unit);
    format!("{}, {value}: {verdict}; good is {}.", label(asked), range_text(asked))
}

/// "What was the leading end?": the reading whose label the words name.
fn what_was_read(knowledge: &Knowledge, walk: &Walk, plain: &str) -> Option<Vec<String>> {
    let said = words_of(plain);
    let asks = matches!(said[..], ["what", "was" | "were" | "did", ..]);
    let content: Vec<&str> = said
        .iter()
        .copied()
        .filter(|word| !SMALL.contains(word) && !matches!(*word, "what" | "read" | "reading" | "end"))
        .collect();
    if !asks || content.is_empty() {
        return None;
    }
    let names = |read: &&Read| {
        let Some(asked) = reading_of(knowledge, read) else { return false };
        let lower = asked.label.to_lowercase();
        let words = words_of(&lower);
        content.iter().all(|word| words.contains(word))
    };
    let Some(read) = walk.readings.iter().rev().find(names) else {
        return not_read_yet(knowledge, walk, &content);
    };
    line_of(knowledge, read).map(|line| vec![line.trim().to_owned()])
}

/// A reading of the job that the words name, and that was not taken.
fn not_read_yet(knowledge: &Knowledge, walk: &Walk, content: &[&str]) -> Option<Vec<String>> {
    let view = walk.view(knowledge)?;
    let named = |label: &str| {
        let lower = label.to_lowercase();
        let words = words_of(&lower);
        content.iter().all(|word| words.contains(word))
    };
    let steps = view.procedure.steps.iter().zip(1..);
    let (step, asked) = steps
        .flat_map(|(step, at)| step.readings.iter().map(move |asked| (at, asked)))
        .find(|(_, asked)| named(&asked.label))?;
    Some(vec![format!("Nothing yet: step {step} asks for it ({}).", label(asked))])
}

/// Words of a question whose answer may stand in the step.
const ASKING: &[&str] = &["what", "which", "how", "where"];
/// Words of such a question that need not stand there.
const ASKED_OF: &[&str] = &["many", "much", "long", "way", "thick", "type", "kind", "size", "sort", "big"];

/// What is measured, and no tool.
const MEASURED: &[&str] =
    &["angle", "angles", "torque", "pressure", "height", "speed", "depth", "gap", "diameter"];

/// "What grit?", "how thick's the paper": the sentences of the open step, its readings and the
/// tools that hold every word of it that matters.
fn told_in_the_step(knowledge: &Knowledge, view: &View<'_>, plain: &str) -> Option<Vec<String>> {
    let said = words_of(plain);
    let content = content_of(&said).filter(|_| ASKING.contains(&said[0]))?;
    let holds = |text: &str| holds_all(text, &content);
    let mut lines: Vec<String> = Vec::new();
    if view.open {
        let text = knowledge.with_titles(&view.step.text);
        let sentences = text.split_inclusive(['.', '\n']).map(str::trim);
        lines.extend(sentences.filter(|part| holds(part)).map(str::to_owned));
        lines.extend(
            view.step.readings.iter().filter(|asked| holds(&asked.label)).map(wanted),
        );
    }
    // "What angle" does not ask for the angle gauge.
    let measured = content.iter().any(|word| MEASURED.contains(word));
    let tools = view.procedure.tools.iter().filter(|tool| !measured && holds(tool));
    lines.extend(tools.map(|tool| format!("Of the tools: {tool}.")));
    lines.extend(Some(&view.step.why).filter(|why| holds(why)).cloned());
    (!lines.is_empty()).then_some(lines)
}

fn same(one: &str, other: &str) -> bool {
    one.trim_end_matches('s').eq_ignore_ascii_case(other.trim_end_matches('s'))
}

/// The words of a short question that say what of, without the one that asks.
fn content_of<'a>(said: &[&'a str]) -> Option<Vec<&'a str>> {
    let none = |word: &str| {
        SMALL.contains(&word) || ASKED_OF.contains(&word) || matches!(word, "use" | "need")
    };
    let (_, rest) = said.split_first()?;
    let content: Vec<&str> = rest.iter().copied().filter(|word| !none(word)).collect();
    ((1..=3).contains(&content.len()) && said.len() <= 9).then_some(content)
}

fn holds_all(text: &str, content: &[&str]) -> bool {
    let words = words_of(text);
    content.iter().all(|word| words.iter().any(|other| same(other, word)))
}

/// "What's the angle", "and the front face", where the open step does not say: what the knowledge
/// says of it in this job, and which step tells more.
fn told_of_the_job(knowledge: &Knowledge, view: &View<'_>, plain: &str) -> Option<Vec<String>> {
    let said = words_of(plain);
    let asks = said.first().is_some_and(|first| ASKING.contains(first) || *first == "and");
    let content = content_of(&said).filter(|_| asks)?;
    let steps = &view.procedure.steps;
    let at = steps.iter().position(|step| {
        holds_all(&format!("{} {}", step.title, step.text), &content)
    })?;
    let query = format!("{} {}", view.procedure.title, content.join(" "));
    // An angle of reel blades is none of the bedknife.
    let title = view.procedure.title.split(' ').skip(1).map(bare_word);
    let things: Vec<&str> = title.filter(|word| word.len() > 3).collect();
    let of_it = |text: &str| {
        holds_all(text, &content) && things.iter().any(|thing| holds_all(text, &[thing]))
    };
    let told = [Form::Good, Form::Define, Form::Why].iter().find_map(|form| {
        let told = told::answer(knowledge, knowledge.passages(), *form, &query)?;
        of_it(&told.lines.join(" ")).then_some(told.lines)
    });
    let mut lines = told.unwrap_or_default();
    lines.push(format!("Step {}, \"{}\", tells it when you are there.", at + 1, steps[at].title));
    Some(lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn questions_of_a_job_are_told_from_others() {
        for (words, wanted) in [
            ("why do we do that one", Some(Asked::Why)),
            ("how come", Some(Asked::Why)),
            ("whats the reason for this one", Some(Asked::Why)),
            ("what tools again", Some(Asked::Tools)),
            ("what do i need for it", Some(Asked::Tools)),
            ("how long's this whole job", Some(Asked::HowLong)),
            ("how long is this whole job", Some(Asked::HowLong)),
            ("how long should it take him", Some(Asked::HowLong)),
            ("how many steps left", Some(Asked::StepsLeft)),
            ("what was good again", Some(Asked::WhatIsGood)),
            ("why did you send me back", Some(Asked::WhyBack)),
            ("what did we read so far", Some(Asked::ReadSoFar)),
            ("what's left", Some(Asked::WhatIsLeft)),
            ("why do we keep the bedknife parallel", None),
            ("tools for replacing reel bearings", None),
            ("how long did the last spin grind take", None),
        ] {
            assert_eq!(asked(&acts::plain(words)), wanted, "{words}");
        }
    }
}
