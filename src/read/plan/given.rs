//! Values as they were given, whether in YAML or in a CSV cell, and what can be made of them.

use super::csv_rows::RowPlace;
use super::reader::Reader;
use crate::check::plan_rules::{bad_count, bad_quantity, unknown_place, unknown_row, unknown_word};
use crate::check::{Finding, nearest};
use crate::place::Origin;
use crate::tables::{Table, Tables};
use crate::units::Quantity;

/// Rows of a table that are listed where no name is near.
const LISTED_ROWS: usize = 20;

/// What a value belongs to, for messages: ``splitter `fdh-3a` ``.
#[derive(Debug, Clone, Copy)]
pub(super) struct Owner<'g> {
    /// What it is: `splitter`, `span`, `` `defaults` ``.
    pub(super) kind: &'static str,
    /// Its id; empty where it has none.
    pub(super) id: &'g str,
}

impl std::fmt::Display for Owner<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.id {
            "" => f.write_str(self.kind),
            id => write!(f, "{} `{}`", self.kind, clip(id)),
        }
    }
}

/// Where a value stands; the place of a CSV cell is worked out only when a finding needs it.
#[derive(Debug, Clone, Copy)]
pub(super) enum At<'g> {
    /// A place that is known.
    Known(Origin),
    /// A cell of a row, by its index.
    Cell(&'g RowPlace<'g>, usize),
}

impl At<'_> {
    /// The place.
    pub(super) fn origin(self) -> Origin {
        match self {
            Self::Known(origin) => origin,
            Self::Cell(row, index) => row.cell(index),
        }
    }
}

/// One value as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct Given<'g> {
    /// Its text.
    pub(super) text: &'g str,
    /// The key or column it stands under.
    pub(super) key: &'g str,
    /// What it belongs to.
    pub(super) owner: Owner<'g>,
    /// Where it stands.
    pub(super) at: At<'g>,
}

/// Long input is cut in messages.
pub(super) fn clip(text: &str) -> std::borrow::Cow<'_, str> {
    const LONGEST: usize = 80;
    match text.char_indices().nth(LONGEST) {
        None => text.into(),
        Some((end, _)) => format!("{}…", &text[..end]).into(),
    }
}

impl Reader<'_> {
    /// A quantity with its unit.
    pub(super) fn quantity<Q: Quantity>(&mut self, given: &Given<'_>) -> Option<Q> {
        match Q::parse(given.text) {
            Ok(value) => Some(value),
            Err(error) => {
                let message = format!("`{}` of {}: {error}", given.key, given.owner);
                let at = given.at.origin();
                self.findings.push(bad_quantity::RULE.hit(at, given.owner.id, message));
                None
            }
        }
    }

    /// A quantity that must be more than nothing.
    pub(super) fn positive<Q: Quantity + PartialOrd + Default>(
        &mut self,
        given: &Given<'_>,
    ) -> Option<Q> {
        let value: Q = self.quantity(given)?;
        if value > Q::default() {
            return Some(value);
        }
        let message = format!(
            "`{}` of {} is `{}`; it must be more than 0",
            given.key,
            given.owner,
            clip(given.text)
        );
        self.findings.push(bad_quantity::RULE.hit(given.at.origin(), given.owner.id, message));
        None
    }

    /// A whole number from `least` to `most`.
    pub(super) fn count(&mut self, given: &Given<'_>, least: u32, most: u32) -> Option<u32> {
        let number = given.text.trim().parse::<u32>().ok();
        if let Some(number) = number.filter(|number| (least..=most).contains(number)) {
            return Some(number);
        }
        let message = format!(
            "`{}` of {} is `{}`; expected a whole number from {least} to {most}",
            given.key,
            given.owner,
            clip(given.text)
        );
        self.findings.push(bad_count::RULE.hit(given.at.origin(), given.owner.id, message));
        None
    }

    /// One of a few words; blanks may stand for hyphens.
    pub(super) fn word<T: Copy>(&mut self, given: &Given<'_>, words: &[(&str, T)]) -> Option<T> {
        let written = given.text.trim().replace(' ', "-");
        if let Some((_, meant)) = words.iter().find(|(word, _)| *word == written) {
            return Some(*meant);
        }
        let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        let message = format!(
            "`{}` of {} is `{}`; expected {}",
            given.key,
            given.owner,
            clip(given.text),
            list.join(", ")
        );
        let finding = unknown_word::RULE.hit(given.at.origin(), given.owner.id, message);
        self.findings.push(suggest(finding, &written, words.iter().map(|(word, _)| *word)));
        None
    }

    /// The key of the table row that a value names.
    pub(super) fn row<T>(
        &mut self,
        given: &Given<'_>,
        what: &str,
        table: impl Fn(&Tables) -> &Table<T>,
    ) -> Option<String> {
        let rows = table(&self.tables);
        if let Some(row) = rows.get(given.text) {
            return Some(row.key.clone());
        }
        let finding = suggest_row(unknown(given, what, rows.name), given.text, rows);
        self.findings.push(finding);
        None
    }

    /// The index of the place that a value names.
    pub(super) fn place(&mut self, given: &Given<'_>) -> Option<u32> {
        let known = self.plan.names.find(given.text).and_then(|id| self.places.get(&id));
        if let Some(place) = known {
            return Some(*place);
        }
        if self.places_unsure {
            return None;
        }
        let at = given.at.origin();
        if self.findings.only_count(&unknown_place::RULE, at) {
            return None;
        }
        let message = format!("{} stands in `{}`", given.owner, clip(given.text))
            + ", which is not among the plan's places";
        let mut finding = unknown_place::RULE.hit(at, given.owner.id, message);
        if self.plan.places.is_empty() {
            finding = finding.hint("the plan has no places: add `places`, or take `place` out");
        } else if self.findings.hits(&unknown_place::RULE) < super::reader::SUGGESTIONS {
            let names = self.plan.places.iter().map(|place| self.plan.names.get(place.name));
            finding = suggest(finding, given.text, names);
        }
        self.findings.push(finding);
        None
    }
}

