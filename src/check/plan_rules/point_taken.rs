//! `plan.point-taken`: more fiber ends at a connection point than it takes.

use crate::check::{Concern, Rule, Severity};
use crate::place::Origin;
use crate::plan::PointRef;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.point-taken",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a connection point is used by more spans than it takes",
    why: "two fibers cannot be put to one port, leg or input; one of the two records is wrong",
    remedy: "give one of the spans another port, leg or position",
    source: "common practice",
};

/// A point that is taken already.
pub fn finding(
    name: &str,
    point: PointRef,
    takes: u8,
    first: &str,
    origin: Origin,
) -> crate::check::Finding {
    let what = match point {
        PointRef::SplitterLeg { .. } => "leg",
        PointRef::Position { .. } => "position",
        PointRef::Splice { .. } => "splice",
        PointRef::SplitterInput { .. } | PointRef::Tap { .. } => "connection",
        _ => "port",
    };
    let ends = if takes == 1 { "one fiber end".to_string() } else { format!("{takes} fiber ends") };
    RULE.hit(
        origin,
        name,
        format!("{what} `{name}` takes {ends} and is taken already (first used at {first})"),
    )
}
