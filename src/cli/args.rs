//! What can be typed.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub use super::args_fit::FitArgs;
use crate::tables::Dirt;
use crate::tables::grid::Channel;
use crate::units::{Decibels, Kilometers, Nanometers, Probability, Quantity};

/// Optical link budgets and fiber plans.
#[derive(Debug, Parser)]
#[command(name = "spanwright", version, about, max_term_width = 100)]
#[command(
    after_help = "Exit codes: 0 clean or GO, 1 findings of severity error or NO-GO, 2 bad input, 3 CANNOT JUDGE."
)]
pub struct Cli {
    /// What every command takes.
    #[command(flatten)]
    pub common: Common,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What every command takes.
#[derive(Debug, Args)]
pub struct Common {
    /// When to color; `auto` colors on a terminal unless NO_COLOR is set
    #[arg(long, global = true, value_enum, default_value_t = Color::Auto)]
    pub color: Color,
    /// A plan may name files (`table:`, `tables:`) in its own folder only: for plans that others wrote
    #[arg(long, global = true)]
    pub confine: bool,
}

/// When to color.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Color {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Judge every end of a plan: loss, margin, headroom, yield, verdict
    Budget(BudgetArgs),
    /// Judge one path without a plan file
    Path(PathArgs),
    /// Say whether an optic belongs into a port: GO, NO-GO or CANNOT JUDGE
    Fit(Box<FitArgs>),
    /// Audit an inventory of ports: CSV or workbooks in, what is wrong and worth fixing out
    Audit(super::args_audit::AuditArgs),
    /// Decode the memory of a module, or look up a channel
    Optic(OpticArgs),
    /// Print reference tables with their sources
    Tables(TablesArgs),
    /// List the rules, or explain one
    Rules(RulesArgs),
    /// Print the JSON Schema of the plan format
    Schema,
    /// Write a plan to start from: a small commented one, or the skeleton of a described network
    Init(InitArgs),
    /// Make the page that is handed on: one HTML file, no network
    Report(super::args_report::ReportArgs),
    /// Compare two states of a plan: what changed, what that does, which sheets to issue anew
    Diff(super::args_report::DiffArgs),
    /// Make a map of places and spans (GeoJSON) with margins and verdicts
    Map(super::args_report::MapArgs),
    /// Make the sheets crews work from: ports, fibers, splices, cords, light, labels, materials
    Schedule(super::args_report::ScheduleArgs),
}

/// The faces of a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Table,
    /// For programs: a documented, versioned shape.
    Json,
    /// For spreadsheets.
    Csv,
}

/// Where results go and in which form.
#[derive(Debug, Args)]
pub struct OutputArgs {
    /// Form of the result
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Write to a file instead of the terminal (whole or not at all)
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What a judgement may be given beside the plan.
#[derive(Debug, Args)]
pub struct JudgeArgs {
    /// Confidence of the statistical figures, percent (plan: `confidence`; otherwise 99.9)
    #[arg(long, value_parser = quantity::<Probability>, value_name = "PERCENT")]
    pub confidence: Option<Probability>,
    /// Design reserve that a pass keeps (plan: `reserve`; otherwise 0 dB)
    #[arg(long, value_parser = quantity::<Decibels>, value_name = "DB")]
    pub reserve: Option<Decibels>,
    /// Whether the connectors at the equipment count (plan: `end-connectors`; otherwise excluded)
    #[arg(long, value_enum, value_name = "HOW")]
    pub end_connectors: Option<EndConnectorsArg>,
    /// Dirty connectors, their share and what one loses more, e.g. "3 %, 1 dB" (plan: `dirty`): in the
    /// statistics alone, the worst case stays
    #[arg(long, value_parser = Dirt::parse, value_name = "SHARE, DB")]
    pub dirty: Option<Dirt>,
    /// Judge homes that are not connected yet, and spare legs of splitters, with this optic (plan:
    /// `defaults: {assumed-optic: …}`)
    #[arg(long, value_name = "NAME")]
    pub assume_optic: Option<String>,
    /// Folder of own reference tables, laid over the built-in ones row by row; may be repeated
    #[arg(long, value_name = "DIR")]
    pub tables: Vec<PathBuf>,
    /// Leave out distributions, yields and joint yields; what closes only statistically then fails
    #[arg(long)]
    pub no_statistics: bool,
}

/// Whether the connectors at the equipment count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum EndConnectorsArg {
    /// They belong to the equipment.
    Excluded,
    /// They count as joints of the plant.
    Counted,
}

/// `spanwright budget`
#[derive(Debug, Args)]
pub struct BudgetArgs {
    /// The plan (YAML)
    pub plan: PathBuf,
    /// Show the path of one port element by element, both ways
    #[arg(long, value_name = "ID")]
    pub end: Option<String>,
    /// Show all ends, not only the worst
    #[arg(long)]
    pub all: bool,
    /// Check joint yields by drawing this many trials
    #[arg(long, value_name = "TRIALS", num_args = 0..=1, default_missing_value = "100000",
          value_parser = clap::value_parser!(u32).range(100..=100_000_000))]
    pub cross_check: Option<u32>,
    /// Seed of the cross-check
    #[arg(long, default_value_t = 1, value_name = "NUMBER")]
    pub seed: u64,
    /// What the judgement is given beside the plan.
    #[command(flatten)]
    pub judge: JudgeArgs,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// `spanwright path`
