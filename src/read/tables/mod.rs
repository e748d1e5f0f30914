//! Reference tables: the built-in ones, and folders of one's own laid over them.
//!
//! A table is one CSV file in `reference-tables/` (built into the program) and one small typed
//! reader here, in the file of its subject. `layout` is what they share: the columns, the faults, the
//! laying of rows; `cells` reads the cells of one row; `figures` reads
//! loss figures and says what is taken where some are left out; `sheet` is CSV.
//!
//! A folder of one's own holds CSV files of the same names. A row whose name is known replaces that
//! row; any other row is added. A file needs the columns its rows cannot do without, and `source`
//! and `provenance` filled in each row; other columns may be left out. Numbers are plain, in the
//! unit that the column's name ends with. Rows are found by:
//!
//! | table | name of a row |
//! | --- | --- |
//! | `fiber-attenuation`, `fiber-dispersion` | `FIBER @ NM nm` |
//! | `fiber-transitions` | `A to B`, either way round |
//! | `wdm-elements` | `ELEMENT/LEG @ MIN-MAX nm` |
//! | `hazard-levels` | `LEVEL @ MIN-MAX nm` |
//! | `pon-classes` | `SYSTEM CLASS` |
//! | `module-codes` | `STANDARD FIELD CODE` or `STANDARD FIELD bit BIT` |
//! | `cages` | `MODULE in CAGE` |
//! | `power-classes` | `FORM CLASS` |
//! | `breakouts` | `PARENT to CHILD` |
//! | `coexistence` | `A with B`, either way round |
//! | `strand-colors` | `ORDER POSITION` |
//! | the others | the first column |
//!
//! Start reading at [`load`].

mod alias;
mod breakout;
mod cage;
mod card;
mod cells;
mod coexistence;
mod color;
mod electrical_word;
mod fiber;
mod figures;
mod form_factor;
mod interface;
mod inventory_column;
mod joint;
mod layout;
mod module_code;
mod passive;
mod pon;
mod power_class;
mod sheet;
mod spread;
mod temperature_range;

use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use super::limits;
use super::sources::{Sources, missing_path};
use crate::check::plan_rules::{missing_file, table_unknown_table};
use crate::check::{Finding, nearest};
use crate::place::Origin;
use crate::tables::{Attenuations, Dispersions, InterfaceNames, Tables};
use layout::TableFile;

/// Every table, in the order of reading: a table comes after those that its rows name.
static ALL: [&dyn TableFile; 28] = [
    &fiber::FIBERS,
    &fiber::ATTENUATION,
    &fiber::DISPERSION,
    &fiber::TRANSITIONS,
    &joint::CONNECTORS,
    &joint::POLISHES,
    &joint::SPLICES,
    &passive::SPLITTERS,
    &passive::TAPS,
    &passive::WDM_ELEMENTS,
    &passive::ATTENUATORS,
    &passive::HAZARD_LEVELS,
    &pon::PON_CLASSES,
    &interface::INTERFACES,
    &spread::OPTIC_SPREADS,
    &module_code::MODULE_CODES,
    &inventory_column::INVENTORY_COLUMNS,
    &alias::INTERFACE_ALIASES,
    &electrical_word::ELECTRICAL_WORDS,
    &breakout::BREAKOUTS,
    &form_factor::FORM_FACTORS,
    &cage::CAGES,
    &power_class::POWER_CLASSES,
    &temperature_range::TEMPERATURE_RANGES,
    &card::CARDS,
    &coexistence::COEXISTENCE,
    &color::STRAND_COLORS,
    &color::CABLE_TEMPLATES,
];

/// The names of all tables: those of their files without the ending.
pub fn names() -> impl Iterator<Item = &'static str> {
    ALL.iter().map(|table| table.name())
}

/// The built-in tables, read once in a process.
static BUILT_IN: LazyLock<Arc<Tables>> = LazyLock::new(|| Arc::new(built_in_with_findings().0));

/// The built-in tables; all who ask share them.
pub fn built_in() -> Arc<Tables> {
    Arc::clone(&BUILT_IN)
}

/// The built-in tables and what is wrong with them: nothing, as the tests hold.
fn built_in_with_findings() -> (Tables, Vec<Finding>) {
    let mut tables = empty();
    let findings = ALL.iter().flat_map(|table| table.lay_built_in(&mut tables)).collect();
    tables.prepare();
    (tables, findings)
}

