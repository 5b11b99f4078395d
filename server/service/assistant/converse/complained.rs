//! How is the answer to a complaint told? First what fits a phone: what it is and how likely, what
//! was heard, what to do first; "more" gives the other causes, the steps and what it rests on.
//! The whole of it is in the message beside the lines.

use super::explain;
use crate::domain::catalogue::Knowledge;
use crate::domain::complaint::in_hundred;
use crate::domain::units::plain;
use crate::domain::wording::lower_first;
use crate::pb;

/// Causes and steps that "more" tells.
const CAUSES_MAX: usize = 5;
const STEPS_MAX: usize = 4;

/// The lines of a diagnosis, in the order in which they are told.
pub struct Told {
    /// Before the cautions.
    pub first: Vec<String>,
    pub cautions: Vec<pb::Caution>,
    /// Behind them.
    pub behind: Vec<String>,
    /// When more is asked for.
    pub more: Vec<String>,
}

/// `known`: titles of what was answered or told before. `here`: what the shop's records add.
pub fn told(
    reply: &pb::DiagnoseResponse,
    known: &[(String, bool)],
    here: Option<String>,
) -> Told {
    let diagnosed = reply.outcome() == pb::Outcome::Diagnosed;
    // That it has to stop, a line of its own, was said before how the words were understood.
    let message = reply.message.lines().last().unwrap_or_default();
    let step = reply.next_steps.first();
    let mut first = what_it_is(message, step.filter(|_| diagnosed));
    if let (Some(what), Some(second)) = (first.first_mut().filter(|_| diagnosed), near(reply)) {
        *what = format!("{}; else {second}.", what.trim_end_matches('.'));
    }
    first.extend(heard(reply, known));
    if let Some(step) = step.filter(|_| reply.outcome() == pb::Outcome::NeedMore) {
        first.push(format!("Next ({:.0} min): {}.", step.minutes, title(step)));
    }
    let cautions = match step {
        Some(step) => {
            // With those that the words call for themselves.
            let of_steps = |id: &str| {
                reply.next_steps.iter().flat_map(|one| &one.cautions).any(|own| own.id == id)
            };
            let own = reply.cautions.iter().filter(|one| !of_steps(&one.id)).cloned();
            own.chain(step.cautions.clone()).collect()
        }
        None => reply.cautions.clone(),
    };
    let more = if diagnosed { more(reply) } else { steps(reply) };
    let mut behind: Vec<String> = history(reply, here).into_iter().collect();
    if !more.is_empty() {
        let of = if diagnosed { "the other causes, the steps and the basis" } else { "the steps" };
        behind.push(format!("\"more\" gives {of}."));
    }
    Told { first, cautions, behind, more }
}

/// "Most likely: ... (52 in 100)." and what to do first, a line each.
fn what_it_is(message: &str, step: Option<&pb::NextStep>) -> Vec<String> {
    let at = [" First: ", " Do this: "].iter().find_map(|mark| message.find(mark));
    let Some((what, order)) = at.map(|at| message.split_at(at)) else {
        return vec![message.to_owned()];
    };
    // What counts less, and was done without help, is a line of its own.
    let marks = [" The remedy of ", " Counted less, "];
    let end = marks.iter().filter_map(|mark| order.find(mark)).min().unwrap_or(order.len());
    let (order, beside) = order.split_at(end);
    let order = order.trim().trim_end_matches('.');
    let order = match step.filter(|step| step.kind() == pb::StepKind::Repair) {
        Some(step) => {
            format!("{order} ({:.0} min; \"do it\" walks you through it).", step.minutes)
        }
        None => format!("{order}."),
    };
    let beside = (!beside.is_empty()).then(|| beside.trim().to_owned());
    [what.to_owned(), order].into_iter().chain(beside).collect()
}

/// The second cause, where it is hardly less likely than the first and both are not so at once.
fn near(reply: &pb::DiagnoseResponse) -> Option<String> {
    const NEARLY: f64 = 0.5;
    let [first, second, ..] = &reply.causes[..] else { return None };
    let is_near = second.probability >= NEARLY * first.probability
        && first.probability + second.probability <= 1.0;
    let chance = in_hundred(second.probability);
    is_near.then(|| format!("{} ({chance})", lower_first(&second.title)))
}

fn heard(reply: &pb::DiagnoseResponse, known: &[(String, bool)]) -> Option<String> {
    let titles = |present: bool| -> String {
        let heard = reply.heard.iter().filter(|heard| heard.present == present);
        let mut titles: Vec<&str> = heard.map(|heard| heard.title.as_str()).collect();
        let before = known.iter().filter(|(_, so)| *so == present);
        titles.extend(before.map(|(title, _)| title.as_str()));
        let mut told: Vec<&str> = Vec::new();
        titles.retain(|title| {
            let new = !told.contains(title);
            told.push(title);
            new
        });
        titles.join("; ")
    };
    match (titles(true), titles(false)) {
        (there, not) if there.is_empty() && not.is_empty() => None,
        (there, not) if not.is_empty() => Some(format!("Heard: {there}")),
        (there, not) if there.is_empty() => Some(format!("Heard that it is not so: {not}")),
        (there, not) => Some(format!("Heard: {there}. Not so: {not}")),
    }
}

