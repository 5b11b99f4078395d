//! Two promises on every way through: a hazardous step is never shown without its cautions, nor
//! before they were acknowledged; and nothing is written without a yes to what was shown last. Every
//! procedure of the knowledge, random walks through each, and random conversations.

use std::sync::OnceLock;

use proptest::prelude::*;
use sward_core::domain::catalogue::{Acceptance, Knowledge, Procedure};
use sward_core::domain::conversation::acts::{self, Act};
use sward_core::domain::conversation::decide::{Meaning, Sense};
use sward_core::domain::conversation::{Action, Conversation, Proposed};
use sward_core::domain::records::check::{self, Vocabulary};
use sward_core::domain::records::fields::CatalogueList;
use sward_core::domain::records::{Moment, NewRecord, RequestId, SubjectName};
use sward_core::domain::walkthrough::reading::Value;
use sward_core::domain::walkthrough::{Event, Move, Walk, draft, sheet};
use sward_core::embedded;

fn knowledge() -> &'static Knowledge {
    static KNOWLEDGE: OnceLock<Knowledge> = OnceLock::new();
    KNOWLEDGE.get_or_init(embedded::knowledge)
}

struct Catalogue;

impl Vocabulary for Catalogue {
    fn has(&self, list: CatalogueList, id: &str) -> bool {
        match list {
            CatalogueList::Findings => knowledge().finding(id).is_some(),
            CatalogueList::Causes => knowledge().causes.iter().any(|cause| cause.id == id),
            CatalogueList::Procedures => knowledge().procedure(id).is_some(),
        }
    }
}

/// What is shown may be shown: cautions always, the step only once they were acknowledged.
fn shown_safely(walk: &Walk, path: &[Move]) {
    let Some(view) = walk.view(knowledge()) else { panic!("{path:?} leads nowhere") };
    let lines = sheet::step_lines(knowledge(), &view);
    let mut last = 0;
    for id in &view.step.cautions {
        let caution = knowledge().caution(id).expect("the knowledge is checked");
        let line = format!("{}: {}", caution.title, caution.text);
        let at = lines.iter().position(|shown| shown.contains(&line));
        last = at.unwrap_or_else(|| panic!("{id} is not shown after {path:?}")).max(last);
    }
    let text = knowledge().with_titles(&view.step.text);
    let text = text.lines().next().unwrap_or_default();
    let text_at = lines.iter().skip(1).position(|shown| shown.trim() == text.trim());
    let procedure = &view.procedure.id;
    let acknowledged = walk.acknowledged.iter().any(|given| {
        given.procedure == *procedure
            && given.step == view.number
            && given.cautions == view.step.cautions
    });
    match text_at {
        Some(at) => {
            assert!(view.open && at + 1 > last, "the step stands before its cautions: {path:?}");
            assert!(acknowledged || view.step.cautions.is_empty(), "nobody read them: {path:?}");
        }
        None => assert!(!view.open, "the step is open and not shown: {path:?}"),
    }
    if !view.open {
        assert!(view.asked.is_none(), "a value is asked for before its cautions: {path:?}");
    }
}

fn standing(walk: &Walk) -> (String, usize) {
    let (procedure, step) = walk.at();
    (procedure.to_owned(), step)
}

/// Right after the cautions were shown in full and acknowledged: each is named above the step, and
/// one that stops the work stands there in full.
fn opened_safely(walk: &Walk) {
    let view = walk.view(knowledge()).expect("it is somewhere");
    assert!(view.open, "{} is not open", view.procedure.id);
    let lines = sheet::opened_lines(knowledge(), &view);
    let text = knowledge().with_titles(&view.step.text);
    let text = text.lines().next().unwrap_or_default();
    let at = lines.iter().skip(1).position(|shown| shown.trim() == text.trim());
    let above = &lines[..=at.expect("the step is shown")];
    for id in &view.step.cautions {
        let caution = knowledge().caution(id).expect("the knowledge is checked");
        let wanted = match caution.stops_work {
            true => format!("{}: {}", caution.title, caution.text),
            false => caution.title.clone(),
        };
        assert!(above.iter().any(|line| line.contains(&wanted)), "{id} is not above its step");
    }
    let acknowledged = walk.acknowledged.iter().any(|given| {
        (given.procedure.as_str(), given.step) == (view.procedure.id.as_str(), view.number)
    });
    assert!(acknowledged, "{} was opened unread", view.procedure.id);
}

