//! Which causes explain this complaint, and what is the next best step?
//!
//! The whole of `Diagnose` as one pure function: hear the words, decide scope and equipment, weigh
//! causes, plan, and attach every caution. Deliberately absent: contract types, and reading history
//! (what was learned from it comes in as an argument).

use std::collections::{BTreeMap, BTreeSet};

use super::catalogue::{Equipment, FindingKind, Knowledge};
use super::diagnosis::evidence::{Evidence, EvidenceKind};
use super::diagnosis::plan::{self, StepKind};
use super::diagnosis::posterior::{contributions, posterior};
use super::diagnosis::optimum::{self, PlanQuality};
use super::diagnosis::{Bench, DiagnosisError, Network};
use super::language::hearing::{FindingTraits, Heard, Hearing, Reading};
use super::danger::{self, Danger};
use super::language::scope::Scope;
use super::limits;
use super::models::COMPLAINED_OF;
use super::sense::sensible;
use super::stands_still::{self, stop_first};
use super::{reported, ruled_out, spacing_said, tried, unit_or_end};
pub use super::models::Models;
pub use super::spoken_evidence::evidence;
use super::wording::{counted, lower_first};

/// Evidence weaker than this change of log odds is not worth showing.
const EVIDENCE_SHOWN_MIN: f64 = 0.05;
/// Causes whose evidence is worked out.
const EVIDENCE_FINDINGS_MAX: usize = 16;
/// Steps answered at most.
const STEPS_MAX: usize = 8;
/// What a sign of a groomer, brush or verticut reel votes for it, beside one of a unit or a deck:
/// less, so that it decides no tie (no source).
const ATTACHMENT_VOTE: f64 = 0.9;
/// Causes answered when the question does not say.
pub const CAUSES_DEFAULT: usize = 5;

/// A complaint as asked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Question {
    pub complaint: String,
    pub equipment: Option<Equipment>,
    /// Finding and whether it is present; known for certain.
    pub observations: Vec<(String, bool)>,
    /// 0: [`CAUSES_DEFAULT`].
    pub max_causes: usize,
}

/// What came of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    Diagnosed,
    NeedMore,
    OutOfScope,
    RefusedUnsafe,
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    pub outcome: Outcome,
    pub message: String,
    pub equipment: Option<Equipment>,
    pub heard: Vec<Heard>,
    pub causes: Vec<RankedCause>,
    pub other: f64,
    pub several: f64,
    pub steps: Vec<NextStep>,
    /// Ids, each once, in the order the steps need them.
    pub cautions: Vec<String>,
    pub unheard: Vec<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct RankedCause {
    pub id: String,
    pub probability: f64,
    /// Finding and change of log odds, strongest first.
    pub evidence: Vec<(String, f64)>,
    /// Minutes with the opening.
    pub minutes: f64,
}

#[derive(Clone, Debug, PartialEq)]
pub struct NextStep {
    pub kind: StepKind,
    /// Id of the check or of the cause; "specialist".
    pub id: String,
    pub minutes: f64,
    pub minutes_saved: f64,
    pub optional: bool,
    pub why: String,
}

/// A question that cannot be asked: field, value, remedy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuestionError {
    pub field: String,
    pub value: String,
    pub remedy: String,
}

impl QuestionError {
    pub(super) fn new(
        field: impl Into<String>,
        value: impl ToString,
        remedy: &str,
    ) -> QuestionError {
        let (field, value, remedy) = (field.into(), value.to_string(), remedy.to_owned());
        QuestionError { field, value, remedy }
    }
}

impl From<DiagnosisError> for QuestionError {
    fn from(error: DiagnosisError) -> QuestionError {
        QuestionError { field: error.field, value: error.value, remedy: error.remedy }
    }
}

