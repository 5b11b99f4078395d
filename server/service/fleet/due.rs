//! `ListDue`: what is due on each unit, soonest first, in pieces.

use std::sync::Arc;

use tonic::Status;

use super::books::{Made, Scope, in_pieces, read, send};
use super::rows::{job, timestamp};
use crate::domain::fleet::due::{Due, due};
use crate::domain::limits::check_given;
use crate::domain::wording::Wording;
use crate::pb;
use crate::service::Shop;

/// Jobs in one piece.
const PIECE_JOBS: usize = 200;

pub fn list(
    shop: &Arc<Shop>,
    request: pb::ListDueRequest,
    words: Wording,
) -> Result<Made<pb::ListDueResponse>, Status> {
    let scope = Scope::of(&request.parent, request.as_of_time.as_ref())?;
    let within_h = check_given("within_h", request.within_h)?;
    let shop = Arc::clone(shop);
    Ok(in_pieces(move |pieces| {
        let piece = |jobs: Vec<pb::DueJob>, records_read: u64| pb::ListDueResponse {
            jobs,
            records_read,
            as_of_time: Some(timestamp(scope.now)),
        };
        let books = read(&shop, &scope, |count| {
            // Should nobody wait any more, the next piece says so.
            let _ = pieces.send(Ok(piece(Vec::new(), count)));
        })?;
        let soon = |row: &&Due| match (row.left_h, within_h) {
            (Some(left_h), Some(within_h)) => left_h <= within_h,
            (Some(_), None) => true,
            (None, _) => !request.hide_unknown && within_h.is_none(),
        };
        let all = due(&books, &shop.knowledge.usual_intervals);
        let asked = all.iter().filter(|row| scope.holds(&books.units[row.unit].name)).filter(soon);
        let jobs: Vec<pb::DueJob> = asked.map(|row| job(&books, row, &words)).collect();
        for some in jobs.chunks(PIECE_JOBS) {
            send(pieces, piece(some.to_vec(), books.record_count))?;
        }
        // The last piece says how many were read also when nothing is due.
        send(pieces, piece(Vec::new(), books.record_count))
    }))
}
