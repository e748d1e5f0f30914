//! `inventory.no-heads`: no line of a file names columns.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.no-heads",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "no line of an inventory names columns that are known",
    why: "without heads nobody knows what the cells stand for",
    remedy: "name the columns in a map (`--columns MAP.yaml`); `spanwright tables inventory-columns` lists the heads that are known",
    source: "common practice",
};

/// The finding for a file.
pub fn finding(at: Origin, name: &str, first_line: &str) -> Finding {
    let message = if first_line.is_empty() {
        format!("`{name}` is empty, or begins with an empty line and names no column that is known")
    } else {
        format!(
            "no line of `{name}` (the first 30 are looked at) names two columns that are known; it begins \
             with `{first_line}`"
        )
    };
    RULE.hit(at, name, message).hint("one of them must be site, port, module or serial")
}
