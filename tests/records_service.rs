//! Records from end to end: the command line on a data directory of its own, and the service
//! inside this process. What was stored once is stored once, what was amended is still there, what
//! fixes teach is told, and a directory has one opener.

use std::path::Path;
use std::process::{Command, Output};

use sward_core::pb;
use sward_core::pb::diagnosis_service_client::DiagnosisServiceClient;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::service::{Shop, channel_to};
use tonic::Code;
use tonic::transport::Channel;

const HOME_UNIT: &str = "sites/home/machines/greens-triplex/units/2";

fn sward(data: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sward"))
        .args(arguments)
        .arg("--data")
        .arg(data)
        .env_remove("SWARD_SERVER")
        .output()
        .expect("the program runs")
}

fn said(data: &Path, arguments: &[&str]) -> String {
    let output = sward(data, arguments);
    let error = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{arguments:?}: {error}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn add_unit(data: &Path) {
    said(data, &["add", "machine", "Greens triplex", "--equipment", "reel_unit"]);
    said(data, &["add", "unit", "greens-triplex", "2", "--type", "greens reel"]);
}

#[test]
fn a_retry_stores_nothing_twice_and_an_amendment_keeps_history() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    add_unit(&data);
    let id = "7c9e6679-7425-40de-944b-e07fc1f90ae7";
    let grind = [
        "record", "sharpening", "greens-triplex/2", "--method", "spin_grind", "--time",
        "2026-03-14", "--diameter-before-mm", "5.02 in", "--request-id", id,
    ];
    assert!(said(&data, &grind).starts_with("Stored: 2026-03-14 sharpening"));
    assert!(said(&data, &grind).starts_with("Already there"));
    let log = said(&data, &["log", "greens-triplex/2"]);
    assert_eq!(log.matches("sharpening, greens-triplex/2, r").count(), 1, "{log}");
    let name = log.lines().next().and_then(|line| line.split(", ").last()).expect("a name");
    said(&data, &["amend", name, "--notes", "It was the other wheel."]);
    let log = said(&data, &["log", "greens-triplex/2"]);
    assert_eq!(log.matches(" sharpening, ").count(), 1, "{log}");
    let log = said(&data, &["log", "greens-triplex/2", "--history"]);
    assert_eq!(log.matches(" sharpening, ").count(), 2, "{log}");
    assert!(log.contains("superseded by"), "{log}");
}

#[test]
fn a_table_read_twice_doubles_nothing_and_what_is_wrong_is_told() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    let table = place.path().join("table.csv");
    let rejects = place.path().join("rejects.csv");
    let text = "kind,time,machine,unit,machine_hours_h\n\
        hours,2026-03-14,Fairway gang,1,1412\nhours,2026-03-15,Fairway gang,1,minus\n";
    std::fs::write(&table, text).expect("a table");
    let file = table.to_str().expect("a path");
    let rejected = rejects.to_str().expect("a path");
    let import = ["import", file, "--create-missing", "--rejects", rejected];
    let first = said(&data, &import);
    assert!(first.contains("1 stored, 0 already there, 1 rejected"), "{first}");
    assert!(first.contains("row 3: machine_hours_h is \"minus\""), "{first}");
    let second = said(&data, &import);
    assert!(second.contains("0 stored, 1 already there, 1 rejected"), "{second}");
    let kept = std::fs::read_to_string(&rejects).expect("rejects");
    let wanted = "kind,time,machine,unit,machine_hours_h\n\
        hours,2026-03-15,Fairway gang,1,minus\n";
    assert_eq!(kept, wanted);
}

#[test]
fn a_copy_restores_what_it_held() {
    let place = tempfile::tempdir().expect("a directory");
    let (data, other) = (place.path().join("data"), place.path().join("other"));
    add_unit(&data);
    said(&data, &["record", "hours", "greens-triplex", "--machine-hours-h", "12"]);
    let copy = place.path().join("copy.sqlite3");
    let copy = copy.to_str().expect("a path");
    assert!(said(&data, &["backup", copy]).starts_with("Copied 1 records"));
    assert!(said(&other, &["restore", copy]).starts_with("Restored 1 records"));
    assert_eq!(said(&other, &["export", "--jsonl"]), said(&data, &["export", "--jsonl"]));
}

