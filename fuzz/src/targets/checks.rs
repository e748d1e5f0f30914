//! What must hold of every result.

use serde_json::Value;
use spanwright::check::Finding;
use spanwright::read::sources::Sources;
use spanwright::report::diagnostic;

/// Draws findings, and holds that no control character gets out.
pub(super) fn drawn(findings: &[Finding], sources: &Sources) {
    let text = diagnostic::render(findings, sources, false);
    assert_eq!(text.is_empty(), findings.is_empty());
    harmless(&text);
    diagnostic::render(findings, sources, true);
}

/// Findings for which an input was refused.
pub(super) fn refused(findings: &[Finding], sources: &Sources) {
    assert!(findings.iter().any(Finding::is_bad_input), "refused without a reason: {findings:?}");
    drawn(findings, sources);
}

/// No control character reaches a terminal.
pub(super) fn harmless(text: &str) {
    let bad = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'));
    assert!(bad.is_none(), "{bad:?} in:\n{text}");
}

/// Text of a result written for people.
pub(super) fn table(bytes: &[u8]) {
    let text = str::from_utf8(bytes).expect("a table is UTF-8");
    harmless(text);
    for no_number in [" inf ", " -inf ", " NaN "] {
        assert!(!text.contains(no_number), "{text}");
    }
}

/// A JSON result.
pub(super) fn json(bytes: &[u8]) -> Value {
    serde_json::from_slice(bytes).expect("JSON")
}

/// Whether any of the findings of a JSON result is an error.
pub(super) fn has_error(document: &Value) -> bool {
    let findings = document["findings"].as_array().expect("a list of findings");
    findings.iter().any(|finding| finding["severity"] == "error")
}
