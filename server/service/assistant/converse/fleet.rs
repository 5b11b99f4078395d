//! What do the records say as a whole? Asked of `FleetService` like by anybody else; its pieces are
//! put together, and told in a few lines. The whole of it is in the message beside the lines.

use std::sync::Arc;

use prost::Message;
use tokio_stream::StreamExt as _;
use tonic::{Response, Status};

use super::due_told::{self, due_line, due_lines};
use super::Manner;
use super::execute::{Done, asked};
use crate::domain::intent::again::MINUTES;
use crate::domain::intent::asked_of_wear::{COST_RATE, MOST_LEFT, WEAR_RATE};
use crate::domain::intent::fleet::several;
use crate::domain::units::{decimal, plain};
use crate::domain::wording::counted;
use crate::pb;
use crate::pb::command::Request as Command;
use crate::pb::converse_answer::Response as Answer;
use crate::pb::fleet_service_server::FleetService as _;
use crate::service::Shop;
use crate::service::fleet::Fleet;
use crate::service::gate::Watched;

/// Reports that are lists of units, so that those of several machines are one list.
const OF_UNITS: &[&str] = &["wear", WEAR_RATE, MOST_LEFT];
/// Rows of each part that are told.
const TOLD_MAX: usize = 6;

pub async fn run(
    shop: &Arc<Shop>,
    manner: &Manner,
    command: Command,
    topic: &str,
) -> Result<Done, Status> {
    let fleet = Fleet(Arc::clone(shop));
    let (topic, beside) = several(topic);
    match command {
        Command::ListDue(message) => {
            let mut reply = merged(fleet.list_due(asked(message.clone(), manner)).await?).await?;
            for name in beside {
                let message = pb::ListDueRequest { parent: name.to_owned(), ..message.clone() };
                let more = merged(fleet.list_due(asked(message, manner)).await?).await?;
                reply.jobs.extend(more.jobs);
                let left = |job: &pb::DueJob| job.left_h.unwrap_or(f64::INFINITY);
                reply.jobs.sort_by(|a, b| left(a).total_cmp(&left(b)));
            }
            let lines = match topic {
                MINUTES => due_told::minutes(&fleet, manner, &reply).await?,
                topic => due_told::due(&reply, topic),
            };
            Ok(Done::plain(Answer::ListDue(reply), lines))
        }
        Command::GetReport(message) => {
            let of = |message: &pb::GetReportRequest| asked(message.clone(), manner);
            let mut reply = merged(fleet.get_report(of(&message)).await?).await?;
            let mut beside_it = Vec::new();
            for name in beside {
                let message = pb::GetReportRequest { parent: name.to_owned(), ..message.clone() };
                let more = merged(fleet.get_report(of(&message)).await?).await?;
                if OF_UNITS.contains(&topic) {
                    reply.head = None;
                    reply.units.extend(more.units);
                    reply.due.extend(more.due);
                } else {
                    beside_it.push(report(&more, topic));
                }
            }
            // What it all rests on is told once, at the end.
            let mut lines = report(&reply, topic);
            for more in beside_it {
                let rests_on = lines.pop();
                lines.extend(more);
                lines.pop();
                lines.extend(rests_on);
            }
            Ok(Done::plain(Answer::GetReport(reply), lines))
        }
        Command::GetSettingCard(message) => {
            let reply = fleet.get_setting_card(asked(message, manner)).await?.into_inner();
            let (lines, cautions) = (card(&reply), reply.cautions.clone());
            let basis = vec!["The machine's manual stands above every number here.".to_owned()];
            Ok(Done { cautions, basis, ..Done::plain(Answer::GetSettingCard(reply), lines) })
        }
        Command::PlanHeights(message) => {
            let reply = fleet.plan_heights(asked(message, manner)).await?.into_inner();
            let (lines, cautions) = (heights(&reply), reply.cautions.clone());
            let basis = super::say::basis_of(&reply.references, &reply.missing);
            Ok(Done { cautions, basis, ..Done::plain(Answer::PlanHeights(reply), lines) })
        }
        Command::AskRecords(message) => {
            let reply = fleet.ask_records(asked(message, manner)).await?.into_inner();
            let lines = recalled(&reply, topic);
            Ok(Done::plain(Answer::AskRecords(reply), lines))
        }
        _ => Err(Status::internal("no question to the records")),
    }
}

