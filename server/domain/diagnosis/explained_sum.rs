//! P(evidence) and P(evidence, cause present), exactly, for the two-layer leaky noisy-OR network.
//!
//! The classic Quickscore sum over subsets of the positive findings alternates in sign. With ten
//! positives of one in a hundred each, its terms near 1 must cancel down to 1e-9 and leave few true
//! digits. The same sum is therefore run over the subsets of findings *explained so far*: a cause
//! is either absent, or present and explains some more of them. Every term is positive, so nothing
//! cancels. Findings answered "no" only scale the weight of their causes and cost nothing.
//!
//! A finding takes part only from the first cause that can explain it to the last. Causes are
//! ordered so that few findings take part at once, and the sum grows as 2 to that number, not to
//! the number of findings.

use super::posterior::{Masses, Weighed};

/// Findings that may take part in the sum at once.
pub const WIDTH_MAX: usize = 12;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Move {
    /// The finding starts to take part, on by its leak or off.
    Open(usize),
    /// The cause is absent, or present and explaining.
    Include(usize),
    /// No cause to come explains the finding: what was said about it is weighed.
    Close(usize),
}

/// The exact sums, or nothing when more findings than `WIDTH_MAX` would take part at once.
pub(super) fn sum(weighed: &Weighed) -> Option<Masses> {
    let moves = plan_moves(weighed)?;
    let mut scale = weighed.quiet;
    for cause in 0..weighed.present.len() {
        if weighed.links[cause].is_empty() {
            scale *= weighed.absent[cause] + weighed.present[cause];
        }
    }
    let start = vec![1.0];
    let mut pass =
        Pass { weighed, at: Vec::new(), left: Vec::new(), masses: start, tape: Vec::new() };
    moves.iter().for_each(|step| pass.forward(*step));
    let evidence = scale * pass.masses[0];

    let mut causes: Vec<f64> = (weighed.present.iter().zip(&weighed.absent))
        .map(|(present, absent)| evidence * present / (present + absent))
        .collect();
    pass.masses[0] = scale;
    for step in moves.iter().rev() {
        if let (Move::Include(cause), Some(mass)) = (*step, pass.backward(*step)) {
            causes[cause] = mass;
        }
    }
    Some(Masses { evidence, causes, exact: true })
}

/// The order of the sum: again and again, the finding is closed that leaves the fewest taking part.
fn plan_moves(weighed: &Weighed) -> Option<Vec<Move>> {
    let count = weighed.open.len();
    if count > u64::BITS as usize {
        return None;
    }
    let mut masks: Vec<u64> = Vec::with_capacity(weighed.links.len());
    for links in &weighed.links {
        masks.push(links.iter().fold(0, |mask, (at, _)| mask | 1 << at));
    }
    let mut moves = Vec::with_capacity(2 * count + masks.len());
    let mut waiting: Vec<usize> = (0..count).collect();
    let mut opened = 0u64;
    while !waiting.is_empty() {
        let touched = |finding: usize| -> u64 {
            let causes = masks.iter().filter(|mask| *mask & (1 << finding) != 0);
            causes.fold(opened | 1 << finding, |all, mask| all | mask)
        };
        let next = (0..waiting.len()).min_by_key(|&at| (touched(waiting[at]).count_ones(), at))?;
        let finding = waiting.remove(next);
        let mut explaining: Vec<usize> =
            (0..masks.len()).filter(|&cause| masks[cause] & (1 << finding) != 0).collect();
        explaining.sort_by_key(|&cause| (masks[cause] & !opened).count_ones());
        open(&mut moves, &mut opened, 1 << finding)?;
        for cause in explaining {
            open(&mut moves, &mut opened, masks[cause])?;
            moves.push(Move::Include(cause));
            masks[cause] = 0;
        }
        moves.push(Move::Close(finding));
        opened &= !(1 << finding);
    }
    Some(moves)
}

/// Opens the findings of the mask that do not take part yet; nothing when that is too many.
fn open(moves: &mut Vec<Move>, opened: &mut u64, mask: u64) -> Option<()> {
    let mut new = mask & !*opened;
    *opened |= new;
    while new != 0 {
        moves.push(Move::Open(new.trailing_zeros() as usize));
        new &= new - 1;
    }
    (opened.count_ones() as usize <= WIDTH_MAX).then_some(())
}

/// A walk along the moves. Forward, `masses[S]` is P(of the findings taking part exactly those in S
/// are on, what was said about the closed ones). Backward, it is P(what is yet to be weighed | S).
struct Pass<'a> {
    weighed: &'a Weighed,
    /// The findings taking part; place b belongs to bit b of S.
    at: Vec<usize>,
    /// The places that closed findings had, last closed last.
    left: Vec<usize>,
    masses: Vec<f64>,
    /// For each cause included, the masses with the cause present.
    tape: Vec<f64>,
}

