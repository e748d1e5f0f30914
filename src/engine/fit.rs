//! The answer to "does this optic belong here?", for one port of a judged plan.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::{Judged, own_ends};
use crate::budget::{DarkPort, Direction, End, Group, GroupKind, Reason, Verdict};
use crate::check::budget_rules::{dispersion, no_light, over_loss, overload, unknown};
use crate::check::fit_rules::{
    MATING_RULES, Outcome, PAIR_RULES, SIDE_RULES, not_optical, unknown_optic,
};
use crate::check::plan_facts::{self, Judgement};
use crate::check::plan_matings::Matings;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Severity};
use crate::fit::cage::{Caged, caged};
use crate::fit::facts::{Side, Way};
use crate::place::Origin;
use crate::units::Decibels;

/// Whether to plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Go {
    /// Everything that could be judged speaks for it.
    Go,
    /// Nothing speaks against it, but a datum is missing without which nothing can be promised.
    CannotJudge,
    /// Something speaks against it.
    NoGo,
}

impl Go {
    /// The words that stand in results.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::CannotJudge => "CANNOT JUDGE",
            Self::NoGo => "NO-GO",
        }
    }
}

/// A datum that nobody stated, and the rules that would have asked for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotChecked {
    /// The datum.
    pub datum: &'static str,
    /// The ports it is missing of; empty where it belongs to the way.
    pub of: Vec<String>,
    /// Ids of the rules that were not asked.
    pub rules: Vec<&'static str>,
}

/// The answer for one port.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The port.
    pub port: u32,
    /// Whether to plug.
    pub go: Go,
    /// The reason, in one line.
    pub because: String,
    /// The gravest verdict of the light, where light was judged.
    pub light: Option<Verdict>,
    /// The ends that the port sends to or receives from, as indices of the assessment.
    pub ends: Vec<usize>,
    /// What speaks against it, gravest first.
    pub findings: Vec<Finding>,
    /// What was not checked.
    pub not_checked: Vec<NotChecked>,
}

impl Answer {
    /// This answer with findings from elsewhere: what the memory of the module itself shows.
    #[must_use]
    pub fn with(mut self, findings: Vec<Finding>) -> Self {
        let grave = findings.iter().find(|finding| finding.severity == Severity::Error);
        if let Some(grave) = grave.filter(|_| self.go != Go::NoGo) {
            self.go = Go::NoGo;
            self.because = reason(grave);
        }
        self.findings.extend(findings);
        self.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        self
    }
}

/// Finds what concerns a port in a judged plan.
pub struct Answers<'j> {
    judged: &'j Judged,
    by_subject: FxHashMap<&'j str, Vec<usize>>,
    groups: FxHashMap<u32, Vec<u32>>,
    onts: FxHashMap<u32, Vec<u32>>,
    matings: Matings,
    dark: FxHashMap<u32, Vec<DarkPort>>,
}

impl<'j> Answers<'j> {
    /// Prepares the answers for the ports of a plan.
    pub fn new(judged: &'j Judged) -> Self {
        let mut by_subject: FxHashMap<&str, Vec<usize>> = FxHashMap::default();
        for (index, finding) in judged.findings.iter().enumerate().filter(|(_, one)| !by_facts(one)) {
            for name in subjects(&finding.subject) {
                by_subject.entry(name).or_default().push(index);
            }
        }
        let mut groups: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
        let mut onts: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
        for (index, group) in judged.assessment.groups.iter().enumerate() {
            for port in std::iter::once(group.port).chain(group.far_port) {
                groups.entry(port).or_default().push(index as u32);
            }
            if group.kind == GroupKind::Pon {
                for end in &judged.assessment.ends[group.ends.clone()] {
                    let ont = if end.transmitter == group.port { end.receiver } else { end.transmitter };
                    let known = onts.entry(ont).or_default();
                    if known.last() != Some(&(index as u32)) {
                        known.push(index as u32);
                    }
                }
            }
        }
        let mut dark: FxHashMap<u32, Vec<DarkPort>> = FxHashMap::default();
        for one in &judged.assessment.dark {
            dark.entry(one.port).or_default().push(*one);
        }
        let matings = Matings::of(&judged.view());
        Self { judged, by_subject, groups, onts, matings, dark }
    }

    /// The PONs and links that a port belongs to.
    pub fn groups_of(&self, port: u32) -> impl Iterator<Item = &'j Group> + '_ {
        let both = [&self.groups, &self.onts];
        let indices = both.into_iter().filter_map(move |map| map.get(&port)).flatten();
        indices.map(|index| &self.judged.assessment.groups[*index as usize])
    }

    /// The answer for one port.
    pub fn of(&self, port: u32) -> Answer {
        self.with_walks(port, &mut Walks::new(self.judged.view()))
    }