fn moves() -> impl Strategy<Value = Move> {
    prop_oneof![
        4 => Just(Move::Acknowledge { procedure: String::new(), step: 0 }),
        1 => (1..9usize).prop_map(|step| Move::Acknowledge { procedure: "x".into(), step }),
        5 => Just(Move::Done),
        3 => Just(Move::Read(Value::Yes)),
        1 => Just(Move::Read(Value::No)),
        4 => (-5.0..400.0f64).prop_map(|number| Move::Read(Value::Number(number))),
        2 => (0.0..0.2f64).prop_map(|number| Move::Read(Value::Number(number))),
        1 => Just(Move::Back),
        1 => Just(Move::Again),
        3 => Just(Move::Skip),
        1 => Just(Move::Into("secure_machine_for_work".into())),
        1 => Just(Move::Into("tip_and_block_unit".into())),
        1 => Just(Move::Into("no_such_procedure".into())),
    ]
}

/// The acknowledgement that fits where the walk is.
fn fitted(made: &Move, walk: &Walk) -> Move {
    match made {
        Move::Acknowledge { procedure, .. } if procedure.is_empty() => {
            let (procedure, step) = walk.at();
            Move::Acknowledge { procedure: procedure.to_owned(), step }
        }
        other => other.clone(),
    }
}

fn walk_along(procedure: &Procedure, path: &[Move]) {
    let mut walk = Walk::begin(knowledge(), &procedure.id).expect("every procedure has steps");
    shown_safely(&walk, &[]);
    for (at, made) in path.iter().enumerate() {
        let made = fitted(made, &walk);
        let waited = !walk.view(knowledge()).expect("it is somewhere").open;
        let before = standing(&walk);
        walk.make(knowledge(), &made).expect("the procedure is known");
        shown_safely(&walk, &path[..=at]);
        let opened = walk.view(knowledge()).is_some_and(|view| view.open);
        if waited && opened && before == standing(&walk) {
            opened_safely(&walk);
        }
        // Put away and taken up again now and then; its cautions are asked for anew.
        if at % 17 == 16 {
            walk = Walk::resume(knowledge(), &walk.text()).expect("it was just written");
            let view = walk.view(knowledge()).expect("it is somewhere");
            assert!(!view.open || view.step.cautions.is_empty() || walk.finished());
            if !walk.finished() {
                shown_safely(&walk, &path[..=at]);
            }
        }
    }
    valid(&walk);
}

