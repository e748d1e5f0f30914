//! No bytes make the reading of inventories panic, and what is read is all rows.

use std::path::PathBuf;

use spanwright::read::inventory::load::{load, open_all};
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;

fn read(bytes: &[u8]) -> Option<u64> {
    let folder = tempfile::tempdir().expect("a folder");
    let path: PathBuf = folder.path().join("ports.csv");
    std::fs::write(&path, bytes).expect("a file");
    let tables = tables();
    let mut sources = Sources::default();
    let inputs = open_all(&[path], None, tables, &mut sources).ok()?;
    let loaded = load(&inputs, tables, &|_, _| {}).ok()?;
    Some(loaded.inventory.rows.len() as u64 + loaded.inventory.skipped)
}

fn tables() -> &'static spanwright::tables::Tables {
    static TABLES: std::sync::OnceLock<std::sync::Arc<spanwright::tables::Tables>> =
        std::sync::OnceLock::new();
    TABLES.get_or_init(built_in)
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config::with_cases(300))]

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..300)) {
        let _ = read(&bytes);
        let _ = read(&[b"site,port,rx,far_site,far_port,proven,note\n".as_slice(), &bytes].concat());
    }

    #[test]
    fn odd_cells_make_no_panic(cells in proptest::collection::vec("[-0-9.,/:;|eE+ a-zÄµ'\"−]{0,12}", 0..40)) {
        let mut text = String::from("site,port,rx,tx,far_site,far_port,proven,path_length,jumper_length,serial\n");
        for row in cells.chunks(10) {
            let quoted: Vec<String> = row.iter().map(|c| format!("\"{}\"", c.replace('"', "\"\""))).collect();
            text.push_str(&quoted.join(","));
            text.push('\n');
        }
        crate::audit_text("ports.csv", text.as_bytes());
    }

    /// Against the csv crate: as many rows as it has records under the heads.
    #[test]
    fn no_row_is_lost(text in "([ab]?(,|;)[1-9\"]?\n?){0,60}") {
        let whole = format!("site,port\n{text}\n");
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(whole.as_bytes());
        let records = reader.byte_records().filter_map(Result::ok).count() as u64;
        if let Some(rows) = read(whole.as_bytes()) {
            proptest::prop_assert_eq!(rows, records);
        }
    }
}