    /// The answers for several ports, in their order.
    pub fn of_each(&self, ports: impl Iterator<Item = u32>) -> Vec<Answer> {
        let mut walks = Walks::new(self.judged.view());
        ports.map(|port| self.with_walks(port, &mut walks)).collect()
    }

    fn with_walks(&self, port: u32, walks: &mut Walks<'_>) -> Answer {
        let mut gathered = Gathered::default();
        let ends = self.ends_of(port);
        self.facts(port, walks, &mut gathered);
        self.found_by_light(port, &mut gathered);
        self.dark(port, &mut gathered);
        self.electrical(port, &mut gathered);
        self.dispersion(&ends, &mut gathered);
        let light = ends.iter().map(|end| self.judged.assessment.ends[*end].light).max();
        let findings = gathered.sorted();
        let (go, because) = self.verdict(port, &ends, &findings);
        let not_checked = gathered.missing.into_iter();
        let not_checked =
            not_checked.map(|(datum, (of, rules))| NotChecked { datum, of, rules }).collect();
        Answer { port, go, because, light, ends, findings, not_checked }
    }

    fn ends_of(&self, port: u32) -> Vec<usize> {
        let mut ends: Vec<usize> = Vec::new();
        for group in self.groups_of(port) {
            let mine = |index: &usize| {
                let end = &self.judged.assessment.ends[*index];
                end.transmitter == port || end.receiver == port
            };
            ends.extend(group.ends.clone().filter(mine));
        }
        ends
    }

    /// Asks every rule about facts: the port itself, what it faces, and where its cords end.
    fn facts(&self, port: u32, walks: &mut Walks<'_>, gathered: &mut Gathered) {
        let view = self.judged.view();
        let origin = view.port_origin(port);
        let optics = view.assessment.pairs.of_port(view.plan, port);
        let none = optics.is_empty().then(|| plan_facts::side(&view, port, None));
        let sides = optics.iter().map(|optic| plan_facts::side(&view, port, Some(*optic)));
        let sides: Vec<Side<'_>> = sides.chain(none).collect();
        for side in &sides {
            gathered.add(plan_facts::of_side(&view, side), side.name, true, origin);
        }
        for group in self.groups_of(port) {
            let (pairs, way) = match group.kind {
                GroupKind::Link => {
                    let way = plan_facts::link_way(&view, group, walks);
                    (plan_facts::link_sides(&view, group), way)
                }
                GroupKind::Pon => (self.pon_sides(group, port), Way::default()),
            };
            for (near, far) in &pairs {
                let subject = format!("{} to {}", near.name, far.name);
                let judged = plan_facts::of_pair(&view, (near, far), &way, true);
                gathered.add(judged, &subject, false, origin);
                if group.kind == GroupKind::Link {
                    let other = if near.name == view.port_name(port) { far } else { near };
                    gathered.add(plan_facts::of_side(&view, other), other.name, true, origin);
                }
            }
        }
        for (judgement, at) in self.matings.of_port(port) {
            gathered.add(vec![judgement], &view.plan.point_name(at), false, origin);
        }
    }

    /// The kinds of ends that face each other in a PON: of an OLT, all of them; of an ONT, its own.
    fn pon_sides(&self, group: &Group, port: u32) -> Vec<(Side<'j>, Side<'j>)> {
        let view = self.judged.view();
        let mut met = rustc_hash::FxHashSet::default();
        let mut sides = Vec::new();
        for end in &view.assessment.ends[group.ends.clone()] {
            let pair = view.assessment.pair(end);
            let fitting = view.plan.ports[end.receiver as usize].fitting;
            let concerns = port == group.port || port == end.receiver;
            if end.transmitter == group.port && concerns && met.insert((pair.receiver, fitting)) {
                let near = plan_facts::side(&view, end.transmitter, Some(pair.transmitter));
                sides.push((near, plan_facts::side(&view, end.receiver, Some(pair.receiver))));
            }
        }
        sides
    }

    /// Findings that the walk of light gave.
    fn found_by_light(&self, port: u32, gathered: &mut Gathered) {
        let view = self.judged.view();
        let mut names = vec![(view.port_name(port), true)];
        for group in self.groups_of(port) {
            let at_premises = group.kind == GroupKind::Pon && group.port != port;
            if at_premises {
                gathered.findings.extend(own_ends::findings(self.judged, group, port));
            }
            names.push((view.port_name(group.port), !at_premises));
        }
        names.extend(view.port_name(port).rsplit_once('/').map(|(slot, _)| (slot, true)));
        let mut seen = rustc_hash::FxHashSet::default();
        for (name, with_ends) in names {
            for index in self.by_subject.get(name).into_iter().flatten() {
                let finding = &self.judged.findings[*index];
                if (with_ends || !own_ends::is_of_ends(finding)) && seen.insert(*index) {
                    gathered.findings.push(finding.clone());
                }
            }
        }
    }

