//! Reference tables of one's own, laid over the built-in ones. The first line names the table.

use spanwright::check::Finding;
use spanwright::read::sources::Sources;
use spanwright::read::tables::load;
use spanwright::report::paint::Paint;
use spanwright::report::tables::{csv, draw, json, plain};
use spanwright::report::trust;

use super::checks;
use super::parts::{Folder, parts};

pub(super) fn run(data: &[u8]) {
    let parts = parts(data, "notes.txt");
    let folder = Folder::with(&parts);
    let mut sources = Sources::default();
    let (tables, findings) = load(&[folder.at("")], &mut sources);
    checks::drawn(&findings, &sources);
    if findings.iter().any(Finding::is_bad_input) {
        return;
    }
    let shown = plain(&tables, sources.files());
    let mut out = Vec::new();
    for table in shown.iter().filter(|table| parts.iter().any(|(name, _)| name.starts_with(table.name)))
    {
        checks::harmless(&draw(table, Paint { color: false }));
        let _ = json(table).to_string();
        csv(table, &mut out).expect("written");
    }
    checks::harmless(&trust::draw(&trust::of_tables(&shown), "table", Paint { color: false }));
}