/// Answers a complaint. `learned`: the network to use for a kind instead of the table's.
pub fn diagnose(
    knowledge: &Knowledge,
    models: &Models,
    question: &Question,
) -> Result<Diagnosis, QuestionError> {
    validate(knowledge, question)?;
    let reading = knowledge.ear.read(&question.complaint);
    let mut hearing = knowledge.ear.hear(&reading);
    reported::add(knowledge, &question.complaint, &mut hearing);
    let (judged, danger) = danger::judged(knowledge, &reading, &hearing);
    let equipment = question.equipment.or_else(|| {
        likely_equipment(knowledge, &judged.equipment, &hearing, &question.observations)
    });
    if let Scope::Unsafe(refusal) = &judged.scope {
        return Ok(refused(knowledge, (refusal, &question.complaint), equipment, &hearing));
    }
    let told = !question.observations.is_empty();
    if let Some(answer) = may_it(knowledge, &danger, equipment).filter(|_| !told) {
        return Ok(answer);
    }
    let told = told || danger.stop.is_some();
    if !told && matches!(judged.scope, Scope::OffTopic | Scope::OtherMachine | Scope::Language) {
        return Ok(out_of_scope(&judged.scope, hearing));
    }
    let kind = equipment.unwrap_or(Equipment::ReelUnit);
    let heard = sensible(knowledge, models.network(kind), &hearing, question)?;
    let mut heard = heard_of_kind(knowledge, kind, heard);
    if matches!(kind, Equipment::ReelUnit | Equipment::RotaryDeck) {
        spacing_said::put_right(&question.complaint, &mut heard);
    }
    unit_or_end::put_right(&question.complaint, &mut heard);
    stands_still::keep_shaking(kind, &hearing.heard, &mut heard);
    // What was found by looking, or taken back, goes before what was said.
    let observed = |id: &str| question.observations.iter().find(|(known, _)| known == id);
    heard.retain(|heard| observed(&heard.finding).is_none_or(|(_, so)| *so == heard.present));
    let unheard = hearing.unheard(&heard);
    let mut answer = weigh(knowledge, (kind, models.of(kind)), (heard, unheard), question)?;
    stop_first(knowledge, &danger, &mut answer);
    answer.cautions.extend(named_cautions(knowledge, &reading, &answer.cautions));
    Ok(answer)
}

/// Cautions that the words call for by what they name: a bank, a slope.
fn named_cautions(knowledge: &Knowledge, reading: &Reading, told: &[String]) -> Vec<String> {
    let found = knowledge.cues(reading);
    let ids = found.iter().filter_map(|one| {
        knowledge.intent.sections[one.section].strip_prefix("asks:caution_")
    });
    let ids: BTreeSet<&str> = ids.filter(|id| knowledge.caution(id).is_some()).collect();
    let new = ids.into_iter().filter(|id| !told.iter().any(|known| known == id));
    new.map(str::to_owned).collect()
}

/// Leave that is asked for what has its own answer.
fn may_it(
    knowledge: &Knowledge,
    danger: &Danger,
    equipment: Option<Equipment>,
) -> Option<Diagnosis> {
    let row = danger.leave.as_ref().and_then(|id| knowledge.refusal(id))?;
    let mut answer = bare(Outcome::NeedMore, danger::answer(row), equipment);
    answer.cautions.clone_from(&row.cautions);
    Some(answer)
}

/// The same question with a network that was learned. What `table` heard is not heard again.
pub fn diagnose_learned(
    knowledge: &Knowledge,
    models: &Models,
    (kind, network): (Equipment, &Network),
    table: &Diagnosis,
    question: &Question,
) -> Result<Diagnosis, QuestionError> {
    let (_, bench) = models.of(kind);
    let words = (table.heard.clone(), table.unheard.clone());
    let mut answer = weigh(knowledge, (kind, (network, bench)), words, question)?;
    let reading = knowledge.ear.read(&question.complaint);
    stop_first(knowledge, &danger::heard(knowledge, &reading), &mut answer);
    answer.cautions.extend(named_cautions(knowledge, &reading, &answer.cautions));
    Ok(answer)
}

