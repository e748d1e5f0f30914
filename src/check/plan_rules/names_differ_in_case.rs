//! `plan.names-differ-in-case`: two names that only capital letters tell apart.

use rustc_hash::FxHashMap;

use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::{Files, Origin};
use crate::plan::{NameId, Plan, PortKind};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.names-differ-in-case",
    severity: Severity::Warning,
    concern: Concern::Input,
    what: "two devices, places or cables have names that differ only in capital letters",
    why: "read out over the phone or typed again they are one name, and here they are two things: a strand may be sold twice and a cable ordered twice",
    remedy: "write one name the same everywhere, or give one of the two another name",
    source: "common practice",
};

/// A kind of things with names, by its plural.
struct Kind<'p> {
    word: &'static str,
    names: Vec<(&'p str, Origin)>,
}

/// Names that differ only in case, among devices, among places and among cables.
pub fn check(plan: &Plan, files: &Files, findings: &mut Vec<Finding>) {
    for kind in [devices(plan), places(plan), cables(plan)] {
        twins(&kind, files, findings);
    }
}

/// One finding for each two places in the input, however many names a range stands for.
fn twins(kind: &Kind<'_>, files: &Files, findings: &mut Vec<Finding>) {
    // Of two names that differ in case alone one has a capital letter and one has a small one.
    let has = |test: fn(char) -> bool| move |(name, _): &&(&str, Origin)| name.chars().any(test);
    if !kind.names.iter().any(|name| has(char::is_uppercase)(&name))
        || !kind.names.iter().any(|name| has(char::is_lowercase)(&name))
    {
        return;
    }
    let mut known: FxHashMap<String, (&str, Origin)> = FxHashMap::default();
    let mut found: Vec<(Origin, Origin, &str, &str, usize)> = Vec::new();
    for (name, origin) in &kind.names {
        let (first, first_at) = *known.entry(name.to_lowercase()).or_insert((name, *origin));
        if first == *name {
            continue;
        }
        match found.iter_mut().find(|twin| twin.0 == first_at && twin.1 == *origin) {
            Some(twin) => twin.4 += 1,
            None => found.push((first_at, *origin, first, name, 0)),
        }
    }
    for (first_at, origin, first, name, more) in found {
        let more = match more {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        let message = format!(
            "the {} `{first}` (at {}) and `{name}` differ only in capital letters{more}",
            kind.word,
            files.describe(first_at)
        );
        findings.push(RULE.hit(origin, name, message));
    }
}

fn devices(plan: &Plan) -> Kind<'_> {
    let ports = plan.ports.iter().filter(|port| port.kind == PortKind::Ont);
    let named = |name: NameId, origin: Origin| (plan.names.get(name), origin);
    let names = ports
        .map(|device| named(device.name, device.origin))
        .chain(plan.shelves.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.panels.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.splice_cases.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.splitters.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.taps.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.wdm_elements.iter().map(|device| named(device.name, device.origin)))
        .chain(plan.attenuators.iter().map(|device| named(device.name, device.origin)));
    Kind { word: "devices", names: names.collect() }
}

fn places(plan: &Plan) -> Kind<'_> {
    let names = plan.places.iter().map(|place| (plan.names.get(place.name), place.origin));
    Kind { word: "places", names: names.collect() }
}

/// Cables are stated by the spans that run in them.
fn cables(plan: &Plan) -> Kind<'_> {
    let mut names: Vec<Option<Origin>> = vec![None; plan.cables.len()];
    for span in &plan.spans {
        if let Some(slot) = span.cable.and_then(|cable| names.get_mut(usize::from(cable))) {
            slot.get_or_insert(span.origin);
        }
    }
    let names = plan.cables.iter().zip(names);
    Kind {
        word: "cables",
        names: names.filter_map(|(name, origin)| Some((name.as_str(), origin?))).collect(),
    }
}