/// The finding for a name that a table does not have.
pub(super) fn unknown(given: &Given<'_>, what: &str, table: &str) -> Finding {
    let message = format!(
        "`{}` of {} is `{}`, which is no {what} of the table `{table}`",
        given.key,
        given.owner,
        clip(given.text)
    );
    unknown_row::RULE.hit(given.at.origin(), given.owner.id, message)
}

/// Adds the nearest row of a table to a finding; where none is near, all of a short table.
pub(super) fn suggest_row<T>(finding: Finding, written: &str, table: &Table<T>) -> Finding {
    let finding = suggest(finding, written, table.names());
    if !finding.hint.is_empty() || table.rows().len() > LISTED_ROWS {
        return finding;
    }
    let keys: Vec<&str> = table.rows().iter().map(|row| row.key.as_str()).collect();
    finding.hint(format!("the table has `{}`", keys.join("`, `")))
}

/// Adds the nearest known name to a finding.
pub(super) fn suggest<'n>(
    finding: Finding,
    written: &str,
    known: impl IntoIterator<Item = &'n str>,
) -> Finding {
    match nearest(&clip(written), known).filter(|near| !siblings(written, near)) {
        Some(near) => finding.hint(format!("did you mean `{near}`?")),
        None => finding,
    }
}

/// Whether two names are neighbors in a numbering (`home-12`, `home-1`; `1x9`, `1x8`): near in
/// letters, but not what was meant. Turned digits and other zeros at the front are slips.
pub(super) fn siblings(one: &str, other: &str) -> bool {
    let letters = |name: &str| name.replace(|c: char| c.is_ascii_digit(), "");
    let sorted = |name: &str| {
        let mut digits: Vec<char> = name.chars().filter(char::is_ascii_digit).collect();
        digits.sort_unstable();
        digits
    };
    let numbers = |name: &str| {
        let runs = name.split(|c: char| !c.is_ascii_digit());
        runs.map(|run| run.trim_start_matches('0').to_string()).collect::<Vec<_>>()
    };
    letters(one) == letters(other)
        && sorted(one) != sorted(other)
        && numbers(one) != numbers(other)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_neighbor_in_a_numbering_is_no_slip() {
        assert!(siblings("home-12", "home-1"));
        assert!(siblings("1x9", "1x8"));
        assert!(!siblings("G.625.D", "G.652.D"));
        assert!(!siblings("home-07", "home-7"));
        assert!(!siblings("hom-1", "home-1"));
        assert!(!siblings("fdh-7b", "fdh-7a"));
    }
}
