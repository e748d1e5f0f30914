//! One table file: its columns, its rows, and how a file of one's own is laid over the built-in.

use rustc_hash::FxHashMap;

use super::cells::{Cells, Heads, clip};
use super::sheet::{Record, Sheet};
use crate::check::plan_rules::{
    syntax, table_duplicate_row, table_missing_column, table_missing_source, table_overlapping_bands,
    table_unknown_column,
};
use crate::check::{Finding, Severity, nearest};
use crate::place::{FileId, Origin};
use crate::tables::{Row, RowId, Table, Tables};
use crate::units::Nanometers;

/// How one table is read from its CSV file.
pub(super) struct Layout<T: 'static> {
    /// The file's name without its ending.
    pub name: &'static str,
    /// The text of the built-in file.
    pub built_in: &'static str,
    /// Columns that a file must have, beside `source` and `provenance`.
    pub required: &'static [&'static str],
    /// The table's place among all tables.
    pub slot: fn(&mut Tables) -> &mut Table<T>,
    /// Reads a row; `None` when it has a fault, which is then recorded in the cells.
    pub row: fn(&mut Cells<'_>) -> Option<Entry<T>>,
    /// Pairs of rows that hold for the same wavelength and may not.
    pub clashes: fn(&Table<T>) -> Vec<[RowId; 2]>,
}

/// What a row of a table is read as.
pub(super) struct Entry<T> {
    pub key: String,
    pub aliases: Vec<String>,
    pub value: T,
}

/// For tables whose rows do not share out wavelengths.
pub(super) fn no_clashes<T>(_: &Table<T>) -> Vec<[RowId; 2]> {
    Vec::new()
}

/// Pairs of rows of one group whose bands overlap; bands that touch do not.
pub(super) fn overlaps<'t, T>(
    table: &'t Table<T>,
    group_and_band: fn(&'t T) -> (&'t str, (Nanometers, Nanometers)),
) -> Vec<[RowId; 2]> {
    let ids = (0..table.rows().len() as u32).map(RowId);
    let mut bands: Vec<_> = ids.map(|id| (id, group_and_band(&table.row(id).value))).collect();
    bands.sort_by(|(_, (a, band_a)), (_, (b, band_b))| {
        a.cmp(b).then(band_a.0.value().total_cmp(&band_b.0.value()))
    });
    let mut pairs = Vec::new();
    let mut widest: Option<(RowId, &str, Nanometers)> = None;
    for (id, (group, (from, to))) in bands {
        let before = widest.filter(|(_, name, _)| *name == group);
        if let Some((other, ..)) = before.filter(|(.., end)| from < *end) {
            pairs.push([other, id]);
        }
        if before.is_none_or(|(.., end)| end < to) {
            widest = Some((id, group, to));
        }
    }
    pairs
}

/// A [`Layout`], whatever its rows are.
pub(super) trait TableFile: Sync {
    /// The file's name without its ending.
    fn name(&self) -> &'static str;

    /// Lays the built-in rows.
    fn lay_built_in(&self, tables: &mut Tables) -> Vec<Finding>;

    /// Lays the rows of a file over what is there.
    fn lay_over(&self, tables: &mut Tables, text: &str, file: FileId) -> Vec<Finding>;
}

impl<T> TableFile for Layout<T> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn lay_built_in(&self, tables: &mut Tables) -> Vec<Finding> {
        self.lay(tables, self.built_in, FileId::BUILT_IN)
    }

    fn lay_over(&self, tables: &mut Tables, text: &str, file: FileId) -> Vec<Finding> {
        let mut findings = self.lay(tables, text, file);
        let table = (self.slot)(tables);
        for pair in (self.clashes)(table) {
            let [a, b] = pair.map(|id| table.row(id));
            let Some(own) = [b, a].into_iter().find(|row| row.origin.file == file) else {
                continue;
            };
            let message = format!("`{}` and `{}` hold for the same wavelengths", a.key, b.key);
            findings.push(table_overlapping_bands::RULE.hit(own.origin, &own.key, message));
        }
        findings
    }
}

