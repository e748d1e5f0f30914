//! Rules about belonging together: optic and cage, optic and card, optic and optic, optic and fiber.
//!
//! Most rules judge plain facts ([`crate::fit::facts`]) and so serve plans, the command line and
//! inventories alike: [`SIDE_RULES`], [`PAIR_RULES`], [`MATING_RULES`]. The others need a whole plan.

use rustc_hash::FxHashSet;

use super::view::View;
use super::{Finding, Rule, plan_facts};
use crate::fit::facts::{Mating, Side, Way};
use crate::tables::Tables;

pub mod array_pins;
pub mod array_polarity;
pub mod blocked;
pub mod breakout;
pub mod cage_undecided;
pub mod card_fec;
pub mod card_optic;
pub mod card_power;
pub mod channel_differs;
pub mod channel_outside;
pub mod channel_twice;
pub mod classes_differ;
pub mod coexistence;

pub mod core_size;
pub mod dead_in_cage;
pub mod face;
pub mod fec_differs;
pub mod fiber_count;
pub mod fiber_kind;
pub mod form_cannot;
pub mod joint_kind;
pub mod lanes_differ;
pub mod many_connections;
pub mod mode_conditioning;
pub mod modulation_differs;
pub mod mux_port;
pub mod no_compensation;
pub mod no_far_optic;
pub mod not_optical;
pub mod not_pluggable;
pub mod pair_not_crossed;

pub mod plug_kind;
pub mod polish_mixed;
pub mod polish_undecided;
pub mod pon_port;
pub mod port_rate;
pub mod power;
pub mod rate_differs;
pub mod rate_group;
pub mod receiver_band;
pub mod same_side_bidi;
pub mod temperature;
pub mod unknown_card;
pub mod unknown_optic;
pub mod unlike_ends;
pub mod wrong_cage;

/// What a rule says of facts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// The rule applies and is kept.
    Fits,
    /// The rule is broken.
    Hit {
        /// What is wrong, with the values.
        message: String,
        /// What was probably meant, or what would do; empty when the rule's remedy says it all.
        hint: String,
    },
    /// The rule would apply, but this datum is missing.
    Missing(&'static str),
    /// The rule does not concern these facts.
    Idle,
}

impl Outcome {
    /// A hit without a hint.
    pub fn hit(message: impl Into<String>) -> Self {
        Self::hinted(message, "")
    }

    /// A hit with what would do instead.
    pub fn hinted(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Hit { message: message.into(), hint: hint.into() }
    }
}

/// Rules that say more of a fault than the one that holds this list: where one of them is hit, that
/// one keeps still, so that one fault is one finding.
pub type Unless = &'static [&'static Rule];

