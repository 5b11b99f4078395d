//! Questions to single records, on the invented shop: what is told agrees with the records counted
//! one by one, and what cannot be asked is refused by name.

use std::collections::BTreeSet;

use sward_core::pb;
use sward_core::pb::fleet_service_client::FleetServiceClient;
use sward_core::service::{Shop, channel_to};
use tonic::Code;
use tonic::transport::Channel;

use super::commands::shop;

/// The invented shop, served in this process.
async fn fleet() -> (tempfile::TempDir, FleetServiceClient<Channel>) {
    let place = shop();
    let shop = Shop::open(place.path(), None).expect("it opens");
    (place, FleetServiceClient::new(channel_to(shop).await.expect("it answers")))
}

fn about(name: &str, question: pb::RecordsQuestion, words: &str) -> pb::AskRecordsRequest {
    pb::AskRecordsRequest {
        subjects: vec![format!("sites/home/machines/{name}")],
        question: question.into(),
        words: words.to_owned(),
        ..pb::AskRecordsRequest::default()
    }
}

async fn ask(asked: pb::AskRecordsRequest) -> pb::AskRecordsResponse {
    let (_place, mut fleet) = fleet().await;
    fleet.ask_records(asked).await.expect("an answer").into_inner()
}

#[tokio::test]
async fn what_is_told_is_what_the_records_say() {
    let all = pb::AskRecordsRequest {
        question: pb::RecordsQuestion::Count.into(),
        words: "spin grind".to_owned(),
        ..pb::AskRecordsRequest::default()
    };
    let counted = ask(all).await;
    assert!(counted.total_count > 0, "{counted:?}");
    let told = &counted.answer[0];
    assert!(told.starts_with(&counted.total_count.to_string()), "{told}");
    let newest = ask(about("fairway-five/units/3", pb::RecordsQuestion::Last, "ground")).await;
    assert!(newest.answer[0].starts_with("Last: "), "{newest:?}");
    let times: Vec<i64> =
        newest.records.iter().map(|row| row.time.as_ref().map_or(0, |time| time.seconds)).collect();
    assert!(times.windows(2).all(|pair| pair[0] >= pair[1]), "the newest first: {times:?}");
    let subjects: BTreeSet<&str> = newest.records.iter().map(|row| row.subject.as_str()).collect();
    assert_eq!(subjects.len(), 1, "{subjects:?}");
    let none = ask(about("fairway-five", pb::RecordsQuestion::Last, "coolant")).await;
    assert_eq!(none.total_count, 0);
    assert!(none.answer[0].contains("says \"coolant\""), "{:?}", none.answer);
}

#[tokio::test]
async fn every_record_that_is_told_is_one_that_is_meant() {
    let counted = ask(about("greens-triplex", pb::RecordsQuestion::Count, "spin grind")).await;
    let rows: BTreeSet<String> = counted.records.iter().map(|row| row.record.clone()).collect();
    assert_eq!(rows.len() as i64, counted.total_count, "none twice");
    for row in &counted.records {
        assert!(row.what.contains("grind"), "{row:?}");
    }
}

#[tokio::test]
async fn what_cannot_be_asked_is_refused_by_name() {
    let (_place, mut fleet) = fleet().await;
    let many = pb::AskRecordsRequest {
        subjects: vec!["sites/home/machines/greens-triplex".to_owned(); 65],
        ..pb::AskRecordsRequest::default()
    };
    let second = |seconds| Some(prost_types::Timestamp { seconds, nanos: 0 });
    let back = pb::AskRecordsRequest {
        start_time: second(1_700_000_000),
        end_time: second(1_600_000_000),
        ..pb::AskRecordsRequest::default()
    };
    let long = pb::AskRecordsRequest { words: "x".repeat(4_001), ..Default::default() };
    let odd = pb::AskRecordsRequest { question: 99, ..Default::default() };
    let name = pb::AskRecordsRequest { done_by: "n".repeat(81), ..Default::default() };
    for (asked, field) in
        [(many, "subjects"), (back, "end_time"), (long, "words"), (odd, "question"), (name, "done_by")]
    {
        let status = fleet.ask_records(asked).await.expect_err(field);
        assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
        assert!(status.message().contains(field), "{status:?}");
    }
    let unknown = about("no-such-mower", pb::RecordsQuestion::Hours, "");
    let status = fleet.ask_records(unknown).await.expect_err("it is not there");
    assert_eq!(status.code(), Code::NotFound, "{status:?}");
}
