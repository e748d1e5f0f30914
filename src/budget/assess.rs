//! The walk over a whole plan: every end of every PON and link, judged.

use std::collections::BTreeSet;

use rayon::prelude::*;
use rustc_hash::FxHashSet;

use super::statistics::Randomness;
use super::{End, Group, GroupKind, Pair, Pairs, Standing, Verdict, group};
use crate::loss::statistics::Convolver;
use crate::loss::{AtWavelength, RowRef};
use crate::plan::{Plan, PointRef, PortKind};
use crate::plant::{Plant, Tracer};
use crate::tables::{Role, Tables};

/// What to compute beside the worst case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Whether to compute distributions and yields.
    pub statistics: bool,
    /// Trials and seed of the sampled cross-check of joint yields.
    pub cross_check: Option<(u32, u64)>,
}

impl Default for Settings {
    fn default() -> Self {
        Self { statistics: true, cross_check: None }
    }
}

/// Something the light met that no end can stand for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Anomaly {
    /// Light of a port reaches a point twice.
    ReachedTwice {
        /// The sending port.
        port: u32,
        /// The point.
        point: PointRef,
    },
    /// Two ports face each other whose optics have nothing in common.
    UnlikeEnds {
        /// The sending port.
        port: u32,
        /// The port it reaches.
        far_port: u32,
        /// The sending optic.
        optic: u16,
        /// The far optic.
        far_optic: u16,
    },
    /// A port that faces another one whose optic is not stated.
    NoFarOptic {
        /// The sending port.
        port: u32,
        /// The port without an optic.
        far_port: u32,
    },
    /// The transmitter's wavelength is not known.
    NoWavelength {
        /// The sending port.
        port: u32,
        /// Its optic.
        optic: u16,
        /// A port that its light may reach, for all that is known; `None` where there is none.
        far_port: Option<u32>,
    },
    /// The transmitting side of a pair is joined to another transmitting side.
    NotCrossed {
        /// The sending port.
        port: u32,
        /// The port whose transmitting side it meets.
        far_port: u32,
    },
}

/// A port with an optic that no matching light reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DarkPort {
    /// The port.
    pub port: u32,
    /// Its optic.
    pub optic: u16,
    /// Whether any fiber is attached to it.
    pub attached: bool,
}

/// A plan, judged.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// Optics and pairs.
    pub pairs: Pairs,
    /// Every end, in the order of the plan.
    pub ends: Vec<End>,
    /// PONs first, then links, in the order of the plan; last the PONs of OLT ports that reach nobody.
    pub groups: Vec<Group>,
    /// Ports with optics that no matching light reaches.
    pub dark: Vec<DarkPort>,
    /// What no end can stand for.
    pub anomalies: Vec<Anomaly>,
    /// Rows of tables that the light of all ends met, sorted.
    pub rows: Vec<RowRef>,
    /// Where the whole plan stands, once the rules have spoken.
    pub standing: Standing,
}

impl Assessment {
    /// The pair of an end.
    pub fn pair(&self, end: &End) -> &Pair {
        &self.pairs.pairs[end.pair as usize]
    }

    /// The ids of the rules that decided the verdict of an end; empty where it passes.
    pub fn why(&self, end: &End) -> &[&'static str] {
        self.standing.whys.get(usize::from(end.why)).map_or(&[], Vec::as_slice)
    }

    /// The ids of the rules that decided the verdicts of the worst ends of a PON or link.
    pub fn why_of(&self, group: &Group) -> Vec<&'static str> {
        let verdict = self.verdict_of(group);
        let worst = self.ends[group.ends.clone()].iter().filter(|end| end.verdict == verdict);
        let mut sets: Vec<u16> = worst.map(|end| end.why).collect();
        sets.sort_unstable();
        sets.dedup();
        let rules = sets.iter().filter_map(|set| self.standing.whys.get(usize::from(*set)));
        let mut found: Vec<&'static str> = rules.flatten().copied().collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The worst verdict of a PON's or a link's ends. A PON that reaches nobody fails where fiber is
    /// attached, and cannot be judged where none is.
    pub fn verdict_of(&self, group: &Group) -> Verdict {
        let ends = self.ends[group.ends.clone()].iter().map(|end| end.verdict);
        ends.max().unwrap_or_else(|| {
            let attached = |dark: &&DarkPort| dark.port == group.port && dark.optic == group.optic;
            let dark = self.dark.iter().find(attached);
            if dark.is_some_and(|dark| dark.attached) { Verdict::Fail } else { Verdict::Unknown }
        })
    }
}

/// What one sending port yields.
#[derive(Default)]
pub(super) struct Yielded {
    pub(super) ends: Vec<End>,
    pub(super) groups: Vec<Group>,
    pub(super) anomalies: Vec<Anomaly>,
}

/// Shared, read-only context of the walk.
pub(super) struct Context<'p> {
    pub(super) plan: &'p Plan,
    pub(super) plant: &'p Plant,
    pub(super) tables: &'p Tables,
    pub(super) pairs: &'p Pairs,
    pub(super) wavelengths: Vec<AtWavelength<'p>>,
    pub(super) settings: Settings,
    pub(super) convolver: Convolver,
}

/// Judges every end of a plan.
pub fn assess(plan: &Plan, plant: &Plant, tables: &Tables, settings: Settings) -> Assessment {
    assess_from(plan, plant, tables, settings, None)
}

