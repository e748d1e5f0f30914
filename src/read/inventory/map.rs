//! A map of columns that the user wrote: which head stands for which column, in which unit, which
//! names stand for which site.

use std::path::Path;

use rustc_hash::FxHashMap;

use super::{Layout, Trouble};
use crate::check::plan_rules::{conflicting_keys, unknown_key, unknown_word, wrong_type};
use crate::check::{Finding, nearest};
use crate::inventory::{COLUMNS, Column, measure, name};
use crate::place::Origin;
use crate::read::sources::Sources;
use crate::read::yaml::{self, Node, Value};

/// What the user says of the columns.
///
/// ```yaml
/// columns: { "Rx lvl": rx, "Old no": ignore }
/// units: { rx: mW, jumper_length: ft }
/// sites: { "Vantrey Central": VTC }
/// fill-down: [site, shelf]
/// header-line: 4
/// delimiter: ";"
/// ```
#[derive(Debug, Clone, Default)]
pub struct ColumnMap {
    /// What is said of heads, by [`ColumnMap::key`].
    pub heads: FxHashMap<String, Stated>,
    /// Unit by column.
    pub units: FxHashMap<Column, String>,
    /// Normal form of a site by the normal form of another name of it.
    pub sites: FxHashMap<String, String>,
    /// Columns whose blanks are filled from the row above.
    pub fill_down: Vec<Column>,
    /// Line of the heads, from 1.
    pub header_line: Option<usize>,
    /// Delimiter.
    pub delimiter: Option<u8>,
}

/// What a map says of a head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stated {
    /// The column; `None` = the head is to be ignored.
    pub column: Option<Column>,
    /// Where it says so.
    pub origin: Origin,
}

impl ColumnMap {
    /// The form in which heads are compared.
    pub(super) fn key(head: &str) -> String {
        head.trim().to_lowercase()
    }

    /// What the map says in vain: heads that no file has, and two heads of a file for one column.
    pub(super) fn faults(&self, layouts: &[Layout]) -> Vec<Finding> {
        let mut stated: Vec<(&String, &Stated)> = self.heads.iter().collect();
        stated.sort_by_key(|(_, stated)| stated.origin);
        let written: Vec<&str> =
            layouts.iter().flat_map(|layout| &layout.heads).map(|head| head.head.as_str()).collect();
        let in_vain = |(key, stated): &(&String, &Stated)| {
            let used = written.iter().any(|head| Self::key(head) == **key);
            (!used).then(|| no_such_head(key, stated.origin, &written))
        };
        let mut findings: Vec<Finding> = stated.iter().filter_map(in_vain).collect();
        for (n, (key, one)) in stated.iter().enumerate() {
            let other = stated[..n].iter().find(|(_, other)| other.column == one.column);
            let Some((other, column)) = other.map(|(other, _)| *other).zip(one.column) else { continue };
            let has = |layout: &&Layout, key: &str| {
                layout.heads.iter().any(|head| Self::key(&head.head) == key)
            };
            if layouts.iter().any(|layout| has(&layout, key) && has(&layout, other)) {
                let column = column.name();
                let message =
                    format!("`{other}` and `{key}` are both to be `{column}`, and one file has both");
                let finding = conflicting_keys::RULE.hit(one.origin, key.as_str(), message);
                findings.push(finding.hint("say `ignore` for the one that is not to be read"));
            }
        }
        findings
    }
}

fn no_such_head(head: &str, origin: Origin, written: &[&str]) -> Finding {
    let message = format!("no file has a head `{head}`");
    let hint = match nearest(head, written.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`--explain-columns` shows the heads that are there".to_string(),
    };
    unknown_key::RULE.hit(origin, head, message).hint(hint)
}

/// Keys of a map of columns.
const KEYS: [&str; 6] = ["columns", "units", "sites", "fill-down", "header-line", "delimiter"];

