//! What kind of work does a record tell of, as a count has to know it: a lap is no grind, a setting
//! after lapping is no lap, and a belt changed while a fault was put right is a belt changed.
//! Deliberately absent: the words by which people name the work (`work_words`).

use crate::domain::fleet::parts;
use crate::domain::records::choices::SharpeningMethod;
use crate::domain::records::detail::Detail;
use crate::domain::records::{Record, RecordKind};

/// A kind of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Deed {
    Backlap,
    /// Any grind of a reel, bedknife or blade.
    Grind,
    SpinGrind,
    ReliefGrind,
    HandDress,
    Sharpen,
    /// A part changed, by itself or while a fault was put right.
    Change,
    Adjust,
    /// Looked at or read, not repaired.
    Look,
    /// Looked over; a height read is no inspection.
    Inspect,
    /// A bench height read.
    Height,
    Fault,
    /// A fault, and not one that was tried in vain.
    Cure,
    /// Anything that was done or looked at; hours are none.
    Any,
    /// Sharpened, changed or put right; not only set, read or looked at.
    Work,
    /// Sharpened or changed: what it comes to that an edge was "done".
    Edge,
}

impl Deed {
    /// Whether its words name nothing else: a record that only says them does not tell of it.
    pub fn is_certain(self) -> bool {
        use Deed::{Backlap, Grind, Height, Inspect, Look, ReliefGrind, SpinGrind};
        matches!(self, Backlap | Grind | SpinGrind | ReliefGrind | Look | Inspect | Height)
    }

    /// Whether the record tells of it.
    pub fn is(self, record: &Record) -> bool {
        use SharpeningMethod::{
            Backlap, BedknifeGrind, BladeGrind, HandDress, ReliefGrind, SpinGrind,
        };
        let method = match &record.content.detail {
            Detail::Sharpening(done) => done.method,
            _ => None,
        };
        let kind = record.content.kind();
        match self {
            Deed::Backlap => method == Some(Backlap),
            Deed::Grind => matches!(
                method,
                Some(SpinGrind | ReliefGrind | BladeGrind | BedknifeGrind)
            ),
            Deed::SpinGrind => method == Some(SpinGrind),
            Deed::ReliefGrind => method == Some(ReliefGrind),
            Deed::HandDress => method == Some(HandDress),
            Deed::Sharpen => kind == RecordKind::Sharpening,
            Deed::Change => !changed_parts(record).is_empty(),
            Deed::Adjust => kind == RecordKind::Adjustment,
            Deed::Look => matches!(kind, RecordKind::Inspection | RecordKind::HeightReading),
            Deed::Inspect => kind == RecordKind::Inspection,
            Deed::Height => kind == RecordKind::HeightReading,
            Deed::Fault => kind == RecordKind::FaultFixed,
            Deed::Work => matches!(
                kind,
                RecordKind::Sharpening | RecordKind::PartReplaced | RecordKind::FaultFixed
            ),
            Deed::Edge => kind == RecordKind::Sharpening || !changed_parts(record).is_empty(),
            Deed::Any => kind != RecordKind::Hours,
            Deed::Cure => matches!(
                &record.content.detail,
                Detail::FaultFixed(fault) if fault.fixed != Some(false)
            ),
        }
    }
}

/// The parts that a record says were changed, in its words.
pub fn changed_parts(record: &Record) -> Vec<String> {
    match &record.content.detail {
        Detail::PartReplaced(done) => done.parts.iter().map(|part| part.part.clone()).collect(),
        Detail::FaultFixed(fault) => parts::changed(fault),
        _ => Vec::new(),
    }
}
