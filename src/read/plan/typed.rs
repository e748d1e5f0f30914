//! Words typed on a command line, read as a plan's are: one wording, one set of hints.

use std::sync::Arc;

use super::given::{At, Given, Owner, suggest};
use super::reader::Reader;
use crate::check::Finding;
use crate::check::plan_rules::unknown_word;
use crate::place::Origin;
use crate::plan::{Fitting, Plug, Polarity};
use crate::read::sources::Sources;
use crate::tables::{Table, Tables};

/// Reads what arguments say. What cannot be read is left out and told by [`Self::findings`].
#[derive(Debug)]
pub struct Typed<'s> {
    reader: Reader<'s>,
}

/// An argument and what it says.
fn given<'g>(argument: &'g str, text: &'g str) -> Given<'g> {
    let owner = Owner { kind: "", id: "" };
    Given { text, key: argument, owner, at: At::Known(Origin::COMMAND_LINE) }
}

impl<'s> Typed<'s> {
    /// A reading that has met nothing yet.
    pub fn new(tables: Arc<Tables>, sources: &'s mut Sources) -> Self {
        Self { reader: Reader::new(tables, sources, None) }
    }

    /// What was wrong with the arguments.
    pub fn findings(self) -> Vec<Finding> {
        self.reader.findings.finish()
    }

    /// One thing said of a port, by the key that it has in a plan.
    pub fn fit_out(&mut self, fitting: &mut Fitting, key: &str, argument: &str, text: &str) {
        self.reader.fit_out(fitting, key, &given(argument, text));
    }

    /// The row of a table; `what`: what its rows are.
    pub fn row<T>(
        &mut self,
        argument: &str,
        text: &str,
        what: &str,
        table: fn(&Tables) -> &Table<T>,
    ) -> Option<String> {
        self.reader.row(&given(argument, text), what, table)
    }

    /// A kind of place for which a temperature range is known.
    pub fn place(&mut self, argument: &str, text: &str) -> Option<String> {
        let given = given(argument, text);
        let rows = self.reader.tables.temperature_ranges.rows();
        let mut kinds: Vec<&str> =
            rows.iter().flat_map(|row| row.value.places.iter().map(String::as_str)).collect();
        kinds.sort_unstable();
        kinds.dedup();
        if let Some(kind) = kinds.iter().find(|kind| kind.eq_ignore_ascii_case(text.trim())) {
            return Some((*kind).to_string());
        }
        let message = format!("{given}; expected `{}`", kinds.join("`, `"));
        let finding = unknown_word::RULE.hit(Origin::COMMAND_LINE, "", message);
        let within = kinds.iter().find(|kind| text.to_lowercase().contains(**kind));
        let finding = match within {
            Some(kind) => finding.hint(format!("did you mean `{kind}`?")),
            None => suggest(finding, text, kinds.iter().copied()),
        };
        self.reader.findings.push(finding);
        None
    }

    /// Optics, each with the channel that it is set to.
    pub fn tuned(&mut self, argument: &str, channel: &str, optics: Vec<String>) -> Vec<String> {
        self.reader.tuned(optics, &given(argument, channel))
    }

    /// Plugs of a cord: one for both ends, or two.
    pub fn plugs(&mut self, argument: &str, texts: &[String]) -> Option<[Plug; 2]> {
        let all: Vec<Given<'_>> = texts.iter().map(|text| given(argument, text)).collect();
        self.reader.two_plugs(&all)
    }

    /// The type of an array cord.
    pub fn polarity(&mut self, argument: &str, text: &str) -> Option<Polarity> {
        self.reader.polarity(&given(argument, text))
    }

    /// Inputs, legs and row of a splitter, by its ratio or its row.
    pub fn split(&mut self, argument: &str, text: &str) -> Option<(u16, u16, String)> {
        self.reader.split(&given(argument, text))
    }
}
