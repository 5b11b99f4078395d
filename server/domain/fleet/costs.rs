//! Where do time and parts go, and what does that cost beside the published curve? By machine:
//! minutes of work by kind, parts, labour at the price of an hour, parts at the prices given, and
//! the repairs that the published coefficients expect over the same hours (`repair_cost`).
//! Deliberately absent: money that nobody gave. Records hold no prices, so without prices there is
//! time alone.

use std::collections::BTreeMap;

use super::Period;
use super::books::{Books, PartChange};
use crate::domain::limits::{check, check_given};
use crate::domain::records::{RecordKind, SubjectName};
use crate::domain::settings::SettingError;
use crate::domain::settings::repair::{MowerType, RepairCostInputs, repair_cost};

/// What things cost, in money of one kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prices {
    pub labour_per_h: Option<f64>,
    /// List prices of machines when new.
    pub machines: BTreeMap<SubjectName, f64>,
    /// By the shop's word for the part, in small letters.
    pub parts: BTreeMap<String, f64>,
    pub mower_type: Option<MowerType>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct MachineCost {
    pub machine: usize,
    pub hours_h: f64,
    pub minutes: f64,
    /// Minutes of each kind of record that took any.
    pub by_kind: BTreeMap<RecordKind, f64>,
    pub part_count: u32,
    pub labour_cost: Option<f64>,
    pub parts_cost: Option<f64>,
    /// Words of parts that no price was given for.
    pub unpriced: Vec<String>,
    /// Repairs that the published curve expects over the same hours.
    pub published_cost: Option<f64>,
}

impl MachineCost {
    /// Labour and parts together, as far as both are known.
    pub fn own_cost(&self) -> Option<f64> {
        self.labour_cost.map(|labour| labour + self.parts_cost.unwrap_or(0.0))
    }
}

/// Every machine, most time first.
pub fn costs(
    books: &Books,
    period: Period,
    prices: &Prices,
) -> Result<Vec<MachineCost>, SettingError> {
    let labour = check_given("labour_cost_per_h", prices.labour_per_h)?;
    let mut rows: Vec<MachineCost> = (0..books.machines.len())
        .map(|machine| MachineCost {
            machine,
            hours_h: books.machines[machine].meter.run_between(
                period.from,
                period.until,
                books.now,
            ),
            ..MachineCost::default()
        })
        .collect();
    for work in books.work.iter().filter(|work| period.holds(work.time)) {
        let Some(machine) = work.machine else { continue };
        let row = &mut rows[machine];
        row.minutes += work.minutes;
        row.part_count += work.part_count;
        if work.minutes > 0.0 {
            *row.by_kind.entry(work.kind).or_default() += work.minutes;
        }
    }
    for row in &mut rows {
        row.labour_cost = labour.map(|per_h| per_h * row.minutes / 60.0);
        price_parts(books, period, prices, row)?;
        row.published_cost = published(books, period, prices, row)?;
    }
    rows.sort_by(|a, b| b.minutes.total_cmp(&a.minutes).then(a.machine.cmp(&b.machine)));
    Ok(rows)
}

fn price_parts(
    books: &Books,
    period: Period,
    prices: &Prices,
    row: &mut MachineCost,
) -> Result<(), SettingError> {
    let units = books.units.iter().filter(|unit| unit.machine == row.machine);
    let changes = units.flat_map(|unit| &unit.changes).filter(|one| period.holds(one.time));
    // A change of a whole machine stands with each of its units; it is paid once.
    let mut seen: Vec<&PartChange> = Vec::new();
    for change in changes {
        if !seen.iter().any(|one| one.time == change.time && one.part == change.part) {
            seen.push(change);
        }
    }
    for change in seen {
        let word = change.part.to_lowercase();
        match prices.parts.get(&word) {
            Some(price) => {
                let price = check("part_price", *price)?;
                *row.parts_cost.get_or_insert(0.0) += price * f64::from(change.count);
            }
            None if !row.unpriced.contains(&word) => row.unpriced.push(word),
            None => {}
        }
    }
    row.unpriced.sort();
    Ok(())
}

/// What the curve expects between the hours at the start and at the end of the period.
fn published(
    books: &Books,
    period: Period,
    prices: &Prices,
    row: &MachineCost,
) -> Result<Option<f64>, SettingError> {
    let machine = &books.machines[row.machine];
    let Some(price) = prices.machines.get(&machine.name).copied() else { return Ok(None) };
    let Some((first, last)) = machine.meter.known(books.now) else { return Ok(None) };
    let (start, end) = (period.from.max(first), period.until.min(last));
    let Some((start_h, end_h)) = machine.meter.at(start).zip(machine.meter.at(end)) else {
        return Ok(None);
    };
    let answer = repair_cost(&RepairCostInputs {
        purchase_price: Some(price),
        machine_time_h: Some(end_h),
        start_time_h: Some(start_h.min(end_h)),
        mower_type: prices.mower_type,
        ..RepairCostInputs::default()
    })?;
    Ok(answer.cost_in_period)
}
