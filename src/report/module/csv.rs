//! The spreadsheet's face: one row a statement, a reading, a threshold or a finding.

use std::io::{self, Write};

use super::Module;
use super::facts::facts;
use crate::fit::memory::{Limit, Reading};
use crate::report::budget::as_text;
use crate::units::DecibelMilliwatts;

const HEADS: [&str; 6] = ["part", "item", "lane", "value", "unit", "remark"];

/// Writes every row. Light is in dBm, with an empty value and the remark `dark` where there is none.
/// Text that a spreadsheet could take for a formula is given an apostrophe.
///
/// # Errors
/// Whatever the writer says.
pub fn write(module: &Module<'_>, out: &mut impl Write) -> io::Result<()> {
    let mut csv = ::csv::Writer::from_writer(out);
    csv.write_record(HEADS)?;
    for (head, words) in facts(module) {
        csv.write_record(["module", head, "", &as_text(&words), "", ""])?;
    }
    if let Ok(found) = &module.memory.diagnostics {
        for (quantity, lane, reading) in found.readings() {
            let lane = lane.map_or_else(String::new, |lane| lane.to_string());
            let [value, unit, remark] = cells(reading);
            csv.write_record(["reading", quantity.word(), &lane, &value, &unit, &remark])?;
        }
        for (quantity, limits) in found.thresholds.stated() {
            for limit in Limit::ALL {
                let item = format!("{} {}", quantity.word(), limit.word());
                let [value, unit, remark] = cells(limits.get(limit));
                csv.write_record(["threshold", &item, "", &value, &unit, &remark])?;
            }
        }
    }
    for finding in module.findings {
        let row =
            ["finding", finding.rule.id, "", &as_text(&finding.message), "", finding.severity.word()];
        csv.write_record(row)?;
    }
    csv.flush()
}

/// A reading as value, unit and remark.
fn cells(reading: Reading) -> [String; 3] {
    let (value, unit) = match reading {
        Reading::Temperature(value) => (Some(value.value()), "C"),
        Reading::Voltage(value) => (Some(value.value()), "V"),
        Reading::Current(value) => (Some(value.value()), "mA"),
        Reading::Light(value) => (value.level().map(DecibelMilliwatts::value), "dBm"),
    };
    let remark = if value.is_none() { "dark" } else { "" };
    let value = value.map_or_else(String::new, |value| ((value * 1e6).round() / 1e6 + 0.0).to_string());
    [value, unit.to_string(), remark.to_string()]
}
