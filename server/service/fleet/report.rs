//! `GetReport`: how the fleet, a machine or a unit stands, and what happened to it, in pieces.

use std::collections::BTreeMap;
use std::sync::Arc;

use tonic::Status;

use super::books::{Made, Scope, Sender, in_pieces, moment, read, send};
use super::rows::{job, state, timestamp};
use crate::domain::fleet::books::UnitBook;
use crate::domain::fleet::change::{Compared, compare};
use crate::domain::fleet::costs::{MachineCost, Prices, costs};
use crate::domain::fleet::due::due;
use crate::domain::fleet::faults::{CauseRow, Exposure, UnitRow, causes_on, faults};
use crate::domain::fleet::months::{Month, months};
use crate::domain::fleet::rates::Rate;
use crate::domain::fleet::remedies::{Remedy, remedies_on};
use crate::domain::fleet::state::{height_series, states};
use crate::domain::fleet::{Books, Period};
use crate::domain::limits::check;
use crate::domain::records::choices::Choice;
use crate::domain::records::{Moment, SubjectKind, SubjectName};
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;
use crate::service::speech::equipment;
use crate::service::status::invalid;

/// Units in one piece.
const PIECE_UNITS: usize = 100;
/// Rows of what comes back, and of what is due, that a report shows.
const ROWS_MAX: usize = 200;

/// A question that has been checked.
struct Question {
    kind: pb::ReportKind,
    scope: Scope,
    start: Option<Moment>,
    end: Option<Moment>,
    change: Option<Moment>,
    prices: Prices,
}

pub fn get(
    shop: &Arc<Shop>,
    request: pb::GetReportRequest,
    words: Wording,
) -> Result<Made<pb::GetReportResponse>, Status> {
    let question = question(&request)?;
    let shop = Arc::clone(shop);
    Ok(in_pieces(move |pieces| {
        let books = read(&shop, &question.scope, |records_read| {
            let piece = pb::GetReportResponse { records_read, ..Default::default() };
            // Should nobody wait any more, the next piece says so.
            let _ = pieces.send(Ok(piece));
        })?;
        let period = period(&books, &question)?;
        Desk { shop: &shop, words: &words, question: &question, period, books }.write(pieces)
    }))
}

fn question(request: &pb::GetReportRequest) -> Result<Question, Status> {
    let scope = Scope::of(&request.parent, request.as_of_time.as_ref())?;
    let of_unit = scope.parent.kind() == SubjectKind::Unit;
    let kind = match pb::ReportKind::try_from(request.kind) {
        Ok(pb::ReportKind::Unspecified) if of_unit => pb::ReportKind::Unit,
        Ok(pb::ReportKind::Unspecified) => pb::ReportKind::Fleet,
        Ok(pb::ReportKind::Unit) if !of_unit => {
            let remedy = "a report of a unit needs one: sites/S/machines/M/units/U";
            return Err(invalid("parent", &request.parent, remedy));
        }
        Ok(kind) => kind,
        Err(_) => {
            let value = request.kind.to_string();
            return Err(invalid("kind", &value, "use a value of sward.v1.ReportKind"));
        }
    };
    let labour_per_h =
        request.labour_cost_per_h.map(|price| check("labour_cost_per_h", price)).transpose()?;
    Ok(Question {
        kind,
        scope,
        start: moment("start_time", request.start_time.as_ref())?,
        end: moment("end_time", request.end_time.as_ref())?,
        change: moment("change_time", request.change_time.as_ref())?,
        prices: Prices {
            labour_per_h,
            machines: machine_prices(&request.machine_prices)?,
            parts: part_prices(&request.part_prices)?,
            mower_type: None,
        },
    })
}

fn machine_prices(given: &[pb::MachinePrice]) -> Result<BTreeMap<SubjectName, f64>, Status> {
    let row = |row: &pb::MachinePrice| {
        let name = SubjectName::parse("machine_prices.machine", &row.machine)?;
        if name.kind() != SubjectKind::Machine {
            let remedy = "give a machine: sites/S/machines/M";
            return Err(invalid("machine_prices.machine", &row.machine, remedy));
        }
        let price = row.price.ok_or_else(|| {
            invalid("machine_prices.price", "missing", "give the list price when new")
        })?;
        Ok((name, check("purchase_price", price)?))
    };
    given.iter().map(row).collect()
}

