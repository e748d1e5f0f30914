//! Counts of findings: by rule, by severity, by site. Sums of parts are sums of wholes.

use rustc_hash::FxHashMap;

use crate::check::{Rule, Severity};

/// Findings of one rule.
#[derive(Debug, Clone)]
pub struct RuleCount {
    /// The rule.
    pub rule: &'static Rule,
    /// Its severity after the policy.
    pub severity: Severity,
    /// How many.
    pub count: u64,
}

/// Findings of one site.
#[derive(Debug, Clone, Default)]
pub struct SiteCount {
    /// The site as first written; empty = rows without a site, and columns.
    pub site: String,
    /// Errors, warnings, notes.
    pub counts: [u64; 3],
}

/// Counts of findings.
#[derive(Debug, Clone, Default)]
pub struct Tally {
    rules: FxHashMap<&'static str, RuleCountSlot>,
    sites: FxHashMap<u32, [u64; 3]>,
    names: Vec<String>,
    /// Findings that are accepted; they are counted nowhere else.
    pub accepted: u64,
    /// Findings whose acceptance has passed.
    pub expired: u64,
    /// Acceptances whose finding was not met: it was mended, or the id is wrong.
    pub unmet: u64,
}

#[derive(Debug, Clone)]
struct RuleCountSlot(RuleCount);

impl Tally {
    /// Counts nothing yet; `names` are the sites.
    pub fn new(names: Vec<String>) -> Self {
        Self { names, ..Self::default() }
    }

    /// Counts a finding.
    pub fn add(&mut self, rule: &'static Rule, severity: Severity, site: Option<u32>) {
        let slot =
            self.rules.entry(rule.id).or_insert(RuleCountSlot(RuleCount { rule, severity, count: 0 }));
        slot.0.count += 1;
        self.sites.entry(site.unwrap_or(u32::MAX)).or_default()[place(severity)] += 1;
    }

    /// Errors, warnings, notes.
    pub fn by_severity(&self) -> [u64; 3] {
        let mut sums = [0; 3];
        for slot in self.rules.values() {
            sums[place(slot.0.severity)] += slot.0.count;
        }
        sums
    }

    /// By rule: gravest first, then most, then by id.
    pub fn by_rule(&self) -> Vec<RuleCount> {
        let mut list: Vec<RuleCount> = self.rules.values().map(|slot| slot.0.clone()).collect();
        list.sort_by(|a, b| {
            b.severity.cmp(&a.severity).then(b.count.cmp(&a.count)).then(a.rule.id.cmp(b.rule.id))
        });
        list
    }

    /// By site: most errors first, then warnings, then by name.
    pub fn by_site(&self) -> Vec<SiteCount> {
        let name = |site: u32| self.names.get(site as usize).cloned().unwrap_or_default();
        let mut list: Vec<SiteCount> = self
            .sites
            .iter()
            .map(|(site, counts)| SiteCount { site: name(*site), counts: *counts })
            .collect();
        list.sort_by(|a, b| b.counts.cmp(&a.counts).then_with(|| a.site.cmp(&b.site)));
        list
    }
}

fn place(severity: Severity) -> usize {
    match severity {
        Severity::Error => 0,
        Severity::Warning => 1,
        Severity::Note => 2,
    }
}
