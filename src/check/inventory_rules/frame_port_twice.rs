//! `inventory.frame-port-twice`: two ports are recorded at one frame position.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.frame-port-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two ports are recorded at one frame position",
    why: "a coupling takes one jumper",
    remedy: "look at the frame",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FramePort], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "frame position `{}` is also that of `{}`",
            said.shown(Column::FramePort),
            said.far_port()
        ),
        String::new(),
    )
}
