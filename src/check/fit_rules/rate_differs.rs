//! `fit.rate-differs`: the two ends run at different rates.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::broken_out::broken_out;
use crate::fit::cage::is_same_rate;
use crate::fit::facts::{Side, Way};
use crate::tables::{Role, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.rate-differs",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the two ends run at different rates",
    why: "light arrives and no link comes up: neither end can lock to the other",
    remedy: "use optics of one rate, and set both ports to it",
    source: "IEEE 802.3: one physical layer at both ends of a link",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    // A breakout of the table shares the rate of the parent out evenly.
    if broken_out(near, far, tables).is_some() {
        return Outcome::Fits;
    }
    let rates = |side: &Side<'_>| side.link_rate(tables).or(side.rate);
    let both_links =
        [near, far].iter().all(|side| side.optic.is_some_and(|optic| optic.role == Role::Peer));
    let (Some(a), Some(b)) = (rates(near), rates(far)) else { return Outcome::Idle };
    if !both_links || is_same_rate(a, b) {
        return Outcome::Fits;
    }
    Outcome::hit(format!("{} runs at {a}, {} at {b}", near.optic_name(), far.optic_name()))
}
