//! `fit.not-optical`: a module from which no light comes.

use rustc_hash::FxHashMap;

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.not-optical",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the module is not optical: copper, or a cable with its ends fixed",
    why: "no light of it can be judged: cage, power and temperature are, length and quality of the cable are not",
    remedy: "check the length against the sheet of the module or cable, and that both ends are of one kind",
    source: "the row of the word in the table `electrical-words`; common practice",
};

/// Notes of the rule in a judged plan: one for each name.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut ports: FxHashMap<u16, Vec<u32>> = FxHashMap::default();
    let electrical = |optic: &&u16| view.assessment.pairs.electrical(**optic).is_some();
    if !view.assessment.pairs.optics.iter().any(|used| used.electrical.is_some()) {
        return;
    }
    for port in 0..view.plan.ports.len() as u32 {
        let optics = view.assessment.pairs.of_port(view.plan, port).iter().filter(electrical);
        optics.for_each(|optic| ports.entry(*optic).or_default().push(port));
    }
    let mut ports: Vec<(u16, Vec<u32>)> = ports.into_iter().collect();
    ports.sort_unstable();
    findings.extend(
        ports
            .into_iter()
            .map(|(optic, ports)| of(view, optic, ports[0], ports.len()).about_ports(ports)),
    );
}

/// The note about a port, which speaks for so many that have the same module.
pub(crate) fn of(view: &View<'_>, optic: u16, port: u32, count: usize) -> Finding {
    let name = view.port_name(port);
    let more = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
    let carries = view.assessment.pairs.electrical(optic).unwrap_or_default();
    let written = view.optic_name(optic);
    let message = format!("`{written}` in `{name}`{more} is not optical: {carries}");
    RULE.hit(view.port_origin(port), name, message)
}
