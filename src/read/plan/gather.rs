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
    total: u64,
    group: Vec<Alike>,
    /// Which entry of `group` a rule has at a place.
    grouped: FxHashMap<(&'static str, Origin), usize>,
    /// How many groups are open: a range of slots may stand in a range of shelves.
    depth: usize,
}

/// The first finding of a rule at a place, and how many more there were in the same group.
#[derive(Debug)]
struct Alike {
    finding: Finding,
    more: u64,
}

#[derive(Debug)]
struct Count {
    rule: &'static Rule,
    hits: u64,
    last: Origin,
}

impl Gathered {
    /// From here to [`Self::end_group`] one written name stands for many: what is wrong with many
    /// of them for the same reason is told once.
    pub(super) fn begin_group(&mut self) {
        self.depth += 1;
    }

    /// Tells what was gathered since the group began.
    pub(super) fn end_group(&mut self) {
        self.depth = self.depth.saturating_sub(1);
        if self.depth > 0 {
            return;
        }
        self.grouped.clear();
        for Alike { mut finding, more } in std::mem::take(&mut self.group) {
            if more > 0 {
                finding.message.push_str(&format!(" (and {more} more of this range)"));
            }
            self.push(finding);
        }
    }

    /// Adds a finding.
    pub(super) fn push(&mut self, finding: Finding) {
        if self.only_count(finding.rule, finding.origin) {
            return;
        }
        self.total += 1;
        if self.depth > 0 {
            self.grouped.insert((finding.rule.id, finding.origin), self.group.len());
            self.group.push(Alike { finding, more: 0 });
        } else {
            let count = Count { rule: finding.rule, hits: 0, last: finding.origin };
            self.counts.entry(finding.rule.id).or_insert(count).hits += 1;
            self.list.push(finding);
        }
    }

    /// Counts a hit that will not be listed: one like it was gathered in the open group, or too
    /// many of its rule are listed already. `false`: it is to be pushed.
    pub(super) fn only_count(&mut self, rule: &Rule, at: Origin) -> bool {
        if let Some(index) = self.grouped.get(&(rule.id, at)) {
            self.group[*index].more += 1;
            self.total += 1;
            return true;
        }
        match self.counts.get_mut(rule.id) {
            Some(count) if count.hits >= LISTED => {
                count.hits += 1;
                count.last = at;
                self.total += 1;
                true
            }
            _ => false,
        }
    }

    /// How many findings of a rule came so far, listed or not.
    pub(super) fn hits(&self, rule: &Rule) -> u64 {
        self.counts.get(rule.id).map_or(0, |count| count.hits)
    }

    /// How many findings came so far, listed or not. Only its growth is of use.
    pub(super) const fn total(&self) -> u64 {
        self.total
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
    fn a_range_tells_the_same_thing_once() {
        let mut gathered = Gathered::default();
        let at = |line| Origin::line(FileId(0), line);
        gathered.begin_group();
        for name in ["a", "b", "c"] {
            gathered.push(bad_id::RULE.hit(at(1), name, format!("{name} is bad")));
            gathered.push(bad_id::RULE.hit(at(2), name, format!("{name} is bad too")));
        }
        gathered.end_group();
        gathered.push(bad_id::RULE.hit(at(1), "d", "d is bad"));
        let messages: Vec<String> = gathered.finish().into_iter().map(|f| f.message).collect();
        assert_eq!(
            messages,
            [
                "a is bad (and 2 more of this range)",
                "d is bad",
                "a is bad too (and 2 more of this range)"
            ]
        );
    }

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
