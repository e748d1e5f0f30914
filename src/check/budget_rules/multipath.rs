//! `budget.multipath`: light thrown back twice may cost more than the margin.

use std::cell::RefCell;

use crate::budget::End;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::loss::multipath::{Levels, interference, penalty};
use crate::tables::FiberKind;
use crate::units::Decibels;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.multipath",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "light that joints throw back twice may cost more than the margin that is left",
    why: "it arrives late beside the light that did not turn, and shifts the levels that the receiver tells apart",
    remedy: "clean and inspect the connectors, use angled ones, or splice",
    source: "upper bound of contributions to IEEE 802.3 (sum over pairs of reflectors); optics of -26 dB and an extinction ratio of 3.5 dB, from memory",
};

/// The least extinction ratio of many Ethernet interfaces (from memory).
const EXTINCTION: Decibels = Decibels::new(3.5);

/// Ends with more margin are not walked: interference that costs so much would need flat or dirty faces
/// throughout, which `budget.return-loss` and `budget.joint-reflectance` tell.
const WALKED: Decibels = Decibels::new(3.0);

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let walks = RefCell::new(Walks::new(*view));
    let cost = |end: &End| cost(view, &mut walks.borrow_mut(), end);
    let beyond = |end: &End| {
        let margin = end.margin(&view.assessment.pair(end).window);
        let margin = margin.filter(|margin| (Decibels::ZERO..WALKED).contains(margin));
        margin.is_some_and(|margin| cost(end).is_some_and(|cost| cost > margin))
    };
    for group in view.ends_where(beyond) {
        let worst = group.worst_by_margin();
        let Some(cost) = cost(worst) else { continue };
        let message = format!(
            "{}: interference of reflections may cost up to {cost}, and {} is left",
            view.end_name(worst),
            view.margin(worst)
        );
        findings.push(group.hit_at(worst, &RULE, message));
    }
}

/// The penalty of an end; `None` for PONs and multimode fiber, whose limits count it, and for a receiver that
/// takes light by its phase.
fn cost(view: &View<'_>, walks: &mut Walks<'_>, end: &End) -> Option<Decibels> {
    let optic = view.assessment.pairs.optic(view.assessment.pair(end).transmitter)?;
    let interface = &optic.interface(view.tables)?.value;
    if interface.fiber_kind != FiberKind::SingleMode || interface.is_coherent() {
        return None;
    }
    let levels = if interface.modulation.starts_with("PAM4") { Levels::Four } else { Levels::Two };
    penalty(interference(&walks.reflectors(end)), EXTINCTION, levels)
}
