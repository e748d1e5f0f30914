//! What can be typed for the commands that make documents.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::args::JudgeArgs;
use crate::units::{Kilometers, Percent};

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

/// `spanwright map`
#[derive(Debug, Args)]
pub struct MapArgs {
    /// The plan (YAML)
    pub plan: PathBuf,
    /// The map to write (GeoJSON); without it, the map goes to standard output
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// What the map is given beside the plan.
    #[command(flatten)]
    pub sheet: SheetArgs,
    /// What the judgement is given beside the plan.
    #[command(flatten)]
    pub judge: JudgeArgs,
}

/// `spanwright schedule`
#[derive(Debug, Args)]
pub struct ScheduleArgs {
    /// The plan (YAML)
    pub plan: PathBuf,
    /// A workbook to write (its name ends with .xlsx), or a folder for workbook, CSV files and cards
    #[arg(short, long, value_name = "FOLDER|FILE.xlsx")]
    pub out: PathBuf,
    /// How cables group and color their fibers: a row of the table `cable-templates`
    #[arg(long, default_value = "TIA-598-12", value_name = "TEMPLATE")]
    pub cable_template: String,
    /// The template of one cable; may be repeated, e.g. --cable f-101=TIA-598-6
    #[arg(long, value_name = "CABLE=TEMPLATE", value_parser = named)]
    pub cable: Vec<(String, String)>,
    /// Cable on one reel, for the bill of materials
    #[arg(long, default_value = "4 km", value_parser = super::args::quantity::<Kilometers>, value_name = "LENGTH")]
    pub reel: Kilometers,
    /// Cable ordered beyond the net length, for the bill of materials
    #[arg(long, default_value = "3 %", value_parser = super::args::quantity::<Percent>, value_name = "PERCENT")]
    pub waste: Percent,
    /// What the sheets are given beside the plan.
    #[command(flatten)]
    pub sheet: SheetArgs,
    /// What the judgement is given beside the plan.
    #[command(flatten)]
    pub judge: JudgeArgs,
}

/// `NAME=VALUE`, split at the last equals sign: a cable's name may hold one.
fn named(text: &str) -> Result<(String, String), String> {
    let (name, value) = text.rsplit_once('=').ok_or("write CABLE=TEMPLATE")?;
    Ok((name.trim().to_string(), value.trim().to_string()))
}

/// The faces of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DiffFormat {
    /// For people.
    Table,
    /// For programs: a versioned shape.
    Json,
    /// For change requests.
    Markdown,
}

/// `spanwright diff`
#[derive(Debug, Args)]
pub struct DiffArgs {
    /// The plan as it was
    pub old: PathBuf,
    /// The plan as it is
    pub new: PathBuf,
    /// Form of the result
    #[arg(long, value_enum, default_value_t = DiffFormat::Table)]
    pub format: DiffFormat,
    /// Write to a file instead of the terminal (whole or not at all)
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// What both judgements are given beside the plans.
    #[command(flatten)]
    pub judge: JudgeArgs,
}
