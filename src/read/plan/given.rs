//! Values as they were given, whether in YAML or in a CSV cell, and what can be made of them.

use super::csv_rows::RowPlace;
use super::reader::Reader;
use crate::check::plan_rules::{bad_count, bad_quantity, unknown_place, unknown_row, unknown_word};
use crate::check::{Finding, Rule, nearest};
use crate::place::Origin;
use crate::read::limits;
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

/// Whether a value is longer than any honest one.
pub(super) fn is_too_long(text: &str) -> bool {
    // A text of so few bytes has no more characters.
    text.len() > limits::CELL_CHARS && text.chars().nth(limits::CELL_CHARS).is_some()
}

impl Reader<'_> {
    /// Words a finding, unless it will only be counted.
    pub(super) fn tell(
        &mut self,
        rule: &'static Rule,
        at: Origin,
        finding: impl FnOnce(&Self) -> Finding,
    ) {
        if !self.findings.only_count(rule, at) {
            let finding = finding(self);
            self.findings.push(finding);
        }
    }

    /// Words a finding about one value.
    fn refuse(
        &mut self,
        rule: &'static Rule,
        given: &Given<'_>,
        message: impl FnOnce(&Given<'_>) -> String,
    ) {
        let at = given.at.origin();
        self.tell(rule, at, |_| rule.hit(at, given.owner.id, message(given)));
    }

    /// A quantity with its unit.
    pub(super) fn quantity<Q: Quantity>(&mut self, given: &Given<'_>) -> Option<Q> {
        match Q::parse(given.text) {
            Ok(value) => Some(value),
            Err(error) => {
                self.refuse(&bad_quantity::RULE, given, |given| format!("{}: {error}", given.named()));
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
        self.refuse(&bad_quantity::RULE, given, |given| format!("{given}; it must be more than 0"));
        None
    }

    /// A whole number from `least` to `most`.
    pub(super) fn count(&mut self, given: &Given<'_>, least: u32, most: u32) -> Option<u32> {
        let number = given.text.trim().parse::<u32>().ok();
        if let Some(number) = number.filter(|number| (least..=most).contains(number)) {
            return Some(number);
        }
        self.refuse(&bad_count::RULE, given, |given| {
            format!("{given}; expected a whole number from {least} to {most}")
        });
        None
    }

    /// One of a few words.
    pub(super) fn word<T: Copy>(&mut self, given: &Given<'_>, words: &[(&str, T)]) -> Option<T> {
        let written = given.text.trim();
        if let Some((_, meant)) = words.iter().find(|(word, _)| *word == written) {
            return Some(*meant);
        }
        let at = given.at.origin();
        self.tell(&unknown_word::RULE, at, |_| {
            let list: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let message = format!("{given}; expected `{}`", list.join("`, `"));
            suggest(unknown_word::RULE.hit(at, given.owner.id, message), written, list)
        });
        None
    }

    /// The key of the table row that a value names.
    pub(super) fn row<T>(
        &mut self,
        given: &Given<'_>,
        what: &str,
        table: impl Fn(&Tables) -> &Table<T>,
    ) -> Option<String> {
        if let Some(row) = table(&self.tables).get(given.text) {
            return Some(row.key.clone());
        }
        self.tell(&unknown_row::RULE, given.at.origin(), |reader| {
            let rows = table(&reader.tables);
            suggest_row(unknown(given, what, rows.name), given.text, rows)
        });
        None
    }

    /// The index of the place that a value names.
    pub(super) fn place(&mut self, given: &Given<'_>) -> Option<u32> {
        let known = self.plan.names.find(given.text).and_then(|id| self.places.get(&id));
        if known.is_some() || self.places_unsure {
            return known.copied();
        }
        let at = given.at.origin();
        let affordable = self.affordable(&unknown_place::RULE, self.plan.places.len());
        self.tell(&unknown_place::RULE, at, |reader| {
            let message = format!("{} stands in `{}`", given.owner, clip(given.text))
                + ", which is not among the plan's places";
            let finding = unknown_place::RULE.hit(at, given.owner.id, message);
            let plan = &reader.plan;
            if plan.places.is_empty() {
                return finding.hint("the plan has no places: add `places`, or take `place` out");
            }
            let names = plan.places.iter().map(|place| plan.names.get(place.name));
            if affordable { suggest(finding, given.text, names) } else { finding }
        });
        None
    }

    /// Whether the near name may be looked for among so many names: each search is a pass over all
    /// of them, and a wrong file must not take minutes.
    pub(super) fn affordable(&mut self, rule: &Rule, names: usize) -> bool {
        const SEARCHES: u64 = 20;
        const COMPARISONS: usize = 2_000_000;
        let affordable =
            self.findings.hits(rule) < SEARCHES && self.compared.saturating_add(names) <= COMPARISONS;
        if affordable {
            self.compared += names;
        }
        affordable
    }
}

impl std::fmt::Display for Given<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} is `{}`", self.named(), clip(self.text))
    }
}

impl Given<'_> {
    /// What it is called: by its key and what it belongs to. An argument of a command belongs to nothing.
    pub(super) fn named(&self) -> String {
        if self.owner.kind.is_empty() {
            return format!("`{}`", self.key);
        }
        format!("`{}` of {}", self.key, self.owner)
    }
}

/// The finding for a name that a table does not have.
pub(super) fn unknown(given: &Given<'_>, what: &str, table: &str) -> Finding {
    let message = format!("{given}, which is no {what} of the table `{table}`");
    unknown_row::RULE.hit(given.at.origin(), given.owner.id, message)
}

/// Adds the nearest row of a table to a finding; where none is near, all of a short table.
pub(super) fn suggest_row<T>(finding: Finding, written: &str, table: &Table<T>) -> Finding {
    let finding = suggest(finding, written, table.names());
    if table.rows().len() > LISTED_ROWS {
        return finding;
    }
    let keys: Vec<&str> = table.rows().iter().map(|row| row.key.as_str()).collect();
    or_hint(finding, format!("the table has `{}`", keys.join("`, `")))
}

/// Gives a finding a hint if it has none yet.
pub(super) fn or_hint(finding: Finding, hint: String) -> Finding {
    if finding.hint.is_empty() { finding.hint(hint) } else { finding }
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
    letters(one) == letters(other) && sorted(one) != sorted(other) && numbers(one) != numbers(other)
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
