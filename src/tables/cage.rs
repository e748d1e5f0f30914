//! Which module goes into which cage, and whether it works there.

use super::{Row, Tables};

/// Whether a module seats in a cage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Seats {
    /// It goes in and locks.
    Yes,
    /// It does not go in, or not fully.
    No,
    /// Only in an adapter that goes into the cage.
    WithAdapter,
}

impl Seats {
    /// The words of the table.
    pub const WORDS: [&'static str; 3] = ["yes", "no", "with-adapter"];

    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "yes" => Some(Self::Yes),
            "no" => Some(Self::No),
            "with-adapter" => Some(Self::WithAdapter),
            _ => None,
        }
    }
}

/// Whether a module that seats works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Works {
    /// It works, unless the condition is known to be broken.
    Yes,
    /// It does not work.
    No,
    /// It works only if the condition holds: not known is not yes.
    Depends,
}

impl Works {
    /// The words of the table.
    pub const WORDS: [&'static str; 3] = ["yes", "no", "depends"];

    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "yes" => Some(Self::Yes),
            "no" => Some(Self::No),
            "depends" => Some(Self::Depends),
            _ => None,
        }
    }
}

/// What it depends on whether a module works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Condition {
    /// Nothing.
    None,
    /// The port must have the module's rate as a mode.
    PortRate,
    /// The module must have the port's rate as a mode.
    ModuleRate,
    /// Port and module must have a rate in common.
    BothRates,
    /// Module and cage must be made for the same top (finned, closed, flat).
    SameTop,
}

impl Condition {
    /// The words of the table.
    pub const WORDS: [&'static str; 5] = ["none", "port-rate", "module-rate", "both-rates", "same-top"];

    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "none" => Some(Self::None),
            "port-rate" => Some(Self::PortRate),
            "module-rate" => Some(Self::ModuleRate),
            "both-rates" => Some(Self::BothRates),
            "same-top" => Some(Self::SameTop),
            _ => None,
        }
    }
}

/// What becomes of one form of module in one form of cage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CageFit {
    /// The cage, by the form factor it is made for; [`CageFit::ANY`] in the row for whole families.
    pub cage: String,
    /// The module's form factor; [`CageFit::ANY`] in the row for whole families.
    pub module: String,
    /// Whether it seats.
    pub seats: Seats,
    /// Whether it works.
    pub works: Works,
    /// What that depends on.
    pub condition: Condition,
    /// The reason, in words.
    pub why: String,
}

impl CageFit {
    /// Stands for every form factor in the row that holds between families.
    pub const ANY: &'static str = "*";

    /// The name a row is found by.
    pub fn key(cage: &str, module: &str) -> String {
        format!("{module} in {cage}")
    }
}

impl Tables {
    /// What becomes of a module in a cage, both by any name of their form factors.
    ///
    /// Form factors of different families do not go into each other's cages unless a row of their
    /// own says so: for them the row for whole families is returned. `None` = not known, which is
    /// never a pass.
    pub fn cage_fit(&self, cage: &str, module: &str) -> Option<&Row<CageFit>> {
        let (cage, module) = (self.form_factors.get(cage)?, self.form_factors.get(module)?);
        let own = self.cages.get(&CageFit::key(&cage.key, &module.key));
        let families = [&cage.value.family, &module.value.family];
        let unlike = families[0] != families[1] && families.iter().all(|family| !family.is_empty());
        own.or_else(|| {
            let any = unlike.then(|| CageFit::key(CageFit::ANY, CageFit::ANY))?;
            self.cages.get(&any)
        })
    }
}
