//! `plan.loop`: spans that lead back to where they came from.

use crate::check::{Concern, Rule, Severity};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.loop",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "spans and splitters close a loop",
    why: "light that runs in a loop or over two ways interferes with itself; a PON is a tree",
    remedy: "open the loop: one of its spans is wrong",
    source: "ITU-T G.984.1 (point-to-multipoint tree); common practice",
};

/// The span or joint that closes a loop.
pub fn finding(from: &str, to: &str, origin: Origin) -> crate::check::Finding {
    RULE.hit(
        origin,
        from,
        format!("`{from}` to `{to}` closes a loop: both are joined already by another way"),
    )
}