/// From what was heard to causes and steps.
fn weigh(
    knowledge: &Knowledge,
    (kind, (network, bench)): (Equipment, (&Network, &Bench)),
    (heard, unheard): (Vec<Heard>, Vec<String>),
    question: &Question,
) -> Result<Diagnosis, QuestionError> {
    let in_vain = tried::in_vain(knowledge, kind, &question.complaint);
    let out = ruled_out::causes(knowledge, kind, &question.complaint);
    let lowered = (!in_vain.is_empty()).then(|| tried::lowered(network, &in_vain));
    let network = lowered.as_ref().unwrap_or(network);
    let lowered = (!out.is_empty()).then(|| tried::excluded(network, &out));
    let network = lowered.as_ref().unwrap_or(network);
    let evidence = evidence(knowledge, network, &heard, question)?;
    let mut answer = Diagnosis {
        outcome: Outcome::Diagnosed,
        message: String::new(),
        equipment: Some(kind),
        causes: Vec::new(),
        other: 0.0,
        several: 0.0,
        steps: Vec::new(),
        cautions: Vec::new(),
        unheard,
        heard,
    };
    rank(knowledge, kind, network, &evidence, question.max_causes, &mut answer)?;
    plan_steps(knowledge, kind, (network, bench), &evidence, &mut answer)?;
    let again = |step: &NextStep| in_vain.iter().any(|row| row.id == step.id);
    answer.steps.retain(|step| step.kind != StepKind::Repair || !again(step));
    stands_still::put_off_driving(knowledge, kind, &answer.heard, &mut answer.steps);
    let telling = telling_evidence(knowledge, &answer.heard, &question.observations)
        || (stands_out(&answer) && !asks_to_run_on(knowledge, question));
    if !telling {
        answer.outcome = Outcome::NeedMore;
    }
    answer.message = message(knowledge, kind, &answer);
    let ranked: Vec<&str> = answer.causes.iter().map(|cause| cause.id.as_str()).collect();
    if let Some(told) = tried::told(&in_vain, &ranked).filter(|_| telling) {
        answer.message = format!("{} {told}", answer.message);
    }
    if let Some(told) = ruled_out::told(&out).filter(|_| telling) {
        answer.message = format!("{} {told}", answer.message);
    }
    Ok(answer)
}

/// Expected minutes of the plan this complaint leads to, and of the best plan there is, on the
/// problem cut down to what can be solved exactly; nothing when the complaint is not diagnosed.
pub fn plan_quality(
    knowledge: &Knowledge,
    models: &Models,
    question: &Question,
) -> Result<Option<PlanQuality>, QuestionError> {
    let answer = diagnose(knowledge, models, question)?;
    let Some(kind) = answer.equipment.filter(|_| answer.outcome == Outcome::Diagnosed) else {
        return Ok(None);
    };
    let (network, bench) = models.of(kind);
    let evidence = evidence(knowledge, network, &answer.heard, question)?;
    Ok(Some(optimum::plan_quality(network, bench, &evidence)?))
}

/// Bounds, unknown ids, contradictions.
fn validate(knowledge: &Knowledge, question: &Question) -> Result<(), QuestionError> {
    limits::complaint(&question.complaint)
        .map_err(|(value, remedy)| QuestionError::new("complaint", value, remedy))?;
    if question.complaint.trim().is_empty() && question.observations.is_empty() {
        let remedy = "say what is wrong with the cut, or give at least one observation";
        return Err(QuestionError::new("complaint", "empty", remedy));
    }
    if question.observations.len() > limits::OBSERVATIONS_MAX {
        let remedy = "give at most 200 observations";
        return Err(QuestionError::new("observations", question.observations.len(), remedy));
    }
    if question.max_causes > limits::CAUSES_MAX {
        return Err(QuestionError::new("max_causes", question.max_causes, "give 0 to 100"));
    }
    let mut seen: BTreeMap<&str, bool> = BTreeMap::new();
    for (at, (id, present)) in question.observations.iter().enumerate() {
        let field = format!("observations[{at}].finding");
        let Some(finding) = knowledge.finding(id) else {
            let remedy = "use the id of a finding; ListFindings gives them all";
            return Err(QuestionError::new(field, id, remedy));
        };
        if let Some(kind) = question.equipment.filter(|kind| !finding.equipment.contains(kind)) {
            let kinds: Vec<&str> = finding.equipment.iter().map(|kind| kind.id()).collect();
            let remedy = format!(
                "it is no finding of {}; ask with equipment {} or leave it out",
                kind.id(),
                kinds.join(" or ")
            );
            return Err(QuestionError::new(field, id, &remedy));
        }
        match seen.insert(id, *present) {
            Some(before) if before != *present => {
                let remedy = "it is given both as present and as absent; keep the one that is so";
                return Err(QuestionError::new(field, id, remedy));
            }
            _ => {}
        }
    }
    Ok(())
}

