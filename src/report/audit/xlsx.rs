//! Findings and summary as a workbook: typed cells, names as text, filters, heads that stay.

use std::io::{self, Write};

use rust_xlsxwriter::{Color, DocProperties, ExcelDateTime, Format, Worksheet, XlsxError};

use super::csv::status;
use super::{List, Listed, Summary, safe};
use crate::report::cautions;

/// Rows of a sheet, the head not counted.
const MOST_ROWS: u32 = 1_048_575;
/// Characters of a cell.
const MOST_CHARS: usize = 32_000;

const HEADS: [(&str, f64); 12] = [
    ("id", 18.0),
    ("severity", 9.0),
    ("rule", 34.0),
    ("site", 10.0),
    ("port", 20.0),
    ("other port", 20.0),
    ("message", 70.0),
    ("to do", 50.0),
    ("file", 24.0),
    ("line", 9.0),
    ("status", 9.0),
    ("accepted", 24.0),
];

/// A list of findings as a workbook.
pub struct Workbook<W: Write> {
    out: W,
    sheet: Worksheet,
    next: u32,
    left_out: u64,
}

fn failed(error: XlsxError) -> io::Error {
    match error {
        XlsxError::IoError(error) => error,
        other => io::Error::other(other.to_string()),
    }
}

fn head() -> Format {
    Format::new().set_bold().set_background_color(Color::RGB(0x00E6_E6E6)).set_text_wrap()
}

/// A sheet with heads that stay in sight.
fn sheet(name: &str, heads: &[(&str, f64)]) -> Result<Worksheet, XlsxError> {
    let mut sheet = Worksheet::new();
    sheet.set_name(name)?;
    sheet.set_freeze_panes(1, 0)?;
    for (column, (text, width)) in heads.iter().enumerate() {
        sheet.write_string_with_format(0, column as u16, *text, &head())?;
        sheet.set_column_width(column as u16, *width)?;
    }
    Ok(sheet)
}

fn put(sheet: &mut Worksheet, row: u32, column: u16, text: &str) -> Result<(), XlsxError> {
    if text.is_empty() {
        return Ok(());
    }
    let cut: String = text.chars().take(MOST_CHARS).collect();
    sheet.write_string(row, column, safe::text(&cut)).map(|_| ())
}

impl<W: Write> Workbook<W> {
    /// Begins the sheet of findings.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn new(out: W) -> io::Result<Self> {
        let sheet = sheet("findings", &HEADS).map_err(failed)?;
        Ok(Self { out, sheet, next: 1, left_out: 0 })
    }

    fn row(&mut self, listed: &Listed) -> Result<(), XlsxError> {
        let finding = &listed.finding;
        for (column, text) in listed.texts().iter().enumerate() {
            put(&mut self.sheet, self.next, column as u16, text)?;
        }
        if finding.line > 0 {
            self.sheet.write_number(self.next, 9, finding.line as f64)?;
        }
        put(&mut self.sheet, self.next, 10, status(listed))?;
        put(&mut self.sheet, self.next, 11, listed.acceptance())?;
        self.next += 1;
        Ok(())
    }

    fn book(&mut self, summary: &Summary) -> Result<rust_xlsxwriter::Workbook, XlsxError> {
        let mut book = rust_xlsxwriter::Workbook::new();
        // A fixed time of making, so that equal findings give equal bytes.
        let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
        book.set_properties(&DocProperties::new().set_creation_datetime(&made));
        let mut findings = std::mem::replace(&mut self.sheet, Worksheet::new());
        if self.next > 1 {
            findings.autofilter(0, 0, self.next - 1, HEADS.len() as u16 - 1)?;
        }
        book.push_worksheet(about(summary, self.left_out)?);
        book.push_worksheet(findings);
        book.push_worksheet(by_rule(summary)?);
        book.push_worksheet(edits(summary)?);
        book.push_worksheet(turns(summary)?);
        book.push_worksheet(not_checked(summary)?);
        Ok(book)
    }
}

