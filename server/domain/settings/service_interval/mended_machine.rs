//! One machine that is mended and runs on: are its failures crowding, and when is the next? Too few
//! repairs for a trend fall back on the steady rate. Deliberately absent: several machines at once.

use super::{Question, ServiceIntervalAnswer, percent, say_chance, steady_rate};
use crate::domain::settings::SettingError;
use crate::domain::settings::repairable::{self, History};
use crate::domain::units::{decimal, plain};

/// A history less likely than this at a steady rate is called a trend (common practice).
const TREND_CHANCE: f64 = 0.10;

pub(super) fn answer(
    answer: &mut ServiceIntervalAnswer,
    question: &Question,
    repairs_h: &[f64],
    watched_h: Option<f64>,
) -> Result<(), SettingError> {
    let Some(watched_h) = watched_h else {
        let why = "Hours up to which repairs were written down: now, not the last repair.";
        answer.common.need("watched_time_h", "h", why);
        return Ok(());
    };
    if let Some(late_h) = repairs_h.last().filter(|late_h| **late_h > watched_h) {
        let remedy = format!("it must not be before the last repair, at {} h", plain(*late_h));
        return Err(SettingError::new("watched_time_h", watched_h, remedy));
    }
    let Some(history) = repairable::fit(repairs_h, watched_h, question.confidence) else {
        answer.common.advise(
            "too_few_for_a_trend",
            "Not enough readings for a trend, which takes three repairs before the end of the \
             watch: a steady rate is taken.",
        );
        return steady_rate::answer(answer, question, repairs_h.len() as f64, watched_h, watched_h);
    };
    describe_history(answer, &history, repairs_h.len(), watched_h);
    let due_h = history.modified.next_failure_h(watched_h, question.allowed);
    // Over the short way to the next failure the present rate all but stands still.
    let expected = -(-question.allowed).ln_1p();
    answer.next_due_h = Some(due_h);
    answer.next_due_low_h = Some(watched_h + history.mtbf_low_h * expected);
    answer.next_due_high_h = Some(watched_h + history.mtbf_high_h * expected);
    answer.mean_life_low_h = Some(history.mtbf_low_h);
    answer.mean_life_high_h = history.mtbf_high_h.is_finite().then_some(history.mtbf_high_h);
    if answer.mean_life_high_h.is_none() {
        answer.next_due_high_h = None;
    }
    answer.failure_probability =
        question.horizon_h.map(|horizon_h| history.modified.failure_chance(watched_h, horizon_h));
    let mut words = history_in_words(answer, question, &history, watched_h);
    let common = &mut answer.common;
    common.step(
        format!("hours at which the next failure has {} % chance", percent(question.allowed)),
        format!(
            "{} * (1 + {} / {})^(1 / {})",
            plain(watched_h),
            plain(expected),
            repairs_h.len(),
            plain(history.modified.growth_exponent)
        ),
        due_h,
        "h",
        "nist_power_law",
    );
    say_chance(&mut words, answer.failure_probability, question.horizon_h);
    common.conclude("next_due_h", words);
    Ok(())
}

fn history_in_words(
    answer: &ServiceIntervalAnswer,
    question: &Question,
    history: &History,
    watched_h: f64,
) -> String {
    let trend = match history.steady_rate_chance {
        chance if chance >= TREND_CHANCE => "show no clear trend",
        _ if history.modified.growth_exponent > 1.0 => "are crowding together",
        _ => "are thinning out",
    };
    let median_h = history.modified.next_failure_h(watched_h, 0.5);
    let high = answer.mean_life_high_h.map_or("no limit".to_owned(), |high_h| decimal(high_h, 0));
    format!(
        "Failures {trend}: one in {} h at present ({} % interval {} to {high} h). The next is as \
         likely as not by {} h; with {} % chance by {} h.",
        decimal(history.modified.end_mtbf_h, 0),
        percent(question.confidence),
        decimal(history.mtbf_low_h, 0),
        decimal(median_h, 0),
        percent(question.allowed),
        decimal(answer.next_due_h.unwrap_or_default(), 0)
    )
}

fn describe_history(
    answer: &mut ServiceIntervalAnswer,
    history: &History,
    count: usize,
    watched_h: f64,
) {
    let common = &mut answer.common;
    let modified = history.modified;
    common.step(
        "growth exponent b = (failures - 1) / sum(ln(watched / each))",
        format!("from {count} failures in {} h", plain(watched_h)),
        modified.growth_exponent,
        "",
        "nist_power_law",
    );
    common.step(
        "coefficient a = failures / watched^b",
        format!("{count} / {}^{}", plain(watched_h), plain(modified.growth_exponent)),
        modified.coefficient,
        "",
        "nist_power_law",
    );
    common.step(
        "time between failures at present = watched / (failures * b)",
        format!("{} / ({count} * {})", plain(watched_h), plain(modified.growth_exponent)),
        modified.end_mtbf_h,
        "h",
        "nist_power_law",
    );
    common.step(
        "chance of so uneven a history at a steady rate",
        format!("twice the sum of logarithms against chi-square, {count} failures"),
        history.steady_rate_chance,
        "",
        "mil_hdbk_189",
    );
    common.advise(
        "estimator_named",
        format!(
            "The modified maximum likelihood of the handbook; the plain one gives {} h from the \
             same repairs. The interval is approximate.",
            decimal(history.plain.end_mtbf_h, 0)
        ),
    );
    if history.misfit > repairable::POOR_FIT_LIMIT {
        common.cite("mil_hdbk_189");
        common.advise(
            "poor_fit",
            "The repairs do not follow a power law well: something changed in between. Fit the \
             time since that change instead.",
        );
    }
    answer.growth_exponent = Some(modified.growth_exponent);
    answer.growth_coefficient = Some(modified.coefficient);
    answer.mean_life_h = Some(modified.end_mtbf_h);
    answer.plain_mean_life_h = Some(history.plain.end_mtbf_h);
    answer.steady_rate_probability = Some(history.steady_rate_chance);
    answer.failure_count = u32::try_from(count).ok();
    answer.estimator = "power law, modified maximum likelihood";
}