/// What it was before: of the unit rather than of the whole shop, and what came more than once.
fn history(reply: &pb::DiagnoseResponse, here: Option<String>) -> Option<String> {
    let diagnosed = reply.outcome() == pb::Outcome::Diagnosed;
    // What learning changed is for those who ask for more.
    // One time of several is no news.
    let before = reply.history.iter().find(|line| {
        !line.starts_with("Learning") && !line.contains(", 1 of the last")
    });
    let before = before.filter(|_| diagnosed).cloned();
    match (before, here) {
        // The unit's own before the whole shop's.
        (Some(before), Some(here)) if before.starts_with("In this shop") => Some(here),
        (before, here) => before.or(here),
    }
}

fn more(reply: &pb::DiagnoseResponse) -> Vec<String> {
    let shown = || reply.causes.iter().take(CAUSES_MAX);
    let chances = shown().map(|cause| cause.probability).chain([reply.other_cause_probability]);
    let rounded = chances.map(|chance| (100.0 * chance).round());
    // Each is by itself then, and they are not to be added up.
    let several = rounded.sum::<f64>() > 100.0;
    let mut lines = vec![match several {
        true => "More than one may be so at once; each by itself:".to_owned(),
        false => "Causes:".to_owned(),
    }];
    lines.extend(
        shown().map(|cause| format!("  {}: {}", in_hundred(cause.probability), cause.title)),
    );
    let other = in_hundred(reply.other_cause_probability);
    lines.push(format!("  {other}: none of the known causes"));
    lines.extend(steps(reply));
    lines.extend(reply.history.iter().map(|line| format!("  {line}")));
    lines.push(format!(
        "Basis: the decision table, knowledge {}; chances are judgement",
        reply.knowledge_version
    ));
    lines
}

fn steps(reply: &pb::DiagnoseResponse) -> Vec<String> {
    let rows = reply.next_steps.iter().take(STEPS_MAX);
    let mut lines: Vec<String> = rows
        .map(|step| format!("  {} min: {}. {}", plain(step.minutes.round()), title(step), step.why))
        .collect();
    if !lines.is_empty() {
        lines.insert(0, "Steps, in their order (\"do 2\" walks you through the second):".to_owned());
    }
    lines
}

fn title(step: &pb::NextStep) -> &str {
    step.title.trim_end_matches('.')
}

/// What is said where words that were added change nothing.
pub fn unchanged(reply: &pb::DiagnoseResponse) -> Vec<String> {
    let message = reply.message.lines().last().unwrap_or_default();
    let what = message.split(" First: ").next().and_then(|text| text.split(" Do this: ").next());
    let what = what.unwrap_or(message);
    match reply.outcome() {
        pb::Outcome::Diagnosed => {
            let out = message.find("Counted less, ").map(|at| message[at..].to_owned());
            let still = format!("That changes nothing here. Still: {what}");
            out.into_iter().chain([still]).collect()
        }
        _ => vec![
            "That tells no sign that I know, so what was found so far stands. Say what it shows in \
             other words, or \"new fault\" for something else."
                .to_owned(),
        ],
    }
}

/// What tells one answer from another: the unit, the first causes, what was heard, the step.
pub fn mark(reply: &pb::DiagnoseResponse, unit: &str) -> String {
    const FIRST: usize = 2;
    let causes = reply.causes.iter().take(FIRST).map(|cause| cause.cause.clone());
    let heard = reply.heard.iter().map(|one| format!("{} {}", one.finding, one.present));
    let step = reply.next_steps.first().map(|step| step.id.clone());
    let all: Vec<String> = causes.chain(heard).chain(step).chain([unit.to_owned()]).collect();
    all.join("; ")
}

/// Whether the first cause is about as likely as it was.
pub fn about_as_likely(reply: &pb::DiagnoseResponse, before: Option<f64>) -> bool {
    const SAME: f64 = 0.03;
    let now = reply.causes.first().map(|cause| cause.probability);
    match (before, now) {
        (Some(before), Some(now)) => (before - now).abs() < SAME,
        (before, now) => before.is_none() == now.is_none() || now.is_some(),
    }
}

/// Why the first cause stands first: what was said for it and against it, and what it shows.
pub fn why(reply: &pb::DiagnoseResponse, knowledge: &Knowledge) -> Vec<String> {
    const TITLES_MAX: usize = 4;
    const TELLING: f64 = 0.1;
    let Some(first) = reply.causes.first() else { return Vec::new() };
    let said = |id: &str| reply.heard.iter().any(|heard| heard.finding == id);
    let titles = |wanted: &dyn Fn(&pb::Evidence) -> bool| -> String {
        let rows = first.evidence.iter().filter(|one| wanted(one));
        let titles = rows.filter_map(|one| knowledge.finding(&one.finding));
        titles.map(|row| row.title.as_str()).take(TITLES_MAX).collect::<Vec<_>>().join("; ")
    };
    let unsaid = titles(&|one| !said(&one.finding) && one.log_odds < -TELLING);
    let mut lines = vec![format!("{}: {}.", first.title, in_hundred(first.probability))];
    for (label, of) in [
        ("For it speaks", titles(&|one| said(&one.finding) && one.log_odds > TELLING)),
        ("Against it speaks", titles(&|one| said(&one.finding) && one.log_odds < -TELLING)),
        ("Against it, as nobody said so", unsaid),
    ] {
        if !of.is_empty() {
            lines.push(format!("  {label}: {of}"));
        }
    }
    let about = explain::about(knowledge, &first.cause).unwrap_or_default();
    lines.extend(about.into_iter().filter(|line| line.starts_with("It mostly shows")));
    lines
}