/// The kind the words, the findings heard and the observations point to most.
fn likely_equipment(
    knowledge: &Knowledge,
    by_words: &BTreeMap<Equipment, u32>,
    hearing: &Hearing,
    observations: &[(String, bool)],
) -> Option<Equipment> {
    let mut votes: BTreeMap<Equipment, f64> = BTreeMap::new();
    for (kind, weight) in by_words {
        *votes.entry(*kind).or_default() += f64::from(*weight);
    }
    let heard = hearing.heard.iter().map(|heard| (heard.finding.as_str(), 1.0));
    let observed = observations.iter().map(|(id, _)| (id.as_str(), 4.0));
    for (id, weight) in heard.chain(observed) {
        let Some(finding) = knowledge.finding(id) else { continue };
        for kind in &finding.equipment {
            // Who speaks of what is fitted to a unit says so: "the blades are blunt" is a deck.
            let main = matches!(kind, Equipment::ReelUnit | Equipment::RotaryDeck);
            let vote = if main { weight } else { ATTACHMENT_VOTE * weight };
            *votes.entry(*kind).or_default() += vote / finding.equipment.len() as f64;
        }
    }
    // On a tie the first kind of the catalogue stays.
    votes
        .into_iter()
        .reduce(|best, vote| if vote.1 > best.1 + 1e-9 { vote } else { best })
        .map(|v| v.0)
}

fn heard_of_kind(knowledge: &Knowledge, kind: Equipment, heard: Vec<Heard>) -> Vec<Heard> {
    heard
        .into_iter()
        .filter(|heard| {
            knowledge.finding(&heard.finding).is_some_and(|row| row.equipment.contains(&kind))
        })
        .collect()
}

/// Whether anything but where and when the fault shows is known; what is denied counts, since it
/// rules causes out.
fn telling_evidence(
    knowledge: &Knowledge,
    heard: &[Heard],
    observations: &[(String, bool)],
) -> bool {
    let traits = |id: &str| knowledge.ear.findings.get(id).copied();
    let tells = |id: &str| traits(id).is_some_and(|FindingTraits { context, .. }| !context);
    heard.iter().any(|heard| tells(&heard.finding))
        || observations.iter().any(|(id, _)| tells(id))
}

/// "It won't cut since we topdressed": only how it began is told, and that names a cause which is
/// likelier than all others together.
fn stands_out(answer: &Diagnosis) -> bool {
    let told = answer.heard.iter().any(|heard| heard.present);
    told && answer.causes.first().is_some_and(|cause| cause.probability > 0.5)
}

/// "May I mow on with it": only what was seen answers that.
fn asks_to_run_on(knowledge: &Knowledge, question: &Question) -> bool {
    danger::heard(knowledge, &knowledge.ear.read(&question.complaint)).running_on
}

