//! On which cells of the reference tables a result rests, and how far each can be trusted.
//!
//! A row is there because light met it or because an optic in use stands in it; its cells are those
//! whose figures the judgement read. `columns` says which these are: a figure that begins to decide
//! something is named there, and nowhere else. Empty cells and what the plan states itself count for
//! nothing.

mod columns;

use std::collections::BTreeMap;

use columns::Judges;

use super::fit::Answer;
use crate::budget::{Basis, End, detail};
use crate::check::plan_facts;
use crate::check::view::View;
use crate::fit::facts::Side;
use crate::inventory::Inventory;
use crate::loss::{ExtraLoss, RowRef, TableName, unlike_fibers};
use crate::place::Origin;
use crate::tables::{CageFit, Family, Optic, Provenance, RowId, Table, Tables, Trust};

/// A row of a table and its cells that decided something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowUse {
    /// The table.
    pub table: &'static str,
    /// The row's key.
    pub key: String,
    /// The document behind it.
    pub source: String,
    /// How far the row as a whole can be trusted.
    pub provenance: Provenance,
    /// Where it is stated.
    pub origin: Origin,
    /// The cells by column, and how far each can be trusted.
    pub cells: BTreeMap<&'static str, Provenance>,
}

/// The rows and cells that a result rests on.
#[derive(Debug, Clone, Default)]
pub struct Rests {
    rows: BTreeMap<(&'static str, u32), RowUse>,
}

impl Rests {
    /// What all ends of a judged plan rest on.
    pub fn of_plan(view: View<'_>) -> Self {
        let mut rests = Self::default();
        for optic in view.assessment.pairs.optics.iter().filter_map(|used| used.optic.as_ref()) {
            rests.optic(view.tables, optic, &[]);
        }
        rests.light(view, view.assessment.ends.iter(), &view.assessment.rows);
        rests
    }

    /// What the answer for one port rests on: its light, and what its module and cage are.
    pub fn of_port(view: View<'_>, answer: &Answer) -> Self {
        let mut rests = Self::default();
        let ends = || answer.ends.iter().map(|index| &view.assessment.ends[*index]);
        let rows: Vec<RowRef> = ends().flat_map(|end| rows_on_the_way(view, end)).collect();
        rests.light(view, ends(), &rows);
        let optics = view.assessment.pairs.of_port(view.plan, answer.port);
        let none = optics.is_empty().then_some(None);
        for optic in optics.iter().map(|optic| Some(*optic)).chain(none) {
            rests.side(view.tables, &plan_facts::side(&view, answer.port, optic));
        }
        rests
    }

    /// What an audit judges ports by: the levels and limits of the optics that the rows name.
    pub fn of_inventory(tables: &Tables, inventory: &Inventory) -> Self {
        let mut rests = Self::default();
        for profile in &inventory.profiles {
            for optic in [&profile.optic, &profile.far_optic].into_iter().flatten() {
                rests.optic(tables, optic, columns::of_lone_optic(optic));
            }
        }
        rests
    }

    /// The rows, by table and in the order of their tables.
    pub fn rows(&self) -> impl Iterator<Item = &RowUse> {
        self.rows.values()
    }

    /// How many cells rest on what.
    pub fn trust(&self) -> Trust {
        self.rows().flat_map(|row| row.cells.values().copied()).collect()
    }

    /// Optics that face each other, and what lies on the way between them.
    fn light<'e>(&mut self, view: View<'_>, ends: impl Iterator<Item = &'e End>, rows: &[RowRef]) {
        let mut met = vec![false; view.assessment.pairs.pairs.len()];
        let extra = unlike_fibers(view.plan, view.tables);
        let mode_fields = extra.iter().any(|(_, extra)| *extra == ExtraLoss::ModeFields);
        let mut judges = Judges { mode_fields, ..Judges::default() };
        for end in ends {
            judges.statistics |= end.statistics.is_some();
            met[end.pair as usize] = true;
        }
        let fibers = rows.iter().filter(|row| row.table == TableName::Fibers);
        let fibers: Vec<&str> = fibers.map(|row| view.tables.fibers.row(row.row).key.as_str()).collect();
        let pairs = view.assessment.pairs.pairs.iter().zip(met);
        for (pair, _) in pairs.filter(|(_, met)| *met) {
            judges.dispersion |= pair.dispersion.iter().any(Option::is_some);
            judges.return_loss |= pair.min_return_loss.is_some();
            let optic = |index| view.assessment.pairs.optic(index);
            let (Some(tx), Some(rx)) = (optic(pair.transmitter), optic(pair.receiver)) else { continue };
            self.optic(view.tables, tx, &columns::of_sender(pair, tx, rx, &fibers));
            self.optic(view.tables, rx, &columns::of_receiver(view.tables, pair, tx, rx));
            if pair.window.basis == Basis::Breakout {
                self.breakout(view.tables, tx, rx);
            }
        }
        for row in rows {
            self.loss_row(view.tables, *row, judges);
        }
    }

