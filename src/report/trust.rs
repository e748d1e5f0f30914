//! How far the figures of the reference tables can be trusted, cell by cell.

use std::io::{self, Write};

use serde::Serialize;

use super::grid::{Lean, grid};
use super::paint::Paint;
use super::tables::PlainTable;
use crate::tables::{Provenance, Trust, cell_provenance, stating_columns};

/// The version of the JSON shape.
const SHAPE_VERSION: u32 = 1;

/// What a result rests on, in a line: `rests on 41 table cells: 12 published, 29 from memory`.
pub fn words(trust: Trust) -> String {
    match trust.cells() {
        0 => "rests on no cell of a table".to_string(),
        1 => format!("rests on 1 table cell: {}", parts(trust)),
        cells => format!("rests on {cells} table cells: {}", parts(trust)),
    }
}

/// `12 published, 29 from memory`; empty without a cell.
fn parts(trust: Trust) -> String {
    let part = |provenance: Provenance| {
        let count = trust.count(provenance);
        let words = match provenance {
            Provenance::Published => "published",
            Provenance::CommonPractice => "common practice",
            Provenance::Memory => "from memory",
            Provenance::InventedDemo => "invented for a demonstration",
            Provenance::User => "of your own",
        };
        (count > 0).then(|| format!("{count} {words}"))
    };
    Provenance::ALL.into_iter().filter_map(part).collect::<Vec<_>>().join(", ")
}

/// Counts of cells as machines read them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct TrustRow {
    /// All cells.
    pub cells: usize,
    /// Somebody read the value in a text.
    pub published: usize,
    /// What practitioners use.
    pub common_practice: usize,
    /// Recalled, not read again.
    pub memory: usize,
    /// Invented for a demonstration.
    pub invented_demo: usize,
    /// Stated by the user, in tables of their own.
    pub user: usize,
}

impl TrustRow {
    /// The counts.
    pub fn of(trust: Trust) -> Self {
        Self {
            cells: trust.cells(),
            published: trust.count(Provenance::Published),
            common_practice: trust.count(Provenance::CommonPractice),
            memory: trust.count(Provenance::Memory),
            invented_demo: trust.count(Provenance::InventedDemo),
            user: trust.count(Provenance::User),
        }
    }

    /// `7 of 9 published`, for the row of a table; empty where no cell decides.
    pub fn words(&self) -> String {
        match self.cells {
            0 => String::new(),
            cells => format!("{} of {cells} published", self.published),
        }
    }

    const fn counts(self) -> [usize; 6] {
        let Self { cells, published, common_practice, memory, invented_demo, user } = self;
        [cells, published, common_practice, memory, invented_demo, user]
    }
}

/// The trust in the cells of one table, or of one column.
#[derive(Debug, Clone, Serialize)]
pub struct Line {
    /// The table or the column; `all` for the sum.
    pub name: String,
    /// Rows of the table; rows that fill the column.
    pub rows: usize,
    /// The counts.
    #[serde(flatten)]
    pub trust: TrustRow,
}

/// A line for each table, and the sum.
pub fn of_tables(tables: &[PlainTable<'_>]) -> Vec<Line> {
    let mut all = Trust::default();
    let mut rows = 0;
    let mut lines: Vec<Line> = tables
        .iter()
        .map(|table| {
            let columns = stating_columns(table.name, table.columns);
            let trust: Trust = columns.flat_map(|column| of_column(table, column)).collect();
            all.add_all(trust);
            rows += table.rows.len();
            Line { name: table.name.to_string(), rows: table.rows.len(), trust: TrustRow::of(trust) }
        })
        .collect();
    lines.push(Line { name: "all".to_string(), rows, trust: TrustRow::of(all) });
    lines
}

/// A line for each column of one table that states something, and the sum.
pub fn of_columns(table: &PlainTable<'_>) -> Vec<Line> {
    let mut all = Trust::default();
    let mut lines: Vec<Line> = stating_columns(table.name, table.columns)
        .map(|column| {
            let trust: Trust = of_column(table, column).collect();
            all.add_all(trust);
            Line { name: column.to_string(), rows: trust.cells(), trust: TrustRow::of(trust) }
        })
        .collect();
    lines.push(Line { name: "all".to_string(), rows: table.rows.len(), trust: TrustRow::of(all) });
    lines
}

fn of_column<'t>(table: &'t PlainTable<'_>, column: &'t str) -> impl Iterator<Item = Provenance> + 't {
    let stated = table.columns.iter().position(|head| head == "provenance");
    table.rows.iter().filter_map(move |(cells, _)| {
        let row = Provenance::from_word(stated.and_then(|at| cells.get(at))?)?;
        cell_provenance(table.columns, cells, row, column)
    })
}

/// The heads of the counts, for people.
const HEADS: [&str; 6] = ["cells", "published", "common practice", "memory", "invented", "user"];

/// The lines for people.
pub fn draw(lines: &[Line], first: &str, paint: Paint) -> String {
    let mut heads = vec![(first, Lean::Left), ("rows", Lean::Right)];
    heads.extend(HEADS.map(|head| (head, Lean::Right)));
    let row = |line: &Line| {
        let counts = line.trust.counts();
        [line.name.clone(), line.rows.to_string()]
            .into_iter()
            .chain(counts.iter().map(ToString::to_string))
            .collect()
    };
    let rows: Vec<Vec<String>> = lines.iter().map(row).collect();
    grid(&heads, &rows, paint)
}

/// The lines as JSON.
pub fn json(lines: &[Line], first: &str) -> serde_json::Value {
    serde_json::json!({
        "shape": "spanwright.trust", "version": SHAPE_VERSION, "by": first, "lines": lines,
    })
}

/// The lines as CSV.
///
/// # Errors
/// Whatever the writer says.
pub fn csv(lines: &[Line], first: &str, out: &mut impl Write) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    let heads = ["cells", "published", "common_practice", "memory", "invented_demo", "user"];
    writer.write_record([first, "rows"].into_iter().chain(heads))?;
    for line in lines {
        let counts = line.trust.counts().map(|count| count.to_string());
        let texts = [line.name.clone(), line.rows.to_string()];
        writer.write_record(texts.iter().chain(&counts))?;
    }
    writer.flush()
}
