//! What the user thinks of rules: which run, how grave they are, which findings are accepted until when.
//! The only place where a severity changes.

use rustc_hash::FxHashMap;

use super::{Rule, Severity};

/// A finding that somebody answers for until a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Accepted {
    /// The finding's id.
    pub id: String,
    /// The last day, from 2000-01-01.
    pub until: i64,
    /// Why.
    pub reason: String,
    /// Who answers for it.
    pub owner: String,
}

/// What the user thinks of rules.
#[derive(Debug, Clone, Default)]
pub struct Policy {
    /// Ids or beginnings of ids; empty = all.
    pub select: Vec<String>,
    /// Ids or beginnings of ids that are left out.
    pub ignore: Vec<String>,
    /// Severities by rule id; `None` = left out.
    pub severities: FxHashMap<String, Option<Severity>>,
    /// Findings that are accepted.
    pub accepted: Vec<Accepted>,
}

impl Policy {
    /// Whether a rule runs.
    pub fn runs(&self, rule: &Rule) -> bool {
        let named = |list: &[String]| list.iter().any(|start| is_meant(start, rule.id));
        let wanted = self.select.is_empty() || named(&self.select);
        wanted && !named(&self.ignore) && self.severities.get(rule.id) != Some(&None)
    }

    /// How grave a rule's findings are.
    pub fn severity(&self, rule: &Rule) -> Severity {
        self.severities.get(rule.id).copied().flatten().unwrap_or(rule.severity)
    }
}

/// Whether an id or a beginning of ids means a rule: `inventory.far` means all that begin so.
pub fn is_meant(start: &str, id: &str) -> bool {
    id.starts_with(start)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fit_rules::unlike_ends::RULE;

    #[test]
    fn what_is_left_out_does_not_run() {
        let mut policy = Policy::default();
        assert!(policy.runs(&RULE));
        policy.select = vec!["inventory.".to_string()];
        assert!(!policy.runs(&RULE));
        policy.select.push("fit.unlike".to_string());
        assert!(policy.runs(&RULE));
        policy.severities.insert(RULE.id.to_string(), Some(Severity::Note));
        assert_eq!(policy.severity(&RULE), Severity::Note);
        policy.severities.insert(RULE.id.to_string(), None);
        assert!(!policy.runs(&RULE));
    }
}
