//! `fit.coexistence`: two PON systems share a feeder without what keeps them apart.

use std::collections::{BTreeMap, BTreeSet};

use crate::budget::Group;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::words::with_article;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::plan::{PointRef, TapLeg};
use crate::plant::Link;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.coexistence",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two PON systems share a plant, and nothing keeps their light apart",
    why: "each OLT also hears the ONUs of the other system; systems with the same wavelengths cannot share a plant at all",
    remedy: "join the systems at the office through a coexistence element, each on its own leg, or use one OLT optic that holds both",
    source: "ITU-T G.984.5, G.9804.1, restated in public texts; the table `coexistence`",
};

/// Hits of the rule in a judged plan: one for each two OLT ports that meet at a splitter or tap.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let pairs = &view.assessment.pairs;
    let systems: BTreeSet<&str> =
        pairs.optics.iter().filter_map(|used| used.optic.as_ref()?.system(view.tables)).collect();
    if systems.len() < 2 {
        return;
    }
    let mut walks = Walks::new(*view);
    let mut met: BTreeMap<PointRef, Vec<Feeder<'_>>> = BTreeMap::new();
    for group in view.pons() {
        let Some(feeder) = Feeder::of(view, group, &mut walks) else { continue };
        let others = met.entry(feeder.meets).or_default();
        for other in others.iter().filter(|other| other.port != feeder.port) {
            if let Some((why, hint)) = apart(view, &feeder, other) {
                let (a, b) = (view.port_name(other.port), view.port_name(feeder.port));
                let message = format!(
                    "`{a}` ({}) and `{b}` ({}) meet at `{}`: {why}",
                    other.system,
                    feeder.system,
                    view.plan.point_name(feeder.meets)
                );
                let subject = format!("{a} and {b}");
                findings.push(
                    RULE.hit(view.port_origin(feeder.port), subject, message)
                        .hint(hint)
                        .about_ports([feeder.port, other.port]),
                );
            }
        }
        others.push(feeder);
    }
}

/// The way from an OLT to where its PON divides.
struct Feeder<'a> {
    port: u32,
    system: &'a str,
    /// The first input of the splitter or tap.
    meets: PointRef,
    /// Whether a wdm element stands before it.
    filtered: bool,
}

impl<'a> Feeder<'a> {
    fn of(view: &View<'a>, group: &Group, walks: &mut Walks<'_>) -> Option<Self> {
        let optic = view.assessment.pairs.optic(group.optic)?;
        let trace = walks.from(group.port, *optic.transmit.first()?)?;
        let meets = trace.visits.iter().position(|visit| {
            matches!(visit.point, PointRef::SplitterInput { .. } | PointRef::Tap { leg: TapLeg::In, .. })
        })?;
        let path = trace.path_to(meets as u32);
        let crossed = |at: &u32| matches!(trace.visits[*at as usize].link, Some(Link::Wdm { .. }));
        let meets = match trace.visits[meets].point {
            PointRef::SplitterInput { splitter, .. } => PointRef::SplitterInput { splitter, input: 1 },
            other => other,
        };
        let (port, system) = (group.port, optic.system(view.tables)?);
        Some(Self { port, system, meets, filtered: path.iter().any(crossed) })
    }
}

/// Why two systems cannot meet so, and what would do instead of the rule's remedy; `None` where they
/// can, or are one.
fn apart(view: &View<'_>, a: &Feeder<'_>, b: &Feeder<'_>) -> Option<(String, String)> {
    if a.system == b.system {
        return None;
    }
    let known = view.tables.coexistence(a.system, b.system);
    match known {
        Some(row) if !row.value.possible => {
            let instead = row.value.element.trim_start_matches("none: ");
            Some((
                row.value.why.clone(),
                format!("no element keeps these two apart; instead: {instead}"),
            ))
        }
        _ if a.filtered && b.filtered => None,
        Some(row) => Some((format!("they need {}", with_article(&row.value.element)), String::new())),
        None => Some(("no wdm element stands before it on both ways".to_string(), String::new())),
    }
}
