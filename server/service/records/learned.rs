//! What confirmed fixes taught: as an answer of its own, and as counts for diagnosis.

use std::collections::BTreeMap;
use std::sync::Arc;

use tonic::Status;

use super::keeping::with_store;
use crate::domain::catalogue::Equipment;
use crate::domain::diagnosis::learning::{Counts, Whose};
use crate::domain::records::lesson::{Lesson, Place, Topic};
use crate::domain::records::{Id, SubjectKind, SubjectName};
use crate::pb;
use crate::service::Shop;
use crate::service::speech::{equipment, equipment_asked};
use crate::service::status::invalid;
use crate::store::Store;

/// All sites at once, as the contract writes it.
const EVERY_SITE: &str = "sites/-";

pub async fn list(
    shop: &Arc<Shop>,
    request: pb::ListLessonsRequest,
) -> Result<pb::ListLessonsResponse, Status> {
    let site = site(&request.parent)?;
    let kind = equipment_asked(request.equipment)?;
    with_store(shop, move |_, store| {
        let lessons = store.lessons(site.as_ref())?;
        Ok(pb::ListLessonsResponse { lessons: grouped(&lessons, kind) })
    })
    .await
}

fn site(parent: &str) -> Result<Option<Id>, Status> {
    if parent == EVERY_SITE {
        return Ok(None);
    }
    let name = super::keeping::parent(parent)?;
    if name.kind() != SubjectKind::Site {
        return Err(invalid("parent", parent, "name a site, or sites/- for all of them"));
    }
    Ok(Some(name.site().clone()))
}

fn grouped(lessons: &[Lesson], kind: Option<Equipment>) -> Vec<pb::Lesson> {
    let mut by_place: BTreeMap<&Place, pb::Lesson> = BTreeMap::new();
    let wanted = |lesson: &&Lesson| kind.is_none_or(|kind| lesson.place.equipment == kind);
    for lesson in lessons.iter().filter(wanted) {
        let place = &lesson.place;
        let entry = by_place.entry(place).or_insert_with(|| pb::Lesson {
            site: SubjectName::Site { site: place.site.clone() }.to_string(),
            equipment: equipment(place.equipment).into(),
            unit_type: place.unit_type.clone(),
            cause: place.cause.clone(),
            ..pb::Lesson::default()
        });
        match &lesson.topic {
            Topic::Confirmed => entry.confirmed_count += lesson.yes,
            Topic::Finding(finding) => entry.findings.push(pb::FindingCount {
                finding: finding.clone(),
                present_count: lesson.yes,
                absent_count: lesson.no,
            }),
            Topic::Remedy(procedure) => entry.remedies.push(pb::RemedyCount {
                procedure: procedure.clone(),
                cured_count: lesson.yes,
                not_cured_count: lesson.no,
            }),
        }
    }
    by_place.into_values().collect()
}

/// The counts of one kind of equipment, as diagnosis wants them.
pub fn counts(lessons: &[Lesson], kind: Equipment) -> Counts {
    let mut counts = Counts::default();
    for lesson in lessons.iter().filter(|lesson| lesson.place.equipment == kind) {
        let place = &lesson.place;
        let whose =
            Whose { shop: place.site.to_string(), unit_type: place.unit_type.clone() };
        match &lesson.topic {
            Topic::Confirmed => counts.add_confirmed(&whose, &place.cause, lesson.yes),
            Topic::Finding(finding) => {
                counts.add_answers(&whose, &place.cause, finding, (lesson.yes, lesson.no));
            }
            Topic::Remedy(_) => {}
        }
    }
    counts
}