/// The pieces of a reply as one.
async fn merged<M: Message + Default>(pieces: Response<Watched<M>>) -> Result<M, Status> {
    let mut pieces = pieces.into_inner();
    let mut whole = M::default();
    while let Some(piece) = pieces.next().await {
        let bytes = piece?.encode_to_vec();
        whole.merge(bytes.as_slice()).map_err(|error| Status::internal(error.to_string()))?;
    }
    Ok(whole)
}

fn date(time: Option<&prost_types::Timestamp>) -> String {
    let time = time.and_then(|time| jiff::Timestamp::from_second(time.seconds).ok());
    time.map_or_else(|| "?".to_owned(), |time| time.strftime("%-d %b %Y").to_string())
}

/// The last day of a period that ends before this moment.
fn last_day(end: Option<&prost_types::Timestamp>) -> String {
    let before = end.map(|end| prost_types::Timestamp { seconds: end.seconds - 1, nanos: 0 });
    date(before.as_ref())
}

/// Rows up to so many, and how many there are beside.
pub(super) fn some(rows: Vec<String>, of: &str) -> Vec<String> {
    let left = rows.len().saturating_sub(TOLD_MAX);
    let mut lines: Vec<String> = rows.into_iter().take(TOLD_MAX).collect();
    if left > 0 {
        lines.push(format!("  and {left} more; {of} shows them all."));
    }
    lines
}

pub(super) fn rests_on(records: u64) -> String {
    format!("Basis: {records} records of this shop")
}

/// The answer, and the records that it rests on, a line each.
fn recalled(reply: &pb::AskRecordsResponse, topic: &str) -> Vec<String> {
    let mut lines = reply.answer.clone();
    let row = |row: &pb::RecalledRecord| {
        let by = if row.done_by.is_empty() { String::new() } else { format!(", {}", row.done_by) };
        let long = row.duration_min.map(|minutes| format!(", {} min", decimal(minutes, 0)));
        let remark =
            if row.remark.is_empty() { String::new() } else { format!(" [{}]", row.remark) };
        let (day, long) = (date(row.time.as_ref()), long.unwrap_or_default());
        format!("  {day}, {}: {}{by}{long}{remark}", row.subject_title, row.what)
    };
    let rows: Vec<String> = reply.records.iter().map(row).collect();
    // The others say the records that matter in their lines.
    let few = rows.len() <= TOLD_MAX;
    let shown = matches!(topic, "history" | "cured" | "held") || (topic == "count" && few);
    if shown && !rows.is_empty() {
        // Of cures only those that came back are told.
        let all = usize::try_from(reply.total_count).unwrap_or(rows.len()).max(rows.len());
        let total = if topic == "held" { rows.len() } else { all };
        lines.extend(rows.into_iter().take(TOLD_MAX));
        if total > TOLD_MAX {
            lines.push(format!("  and {} more; sward log shows them all.", total - TOLD_MAX));
        }
    }
    lines.extend(reply.notes.iter().map(|note| format!("Note: {note}")));
    lines.push(rests_on(reply.records_read));
    lines
}

fn report(reply: &pb::GetReportResponse, topic: &str) -> Vec<String> {
    let mut lines = head(reply);
    match topic {
        "wear" => lines.extend(worn(reply)),
        WEAR_RATE => lines.extend(wears(reply)),
        MOST_LEFT => lines.extend(most_left(reply)),
        "faults" => lines.extend(coming_back(reply)),
        "remedies" => lines.extend(remedies(reply)),
        "costs" | COST_RATE => lines.extend(costs(reply, topic == COST_RATE)),
        _ => lines.extend(standing(reply)),
    }
    lines.extend(reply.notes.iter().map(|note| format!("Note: {note}")));
    lines.push(rests_on(reply.records_read));
    lines
}

