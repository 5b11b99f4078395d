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
/// Longest time for one input; far above what any takes on a busy machine.
const ANSWER_TIME_MAX: Duration = Duration::from_secs(10);
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

/// Ends the program when one input takes too long, and shows it: there is no other way to stop it.
struct Watch {
    running: Arc<Mutex<Option<(Instant, Vec<u8>)>>>,
}

impl Watch {
    fn start(name: String) -> Watch {
        let running: Arc<Mutex<Option<(Instant, Vec<u8>)>>> = Arc::default();
        let seen = Arc::downgrade(&running);
        std::thread::spawn(move || {
            while let Some(running) = seen.upgrade() {
                let now = running.lock().unwrap_or_else(PoisonError::into_inner).clone();
                if let Some((_, input)) =
                    now.filter(|(since, _)| since.elapsed() > 3 * ANSWER_TIME_MAX)
                {
                    eprintln!("{name}: no answer in time: {}", shown(&input));
                    std::process::exit(1);
                }
                std::thread::sleep(Duration::from_millis(200));
            }
        });
        Watch { running }
    }

    fn set(&self, now: Option<(Instant, Vec<u8>)>) {
        *self.running.lock().unwrap_or_else(PoisonError::into_inner) = now;
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
    let watch = Watch::start(target.name().to_owned());
    let start = Instant::now();
    let mut first = corpus.clone().into_iter();
    while start.elapsed() < time {
        let input = first.next().unwrap_or_else(|| match target.fresh(&mut dice) {
            Some(fresh) if corpus.is_empty() || dice.once_in(2) => fresh,
            _ => mutate(&corpus[dice.below(corpus.len())], &corpus, &words, &mut dice),
        });
        let began = Instant::now();
        watch.set(Some((began, input.clone())));
        let tried = try_once(target, &input);
        watch.set(None);
        let took = began.elapsed();
        outcome.slowest = outcome.slowest.max(took);
        outcome.executions += 1;
        let slow = took > ANSWER_TIME_MAX;
        match tried {
            _ if slow => add(&mut finds, format!("it took {took:?}"), input),
            Err(what) if !finds.contains_key(&family(&what)) => {
                let input = reduced(target, input, &what);
                add(&mut finds, what, input);
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

fn add(finds: &mut BTreeMap<String, Find>, what: String, input: Vec<u8>) {
    finds.entry(family(&what)).or_insert(Find { input, what });
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
