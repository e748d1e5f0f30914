//! A network description as the skeleton of a plan: places, couplings and spans are there, optics are not.
//!
//! Where two spans meet at a node and no other, fiber runs through; where more meet, the description does
//! not say how they are joined, so each has a position of its own. What is to be filled in is a comment.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::grid::visible;
use crate::read::network::{Network, Node, Stretch};
use crate::tables::Tables;
use crate::units::Kilometers;

/// Fiber type of spans of which nothing is stated.
const USUAL_FIBER: &str = "G.652.D";
/// Kinds of nodes at which equipment stands: their couplings are those of a panel.
const WITH_EQUIPMENT: [&str; 7] =
    ["pop", "central-office", "node", "dataCentre", "cableLandingStation", "ixp", "exchange"];

/// Writes the plan. Text for text it depends on the network and the tables alone.
pub fn plan(network: &Network, tables: &Tables, source: &str) -> String {
    let ids = ids(&network.nodes);
    let degrees = degrees(network);
    let mut text = head(network, tables, source);
    places(&mut text, network, &ids);
    couplings(&mut text, network, &ids, &degrees);
    spans(&mut text, network, tables, (&ids, &degrees));
    text
}

/// Text as a YAML value: JSON strings are YAML.
fn quoted(text: &str) -> String {
    serde_json::Value::from(visible(text, 200)).to_string()
}

/// Text that may stand in a comment.
fn comment(text: &str) -> String {
    visible(text, 100)
}

fn head(network: &Network, tables: &Tables, source: &str) -> String {
    let title = if network.name.is_empty() { "Network as described" } else { network.name.as_str() };
    let mut text = format!(
        "# Made from {}. It is a skeleton: what is marked FILL IN the description does not say.\n\
         spanwright: 1\n\
         title: {}\n\n\
         defaults:\n  fiber: {USUAL_FIBER}\n  connector: {{grade: C, polish: APC}}\n  splice: fusion\n\n",
        comment(source),
        quoted(title)
    );
    for remark in &network.remarks {
        let _ = writeln!(text, "# {}", visible(remark, 400));
    }
    let unknown: BTreeSet<&str> = network
        .spans
        .iter()
        .map(|span| span.fiber.as_str())
        .filter(|fiber| !fiber.is_empty() && tables.fibers.find(fiber).is_none())
        .collect();
    for fiber in unknown {
        let fiber = comment(fiber);
        let _ = writeln!(text, "# FILL IN: no table has fiber {fiber}; its spans take the usual one");
    }
    text.push_str(
        "# FILL IN the equipment, and join it to the couplings below, for example:\n\
         # shelves:\n\
         #   sw-a: {place: PLACE, ports: {1: {optic: 10GBASE-LR}}}\n\
         # spans:\n\
         #   - {from: sw-a/1, to: PLACE/1, length: 5 m, kind: patch-cord}\n\n",
    );
    text
}

/// Ids that a plan may have, one per node, each once.
fn ids(nodes: &[Node]) -> Vec<String> {
    let mut taken = BTreeSet::new();
    nodes.iter().map(|node| unused(&mut taken, &plain_id(node))).collect()
}

/// The name of a node in the letters of an id; the id itself where it has no name.
fn plain_id(node: &Node) -> String {
    const LONGEST: usize = 60;
    let named = if node.name.is_empty() { &node.id } else { &node.name };
    let mut id = String::new();
    for c in named.chars() {
        if c.is_ascii_alphanumeric() || c == '_' || c == '.' {
            id.push(c);
        } else if !id.ends_with('-') && !id.is_empty() {
            id.push('-');
        }
        if id.len() >= LONGEST {
            break;
        }
    }
    let id = id.trim_matches('-');
    if id.is_empty() { "node".to_string() } else { id.to_string() }
}

fn unused(taken: &mut BTreeSet<String>, wanted: &str) -> String {
    let mut id = wanted.to_string();
    let mut number = 1;
    while !taken.insert(id.clone()) {
        number += 1;
        id = format!("{wanted}-{number}");
    }
    id
}

/// How many spans meet at each node.
fn degrees(network: &Network) -> Vec<usize> {
    let mut degrees = vec![0; network.nodes.len()];
    for span in network.spans.iter().filter(|span| is_usable(span)) {
        span.ends.iter().for_each(|end| degrees[*end] += 1);
    }
    degrees
}

