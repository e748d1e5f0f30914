//! `table.overlapping-bands`: two rows of one wdm element or one hazard level hold for the same wavelength.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.overlapping-bands",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "two rows of one wdm element or one hazard level hold for the same wavelength",
    why: "light of that wavelength would have two ways or two limits",
    remedy: "to change a built-in row write the same band; to change the band give the whole element a name of its own",
    source: "common practice",
};
