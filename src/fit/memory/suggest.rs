//! Which interface types a memory's codes name, and what contradicts them.

use super::codes::Code;
use super::map::Map;
use super::{Memory, Wavelength};
use crate::tables::{FormFamily, Interface, RowId, Tables};
use crate::units::{Kilometers, Megabaud, Nanometers};

/// An interface type that a code names.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    /// The row of `interfaces`.
    pub interface: RowId,
    /// Its name there.
    pub name: String,
    /// The code that names it.
    pub code: Code,
}

/// The interface types of the table `interfaces` that the module's codes name, in the order of the
/// codes. Empty where they name none: a cable, copper, or codes that leave it open.
///
/// Where one code stands for several types, those are kept that the form factor, the stated rate,
/// the stated wavelength and the stated reach allow; if that leaves several, all of them are given.
/// Part numbers are never read for it.
pub fn suggest_interface(memory: &Memory, tables: &Tables) -> Vec<Suggestion> {
    if memory.cable.is_some() {
        return Vec::new();
    }
    let media = memory.applications.iter().map(|application| &application.media);
    let mut suggestions: Vec<Suggestion> = Vec::new();
    for code in memory.compliance.iter().chain(media) {
        for interface in named(memory, code, tables) {
            if suggestions.iter().all(|known| known.interface != interface) {
                let name = tables.interfaces.row(interface).key.clone();
                suggestions.push(Suggestion { interface, name, code: code.clone() });
            }
        }
    }
    suggestions
}

/// The interface types of one code.
fn named(memory: &Memory, code: &Code, tables: &Tables) -> Vec<RowId> {
    let Some(row) = code.row else { return Vec::new() };
    let family = match memory.map {
        Map::Sff8472 => Some(FormFamily::Sfp),
        Map::Sff8636 => Some(FormFamily::Qsfp),
        Map::Cmis => None,
    };
    let coded = tables.module_codes.row(row).value.interfaces.iter();
    let coded = coded.filter(|coded| coded.form.is_none() || coded.form == family);
    let found: Vec<RowId> = coded.filter_map(|coded| tables.interfaces.find(&coded.interface)).collect();
    if found.len() < 2 {
        return found;
    }
    narrowed(memory, found, tables)
}

/// Of several types behind one code, those that the rest of the memory allows.
fn narrowed(memory: &Memory, mut found: Vec<RowId>, tables: &Tables) -> Vec<RowId> {
    let interface = |id: RowId| &tables.interfaces.row(id).value;
    if let Some(rate) = memory.rate {
        found.retain(|id| rate_fits(interface(*id), rate.nominal));
    }
    if let Some(wavelength) = memory.wavelength {
        found.retain(|id| wavelength_fits(interface(*id), wavelength));
    }
    let stated = single_mode_reach(memory);
    let reaches_so_far = |id: &RowId| stated.is_some() && interface(*id).reach_single_mode == stated;
    if found.iter().any(reaches_so_far) {
        found.retain(reaches_so_far);
    }
    found
}

/// The stated reach on single-mode fiber, unless it is more than the field can say.
fn single_mode_reach(memory: &Memory) -> Option<Kilometers> {
    let mut stated = memory.reaches.iter().filter(|reach| !reach.or_more);
    stated.find(|reach| reach.fiber == "single-mode").map(|reach| reach.length)
}

/// Whether a symbol rate can carry an interface's data rate: the line code adds at most 30 percent
/// (8B/10B, rounded up to full 100 MBd). Types of more than two levels are not judged.
fn rate_fits(interface: &Interface, rate: Megabaud) -> bool {
    let Some(data) = interface.rate else { return true };
    if !interface.modulation.starts_with("NRZ") {
        return true;
    }
    let expansion = rate.value() / (data.value() * 1000.0 / f64::from(interface.lanes));
    (0.95..1.45).contains(&expansion)
}

fn wavelength_fits(interface: &Interface, wavelength: Wavelength) -> bool {
    let least = interface.transmit.iter().map(|band| band.shortest).reduce(Nanometers::min);
    let most = interface.transmit.iter().map(|band| band.longest).reduce(Nanometers::max);
    let known = least.zip(most);
    known.is_none_or(|(least, most)| (least..=most).contains(&wavelength.nominal))
}

/// Something a module says of itself that does not go with the interface types its codes name.
#[derive(Debug, Clone, PartialEq)]
pub enum Disagreement {
    /// The stated wavelength is none of theirs.
    Wavelength {
        /// The interface.
        interface: String,
        /// What is stated.
        stated: Nanometers,
        /// An interface for one fiber that is made for just this wavelength.
        single_fiber: Option<String>,
    },
    /// The stated wavelength is within the interface's, but is that of an interface for one fiber.
    SingleFiber {
        /// The interface.
        interface: String,
        /// What is stated.
        stated: Nanometers,
        /// The interface for one fiber.
        single_fiber: String,
    },
    /// The stated symbol rate cannot carry it.
    Rate {
        /// The interface.
        interface: String,
        /// What is stated.
        stated: Megabaud,
    },
    /// The stated reach is shorter.
    Reach {
        /// The interface.
        interface: String,
        /// What is stated.
        stated: Kilometers,
        /// The reach of the interface.
        needed: Kilometers,
    },
}

/// What contradicts every interface type that the codes name. A module for two rates names two, and
/// its one wavelength and rate need go with one of them only.
pub fn disagreements(memory: &Memory, tables: &Tables) -> Vec<Disagreement> {
    let named = suggest_interface(memory, tables);
    let Some(first) = named.first() else { return Vec::new() };
    let none = |fits: &dyn Fn(&Interface) -> bool| {
        named.iter().all(|named| !fits(&tables.interfaces.row(named.interface).value))
    };
    let interface = || first.name.clone();
    let mut found = Vec::new();
    if let Some(wavelength) = memory.wavelength {
        let stated = wavelength.nominal;
        let single_fiber = single_fiber(first.interface, stated, tables);
        if none(&|interface| wavelength_fits(interface, wavelength)) {
            found.push(Disagreement::Wavelength { interface: interface(), stated, single_fiber });
        } else if let (Some(single_fiber), 1) = (single_fiber, named.len()) {
            found.push(Disagreement::SingleFiber { interface: interface(), stated, single_fiber });
        }
    }
    if let Some(stated) = memory.rate.map(|rate| rate.nominal)
        && none(&|interface| rate_fits(interface, stated))
    {
        found.push(Disagreement::Rate { interface: interface(), stated });
    }
    let needed = tables.interfaces.row(first.interface).value.reach_single_mode;
    if let Some((stated, needed)) = single_mode_reach(memory).zip(needed)
        && none(&|interface| interface.reach_single_mode.is_none_or(|needed| stated >= needed))
    {
        found.push(Disagreement::Reach { interface: interface(), stated, needed });
    }
    found
}

/// An interface for one fiber, of the same rate, that is made for just this wavelength while the
/// given one, for more fibers, is made for another.
fn single_fiber(given: RowId, stated: Nanometers, tables: &Tables) -> Option<String> {
    let given = &tables.interfaces.row(given).value;
    let made_for = |interface: &Interface| interface.transmit.iter().any(|band| band.nominal == stated);
    if given.fibers == 1 || made_for(given) || given.rate.is_none() {
        return None;
    }
    let mut rows = tables.interfaces.rows().iter();
    let found =
        rows.find(|row| row.value.fibers == 1 && row.value.rate == given.rate && made_for(&row.value));
    found.map(|row| row.key.clone())
}
