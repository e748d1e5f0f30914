//! Which line holds the heads, what parts the cells, and which head means which column.

use rustc_hash::{FxHashMap, FxHashSet};

use super::fields::{Fields, Splitter};
use super::map::ColumnMap;
use crate::inventory::Column;
use crate::tables::Tables;

/// Delimiters that are tried.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];
/// Lines in which the heads are looked for, where a map does not state a later one.
const LINES: usize = 30;

/// The heads of a file.
#[derive(Debug, Clone)]
pub struct Recognized {
    /// What parts the cells.
    pub delimiter: u8,
    /// Line of the heads, from 1.
    pub line: usize,
    /// Bytes of the sample up to the first row.
    pub body: usize,
    /// The heads as written.
    pub heads: Vec<String>,
    /// What each head means.
    pub columns: Vec<Meaning>,
}

/// What a head means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meaning {
    /// Its column; `None` = it is not used.
    pub column: Option<Column>,
    /// The unit that it names, in lower case; empty for none.
    pub unit: String,
    /// The column that it would mean, had not another head of the file taken it.
    pub doubled: Option<Column>,
}

/// Heads by their normal form.
pub(super) struct Synonyms(FxHashMap<String, Column>);

impl Synonyms {
    pub(super) fn of(tables: &Tables) -> Self {
        let mut known = FxHashMap::default();
        for row in tables.inventory_columns.rows() {
            let Some(column) = Column::named(&row.key) else { continue };
            known.insert(squeeze(&row.key), column);
            for alias in &row.aliases {
                known.entry(squeeze(alias)).or_insert(column);
            }
        }
        Self(known)
    }

    /// The column and the unit that a head names.
    fn find(&self, head: &str) -> (Option<Column>, String) {
        let (base, unit) = part_unit(head);
        let joined = format!("{}{}", squeeze(&base), squeeze(&unit));
        if let Some(column) = self.0.get(&joined) {
            return (Some(*column), unit);
        }
        if let Some(column) = self.0.get(&squeeze(&base)) {
            return (Some(*column), unit);
        }
        let words: Vec<&str> =
            base.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        match words.split_last() {
            Some((last, rest)) if is_unit(last) => {
                (self.0.get(&squeeze(&rest.concat())).copied(), (*last).to_string())
            }
            _ => (None, unit),
        }
    }
}