fn head(reply: &pb::GetReportResponse) -> Vec<String> {
    let Some(head) = &reply.head else { return Vec::new() };
    vec![format!(
        "{}, {} to {}: {} machine hours; {}; {}.",
        head.title,
        date(head.start_time.as_ref()),
        last_day(head.end_time.as_ref()),
        decimal(head.machine_hours_h, 0),
        counted(head.fault_count, "fault"),
        counted(head.unit_count, "unit")
    )]
}

/// The reels by how fast they wear.
fn wears(reply: &pb::GetReportResponse) -> Vec<String> {
    let rows = reply.units.iter().filter_map(|unit| Some((unit, unit.loss_per_100_h_mm?)));
    let mut rows: Vec<(&pb::UnitState, f64)> = rows.collect();
    rows.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.unit.cmp(&b.0.unit)));
    let Some((first, loss)) = rows.first() else {
        return vec!["No reel has diameters and hours enough to tell how fast it wears.".to_owned()];
    };
    let mut lines = vec![format!(
        "{} wears quickest: {} mm of diameter lost in 100 h, grinding included.",
        first.unit_title,
        decimal(*loss, 2)
    )];
    let told = |(unit, loss): &(&pb::UnitState, f64)| {
        format!("  {}: {} mm in 100 h{}", unit.unit_title, decimal(*loss, 2), left_line(reply, unit))
    };
    lines.extend(some(rows.iter().map(told).collect(), "sward report fleet"));
    lines
}

fn worn(reply: &pb::GetReportResponse) -> Vec<String> {
    let mut rows: Vec<&pb::UnitState> =
        reply.units.iter().filter(|unit| unit.diameter_mm.is_some()).collect();
    let used = |unit: &pb::UnitState| unit.wear_used_fraction.unwrap_or(-1.0);
    rows.sort_by(|a, b| used(b).total_cmp(&used(a)).then(a.unit.cmp(&b.unit)));
    if rows.is_empty() {
        return vec!["No reel diameter was recorded for it.".to_owned()];
    }
    // What is nearest its end by hours need not be the most worn.
    let soonest = rows.iter().filter_map(|unit| Some((*unit, left_h(reply, unit)?)));
    let soonest = soonest.reduce(|least, one| if one.1 < least.1 { one } else { least });
    let soonest = soonest.filter(|(unit, _)| unit.unit != rows[0].unit);
    let told = |(unit, left): (&pb::UnitState, f64)| {
        format!("Fewest hours left: {}, about {} h.", unit.unit_title, decimal(left.max(0.0), 0))
    };
    let mut lines: Vec<String> = soonest.map(told).into_iter().collect();
    lines.push("The most worn first:".to_owned());
    let told = |unit: &pb::UnitState| worn_line(unit) + &left_line(reply, unit);
    lines.extend(some(rows.into_iter().map(told).collect(), "sward report fleet"));
    lines
}

/// The reels by the hours that they have left, the most first.
fn most_left(reply: &pb::GetReportResponse) -> Vec<String> {
    let rows = reply.units.iter().filter_map(|unit| Some((unit, left_h(reply, unit)?)));
    let mut rows: Vec<(&pb::UnitState, f64)> = rows.collect();
    rows.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.unit.cmp(&b.0.unit)));
    if rows.is_empty() {
        return vec!["No reel has diameters and hours enough to tell what it has left.".to_owned()];
    }
    let told = |(unit, _): &(&pb::UnitState, f64)| worn_line(unit) + &left_line(reply, unit);
    let mut lines = vec!["The most hours left first:".to_owned()];
    lines.extend(some(rows.iter().map(told).collect(), "sward report fleet"));
    lines
}

fn left_h(reply: &pb::GetReportResponse, unit: &pb::UnitState) -> Option<f64> {
    let worn = |job: &&pb::DueJob| job.unit == unit.unit && job.work.ends_with("_diameter");
    reply.due.iter().find(worn)?.left_h
}

