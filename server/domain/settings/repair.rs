//! What do a mower's repairs add up to over its hours, by the published coefficients? Cost =
//! RF1 * price * (hours / 1000)^RF2. Deliberately absent: a row for golf reel mowers; none is
//! published, so an answer from these agricultural rows is a guide and says so.

use super::{Common, SettingError};
use crate::domain::limits::{check, check_given};
use crate::domain::units::{decimal, plain};

/// The kinds of mower whose coefficients are published.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum MowerType {
    Cutterbar,
    #[default]
    Rotary,
    Conditioner,
    RotaryConditioner,
}

/// One row of the table of mower coefficients.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepairRow {
    pub mower_type: MowerType,
    pub name: &'static str,
    pub life_h: f64,
    /// RF1.
    pub factor: f64,
    /// RF2.
    pub exponent: f64,
}

const fn row(
    mower_type: MowerType,
    name: &'static str,
    life_h: f64,
    factor: f64,
    exponent: f64,
) -> RepairRow {
    RepairRow { mower_type, name, life_h, factor, exponent }
}

/// ASABE D497.7 Table 3, mower rows: from memory; they give back the table's own life-cost column.
pub const REPAIR_ROWS: [RepairRow; 4] = [
    row(MowerType::Cutterbar, "cutterbar mower", 2_000.0, 0.46, 1.7),
    row(MowerType::Rotary, "rotary mower", 2_000.0, 0.44, 2.0),
    row(MowerType::Conditioner, "mower-conditioner", 2_500.0, 0.18, 1.6),
    row(MowerType::RotaryConditioner, "rotary mower-conditioner", 2_500.0, 0.16, 2.0),
];

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RepairCostInputs {
    pub purchase_price: Option<f64>,
    pub machine_time_h: Option<f64>,
    pub start_time_h: Option<f64>,
    /// Rotary when left out.
    pub mower_type: Option<MowerType>,
    /// Without hours: the hours at which repairs come to this much are solved for.
    pub accumulated_repair_cost: Option<f64>,
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct RepairCostAnswer {
    pub accumulated_repair_cost: Option<f64>,
    pub cost_fraction: Option<f64>,
    pub cost_in_period: Option<f64>,
    pub cost_per_hour: Option<f64>,
    /// Only when solved for.
    pub machine_time_h: Option<f64>,
    pub common: Common,
}

impl RepairRow {
    pub fn of(mower_type: MowerType) -> &'static RepairRow {
        REPAIR_ROWS
            .iter()
            .find(|row| row.mower_type == mower_type)
            .expect("every kind of mower has its row")
    }

    /// Repairs from new to these hours, as a share of the price.
    pub fn cost_fraction(&self, hours: f64) -> f64 {
        self.factor * (hours / 1_000.0).powf(self.exponent)
    }
}

pub fn repair_cost(inputs: &RepairCostInputs) -> Result<RepairCostAnswer, SettingError> {
    let price = check_given("purchase_price", inputs.purchase_price)?;
    let hours = check_given("machine_time_h", inputs.machine_time_h)?;
    let start_h = check_given("start_time_h", inputs.start_time_h)?;
    let reached = check_given("accumulated_repair_cost", inputs.accumulated_repair_cost)?;
    let row = RepairRow::of(inputs.mower_type.unwrap_or_default());

    let mut answer = RepairCostAnswer::default();
    let Some(price) = price else {
        let why = "The list price when new: the coefficients are shares of it.";
        answer.common.need("purchase_price", "", why);
        if hours.is_none() && reached.is_none() {
            ask_hours(&mut answer.common);
        }
        return Ok(answer);
    };
    let hours = match (hours, reached) {
        (Some(hours), _) => hours,
        (None, Some(reached)) => solve_hours(&mut answer, row, price, reached)?,
        (None, None) => {
            ask_hours(&mut answer.common);
            return Ok(answer);
        }
    };
    if let Some(start_h) = start_h.filter(|start_h| *start_h > hours) {
        let remedy = format!("it must not be over the hours reckoned to, {}", plain(hours));
        return Err(SettingError::new("start_time_h", start_h, remedy));
    }
    cost(&mut answer, row, price, hours, start_h);
    advise(&mut answer, row, price, hours, inputs.mower_type);
    Ok(answer)
}