    /// The row of a breakout, and the interface whose levels hold on its lanes.
    fn breakout(&mut self, tables: &Tables, tx: &Optic, rx: &Optic) {
        let (Some(a), Some(b)) = (tx.interface(tables), rx.interface(tables)) else { return };
        let Some((row, _)) = tables.breakout_between(&a.key, &b.key) else { return };
        if let Some(id) = tables.breakouts.find(&row.key) {
            self.add(&tables.breakouts, id, &["children", "levels"]);
        }
        if let Some(id) = row.value.levels.as_ref().and_then(|levels| tables.interfaces.find(levels)) {
            let levels = ["tx_max_dbm", "overload_dbm", "max_channel_loss_db"];
            self.add(&tables.interfaces, id, &levels);
        }
    }

    fn loss_row(&mut self, tables: &Tables, at: RowRef, judges: Judges) {
        let columns = columns::on_the_way(at.table, judges);
        match at.table {
            TableName::Attenuation => self.add(&tables.attenuation, at.row, &columns),
            TableName::Transitions => self.add(&tables.transitions, at.row, &columns),
            TableName::Connectors => self.add(&tables.connectors, at.row, &columns),
            TableName::Splices => self.add(&tables.splices, at.row, &columns),
            TableName::Splitters => self.add(&tables.splitters, at.row, &columns),
            TableName::Taps => self.add(&tables.taps, at.row, &columns),
            TableName::WdmElements => self.add(&tables.wdm_elements, at.row, &columns),
            TableName::PonClasses => self.add(&tables.pon_classes, at.row, &columns),
            TableName::Interfaces => self.add(&tables.interfaces, at.row, &columns),
            TableName::Polishes => self.add(&tables.polishes, at.row, &columns),
            TableName::Fibers => self.add(&tables.fibers, at.row, &columns),
            TableName::Dispersion if columns.is_empty() => {}
            TableName::Dispersion => self.add(&tables.dispersion_points, at.row, &columns),
        }
    }

    fn optic(&mut self, tables: &Tables, optic: &Optic, columns: &[&'static str]) {
        match optic.family {
            Family::Pon(id) => self.add(&tables.pon_classes, id, columns),
            Family::Interface(id) => self.add(&tables.interfaces, id, columns),
        }
        if let Some(id) = tables.spread_row(optic) {
            let columns =
                ["launch_mean_dbm", "launch_spread_db", "sensitivity_mean_dbm", "sensitivity_spread_db"];
            self.add(&tables.optic_spreads, id, &columns);
        }
    }

    /// The cage, the form factor, the card and the temperature range, as far as they are stated.
    fn side(&mut self, tables: &Tables, side: &Side<'_>) {
        if let (Some(cage), Some(form)) = (side.cage, side.form) {
            let own = tables.cages.find(&CageFit::key(&cage.key, &form.key));
            let any = || tables.cages.find(&CageFit::key(CageFit::ANY, CageFit::ANY));
            if let Some(id) = own.or_else(any) {
                self.add(&tables.cages, id, &["seats", "works"]);
            }
        }
        if let Some(id) = side.form.and_then(|form| tables.form_factors.find(&form.key)) {
            self.add(&tables.form_factors, id, &["host_lanes", "least_gbit_s", "most_gbit_s"]);
        }
        if let Some(id) = side.card.and_then(|card| tables.cards.find(&card.key)) {
            let mut columns = vec!["cage", "interfaces", "gbit_s"];
            columns.extend(side.power.map(|_| "cage_w"));
            self.add(&tables.cards, id, &columns);
        }
        let range = side.temperature.filter(|_| side.place.is_some());
        if let Some(id) = range.and_then(|range| tables.temperature_ranges.find(&range.key)) {
            self.add(&tables.temperature_ranges, id, &["least_c", "most_c", "places"]);
        }
    }

    fn add<T>(&mut self, table: &Table<T>, id: RowId, columns: &[&'static str]) {
        let row = table.row(id);
        let entry = self.rows.entry((table.name, id.0)).or_insert_with(|| RowUse {
            table: table.name,
            key: row.key.clone(),
            source: row.source.clone(),
            provenance: row.provenance,
            origin: row.origin,
            cells: BTreeMap::new(),
        });
        for column in columns {
            debug_assert!(
                table.columns.iter().any(|head| head == column),
                "`{}` has no column `{column}`",
                table.name
            );
            if let Some(provenance) = table.trust_in(id, column) {
                entry.cells.insert(column, provenance);
            }
        }
    }
}

/// The rows that the light of one end meets.
fn rows_on_the_way(view: View<'_>, end: &End) -> Vec<RowRef> {
    detail(view.plan, view.plant, view.tables, view.assessment, end)
        .map_or_else(Vec::new, |detail| detail.rows)
}
