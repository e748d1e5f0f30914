//! What is said of a port beside its optic's name, and of how a span is built.

use crate::tables::{Polish, Table};
use crate::units::{GigabitsPerSecond, Watts};

/// A port as somebody fitted it out: cage, card, and what is known of the module in it. Ports of
/// which the same is said share one entry. Names are rows of the reference tables, in their spelling.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fitting {
    /// The type of the card that the port belongs to.
    pub card: Option<String>,
    /// The form factor that the cage takes.
    pub cage: Option<String>,
    /// The form factor of the module.
    pub form: Option<String>,
    /// The module's temperature range.
    pub temperature: Option<String>,
    /// The most electrical power that the module takes.
    pub power: Option<Watts>,
    /// The data rate that the port is set to.
    pub rate: Option<GigabitsPerSecond>,
    /// The error correction that the port is set to.
    pub fec: Option<String>,
    /// The optical face of the module: connector and polish.
    pub face: Plug,
    /// The lane of a broken-out parallel optic that this port is, from 1.
    pub lane: Option<u16>,
}

impl Fitting {
    /// The port without anything that is said of the module in it.
    #[must_use]
    pub fn without_module(self) -> Self {
        Self { card: self.card, cage: self.cage, rate: self.rate, fec: self.fec, ..Self::default() }
    }

    /// What is said here, and where nothing is said, what another one says.
    #[must_use]
    pub fn laid_over(self, other: Self) -> Self {
        Self {
            card: self.card.or(other.card),
            cage: self.cage.or(other.cage),
            form: self.form.or(other.form),
            temperature: self.temperature.or(other.temperature),
            power: self.power.or(other.power),
            rate: self.rate.or(other.rate),
            fec: self.fec.or(other.fec),
            face: if self.face.is_unstated() { other.face } else { self.face },
            lane: self.lane.or(other.lane),
        }
    }
}

/// An end face: of a plug, or of the receptacle that takes one.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Plug {
    /// Connector, in capitals: `LC`, `SC`, `MPO-12`.
    pub connector: Option<String>,
    /// Polish, a row of the polish table.
    pub polish: Option<String>,
    /// Whether an array connector has pins.
    pub pinned: Option<bool>,
}

impl Plug {
    /// The connectors that are known by name (IEC 61754 series; the smallest ones by their makers'
    /// agreements). An array connector is named with its number of positions.
    pub const CONNECTORS: [&'static str; 14] = [
        "LC", "SC", "FC", "ST", "MU", "LSH", "MT-RJ", "CS", "SN", "MDC", "MPO-8", "MPO-12", "MPO-16",
        "MPO-24",
    ];

    /// Reads `LC/UPC` or `MPO-12/APC/pinned`: connector, polish and pins in any order.
    ///
    /// # Errors
    /// The part that is none of them, or that says one thing twice.
    pub fn parse(text: &str, polishes: &Table<Polish>) -> Result<Self, PlugError> {
        let mut plug = Self::default();
        for part in text.split('/').map(str::trim) {
            let connector = Self::CONNECTORS.iter().find(|known| known.eq_ignore_ascii_case(part));
            let said_twice = if let Some(connector) = connector {
                plug.connector.replace((*connector).to_string()).is_some()
            } else if let Some(row) = polishes.get(part) {
                plug.polish.replace(row.key.clone()).is_some()
            } else {
                let pinned = match part {
                    "pinned" => true,
                    "unpinned" => false,
                    _ => return Err(PlugError::Unknown(part.to_string())),
                };
                plug.pinned.replace(pinned).is_some()
            };
            if said_twice {
                return Err(PlugError::Twice(part.to_string()));
            }
        }
        Ok(plug)
    }

    /// Whether it is an array connector, where it is known.
    pub fn is_array(&self) -> Option<bool> {
        self.connector.as_ref().map(|connector| connector.starts_with("MPO"))
    }

    /// `LC/UPC`, as it is written; `not stated` where nothing is said.
    pub fn words(&self) -> String {
        let pins = self.pinned.map(|pinned| if pinned { "pinned" } else { "unpinned" });
        let parts = [self.connector.as_deref(), self.polish.as_deref(), pins];
        let said: Vec<&str> = parts.into_iter().flatten().collect();
        if said.is_empty() { "not stated".to_string() } else { said.join("/") }
    }

    /// Whether nothing is said of it.
    pub fn is_unstated(&self) -> bool {
        *self == Self::default()
    }
}

/// Why a written end face was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlugError {
    /// A part that means nothing.
    #[error("`{0}` is no connector, no polish and neither `pinned` nor `unpinned`")]
    Unknown(String),
    /// A part that says what another one has said.
    #[error("`{0}` stands beside another part of its kind: a face has one connector and one polish")]
    Twice(String),
}

/// How the fibers of an array cord or trunk run from one plug to the other (TIA-568.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Polarity {
    /// Type A: position 1 to position 1.
    A,
    /// Type B: position 1 to the last.
    B,
    /// Type C: neighbors exchanged.
    C,
}

impl Polarity {
    /// All of them with the letter that stands in a plan.
    pub const ALL: [(&'static str, Self); 3] = [("A", Self::A), ("B", Self::B), ("C", Self::C)];

    /// Its letter.
    pub const fn word(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
        }
    }
}

/// How a span is built, beside its fiber. Spans of which the same is said share one entry.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Build {
    /// The plugs at its `from` and `to` ends.
    pub plugs: [Plug; 2],
    /// How an array cord runs.
    pub polarity: Option<Polarity>,
    /// Fibers that run side by side: 1 for simplex, 2 for duplex, 12 for an array.
    pub fibers: Option<u16>,
    /// Whether it is a mode-conditioning cord, where it is said.
    pub mode_conditioning: Option<bool>,
}
