//! Everything stored, as one file: sent in pieces after it was checked, and put back after it was
//! checked. The file stands in the data directory while it travels, under a name of its own.

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use tokio::sync::mpsc;
use tokio_stream::wrappers::ReceiverStream;
use tonic::{Status, Streaming};

use super::keeping::{waiting, with_store};
use crate::config::COPY_BYTES_MAX;
use crate::pb;
use crate::service::Shop;
use crate::service::gate::{Watched, watched};
use crate::service::status::invalid;
use crate::store::{BackupReport, Store, StoreError};

const CHUNK_BYTES: usize = 1 << 20;

/// A file that goes when it is no longer needed.
struct Passing {
    path: PathBuf,
}

impl Passing {
    fn new(data: &Path) -> Passing {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        Passing { path: data.join(format!("passing-{}-{number}", std::process::id())) }
    }
}

impl Drop for Passing {
    fn drop(&mut self) {
        // It may never have been made.
        let _ = std::fs::remove_file(&self.path);
    }
}

fn summary(report: &BackupReport) -> pb::BackupSummary {
    pb::BackupSummary { file_bytes: report.bytes, record_count: report.records }
}

pub type Copied = Watched<pb::BackupRecordsResponse>;

pub async fn backup(shop: &Arc<Shop>) -> Result<Copied, Status> {
    let (passing, report) = with_store(shop, |shop, store| {
        let passing = Passing::new(&shop.data);
        let report = store.backup(&passing.path)?;
        Ok((passing, report))
    })
    .await?;
    let (pieces, copied) = mpsc::channel(2);
    tokio::task::spawn_blocking(move || {
        if let Err(status) = send(&passing, &report, &pieces) {
            // Whoever asked may have gone away.
            let _ = pieces.blocking_send(Err(status));
        }
    });
    Ok(watched(ReceiverStream::new(copied)))
}

fn send(
    passing: &Passing,
    report: &BackupReport,
    pieces: &mpsc::Sender<Result<pb::BackupRecordsResponse, Status>>,
) -> Result<(), Status> {
    let failed = |error| StoreError::io("reading", &passing.path, error);
    let mut file = File::open(&passing.path).map_err(failed)?;
    let mut summary = Some(summary(report));
    loop {
        let mut chunk = Vec::with_capacity(CHUNK_BYTES);
        let limit = CHUNK_BYTES as u64;
        Read::by_ref(&mut file).take(limit).read_to_end(&mut chunk).map_err(failed)?;
        if chunk.is_empty() {
            return Ok(());
        }
        let piece = pb::BackupRecordsResponse { chunk, summary: summary.take() };
        if pieces.blocking_send(Ok(piece)).is_err() {
            return Ok(());
        }
    }
}

pub async fn restore(
    shop: &Arc<Shop>,
    mut stream: Streaming<pb::RestoreRecordsRequest>,
) -> Result<pb::RestoreRecordsResponse, Status> {
    let shop = Arc::clone(shop);
    let store = {
        let shop = Arc::clone(&shop);
        waiting(move || Ok(shop.store()?)).await?
    };
    let passing = Passing::new(&shop.data);
    let failed = |error| StoreError::io("writing", &passing.path, error);
    let mut file = File::create_new(&passing.path).map_err(failed)?;
    let mut bytes = 0;
    while let Some(message) = stream.message().await? {
        if message.chunk.len() > CHUNK_BYTES {
            let value = format!("{} bytes", message.chunk.len());
            return Err(invalid("chunk", &value, "send at most 1 MiB in one message"));
        }
        bytes += message.chunk.len() as u64;
        if bytes > COPY_BYTES_MAX {
            let remedy = format!("a copy may have at most {COPY_BYTES_MAX} bytes");
            return Err(invalid("chunk", "one more", &remedy));
        }
        file.write_all(&message.chunk).map_err(failed)?;
    }
    if bytes == 0 {
        return Err(invalid("chunk", "empty", "send the file that a backup wrote"));
    }
    drop(file);
    waiting(move || {
        let restored = store.restore(&passing.path);
        let report = restored.map_err(|error| not_a_copy(error, &passing.path))?;
        shop.written();
        let kept = report.kept.as_deref().and_then(Path::file_name);
        let kept_file = kept.map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        Ok(pb::RestoreRecordsResponse { summary: Some(summary(&report)), kept_file })
    })
    .await
}

/// What was sent is at fault, and not what is kept here.
fn not_a_copy(error: StoreError, sent: &Path) -> Status {
    match error {
        StoreError::Corrupt { path, .. } if path == sent => {
            invalid("chunk", "not a sound copy", "send a file that a backup wrote, whole")
        }
        error => Status::from(error),
    }
}
