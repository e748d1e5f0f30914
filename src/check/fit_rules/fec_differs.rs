//! `fit.fec-differs`: the two ends correct errors differently.

use super::{Outcome, card_fec};
use crate::check::{Concern, Rule, Severity};
use crate::fit::broken_out::is_broken_out;
use crate::fit::facts::{Side, Way};
use crate::tables::{FEC_WORDS, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.fec-differs",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the two ends are set to different error correction",
    why: "corrected and uncorrected streams look alike in light and do not understand each other: the link stays down or flaps",
    remedy: "set both ends alike, to what the interface needs",
    source: "IEEE 802.3 clauses 74, 91, 108, 119, 134, from memory",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let needs = |side: &Side<'_>| {
        let row = side.optic?.interface(tables)?;
        FEC_WORDS.iter().find(|word| **word == row.value.fec).copied()
    };
    match (near.fec, far.fec) {
        (Some(a), Some(b)) if a == b => Outcome::Fits,
        // Of an end that lacks what its interface needs, `fit.card-fec` speaks.
        (Some(_), Some(_)) if [near, far].into_iter().any(|side| is_lacking(side, tables)) => {
            Outcome::Idle
        }
        (Some(a), Some(b)) => {
            Outcome::hit(format!("error correction is {a} at the first port, {b} at the second"))
        }
        // A broken-out lane is coded as its far end is.
        _ if is_broken_out(near, far, tables) => Outcome::Missing("the error correction of both ports"),
        _ => match (needs(near), needs(far)) {
            (Some("none"), Some("none")) | (None, None) => Outcome::Idle,
            // An interface that needs none may be given one: the ports decide.
            (Some(a), Some(b)) if a != b && a != "none" && b != "none" => {
                let (near, far) = (near.optic_name(), far.optic_name());
                Outcome::hit(format!("{near} needs error correction {a}, {far} needs {b}"))
            }
            _ => Outcome::Missing("the error correction that both ports are set to"),
        },
    }
}

fn is_lacking(side: &Side<'_>, tables: &Tables) -> bool {
    matches!(card_fec::judge(side, tables), Outcome::Hit { .. })
}
