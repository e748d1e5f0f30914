//! The memory of a module, as bytes or as text.

use spanwright::check::{Severity, memory_rules};
use spanwright::fit::memory::{decode, suggest_interface};
use spanwright::read::dump;
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;
use spanwright::report::module::{Module, write_csv, write_json, write_table};
use spanwright::report::paint::Paint;

use super::checks;
use super::parts::Folder;

pub(super) fn run(data: &[u8]) {
    let folder = Folder::with(&[("module.hex".to_string(), data)]);
    let tables = built_in();
    let mut sources = Sources::default();
    let read = match dump::load(&folder.at("module.hex"), &mut sources) {
        Ok(read) => read,
        Err(findings) => return checks::refused(&findings, &sources),
    };
    let memory = match decode(&read.image, &tables) {
        Ok(memory) => memory,
        Err(fault) => {
            return checks::refused(&[memory_rules::refuse(&fault, &read.image, read.file)], &sources);
        }
    };
    let findings = memory_rules::judge(&memory, &read.image, &tables, read.file);
    checks::drawn(&findings, &sources);
    let interfaces = suggest_interface(&memory, &tables);
    let module = Module {
        memory: &memory,
        interfaces: &interfaces,
        findings: &findings,
        files: sources.files(),
        width: 100,
    };
    let (mut table, mut json, mut csv) = (Vec::new(), Vec::new(), Vec::new());
    write_table(&module, Paint { color: false }, &mut table).expect("written");
    write_json(&module, &mut json).expect("written");
    write_csv(&module, &mut csv).expect("written");
    checks::table(&table);
    checks::json(&json);
    let errors = findings.iter().any(|finding| finding.severity == Severity::Error);
    assert_eq!(module.has_errors(), errors, "exit code and findings");
}
