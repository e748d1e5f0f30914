//! The workbook: one sheet a tab, heads that stay, filters, identifiers as text.

use std::io::{self, Write};

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use super::ABOUT;
use super::sheet::{Cell, Column, Sheet};
use crate::report::document::{Identity, Lengths};

/// Rows of a tab at most, the head included; what is more goes on in another tab.
const MOST_ROWS: usize = 1_048_576;
/// Characters of a cell at most.
const MOST_CHARACTERS: usize = 32_000;

/// The workbook under writing. Equal sheets give equal bytes.
///
/// Rows that were added stand in temporary files, not in memory. The library that writes them knows no
/// other answer than a panic to a temporary file that takes no more.
pub struct Book<'d> {
    workbook: Workbook,
    styles: Styles,
    identity: &'d Identity,
    lengths: Lengths,
}

impl<'d> Book<'d> {
    /// A workbook with room for the first tab, `about`.
    ///
    /// # Errors
    /// No temporary file can be made.
    pub fn begin(identity: &'d Identity, lengths: Lengths) -> io::Result<Self> {
        let mut workbook = Workbook::new();
        prepare(&mut workbook, identity).map_err(io::Error::other)?;
        Ok(Self { workbook, styles: Styles::new(), identity, lengths })
    }

    /// Adds a sheet.
    ///
    /// # Errors
    /// What the format does not allow; no temporary file can be made.
    pub fn add(&mut self, sheet: &Sheet) -> io::Result<()> {
        self.tabs(sheet).map_err(io::Error::other)
    }

    fn tabs(&mut self, sheet: &Sheet) -> Result<(), XlsxError> {
        let most = MOST_ROWS - 1;
        let parts = sheet.rows.len().div_ceil(most).max(1);
        for part in 0..parts {
            let rows = sheet.rows.get(part * most..).unwrap_or_default();
            let rows = &rows[..rows.len().min(most)];
            let tab = if part == 0 && sheet.name == ABOUT {
                self.workbook.worksheet_from_index(0)?
            } else {
                self.workbook.add_worksheet_with_low_memory()?
            };
            let name =
                if part == 0 { sheet.name.to_string() } else { format!("{} {}", sheet.name, part + 1) };
            tab.set_name(name)?;
            fill(tab, sheet, rows, &self.styles)?;
            page(tab, sheet, self.identity, self.lengths)?;
        }
        Ok(())
    }

    /// Writes the workbook.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn write(mut self, out: &mut impl Write) -> io::Result<()> {
        let bytes = self.workbook.save_to_buffer().map_err(io::Error::other)?;
        out.write_all(&bytes)
    }
}

fn prepare(workbook: &mut Workbook, identity: &Identity) -> Result<(), XlsxError> {
    // The clock has no place in the file; the date of the sheets stands in their foot.
    let epoch = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let title = format!("{}, {}", identity.title, identity.revision_words());
    let properties = DocProperties::new()
        .set_title(clipped(&title, 200))
        .set_comment(format!("plan {}", identity.hash))
        .set_creation_datetime(&epoch);
    workbook.set_properties(&properties);
    workbook.add_worksheet_with_low_memory()?;
    Ok(())
}

/// The formats of cells, made once.
struct Styles {
    head: Format,
    head_by_hand: Format,
    text: Format,
    careful: Format,
    number: Vec<Format>,
    by_hand: Format,
}

impl Styles {
    fn new() -> Self {
        let cell = || Format::new().set_align(FormatAlign::Top).set_border(FormatBorder::Hair);
        let head = cell().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Medium);
        let shape = |decimals: usize| match decimals {
            0 => "0".to_string(),
            decimals => format!("0.{}", "0".repeat(decimals)),
        };
        Self {
            head_by_hand: head.clone().set_italic(),
            head,
            text: cell(),
            // Kept as text when somebody edits the cell.
            careful: cell().set_quote_prefix(),
            number: (0..=3).map(|decimals| cell().set_num_format(shape(decimals))).collect(),
            by_hand: cell(),
        }
    }
}

fn fill(
    tab: &mut Worksheet,
    sheet: &Sheet,
    rows: &[Vec<Cell>],
    styles: &Styles,
) -> Result<(), XlsxError> {
    for (column, head) in sheet.columns.iter().enumerate() {
        let style = if head.by_hand { &styles.head_by_hand } else { &styles.head };
        tab.write_string_with_format(0, column as u16, &head.head, style)?;
        tab.set_column_width(column as u16, width(head, column, rows))?;
    }
    for (index, row) in rows.iter().enumerate() {
        let at = index as u32 + 1;
        for (column, cell) in row.iter().enumerate() {
            write_cell(tab, at, column as u16, cell, styles)?;
        }
    }
    tab.set_freeze_panes(1, 1)?;
    if let Some(last) = sheet.columns.len().checked_sub(1) {
        tab.autofilter(0, 0, rows.len() as u32, last as u16)?;
    }
    Ok(())
}

fn write_cell(
    tab: &mut Worksheet,
    row: u32,
    column: u16,
    cell: &Cell,
    styles: &Styles,
) -> Result<(), XlsxError> {
    match cell {
        Cell::Empty => tab.write_blank(row, column, &styles.by_hand)?,
        Cell::Text(text) => {
            let risky = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
            let style = if risky { &styles.careful } else { &styles.text };
            tab.write_string_with_format(row, column, clipped(text, MOST_CHARACTERS), style)?
        }
        Cell::Count(count) => {
            tab.write_number_with_format(row, column, *count as f64, &styles.number[0])?
        }
        Cell::Number(value, decimals) => {
            let style = &styles.number[usize::from(*decimals).min(3)];
            tab.write_number_with_format(row, column, *value, style)?
        }
    };
    Ok(())
}

/// Width of a column by its longest cell among the first rows, in characters.
fn width(head: &Column, column: usize, rows: &[Vec<Cell>]) -> f64 {
    const LOOKED_AT: usize = 200;
    let cells = rows.iter().take(LOOKED_AT).filter_map(|row| row.get(column));
    let longest = cells.map(|cell| cell.shown().chars().count()).max().unwrap_or(0);
    let words = head.head.split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
    (longest.max(words) as f64 + 2.0).clamp(6.0, 60.0)
}

/// How the tab prints: landscape, head rows repeated, title, revision and hash on every sheet.
fn page(
    tab: &mut Worksheet,
    sheet: &Sheet,
    identity: &Identity,
    lengths: Lengths,
) -> Result<(), XlsxError> {
    const A4: u8 = 9;
    const LETTER: u8 = 1;
    tab.set_landscape();
    tab.set_paper_size(if lengths == Lengths::Us { LETTER } else { A4 });
    tab.set_print_fit_to_pages(1, 0);
    tab.set_repeat_rows(0, 0)?;
    // An ampersand starts a code in these texts.
    let plain = |text: &str, longest: usize| clipped(text, longest).replace('&', "&&");
    let title = plain(&identity.title, 80);
    tab.set_header(format!(
        "&L{title}, {}&C{}&Rsheet &P of &N",
        plain(&identity.revision_words(), 40),
        sheet.title
    ));
    tab.set_footer(format!(
        "&Lplan {}&C{}&R✓ pass  ▲ marginal  ? unknown  ◆ overload  ✖ fail",
        identity.short_hash(),
        plain(&identity.date_words(), 40)
    ));
    Ok(())
}

fn clipped(text: &str, longest: usize) -> String {
    text.chars().take(longest).collect()
}
