//! Typed reference tables: what the trade's documents say of fibers, joints, splitters and optics.
//!
//! Holds: the row types, their lookups, and the provenance of every row.
//! Must not know: files, CSV, plans, paths. (`read::tables` fills these values.)
//! Start reading at [`Table`] and [`Tables`]; [`Optic`] is what the other rooms ask for.

mod alias;
mod breakout;
mod cage;
mod card;
mod coexistence;
mod color;
pub mod conditioning;
mod dirt;
mod dispersion;
mod electrical_word;
mod fiber;
mod figures;
mod form_factor;
mod grade;
pub mod grid;
mod interface;
mod inventory_column;
mod joint;
mod module_code;
mod names;
mod optic;
mod passive;
mod pon;
mod power_class;
mod spread;
mod temperature_range;
mod trust;

use rustc_hash::FxHashMap;

pub use alias::{InterfaceAlias, Named};
pub use breakout::Breakout;
pub use cage::{CageFit, Condition, Seats, Works};
pub use card::Card;
pub use coexistence::Coexistence;
pub use color::{CableTemplate, Marked, StrandAt, StrandColor};
pub use dirt::Dirt;
pub use dispersion::{DispersionPoint, Dispersions};
pub use electrical_word::ElectricalWord;
pub use fiber::{AttenuationPoint, Attenuations, FiberKind, FiberType, Transition, infrared_absorption};
pub use figures::{LossFigures, ShapeKind};
pub use form_factor::FormFactor;
pub use grade::{ByGrade, Grade};
pub use interface::{DispersionLimits, FEC_WORDS, Interface, LevelTerms};
pub use inventory_column::InventoryColumn;
pub use joint::{ConnectorGrade, Polish, SpliceKind};
pub use module_code::{CodeAt, CodedInterface, FormFamily, ModuleCode};
pub use names::InterfaceNames;
pub use optic::{Band, Family, Optic, Role};
pub use passive::{AttenuatorValue, HazardLevel, SplitterType, TapType, WdmLeg};
pub use pon::PonClass;
pub use power_class::PowerClass;
pub use spread::{OpticSpread, SpreadLevel, Surplus};
pub use temperature_range::TemperatureRange;
pub use trust::{Trust, cell_provenance, stating_columns};

use crate::place::Origin;

/// Where a row's numbers come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Provenance {
    /// Somebody read the value in a text.
    Published,
    /// What practitioners use; no single document.
    CommonPractice,
    /// Recalled, not read again.
    Memory,
    /// Invented for a demonstration.
    InventedDemo,
    /// Stated by the user, in a table or a plan of their own.
    User,
}

impl Provenance {
    /// All of them, the most trusted first.
    pub const ALL: [Self; 5] =
        [Self::Published, Self::CommonPractice, Self::Memory, Self::InventedDemo, Self::User];

    /// The word that stands in tables and results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::CommonPractice => "common-practice",
            Self::Memory => "memory",
            Self::InventedDemo => "invented-demo",
            Self::User => "user",
        }
    }

    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|p| p.word() == word)
    }
}

/// One row of a table with where it came from.
#[derive(Debug, Clone)]
pub struct Row<T> {
    /// The name the row is found by.
    pub key: String,
    /// Other spellings of the key.
    pub aliases: Vec<String>,
    /// The typed content.
    pub value: T,
    /// The cells as written, in the order of the table's columns.
    pub cells: Vec<String>,
    /// The document the numbers come from.
    pub source: String,
    /// How far the numbers can be trusted.
    pub provenance: Provenance,
    /// Remarks: exceptions, disagreements between sources.
    pub note: String,
    /// The file and line of the row; [`Origin::BUILT_IN`] for the shipped tables.
    pub origin: Origin,
}

/// Index of a row in its table: which row a result used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RowId(pub u32);

/// A table: rows in file order, found by key or alias whatever the case.
#[derive(Debug, Clone)]
pub struct Table<T> {
    /// The file's name without its ending.
    pub name: &'static str,
    /// The heads of the columns, as written.
    pub columns: Vec<String>,
    rows: Vec<Row<T>>,
    index: FxHashMap<String, RowId>,
}

impl<T> Table<T> {
    /// An empty table.
    pub fn new(name: &'static str, columns: Vec<String>) -> Self {
        Self { name, columns, rows: Vec::new(), index: FxHashMap::default() }
    }

    /// Adds a row; a row of the same key is replaced (that is how a user's table is laid over).
    /// Returns whether it replaced one.
    pub fn lay(&mut self, row: Row<T>) -> bool {
        let key = fold(&row.key);
        let aliases: Vec<String> = row.aliases.iter().map(|alias| fold(alias)).collect();
        let same = self.index.get(&key).copied().filter(|id| fold(&self.row(*id).key) == key);
        let id = same.unwrap_or(RowId(self.rows.len() as u32));
        if same.is_some() {
            self.rows[id.0 as usize] = row;
        } else {
            self.rows.push(row);
        }
        self.index.insert(key, id);
        for alias in aliases {
            self.index.entry(alias).or_insert(id);
        }
        same.is_some()
    }

