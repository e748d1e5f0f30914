//! The one list of rules.

use super::{Rule, plan_rules};

/// Every rule, sorted by id. `spanwright rules`, the README's table and the tests come from it.
pub static ALL: &[&Rule] = &[
    &plan_rules::syntax::RULE,
];

/// The rule of an id.
pub fn find(id: &str) -> Option<&'static Rule> {
    ALL.iter().copied().find(|rule| rule.id == id)
}
