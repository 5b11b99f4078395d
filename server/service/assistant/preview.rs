//! What does a calculation still miss, and which cautions go with it? It is worked out and its
//! result thrown away: calculations are pure, so that this carries nothing out.

use std::sync::Arc;

use tonic::Status;

use crate::domain::wording::Wording;
use crate::pb;
use crate::pb::command::Request;
use crate::service::Shop;
use crate::service::settings::{Calculation as _, Speaker};

/// What every reply of a calculation has.
struct Preview {
    missing: Vec<pb::MissingInput>,
    cautions: Vec<pb::Caution>,
}

/// Adds to a reply what is missing to its command, and why it would be refused.
pub fn add(
    shop: &Arc<Shop>,
    words: &Wording,
    request: &Request,
    reply: &mut pb::InterpretResponse,
) {
    let speaker = Speaker { shop: shop.clone(), words: words.clone() };
    match worked_out(&speaker, request) {
        None => {}
        Some(Ok(preview)) => {
            reply.missing.extend(preview.missing);
            reply.cautions.extend(preview.cautions);
        }
        Some(Err(status)) => reply.advisories.push(pb::Advisory {
            id: "would_be_refused".to_owned(),
            text: words.say(status.message()),
        }),
    }
}

macro_rules! work_out {
    ($speaker:ident, $request:ident: $($calculation:ident,)*) => {
        match $request.clone() {
            $(Request::$calculation(asked) => Some(asked.work_out($speaker).map(|reply| Preview {
                missing: reply.missing,
                cautions: reply.cautions,
            })),)*
            _ => None,
        }
    };
}

fn worked_out(speaker: &Speaker, request: &Request) -> Option<Result<Preview, Status>> {
    work_out!(speaker, request:
        ClipSpacing, BenchHeight, EffectiveHeight, SinkageChange, AdjusterTurns, PaperMap,
        MatchUnits, HeightPlan, ReelWear, ReliefGrind, WheelSpeed, GroomerDepth, BrushContact,
        Verticut, RotaryTipSpeed, RotaryLevel, BladeBalance, FieldCapacity, RepairCost,
        ServiceInterval,
    )
}
