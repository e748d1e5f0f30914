//! Findings by what to do about them, gravest first.

use crate::budget::Verdict;
use crate::check::view::View;
use crate::check::{Finding, Rule, Severity};
use crate::report::order;

/// How urgent an action is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ActionClass {
    /// Something may be harmed.
    Unsafe,
    /// It will not work as drawn.
    WillNotWork,
    /// It may work; somebody decides.
    Doubtful,
    /// For the record.
    ForTheRecord,
}

impl ActionClass {
    /// The head of its section.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Unsafe => "Unsafe: stop",
            Self::WillNotWork => "Will not work as drawn",
            Self::Doubtful => "May work: decide",
            Self::ForTheRecord => "For the record",
        }
    }

    fn of(finding: &Finding) -> Self {
        match (finding.rule.id, finding.severity) {
            ("budget.damage", _) => Self::Unsafe,
            (_, Severity::Error) => Self::WillNotWork,
            (_, Severity::Warning) => Self::Doubtful,
            (_, Severity::Note) => Self::ForTheRecord,
        }
    }
}

/// One thing to do, and everything that asks for it.
#[derive(Debug, Clone)]
pub struct Action<'a> {
    /// How urgent.
    pub class: ActionClass,
    /// The rule that asks.
    pub rule: &'static Rule,
    /// Its findings.
    pub findings: Vec<&'a Finding>,
}

/// Findings gathered by class and rule; within a class in the order of the findings, within an action the
/// one about the tightest end first.
pub fn actions<'f>(view: View<'_>, findings: &'f [Finding]) -> Vec<Action<'f>> {
    let mut actions: Vec<Action<'f>> = Vec::new();
    for finding in findings {
        let class = ActionClass::of(finding);
        let same = |action: &&mut Action<'_>| action.class == class && action.rule.id == finding.rule.id;
        match actions.iter_mut().find(same) {
            Some(action) => action.findings.push(finding),
            None => actions.push(Action { class, rule: finding.rule, findings: vec![finding] }),
        }
    }
    for action in &mut actions {
        action.findings = order::worst_first(view, &action.findings);
    }
    actions.sort_by_key(|action| action.class);
    actions
}

/// The one thing to do next, in a sentence, and what it is about.
pub fn the_one_thing(view: View<'_>, actions: &[Action<'_>]) -> (String, String) {
    let Some(first) = actions.iter().find(|action| action.class < ActionClass::ForTheRecord) else {
        return match view.assessment.standing.verdict {
            Some(Verdict::Pass) => (
                "Build it as drawn".to_string(),
                "Every end closes in the worst case. Measure at the test points before anything is plugged."
                    .to_string(),
            ),
            _ => ("Decide on what is not a pass".to_string(), "See the ends listed first below.".to_string()),
        };
    };
    let mut todo = first.rule.remedy.to_string();
    if let Some(start) = todo.get(..1) {
        todo.replace_range(..1, &start.to_uppercase());
    }
    let about = first.findings.first().map_or_else(String::new, |finding| {
        let more = match first.findings.len() {
            0 | 1 => String::new(),
            count => format!(" (and {} more)", count - 1),
        };
        format!("{}{more}", finding.message)
    });
    (todo, about)
}