fn part_prices(given: &[pb::PartPrice]) -> Result<BTreeMap<String, f64>, Status> {
    let row = |row: &pb::PartPrice| {
        let part = row.part.trim().to_lowercase();
        if part.is_empty() {
            return Err(invalid("part_prices.part", "empty", "name the part as the records do"));
        }
        let price = row
            .price
            .ok_or_else(|| invalid("part_prices.price", "missing", "give what the part costs"))?;
        Ok((part, check("part_price", price)?))
    };
    given.iter().map(row).collect()
}

/// From the first record to now, unless asked otherwise; a change lies inside.
fn period(books: &Books, question: &Question) -> Result<Period, Status> {
    let first = books.work.first().map_or(books.now, |work| work.time);
    let from = question.start.unwrap_or(first);
    let until = question.end.unwrap_or_else(|| books.now.plus_seconds(1));
    if until <= from && !books.work.is_empty() {
        let remedy = format!("give a time after {from}");
        return Err(invalid("end_time", &until.to_string(), &remedy));
    }
    if let Some(change) = question.change
        && (change <= from || change >= until)
    {
        let remedy = format!("give a time between {from} and {until}");
        return Err(invalid("change_time", &change.to_string(), &remedy));
    }
    Ok(Period { from, until })
}

struct Desk<'a> {
    shop: &'a Shop,
    words: &'a Wording,
    question: &'a Question,
    period: Period,
    books: Books,
}

