//! Figures told of the records, against the exported table counted here in another way: line by line,
//! by what stands in its columns.

use serde_json::Value;
use tempfile::TempDir;
use tonic::transport::Channel;
use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;
use sward_core::service::{Shop, channel_to};

use super::commands::{said, shop};

/// The folder of the invented shop, its exported table, and a client of it.
async fn exported_and_served() -> (TempDir, Vec<Value>, FleetServiceClient<Channel>) {
    let place = shop();
    let lines = said(place.path(), &["export", "--jsonl"]);
    let table: Vec<Value> =
        lines.lines().map(|line| serde_json::from_str(line).expect("a row")).collect();
    let served = Shop::open(place.path(), None).expect("it opens");
    let fleet = FleetServiceClient::new(channel_to(served).await.expect("it answers"));
    (place, table, fleet)
}

/// The exported rows that fit.
fn rows<'a>(table: &'a [Value], fits: impl Fn(&Value) -> bool) -> Vec<&'a Value> {
    table.iter().filter(|row| fits(row)).collect()
}

fn text<'a>(row: &'a Value, column: &str) -> &'a str {
    row[column].as_str().unwrap_or_default()
}

fn minutes(rows: &[&Value]) -> f64 {
    rows.iter().filter_map(|row| row["duration_min"].as_f64()).sum()
}

fn asked(question: pb::RecordsQuestion, words: &str, machine: &str) -> pb::AskRecordsRequest {
    let subjects = match machine {
        "" => Vec::new(),
        name => vec![format!("sites/home/machines/{name}")],
    };
    pb::AskRecordsRequest {
        subjects,
        question: question.into(),
        words: words.to_owned(),
        ..pb::AskRecordsRequest::default()
    }
}

fn year(year: i16) -> pb::RecordsSpan {
    let first = |year: i16| {
        let day = jiff::civil::date(year, 1, 1).at(0, 0, 0, 0);
        let day = day.to_zoned_datetime(jiff::tz::TimeZone::UTC).expect("a day");
        Some(prost_types::Timestamp { seconds: day.timestamp().as_second(), nanos: 0 })
    };
    pb::RecordsSpan { start_time: first(year), end_time: first(year + 1) }
}

/// Whether an action in words says that this part was changed.
fn new_part(row: &Value, part: &str) -> bool {
    let action = text(row, "action").to_lowercase();
    let clause = action.split([',', ';']).find(|clause| clause.contains(part)).unwrap_or_default();
    let listed = row["part"].to_string().contains(part);
    let said = ["new", "changed", "replaced"].iter().any(|word| clause.contains(word));
    let job = text(row, "procedure").starts_with("replace_") && text(row, "procedure").contains(part);
    match text(row, "kind") {
        "part_replaced" => listed,
        "fault_fixed" => listed || said || job,
        _ => false,
    }
}

#[tokio::test]
async fn figures_are_those_of_the_exported_table() {
    let (_place, table, mut fleet) = exported_and_served().await;
    let lapped = |row: &Value| text(row, "method") == "backlap";
    let ground = |row: &Value| text(row, "method").ends_with("grind");
    let on = |row: &Value, machine: &str| text(row, "machine") == machine;
    use pb::RecordsQuestion::{Count, Labour, Took};
    let triplex = "greens-triplex";
    for (question, words, machine, wanted) in [
        (Count, "backlapped", triplex, rows(&table, |row| lapped(row) && on(row, triplex))),
        (Count, "ground", "", rows(&table, ground)),
        (Count, "belt changed", "", rows(&table, |row| new_part(row, "belt"))),
        (Count, "bearings changed", triplex, rows(&table, |row| {
            new_part(row, "bearings") && on(row, triplex)
        })),
        (Count, "faults", triplex, rows(&table, |row| {
            text(row, "kind") == "fault_fixed" && on(row, triplex)
        })),
        (Labour, "", "front-rotary", rows(&table, |row| on(row, "front-rotary"))),
        (Took, "spin grind", "", rows(&table, |row| text(row, "method") == "spin_grind")),
    ] {
        let reply = fleet.ask_records(asked(question, words, machine)).await.expect("an answer");
        let reply = reply.into_inner();
        assert_eq!(reply.total_count, wanted.len() as i64, "{words} {machine}: {:?}", reply.answer);
        if question == Labour {
            let hours = format!("{:.1} h of work", minutes(&wanted) / 60.0);
            assert!(reply.answer[0].starts_with(&hours), "{hours}: {:?}", reply.answer);
        }
    }
}