fn rank(
    knowledge: &Knowledge,
    kind: Equipment,
    network: &Network,
    evidence: &[Evidence],
    max_causes: usize,
    answer: &mut Diagnosis,
) -> Result<(), QuestionError> {
    let result = posterior(network, evidence)?;
    let mut order: Vec<usize> = (0..network.causes.len()).collect();
    order.sort_by(|a, b| result.marginals[*b].total_cmp(&result.marginals[*a]).then(a.cmp(b)));
    order.truncate(if max_causes == 0 { CAUSES_DEFAULT } else { max_causes });
    let told = evidence.iter().filter(|item| !matches!(item.kind, EvidenceKind::Unsaid { .. }));
    let moved = if told.count() <= EVIDENCE_FINDINGS_MAX {
        contributions(network, evidence, &order)?
    } else {
        Vec::new()
    };
    answer.other = result.other;
    answer.several = result.several;
    for (place, cause) in order.iter().enumerate() {
        let id = network.causes[*cause].id.clone();
        let mut shown: Vec<(String, f64)> = moved
            .iter()
            .map(|(finding, by_cause)| (network.findings[*finding].id.clone(), by_cause[place]))
            .filter(|(id, change)| id != COMPLAINED_OF && change.abs() >= EVIDENCE_SHOWN_MIN)
            .collect();
        shown.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()).then(a.0.cmp(&b.0)));
        let minutes = repair_minutes(knowledge, kind, &id);
        let probability = result.marginals[*cause];
        answer.causes.push(RankedCause { id, probability, evidence: shown, minutes });
    }
    Ok(())
}

fn repair_minutes(knowledge: &Knowledge, kind: Equipment, cause: &str) -> f64 {
    let Some(row) = knowledge.cause(kind, cause) else { return 0.0 };
    row.minutes + knowledge.opening(&row.opening).map_or(0.0, |opening| opening.minutes)
}

fn plan_steps(
    knowledge: &Knowledge,
    kind: Equipment,
    (network, bench): (&Network, &Bench),
    evidence: &[Evidence],
    answer: &mut Diagnosis,
) -> Result<(), QuestionError> {
    let mut cautions = Vec::new();
    let mut repairs = 0;
    for step in plan::next_steps(network, bench, evidence)? {
        if step.kind == StepKind::Repair {
            repairs += 1;
        }
        // Repairs beyond the first two are the list of causes told again; handing over, which
        // comes last, keeps its place.
        let full = answer.steps.len() + 1 >= STEPS_MAX && step.kind != StepKind::Specialist;
        if (step.kind == StepKind::Repair && repairs > 2) || full {
            continue;
        }
        let id = match (step.kind, step.index) {
            (StepKind::Check, Some(at)) => bench.checks[at].id.clone(),
            (StepKind::Repair, Some(at)) => network.causes[at].id.clone(),
            _ => "specialist".to_owned(),
        };
        let minutes_saved =
            if step.kind == StepKind::Check { step.minutes_saved.max(0.0) } else { 0.0 };
        cautions.extend(step_cautions(knowledge, kind, step.kind, &id));
        let why = why(&step);
        let (kind, minutes, optional) = (step.kind, step.minutes, step.optional);
        answer.steps.push(NextStep { kind, id, minutes, minutes_saved, optional, why });
    }
    let mut seen = BTreeSet::new();
    answer.cautions = cautions.into_iter().filter(|id| seen.insert(id.clone())).collect();
    Ok(())
}

/// The cautions a step carries: its own and those of its opening.
pub fn step_cautions(
    knowledge: &Knowledge,
    kind: Equipment,
    step: StepKind,
    id: &str,
) -> Vec<String> {
    let (own, opening) = match step {
        StepKind::Check => match knowledge.check(id) {
            Some(row) => (row.cautions.clone(), row.opening.as_str()),
            None => return Vec::new(),
        },
        StepKind::Repair => match knowledge.cause(kind, id) {
            Some(row) => (row.cautions.clone(), row.opening.as_str()),
            None => return Vec::new(),
        },
        StepKind::Specialist => return Vec::new(),
    };
    let mut all = knowledge.opening(opening).map_or(Vec::new(), |row| row.cautions.clone());
    all.extend(own);
    let mut seen = BTreeSet::new();
    all.into_iter().filter(|id| seen.insert(id.clone())).collect()
}

fn why(step: &plan::Step) -> String {
    match step.kind {
        StepKind::Check if step.optional => {
            "It costs more minutes than it is expected to save, but tells the causes apart."
                .to_owned()
        }
        StepKind::Check => format!(
            "It is expected to save {}; {} its answer changes what is done first.",
            counted(step.minutes_saved.round().max(1.0), "minute"),
            times_in_hundred(step.why.chance),
        ),
        StepKind::Repair => format!("It cures the fault {}.", times_in_hundred(step.why.chance)),
        StepKind::Specialist => "When the steps above do not find it.".to_owned(),
    }
}

