//! What can be typed for the commands that make documents.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::args::JudgeArgs;

/// What every page and sheet is given beside the plan.
#[derive(Debug, Args)]
pub struct SheetArgs {
    /// Date printed on every sheet (plan: `date`); never the clock, so that equal input gives equal bytes
    #[arg(long, value_name = "DATE")]
    pub date: Option<String>,
    /// Units of printed lengths
    #[arg(long, value_enum, default_value_t = UnitsArg::Metric)]
    pub units: UnitsArg,
}

/// Units of printed lengths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitsArg {
    /// Kilometers and meters.
    Metric,
    /// Kilofeet and feet.
    Us,
}

/// `spanwright report`
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// The plan (YAML)
    pub plan: PathBuf,
    /// The page to write (HTML); without it, the page goes to standard output
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// What the page is given beside the plan.
    #[command(flatten)]
    pub sheet: SheetArgs,
    /// What the judgement is given beside the plan.
    #[command(flatten)]
    pub judge: JudgeArgs,
}
