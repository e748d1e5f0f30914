//! From a step of the walk to the parts it costs.
//!
//! Who pays for the joint at a point: a coupling that fiber runs through (a panel position, a splice) is
//! paid once, when light goes on from it; the joint of a device or a port is paid by the span that meets
//! it; two devices joined directly are paid by the direct joint. The rule is the same from either side,
//! so a path costs the same in both directions.

use super::at_wavelength::{AtWavelength, Missing};
use super::statistics::MeanNumber;
use super::{Chance, ElementRef, Part, PartKind, RowRef, Sums, TableName};
use crate::plan::{EndConnectors, JointKind, JointUse, PointRef, Span, TapLeg};
use crate::plant::{Link, Trace, Visit, is_port, runs_through};
use crate::tables::{LossFigures, ShapeKind, SplitterType};
use crate::units::{Decibels, Kilometers, PsPerNmKm};

/// What a step yields: a part, or the datum that is missing for it.
pub(crate) type Step = Result<Part, Missing>;

impl AtWavelength<'_> {
    /// Every part of the path from the start of a trace to one of its visits, path-wide allowances
    /// last.
    pub fn parts(&self, trace: &Trace, visit: u32) -> Vec<Result<Part, Missing>> {
        let mut parts = Vec::new();
        let mut outside = Kilometers::ZERO;
        for at in trace.path_to(visit).into_iter().skip(1) {
            self.step(trace, at, &mut |step| parts.push(step));
            outside += self.outside_length(&trace.visits[at as usize]);
        }
        self.path_wide(outside, &mut |step| parts.push(step));
        parts
    }

    /// The rows of tables that light meets from the start of a trace to one of its visits, sorted.
    pub fn rows_on(&self, trace: &Trace, visit: u32) -> Vec<RowRef> {
        let alone = self.with_no_row_met();
        let mut sums = Sums::default();
        for at in trace.path_to(visit).into_iter().skip(1) {
            alone.add_step(trace, at, &mut sums);
        }
        alone.path_wide(sums.outside, &mut |step| {
            if let Ok(part) = step {
                alone.meet(&part);
            }
        });
        alone.rows_met().rows().collect()
    }

    /// The parts between a visit and its parent.
    pub(crate) fn step(&self, trace: &Trace, visit: u32, emit: &mut impl FnMut(Step)) {
        let to = &trace.visits[visit as usize];
        let from = &trace.visits[to.parent as usize];
        let Some(link) = to.link else { return };
        if link.is_internal() {
            emit(self.device(link));
            return;
        }
        self.leave(from, link, emit);
        match link {
            Link::Span(index) => {
                self.span(index, emit);
                // A coupling that the fiber runs through is paid when light goes on.
                if !runs_through(to.point) {
                    self.joint_at(to.point, emit);
                }
            }
            Link::Direct(index) => self.direct(index, emit),
            _ => {}
        }
    }

    /// Adds a step to running sums.
    pub(crate) fn add_step(&self, trace: &Trace, visit: u32, sums: &mut Sums) {
        self.step(trace, visit, &mut |step| match step {
            Ok(part) => {
                self.meet(&part);
                sums.add(&part);
            }
            Err(missing) => sums.missing = sums.missing.or(Some(missing)),
        });
        if let Some(Link::Span(index)) = trace.visits[visit as usize].link {
            self.add_span_lengths(&self.plan.spans[index as usize], sums);
        }
    }

    fn add_span_lengths(&self, span: &Span, sums: &mut Sums) {
        self.meet_fiber(span.fiber);
        sums.length += span.length;
        if span.outside {
            sums.outside += span.length;
        }
        sums.fibers |= 1u64.checked_shl(u32::from(span.fiber)).unwrap_or(0);
        match self.dispersion.get(usize::from(span.fiber)).copied().flatten() {
            Some((low, high)) => {
                let of = |d: PsPerNmKm| d * span.length;
                sums.dispersion.0 += of(low);
                sums.dispersion.1 += of(high);
            }
            None => sums.dispersion_known = false,
        }
    }

    /// Length of each fiber type from the start of a trace to one of its visits.
    pub fn fiber_lengths(&self, trace: &Trace, visit: u32) -> Vec<(u16, Kilometers)> {
        let mut lengths: Vec<(u16, Kilometers)> = Vec::new();
        for at in trace.path_to(visit) {
            let Some(Link::Span(index)) = trace.visits[at as usize].link else { continue };
            let span = &self.plan.spans[index as usize];
            match lengths.iter_mut().find(|(fiber, _)| *fiber == span.fiber) {
                Some((_, length)) => *length += span.length,
                None => lengths.push((span.fiber, span.length)),
            }
        }
        lengths
    }

    fn outside_length(&self, visit: &Visit) -> Kilometers {
        match visit.link {
            Some(Link::Span(index)) if self.plan.spans[index as usize].outside => {
                self.plan.spans[index as usize].length
            }
            _ => Kilometers::ZERO,
        }
    }

    /// What it costs to leave a point to the outside: the coupling that light runs through, the change
    /// of fiber there, or the joint between a device or a port and its span.
    fn leave(&self, from: &Visit, link: Link, emit: &mut impl FnMut(Step)) {
        if runs_through(from.point) {
            self.joint_at(from.point, emit);
            if let (Some(Link::Span(before)), Link::Span(after)) = (from.link, link) {
                self.transition(from.point, before, after, emit);
            }
        } else if matches!(link, Link::Span(_)) {
            self.joint_at(from.point, emit);
        }
    }

    fn transition(&self, point: PointRef, before: u32, after: u32, emit: &mut impl FnMut(Step)) {
        let fiber = |span: u32| self.plan.spans[span as usize].fiber;
        let pair = (fiber(before), fiber(after));
        if pair.0 == pair.1 {
            return;
        }
        if let Some(&(figures, rows)) = self.transitions.get(&pair)
            && figures.most > Decibels::ZERO
        {
            let part = Part::single(PartKind::Transition, ElementRef::Point(point), figures);
            emit(Ok(Part { rows, ..part }));
        }
    }

    /// The joint at a connection point.
    fn joint_at(&self, point: PointRef, emit: &mut impl FnMut(Step)) {
        if is_port(point) && self.plan.assumptions.end_connectors == EndConnectors::Excluded {
            return;
        }
        let (joint, measured) = self.plan.joint_at(point);
        let element = ElementRef::Point(point);
        if self.has_its_connectors(point, joint) {
            let part = Part::single(PartKind::Joint, element, LossFigures::ZERO);
            emit(Ok(Part { joint: Some(joint), ..part }));
            return;
        }
        if let Some(figures) = self.measured(measured) {
            let part = Part::single(PartKind::Joint, element, figures);
            emit(Ok(Part { joint: Some(joint), ..part }));
        } else {
            self.joint_part(PartKind::Joint, element, joint, 1, emit);
        }
    }

    /// Whether the figures of a splitter hold with its connectors mated.
    fn has_its_connectors(&self, point: PointRef, joint: JointUse) -> bool {
        let (PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. }) = point
        else {
            return false;
        };
        let row = self.splitters.get(&*self.plan.splitters[splitter as usize].kind);
        let connector = self.plan.joint_kinds.get(usize::from(joint.0));
        matches!(connector, Some(JointKind::Connector { .. }))
            && row.is_some_and(|(_, row)| self.tables.splitters.row(*row).value.with_connectors)
    }

    fn direct(&self, index: u32, emit: &mut impl FnMut(Step)) {
        let joint = self.plan.joints[index as usize].joint;
        self.joint_part(PartKind::DirectJoint, ElementRef::Direct(index), joint, 1, emit);
    }

    fn joint_part(
        &self,
        kind: PartKind,
        element: ElementRef,
        joint: JointUse,
        count: u32,
        emit: &mut impl FnMut(Step),
    ) {
        let Some((figures, rows)) = self.joint(joint) else {
            emit(Err(Missing::Joint(joint.0)));
            return;
        };
        // A joint without loss may still reflect; only where there is none is there no part.
        let is_one = self.plan.joint_kinds.get(usize::from(joint.0)) != Some(&JointKind::None);
        if count > 0 && is_one {
            let part = Part::single(kind, element, figures);
            let chance = self.dirt.get(usize::from(joint.0)).copied().flatten().map(Chance::Dirt);
            emit(Ok(Part { count, rows, joint: Some(joint), chance, ..part }));
        }
    }

    fn span(&self, index: u32, emit: &mut impl FnMut(Step)) {
        let span = &self.plan.spans[index as usize];
        let element = ElementRef::Span(index);
        // Below its cut-off a fiber carries more than one mode: a measured loss does not mend that.
        if self.usable.get(usize::from(span.fiber)) == Some(&false) {
            emit(Err(Missing::FiberBand(span.fiber)));
            return;
        }
        if let Some(figures) = self.measured(span.measured) {
            let part = Part::single(PartKind::MeasuredSpan, element, figures);
            emit(Ok(Part { length: span.length, ..part }));
            return;
        }
        // Where along the span its joints are is not known; for what comes back, near the sender is the
        // worst, so they stand before the fiber.
        let connectors = u32::from(span.connectors);
        self.joint_part(PartKind::Connectors, element, span.connector, connectors, emit);
        self.splices(element, span, emit);
        match self.fibers.get(usize::from(span.fiber)).copied().flatten() {
            Some(found) => emit(Ok(fiber_part(element, span, found))),
            None => emit(Err(Missing::Attenuation(span.fiber))),
        }
    }

    /// Splices along a span: counted, or by their loss for each kilometer, beside which only those of
    /// repairs are counted.
    fn splices(&self, element: ElementRef, span: &Span, emit: &mut impl FnMut(Step)) {
        let (kind, count) = (PartKind::Splices, u32::from(span.splices));
        let by_length = matches!(
            self.plan.joint_kinds.get(usize::from(span.splice.0)),
            Some(JointKind::SplicesPerKilometer(_))
        );
        if !by_length {
            self.joint_part(kind, element, span.splice, count, emit);
            return;
        }
        let Some((per_km, rows)) = self.joint(span.splice) else {
            emit(Err(Missing::Joint(span.splice.0)));
            return;
        };
        let part = Part::single(kind, element, per_km.over(span.length));
        emit(Ok(Part { length: span.length, rows, joint: Some(span.splice), ..part }));
        if let Some((figures, rows)) = self.repair_splice
            && count > 0
        {
            emit(Ok(Part { count, rows, ..Part::single(kind, element, figures) }));
        }
    }

    fn device(&self, link: Link) -> Step {
        match link {
            Link::Splitter { splitter, leg } => self.splitter(splitter, leg),
            Link::Tap { tap, leg } => self.tap(tap, leg),
            Link::Wdm { element, leg } => {
                let (figures, row) = self.wdm_leg(element, leg).ok_or(Missing::Wdm(element))?;
                let point = ElementRef::Point(PointRef::WdmLeg { element, leg });
                Ok(Part::single(PartKind::Wdm, point, figures)
                    .with_row(TableName::WdmElements, Some(row)))
            }
            Link::Attenuator(attenuator) => Ok(self.attenuator(attenuator)),
            Link::Span(_) | Link::Direct(_) => {
                Ok(Part::single(PartKind::Joint, ElementRef::Path, LossFigures::ZERO))
            }
        }
    }

    fn splitter(&self, splitter: u32, leg: u16) -> Step {
        let device = &self.plan.splitters[splitter as usize];
        let element = ElementRef::Point(PointRef::SplitterLeg { splitter, leg });
        let unavoidable = SplitterType::ideal(device.legs);
        if let Some(figures) = self.measured(device.measured) {
            return Ok(Part { unavoidable, ..Part::single(PartKind::Splitter, element, figures) });
        }
        let &(figures, row) = self.splitters.get(&*device.kind).ok_or(Missing::Splitter(splitter))?;
        if !self.within(self.tables.splitters.row(row).value.band) {
            return Err(Missing::SplitterBand(splitter));
        }
        let part = Part::single(PartKind::Splitter, element, figures);
        Ok(Part { unavoidable, ..part }.with_row(TableName::Splitters, Some(row)))
    }

    fn tap(&self, tap: u32, leg: TapLeg) -> Step {
        let device = &self.plan.taps[tap as usize];
        let id = self.tables.taps.find(&device.kind).ok_or(Missing::Tap(tap))?;
        let row = &self.tables.taps.row(id).value;
        if !self.within(row.band) {
            return Err(Missing::TapBand(tap));
        }
        let share = row.tap_share.fraction();
        let (figures, passed) =
            if leg == TapLeg::Tap { (row.tap, share) } else { (row.through, 1.0 - share) };
        let element = ElementRef::Point(PointRef::Tap { tap, leg });
        let unavoidable = Decibels::from_transmission(passed);
        let part = Part::single(PartKind::Tap, element, figures);
        Ok(Part { unavoidable, ..part }.with_row(TableName::Taps, Some(id)))
    }

    fn attenuator(&self, attenuator: u32) -> Part {
        let device = &self.plan.attenuators[attenuator as usize];
        let figures = LossFigures {
            least: (device.loss - device.tolerance).max(Decibels::ZERO),
            typical: device.loss,
            most: device.loss + device.tolerance,
            // Nothing is known of where within its tolerance an attenuator lies: uniform.
            spread: device.tolerance * (1.0 / 3f64.sqrt()),
            shape: ShapeKind::Uniform,
        };
        let element = ElementRef::Point(PointRef::Attenuator { attenuator, far: true });
        Part { unavoidable: device.loss, ..Part::single(PartKind::Attenuator, element, figures) }
    }

    /// The allowances that belong to a path as a whole. On the first day none of them is there, so
    /// their least loss is zero.
    pub(crate) fn path_wide(&self, outside: Kilometers, emit: &mut impl FnMut(Step)) {
        let allowances = &self.plan.assumptions.allowances;
        if let Some(repair) = allowances.repair {
            let stretches = (outside.value() / repair.per.value().max(1e-6) - 1e-9).ceil().max(0.0);
            let count = (stretches as u32).saturating_mul(repair.splices);
            if let Some((figures, rows)) = self.repair_splice
                && count > 0
            {
                let each = LossFigures { least: Decibels::ZERO, ..figures };
                let part = Part::single(PartKind::Repair, ElementRef::Path, each);
                let chance = repair.is_random.then(|| {
                    let mean = outside.value() / repair.per.value().max(1e-6);
                    Some(Chance::Events { mean: MeanNumber::new(mean)?, draws: repair.splices })
                });
                let chance = chance.flatten();
                emit(Ok(Part { count, rows, length: outside, chance, ..part }));
            }
        }
        let constant =
            |loss: Decibels| LossFigures { least: Decibels::ZERO, ..LossFigures::fixed(loss) };
        let temperature = allowances.temperature * outside;
        if temperature > Decibels::ZERO {
            let part = Part::single(PartKind::Temperature, ElementRef::Path, constant(temperature));
            emit(Ok(Part { length: outside, ..part }));
        }
        if allowances.ageing > Decibels::ZERO {
            emit(Ok(Part::single(PartKind::Ageing, ElementRef::Path, constant(allowances.ageing))));
        }
    }
}

/// Fiber of a span. The attenuations of its reels vary independently, so the spread of the whole
/// is that of one reel length times the root of their number.
fn fiber_part(element: ElementRef, span: &Span, found: (LossFigures, [Option<RowRef>; 2])) -> Part {
    let (per_km, rows) = found;
    let km = span.length.value();
    let reels = f64::from(span.reels.max(1));
    let each = LossFigures {
        least: per_km.least * km,
        typical: per_km.typical * km,
        most: per_km.most * km,
        spread: per_km.spread * (km / reels.sqrt()),
        shape: per_km.shape,
    };
    // What the fiber loses on the mean nobody can save; only the rest decides.
    Part {
        length: span.length,
        unavoidable: each.typical,
        rows,
        ..Part::single(PartKind::Fiber, element, each)
    }
}
