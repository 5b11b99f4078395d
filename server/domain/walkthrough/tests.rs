//! What a walk shows, asks and keeps, on a procedure made for it and on random ways through it.

use super::*;
use crate::domain::catalogue::{Basis, Caution};
use crate::domain::records::Detail;

fn reading(id: &str, unit: &str, accept: Acceptance, back: Option<usize>) -> StepReading {
    let label = format!("The {id}");
    StepReading { id: id.into(), unit: unit.into(), label, accept, otherwise_step: back }
}

fn step(title: &str, cautions: &[&str], readings: Vec<StepReading>, text: &str) -> Step {
    Step {
        title: title.into(),
        cautions: cautions.iter().map(|id| (*id).to_owned()).collect(),
        why: format!("Because of {title}."),
        readings,
        compute: None,
        text: text.into(),
    }
}

fn procedure(id: &str, steps: Vec<Step>) -> Procedure {
    Procedure {
        id: id.into(),
        title: format!("Title of {id}"),
        equipment: Vec::new(),
        minutes: 15.0,
        tools: vec!["spanner".into()],
        summary: "What it does.".into(),
        basis: Basis::CommonPractice,
        references: Vec::new(),
        steps,
    }
}

fn knowledge() -> Knowledge {
    let range = |max: f64| Acceptance::Range { min: 0.0, max };
    let main = procedure(
        "set_height_of_cut",
        vec![
            step("Secure", &["isolate"], Vec::new(), "Do `secure`."),
            step("Look", &[], vec![reading("tight", "yes/no", Acceptance::Yes, Some(2))], "Look."),
            step("Turn", &["hands"], Vec::new(), "Turn the screw."),
            step(
                "Read",
                &["hands"],
                vec![
                    reading("clamped_leading_mm", "mm", range(120.0), Some(3)),
                    reading("clamped_trailing_mm", "mm", range(120.0), Some(3)),
                    reading("ends_differ_mm", "mm", range(0.05), Some(3)),
                    reading("kept_mm", "mm", range(1.0), None),
                ],
                "Read both ends.",
            ),
        ],
    );
    let secure = procedure(
        "secure",
        vec![
            step("Park", &["slope"], Vec::new(), "Park."),
            step("Key", &["isolate"], Vec::new(), "Key."),
        ],
    );
    let caution = |id: &str| Caution {
        id: id.into(),
        title: format!("Title {id}"),
        text: format!("Mind the {id}."),
        source: "common practice".into(),
        stops_work: false,
    };
    Knowledge {
        procedures: vec![secure, main],
        cautions: ["hands", "isolate", "slope"].into_iter().map(caution).collect(),
        ..Knowledge::default()
    }
}

fn begun() -> (Knowledge, Walk) {
    let knowledge = knowledge();
    let walk = Walk::begin(&knowledge, "set_height_of_cut").expect("it is known");
    (knowledge, walk)
}

fn ok(walk: &Walk) -> Move {
    let (procedure, step) = walk.at();
    Move::Acknowledge { procedure: procedure.to_owned(), step }
}

fn make(knowledge: &Knowledge, walk: &mut Walk, made: Move) -> Event {
    walk.make(knowledge, &made).expect("it is known")
}

fn number(value: f64) -> Move {
    Move::Read(Value::Number(value))
}

/// To step 4 with its cautions read.
fn at_the_readings() -> (Knowledge, Walk) {
    let (knowledge, mut walk) = begun();
    for made in [0, 1, 2, 3, 4, 5] {
        let made = match made {
            0 | 3 | 5 => ok(&walk),
            2 => Move::Read(Value::Yes),
            _ => Move::Done,
        };
        make(&knowledge, &mut walk, made);
    }
    (knowledge, walk)
}

#[test]
fn the_step_is_shown_once_its_cautions_were_read() {
    let (knowledge, mut walk) = begun();
    let view = walk.view(&knowledge).expect("a step");
    assert!(!view.open);
    let lines = sheet::step_lines(&knowledge, &view).join("\n");
    assert!(lines.contains("Mind the isolate.") && !lines.contains("secure"), "{lines}");
    for made in [Move::Done, Move::Skip, number(1.0)] {
        let Event::Refused(why) = make(&knowledge, &mut walk, made) else { panic!("let through") };
        assert!(why.contains("cannot be skipped"), "{why}");
    }
    let other = Move::Acknowledge { procedure: "set_height_of_cut".into(), step: 3 };
    assert!(matches!(make(&knowledge, &mut walk, other), Event::Refused(_)));
    let made = ok(&walk);
    assert_eq!(make(&knowledge, &mut walk, made), Event::Shown(Vec::new()));
    let view = walk.view(&knowledge).expect("a step");
    assert!(view.open);
    assert_eq!(view.within.len(), 1, "it sends to secure");
    // The first step makes safe and is not left out.
    assert!(matches!(make(&knowledge, &mut walk, Move::Skip), Event::Refused(_)));
}