impl Desk<'_> {
    fn write(&self, pieces: &Sender<pb::GetReportResponse>) -> Result<(), Status> {
        let records_read = self.books.record_count;
        let blank = || pb::GetReportResponse { records_read, ..Default::default() };
        send(pieces, pb::GetReportResponse { head: Some(self.head()), ..blank() })?;
        let season = self.question.kind == pb::ReportKind::Season;
        if !season {
            for units in self.units().chunks(PIECE_UNITS) {
                send(pieces, pb::GetReportResponse { units: units.to_vec(), ..blank() })?;
            }
        }
        let faults = faults(&self.books, self.period);
        let mut piece = blank();
        let shop = self.question.scope.parent.kind() == SubjectKind::Site;
        let asked = |unit: usize| self.asked(unit);
        let causes = match shop {
            true => faults.causes,
            // A machine's faults are counted on its own units.
            false => causes_on(&self.books, self.period, asked),
        };
        piece.causes = causes.iter().map(|row| self.cause(row)).collect();
        let returning = faults.units.iter().filter(|row| self.asked(row.unit)).take(ROWS_MAX);
        piece.returning = returning.map(|row| self.returning(row)).collect();
        let all = |unit: usize| shop || self.asked(unit);
        let remedies = remedies_on(&self.books, self.period, all);
        piece.remedies = remedies.iter().map(|row| self.remedy(row)).collect();
        send(pieces, piece)?;
        let mut piece = blank();
        let costs = costs(&self.books, self.period, &self.question.prices)?;
        let of_scope = costs.iter().filter(|row| self.asked_machine(row.machine));
        piece.costs = of_scope.map(|row| self.cost(row)).collect();
        if self.question.kind != pb::ReportKind::Unit {
            piece.months = months(&self.books, self.period).iter().map(month).collect();
        }
        if let Some(change) = self.question.change {
            let rows = compare(&self.books, self.period, change);
            piece.changes = rows.iter().map(|row| self.change(row)).collect();
        }
        if let SubjectKind::Unit = self.question.scope.parent.kind()
            && let Some(unit) = self.books.unit(&self.question.scope.parent)
        {
            let unit = &self.books.units[unit];
            piece.heights = Some(heights(unit));
            piece.diameters = self.diameters(unit);
        }
        if !season {
            let due = due(&self.books, &self.shop.knowledge.usual_intervals);
            let asked = due.iter().filter(|row| self.asked(row.unit) && row.left_h.is_some());
            piece.due = asked.take(ROWS_MAX).map(|row| job(&self.books, row, self.words)).collect();
        }
        piece.notes = self.notes(faults.left_out);
        send(pieces, piece)
    }

    fn asked(&self, unit: usize) -> bool {
        self.question.scope.holds(&self.books.units[unit].name)
    }

    fn asked_machine(&self, machine: usize) -> bool {
        let name = &self.books.machines[machine].name;
        let parent = &self.question.scope.parent;
        parent.kind() == SubjectKind::Site || parent.machine() == name.machine()
    }

    fn head(&self) -> pb::ReportHead {
        let books = &self.books;
        let exposure = Exposure::new(books, self.period);
        let machines = (0..books.machines.len()).filter(|at| self.asked_machine(*at));
        let run = |at: usize| {
            let meter = &books.machines[at].meter;
            meter.run_between(self.period.from, self.period.until, books.now)
        };
        let faults = exposure.faults().filter(|fault| match fault.unit {
            Some(unit) => self.asked(unit),
            None => fault.machine.is_some_and(|machine| self.asked_machine(machine)),
        });
        let parent = &self.question.scope.parent;
        let title = match parent.kind() {
            SubjectKind::Unit => books.unit(parent).map(|unit| books.title_of(unit)),
            _ => {
                let machine = books.machines.iter().find(|machine| machine.name == *parent);
                machine.map(|machine| machine.title.clone())
            }
        };
        pb::ReportHead {
            kind: self.question.kind.into(),
            parent: parent.to_string(),
            title: title.unwrap_or_else(|| "The whole shop".to_owned()),
            start_time: Some(timestamp(self.period.from)),
            end_time: Some(timestamp(self.period.until)),
            as_of_time: Some(timestamp(books.now)),
            // Counts of a shop are far below what overflows.
            machine_count: machines.clone().count() as u32,
            unit_count: (0..books.units.len()).filter(|unit| self.asked(*unit)).count() as u32,
            machine_hours_h: machines.map(run).sum(),
            fault_count: faults.count() as u32,
        }
    }

    fn units(&self) -> Vec<pb::UnitState> {
        let states = states(&self.books);
        let asked = states.iter().filter(|state| self.asked(state.unit));
        asked.map(|one| state(&self.books, one)).collect()
    }

    fn cause(&self, row: &CauseRow) -> pb::CauseRate {
        pb::CauseRate {
            cause: row.cause.clone(),
            title: self.shop.title_of_cause(&row.cause, self.words),
            equipment: equipment(row.equipment).into(),
            count: row.counted.count,
            exposure_h: row.counted.exposure_h,
            rate_per_100_h: row.rate.map(per_100_h),
            unit_count: row.unit_count,
            minutes: row.minutes,
            without_hours_count: row.without_hours,
        }
    }

    fn returning(&self, row: &UnitRow) -> pb::ReturningFault {
        pb::ReturningFault {
            unit: self.books.units[row.unit].name.to_string(),
            unit_title: self.books.title_of(row.unit),
            cause: row.cause.clone(),
            title: self.shop.title_of_cause(&row.cause, self.words),
            count: row.counted.count,
            exposure_h: row.counted.exposure_h,
            counted_per_100_h: row.own.map(|rate| 100.0 * rate),
            believed_per_100_h: Some(per_100_h(row.believed)),
            alike_per_100_h: 100.0 * row.mean,
            comes_back: row.comes_back,
        }
    }

    fn remedy(&self, row: &Remedy) -> pb::RemedyRecord {
        pb::RemedyRecord {
            cause: row.cause.clone(),
            title: self.shop.title_of_cause(&row.cause, self.words),
            procedure: row.procedure.clone(),
            procedure_title: self.shop.title_of_procedure(&row.procedure, self.words),
            cured_count: row.cured,
            not_cured_count: row.not_cured,
            came_back_count: row.came_back,
            held_fraction: row.held_fraction,
            held_standard_error: row.held_standard_error,
            watched_count: row.watched,
        }
    }

    fn cost(&self, row: &MachineCost) -> pb::MachineCost {
        let machine = &self.books.machines[row.machine];
        let mut kinds: Vec<pb::KindMinutes> = row
            .by_kind
            .iter()
            .map(|(kind, minutes)| pb::KindMinutes {
                kind: kind.id().to_owned(),
                minutes: *minutes,
            })
            .collect();
        kinds.sort_by(|a, b| b.minutes.total_cmp(&a.minutes).then(a.kind.cmp(&b.kind)));
        pb::MachineCost {
            machine: machine.name.to_string(),
            machine_title: machine.title.clone(),
            hours_h: row.hours_h,
            minutes: row.minutes,
            kinds,
            part_count: row.part_count,
            labour_cost: row.labour_cost,
            parts_cost: row.parts_cost,
            unpriced_parts: row.unpriced.clone(),
            published_cost: row.published_cost,
        }
    }

    fn change(&self, row: &Compared) -> pb::ChangeComparison {
        let title = match row.cause.as_str() {
            "" => "All faults".to_owned(),
            id => match self.shop.title_of_cause(id, self.words) {
                title if title.is_empty() => id.to_owned(),
                title => title,
            },
        };
        let finite = |value: f64| Some(value).filter(|value| value.is_finite());
        pb::ChangeComparison {
            cause: row.cause.clone(),
            title,
            before_count: row.before.count,
            before_h: row.before.exposure_h,
            after_count: row.after.count,
            after_h: row.after.exposure_h,
            ratio: row.ratio.and_then(|ratio| finite(ratio.rate)),
            ratio_low: row.ratio.and_then(|ratio| finite(ratio.low)),
            ratio_high: row.ratio.and_then(|ratio| finite(ratio.high)),
            verdict: row.verdict().to_owned(),
        }
    }

    fn diameters(&self, unit: &UnitBook) -> Vec<pb::DiameterPoint> {
        let meter = &self.books.machine_of(unit).meter;
        let read = unit.diameters.iter().filter_map(|one| {
            Some(pb::DiameterPoint {
                time: Some(timestamp(one.time)),
                machine_hours_h: meter.at(one.time),
                diameter_mm: one.mm()?,
                after_grinding: one.after_grinding,
            })
        });
        read.collect()
    }

    fn notes(&self, left_out: usize) -> Vec<String> {
        let mut notes = Vec::new();
        if left_out > 0 {
            notes.push(format!(
                "{left_out} more rows of causes by unit, of lower rates, are left out."
            ));
        }
        for (at, machine) in self.books.machines.iter().enumerate() {
            if !self.asked_machine(at) {
                continue;
            }
            if machine.meter.known(self.books.now).is_none() {
                notes.push(format!("{}: not enough readings of its hours.", machine.title));
            }
            if machine.meter.left_out > 0 {
                notes.push(format!(
                    "{}: {} meter reading(s) cannot be true beside the others and were left out.",
                    machine.title, machine.meter.left_out
                ));
            }
        }
        notes.iter().map(|note| self.words.say(note)).collect()
    }
}

