//! `SettingsService`: wire question -> one pure calculation of `domain::settings` -> wire answer.
//! Each request message says in its own file how it is worked out. Deliberately absent: formulas,
//! bounds and the words of answers.

#[macro_use]
mod speaker;
mod cut_and_height;
mod adjustment;
mod upkeep;
mod attachments;
mod rotary;
mod work_and_life;

use std::sync::Arc;

use tonic::{Request, Response, Status};

use super::Shop;
use crate::pb;
use crate::pb::settings_service_server::SettingsService;
pub use speaker::Speaker;

pub struct Settings(pub Arc<Shop>);

/// A request that can be worked out: parse, decide, reply.
pub(in crate::service) trait Calculation {
    type Reply;
    fn work_out(self, speaker: &Speaker) -> Result<Self::Reply, Status>;
}

impl Settings {
    /// Works a question out away from the threads that serve calls: a long history or a large
    /// table of readings takes its time.
    async fn answer<C>(&self, request: Request<C>) -> Result<Response<C::Reply>, Status>
    where
        C: Calculation + Send + 'static,
        C::Reply: Send + 'static,
    {
        let words = self.0.wording(&request);
        let speaker = Speaker { shop: self.0.clone(), words };
        let question = request.into_inner();
        let worked_out = tokio::task::spawn_blocking(move || question.work_out(&speaker)).await;
        match worked_out {
            Ok(reply) => Ok(Response::new(reply?)),
            Err(error) => {
                tracing::error!(%error, "a calculation did not end");
                Err(Status::internal("the calculation failed; please report the question"))
            }
        }
    }
}

macro_rules! serve_calculations {
    ($($rpc:ident: $request:ident => $reply:ident,)*) => {
        #[tonic::async_trait]
        impl SettingsService for Settings {
            $(async fn $rpc(
                &self,
                request: Request<pb::$request>,
            ) -> Result<Response<pb::$reply>, Status> {
                self.answer(request).await
            })*
        }
    };
}

serve_calculations! {
    clip_spacing: ClipSpacingRequest => ClipSpacingResponse,
    bench_height: BenchHeightRequest => BenchHeightResponse,
    effective_height: EffectiveHeightRequest => EffectiveHeightResponse,
    sinkage_change: SinkageChangeRequest => SinkageChangeResponse,
    adjuster_turns: AdjusterTurnsRequest => AdjusterTurnsResponse,
    paper_map: PaperMapRequest => PaperMapResponse,
    match_units: MatchUnitsRequest => MatchUnitsResponse,
    height_plan: HeightPlanRequest => HeightPlanResponse,
    reel_wear: ReelWearRequest => ReelWearResponse,
    relief_grind: ReliefGrindRequest => ReliefGrindResponse,
    wheel_speed: WheelSpeedRequest => WheelSpeedResponse,
    groomer_depth: GroomerDepthRequest => GroomerDepthResponse,
    brush_contact: BrushContactRequest => BrushContactResponse,
    verticut: VerticutRequest => VerticutResponse,
    rotary_tip_speed: RotaryTipSpeedRequest => RotaryTipSpeedResponse,
    rotary_level: RotaryLevelRequest => RotaryLevelResponse,
    blade_balance: BladeBalanceRequest => BladeBalanceResponse,
    field_capacity: FieldCapacityRequest => FieldCapacityResponse,
    repair_cost: RepairCostRequest => RepairCostResponse,
    service_interval: ServiceIntervalRequest => ServiceIntervalResponse,
}

/// The turf a request names: none when unspecified, refused when out of the list.
fn surface(value: i32) -> Result<Option<crate::domain::settings::clip::TurfSurface>, Status> {
    use crate::domain::settings::clip::TurfSurface;
    match pb::TurfSurface::try_from(value) {
        Ok(pb::TurfSurface::Unspecified) => Ok(None),
        Ok(pb::TurfSurface::Green) => Ok(Some(TurfSurface::Green)),
        Ok(pb::TurfSurface::Longer) => Ok(Some(TurfSurface::Longer)),
        Err(_) => Err(not_listed("surface", value, "TurfSurface")),
    }
}

fn not_listed(field: &str, value: i32, list: &str) -> Status {
    let remedy = format!("use a value of sward.v1.{list}, or leave it out");
    super::status::invalid(field, &value.to_string(), &remedy)
}

/// A count for the wire. Requests are bounded far below what an int32 holds.
fn count(number: usize) -> i32 {
    i32::try_from(number).unwrap_or(i32::MAX)
}