/// "; about 928 h left: 124.4 mm on 23 Jul 2026; least 114 mm."
fn left_line(reply: &pb::GetReportResponse, unit: &pb::UnitState) -> String {
    let worn = |job: &&pb::DueJob| job.unit == unit.unit && job.work.ends_with("_diameter");
    let Some(job) = reply.due.iter().find(worn) else { return String::new() };
    let least = job.why.rsplit_once("least ").map(|(_, least)| least.trim_end_matches('.'));
    let down_to = least.map_or_else(String::new, |least| format!(", down to {least}"));
    let left_h = job.left_h.unwrap_or_default();
    // What may still be worn and ground off.
    let least_mm = least.and_then(|least| least.trim_end_matches(" mm").parse::<f64>().ok());
    let steel = least_mm.zip(unit.diameter_mm).map(|(least, now)| now - least);
    let steel = steel.filter(|mm| *mm > 0.0);
    let steel = steel.map_or_else(String::new, |mm| format!(" ({} mm from now)", decimal(mm, 2)));
    match left_h > 0.0 {
        true => format!("; about {} h left{down_to}{steel}", decimal(left_h, 0)),
        false => format!("; nothing left{down_to}"),
    }
}

fn worn_line(unit: &pb::UnitState) -> String {
    let mut parts = vec![format!(
        "{} mm on {}",
        plain(unit.diameter_mm.unwrap_or_default()),
        date(unit.diameter_time.as_ref())
    )];
    parts.push(match unit.wear_used_fraction {
        Some(used) => format!("{} % of its wear used", decimal(100.0 * used, 0)),
        None => "new and smallest diameter not recorded, so no share of its wear".to_owned(),
    });
    if let Some(loss) = unit.loss_per_100_h_mm {
        parts.push(format!("{} mm lost in 100 h", decimal(loss, 2)));
    }
    if let Some(taper) = unit.taper_mm {
        parts.push(format!("cone {} mm", decimal(taper, 2)));
    }
    if let Some(since) = unit.since_ground_h {
        parts.push(format!("ground {} h ago", decimal(since, 0)));
    }
    format!("  {}: {}", unit.unit_title, parts.join(", "))
}

fn coming_back(reply: &pb::GetReportResponse) -> Vec<String> {
    let rows = reply.returning.iter().filter(|row| row.comes_back).map(|row| {
        let counted = row.counted_per_100_h.map_or_else(String::new, |rate| {
            format!(
                ", {} in 100 h where units alike have {}",
                decimal(rate, 1),
                decimal(row.alike_per_100_h, 1)
            )
        });
        format!("  {}: {}, {} times{counted}", row.unit_title, named(row), row.count)
    });
    let rows: Vec<String> = rows.collect();
    let mut lines = Vec::new();
    if rows.is_empty() {
        lines.push("Nothing came back on one unit more than on those alike.".to_owned());
    } else {
        lines.push("Coming back on one unit more than on those alike:".to_owned());
        lines.extend(some(rows, "sward report fleet"));
    }
    let mut causes: Vec<&pb::CauseRate> = reply.causes.iter().collect();
    // Faults after the last reading of the meter are faults all the same; no rate holds them.
    let all = |row: &pb::CauseRate| row.count + row.without_hours_count;
    causes.sort_by(|a, b| all(b).cmp(&all(a)).then(a.cause.cmp(&b.cause)));
    if !causes.is_empty() {
        lines.push("Found most often:".to_owned());
        let line = |row: &&pb::CauseRate| {
            let title = if row.title.is_empty() { &row.cause } else { &row.title };
            let (times, units) = (counted(all(row), "time"), counted(row.unit_count, "unit"));
            let late = match row.without_hours_count {
                0 => String::new(),
                late => format!(" ({late} of them when no hours were read, so in no rate)"),
            };
            format!("  {title}: {times} on {units}{late}")
        };
        lines.extend(some(causes.iter().map(line).collect(), "sward report fleet"));
    }
    lines
}

fn named(row: &pb::ReturningFault) -> &str {
    if row.title.is_empty() { &row.cause } else { &row.title }
}

