//! The most valuable fixes: ports at which one look settles most.

use crate::audit::shared::rule_of;
use crate::audit::wording::Worded;
use crate::check::inventory_rules::facts::Hit;
use crate::check::inventory_rules::open_live_end;
use crate::check::policy::Policy;
use crate::check::{Severity, budget_rules};
use crate::inventory::{Inventory, Row};

/// One port and what is found there.
#[derive(Debug, Clone)]
pub struct Fix {
    /// Weight of its findings.
    pub weight: u32,
    /// Its findings, gravest first.
    pub findings: Vec<Worded>,
}

/// Unsafe counts a hundred, an error ten, a warning three, a note nothing.
fn weight(hit: &Hit, policy: &Policy) -> u32 {
    let rule = rule_of(hit.rule);
    let harm = [&open_live_end::RULE, &budget_rules::damage::RULE];
    if harm.iter().any(|unsafe_rule| unsafe_rule.id == rule.id) {
        return 100;
    }
    match policy.severity(rule) {
        Severity::Error => 10,
        Severity::Warning => 3,
        Severity::Note => 0,
    }
}

/// The rows with the greatest weight of findings, greatest first: weight and hits of each. Ties go by
/// the hash of the name, so that the order of the rows does not matter.
pub(super) fn greatest<'h>(
    hits: &'h [Hit],
    inventory: &Inventory,
    policy: &Policy,
    most: usize,
) -> Vec<(u32, &'h [Hit])> {
    let mut best: Vec<(u32, u64, &[Hit])> = Vec::new();
    for of_row in hits.chunk_by(|a, b| a.row == b.row).filter(|part| part[0].row != Row::NO_ID) {
        let sum = of_row.iter().map(|hit| weight(hit, policy)).sum();
        if sum == 0 {
            continue;
        }
        best.push((sum, inventory.rows.get(of_row[0].row).near, of_row));
        if best.len() >= 4 * most {
            keep(&mut best, most);
        }
    }
    keep(&mut best, most);
    best.into_iter().map(|(weight, _, hits)| (weight, hits)).collect()
}

fn keep(best: &mut Vec<(u32, u64, &[Hit])>, most: usize) {
    best.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    best.truncate(most);
}
