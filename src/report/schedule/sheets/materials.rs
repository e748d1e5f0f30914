//! Bill of materials: what is to be bought, net and with waste, and how many reels.

use std::collections::{BTreeMap, BTreeSet};

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;
use super::{patches, splices};
use crate::plan::{PointRef, PortKind, SpanKind};
use crate::units::Kilometers;

/// One item before it is written down.
#[derive(Debug, Default)]
struct Item {
    pieces: u64,
    length: Kilometers,
    used: BTreeSet<String>,
}

/// Items by what they are and what they are made of, in the order of the sheet.
type Items = BTreeMap<(&'static str, String), Item>;

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = [
        "item",
        "made of",
        "unit",
        "net",
        "waste",
        "to order",
        "reels",
        "where used",
        "alternative",
        "note",
    ];
    let mut items = Items::new();
    devices(work, &mut items);
    optics(work, &mut items);
    cords(work, &mut items);
    drops(work, &mut items);
    for (kind, count) in splices::counts(work) {
        add(&mut items, ("splice", kind), count, "");
    }
    let mut rows = cables(work);
    rows.extend(items.iter().map(|((item, of), found)| row(work, item, of, found)));
    Sheet {
        name: "materials",
        title: "Bill of materials",
        columns: heads.into_iter().map(Column::new).collect(),
        rows,
    }
}

