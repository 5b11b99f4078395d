//! What is there to decide? Hypotheses with their chances, repairs that cure some of them, checks
//! that tell them apart, and what each costs in minutes. This is the planner's view: exactly one
//! fault is present, or something unknown; the theory of repair order needs that.
//! Deliberately absent: the choice itself (see plan and optimum).

use std::borrow::Cow;

use super::DiagnosisError;
use super::checked::{at_most, known, positive, within};

/// Repairs, openings and checks are kept as bits of one word.
pub(super) const BITS: usize = 64;
/// Facts are kept as bits of two words.
pub(super) const FACTS_MAX: usize = 128;
/// Outcomes of one check that are planned for one by one; the least likely are taken together.
const OUTCOMES_MAX: usize = 48;
/// Outcomes less likely than this are taken together.
const OUTCOME_SHARE_MIN: f64 = 0.002;

/// A repair: what it costs and which hypotheses it cures, each with its chance of success.
#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    pub minutes: f64,
    pub opening: Option<usize>,
    pub cures: Vec<(usize, f64)>,
}

/// A check and what it reveals.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    pub minutes: f64,
    pub opening: Option<usize>,
    pub answers: Vec<Answer>,
}

/// One yes or no of a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What it is about, numbered from 0. Answers about the same fact, in one question or in two,
    /// say the same thing, so only the first is news.
    pub fact: usize,
    /// P(yes | hypothesis), over all hypotheses.
    pub yes: Vec<f64>,
}

/// Everything a plan needs to know. The last hypothesis is the unknown fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    pub belief: Vec<f64>,
    pub repairs: Vec<Repair>,
    pub questions: Vec<Question>,
    pub opening_minutes: Vec<f64>,
    pub specialist_minutes: f64,
    /// Whether some hypothesis is cured by two repairs.
    pub(super) overlapping: bool,
}

/// Where the work stands. The belief need not sum to 1: its sum is the chance of getting here.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation<'a> {
    pub belief: Cow<'a, [f64]>,
    /// Bit r: repair r was tried and did not cure the fault.
    pub tried: u64,
    /// Bit q: question q was answered.
    pub asked: u64,
    /// Bit o: opening o is done.
    pub opened: u64,
    /// Bit f: fact f is settled.
    pub settled: u128,
}

/// The beliefs to which the answers of a question lead, one after the other in one piece of memory:
/// a plan looks at thousands of them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outcomes {
    hypotheses: usize,
    masses: Vec<f64>,
    chances: Vec<f64>,
}

impl Outcomes {
    fn new(hypotheses: usize, outcomes: usize) -> Outcomes {
        Outcomes {
            hypotheses,
            masses: Vec::with_capacity(hypotheses * outcomes),
            chances: Vec::with_capacity(outcomes),
        }
    }

    pub fn len(&self) -> usize {
        self.chances.len()
    }

    pub fn is_empty(&self) -> bool {
        self.chances.is_empty()
    }

    /// The chance of each outcome, and the belief after it, which sums to that chance.
    pub fn iter(&self) -> impl Iterator<Item = (f64, &[f64])> {
        self.chances.iter().copied().zip(self.masses.chunks_exact(self.hypotheses))
    }

    fn push(&mut self, belief: impl Iterator<Item = f64>) {
        let from = self.masses.len();
        self.masses.extend(belief);
        self.chances.push(self.masses[from..].iter().sum());
    }

    /// An outcome, or, where its chance is small, an addition to what is taken together.
    fn push_unless_rare(
        &mut self,
        belief: impl Iterator<Item = f64>,
        least_chance: f64,
        rare: &mut Vec<f64>,
    ) {
        self.push(belief);
        if self.chances.last().is_some_and(|chance| *chance < least_chance) {
            self.pool_last(rare);
        }
    }

