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
    /// Expected minutes from here to the cure.
    pub minutes: f64,
}

/// Works out orders for one problem after another situation, without new memory for each.
#[derive(Debug)]
pub struct Orderer<'a> {
    problem: &'a Problem,
    jobs: Vec<Job>,
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
}

/// The best order of the repairs that are left. Exact for repairs that do not overlap, and for up
/// to twelve that do; by falling weight per minute beyond.
pub fn best_order(problem: &Problem, situation: &Situation) -> Order {
    if problem.overlapping && untried(problem, situation).len() <= OVERLAPPING_REPAIRS_MAX {
        return by_subsets(problem, situation);
    }
    let mut orderer = Orderer::new(problem);
    let (minutes, stop) = orderer.order(situation);
    let sequence = orderer.jobs[..stop].iter().map(|job| job.repair).collect();
    Order { sequence, minutes }
}

impl<'a> Orderer<'a> {
    pub fn new(problem: &'a Problem) -> Orderer<'a> {
        Orderer { problem, jobs: Vec::with_capacity(problem.repairs.len()) }
    }

    /// Expected minutes of the best order, and the repair it begins with; none: the specialist.
    pub fn minutes_and_first(&mut self, situation: &Situation) -> (f64, Option<usize>) {
        if self.problem.overlapping {
            let order = best_order(self.problem, situation);
            return (order.minutes, order.sequence.first().copied());
        }
        let (minutes, stop) = self.order(situation);
        (minutes, self.jobs[..stop].first().map(|job| job.repair))
    }

    /// Sorts the jobs; returns the expected minutes and how many jobs come before the specialist.
    fn order(&mut self, situation: &Situation) -> (f64, usize) {
        let total: f64 = situation.belief.iter().sum();
        self.sort_jobs(situation, total);
        let (problem, specialist) = (self.problem, self.problem.specialist_minutes);
        let mut remaining = total;
        let mut opened = situation.opened;
        let mut spent = 0.0;
        let (mut best, mut stop) = (remaining * specialist, 0);
        for (done, job) in self.jobs.iter().enumerate() {
            spent += remaining * (job.minutes + problem.opening_due(job.opening, opened));
            opened |= opening_bit(job.opening);
            remaining -= job.weight;
            let minutes = spent + remaining.max(0.0) * specialist;
            if minutes < best {
                (best, stop) = (minutes, done + 1);
            }
        }
        (if total > 0.0 { best / total } else { 0.0 }, stop)
    }

    /// Jobs by falling weight per minute, each opening joined to the best first jobs behind it.
    fn sort_jobs(&mut self, situation: &Situation, total: f64) {
        self.jobs.clear();
        let mut left = total;
        for (repair, work) in self.problem.repairs.iter().enumerate() {
            if situation.tried & bit(repair) != 0 {
                continue;
            }
            let cured =
                |&(hypothesis, success): &(usize, f64)| situation.belief[hypothesis] * success;
            let weight: f64 = work.cures.iter().map(cured).sum();
            let (minutes, opening) = (work.minutes, work.opening);
            left -= weight;
            let rate = weight / minutes;
            self.jobs.push(Job { repair, weight, minutes, opening, rate, block: repair });
        }
        // Whatever is done before it, a repair whose weight does not save its own minutes of the
        // specialist even in what no repair cures is never worth doing.
        let least = left.max(0.0) / self.problem.specialist_minutes;
        self.jobs.retain(|job| job.weight > 0.0 && job.rate > least);
        self.jobs.sort_unstable_by(|a, b| b.rate.total_cmp(&a.rate).then(a.repair.cmp(&b.repair)));
        let mut due = situation.opened;
        for at in 0..self.jobs.len() {
            let opening = self.jobs[at].opening;
            if let Some(opening) = opening.filter(|opening| due & bit(*opening) == 0) {
                due |= bit(opening);
                join_block(&mut self.jobs, opening, self.problem.opening_minutes[opening]);
            }
        }
        // Stable, so that jobs of one block stay in the order of their own weight per minute.
        self.jobs.sort_by(|a, b| b.rate.total_cmp(&a.rate).then(a.block.cmp(&b.block)));
    }
}

fn untried(problem: &Problem, situation: &Situation) -> Vec<usize> {
    (0..problem.repairs.len()).filter(|&repair| situation.tried & bit(repair) == 0).collect()
}

/// Joins an opening with the first jobs behind it that give the block most weight per minute.
fn join_block(jobs: &mut [Job], opening: usize, opening_minutes: f64) {
    let (mut weight, mut minutes) = (0.0, opening_minutes);
    let (mut best_rate, mut last, mut first) = (0.0, 0, 0);
    for (place, job) in jobs.iter().enumerate().filter(|(_, job)| job.opening == Some(opening)) {
        if weight == 0.0 {
            first = job.repair;
        }
        weight += job.weight;
        minutes += job.minutes;
        if weight / minutes >= best_rate {
            (best_rate, last) = (weight / minutes, place);
        }
    }
    for job in jobs[..=last].iter_mut().filter(|job| job.opening == Some(opening)) {
        job.rate = best_rate;
        job.block = first;
    }
}

/// Dynamic programming over the subsets of repairs tried: also right when repairs overlap.
pub fn by_subsets(problem: &Problem, situation: &Situation) -> Order {
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
    let total: f64 = situation.belief.iter().sum();
    Order { sequence, minutes: if total > 0.0 { minutes[0] / total } else { 0.0 } }
}
