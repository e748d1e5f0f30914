//! `plan.unknown-word`: a value is not one of the words that may stand there.

use crate::check::{Concern, Rule, Severity, nearest};
use crate::plan::{Plug, PlugError};
use crate::tables::{Polish, Table};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-word",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a value is not one of the words that may stand there",
    why: "it cannot be told what is meant",
    remedy: "use one of the words that the message lists",
    source: "common practice",
};

/// What was probably meant where an end face was refused.
pub fn meant_face(error: &PlugError, polishes: &Table<Polish>) -> String {
    let PlugError::Unknown(part) = error else { return "keep one of them".to_string() };
    let words = Plug::CONNECTORS.iter().copied().chain(polishes.names());
    match nearest(part, words.chain(["pinned", "unpinned"])) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!(
            "write it as `LC/UPC` or `MPO-12/APC/pinned`; connectors are {}; polishes are {}",
            Plug::CONNECTORS.join(", "),
            polishes.rows().iter().map(|row| row.key.as_str()).collect::<Vec<_>>().join(", ")
        ),
    }
}