    /// That no light arrives, or that nobody knows the optic. The findings of the plan name one of the
    /// ports that share this fault.
    fn dark(&self, port: u32, gathered: &mut Gathered) {
        let view = self.judged.view();
        for dark in self.dark.get(&port).into_iter().flatten() {
            if view.assessment.pairs.optic(dark.optic).is_none() {
                gathered.findings.push(unknown_optic::of(&view, dark.optic, port, 1));
            } else if dark.attached {
                gathered.findings.push(no_light::of(&view, dark.optic, port, 1));
            }
        }
    }

    /// That no light comes from the module.
    fn electrical(&self, port: u32, gathered: &mut Gathered) {
        let view = self.judged.view();
        let optics = view.assessment.pairs.of_port(view.plan, port).iter();
        let electrical = optics.filter(|optic| view.assessment.pairs.electrical(**optic).is_some());
        gathered.findings.extend(electrical.map(|optic| not_optical::of(&view, *optic, port, 1)));
    }

    /// That the light was not judged by its dispersion: the interface states a limit, the fiber nothing
    /// at this wavelength.
    fn dispersion(&self, ends: &[usize], gathered: &mut Gathered) {
        let open = ends.iter().any(|end| {
            let end = &self.judged.assessment.ends[*end];
            let limited = self.judged.assessment.pair(end).dispersion.iter().any(Option::is_some);
            limited && end.dispersion.is_none() && end.missing.is_none()
        });
        if open {
            let gap = ("the dispersion of the fiber at the wavelength", dispersion::RULE.id);
            gathered.missing.insert(gap.0, (Vec::new(), vec![gap.1]));
        }
    }

    fn verdict(&self, port: u32, ends: &[usize], findings: &[Finding]) -> (Go, String) {
        let against = findings.iter().find(|finding| {
            finding.severity == Severity::Error && finding.rule.concern != Concern::Datum
        });
        if let Some(finding) = against {
            let light = self.by_light(self.worst(ends));
            let by_loss = [over_loss::RULE.id, overload::RULE.id].contains(&finding.rule.id);
            let because = if by_loss && light.0 == Go::NoGo { light.1 } else { reason(finding) };
            return (Go::NoGo, because);
        }
        if let Some(finding) = findings.iter().find(|finding| finding.rule.concern == Concern::Datum) {
            // Which datum is missing stands in the words of the finding, not in those of its rule.
            let missing = finding.rule.id == unknown::RULE.id;
            return (Go::CannotJudge, if missing { finding.message.clone() } else { reason(finding) });
        }
        if let Some(answer) = self.not_optical(port).filter(|_| ends.is_empty()) {
            return answer;
        }
        if ends.is_empty() {
            return (Go::CannotJudge, self.no_light(port).to_string());
        }
        self.by_light(self.worst(ends))
    }

    /// The end with the gravest verdict; of equals the first that is farthest beyond its limit.
    fn worst(&self, ends: &[usize]) -> Option<End> {
        let view = self.judged.view();
        let room = |end: &End| {
            let window = view.assessment.pair(end).window;
            let room = [end.margin(&window), end.headroom(&window)].into_iter().flatten();
            room.map(Decibels::value).fold(f64::INFINITY, f64::min)
        };
        let ends = ends.iter().map(|end| view.assessment.ends[*end]);
        ends.rev().max_by(|a, b| a.light.cmp(&b.light).then(room(b).total_cmp(&room(a))))
    }

    /// What the light alone says.
    fn by_light(&self, worst: Option<End>) -> (Go, String) {
        let view = self.judged.view();
        let Some(worst) = worst else { return (Go::CannotJudge, String::new()) };
        let why = match worst.direction {
            // In a list of ends an ONU names both of its directions; here the place counts.
            Direction::Upstream => {
                let (at, from) = (view.port_name(worst.receiver), view.port_name(worst.transmitter));
                format!("`{at}` from `{from}` at {}", view.assessment.pair(&worst).band.nominal)
            }
            _ => view.end_name(&worst),
        };
        match worst.light {
            Verdict::Pass => (Go::Go, "every end closes in the worst case".to_string()),
            Verdict::Marginal => (Go::Go, format!("closes, but {why} is marginal: see below")),
            Verdict::Unknown => {
                let missing = view.missing_words(&worst);
                (Go::CannotJudge, if missing.is_empty() { why } else { missing })
            }
            Verdict::Overload => {
                let window = view.assessment.pair(&worst).window;
                let over = worst.headroom(&window).map(|headroom| Decibels::ZERO - headroom);
                let over =
                    over.map_or_else(String::new, |over| format!(": {} too much", over.rounded_up()));
                (Go::NoGo, format!("too much light may arrive at {why}{over}"))
            }
            Verdict::Fail if worst.reason == Reason::OverLoss => {
                (Go::NoGo, format!("too little light may arrive at {why}: {} short", view.short(&worst)))
            }
            Verdict::Fail => (Go::NoGo, format!("{why} fails")),
        }
    }

