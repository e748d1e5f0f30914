//! The link or PON of a port, and what other optics would give there.

use rustc_hash::FxHashSet;

use super::super::Judged;
use super::super::pads::joint_loss;
use super::{Alternative, Distance, HAIR, Offer, is_grave, padded};
use crate::budget::{Assessment, End, GroupKind, Settings, Verdict, assess_from};
use crate::check::fit_rules::modulation_differs::is_coded_alike;
use crate::check::plan_facts;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::fit::cage::is_same_rate;
use crate::fit::facts::Way;
use crate::plan::Plan;
use crate::tables::{Family, Optic, Role, Tables};
use crate::units::Decibels;

/// What faces the port that was asked about.
pub(super) struct Question {
    pub(super) port: u32,
    pub(super) far: Vec<u32>,
    near_now: String,
    far_now: String,
    /// The same two as indices of the assessment.
    optics: [u16; 2],
    /// The port whose light is walked: the OLT of a PON.
    sends: Vec<u32>,
    /// Whether a receiver gets too much light now.
    too_hot: bool,
    /// Sender and receiver of what closes now without the port that was asked about.
    neighbors: FxHashSet<(u32, u32)>,
}

/// Ports as they stand in the plan.
pub(super) struct Before {
    ports: Vec<(u32, Option<u32>, Option<u32>)>,
    sets: usize,
    fittings: usize,
}

impl Before {
    pub(super) fn of<'a>(plan: &Plan, ports: impl Iterator<Item = &'a u32>) -> Self {
        let port = |index: &u32| {
            let port = &plan.ports[*index as usize];
            (*index, port.optics, port.fitting)
        };
        Self {
            ports: ports.map(port).collect(),
            sets: plan.optic_sets.len(),
            fittings: plan.fittings.len(),
        }
    }

    pub(super) fn restore(&self, plan: &mut Plan) {
        for (index, optics, fitting) in &self.ports {
            let port = &mut plan.ports[*index as usize];
            (port.optics, port.fitting) = (*optics, *fitting);
        }
        plan.optic_sets.truncate(self.sets);
        plan.fittings.truncate(self.fittings);
    }
}

/// Puts another optic into a port in the place of one that it has; what is said of the old module no
/// longer holds.
fn put(judged: &mut Judged, port: u32, now: u16, optic: &str) {
    let optics = judged.assessment.pairs.of_port(&judged.plan, port).iter();
    let name = |known: &u16| {
        if *known == now {
            return Some(optic.to_string());
        }
        Some(judged.assessment.pairs.optics.get(usize::from(*known))?.written.clone())
    };
    let set: Vec<String> = optics.filter_map(name).collect();
    let plan = &mut judged.plan;
    let set = plan.optic_set(set);
    let fitting = plan.fitting_of(port).cloned().unwrap_or_default().without_module();
    let fitting = plan.fitting(fitting);
    let port = &mut plan.ports[port as usize];
    (port.optics, port.fitting) = (Some(set), fitting);
}

impl Question {
    /// The first link or PON of a port.
    pub(super) fn of(judged: &Judged, port: u32) -> Option<Self> {
        let assessment = &judged.assessment;
        let is_end = |end: &&End| end.transmitter == port || end.receiver == port;
        let end = assessment.ends.iter().find(is_end)?;
        let group = &assessment.groups[end.group as usize];
        let pair = assessment.pair(end);
        let (near, far) = if end.transmitter == port {
            (pair.transmitter, pair.receiver)
        } else {
            (pair.receiver, pair.transmitter)
        };
        let name = |index: u16| Some(assessment.pairs.optic(index)?.name.clone());
        let ends = assessment.ends[group.ends.clone()].iter();
        let mut others: Vec<u32> = ends
            .filter(|end| is_end(end))
            .map(|end| if end.transmitter == port { end.receiver } else { end.transmitter })
            .collect();
        others.sort_unstable();
        others.dedup();
        let sends = match group.kind {
            GroupKind::Pon => vec![group.port],
            GroupKind::Link => std::iter::once(group.port).chain(group.far_port).collect(),
        };
        let (near_now, far_now) = (name(near)?, name(far)?);
        let rest: Vec<&End> =
            assessment.ends[group.ends.clone()].iter().filter(|end| !is_end(end)).collect();
        let neighbors = closing(assessment, &rest);
        let too_hot =
            assessment.ends[group.ends.clone()].iter().any(|end| end.verdict == Verdict::Overload);
        let optics = [near, far];
        Some(Self { port, far: others, near_now, far_now, optics, sends, too_hot, neighbors })
    }