fn empty() -> Tables {
    Tables {
        fibers: fiber::FIBERS.empty(),
        attenuation: fiber::ATTENUATION.empty(),
        dispersion_points: fiber::DISPERSION.empty(),
        transitions: fiber::TRANSITIONS.empty(),
        connectors: joint::CONNECTORS.empty(),
        polishes: joint::POLISHES.empty(),
        splices: joint::SPLICES.empty(),
        splitters: passive::SPLITTERS.empty(),
        taps: passive::TAPS.empty(),
        wdm_elements: passive::WDM_ELEMENTS.empty(),
        attenuators: passive::ATTENUATORS.empty(),
        hazard_levels: passive::HAZARD_LEVELS.empty(),
        pon_classes: pon::PON_CLASSES.empty(),
        interfaces: interface::INTERFACES.empty(),
        optic_spreads: spread::OPTIC_SPREADS.empty(),
        module_codes: module_code::MODULE_CODES.empty(),
        inventory_columns: inventory_column::INVENTORY_COLUMNS.empty(),
        interface_aliases: alias::INTERFACE_ALIASES.empty(),
        electrical_words: electrical_word::ELECTRICAL_WORDS.empty(),
        form_factors: form_factor::FORM_FACTORS.empty(),
        cages: cage::CAGES.empty(),
        power_classes: power_class::POWER_CLASSES.empty(),
        temperature_ranges: temperature_range::TEMPERATURE_RANGES.empty(),
        cards: card::CARDS.empty(),
        breakouts: breakout::BREAKOUTS.empty(),
        coexistences: coexistence::COEXISTENCE.empty(),
        interface_names: InterfaceNames::default(),
        strand_colors: color::STRAND_COLORS.empty(),
        cable_templates: color::CABLE_TEMPLATES.empty(),
        attenuations: Attenuations::default(),
        dispersions: Dispersions::default(),
    }
}

/// The built-in tables with folders of one's own laid over them, the first folder first.
///
/// Every fault of every file is a finding; a row with a fault is left out. A finding about a folder
/// points at the folder itself; a caller that knows where it is named puts that place in.
pub fn load(overlay_folders: &[PathBuf], sources: &mut Sources) -> (Arc<Tables>, Vec<Finding>) {
    load_over(&built_in(), overlay_folders, sources)
}

/// As [`load`], over other tables than the built-in ones.
pub fn load_over(
    base: &Arc<Tables>,
    overlay_folders: &[PathBuf],
    sources: &mut Sources,
) -> (Arc<Tables>, Vec<Finding>) {
    if overlay_folders.is_empty() {
        return (Arc::clone(base), Vec::new());
    }
    let mut tables = Tables::clone(base);
    let mut findings = Vec::new();
    for folder in overlay_folders {
        match csv_files(folder, sources) {
            Ok(files) => lay_folder(&mut tables, &files, sources, &mut findings),
            Err(finding) => findings.push(finding),
        }
    }
    tables.prepare();
    (Arc::new(tables), findings)
}

/// The CSV files of a folder, sorted by name: the name without the ending, and the path.
fn csv_files(folder: &Path, sources: &mut Sources) -> Result<Vec<(String, PathBuf)>, Finding> {
    if let Some(finding) = sources.outside(folder) {
        return Err(finding);
    }
    let entries = std::fs::read_dir(folder).map_err(|error| {
        let shown = folder.display().to_string();
        let at = Origin::whole(sources.add(&shown, String::new()));
        if error.kind() == std::io::ErrorKind::NotFound {
            return missing_path(folder, at);
        }
        let message = format!("`{shown}` cannot be read as a folder of tables: {error}");
        missing_file::RULE.hit(at, shown, message)
    })?;
    let mut files: Vec<(String, PathBuf)> = entries
        .take(limits::FOLDER_ENTRIES)
        .filter_map(|entry| {
            let path = entry.ok()?.path();
            let csv = path.extension()?.eq_ignore_ascii_case("csv");
            let name = path.file_stem()?.to_string_lossy().into_owned();
            // Hidden files are the leavings of other programs.
            (csv && !name.starts_with('.')).then_some((name, path))
        })
        .collect();
    files.sort_unstable();
    Ok(files)
}

fn lay_folder(
    tables: &mut Tables,
    files: &[(String, PathBuf)],
    sources: &mut Sources,
    findings: &mut Vec<Finding>,
) {
    for (name, path) in files {
        if !names().any(|known| known == name) {
            findings.push(unknown_table(name, path, sources));
        }
    }
    for table in ALL {
        for (_, path) in files.iter().filter(|(name, _)| name == table.name()) {
            match sources.open_plain(path, limits::TABLE_BYTES) {
                Ok(file) => findings.extend(table.lay_over(tables, &sources.text(file), file)),
                Err(finding) => findings.push(finding),
            }
        }
    }
}

fn unknown_table(name: &str, path: &Path, sources: &mut Sources) -> Finding {
    let at = Origin::whole(sources.add(&path.display().to_string(), String::new()));
    let hint = match nearest(name, names()) {
        Some(near) => format!("did you mean `{near}.csv`?"),
        None => format!("known are {}", names().collect::<Vec<_>>().join(", ")),
    };
    table_unknown_table::RULE.hit(at, name, format!("`{name}.csv` is not a table")).hint(hint)
}

#[cfg(test)]
mod tests;
