//! `fit.fiber-kind`: single-mode optics on multimode fiber, or the reverse.

use super::Outcome;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::Tables;
use crate::tables::conditioning::takes_conditioning;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.fiber-kind",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the optics are made for another kind of fiber",
    why: "single-mode light in multimode fiber suffers modal noise; multimode light hardly enters single-mode fiber",
    remedy: "use the fiber the interface is made for, or a mode-conditioning cord where the standard allows one",
    source: "IEEE 802.3 clauses 38 and 59 (mode-conditioning cords), from memory",
};

/// Judges two ends and the way between them.
pub fn judge(near: &Side<'_>, far: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    if way.fibers.is_empty() {
        return Outcome::Missing("the fiber type of the way");
    }
    for optic in [near.optic, far.optic].into_iter().flatten() {
        let kind = optic.fiber_kind(tables);
        if let Some(other) = way.fibers.iter().find(|fiber| fiber.value.kind != kind) {
            let (name, kind, other_kind) = (&optic.name, kind.word(), other.value.kind.word());
            let message =
                format!("`{name}` is made for {kind} fiber, and {} is {other_kind}", other.key);
            return Outcome::hit(message);
        }
    }
    Outcome::Fits
}

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.fiber_kind) {
        let first = group.ends[0];
        let pair = view.assessment.pair(first);
        let message = format!(
            "{}: `{}` is made for {} fiber, and the way has another",
            view.end_name(first),
            view.optic_name(pair.transmitter),
            pair.fiber_kind.word(),
        );
        let finding = group.hit_at(first, &RULE, message);
        findings.push(match conditioned(view, view.optic_name(pair.transmitter)) {
            Some(row) => finding.hint(format!(
                "on OM1 and OM2, with a mode-conditioning cord at both ends (`mode-conditioning: yes`), it is \
                 judged as {row}"
            )),
            None => finding,
        });
    }
}

/// The row that an optic would have behind mode-conditioning cords, where the plan has fiber that takes
/// them.
fn conditioned<'t>(view: &View<'t>, optic: &str) -> Option<&'t str> {
    let row = view.tables.behind_conditioning_cord(optic)?;
    let older = view.plan.fibers.iter().filter_map(|name| view.tables.fibers.get(name));
    let mut older = older.filter(|fiber| takes_conditioning(&fiber.key));
    older.next().map(|_| row.key.as_str())
}
