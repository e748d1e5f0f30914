//! `fit.classes-differ`: OLT and ONU of one system, but of different classes.

use super::Outcome;
use crate::budget::Reason;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::broken_out::is_broken_out;
use crate::fit::facts::{Side, Way};
use crate::tables::{Family, Role, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.classes-differ",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the two optics are of one system but of different classes or types",
    why: "the budget is then neither class's own: each direction closes for itself, with the levels of the two that meet",
    remedy: "check that it is meant; the budget shown is that of the pair as it stands",
    source: "ITU-T G.984.2 Amd 2, G.987.2 (optical classes are pairs), from memory",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let (Some(a), Some(b)) = (near.optic, far.optic) else { return Outcome::Idle };
    let facing = matches!((a.role, b.role), (Role::Peer, Role::Peer))
        || (a.role != b.role && a.role != Role::Peer && b.role != Role::Peer);
    // `fit.breakout` knows which single-lane interface goes with a lane.
    if !facing || is_broken_out(near, far, tables) || a.system(tables) != b.system(tables) {
        return Outcome::Idle;
    }
    let same = match (a.family, b.family) {
        (Family::Interface(first), Family::Interface(second)) => {
            let row = tables.interfaces.row(first);
            let other = &tables.interfaces.row(second).key;
            first == second || row.value.mates_with.iter().any(|mate| mate.eq_ignore_ascii_case(other))
        }
        (first, second) => first == second,
    };
    if same { Outcome::Fits } else { Outcome::hit(format!("`{}` faces `{}`", a.name, b.name)) }
}

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let lane = |port| view.plan.fitting_of(port).and_then(|fitting| fitting.lane);
    for group in view.ends_where(|end| {
        let alike = view.assessment.pair(end).window.same_kind || end.reason == Reason::NoWindow;
        !alike && lane(end.transmitter).is_none() && lane(end.receiver).is_none()
    }) {
        let first = group.ends[0];
        let pair = view.assessment.pair(first);
        let message = format!(
            "{}: `{}` sends to `{}`",
            view.end_name(first),
            view.optic_name(pair.transmitter),
            view.optic_name(pair.receiver),
        );
        findings.push(group.hit_at(first, &RULE, message));
    }
}