fn about(summary: &Summary, left_out: u64) -> Result<Worksheet, XlsxError> {
    let mut sheet = sheet("about", &[("what", 40.0), ("value", 90.0)])?;
    let [errors, warnings, notes] = summary.tally.by_severity();
    let numbers = [
        ("rows", summary.rows),
        ("lines left out", summary.skipped),
        ("rows that name a far end", summary.matched.naming),
        ("of these, far ends that name them back", summary.matched.mutual),
        ("errors", errors),
        ("warnings", warnings),
        ("notes", notes),
        ("accepted findings", summary.tally.accepted),
        ("changes of far ends that would make all claims agree", summary.edit_count),
        ("findings that the sheet has no room for", left_out),
    ];
    let mut row = 1;
    for (what, value) in numbers {
        put(&mut sheet, row, 0, what)?;
        sheet.write_number(row, 1, value as f64)?;
        row += 1;
    }
    let files = summary.files.iter().map(|(name, dress)| {
        ("file", if dress.is_empty() { name.clone() } else { format!("{name} ({dress})") })
    });
    let version = format!("Spanwright {}", env!("CARGO_PKG_VERSION"));
    let texts = files.chain([
        ("day of judgement", summary.date.clone()),
        ("made with", version),
        ("caution", cautions::LIGHT.to_string()),
        ("caution", cautions::SHELF.to_string()),
    ]);
    for (what, value) in texts {
        put(&mut sheet, row, 0, what)?;
        put(&mut sheet, row, 1, &value)?;
        row += 1;
    }
    Ok(sheet)
}

fn by_rule(summary: &Summary) -> Result<Worksheet, XlsxError> {
    let heads =
        [("severity", 10.0), ("rule", 36.0), ("findings", 10.0), ("finds", 70.0), ("to do", 70.0)];
    let mut sheet = sheet("by rule", &heads)?;
    for (n, count) in summary.tally.by_rule().iter().enumerate() {
        let row = n as u32 + 1;
        put(&mut sheet, row, 0, count.severity.word())?;
        put(&mut sheet, row, 1, count.rule.id)?;
        sheet.write_number(row, 2, count.count as f64)?;
        put(&mut sheet, row, 3, count.rule.what)?;
        put(&mut sheet, row, 4, count.rule.remedy)?;
    }
    Ok(sheet)
}

fn edits(summary: &Summary) -> Result<Worksheet, XlsxError> {
    let heads = [
        ("port", 24.0),
        ("far end now", 24.0),
        ("far end suggested", 24.0),
        ("file", 24.0),
        ("line", 9.0),
    ];
    let mut sheet = sheet("edits", &heads)?;
    for (n, edit) in summary.edits.iter().take(MOST_ROWS as usize).enumerate() {
        let row = n as u32 + 1;
        put(&mut sheet, row, 0, &edit.subject)?;
        put(&mut sheet, row, 1, &edit.from)?;
        put(&mut sheet, row, 2, &edit.to)?;
        put(&mut sheet, row, 3, &edit.file)?;
        sheet.write_number(row, 4, edit.line as f64)?;
    }
    Ok(sheet)
}

fn turns(summary: &Summary) -> Result<Worksheet, XlsxError> {
    let heads = [
        ("column", 18.0),
        ("read as something else", 50.0),
        ("cells", 12.0),
        ("first of them", 30.0),
        ("file", 24.0),
        ("line", 9.0),
    ];
    let mut sheet = sheet("reinterpreted", &heads)?;
    for (n, turn) in summary.turns.iter().enumerate() {
        let row = n as u32 + 1;
        put(&mut sheet, row, 0, turn.column)?;
        put(&mut sheet, row, 1, turn.how)?;
        sheet.write_number(row, 2, turn.cells as f64)?;
        put(&mut sheet, row, 3, &turn.example)?;
        put(&mut sheet, row, 4, &turn.file)?;
        sheet.write_number(row, 5, turn.line as f64)?;
    }
    Ok(sheet)
}

fn not_checked(summary: &Summary) -> Result<Worksheet, XlsxError> {
    let mut sheet = sheet("not checked", &[("rule", 36.0), ("missing", 60.0), ("rows", 12.0)])?;
    for (n, entry) in summary.not_checked.iter().enumerate() {
        let row = n as u32 + 1;
        put(&mut sheet, row, 0, entry.rule)?;
        put(&mut sheet, row, 1, &entry.missing)?;
        sheet.write_number(row, 2, entry.rows as f64)?;
    }
    Ok(sheet)
}

impl<W: Write> List for Workbook<W> {
    fn add(&mut self, listed: &Listed) -> io::Result<()> {
        if self.next > MOST_ROWS {
            self.left_out += 1;
            return Ok(());
        }
        self.row(listed).map_err(failed)
    }

    fn finish(mut self: Box<Self>, summary: &Summary) -> io::Result<()> {
        let mut book = self.book(summary).map_err(failed)?;
        let bytes = book.save_to_buffer().map_err(failed)?;
        self.out.write_all(&bytes)?;
        self.out.flush()
    }
}
