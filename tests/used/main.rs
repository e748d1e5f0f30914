//! Every column of the reference tables is computed with, or stands on a short list of what is only shown.
//!
//! `columns.csv` names for each column a row, another value of its cell, and a question whose answer changes
//! with it; `elsewhere.csv` names the test of a column that needs more than a question; `shown.csv` names the columns that nothing is computed with, and why. A column that stands in none of
//! them is a fault, and so is a question whose answer stays as it was.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;
use spanwright::tables::stating_columns;

/// The questions, by name; files are those beside this test or in the repository.
const QUESTIONS: &[(&str, &str)] = &[
    ("pon", "budget tests/used/pon.yaml --no-statistics"),
    ("pon-end", "budget tests/used/pon.yaml --no-statistics --end home-1"),
    ("pon-likely", "budget tests/used/likely.yaml"),
    ("links", "budget tests/used/links.yaml --no-statistics"),
    ("links-end", "budget tests/used/links.yaml --no-statistics --end b/3"),
    ("shelf", "fit examples/first-shelf/plan.yaml"),
    ("overlay", "fit tests/rules/fit.coexistence/hit.yaml"),
    (
        "er-lr",
        "fit --cage SFP+ --optic 10GBASE-ER --far-optic 10GBASE-LR --length 3km --fiber G.652.D --connectors 2 \
         --alternatives 4",
    ),
    ("lr4", "fit --cage QSFP28 --optic 100GBASE-LR4 --length 9km --connectors 4 --fec rs528"),
    (
        "breakout",
        "fit --cage QSFP28 --optic 100GBASE-SR4 --far-optic 25GBASE-SR --fiber OM4 --length 30m --connectors 1 \
         --lane 1",
    ),
    ("zr", "path --optic 10GBASE-ZR --fiber G.655.D --length 80km --connectors 2 --splices 10"),
    (
        "lx",
        "fit --cage SFP+ --optic 1000BASE-LX --fiber OM2 --length 300m --mode-conditioning yes --connectors 2",
    ),
    ("bx", "fit --cage SFP --optic 1000BASE-BX10-D --length 9km --temperature I --place cabinet"),
    ("power", "fit --cage QSFP-DD --optic 400GBASE-DR4 --length 300m --power 13W --card eth-2-400"),
    ("card-fec", "fit tests/rules/fit.card-fec/hit.yaml"),
    ("edc", "fit tests/rules/fit.no-compensation/hit.yaml"),
    ("card-power", "fit tests/rules/fit.card-power/hit.yaml"),
    ("form", "fit tests/rules/fit.form-cannot/hit.yaml"),
    ("electrical", "fit --cage SFP+ --optic 10GBASE-T --length 30m"),
    ("tx", "fit --cage SFP --optic SFP-TX --length 30m"),
    ("hot", "audit tests/rules/inventory.hot-module/hit-grade.csv"),
    ("hazard", "budget examples/metro-ring/links.yaml"),
    (
        "memory",
        "fit examples/first-shelf/plan.yaml --port hv-1/1/1 --memory examples/first-shelf/in-hand.hex",
    ),
    ("typed", "audit examples/port-inventory/hand-typed.csv"),
    ("sites", "audit examples/port-inventory/two-sites.tsv"),
    ("ports", "fit tests/rules/sound/every-key.yaml"),
];

