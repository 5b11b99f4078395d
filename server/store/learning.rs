//! How are the counts of what fixes taught kept? A row for each count, raised and lowered in the
//! transaction of the record that does it, so that they never part. What a record teaches is said
//! by `domain::records::lesson`.

use rusqlite::params;

use crate::domain::catalogue::Equipment;
use crate::domain::records::lesson::{Lesson, Place, Topic, lessons};
use crate::domain::records::{Id, RecordError};

use super::error::StoreError;
use super::read::Reading;

/// Whether a lesson is learnt or taken back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    Learn,
    TakeBack,
}

/// Adds a lesson to the counts, or takes it away. A count of nothing has no row, so that counts
/// kept step by step are the same as counts made anew.
pub fn count(writing: Reading<'_>, lesson: &Lesson, sign: Sign) -> Result<(), StoreError> {
    let Lesson { place, topic, yes, no } = lesson;
    let (topic, item) = topic_columns(topic);
    let equipment = place.equipment.id();
    let key = (place.site.as_str(), equipment, &place.unit_type, &place.cause, topic, item);
    let (yes, no) = (*yes as i64, *no as i64);
    let sql = match sign {
        Sign::Learn => {
            "INSERT INTO lesson (site, equipment, unit_type, cause, topic, item, yes, no)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
             ON CONFLICT DO UPDATE SET yes = yes + excluded.yes, no = no + excluded.no"
        }
        Sign::TakeBack => {
            "UPDATE lesson SET yes = yes - ?7, no = no - ?8
             WHERE site = ?1 AND equipment = ?2 AND unit_type = ?3 AND cause = ?4
               AND topic = ?5 AND item = ?6"
        }
    };
    let run = || -> rusqlite::Result<()> {
        let mut statement = writing.connection.prepare_cached(sql)?;
        statement.execute(params![key.0, key.1, key.2, key.3, key.4, key.5, yes, no])?;
        if sign == Sign::TakeBack {
            let mut forget = writing.connection.prepare_cached(
                "DELETE FROM lesson
                 WHERE site = ?1 AND equipment = ?2 AND unit_type = ?3 AND cause = ?4
                   AND topic = ?5 AND item = ?6 AND yes = 0 AND no = 0",
            )?;
            forget.execute(params![key.0, key.1, key.2, key.3, key.4, key.5])?;
        }
        Ok(())
    };
    run().map_err(|cause| StoreError::sqlite("counting lessons in", writing.path, cause))
}

/// Counts everything anew.
pub fn recount(writing: Reading<'_>) -> Result<(), StoreError> {
    writing
        .connection
        .execute("DELETE FROM lesson", [])
        .map_err(|cause| StoreError::sqlite("counting lessons in", writing.path, cause))?;
    writing.each_fix(|record| {
        lessons(record).iter().try_for_each(|lesson| count(writing, lesson, Sign::Learn))
    })
}

/// The counts in order of site, equipment, unit type, cause and topic.
pub fn list(reading: Reading<'_>, site: Option<&Id>) -> Result<Vec<Lesson>, StoreError> {
    let failed = |cause| reading.failed(cause);
    let mut statement = reading
        .connection
        .prepare_cached(
            "SELECT site, equipment, unit_type, cause, topic, item, yes, no FROM lesson
             WHERE ?1 IS NULL OR site = ?1",
        )
        .map_err(failed)?;
    let rows = statement
        .query_map(params![site.map(Id::as_str)], |row| {
            let texts: [String; 6] =
                [row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?, row.get(5)?];
            Ok((texts, row.get::<_, i64>(6)?.unsigned_abs(), row.get::<_, i64>(7)?.unsigned_abs()))
        })
        .map_err(failed)?;
    let lessons: Result<Vec<Lesson>, StoreError> = rows
        .map(|row| {
            let (texts, yes, no) = row.map_err(failed)?;
            lesson(texts, yes, no).map_err(|error| StoreError::Corrupt {
                path: reading.path.to_owned(),
                detail: error.to_string(),
            })
        })
        .collect();
    let mut lessons = lessons?;
    lessons.sort();
    Ok(lessons)
}

fn lesson(texts: [String; 6], yes: u64, no: u64) -> Result<Lesson, RecordError> {
    let [site, equipment, unit_type, cause, topic, item] = texts;
    let unknown = |field: &str, value: &str| RecordError::new(field, value, "it is not known");
    let place = Place {
        site: Id::parse("site", &site)?,
        equipment: Equipment::from_id(&equipment)
            .ok_or_else(|| unknown("equipment", &equipment))?,
        unit_type,
        cause,
    };
    let topic = match topic.as_str() {
        "confirmed" => Topic::Confirmed,
        "finding" => Topic::Finding(item),
        "remedy" => Topic::Remedy(item),
        _ => return Err(unknown("topic", &topic)),
    };
    Ok(Lesson { place, topic, yes, no })
}

fn topic_columns(topic: &Topic) -> (&'static str, &str) {
    match topic {
        Topic::Confirmed => ("confirmed", ""),
        Topic::Finding(finding) => ("finding", finding),
        Topic::Remedy(procedure) => ("remedy", procedure),
    }
}
