//! `RecordsService`: wire question -> `domain::records` and the store -> wire answer.
//! Order of reading: keeping (when the store opens, and who waits) -> wire (messages and plain
//! types) -> kept, subjects, entries (one by one) -> tables, copies (many at once) ->
//! learned, remembered (what a diagnosis takes from the past).

mod copies;
pub mod entries;
pub mod keeping;
mod kept;
pub mod learned;
pub mod remembered;
mod subjects;
mod tables;
pub mod wire;

use std::sync::Arc;

use tonic::{Request, Response, Status, Streaming};

use super::Shop;
use crate::pb;
use crate::pb::records_service_server::RecordsService;

pub use keeping::{Findable, Keeper};
pub use tables::row_of;

pub struct Records(pub Arc<Shop>);

type Reply<T> = Result<Response<T>, Status>;

#[tonic::async_trait]
impl RecordsService for Records {
    async fn create_machine(
        &self,
        request: Request<pb::CreateMachineRequest>,
    ) -> Reply<pb::CreateMachineResponse> {
        let pb::CreateMachineRequest { parent, machine_id, machine, request_id } =
            request.into_inner();
        let made = subjects::create(&self.0, parent, machine_id, machine, request_id).await?;
        Ok(Response::new(pb::CreateMachineResponse { machine: Some(made) }))
    }

    async fn get_machine(
        &self,
        request: Request<pb::GetMachineRequest>,
    ) -> Reply<pb::GetMachineResponse> {
        let found = subjects::get(&self.0, request.into_inner().name).await?;
        Ok(Response::new(pb::GetMachineResponse { machine: Some(found) }))
    }

    async fn list_machines(
        &self,
        request: Request<pb::ListMachinesRequest>,
    ) -> Reply<pb::ListMachinesResponse> {
        let pb::ListMachinesRequest { parent, page_size, page_token, show_retired } =
            request.into_inner();
        let listed = subjects::list(&self.0, parent, page_size, page_token, show_retired);
        let (machines, next_page_token) = listed.await?;
        Ok(Response::new(pb::ListMachinesResponse { machines, next_page_token }))
    }

    async fn update_machine(
        &self,
        request: Request<pb::UpdateMachineRequest>,
    ) -> Reply<pb::UpdateMachineResponse> {
        let pb::UpdateMachineRequest { machine, update_mask } = request.into_inner();
        let changed = subjects::update(&self.0, machine, update_mask).await?;
        Ok(Response::new(pb::UpdateMachineResponse { machine: Some(changed) }))
    }

    async fn create_cutting_unit(
        &self,
        request: Request<pb::CreateCuttingUnitRequest>,
    ) -> Reply<pb::CreateCuttingUnitResponse> {
        let pb::CreateCuttingUnitRequest { parent, cutting_unit_id, cutting_unit, request_id } =
            request.into_inner();
        let made = subjects::create(&self.0, parent, cutting_unit_id, cutting_unit, request_id);
        let made = made.await?;
        Ok(Response::new(pb::CreateCuttingUnitResponse { cutting_unit: Some(made) }))
    }

    async fn get_cutting_unit(
        &self,
        request: Request<pb::GetCuttingUnitRequest>,
    ) -> Reply<pb::GetCuttingUnitResponse> {
        let found = subjects::get(&self.0, request.into_inner().name).await?;
        Ok(Response::new(pb::GetCuttingUnitResponse { cutting_unit: Some(found) }))
    }

    async fn list_cutting_units(
        &self,
        request: Request<pb::ListCuttingUnitsRequest>,
    ) -> Reply<pb::ListCuttingUnitsResponse> {
        let pb::ListCuttingUnitsRequest { parent, page_size, page_token, show_retired } =
            request.into_inner();
        let listed = subjects::list(&self.0, parent, page_size, page_token, show_retired);
        let (cutting_units, next_page_token) = listed.await?;
        Ok(Response::new(pb::ListCuttingUnitsResponse { cutting_units, next_page_token }))
    }

    async fn update_cutting_unit(
        &self,
        request: Request<pb::UpdateCuttingUnitRequest>,
    ) -> Reply<pb::UpdateCuttingUnitResponse> {
        let pb::UpdateCuttingUnitRequest { cutting_unit, update_mask } = request.into_inner();
        let changed = subjects::update(&self.0, cutting_unit, update_mask).await?;
        Ok(Response::new(pb::UpdateCuttingUnitResponse { cutting_unit: Some(changed) }))
    }

