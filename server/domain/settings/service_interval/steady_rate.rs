//! A bare count of failures in so many hours: the time between them at a steady rate, with its
//! bounds, and a gamma prior when an expected life is given and fewer than five have failed.
//! Deliberately absent: any word on wear, which a count cannot show.

use super::{FAILURES_FOR_A_FIT, Question, ServiceIntervalAnswer, percent, say_chance};
use crate::domain::settings::special_functions::chi_square_quantile;
use crate::domain::settings::{SettingError, few_failures, repairable};
use crate::domain::units::{decimal, plain};

pub(super) fn answer_count(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    events: Option<f64>,
    exposure_h: Option<f64>,
) -> Result<(), SettingError> {
    if events.is_none() {
        answer.common.need("event_count", "", "How many failures there were; none is an answer.");
    }
    if exposure_h.is_none() {
        answer.common.need("exposure_h", "h", "Running hours of all such parts together.");
    }
    let (Some(events), Some(exposure_h)) = (events, exposure_h) else {
        return Ok(());
    };
    self::answer(answer, question, events, exposure_h, 0.0)
}

/// A steady rate: `events` in `exposure_h`, the next counted from `from_h`.
pub(super) fn answer(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    events: f64,
    exposure_h: f64,
    from_h: f64,
) -> Result<(), SettingError> {
    if events.fract() != 0.0 {
        return Err(SettingError::new("event_count", events, "count whole failures"));
    }
    answer.failure_count = Some(events as u32);
    let prior = question.expected_life_h.filter(|_| events < FAILURES_FOR_A_FIT as f64);
    let common = &mut answer.common;
    let (mean_h, low_h, high_h);
    if let Some(life_h) = prior {
        // A gamma prior worth one failure; the posterior is gamma too.
        let (strength, total_h) = (few_failures::EXPECTED_LIFE_WORTH + events, life_h + exposure_h);
        let tail = (1.0 - question.confidence) / 2.0;
        mean_h = Some(total_h / strength);
        low_h = 2.0 * total_h / chi_square_quantile(1.0 - tail, 2.0 * strength);
        high_h = Some(2.0 * total_h / chi_square_quantile(tail, 2.0 * strength));
        common.step(
            "time between failures = (expected life + hours) / (1 + failures)",
            format!("({} + {}) / (1 + {events})", plain(life_h), plain(exposure_h)),
            total_h / strength,
            "h",
            "from_memory",
        );
        answer.estimator = "steady rate with a gamma prior worth one failure";
    } else {
        (low_h, high_h) =
            repairable::steady_mtbf_interval_h(exposure_h, events as u32, question.confidence);
        mean_h = (events > 0.0).then(|| exposure_h / events);
        if let Some(mean_h) = mean_h {
            common.step(
                "time between failures = hours / failures",
                format!("{} / {events}", plain(exposure_h)),
                mean_h,
                "h",
                "nist_constant_rate",
            );
        } else {
            common.cite("nist_constant_rate");
        }
        answer.estimator = "steady rate, maximum likelihood with chi-square bounds";
    }
    answer.mean_life_h = mean_h;
    answer.mean_life_low_h = Some(low_h);
    answer.mean_life_high_h = high_h;
    conclude_steady(answer, question, from_h);
    Ok(())
}

fn conclude_steady(answer: &mut ServiceIntervalAnswer, question: &Question, from_h: f64) {
    let common = &mut answer.common;
    common.advise(
        "steady_rate",
        "At a steady rate an old part is as good as a new one: a change by the hours prevents \
         nothing. Give the age of each part at failure to see whether they wear out.",
    );
    let low_h = answer.mean_life_low_h.unwrap_or_default();
    let confidence = percent(question.confidence);
    let Some(mean_h) = answer.mean_life_h else {
        common.conclude(
            "mean_life_low_h",
            format!(
                "Not enough readings for a life: no failure yet. With {confidence} % confidence \
                 the time between failures is over {} h.",
                decimal(low_h, 0)
            ),
        );
        return;
    };
    // The chance of a failure within t is 1 - exp(-t / mean).
    let share = -(-question.allowed).ln_1p();
    answer.next_due_h = Some(from_h + mean_h * share);
    answer.next_due_low_h = Some(from_h + low_h * share);
    answer.next_due_high_h = answer.mean_life_high_h.map(|high_h| from_h + high_h * share);
    answer.b10_life_h = Some(mean_h * -(-0.1f64).ln_1p());
    answer.failure_probability =
        question.horizon_h.map(|horizon_h| -(-horizon_h / mean_h).exp_m1());
    let high = answer.mean_life_high_h.map_or("no limit".to_owned(), |high| decimal(high, 0));
    let mut words = format!(
        "One failure in {} h ({confidence} % interval {} to {high} h); the next has {} % chance by \
         {} h.",
        decimal(mean_h, 0),
        decimal(low_h, 0),
        percent(question.allowed),
        decimal(from_h + mean_h * share, 0)
    );
    say_chance(&mut words, answer.failure_probability, question.horizon_h);
    common.conclude("next_due_h", words);
}