#[tokio::test]
async fn two_people_and_two_years_stand_side_by_side() {
    let (_place, table, mut fleet) = exported_and_served().await;
    let people = ["bench one", "bench two"];
    let mut of_people = asked(pb::RecordsQuestion::Labour, "", "");
    of_people.people = people.map(str::to_owned).to_vec();
    let reply = fleet.ask_records(of_people).await.expect("an answer").into_inner();
    for person in people {
        let own = rows(&table, |row| text(row, "done_by") == person);
        let wanted = format!("{person}: {:.1} h of work", minutes(&own) / 60.0);
        assert!(reply.answer.iter().any(|line| line.starts_with(&wanted)), "{:?}", reply.answer);
    }
    let mut of_years = asked(pb::RecordsQuestion::Count, "bedknives", "");
    of_years.spans = vec![year(2025), year(2026)];
    let reply = fleet.ask_records(of_years).await.expect("an answer").into_inner();
    for year in ["2025", "2026"] {
        let own = rows(&table, |row| {
            new_part(row, "bedknife") && text(row, "time").starts_with(year)
        });
        let wanted = format!("{year}: {} times", own.len());
        assert!(reply.answer.iter().any(|line| line.starts_with(&wanted)), "{:?}", reply.answer);
    }
    let mut by_month = asked(pb::RecordsQuestion::Count, "faults", "");
    by_month.by = pb::RecordsBy::Month.into();
    let reply = fleet.ask_records(by_month).await.expect("an answer").into_inner();
    let mut months = std::collections::BTreeMap::new();
    for row in rows(&table, |row| text(row, "kind") == "fault_fixed") {
        *months.entry(text(row, "time")[..7].to_owned()).or_insert(0) += 1;
    }
    let most = months.values().max().copied().unwrap_or_default();
    assert!(reply.answer[0].ends_with(&format!("most faults, {most}.")), "{:?}", reply.answer);
}

#[tokio::test]
async fn every_return_in_the_days_asked_about_is_counted() {
    let (_place, table, mut fleet) = exported_and_served().await;
    let fault = |row: &Value| text(row, "kind") == "fault_fixed";
    let same = |a: &Value, b: &Value| {
        ["machine", "unit", "cause"].iter().all(|column| text(a, column) == text(b, column))
    };
    let returned = |row: &Value| {
        let earlier = rows(&table, |one| {
            fault(one) && same(one, row) && text(one, "time") < text(row, "time")
        });
        let last = earlier.iter().max_by_key(|one| text(one, "time").to_owned());
        let known = !text(row, "unit").is_empty() && !text(row, "cause").is_empty();
        known && last.is_some_and(|one| one["fixed"] == true)
    };
    let of_year = |row: &Value| fault(row) && text(row, "time").starts_with("2026");
    let all = rows(&table, of_year).len();
    let back = rows(&table, |row| of_year(row) && returned(row)).len();
    assert!(back > 2, "{back}");
    let mut held = asked(pb::RecordsQuestion::Held, "faults", "");
    held.spans = vec![year(2026)];
    let reply = fleet.ask_records(held).await.expect("an answer").into_inner();
    let wanted = format!("{back} of {all} faults");
    assert!(reply.answer[0].contains(&wanted), "{wanted}: {:?}", reply.answer);
}

#[tokio::test]
async fn an_inspection_is_no_change_and_a_stranger_has_no_figure() {
    let (_place, table, mut fleet) = exported_and_served().await;
    let changed = rows(&table, |row| {
        new_part(row, "bearings") && text(row, "machine") == "fairway-five"
    });
    let since = asked(pb::RecordsQuestion::Hours, "bearings", "fairway-five");
    let reply = fleet.ask_records(since).await.expect("an answer").into_inner();
    assert_eq!(reply.total_count, changed.len() as i64, "{:?}", reply.answer);
    assert!(reply.answer.iter().any(|line| line.starts_with("Never recorded on ")), "{reply:?}");
    let mut of_nobody = asked(pb::RecordsQuestion::Labour, "", "");
    of_nobody.people = vec!["maureen".to_owned()];
    let reply = fleet.ask_records(of_nobody).await.expect("an answer").into_inner();
    assert!(reply.answer[0].starts_with("No Maureen in the records"), "{:?}", reply.answer);
    assert_eq!(reply.total_count, 0);
}

#[tokio::test]
async fn earlier_faults_with_the_signs_of_a_complaint_are_found_and_else_looked_for_wider() {
    let (_place, _table, mut fleet) = exported_and_served().await;
    let mut shown = asked(pb::RecordsQuestion::History, "", "greens-triplex/units/2");
    shown.findings = vec!["uncut_line".to_owned()];
    let reply = fleet.ask_records(shown.clone()).await.expect("an answer").into_inner();
    assert!(reply.total_count > 0, "{:?}", reply.answer);
    assert!(reply.records.iter().all(|row| row.what.contains("streak")), "{:?}", reply.records);
    shown.findings = vec!["none_such".to_owned(); 65];
    let status = fleet.ask_records(shown).await.expect_err("too many");
    assert!(status.message().contains("findings"), "{status:?}");
}
