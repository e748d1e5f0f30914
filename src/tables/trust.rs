//! How far each cell of a table can be trusted.

use super::{Provenance, RowId, Table};

/// Columns that say where a row comes from: they are not cells that anything rests on.
const BOOKKEEPING: [&str; 4] = ["source", "provenance", "published_fields", "note"];

/// How far one cell of a row can be trusted; `None` for an empty cell and a column that is not there.
///
/// A row says how far it can be trusted as a whole. `published_fields` names the cells that somebody
/// read: these are published, whatever the rest is. A published row that names some of its cells has
/// only those read; the rest was recalled.
pub fn cell_provenance(
    columns: &[String],
    cells: &[String],
    row: Provenance,
    column: &str,
) -> Option<Provenance> {
    let cell = |name: &str| {
        let at = columns.iter().position(|head| head == name)?;
        cells.get(at).map(|cell| cell.trim()).filter(|cell| !cell.is_empty())
    };
    cell(column)?;
    let read = cell("published_fields").unwrap_or_default();
    let is_read = read.split(';').any(|field| field.trim() == column);
    Some(match row {
        _ if is_read => Provenance::Published,
        Provenance::Published if !read.is_empty() => Provenance::Memory,
        row => row,
    })
}

/// The columns of a table that state something of its rows, apart from what names a row and what says
/// where it comes from.
pub fn stating_columns<'c>(
    table: &str,
    columns: &'c [String],
) -> impl Iterator<Item = &'c str> + use<'c> {
    let naming: &[&str] = match table {
        "fiber-attenuation" | "fiber-dispersion" => &["fiber", "nm"],
        "fiber-transitions" => &["fiber_a", "fiber_b"],
        "wdm-elements" => &["element", "leg"],
        "pon-classes" => &["system", "class"],
        "module-codes" => &["standard", "field", "code", "bit"],
        "cages" => &["cage", "module"],
        "power-classes" => &["form", "class"],
        "breakouts" => &["parent", "child"],
        "coexistence" => &["system_a", "system_b"],
        "strand-colors" => &["order", "position"],
        _ => &[],
    };
    let first = if naming.is_empty() { columns.first().map(String::as_str) } else { None };
    columns.iter().map(String::as_str).filter(move |column| {
        let names = naming.contains(column) || first == Some(column) || *column == "aliases";
        !names && !BOOKKEEPING.contains(column)
    })
}

impl<T> Table<T> {
    /// How far one cell can be trusted; see [`cell_provenance`].
    pub fn trust_in(&self, id: RowId, column: &str) -> Option<Provenance> {
        let row = self.row(id);
        cell_provenance(&self.columns, &row.cells, row.provenance, column)
    }
}

/// How many cells rest on what.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Trust {
    counts: [usize; Provenance::ALL.len()],
}

impl Trust {
    /// Counts one cell.
    pub fn add(&mut self, provenance: Provenance) {
        self.counts[provenance as usize] += 1;
    }

    /// Adds the counts of another.
    pub fn add_all(&mut self, other: Self) {
        for (count, more) in self.counts.iter_mut().zip(other.counts) {
            *count += more;
        }
    }

    /// Cells that rest on one thing.
    pub const fn count(self, provenance: Provenance) -> usize {
        self.counts[provenance as usize]
    }

    /// All cells.
    pub fn cells(self) -> usize {
        self.counts.iter().sum()
    }
}

impl FromIterator<Provenance> for Trust {
    fn from_iter<I: IntoIterator<Item = Provenance>>(all: I) -> Self {
        let mut trust = Self::default();
        all.into_iter().for_each(|one| trust.add(one));
        trust
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(provenance: Provenance, read: &str, column: &str) -> Option<Provenance> {
        let columns = ["grade", "least_db", "most_db", "published_fields"].map(String::from);
        let cells = ["B", "", "0.25", read].map(String::from);
        cell_provenance(&columns, &cells, provenance, column)
    }

    #[test]
    fn a_cell_that_was_read_is_published_and_no_other() {
        use Provenance::{CommonPractice, Memory, Published};
        assert_eq!(of(Memory, "most_db", "most_db"), Some(Published));
        assert_eq!(of(Memory, "typical_db;most_db", "grade"), Some(Memory));
        assert_eq!(of(CommonPractice, "", "most_db"), Some(CommonPractice));
        assert_eq!(of(Published, "", "most_db"), Some(Published));
        assert_eq!(of(Published, "grade", "most_db"), Some(Memory));
        assert_eq!(of(Memory, "", "least_db"), None, "an empty cell rests on nothing");
        assert_eq!(of(Memory, "", "no_such_column"), None);
    }

    #[test]
    fn what_names_a_row_or_its_source_states_nothing() {
        let columns = ["fiber", "nm", "most_db_km", "source", "provenance", "published_fields", "note"]
            .map(String::from);
        let stating: Vec<&str> = stating_columns("fiber-attenuation", &columns).collect();
        assert_eq!(stating, ["most_db_km"]);
        let stating: Vec<&str> = stating_columns("fibers", &columns).collect();
        assert_eq!(stating, ["nm", "most_db_km"]);
    }
}
