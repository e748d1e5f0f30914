//! `memory.blank`: nothing but 00h or FFh was read.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::Image;
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.blank",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a dump holds no byte of a module: all are 00h, or all FFh, or there is none",
    why: "that is what a cage without a module gives, or a module that did not answer; it says nothing of any module",
    remedy: "seat the module, wait until it has started, and read it again",
    source: "common practice",
};

/// The finding for a memory that was not read.
pub fn finding(image: &Image, at: Origin) -> Finding {
    let message = match image.bytes().next() {
        None => "the dump holds no byte".to_string(),
        Some(byte) => format!("every byte of the dump is {byte:02X}h: the module was not read"),
    };
    RULE.hit(at, "", message)
}
