//! `spanwright rules`: the rules, or one of them explained.

use std::process::ExitCode;

use super::args::{Common, Format, RulesArgs};
use super::exit::{self, Failure};
use super::output;
use crate::check::registry::{ALL, find};
use crate::check::{Rule, nearest};
use crate::report::rules::{RuleRow, explain, list};

pub(super) fn run(args: &RulesArgs, common: &Common) -> Result<ExitCode, Failure> {
    let chosen: Vec<&'static Rule> = match &args.id {
        None => ALL.to_vec(),
        Some(id) => vec![find(id).ok_or_else(|| unknown(id))?],
    };
    let paint = output::paint(common, args.output.out.is_some());
    let rows = || chosen.iter().map(|rule| RuleRow::of(rule));
    output::write(&args.output, |mut out| match args.output.format {
        Format::Table if args.id.is_some() => {
            chosen.iter().try_for_each(|rule| write!(out, "{}", explain(rule, paint)))
        }
        Format::Table => write!(out, "{}", list(&chosen, paint)),
        Format::Json => {
            let rules: Vec<RuleRow> = rows().collect();
            let value = serde_json::json!({ "shape": "spanwright.rules", "version": 1, "rules": rules });
            serde_json::to_writer_pretty(&mut out, &value)?;
            writeln!(out)
        }
        Format::Csv => {
            let mut csv = csv::Writer::from_writer(out);
            rows().try_for_each(|row| csv.serialize(row))?;
            csv.flush()
        }
    })?;
    Ok(exit::CLEAN)
}

fn unknown(id: &str) -> Failure {
    let meant = nearest(id, ALL.iter().map(|rule| rule.id));
    let meant = meant.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
    Failure::Refused(format!("error: there is no rule `{id}`{meant}\n"))
}
