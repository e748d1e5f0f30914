//! The workbook is opened again with another library.

use calamine::{Data, Reader, Xlsx};
use spanwright::report::audit::{List, Listed, Workbook};

use crate::audit_text;

fn reopened(text: &str) -> Xlsx<std::io::Cursor<Vec<u8>>> {
    let said = audit_text("ports.csv", text.as_bytes());
    let mut bytes = Vec::new();
    let mut book: Box<dyn List + '_> = Box::new(Workbook::new(&mut bytes).expect("a workbook"));
    for finding in &said.findings {
        let listed = Listed { finding: finding.clone(), accepted: String::new(), new: None };
        book.add(&listed).expect("a row");
    }
    book.finish(&said.summary).expect("written");
    Xlsx::new(std::io::Cursor::new(bytes)).expect("a workbook that opens")
}

#[test]
fn cells_are_typed_and_names_are_text() {
    let text = "site,port,state,module,serial\nVTC,1/1/3,up,,007\nVTC,\"=1+1\",up,,008\n";
    let mut book = reopened(text);
    assert_eq!(
        book.sheet_names(),
        ["about", "findings", "by rule", "edits", "reinterpreted", "not checked"]
    );
    let range = book.worksheet_range("findings").expect("the sheet");
    let heads: Vec<String> =
        range.rows().next().expect("heads").iter().map(ToString::to_string).collect();
    let column = |head: &str| heads.iter().position(|known| known == head).expect(head);
    let first = range.rows().nth(1).expect("a finding");
    assert_eq!(first[column("port")], Data::String("VTC 1/1/3".to_string()));
    assert_eq!(first[column("line")], Data::Float(2.0));
    for row in range.rows().skip(1) {
        for cell in row {
            if let Data::String(text) = cell {
                assert!(!text.starts_with(['=', '+', '@']), "{text}");
            }
        }
    }
}

#[test]
fn a_sheet_of_ports_is_read() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    let rows = [
        ["Ports of Alder Reach", "", "", ""],
        ["site", "port", "far_site", "far_port"],
        ["VTC", "1/1/1", "PLS", "1/1/2"],
        ["PLS", "1/1/2", "VTC", "1/1/1"],
        ["PLS", "1/1/3", "VTC", "1/1/1"],
    ];
    for (r, row) in rows.iter().enumerate() {
        for (c, cell) in row.iter().enumerate() {
            sheet.write_string(r as u32, c as u16, *cell).expect("a cell");
        }
    }
    let said = audit_text("ports.xlsx", &book.save_to_buffer().expect("a workbook"));
    assert_eq!((said.summary.rows, said.summary.matched.mutual), (3, 2));
    let finding = said.findings.iter().find(|f| f.rule.id == "inventory.far-end-claimed-twice");
    let finding = finding.expect("the third port names a taken one");
    assert_eq!((finding.line, finding.subject.as_str()), (5, "PLS 1/1/3"));
}
