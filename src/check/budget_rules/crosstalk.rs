//! `budget.crosstalk`: light of other systems leaks through a wdm element into a receiver.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::budget::{Direction, End};
use crate::check::view::View;
use crate::check::walks::{Crossing, Walks};
use crate::check::{Concern, Finding, Rule, Severity};
use crate::units::{DecibelMilliwatts, Decibels};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.crosstalk",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a wdm element lets so much light of other systems into a receiver that the margin is spent",
    why: "foreign light raises the zeros and the noise: the receiver needs more light of its own to tell them apart",
    remedy: "use an element with more isolation, add a filter before the receiver, or bring the levels nearer together",
    source: "ITU-T G-series Supplement 39, clause 9.6 (crosstalk penalty from the ratio of foreign to wanted light and the extinction ratio), from memory",
};

/// What the ratio of foreign to wanted light counts more for a transmitter that is never dark:
/// (r + 1) / (r - 1) with an extinction ratio of 8.2 dB (the least of GPON and of many interfaces, from memory).
const EXTINCTION: f64 = 1.356_7;

/// Light at the common port of a wdm element.
struct Arrival<'a> {
    end: &'a End,
    crossing: Crossing,
    least: DecibelMilliwatts,
    most: DecibelMilliwatts,
}

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.wdm_elements.is_empty() {
        return;
    }
    let arrivals = arrivals(view);
    let mut by_element: FxHashMap<u32, Vec<&Arrival<'_>>> = FxHashMap::default();
    for arrival in &arrivals {
        by_element.entry(arrival.crossing.element).or_default().push(arrival);
    }
    let mut spent: FxHashMap<(u32, Direction, u32), (u32, u16, Decibels)> = FxHashMap::default();
    for wanted in &arrivals {
        let all = &by_element[&wanted.crossing.element];
        let Some(penalty) = penalty(view, wanted, all) else { continue };
        let margin = wanted.end.margin(&view.assessment.pair(wanted.end).window);
        if margin.is_some_and(|margin| margin >= Decibels::ZERO && penalty > margin) {
            let crossing = &wanted.crossing;
            let key = (wanted.end.group, wanted.end.direction, wanted.end.pair);
            spent.entry(key).or_insert((crossing.element, crossing.leg, penalty));
        }
    }
    let of = |end: &End| spent.get(&(end.group, end.direction, end.pair)).copied();
    let closes = |end: &End| {
        let margin = end.margin(&view.assessment.pair(end).window);
        of(end)
            .zip(margin)
            .is_some_and(|((_, _, penalty), margin)| margin >= Decibels::ZERO && margin < penalty)
    };
    for group in view.ends_where(closes) {
        let worst = group.worst_by_margin();
        let Some((element, leg, penalty)) = of(worst) else { continue };
        let device = &view.plan.wdm_elements[element as usize];
        let cost = if penalty.value().is_finite() {
            format!("costs up to {penalty}")
        } else {
            "may drown its own".to_string()
        };
        let message = format!(
            "{}: light of other systems through `{}/{}` {cost}, and {} has {} to spare",
            group.count_words(),
            view.plan.names.get(device.name),
            device.legs[usize::from(leg)],
            view.end_name(worst),
            view.margin(worst),
        );
        findings.push(group.hit_at(worst, &RULE, message));
    }
}

/// What comes in by the common port of a wdm element and goes out by one of its legs: of each group,
/// direction and pair of optics the weakest and the strongest light.
fn arrivals<'a>(view: &View<'a>) -> Vec<Arrival<'a>> {
    let mut extremes: FxHashMap<(u32, Direction, u32), [&End; 2]> = FxHashMap::default();
    for end in view.assessment.ends.iter().filter(|end| end.missing.is_none()) {
        let [weakest, strongest] =
            extremes.entry((end.group, end.direction, end.pair)).or_insert([end, end]);
        if end.most > weakest.most {
            *weakest = end;
        }
        if end.least < strongest.least {
            *strongest = end;
        }
    }
    let mut ends: Vec<_> = extremes.into_iter().collect();
    ends.sort_unstable_by_key(|(key, _)| *key);
    let mut walks = Walks::new(*view);
    let mut arrivals = Vec::new();
    for [weakest, strongest] in ends.into_iter().map(|(_, ends)| ends) {
        let [Some(least), Some(most)] = view.assessment.pair(weakest).window.launch else { continue };
        let both = if std::ptr::eq(weakest, strongest) { &[weakest][..] } else { &[weakest, strongest] };
        for end in both {
            for crossing in walks.crossings(end).into_iter().filter(|crossing| crossing.is_parted) {
                let (least, most) = (least - crossing.before.most, most - crossing.before.least);
                arrivals.push(Arrival { end, crossing, least, most });
            }
        }
    }
    arrivals
}

/// How much more light a receiver needs for what others let into its leg; `None` where nothing foreign is
/// there or the isolation is not stated.
fn penalty(view: &View<'_>, wanted: &Arrival<'_>, all: &[&Arrival<'_>]) -> Option<Decibels> {
    let leg = wanted.crossing.leg;
    let isolation = isolation(view, wanted)?;
    // Of the ONUs of one PON one sends at a time: the strongest counts.
    let mut foreign: BTreeMap<(u32, Direction, u32), DecibelMilliwatts> = BTreeMap::new();
    for other in all.iter().filter(|other| other.crossing.leg != leg) {
        let key = (other.end.group, other.end.direction, other.end.pair);
        let most = foreign.entry(key).or_insert(other.most);
        *most = most.max(other.most);
    }
    let ratio: f64 = foreign
        .into_values()
        .map(|level| ((level - isolation) - wanted.least).value())
        .map(|ratio| 10f64.powf(ratio / 10.0))
        .sum();
    let left = 1.0 - ratio * EXTINCTION;
    (ratio > 0.0).then(|| {
        if left > 0.0 { Decibels::new(-10.0 * left.log10()) } else { Decibels::new(f64::INFINITY) }
    })
}

/// The isolation of the leg that an end's light takes.
fn isolation(view: &View<'_>, arrival: &Arrival<'_>) -> Option<Decibels> {
    let device = &view.plan.wdm_elements[arrival.crossing.element as usize];
    let leg = &device.legs[usize::from(arrival.crossing.leg)];
    let band = view.assessment.pair(arrival.end).band;
    let row = view.tables.wdm_elements.rows().iter().find(|row| {
        row.value.element.eq_ignore_ascii_case(&device.kind)
            && row.value.leg.eq_ignore_ascii_case(leg)
            && band.within(row.value.band)
    });
    row?.value.isolation
}
