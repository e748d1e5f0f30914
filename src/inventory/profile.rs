//! The words that rows share, understood once.
//!
//! A hundred million rows have some thousand different sets of words, so everything that depends on
//! words alone is judged once per profile and not once per row.

use super::blank::says_nothing;
use super::column::Column;
use super::name;
use super::number::{LevelUnit, Quantity, read};
use super::row::Row;
use super::split::split;
use super::state::{
    Oper, SiteClass, Status, is_olt, is_one_of, is_onu, is_understood, is_uplink, oper, site_class,
    status,
};
use crate::tables::{Named, Optic, Role, Tables};
use crate::units::{DecibelMilliwatts, Nanometers};

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
    /// Whether the optic as written is copper or a cable with its ends fixed: nothing optical to judge.
    pub is_electrical: bool,
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
        // A threshold of zero is one that the module does not have.
        let hot =
            hot.filter(|hot| *hot > 0.0).or_else(|| grade.map(|range| range.value.most.value() * 10.0));
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
            is_electrical: own.is_none() && tables.says_electrical(at(Column::Module)),
            is_blank: is_one_of(card, &["BLANK", "FILLER", "BLANKPANEL"]),
            is_empty_slot: is_one_of(card, &["EMPTY", "NONE", "NOTEQUIPPED", "UNEQUIPPED"]),
            is_uplink: is_uplink(port_role),
            is_pon: own.as_ref().is_some_and(|optic| optic.role == Role::Olt) || is_olt(port_role),
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

    /// Whether a word of state, status or role is understood, or says nothing.
    pub fn is_understood(&self, column: Column) -> bool {
        is_understood(column, self.word(column))
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

fn role(port_role: &str, _class: &str) -> Role {
    if is_onu(port_role) { Role::Onu } else { Role::Olt }
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

fn nanometers(word: &str) -> Option<Nanometers> {
    let digits = word.trim().to_lowercase();
    let number: f64 = digits.trim_end_matches("nm").trim().replace(',', ".").parse().ok()?;
    (600.0..=1700.0).contains(&number).then(|| Nanometers::new(number))
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
}
