//! `plan.strand-used-twice`: one strand is to carry two spans that cannot both have it.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::Origin;
use crate::plan::{Plan, PointRef};
use crate::plant::Clash;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.strand-used-twice",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "one strand of a cable is used by two spans: between the same places, or out of one place twice",
    why: "a strand is one fiber with two ends: sold twice, one of the two circuits does not exist",
    remedy: "give one of the spans another strand",
    source: "common practice",
};

/// A strand that is used already.
pub fn finding(
    plan: &Plan,
    (cable, strand): (u16, u32),
    clash: Clash,
    first: &str,
    origin: Origin,
) -> Finding {
    let cable = plan.cables.get(usize::from(cable)).map_or("?", String::as_str);
    let what = match clash {
        Clash::Between => "is used already between these places".to_string(),
        Clash::Leaves(point) => format!("leaves `{}` twice", whereabouts(plan, point)),
        Clash::Arrives(point) => format!("ends at `{}` twice", whereabouts(plan, point)),
        Clash::Thrice(point) => {
            format!("comes into `{}` and goes out of it already", whereabouts(plan, point))
        }
    };
    RULE.hit(origin, cable, format!("strand {strand} of cable `{cable}` {what} (first at {first})"))
}

/// The place of a point, or its device where no place is stated.
fn whereabouts(plan: &Plan, point: PointRef) -> String {
    let place = plan.place_of(point).and_then(|place| plan.places.get(place as usize));
    if let Some(place) = place {
        return plan.names.get(place.name).to_string();
    }
    let name = plan.point_name(point);
    name.split('/').next().unwrap_or_default().to_string()
}
