//! `fit.breakout`: a parallel optic is broken out into ends that do not go with it.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.breakout",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a parallel optic is broken out, and its lanes do not go with the far end",
    why: "only the lanes of a parallel optic have fibers of their own; a wdm optic cannot be split, and each lane is an interface of its own type",
    remedy: "use the single-lane interface that belongs to the parallel one, with each lane on its own port",
    source: "IEEE 802.3 clauses of the parallel interfaces; common practice, from memory",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    match (near.lane, far.lane) {
        (None, None) => Outcome::Idle,
        (Some(lane), None) => split(near, lane, far, tables),
        (None, Some(lane)) => split(far, lane, near, tables),
        (Some(a), Some(b)) if a == b => Outcome::Fits,
        (Some(a), Some(b)) => Outcome::hit(format!("lane {a} faces lane {b}")),
    }
}

fn split(parent: &Side<'_>, lane: u16, child: &Side<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(whole), Some(single)) = (interface(parent), interface(child)) else {
        return Outcome::Idle;
    };
    if whole.value.fibers <= 2 {
        let message =
            format!("{} has its lanes on one pair of fibers and cannot be broken out", whole.key);
        return Outcome::hit(message);
    }
    let Some(row) = tables.breakout(&whole.key, &single.key) else {
        let known = tables.breakouts.rows().iter().filter(|row| row.value.parent == whole.key);
        let children: Vec<&str> = known.map(|row| row.value.child.as_str()).collect();
        let message = format!("a lane of {} does not face {}", whole.key, single.key);
        return match children.as_slice() {
            [] => Outcome::hit(message),
            children => Outcome::hinted(message, format!("it faces {}", children.join(" or "))),
        };
    };
    if lane > row.value.lanes {
        return Outcome::hit(format!(
            "{} has {} lanes, and this is lane {lane}",
            whole.key, row.value.lanes
        ));
    }
    Outcome::Fits
}
