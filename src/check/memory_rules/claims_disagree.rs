//! `memory.claims-disagree`: what the module says of itself does not go together.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Disagreement, Memory, disagreements};
use crate::place::Origin;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.claims-disagree",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the codes of a module name one interface, its other fields another",
    why: "one of them is wrong; modules for a single fiber often carry the code of the duplex interface, and only their wavelength tells",
    remedy: "read the label, ask the maker, and mate it by its wavelength",
    source: "common practice; a published dump of a 1330 nm module with the code 10GBASE-LR",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, tables: &Tables, at: Origin, findings: &mut Vec<Finding>) {
    for disagreement in disagreements(memory, tables) {
        findings.push(finding(&disagreement, at));
    }
}

fn finding(disagreement: &Disagreement, at: Origin) -> Finding {
    match disagreement {
        Disagreement::Wavelength { interface, stated, single_fiber } => {
            let message =
                format!("the codes name `{interface}`, which does not send at the stated {stated}");
            let hint = single_fiber
                .as_ref()
                .map(|name| format!("{stated} is the wavelength of `{name}`, which works on one fiber"));
            RULE.hit(at, interface, message).hint(hint.unwrap_or_default())
        }
        Disagreement::SingleFiber { interface, stated, single_fiber } => {
            let message = format!(
                "the codes name `{interface}`, for two fibers, but {stated} is the wavelength of `{single_fiber}`, which works on one"
            );
            RULE.hit(at, interface, message)
        }
        Disagreement::Rate { interface, stated } => {
            let message =
                format!("the codes name `{interface}`, which the stated rate of {stated} cannot carry");
            RULE.hit(at, interface, message)
        }
        Disagreement::Reach { interface, stated, needed } => {
            let message = format!(
                "the codes name `{interface}`, which reaches {needed:.1}, but {stated:.1} is stated"
            );
            RULE.hit(at, interface, message)
        }
    }
}
