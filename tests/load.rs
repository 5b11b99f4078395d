//! Many clients at once, for a few seconds: no acknowledged write lost or doubled, no other answer
//! than alone. The long form, and that with faults, is `bench load`.

mod crowd;

use std::path::Path;
use std::time::Duration;

#[test]
fn twenty_clients_at_once_see_what_one_sees() {
    let program = Path::new(env!("CARGO_BIN_EXE_swardd"));
    let time = Duration::from_secs(10);
    let plan = crowd::Plan { clients: 20, questions: 40, time, faults: false, seed: 1 };
    let report = crowd::run(program, &plan).expect("a run");
    println!("{report}");
    assert!(report.wrong.is_empty(), "{report}");
    assert!(report.acknowledged > 20 && report.calls() > 100, "hardly anything was done: {report}");
}
