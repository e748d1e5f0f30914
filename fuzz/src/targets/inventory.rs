//! An inventory of ports in any dress: audited, and written as every list.

use std::cell::RefCell;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use spanwright::audit::run::{Choice, prepare, run as judge};
use spanwright::check::inventory_rules::facts::Limits;
use spanwright::check::policy::Policy;
use spanwright::read::inventory::Trouble;
use spanwright::read::inventory::again::Again;
use spanwright::read::inventory::load::{load, open_all};
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;
use spanwright::report::audit::gather::{Source, gather};
use spanwright::report::audit::{
    CsvList, JsonLines, JsonReport, List, Sarif, Workbook, explain, write_table,
};
use spanwright::report::paint::Paint;

use super::checks;
use super::parts::Folder;

/// The first byte says in which file the rest stands: the ending is never trusted, the bytes are.
pub(super) fn run(data: &[u8]) {
    let folder = Folder::with(&[("ports.csv".to_string(), data)]);
    audited(&folder.at("ports.csv"), None);
}

/// Bytes that a list writes.
#[derive(Clone, Default)]
struct Out(Rc<RefCell<Vec<u8>>>);

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn trouble(trouble: &Trouble, sources: &Sources) {
    match trouble {
        Trouble::Input(findings) => checks::refused(findings, sources),
        Trouble::Io { doing, error } => panic!("{doing}: {error}"),
    }
}

/// Audits a file as the command line does.
pub(super) fn audited(path: &Path, map: Option<&PathBuf>) {
    let tables = built_in();
    let mut sources = Sources::default();
    let inputs = match open_all(&[path.to_path_buf()], map, &tables, &mut sources) {
        Ok(inputs) => inputs,
        Err(fault) => return trouble(&fault, &sources),
    };
    checks::harmless(&explain(&inputs, &tables, Paint { color: false }));
    let mut loaded = match load(&inputs, &tables, &|_, _| {}) {
        Ok(loaded) => loaded,
        Err(fault) => return trouble(&fault, &sources),
    };
    let (limits, policy) = (Limits::default(), Policy::default());
    let prepared = prepare(&mut loaded.inventory);
    let choice = Choice { tables: &tables, limits: &limits, policy: &policy, plan: None };
    let mut again = Again::new(&inputs, &loaded.places, &loaded.inventory);
    let audit = judge(&loaded.inventory, prepared, choice, &mut again).expect("rows can be read again");
    let source = Source {
        inputs: &inputs,
        places: &loaded.places,
        inventory: &loaded.inventory,
        audit: &audit,
        tables: &tables,
        policy: &policy,
        since: None,
        today: None,
    };
    let outs: [Out; 5] = Default::default();
    let [csv, json, lines, sarif, book] = outs.clone();
    let mut lists: Vec<Box<dyn List>> = vec![
        Box::new(CsvList::new(csv).expect("begun")),
        Box::new(JsonReport::new(json).expect("begun")),
        Box::new(JsonLines::new(lines)),
        Box::new(Sarif::new(sarif).expect("begun")),
        Box::new(Workbook::new(book).expect("begun")),
    ];
    let summary = gather(&source, &mut lists).expect("written");
    lists.into_iter().for_each(|list| list.finish(&summary).expect("ended"));
    let mut table = Vec::new();
    write_table(&summary, Paint { color: false }, 100, &mut table).expect("written");
    checks::table(&table);
    let [_, json, lines, sarif, _] = outs.map(|out| out.0.take());
    let document = checks::json(&json);
    let errors = summary.tally.by_severity()[0] > 0;
    assert_eq!(checks::has_error(&document), errors, "exit code and findings");
    checks::json(&sarif);
    let lines = lines.split(|byte| *byte == b'\n').filter(|line| !line.is_empty());
    let told = lines.map(checks::json).filter(|line| line.get("rule").is_some()).count() as u64;
    assert_eq!(told, summary.tally.by_severity().iter().sum::<u64>(), "lines and counts");
}
