//! A list of what is at hand: optics and fixed attenuators.
//!
//! A CSV file with the column `item`: an optic by any name that the tables know, or a pad as a loss
//! (`5 dB`). Beside it may stand `count` (0 = out of stock) and, for pads, `tolerance`. Other columns
//! are for people. Every fault of the file is reported in one run.

use std::path::Path;

use super::sources::Sources;
use crate::check::plan_rules::{bad_count, bad_quantity, missing_column, unknown_row, wrong_type};
use crate::check::{Finding, nearest};
use crate::fit::pad::Stocked;
use crate::place::{FileId, Origin};
use crate::tables::{Named, Optic, Role, Tables};
use crate::units::{Decibels, Quantity, UnitError};

/// Tolerance of a pad that states none: the greater of half a decibel and a tenth (common practice).
fn usual_tolerance(value: Decibels) -> Decibels {
    (value * 0.1).max(Decibels::new(0.5))
}

/// What is at hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stock {
    /// Names of optics, as the tables have them.
    pub optics: Vec<String>,
    /// Pads.
    pub pads: Vec<Stocked>,
}

/// Where the columns stand.
struct Columns {
    item: usize,
    tolerance: Option<usize>,
    count: Option<usize>,
}

/// Reads a stock list.
pub fn load(path: &Path, tables: &Tables, sources: &mut Sources) -> (Stock, Vec<Finding>) {
    let file = match sources.open(path) {
        Ok(file) => file,
        Err(finding) => return (Stock::default(), vec![finding]),
    };
    let text = sources.text(file);
    parse(&text, file, tables)
}

fn parse(text: &str, file: FileId, tables: &Tables) -> (Stock, Vec<Finding>) {
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let mut findings = Vec::new();
    let mut stock = Stock::default();
    let columns = match reader.headers() {
        Ok(heads) => columns(heads, file),
        Err(error) => Err(unreadable(file, 1, &error)),
    };
    let columns = match columns {
        Ok(columns) => columns,
        Err(finding) => return (stock, vec![finding]),
    };
    for record in reader.records() {
        match record {
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line) as u32;
                let row = Row { record: &record, origin: Origin::line(file, line), tables };
                row.read(&columns, &mut stock, &mut findings);
            }
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line) as u32;
                findings.push(unreadable(file, line, &error));
            }
        }
    }
    (stock, findings)
}

fn unreadable(file: FileId, line: u32, error: &csv::Error) -> Finding {
    wrong_type::RULE.hit(Origin::line(file, line), "", format!("this line is no CSV: {error}"))
}

fn columns(heads: &csv::StringRecord, file: FileId) -> Result<Columns, Finding> {
    let find = |name: &str| heads.iter().position(|head| head.eq_ignore_ascii_case(name));
    let (tolerance, count) = (find("tolerance"), find("count"));
    match find("item") {
        Some(item) => Ok(Columns { item, tolerance, count }),
        None => {
            let message = "the stock list has no column `item`";
            let finding = missing_column::RULE.hit(Origin::line(file, 1), "item", message);
            let near = nearest("item", heads.iter());
            Err(finding.hint(near.map_or_else(
                || "the first line names the columns: `item,count`".to_string(),
                |near| format!("is it the one called `{near}`?"),
            )))
        }
    }
}

/// One line of the list.
struct Row<'r> {
    record: &'r csv::StringRecord,
    origin: Origin,
    tables: &'r Tables,
}

impl Row<'_> {
    fn cell(&self, column: Option<usize>) -> Option<&str> {
        self.record.get(column?).filter(|cell| !cell.is_empty())
    }

    fn read(&self, columns: &Columns, stock: &mut Stock, findings: &mut Vec<Finding>) {
        let Some(item) = self.cell(Some(columns.item)) else { return };
        let count = self.cell(columns.count).map(str::parse::<u32>);
        match count {
            Some(Ok(0)) => return,
            Some(Err(_)) => {
                let written = self.cell(columns.count).unwrap_or_default();
                let message = format!("`count` of `{item}` is `{written}`; expected a whole number");
                findings.push(bad_count::RULE.hit(self.origin, item, message));
            }
            _ => {}
        }
        match Decibels::parse(item) {
            Ok(value) => self.pad(item, value, columns, stock, findings),
            Err(UnitError::NotANumber { .. } | UnitError::WrongUnit { .. }) => {
                self.optic(item, stock, findings);
            }
            Err(error) => {
                let message = format!("`item`: {error}");
                findings.push(bad_quantity::RULE.hit(self.origin, item, message));
            }
        }
    }

    fn pad(
        &self,
        item: &str,
        value: Decibels,
        columns: &Columns,
        stock: &mut Stock,
        findings: &mut Vec<Finding>,
    ) {
        let tolerance = match self.cell(columns.tolerance).map(Decibels::parse) {
            None => usual_tolerance(value),
            Some(Ok(tolerance)) => tolerance,
            Some(Err(error)) => {
                let message = format!("`tolerance` of `{item}`: {error}");
                findings.push(bad_quantity::RULE.hit(self.origin, item, message));
                return;
            }
        };
        stock.pads.push(Stocked { name: item.to_string(), value, tolerance });
    }

    fn optic(&self, item: &str, stock: &mut Stock, findings: &mut Vec<Finding>) {
        if let Some(optic) = Optic::find(self.tables, item, Role::Olt) {
            if !stock.optics.contains(&optic.name) {
                stock.optics.push(optic.name);
            }
            return;
        }
        let finding =
            unknown_row::RULE.hit(self.origin, item, format!("no table knows the item `{item}`"));
        let hint = match self.tables.interface_named(item) {
            Named::Several(names) => format!("it may be {}", names.join(" or ")),
            Named::Unknown { nearest } if !nearest.is_empty() => {
                format!("did you mean `{}`?", nearest.join("` or `"))
            }
            _ => "an item is an optic of the tables, or a pad such as `5 dB`".to_string(),
        };
        findings.push(finding.hint(hint));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Stock, Vec<Finding>) {
        parse(text, FileId(0), &crate::read::tables::built_in())
    }

    #[test]
    fn optics_and_pads_are_told_apart_and_the_sold_out_left_out() {
        let text =
            "item,count,tolerance\n10GBASE-LR,4,\n5 dB,2,\n10 dB,1,0.3 dB\n10GBASE-ER,0,\n7 dB,0,\n";
        let (stock, findings) = read(text);
        assert!(findings.is_empty(), "{findings:?}");
        assert_eq!(stock.optics, ["10GBASE-LR"]);
        let pads: Vec<_> =
            stock.pads.iter().map(|pad| (pad.value.value(), pad.tolerance.value())).collect();
        assert_eq!(pads, [(5.0, 0.5), (10.0, 0.3)]);
    }

    #[test]
    fn every_fault_of_a_list_is_told_with_its_line() {
        let (_, findings) = read("item,count\n10GBASE-LX9,1\n5 dBm,1\n3 dB,many\n");
        let lines: Vec<u32> = findings.iter().map(|finding| finding.origin.line).collect();
        assert_eq!(lines, [2, 3, 4]);
        let (_, findings) = read("items\n10GBASE-LR\n");
        assert_eq!(findings[0].rule.id, "plan.missing-column");
        assert!(findings[0].hint.contains("items"));
    }
}