fn add(items: &mut Items, key: (&'static str, String), pieces: u64, used: &str) {
    let item = items.entry(key).or_default();
    item.pieces += pieces;
    if !used.is_empty() && item.used.len() < 5 {
        item.used.insert(used.to_string());
    }
}

fn row(work: &Work<'_>, item: &str, of: &str, found: &Item) -> Vec<Cell> {
    let pieces = |count: u64| Cell::Count(count);
    let used: Vec<&str> = found.used.iter().map(String::as_str).collect();
    let note = if found.length > Kilometers::ZERO {
        format!("{} in all", work.document.lengths.words(found.length))
    } else {
        String::new()
    };
    let more = if used.len() as u64 >= 5 && found.pieces > 5 { ", …" } else { "" };
    vec![
        Cell::text(item),
        Cell::text(of),
        Cell::text("piece"),
        pieces(found.pieces),
        Cell::Empty,
        pieces(found.pieces),
        Cell::Empty,
        Cell::text(format!("{}{more}", used.join(", "))),
        Cell::Empty,
        Cell::text(note),
    ]
}

fn devices(work: &Work<'_>, items: &mut Items) {
    let plan = work.plan();
    let name = |id| plan.names.get(id);
    for panel in &plan.panels {
        add(items, ("panel", format!("{} positions", panel.positions)), 1, name(panel.name));
    }
    for case in &plan.splice_cases {
        add(items, ("splice case", format!("{} splices", case.positions)), 1, name(case.name));
    }
    for splitter in &plan.splitters {
        add(items, ("splitter", splitter.kind.to_string()), 1, name(splitter.name));
    }
    for tap in &plan.taps {
        add(items, ("tap", tap.kind.to_string()), 1, name(tap.name));
    }
    for element in &plan.wdm_elements {
        add(items, ("wdm element", element.kind.to_string()), 1, name(element.name));
    }
    for pad in &plan.attenuators {
        add(items, ("attenuator", pad.loss.to_string()), 1, name(pad.name));
    }
}

fn optics(work: &Work<'_>, items: &mut Items) {
    let plan = work.plan();
    for port in &plan.ports {
        let Some(names) = port.optics.and_then(|set| plan.optic_sets.get(set as usize)) else {
            continue;
        };
        let id = plan.names.get(port.name);
        if port.kind == PortKind::Ont {
            add(items, ("ONT", names.join(" and ")), 1, id);
        } else {
            // One module may serve two systems: what a port holds is one piece.
            add(items, ("optic", names.join(" and ")), 1, id);
        }
    }
}

fn cords(work: &Work<'_>, items: &mut Items) {
    for index in patches::cords(work) {
        let span = &work.plan().spans[index as usize];
        let fibers = if work.spans[index as usize].duplex { ", two fibers" } else { "" };
        let plug = |point| match work.polish(point) {
            none if none.is_empty() => "plug of the device".to_string(),
            polish => polish,
        };
        let polish = [plug(span.from), plug(span.to)].join(" to ");
        let of = format!(
            "{}, {}{fibers}, {polish}",
            span.kind.word(),
            work.document.lengths.words(span.length)
        );
        add(items, ("cord", of), 1, &work.plan().point_name(span.from));
    }
}

fn drops(work: &Work<'_>, items: &mut Items) {
    let plan = work.plan();
    for span in plan.spans.iter().filter(|span| span.kind == SpanKind::Drop) {
        let fiber = plan.fibers.get(usize::from(span.fiber)).map_or("", String::as_str);
        let key = ("drop", fiber.to_string());
        add(items, key.clone(), 1, &plan.point_name(span.from));
        items.entry(key).or_default().length += span.length;
    }
}

/// What is known of one sheath.
#[derive(Debug, Default)]
struct Sheath {
    /// Length of each stretch: the longest of its fibers.
    stretches: BTreeMap<(PointKey, PointKey), Kilometers>,
    strands: u32,
    fibers: BTreeSet<String>,
}

/// The device of a point, so that the strands between two devices are one stretch.
type PointKey = String;

fn cables(work: &Work<'_>) -> Vec<Vec<Cell>> {
    let plan = work.plan();
    let mut sheaths: BTreeMap<String, Sheath> = BTreeMap::new();
    for (index, span) in plan.spans.iter().enumerate().filter(|(_, span)| span.kind == SpanKind::Cable) {
        let between = [device(work, span.from), device(work, span.to)];
        let [from, to] = between;
        let sheath = sheaths.entry(work.cable(index as u32).to_string()).or_default();
        // Fiber of no named cable is counted fiber by fiber.
        let to = if span.cable.is_none() { format!("{to} {index}") } else { to };
        let stretch = sheath.stretches.entry((from, to)).or_default();
        *stretch = stretch.max(span.length);
        let fibers = u32::from(work.spans[index].duplex);
        sheath.strands = sheath.strands.max(span.strand + fibers);
        sheath.fibers.extend(plan.fibers.get(usize::from(span.fiber)).cloned());
    }
    sheaths.iter().map(|(name, sheath)| cable_row(work, name, sheath)).collect()
}

fn device(work: &Work<'_>, point: PointRef) -> PointKey {
    let name = work.plan().point_name(point);
    name.rsplit_once('/').map_or_else(|| name.clone(), |(device, _)| device.to_string())
}

fn cable_row(work: &Work<'_>, name: &str, sheath: &Sheath) -> Vec<Cell> {
    let net: Kilometers = sheath.stretches.values().copied().sum();
    let order = net * (1.0 + work.options.waste.fraction());
    let reels = (order.value() / work.options.reel.value().max(1e-6) - 1e-9).ceil().max(1.0);
    let fibers: Vec<&str> = sheath.fibers.iter().map(String::as_str).collect();
    let (of, note) = if name.is_empty() {
        (fibers.join(", "), "fiber of no named cable, counted fiber by fiber".to_string())
    } else if sheath.strands == 0 {
        (fibers.join(", "), "the plan states no strands".to_string())
    } else {
        let s = if sheath.strands == 1 { "" } else { "s" };
        (format!("{}, at least {} strand{s}", fibers.join(", "), sheath.strands), String::new())
    };
    vec![
        Cell::text("cable"),
        Cell::text(of),
        Cell::text(work.document.lengths.long_unit()),
        work.long(net),
        Cell::text(work.options.waste.to_string()),
        work.long(order),
        Cell::Count(reels as u64),
        Cell::text(name),
        Cell::Empty,
        Cell::text(note),
    ]
}
