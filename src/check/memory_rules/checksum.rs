//! `memory.checksum`: a check code does not fit its bytes.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::Memory;
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.checksum",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a check code of a module's memory does not fit the bytes it covers",
    why: "a bit has flipped in the module or on the way, or somebody has rewritten it; any field it covers may be wrong",
    remedy: "read the module again; if the code stays wrong, do not trust its labels and return it",
    source: "SFF-8472 (CC_BASE, CC_EXT, CC_DMI), SFF-8636 (bytes 191, 223), restated in public texts; CMIS page checksums from memory",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    for sum in memory.checksums.iter().filter(|sum| !sum.is_right()) {
        let (from, to) = sum.covers;
        let message = format!(
            "{}: the memory states {:02X}h, bytes {from} to {to} add up to {:02X}h",
            sum.name, sum.stored, sum.computed
        );
        findings.push(RULE.hit(at, sum.name, message));
    }
}
