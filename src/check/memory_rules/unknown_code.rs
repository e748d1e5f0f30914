//! `memory.unknown-code`: a code that no table has.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Code, Memory};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.unknown-code",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a module states a code that no table has",
    why: "it is newer than the tables, or wrong; it is shown as it stands and nothing is taken from it",
    remedy: "look it up in SFF-8024 or the map's document; add it in a table `module-codes.csv` of your own",
    source: "SFF-8024",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    let single = [&memory.revision, &memory.connector, &memory.media_type, &memory.encoding];
    let rest = [&memory.technology, &memory.rate_identifier, &memory.state];
    let applications = memory.applications.iter().flat_map(|one| [&one.host, &one.media]);
    let all = single
        .into_iter()
        .chain(rest)
        .flatten()
        .chain([&memory.power.class])
        .chain(&memory.compliance)
        .chain(applications);
    let mut told: Vec<&Code> = Vec::new();
    for code in all.filter(|code| code.meaning.is_none()) {
        if told.contains(&code) {
            continue;
        }
        told.push(code);
        let message = format!("{} {} {}: no table has this code", code.standard, code.field, code.at);
        findings.push(RULE.hit(at, format!("{} {}", code.field, code.at), message));
    }
}