/// Columns that every table has and that say where a row comes from.
const BOOKKEEPING: [&str; 4] = ["source", "provenance", "published_fields", "note"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn lines(path: &Path) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader =
        csv::Reader::from_path(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let head = reader.headers().expect("heads").iter().map(str::to_string).collect();
    let rows = reader.records().map(|row| row.expect("a row").iter().map(str::to_string).collect());
    (head, rows.collect())
}

fn beside(name: &str) -> PathBuf {
    root().join("tests/used").join(name)
}

/// A question of its own: whether the table is refused, since the cell contradicts others of its row.
const REFUSED: &str = "refused";

/// What a question is answered, without where rows stand and how far they can be trusted.
fn answer(question: &str, tables: Option<&Path>) -> (i32, Value) {
    let (_, words) = QUESTIONS.iter().find(|(name, _)| *name == question).expect(question);
    let mut program = Command::cargo_bin("spanwright").expect("the program");
    program.current_dir(root()).args(words.split_whitespace()).args(["--format", "json"]);
    if let Some(tables) = tables {
        program.arg("--tables").arg(tables);
    }
    let output = program.output().expect("a run");
    let code = output.status.code().expect("an end");
    // Bad input is no answer; what it says is shown where the test fails.
    let said = || Value::String(String::from_utf8_lossy(&output.stderr).into_owned());
    let mut value =
        if code == 2 { said() } else { serde_json::from_slice(&output.stdout).expect("JSON") };
    strip(&mut value);
    (code, value)
}

fn strip(value: &mut Value) {
    match value {
        Value::Object(fields) => {
            for name in ["file", "rests_on", "cells", "tables_used", "at", "tables"] {
                fields.remove(name);
            }
            fields.values_mut().for_each(strip);
        }
        Value::Array(values) => values.iter_mut().for_each(strip),
        _ => {}
    }
}

/// A table with one row of the built-in table, or of the tables beside this test, one cell of it changed.
fn changed(folder: &Path, table: &str, row: &str, column: &str, value: &str) {
    let named: Vec<(&str, &str)> =
        row.split('|').map(|pair| pair.split_once('=').expect("column=value")).collect();
    for place in [beside("own"), root().join("reference-tables")] {
        let path = place.join(format!("{table}.csv"));
        if !path.is_file() {
            continue;
        }
        let (head, rows) = lines(&path);
        let index = |column: &str| head.iter().position(|head| head == column);
        let is_it = |cells: &&Vec<String>| {
            named.iter().all(|(column, value)| index(column).is_some_and(|at| cells[at] == *value))
        };
        let Some(mut cells) = rows.iter().find(is_it).cloned() else { continue };
        let mut head = head.clone();
        let at = index(column).unwrap_or_else(|| {
            head.push(column.to_string());
            cells.push(String::new());
            head.len() - 1
        });
        assert_ne!(cells[at], value, "{table} {row} {column}");
        cells[at] = value.to_string();
        let mut writer = csv::Writer::from_path(folder.join(format!("{table}.csv"))).expect("a table");
        writer.write_record(&head).expect("heads");
        writer.write_record(&cells).expect("a row");
        writer.flush().expect("a table");
        return;
    }
    panic!("{table} has no row {row}");
}

#[test]
fn every_column_is_computed_with_or_named_as_shown() {
    let (_, used) = lines(&beside("columns.csv"));
    let (_, shown) = lines(&beside("shown.csv"));
    let (_, elsewhere) = lines(&beside("elsewhere.csv"));
    let used: BTreeSet<(String, String)> =
        used.into_iter().map(|line| (line[0].clone(), line[1].clone())).collect();
    let mut listed = used.clone();
    for line in &shown {
        assert!(line[2].len() > 10, "{line:?}: why?");
        assert!(listed.insert((line[0].clone(), line[1].clone())), "{line:?} is computed with");
    }
    for line in &elsewhere {
        assert!(root().join(&line[2]).exists(), "{line:?}: no such test");
        assert!(listed.insert((line[0].clone(), line[1].clone())), "{line:?} stands twice");
    }
    let mut columns = BTreeSet::new();
    for file in std::fs::read_dir(root().join("reference-tables")).expect("the folder") {
        let path = file.expect("a file").path();
        let table = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let (head, _) = lines(&path);
        let stating = stating_columns(&table, &head).filter(|column| !BOOKKEEPING.contains(column));
        columns.extend(stating.map(|column| (table.clone(), column.to_string())));
    }
    let missing: Vec<_> = columns.difference(&listed).collect();
    assert!(missing.is_empty(), "neither computed with nor named as shown: {missing:#?}");
    let gone: Vec<_> = listed.difference(&columns).collect();
    assert!(gone.is_empty(), "no such column: {gone:#?}");
    assert!(shown.len() * 5 < used.len(), "{} of {} are only shown", shown.len(), columns.len());
}

#[test]
fn a_changed_cell_changes_an_answer() {
    let (_, used) = lines(&beside("columns.csv"));
    let mut as_it_is: BTreeMap<&str, (i32, Value)> = BTreeMap::new();
    let mut idle = Vec::new();
    for line in &used {
        let [table, column, row, value, question] = &line[..] else { panic!("{line:?}") };
        let folder = tempfile::tempdir().expect("a folder");
        changed(folder.path(), table, row, column, value);
        if question == REFUSED {
            let mut program = Command::cargo_bin("spanwright").expect("the program");
            program.args(["tables", table, "--tables"]).arg(folder.path()).assert().code(2);
            continue;
        }
        if let Some(question) = question.strip_prefix("refused:") {
            assert_eq!(answer(question, Some(folder.path())).0, 2, "{line:?} is taken");
            continue;
        }
        let before = as_it_is.entry(question).or_insert_with(|| answer(question, None)).clone();
        assert_ne!(before.0, 2, "{question}: {}", before.1);
        let after = answer(question, Some(folder.path()));
        if after.0 == 2 {
            idle.push(format!("{line:?}: {}", after.1));
        } else if after == before {
            idle.push(format!("{line:?} changes nothing"));
        }
    }
    assert!(idle.is_empty(), "{}", idle.join("\n"));
}
