//! `memory.page-order`: the pages of a dump are not named.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Image, Naming};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.page-order",
    severity: Severity::Note,
    concern: Concern::Input,
    what: "a dump does not name its pages, and they were taken in the usual order",
    why: "were they others, their readings and thresholds would be shown as something they are not",
    remedy: "name the pages (a line `page 11h` before each) where it matters",
    source: "common practice",
};

/// Hits of the rule in a dump.
pub fn check(image: &Image, at: Origin, findings: &mut Vec<Finding>) {
    if image.naming == Naming::Usual {
        let blocks: Vec<String> = image.blocks().map(|block| block.to_string()).collect();
        let message = format!("the dump does not name its pages; taken as {}", blocks.join(", "));
        findings.push(RULE.hit(at, "", message));
    }
}
