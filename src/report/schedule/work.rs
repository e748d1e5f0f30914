//! What all sheets draw on, gathered once.

use rustc_hash::FxHashMap;

use super::Options;
use super::sheet::Cell;
use crate::budget::{Direction, End, GroupKind, Profile, Profiles};
use crate::plan::{JointKind, JointUse, Plan, PointRef};
use crate::plant::Link;
use crate::report::document::{Document, GroupLine, group_lines};
use crate::tables::{CableTemplate, StrandAt};
use crate::units::{DecibelMilliwatts, Decibels, Kilometers};

/// Who uses a span.
#[derive(Debug, Clone, Default)]
pub(super) struct SpanUse {
    /// PONs and links, as indices into the lines.
    pub(super) lines: Vec<usize>,
    /// How many ends' ports lie behind it, over all PONs and links.
    pub(super) ends: usize,
    /// Whether two fibers run through it: a link with a fiber for each direction.
    pub(super) duplex: bool,
}

/// What is attached to a point.
#[derive(Debug, Clone, Copy)]
pub(super) enum Attached {
    /// A span, by index, with the point at its other end.
    Span(u32, PointRef),
    /// A direct joint, with the point at its other side.
    Direct(PointRef),
}

/// The document with what sheets look up again and again.
pub(super) struct Work<'d> {
    pub(super) document: &'d Document<'d>,
    pub(super) options: &'d Options,
    pub(super) lines: Vec<GroupLine<'d>>,
    pub(super) profiles: Vec<Profile>,
    pub(super) walker: Profiles<'d>,
    pub(super) spans: Vec<SpanUse>,
    attached: FxHashMap<PointRef, Vec<Attached>>,
    template: Option<&'d CableTemplate>,
    templates: Vec<Option<&'d CableTemplate>>,
}

impl<'d> Work<'d> {
    pub(super) fn new(document: &'d Document<'d>, options: &'d Options) -> Self {
        let view = document.view;
        let lines = group_lines(view);
        let walker = Profiles::new(view.plan, view.plant, view.tables, view.assessment);
        let profiles: Vec<Profile> = lines.iter().map(|line| walker.of(line.group)).collect();
        let spans = span_uses(document, &lines, &profiles);
        let named = |name: &str| view.tables.cable_templates.get(name).map(|row| &row.value);
        let of_cable = |cable: &String| {
            named(options.templates.get(cable).map_or(options.template.as_str(), String::as_str))
        };
        Self {
            document,
            options,
            lines,
            profiles,
            walker,
            spans,
            attached: attached(view.plan),
            template: named(&options.template),
            templates: view.plan.cables.iter().map(of_cable).collect(),
        }
    }

    pub(super) fn plan(&self) -> &'d Plan {
        self.document.view.plan
    }

    /// What is attached to a point, in the order of the plan.
    pub(super) fn at(&self, point: PointRef) -> &[Attached] {
        self.attached.get(&point).map_or(&[], Vec::as_slice)
    }

    /// The name of a point's place; empty when the plan states none.
    pub(super) fn place(&self, point: PointRef) -> String {
        let plan = self.plan();
        let place = plan.place_of(point).and_then(|place| plan.places.get(place as usize));
        place.map_or_else(String::new, |place| plan.names.get(place.name).to_string())
    }

    /// Tube and fiber of a strand of a span's cable; `offset` counts on for the second fiber of a pair.
    pub(super) fn strand(&self, span: u32, offset: u32) -> Option<StrandAt<'d>> {
        let span = &self.plan().spans[span as usize];
        let template = match span.cable {
            Some(cable) => self.templates.get(usize::from(cable)).copied().flatten(),
            None => self.template,
        };
        let strand = (span.strand > 0).then_some(span.strand + offset)?;
        self.document.view.tables.strand(template?, strand)
    }

    /// The name of a span's cable; empty when the plan states none.
    pub(super) fn cable(&self, span: u32) -> &'d str {
        let plan = self.plan();
        let cable = plan.spans[span as usize].cable;
        cable.and_then(|cable| plan.cables.get(usize::from(cable))).map_or("", String::as_str)
    }

    /// The PONs and links that run through a span: the first few, and how many more.
    pub(super) fn circuits(&self, span: u32) -> String {
        const NAMED: usize = 3;
        let lines = &self.spans[span as usize].lines;
        let named: Vec<String> = lines.iter().take(NAMED).map(|line| self.line_name(*line)).collect();
        match lines.len().saturating_sub(NAMED) {
            0 => named.join(", "),
            more => format!("{} and {more} more", named.join(", ")),
        }
    }

    /// `olt-1/1/1 GPON-OLT-B+`, `sw-a/1 to sw-b/1`.
    pub(super) fn line_name(&self, line: usize) -> String {
        let line = &self.lines[line];
        line.far
            .map_or_else(|| format!("{} {}", line.id, line.optic), |far| format!("{} to {far}", line.id))
    }

    /// How a joint is made, for people.
    pub(super) fn joint_kind(&self, joint: JointUse) -> Option<&'d JointKind> {
        self.plan().joint_kinds.get(usize::from(joint.0))
    }

    /// The polish at a point; empty where it is no connector.
    pub(super) fn polish(&self, point: PointRef) -> String {
        match self.joint_kind(self.plan().joint_at(point).0) {
            Some(JointKind::Connector { polish, .. }) => polish.clone(),
            Some(JointKind::Splice(_) | JointKind::SplicesPerKilometer(_)) => "splice".to_string(),
            _ => String::new(),
        }
    }

    /// A length in the long unit, three decimals.
    pub(super) fn long(&self, length: Kilometers) -> Cell {
        let value = (self.document.lengths.long(length) * 1000.0).round() / 1000.0;
        Cell::Number(value, 3)
    }

    /// A length in the short unit, one decimal.
    pub(super) fn short(&self, length: Kilometers) -> Cell {
        Cell::Number((self.document.lengths.short(length) * 10.0).round() / 10.0, 1)
    }
}