/// A rule about one end.
pub struct SideRule {
    /// The rule.
    pub rule: &'static Rule,
    /// Where it keeps still.
    pub unless: Unless,
    /// Judges one end.
    pub judge: fn(&Side<'_>, &Tables) -> Outcome,
}

/// A rule about two ends that face each other and the way between them.
pub struct PairRule {
    /// The rule.
    pub rule: &'static Rule,
    /// Where it keeps still.
    pub unless: Unless,
    /// Judges both ends; each pair is judged once, whichever end comes first.
    pub judge: fn(&Side<'_>, &Side<'_>, &Way<'_>, &Tables) -> Outcome,
    /// Whether a plan is judged by it. In a plan, the walk of light answers some of them more
    /// exactly, end by end.
    pub in_plan: bool,
}

/// A rule about two end faces that meet.
pub struct MatingRule {
    /// The rule.
    pub rule: &'static Rule,
    /// Judges both faces.
    pub judge: fn(&Mating<'_>, &Tables) -> Outcome,
}

macro_rules! side {
    ($name:ident $(, unless $($other:ident)+)?) => {
        SideRule {
            rule: &$name::RULE,
            unless: &[$($(&$other::RULE),+)?],
            judge: $name::judge,
        }
    };
}

macro_rules! pair {
    ($name:ident $(, unless $($other:ident)+)?) => {
        pair!(@ $name, true, &[$($(&$other::RULE),+)?])
    };
    ($name:ident by_light $(, unless $($other:ident)+)?) => {
        pair!(@ $name, false, &[$($(&$other::RULE),+)?])
    };
    (@ $name:ident, $in_plan:literal, $unless:expr) => {
        PairRule { rule: &$name::RULE, unless: $unless, judge: $name::judge, in_plan: $in_plan }
    };
}

macro_rules! mating {
    ($name:ident) => {
        MatingRule { rule: &$name::RULE, judge: $name::judge }
    };
}

/// Rules about one end.
pub static SIDE_RULES: &[SideRule] = &[
    side!(cage_undecided, unless form_cannot),
    side!(card_fec, unless wrong_cage dead_in_cage pon_port port_rate card_optic),
    side!(card_optic, unless wrong_cage dead_in_cage pon_port port_rate),
    side!(channel_outside),
    side!(no_compensation, unless wrong_cage dead_in_cage card_optic),
    side!(dead_in_cage, unless pon_port form_cannot),
    side!(face),
    side!(form_cannot),
    side!(not_pluggable),
    side!(pon_port),
    side!(port_rate, unless wrong_cage dead_in_cage pon_port),
    side!(power),
    side!(temperature),
    side!(unknown_card),
    side!(wrong_cage),
];

/// Rules about two ends and the way between them.
pub static PAIR_RULES: &[PairRule] = &[
    pair!(array_polarity),
    pair!(breakout),
    pair!(channel_differs),
    pair!(classes_differ by_light, unless
        breakout rate_differs fiber_count lanes_differ modulation_differs same_side_bidi receiver_band),
    pair!(mode_conditioning),
    pair!(core_size),
    pair!(fec_differs, unless breakout rate_differs lanes_differ modulation_differs),
    pair!(fiber_count, unless breakout),
    pair!(fiber_kind by_light),
    pair!(lanes_differ, unless rate_differs fiber_count),
    pair!(many_connections),
    pair!(modulation_differs, unless breakout rate_differs fiber_count lanes_differ),
    pair!(rate_differs, unless breakout),
    pair!(receiver_band by_light, unless same_side_bidi),
    pair!(same_side_bidi, unless rate_differs),
    pair!(unlike_ends by_light),
];

/// Rules about two end faces that meet.
pub static MATING_RULES: &[MatingRule] =
    &[mating!(array_pins), mating!(plug_kind), mating!(polish_mixed)];

/// Runs every rule of this folder over a judged plan.
pub fn run(view: &View<'_>, findings: &mut Vec<Finding>) {
    plan_facts::judge(view, findings);
    blocked::check(view, findings);
    card_power::check(view, findings);
    channel_twice::check(view, findings);
    classes_differ::check(view, findings);
    coexistence::check(view, findings);
    fiber_kind::check(view, findings);
    joint_kind::check(view, findings);
    mux_port::check(view, findings);
    no_far_optic::check(view, findings);
    not_optical::check(view, findings);
    pair_not_crossed::check(view, findings);
    rate_group::check(view, findings);
    receiver_band::check(view, findings);
    unknown_optic::check(view, findings);
    unlike_ends::check(view, findings);
    drop_restated(findings);
}

/// `fit.mux-port` keeps still of an optic whose channel another one holds.
static HELD: Unless = &[&channel_twice::RULE];

/// Rules that walk the light, and where they keep still.
fn keeping_still() -> impl Iterator<Item = (&'static Rule, Unless)> {
    let of_pairs = PAIR_RULES.iter().filter(|one| !one.in_plan).map(|one| (one.rule, one.unless));
    of_pairs.chain(std::iter::once((&mux_port::RULE, HELD)))
}

/// Takes out what another rule tells better of the same port or the same two ends.
fn drop_restated(findings: &mut Vec<Finding>) {
    let better = |rule: &Rule| {
        let mut rules = keeping_still().flat_map(|(_, unless)| unless);
        rules.any(|said| said.id == rule.id)
    };
    let said: FxHashSet<(&str, String)> = findings
        .iter()
        .filter(|finding| better(finding.rule))
        .map(|finding| (finding.rule.id, finding.subject.clone()))
        .collect();
    findings.retain(|finding| {
        let unless = keeping_still().find(|(rule, _)| rule.id == finding.rule.id);
        let mut unless = unless.into_iter().flat_map(|(_, unless)| unless);
        !unless.any(|rule| said.contains(&(rule.id, finding.subject.clone())))
    });
}
