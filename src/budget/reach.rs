//! How far interfaces reach over the fibers of a way, and which of their limits hold there.

use super::Pair;
use super::assess::Context;
use super::walk::Beam;
use crate::loss::Sums;
use crate::tables::{Family, FiberKind, Grade};
use crate::units::Kilometers;

impl Context<'_> {
    /// Whether a path is longer than specified; `None` when no reach is known for its fiber.
    pub(super) fn beyond_reach(&self, pair: &Pair, sums: &Sums) -> Option<bool> {
        self.reach(pair, sums).map(|reach| sums.length.value() > reach.value() + 1e-9)
    }

    fn reach(&self, pair: &Pair, sums: &Sums) -> Option<Kilometers> {
        let Family::Interface(id) = self.pairs.optic(pair.transmitter)?.family else {
            return pair.reach;
        };
        let interface = &self.tables.interfaces.row(id).value;
        let reaches = self.fibers(sums).map(|fiber| {
            let row = self.tables.fibers.get(fiber)?;
            interface.reach(&row.key, row.value.kind)
        });
        reaches.reduce(|a, b| Some(a?.min(b?))).flatten()
    }

    /// Whether unlike multimode fibers one behind the other keep the reach of each by their modal bandwidth:
    /// in terms of a fiber of bandwidth B a length L of one of bandwidth B' counts as L B / B' (common practice
    /// for a laser at 850 nm: bandwidths add by their inverses).
    pub(super) fn bandwidth_suffices(&self, beam: &Beam<'_>, visit: u32, pair: u32) -> bool {
        let pair = self.pair(pair);
        let transmitter = self.pairs.optic(pair.transmitter);
        let Some(interface) = transmitter.and_then(|optic| optic.interface(self.tables)) else {
            return false;
        };
        if pair.fiber_kind != FiberKind::Multimode || pair.band.longest.value() > 900.0 {
            return false;
        }
        let known = |(fiber, length): (u16, Kilometers)| {
            let row = self.tables.fibers.get(self.plan.fibers.get(usize::from(fiber))?)?;
            let bandwidth = row.value.bandwidth_850.filter(|bandwidth| *bandwidth > 0.0)?;
            Some((interface.value.reach(&row.key, row.value.kind)?, bandwidth, length))
        };
        let lengths = beam.at.fiber_lengths(beam.trace, visit);
        let Some(fibers) = lengths.into_iter().map(known).collect::<Option<Vec<_>>>() else {
            return false;
        };
        fibers.iter().all(|(reach, bandwidth, _)| {
            let equivalent: f64 =
                fibers.iter().map(|(_, other, length)| length.value() * bandwidth / other).sum();
            equivalent <= reach.value() + 1e-9
        })
    }

    /// Whether a path is within the reach that both optics of a pair state for a grade.
    fn is_within(&self, pair: u32, grade: Grade, sums: &Sums) -> bool {
        let pair = self.pair(pair);
        [pair.transmitter, pair.receiver].into_iter().all(|optic| {
            let interface = self.pairs.optic(optic).and_then(|optic| optic.interface(self.tables));
            let reach = interface.and_then(|row| row.value.reach_multimode[grade.index()]);
            reach.is_some_and(|reach| sums.length.value() <= reach.value() + 1e-9)
        })
    }

    /// The pair whose window holds on a way: of several grades of fiber the one that allows least.
    pub(super) fn on_grades(&self, base: u32, sums: &Sums) -> u32 {
        let grades = self
            .fibers(sums)
            .map(|fiber| self.tables.fibers.get(fiber).and_then(|row| Grade::of(&row.key)));
        self.pairs.on_grades(base, grades, |grade| self.is_within(base, grade, sums))
    }
}
