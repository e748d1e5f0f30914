//! Which plan a page or sheet belongs to.

use crate::plan::Plan;
use crate::report::grid::visible;

/// What the head and foot of every page say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    /// Title of the plan, made harmless and of bearable length.
    pub title: String,
    /// Revision; empty when the plan states none.
    pub revision: String,
    /// Date as given; empty when nobody gave one. Never the clock: equal input gives equal bytes.
    pub date: String,
    /// SHA-256 of the input files, in hexadecimal digits.
    pub hash: String,
}

impl Identity {
    /// The identity of a plan. A date that was asked for goes before the plan's own.
    pub fn of(plan: &Plan, date: Option<&str>, hash: String) -> Self {
        const LONGEST: usize = 200;
        let title = if plan.title.trim().is_empty() { "Untitled plan" } else { plan.title.trim() };
        let text = |text: Option<&str>| visible(text.unwrap_or_default().trim(), LONGEST);
        Self {
            title: visible(title, LONGEST),
            revision: text(plan.revision.as_deref()),
            date: text(date.or(plan.date.as_deref())),
            hash,
        }
    }

    /// `revision B`, or that there is none.
    pub fn revision_words(&self) -> String {
        if self.revision.is_empty() {
            "no revision stated".to_string()
        } else {
            format!("revision {}", self.revision)
        }
    }

    /// The date, or that there is none.
    pub fn date_words(&self) -> String {
        if self.date.is_empty() { "no date stated".to_string() } else { self.date.clone() }
    }

    /// The first digits of the hash: enough to tell two sheets apart by eye.
    pub fn short_hash(&self) -> &str {
        self.hash.get(..12).unwrap_or(&self.hash)
    }
}
