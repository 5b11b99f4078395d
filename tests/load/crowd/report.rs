//! What came of it, and was it right?

use std::collections::BTreeMap;
use std::fmt;
use std::time::Duration;

use tonic::Code;

use super::Plan;
use super::client::{Seen, may_be_tried_again};
use super::faults::Stage;
use super::ledger::Judgement;
use super::server::Memory;

/// A run shorter than this says nothing of memory.
const MEMORY_TIME_MIN: Duration = Duration::from_secs(60);
/// What the program's own memory may grow from the middle of a run to its end.
const GROWTH_MAX: f64 = 1.15;
const GROWTH_SLACK_KIB: u64 = 8 << 10;

#[derive(Default)]
pub struct Report {
    pub clients: usize,
    pub time: Duration,
    pub answered: BTreeMap<String, u64>,
    pub refused: BTreeMap<(String, i32), (u64, String)>,
    pub acknowledged: usize,
    pub judgements: Vec<Judgement>,
    /// Everything that must not be.
    pub wrong: Vec<String>,
    times: Vec<Duration>,
    /// Early, in the middle and at the end; with faults at first and at the end.
    memory: Vec<Memory>,
    far_off: u64,
    ahead: u64,
    faults: Vec<String>,
    skipped: Vec<String>,
}

impl Report {
    pub fn new(plan: &Plan, seen: Vec<Seen>, memory: &[Memory], stage: &Stage) -> Report {
        let mut report = Report {
            clients: plan.clients,
            time: plan.time,
            faults: stage.done.clone(),
            skipped: stage.skipped.clone(),
            ..Report::default()
        };
        for seen in seen {
            for (method, count) in seen.answered {
                *report.answered.entry(method).or_default() += count;
            }
            for (key, (count, text)) in seen.refused {
                report.refused.entry(key).or_insert((0, text)).0 += count;
            }
            report.wrong.extend(seen.wrong);
            report.times.extend(seen.times);
            report.far_off += seen.far_off;
            report.ahead += seen.ahead;
        }
        report.times.sort();
        report.codes(plan);
        report.memory_of(plan, memory);
        report
    }

    /// Without faults nothing fails but what a busy server may refuse.
    fn codes(&mut self, plan: &Plan) {
        for ((method, code), (count, text)) in &self.refused {
            let code = Code::from_i32(*code);
            let busy = matches!(code, Code::ResourceExhausted | Code::Unavailable);
            let ahead = code == Code::InvalidArgument && *count == self.ahead;
            if !(busy || plan.faults && (ahead || may_be_tried_again(code))) {
                self.wrong.push(format!("{count} of {method} failed: {code:?} {text}"));
            }
        }
    }

    /// Memory after the first fifth, in the middle and at the end, each a median of some looks. A
    /// server that was killed on the way says only what it held at first and at the end.
    fn memory_of(&mut self, plan: &Plan, looks: &[Memory]) {
        if plan.faults {
            self.memory = looks.to_vec();
            return;
        }
        let median = |share: usize| {
            let near = looks.len() * share / 100;
            let from = near.saturating_sub(4).min(looks.len().saturating_sub(1));
            let mut some: Vec<Memory> = looks[from..(from + 5).min(looks.len())].to_vec();
            some.sort_by_key(|memory| memory.own);
            some.get(some.len() / 2).copied().unwrap_or_default()
        };
        let (early, middle, end) = (median(20), median(50), median(100));
        self.memory = vec![early, middle, end];
        let most = (middle.own as f64 * GROWTH_MAX) as u64 + GROWTH_SLACK_KIB;
        if plan.time >= MEMORY_TIME_MIN && end.own > most {
            self.wrong.push(format!("memory grew from {} to {} KiB", middle.own, end.own));
        }
    }

    pub fn judged(&mut self, judgement: Judgement) {
        if !judgement.is_sound() {
            self.wrong.push(format!("{judgement:?}"));
        }
        self.judgements.push(judgement);
    }

    pub fn calls(&self) -> u64 {
        self.answered.values().sum()
    }

    fn at(&self, share: f64) -> Duration {
        let last = self.times.len().saturating_sub(1);
        self.times.get((last as f64 * share) as usize).copied().unwrap_or_default()
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let rate = self.calls() as f64 / self.time.as_secs_f64();
        writeln!(f, "{} clients, {:.0?}", self.clients, self.time)?;
        writeln!(f, "{} calls answered, {rate:.0} a second", self.calls())?;
        let (half, most) = (self.at(0.5), self.at(0.99));
        writeln!(f, "one call: p50 {half:.1?}, p99 {most:.1?}, longest {:.1?}", self.at(1.0))?;
        let mut rest = 0;
        for (method, count) in &self.answered {
            if *count * 100 < self.calls() {
                rest += count;
            } else {
                writeln!(f, "  {method:<24} {count}")?;
            }
        }
        writeln!(f, "  {:<24} {rest}", "the others")?;
        writeln!(f, "{} writes acknowledged", self.acknowledged)?;
        for (when, judgement) in ["at the end", "after a restart"].iter().zip(&self.judgements) {
            let Judgement { stored, lost, doubled, strange, .. } = judgement;
            writeln!(
                f,
                "  {when}: {stored} stored, {lost} lost, {doubled} doubled, {strange} of nobody"
            )?;
        }
        for ((method, code), (count, text)) in &self.refused {
            let code = Code::from_i32(*code);
            let text: String = text.chars().take(90).collect();
            writeln!(f, "  refused {count} x {method}: {code:?} ({text})")?;
        }
        let looks = |which: fn(&Memory) -> u64| {
            let told = self.memory.iter().map(|look| which(look).to_string());
            told.collect::<Vec<String>>().join(", ")
        };
        let killed = self.memory.len() == 2;
        let when = if killed { "at first, at the end" } else { "early, middle, end" };
        let (own, mapped) = (looks(|look| look.own), looks(|look| look.resident));
        writeln!(f, "server's own memory in KiB ({when}): {own}; with mapped files {mapped}")?;
        for fault in &self.faults {
            writeln!(f, "fault: {fault}")?;
        }
        if self.far_off > 0 {
            writeln!(f, "{} records stored at a time that was far off", self.far_off)?;
        }
        if self.ahead > 0 {
            writeln!(
                f,
                "{} amendments refused: their record lies ahead of the clock",
                self.ahead
            )?;
        }
        for skipped in &self.skipped {
            writeln!(f, "skipped, {skipped}")?;
        }
        for wrong in self.wrong.iter().take(20) {
            writeln!(f, "WRONG {wrong}")?;
        }
        write!(f, "{}", if self.wrong.is_empty() { "all right" } else { "NOT all right" })
    }
}
