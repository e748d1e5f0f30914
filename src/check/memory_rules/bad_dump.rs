//! `memory.bad-dump`: a dump of a module's memory cannot be read.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.bad-dump",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a dump of a module's memory cannot be read",
    why: "a byte that is lost or doubled moves every field behind it; what would then be read is not what the module says",
    remedy: "dump again as raw bytes, as plain hex, or as hex with offsets, one byte a group",
    source: "common practice",
};
