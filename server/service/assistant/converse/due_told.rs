//! What is due, told in a few lines: the figure first, jobs alike in one line, and how long the
//! jobs take by the times that such work took here.
//! Deliberately absent: why a job is due, unless it is asked about by its part; then all of it.

use tonic::Status;

use super::Manner;
use super::execute::asked;
use super::fleet::{rests_on, some};
use crate::domain::fleet::median;
use crate::domain::language::text::stem;
use crate::domain::units::decimal;
use crate::pb;
use crate::pb::fleet_service_server::FleetService as _;
use crate::service::fleet::Fleet;

/// Jobs whose times are looked up.
const TIMED_MAX: usize = 12;
const MINUTES_AN_HOUR: f64 = 60.0;

/// The jobs, or those that the topic names behind its colon: "due:belt".
pub fn due(reply: &pb::ListDueResponse, topic: &str) -> Vec<String> {
    let words = topic.split_once(':').map_or("", |(_, words)| words);
    let named: Vec<&pb::DueJob> = reply.jobs.iter().filter(|job| is_named(job, words)).collect();
    if !words.is_empty() && !named.is_empty() {
        return due_named(reply, &named);
    }
    let told: Vec<&pb::DueJob> = reply.jobs.iter().filter(|job| job.left_h.is_some()).collect();
    let unknown = reply.jobs.len() - told.len();
    let now = told.iter().filter(|job| is_now(job)).count();
    let mut lines = vec![match (told.len(), unknown) {
        (0, 0) => "Nothing is due now.".to_owned(),
        (0, _) => "Not enough readings to tell when anything is due.".to_owned(),
        (count, _) if count == now => format!("{now} due now, the most overdue first:"),
        (count, _) => format!("{now} due now, {} later, soonest first:", count - now),
    }];
    lines.extend(some(due_lines(&told), "sward due"));
    if now > 0 {
        lines.push("\"Why is the belt due\", or another part, tells what it rests on.".to_owned());
    }
    if unknown > 0 {
        lines.push(format!(
            "Of {unknown} more jobs nothing can be told yet; sward due --all says what is lacking."
        ));
    }
    lines.push(rests_on(reply.records_read));
    lines
}

fn is_now(job: &pb::DueJob) -> bool {
    job.left_h.is_some_and(|left| left <= 0.0)
}

/// "NOW, 7 h over", "in 4 h".
fn when(job: &pb::DueJob) -> String {
    let left_h = job.left_h.unwrap_or_default();
    match is_now(job) {
        true => format!("NOW, {} h over", decimal(-left_h, 0)),
        false => format!("in {} h", decimal(left_h, 0)),
    }
}

/// A line for each job and time, with all the units of a machine that it is due on.
pub fn due_lines(jobs: &[&pb::DueJob]) -> Vec<String> {
    let mut rows: Vec<(String, String, String, Vec<String>)> = Vec::new();
    for job in jobs {
        let (machine, unit) = job.unit_title.split_once(", ").unwrap_or((&job.unit_title, ""));
        let when = when(job);
        let title = job.title.to_lowercase();
        let same = rows.iter_mut().find(|(on, what, then, _)| {
            (on.as_str(), what, then) == (machine, &title, &when)
        });
        let unit = (!unit.is_empty()).then(|| unit.to_owned());
        match same {
            Some((.., units)) => units.extend(unit),
            None => rows.push((machine.to_owned(), title, when, unit.into_iter().collect())),
        }
    }
    let told = |(machine, title, when, units): (String, String, String, Vec<String>)| {
        let units: String = units.iter().map(|unit| format!(", {unit}")).collect();
        format!("  {machine}{units}: {title} ({when})")
    };
    rows.into_iter().map(told).collect()
}

/// Whether a job is about one of these words.
fn is_named(job: &pb::DueJob, words: &str) -> bool {
    let of = |text: &str| -> Vec<String> {
        let lower = text.to_lowercase();
        lower.split(|c: char| !c.is_alphanumeric()).map(stem).collect()
    };
    let title = of(&job.title);
    of(words).iter().any(|word| !word.is_empty() && title.contains(word))
}

