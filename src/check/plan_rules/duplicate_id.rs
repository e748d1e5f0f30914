//! `plan.duplicate-id`: two devices, or two places, have the same id.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.duplicate-id",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "two devices, or two places, have the same id",
    why: "a span to that id could end at either",
    remedy: "rename one of them; shelves, panels, splice cases, splitters, taps, wdm elements, attenuators and ONTs share their ids",
    source: "common practice",
};
