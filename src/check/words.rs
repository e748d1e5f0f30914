//! Names of the plant's things as people read them: in findings and in reports.

use super::view::View;
use crate::loss::{ElementRef, Missing, PartKind};
use crate::plan::{JointKind, JointUse, Plan, PointRef, SpliceLoss};
use crate::units::Nanometers;

/// A name with its article, by how it is said: an SFP+, a QSFP28, a XENPAK.
pub fn with_article(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next().unwrap_or_default();
    let spelled = first.is_ascii_uppercase() && letters.next().is_some_and(|c| !c.is_ascii_lowercase());
    let vowels = if spelled && !name.starts_with("XEN") { "AEFHILMNORSX" } else { "AEIOaeio" };
    let article = if vowels.contains(first) { "an" } else { "a" };
    format!("{article} {name}")
}

/// What a part is, in a word or two.
pub fn part_kind(kind: PartKind) -> &'static str {
    match kind {
        PartKind::Fiber => "fiber",
        PartKind::Splices => "splices",
        PartKind::Connectors => "connectors",
        PartKind::MeasuredSpan => "span, measured",
        PartKind::Joint | PartKind::DirectJoint => "joint",
        PartKind::Transition => "unlike fibers",
        PartKind::Splitter => "splitter",
        PartKind::Tap => "tap",
        PartKind::Wdm => "wdm element",
        PartKind::Attenuator => "attenuator",
        PartKind::Repair => "repair allowance",
        PartKind::Temperature => "temperature allowance",
        PartKind::Ageing => "ageing allowance",
    }
}

/// The name of the thing a part belongs to.
pub fn element(plan: &Plan, element: ElementRef) -> String {
    match element {
        ElementRef::Span(index) => {
            let span = &plan.spans[index as usize];
            format!("{} to {}", plan.point_name(span.from), plan.point_name(span.to))
        }
        ElementRef::Direct(index) => {
            let joint = &plan.joints[index as usize];
            format!("{} to {}", plan.point_name(joint.from), plan.point_name(joint.to))
        }
        ElementRef::Point(point) => device(plan, point),
        ElementRef::Path => "whole path".to_string(),
    }
}

/// A point with the kind of its device where that says more than the id.
fn device(plan: &Plan, point: PointRef) -> String {
    let name = plan.point_name(point);
    match point {
        PointRef::SplitterLeg { splitter, .. } | PointRef::SplitterInput { splitter, .. } => {
            format!("{name} ({})", plan.splitters[splitter as usize].kind)
        }
        PointRef::Tap { tap, .. } => format!("{name} ({})", plan.taps[tap as usize].kind),
        PointRef::WdmCommon(element) | PointRef::WdmLeg { element, .. } => {
            format!("{name} ({})", plan.wdm_elements[element as usize].kind)
        }
        PointRef::Attenuator { attenuator, .. } => {
            let device = &plan.attenuators[attenuator as usize];
            format!("{} ({})", plan.names.get(device.name), device.loss)
        }
        _ => name,
    }
}

/// How a joint is made: `connector C APC`, `splice fusion`.
pub fn joint(plan: &Plan, joint: JointUse) -> String {
    match plan.joint_kinds.get(usize::from(joint.0)) {
        Some(JointKind::Connector { grade, polish }) => {
            format!("connector {grade} {polish}").trim_end().to_string()
        }
        Some(JointKind::Splice(kind)) => format!("splice {kind}"),
        Some(JointKind::SplicesPerKilometer(SpliceLoss::Row(row))) => format!("splices {row} per km"),
        Some(JointKind::SplicesPerKilometer(SpliceLoss::Stated(loss))) => {
            format!("splices {}/km", loss.of_one())
        }
        Some(JointKind::None) | None => String::new(),
    }
}

/// A datum that is missing.
pub fn missing(plan: &Plan, missing: Missing, at: Nanometers) -> String {
    match missing {
        Missing::Attenuation(fiber) => {
            let name = plan.fibers.get(usize::from(fiber)).map_or("?", String::as_str);
            format!("no table has the attenuation of fiber `{name}` at {at}")
        }
        Missing::Joint(kind) => {
            format!("no table has the joint `{}`", joint(plan, JointUse(kind)))
        }
        Missing::Splitter(index) => {
            format!("no table has the splitter `{}`", plan.splitters[index as usize].kind)
        }
        Missing::SplitterBand(index) => format!(
            "the figures of splitter `{}` do not hold at {at}",
            plan.splitters[index as usize].kind
        ),
        Missing::TapBand(index) => {
            format!("the figures of tap `{}` do not hold at {at}", plan.taps[index as usize].kind)
        }
        Missing::FiberBand(fiber) => {
            let name = plan.fibers.get(usize::from(fiber)).map_or("?", String::as_str);
            format!("fiber `{name}` is not made for {at}; a measured loss does not change that")
        }
        Missing::Tap(index) => format!("no table has the tap `{}`", plan.taps[index as usize].kind),
        Missing::Wdm(index) => {
            let device = &plan.wdm_elements[index as usize];
            format!("wdm element `{}` has no passband at {at}", plan.names.get(device.name))
        }
    }
}

/// The grades that were taken because none is stated.
pub fn usual_grades(view: &View<'_>) -> String {
    let of = |grade: &&'static str| match view.tables.connectors.get(grade) {
        Some(row) => format!("{grade} (at most {})", row.value.figures.most),
        None => (*grade).to_string(),
    };
    let grades: Vec<String> = view.plan.assumptions.usual_grades.iter().map(of).collect();
    format!("connectors of which no grade is stated are of grade {}", grades.join(" or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As the trade says the names (common practice).
    #[test]
    fn the_article_follows_the_sound() {
        for name in ["SFP", "SFP+", "OSFP", "XFP", "X2", "XPAK", "NRZ"] {
            assert_eq!(with_article(name), format!("an {name}"));
        }
        for name in
            ["QSFP28", "QSFP-DD", "GBIC", "CFP", "DWDM-SFP", "XENPAK", "microQSFP", "soldered", ""]
        {
            assert_eq!(with_article(name), format!("a {name}"));
        }
    }
}
