//! An inventory against a plan: ports that only one of them has, other optics, other far ends, other
//! losses.
//!
//! A port of a plan is found by its place and the numbers of its id (`olt-1/1/3` in the place `vtc` is
//! `1/1/3` at the site VTC), or by its shelf as the site. A name that two ports of the plan could have
//! finds neither.

use rustc_hash::{FxHashMap, FxHashSet};

use super::claims::hit;
use crate::budget::Assessment;
use crate::check::inventory_rules::facts::{Hit, Limits, Planned};
use crate::check::inventory_rules::{
    not_in_plan, plan_far_differs, plan_loss_differs, plan_optic_differs, planned_port_missing,
};
use crate::check::view::View;
use crate::inventory::{Inventory, Row, name};
use crate::units::Decibels;

/// A port of a plan, as far as an inventory can contradict it.
#[derive(Debug, Clone)]
pub struct PlanPort {
    /// Its id.
    pub name: String,
    /// The hashes of names under which an inventory may have it.
    pub keys: Vec<u64>,
    /// The hash of its place's normal name.
    pub place: u64,
    /// The optics that it may have, by their names in the tables.
    pub optics: Vec<String>,
    /// The only other port that its light reaches.
    pub far: Option<u32>,
    /// Least and greatest loss from that port.
    pub loss: Option<(Decibels, Decibels)>,
}

impl PlanPort {
    /// What is worded of it.
    pub fn worded(&self) -> Planned {
        Planned { name: self.name.clone(), optics: self.optics.join(" or ") }
    }
}

/// The ports of a judged plan.
pub fn ports(view: &View<'_>) -> Vec<PlanPort> {
    let mut ports: Vec<PlanPort> =
        (0..view.plan.ports.len() as u32).map(|port| bare(view, port)).collect();
    let assessment: &Assessment = view.assessment;
    for group in &assessment.groups {
        for end in &assessment.ends[group.ends.clone()] {
            let optic = |index: u16| {
                let used = assessment.pairs.optics.get(usize::from(index));
                used.and_then(|used| used.optic.as_ref()).map(|optic| optic.name.clone())
            };
            let pair = assessment.pair(end);
            for (port, index) in [(end.transmitter, pair.transmitter), (end.receiver, pair.receiver)] {
                let known = &mut ports[port as usize].optics;
                known.extend(optic(index).filter(|name| !known.contains(name)));
            }
        }
        let Some(far) = group.far_port else { continue };
        ports[group.port as usize].far = Some(far);
        ports[far as usize].far = Some(group.port);
        for end in &assessment.ends[group.ends.clone()] {
            ports[end.receiver as usize].loss = Some((end.least, end.most));
        }
    }
    ports
}

/// A port with its names.
fn bare(view: &View<'_>, port: u32) -> PlanPort {
    let id = view.port_name(port);
    let stated = &view.plan.ports[port as usize];
    let place = stated.place.and_then(|place| view.plan.places.get(place as usize));
    let place = place.map(|place| name::site(view.plan.names.get(place.name))).unwrap_or_default();
    let key = |site: &str, port: &str| {
        name::port_key(name::hash(name::site(site).as_bytes()), name::hash(name::port(port).as_bytes()))
    };
    let mut keys = Vec::new();
    let (shelf, rest) = id.split_once('/').unwrap_or((id, ""));
    if !place.is_empty() {
        keys.push(key(&place, id));
        keys.push(key(&place, rest));
    }
    keys.push(key(shelf, rest));
    keys.sort_unstable();
    keys.dedup();
    let place = name::hash(place.as_bytes());
    PlanPort { name: id.to_string(), keys, place, optics: Vec::new(), far: None, loss: None }
}

/// Holds every row against the plan.
pub fn judge(inventory: &Inventory, plan: &[PlanPort], target: &[u32], limits: &Limits) -> Vec<Hit> {
    let mut by_key: FxHashMap<u64, Option<u32>> = FxHashMap::default();
    for (index, port) in plan.iter().enumerate() {
        for key in &port.keys {
            let one = by_key.entry(*key).or_insert(Some(index as u32));
            if *one != Some(index as u32) {
                *one = None;
            }
        }
    }
    let find = |key: u64| by_key.get(&key).copied().flatten();
    let places: FxHashSet<u64> = plan.iter().map(|port| port.place).collect();
    let mut hits = Vec::new();
    let mut met = vec![false; plan.len()];
    for (index, row) in inventory.rows.iter().filter(|(_, row)| row.near != 0) {
        let Some(planned) = find(row.near) else {
            let covered = inventory.site(row).is_some_and(|site| places.contains(&site.hash));
            if covered && inventory.profile(row).optic.is_some() {
                hits.push(hit(&not_in_plan::ENTRY, index, Row::NO_ID, (0, 0)));
            }
            continue;
        };
        met[planned as usize] = true;
        against_port(inventory, (index, row), (planned, plan), &find, &mut hits);
        let far = target[index as usize];
        if far != Row::NO_ID {
            let far = inventory.rows.get(far);
            let loss =
                plan[planned as usize].loss.filter(|_| find(far.near) == plan[planned as usize].far);
            hits.extend(loss.and_then(|loss| loss_hit(index, row, far, loss, limits)));
        }
    }
    let sites: FxHashSet<u64> = inventory.sites.iter().filter(|s| s.covered).map(|s| s.hash).collect();
    for (index, port) in plan.iter().enumerate() {
        if !met[index] && sites.contains(&port.place) && !port.optics.is_empty() {
            let detail = (index as i32, 0);
            hits.push(hit(&planned_port_missing::ENTRY, Row::NO_ID, Row::NO_ID, detail));
        }
    }
    hits
}

fn against_port(
    inventory: &Inventory,
    (index, row): (u32, &Row),
    (planned, plan): (u32, &[PlanPort]),
    find: &impl Fn(u64) -> Option<u32>,
    hits: &mut Vec<Hit>,
) {
    let port = &plan[planned as usize];
    if let Some(optic) = &inventory.profile(row).optic
        && !port.optics.is_empty()
        && !port.optics.contains(&optic.name)
    {
        hits.push(hit(&plan_optic_differs::ENTRY, index, Row::NO_ID, (planned as i32, 0)));
    }
    if let (Some(meant), Some(named)) = (port.far, find(row.far))
        && meant != named
    {
        hits.push(hit(&plan_far_differs::ENTRY, index, Row::NO_ID, (meant as i32, 0)));
    }
}

/// What is read between two ports against what the plan's path may lose.
fn loss_hit(
    index: u32,
    row: &Row,
    far: &Row,
    loss: (Decibels, Decibels),
    limits: &Limits,
) -> Option<Hit> {
    let read = far.transmit()? - row.receive()?;
    let off = limits.meters(2);
    let limit = if read > loss.1 + off {
        loss.1
    } else if read + off < loss.0 {
        loss.0
    } else {
        return None;
    };
    let hundredths = |value: Decibels| (value.value() * 100.0).round() as i32;
    Some(hit(&plan_loss_differs::ENTRY, index, Row::NO_ID, (hundredths(read), hundredths(limit))))
}

/// Whether a rule compares with a plan.
pub fn is_about_plans(rule: &str) -> bool {
    [
        &not_in_plan::RULE,
        &plan_far_differs::RULE,
        &plan_loss_differs::RULE,
        &plan_optic_differs::RULE,
        &planned_port_missing::RULE,
    ]
    .iter()
    .any(|known| known.id == rule)
}
