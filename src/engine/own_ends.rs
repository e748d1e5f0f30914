//! What the rules about ends say of the ends of one port.
//!
//! In a judged plan one finding speaks for all ends of a PON that have a fault in common. A port at the
//! premises is asked about by itself: what its neighbors lack does not speak against it.

use super::Judged;
use crate::budget::{Assessment, End, Group, Standing};
use crate::check::budget_rules::{
    beyond_reach, class_minimum, damage, dispersion, not_at_confidence, only_statistically, over_loss,
    overload, reserve_not_kept, return_loss, unknown,
};
use crate::check::fit_rules::{blocked, classes_differ, fiber_kind, receiver_band};
use crate::check::view::View;
use crate::check::{Finding, Rule};

/// A rule about ends and how it is asked.
struct EndRule {
    rule: &'static Rule,
    check: fn(&View<'_>, &mut Vec<Finding>),
}

macro_rules! ends {
    ($($name:ident),*) => { &[$(EndRule { rule: &$name::RULE, check: $name::check }),*] };
}

static END_RULES: &[EndRule] = ends!(
    beyond_reach,
    blocked,
    class_minimum,
    classes_differ,
    damage,
    dispersion,
    fiber_kind,
    not_at_confidence,
    only_statistically,
    over_loss,
    overload,
    receiver_band,
    reserve_not_kept,
    return_loss,
    unknown
);

/// Whether a finding speaks for ends.
pub(super) fn is_of_ends(finding: &Finding) -> bool {
    END_RULES.iter().any(|one| std::ptr::eq(one.rule, finding.rule))
}

/// Findings about the ends of a group that a port sends to or receives from.
pub(super) fn findings(judged: &Judged, group: &Group, port: u32) -> Vec<Finding> {
    let mine = |end: &&End| end.transmitter == port || end.receiver == port;
    let ends = judged.assessment.ends[group.ends.clone()].iter().filter(mine);
    let ends: Vec<End> = ends.map(|end| End { group: 0, ..*end }).collect();
    let groups = vec![Group { ends: 0..ends.len(), ..group.clone() }];
    let pairs = judged.assessment.pairs.clone();
    let rows = judged.assessment.rows.clone();
    let standing = Standing::default();
    let assessment =
        Assessment { pairs, ends, groups, dark: Vec::new(), anomalies: Vec::new(), rows, standing };
    let view = View { assessment: &assessment, ..judged.view() };
    let mut findings = Vec::new();
    for one in END_RULES {
        (one.check)(&view, &mut findings);
    }
    findings
}
