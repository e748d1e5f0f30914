//! Rows with stable names, as JSON and CSV carry them.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::budget::{Direction, End, Group, Tally, Verdict, Window};
use crate::check::standing::rule_of_state;
use crate::check::view::View;
use crate::check::words;
use crate::engine::SpareLegs;
use crate::units::{DecibelMilliwatts, Decibels, Probability};

/// Loss figures of an end, dB.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LossDb {
    /// Sum of the least losses.
    pub least: f64,
    /// Mean loss.
    pub typical: f64,
    /// Worst case.
    pub most: f64,
    /// Loss not exceeded at the asked confidence; absent without statistics.
    pub quantile: Option<f64>,
    /// Bound on the quantile's numerical error.
    pub quantile_error: Option<f64>,
    /// Mean plus the normal multiple of the standard deviation.
    pub normal_quantile: Option<f64>,
    /// Standard deviation.
    pub spread: Option<f64>,
    /// What the optics have to spare beyond their worst values, at the asked confidence; absent where
    /// nothing is stated of their spread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equipment_spare: Option<f64>,
}

/// The loss window of an end, dB; absent = not known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BudgetDb {
    /// Least loss allowed.
    pub min: Option<f64>,
    /// Greatest loss allowed.
    pub max: Option<f64>,
    /// What the window rests on.
    pub basis: &'static str,
}

/// Which element decides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Deciding {
    /// What it is.
    pub kind: &'static str,
    /// Its name.
    pub element: String,
    /// Its avoidable worst-case loss, dB.
    pub avoidable_db: f64,
}

/// One end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EndRow<'a> {
    /// The port at the premises of a PON (for both directions), or the receiving port of a link.
    pub id: &'a str,
    /// The sending port.
    pub from: &'a str,
    /// The receiving port.
    pub to: &'a str,
    /// `downstream`, `upstream`, `A to B`, `B to A`.
    pub direction: &'static str,
    /// Whether the optic at the premises is assumed: the home is not connected yet.
    pub assumed_optic: bool,
    /// The sending optic.
    pub transmitter: &'a str,
    /// The receiving optic.
    pub receiver: &'a str,
    /// Nominal wavelength.
    pub wavelength_nm: f64,
    /// Fiber length.
    pub length_km: f64,
    /// Losses; absent when a datum is missing.
    pub loss_db: Option<LossDb>,
    /// Loss window.
    pub budget_db: BudgetDb,
    /// Worst-case margin.
    pub margin_db: Option<f64>,
    /// The same less the design reserve: what is left once the reserve is kept.
    pub margin_after_reserve_db: Option<f64>,
    /// Headroom towards overload.
    pub headroom_db: Option<f64>,
    /// Least and greatest level at the receiver, dBm.
    pub received_dbm: [Option<f64>; 2],
    /// Probability that the end closes.
    pub r#yield: Option<f64>,
    /// Chromatic dispersion, least and most, ps/nm.
    pub dispersion_ps_nm: Option<[f64; 2]>,
    /// Return loss of the plant seen from the sender, discrete events only, dB.
    pub return_loss_db: Option<f64>,
    /// `pass`, `marginal`, `overload`, `fail`, `unknown`: the worse of the light and of what the rules say
    /// of its ports and its way.
    pub verdict: &'static str,
    /// The rules that decided the verdict; empty for a pass.
    pub why: &'a [&'static str],
    /// What the light alone says.
    pub light: &'static str,
    /// Why the light says so.
    pub reason: String,
    /// Which element decides.
    pub deciding: Option<Deciding>,
}

/// Probabilities of the directions of a PON.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DirectionYields {
    /// Downstream alone.
    pub downstream: f64,
    /// Upstream alone.
    pub upstream: f64,
}

/// The sampled counterpart of a joint yield.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CrossCheckRow {
    /// Share of trials in which every end closed.
    pub estimate: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// Trials.
    pub trials: u32,
    /// Seed.
    pub seed: u64,
}

