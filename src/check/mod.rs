//! Judgement: rules, findings, and the one list of all rules.
//!
//! Holds: the rule type, the finding type, the registry, the policy that changes severities, and one
//! file per rule in `plan_rules/`, `budget_rules/`, `fit_rules/`, `memory_rules/`.
//! Must not know: files, the terminal, how a finding is drawn.
//! Start reading at [`Rule`] and [`Finding`]; [`registry::ALL`] names every rule.

pub mod budget_rules;
pub mod fit_rules;
pub mod inventory_rules;
pub mod judge;
pub mod memory_rules;
pub mod missing_cells;
pub mod plan_facts;
pub mod plan_matings;
pub mod plan_rules;
pub mod policy;
pub mod registry;
pub mod standing;
pub mod view;
pub mod walks;
pub mod words;

use crate::place::Origin;
use crate::plan::PointRef;

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Severity {
    /// For the record.
    Note,
    /// Works, but somebody should look.
    Warning,
    /// Will not work, is unsafe, or is contradictory.
    Error,
}

impl Severity {
    /// The word that stands in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

/// What a rule is about: the input itself, or what the input describes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Concern {
    /// The input cannot be understood or contradicts itself: nothing can be judged (exit code 2).
    Input,
    /// The plant as described has a fault (exit code 1 when an error).
    Plant,
    /// A datum is missing, and without it nothing can be said (exit code 1 when an error).
    Datum,
}

/// One check.
#[derive(Debug)]
pub struct Rule {
    /// `area.what-is-wrong`, in words; never reused once dropped.
    pub id: &'static str,
    /// Its own severity; the policy may change it.
    pub severity: Severity,
    /// Input or plant.
    pub concern: Concern,
    /// What it finds, in one line.
    pub what: &'static str,
    /// Why that matters.
    pub why: &'static str,
    /// What to do about it.
    pub remedy: &'static str,
    /// The document it stands on, or `common practice`, or `from memory`.
    pub source: &'static str,
}

/// What of a plan a finding speaks of: rows of the reports take their verdict from it. Empty where it
/// speaks of the plan as a whole, or of no plan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct About {
    /// Indices of ports: whatever light they send or receive.
    pub ports: Vec<u32>,
    /// Indices of single ends.
    pub ends: Vec<u32>,
    /// Points on the way: whatever light crosses them.
    pub points: Vec<PointRef>,
}

/// One hit of a rule.
#[derive(Debug, Clone)]
pub struct Finding {
    /// The rule.
    pub rule: &'static Rule,
    /// The severity after the policy.
    pub severity: Severity,
    /// Where in the input.
    pub origin: Origin,
    /// The thing it is about: an id, a point, an end; empty for a whole file.
    pub subject: String,
    /// What is wrong here, with the values.
    pub message: String,
    /// What was probably meant, or what to do here; empty when the rule's remedy says it all.
    pub hint: String,
    /// What of the plan it speaks of.
    pub about: Box<About>,
}

impl Rule {
    /// A hit of this rule.
    pub fn hit(
        &'static self,
        origin: Origin,
        subject: impl Into<String>,
        message: impl Into<String>,
    ) -> Finding {
        Finding {
            rule: self,
            severity: self.severity,
            origin,
            subject: subject.into(),
            message: message.into(),
            hint: String::new(),
            about: Box::default(),
        }
    }
}

impl Finding {
    /// Adds what was probably meant.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// Names the ports that it speaks of.
    #[must_use]
    pub fn about_ports(mut self, ports: impl IntoIterator<Item = u32>) -> Self {
        self.about.ports.extend(ports);
        self
    }

    /// Names the points on the way that it speaks of.
    #[must_use]
    pub fn about_points(mut self, points: impl IntoIterator<Item = PointRef>) -> Self {
        self.about.points.extend(points);
        self
    }

    /// Whether the input itself is at fault.
    pub fn is_bad_input(&self) -> bool {
        self.rule.concern == Concern::Input && self.severity == Severity::Error
    }
}

/// Sorts findings for output: gravest first, then by place and subject. Ties keep a fixed order, so
/// that equal input gives equal bytes.
pub fn sort(findings: &mut [Finding]) {
    findings.sort_by(|a, b| {
        b.severity
            .cmp(&a.severity)
            .then(a.origin.cmp(&b.origin))
            .then_with(|| a.rule.id.cmp(b.rule.id))
            .then_with(|| a.subject.cmp(&b.subject))
            .then_with(|| a.message.cmp(&b.message))
    });
}

/// The nearest of `known` to a name that was not found, if any is near enough to suggest.
pub fn nearest<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    const NEAR: f64 = 0.8;
    let folded = name.to_lowercase();
    known
        .into_iter()
        .map(|candidate| (strsim::jaro_winkler(&folded, &candidate.to_lowercase()), candidate))
        .filter(|(likeness, _)| *likeness >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
        .map(|(_, candidate)| candidate)
}