impl<T> Layout<T> {
    /// The table without a row.
    pub fn empty(&self) -> Table<T> {
        let mut sheet = Sheet::new(self.built_in, FileId::BUILT_IN);
        let heads = sheet.next(&mut Vec::new()).unwrap_or_default();
        Table::new(self.name, heads.iter().map(|cell| cell.content.to_string()).collect())
    }

    fn lay(&self, tables: &mut Tables, text: &str, file: FileId) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut sheet = Sheet::new(text, file);
        let Some(first) = sheet.next(&mut findings) else {
            if findings.is_empty() {
                findings.push(syntax::RULE.hit(
                    Origin::whole(file),
                    self.name,
                    "the table is empty; expected a line of column names first",
                ));
            }
            return findings;
        };
        let columns = (self.slot)(tables).columns.clone();
        let Some(heads) = self.heads(&first, &sheet, &columns, &mut findings) else {
            return findings;
        };
        let mut laid = Laid::default();
        while let Some(record) = sheet.next(&mut findings) {
            if record.len() != first.len() {
                findings.push(wrong_width(&record, first.len(), &sheet));
                continue;
            }
            let row = self.row(&record, &heads, &sheet, &columns, tables, &mut findings);
            if let Some(row) = row {
                lay_row((self.slot)(tables), row, &mut laid, &mut findings);
            }
        }
        findings
    }

    /// The columns of the file; `None` when no row could be read with them.
    fn heads<'h>(
        &self,
        first: &'h Record<'_>,
        sheet: &Sheet<'_>,
        columns: &[String],
        findings: &mut Vec<Finding>,
    ) -> Option<Heads<'h>> {
        if let Some(finding) = wrong_separator(first, sheet) {
            findings.push(finding);
            return None;
        }
        let mut names: Vec<&str> = Vec::with_capacity(first.len());
        for cell in first {
            let column: &str = &cell.content;
            let known = columns.iter().any(|name| name == column);
            let used = known && !names.contains(&column);
            names.push(if used { column } else { "" });
            if used {
                continue;
            }
            let shown = clip(column);
            let near = nearest(column, columns.iter().map(String::as_str));
            let (message, hint) = match near {
                _ if known => (format!("the column `{shown}` stands twice"), String::new()),
                Some(near) => (unknown(&shown, self.name), format!("did you mean `{near}`?")),
                None => (unknown(&shown, self.name), format!("known are {}", columns.join(", "))),
            };
            let at = sheet.origin(cell);
            findings.push(table_unknown_column::RULE.hit(at, column, message).hint(hint));
        }
        let end = first.last().map_or(Origin::BUILT_IN, |cell| sheet.origin(cell));
        let heads = Heads::new(names);
        let lacking = self.lacking(&heads, end);
        let whole = lacking.is_empty();
        findings.extend(lacking);
        whole.then_some(heads)
    }

    /// The findings for columns that must be there and are not.
    fn lacking(&self, heads: &Heads<'_>, at: Origin) -> Vec<Finding> {
        let sources = ["source", "provenance"];
        let lacking = |column: &&&str| heads.find(column).is_none();
        let plain = self.required.iter().filter(lacking).map(|column| {
            let message = format!("`{}` has no column `{column}`", self.name);
            table_missing_column::RULE.hit(at, *column, message)
        });
        let source = sources.iter().filter(lacking).map(|column| {
            let message = format!("`{}` has no column `{column}`", self.name);
            table_missing_source::RULE.hit(at, *column, message)
        });
        plain.chain(source).collect()
    }

    fn row(
        &self,
        record: &Record<'_>,
        heads: &Heads<'_>,
        sheet: &Sheet<'_>,
        columns: &[String],
        tables: &Tables,
        findings: &mut Vec<Finding>,
    ) -> Option<Row<T>> {
        let mut cells = Cells::new(heads, record, sheet, tables);
        cells.check_lengths();
        let entry = (self.row)(&mut cells);
        let trust = cells.source();
        check_published_fields(&mut cells, columns);
        let written: Vec<String> = columns.iter().map(|c| cells.text(c).to_string()).collect();
        let note = cells.text("note");
        let key_origin = record.first().map_or(Origin::BUILT_IN, |cell| sheet.origin(cell));
        let built_in = key_origin.file == FileId::BUILT_IN;
        let (found, assumed) = cells.finish();
        let faultless = found.iter().all(|finding| finding.severity < Severity::Error);
        findings.extend(found);
        let (source, provenance) = trust.filter(|_| faultless)?;
        let Entry { key, aliases, value } = entry?;
        let note = with_assumed(note, &assumed);
        let origin = if built_in { Origin::BUILT_IN } else { key_origin };
        Some(Row { key, aliases, value, cells: written, source, provenance, note, origin })
    }
}