fn per_100_h(rate: Rate) -> pb::RatePer100h {
    pb::RatePer100h { rate: 100.0 * rate.rate, low: 100.0 * rate.low, high: 100.0 * rate.high }
}

fn month(row: &Month) -> pb::MonthRecord {
    pb::MonthRecord {
        month: row.name.clone(),
        hours_h: row.faults.exposure_h,
        fault_count: row.faults.count,
        faults_per_100_h: row.faults.rate().map(|rate| 100.0 * rate),
        limit_low_per_100_h: row.limits.map(|limits| 100.0 * limits.low),
        limit_high_per_100_h: row.limits.map(|limits| 100.0 * limits.high),
        stands_out: row.stands_out(),
        minutes: row.minutes,
        part_count: row.part_count,
        record_count: row.record_count,
    }
}

fn heights(unit: &UnitBook) -> pb::HeightHistory {
    let series = height_series(unit);
    let limits = series.limits;
    let point = |&(time, height_mm): &(Moment, f64)| pb::BenchHeightPoint {
        time: Some(timestamp(time)),
        height_mm,
        stands_out: limits.is_some_and(|limits| !limits.hold(height_mm)),
    };
    pb::HeightHistory {
        points: series.points.iter().map(point).collect(),
        target_height_mm: series.target_mm,
        mean_mm: limits.map(|limits| limits.mean),
        limit_low_mm: limits.map(|limits| limits.low),
        limit_high_mm: limits.map(|limits| limits.high),
    }
}