    /// Pairs of optics to try: another one here, there, or at both.
    pub(super) fn candidates(&self, judged: &Judged, stock: Option<&[String]>) -> Vec<(String, String)> {
        let tables = &judged.tables;
        let kind = |port: u32| judged.plan.ports[port as usize].kind;
        let role = |port: u32| {
            if kind(port) == crate::plan::PortKind::Ont { Role::Onu } else { Role::Olt }
        };
        let names = stock.map_or_else(|| Optic::names(tables), <[String]>::to_vec);
        let alike = |port: u32, now: &str| {
            let now = Optic::find(tables, now, role(port));
            let mut found: Vec<String> = names
                .iter()
                .filter_map(|name| Optic::find(tables, name, role(port)))
                .filter(|optic| now.as_ref().is_some_and(|now| could_replace(now, optic, judged)))
                .map(|optic| optic.name)
                .collect();
            found.sort();
            found.dedup();
            found
        };
        let here = alike(self.port, &self.near_now);
        let there = self.far.first().map_or_else(Vec::new, |far| alike(*far, &self.far_now));
        let mut pairs: Vec<(String, String)> = Vec::new();
        pairs.extend(here.iter().map(|near| (near.clone(), self.far_now.clone())));
        pairs.extend(there.iter().map(|far| (self.near_now.clone(), far.clone())));
        for near in &here {
            pairs.extend(
                there
                    .iter()
                    .filter(|far| goes_with(near, far, judged))
                    .map(|far| (near.clone(), far.clone())),
            );
        }
        pairs.retain(|(near, far)| *near != self.near_now || *far != self.far_now);
        pairs.sort();
        pairs.dedup();
        pairs
    }

    /// What a pair of optics gives; `None` where rules speak against it whatever the loss.
    pub(super) fn tried(
        &self,
        judged: &mut Judged,
        (near, far): (String, String),
        offer: Offer<'_>,
    ) -> Option<Alternative> {
        if near != self.near_now {
            put(judged, self.port, self.optics[0], &near);
        }
        for port in self.far.iter().filter(|_| far != self.far_now) {
            put(judged, *port, self.optics[1], &far);
        }
        let changed = |now: &str, then: &str, count: usize| if now == then { 0 } else { count as u32 };
        let changes = changed(&self.near_now, &near, 1) + changed(&self.far_now, &far, self.far.len());
        self.judged(judged, (near, far), changes, offer)
    }

    /// What the optics give that are there now, one of them as another part of which nothing is said.
    pub(super) fn tried_again(
        &self,
        judged: &mut Judged,
        port: u32,
        offer: Offer<'_>,
    ) -> Option<Alternative> {
        let now = if port == self.port { self.optics[0] } else { self.optics[1] };
        let name = judged.assessment.pairs.optics.get(usize::from(now))?.written.clone();
        put(judged, port, now, &name);
        self.judged(judged, (self.near_now.clone(), self.far_now.clone()), 1, offer)
    }