fn ask_hours(common: &mut Common) {
    common.need("machine_time_h", "h", "The hours of use to reckon to, from the hour meter.");
}

fn solve_hours(
    answer: &mut RepairCostAnswer,
    row: &RepairRow,
    price: f64,
    reached: f64,
) -> Result<f64, SettingError> {
    let hours = 1_000.0 * (reached / (row.factor * price)).powf(1.0 / row.exponent);
    answer.common.step(
        "hours = 1000 * (cost / (RF1 * price))^(1 / RF2)",
        format!(
            "1000 * ({} / ({} * {}))^(1 / {})",
            plain(reached),
            row.factor,
            plain(price),
            row.exponent
        ),
        hours,
        "h",
        "asabe_d497",
    );
    let hours = check("machine_time_h", hours).map_err(|_| {
        let remedy = "no mower runs long enough to cost so much; check it against the price";
        SettingError::new("accumulated_repair_cost", reached, remedy)
    })?;
    answer.machine_time_h = Some(hours);
    Ok(hours)
}

fn cost(
    answer: &mut RepairCostAnswer,
    row: &RepairRow,
    price: f64,
    hours: f64,
    start_h: Option<f64>,
) {
    let common = &mut answer.common;
    let fraction = row.cost_fraction(hours);
    let total = price * fraction;
    common.step(
        format!("repairs from new = RF1 * price * (hours / 1000)^RF2, {} row", row.name),
        format!("{} * {} * ({} / 1000)^{}", row.factor, plain(price), plain(hours), row.exponent),
        total,
        "",
        "asabe_d497",
    );
    if let Some(start_h) = start_h {
        let before = price * row.cost_fraction(start_h);
        common.step(
            "repairs in the period = to its end - to its start",
            format!("{} - {}", plain(total), plain(before)),
            total - before,
            "",
            "",
        );
        answer.cost_in_period = Some(total - before);
    }
    if hours > 0.0 {
        common.step(
            "mean cost of an hour",
            format!("{} / {}", plain(total), plain(hours)),
            total / hours,
            "",
            "",
        );
        answer.cost_per_hour = Some(total / hours);
    }
    let period = answer.cost_in_period.map_or(String::new(), |cost| {
        format!(" Of that, {} falls after {} h.", decimal(cost, 0), plain(start_h.unwrap_or(0.0)))
    });
    let share = decimal(100.0 * fraction, 0);
    let total_words = decimal(total, 0);
    let hours_words = decimal(hours, 0);
    if answer.machine_time_h.is_some() {
        common.conclude(
            "machine_time_h",
            format!(
                "Repairs reach {total_words}, {share} % of the price, at about {hours_words} h.\
                 {period}"
            ),
        );
    } else {
        common.conclude(
            "accumulated_repair_cost",
            format!(
                "Repairs come to about {total_words} by {hours_words} h, {share} % of the price.\
                 {period}"
            ),
        );
    }
    answer.accumulated_repair_cost = Some(total);
    answer.cost_fraction = Some(fraction);
}