fn unknown(column: &str, table: &str) -> String {
    format!("`{column}` is not a column of `{table}`")
}

/// A file whose cells are parted by something else than a comma.
fn wrong_separator(first: &Record<'_>, sheet: &Sheet<'_>) -> Option<Finding> {
    let [cell] = first.as_slice() else { return None };
    let (mark, name) =
        [(';', "semicolons"), ('\t', "tabs")].into_iter().find(|(c, _)| cell.content.contains(*c))?;
    let message = format!("the columns are parted by {name}; expected commas");
    let hint = format!("save the file with commas instead of `{}`", mark.escape_default());
    Some(syntax::RULE.hit(sheet.origin(cell), "", message).hint(hint))
}

fn wrong_width(record: &Record<'_>, width: usize, sheet: &Sheet<'_>) -> Finding {
    let at = record.get(width).or(record.last()).map_or(Origin::BUILT_IN, |c| sheet.origin(c));
    let count = record.len();
    let message = format!("the row has {count} cells, the line of column names {width}");
    let finding = syntax::RULE.hit(at, "", message);
    if count > width {
        finding.hint("a decimal comma, or a comma in a text without quotation marks, parts a cell")
    } else {
        finding
    }
}

fn check_published_fields(cells: &mut Cells<'_>, columns: &[String]) {
    for field in cells.list("published_fields") {
        if !columns.contains(&field) {
            let near = nearest(&field, columns.iter().map(String::as_str));
            let hint = near.map_or_else(String::new, |near| format!("did you mean `{near}`?"));
            cells.bad("published_fields", format!("`{}` is not a column", clip(&field)), hint);
        }
    }
}

/// The note of a row with what the reader took for figures that are not stated.
fn with_assumed(note: &str, assumed: &[String]) -> String {
    if assumed.is_empty() {
        return note.to_string();
    }
    let taken = format!("not stated, taken: {}", assumed.join(", "));
    if note.is_empty() { taken } else { format!("{note}; {taken}") }
}

/// Whether two names are the same but for case and blanks, as a table finds them.
pub(super) fn same_name(a: &str, b: &str) -> bool {
    let words = |name: &str| name.to_lowercase();
    words(a).split_whitespace().eq(words(b).split_whitespace())
}

/// The rows laid by one file, with their lines.
type Laid = FxHashMap<RowId, u32>;

/// Lays a row. A second row of the same name in one file is refused; an alias that names another
/// row is found.
fn lay_row<T>(table: &mut Table<T>, row: Row<T>, laid: &mut Laid, findings: &mut Vec<Finding>) {
    let named = table.find(&row.key);
    if let Some(line) = named.and_then(|id| laid.get(&id)) {
        let key = &row.key;
        let message = format!("`{key}` stands twice: the first is in line {line}");
        findings.push(table_duplicate_row::RULE.hit(row.origin, key, message));
        return;
    }
    findings.extend(row.aliases.iter().filter_map(|alias| taken(table, &row, alias)));
    let line = row.origin.line;
    let replaced = table.lay(row);
    let last = RowId(table.rows().len() as u32 - 1);
    laid.insert(named.filter(|_| replaced).unwrap_or(last), line);
}

/// The finding for an alias that names another row already.
fn taken<T>(table: &Table<T>, row: &Row<T>, alias: &str) -> Option<Finding> {
    let other = &table.get(alias)?.key;
    if same_name(other, &row.key) {
        return None;
    }
    let message = format!("the alias `{alias}` of `{}` is a name of `{other}` already", row.key);
    Some(table_duplicate_row::RULE.hit(row.origin, &row.key, message))
}
