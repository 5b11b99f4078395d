//! Which conversations are open, and how long is one kept that nobody is in? An hour after its last
//! call ended; the one left longest ago goes first when there are too many.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use tokio::sync::{OwnedMutexGuard, watch};
use tonic::{Code, Status};
use uuid::Uuid;

use super::talk::Talk;
use super::{Out, give};
use crate::config;
use crate::domain::records::{RequestId, SubjectName};
use crate::pb;
use crate::service::Shop;
use crate::service::records::keeping::with_store;
use crate::service::speech::equipment_asked;
use crate::service::status::{invalid, not_found};
use crate::store::Store;

/// Every conversation, by its id.
#[derive(Default)]
pub struct Hub {
    places: Mutex<HashMap<String, Arc<Place>>>,
}

/// One conversation and who is in it.
struct Place {
    talk: Arc<tokio::sync::Mutex<Talk>>,
    /// Rises when another call takes it over.
    calls: watch::Sender<u64>,
    /// When its last call ended; none while one is open.
    left: Mutex<Option<Instant>>,
}

/// A call's hold on its conversation.
pub struct Seat {
    place: Arc<Place>,
    number: u64,
    calls: watch::Receiver<u64>,
    started: pb::ConverseStarted,
    received: u64,
}

/// Why there is no seat.
#[derive(Debug, PartialEq, Eq)]
enum NoSeat {
    Gone,
    Full,
}

impl Hub {
    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<String, Arc<Place>>> {
        // Whatever panicked, the map is whole: entries are put in and taken out in one step.
        self.places.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Forgets what was left too long ago.
    fn forget(places: &mut HashMap<String, Arc<Place>>, now: Instant) {
        places.retain(|_, place| {
            place.left_at().is_none_or(|left| now.duration_since(left) < config::CONVERSATION_KEPT)
        });
    }

    /// Room for one more at this moment.
    fn make_room(places: &mut HashMap<String, Arc<Place>>, now: Instant) -> Result<(), NoSeat> {
        Hub::forget(places, now);
        if places.len() < config::CONVERSATIONS_MAX {
            return Ok(());
        }
        let oldest = places
            .iter()
            .filter_map(|(id, place)| Some((place.left_at()?, id.clone())))
            .min();
        let (_, id) = oldest.ok_or(NoSeat::Full)?;
        places.remove(&id);
        Ok(())
    }

    fn add(&self, talk: Talk, now: Instant) -> Result<Arc<Place>, NoSeat> {
        let mut places = self.lock();
        Hub::make_room(&mut places, now)?;
        let id = talk.id().to_owned();
        let place = Arc::new(Place {
            talk: Arc::new(tokio::sync::Mutex::new(talk)),
            calls: watch::channel(0).0,
            left: Mutex::new(None),
        });
        places.insert(id, Arc::clone(&place));
        Ok(place)
    }

    fn find(&self, id: &str, now: Instant) -> Result<Arc<Place>, NoSeat> {
        let mut places = self.lock();
        Hub::forget(&mut places, now);
        places.get(id).cloned().ok_or(NoSeat::Gone)
    }
}

impl Place {
    fn left_at(&self) -> Option<Instant> {
        *self.left.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set_left(&self, at: Option<Instant>) {
        *self.left.lock().unwrap_or_else(PoisonError::into_inner) = at;
    }
}

/// Takes a seat in the conversation that a start names, or in a new one.
pub async fn enter(shop: &Arc<Shop>, start: pb::ConverseStart) -> Result<Seat, Status> {
    let equipment = equipment_asked(start.equipment)?;
    known_subject(shop, &start.subject).await?;
    let now = Instant::now();
    let (received, resumed) = (start.received_sequence, !start.conversation.is_empty());
    let place = if resumed {
        RequestId::parse("conversation", &start.conversation)?;
        let found = shop.conversations.find(&start.conversation, now);
        found.map_err(|_| {
            let remedy = "it is kept for an hour after it was left; begin a new one, \"drafts\" \
                          lists what was left half way";
            not_found("conversation", &start.conversation, remedy)
        })?
    } else {
        let talk = Talk::new(Uuid::new_v4().to_string(), &start, equipment);
        shop.conversations.add(talk, now).map_err(|_| {
            Status::new(Code::ResourceExhausted, "too many conversations are open; try again later")
        })?
    };
    place.set_left(None);
    place.calls.send_modify(|number| *number += 1);
    let calls = place.calls.subscribe();
    let number = *calls.borrow();
    let talk = Arc::clone(&place.talk).lock_owned().await;
    let started = pb::ConverseStarted {
        conversation: talk.id().to_owned(),
        resumed,
        last_request_number: talk.last_request(),
    };
    Ok(Seat { place, number, calls, started, received })
}

async fn known_subject(shop: &Arc<Shop>, subject: &str) -> Result<(), Status> {
    if subject.is_empty() {
        return Ok(());
    }
    let name = SubjectName::parse("subject", subject)?;
    let remedy = "sward add adds it; leave it out to begin without";
    if shop.store_if_any()?.is_none() {
        return Err(not_found("subject", subject, remedy));
    }
    let asked = subject.to_owned();
    with_store(shop, move |_, store| match store.subject(&name) {
        Ok(_) => Ok(()),
        Err(crate::store::StoreError::NotFound { .. }) => {
            Err(not_found("subject", &asked, remedy))
        }
        Err(error) => Err(error.into()),
    })
    .await
    .map_err(|status| match status.code() {
        Code::NotFound => status,
        _ => invalid("subject", subject, status.message()),
    })
}

impl Seat {
    /// Says that it is open, then again what did not arrive.
    pub async fn greet(&mut self, out: &Out) {
        let mut talk = self.talk().await;
        talk.received(self.received);
        let missed = talk.kept();
        let started = talk.number(
            0,
            Vec::new(),
            pb::converse_response::Payload::Started(self.started.clone()),
        );
        // Sequence numbers keep their order: what was missed comes before the greeting.
        for response in missed {
            give(out, response).await;
        }
        give(out, started).await;
    }