fn advise(
    answer: &mut RepairCostAnswer,
    row: &RepairRow,
    price: f64,
    hours: f64,
    chosen: Option<MowerType>,
) {
    let common = &mut answer.common;
    common.advise(
        "agricultural_rows",
        "The coefficients are those of agricultural mowers, taken from memory of the standard's \
         table. No row for golf reel mowers is published: use this as a guide, and your own bills \
         before it.",
    );
    if chosen.is_none() {
        let other = RepairRow::of(MowerType::Cutterbar);
        let cost = decimal(price * other.cost_fraction(hours), 0);
        common.answer.push_str(&format!(
            " That is by the rotary row; by the cutterbar row it would be {cost}."
        ));
        common.advise(
            "row_assumed",
            format!(
                "No kind of mower was named, so the rotary row is used; the cutterbar row gives \
                 {cost}."
            ),
        );
    }
    if hours > row.life_h {
        let life = plain(row.life_h);
        common.advise(
            "past_published_life",
            format!("The row ends at a life of {life} h; beyond that the curve is stretched."),
        );
    }
    common.advise(
        "price_is_list_price",
        "The share is of the list price when new, parts and labour together, in money of the same \
         year.",
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{prop_assert, proptest};

    fn inputs(price: f64, hours: f64) -> RepairCostInputs {
        RepairCostInputs {
            purchase_price: Some(price),
            machine_time_h: Some(hours),
            ..RepairCostInputs::default()
        }
    }

    #[test]
    fn a_new_machine_has_cost_nothing_and_has_no_cost_an_hour() {
        let answer = repair_cost(&inputs(38_000.0, 0.0)).expect("inside");
        assert_eq!(answer.accumulated_repair_cost, Some(0.0));
        assert_eq!(answer.cost_per_hour, None);
    }

    #[test]
    fn says_that_no_reel_mower_row_exists_and_which_row_was_taken() {
        let has = |answer: &RepairCostAnswer, id: &str| {
            answer.common.advisories.iter().any(|advice| advice.id == id)
        };
        let unnamed = repair_cost(&inputs(38_000.0, 2_500.0)).expect("inside");
        assert!(has(&unnamed, "agricultural_rows") && has(&unnamed, "row_assumed"));
        assert!(has(&unnamed, "past_published_life"));
        let named =
            RepairCostInputs { mower_type: Some(MowerType::Rotary), ..inputs(38_000.0, 2_000.0) };
        let named = repair_cost(&named).expect("inside");
        assert!(has(&named, "agricultural_rows") && !has(&named, "row_assumed"));
        assert!(!has(&named, "past_published_life"));
    }

    #[test]
    fn a_period_is_the_difference_and_cannot_end_before_it_starts() {
        let of = |start| {
            repair_cost(&RepairCostInputs { start_time_h: Some(start), ..inputs(100.0, 1_000.0) })
        };
        assert!(
            (of(500.0).expect("inside").cost_in_period.expect("start given") - 33.0).abs() < 1e-9
        );
        assert_eq!(of(1_000.0).expect("inside").cost_in_period, Some(0.0));
        assert_eq!(of(1_000.1).expect_err("ends first").field, "start_time_h");
    }

    #[test]
    fn too_little_asks_and_absurd_is_refused() {
        let answer = repair_cost(&RepairCostInputs::default()).expect("inside");
        let fields: Vec<_> = answer.common.missing.iter().map(|missing| missing.field).collect();
        assert_eq!(fields, ["purchase_price", "machine_time_h"]);
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, -1.0] {
            assert!(repair_cost(&inputs(bad, 100.0)).is_err());
            assert!(repair_cost(&inputs(100.0, bad)).is_err());
            let start = RepairCostInputs { start_time_h: Some(bad), ..inputs(100.0, 100.0) };
            assert!(repair_cost(&start).is_err());
            let cost = RepairCostInputs { accumulated_repair_cost: Some(bad), ..inputs(1.0, 1.0) };
            assert!(repair_cost(&cost).is_err());
        }
        let dear = RepairCostInputs {
            machine_time_h: None,
            accumulated_repair_cost: Some(1e12),
            ..inputs(1.0, 0.0)
        };
        let error = repair_cost(&dear).expect_err("no such hours");
        assert_eq!(error.field, "accumulated_repair_cost");
    }

    proptest! {
        #[test]
        fn hours_and_cost_undo_each_other_and_cost_scales_with_price(
            price in 1_000.0..200_000.0f64, hours in 1.0..10_000.0f64, kind in 0usize..4,
        ) {
            let mower_type = Some(REPAIR_ROWS[kind].mower_type);
            let forward = repair_cost(&RepairCostInputs { mower_type, ..inputs(price, hours) })
                .expect("inside");
            let back = repair_cost(&RepairCostInputs {
                purchase_price: Some(price),
                accumulated_repair_cost: forward.accumulated_repair_cost,
                mower_type,
                ..RepairCostInputs::default()
            })
            .expect("inside");
            prop_assert!((back.machine_time_h.expect("solved") / hours - 1.0).abs() < 1e-9);
            let double = repair_cost(&RepairCostInputs { mower_type, ..inputs(2.0 * price, hours) })
                .expect("inside");
            let ratio = double.accumulated_repair_cost.expect("given")
                / forward.accumulated_repair_cost.expect("given");
            prop_assert!((ratio - 2.0).abs() < 1e-12);
            let later = repair_cost(&RepairCostInputs { mower_type, ..inputs(price, hours * 1.1) })
                .expect("inside");
            prop_assert!(later.accumulated_repair_cost > forward.accumulated_repair_cost);
        }
    }
}
