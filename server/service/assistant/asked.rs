//! What comes with the words: the moment, the place, the site, what was spoken of before, and the
//! names that the shop has?

use std::sync::Arc;

use jiff::tz::{Offset, TimeZone};
use jiff::{Timestamp, ZonedDateTime};
use tonic::Status;

use super::command;
use crate::domain::catalogue::Equipment;
use crate::domain::intent::again::Before;
use crate::domain::intent::case::Case;
use crate::domain::intent::filled::Filled;
use crate::domain::intent::subjects::{Known, Shop as Names};
use crate::domain::limits;
use crate::domain::records::{Id, SubjectKind, SubjectName};
use crate::pb;
use crate::service::Shop;
use crate::service::records::keeping::now;
use crate::service::speech::equipment_asked;
use crate::service::status::invalid;
use crate::store::Store;

/// Seconds since 1970 of the years 1950 and 2200.
const EARLIEST_S: i64 = -631_152_000;
const LATEST_S: i64 = 7_258_118_400;

/// Numbers of the last calculations that are looked at.
const SAID_IN_MAX: usize = 64;

/// What was asked, checked.
pub struct Asked {
    pub now: ZonedDateTime,
    pub site: Id,
    pub equipment: Option<Equipment>,
    pub subject: Option<SubjectName>,
    pub previous: Option<(String, Filled)>,
    pub said_in: Vec<(String, String)>,
    pub case: Option<Case>,
    pub before: Option<Before>,
}

pub fn parse(request: &pb::InterpretRequest) -> Result<Asked, Status> {
    limits::complaint(&request.text).map_err(|(value, remedy)| invalid("text", &value, remedy))?;
    if request.text.trim().is_empty() {
        return Err(invalid("text", "empty", "say something"));
    }
    let context = request.context.clone().unwrap_or_default();
    let subject = match context.subject.as_str() {
        "" => None,
        name => Some(SubjectName::parse("context.subject", name)?),
    };
    Ok(Asked {
        now: moment(request)?,
        site: site(&request.parent)?,
        equipment: equipment_asked(context.equipment)?,
        subject,
        previous: context.previous.as_ref().and_then(command::calculation),
        said_in: said_in(&context),
        case: context.complaint.as_ref().map(case).transpose()?,
        before: before(&context)?,
    })
}

/// The units that numbers of the last calculations were said in; of many, the latest.
fn said_in(context: &pb::InterpretContext) -> Vec<(String, String)> {
    let all = &context.previous_quantities;
    let latest = all.iter().skip(all.len().saturating_sub(SAID_IN_MAX));
    latest.map(|one| (one.field.clone(), one.unit.clone())).collect()
}

/// The last question to the records.
fn before(context: &pb::InterpretContext) -> Result<Option<Before>, Status> {
    let question = context.question.as_ref();
    let Some(request) = question.and_then(|question| question.request.as_ref()) else {
        return Ok(None);
    };
    command::question(request, &context.question_topic)
}

/// The complaint that is being looked into.
fn case(asked: &pb::DiagnoseRequest) -> Result<Case, Status> {
    limits::complaint(&asked.complaint)
        .map_err(|(value, remedy)| invalid("context.complaint.complaint", &value, remedy))?;
    let unit = match asked.unit.as_str() {
        "" => None,
        name => Some(SubjectName::parse("context.complaint.unit", name)?),
    };
    Ok(Case { complaint: asked.complaint.clone(), unit })
}

fn site(parent: &str) -> Result<Id, Status> {
    if parent.is_empty() {
        return Ok(Id::home());
    }
    let name = SubjectName::parse("parent", parent)?;
    if name.kind() == SubjectKind::Site {
        return Ok(name.site().clone());
    }
    Err(invalid("parent", parent, "give a site: sites/S"))
}

fn moment(request: &pb::InterpretRequest) -> Result<ZonedDateTime, Status> {
    let Some(said) = &request.now else { return zoned_now(&request.time_zone) };
    let value = format!("{} s {} ns", said.seconds, said.nanos);
    let fail = || invalid("now", &value, "give a time from 1950 to 2200");
    if !(EARLIEST_S..LATEST_S).contains(&said.seconds)
        || !(0..1_000_000_000).contains(&said.nanos)
    {
        return Err(fail());
    }
    let timestamp = Timestamp::new(said.seconds, said.nanos).map_err(|_| fail())?;
    Ok(timestamp.to_zoned_datetime(zone(&request.time_zone)?))
}

/// The moment it is now, where that is.
pub fn zoned_now(time_zone: &str) -> Result<ZonedDateTime, Status> {
    let now = Timestamp::from_microsecond(now().microseconds()).unwrap_or(Timestamp::UNIX_EPOCH);
    Ok(now.to_zoned_datetime(zone(time_zone)?))
}

fn zone(text: &str) -> Result<TimeZone, Status> {
    if text.is_empty() {
        return Ok(TimeZone::system());
    }
    if let Some(offset) = offset(text) {
        return Ok(TimeZone::fixed(offset));
    }
    TimeZone::get(text).map_err(|_| {
        invalid(
            "time_zone",
            text,
            "write a name such as Europe/London, or an offset such as +01:00",
        )
    })
}

/// "+01:00", "-0530", "Z".
fn offset(text: &str) -> Option<Offset> {
    if text == "Z" {
        return Offset::from_seconds(0).ok();
    }
    let sign = match text.chars().next()? {
        '+' => 1,
        '-' => -1,
        _ => return None,
    };
    let digits: String = text.chars().skip(1).filter(|ch| *ch != ':').collect();
    if digits.len() != 4 || !digits.chars().all(|ch| ch.is_ascii_digit()) {
        return None;
    }
    let (hours, minutes) = digits.split_at(2);
    let (hours, minutes): (i32, i32) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours <= 18 && minutes < 60)
        .then(|| Offset::from_seconds(sign * (hours * 3_600 + minutes * 60)).ok())?
}

/// The machines, units and areas of a site, as people call them, and what was spoken of before.
pub fn names(
    shop: &Arc<Shop>,
    site: &Id,
    spoken_of: Option<SubjectName>,
    southern: bool,
) -> Result<Names, Status> {
    let mut names = Names { spoken_of, southern, ..Names::default() };
    let Some(store) = shop.store_if_any()? else { return Ok(names) };
    for subject in store.all_subjects(site)?.into_iter().filter(|subject| !subject.label.retired) {
        let mut called = vec![subject.label.display_name.clone()];
        called.extend(subject.label.other_names.iter().cloned());
        let equipment = subject.facts.equipment();
        names.subjects.push(Known { equipment, name: subject.name, names: called });
    }
    names.people = shop.remembered().people(&*store, site)?;
    Ok(names)
}