    /// The answer for a module from which no light comes: whether its cage takes it is all that can be
    /// said.
    fn not_optical(&self, port: u32) -> Option<(Go, String)> {
        let view = self.judged.view();
        let optic = *view.assessment.pairs.of_port(view.plan, port).first()?;
        let carries = view.assessment.pairs.electrical(optic)?;
        let what = format!("`{}` is not optical ({carries})", view.optic_name(optic));
        let side = plan_facts::side(&view, port, Some(optic));
        Some(match caged(&side, view.tables) {
            Caged::Works { .. } => (Go::Go, format!("the cage takes the module; {what}")),
            Caged::NotStated(datum) => {
                (Go::CannotJudge, format!("{what}: to judge the cage, say {datum}"))
            }
            _ => (Go::CannotJudge, what),
        })
    }

    fn no_light(&self, port: u32) -> &'static str {
        if self.judged.assessment.pairs.of_port(&self.judged.plan, port).is_empty() {
            "the port has no optic"
        } else {
            "no way to a far end is stated, so nothing can be said of the light"
        }
    }
}

/// A finding in one short line: what its rule finds, and where.
fn reason(finding: &Finding) -> String {
    if finding.subject.is_empty() {
        return finding.rule.what.to_string();
    }
    format!("{} ({})", finding.rule.what, finding.subject)
}

/// Whether a finding comes from a rule that is asked anew for each port.
fn by_facts(finding: &Finding) -> bool {
    let rules = SIDE_RULES.iter().map(|one| one.rule);
    let rules = rules.chain(PAIR_RULES.iter().filter(|one| one.in_plan).map(|one| one.rule));
    let rules = rules.chain(MATING_RULES.iter().map(|one| one.rule));
    let mut rules = rules.chain([&no_light::RULE, &not_optical::RULE, &unknown_optic::RULE]);
    rules.any(|rule| std::ptr::eq(rule, finding.rule))
}

/// The names in a subject: `a`, or both of `a to b` and of `a and b`.
fn subjects(subject: &str) -> impl Iterator<Item = &str> {
    subject.split(" to ").flat_map(|part| part.split(" and ")).filter(|name| !name.is_empty())
}

/// Rules that are told first, for where they hit the others hardly matter.
const FIRST: [&str; 14] = [
    "fit.unknown-optic",
    "fit.wrong-cage",
    "fit.dead-in-cage",
    "fit.pon-port",
    "fit.card-optic",
    "fit.unlike-ends",
    "fit.rate-differs",
    "fit.modulation-differs",
    "fit.lanes-differ",
    "fit.same-side-bidi",
    "fit.breakout",
    "fit.fiber-kind",
    "fit.fiber-count",
    "fit.receiver-band",
];

/// What was gathered about one port.
#[derive(Default)]
struct Gathered {
    findings: Vec<Finding>,
    missing: BTreeMap<&'static str, (Vec<String>, Vec<&'static str>)>,
}

impl Gathered {
    /// Adds what rules said of a subject; `own` where it is a port and what is missing is missing of it.
    fn add(&mut self, judged: Vec<Judgement>, subject: &str, own: bool, origin: Origin) {
        for Judgement { rule, outcome } in judged {
            match outcome {
                Outcome::Fits | Outcome::Idle => {}
                Outcome::Missing(datum) => {
                    let (of, rules) = self.missing.entry(datum).or_default();
                    if own && !of.iter().any(|known| known == subject) {
                        of.push(subject.to_string());
                    }
                    if !rules.contains(&rule.id) {
                        rules.push(rule.id);
                    }
                }
                Outcome::Hit { message, hint } => {
                    let message = format!("`{subject}`: {message}");
                    let finding = rule.hit(origin, subject, message).hint(hint);
                    let known = self
                        .findings
                        .iter()
                        .any(|one| one.rule.id == rule.id && one.message == finding.message);
                    if !known {
                        self.findings.push(finding);
                    }
                }
            }
        }
    }

    /// Gravest first; of equals, what makes the rest pointless.
    fn sorted(&mut self) -> Vec<Finding> {
        let mut findings = std::mem::take(&mut self.findings);
        findings.sort_by_key(|finding| {
            let first = FIRST.iter().position(|id| *id == finding.rule.id).unwrap_or(FIRST.len());
            (std::cmp::Reverse(finding.severity), first)
        });
        findings
    }
}
