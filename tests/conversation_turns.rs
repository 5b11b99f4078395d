//! Turns of a conversation, one by one, with commands that are plain words and a job made for it.

use std::sync::OnceLock;

use sward_core::domain::catalogue::{Acceptance, Basis, Knowledge, Procedure, Step, StepReading};
use sward_core::domain::conversation::decide::{Choice, Meaning, Sense};
use sward_core::domain::conversation::follow_up::HeardNumber;
use sward_core::domain::conversation::{Action, Conversation, Proposed};
use sward_core::embedded;

type Actions<C> = Vec<Action<C>>;

/// The knowledge built in, with one job of two steps.
fn knowledge() -> &'static Knowledge {
    static KNOWLEDGE: OnceLock<Knowledge> = OnceLock::new();
    KNOWLEDGE.get_or_init(with_a_job)
}

fn with_a_job() -> Knowledge {
    let reading = StepReading {
        id: "gap_mm".into(),
        unit: "mm".into(),
        label: "The gap".into(),
        accept: Acceptance::Range { min: 0.0, max: 0.05 },
        otherwise_step: Some(2),
    };
    let step = |title: &str, readings: Vec<StepReading>| Step {
        title: title.into(),
        cautions: vec!["isolate".into()],
        why: "It matters.".into(),
        readings,
        compute: None,
        text: format!("Text of {title}."),
    };
    let procedure = Procedure {
        id: "check_gap".into(),
        title: "Check the gap".into(),
        equipment: Vec::new(),
        minutes: 5.0,
        tools: Vec::new(),
        summary: "It checks.".into(),
        basis: Basis::CommonPractice,
        references: Vec::new(),
        steps: vec![step("Secure", Vec::new()), step("Read", vec![reading])],
    };
    let mut knowledge = embedded::knowledge();
    knowledge.procedures.push(procedure);
    knowledge
}

type Talk = Conversation<&'static str>;

fn meaning(sense: Sense<&'static str>) -> Meaning<&'static str> {
    Meaning {
        sense,
        understood: "What was understood.".into(),
        missing: Vec::new(),
        alternatives: Vec::new(),
        numbers: Vec::new(),
        unheard: Vec::new(),
        assumed: Vec::new(),
        cautions: Vec::new(),
        subject: String::new(),
        topic: String::new(),
        kind: String::new(),
    }
}

fn hear(talk: &mut Talk, words: &str) -> Actions<&'static str> {
    talk.hear(knowledge(), words)
}