impl Pass<'_> {
    fn forward(&mut self, step: Move) {
        match step {
            Move::Open(finding) => {
                let leak = self.weighed.open[finding].leak;
                self.at.push(finding);
                let size = self.masses.len();
                self.masses.extend_from_within(..);
                self.masses[..size].iter_mut().for_each(|mass| *mass *= 1.0 - leak);
                self.masses[size..].iter_mut().for_each(|mass| *mass *= leak);
            }
            Move::Include(cause) => {
                let (present, absent) = (self.weighed.present[cause], self.weighed.absent[cause]);
                let from = self.tape.len();
                self.tape.extend(self.masses.iter().map(|mass| mass * present));
                for &(finding, net) in &self.weighed.links[cause] {
                    explain(&mut self.tape[from..], place(&self.at, finding), net);
                }
                for (mass, with) in self.masses.iter_mut().zip(&self.tape[from..]) {
                    *mass = *mass * absent + with;
                }
            }
            Move::Close(finding) => {
                let said = &self.weighed.open[finding];
                let bit = place(&self.at, finding);
                self.at.remove(bit);
                self.left.push(bit);
                weigh(&mut self.masses, bit, said.if_absent, said.if_present);
            }
        }
    }

    /// Takes the step back; for a cause, returns P(evidence, cause present).
    fn backward(&mut self, step: Move) -> Option<f64> {
        match step {
            Move::Open(finding) => {
                let leak = self.weighed.open[finding].leak;
                let bit = place(&self.at, finding);
                self.at.pop();
                weigh(&mut self.masses, bit, 1.0 - leak, leak);
                None
            }
            Move::Include(cause) => {
                let (present, absent) = (self.weighed.present[cause], self.weighed.absent[cause]);
                let from = self.tape.len() - self.masses.len();
                let with = &mut self.tape[from..];
                let mass = with.iter().zip(&self.masses).map(|(a, b)| a * b).sum();
                with.copy_from_slice(&self.masses);
                for &(finding, net) in &self.weighed.links[cause] {
                    look_ahead(with, place(&self.at, finding), net);
                }
                for (mass, with) in self.masses.iter_mut().zip(with) {
                    *mass = *mass * absent + *with * present;
                }
                self.tape.truncate(from);
                Some(mass)
            }
            Move::Close(finding) => {
                let said = &self.weighed.open[finding];
                let bit = self.left.pop().expect("each close of the way back had one going out");
                self.at.insert(bit, finding);
                self.masses = spread(&self.masses, bit, said.if_absent, said.if_present);
                None
            }
        }
    }
}

fn place(at: &[usize], finding: usize) -> usize {
    at.iter().position(|&open| open == finding).expect("a finding takes part before its causes")
}

/// Lets a present cause turn a finding on with probability `net`, where it is off.
fn explain(masses: &mut [f64], bit: usize, net: f64) {
    let half = 1 << bit;
    for pair in masses.chunks_exact_mut(2 * half) {
        let (off, on) = pair.split_at_mut(half);
        for (off, on) in off.iter_mut().zip(on) {
            *on += net * *off;
            *off *= 1.0 - net;
        }
    }
}

/// The transpose of `explain`: what lies ahead where the finding is still off.
fn look_ahead(masses: &mut [f64], bit: usize, net: f64) {
    let half = 1 << bit;
    for pair in masses.chunks_exact_mut(2 * half) {
        let (off, on) = pair.split_at_mut(half);
        for (off, on) in off.iter_mut().zip(on) {
            *off = *off * (1.0 - net) + *on * net;
        }
    }
}

/// Sums a finding out: off weighs `off_weight`, on weighs `on_weight`. Halves the table.
fn weigh(masses: &mut Vec<f64>, bit: usize, off_weight: f64, on_weight: f64) {
    let half = 1 << bit;
    for block in 0..masses.len() / (2 * half) {
        for within in 0..half {
            let from = block * 2 * half + within;
            masses[block * half + within] =
                masses[from] * off_weight + masses[from + half] * on_weight;
        }
    }
    masses.truncate(masses.len() / 2);
}

/// The transpose of `weigh`: a finding comes back at its place. Doubles the table.
fn spread(masses: &[f64], bit: usize, off_weight: f64, on_weight: f64) -> Vec<f64> {
    let half = 1 << bit;
    let mut wide = Vec::with_capacity(2 * masses.len());
    for block in masses.chunks_exact(half) {
        wide.extend(block.iter().map(|mass| mass * off_weight));
        wide.extend(block.iter().map(|mass| mass * on_weight));
    }
    wide
}