    fn judged(
        &self,
        judged: &Judged,
        (near, far): (String, String),
        changes: u32,
        offer: Offer<'_>,
    ) -> Option<Alternative> {
        let settings = Settings { statistics: false, cross_check: None };
        let mut assessment =
            assess_from(&judged.plan, &judged.plant, &judged.tables, settings, Some(&self.sends));
        let view = |assessment| View {
            plan: &judged.plan,
            plant: &judged.plant,
            tables: &judged.tables,
            assessment,
        };
        if self.spoken_against(&view(&assessment)) {
            return None;
        }
        let distance = self.distance(&judged.tables, &near, &far);
        let made = Alternative {
            near,
            far,
            changes,
            part: String::new(),
            closes: false,
            marginal: false,
            pads: Vec::new(),
            margin: [None; 2],
            headroom: [None; 2],
            distance,
        };
        let plain = self.figures(&assessment, made)?;
        if plain.closes {
            return Some(plain);
        }
        let pads = padded::pads(&view(&assessment), offer.pads);
        let Some(pads) = pads else { return Some(plain) };
        let joint = joint_loss(&view(&assessment));
        padded::put_in(&mut assessment, &pads, joint, judged.plan.assumptions.reserve);
        let with_pads = self.figures(&assessment, Alternative { pads, ..plain.clone() });
        Some(with_pads.filter(|padded| padded.closes).unwrap_or(plain))
    }

    /// How far two optics are from those that are there now.
    fn distance(&self, tables: &Tables, near: &str, far: &str) -> Distance {
        let find = |name: &str, role| Optic::find(tables, name, role);
        let (near_now, far_now) = (find(&self.near_now, Role::Olt), find(&self.far_now, Role::Onu));
        let (near, far) = (find(near, Role::Olt), find(far, Role::Onu));
        let fibers = |optic: &Option<Optic>| optic.as_ref().map(|optic| optic.fibers(tables));
        let allowed = |optic: &Option<Optic>| match optic.as_ref()?.family {
            Family::Pon(id) => tables.pon_classes.row(id).value.max_loss_down,
            Family::Interface(_) => None,
        };
        let apart = |now: &Option<Optic>, then: &Option<Optic>| match (allowed(now), allowed(then)) {
            (Some(a), Some(b)) => Decibels::new((a - b).value().abs()),
            _ => Decibels::ZERO,
        };
        let more = |now: &Option<Optic>, then: &Option<Optic>| match (allowed(now), allowed(then)) {
            (Some(a), Some(b)) => b.value() - a.value(),
            _ => 0.0,
        };
        let more = [more(&near_now, &near), more(&far_now, &far)];
        let away = if self.too_hot { 1.0 } else { -1.0 };
        let wrong_way = more.iter().any(|more| more * away > HAIR);
        let family = |optic: &Option<Optic>| optic.as_ref().map(|optic| optic.family);
        let pon = matches!(family(&near), Some(Family::Pon(_)));
        Distance {
            fibers: fibers(&near_now) != fibers(&near) || fibers(&far_now) != fibers(&far),
            wrong_way,
            unlike: pon && family(&near) != family(&far),
            classes: apart(&near_now, &near) + apart(&far_now, &far),
        }
    }

    /// Whether a rule about cage, card, cords or the two ends speaks against the optics as they are now,
    /// or cannot do without a datum.
    fn spoken_against(&self, view: &View<'_>) -> bool {
        let optic = |port: u32| view.assessment.pairs.of_port(view.plan, port).first().copied();
        let side = |port: u32| plan_facts::side(view, port, optic(port));
        let link = view.assessment.groups.iter().find(|group| group.kind == GroupKind::Link);
        let way = link.map_or_else(Way::default, |group| {
            plan_facts::link_way(view, group, &mut Walks::new(*view))
        });
        let near = side(self.port);
        let mut judged = plan_facts::of_side(view, &near);
        let mut met = FxHashSet::default();
        for port in self.far.iter().filter(|port| {
            let port = &view.plan.ports[**port as usize];
            met.insert((port.optics, port.fitting, port.place))
        }) {
            let far = side(*port);
            judged.extend(plan_facts::of_side(view, &far));
            judged.extend(plan_facts::of_pair(view, (&near, &far), &way, false));
        }
        judged.iter().any(is_grave)
    }

