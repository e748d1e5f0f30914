//! What the memory of a module says for a port: the optic's name, and how the port is then fitted out.

use super::cage::carries;
use super::memory::{Memory, suggest_interface};
use crate::plan::{Fitting, Plug};
use crate::tables::{FormFactor, Row, Tables};
use crate::units::GigabitsPerSecond;

/// A module in hand, as far as its memory tells.
#[derive(Debug, Clone, PartialEq)]
pub struct InHand {
    /// The interface types that its codes name: one is clear, none or several are not.
    pub optics: Vec<String>,
    /// Form factor, power, temperature range and face.
    pub fitting: Fitting,
}

/// What a memory says for a port.
pub fn in_hand(memory: &Memory, tables: &Tables) -> InHand {
    let optics: Vec<String> =
        suggest_interface(memory, tables).into_iter().map(|suggestion| suggestion.name).collect();
    let fitting = Fitting {
        form: form(memory, &optics, tables).map(|row| row.key.clone()),
        power: memory.power.most,
        temperature: temperature(memory, tables),
        face: face(memory),
        ..Fitting::default()
    };
    InHand { optics, fitting }
}

/// The form factor of the identifier. One identifier stands for SFP, SFP+ and SFP28: of these, the
/// smallest that carries the interface.
fn form<'t>(memory: &Memory, optics: &[String], tables: &'t Tables) -> Option<&'t Row<FormFactor>> {
    let identifier = memory.identifier.raw()?;
    let mut rows: Vec<&Row<FormFactor>> = tables.forms_with_identifier(identifier).collect();
    if rows.len() > 1 {
        let optic = optics.first().and_then(|name| tables.interfaces.get(name))?;
        let rate = optic.value.rate?;
        rows.retain(|row| carries(&row.value, rate));
        rows.sort_by(|a, b| {
            let most = |row: &Row<FormFactor>| {
                row.value.most_rate.map_or(f64::INFINITY, GigabitsPerSecond::value)
            };
            most(a).total_cmp(&most(b))
        });
    }
    rows.first().copied()
}

/// The narrowest range of the table that lies within what the module states for its case.
fn temperature(memory: &Memory, tables: &Tables) -> Option<String> {
    let [Some(least), Some(most)] = memory.case else { return None };
    let rows = tables.temperature_ranges.rows().iter();
    let within = rows.filter(|row| row.value.least >= least && row.value.most <= most);
    let width =
        |row: &Row<crate::tables::TemperatureRange>| row.value.most.value() - row.value.least.value();
    within.max_by(|a, b| width(a).total_cmp(&width(b))).map(|row| row.key.clone())
}

/// The connector, where its code has a name that cords go by.
fn face(memory: &Memory) -> Plug {
    let named = memory.connector.as_ref().and_then(|code| code.meaning.as_deref());
    let connector = named.and_then(|name| {
        let first = name.split_whitespace().next()?;
        Plug::CONNECTORS.iter().find(|known| known.eq_ignore_ascii_case(first))
    });
    Plug { connector: connector.map(|known| (*known).to_string()), ..Plug::default() }
}
