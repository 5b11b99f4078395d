//! `GetSettingCard`: the card above the bench of one unit.

use std::sync::Arc;

use tonic::Status;

use super::books::{Scope, from_books, read, unknown};
use super::rows::{job, state, timestamp};
use crate::domain::catalogue::Basis;
use crate::domain::fleet::Books;
use crate::domain::fleet::card::{Card, CardRow, Geometry, card};
use crate::domain::fleet::due::due;
use crate::domain::records::SubjectKind;
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;
use crate::service::speech::basis;
use crate::service::status::invalid;

pub async fn get(
    shop: &Arc<Shop>,
    request: pb::GetSettingCardRequest,
    words: Wording,
) -> Result<pb::GetSettingCardResponse, Status> {
    let scope = Scope::of(&request.name, request.as_of_time.as_ref())?;
    if scope.parent.kind() != SubjectKind::Unit {
        return Err(invalid("name", &request.name, "give a unit: sites/S/machines/M/units/U"));
    }
    let geometry = Geometry {
        front_roller_diameter_mm: request.front_roller_diameter_mm,
        rear_roller_diameter_mm: request.rear_roller_diameter_mm,
        roller_centre_distance_mm: request.roller_centre_distance_mm,
        edge_to_rear_roller_mm: request.edge_to_rear_roller_mm,
        slot_angle_deg: request.slot_angle_deg,
        thread_pitch_mm: request.thread_pitch_mm,
    };
    let shop = Arc::clone(shop);
    from_books(move || {
        let books = read(&shop, &scope, |_| {})?;
        // A unit that is no longer in use is not in the books.
        let unit = books.unit(&scope.parent).ok_or_else(|| unknown(&scope.parent))?;
        let card = card(&books, unit, &shop.knowledge.setting_targets, geometry)?;
        Ok(reply(&shop, &books, &card, &words))
    })
    .await
}

fn reply(shop: &Shop, books: &Books, card: &Card, words: &Wording) -> pb::GetSettingCardResponse {
    let jobs = due(books, &shop.knowledge.usual_intervals);
    pb::GetSettingCardResponse {
        unit: books.units[card.unit].name.to_string(),
        unit_title: books.title_of(card.unit),
        as_of_time: Some(timestamp(books.now)),
        settings: card.rows.iter().map(|row| setting(shop, books, row, words)).collect(),
        height_change_per_turn_mm: card.per_turn_mm,
        turns_per_mm: card.per_turn_mm.filter(|mm| *mm != 0.0).map(|mm| 1.0 / mm.abs()),
        turn_source: card.per_turn_from.to_owned(),
        state: Some(state(books, &card.state)),
        side_view: card.side.map(|side| pb::SideView {
            front_roller_diameter_mm: 2.0 * side.front_radius,
            rear_roller_diameter_mm: 2.0 * side.rear_radius,
            roller_centre_distance_mm: side.centre_distance,
            edge_to_rear_roller_mm: side.edge_ahead,
            edge_height_mm: side.edge_height,
            reel_diameter_mm: card.reel_diameter_mm,
            fall_per_travel_mm: side.fall_per_travel(),
        }),
        missing_sizes: card.missing.iter().map(|&name| name.to_owned()).collect(),
        cautions: shop.cautions(card.cautions, words),
        due: jobs
            .iter()
            .filter(|row| row.unit == card.unit)
            .map(|row| job(books, row, words))
            .collect(),
    }
}

fn setting(shop: &Shop, books: &Books, row: &CardRow, words: &Wording) -> pb::CardSetting {
    let reference = match &row.basis {
        Basis::Published(id) => shop.reference(id),
        Basis::CommonPractice | Basis::FromMemory | Basis::Geometry => None,
    };
    pb::CardSetting {
        unit: books.units[row.unit].name.to_string(),
        unit_title: books.units[row.unit].title.clone(),
        setting: row.setting.clone(),
        title: words.say(&row.title),
        target: row.target,
        low: row.low,
        high: row.high,
        quantity_unit: row.quantity_unit.clone(),
        last: row.last.map(|(_, value)| value),
        last_time: row.last.map(|(time, _)| timestamp(time)),
        inside: row.inside(),
        how: words.say(&row.how),
        basis: basis(&row.basis).into(),
        reference,
    }
}
