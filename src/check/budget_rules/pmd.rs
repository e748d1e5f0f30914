//! `budget.pmd`: polarization mode dispersion takes too much of the bit period.

use std::cell::RefCell;

use crate::budget::End;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::tables::FiberKind;
use crate::units::{Kilometers, Picoseconds};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.pmd",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the mean polarization mode dispersion of the way takes more than a tenth of the bit period",
    why: "both polarizations arrive at different times, now less and now more: at times the eye closes",
    remedy: "measure it; take newer fiber, or optics that mend it (coherent)",
    source: "ITU-T G.691 and G.959.1 (0.1 of the bit period on the mean, 0.3 at most), from memory; coefficients add as the root of the sum of squares (ITU-T G-series Supplement 39)",
};

/// The share of a bit period that the mean may take.
const SHARE: f64 = 0.1;

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let fibers = view.plan.fibers.iter().filter_map(|fiber| view.tables.fibers.get(fiber));
    let known = fibers.filter_map(|row| row.value.pmd);
    let Some(most) = known.reduce(|a, b| if b > a { b } else { a }) else { return };
    let walks = RefCell::new(Walks::new(*view));
    let mean = |end: &End| mean(view, &walks.borrow_mut().fiber_lengths(end));
    // Only a way so long that it would matter with the worst fiber of the plan is walked.
    let beyond = |end: &End| {
        allowed(view, end).is_some_and(|allowed| {
            most.value() * end.length.value().sqrt() > allowed.value() && mean(end) > allowed
        })
    };
    for group in view.ends_where(beyond) {
        let farthest = group.farthest();
        let Some(allowed) = allowed(view, farthest) else { continue };
        let message = format!(
            "{}: {} on the mean over {}, a tenth of the bit period is {allowed}",
            view.end_name(farthest),
            mean(farthest),
            farthest.length,
        );
        findings.push(group.hit_at(farthest, &RULE, message));
    }
}

/// A tenth of the bit period of an end's lane; `None` for multimode fiber, for a receiver that mends it, and
/// where the rate is not known.
fn allowed(view: &View<'_>, end: &End) -> Option<Picoseconds> {
    let optic = view.assessment.pairs.optic(view.assessment.pair(end).transmitter)?;
    let interface = &optic.interface(view.tables)?.value;
    let rate = interface.lane_rate.filter(|_| !interface.is_coherent())?;
    (interface.fiber_kind == FiberKind::SingleMode).then(|| Picoseconds::new(SHARE * 1e6 / rate.value()))
}

/// The mean differential group delay of a way; fiber of an unknown coefficient counts nothing.
fn mean(view: &View<'_>, lengths: &[(u16, Kilometers)]) -> Picoseconds {
    let squared = |(fiber, length): &(u16, Kilometers)| {
        let row = view.tables.fibers.get(view.plan.fibers.get(usize::from(*fiber))?)?;
        Some(row.value.pmd?.value().powi(2) * length.value())
    };
    Picoseconds::new(lengths.iter().filter_map(squared).sum::<f64>().sqrt())
}