    async fn create_area(
        &self,
        request: Request<pb::CreateAreaRequest>,
    ) -> Reply<pb::CreateAreaResponse> {
        let pb::CreateAreaRequest { parent, area_id, area, request_id } = request.into_inner();
        let made = subjects::create(&self.0, parent, area_id, area, request_id).await?;
        Ok(Response::new(pb::CreateAreaResponse { area: Some(made) }))
    }

    async fn get_area(
        &self,
        request: Request<pb::GetAreaRequest>,
    ) -> Reply<pb::GetAreaResponse> {
        let found = subjects::get(&self.0, request.into_inner().name).await?;
        Ok(Response::new(pb::GetAreaResponse { area: Some(found) }))
    }

    async fn list_areas(
        &self,
        request: Request<pb::ListAreasRequest>,
    ) -> Reply<pb::ListAreasResponse> {
        let pb::ListAreasRequest { parent, page_size, page_token, show_retired } =
            request.into_inner();
        let listed = subjects::list(&self.0, parent, page_size, page_token, show_retired);
        let (areas, next_page_token) = listed.await?;
        Ok(Response::new(pb::ListAreasResponse { areas, next_page_token }))
    }

    async fn update_area(
        &self,
        request: Request<pb::UpdateAreaRequest>,
    ) -> Reply<pb::UpdateAreaResponse> {
        let pb::UpdateAreaRequest { area, update_mask } = request.into_inner();
        let changed = subjects::update(&self.0, area, update_mask).await?;
        Ok(Response::new(pb::UpdateAreaResponse { area: Some(changed) }))
    }

    async fn create_record(
        &self,
        request: Request<pb::CreateRecordRequest>,
    ) -> Reply<pb::CreateRecordResponse> {
        let mut made = entries::create(&self.0, vec![request.into_inner()]).await?;
        Ok(Response::new(made.remove(0)))
    }

    async fn batch_create_records(
        &self,
        request: Request<pb::BatchCreateRecordsRequest>,
    ) -> Reply<pb::BatchCreateRecordsResponse> {
        let responses = entries::create(&self.0, request.into_inner().requests).await?;
        Ok(Response::new(pb::BatchCreateRecordsResponse { responses }))
    }

    async fn get_record(
        &self,
        request: Request<pb::GetRecordRequest>,
    ) -> Reply<pb::GetRecordResponse> {
        let record = entries::get(&self.0, &request.into_inner().name).await?;
        Ok(Response::new(pb::GetRecordResponse { record: Some(record) }))
    }

    async fn list_records(
        &self,
        request: Request<pb::ListRecordsRequest>,
    ) -> Reply<pb::ListRecordsResponse> {
        Ok(Response::new(entries::list(&self.0, request.into_inner()).await?))
    }

    async fn amend_record(
        &self,
        request: Request<pb::AmendRecordRequest>,
    ) -> Reply<pb::AmendRecordResponse> {
        Ok(Response::new(entries::amend(&self.0, request.into_inner()).await?))
    }

    async fn import_records(
        &self,
        request: Request<Streaming<pb::ImportRecordsRequest>>,
    ) -> Reply<pb::ImportRecordsResponse> {
        Ok(Response::new(tables::import(&self.0, request.into_inner()).await?))
    }

    type ExportRecordsStream = tables::Exported;

    async fn export_records(
        &self,
        request: Request<pb::ExportRecordsRequest>,
    ) -> Reply<tables::Exported> {
        Ok(Response::new(tables::export(&self.0, request.into_inner()).await?))
    }

    async fn list_lessons(
        &self,
        request: Request<pb::ListLessonsRequest>,
    ) -> Reply<pb::ListLessonsResponse> {
        Ok(Response::new(learned::list(&self.0, request.into_inner()).await?))
    }

    type BackupRecordsStream = copies::Copied;

    async fn backup_records(
        &self,
        _: Request<pb::BackupRecordsRequest>,
    ) -> Reply<copies::Copied> {
        Ok(Response::new(copies::backup(&self.0).await?))
    }

    async fn restore_records(
        &self,
        request: Request<Streaming<pb::RestoreRecordsRequest>>,
    ) -> Reply<pb::RestoreRecordsResponse> {
        Ok(Response::new(copies::restore(&self.0, request.into_inner()).await?))
    }
}
