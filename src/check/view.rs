//! What a rule sees of a judged plan, and the gathering of ends that have the same fault.

use rustc_hash::FxHashMap;

use super::{About, Finding, Rule, missing_cells, words};
use crate::budget::{Assessment, Direction, End, Group, GroupKind, Reason};
use crate::place::Origin;
use crate::plan::Plan;
use crate::plant::Plant;
use crate::tables::{Family, FiberKind, PonClass, Tables};
use crate::units::{Decibels, Kilometers};

/// Binary noise of sums of dozens of terms is no fault.
const HAIR: f64 = 1e-9;

/// A judged plan.
#[derive(Clone, Copy)]
pub struct View<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its graph.
    pub plant: &'a Plant,
    /// The tables it was judged with.
    pub tables: &'a Tables,
    /// The judgement.
    pub assessment: &'a Assessment,
}

/// The ends of one link, or of one PON in one direction, that have one fault in common: one finding
/// speaks for all of them, so that a PON of 128 bad ends is one line and not 128.
pub struct Ends<'a> {
    view: View<'a>,
    group: &'a Group,
    direction: Direction,
    /// The ends, in the order of the plan; never empty.
    pub ends: Vec<&'a End>,
    /// Their indices in the assessment.
    indices: Vec<u32>,
}

impl<'a> View<'a> {
    /// The ends that a condition holds for: by link, or by PON and direction.
    pub fn ends_where(self, condition: impl Fn(&End) -> bool) -> Vec<Ends<'a>> {
        let mut found: Vec<Ends<'a>> = Vec::new();
        let mut index: FxHashMap<(u32, Direction), usize> = FxHashMap::default();
        for (number, end) in self.assessment.ends.iter().enumerate().filter(|(_, end)| condition(end)) {
            let group = &self.assessment.groups[end.group as usize];
            // The two ends of a link stand side by side and share one finding.
            let direction = if group.kind == GroupKind::Link { Direction::AToB } else { end.direction };
            let at = *index.entry((end.group, direction)).or_insert_with(|| {
                found.push(Ends {
                    view: self,
                    group,
                    direction: end.direction,
                    ends: Vec::new(),
                    indices: Vec::new(),
                });
                found.len() - 1
            });
            found[at].ends.push(end);
            found[at].indices.push(number as u32);
        }
        found
    }

    /// The PONs.
    pub fn pons(self) -> impl Iterator<Item = &'a Group> {
        self.assessment.groups.iter().filter(|group| group.kind == GroupKind::Pon)
    }

    /// The class of a PON's OLT.
    pub fn class(self, group: &Group) -> Option<&'a PonClass> {
        match self.assessment.pairs.optic(group.optic)?.family {
            Family::Pon(row) => Some(&self.tables.pon_classes.row(row).value),
            Family::Interface(_) => None,
        }
    }

    /// The name of a port.
    pub fn port_name(self, port: u32) -> &'a str {
        self.plan.names.get(self.plan.ports[port as usize].name)
    }

    /// Where a port was stated.
    pub fn port_origin(self, port: u32) -> Origin {
        self.plan.ports[port as usize].origin
    }

    /// The name of an optic: the table's where it is known, else as written.
    pub fn optic_name(self, index: u16) -> &'a str {
        let Some(used) = self.assessment.pairs.optics.get(usize::from(index)) else { return "?" };
        used.optic.as_ref().map_or(&used.written, |optic| &optic.name)
    }

    /// An end in words: `home-007 downstream`, `sw-b/1 from sw-a/1 at 1310 nm`.
    pub fn end_name(self, end: &End) -> String {
        let name = |port| self.port_name(port);
        let at = self.assessment.pair(end).band.nominal;
        match end.direction {
            Direction::Downstream => format!("`{}` at {at}", name(end.receiver)),
            Direction::Upstream => format!("`{}` at {at} upstream", name(end.transmitter)),
            _ => format!("`{}` from `{}` at {at}", name(end.receiver), name(end.transmitter)),
        }
    }

    /// The greatest loss an end's optics allow.
    pub fn max(self, end: &End) -> String {
        let max = self.assessment.pair(end).window.max;
        max.map_or_else(|| "?".to_string(), |max| max.to_string())
    }

    /// The worst-case margin, rounded down.
    pub fn margin(self, end: &End) -> String {
        let margin = end.margin(&self.assessment.pair(end).window);
        margin.map_or_else(|| "?".to_string(), |margin| margin.rounded_down().to_string())
    }

    /// How much the worst case lacks, rounded up.
    pub fn short(self, end: &End) -> String {
        let margin = end.margin(&self.assessment.pair(end).window);
        margin.map_or_else(|| "?".to_string(), |margin| (-margin).rounded_up().to_string())
    }

    /// Which element decides.
    pub fn decides(self, end: &End) -> String {
        end.deciding.map_or_else(String::new, |(kind, element, loss)| {
            let name = words::element(self.plan, element);
            format!("greatest avoidable loss: {} {name}, {}", words::part_kind(kind), loss.rounded_up())
        })
    }

    /// Whether the worst case does not close: `Some(true)` when the loss at the asked confidence does
    /// not close either, `Some(false)` when it does, `None` when the worst case closes or is not known.
    pub fn lacks(self, end: &End) -> Option<bool> {
        let window = self.assessment.pair(end).window;
        let short = end.margin(&window).is_some_and(|margin| margin.value() < -HAIR);
        let likely = end.statistical_margin(&window).is_some_and(|margin| margin.value() >= -HAIR);
        short.then_some(!likely)
    }

    /// Whether the worst case closes and the loss at the asked confidence does not.
    pub fn closes_only_by_sum(self, end: &End) -> bool {
        let window = self.assessment.pair(end).window;
        let closes = end.margin(&window).is_some_and(|margin| margin.value() >= -HAIR);
        closes && end.statistical_margin(&window).is_some_and(|margin| margin.value() < -HAIR)
    }

    /// Whether the worst case closes but does not keep the reserve.
    pub fn eats_reserve(self, end: &End) -> bool {
        let reserve = self.plan.assumptions.reserve.value();
        let margin = end.margin(&self.assessment.pair(end).window).map(Decibels::value);
        margin.is_some_and(|margin| margin >= -HAIR && margin < reserve - HAIR)
    }

    /// Whether an end may get too much light.
    pub fn overloads(self, end: &End) -> bool {
        let headroom = end.headroom(&self.assessment.pair(end).window);
        headroom.is_some_and(|headroom| headroom.value() < -HAIR)
    }

    /// Whether an end's receiver may be harmed.
    pub fn damages(self, end: &End) -> bool {
        let window = self.assessment.pair(end).window;
        match (window.launch[1], window.damage) {
            (Some(launch), Some(damage)) => {
                end.missing.is_none() && (launch - end.least) - damage > Decibels::new(1e-9)
            }
            _ => false,
        }
    }

    /// The reach that the sending optic of an end states: on single-mode fiber its own; on multimode fiber
    /// that of the grade, where the plan has no other.
    pub fn reach_of(self, end: &End) -> Option<Kilometers> {
        let pair = self.assessment.pair(end);
        if pair.fiber_kind == FiberKind::SingleMode {
            return pair.reach;
        }
        let row = self.assessment.pairs.optic(pair.transmitter)?.interface(self.tables)?;
        let fibers = self.plan.fibers.iter().filter_map(|name| self.tables.fibers.get(name));
        let mut reaches = fibers.filter_map(|fiber| row.value.reach(&fiber.key, fiber.value.kind));
        let first = reaches.next()?;
        reaches.all(|reach| reach == first).then_some(first)
    }

    /// What is missing for an end.
    pub fn missing_words(self, end: &End) -> String {
        let pair = self.assessment.pair(end);
        let optics = || {
            format!("`{}` to `{}`", self.optic_name(pair.transmitter), self.optic_name(pair.receiver))
        };
        match end.reason {
            Reason::Missing(missing) => words::missing(self.plan, missing, pair.band.nominal),
            Reason::NoWindow => {
                let cells = missing_cells::of_loss(&self, pair);
                format!("the loss that {} allows is not known{cells}", optics())
            }
            Reason::NoOverload => {
                let cells = missing_cells::of_overload(&self, pair);
                format!("the overload limit from {} is not known{cells}", optics())
            }
            Reason::DispersionUnknown => {
                let at = pair.band.nominal;
                format!(
                    "{} limit dispersion, and that of a fiber on the way is not known at {at}",
                    optics()
                )
            }
            Reason::NoReach => format!("{} states no reach for this fiber", optics()),
            _ => String::new(),
        }
    }
}