/// One PON.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PonRow<'a> {
    /// The OLT port.
    pub id: &'a str,
    /// The OLT's optic.
    pub optic: &'a str,
    /// How many ends it serves.
    pub ends: u32,
    /// Probability that all of them close in both directions together.
    pub joint_yield: Option<f64>,
    /// The same with the design reserve kept by every end; absent without a reserve.
    pub joint_yield_with_reserve: Option<f64>,
    /// The same for each direction alone.
    pub direction_yields: Option<DirectionYields>,
    /// Bound on the numerical error of these.
    pub yield_error: Option<f64>,
    /// Mean number of ends that do not close.
    pub expected_failures: Option<f64>,
    /// Nearest end.
    pub nearest_km: Option<f64>,
    /// Farthest end.
    pub farthest_km: Option<f64>,
    /// Greatest difference of losses between two ends, upstream.
    pub differential_loss_db: Option<f64>,
    /// The worst verdict of its ends; `fail` or `unknown` where it reaches nobody.
    pub verdict: &'static str,
    /// The rules that decided the verdict.
    pub why: Vec<&'static str>,
    /// The sampled counterpart of the joint yield, when asked for.
    pub cross_check: Option<CrossCheckRow>,
}

/// Binary noise below a millionth of a dB is no information.
pub(super) fn clean(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

fn db(value: Decibels) -> f64 {
    clean(value.value())
}

impl<'a> EndRow<'a> {
    /// The row of an end.
    pub fn of(view: View<'a>, end: &End) -> Self {
        let pair = view.assessment.pair(end);
        let window = pair.window;
        let level = |launch: Option<DecibelMilliwatts>, loss: Decibels| {
            launch.filter(|_| end.missing.is_none()).map(|launch| clean((launch - loss).value()))
        };
        Self {
            id: view.port_name(premises_port(end)),
            from: view.port_name(end.transmitter),
            to: view.port_name(end.receiver),
            direction: end.direction.word(),
            assumed_optic: view.plan.is_assumed(premises_port(end)),
            transmitter: view.optic_name(pair.transmitter),
            receiver: view.optic_name(pair.receiver),
            wavelength_nm: pair.band.nominal.value(),
            length_km: clean(end.length.value()),
            loss_db: end.missing.is_none().then(|| losses(end)),
            budget_db: BudgetDb {
                min: window.min.map(db),
                max: window.max.map(db),
                basis: window.basis.words(),
            },
            margin_db: end.margin(&window).map(db),
            margin_after_reserve_db: end
                .margin(&window)
                .map(|margin| db(margin - view.plan.assumptions.reserve)),
            headroom_db: end.headroom(&window).map(db),
            received_dbm: [level(window.launch[0], end.most), level(window.launch[1], end.least)],
            r#yield: end.statistics.and_then(|s| s.closes).map(Probability::value),
            dispersion_ps_nm: end
                .dispersion
                .map(|(low, high)| [clean(low.value()), clean(high.value())]),
            return_loss_db: end.return_loss.map(db),
            verdict: end.verdict.word(),
            why: view.assessment.why(end),
            light: end.light.word(),
            reason: super::summary::reason(view, end),
            deciding: end.deciding.map(|(kind, element, avoidable)| Deciding {
                kind: words::part_kind(kind),
                element: words::element(view.plan, element),
                avoidable_db: db(avoidable),
            }),
        }
    }
}

fn losses(end: &End) -> LossDb {
    let of =
        |pick: fn(&crate::budget::Statistics) -> Decibels| end.statistics.as_ref().map(|s| db(pick(s)));
    LossDb {
        least: db(end.least),
        typical: db(end.typical),
        most: db(end.most),
        quantile: of(|s| s.quantile),
        quantile_error: of(|s| s.error_bound),
        normal_quantile: of(|s| s.normal_quantile),
        equipment_spare: of(|s| s.spare).filter(|spare| *spare != 0.0),
        spread: of(|s| s.spread),
    }
}

/// The port an end is known by: the ONU's in both directions, the receiver's on a link.
pub(crate) fn premises_port(end: &End) -> u32 {
    if end.direction == Direction::Upstream { end.transmitter } else { end.receiver }
}

impl<'a> PonRow<'a> {
    /// The row of a PON.
    pub fn of(view: View<'a>, group: &Group) -> Self {
        Self {
            id: view.port_name(group.port),
            optic: view.optic_name(group.optic),
            ends: group.served,
            joint_yield: group.joint.map(|joint| joint.both.value()),
            joint_yield_with_reserve: group
                .joint
                .and_then(|joint| joint.with_reserve)
                .map(Probability::value),
            direction_yields: group.joint.map(|joint| DirectionYields {
                downstream: joint.downstream.value(),
                upstream: joint.upstream.value(),
            }),
            yield_error: group.joint.map(|joint| joint.error_bound),
            expected_failures: group.joint.map(|joint| joint.expected_failures),
            nearest_km: group.lengths.map(|(near, _)| clean(near.value())),
            farthest_km: group.lengths.map(|(_, far)| clean(far.value())),
            differential_loss_db: group.loss_spread[1].map(db),
            verdict: view.assessment.verdict_of(group).word(),
            why: why_of(view, group),
            cross_check: group.cross_check.map(|check| CrossCheckRow {
                estimate: check.estimate.value(),
                standard_error: check.standard_error,
                trials: check.trials,
                seed: check.seed,
            }),
        }
    }
}

/// The rules that decided the verdict of a PON or link, a PON that reaches nobody included.
pub(crate) fn why_of(view: View<'_>, group: &Group) -> Vec<&'static str> {
    if !group.ends.is_empty() {
        return view.assessment.why_of(group);
    }
    let state = view.assessment.standing.port_states.get(group.port as usize);
    state.and_then(|state| rule_of_state(*state)).into_iter().collect()
}

/// One link: two ports that face each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LinkRow<'a> {
    /// Its first port in the order of the plan.
    pub from: &'a str,
    /// The other port.
    pub to: &'a str,
    /// The optic of the first port.
    pub optic: &'a str,
    /// Fiber length; the longer of its directions.
    pub length_km: Option<f64>,
    /// Least worst-case margin of its ends; absent where one is not known.
    pub margin_db: Option<f64>,
    /// Least headroom of its ends; absent where one is not known.
    pub headroom_db: Option<f64>,
    /// The worst verdict of its ends.
    pub verdict: &'static str,
    /// The rules that decided the verdict.
    pub why: Vec<&'static str>,
}

impl<'a> LinkRow<'a> {
    /// The row of a link.
    pub fn of(view: View<'a>, group: &Group) -> Self {
        let ends = &view.assessment.ends[group.ends.clone()];
        let least = |of: fn(&End, &Window) -> Option<Decibels>| {
            let room = ends.iter().map(|end| of(end, &view.assessment.pair(end).window));
            room.reduce(|a, b| Some(a?.min(b?))).flatten().map(db)
        };
        Self {
            from: view.port_name(group.port),
            to: view.port_name(group.far_port.unwrap_or(group.port)),
            optic: view.optic_name(group.optic),
            length_km: group.lengths.map(|(_, far)| clean(far.value())),
            margin_db: least(End::margin),
            headroom_db: least(End::headroom),
            verdict: view.assessment.verdict_of(group).word(),
            why: why_of(view, group),
        }
    }
}

/// How many homes, links and ports are in each state.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Counts {
    homes: BTreeMap<&'static str, u32>,
    links: BTreeMap<&'static str, u32>,
    ports: BTreeMap<&'static str, u32>,
}

