//! A digest for each table, so that no figure changes without a reason.
//!
//! `digests.csv` holds, for each table, the digest of its cells, the day and the reason of the last
//! change. Notes, sources and aliases are words and not in it; what may be trusted is. To renew:
//!
//! ```sh
//! TABLE_REASON="why the figures changed" cargo test --test reference digests
//! ```

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::time::{SystemTime, UNIX_EPOCH};

use sha2::{Digest, Sha256};

use super::{Written, root};

/// Columns whose words may change freely.
const WORDS: [&str; 3] = ["note", "source", "aliases"];

#[test]
fn no_figure_changes_without_a_reason() {
    let path = root().join("tests/reference/digests.csv");
    let mut known: BTreeMap<String, [String; 3]> = BTreeMap::new();
    if path.exists() {
        for row in Written::read(&path).rows {
            let values = ["sha256", "day", "reason"].map(|column| row[column].clone());
            known.insert(row["table"].clone(), values);
        }
    }
    let now: BTreeMap<String, String> =
        tables().into_iter().map(|name| (name.clone(), digest(&Written::table(&name)))).collect();
    let changed: Vec<String> = now
        .iter()
        .filter(|(name, digest)| known.get(*name).is_none_or(|[old, ..]| old != *digest))
        .map(|(name, _)| name)
        .chain(known.keys().filter(|name| !now.contains_key(*name)))
        .cloned()
        .collect();
    if let Some(reason) = std::env::var("TABLE_REASON").ok().filter(|_| !changed.is_empty()) {
        let reason = reason.trim();
        assert!(reason.len() >= 12, "TABLE_REASON must say why the figures changed");
        for name in &changed {
            match now.get(name) {
                Some(digest) => {
                    known.insert(name.clone(), [digest.clone(), today(), reason.to_string()])
                }
                None => known.remove(name),
            };
        }
        write(&path, &known);
        return;
    }
    assert!(
        changed.is_empty(),
        "figures of {changed:?} changed. Read the change; if it is meant, renew the digest with its reason:\n\
         TABLE_REASON=\"why the figures changed\" cargo test --test reference digests"
    );
    for (name, [_, day, reason]) in &known {
        let parts: Vec<&str> = day.split('-').collect();
        assert!(parts.len() == 3 && day.len() == 10, "{name}: `{day}` is no day");
        assert!(*day <= today(), "{name}: `{day}` is yet to come");
        assert!(reason.len() >= 12, "{name}: no reason stands beside its digest");
    }
}

/// What is digested is what counts: a changed cell and a changed trust, and no note.
#[test]
fn the_digest_sees_figures_and_trust() {
    let table = || Written::table("splices");
    let before = digest(&table());
    let changed = |column: &str, to: &str| {
        let mut table = table();
        let row = table.rows.first_mut().expect("a row");
        row.insert(column.to_string(), to.to_string());
        digest(&table)
    };
    assert_ne!(changed("most_db", "0.11"), before);
    assert_ne!(changed("provenance", "published"), before);
    assert_ne!(changed("published_fields", ""), before);
    assert_eq!(changed("note", "another word"), before);
    // A new column counts from its first cell on.
    let mut wider = table();
    wider.heads.push("new_db".to_string());
    wider.rows.iter_mut().for_each(|row| drop(row.insert("new_db".to_string(), String::new())));
    assert_eq!(digest(&wider), before);
    wider.rows[0].insert("new_db".to_string(), "1".to_string());
    assert_ne!(digest(&wider), before);
    // Two cells that swap a letter at their border are two other cells.
    let mut pair = table();
    for (column, to) in [("least_db", "1"), ("typical_db", "23")] {
        pair.rows[0].insert(column.to_string(), to.to_string());
    }
    let first = digest(&pair);
    for (column, to) in [("least_db", "12"), ("typical_db", "3")] {
        pair.rows[0].insert(column.to_string(), to.to_string());
    }
    assert_ne!(digest(&pair), first);
}

fn tables() -> Vec<String> {
    let folder = fs::read_dir(root().join("reference-tables")).expect("the folder");
    let mut names: Vec<String> = folder
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "csv"))
        .map(|path| path.file_stem().expect("a name").to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// The digest of the filled cells, each with its column, row by row: a new column that is still empty
/// changes nothing.
fn digest(table: &Written) -> String {
    let mut hash = Sha256::new();
    for row in &table.rows {
        for column in table.heads.iter().filter(|head| !WORDS.contains(&head.as_str())) {
            let cell = &row[column];
            if !cell.is_empty() {
                hash.update(format!("{column}\u{1f}{cell}\u{1f}"));
            }
        }
        hash.update([0x1e]);
    }
    hash.finalize().iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("text");
        text
    })
}

fn write(path: &std::path::Path, known: &BTreeMap<String, [String; 3]>) {
    let mut writer = csv::Writer::from_path(path).expect("a file");
    writer.write_record(["table", "sha256", "day", "reason"]).expect("written");
    for (name, values) in known {
        let cells = std::iter::once(name).chain(values);
        writer.write_record(cells).expect("written");
    }
    writer.flush().expect("written");
}

/// Today as `2026-12-01`, in UTC.
fn today() -> String {
    const DAYS_FROM_1970_TO_2000: i64 = 10_957;
    let since = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970");
    let day = (since.as_secs() / 86_400) as i64;
    spanwright::inventory::date::written(day - DAYS_FROM_1970_TO_2000)
}