    pub async fn talk(&self) -> OwnedMutexGuard<Talk> {
        Arc::clone(&self.place.talk).lock_owned().await
    }

    /// Ends when another call has taken the conversation over.
    pub async fn taken_over(&mut self) {
        let number = self.number;
        // The sender lives as long as the place, which this seat holds.
        let _ = self.calls.wait_for(|now| *now != number).await;
    }

    pub fn is_taken_over(&self) -> bool {
        *self.calls.borrow() != self.number
    }

    pub fn leave(self) {
        if !self.is_taken_over() {
            self.place.set_left(Some(Instant::now()));
        }
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn talk(id: usize) -> Talk {
        Talk::new(id.to_string(), &pb::ConverseStart::default(), None)
    }

    #[test]
    fn a_conversation_is_kept_for_an_hour_after_it_was_left() {
        let (hub, now) = (Hub::default(), Instant::now());
        let place = hub.add(talk(1), now).expect("room");
        let long = now + config::CONVERSATION_KEPT * 3;
        assert!(hub.find("1", long).is_ok(), "somebody is in it");
        place.set_left(Some(now));
        let almost = now + config::CONVERSATION_KEPT - Duration::from_secs(1);
        assert!(hub.find("1", almost).is_ok());
        let over = now + config::CONVERSATION_KEPT;
        assert_eq!(hub.find("1", over).err(), Some(NoSeat::Gone));
    }

    #[test]
    fn the_one_left_longest_ago_makes_room() {
        let (hub, now) = (Hub::default(), Instant::now());
        let places: Vec<Arc<Place>> = (0..config::CONVERSATIONS_MAX)
            .map(|id| hub.add(talk(id), now).expect("room"))
            .collect();
        assert_eq!(hub.add(talk(9_999), now).err(), Some(NoSeat::Full), "all are in use");
        places[7].set_left(Some(now));
        places[3].set_left(Some(now + Duration::from_secs(1)));
        assert!(hub.add(talk(9_999), now + Duration::from_secs(2)).is_ok());
        assert_eq!(hub.find("7", now).err(), Some(NoSeat::Gone));
        assert!(hub.find("3", now).is_ok());
        assert_eq!(hub.lock().len(), config::CONVERSATIONS_MAX);
    }
}
