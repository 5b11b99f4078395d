//! Inputs made by chance break nothing, in a second or so for each part of the program; and what
//! once broke it does not any more. The long form is the example `fuzz`.

mod dice;
mod driver;
mod messages;
mod mutate;
mod targets;

use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use sward_core::pb;
use sward_core::pb::guide_service_client::GuideServiceClient;
use sward_core::pb::records_service_client::RecordsServiceClient;
use sward_core::service::{Shop, channel_to};
use tonic::Code;
use tonic::transport::Channel;

const TIME: Duration = Duration::from_millis(1_500);

/// Panics are noted for the whole process, so one target is driven at a time.
static ALONE: Mutex<()> = Mutex::new(());

/// What once broke a target.
const BROKE: &[(&str, &[u8])] = &[
    // A fraction sign right before or between digits.
    ("conversation", "4½9unit L".as_bytes()),
    ("conversation", "½6".as_bytes()),
    // More digits than a number has, alone and before a unit.
    ("quantities", &[b'5'; 400]),
    ("quantities", b"\r954980709855498070984980754980708709898545498070989854980709807098098015\
        4980754980709549549807098549807098807098545495549807098498054980709854980709875498549807\
        0980705498070989809885498070980709854980709898075498070954980709880549854980709854980709\
        8070989885498070980983549549807098807549807098098549807549807"),
    ("quantities", b"\x0e6646480300060667030648030606676066764803060667648030606674864864803060\
        6676480306066703060664648030606678030606676703060666480306066777464803060648064803060667\
        3060667648030606676648030606648030606674803648030606664803060667706066764803060648030606\
        676676676648030606677803060648036480306066480306066767066480306"),
    ("quantities", b"58629868688686266298682988626298686298686298662986889862629868986862986868\
        6262986629629868868862986898629868686629868298686296662986862986829862962986298629868686\
        8629868868629868682986886862986826262986862962986886862986898662986886296298666298682986\
        88868662986829868962629868662986629868829868629868986886811/2"),
    ("quantities", b"\x1a1035751314528m"),
    ("requests", b"\x06\xab\"\x12\x11ee0/0l@\x00"),
    ("requests", b"2\x00\x1b\x00\t\x01\x00\x00\x00\x00\x00\x00\x00\x11\x00\x00\x00\x00\x00\x00\
        \xe0?\x19\x00\x00\x00\x00\x00\x00T@"),
    ("requests", b"'\x00\t\x0098\x93\xa1\xc4nev\x00"),
    ("requests", b"+\x00$\x00\t\x00\x00\x00\x00\x00\x00\x08@\x11\x00\x00\x00\x00\x00pw@)ffffff)@\
        1\x00\x00\x00\x00\x00\x08@\x00"),
    ("quantities", b"\x1c6666666666666666666666666666666666666666666666666666666666666666666666666666\
        6666666666666666666666666666666666666666666666666666666666666666666666666666666666666666666\
        6666666666666666666666666666666666666666666666666666666666666666666666666666666666666666666\
        66666666666666666666666666666666666666666666666666666666666666666666666666666666666666666lb"),
];

fn drive(name: &str) {
    assert!(targets::NAMES.contains(&name), "the long form does not know {name}");
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let data = tempfile::tempdir().expect("a directory");
    let mut target = targets::target(name, data.path()).expect("a target");
    for (_, input) in BROKE.iter().filter(|(target, _)| *target == name) {
        if let Err(what) = driver::try_once(target.as_mut(), input) {
            panic!("{name}: {what}\n{}", driver::shown(input));
        }
    }
    let outcome = driver::drive(target.as_mut(), 1, TIME);
    let finds: Vec<String> = outcome
        .finds
        .iter()
        .map(|find| format!("{name}: {}\n{}", find.what, driver::shown(&find.input)))
        .collect();
    assert!(finds.is_empty(), "{}", finds.join("\n"));
    assert!(outcome.executions > 0, "{name}: not one input in {TIME:?}");
    assert!(outcome.sorts > 1 || outcome.executions < 3, "{name}: every answer is the same");
}