    /// Margins, headrooms and whether all closes; `None` where no light goes either way.
    fn figures(&self, assessment: &Assessment, made: Alternative) -> Option<Alternative> {
        let mine = |end: &&End| end.transmitter == self.port || end.receiver == self.port;
        let ends: Vec<&End> = assessment.ends.iter().filter(mine).collect();
        let both_ways = [true, false].map(|sent| {
            ends.iter().copied().filter(|end| (end.transmitter == self.port) == sent).collect::<Vec<_>>()
        });
        if both_ways.iter().any(Vec::is_empty) {
            return None;
        }
        let least = |ends: &[&End], of: &dyn Fn(&End) -> Option<Decibels>| {
            let all: Option<Vec<Decibels>> = ends.iter().map(|end| of(end)).collect();
            all?.into_iter().reduce(Decibels::min)
        };
        let margin = |end: &End| end.margin(&assessment.pair(end).window);
        let headroom = |end: &End| end.headroom(&assessment.pair(end).window);
        let margins = [least(&both_ways[0], &margin), least(&both_ways[1], &margin)];
        let headrooms = [least(&both_ways[0], &headroom), least(&both_ways[1], &headroom)];
        let all: Vec<&End> = assessment.ends.iter().collect();
        let closing_now = closing(assessment, &all);
        let mine_close = ends.iter().all(|end| closing_now.contains(&(end.transmitter, end.receiver)));
        let closes = mine_close && self.neighbors.is_subset(&closing_now);
        let marginal = closes && ends.iter().any(|end| end.verdict == Verdict::Marginal);
        Some(Alternative { closes, marginal, margin: margins, headroom: headrooms, ..made })
    }
}

/// Sender and receiver of the light that closes in the worst case on every lane. What else speaks
/// against an end (reach, dispersion, fiber) shows in its verdict.
fn closing(assessment: &Assessment, ends: &[&End]) -> FxHashSet<(u32, u32)> {
    let closes = |end: &End| {
        let window = &assessment.pair(end).window;
        let kept = |room: Option<Decibels>| room.is_some_and(|room| room.value() >= -HAIR);
        let sound = matches!(end.verdict, Verdict::Pass | Verdict::Marginal);
        sound && kept(end.margin(window)) && kept(end.headroom(window))
    };
    let ports = |end: &End| (end.transmitter, end.receiver);
    let open: FxHashSet<(u32, u32)> =
        ends.iter().filter(|end| !closes(end)).map(|end| ports(end)).collect();
    ends.iter().map(|end| ports(end)).filter(|ports| !open.contains(ports)).collect()
}

/// Whether an optic could stand where another one stands: of the same system, or of the same rate.
fn could_replace(now: &Optic, other: &Optic, judged: &Judged) -> bool {
    let tables = &judged.tables;
    match (now.family, other.family) {
        (Family::Pon(_), Family::Pon(_)) => {
            now.role == other.role && now.system(tables) == other.system(tables)
        }
        (Family::Interface(_), Family::Interface(_)) => match (now.rate(tables), other.rate(tables)) {
            (Some(a), Some(b)) => {
                is_same_rate(a, b) && now.channel.is_none() && coded_alike(now, other, judged)
            }
            _ => false,
        },
        _ => false,
    }
}

/// Whether two interfaces use one line code: another one is another protocol.
fn coded_alike(a: &Optic, b: &Optic, judged: &Judged) -> bool {
    match (a.interface(&judged.tables), b.interface(&judged.tables)) {
        (Some(a), Some(b)) => is_coded_alike(&a.value, &b.value),
        _ => false,
    }
}

/// Whether two optics are of one class or type, or declared mates.
fn goes_with(near: &str, far: &str, judged: &Judged) -> bool {
    let tables = &judged.tables;
    match (Optic::find(tables, near, Role::Olt), Optic::find(tables, far, Role::Onu)) {
        (Some(a), Some(b)) => match (a.family, b.family) {
            (Family::Interface(first), Family::Interface(second)) => {
                let row = tables.interfaces.row(first);
                let other = &tables.interfaces.row(second).key;
                let mates = &row.value.mates_with;
                mates.iter().any(|mate| mate.eq_ignore_ascii_case(other))
                    || (first == second && mates.is_empty())
            }
            (first, second) => first == second,
        },
        _ => false,
    }
}
