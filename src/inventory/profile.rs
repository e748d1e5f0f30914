//! The words that rows share, understood once.
//!
//! A hundred million rows have some thousand different sets of words, so everything that depends on
//! words alone is judged once per profile and not once per row.

use super::blank::says_nothing;
use super::column::Column;
use super::name;
use super::number::{LevelUnit, Quantity, read};
use super::row::Row;
use crate::tables::{Named, Optic, Role, Tables};
use crate::units::{DecibelMilliwatts, Nanometers};

/// What surrounds the equipment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SiteClass {
    /// Air-conditioned room.
    Controlled,
    /// Hut: heat and frost, dampened.
    Hut,
    /// Outdoor cabinet: heat and frost.
    Cabinet,
    /// Not written or not understood.
    Unknown,
}

impl SiteClass {
    /// The kind of place, as plans and tables name it.
    pub const fn place_kind(self) -> Option<&'static str> {
        match self {
            Self::Controlled => Some("central-office"),
            Self::Hut => Some("hut"),
            Self::Cabinet => Some("cabinet"),
            Self::Unknown => None,
        }
    }
}

/// What the port says of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Oper {
    /// Works.
    Up,
    /// Does not work, or is switched off.
    Down,
    /// Nothing is plugged.
    Empty,
    /// Not written or not understood.
    Unknown,
}

/// What the record says of the port's life.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Status {
    /// In service.
    InService,
    /// Planned, not yet built.
    Planned,
    /// Spare.
    Spare,
    /// Taken out of service.
    Retired,
    /// Not written or not understood.
    Unknown,
}

/// A set of words.
#[derive(Debug, Clone)]
pub struct Profile {
    words: Box<[Box<str>]>,
    /// Surroundings.
    pub site_class: SiteClass,
    /// State of the port.
    pub oper: Oper,
    /// Whether the port is switched off by will.
    pub admin_down: bool,
    /// State of the record.
    pub status: Status,
    /// The optic; `None` = not written or not known.
    pub optic: Option<Optic>,
    /// The optic that the row has for the far end.
    pub far_optic: Option<Optic>,
    /// The optic that was planned.
    pub planned: Option<Optic>,
    /// Transmit wavelength as written.
    pub tx_nm: Option<Nanometers>,
    /// Number of legs of the split.
    pub split: Option<u16>,
    /// Receive thresholds: low alarm, low warning, high warning, high alarm.
    pub thresholds: [Option<DecibelMilliwatts>; 4],
    /// What the case may have, tenths of a degree: the upper alarm threshold, or else the most of the
    /// temperature grade; [`Row::NONE`] = neither is written.
    pub hot: i16,
    /// Fingerprint of the optic as written; 0 = nothing is said.
    pub module_print: u32,
    /// Fingerprint of the optic that the row has for the far end; 0 = nothing is said.
    pub far_module_print: u32,
    /// Whether an optic is written, and not a word for nothing.
    pub has_module: bool,
    /// Whether the card column says that a blank fills the slot.
    pub is_blank: bool,
    /// Whether the card column says that the slot is empty.
    pub is_empty_slot: bool,
    /// Whether the port is an uplink.
    pub is_uplink: bool,
    /// Whether the port feeds a PON.
    pub is_pon: bool,
    /// Whether the fiber is multimode, as written.
    pub is_multimode: bool,
}

impl Profile {
    /// Understands a set of words; `words` in the order of the columns of words.
    pub fn read(words: &[&str], tables: &Tables) -> Self {
        let at = |column: Column| {
            place(column).and_then(|index| words.get(index)).copied().unwrap_or_default()
        };
        let role = role(at(Column::PortRole), at(Column::PonClass));
        let form = Some(at(Column::Form)).filter(|form| !form.is_empty());
        let optic = |column: Column| optic(tables, at(column), at(Column::PonClass), form, role);
        let far_role = if role == Role::Olt { Role::Onu } else { Role::Olt };
        let level = |column: Column| {
            let reading = read(at(column), Quantity::Level(LevelUnit::Dbm));
            reading.value.map(|hundredths| DecibelMilliwatts::new(hundredths / 100.0))
        };
        let hot = read(at(Column::TempHighAlarm), Quantity::Temperature).value.map(|hot| hot / 10.0);
        let grade = tables.temperature_ranges.get(at(Column::Grade));
        let hot = hot.or_else(|| grade.map(|range| range.value.most.value() * 10.0));
        let print = |word: &str| match name::site(word) {
            folded if says_nothing(&folded) => 0,
            folded => name::fingerprint(folded.as_bytes()),
        };
        let card = at(Column::CardType);
        let port_role = at(Column::PortRole);
        let own = optic(Column::Module);
        let fiber = at(Column::Fiber).trim().to_uppercase();
        Self {
            has_module: !says_nothing(at(Column::Module)),
            is_blank: is_one_of(card, &["BLANK", "FILLER", "BLANKPANEL"]),
            is_empty_slot: is_one_of(card, &["EMPTY", "NONE", "NOTEQUIPPED", "UNEQUIPPED"]),
            is_uplink: is_one_of(port_role, &["UPLINK", "NNI", "TRUNK"]),
            is_pon: own.as_ref().is_some_and(|optic| optic.role == Role::Olt)
                || is_one_of(port_role, &["OLTPON", "PON", "OLT"]),
            is_multimode: fiber.starts_with("OM") || fiber.starts_with("MM"),
            site_class: site_class(at(Column::SiteClass)),
            oper: oper(at(Column::Oper)),
            admin_down: oper(at(Column::Admin)) == Oper::Down,
            status: status(at(Column::Status)),
            optic: own,
            far_optic: self::optic(tables, at(Column::FarModule), "", None, far_role),
            planned: optic(Column::PlannedModule),
            tx_nm: nanometers(at(Column::TxNm)),
            split: split(at(Column::Split)),
            thresholds: [
                level(Column::RxLowAlarm),
                level(Column::RxLowWarning),
                level(Column::RxHighWarning),
                level(Column::RxHighAlarm),
            ],
            hot: hot.map_or(Row::NONE, |tenths| tenths.round() as i16),
            module_print: print(at(Column::Module)),
            far_module_print: print(at(Column::FarModule)),
            words: words.iter().map(|word| Box::from(*word)).collect(),
        }
    }

