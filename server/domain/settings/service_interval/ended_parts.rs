//! Parts that end: a life table, then a Weibull, fitted when five or more have failed and believed
//! (averaged over what is open) when fewer have. Deliberately absent: a due time from no failure.

use super::{FAILURES_FOR_A_FIT, Question, ServiceIntervalAnswer, percent, say_chance};
use crate::domain::settings::few_failures::{self, Belief};
use crate::domain::settings::weibull::{self, Lifetimes, Weibull};
use crate::domain::settings::{Common, life_table, repairable};
use crate::domain::units::{decimal, plain};

/// An end of an interval beyond this says nothing; no machine runs so long.
const HOURS_MAX: f64 = 1e6;
/// A life table longer than this is not written out on the board.
const TABLE_LINES_MAX: usize = 12;

pub(super) fn answer(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    lifetimes: &Lifetimes,
) {
    answer.survival_rows = life_table::rows(lifetimes);
    answer.failure_count = u32::try_from(lifetimes.failures_h.len()).ok();
    let total_h: f64 = lifetimes.all_h().sum();
    answer.common.step(
        "running hours of all parts together",
        format!(
            "{} failed + {} still running",
            lifetimes.failures_h.len(),
            lifetimes.survivors_h.len()
        ),
        total_h,
        "h",
        "",
    );
    write_table(answer);
    let fitted = weibull::fit(lifetimes);
    if let Some(fitted) = fitted.filter(|_| lifetimes.failures_h.len() >= FAILURES_FOR_A_FIT) {
        by_fit(answer, question, lifetimes, &fitted);
    } else if let Some(belief) = few_failures::weigh(lifetimes, question.expected_life_h) {
        by_belief(answer, question, lifetimes, &belief, fitted);
    } else {
        *answer = ServiceIntervalAnswer::default();
        no_failure_yet(&mut answer.common, question, total_h);
        return;
    }
    conclude_part(answer, question);
}

fn write_table(answer: &mut ServiceIntervalAnswer) {
    if answer.survival_rows.len() > TABLE_LINES_MAX {
        let words = "The share outliving each age is in the table of the answer.";
        answer.common.note(words, "nist_kaplan_meier");
        return;
    }
    for row in &answer.survival_rows {
        answer.common.step(
            format!("share outliving {} h, no curve assumed", plain(row.age_h)),
            format!("{} of {} at risk failed", row.failed, row.at_risk),
            row.survival,
            "",
            "nist_kaplan_meier",
        );
    }
}

fn by_fit(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    lifetimes: &Lifetimes,
    fitted: &Weibull,
) {
    let common = &mut answer.common;
    let count = lifetimes.failures_h.len();
    common.step(
        "shape that the ages make likeliest",
        format!("sum(t^k ln t) / sum(t^k) - 1/k = mean ln(failures), {count} failures"),
        fitted.shape,
        "",
        "nist_weibull",
    );
    common.step(
        "scale = (sum(t^shape) / failures)^(1 / shape)",
        format!("(sum(t^{}) / {count})^(1 / {})", plain(fitted.shape), plain(fitted.shape)),
        fitted.scale_h,
        "h",
        "nist_weibull",
    );
    let due_h = fitted.life_h(question.allowed);
    common.step(
        format!("hours by which {} % have failed", percent(question.allowed)),
        format!(
            "{} * (-ln(1 - {}))^(1 / {})",
            plain(fitted.scale_h),
            plain(question.allowed),
            plain(fitted.shape)
        ),
        due_h,
        "h",
        "nist_weibull",
    );
    let (low_h, high_h) =
        weibull::life_interval_h(lifetimes, fitted, question.allowed, question.confidence);
    answer.next_due_low_h = Some(low_h);
    answer.next_due_high_h = Some(high_h);
    answer.next_due_h = Some(due_h);
    answer.b10_life_h = Some(fitted.life_h(0.1));
    answer.shape = Some(fitted.shape);
    answer.scale_h = Some(fitted.scale_h);
    answer.mean_life_h = Some(fitted.mean_h());
    answer.failure_probability =
        question.horizon_h.map(|horizon_h| fitted.failure_chance(question.survived_h, horizon_h));
    answer.estimator = "Weibull, maximum likelihood with right censoring";
    if fitted.shape <= 1.0 {
        common.advise(
            "no_wear_out",
            "The shape is 1 or less: the parts fail by chance or when young, not by wearing out. \
             Changing them early then prevents nothing; look at fitting, quality and abuse.",
        );
    }
    common.advise(
        "estimator_named",
        "Maximum likelihood; with few failures it makes the shape look steeper than it is. \
         Rank regression gives other numbers from the same ages, so never compare across methods.",
    );
}

