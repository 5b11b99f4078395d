//! Which role may make which call, and for how long? The one table that covers every rpc.
//!
//! An rpc without a row is for nobody but the local user; `tests/access.rs` fails until it has one.

use std::collections::HashMap;
use std::fmt;
use std::fmt::Write as _;
use std::sync::LazyLock;

/// What somebody may do. Each may do all that those before may.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Whoever can connect, without a token.
    Anyone,
    /// Asks and reads.
    Reader,
    /// Records work done.
    Mechanic,
    /// Keeps the list of machines, puts records right, moves them in and out.
    Manager,
}

impl Role {
    /// Those that a token can have.
    pub const OF_TOKENS: [Role; 3] = [Role::Reader, Role::Mechanic, Role::Manager];

    pub fn name(self) -> &'static str {
        match self {
            Role::Anyone => "anyone",
            Role::Reader => "reader",
            Role::Mechanic => "mechanic",
            Role::Manager => "manager",
        }
    }

    pub fn named(name: &str) -> Option<Role> {
        Role::OF_TOKENS.into_iter().find(|role| role.name() == name)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// How long a call may take; the times are in `config::Limits`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Span {
    /// One question, one answer.
    Call,
    /// A whole table or copy.
    Table,
    /// Open until one side ends it.
    Open,
}

/// One rpc: the least role that may call it, and its span.
#[derive(Debug)]
pub struct Row {
    pub rpc: &'static str,
    pub least: Role,
    pub span: Span,
}

const fn row(rpc: &'static str, least: Role, span: Span) -> Row {
    Row { rpc, least, span }
}

use Role::{Anyone, Manager, Mechanic, Reader};
use Span::{Call, Open, Table};

#[rustfmt::skip]
pub static ROWS: &[Row] = &[
    row("grpc.health.v1.Health/Check", Anyone, Call),
    row("grpc.health.v1.Health/Watch", Reader, Open),
    row("grpc.reflection.v1.ServerReflection/ServerReflectionInfo", Reader, Open),
    row("grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo", Reader, Open),
    // It stores what is confirmed, and puts right only what it stored itself.
    row("sward.v1.AssistantService/Converse", Mechanic, Open),
    row("sward.v1.AssistantService/Interpret", Reader, Call),
    row("sward.v1.DiagnosisService/Diagnose", Reader, Call),
    row("sward.v1.FleetService/AskRecords", Reader, Call),
    row("sward.v1.FleetService/GetReport", Reader, Table),
    row("sward.v1.FleetService/GetSettingCard", Reader, Call),
    row("sward.v1.FleetService/ListDue", Reader, Table),
    row("sward.v1.FleetService/PlanHeights", Reader, Call),
    row("sward.v1.GuideService/GetNote", Reader, Call),
    row("sward.v1.GuideService/GetProcedure", Reader, Call),
    row("sward.v1.GuideService/GetReference", Reader, Call),
    row("sward.v1.GuideService/GetStatus", Reader, Call),
    row("sward.v1.GuideService/ListCauses", Reader, Call),
    row("sward.v1.GuideService/ListCautions", Reader, Call),
    row("sward.v1.GuideService/ListFindings", Reader, Call),
    row("sward.v1.GuideService/ListProcedures", Reader, Call),
    row("sward.v1.RecordsService/AmendRecord", Manager, Call),
    row("sward.v1.RecordsService/BackupRecords", Manager, Table),
    row("sward.v1.RecordsService/BatchCreateRecords", Mechanic, Call),
    row("sward.v1.RecordsService/CreateArea", Manager, Call),
    row("sward.v1.RecordsService/CreateCuttingUnit", Manager, Call),
    row("sward.v1.RecordsService/CreateMachine", Manager, Call),
    row("sward.v1.RecordsService/CreateRecord", Mechanic, Call),
    row("sward.v1.RecordsService/ExportRecords", Reader, Table),
    row("sward.v1.RecordsService/GetArea", Reader, Call),
    row("sward.v1.RecordsService/GetCuttingUnit", Reader, Call),
    row("sward.v1.RecordsService/GetMachine", Reader, Call),
    row("sward.v1.RecordsService/GetRecord", Reader, Call),
    row("sward.v1.RecordsService/ImportRecords", Manager, Table),
    row("sward.v1.RecordsService/ListAreas", Reader, Call),
    row("sward.v1.RecordsService/ListCuttingUnits", Reader, Call),
    row("sward.v1.RecordsService/ListLessons", Reader, Call),
    row("sward.v1.RecordsService/ListMachines", Reader, Call),
    row("sward.v1.RecordsService/ListRecords", Reader, Call),
    row("sward.v1.RecordsService/RestoreRecords", Manager, Table),
    row("sward.v1.RecordsService/UpdateArea", Manager, Call),
    row("sward.v1.RecordsService/UpdateCuttingUnit", Manager, Call),
    row("sward.v1.RecordsService/UpdateMachine", Manager, Call),
    row("sward.v1.SearchService/Search", Reader, Call),
    row("sward.v1.SettingsService/AdjusterTurns", Reader, Call),
    row("sward.v1.SettingsService/BenchHeight", Reader, Call),
    row("sward.v1.SettingsService/BladeBalance", Reader, Call),
    row("sward.v1.SettingsService/BrushContact", Reader, Call),
    row("sward.v1.SettingsService/ClipSpacing", Reader, Call),
    row("sward.v1.SettingsService/EffectiveHeight", Reader, Call),
    row("sward.v1.SettingsService/FieldCapacity", Reader, Call),
    row("sward.v1.SettingsService/GroomerDepth", Reader, Call),
    row("sward.v1.SettingsService/HeightPlan", Reader, Call),
    row("sward.v1.SettingsService/MatchUnits", Reader, Call),
    row("sward.v1.SettingsService/PaperMap", Reader, Call),
    row("sward.v1.SettingsService/ReelWear", Reader, Call),
    row("sward.v1.SettingsService/ReliefGrind", Reader, Call),
    row("sward.v1.SettingsService/RepairCost", Reader, Call),
    row("sward.v1.SettingsService/RotaryLevel", Reader, Call),
    row("sward.v1.SettingsService/RotaryTipSpeed", Reader, Call),
    row("sward.v1.SettingsService/ServiceInterval", Reader, Call),
    row("sward.v1.SettingsService/SinkageChange", Reader, Call),
    row("sward.v1.SettingsService/Verticut", Reader, Call),
    row("sward.v1.SettingsService/WheelSpeed", Reader, Call),
];