/// Letters and digits, lower case.
fn squeeze(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn is_unit(word: &str) -> bool {
    const UNITS: [&str; 23] = [
        "0.01 dbm", "0.01 db", "0.1 db", "dbm", "db", "mw", "uw", "µw", "μw", "km", "m", "ft", "feet",
        "kft", "mi", "miles", "nm", "c", "°c", "ma", "v", "cdbm", "w",
    ];
    UNITS.contains(&word)
}

/// A head in lower case without its unit in brackets, and the unit.
fn part_unit(head: &str) -> (String, String) {
    let lower = head.trim().trim_start_matches('\u{feff}').to_lowercase();
    let bracket = lower.find(['(', '[', '{']);
    let Some(open) = bracket else { return (lower, String::new()) };
    let inner: String =
        lower[open + 1..].chars().take_while(|c| !matches!(c, ')' | ']' | '}')).collect();
    let unit = inner.trim().to_string();
    let base = lower[..open].trim().to_string();
    if is_unit(&unit) { (base, unit) } else { (base, String::new()) }
}

/// Finds the heads in the first bytes of a file. `None` when no line names two columns.
pub(super) fn recognize(sample: &[u8], synonyms: &Synonyms, map: &ColumnMap) -> Option<Recognized> {
    let stated = separator_line(sample);
    let delimiters: Vec<u8> = match map.delimiter.or(stated) {
        Some(delimiter) => vec![delimiter],
        None => DELIMITERS.to_vec(),
    };
    let mut best: Option<(usize, Recognized)> = None;
    for delimiter in delimiters {
        for found in candidates(sample, delimiter, synonyms, map) {
            if best.as_ref().is_none_or(|(score, _)| found.0 > *score) {
                best = Some(found);
            }
        }
    }
    best.map(|(_, recognized)| recognized)
}

/// `sep=;` in the first line.
fn separator_line(sample: &[u8]) -> Option<u8> {
    let text = sample.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(sample);
    let rest = text.strip_prefix(b"sep=")?;
    rest.first().copied()
}

fn candidates(
    sample: &[u8],
    delimiter: u8,
    synonyms: &Synonyms,
    map: &ColumnMap,
) -> Vec<(usize, Recognized)> {
    let mut splitter = Splitter::new(sample, delimiter);
    let mut fields = Fields::default();
    let mut records: Vec<(usize, Vec<String>)> = Vec::new();
    let most = map.header_line.unwrap_or(0).max(LINES);
    while let Some(at) = splitter.next(&mut fields) {
        let cells = (0..fields.len()).map(|i| text(fields.cell(sample, i)));
        records.push((at, cells.collect()));
        // Below the last line that may hold heads, a line of units and the first row are looked at.
        if records.len() == most.saturating_add(2) {
            break;
        }
    }
    let line_of = |at: usize| super::fields::lines(&sample[..at]) as usize + 1;
    let mut found = Vec::new();
    for (index, (at, heads)) in records.iter().enumerate().take(most) {
        let line = line_of(*at);
        if map.header_line.is_some_and(|wanted| wanted != line) {
            continue;
        }
        let columns = columns_of(heads, synonyms, map);
        let known: FxHashSet<Column> = columns.iter().filter_map(|head| head.column).collect();
        let named = [Column::Site, Column::Port, Column::Module, Column::Serial];
        if known.len() < 2 || !named.iter().any(|column| known.contains(column)) {
            continue;
        }
        let mut columns = columns;
        let next = records.get(index + 1);
        let units = next.filter(|(_, cells)| is_unit_line(cells));
        if let Some((_, cells)) = units {
            for (head, cell) in columns.iter_mut().zip(cells) {
                if !cell.is_empty() {
                    head.unit = cell.to_lowercase();
                }
            }
        }
        let first_row = records.get(index + 1 + usize::from(units.is_some()));
        let body = first_row.map_or(sample.len(), |(at, _)| *at);
        found.push((known.len(), Recognized { delimiter, line, body, heads: heads.clone(), columns }));
    }
    found
}

/// A second line of heads that holds nothing but units.
fn is_unit_line(cells: &[String]) -> bool {
    let mut written = cells.iter().filter(|cell| !cell.is_empty()).peekable();
    written.peek().is_some() && written.all(|cell| is_unit(&cell.to_lowercase()))
}

/// The column of each head; of two heads for one column the first has it.
fn columns_of(heads: &[String], synonyms: &Synonyms, map: &ColumnMap) -> Vec<Meaning> {
    let mut taken = FxHashSet::default();
    let mapped = |head: &String| map.heads.get(&ColumnMap::key(head)).map(|stated| stated.column);
    taken.extend(heads.iter().filter_map(|head| mapped(head).flatten()));
    let mut result = Vec::new();
    for head in heads {
        let (found, mut unit) = synonyms.find(head);
        let column = match mapped(head) {
            Some(stated) => stated,
            None => found.filter(|column| taken.insert(*column)),
        };
        if let Some(stated) = column.and_then(|column| map.units.get(&column)) {
            unit.clone_from(stated);
        }
        let doubled = found.filter(|_| column.is_none() && mapped(head).is_none());
        result.push(Meaning { column, unit, doubled });
    }
    result
}

/// A cell as text; bytes that are not UTF-8 are taken for Windows-1252.
pub(super) fn text(bytes: &[u8]) -> String {
    match str::from_utf8(bytes) {
        Ok(text) => text.to_string(),
        Err(_) => encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes).0.into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::tables::built_in;

    fn found(sample: &str) -> Recognized {
        recognize(sample.as_bytes(), &Synonyms::of(&built_in()), &ColumnMap::default()).expect(sample)
    }

    fn names(sample: &str) -> Vec<&'static str> {
        found(sample).columns.iter().map(|head| head.column.map_or("-", Column::name)).collect()
    }

    #[test]
    fn heads_by_their_synonyms_and_units() {
        let text = "Office;RR;Chassis;LT;PON;Interface;Rx Power (mW);Tx (nm);Jumper len;wibble\n";
        assert_eq!(
            names(text),
            ["site", "bay", "shelf", "slot", "-", "port", "rx", "tx_nm", "jumper_length", "-"]
        );
        assert_eq!(found(text).columns[6].unit, "mw");
        assert_eq!(found(text).delimiter, b';');
    }

    #[test]
    fn heads_on_a_later_line_and_units_below() {
        let sample =
            "Ports of Alder Reach\n\nprinted,by,hand\nsite,port,rx,path_length\n,,dBm,km\nVTC,1,-7,8\n";
        let heads = found(sample);
        assert_eq!((heads.line, &sample[heads.body..]), (4, "VTC,1,-7,8\n"));
        assert_eq!(heads.columns[2].unit, "dbm");
    }

    /// Rows below heads in the last line that is looked at are rows, with a line of units or without.
    #[test]
    fn heads_in_the_last_line_lose_no_row() {
        for units in ["", ",,dBm\n"] {
            let heads = format!("{}site,port,rx\n{units}", "printed by hand\n".repeat(LINES - 1));
            let sample = format!("{heads}VTC,1,-7\nVTC,2,-7\n");
            assert_eq!(&sample[found(&sample).body..], "VTC,1,-7\nVTC,2,-7\n");
            let late = format!("printed by hand\n{sample}");
            let synonyms = Synonyms::of(&built_in());
            assert!(recognize(late.as_bytes(), &synonyms, &ColumnMap::default()).is_none());
            let stated = ColumnMap { header_line: Some(LINES + 1), ..ColumnMap::default() };
            let heads = recognize(late.as_bytes(), &synonyms, &stated).expect("stated heads");
            assert_eq!(&late[heads.body..], "VTC,1,-7\nVTC,2,-7\n");
        }
    }

    #[test]
    fn a_stated_separator_wins() {
        assert_eq!(found("sep=|\nsite|port|tx,rx\nA|1|2\n").delimiter, b'|');
    }

    #[test]
    fn a_double_head_is_used_once() {
        assert_eq!(names("site,port,serial,sn\n"), ["site", "port", "serial", "-"]);
        assert_eq!(found("site,port,serial,sn\n").columns[3].doubled, Some(Column::Serial));
        assert_eq!(found("site,port,serial,wibble\n").columns[3].doubled, None);
    }

    #[test]
    fn parts_of_a_decibel_are_units() {
        let heads = found("site,port,loss (0.01 dB),pad (0.1 dB),rx (0.01 dBm)\n").columns;
        let units: Vec<&str> = heads[2..].iter().map(|head| head.unit.as_str()).collect();
        assert_eq!(units, ["0.01 db", "0.1 db", "0.01 dbm"]);
    }
}
