//! `memory.short`: a dump ends before the module is identified.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Block, Map};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.short",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a dump ends before the fields that identify the module",
    why: "who made it, what it is and whether its bytes are sound stands in the bytes that are missing",
    remedy: "dump all of A0h (SFF-8472), or the lower memory and page 00h (SFF-8636, CMIS)",
    source: "SFF-8472, SFF-8636 and CMIS memory maps, restated in public texts",
};

/// The finding for a dump without the block that identifies the module.
pub fn finding(map: Map, block: Block, last: usize, at: Origin) -> Finding {
    let message = format!(
        "the dump ends before byte {last} of the {block}, which {} needs to identify the module",
        map.name()
    );
    RULE.hit(at, block.to_string(), message)
}