/// A margin, headroom or least loss: rounded down.
pub(super) fn down(value: Option<Decibels>) -> Cell {
    value.map_or(Cell::Empty, |value| Cell::Number(value.rounded_down().value(), 2))
}

/// A greatest loss: rounded up.
pub(super) fn up(value: Option<Decibels>) -> Cell {
    value.map_or(Cell::Empty, |value| Cell::Number(value.rounded_up().value(), 2))
}

/// A level, rounded away from what is expected: the lower end of an interval down, the upper one up.
pub(super) fn level(value: Option<DecibelMilliwatts>, upper: bool) -> Cell {
    let rounded = |value: DecibelMilliwatts| {
        let value = Decibels::new(value.value());
        if upper { value.rounded_up().value() } else { value.rounded_down().value() }
    };
    value.map_or(Cell::Empty, |value| Cell::Number(rounded(value), 2))
}

/// Points with what is attached to them.
fn attached(plan: &Plan) -> FxHashMap<PointRef, Vec<Attached>> {
    let mut attached: FxHashMap<PointRef, Vec<Attached>> = FxHashMap::default();
    for (index, span) in plan.spans.iter().enumerate() {
        let index = index as u32;
        attached.entry(span.from).or_default().push(Attached::Span(index, span.to));
        attached.entry(span.to).or_default().push(Attached::Span(index, span.from));
    }
    for joint in &plan.joints {
        attached.entry(joint.from).or_default().push(Attached::Direct(joint.to));
        attached.entry(joint.to).or_default().push(Attached::Direct(joint.from));
    }
    attached
}

/// Follows every way once and notes which spans it takes.
fn span_uses(document: &Document<'_>, lines: &[GroupLine<'_>], profiles: &[Profile]) -> Vec<SpanUse> {
    let view = document.view;
    let mut uses = vec![SpanUse::default(); view.plan.spans.len()];
    for (index, (line, profile)) in lines.iter().zip(profiles).enumerate() {
        let ends = &view.assessment.ends[line.group.ends.clone()];
        let pairwise = line.group.kind == GroupKind::Link
            && profile.shapes.len() == 1
            && ends.iter().any(|end| !view.assessment.pair(end).single_fiber);
        for (shape_index, shape) in profile.shapes.iter().enumerate() {
            let behind = ports_behind(profile, ends, shape_index as u32, shape.points.len());
            for (at, ends) in shape.points.iter().zip(behind) {
                let Some(Link::Span(span)) = at.link else { continue };
                let known = &mut uses[span as usize];
                if known.lines.last() != Some(&index) {
                    known.lines.push(index);
                }
                known.ends += ends;
                known.duplex |= pairwise;
            }
        }
    }
    uses
}

/// How many ends' ports stand at or behind each point, both directions of a port counted once.
fn ports_behind(profile: &Profile, ends: &[End], shape: u32, points: usize) -> Vec<usize> {
    let mut behind = vec![0usize; points];
    for (end, at) in ends.iter().zip(&profile.ends) {
        let Some(at) = at else { continue };
        let outward = matches!(end.direction, Direction::Downstream | Direction::AToB);
        if outward && profile.losses[at.losses as usize].shape == shape {
            behind[at.point as usize] += 1;
        }
    }
    let parents = profile.shapes[shape as usize].points.iter().map(|at| at.parent as usize);
    let parents: Vec<usize> = parents.collect();
    for index in (1..points).rev() {
        behind[parents[index]] += behind[index];
    }
    behind
}
