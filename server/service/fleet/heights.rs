//! `PlanHeights`: the heights of a season on one area, step by step and unit by unit; and which
//! readings on turf a single height can rest on.

use std::sync::Arc;

use tonic::Status;

use super::books::{Scope, from_books, read, unknown};
use super::rows::timestamp;
use crate::domain::fleet::Books;
use crate::domain::fleet::heights::{
    Asked, Near, Plan, Step, UnitStep, near as readings_near, plan as plan_heights,
};
use crate::domain::records::{SubjectKind, SubjectName};
use crate::domain::settings::Common;
use crate::domain::settings::height_evidence::HeightReading;
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;
use crate::service::settings::Speaker;
use crate::service::status::invalid;

pub async fn plan(
    shop: &Arc<Shop>,
    request: pb::PlanHeightsRequest,
    words: Wording,
) -> Result<pb::PlanHeightsResponse, Status> {
    let area = SubjectName::parse("name", &request.name)?;
    if area.kind() != SubjectKind::Area {
        return Err(invalid("name", &request.name, "give an area: sites/S/areas/A"));
    }
    let machine = match request.machine.as_str() {
        "" => None,
        name => Some(SubjectName::parse("machine", name)?),
    };
    let site = format!("sites/{}", area.site());
    let scope = Scope::of(&site, request.as_of_time.as_ref())?;
    let shop = Arc::clone(shop);
    from_books(move || {
        let books = read(&shop, &scope, |_| {})?;
        let at = books.areas.iter().position(|one| one.name == area);
        let at = at.ok_or_else(|| unknown(&area))?;
        let machine = match &machine {
            None => None,
            Some(name) => {
                let place = books.machines.iter().position(|one| one.name == *name);
                Some(place.ok_or_else(|| unknown(name))?)
            }
        };
        let answer = plan_heights(&books, &asked(&request, at, machine))?;
        let speaker = Speaker { shop: Arc::clone(&shop), words };
        Ok(reply(&speaker, &books, at, &answer))
    })
    .await
}

/// Readings of a site on turf at about this height, with what their areas are called, and the area
/// that the words name.
pub async fn near(
    shop: &Arc<Shop>,
    site: &str,
    height_mm: f64,
    words: &str,
) -> Result<(Vec<(pb::HeightReading, String)>, String), Status> {
    let scope = Scope::of(site, None)?;
    let (shop, words) = (Arc::clone(shop), words.to_owned());
    from_books(move || {
        let books = read(&shop, &scope, |_| {})?;
        let row = |(one, title): (HeightReading, String)| {
            let reading = pb::HeightReading {
                bench_height_mm: one.bench_height_mm,
                effective_height_mm: one.effective_height_mm,
                age_days: one.age_days,
                area: one.area,
                unit_type: one.unit_type,
            };
            (reading, title)
        };
        let Near { readings, area } = readings_near(&books, height_mm, &words);
        Ok((readings.into_iter().map(row).collect(), area))
    })
    .await
}

fn asked(request: &pb::PlanHeightsRequest, area: usize, machine: Option<usize>) -> Asked {
    Asked {
        area,
        machine,
        target_height_mm: request.target_height_mm,
        current_height_mm: request.current_height_mm,
        time_available_days: request.time_available_days,
        mowing_interval_days: request.mowing_interval_days,
        growth_mm_per_day: request.growth_mm_per_day,
        max_removed_fraction: request.max_removed_fraction,
        step_limit_mm: request.step_limit_mm,
        start_date: request.start_date.clone(),
        reel_speed_rpm: request.reel_speed_rpm,
        ground_speed_mps: request.ground_speed_mps,
    }
}

fn reply(speaker: &Speaker, books: &Books, at: usize, plan: &Plan) -> pb::PlanHeightsResponse {
    let (area, answer) = (&books.areas[at], &plan.plan);
    let machine = plan.machine.map(|machine| &books.machines[machine]);
    let mut common: Common = answer.common.clone();
    for id in ["isolate_drive", "hands_clear_of_reel", "turn_reel_by_tool"] {
        common.caution(id);
    }
    pb::PlanHeightsResponse {
        answer: speaker.say(&common.answer),
        area: area.name.to_string(),
        area_title: area.title.clone(),
        machine: machine.map_or_else(String::new, |machine| machine.name.to_string()),
        machine_title: machine.map_or_else(String::new, |machine| machine.title.clone()),
        current_height_mm: plan.current_height_mm,
        read_time: plan.read.map(timestamp),
        target_height_mm: plan.target_height_mm,
        // At most as many as are looked at.
        reading_count: plan.reading_count as u32,
        steps: plan.steps.iter().map(|step| step_reply(speaker, books, step)).collect(),
        reaches_target_in_time: answer.reaches_target_in_time,
        lowest_next_height_mm: answer.lowest_next_height_mm,
        mow_before_height_mm: answer.mow_before_height_mm,
        working: speaker.working(&common),
        advisories: speaker.advisories(&common),
        cautions: speaker.cautions(&common),
        references: speaker.references(&common),
        missing: speaker.missing(&common),
    }
}

fn step_reply(speaker: &Speaker, books: &Books, step: &Step) -> pb::SeasonStep {
    let on_turf = &step.on_turf;
    let unit = |unit: &UnitStep| pb::UnitHeight {
        unit: books.units[unit.unit].name.to_string(),
        unit_title: books.units[unit.unit].title.clone(),
        bench_height_mm: unit.bench_height_mm,
        bench_height_low_mm: unit.low_mm,
        bench_height_high_mm: unit.high_mm,
        measure_first: unit.measure_first,
        clip_spacing_mm: unit.clip_spacing_mm,
        ground_speed_mps: unit.ground_speed_mps,
        lacking: speaker.say(&unit.lacking),
    };
    pb::SeasonStep {
        day: on_turf.day,
        date: on_turf.date.clone(),
        standing_height_mm: on_turf.standing_height_mm,
        height_mm: on_turf.height_mm,
        removed_fraction: on_turf.removed_fraction,
        units: step.units.iter().map(unit).collect(),
    }
}
