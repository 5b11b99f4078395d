//! Inputs made by chance break nothing, in a second or so for each part of the program; and what
//! once broke it does not any more. The long form is the example `fuzz`.

mod dice;
mod driver;
mod messages;
mod mutate;
mod targets;

use std::sync::{Mutex, PoisonError};
use std::time::Duration;

const TIME: Duration = Duration::from_millis(1_500);

/// Panics are noted for the whole process, so one target is driven at a time.
static ALONE: Mutex<()> = Mutex::new(());

/// What once broke a target.
const BROKE: &[(&str, &[u8])] = &[];

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