#[test]
fn a_procedure_within_is_gone_through_and_left_again() {
    let (knowledge, mut walk) = begun();
    let made = ok(&walk);
    make(&knowledge, &mut walk, made);
    make(&knowledge, &mut walk, Move::Into("secure".into()));
    assert_eq!(walk.at(), ("secure", 1));
    assert!(!walk.view(&knowledge).expect("a step").open, "its cautions are its own");
    assert!(matches!(make(&knowledge, &mut walk, Move::Into("secure".into())), Event::Refused(_)));
    for _ in 0..2 {
        let made = ok(&walk);
        make(&knowledge, &mut walk, made);
        make(&knowledge, &mut walk, Move::Done);
    }
    assert_eq!(walk.at(), ("set_height_of_cut", 1));
    let view = walk.view(&knowledge).expect("a step");
    assert!(view.open && view.within.is_empty(), "read before, and gone through");
    assert_eq!(walk.done, ["secure"]);
}

#[test]
fn a_reading_that_is_not_good_goes_back_to_the_step_that_mends_it() {
    let (knowledge, mut walk) = at_the_readings();
    assert_eq!(walk.at(), ("set_height_of_cut", 4));
    make(&knowledge, &mut walk, number(3.2));
    let event = make(&knowledge, &mut walk, number(3.51));
    let Event::Shown(checked) = event else { panic!("{event:?}") };
    assert_eq!(checked.len(), 2, "the difference follows");
    assert_eq!(checked[1].back_to, Some(3));
    let line = sheet::checked_line(&checked[1]);
    assert_eq!(
        line,
        "The ends_differ_mm: 0.31 mm (3.51 - 3.2), over 0.05 mm: go back to step 3."
    );
    assert_eq!(walk.at(), ("set_height_of_cut", 3));
    // Read before in this walk, so it is open; its cautions stand above it all the same.
    let view = walk.view(&knowledge).expect("a step");
    assert!(view.open);
    assert!(sheet::step_lines(&knowledge, &view).join("\n").contains("Mind the hands."));
    make(&knowledge, &mut walk, Move::Done);
    for value in [3.2, 3.25] {
        make(&knowledge, &mut walk, number(value));
    }
    // Out of range without a step to go back to: kept.
    let event = make(&knowledge, &mut walk, number(2.0));
    let Event::Finished(checked) = event else { panic!("{event:?}") };
    assert!(sheet::checked_line(&checked[0]).ends_with("over 1 mm. It is kept as it is."));
    assert!(walk.finished());
    let content = draft::content(&knowledge, &walk);
    let Detail::Adjustment(set) = &content.detail else { panic!("{content:?}") };
    assert_eq!((set.setting_before_mm, set.setting_mm), (None, Some(3.225)));
    assert_eq!(set.result, "1 of 5 readings not good: kept_mm");
    assert!(content.notes.starts_with("Cautions acknowledged at steps 1, 3, 4: isolate, hands."));
    assert!(content.notes.contains("Not good when read: ends_differ_mm 0.31 mm"));
}

#[test]
fn back_again_and_skip() {
    let (knowledge, mut walk) = begun();
    assert!(matches!(make(&knowledge, &mut walk, Move::Back), Event::Refused(_)));
    let made = ok(&walk);
    make(&knowledge, &mut walk, made);
    make(&knowledge, &mut walk, Move::Done);
    let Event::Refused(why) = make(&knowledge, &mut walk, Move::Done) else { panic!("a reading") };
    assert!(why.contains("The tight (yes or no)"), "{why}");
    assert_eq!(make(&knowledge, &mut walk, Move::Again), Event::Shown(Vec::new()));
    make(&knowledge, &mut walk, Move::Skip);
    assert_eq!(walk.at(), ("set_height_of_cut", 3));
    make(&knowledge, &mut walk, Move::Back);
    assert_eq!(walk.at(), ("set_height_of_cut", 2));
    assert_eq!(walk.skipped[0].reading, "tight");
}

#[test]
fn put_away_and_taken_up_again_it_asks_for_cautions_anew() {
    let (knowledge, mut walk) = at_the_readings();
    make(&knowledge, &mut walk, number(3.2));
    let text = walk.text();
    let mut again = Walk::resume(&knowledge, &text).expect("it is known");
    assert_eq!(again.at(), walk.at());
    assert_eq!(again.readings, walk.readings);
    assert!(!again.view(&knowledge).expect("a step").open);
    let made = ok(&again);
    make(&knowledge, &mut again, made);
    assert!(again.view(&knowledge).expect("a step").open);
    assert!(Walk::resume(&Knowledge::default(), &text).is_none(), "the procedure is gone");
    assert!(Walk::resume(&knowledge, "{}").is_none());
    assert!(Walk::resume(&knowledge, &text.replace("\"step\":4", "\"step\":9")).is_none());
}

#[test]
fn values_and_depth_are_bounded() {
    let (knowledge, mut walk) = at_the_readings();
    for _ in 0..WALK_READINGS_MAX + 5 {
        make(&knowledge, &mut walk, number(500.0));
        make(&knowledge, &mut walk, Move::Done);
    }
    assert_eq!(walk.readings.len(), WALK_READINGS_MAX);
    let Event::Refused(why) = make(&knowledge, &mut walk, number(1.0)) else { panic!("kept") };
    assert!(why.contains("200 values"), "{why}");
    assert!(draft::content(&knowledge, &walk).notes.chars().count() <= 2_000);
}