    /// A word as written.
    pub fn word(&self, column: Column) -> &str {
        place(column).and_then(|index| self.words.get(index)).map_or("", |word| word)
    }
}

/// The place of a word among the words of a profile: the columns of words stand together.
fn place(column: Column) -> Option<usize> {
    (column as usize).checked_sub(Column::SiteClass as usize)
}

fn is_one_of(word: &str, known: &[&str]) -> bool {
    let folded = fold(word);
    known.contains(&folded.as_str())
}

/// Letters and digits only, upper case.
fn fold(word: &str) -> String {
    super::name::site(word)
}

fn role(port_role: &str, _class: &str) -> Role {
    if is_one_of(port_role, &["ONU", "ONT", "ONUPON"]) { Role::Onu } else { Role::Olt }
}

/// The optic of a written name; of a PON module the class may stand in a column of its own.
fn optic(tables: &Tables, module: &str, class: &str, form: Option<&str>, role: Role) -> Option<Optic> {
    let word = module.trim();
    if says_nothing(word) {
        return None;
    }
    let find = |name: &str| Optic::find(tables, name, role);
    find(word).or_else(|| find(&format!("{word} {class}"))).or_else(|| {
        match tables.interface_named_in(word, form) {
            Named::One(name) => find(name),
            Named::Several(_) | Named::Unknown { .. } => None,
        }
    })
}

fn site_class(word: &str) -> SiteClass {
    match fold(word).as_str() {
        "CONTROLLED" | "CO" | "CENTRALOFFICE" | "OFFICE" | "INDOOR" | "DATACENTER" | "DATAHALL" => {
            SiteClass::Controlled
        }
        "HUT" | "SHELTER" | "CONTAINER" => SiteClass::Hut,
        "CABINET" | "OUTDOOR" | "STREETCABINET" | "UNCONTROLLED" | "POLE" => SiteClass::Cabinet,
        _ => SiteClass::Unknown,
    }
}

fn oper(word: &str) -> Oper {
    match fold(word).as_str() {
        "UP" | "ENABLED" | "ACTIVE" | "ONLINE" | "1" | "WORKING" => Oper::Up,
        "DOWN" | "DISABLED" | "SHUTDOWN" | "OFFLINE" | "LOCKED" | "2" | "ADMINDOWN" => Oper::Down,
        "EMPTY" | "NOTPRESENT" | "ABSENT" | "NOMODULE" => Oper::Empty,
        _ => Oper::Unknown,
    }
}

fn status(word: &str) -> Status {
    match fold(word).as_str() {
        "INSERVICE" | "LIVE" | "ACTIVE" | "WORKING" | "USED" => Status::InService,
        "PLANNED" | "ORDERED" | "RESERVED" | "INBUILD" => Status::Planned,
        "SPARE" | "FREE" | "AVAILABLE" => Status::Spare,
        "RETIRED" | "DECOMMISSIONED" | "OLD" | "CEASED" | "DELETED" => Status::Retired,
        _ => Status::Unknown,
    }
}

fn nanometers(word: &str) -> Option<Nanometers> {
    let digits = word.trim().to_lowercase();
    let number: f64 = digits.trim_end_matches("nm").trim().replace(',', ".").parse().ok()?;
    (600.0..=1700.0).contains(&number).then(|| Nanometers::new(number))
}

/// `1:32`, `1x32`, `32`, `1/32`, `SPL32`.
fn split(word: &str) -> Option<u16> {
    let digits: String = {
        let tail = word.trim().rsplit(|c: char| !c.is_ascii_digit()).next()?;
        tail.to_string()
    };
    digits.parse().ok().filter(|legs: &u16| *legs > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_of_words_stand_together() {
        use super::super::column::{COLUMNS, ColumnKind};
        let words = COLUMNS.iter().filter(|column| column.kind() == ColumnKind::Word);
        for (index, column) in words.enumerate() {
            assert_eq!(place(*column), Some(index), "{}", column.name());
        }
    }

    #[test]
    fn splits_in_many_spellings() {
        for word in ["1:32", "1x32", "32", "1/32", "SPL32"] {
            assert_eq!(split(word), Some(32), "{word}");
        }
        assert_eq!(split(""), None);
    }

    #[test]
    fn states_in_many_spellings() {
        assert_eq!(oper("Up"), Oper::Up);
        assert_eq!(oper("not present"), Oper::Empty);
        assert_eq!(status("in service"), Status::InService);
        assert_eq!(site_class("Street cabinet"), SiteClass::Cabinet);
    }
}
