//! What a plan states, thing by thing, so that two plans can be compared.

use std::collections::BTreeMap;

use super::{Change, FieldChange};
use crate::check::view::View;
use crate::check::words;
use crate::plan::{JointUse, NameId, Plan, Plug, Polarity, Port, PortKind, Span};
use crate::report::budget::assumptions;

/// The fields of one thing.
type Fields = Vec<(&'static str, String)>;

/// Things by what they are and their id.
pub(super) type Facts = BTreeMap<(&'static str, String), Fields>;

/// The facts of a plan. Two spans between the same points are told apart by their number.
pub(super) fn of(view: View<'_>) -> Facts {
    let plan = view.plan;
    let mut facts = Facts::new();
    let lines = assumptions(view).into_iter().enumerate();
    facts
        .extend(lines.map(|(index, line)| {
            (("assumption", format!("{:02}", index + 1)), vec![("assumed", line)])
        }));
    places(plan, &mut facts);
    ports(plan, &mut facts);
    devices(plan, &mut facts);
    partings(plan, &mut facts);
    spans(plan, &mut facts);
    facts
}

fn place_name(plan: &Plan, place: Option<u32>) -> String {
    let place = place.and_then(|place| plan.places.get(place as usize));
    place.map_or_else(String::new, |place| plan.names.get(place.name).to_string())
}

fn places(plan: &Plan, facts: &mut Facts) {
    for place in &plan.places {
        let at = place
            .at
            .map_or_else(String::new, |(latitude, longitude)| format!("{latitude}, {longitude}"));
        let fields = vec![("kind", place.kind.clone()), ("at", at)];
        facts.insert(("place", plan.names.get(place.name).to_string()), fields);
    }
}

fn ports(plan: &Plan, facts: &mut Facts) {
    let name = |port: u32| plan.names.get(plan.ports[port as usize].name);
    let mut protects: BTreeMap<NameId, String> = BTreeMap::new();
    for stated in &plan.protections {
        let of = protects.entry(plan.ports[stated.standby as usize].name).or_default();
        let comma = if of.is_empty() { "" } else { ", " };
        *of = format!("{of}{comma}{}", name(stated.working));
    }
    for port in &plan.ports {
        let optics = port.optics.and_then(|set| plan.optic_sets.get(set as usize));
        let mut fields = vec![
            ("optic", optics.map_or_else(String::new, |names| names.join(", "))),
            ("place", place_name(plan, port.place)),
        ];
        fields.extend(fitting(plan, port));
        fields.push(("protects", protects.get(&port.name).cloned().unwrap_or_default()));
        let what = if port.kind == PortKind::Ont { "ONT" } else { "port" };
        facts.insert((what, plan.names.get(port.name).to_string()), fields);
    }
}

/// What is said of a port beside its optic.
fn fitting(plan: &Plan, port: &Port) -> Fields {
    let stated = port.fitting.and_then(|index| plan.fittings.get(index as usize));
    let said = stated.cloned().unwrap_or_default();
    let face = if said.face.is_unstated() { String::new() } else { said.face.words() };
    vec![
        ("card", said.card.unwrap_or_default()),
        ("cage", said.cage.unwrap_or_default()),
        ("form", said.form.unwrap_or_default()),
        ("temperature", said.temperature.unwrap_or_default()),
        ("power", said.power.map_or_else(String::new, |power| power.to_string())),
        ("rate", said.rate.map_or_else(String::new, |rate| rate.to_string())),
        ("fec", said.fec.unwrap_or_default()),
        ("face", face),
        ("lane", said.lane.map_or_else(String::new, |lane| lane.to_string())),
    ]
}

/// How a span is built.
fn build(plan: &Plan, span: &Span) -> Fields {
    let said = plan.build_of(span).cloned().unwrap_or_default();
    let plugs = said.plugs.iter().filter(|plug| !plug.is_unstated()).map(Plug::words);
    let conditioning = said.mode_conditioning.map(|is| if is { "yes" } else { "no" });
    vec![
        ("plugs", plugs.collect::<Vec<_>>().join(", ")),
        ("polarity", said.polarity.map_or("", Polarity::word).to_string()),
        ("fibers", said.fibers.map_or_else(String::new, |fibers| fibers.to_string())),
        ("mode conditioning", conditioning.unwrap_or_default().to_string()),
    ]
}

/// What every device has.
fn device(plan: &Plan, place: Option<u32>, joint: JointUse, measured: Option<u32>) -> Fields {
    vec![
        ("place", place_name(plan, place)),
        ("joint", words::joint(plan, joint)),
        ("measured", measured_words(plan, measured)),
    ]
}

fn measured_words(plan: &Plan, index: Option<u32>) -> String {
    let Some(measured) = index.and_then(|index| plan.measured.get(index as usize)) else {
        return String::new();
    };
    let said = measured.values.iter().map(|stated| {
        let at = stated.at.map_or_else(String::new, |at| format!(" at {at}"));
        format!("{}{at}", stated.loss)
    });
    said.collect::<Vec<_>>().join(", ")
}

fn devices(plan: &Plan, facts: &mut Facts) {
    let id = |name: NameId| plan.names.get(name).to_string();
    for panel in &plan.panels {
        let mut fields = device(plan, panel.place, panel.joint, panel.measured);
        fields.push(("positions", panel.positions.to_string()));
        facts.insert(("panel", id(panel.name)), fields);
    }
    for case in &plan.splice_cases {
        let mut fields = device(plan, case.place, case.joint, case.measured);
        fields.push(("positions", case.positions.to_string()));
        facts.insert(("splice case", id(case.name)), fields);
    }
    for pad in &plan.attenuators {
        let mut fields = device(plan, pad.place, pad.joint, None);
        fields.push(("loss", format!("{} ± {}", pad.loss, pad.tolerance)));
        facts.insert(("attenuator", id(pad.name)), fields);
    }
}

fn partings(plan: &Plan, facts: &mut Facts) {
    let id = |name: NameId| plan.names.get(name).to_string();
    for splitter in &plan.splitters {
        let mut fields = device(plan, splitter.place, splitter.joint, splitter.measured);
        fields.push(("ratio", format!("{}x{}", splitter.inputs, splitter.legs)));
        fields.push(("type", splitter.kind.to_string()));
        facts.insert(("splitter", id(splitter.name)), fields);
    }
    for tap in &plan.taps {
        let mut fields = device(plan, tap.place, tap.joint, None);
        fields.push(("ratio", tap.kind.to_string()));
        facts.insert(("tap", id(tap.name)), fields);
    }
    for element in &plan.wdm_elements {
        let mut fields = device(plan, element.place, element.joint, None);
        fields.push(("type", element.kind.to_string()));
        facts.insert(("wdm element", id(element.name)), fields);
    }
}

fn spans(plan: &Plan, facts: &mut Facts) {
    for span in &plan.spans {
        let cable = span.cable.and_then(|cable| plan.cables.get(usize::from(cable)));
        let mut fields = vec![
            ("length", format!("{:.4}", span.length)),
            ("kind", span.kind.word().to_string()),
            ("fiber", plan.fibers.get(usize::from(span.fiber)).cloned().unwrap_or_default()),
            ("cable", cable.cloned().unwrap_or_default()),
            ("strand", if span.strand == 0 { String::new() } else { span.strand.to_string() }),
            ("splices", format!("{} {}", span.splices, words::joint(plan, span.splice))),
            ("connectors", format!("{} {}", span.connectors, words::joint(plan, span.connector))),
            ("reels", span.reels.to_string()),
            ("measured", measured_words(plan, span.measured)),
        ];
        fields.extend(build(plan, span));
        let id = format!("{} to {}", plan.point_name(span.from), plan.point_name(span.to));
        add(facts, "span", &id, fields);
    }
    for joint in &plan.joints {
        let id = format!("{} to {}", plan.point_name(joint.from), plan.point_name(joint.to));
        add(facts, "joint", &id, vec![("made as", words::joint(plan, joint.joint))]);
    }
}

/// Adds a thing whose id may stand twice.
fn add(facts: &mut Facts, what: &'static str, id: &str, fields: Fields) {
    let mut key = (what, id.to_string());
    let mut number = 1;
    while facts.contains_key(&key) {
        number += 1;
        key = (what, format!("{id} ({number})"));
    }
    facts.insert(key, fields);
}

/// What differs between two plans' facts, in the order of what and id.
pub(super) fn changes(old: &Facts, new: &Facts) -> Vec<Change> {
    let mut changes = Vec::new();
    for ((what, id), fields) in old {
        let change = match new.get(&(*what, id.clone())) {
            None => Some(("removed", Vec::new())),
            Some(now) => {
                let fields = changed(fields, now);
                (!fields.is_empty()).then_some(("changed", fields))
            }
        };
        changes.extend(change.map(|(change, fields)| Change { what, id: id.clone(), change, fields }));
    }
    let added = new.keys().filter(|key| !old.contains_key(*key));
    changes.extend(added.map(|(what, id)| Change {
        what,
        id: id.clone(),
        change: "added",
        fields: Vec::new(),
    }));
    changes.sort_by(|a, b| (a.what, &a.id).cmp(&(b.what, &b.id)));
    changes
}

fn changed(old: &Fields, new: &Fields) -> Vec<FieldChange> {
    let both = old.iter().zip(new).filter(|(before, after)| before.1 != after.1);
    both.map(|(before, after)| FieldChange {
        field: before.0,
        old: before.1.clone(),
        new: after.1.clone(),
    })
    .collect()
}