fn understood(talk: &mut Talk, sense: Sense<&'static str>) -> Actions<&'static str> {
    talk.decide(knowledge(), "ground unit 2", meaning(sense))
}

fn names(actions: &[Action<&'static str>]) -> Vec<&'static str> {
    let name = |action: &Action<&'static str>| match action {
        Action::Say(_) => "say",
        Action::Ask(_) => "ask",
        Action::Understood { .. } => "understood",
        Action::Interpret(_) => "interpret",
        Action::InterpretAlone(_) => "alone",
        Action::PutRight(_) => "put right",
        Action::Know(_) => "know",
        Action::Run(_) => "run",
        Action::Tell { .. } => "tell",
        Action::Turn(_) => "turn",
        Action::RecordAgain(_) => "record again",
        Action::Units(_) => "units",
        Action::Observe(_) => "observe",
        Action::Propose => "propose",
        Action::Write(_) => "write",
        Action::Checked(_) => "checked",
        Action::Opening(_) => "opening",
        Action::Step => "step",
        Action::Opened => "opened",
        Action::NextReading => "reading",
        Action::Refuse { .. } => "refuse",
        Action::Cautions(_) => "cautions",
        Action::KeepDraft(_) => "keep",
        Action::DropDraft(_) => "drop",
        Action::Drafts => "drafts",
        Action::Resume(_) => "resume",
        Action::ResumeNamed(_) => "resume named",
        Action::Discard(_) => "discard",
        Action::FindSubject(_) => "find",
    };
    actions.iter().map(name).collect()
}

#[test]
fn what_only_reads_is_run_and_what_writes_is_proposed() {
    let mut talk = Talk::default();
    assert_eq!(names(&hear(&mut talk, "clip at 5 km/h")), ["interpret"]);
    let read = Sense::Read { command: "clip", calculation: true, question: false };
    assert_eq!(names(&understood(&mut talk, read)), ["understood", "run"]);
    assert_eq!(talk.context.previous, Some("clip"));
    assert_eq!(names(&understood(&mut talk, Sense::Write("grind"))), ["understood", "propose"]);
    let actions = hear(&mut talk, "yes");
    let [Action::Write(proposal)] = &actions[..] else { panic!("{actions:?}") };
    assert!(matches!(proposal.what, Proposed::Command("grind")));
    assert_eq!(names(&hear(&mut talk, "yes")), ["say"], "once is enough");
}

#[test]
fn a_yes_after_other_talk_is_asked_for_again() {
    let mut talk = Talk::default();
    understood(&mut talk, Sense::Write("grind"));
    assert_eq!(names(&hear(&mut talk, "what is the clip at 5 km/h")), ["interpret"]);
    understood(&mut talk, Sense::Read { command: "clip", calculation: true, question: false });
    assert_eq!(names(&hear(&mut talk, "yes")), ["propose"]);
    assert_eq!(names(&hear(&mut talk, "yes")), ["write"]);
}

#[test]
fn nothing_but_a_plain_yes_confirms() {
    for words in ["ok", "done", "sure thing boss", "yes it was loud", "again", "go on", "no", "cancel",
        "stop", "5", "help", "yes but unit 3"]
    {
        let mut talk = Talk::default();
        understood(&mut talk, Sense::Write("grind"));
        assert!(!names(&hear(&mut talk, words)).contains(&"write"), "{words}");
    }
}

#[test]
fn a_correction_is_understood_in_place_of_what_was_said() {
    let mut talk = Talk::default();
    let words = "set unit 2 to 3.4 mm";
    let numbers = vec![HeardNumber {
        text: "3.4 mm".into(),
        unit: "mm".into(),
        start: 14,
        end: 20,
        meant: "setting".into(),
        value: Some(3.4),
    }];
    let meant = Meaning { numbers, ..meaning(Sense::Write("set 3.4")) };
    talk.decide(knowledge(), words, meant);
    let actions = hear(&mut talk, "no, 3.2");
    let [Action::Interpret(words)] = &actions[..] else { panic!("{actions:?}") };
    assert_eq!(words, "set unit 2 to 3.2 mm");
    let words = words.clone();
    let actions = talk.decide(knowledge(), &words, meaning(Sense::Write("set 3.2")));
    assert_eq!(names(&actions), ["understood", "propose"]);
    let actions = hear(&mut talk, "yes");
    let [Action::Write(proposal)] = &actions[..] else { panic!("{actions:?}") };
    assert!(matches!(proposal.what, Proposed::Command("set 3.2")), "the old one is gone");
    assert_eq!(proposal.number, 2);
}

#[test]
fn proposals_are_confirmed_by_their_own_number_only() {
    let mut talk = Talk::default();
    understood(&mut talk, Sense::Write("grind"));
    assert_eq!(names(&talk.confirm(7)), ["say"]);
    assert_eq!(names(&talk.confirm(1)), ["write"]);
    assert_eq!(names(&talk.confirm(1)), ["say"]);
    understood(&mut talk, Sense::Write("grind"));
    assert_eq!(names(&talk.decline_number(1)), ["say"]);
    assert_eq!(talk.proposal().map(|open| open.number), Some(2));
    talk.decline_number(2);
    assert!(talk.proposal().is_none());
}

#[test]
fn what_is_missing_is_asked_and_joined_to_what_was_said() {
    let mut talk = Talk::default();
    let missing = vec!["Which unit?".to_owned()];
    let meant = Meaning { missing, ..meaning(Sense::Write("grind")) };
    let actions = talk.decide(knowledge(), "ground it for 20 minutes", meant);
    assert_eq!(names(&actions), ["understood", "ask"]);
    let actions = hear(&mut talk, "unit 4 of the gang");
    let [Action::InterpretAlone(words)] = &actions[..] else { panic!("{actions:?}") };
    let actions = talk.alone(knowledge(), &words.clone(), meaning(Sense::Unclear));
    let [Action::Interpret(words)] = &actions[..] else { panic!("{actions:?}") };
    assert_eq!(words, "ground it for 20 minutes, unit 4 of the gang");
}

#[test]
fn doubt_is_settled_by_a_number() {
    let mut talk = Talk::default();
    let choice = |understood: &str, command| Choice {
        understood: understood.to_owned(),
        sense: Sense::Read { command, calculation: false, question: false },
    };
    let alternatives = vec![choice("Clip.", "clip"), choice("Wear.", "wear")];
    let meant = Meaning { alternatives, ..meaning(Sense::Unclear) };
    assert_eq!(names(&talk.decide(knowledge(), "work it out", meant)), ["ask"]);
    assert_eq!(names(&hear(&mut talk, "9")), ["ask"]);
    let actions = hear(&mut talk, "the second one");
    assert!(matches!(actions[1], Action::Run("wear")), "{actions:?}");
}

#[test]
fn what_cannot_be_answered_gets_what_can() {
    let mut talk = Talk::default();
    for sense in [Sense::Unclear, Sense::OutOfScope] {
        let actions = understood(&mut talk, sense);
        let [Action::Say(lines)] = &actions[..] else { panic!("{actions:?}") };
        assert!(lines[1].starts_with("What I can do"), "{lines:?}");
    }
    assert_eq!(names(&understood(&mut talk, Sense::Refused)), ["refuse"]);
}

#[test]
fn a_check_is_asked_finding_by_finding() {
    let mut talk = Talk::default();
    let question = |id: &str| (id.to_owned(), format!("Is there {id}?"));
    let questions = vec![question("play"), question("noise"), question("heat")];
    assert_eq!(names(&talk.diagnosed("diagnosis", None, Vec::new(), questions)), ["ask"]);
    assert_eq!(names(&hear(&mut talk, "yes")), ["ask"]);
    assert_eq!(names(&hear(&mut talk, "don't know")), ["ask"]);
    let actions = hear(&mut talk, "no");
    let [Action::Observe(known)] = &actions[..] else { panic!("{actions:?}") };
    assert_eq!(known, &[("play".to_owned(), true), ("heat".to_owned(), false)]);
}

/// To the proposal of a job's record.
fn walked(talk: &mut Talk) -> Actions<&'static str> {
    for words in ["show check_gap", "ok", "done", "ok", "0.04"] {
        hear(talk, words);
    }
    talk.subject_found(knowledge(), Ok("sites/home/machines/gang".into()));
    hear(talk, "by Ada")
}

#[test]
fn a_job_ends_in_a_signed_proposal() {
    let mut talk = Talk::default();
    assert_eq!(names(&hear(&mut talk, "show check_gap")), ["keep", "opening", "step"]);
    assert_eq!(names(&hear(&mut talk, "done")), ["say"], "cautions first");
    assert_eq!(names(&hear(&mut talk, "ok")), ["keep", "opened"]);
    hear(&mut talk, "done");
    hear(&mut talk, "ok");
    assert_eq!(names(&hear(&mut talk, "0.31 mm")), ["keep", "checked", "step"]);
    assert_eq!(names(&hear(&mut talk, "0.31 bar")), ["ask"]);
    assert_eq!(names(&hear(&mut talk, "0.04")), ["keep", "checked", "say", "ask"]);
    assert_eq!(names(&hear(&mut talk, "the gang")), ["find"]);
    assert_eq!(names(&talk.subject_found(knowledge(), Err("No.".into()))), ["ask"]);
    let found = Ok("sites/home/machines/gang".to_owned());
    assert_eq!(names(&talk.subject_found(knowledge(), found)), ["ask"]);
    assert_eq!(names(&hear(&mut talk, "by Ada")), ["propose"]);
    let open = talk.proposal().expect("open");
    let Proposed::Walk { subject, content } = &open.what else { panic!("{open:?}") };
    assert_eq!((subject.as_str(), content.done_by.as_str()), ("sites/home/machines/gang", "Ada"));
    assert!(content.notes.contains("Not good when read: gap_mm 0.31 mm"), "{}", content.notes);
    assert_eq!(names(&hear(&mut talk, "yes")), ["write"]);
    assert_eq!(names(&talk.recorded()), ["drop"]);
    assert!(talk.walking().is_none());
}

#[test]
fn a_value_that_was_wrong_is_corrected() {
    let mut talk = Talk::default();
    for words in ["show check_gap", "ok", "done", "ok", "0.31"] {
        hear(&mut talk, words);
    }
    let actions = hear(&mut talk, "no, 0.03");
    assert_eq!(names(&actions), ["say", "keep", "checked", "say", "ask"]);
    let walk = &talk.walking().expect("open").walk;
    assert_eq!(walk.readings.len(), 1, "the slip is not kept");
}

#[test]
fn a_record_that_is_declined_stays_a_draft() {
    let mut talk = Talk::default();
    assert_eq!(names(&walked(&mut talk)), ["propose"]);
    assert_eq!(names(&hear(&mut talk, "no")), ["keep", "say"]);
    assert!(talk.walking().is_none() && talk.proposal().is_none());
    let mut talk = Talk::default();
    hear(&mut talk, "show check_gap");
    hear(&mut talk, "ok");
    assert_eq!(names(&hear(&mut talk, "stop")), ["keep", "say"]);
    assert_eq!(names(&hear(&mut talk, "resume")), ["resume"]);
}

#[test]
fn talk_of_something_else_leaves_the_job_where_it_is() {
    let mut talk = Talk::default();
    hear(&mut talk, "show check_gap");
    assert_eq!(names(&hear(&mut talk, "what is the clip at 5 km/h")), ["interpret"]);
    let read = Sense::Read { command: "clip", calculation: true, question: false };
    assert_eq!(names(&understood(&mut talk, read)), ["understood", "run", "say"]);
    assert_eq!(names(&hear(&mut talk, "why")), ["say"]);
    assert_eq!(names(&hear(&mut talk, "again")), ["step"]);
    // Another job: this one is kept.
    let actions = hear(&mut talk, "help");
    assert_eq!(names(&actions), ["say"]);
    let actions = understood(&mut talk, Sense::Walk("check_gap".into()));
    assert_eq!(names(&actions), ["understood", "say", "keep", "keep", "opening", "step"]);
}

#[test]
fn long_and_odd_input_is_told_and_changes_nothing() {
    let mut talk = Talk::default();
    understood(&mut talk, Sense::Write("grind"));
    for words in ["x".repeat(4_001), "bell \u{7}".to_owned(), "   ".to_owned()] {
        assert_eq!(names(&hear(&mut talk, &words)), ["say"]);
    }
    assert!(talk.proposal().is_some());
}