/// Whatever was done, the record of it can be stored.
fn valid(walk: &Walk) {
    let new = NewRecord {
        subject: SubjectName::home(),
        time: None,
        request_id: RequestId::of_content(b"a walk"),
        supersedes: None,
        content: draft::content(knowledge(), walk),
    };
    let now = Moment::from_microseconds(1_760_000_000_000_000);
    if let Err(errors) = check::record(new, &Catalogue, now) {
        // A value far out of any range is a slip that the record's own bounds name.
        let slips = errors.iter().all(|error| error.remedy.contains("it must be"));
        assert!(slips, "{}: {errors:?}", walk.procedure());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn no_step_is_shown_without_its_cautions(path in prop::collection::vec(moves(), 0..60)) {
        for procedure in &knowledge().procedures {
            walk_along(procedure, &path);
        }
    }
}

/// A value that is good: the middle of its range.
fn good(accept: Acceptance, unit: &str) -> Value {
    match accept {
        Acceptance::Yes => Value::Yes,
        Acceptance::Range { min, max } if unit == "count" => Value::Number(((min + max) / 2.0).floor()),
        Acceptance::Range { min, max } => Value::Number((min + max) / 2.0),
    }
}

#[test]
fn every_procedure_can_be_walked_to_its_end_and_recorded() {
    for procedure in &knowledge().procedures {
        let mut walk = Walk::begin(knowledge(), &procedure.id).expect("every procedure has steps");
        let mut turns = 0;
        while !walk.finished() {
            turns += 1;
            assert!(turns < 400, "{} does not end", procedure.id);
            let view = walk.view(knowledge()).expect("it is somewhere");
            let made = match (view.open, view.asked) {
                (false, _) => fitted(&Move::Acknowledge { procedure: String::new(), step: 0 }, &walk),
                (true, Some(asked)) => Move::Read(good(asked.accept, &asked.unit)),
                (true, None) => Move::Done,
            };
            if let Some(Event::Refused(why)) = walk.make(knowledge(), &made) {
                panic!("{}: {why}", procedure.id);
            }
        }
        let acknowledged = walk.acknowledged.iter().map(|given| given.step);
        let mut steps: Vec<usize> = acknowledged.collect();
        steps.sort_unstable();
        steps.dedup();
        let hazardous = procedure.steps.iter().filter(|step| !step.cautions.is_empty()).count();
        assert_eq!(steps.len(), hazardous, "{}: each was acknowledged once", procedure.id);
        valid(&walk);
        let content = draft::content(knowledge(), &walk);
        assert!(content.notes.contains("Cautions acknowledged"), "{}", procedure.id);
    }
}

/// Something said in a conversation, and what it would mean if it had to be understood.
#[derive(Clone, Debug)]
enum Said {
    Words(&'static str, Kind),
    Confirm(u64),
    Decline(u64),
    Acknowledge,
    Found(bool),
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    Read,
    Write,
    Walk,
    Unclear,
    Lacking,
}

fn said() -> impl Strategy<Value = Said> {
    let words = prop::sample::select(vec![
        "yes", "Yes.", "no", "ok", "done", "cancel", "stop", "resume", "again", "back", "skip", "1",
        "0.05", "no, 3.2", "the other end", "same for unit 4", "record what i have", "why", "help",
        "spun unit 2 today", "clip at 5 km/h", "walk me through it", "show set_height_of_cut",
        "by Ada", "the gang", "yes it was loud", "undo", "sorry that was unit 3",
        "what keeps coming back", "got it, next", "go to step 2", "start over", "yep store it",
        "all good", "both ends 2 thou", "yes yes yes", "discard draft", "don't know",
        "turn the reel by hand while it runs to feel the blades",
    ]);
    let kinds = prop::sample::select(vec![
        Kind::Read, Kind::Write, Kind::Walk, Kind::Unclear, Kind::Lacking,
    ]);
    prop_oneof![
        12 => (words, kinds).prop_map(|(words, kind)| Said::Words(words, kind)),
        1 => (0..6u64).prop_map(Said::Confirm),
        1 => (0..6u64).prop_map(Said::Decline),
        2 => Just(Said::Acknowledge),
        1 => any::<bool>().prop_map(Said::Found),
    ]
}

fn meaning(kind: Kind) -> Meaning<u64> {
    let sense = match kind {
        Kind::Read => Sense::Read { command: 0, calculation: true, question: false },
        Kind::Write | Kind::Lacking => Sense::Write(1),
        Kind::Walk => Sense::Walk("set_reel_to_bedknife".into()),
        Kind::Unclear => Sense::Unclear,
    };
    let missing = matches!(kind, Kind::Lacking).then(|| "Which unit?".to_owned());
    Meaning {
        sense,
        understood: "Understood.".into(),
        missing: missing.into_iter().collect(),
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

/// Goes on as the service would; gives the numbers of what was written, and whether the turn ended
/// with a proposal.
fn carried_out(
    talk: &mut Conversation<u64>,
    actions: Vec<Action<u64>>,
    kind: Kind,
    in_full: &mut Option<(String, usize)>,
) -> (Vec<u64>, bool) {
    let mut waiting: std::collections::VecDeque<Action<u64>> = actions.into();
    let (mut written, mut proposed) = (Vec::new(), false);
    while let Some(action) = waiting.pop_front() {
        let more = match action {
            Action::Interpret(words) => talk.decide(knowledge(), &words, meaning(kind)),
            Action::InterpretAlone(words) => talk.alone(knowledge(), &words, meaning(kind)),
            Action::PutRight(_) => talk.not_put_right(),
            Action::Write(proposal) => {
                written.push(proposal.number);
                let mut more = match proposal.what {
                    Proposed::Walk { .. } => talk.recorded(),
                    Proposed::Withdraw { .. } => talk.withdrawn(),
                    Proposed::Command(_) | Proposed::Amend { .. } => Vec::new(),
                };
                more.extend(talk.stored(vec!["sites/home/records/1".into()], "Stored."));
                more
            }
            Action::Propose => {
                proposed = true;
                Vec::new()
            }
            Action::Step => {
                let walk = &talk.walking().expect("a step is of a walk").walk;
                shown_safely(walk, &[]);
                *in_full = Some(standing(walk));
                Vec::new()
            }
            Action::Opened => {
                let walk = &talk.walking().expect("a step is of a walk").walk;
                opened_safely(walk);
                assert_eq!(*in_full, Some(standing(walk)), "its cautions were not shown in full");
                Vec::new()
            }
            Action::NextReading => {
                let walk = &talk.walking().expect("a step is of a walk").walk;
                let view = walk.view(knowledge()).expect("it is somewhere");
                assert!(view.open && view.asked.is_some(), "a value asked for out of place");
                Vec::new()
            }
            _ => Vec::new(),
        };
        for action in more.into_iter().rev() {
            waiting.push_front(action);
        }
    }
    (written, proposed)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, ..ProptestConfig::default() })]

    #[test]
    fn nothing_is_written_without_a_yes_to_what_was_shown_last(
        turns in prop::collection::vec(said(), 1..40),
    ) {
        let mut talk: Conversation<u64> = Conversation::default();
        let (mut shown, mut ever): (Option<u64>, Vec<u64>) = (None, Vec::new());
        let mut in_full = None;
        for turn in turns {
            let open = talk.proposal().map(|open| open.number);
            let (actions, kind, consent) = match &turn {
                Said::Words(words, kind) => {
                    let yes = acts::of(words) == Some(Act::Yes);
                    (talk.hear(knowledge(), words), *kind, shown.filter(|_| yes))
                }
                Said::Confirm(number) => {
                    let named = open.filter(|open| open == number);
                    (talk.confirm(*number), Kind::Unclear, named)
                }
                Said::Decline(number) => (talk.decline_number(*number), Kind::Unclear, None),
                Said::Acknowledge => {
                    let at = talk.walking().map(|walking| {
                        let (procedure, step) = walking.walk.at();
                        (procedure.to_owned(), step)
                    });
                    let (procedure, step) = at.unwrap_or_default();
                    (talk.acknowledge(knowledge(), &procedure, step), Kind::Unclear, None)
                }
                Said::Found(known) => {
                    let name = "sites/home/machines/gang".to_owned();
                    let found = if *known { Ok(name) } else { Err("Nothing.".to_owned()) };
                    (talk.subject_found(knowledge(), found), Kind::Unclear, None)
                }
            };
            let (written, proposed) = carried_out(&mut talk, actions, kind, &mut in_full);
            for number in written {
                prop_assert_eq!(Some(number), consent, "written without consent by {:?}", turn);
                prop_assert!(!ever.contains(&number), "written twice");
                ever.push(number);
            }
            // Only a proposal that ended the turn before is confirmed by a bare yes.
            shown = proposed.then(|| talk.proposal().map(|open| open.number)).flatten();
        }
    }
}
