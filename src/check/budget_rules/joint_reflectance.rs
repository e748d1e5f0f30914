//! `budget.joint-reflectance`: one joint throws back more than the optics tolerate.

use rustc_hash::FxHashMap;

use crate::budget::End;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Rule, Severity, words};
use crate::loss::ElementRef;
use crate::units::Decibels;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.joint-reflectance",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a joint on the way throws back more light than the class or interface tolerates of a single one",
    why: "light that two joints throw back arrives late and disturbs the receiver",
    remedy: "polish, clean or splice the joint: use angled connectors, or fusion in place of mechanical splices",
    source: "ITU-T G.984.2 and G.957 (maximum discrete reflectance between S and R); IEEE 802.3 maximum discrete reflectance; from memory",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let pairs = &view.assessment.pairs;
    let Some(least) = pairs.pairs.iter().filter_map(|pair| pair.max_reflectance).reduce(Decibels::min)
    else {
        return;
    };
    let mut walks = Walks::new(*view);
    if !walks.reflects_more_than(least) {
        return;
    }
    // By the port whose light is walked, the band, and the port that it reaches.
    let mut joints: FxHashMap<(u32, u32), Joint> = FxHashMap::default();
    for (index, group) in view.assessment.groups.iter().enumerate() {
        let sent = |end: &&End| end.transmitter == group.port;
        let Some(end) = view.assessment.ends[group.ends.clone()].iter().find(sent) else { continue };
        let strongest = walks.strongest_reflections(group.port, view.assessment.pair(end).band);
        joints.extend(strongest.into_iter().map(|(far, joint)| ((index as u32, far), joint)));
    }
    let joint = |end: &End| {
        let start = view.assessment.groups[end.group as usize].port;
        let far = if end.transmitter == start { end.receiver } else { end.transmitter };
        joints.get(&(end.group, far)).copied()
    };
    let limit = |end: &End| view.assessment.pair(end).max_reflectance;
    let beyond = |end: &End| matches!((joint(end), limit(end)), (Some((seen, _)), Some(limit)) if seen > limit + Decibels::new(1e-9));
    for group in view.ends_where(beyond) {
        let first = group.ends[0];
        let (Some((seen, element)), Some(limit)) = (joint(first), limit(first)) else { continue };
        let message = format!(
            "{}: {} reflects {}, and one joint may reflect at most {}",
            group.count_words(),
            words::element(view.plan, element),
            seen.in_full(),
            limit.in_full(),
        );
        findings.push(group.hit(&RULE, message));
    }
}

/// How much a joint reflects, and which it is.
type Joint = (Decibels, ElementRef);
