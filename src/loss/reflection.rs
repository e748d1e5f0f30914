//! Light that comes back: reflections at joints and Rayleigh backscatter, seen from a port.
//!
//! P_back/P_in = Σ r_i T_i² over events + Σ (S α_s / 2α) (1 - exp(-2αL)) T_j² over fiber sections,
//! with T the one-way transmission from the port to the event (textbook form of the optical return
//! loss of a link). Mean losses are used: the sum is dominated by what lies near.

use super::{AtWavelength, ElementRef, Part, PartKind};
use crate::plan::{JointKind, JointUse, PointRef};
use crate::plant::Trace;
use crate::units::{Decibels, DecibelsPerKilometer, Kilometers};

/// Speed of light in vacuum, m/s (exact).
const LIGHT: f64 = 299_792_458.0;

/// What comes back, as linear fractions of the light sent.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reflections {
    discrete: f64,
    backscatter: f64,
    /// Events whose reflectance no table gives.
    pub unknown: u32,
}

impl Reflections {
    /// Return loss of the discrete events alone; `None` when nothing reflects.
    pub fn discrete(&self) -> Option<Decibels> {
        (self.discrete > 0.0).then(|| Decibels::from_transmission(self.discrete))
    }

    /// Return loss of events and backscatter together; `None` when nothing comes back.
    pub fn total(&self) -> Option<Decibels> {
        let sum = self.discrete + self.backscatter;
        (sum > 0.0).then(|| Decibels::from_transmission(sum))
    }

    /// Adds an event of a reflectance (negative dB) behind a one-way loss.
    pub fn add_event(&mut self, reflectance: Decibels, before: Decibels) {
        self.discrete += 10f64.powf(reflectance.value() / 10.0) * before.transmission().powi(2);
    }

    /// Adds the backscatter of a fiber section behind a one-way loss.
    ///
    /// `constant` is the backscatter constant for a 1 ns pulse in dB (negative).
    pub fn add_section(
        &mut self,
        per_km: DecibelsPerKilometer,
        length: Kilometers,
        constant: Decibels,
        group_index: f64,
        before: Decibels,
    ) {
        let section = section(per_km, length, constant, group_index);
        self.backscatter += section * before.transmission().powi(2);
    }
}

/// Backscatter capture S α_s per meter of a fiber whose OTDR constant for a 1 ns pulse is `constant`.
pub fn backscatter_per_meter(constant: Decibels, group_index: f64) -> f64 {
    10f64.powf(constant.value() / 10.0) / (LIGHT / group_index / 2.0 * 1e-9)
}

/// The return loss of a plain stretch of fiber.
pub fn fiber_only_return(
    per_km: DecibelsPerKilometer,
    length: Kilometers,
    constant: Decibels,
    group_index: f64,
) -> Decibels {
    Decibels::from_transmission(section(per_km, length, constant, group_index))
}

fn section(per_km: DecibelsPerKilometer, length: Kilometers, constant: Decibels, index: f64) -> f64 {
    let nepers_per_meter = per_km.value() / 1000.0 * std::f64::consts::LN_10 / 10.0;
    let capture = backscatter_per_meter(constant, index);
    let twice = 2.0 * nepers_per_meter * length.meters();
    if twice <= 0.0 {
        return capture * length.meters();
    }
    capture / (2.0 * nepers_per_meter) * -(-twice).exp_m1()
}

