//! `memory.cut-off`: a dump ends within a block, or has bytes with no place.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::Image;
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.cut-off",
    severity: Severity::Warning,
    concern: Concern::Input,
    what: "a dump ends within a block of 128 bytes, or holds bytes whose place is not known",
    why: "what stands there is not read, though it may matter: thresholds, readings, check codes",
    remedy: "dump whole blocks, and name the pages (a line `page 03h` before each)",
    source: "common practice",
};

/// Hits of the rule in a dump.
pub fn check(image: &Image, at: Origin, findings: &mut Vec<Finding>) {
    if let (missing @ 1.., Some(last)) = (image.missing(), image.blocks().last()) {
        let message = format!("the last block of the dump ({last}) lacks {missing} of its 128 bytes");
        findings.push(RULE.hit(at, last.to_string(), message));
    }
    if image.left_over > 0 {
        let message = format!(
            "the dump holds {} more bytes, and nothing tells which page they are; they are not read",
            image.left_over
        );
        findings.push(RULE.hit(at, "", message));
    }
}
