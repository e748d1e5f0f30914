//! `memory.bad-calibration`: calibration that cannot be right.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Calibration, Memory, NoDiagnostics};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.bad-calibration",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a module does not say how its readings are calibrated, or its constants cannot be right",
    why: "readings of an externally calibrated module are raw numbers until its constants are applied; with wrong ones they mean nothing",
    remedy: "measure with a power meter instead of reading the module",
    source: "SFF-8472, byte 92 of A0h and bytes 56 to 91 of A2h, restated in public texts",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    let faults = match &memory.diagnostics {
        Err(NoDiagnostics::CalibrationUnclear { both: true }) => {
            vec!["byte 92 says both internally and externally calibrated: readings are not shown"]
        }
        Err(NoDiagnostics::CalibrationUnclear { both: false }) => {
            vec!["byte 92 says neither internally nor externally calibrated: readings are not shown"]
        }
        Ok(diagnostics) => match &diagnostics.calibration {
            Calibration::External(constants) => constants.faults(),
            Calibration::Internal { .. } => return,
        },
        Err(_) => return,
    };
    findings.extend(faults.into_iter().map(|fault| RULE.hit(at, "calibration", fault)));
}