fn message(knowledge: &Knowledge, kind: Equipment, answer: &Diagnosis) -> String {
    let title =
        |id: &str| knowledge.cause(kind, id).map_or("", |row| row.title.as_str()).to_owned();
    if answer.outcome == Outcome::NeedMore {
        return format!(
            "That is not enough to name a cause on a {}: say what the turf or the machine shows, \
             for example a line, an end, ripples, torn tips, a noise, and behind which unit.",
            kind.title()
        );
    }
    let Some(first) = answer.causes.first() else {
        return "No known cause explains this.".to_owned();
    };
    let chance = in_hundred(first.probability);
    let mut text = format!("Most likely: {} ({chance}).", title(&first.id));
    if answer.other > first.probability {
        text = format!(
            "No known cause stands out; the nearest is: {} ({chance}).",
            title(&first.id)
        );
    }
    match answer.steps.first() {
        Some(step) if step.kind == StepKind::Check => {
            let check = knowledge.check(&step.id).map_or("", |row| row.title.as_str());
            text.push_str(&format!(" First: {} ({:.0} min).", lower_first(check), step.minutes));
        }
        Some(step) if step.kind == StepKind::Repair => {
            let remedy = knowledge.cause(kind, &step.id).map_or("", |row| row.remedy.as_str());
            text.push_str(&format!(" Do this: {}", lower_first(remedy)));
        }
        _ => {}
    }
    text
}

fn bare(outcome: Outcome, message: String, equipment: Option<Equipment>) -> Diagnosis {
    Diagnosis {
        outcome,
        message,
        equipment,
        heard: Vec::new(),
        causes: Vec::new(),
        other: 0.0,
        several: 0.0,
        steps: Vec::new(),
        cautions: Vec::new(),
        unheard: Vec::new(),
    }
}

fn refused(
    knowledge: &Knowledge,
    (refusal, words): (&str, &str),
    equipment: Option<Equipment>,
    hearing: &Hearing,
) -> Diagnosis {
    let (message, cautions) = danger::told(knowledge, refusal, words);
    let mut answer = bare(Outcome::RefusedUnsafe, message, equipment);
    answer.cautions = cautions;
    answer.unheard = hearing.unheard(&hearing.heard);
    answer
}

fn out_of_scope(scope: &Scope, hearing: Hearing) -> Diagnosis {
    let message = match scope {
        Scope::Language => "Only English is understood here; say it in English, please.",
        Scope::OtherMachine => {
            "That machine is not one of ours: this helps with reel units, groomers, rear roller \
             brushes, verticut reels and rotary decks."
        }
        _ => {
            "That is outside what this knows: it helps with the cut, the setting and the upkeep of \
             reel units, groomers, rear roller brushes, verticut reels and rotary decks."
        }
    };
    let mut answer = bare(Outcome::OutOfScope, message.to_owned(), None);
    answer.unheard = hearing.unheard(&hearing.heard);
    answer
}

/// A chance for people. Nothing is certain, and nothing that is named is out of the question.
pub fn in_hundred(chance: f64) -> String {
    match (100.0 * chance).round() {
        100.0.. => "over 99 in 100".to_owned(),
        rounded if rounded < 1.0 => "under 1 in 100".to_owned(),
        rounded => format!("{rounded} in 100"),
    }
}

fn times_in_hundred(chance: f64) -> String {
    match (100.0 * chance).round() {
        100.0.. => "more than 99 times in 100".to_owned(),
        1.0 => "once in 100".to_owned(),
        rounded if rounded < 1.0 => "less than once in 100".to_owned(),
        rounded => format!("{rounded} times in 100"),
    }
}

/// Findings worth asking about when the words were too few, in order of how often they help.
pub fn asking_findings(knowledge: &Knowledge, kind: Equipment) -> Vec<String> {
    knowledge
        .findings
        .iter()
        .filter(|row| row.kind == FindingKind::Complaint && row.equipment.contains(&kind))
        .map(|row| row.id.clone())
        .collect()
}