/// Reads a map of columns.
///
/// # Errors
/// Every fault of the file.
pub fn read_map(path: &Path, sources: &mut Sources) -> Result<ColumnMap, Trouble> {
    let file = sources.open(path)?;
    let text = sources.text(file);
    let root = yaml::parse(&text, file)?;
    let mut map = ColumnMap::default();
    let mut findings = Vec::new();
    for (key, value) in entries(&root, &mut findings) {
        let node = value;
        match key.text().unwrap_or_default() {
            "columns" => columns(node, &mut map, &mut findings),
            "units" => units(node, &mut map, &mut findings),
            "sites" => {
                for (from, to) in entries(node, &mut findings) {
                    let (from, to) = (from.text().unwrap_or_default(), to.text().unwrap_or_default());
                    map.sites.insert(name::site(from), name::site(to));
                }
            }
            "fill-down" => fill_down(node, &mut map, &mut findings),
            "header-line" => match node.text().and_then(|text| text.parse().ok()) {
                Some(line) if line > 0 => map.header_line = Some(line),
                _ => findings.push(wrong(node, "a line number from 1")),
            },
            "delimiter" => match node.text() {
                Some("tab" | "\t") => map.delimiter = Some(b'\t'),
                Some(text) if text.len() == 1 => map.delimiter = text.bytes().next(),
                _ => findings.push(wrong(node, "one character, or `tab`")),
            },
            other => findings.push(unknown(key, other, KEYS.into_iter())),
        }
    }
    if findings.is_empty() { Ok(map) } else { Err(Trouble::Input(findings)) }
}

fn columns(node: &Node<'_>, map: &mut ColumnMap, findings: &mut Vec<Finding>) {
    for (head, column) in entries(node, findings) {
        let (origin, head) = (head.origin, ColumnMap::key(head.text().unwrap_or_default()));
        let word = column.text().unwrap_or_default();
        let meant = if word == "ignore" { Ok(None) } else { named(column, word).map(Some) };
        match meant {
            Ok(column) => {
                map.heads.insert(head, Stated { column, origin });
            }
            Err(finding) => findings.push(finding),
        }
    }
}

fn units(node: &Node<'_>, map: &mut ColumnMap, findings: &mut Vec<Finding>) {
    for (column, unit) in entries(node, findings) {
        match named(column, column.text().unwrap_or_default()) {
            Ok(column) => {
                let word = unit.text().unwrap_or_default();
                match measure::spelled(word).filter(|usual| measure::units(column).contains(usual)) {
                    Some(usual) => {
                        map.units.insert(column, usual.to_lowercase());
                    }
                    None => findings.push(no_unit(unit, word, column)),
                }
            }
            Err(finding) => findings.push(finding),
        }
    }
}

fn no_unit(node: &Node<'_>, word: &str, column: Column) -> Finding {
    let (name, units) = (column.name(), measure::units(column));
    if units.is_empty() {
        let message = format!("`{name}` has no unit: `{word}` would change nothing");
        return unknown_key::RULE.hit(node.origin, word, message).hint("take the line out");
    }
    let message = format!("`{word}` is no unit of `{name}`; expected {}", units.join(", "));
    let near = nearest(word, units.iter().copied());
    let hint = near.map_or_else(String::new, |near| format!("did you mean `{near}`?"));
    unknown_word::RULE.hit(node.origin, word, message).hint(hint)
}

fn fill_down(node: &Node<'_>, map: &mut ColumnMap, findings: &mut Vec<Finding>) {
    let Value::List(items) = &node.value else {
        findings.push(wrong(node, "a list of columns"));
        return;
    };
    for item in items {
        match named(item, item.text().unwrap_or_default()) {
            Ok(column) => map.fill_down.push(column),
            Err(finding) => findings.push(finding),
        }
    }
}

fn entries<'n, 't>(node: &'n Node<'t>, findings: &mut Vec<Finding>) -> &'n [(Node<'t>, Node<'t>)] {
    match &node.value {
        Value::Map(entries) => entries,
        Value::Empty => &[],
        _ => {
            findings.push(wrong(node, "a map"));
            &[]
        }
    }
}

fn named(node: &Node<'_>, word: &str) -> Result<Column, Finding> {
    Column::named(word).ok_or_else(|| {
        let known: Vec<&str> = COLUMNS.iter().map(|column| column.name()).collect();
        let message = format!("`{word}` is no column of an inventory; expected {}", known.join(", "));
        let hint = match nearest(word, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "`spanwright tables inventory-columns` tells what they mean".to_string(),
        };
        unknown_word::RULE.hit(node.origin, word, message).hint(hint)
    })
}

fn unknown(node: &Node<'_>, word: &str, known: impl Iterator<Item = &'static str>) -> Finding {
    let hint = nearest(word, known).map_or_else(String::new, |near| format!("did you mean `{near}`?"));
    unknown_key::RULE.hit(node.origin, word, format!("`{word}` means nothing here")).hint(hint)
}

fn wrong(node: &Node<'_>, expected: &str) -> Finding {
    wrong_type::RULE.hit(node.origin, "", format!("expected {expected}"))
}
