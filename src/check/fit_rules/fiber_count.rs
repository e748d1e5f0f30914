//! `fit.fiber-count`: the ends or the way have another number of fibers than is needed.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::broken_out::broken_out;
use crate::fit::facts::{Side, Way};
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.fiber-count",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "one end needs another number of fibers than the other end or the way has",
    why: "a duplex optic needs a fiber for each direction, a single-fiber one sends both ways through one, a parallel one needs an array",
    remedy: "use optics of one kind, and a way with as many fibers as they need",
    source: "IEEE 802.3 medium dependent interfaces of the clauses",
};

/// Judges two ends that face each other, and the way between them.
pub fn judge(near: &Side<'_>, far: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    let (Some(a), Some(b)) = (near.optic, far.optic) else { return Outcome::Idle };
    let (first, second) = match broken_out(near, far, tables) {
        Some(known) => (known.fibers, known.fibers),
        None => (needs(near, a.fibers(tables)), needs(far, b.fibers(tables))),
    };
    if first != second {
        let message = format!("{} uses {}, {} {second}", a.name, fibers(first), b.name);
        return Outcome::hit(message);
    }
    match way.strands {
        None => Outcome::Missing("how many fibers the way has"),
        Some(strands) if strands < first => {
            Outcome::hit(format!("{} uses {}, the way has {strands}", a.name, fibers(first)))
        }
        Some(_) => Outcome::Fits,
    }
}

/// Fibers that an end needs; a lane of a broken-out optic needs one each way.
fn needs(side: &Side<'_>, fibers: u16) -> u16 {
    if side.lane.is_some() { 2 } else { fibers }
}

fn fibers(count: u16) -> String {
    if count == 1 { "1 fiber".to_string() } else { format!("{count} fibers") }
}