    /// The row of this key or alias, whatever the case and the blanks around it.
    pub fn find(&self, name: &str) -> Option<RowId> {
        self.index.get(&fold(name)).copied()
    }

    /// The row of an id that this table gave out.
    pub fn row(&self, id: RowId) -> &Row<T> {
        &self.rows[id.0 as usize]
    }

    /// The row found by name.
    pub fn get(&self, name: &str) -> Option<&Row<T>> {
        self.find(name).map(|id| self.row(id))
    }

    /// All rows in file order.
    pub fn rows(&self) -> &[Row<T>] {
        &self.rows
    }

    /// Every key and alias, for suggestions.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.rows.iter().flat_map(|row| {
            std::iter::once(row.key.as_str()).chain(row.aliases.iter().map(String::as_str))
        })
    }
}

/// The form in which names are compared: no case, no blanks around, single blanks within.
fn fold(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// All tables together.
#[derive(Debug, Clone)]
pub struct Tables {
    /// Fiber types: kinds, dispersion, indices.
    pub fibers: Table<FiberType>,
    /// Attenuation per fiber type and wavelength (key `FIBER @ NM nm`).
    pub attenuation: Table<AttenuationPoint>,
    /// Dispersion per fiber type and wavelength (key `FIBER @ NM nm`); ask [`Tables::dispersion`].
    pub dispersion_points: Table<DispersionPoint>,
    /// Extra loss of a joint between unlike fibers (key `A to B`).
    pub transitions: Table<Transition>,
    /// Connector grades.
    pub connectors: Table<ConnectorGrade>,
    /// End-face polishes.
    pub polishes: Table<Polish>,
    /// Splice kinds.
    pub splices: Table<SpliceKind>,
    /// Splitters 1xN and 2xN.
    pub splitters: Table<SplitterType>,
    /// Taps (uneven splitters).
    pub taps: Table<TapType>,
    /// Legs of wdm elements (key `ELEMENT/LEG @ MIN-MAX nm`).
    pub wdm_elements: Table<WdmLeg>,
    /// Stocked attenuator values.
    pub attenuators: Table<AttenuatorValue>,
    /// Hazard levels of IEC 60825-2 (key `LEVEL @ MIN-MAX nm`).
    pub hazard_levels: Table<HazardLevel>,
    /// PON classes (key `SYSTEM CLASS`).
    pub pon_classes: Table<PonClass>,
    /// Point-to-point interface types.
    pub interfaces: Table<Interface>,
    /// How levels of optics spread over specimens (key: the optic); ask [`Tables::surplus_of`].
    pub optic_spreads: Table<OpticSpread>,
    /// Codes in the memory of modules (key `STANDARD FIELD CODE`).
    pub module_codes: Table<ModuleCode>,
    /// Columns of port inventories, with the heads that people write.
    pub inventory_columns: Table<InventoryColumn>,
    /// Other spellings of interface types.
    pub interface_aliases: Table<InterfaceAlias>,
    /// Words in names of modules that are copper or attached cables; ask [`Tables::says_electrical`].
    pub electrical_words: Table<ElectricalWord>,
    /// Form factors of optics and of the cages made for them.
    pub form_factors: Table<FormFactor>,
    /// Modules in cages (key `MODULE in CAGE`); ask [`Tables::cage_fit`].
    pub cages: Table<CageFit>,
    /// Power classes (key `FORM CLASS`); ask [`Tables::power_class`].
    pub power_classes: Table<PowerClass>,
    /// Temperature ranges of modules.
    pub temperature_ranges: Table<TemperatureRange>,
    /// Types of card.
    pub cards: Table<Card>,
    /// Breakouts (key `PARENT to CHILD`); ask [`Tables::breakout`].
    pub breakouts: Table<Breakout>,
    /// Pairs of systems on one fiber (key `A with B`); ask [`Tables::coexistence`].
    pub coexistences: Table<Coexistence>,
    /// The spellings of interface types and PON classes, made when they are first asked for.
    pub interface_names: InterfaceNames,
    /// Colors of fibers and tubes (key `ORDER POSITION`).
    pub strand_colors: Table<StrandColor>,
    /// How cables group and color their fibers.
    pub cable_templates: Table<CableTemplate>,
    /// The attenuation points of `attenuation`, by fiber and sorted by wavelength.
    pub attenuations: Attenuations,
    /// The points of `dispersion_points`, by fiber and sorted by wavelength.
    pub dispersions: Dispersions,
}

impl Tables {
    /// Sorts what lookups need sorted. Called once after the tables are filled.
    pub fn prepare(&mut self) {
        self.attenuations = Attenuations::of(&self.attenuation);
        self.dispersions = Dispersions::of(&self.dispersion_points);
        self.interface_names = InterfaceNames::default();
    }
}
