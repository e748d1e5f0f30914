//! Findings that somebody answers for until a day: a CSV file with the heads `id,until,reason,owner`.

use std::path::Path;

use super::Trouble;
use crate::check::Finding;
use crate::check::plan_rules::{missing_column, syntax, table_bad_cell};
use crate::check::policy::Accepted;
use crate::inventory::date;
use crate::place::Origin;
use crate::read::sources::Sources;

const HEADS: [&str; 4] = ["id", "until", "reason", "owner"];

/// Reads accepted findings.
///
/// # Errors
/// Every fault of the file: each row must have an id, a day, a reason and an owner.
pub fn read_accepted(path: &Path, sources: &mut Sources) -> Result<Vec<Accepted>, Trouble> {
    let file = sources.open(path)?;
    let text = sources.text(file);
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .delimiter(delimiter(&text))
        .from_reader(text.as_bytes());
    let at = |line: u64| Origin::line(file, line as u32);
    let broken = |error: &csv::Error| {
        let line = error.position().map_or(1, csv::Position::line);
        syntax::RULE.hit(at(line), "", words(error))
    };
    let heads = reader.headers().map_err(|error| Trouble::from(broken(&error)))?.clone();
    let mut findings: Vec<Finding> = Vec::new();
    let columns = HEADS.map(|head| {
        let found = heads.iter().position(|known| known.eq_ignore_ascii_case(head));
        if found.is_none() {
            let message = format!("no column `{head}`; expected {}", HEADS.join(", "));
            findings.push(missing_column::RULE.hit(at(1), head, message));
        }
        found
    });
    let mut accepted = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                findings.push(broken(&error));
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |n: usize| columns[n].and_then(|at| record.get(at)).unwrap_or_default().to_string();
        let [id, until, reason, owner] = [cell(0), cell(1), cell(2), cell(3)];
        let empty = [&id, &reason, &owner].iter().any(|cell| cell.is_empty());
        match date::read(&until) {
            date::Day::At(until) if !empty => accepted.push(Accepted { id, until, reason, owner }),
            date::Day::At(_) => {
                let message = "an accepted finding needs an id, a reason and an owner";
                findings.push(table_bad_cell::RULE.hit(at(line), id, message));
            }
            _ => {
                let message = format!("`{until}` is no day; expected year-month-day");
                findings.push(table_bad_cell::RULE.hit(at(line), id, message));
            }
        }
    }
    if findings.is_empty() { Ok(accepted) } else { Err(Trouble::Input(findings)) }
}

/// What parts the cells, by the line of heads.
fn delimiter(text: &str) -> u8 {
    let heads = text.lines().next().unwrap_or_default();
    [b',', b';', b'\t'].into_iter().find(|mark| heads.as_bytes().contains(mark)).unwrap_or(b',')
}

/// A fault of a row in words.
fn words(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!(
                "{len} cells under {expected_len} heads; put a cell that holds a comma into quotation marks"
            )
        }
        _ => "the row cannot be read".to_string(),
    }
}