    /// Takes the last outcome away and adds it to what is taken together.
    fn pool_last(&mut self, rare: &mut Vec<f64>) {
        let from = self.masses.len() - self.hypotheses;
        self.chances.pop();
        rare.resize(self.hypotheses, 0.0);
        rare.iter_mut().zip(self.masses.drain(from..)).for_each(|(sum, mass)| *sum += mass);
    }

    /// The likeliest outcomes first, and no more than may be; the others are taken together.
    fn keep_likeliest(&mut self, rare: &mut Vec<f64>) {
        let mut likeliest: Vec<(f64, &[f64])> = self.iter().collect();
        likeliest.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut kept = Outcomes::new(self.hypotheses, 2 * OUTCOMES_MAX);
        for (_, belief) in likeliest {
            kept.push(belief.iter().copied());
            if kept.len() > OUTCOMES_MAX {
                kept.pool_last(rare);
            }
        }
        *self = kept;
    }
}

impl Problem {
    /// Checks every number and index.
    pub fn new(
        belief: Vec<f64>,
        repairs: Vec<Repair>,
        questions: Vec<Question>,
        opening_minutes: Vec<f64>,
        specialist_minutes: f64,
    ) -> Result<Problem, DiagnosisError> {
        let mut problem = Problem {
            belief,
            repairs,
            questions,
            opening_minutes,
            specialist_minutes,
            overlapping: false,
        };
        problem.validate()?;
        let mut cured = vec![false; problem.belief.len()];
        for &(hypothesis, _) in problem.repairs.iter().flat_map(|repair| &repair.cures) {
            problem.overlapping |= std::mem::replace(&mut cured[hypothesis], true);
        }
        Ok(problem)
    }

    fn validate(&self) -> Result<(), DiagnosisError> {
        positive("specialist_minutes", self.specialist_minutes)?;
        positive("sum of the belief", self.belief.iter().sum())?;
        for belief in &self.belief {
            within("belief", *belief, 0.0, 1.0)?;
        }
        at_most("number of repairs", self.repairs.len(), BITS)?;
        at_most("number of questions", self.questions.len(), BITS)?;
        at_most("number of openings", self.opening_minutes.len(), BITS)?;
        for repair in &self.repairs {
            positive("minutes of a repair", repair.minutes)?;
            known("opening of a repair", repair.opening, self.opening_minutes.len())?;
            for &(hypothesis, success) in &repair.cures {
                known("hypothesis of a repair", Some(hypothesis), self.belief.len())?;
                within("success of a repair", success, 0.0, 1.0)?;
            }
        }
        for question in &self.questions {
            positive("minutes of a question", question.minutes)?;
            known("opening of a question", question.opening, self.opening_minutes.len())?;
            for answer in &question.answers {
                known("fact of an answer", Some(answer.fact), FACTS_MAX)?;
                if answer.yes.len() != self.belief.len() {
                    let remedy = format!("give {} chances of a yes", self.belief.len());
                    return Err(DiagnosisError::new("answer", answer.yes.len(), remedy));
                }
                for probability in &answer.yes {
                    within("probability of a yes", *probability, 0.0, 1.0)?;
                }
            }
        }
        Ok(())
    }