fn remedies(reply: &pb::GetReportResponse) -> Vec<String> {
    if reply.remedies.is_empty() {
        return vec!["No remedy was recorded with its outcome.".to_owned()];
    }
    let named = |row: &pb::RemedyRecord| match row.procedure_title.as_str() {
        "" => format!("{} (no procedure named)", row.title),
        title => format!("{}: {title}", row.title),
    };
    let back = |row: &pb::RemedyRecord| row.came_back_count + row.not_cured_count;
    let mut not: Vec<&pb::RemedyRecord> =
        reply.remedies.iter().filter(|row| back(row) > 0).collect();
    not.sort_by_key(|row| std::cmp::Reverse(back(row)));
    let not = not.iter().map(|row| {
        format!(
            "  {}: cured {}, of which {} came back; not cured {}",
            named(row), row.cured_count, row.came_back_count, row.not_cured_count
        )
    });
    let held = reply.remedies.iter().filter(|row| back(row) == 0);
    let held = held.map(|row| format!("  {}: cured {}", named(row), row.cured_count));
    let (not, held): (Vec<String>, Vec<String>) = (not.collect(), held.collect());
    let mut lines = Vec::new();
    if !not.is_empty() {
        lines.push("Did not last, or did not cure, most often first:".to_owned());
        lines.extend(some(not, "sward report fleet"));
    }
    if !held.is_empty() {
        lines.push("Cured, and not found again so far:".to_owned());
        lines.extend(some(held, "sward report fleet"));
    }
    lines
}

/// `by_hour`: by minutes of work for each hour it ran.
fn costs(reply: &pb::GetReportResponse, by_hour: bool) -> Vec<String> {
    let mut rows: Vec<&pb::MachineCost> = reply.costs.iter().collect();
    let rate = |row: &pb::MachineCost| (row.hours_h > 0.0).then(|| row.minutes / row.hours_h);
    rows.sort_by(|a, b| b.minutes.total_cmp(&a.minutes).then(a.machine.cmp(&b.machine)));
    if by_hour {
        let of = |row: &pb::MachineCost| rate(row).unwrap_or(-1.0);
        rows.sort_by(|a, b| of(b).total_cmp(&of(a)).then(a.machine.cmp(&b.machine)));
    }
    let total_h: f64 = rows.iter().map(|row| row.minutes).sum::<f64>() / 60.0;
    let parts: u32 = rows.iter().map(|row| row.part_count).sum();
    let mut lines =
        vec![format!("{} h of work and {parts} parts, by machine:", decimal(total_h, 1))];
    let line = |row: &&pb::MachineCost| {
        let most = row
            .kinds
            .first()
            .map_or_else(String::new, |kind| format!(", most on {}", kind.kind.replace('_', " ")));
        let most = match rate(row).filter(|_| by_hour) {
            Some(rate) => format!(": {} min of work for each hour it ran", decimal(rate, 1)),
            None => most,
        };
        format!(
            "  {}: {} h of work, {}, {} machine hours{most}",
            row.machine_title,
            decimal(row.minutes / 60.0, 1),
            counted(row.part_count, "part"),
            decimal(row.hours_h, 0)
        )
    };
    lines.extend(some(rows.iter().map(line).collect(), "sward report fleet"));
    let unpriced =
        rows.iter().any(|row| row.labour_cost.is_none() || !row.unpriced_parts.is_empty());
    if unpriced {
        lines.push(
            "No money is named, because no prices are known here; sward report fleet takes them."
                .to_owned(),
        );
    }
    lines
}

fn standing(reply: &pb::GetReportResponse) -> Vec<String> {
    let mut lines = Vec::new();
    let now = reply.due.iter().filter(|job| job.left_h.is_some_and(|left| left <= 0.0));
    let now: Vec<&pb::DueJob> = now.collect();
    match now.len() {
        0 => lines.push("Nothing is due now.".to_owned()),
        count => lines.push(format!("{count} due now:")),
    }
    lines.extend(some(due_lines(&now), "sward due"));
    let open = reply.units.iter().flat_map(|unit| {
        let line = |fault: &pb::OpenFault| {
            let what = if fault.fault.is_empty() { &fault.cause } else { &fault.fault };
            format!("  {}: {what} (since {})", unit.unit_title, date(fault.time.as_ref()))
        };
        unit.open_faults.iter().map(line).collect::<Vec<_>>()
    });
    let open: Vec<String> = open.collect();
    if !open.is_empty() {
        lines.push(format!("{} faults not said to be gone:", open.len()));
        lines.extend(some(open, "sward report fleet"));
    }
    if let [unit] = &reply.units[..] {
        lines.extend(height_line(unit));
        lines.push(worn_line(unit));
    }
    let back = reply.returning.iter().filter(|row| row.comes_back);
    let back: Vec<String> = back
        .map(|row| format!("  {}: {}, {} times", row.unit_title, named(row), row.count))
        .collect();
    if !back.is_empty() {
        lines.push("Coming back more than on units alike:".to_owned());
        lines.extend(some(back, "sward report fleet"));
    }
    lines
}

