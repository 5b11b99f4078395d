//! `FleetService`: wire question -> the records, read once -> `domain::fleet` -> wire answer.
//! Order of reading: books (the records of a site, page by page) -> due, report, card, heights (one
//! rpc each) and recall -> rows (what several replies share).

mod books;
mod card;
mod due;
mod heights;
mod recall;
mod report;
mod rows;

use std::sync::Arc;

use tonic::{Request, Response, Status};

use super::Shop;
pub use heights::near as heights_near;
use super::gate::{Watched, watched};
use crate::pb;
use crate::pb::fleet_service_server::FleetService;

pub struct Fleet(pub Arc<Shop>);

type Reply<T> = Result<Response<T>, Status>;
/// The pieces of a long reply.
type Pieces<T> = Watched<T>;

#[tonic::async_trait]
impl FleetService for Fleet {
    type ListDueStream = Pieces<pb::ListDueResponse>;
    type GetReportStream = Pieces<pb::GetReportResponse>;

    async fn list_due(
        &self,
        request: Request<pb::ListDueRequest>,
    ) -> Reply<Pieces<pb::ListDueResponse>> {
        let words = self.0.wording(&request);
        Ok(Response::new(watched(due::list(&self.0, request.into_inner(), words)?)))
    }

    async fn get_report(
        &self,
        request: Request<pb::GetReportRequest>,
    ) -> Reply<Pieces<pb::GetReportResponse>> {
        let words = self.0.wording(&request);
        Ok(Response::new(watched(report::get(&self.0, request.into_inner(), words)?)))
    }

    async fn get_setting_card(
        &self,
        request: Request<pb::GetSettingCardRequest>,
    ) -> Reply<pb::GetSettingCardResponse> {
        let words = self.0.wording(&request);
        Ok(Response::new(card::get(&self.0, request.into_inner(), words).await?))
    }

    async fn plan_heights(
        &self,
        request: Request<pb::PlanHeightsRequest>,
    ) -> Reply<pb::PlanHeightsResponse> {
        let words = self.0.wording(&request);
        Ok(Response::new(heights::plan(&self.0, request.into_inner(), words).await?))
    }

    async fn ask_records(
        &self,
        request: Request<pb::AskRecordsRequest>,
    ) -> Reply<pb::AskRecordsResponse> {
        let words = self.0.wording(&request);
        Ok(Response::new(recall::ask(&self.0, request.into_inner(), words).await?))
    }
}