/// A span that leads back to its own node, or of no known length, cannot stand in a plan.
fn is_usable(span: &Stretch) -> bool {
    span.ends[0] != span.ends[1] && length(span).is_some()
}

fn length(span: &Stretch) -> Option<(Kilometers, &'static str)> {
    // What no plan may state, the skeleton must not.
    let possible = |length: &Kilometers| *length <= Kilometers::LONGEST;
    let stated = span.stated.filter(possible).map(|length| (length, "stated"));
    let drawn = span.drawn.filter(possible);
    stated.or_else(|| drawn.map(|length| (length, "measured on the map, without slack")))
}

fn places(text: &mut String, network: &Network, ids: &[String]) {
    text.push_str("places:\n");
    for (node, id) in network.nodes.iter().zip(ids) {
        let kind = if node.kind.is_empty() { "not stated" } else { node.kind.as_str() };
        let at = node.at.map_or_else(String::new, |(latitude, longitude)| {
            format!(", at: [{latitude:.7}, {longitude:.7}]")
        });
        let note = if node.id == *id { String::new() } else { format!("  # id {}", comment(&node.id)) };
        let _ = writeln!(text, "  {}: {{kind: {}{at}}}{note}", quoted(id), quoted(kind));
    }
}

/// Panels where equipment stands or a way ends, splice cases elsewhere.
fn couplings(text: &mut String, network: &Network, ids: &[String], degrees: &[usize]) {
    let panel = |index: usize| {
        let kind = network.nodes[index].kind.as_str();
        degrees[index] == 1 || WITH_EQUIPMENT.iter().any(|known| known.eq_ignore_ascii_case(kind))
    };
    for (head, of_panel) in [("panels", true), ("splice-cases", false)] {
        let these: Vec<usize> =
            (0..ids.len()).filter(|index| degrees[*index] > 0 && panel(*index) == of_panel).collect();
        if these.is_empty() {
            continue;
        }
        let _ = writeln!(text, "\n{head}:");
        for index in these {
            let positions = if degrees[index] == 2 { 1 } else { degrees[index] };
            let open = if degrees[index] > 2 { "  # FILL IN: which span goes on to which" } else { "" };
            let id = quoted(&ids[index]);
            let _ = writeln!(text, "  {id}: {{place: {id}, positions: {positions}}}{open}");
        }
    }
}

fn spans(text: &mut String, network: &Network, tables: &Tables, at: (&[String], &[usize])) {
    let (ids, degrees) = at;
    let mut used = vec![0usize; ids.len()];
    let mut cables = BTreeSet::new();
    let (mut lines, mut left_out) = (String::new(), String::new());
    for span in &network.spans {
        let name = comment(&span.id);
        let Some((length, how)) = length(span).filter(|_| is_usable(span)) else {
            let _ =
                writeln!(left_out, "# FILL IN: span `{name}` has no possible length, or one node only");
            continue;
        };
        let point = |node: usize, used: &mut Vec<usize>| {
            used[node] += 1;
            let position = if degrees[node] == 2 { 1 } else { used[node] };
            quoted(&format!("{}/{position}", ids[node]))
        };
        let (from, to) = (point(span.ends[0], &mut used), point(span.ends[1], &mut used));
        let known = tables.fibers.find(&span.fiber).is_some();
        let fiber = if known { format!(", fiber: {}", quoted(&span.fiber)) } else { String::new() };
        let kind = if span.drop { ", kind: drop" } else { "" };
        let cable = if span.id.is_empty() {
            String::new()
        } else {
            let id = plain_id(&Node { id: span.id.clone(), ..Node::default() });
            format!(", cable: {}, strand: 1", quoted(&unused(&mut cables, &id)))
        };
        let mut notes = vec![format!("length {how}")];
        notes.extend(span.fibers.filter(|fibers| *fibers > 1).map(|fibers| format!("{fibers} fibers")));
        let _ = writeln!(
            lines,
            "  - {{from: {from}, to: {to}, length: {:.3} km{cable}{fiber}{kind}}}  # {}",
            length.value(),
            notes.join("; ")
        );
    }
    if !lines.is_empty() {
        let _ = write!(text, "\nspans:\n{lines}");
    }
    text.push_str(&left_out);
}
