//! What a plan assumes; printed with every result.

use crate::place::Origin;
use crate::tables::{Dirt, Surplus};
use crate::units::{Decibels, DecibelsPerKilometer, Kilometers, Probability};

/// Whether the connectors at the equipment itself count in the loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum EndConnectors {
    /// They belong to the equipment's own figures: ITU-T counts the plant from S/R to R/S.
    #[default]
    Excluded,
    /// They count as joints of the plant.
    Counted,
}

/// Repair splices to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repair {
    /// Splices added …
    pub splices: u32,
    /// … for each begun stretch of this length of outside plant.
    pub per: Kilometers,
    /// Whether their number is random: repairs come without memory of each other (Poisson's law), one
    /// for each such stretch on average. The worst case counts them as stated all the same, and so do the
    /// statistics of a way with more than 100 of them, which no receiver bridges.
    pub is_random: bool,
}

/// Losses that are not there on the first day but must be counted with.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Allowances {
    /// Repair splices.
    pub repair: Option<Repair>,
    /// Ageing of the plant, per path.
    pub ageing: Decibels,
    /// Cold or heat, per kilometer of outside plant.
    pub temperature: DecibelsPerKilometer,
}

/// What a plan assumes.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumptions {
    /// Allowances.
    pub allowances: Allowances,
    /// Design reserve: the margin a `pass` keeps.
    pub reserve: Decibels,
    /// The confidence of the statistical figures.
    pub confidence: Probability,
    /// Connectors at the equipment.
    pub end_connectors: EndConnectors,
    /// By how much launch and sensitivity are better than their worst values where no row of
    /// `optic-spreads` says it, in the statistics alone.
    pub surplus: [Option<Surplus>; 2],
    /// How often a connector is dirty and what it then loses, in the statistics alone; goes before what
    /// its grade's row says.
    pub dirt: Option<Dirt>,
    /// The optic that homes which are not connected yet, and spare legs of splitters, are judged with.
    pub assumed_optic: Option<(String, Origin)>,
    /// Whether the polish of connectors is only the usual one, so that nothing is to be held against it.
    pub usual_polish: bool,
    /// The grades that count somewhere and were taken because none is stated.
    pub usual_grades: Vec<&'static str>,
    /// Splice kind of repair splices, row of the splice table.
    pub repair_splice: String,
}

impl Default for Assumptions {
    fn default() -> Self {
        Self {
            allowances: Allowances::default(),
            reserve: Decibels::ZERO,
            confidence: Probability::clamped(0.999),
            end_connectors: EndConnectors::default(),
            surplus: [None; 2],
            assumed_optic: None,
            dirt: None,
            usual_polish: false,
            usual_grades: Vec::new(),
            repair_splice: "fusion".to_string(),
        }
    }
}