    pub fn start(&self) -> Situation<'_> {
        let belief = Cow::Borrowed(self.belief.as_slice());
        Situation { belief, tried: 0, asked: 0, opened: 0, settled: 0 }
    }

    /// Minutes of an opening, 0 when none is needed or it is done.
    pub fn opening_due(&self, opening: Option<usize>, opened: u64) -> f64 {
        match opening {
            Some(opening) if opened & bit(opening) == 0 => self.opening_minutes[opening],
            _ => 0.0,
        }
    }

    /// Minutes of a question now, with the opening that is due.
    pub fn question_minutes(&self, situation: &Situation, question: usize) -> f64 {
        let asked = &self.questions[question];
        asked.minutes + self.opening_due(asked.opening, situation.opened)
    }

    /// Minutes of a repair now, with the opening that is due.
    pub fn repair_minutes(&self, situation: &Situation, repair: usize) -> f64 {
        let work = &self.repairs[repair];
        work.minutes + self.opening_due(work.opening, situation.opened)
    }

    /// The situation after a repair was tried and the fault is still there. An imperfect repair
    /// leaves part of the belief in its cause.
    pub fn after_failed_repair<'a>(
        &self,
        situation: &Situation<'a>,
        repair: usize,
    ) -> Situation<'a> {
        let mut after = situation.clone();
        let belief = after.belief.to_mut();
        for &(hypothesis, success) in &self.repairs[repair].cures {
            belief[hypothesis] *= 1.0 - success;
        }
        after.tried |= bit(repair);
        after.opened |= opening_bit(self.repairs[repair].opening);
        after
    }

    /// The outcomes of a question. Facts are independent given the fault. A fact that is settled,
    /// or on which all hypotheses agree, is skipped. Rare outcomes are taken together, which can
    /// only make the check look worth less than it is.
    pub fn outcomes(&self, situation: &Situation, question: usize) -> Outcomes {
        let mut settled = situation.settled;
        let mut outcomes = Outcomes::new(situation.belief.len(), 4);
        outcomes.push(situation.belief.iter().copied());
        let least_chance = OUTCOME_SHARE_MIN * outcomes.chances[0];
        let mut rare: Vec<f64> = Vec::new();
        for answer in &self.questions[question].answers {
            let known = settled & (1 << answer.fact) != 0;
            if known || agree(&answer.yes, &situation.belief) {
                continue;
            }
            settled |= 1 << answer.fact;
            let mut split = Outcomes::new(situation.belief.len(), 2 * outcomes.len());
            for (_, belief) in outcomes.iter() {
                let pairs = || belief.iter().zip(&answer.yes);
                let no = pairs().map(|(mass, yes)| mass - mass * yes);
                let yes = pairs().map(|(mass, yes)| mass * yes);
                split.push_unless_rare(no, least_chance, &mut rare);
                split.push_unless_rare(yes, least_chance, &mut rare);
            }
            if split.len() > OUTCOMES_MAX {
                split.keep_likeliest(&mut rare);
            }
            outcomes = split;
        }
        if !rare.is_empty() {
            outcomes.push(rare.into_iter());
        }
        outcomes
    }

    /// The situation after a question was asked and its answers led to this belief.
    pub fn after_answer<'a>(
        &self,
        situation: &Situation,
        question: usize,
        belief: impl Into<Cow<'a, [f64]>>,
    ) -> Situation<'a> {
        let asked = &self.questions[question];
        Situation {
            belief: belief.into(),
            tried: situation.tried,
            asked: situation.asked | bit(question),
            opened: situation.opened | opening_bit(asked.opening),
            settled: asked.answers.iter().fold(situation.settled, |all, it| all | 1 << it.fact),
        }
    }
}

impl Answer {
    /// The belief after a yes; its sum is the chance of the yes.
    pub fn yes(&self, belief: &[f64]) -> Vec<f64> {
        belief.iter().zip(&self.yes).map(|(mass, yes)| mass * yes).collect()
    }

    /// The belief after a no.
    pub fn no(&self, belief: &[f64]) -> Vec<f64> {
        belief.iter().zip(&self.yes).map(|(mass, yes)| mass * (1.0 - yes)).collect()
    }
}

pub(super) fn bit(index: usize) -> u64 {
    1 << index
}

pub(super) fn opening_bit(opening: Option<usize>) -> u64 {
    opening.map_or(0, bit)
}

/// Whether every hypothesis still believed in gives the finding the same chance.
pub(super) fn agree(likelihood: &[f64], belief: &[f64]) -> bool {
    let mut believed = likelihood.iter().zip(belief).filter(|(_, mass)| **mass > 0.0);
    match believed.next() {
        Some((first, _)) => believed.all(|(other, _)| other == first),
        None => true,
    }
}
