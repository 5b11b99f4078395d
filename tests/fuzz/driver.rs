//! Who throws inputs at a target, and what counts as a find? A panic anywhere in the program, an
//! answer that breaks a rule of the target, or one that takes too long. An input that brings an
//! answer of a sort not seen before is kept, and spoilt further.

use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, Once, PoisonError};
use std::time::{Duration, Instant};

use super::dice::{Dice, hash};
use super::mutate::mutate;
use super::targets::Target;

/// Inputs kept at most.
const KEPT_MAX: usize = 20_000;
/// Longest working time for one input, far above what any takes; waiting for a busy machine is not
/// counted.
const WORK_TIME_MAX: Duration = Duration::from_secs(10);
/// How often it is looked at whether an input takes too long.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// How long a find is made smaller.
const REDUCING_TIME: Duration = Duration::from_secs(3);

/// What was found: the smallest input known, and what came of it.
pub struct Find {
    pub input: Vec<u8>,
    pub what: String,
}

#[derive(Default)]
pub struct Outcome {
    pub executions: u64,
    pub kept: usize,
    pub sorts: usize,
    pub slowest: Duration,
    /// The input that took that long.
    pub slowest_input: Vec<u8>,
    pub finds: Vec<Find>,
}

/// Panics of any thread, as place and message.
static PANICS: Mutex<Vec<String>> = Mutex::new(Vec::new());

fn panics() -> Vec<String> {
    std::mem::take(&mut *PANICS.lock().unwrap_or_else(PoisonError::into_inner))
}

std::thread_local! {
    /// Whether panics of this thread are finds. A test that fails beside us must still say so.
    static OURS: std::cell::Cell<bool> = const { std::cell::Cell::new(false) };
}

/// Panics of the thread that drives, and of threads that the program under test starts by itself,
/// are noted instead of printed.
fn note_panics() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            let thread = std::thread::current();
            let theirs = thread.name().is_some_and(|name| name.starts_with("tokio"));
            if OURS.get() || theirs {
                let mut list = PANICS.lock().unwrap_or_else(PoisonError::into_inner);
                list.push(info.to_string().replace('\n', " "));
            } else {
                before(info);
            }
        }));
    });
}

/// What came of one input: the sort of the answer, or what is wrong with it.
pub fn try_once(target: &mut dyn Target, input: &[u8]) -> Result<u64, String> {
    note_panics();
    OURS.set(true);
    let tried = catch_unwind(AssertUnwindSafe(|| target.run(input)));
    OURS.set(false);
    let panics = panics();
    match (tried, panics.first()) {
        (_, Some(panic)) => Err(panic.clone()),
        (Err(_), None) => Err("a panic that said nothing".to_owned()),
        (Ok(result), None) => result,
    }
}

/// Time that this program has worked, all threads together; the clock's where nobody tells.
fn worked(since: Instant) -> Duration {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = text.rsplit(')').next().unwrap_or_default().split_whitespace();
    // Fields 14 and 15 of proc(5), in hundredths of a second.
    let ticks: Vec<u64> = fields.skip(11).take(2).filter_map(|field| field.parse().ok()).collect();
    match ticks[..] {
        [own, system] => Duration::from_millis(10 * (own + system)),
        _ => since.elapsed(),
    }
}

/// Ends the program when one input takes too long, and shows it: there is no other way to stop it.
struct Watch {
    running: Arc<Mutex<Option<(u64, Vec<u8>)>>>,
    number: u64,
}

impl Watch {
    fn start(name: String) -> Watch {
        let running: Arc<Mutex<Option<(u64, Vec<u8>)>>> = Arc::default();
        let seen = Arc::downgrade(&running);
        std::thread::spawn(move || {
            let start = Instant::now();
            let (mut last, mut began) = (0, Duration::ZERO);
            while let Some(running) = seen.upgrade() {
                let now = running.lock().unwrap_or_else(PoisonError::into_inner).clone();
                match now {
                    Some((number, _)) if number != last => {
                        (last, began) = (number, worked(start));
                    }
                    Some((_, input)) if worked(start) - began > WORK_TIME_MAX => {
                        eprintln!("{name}: no answer in time: {}", shown(&input));
                        std::process::exit(1);
                    }
                    _ => {}
                }
                drop(running);
                std::thread::sleep(LOOK_EVERY);
            }
        });
        Watch { running, number: 0 }
    }

    fn begin(&mut self, input: &[u8]) {
        self.number += 1;
        *self.running.lock().unwrap_or_else(PoisonError::into_inner) =
            Some((self.number, input.to_vec()));
    }

    fn end(&self) {
        *self.running.lock().unwrap_or_else(PoisonError::into_inner) = None;
    }
}

/// Throws inputs at a target until the time is up.
pub fn drive(target: &mut dyn Target, seed: u64, time: Duration) -> Outcome {
    let mut dice = Dice::new(seed);
    let mut corpus = target.corpus();
    let words = target.words();
    let mut sorts: BTreeSet<u64> = BTreeSet::new();
    let mut finds: BTreeMap<String, Find> = BTreeMap::new();
    let mut outcome = Outcome::default();
    let mut watch = Watch::start(target.name().to_owned());
    let start = Instant::now();
    let mut first = corpus.clone().into_iter();
    while start.elapsed() < time {
        let input = first.next().unwrap_or_else(|| match target.fresh(&mut dice) {
            Some(fresh) if corpus.is_empty() || dice.once_in(2) => fresh,
            _ => mutate(&corpus[dice.below(corpus.len())], &corpus, &words, &mut dice),
        });
        let began = Instant::now();
        watch.begin(&input);
        let tried = try_once(target, &input);
        watch.end();
        let took = began.elapsed();
        if took > outcome.slowest {
            outcome.slowest = took;
            outcome.slowest_input.clone_from(&input);
        }
        outcome.executions += 1;
        match tried {
            Err(what) if !finds.contains_key(&family(&what)) => {
                let input = reduced(target, input, &what);
                finds.insert(family(&what), Find { input, what });
            }
            Err(_) => {}
            Ok(sort) if sorts.insert(sort) && corpus.len() < KEPT_MAX => corpus.push(input),
            Ok(_) => {}
        }
    }
    outcome.kept = corpus.len();
    outcome.sorts = sorts.len();
    outcome.finds = finds.into_values().collect();
    outcome
}

/// Finds that differ in numbers and quoted values only are one.
fn family(what: &str) -> String {
    let mut quoted = false;
    let kept = what.chars().filter(|letter| {
        quoted ^= *letter == '"';
        !quoted && (!letter.is_ascii_digit())
    });
    kept.take(120).collect()
}

/// The input without what is not needed to see the same.
fn reduced(target: &mut dyn Target, mut input: Vec<u8>, what: &str) -> Vec<u8> {
    let start = Instant::now();
    let mut size = (input.len() / 2).max(1);
    while size > 0 && start.elapsed() < REDUCING_TIME {
        let mut at = 0;
        while at < input.len() && start.elapsed() < REDUCING_TIME {
            let mut smaller = input.clone();
            smaller.drain(at..(at + size).min(input.len()));
            match try_once(target, &smaller) {
                Err(other) if family(&other) == family(what) => input = smaller,
                _ => at += size,
            }
        }
        size /= 2;
    }
    input
}

/// An input as it is written in a test: text where it is text.
pub fn shown(input: &[u8]) -> String {
    match std::str::from_utf8(input) {
        Ok(text) => format!("{text:?}"),
        Err(_) => format!("b\"{}\" ({:016x})", input.escape_ascii(), hash(input)),
    }
}
