//! How long do filling the store and making the index take, and how much room?

use std::path::Path;
use std::sync::Arc;

use sward_core::domain::records::NewRecord;
use sward_core::embedded;
use sward_core::index::{Index, Source, Titles, of_record};
use sward_core::service::Findable;
use sward_core::store::Store;

use super::shop::{self, NOW};
use super::{bare, say};
use crate::Failure;
use crate::figures::{memory_mib, timed};

/// Records stored at once while filling.
const BATCH_RECORDS: usize = 1_000;
/// Records read at once for the bare index, as for ours.
const READ_RECORDS: usize = 50_000;

pub fn run(data: &Path, records: usize) -> Result<(), Failure> {
    let store = Arc::new(shop::open(&data.join("ours"))?);
    let mut sqlite = bare::Sqlite::open(&data.join("bare"))?;
    let (mut ours, mut bare) = (0.0, 0.0);
    let mut history = shop::history(1).take(records);
    loop {
        let batch: Vec<NewRecord> = history.by_ref().take(BATCH_RECORDS).collect();
        if batch.is_empty() {
            break;
        }
        let rows: Vec<bare::Row> = batch.iter().map(|new| sqlite.row(new)).collect();
        ours += timed(|| Ok(store.append(batch, NOW)?))?.0;
        bare += timed(|| sqlite.write(&rows))?.0;
    }
    say("store filled, a thousand at once", ours / 1e6, Some(bare / 1e6), "s");
    let size = |path: &str| std::fs::metadata(data.join(path)).map_or(0.0, |file| file.len() as f64);
    let mib = |path: &str| size(path) / f64::from(1 << 20);
    say("database", mib("ours/records.sqlite3"), Some(mib("bare/records.sqlite3")), "MiB");
    index(data, Arc::new(Findable(store)))
}

fn index(data: &Path, source: Arc<dyn Source>) -> Result<(), Failure> {
    let knowledge = embedded::knowledge();
    let open = || Ok(Index::open(&data.join("ours/index"), &knowledge, Arc::clone(&source))?);
    let (ours, index) = timed(open)?;
    drop(index);
    if let Some(highest) = memory_mib("VmHWM") {
        say("memory while filling, at its highest", highest, None, "MiB");
    }
    let titles = Titles::new(&knowledge);
    let bare = timed(|| {
        let tantivy = bare::Tantivy::open(&data.join("bare-index"))?;
        let mut writer = tantivy.writer()?;
        let mut last = 0;
        loop {
            let changes = source.changes_since(last, READ_RECORDS)?;
            let Some(change) = changes.last() else { break };
            last = change.sequence;
            for record in changes.iter().filter_map(|change| change.record.as_ref()) {
                if record.stands() {
                    tantivy.add(&writer, &of_record(record, &titles))?;
                }
            }
        }
        writer.commit()?;
        writer.wait_merging_threads()?;
        Ok(())
    })?;
    say("index made from the store", ours / 1e6, Some(bare.0 / 1e6), "s");
    Ok(())
}
