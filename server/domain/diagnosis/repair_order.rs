//! In which order are repairs tried, and when is the specialist called instead? The answer is the
//! order with the fewest expected minutes, given one fault and no more checks.
//!
//! When no hypothesis is cured by two repairs, the minutes are a weighted sum of completion times:
//! a repair is a job with weight P(it cures the fault), a shared opening is a job of weight 0 that
//! must come before its repairs, and the specialist cures what is left. Such sums are least when
//! jobs run by falling weight per minute, an opening joined with the best first repairs behind it
//! (Horn 1972, Sidney 1975: from memory; the tests compare with every order). The specialist is
//! called at the best point of that order: were a later repair worth its minutes, an earlier one,
//! with more weight per minute, would be too. So the order is exact for any number of repairs.
//!
//! Repairs that overlap make the problem hard; for those, all subsets of up to twelve are tried.

use super::problem::{Problem, Situation, bit, opening_bit};

/// Overlapping repairs that are ordered by trying every subset: 4,096 of them.
pub const OVERLAPPING_REPAIRS_MAX: usize = 12;

/// Repairs in the order to try them; after the last, the specialist is called.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    pub sequence: Vec<usize>,
    /// Expected minutes, times the sum of the belief.
    pub minutes: f64,
}

/// A repair still to be tried, and where it stands in the order.
#[derive(Debug, Clone, Copy)]
struct Job {
    repair: usize,
    weight: f64,
    minutes: f64,
    opening: Option<usize>,
    /// Weight per minute of the job, or of the block that it belongs to.
    rate: f64,
    /// The first repair of its block: keeps blocks together among equals.
    block: usize,
    /// Place among the jobs sorted by their own weight per minute.
    place: usize,
}

/// The best order of the repairs that are left. Exact for repairs that do not overlap, and for up
/// to twelve that do; by falling weight per minute beyond.
pub fn best_order(problem: &Problem, situation: &Situation) -> Order {
    if overlap(problem) && untried(problem, situation).len() <= OVERLAPPING_REPAIRS_MAX {
        return by_subsets(problem, situation);
    }
    by_rate(problem, situation)
}

fn overlap(problem: &Problem) -> bool {
    let mut cured = vec![false; problem.belief.len()];
    for &(hypothesis, _) in problem.repairs.iter().flat_map(|repair| &repair.cures) {
        if std::mem::replace(&mut cured[hypothesis], true) {
            return true;
        }
    }
    false
}

fn untried(problem: &Problem, situation: &Situation) -> Vec<usize> {
    (0..problem.repairs.len()).filter(|&repair| situation.tried & bit(repair) == 0).collect()
}

fn by_rate(problem: &Problem, situation: &Situation) -> Order {
    let jobs = sorted_jobs(problem, situation);
    let mut remaining: f64 = situation.belief.iter().sum();
    let mut opened = situation.opened;
    let mut spent = 0.0;
    let (mut best, mut stop) = (remaining * problem.specialist_minutes, 0);
    for (done, job) in jobs.iter().enumerate() {
        spent += remaining * (job.minutes + problem.opening_due(job.opening, opened));
        opened |= opening_bit(job.opening);
        remaining -= job.weight;
        let minutes = spent + remaining.max(0.0) * problem.specialist_minutes;
        if minutes < best {
            (best, stop) = (minutes, done + 1);
        }
    }
    let sequence = jobs[..stop].iter().map(|job| job.repair).collect();
    Order { sequence, minutes: best }
}

/// Jobs by falling weight per minute, each opening joined to the best first jobs behind it.
fn sorted_jobs(problem: &Problem, situation: &Situation) -> Vec<Job> {
    let mut jobs: Vec<Job> = Vec::with_capacity(problem.repairs.len());
    for (repair, work) in problem.repairs.iter().enumerate() {
        let cured = |&(hypothesis, success): &(usize, f64)| situation.belief[hypothesis] * success;
        let weight: f64 = work.cures.iter().map(cured).sum();
        if situation.tried & bit(repair) != 0 || weight <= 0.0 {
            continue;
        }
        let minutes = work.minutes;
        let rate = weight / minutes;
        let opening = work.opening;
        jobs.push(Job { repair, weight, minutes, opening, rate, block: repair, place: 0 });
    }
    jobs.sort_by(|a, b| b.rate.total_cmp(&a.rate).then(a.repair.cmp(&b.repair)));
    jobs.iter_mut().enumerate().for_each(|(place, job)| job.place = place);
    for (opening, minutes) in problem.opening_minutes.iter().enumerate() {
        if situation.opened & bit(opening) == 0 {
            join_block(&mut jobs, opening, *minutes);
        }
    }
    jobs.sort_by(|a, b| {
        b.rate.total_cmp(&a.rate).then(a.block.cmp(&b.block)).then(a.place.cmp(&b.place))
    });
    jobs
}

/// Joins an opening with the first jobs behind it that give the block most weight per minute.
fn join_block(jobs: &mut [Job], opening: usize, opening_minutes: f64) {
    let (mut weight, mut minutes) = (0.0, opening_minutes);
    let (mut best_rate, mut last) = (0.0, 0);
    let mut first = None;
    for (place, job) in jobs.iter().enumerate().filter(|(_, job)| job.opening == Some(opening)) {
        weight += job.weight;
        minutes += job.minutes;
        first.get_or_insert(job.repair);
        if weight / minutes > best_rate {
            (best_rate, last) = (weight / minutes, place);
        }
    }
    let Some(first) = first else { return };
    for job in jobs[..=last].iter_mut().filter(|job| job.opening == Some(opening)) {
        job.rate = best_rate;
        job.block = first;
    }
}

/// Dynamic programming over the subsets of repairs tried: also right when repairs overlap.
pub(super) fn by_subsets(problem: &Problem, situation: &Situation) -> Order {
    let left = untried(problem, situation);
    let states: Vec<Situation> = (0..1usize << left.len())
        .map(|subset| {
            let tried = left.iter().enumerate().filter(|(at, _)| subset & (1 << at) != 0);
            tried.fold(situation.clone(), |state, (_, &repair)| {
                problem.after_failed_repair(&state, repair)
            })
        })
        .collect();
    let mut minutes = vec![0.0; states.len()];
    let mut choice: Vec<Option<usize>> = vec![None; states.len()];
    for subset in (0..states.len()).rev() {
        let mass: f64 = states[subset].belief.iter().sum();
        minutes[subset] = mass * problem.specialist_minutes;
        for (at, &repair) in left.iter().enumerate().filter(|(at, _)| subset & (1 << at) == 0) {
            let work = &problem.repairs[repair];
            let due = problem.opening_due(work.opening, states[subset].opened);
            let trial = mass * (work.minutes + due) + minutes[subset | (1 << at)];
            if trial < minutes[subset] {
                minutes[subset] = trial;
                choice[subset] = Some(at);
            }
        }
    }
    let (mut sequence, mut subset) = (Vec::new(), 0);
    while let Some(at) = choice[subset] {
        sequence.push(left[at]);
        subset |= 1 << at;
    }
    Order { sequence, minutes: minutes[0] }
}