/// The jobs that were named, with why, and how sure that is.
fn due_named(reply: &pb::ListDueResponse, named: &[&pb::DueJob]) -> Vec<String> {
    let hours = |left: f64| match left < 0.0 {
        true => format!("{} h over", decimal(-left, 0)),
        false => format!("{} h from now", decimal(left, 0)),
    };
    let told: Vec<String> = named
        .iter()
        .filter(|job| job.left_h.is_some())
        .map(|job| {
            let span = job.left_low_h.zip(job.left_high_h).map_or_else(String::new, |(low, high)| {
                format!(" By these records it could be from {} to {}.", hours(low), hours(high))
            });
            due_line(job) + &span
        })
        .collect();
    let mut lines = match told.len() {
        0 => vec!["Not enough readings to tell when that is due.".to_owned()],
        _ => some(told, "sward due"),
    };
    lines.push(rests_on(reply.records_read));
    lines
}

/// A job with why it is due.
pub fn due_line(job: &pb::DueJob) -> String {
    let when = when(job);
    format!("  {}: {} ({when}). {}", job.unit_title, job.title.to_lowercase(), job.why)
}

/// How long what is due now takes: the middle time of such work on that machine, added up.
pub async fn minutes(
    fleet: &Fleet,
    manner: &Manner,
    reply: &pb::ListDueResponse,
) -> Result<Vec<String>, Status> {
    let now: Vec<&pb::DueJob> = reply.jobs.iter().filter(|job| is_now(job)).collect();
    let (mut total, mut rows, mut untimed) = (0.0, Vec::new(), 0);
    for job in now.iter().take(TIMED_MAX) {
        let machine = job.unit.split_once("/units/").map_or(job.unit.as_str(), |(name, _)| name);
        let question = pb::AskRecordsRequest {
            subjects: vec![machine.to_owned()],
            question: pb::RecordsQuestion::Took.into(),
            words: done_words(&job.title),
            ..pb::AskRecordsRequest::default()
        };
        let told = fleet.ask_records(asked(question, manner)).await?.into_inner();
        let times: Vec<f64> = told.records.iter().filter_map(|row| row.duration_min).collect();
        let title = job.title.to_lowercase();
        match median(&times) {
            Some(middle) => {
                total += middle;
                let (middle, times) = (decimal(middle, 0), times.len());
                rows.push(format!("  {}: {title}, {middle} min (of {times})", job.unit_title));
            }
            None => untimed += 1,
        }
    }
    let jobs = rows.len();
    let mut lines = vec![match (now.len(), jobs) {
        (0, _) => "Nothing is due now.".to_owned(),
        (_, 0) => "No time was recorded of such work.".to_owned(),
        _ => format!(
            "About {} h for the {jobs} due now that were timed here, by the middle time of each:",
            decimal(total / MINUTES_AN_HOUR, 1)
        ),
    }];
    lines.extend(some(rows, "sward due"));
    let untimed = untimed + now.len().saturating_sub(TIMED_MAX);
    if untimed > 0 && jobs > 0 {
        lines.push(format!("{untimed} more were never timed on that machine."));
    }
    lines.push(rests_on(reply.records_read));
    Ok(lines)
}

/// "Change the belt" as records are asked for it: "belt changed".
fn done_words(title: &str) -> String {
    let lower = title.to_lowercase();
    let (verb, thing) = lower.split_once(' ').unwrap_or((&lower, ""));
    let thing = thing.trim_start_matches("the ");
    match verb {
        "change" => format!("{thing} changed"),
        "sharpen" => format!("{thing} sharpened"),
        "grind" => "spin grind".to_owned(),
        _ => lower,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn jobs_alike_stand_in_one_line() {
        let job = |unit: &str, left_h: f64| pb::DueJob {
            unit_title: format!("Old gang, {unit}"),
            title: "Change the blades".to_owned(),
            left_h: Some(left_h),
            ..pb::DueJob::default()
        };
        let (one, two, later) = (job("1 left", -7.0), job("2 right", -7.2), job("3 centre", 4.0));
        assert_eq!(
            due_lines(&[&one, &two, &later]),
            [
                "  Old gang, 1 left, 2 right: change the blades (NOW, 7 h over)",
                "  Old gang, 3 centre: change the blades (in 4 h)",
            ]
        );
        assert_eq!(done_words("Change the belt"), "belt changed");
    }
}