impl Counts {
    /// The counts of a judged plan.
    pub fn of(view: View<'_>) -> Self {
        let standing = &view.assessment.standing;
        let counts = |tally: &Tally| tally.counted().map(|(state, n)| (state.words(), n)).collect();
        Self {
            homes: counts(&standing.homes),
            links: counts(&standing.links),
            ports: counts(&standing.ports),
        }
    }
}

/// The spare legs of a splitter, judged with the optic that the plan assumes for them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpareLegsRow<'a> {
    /// The splitter.
    pub splitter: &'a str,
    /// Its first free leg.
    pub leg: u16,
    /// How many legs are free.
    pub free: u16,
    /// Least worst-case margin at the leg, both directions.
    pub margin_db: Option<f64>,
    /// Least headroom at the leg, both directions.
    pub headroom_db: Option<f64>,
    /// What the light says; `no light` where none of its system arrives.
    pub verdict: &'static str,
}

impl<'a> SpareLegsRow<'a> {
    /// The row of a splitter.
    pub fn of(view: View<'a>, spare: &SpareLegs) -> Self {
        Self {
            splitter: view.plan.names.get(view.plan.splitters[spare.splitter as usize].name),
            leg: spare.leg,
            free: spare.free,
            margin_db: spare.margin.map(db),
            headroom_db: spare.headroom.map(db),
            verdict: spare.verdict.map_or("no light", Verdict::word),
        }
    }
}
