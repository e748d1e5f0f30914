//! Workbooks. Bytes that are a zip archive are taken as they are; any others are the sheet inside one, so
//! that changes reach the reader of cells and not the unpacking alone.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::inventory::audited;
use super::parts::{Folder, parts};

const TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>"#;
const ROOT: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK: &str = r#"<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
const OF_BOOK: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;

pub(super) fn run(data: &[u8]) {
    let made;
    let bytes = if data.starts_with(b"PK") {
        data
    } else {
        made = archive(data);
        &made
    };
    let folder = Folder::with(&[("ports.xlsx".to_string(), bytes)]);
    audited(&folder.at("ports.xlsx"), None);
}

/// A workbook with the given sheet; further parts are shared texts and styles.
fn archive(data: &[u8]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let mut put = |name: &str, bytes: &[u8]| {
        zip.start_file(name, stored).expect("begun");
        zip.write_all(bytes).expect("written");
    };
    put("[Content_Types].xml", TYPES.as_bytes());
    put("_rels/.rels", ROOT.as_bytes());
    put("xl/workbook.xml", BOOK.as_bytes());
    put("xl/_rels/workbook.xml.rels", OF_BOOK.as_bytes());
    let parts = parts(data, "sheet1.xml");
    let mut seen = Vec::new();
    for (name, bytes) in &parts {
        let place = match name.as_str() {
            "sheet1.xml" => "xl/worksheets/sheet1.xml",
            "styles.xml" => "xl/styles.xml",
            _ => "xl/sharedStrings.xml",
        };
        if !seen.contains(&place) {
            seen.push(place);
            put(place, bytes);
        }
    }
    zip.finish().expect("a workbook").into_inner()
}