impl AtWavelength<'_> {
    /// What comes back to the start of a trace from every point that its light reaches.
    pub fn reflections(&self, trace: &Trace) -> Reflections {
        let mut result = Reflections::default();
        let mut reached = vec![Decibels::ZERO; trace.visits.len()];
        let mut goes_on = vec![false; trace.visits.len()];
        trace.visits.iter().skip(1).for_each(|visit| goes_on[visit.parent as usize] = true);
        // A splitter throws light back once, however many legs it has.
        let mut split = vec![false; trace.visits.len()];
        for visit in 1..trace.visits.len() as u32 {
            let mut loss = reached[trace.visits[visit as usize].parent as usize];
            self.step(trace, visit, &mut |step| {
                if let Ok(part) = step {
                    let parent = trace.visits[visit as usize].parent as usize;
                    let again =
                        part.kind == PartKind::Splitter && std::mem::replace(&mut split[parent], true);
                    if !again {
                        self.reflect(&part, loss, &mut result);
                    }
                    loss += part.total().typical;
                }
            });
            if !goes_on[visit as usize] {
                self.open_end(trace.visits[visit as usize].point, loss, &mut result);
            }
            reached[visit as usize] = loss;
        }
        result
    }

    /// A connector that nothing is plugged into throws back what its end face does: a free leg, a position
    /// that is not patched on, a port without an optic. A bare fiber end throws back next to nothing: it is
    /// broken, not polished.
    fn open_end(&self, point: PointRef, before: Decibels, result: &mut Reflections) {
        if let PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) = point
            && self.plan.ports[port as usize].optics.is_some()
        {
            return;
        }
        let JointUse(joint) = self.plan.joint_at(point).0;
        let Some(JointKind::Connector { .. }) = self.plan.joint_kinds.get(usize::from(joint)) else {
            return;
        };
        match self.open_ends.get(usize::from(joint)).copied().flatten() {
            Some(reflectance) => result.add_event(reflectance, before),
            None => result.unknown += 1,
        }
    }

    /// The strongest reflectance of any joint kind of the plan.
    pub(crate) fn strongest_reflectance(&self) -> Option<Decibels> {
        self.reflectances.iter().copied().flatten().reduce(Decibels::max)
    }

    /// For every visit of a trace the joint that reflects most on the way to it, as far as that is known.
    pub(crate) fn strongest_on_the_way(&self, trace: &Trace) -> Vec<Option<(Decibels, ElementRef)>> {
        let mut strongest = vec![None; trace.visits.len()];
        for visit in 1..trace.visits.len() as u32 {
            let mut here: Option<(Decibels, ElementRef)> =
                strongest[trace.visits[visit as usize].parent as usize];
            self.step(trace, visit, &mut |step| {
                let Ok(Part { joint: Some(JointUse(joint)), element, .. }) = step else { return };
                let seen = self.reflectances.get(usize::from(joint)).copied().flatten();
                if let Some(seen) = seen.filter(|seen| here.is_none_or(|(most, _)| *seen > most)) {
                    here = Some((seen, element));
                }
            });
            strongest[visit as usize] = here;
        }
        strongest
    }

    /// What comes back to a visit from the points between it and the start of the trace, given what
    /// comes back to its parent: a splitter shows its other legs to nobody below it.
    pub(crate) fn reflections_back(
        &self,
        trace: &Trace,
        visit: u32,
        parent: Reflections,
    ) -> Reflections {
        let mut result = parent;
        let mut pass = |part: &Part| {
            let passed = part.total().typical.transmission().powi(2);
            result.discrete *= passed;
            result.backscatter *= passed;
            self.reflect(part, Decibels::ZERO, &mut result);
        };
        // Joints counted on a span are taken near whoever sends: from here, behind its fiber.
        let mut counted: Vec<Part> = Vec::new();
        self.step(trace, visit, &mut |step| match step {
            Ok(part) if matches!(part.kind, PartKind::Connectors | PartKind::Splices) => {
                counted.push(part)
            }
            Ok(part) => {
                pass(&part);
                if part.kind == PartKind::Fiber {
                    counted.drain(..).for_each(|part| pass(&part));
                }
            }
            Err(_) => {}
        });
        result
    }

    fn reflect(&self, part: &Part, before: Decibels, result: &mut Reflections) {
        match part.kind {
            PartKind::Fiber | PartKind::MeasuredSpan => self.reflect_fiber(part, before, result),
            PartKind::Joint | PartKind::DirectJoint | PartKind::Splices | PartKind::Connectors => {
                let reflectance = part
                    .joint
                    .and_then(|joint| self.reflectances.get(usize::from(joint.0)).copied().flatten());
                match reflectance {
                    Some(reflectance) => {
                        (0..part.count).for_each(|_| result.add_event(reflectance, before));
                    }
                    None => result.unknown += part.count,
                }
            }
            PartKind::Splitter => {
                let row = part.rows[0].map(|row| &self.tables.splitters.row(row.row).value);
                if let Some(return_loss) = row.and_then(|row| row.return_loss) {
                    result.add_event(-return_loss, before);
                }
            }
            _ => {}
        }
    }

    fn reflect_fiber(&self, part: &Part, before: Decibels, result: &mut Reflections) {
        let ElementRef::Span(index) = part.element else { return };
        let fiber = usize::from(self.plan.spans[index as usize].fiber);
        if let Some((constant, group_index)) = self.backscatters.get(fiber).copied().flatten() {
            let km = part.length.value().max(1e-9);
            let per_km = DecibelsPerKilometer::new(part.each.typical.value() / km);
            result.add_section(per_km, part.length, constant, group_index, before);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Check values of the formula computed apart with a high-precision library: 0.20 dB/km,
    /// constant -82 dB, group index 1.4682.
    #[test]
    fn fiber_alone_returns_about_32_db() {
        let at = |km: f64| {
            let per_km = DecibelsPerKilometer::new(0.20);
            fiber_only_return(per_km, Kilometers::new(km), Decibels::new(-82.0), 1.4682).value()
        };
        approx::assert_abs_diff_eq!(at(1.0), 42.288_519_927_1, epsilon = 1e-8);
        approx::assert_abs_diff_eq!(at(20.0), 32.482_215_349_9, epsilon = 1e-8);
        approx::assert_abs_diff_eq!(at(50.0), 31.776_459_729_6, epsilon = 1e-8);
    }

    /// Two events of -26 dB with nothing between: 22.99 dB; an open end behind a 17.2 dB splitter
    /// comes back 49.1 dB down (plain arithmetic).
    #[test]
    fn events_add_and_splitters_hide() {
        let mut two = Reflections::default();
        two.add_event(Decibels::new(-26.0), Decibels::ZERO);
        two.add_event(Decibels::new(-26.0), Decibels::ZERO);
        approx::assert_abs_diff_eq!(two.discrete().unwrap().value(), 22.989_700_043_4, epsilon = 1e-9);
        let mut hidden = Reflections::default();
        hidden.add_event(Decibels::new(-14.7), Decibels::new(17.2));
        approx::assert_abs_diff_eq!(hidden.discrete().unwrap().value(), 49.1, epsilon = 1e-9);
    }
}
