//! `plan.strand-without-place`: a strand is used twice and it is not stated where.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::Origin;
use crate::plan::{Plan, PointRef};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.strand-without-place",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a strand is used by two spans that do not meet, and a place of theirs is not stated",
    why: "in two sections of a cable one strand serves two spans; out of one place it serves one: without places nobody can tell whether the strand is sold twice",
    remedy: "state the `place` of the devices at both ends of the spans",
    source: "common practice",
};

/// Two uses of a strand that may be one too many.
pub fn finding(
    plan: &Plan,
    (cable, strand): (u16, u32),
    point: PointRef,
    first: &str,
    origin: Origin,
) -> Finding {
    let cable = plan.cables.get(usize::from(cable)).map_or("?", String::as_str);
    let name = plan.point_name(point);
    let device = name.split('/').next().unwrap_or_default();
    let message = format!(
        "strand {strand} of cable `{cable}` is used already (first at {first}), and where `{device}` \
         stands is not stated: it may be the same stretch"
    );
    RULE.hit(origin, cable, message).hint(format!("state the `place` of `{device}`"))
}