fn by_belief(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    lifetimes: &Lifetimes,
    belief: &Belief,
    fitted: Option<Weibull>,
) {
    let common = &mut answer.common;
    let count = lifetimes.failures_h.len();
    common.step(
        "Weibull shape, weighed over its prior by the ages (mean)",
        format!(
            "prior: middle {}, spread of its logarithm {}",
            few_failures::SHAPE_PRIOR_MEDIAN,
            few_failures::SHAPE_PRIOR_LOG_SPREAD
        ),
        belief.mean_shape(),
        "",
        "from_memory",
    );
    let due_h = belief.life_h(question.allowed);
    common.step(
        format!("hours by which a new part has failed with {} % chance", percent(question.allowed)),
        "average over every shape and rate of (B / (B + t^k))^a",
        due_h,
        "h",
        "from_memory",
    );
    let (low_h, high_h) = belief.life_interval_h(question.allowed, question.confidence);
    answer.next_due_low_h = Some(low_h);
    answer.next_due_high_h = Some(high_h);
    answer.next_due_h = Some(due_h);
    answer.b10_life_h = Some(belief.life_h(0.1));
    answer.failure_probability =
        question.horizon_h.and_then(|horizon_h| believed_chance(question, lifetimes, horizon_h));
    answer.estimator = "Weibull with a gamma prior on the rate, shape averaged over a prior";
    let fit_words = fitted.map_or(String::new(), |fitted| {
        let due = decimal(fitted.life_h(question.allowed), 0);
        format!(" (Maximum likelihood alone would say {due} h, and be too sure of it.)")
    });
    let why = if count < FAILURES_FOR_A_FIT {
        format!("{count} failures are not enough readings for a fit, which takes 5")
    } else {
        "All failures came at one age, so no fit exists".to_owned()
    };
    common.advise(
        "few_failures",
        format!(
            "{why}: the rate has a gamma prior and the shape is averaged over what such parts \
             show (an assumption). The interval is wide because little is known.{fit_words}"
        ),
    );
}

/// The chance for the part asked about. When it is itself one of those still running it must not
/// be counted twice, so it is taken out before its survival is.
fn believed_chance(question: &Question, lifetimes: &Lifetimes, horizon_h: f64) -> Option<f64> {
    let mut others = lifetimes.clone();
    if let Some(index) = others.survivors_h.iter().position(|age| *age == question.survived_h) {
        others.survivors_h.remove(index);
    }
    let belief = few_failures::weigh(&others, question.expected_life_h)?;
    Some(belief.failure_chance(question.survived_h, horizon_h))
}

fn no_failure_yet(common: &mut Common, question: &Question, total_h: f64) {
    let (low_h, _) = repairable::steady_mtbf_interval_h(total_h, 0, question.confidence);
    common.cite("nist_constant_rate");
    common.advise(
        "not_enough_readings",
        format!(
            "Not enough readings: no part has failed yet in {} h. If failures came by chance, \
             the mean life would be over {} h with {} % confidence; that says nothing of wear.",
            plain(total_h),
            decimal(low_h, 0),
            percent(question.confidence)
        ),
    );
    common.need(
        "failure_times_h",
        "h",
        "At least one failure is needed to say how long they last.",
    );
    common.need(
        "expected_life_h",
        "h",
        "Or the mean life to expect, from the manual or another shop.",
    );
}

fn conclude_part(answer: &mut ServiceIntervalAnswer, question: &Question) {
    let (Some(due_h), Some(low_h)) = (answer.next_due_h, answer.next_due_low_h) else { return };
    answer.next_due_high_h = answer.next_due_high_h.filter(|high_h| *high_h <= HOURS_MAX);
    let high = answer.next_due_high_h.map_or("no end".to_owned(), |high_h| decimal(high_h, 0));
    let mut words = format!(
        "Change at about {} h: {} % fail by then ({} % interval {} to {high} h).",
        decimal(due_h, 0),
        percent(question.allowed),
        percent(question.confidence),
        decimal(low_h, 0)
    );
    if let Some(count) = answer.failure_count.filter(|_| answer.shape.is_none()) {
        let failures = if count == 1 { "failure" } else { "failures" };
        words.push_str(&format!(" Only {count} {failures} so far, so the interval is wide."));
    }
    if question.survived_h >= due_h {
        words.push_str(" The part asked about is past that: change it now.");
    } else if question.survived_h > 0.0 {
        let left = decimal(due_h - question.survived_h, 0);
        words.push_str(&format!(" The part asked about has {left} h to go."));
    }
    say_chance(&mut words, answer.failure_probability, question.horizon_h);
    answer.common.conclude("next_due_h", words);
}
