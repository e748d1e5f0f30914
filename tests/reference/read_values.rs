//! Values that were read in public texts, against the tables.
//!
//! `read-values.csv` holds every value with the document it belongs to, the kind of text it was read in,
//! and what became of it:
//!
//! | outcome | the table |
//! | --- | --- |
//! | `agrees` | has the value and names the cell in `published_fields` |
//! | `filled` | took the value over, and names the cell |
//! | `kept` | has another value or none, for the reason beside it |
//! | `noted` | says it in its note or source: it has no cell of its own |
//! | `relation` | has figures with the relation that was read (checked below) |
//! | `other` | has a figure of another quantity under that name |

use std::collections::BTreeMap;

use super::{Written, number, root};

fn name(table: &str, row: &BTreeMap<String, String>, first: &str) -> String {
    match table {
        "pon-classes" => format!("{} {}", row["system"], row["class"]),
        "fiber-attenuation" => format!("{} @ {} nm", row["fiber"], row["nm"]),
        "strand-colors" => format!("{} {}", row["order"], row["position"]),
        _ => row[first].clone(),
    }
}

fn same(a: &str, b: &str) -> bool {
    match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => a == b,
        _ => a == b,
    }
}

#[test]
fn every_value_read_agrees_or_was_decided() {
    let read = Written::read(&root().join("tests/reference/read-values.csv"));
    assert!(read.rows.len() >= 524, "values were lost");
    let mut tables: BTreeMap<String, BTreeMap<String, BTreeMap<String, String>>> = BTreeMap::new();
    let mut faults = Vec::new();
    for (index, value) in read.rows.iter().enumerate() {
        let table = tables.entry(value["table"].clone()).or_insert_with(|| {
            let written = Written::table(&value["table"]);
            let first = written.heads[0].clone();
            written.rows.into_iter().map(|row| (name(&value["table"], &row, &first), row)).collect()
        });
        let fault = match table.get(&value["row"]) {
            Some(row) => fault(value, row),
            None => Some("no such row".to_string()),
        };
        if let Some(fault) = fault {
            let (line, row, column) = (index + 2, &value["row"], &value["column"]);
            faults.push(format!("line {line}: {} {row}, {column}: {fault}", value["table"]));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What is wrong with one value; `None` where the table stands as was decided.
fn fault(value: &BTreeMap<String, String>, row: &BTreeMap<String, String>) -> Option<String> {
    let (column, read) = (&value["column"], &value["read"]);
    let empty = String::new();
    let cell = row.get(column).unwrap_or(&empty);
    let reason = value["why"].len() >= 12;
    match value["outcome"].as_str() {
        "agrees" | "filled" => {
            let named = row["published_fields"].split(';').any(|field| field == column);
            match (same(cell, read), named) {
                (false, _) => Some(format!("read {read}, the table has {cell}")),
                (_, false) => Some("agrees with a text and is not named in `published_fields`".into()),
                _ => None,
            }
        }
        "kept" | "other" | "relation" => match (same(cell, &value["table_has"]), reason) {
            (false, _) => Some(format!(
                "decided for `{}` against {read}; the table has `{cell}`: decide anew",
                value["table_has"]
            )),
            (_, false) => Some("decided without a reason".into()),
            _ => None,
        },
        "noted" => {
            let says = &value["note_says"];
            let said = !says.is_empty() && (row["note"].contains(says) || row["source"].contains(says));
            (!said || !reason).then(|| format!("neither note nor source says `{says}`"))
        }
        other => Some(format!("no outcome `{other}`")),
    }
}

/// Task force mail of 10/2007 on IEEE 802.3av: the OLT of PR10 may vary by 3 dB, that of PR20 by 4 dB; PR10
/// and PR20 have one ONU.
#[test]
fn relations_read_in_working_group_mail() {
    let table = Written::table("pon-classes");
    let class = |class: &str| {
        let row = table.rows.iter().find(|row| row["system"] == "10G-EPON" && row["class"] == class);
        row.unwrap_or_else(|| panic!("no {class}"))
    };
    for (name, range) in [("PR10", 3.0), ("PR20", 4.0)] {
        let [least, most] =
            ["olt_tx_min_dbm", "olt_tx_max_dbm"].map(|column| number(class(name), column));
        assert_eq!(most.zip(least).map(|(most, least)| most - least), Some(range), "{name}");
    }
    for column in ["onu_tx_min_dbm", "onu_tx_max_dbm", "onu_sensitivity_dbm", "onu_overload_dbm"] {
        assert_eq!(class("PR10")[column], class("PR20")[column], "{column}");
    }
}