#[test]
fn words_of_any_sort_are_answered() {
    drive("words");
}

#[test]
fn quantities_of_any_sort_are_read_or_refused() {
    drive("quantities");
}

#[test]
fn tables_of_any_sort_are_read_or_refused() {
    drive("tables");
}

#[test]
fn knowledge_files_of_any_sort_are_read_or_refused() {
    drive("knowledge");
}

#[test]
fn requests_of_any_sort_are_answered_or_refused() {
    drive("requests");
}

async fn channel(data: &tempfile::TempDir) -> Channel {
    let shop = Shop::open(data.path(), None).expect("a shop");
    channel_to(shop).await.expect("a channel")
}

#[test]
fn conversations_of_any_sort_go_on() {
    drive("conversation");
}

/// A refusal travels in headers, and a client drops a call whose headers are too long.
#[tokio::test]
async fn a_refusal_reaches_the_client_however_long_the_value() {
    let data = tempfile::tempdir().expect("a directory");
    let channel = channel(&data).await;
    let request = pb::GetProcedureRequest { procedure: "\u{20ac}uro".repeat(20_000) };
    let status = GuideServiceClient::new(channel.clone()).get_procedure(request).await;
    let status = status.expect_err("no such procedure");
    assert_eq!(status.code(), Code::NotFound, "{status:?}");
    assert!(status.message().contains("(80000 characters)"), "{}", status.message());
    let parts = (0..200).map(|_| pb::PartReplacement {
        part: "\u{7}".repeat(3_000),
        ..pb::PartReplacement::default()
    });
    let detail = pb::PartReplacedDetail { parts: parts.collect(), ..Default::default() };
    let detail = Some(pb::record::Detail::PartReplaced(detail));
    let record = Some(pb::Record { detail, ..pb::Record::default() });
    let request = pb::CreateRecordRequest { record, ..pb::CreateRecordRequest::default() };
    let status = RecordsServiceClient::new(channel).create_record(request).await;
    let status = status.expect_err("no such parts");
    assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
    assert!(status.message().contains("more like these"), "{}", status.message());
}

#[tokio::test]
async fn a_file_that_is_no_copy_is_the_fault_of_who_sends_it() {
    let data = tempfile::tempdir().expect("a directory");
    let sent = pb::RestoreRecordsRequest { chunk: b"anti_scalp_wheel_off".to_vec() };
    let mut client = RecordsServiceClient::new(channel(&data).await);
    let status = client.restore_records(tokio_stream::iter([sent])).await.expect_err("refused");
    assert_eq!(status.code(), Code::InvalidArgument, "{status:?}");
    assert!(status.message().contains("a file that a backup wrote"), "{}", status.message());
}

/// A driver that finds nothing in a broken program would prove nothing.
#[test]
fn a_broken_target_is_found_out() {
    struct Broken;
    impl targets::Target for Broken {
        fn name(&self) -> &'static str {
            "broken"
        }
        fn corpus(&self) -> Vec<Vec<u8>> {
            vec![b"gap 12 thou".to_vec()]
        }
        fn run(&mut self, input: &[u8]) -> Result<u64, String> {
            assert!(!input.contains(&b'7'), "seven");
            if input.contains(&b'9') { Err("nine".to_owned()) } else { Ok(0) }
        }
    }
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let outcome = driver::drive(&mut Broken, 1, Duration::from_millis(500));
    let inputs: Vec<&[u8]> = outcome.finds.iter().map(|find| &find.input[..]).collect();
    assert_eq!(inputs.len(), 2, "{inputs:?}");
    assert!(inputs.contains(&&b"7"[..]) && inputs.contains(&&b"9"[..]), "{inputs:?}");
}
