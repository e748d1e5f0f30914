//! What can be typed after `spanwright audit`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

/// `spanwright audit`
#[derive(Debug, Args)]
pub struct AuditArgs {
    /// Inventories: CSV in any dress, .xlsx, gzip; `-` for standard input
    #[arg(required = true, value_name = "PORTS")]
    pub ports: Vec<PathBuf>,
    /// Map of columns (YAML): heads, units, names of sites, what is filled down
    #[arg(long, value_name = "MAP.yaml")]
    pub columns: Option<PathBuf>,
    /// Show how the heads are understood, and do nothing else
    #[arg(long)]
    pub explain_columns: bool,
    /// Hold the rows against a plan, too
    #[arg(long, value_name = "PLAN.yaml")]
    pub plan: Option<PathBuf>,
    /// Run only these rules: ids, or beginnings of ids
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    pub select: Vec<String>,
    /// Leave these rules out: ids, or beginnings of ids
    #[arg(long, value_name = "RULE", value_delimiter = ',')]
    pub ignore: Vec<String>,
    /// Severities and limits (YAML)
    #[arg(long, value_name = "FILE.yaml")]
    pub config: Option<PathBuf>,
    /// Findings that somebody answers for until a day: id,until,reason,owner
    #[arg(long, value_name = "FILE.csv", requires = "date")]
    pub accepted: Option<PathBuf>,
    /// The day of judgement, e.g. 2026-03-01; without it nothing is judged by age
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub date: Option<i64>,
    /// JSON or JSON Lines of an earlier run: say what is new and what has gone
    #[arg(long, value_name = "FILE")]
    pub since: Option<PathBuf>,
    /// Write the findings to a file: .csv, .xlsx, .jsonl, .json or .sarif; may be repeated
    #[arg(long, value_name = "FILE")]
    pub out: Vec<PathBuf>,
    /// Write every cell that was read as something else than it says, as CSV
    #[arg(long, value_name = "FILE.csv")]
    pub reinterpreted: Option<PathBuf>,
    /// What goes to the terminal: the summary, or the findings
    #[arg(long, value_enum, default_value_t = AuditFormat::Table)]
    pub format: AuditFormat,
    /// Folder of own reference tables, laid over the built-in ones row by row; may be repeated
    #[arg(long, value_name = "DIR")]
    pub tables: Vec<PathBuf>,
}

/// The faces of an audit on the terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum AuditFormat {
    /// The summary for people.
    Table,
    /// Findings and summary, one document.
    Json,
    /// Findings, one object a line.
    Jsonl,
    /// Findings, one row each.
    Csv,
    /// Findings for tools that show results of checkers (SARIF 2.1.0).
    Sarif,
}

fn day(text: &str) -> Result<i64, String> {
    match crate::inventory::date::read(text) {
        crate::inventory::date::Day::At(days) => Ok(days),
        _ => Err("expected a day as year-month-day, e.g. 2026-03-01".to_string()),
    }
}
