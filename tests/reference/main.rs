//! The reference tables against what stands outside them: values that were read in public texts, sums
//! that the documents' own arithmetic demands, and figures recalled apart from the tables; and a digest,
//! so that no figure changes without a reason.

mod colors;
mod digests;
mod interfaces;
mod passive;
mod read_values;
mod trust;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A table as it is written: each row by column.
struct Written {
    heads: Vec<String>,
    rows: Vec<BTreeMap<String, String>>,
}

impl Written {
    fn read(path: &Path) -> Self {
        let mut reader =
            csv::Reader::from_path(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let heads: Vec<String> = reader.headers().expect("heads").iter().map(str::to_string).collect();
        let rows = reader
            .records()
            .map(|record| {
                let record = record.unwrap_or_else(|error| panic!("{}: {error}", path.display()));
                heads.iter().cloned().zip(record.iter().map(str::to_string)).collect()
            })
            .collect();
        Self { heads, rows }
    }

    fn table(name: &str) -> Self {
        Self::read(&root().join("reference-tables").join(format!("{name}.csv")))
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A number of a row; `None` for an empty cell.
fn number(row: &BTreeMap<String, String>, column: &str) -> Option<f64> {
    let cell = row.get(column).unwrap_or_else(|| panic!("no column `{column}`"));
    (!cell.is_empty()).then(|| cell.parse().unwrap_or_else(|_| panic!("`{cell}` is no number")))
}
