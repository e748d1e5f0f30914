//! `plan.length-too-short`: a span is shorter than the straight line between its places.

use rustc_hash::FxHashMap;

use crate::check::{Concern, Finding, Rule, Severity};
use crate::plan::{Plan, distance, least_distance};
use crate::units::Kilometers;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.length-too-short",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a span is shorter than the straight line between the places of its ends",
    why: "no fiber is: a length, its unit or a coordinate is wrong, and so are loss and material",
    remedy: "correct the length or its unit, or the latitude and longitude of the places",
    source: "great-circle distance, held to half a percent and to the digits that the coordinates are written with",
};

/// A span that is too short, with the line between its places.
struct Short {
    span: usize,
    line: Kilometers,
    others: usize,
}

/// Spans that are too short. Those that begin at one place share a finding: a place set down wrongly is
/// one fault.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    if plan.places.iter().filter(|place| place.at.is_some()).count() < 2 {
        return;
    }
    let mut shortest: FxHashMap<u32, Short> = FxHashMap::default();
    for (index, span) in plan.spans.iter().enumerate() {
        let (Some(a), Some(b)) = (plan.place_of(span.from), plan.place_of(span.to)) else { continue };
        let at = |place: u32| plan.places[place as usize].at;
        let (Some(from), Some(to)) = (at(a), at(b)) else { continue };
        let line = distance(from, to);
        if a == b || span.length >= line || span.length >= least_distance(from, to) {
            continue;
        }
        let found = shortest.entry(a).or_insert(Short { span: index, line, others: 0 });
        if found.span == index {
            continue;
        }
        found.others += 1;
        if line - span.length > found.line - plan.spans[found.span].length {
            (found.span, found.line) = (index, line);
        }
    }
    findings.extend(shortest.into_values().map(|short| finding(plan, &short)));
}

fn finding(plan: &Plan, short: &Short) -> Finding {
    let span = &plan.spans[short.span];
    let ends = [span.from, span.to];
    let [from, to] = ends.map(|end| plan.point_name(end));
    let [a, b] = ends.map(|end| {
        let place = plan.place_of(end).and_then(|place| plan.places.get(place as usize));
        place.map_or("?", |place| plan.names.get(place.name))
    });
    let more = match short.others {
        0 => String::new(),
        1 => format!(" (and 1 more span from `{a}`)"),
        count => format!(" (and {count} more spans from `{a}`)"),
    };
    let message = format!(
        "the span from `{from}` to `{to}` is {} long, but `{a}` and `{b}` lie {} apart in a straight \
         line{more}",
        span.length, short.line
    );
    RULE.hit(span.origin, from, message)
}
