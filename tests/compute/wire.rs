//! `SettingsService` on the wire: what no command line can send is refused as well, and the answers
//! are the same bytes each time.

use std::sync::Arc;

use sward_core::pb;
use sward_core::pb::settings_service_client::SettingsServiceClient;
use sward_core::service::{Shop, channel_to};
use tonic::transport::Channel;
use tonic::{Code, Status};
use tonic_types::StatusExt;

async fn client(data: &tempfile::TempDir) -> SettingsServiceClient<Channel> {
    let shop: Arc<Shop> = Shop::open(data.path(), None).expect("a shop opens");
    SettingsServiceClient::new(channel_to(shop).await.expect("a channel"))
}

/// The field, and that value and remedy are named too.
fn refused(status: &Status, field: &str) {
    assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
    let details = status.get_details_bad_request().expect("a bad request names its field");
    assert_eq!(details.field_violations[0].field, field, "{status:?}");
    assert!(details.field_violations[0].description.contains(": "), "{status:?}");
}

#[tokio::test]
async fn numbers_that_are_none_are_refused_by_name() {
    let data = tempfile::tempdir().expect("a directory");
    let mut client = client(&data).await;
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -0.0, 1e308] {
        let request = pb::ClipSpacingRequest {
            ground_speed_mps: Some(1.5),
            blade_count: Some(11),
            reel_speed_rpm: Some(bad),
            ..Default::default()
        };
        refused(&client.clip_spacing(request).await.expect_err("refused"), "reel_speed_rpm");
    }
}

#[tokio::test]
async fn choices_outside_their_list_are_refused_by_name() {
    let data = tempfile::tempdir().expect("a directory");
    let mut client = client(&data).await;
    let clip = pb::ClipSpacingRequest { surface: 99, ..Default::default() };
    refused(&client.clip_spacing(clip).await.expect_err("refused"), "surface");
    let gang = pb::MatchUnitsRequest { surface: -1, ..Default::default() };
    refused(&client.match_units(gang).await.expect_err("refused"), "surface");
    let cost = pb::RepairCostRequest { mower_type: 9, ..Default::default() };
    refused(&client.repair_cost(cost).await.expect_err("refused"), "mower_type");
    let reading = pb::GapReading { strip: 7, ..Default::default() };
    let map = pb::PaperMapRequest { gap_mm: vec![reading], ..Default::default() };
    refused(&client.paper_map(map).await.expect_err("refused"), "gap_mm[0].strip");
}

#[tokio::test]
async fn a_thousand_rows_are_worked_out_and_one_more_is_refused() {
    let data = tempfile::tempdir().expect("a directory");
    let mut client = client(&data).await;
    let failures = |count: u32| pb::ServiceIntervalRequest {
        failure_times_h: (0..count).map(|number| 300.0 + f64::from(number * 37 % 500)).collect(),
        ..Default::default()
    };
    let reply = client.service_interval(failures(1_000)).await.expect("answered").into_inner();
    assert_eq!(reply.failure_count, Some(1_000));
    let status = client.service_interval(failures(1_001)).await.expect_err("refused");
    refused(&status, "failure_times_h");
}

#[tokio::test]
async fn the_same_question_gives_the_same_reply() {
    let data = tempfile::tempdir().expect("a directory");
    let mut client = client(&data).await;
    let question = pb::BenchHeightRequest {
        target_effective_height_mm: Some(3.2),
        reading_bench_height_mm: Some(3.5),
        effective_height_readings_mm: vec![3.1, 3.0, 3.2, 3.1],
        history: vec![pb::HeightReading {
            bench_height_mm: Some(3.5),
            effective_height_mm: Some(3.2),
            age_days: Some(30.0),
            ..Default::default()
        }],
        ..Default::default()
    };
    let first = client.bench_height(question.clone()).await.expect("answered").into_inner();
    let second = client.bench_height(question).await.expect("answered").into_inner();
    assert_eq!(first, second);
    // Four readings and one of the history: nested on neither side is forgotten.
    assert_eq!(first.reading_count, Some(5));
}