fn height_line(unit: &pb::UnitState) -> Option<String> {
    let read = unit.height_mm?;
    let target = unit
        .target_height_mm
        .map_or_else(String::new, |target| format!(", target {} mm", plain(target)));
    let when = date(unit.height_time.as_ref());
    Some(format!("  {}: bench height {} mm on {when}{target}", unit.unit_title, decimal(read, 2)))
}

fn card(reply: &pb::GetSettingCardResponse) -> Vec<String> {
    let mut lines = vec![format!("Setting card of {}:", reply.unit_title)];
    lines.extend(reply.settings.iter().map(setting_line));
    if let (Some(per_turn), Some(turns)) = (reply.height_change_per_turn_mm, reply.turns_per_mm) {
        lines.push(format!(
            "  One turn of the height adjuster: {} mm of height ({}); {} turns to the millimetre",
            decimal(per_turn.abs(), 2),
            reply.turn_source,
            decimal(turns, 2)
        ));
    }
    let due: Vec<String> =
        reply.due.iter().filter(|job| job.left_h.is_some()).map(due_line).collect();
    if !due.is_empty() {
        lines.push("Due:".to_owned());
        lines.extend(some(due, "sward due"));
    }
    lines.push(format!("sward sheet {} prints it.", short(&reply.unit)));
    lines
}

/// "greens-triplex/2" of the full name.
fn short(name: &str) -> String {
    let rest = name.split_once("/machines/").map_or(name, |(_, rest)| rest);
    rest.replace("/units/", "/")
}

fn setting_line(row: &pb::CardSetting) -> String {
    let unit = &row.quantity_unit;
    let number = |value: f64| decimal(value, 2);
    let with_unit = |text: String| format!("{text} {unit}").trim_end().to_owned();
    let wanted = match (row.target, row.low, row.high) {
        (Some(target), _, _) => with_unit(format!("target {}", number(target))),
        (None, Some(low), Some(high)) => with_unit(format!("{} to {}", number(low), number(high))),
        (None, None, Some(high)) => with_unit(format!("at most {}", number(high))),
        (None, Some(low), None) => with_unit(format!("at least {}", number(low))),
        (None, None, None) => "no target known".to_owned(),
    };
    let last = row.last.map_or_else(
        || ", not read yet".to_owned(),
        |last| {
            let verdict = match row.inside {
                Some(true) => ", inside",
                Some(false) => ", OUT",
                None => "",
            };
            format!(
                ", last {} on {}{verdict}",
                with_unit(number(last)),
                date(row.last_time.as_ref())
            )
        },
    );
    format!("  {}: {wanted}{last}", row.title)
}

fn heights(reply: &pb::PlanHeightsResponse) -> Vec<String> {
    let mut lines = Vec::new();
    if !reply.answer.is_empty() {
        lines.push(reply.answer.clone());
    }
    lines.extend(super::say::still_needed(&reply.missing));
    let step = |step: &pb::SeasonStep| {
        let units: Vec<String> = step
            .units
            .iter()
            .filter_map(|unit| {
                let bench = unit.bench_height_mm?;
                Some(format!("{} at {} mm", unit.unit_title, decimal(bench, 2)))
            })
            .collect();
        let units =
            if units.is_empty() { String::new() } else { format!("; bench {}", units.join(", ")) };
        format!("  {}: cut at {} mm{units}", step.date, decimal(step.height_mm, 2))
    };
    lines.extend(some(reply.steps.iter().map(step).collect(), "sward plan heights"));
    lines.extend(reply.advisories.iter().map(|advisory| format!("  Note: {}", advisory.text)));
    lines
}
