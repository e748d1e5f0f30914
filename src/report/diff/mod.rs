//! Two states of a plan side by side: what was changed, what that does to the ends, which sheets must be
//! issued anew.
//!
//! `facts` is what a plan states, thing by thing; `effects` pairs the ends and PONs of both states;
//! [`Difference`] is the one value; `table`, `json` and `markdown` are its faces.

mod effects;
mod facts;
mod json;
mod markdown;
mod table;

use serde::Serialize;

pub use effects::{EndChange, GroupChange};
pub use json::write as write_json;
pub use markdown::write as write_markdown;
pub use table::write as write_table;

use super::document::Document;
use super::schedule::{ABOUT, Cell, Options, Schedule};

/// Which state of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct State {
    /// Title.
    pub title: String,
    /// Revision; empty when not stated.
    pub revision: String,
    /// SHA-256 of the input files.
    pub plan_sha256: String,
    /// The verdict on the whole; `None` without ends.
    pub verdict: Option<&'static str>,
}

/// One field of a thing that changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FieldChange {
    /// Which field.
    pub field: &'static str,
    /// Before.
    pub old: String,
    /// After.
    pub new: String,
}

/// One thing of the plan that changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Change {
    /// What it is.
    pub what: &'static str,
    /// Its id.
    pub id: String,
    /// `added`, `removed` or `changed`.
    pub change: &'static str,
    /// The fields that differ; what was added or removed is not itemised.
    pub fields: Vec<FieldChange>,
}

/// A sheet that differs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SheetChange {
    /// Its name.
    pub sheet: &'static str,
    /// Its title.
    pub title: &'static str,
    /// Rows that are new or differ.
    pub new_rows: usize,
    /// Rows that are gone or differ.
    pub old_rows: usize,
}

/// Everything that differs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difference {
    /// The state before.
    pub old: State,
    /// The state after.
    pub new: State,
    /// What the plan states otherwise.
    pub changes: Vec<Change>,
    /// PONs and links whose verdict, margin or joint yield moved.
    pub groups: Vec<GroupChange>,
    /// Ends whose verdict, margin or yield moved; those of another verdict first.
    pub ends: Vec<EndChange>,
    /// Sheets that must be issued anew. The page, too, where anything differs.
    pub sheets: Vec<SheetChange>,
}

/// Compares two states.
pub fn difference(old: &Document<'_>, new: &Document<'_>, options: &Options) -> Difference {
    let sheets = changed_sheets(&Schedule::new(old, options), &Schedule::new(new, options));
    Difference {
        old: state(old),
        new: state(new),
        changes: facts::changes(&facts::of(old.view), &facts::of(new.view)),
        groups: effects::groups(old.view, new.view),
        ends: effects::ends(old.view, new.view),
        sheets,
    }
}

fn state(document: &Document<'_>) -> State {
    State {
        title: document.identity.title.clone(),
        revision: document.identity.revision.clone(),
        plan_sha256: document.identity.hash.clone(),
        verdict: document.view.assessment.standing.verdict.map(crate::budget::Verdict::word),
    }
}

/// Sheets whose rows differ. `about` carries the hash and differs whenever anything does.
fn changed_sheets(old: &Schedule<'_>, new: &Schedule<'_>) -> Vec<SheetChange> {
    let both = old.sheets().zip(new.sheets()).filter(|(sheet, _)| sheet.name != ABOUT);
    both.filter_map(|(old, new)| {
        let (before, after) = (rows(&old.rows), rows(&new.rows));
        let (old_rows, new_rows) = apart(&before, &after);
        let differs = old_rows + new_rows > 0;
        differs.then_some(SheetChange { sheet: new.name, title: new.title, new_rows, old_rows })
    })
    .collect()
}

/// Rows as text, sorted.
fn rows(rows: &[Vec<Cell>]) -> Vec<String> {
    let line = |row: &Vec<Cell>| row.iter().map(Cell::shown).collect::<Vec<_>>().join("\u{1f}");
    let mut lines: Vec<String> = rows.iter().map(line).collect();
    lines.sort_unstable();
    lines
}

/// How many of two sorted lists stand in one alone.
fn apart(old: &[String], new: &[String]) -> (usize, usize) {
    let (mut at_old, mut at_new, mut only_old, mut only_new) = (0, 0, 0, 0);
    while at_old < old.len() && at_new < new.len() {
        match old[at_old].cmp(&new[at_new]) {
            std::cmp::Ordering::Less => (at_old, only_old) = (at_old + 1, only_old + 1),
            std::cmp::Ordering::Greater => (at_new, only_new) = (at_new + 1, only_new + 1),
            std::cmp::Ordering::Equal => (at_old, at_new) = (at_old + 1, at_new + 1),
        }
    }
    (only_old + old.len() - at_old, only_new + new.len() - at_new)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_stand_in_one_list_alone_are_counted() {
        let list = |texts: &[&str]| texts.iter().map(ToString::to_string).collect::<Vec<_>>();
        assert_eq!(apart(&list(&["a", "b", "b", "d"]), &list(&["b", "c", "d", "e"])), (2, 2));
        assert_eq!(apart(&[], &list(&["a"])), (0, 1));
        assert_eq!(apart(&list(&["a"]), &list(&["a"])), (0, 0));
    }
}