impl<'a> Ends<'a> {
    /// The end with the smallest margin; the first of equals.
    pub fn worst_by_margin(&self) -> &'a End {
        let margin = |end: &End| {
            end.margin(&self.view.assessment.pair(end).window).map_or(f64::INFINITY, Decibels::value)
        };
        self.least_by(margin)
    }

    /// The end with the smallest headroom; the first of equals.
    pub fn worst_by_headroom(&self, view: &View<'_>) -> &'a End {
        let headroom = |end: &End| {
            end.headroom(&view.assessment.pair(end).window).map_or(f64::INFINITY, Decibels::value)
        };
        self.least_by(headroom)
    }

    /// The end with the longest fiber; the first of equals.
    pub fn farthest(&self) -> &'a End {
        self.least_by(|end| -end.length.value())
    }

    fn least_by(&self, measure: impl Fn(&End) -> f64) -> &'a End {
        let first = self.ends[0];
        self.ends.iter().copied().fold(
            first,
            |best, end| {
                if measure(end) < measure(best) { end } else { best }
            },
        )
    }

    /// How many ends of how many: `3 of 32 ends downstream`, `1 of 2 ends` of a link.
    pub fn count_words(&self) -> String {
        match self.group.kind {
            GroupKind::Link => format!("{} of {} ends", self.ends.len(), self.group.ends.len()),
            GroupKind::Pon => {
                format!("{} of {} ends {}", self.ends.len(), self.group.served, self.direction.word())
            }
        }
    }

    /// `s` behind a verb that goes with one end, nothing behind one that goes with several.
    pub fn third_person(&self) -> &'static str {
        if self.ends.len() == 1 { "s" } else { "" }
    }

    /// A hit of a rule that speaks for these ends and names one of them: where that one's home or port is
    /// stated.
    pub fn hit_at(&self, named: &End, rule: &'static Rule, message: String) -> Finding {
        let upstream = named.direction == Direction::Upstream;
        let port = if upstream { named.transmitter } else { named.receiver };
        Finding { origin: self.view.port_origin(port), ..self.hit(rule, message) }
    }

    /// A hit of a rule that speaks for these ends.
    pub fn hit(&self, rule: &'static Rule, message: String) -> Finding {
        let end = self.ends[0];
        let subject = match self.group.kind {
            GroupKind::Pon => self.view.port_name(self.group.port).to_string(),
            GroupKind::Link => {
                let far = self.group.far_port.unwrap_or(self.group.port);
                format!("{} to {}", self.view.port_name(self.group.port), self.view.port_name(far))
            }
        };
        let finding = rule.hit(self.view.port_origin(end.receiver), subject, message);
        let about = About { ends: self.indices.clone(), ..About::default() };
        Finding { about: Box::new(about), ..finding }
    }
}