/// Judges the ends that the light of some ports makes, or of all. Of dark ports nothing is said when
/// only some are asked.
pub fn assess_from(
    plan: &Plan,
    plant: &Plant,
    tables: &Tables,
    settings: Settings,
    ports: Option<&[u32]>,
) -> Assessment {
    let pairs = Pairs::of(plan, tables);
    let wavelengths = pairs.bands.iter().map(|band| AtWavelength::new(plan, tables, *band)).collect();
    let context = Context {
        plan,
        plant,
        tables,
        pairs: &pairs,
        wavelengths,
        settings,
        convolver: Convolver::new(),
    };
    let yielded = context.all_ports(ports);
    let mut assessment = Assessment {
        pairs: Pairs::default(),
        ends: Vec::with_capacity(yielded.iter().map(|y| y.ends.len()).sum()),
        groups: Vec::new(),
        dark: Vec::new(),
        anomalies: Vec::new(),
        rows: Vec::new(),
        standing: Standing::default(),
    };
    for one in yielded {
        gather(&mut assessment, one);
    }
    assessment.ends.iter_mut().for_each(|end| end.light = end.verdict);
    group::links(&mut assessment, &pairs);
    if ports.is_none() {
        assessment.dark = context.dark_ports(&assessment);
        let unlit = context.pons_without_ends(&assessment);
        assessment.groups.extend(unlit);
    }
    assessment.rows = context.rows_met();
    assessment.pairs = pairs;
    assessment
}

/// Appends what one port yielded, shifting its ranges.
fn gather(assessment: &mut Assessment, one: Yielded) {
    let first_end = assessment.ends.len();
    let first_group = assessment.groups.len() as u32;
    assessment.ends.extend(one.ends.into_iter().map(|mut end| {
        end.group = end.group.saturating_add(first_group);
        end
    }));
    assessment.groups.extend(one.groups.into_iter().map(|mut group| {
        group.ends = group.ends.start + first_end..group.ends.end + first_end;
        group
    }));
    assessment.anomalies.extend(one.anomalies);
}

impl Context<'_> {
    /// The rows met at any wavelength, sorted.
    fn rows_met(&self) -> Vec<RowRef> {
        let rows: BTreeSet<RowRef> =
            self.wavelengths.iter().flat_map(|at| at.rows_met().rows()).collect();
        rows.into_iter().collect()
    }

    /// Every sending port, in parallel; the result is in the order of the plan whatever the number
    /// of threads.
    fn all_ports(&self, asked: Option<&[u32]>) -> Vec<Yielded> {
        const PORTS_AT_A_TIME: usize = 256;
        let ports: Vec<u32> = (0..self.plan.ports.len() as u32)
            .filter(|port| asked.is_none_or(|asked| asked.contains(port)))
            .filter(|port| self.plan.ports[*port as usize].kind == PortKind::Equipment)
            .filter(|port| !self.pairs.of_port(self.plan, *port).is_empty())
            .collect();
        let chunk = PORTS_AT_A_TIME.max(ports.len().div_ceil(4 * rayon::current_num_threads().max(1)));
        ports
            .par_chunks(chunk)
            .map(|some| {
                let mut tracer = Tracer::new(self.plant);
                let mut randomness = Randomness::new(&self.convolver);
                some.iter()
                    .map(|port| self.port(*port, &mut tracer, &mut randomness))
                    .collect::<Vec<_>>()
            })
            .flatten_iter()
            .collect()
    }

    /// A PON without an end for every OLT port that reaches nobody.
    fn pons_without_ends(&self, assessment: &Assessment) -> Vec<Group> {
        let olt = |dark: &&DarkPort| {
            let connected = self.plan.ports[dark.port as usize].connected;
            connected && self.pairs.optic(dark.optic).is_some_and(|optic| optic.role == Role::Olt)
        };
        let none = assessment.ends.len()..assessment.ends.len();
        let group = |dark: &DarkPort| Group {
            kind: GroupKind::Pon,
            port: dark.port,
            far_port: None,
            optic: dark.optic,
            ends: none.clone(),
            served: 0,
            lengths: None,
            loss_spread: [None, None],
            joint: None,
            cross_check: None,
        };
        assessment.dark.iter().filter(olt).map(group).collect()
    }

    /// Ports whose optic no end was found for. What sends at a wavelength that nobody knows may be
    /// their light: of them nothing is said.
    fn dark_ports(&self, assessment: &Assessment) -> Vec<DarkPort> {
        let pair = |end: &End| &self.pairs.pairs[end.pair as usize];
        // An ONU or an interface must receive; an OLT is lit when it serves anybody.
        let serves = |end: &End| {
            let sends = pair(end).transmitter;
            let olt = self.pairs.optic(sends).is_some_and(|optic| optic.role == Role::Olt);
            olt.then_some((end.transmitter, sends))
        };
        let lit: FxHashSet<(u32, u16)> = assessment
            .ends
            .iter()
            .flat_map(|end| std::iter::once((end.receiver, pair(end).receiver)).chain(serves(end)))
            .collect();
        let perhaps: FxHashSet<u32> = assessment
            .anomalies
            .iter()
            .filter_map(|anomaly| match anomaly {
                Anomaly::NoWavelength { far_port, .. } => *far_port,
                _ => None,
            })
            .collect();
        (0..self.plan.ports.len() as u32)
            .flat_map(|port| self.pairs.of_port(self.plan, port).iter().map(move |optic| (port, *optic)))
            .filter(|used| !lit.contains(used) && self.pairs.electrical(used.1).is_none())
            .filter(|(port, optic)| !perhaps.contains(port) || self.pairs.optic(*optic).is_none())
            .map(|(port, optic)| {
                let sides =
                    [PointRef::Port(port), PointRef::PortTransmit(port), PointRef::PortReceive(port)];
                let attached = sides.iter().any(|point| self.plant.is_attached(*point));
                DarkPort { port, optic, attached }
            })
            .collect()
    }
}
