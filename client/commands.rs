//! What may be typed? One table of commands and options for parsing, help, completions and manual.

use std::ffi::OsString;
use std::io::Write as _;
use std::path::PathBuf;

use clap::{Args, CommandFactory, Parser, Subcommand, ValueEnum};

use crate::add::AddArguments;
use crate::amend::AmendArguments;
use crate::call::Failure;
use crate::chat::ChatArguments;
use crate::compute::ComputeArguments;
use crate::demo::DemoArguments;
use crate::find::FindArguments;
use crate::fleet::{DueArguments, PlanArguments, ReportArguments, SheetArguments};
use crate::interpret::InterpretArguments;
use crate::record::RecordArguments;
use crate::records::{LearnArguments, LogArguments};
use crate::tables::{CopyArguments, ExportArguments, ImportArguments};
use crate::teach::TeachArguments;

const EXAMPLES: &str = "\
Examples:
  sward diagnose \"thin uncut line down the fairway, same place every pass, unit 3 only\"
  sward diagnose --ask \"the deck shakes since we hit a root\"
  sward guide procedure set_reel_to_bedknife
  sward find \"streaks after topdressing\" --since 2026-03-01 --until 2026-06-01

Exit codes:
  0 answered   1 failed   2 wrong usage   65 input refused   66 not found   69 no server
  70 fault of the program   74 reading or writing failed   75 busy, try again   77 not allowed";

/// Keep turf mowing equipment cutting cleanly.
#[derive(Parser)]
#[command(name = "sward", version, after_help = EXAMPLES, max_term_width = 100)]
pub struct Arguments {
    #[command(flatten)]
    pub globals: Globals,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Args)]
