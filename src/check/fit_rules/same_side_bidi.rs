//! `fit.same-side-bidi`: two equal halves of a single-fiber pair face each other.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{Interface, Row, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.same-side-bidi",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two equal halves of a single-fiber pair face each other",
    why: "both send on one wavelength and both listen on the other: dark both ways",
    remedy: "exchange the optic at one end for the other half",
    source: "IEEE 802.3 clauses 58, 59, 158 to 160: single-fiber interfaces come as upstream and downstream halves",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(a), Some(b)) = (interface(near), interface(far)) else { return Outcome::Idle };
    if a.value.fibers != 1 || b.value.fibers != 1 {
        return Outcome::Idle;
    }
    let at = |row: &Row<Interface>| row.value.transmit.first().copied();
    let message = match (at(a), at(b)) {
        _ if a.key == b.key && a.value.mates_with.contains(&a.key) => return Outcome::Fits,
        // Two equal halves send alike, whether or not their wavelength is known.
        (Some(first), _) if a.key == b.key => {
            format!("both ends are {} and send at {}", a.key, first.nominal)
        }
        (None, _) if a.key == b.key && !a.value.mates_with.is_empty() => {
            format!("both ends are {}", a.key)
        }
        (Some(first), Some(second)) => {
            if first.shortest > second.longest || second.shortest > first.longest {
                return Outcome::Fits;
            }
            if first.nominal == second.nominal {
                format!("{} and {} both send at {}", a.key, b.key, first.nominal)
            } else {
                let (at, other) = (first.nominal, second.nominal);
                format!("{} sends at {at}, and {} at {other} in the same band", a.key, b.key)
            }
        }
        _ => return Outcome::Missing("the wavelengths of both halves"),
    };
    match a.value.mates_with.first() {
        Some(mate) => Outcome::hinted(message, format!("the mate of {} is {mate}", a.key)),
        None => Outcome::hit(message),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::PortKind;
    use crate::read::tables::built_in;
    use crate::tables::{Optic, Role};

    /// IEEE 802.3 clause 159, from memory: the halves are named; their wavelengths no table has.
    #[test]
    fn halves_of_unknown_wavelength_are_told_apart_by_name() {
        let tables = built_in();
        let judged = |near: &str, far: &str| {
            let optics = [near, far].map(|name| Optic::find(&tables, name, Role::Peer).expect(name));
            let [near, far] = [0, 1].map(|at: usize| Side {
                optic: Some(&optics[at]),
                ..Side::named("sw-1/1", PortKind::Equipment)
            });
            judge(&near, &far, &Way::default(), &tables)
        };
        let message = "both ends are 25GBASE-BR10-U";
        let hint = "the mate of 25GBASE-BR10-U is 25GBASE-BR10-D";
        assert_eq!(judged("25GBASE-BR10-U", "25GBASE-BR10-U"), Outcome::hinted(message, hint));
        let missing = Outcome::Missing("the wavelengths of both halves");
        assert_eq!(judged("25GBASE-BR10-U", "25GBASE-BR10-D"), missing);
    }
}
