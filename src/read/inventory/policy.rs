//! What the user sets about rules: severities and limits, in YAML.

use std::path::Path;

use super::Trouble;
use crate::check::inventory_rules::facts::Limits;
use crate::check::plan_rules::{bad_quantity, unknown_key, unknown_word, wrong_type};
use crate::check::policy::Policy;
use crate::check::{Finding, Severity, nearest, registry};
use crate::read::sources::Sources;
use crate::read::yaml::{self, Node, Value};
use crate::units::{Decibels, Quantity};

/// Keys of the limits.
const LIMITS: [&str; 4] = ["meter", "reserve", "under-siblings", "proof-days"];

/// Reads severities and limits.
///
/// ```yaml
/// severities: { inventory.pon-full: off, inventory.temporary-note: warning }
/// limits: { meter: 3 dB, reserve: 1 dB, under-siblings: 2 dB, proof-days: 1825 }
/// ```
///
/// # Errors
/// Every fault of the file.
pub fn read_policy(
    path: &Path,
    policy: &mut Policy,
    limits: &mut Limits,
    sources: &mut Sources,
) -> Result<(), Trouble> {
    let file = sources.open(path)?;
    let text = sources.text(file);
    let root = yaml::parse(&text, file)?;
    let mut findings = Vec::new();
    for (key, node) in entries(&root, &mut findings) {
        match key.text().unwrap_or_default() {
            "severities" => {
                for (rule, word) in entries(node, &mut findings) {
                    severity(rule, word, policy, &mut findings);
                }
            }
            "limits" => {
                for (name, value) in entries(node, &mut findings) {
                    limit(name, value, limits, &mut findings);
                }
            }
            other => findings.push(unknown(key, other, &["severities", "limits"])),
        }
    }
    if findings.is_empty() { Ok(()) } else { Err(Trouble::Input(findings)) }
}

fn severity(rule: &Node<'_>, word: &Node<'_>, policy: &mut Policy, findings: &mut Vec<Finding>) {
    let id = rule.text().unwrap_or_default();
    if registry::find(id).is_none() {
        let ids: Vec<&str> = registry::ALL.iter().map(|rule| rule.id).collect();
        findings.push(unknown(rule, id, &ids));
        return;
    }
    let severity = match word.text().unwrap_or_default() {
        "off" => None,
        "note" => Some(Severity::Note),
        "warning" => Some(Severity::Warning),
        "error" => Some(Severity::Error),
        other => {
            let message = format!("`{other}` is no severity; expected off, note, warning or error");
            findings.push(unknown_word::RULE.hit(word.origin, other, message));
            return;
        }
    };
    policy.severities.insert(id.to_string(), severity);
}

fn limit(name: &Node<'_>, value: &Node<'_>, limits: &mut Limits, findings: &mut Vec<Finding>) {
    let text = value.text().unwrap_or_default();
    let mut decibels = |slot: &mut Decibels| match Decibels::parse(text) {
        Ok(parsed) if parsed.value() >= 0.0 => *slot = parsed,
        Ok(_) => findings.push(bad_quantity::RULE.hit(value.origin, text, "expected 0 dB or more")),
        Err(error) => findings.push(bad_quantity::RULE.hit(value.origin, text, error.to_string())),
    };
    match name.text().unwrap_or_default() {
        "meter" => decibels(&mut limits.meter),
        "reserve" => decibels(&mut limits.reserve),
        "under-siblings" => decibels(&mut limits.under_siblings),
        "proof-days" => match text.parse() {
            Ok(days) => limits.proof_days = days,
            Err(_) => {
                findings.push(bad_quantity::RULE.hit(value.origin, text, "expected a number of days"))
            }
        },
        other => findings.push(unknown(name, other, &LIMITS)),
    }
}

fn entries<'n, 't>(node: &'n Node<'t>, findings: &mut Vec<Finding>) -> &'n [(Node<'t>, Node<'t>)] {
    match &node.value {
        Value::Map(entries) => entries,
        Value::Empty => &[],
        _ => {
            findings.push(wrong_type::RULE.hit(node.origin, "", "expected a map"));
            &[]
        }
    }
}

fn unknown(node: &Node<'_>, word: &str, known: &[&str]) -> Finding {
    let hint = nearest(word, known.iter().copied())
        .map_or_else(String::new, |near| format!("did you mean `{near}`?"));
    unknown_key::RULE.hit(node.origin, word, format!("`{word}` means nothing here")).hint(hint)
}
