//! The findings of a reading: every one, up to a bound that keeps a wrong file from filling memory.

use rustc_hash::FxHashMap;

use crate::check::{Finding, Rule};
use crate::place::Origin;

/// Findings of one rule that are listed; the rest are counted.
const LISTED: u64 = 10_000;

/// The findings so far.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    list: Vec<Finding>,
    counts: FxHashMap<&'static str, Count>,
}

#[derive(Debug)]
struct Count {
    rule: &'static Rule,
    hits: u64,
    last: Origin,
}

impl Gathered {
    /// Adds a finding.
    pub(super) fn push(&mut self, finding: Finding) {
        if !self.only_count(finding.rule, finding.origin) {
            let count = Count { rule: finding.rule, hits: 0, last: finding.origin };
            self.counts.entry(finding.rule.id).or_insert(count).hits += 1;
            self.list.push(finding);
        }
    }

    /// Counts a hit of a rule of which no more findings are listed. `false`: it is to be pushed.
    pub(super) fn only_count(&mut self, rule: &Rule, at: Origin) -> bool {
        match self.counts.get_mut(rule.id) {
            Some(count) if count.hits >= LISTED => {
                count.hits += 1;
                count.last = at;
                true
            }
            _ => false,
        }
    }

    /// How many findings of a rule came so far, listed or not.
    pub(super) fn hits(&self, rule: &Rule) -> u64 {
        self.counts.get(rule.id).map_or(0, |count| count.hits)
    }

    /// All findings, in order of output; what was not listed is said in one more finding a rule.
    pub(super) fn finish(mut self) -> Vec<Finding> {
        for count in self.counts.values().filter(|count| count.hits > LISTED) {
            let message = format!("{} more of these are not listed", count.hits - LISTED);
            self.list.push(count.rule.hit(count.last, "", message));
        }
        crate::check::sort(&mut self.list);
        self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::plan_rules::{bad_id, empty};
    use crate::place::FileId;

    #[test]
    fn what_is_not_listed_is_counted() {
        let mut gathered = Gathered::default();
        for line in 1..=10_003 {
            gathered.push(bad_id::RULE.hit(Origin::line(FileId(0), line), "x", "bad"));
        }
        gathered.push(empty::RULE.hit(Origin::whole(FileId(0)), "", "empty"));
        assert_eq!(gathered.hits(&bad_id::RULE), 10_003);
        let all = gathered.finish();
        assert_eq!(all.len(), 10_002);
        assert_eq!(all[10_001].message, "3 more of these are not listed");
        assert_eq!(all[10_001].origin.line, 10_003);
    }
}