pub struct Globals {
    /// Speak to this server, for example https://shop:7391 or unix:/path/to/swardd.sock
    #[arg(long, global = true, env = "SWARD_SERVER")]
    pub server: Option<String>,
    /// Token for the server; better as SWARD_TOKEN, since other programs can see what is typed
    #[arg(long, global = true, env = "SWARD_TOKEN", hide_env_values = true)]
    pub token: Option<String>,
    /// Certificate of the authority that the server is known by
    #[arg(long, global = true, value_name = "FILE", env = "SWARD_CA")]
    pub ca: Option<PathBuf>,
    /// Certificate of this client, for a server that asks for one
    #[arg(long, global = true, value_name = "FILE", requires = "client_key")]
    pub client_cert: Option<PathBuf>,
    /// Key of the client's certificate
    #[arg(long, global = true, value_name = "FILE", requires = "client_cert")]
    pub client_key: Option<PathBuf>,
    /// Directory of records and index
    #[arg(long, global = true, env = "SWARD_DATA")]
    pub data: Option<PathBuf>,
    /// Use an edited copy of the knowledge files (without a server)
    #[arg(long, global = true)]
    pub knowledge: Option<PathBuf>,
    /// Show lengths in this unit
    #[arg(long, global = true, env = "SWARD_UNITS", default_value = "mm")]
    pub units: Units,
    /// Speak British or American
    #[arg(long, global = true, env = "SWARD_WORDS", default_value = "british")]
    pub words: Words,
    /// Whose seasons "last spring" means: those of the northern or the southern half of the earth
    #[arg(long, global = true, env = "SWARD_SEASONS", default_value = "northern")]
    pub seasons: Seasons,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    Mm,
    In,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Words {
    British,
    American,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Seasons {
    Northern,
    Southern,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Output {
    #[default]
    Text,
    Json,
}

#[derive(Subcommand)]
pub enum Command {
    /// Say what is wrong with the cut; get likely causes and the next best step
    Diagnose(DiagnoseArguments),
    /// Work out a setting, with its working: clip, heights, turns, grinding, speeds, life of parts
    Compute(ComputeArguments),
    /// Show what words would do, without doing it: a complaint, a sum, work to record, a question
    Interpret(InterpretArguments),
    /// Search notes, procedures and records
    Find(FindArguments),
    /// Show what is due on each unit, soonest first, and why
    Due(DueArguments),
    /// Report how the fleet, a unit or a season stands: what comes back, what held, time and cost
    Report(ReportArguments),
    /// Print the setting card of a unit, to pin above the bench
    Sheet(SheetArguments),
    /// Plan the heights of an area: steps, bench heights, ground speed
    Plan(PlanArguments),
    /// Add a machine, a unit of one, or an area of turf
    Add(AddArguments),
    /// Record what was done, read or found
    Record(RecordArguments),
    /// Put a record right, or withdraw it; its history stays
    Amend(AmendArguments),
    /// Show what was done to a unit, machine or area
    Log(LogArguments),
    /// Show what confirmed fixes taught
    Learn(LearnArguments),
    /// Read records in from a table; nothing is doubled
    Import(ImportArguments),
    /// Write records as a table
    Export(ExportArguments),
    /// Copy everything recorded into a file
    Backup(CopyArguments),
    /// Put a copy in the place of everything recorded
    Restore(CopyArguments),
    /// Fill an empty shop with an invented one, to try things out
    Demo(DemoArguments),
    /// Read the knowledge: procedures, findings, causes, cautions, references
    Guide(GuideArguments),
    /// Talk: say what is wrong or was done, be walked through a job
    Chat(ChatArguments),
    /// Print a procedure as a training sheet, with the why of each step
    Teach(TeachArguments),
    /// Show what answers, and with which knowledge
    Status(StatusArguments),
    /// Work on the knowledge files
    Knowledge(KnowledgeArguments),
    /// Print completions for a shell
    Completions { shell: clap_complete::Shell },
    /// Print the manual page
    Manual,
}

#[derive(Args)]
pub struct DiagnoseArguments {
    /// The complaint, in plain words; "-" reads it from standard input
    #[arg(id = "complaint", value_name = "WORDS")]
    pub complaint: Vec<OsString>,
    /// Kind of equipment: reel_unit, groomer, rear_roller_brush, verticut_reel, rotary_deck
    #[arg(long, value_name = "KIND")]
    pub equipment: Option<String>,
    /// A finding known to be so; can be repeated
    #[arg(long, value_name = "ID")]
    pub found: Vec<String>,
    /// A finding known not to be so; can be repeated
    #[arg(long, value_name = "ID")]
    pub not_found: Vec<String>,
    /// The cutting unit complained about; its history is read
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    /// The most causes to show
    #[arg(long, value_name = "N", default_value_t = 0, allow_negative_numbers = true)]
    pub causes: i32,
    /// Ask the suggested checks one at a time until a repair is due
    #[arg(long)]
    pub ask: bool,
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub output: Output,
}

#[derive(Args)]
pub struct GuideArguments {
    #[command(subcommand)]
    pub topic: Topic,
    /// Only this kind of equipment
    #[arg(long, global = true, value_name = "KIND")]
    pub equipment: Option<String>,
    /// How to answer
    #[arg(long, global = true, value_enum, default_value_t)]
    pub output: Output,
}

#[derive(Subcommand)]
pub enum Topic {
    /// List procedures
    Procedures,
    /// Show one procedure with its steps and cautions
    Procedure { id: String },
    /// Show one troubleshooting note; sward find --kind notes finds them
    Note { id: String },
    /// List findings with the questions that settle them
    Findings,
    /// List causes with their remedies
    Causes,
    /// List cautions
    Cautions,
    /// Show where a fact comes from
    Reference { id: String },
}

#[derive(Args)]
pub struct StatusArguments {
    /// How to answer
    #[arg(long, value_enum, default_value_t)]
    pub output: Output,
}

#[derive(Args)]
pub struct KnowledgeArguments {
    #[command(subcommand)]
    pub work: KnowledgeWork,
}

#[derive(Subcommand)]
pub enum KnowledgeWork {
    /// Check knowledge files: names file, line, what is wrong and how to mend it
    Check {
        /// Directory of knowledge files; the built-in ones when left out
        directory: Option<PathBuf>,
    },
    /// Write the built-in knowledge files into a new directory, to edit them
    Copy {
        /// A directory that does not exist yet
        directory: PathBuf,
    },
}

pub fn completions(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "sward", &mut text);
    Ok(std::io::stdout().write_all(&text)?)
}

pub fn manual() -> Result<(), Failure> {
    Ok(clap_mangen::Man::new(Arguments::command()).render(&mut std::io::stdout())?)
}
