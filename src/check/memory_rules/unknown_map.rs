//! `memory.unknown-map`: the identifier names no map that is known here.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::Code;
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.unknown-map",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a module's memory is laid out by a map that is not known here",
    why: "read by another map, every field would be wrong",
    remedy: "check that byte 0 stands first in the dump; maps known are SFF-8472, SFF-8636 and CMIS",
    source: "SFF-8024, identifier values",
};

/// The finding for an identifier without a map.
pub fn finding(identifier: &Code, at: Origin) -> Finding {
    let message = format!(
        "byte 0 says {identifier}, whose memory is laid out neither by SFF-8472, SFF-8636 nor CMIS"
    );
    RULE.hit(at, "byte 0", message)
}
