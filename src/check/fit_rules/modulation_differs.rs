//! `fit.modulation-differs`: the two ends use different modulation or line code.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{Interface, Row, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.modulation-differs",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the two ends use different modulation or line code",
    why: "a receiver of two levels cannot read four, nor an incoherent one a coherent signal; and a line code is read only by its like",
    remedy: "use optics of one interface type, or declared mates",
    source: "IEEE 802.3 clauses of the interfaces",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let (Some(a), Some(b)) = (interface(near, tables), interface(far, tables)) else {
        return Outcome::Idle;
    };
    let (first, second) = (signal(&a.value.modulation), signal(&b.value.modulation));
    if first.is_empty() || second.is_empty() {
        return Outcome::Missing("the modulation of both interfaces");
    }
    if first != second {
        return Outcome::hit(format!("{} sends {first}, {} {second}", a.key, b.key));
    }
    if is_coded_alike(&a.value, &b.value) {
        return Outcome::Fits;
    }
    Outcome::hit(format!("{} sends {}, {} {}", a.key, a.value.modulation, b.key, b.value.modulation))
}

fn interface<'t>(side: &Side<'_>, tables: &'t Tables) -> Option<&'t Row<Interface>> {
    side.optic?.interface(tables)
}

/// Whether two interfaces use one line code, as far as both state theirs.
pub(crate) fn is_coded_alike(a: &Interface, b: &Interface) -> bool {
    let code = |interface: &'_ Interface| {
        interface.modulation.split_once(' ').map(|(_, code)| code.to_string())
    };
    match (code(a), code(b)) {
        (Some(first), Some(second)) => first == second,
        _ => true,
    }
}

/// The signal without its line code: `NRZ`, `PAM4`, `DP-16QAM`.
fn signal(modulation: &str) -> &str {
    match modulation.split_whitespace().next().unwrap_or_default() {
        "NRZI" => "NRZ",
        word => word,
    }
}