static BY_RPC: LazyLock<HashMap<&'static str, &'static Row>> =
    LazyLock::new(|| ROWS.iter().map(|row| (row.rpc, row)).collect());

/// The row of an rpc, by the path of a call: "/package.Service/Method".
pub fn row_of(path: &str) -> Option<&'static Row> {
    BY_RPC.get(path.strip_prefix('/')?).copied()
}

/// The table as text for people.
pub fn table() -> String {
    let width = ROWS.iter().map(|row| row.rpc.len()).max().unwrap_or(0);
    let mut text = format!("{:width$}  no token  reader  mechanic  manager\n", "rpc");
    for row in ROWS {
        let mark = |role: Role| if role >= row.least { "yes" } else { "-" };
        let (none, reader) = (mark(Anyone), mark(Reader));
        let (mechanic, manager) = (mark(Mechanic), mark(Manager));
        let rpc = row.rpc;
        // Writing to a string does not fail.
        let _ =
            writeln!(text, "{rpc:width$}  {none:8}  {reader:6}  {mechanic:8}  {manager}");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_in_order_and_once() {
        for pair in ROWS.windows(2) {
            assert!(pair[0].rpc < pair[1].rpc, "{} before {}", pair[0].rpc, pair[1].rpc);
        }
    }

    #[test]
    fn a_path_finds_its_row_and_no_other() {
        let row = row_of("/sward.v1.RecordsService/AmendRecord").expect("a row");
        assert_eq!((row.least, row.span), (Role::Manager, Span::Call));
        for wrong in [
            "sward.v1.RecordsService/AmendRecord",
            "/sward.v1.RecordsService/amendrecord",
            "/sward.v1.RecordsService/AmendRecord/",
            "//sward.v1.RecordsService/AmendRecord",
            "/",
            "",
        ] {
            assert!(row_of(wrong).is_none(), "{wrong}");
        }
    }

    #[test]
    fn each_role_may_do_what_those_before_it_may() {
        assert!(Anyone < Reader && Reader < Mechanic && Mechanic < Manager);
        assert_eq!(Role::named("mechanic"), Some(Mechanic));
        assert_eq!(Role::named("anyone"), None);
    }
}
