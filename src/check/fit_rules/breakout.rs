//! `fit.breakout`: a parallel optic is broken out into ends that do not go with it.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::broken_out::{BrokenOut, broken_out};
use crate::fit::facts::{Side, Way};
use crate::tables::{Breakout, Tables};

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
    if let Some(known) = broken_out(near, far, tables) {
        return one_of(&known, [near.lane, far.lane]);
    }
    match (near.lane, far.lane) {
        (None, None) => Outcome::Idle,
        (Some(_), None) => unknown(near, far, tables),
        (None, Some(_)) => unknown(far, near, tables),
        (Some(a), Some(b)) if a == b => Outcome::Fits,
        (Some(a), Some(b)) => Outcome::hit(format!("lane {a} faces lane {b}")),
    }
}

/// A lane is stated, and the table knows no breakout of the two.
fn unknown(parent: &Side<'_>, child: &Side<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(whole), Some(single)) = (interface(parent), interface(child)) else {
        return Outcome::Idle;
    };
    if whole.value.fibers <= 2 {
        let message =
            format!("{} has its lanes on one pair of fibers and cannot be broken out", whole.key);
        return Outcome::hit(message);
    }
    let known = tables.breakouts.rows().iter().filter(|row| row.value.parent == whole.key);
    let children: Vec<&str> = known.map(|row| row.value.child.as_str()).collect();
    let message = format!("a lane of {} does not face {}", whole.key, single.key);
    match children.as_slice() {
        [] => Outcome::hit(message),
        children => Outcome::hinted(message, format!("it faces {}", children.join(" or "))),
    }
}

/// The lane must be one that the parent has.
fn one_of(known: &BrokenOut<'_>, lanes: [Option<u16>; 2]) -> Outcome {
    let Breakout { parent, lanes: children, .. } = &known.row.value;
    match (lanes, known.lane) {
        ([Some(a), Some(b)], _) if a != b => Outcome::hit(format!("lane {a} faces lane {b}")),
        (_, Some(lane)) if lane > *children => {
            Outcome::hit(format!("{parent} is split into {children} here, and this is lane {lane}"))
        }
        _ => Outcome::Fits,
    }
}