#[derive(Debug, Args)]
pub struct PathArgs {
    /// What stands on the path.
    #[command(flatten)]
    pub route: RouteArgs,
    /// Channel that the optic is set to, e.g. CWDM1551 or C31; at both ends, where nothing else is said
    #[arg(long, value_name = "CHANNEL")]
    pub channel: Option<String>,
    /// Channel that the far optic is set to
    #[arg(long, value_name = "CHANNEL")]
    pub far_channel: Option<String>,
    /// What the judgement is given beside the path.
    #[command(flatten)]
    pub judge: JudgeArgs,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// A path on the command line.
#[derive(Debug, Args)]
pub struct RouteArgs {
    /// Optic, e.g. 10GBASE-LR; at both ends, where nothing else is said of the far one. Several of one
    /// combined PON module: separated by commas, or repeat
    #[arg(long, value_name = "NAME", conflicts_with = "class", value_delimiter = ',')]
    pub optic: Vec<String>,
    /// Optic at the far end, where it is another
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub far_optic: Vec<String>,
    /// PON class, e.g. "GPON B+" or "XGS-PON N1"
    #[arg(long, value_name = "CLASS")]
    pub class: Option<String>,
    /// Fiber type
    #[arg(long, default_value = "G.652.D", value_name = "TYPE")]
    pub fiber: String,
    /// Fiber length, e.g. "8.4 km"
    #[arg(long, value_parser = quantity::<Kilometers>, value_name = "LENGTH")]
    pub length: Option<Kilometers>,
    /// Mated connector pairs on the way
    #[arg(long, default_value_t = 0, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(0..=1000))]
    pub connectors: u16,
    /// Connector grade (otherwise C; on multimode fiber TIA-0.75, or MPO with parallel optics)
    #[arg(long, value_name = "GRADE")]
    pub connector: Option<String>,
    /// Polish of the connectors (otherwise UPC)
    #[arg(long, value_name = "POLISH")]
    pub polish: Option<String>,
    /// Splices on the way
    #[arg(long, default_value_t = 0, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(0..=10_000))]
    pub splices: u16,
    /// Kind of the splices (otherwise fusion, or multimode on multimode fiber)
    #[arg(long, value_name = "KIND")]
    pub splice: Option<String>,
    /// Splitter on the way, e.g. 1x32; repeat for a cascade
    #[arg(long, value_name = "RATIO")]
    pub split: Vec<String>,
    /// Attenuator on the way, e.g. "5 dB"
    #[arg(long, value_parser = quantity::<Decibels>, value_name = "DB")]
    pub pad: Option<Decibels>,
    /// Loss of anything else on the way, counted as stated
    #[arg(long, value_parser = quantity::<Decibels>, value_name = "DB")]
    pub extra: Option<Decibels>,
}

/// `spanwright optic`
#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("asked").required(true))]
pub struct OpticArgs {
    /// Dump of a module's memory: raw bytes, plain hex, or hex with offsets
    #[arg(group = "asked")]
    pub dump: Option<PathBuf>,
    /// Find the channels nearest to a wavelength, e.g. 1550.12
    #[arg(long, group = "asked", value_parser = super::optic::read_wavelength, value_name = "NM")]
    pub wavelength: Option<Nanometers>,
    /// Show a channel, e.g. C31, H31, "193.1 THz" or CWDM1551
    #[arg(long, group = "asked", value_parser = super::optic::read_channel, value_name = "CHANNEL")]
    pub channel: Option<Channel>,
    /// Folder of own reference tables, laid over the built-in ones; may be repeated
    #[arg(long, value_name = "DIR")]
    pub tables: Vec<PathBuf>,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// `spanwright tables`
#[derive(Debug, Args)]
pub struct TablesArgs {
    /// The table; without it, the list of tables
    pub name: Option<String>,
    /// Count how many cells were read in a text, are common practice, or were recalled: per table, or
    /// per column of the table that is named
    #[arg(long)]
    pub trust: bool,
    /// Folder of own reference tables, laid over the built-in ones; may be repeated
    #[arg(long, value_name = "DIR")]
    pub tables: Vec<PathBuf>,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// `spanwright rules`
#[derive(Debug, Args)]
pub struct RulesArgs {
    /// The rule to explain; without it, the list of rules
    pub id: Option<String>,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// `spanwright init`
#[derive(Debug, Args)]
pub struct InitArgs {
    /// The file to write; it must not exist yet
    #[arg(default_value = "plan.yaml")]
    pub file: PathBuf,
    /// Begin with a described network: GeoJSON, or JSON of the Open Fibre Data Standard
    #[arg(long, value_name = "FILE")]
    pub from: Option<PathBuf>,
}

/// Reads a quantity with its unit.
pub(super) fn quantity<Q: Quantity>(text: &str) -> Result<Q, String> {
    Q::parse(text).map_err(|error| error.to_string())
}