async fn fixed(records: &mut RecordsServiceClient<Channel>, cause: &str) -> String {
    let detail = pb::FaultFixedDetail {
        fault: "ragged cut".to_owned(),
        cause: cause.to_owned(),
        fixed: Some(true),
        ..pb::FaultFixedDetail::default()
    };
    let record = pb::Record {
        detail: Some(pb::record::Detail::FaultFixed(detail)),
        ..pb::Record::default()
    };
    let request = pb::CreateRecordRequest {
        parent: HOME_UNIT.to_owned(),
        record: Some(record),
        ..pb::CreateRecordRequest::default()
    };
    let reply = records.create_record(request).await.expect("a fix").into_inner();
    reply.record.expect("the record").name
}

#[tokio::test]
async fn fixes_change_the_order_of_causes_and_it_is_said() {
    let place = tempfile::tempdir().expect("a directory");
    let data = place.path().join("data");
    add_unit(&data);
    let shop = Shop::open(&data, None).expect("a shop");
    let channel = channel_to(shop).await.expect("a channel");
    let mut asked = DiagnosisServiceClient::new(channel.clone());
    let question = pb::DiagnoseRequest {
        complaint: "thin uncut line down the fairway, same place every pass".to_owned(),
        unit: HOME_UNIT.to_owned(),
        ..pb::DiagnoseRequest::default()
    };
    let before = asked.diagnose(question.clone()).await.expect("an answer").into_inner();
    assert!(before.history.is_empty(), "{:?}", before.history);
    let mut plain = question.clone();
    plain.unit = String::new();
    plain.equipment = pb::Equipment::ReelUnit.into();
    let table = asked.diagnose(plain).await.expect("an answer").into_inner();
    assert_eq!(before, table, "without records nothing changes");
    let second = before.causes[1].cause.clone();
    let mut records = RecordsServiceClient::new(channel);
    for _ in 0..40 {
        fixed(&mut records, &second).await;
    }
    let after = asked.diagnose(question.clone()).await.expect("an answer").into_inner();
    assert_eq!(after.causes[0].cause, second);
    assert_eq!(after.causes[0].past_fixes.len(), 5);
    assert!(after.history[0].contains("5 of the last 5 times this was"), "{:?}", after.history);
    assert!(after.history.iter().any(|line| line.contains("changed the order")));
    // What was read of the past is kept; a fix that comes later counts all the same, and one that
    // is withdrawn does not.
    let name = fixed(&mut records, &second).await;
    let later = asked.diagnose(question.clone()).await.expect("an answer").into_inner();
    assert_eq!(later.causes[0].past_fixes[0], name);
    assert!(later.causes[0].probability > after.causes[0].probability);
    let withdrawal =
        pb::AmendRecordRequest { name, withdraw: true, ..pb::AmendRecordRequest::default() };
    records.amend_record(withdrawal).await.expect("a withdrawal");
    let again = asked.diagnose(question).await.expect("an answer").into_inner();
    assert_eq!(again, after, "as if it had never been recorded");
}

#[tokio::test]
async fn a_second_opener_is_told_who_holds_the_records() {
    let place = tempfile::tempdir().expect("a directory");
    let list = pb::ListMachinesRequest::default();
    let open = async || {
        let shop = Shop::open(place.path(), None).expect("a shop");
        RecordsServiceClient::new(channel_to(shop).await.expect("a channel"))
    };
    let mut first = open().await;
    first.list_machines(list.clone()).await.expect("the first may");
    let status = open().await.list_machines(list).await.expect_err("the second may not");
    assert_eq!(status.code(), Code::FailedPrecondition);
    let holder = format!("process {}", std::process::id());
    assert!(status.message().contains(&holder), "{}", status.message());
    assert!(status.message().contains("use that server"), "{}", status.message());
}
