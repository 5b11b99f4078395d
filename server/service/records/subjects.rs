//! Machines, units and areas on the wire: the same four calls for each, written once.

use std::sync::Arc;

use prost_reflect::ReflectMessage;
use tonic::Status;

use super::keeping::{now, parent, with_store};
use super::kept::Kept;
use super::wire;
use crate::domain::records::{
    Id, NewSubject, RecordError, RequestId, Subject, SubjectKind, SubjectName, check,
};
use crate::service::Shop;
use crate::service::status::{invalid, refused};
use crate::store::{PageSize, SqliteStore, Store, StoreError, SubjectQuery};

/// How often an update without an etag is tried again when another one came in between.
const UPDATE_ATTEMPTS_MAX: usize = 8;
/// Fields that only the server sets.
const SERVER_FIELDS: [&str; 4] = ["name", "create_time", "update_time", "etag"];

fn parsed<T: Kept>(
    message: &T,
    name: SubjectName,
    request_id: Option<RequestId>,
) -> Result<NewSubject, Status> {
    let mut facts = T::facts();
    wire::read(&mut facts, vec![wire::dynamic(T::MESSAGE, message)])?;
    let new = NewSubject { name, request_id, label: message.label(), facts };
    check::subject(new).map_err(|errors| refused(&errors))
}

fn reply<T: Kept>(subject: &Subject) -> T {
    let mut message = wire::empty(T::MESSAGE);
    wire::write(&mut subject.facts.clone(), &mut message);
    wire::typed::<T>(&message).signed(subject)
}

fn missing<T: Kept>() -> Status {
    invalid(T::KIND.word(), "empty", "give what is to be stored")
}

pub async fn create<T: Kept>(
    shop: &Arc<Shop>,
    holder: String,
    id: String,
    message: Option<T>,
    request_id: String,
) -> Result<T, Status> {
    let message = message.ok_or_else(missing::<T>)?;
    let holder = if T::KIND == SubjectKind::Unit {
        SubjectName::parse("parent", &holder)?
    } else {
        parent(&holder)?
    };
    let id = if id.is_empty() {
        Id::from_words("display_name", message.label().display_name.trim())?
    } else {
        Id::parse("id", &id)?
    };
    let name = holder.child(T::KIND, id)?;
    let request_id = (!request_id.is_empty())
        .then(|| RequestId::parse("request_id", &request_id))
        .transpose()?;
    let new = parsed(&message, name, request_id)?;
    with_store(shop, move |shop, store| {
        let subject = store.add_subject(new, now())?;
        shop.written();
        Ok(reply(&subject))
    })
    .await
}

fn named<T: Kept>(text: &str) -> Result<SubjectName, Status> {
    let name = SubjectName::parse("name", text)?;
    if name.kind() == T::KIND {
        return Ok(name);
    }
    Err(invalid("name", text, &format!("give the name of a {}", T::KIND.word())))
}

pub async fn get<T: Kept>(shop: &Arc<Shop>, name: String) -> Result<T, Status> {
    let name = named::<T>(&name)?;
    with_store(shop, move |_, store| Ok(reply(&store.subject(&name)?))).await
}

pub async fn list<T: Kept>(
    shop: &Arc<Shop>,
    holder: String,
    page_size: i32,
    page_token: String,
    retired: bool,
) -> Result<(Vec<T>, String), Status> {
    let size = PageSize::new(page_size)?;
    let parent = if T::KIND == SubjectKind::Unit {
        SubjectName::parse("parent", &holder)?
    } else {
        parent(&holder)?
    };
    let query = SubjectQuery { parent, kind: T::KIND, retired };
    with_store(shop, move |_, store| {
        let page = store.subjects(&query, size, &page_token)?;
        Ok((page.items.iter().map(reply).collect(), page.next_token))
    })
    .await
}

pub async fn update<T: Kept>(
    shop: &Arc<Shop>,
    message: Option<T>,
    mask: Option<prost_types::FieldMask>,
) -> Result<T, Status> {
    let message = message.ok_or_else(missing::<T>)?;
    let name = named::<T>(message.name())?;
    let paths = mask.map(|mask| mask.paths).unwrap_or_default();
    with_store(shop, move |shop, store| {
        let subject = change(store, &name, &message, &paths)?;
        shop.written();
        Ok(reply(&subject))
    })
    .await
}

/// Reads, puts the new fields in, and writes, as long as nobody else wrote in between.
fn change<T: Kept>(
    store: &SqliteStore,
    name: &SubjectName,
    message: &T,
    paths: &[String],
) -> Result<Subject, Status> {
    let asked = asked_version(message.etag())?;
    let mut attempt = 1;
    loop {
        let old = store.subject(name)?;
        let new = parsed(&merged(&reply::<T>(&old), message, paths)?, name.clone(), None)?;
        let changed = store.change_subject(new, Some(asked.unwrap_or(old.version)), now());
        match changed {
            Err(StoreError::Conflict(_)) if asked.is_none() && attempt < UPDATE_ATTEMPTS_MAX => {
                attempt += 1;
            }
            outcome => return Ok(outcome?),
        }
    }
}

fn asked_version(etag: &str) -> Result<Option<u64>, Status> {
    if etag.is_empty() {
        return Ok(None);
    }
    let remedy = "send the etag as it was read, or leave it out";
    Ok(Some(etag.parse().map_err(|_| RecordError::new("etag", etag, remedy))?))
}

/// The old message with the fields of the mask from the new one.
fn merged<T: Kept>(old: &T, new: &T, paths: &[String]) -> Result<T, Status> {
    let (mut merged, new) = (wire::dynamic(T::MESSAGE, old), wire::dynamic(T::MESSAGE, new));
    let all = paths == ["*"];
    for (at, path) in paths.iter().enumerate().filter(|_| !all) {
        let known = merged.descriptor().get_field_by_name(path).is_some();
        if !known || SERVER_FIELDS.contains(&path.as_str()) {
            let field = format!("update_mask.paths[{at}]");
            let remedy = "name a field that can be changed, or \"*\" for all of them";
            return Err(invalid(&field, path, remedy));
        }
    }
    for field in new.descriptor().fields() {
        let name = field.name();
        let wanted = if paths.is_empty() {
            new.has_field(&field)
        } else {
            all || paths.iter().any(|path| path == name)
        };
        if !wanted || SERVER_FIELDS.contains(&name) {
            continue;
        }
        if new.has_field(&field) {
            merged.set_field(&field, new.get_field(&field).into_owned());
        } else {
            merged.clear_field(&field);
        }
    }
    Ok(wire::typed(&merged))
}
