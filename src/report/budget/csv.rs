//! The spreadsheet's face: one row an end.

use std::io::{self, Write};

use super::Budget;
use super::rows::EndRow;

const HEADS: [&str; 26] = [
    "id",
    "from",
    "to",
    "direction",
    "transmitter",
    "receiver",
    "wavelength_nm",
    "length_km",
    "loss_least_db",
    "loss_typical_db",
    "loss_most_db",
    "loss_quantile_db",
    "budget_min_db",
    "budget_max_db",
    "margin_db",
    "headroom_db",
    "received_least_dbm",
    "received_most_dbm",
    "yield",
    "verdict",
    "why",
    "light",
    "reason",
    "deciding_kind",
    "deciding_element",
    "deciding_avoidable_db",
];

/// Writes every end as a row. Text that a spreadsheet could take for a formula is given an
/// apostrophe; numbers stay numbers.
///
/// # Errors
/// Whatever the writer says.
pub fn write(budget: &Budget<'_>, out: &mut impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(HEADS)?;
    for end in &budget.view.assessment.ends {
        csv.write_record(record(&EndRow::of(budget.view, end)))?;
    }
    csv.flush()
}

fn record(row: &EndRow<'_>) -> [String; 26] {
    let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let loss = row.loss_db;
    let deciding = row.deciding.as_ref();
    [
        as_text(row.id),
        as_text(row.from),
        as_text(row.to),
        row.direction.to_string(),
        as_text(row.transmitter),
        as_text(row.receiver),
        row.wavelength_nm.to_string(),
        row.length_km.to_string(),
        number(loss.map(|l| l.least)),
        number(loss.map(|l| l.typical)),
        number(loss.map(|l| l.most)),
        number(loss.and_then(|l| l.quantile)),
        number(row.budget_db.min),
        number(row.budget_db.max),
        number(row.margin_db),
        number(row.headroom_db),
        number(row.received_dbm[0]),
        number(row.received_dbm[1]),
        number(row.r#yield),
        row.verdict.to_string(),
        row.why.join("; "),
        row.light.to_string(),
        as_text(&row.reason),
        deciding.map_or_else(String::new, |d| d.kind.to_string()),
        deciding.map_or_else(String::new, |d| as_text(&d.element)),
        number(deciding.map(|d| d.avoidable_db)),
    ]
}

/// Text that a spreadsheet cannot take for a formula.
pub(crate) fn as_text(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_made_text() {
        assert_eq!(as_text("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        assert_eq!(as_text("@SUM"), "'@SUM");
        assert_eq!(as_text("home-1"), "home-1");
    }
}
