//! Walks of light for rules that ask where it goes: tables are looked up once per wavelength.

use rustc_hash::FxHashMap;

use super::view::View;
use crate::budget::End;
use crate::loss::multipath::Reflector;
use crate::loss::{AtWavelength, ElementRef, Sums};
use crate::plan::PointRef;
use crate::plant::{Link, Trace, Tracer, is_port};
use crate::tables::Band;
use crate::units::{Decibels, Kilometers};

/// Memory and look-ups that walks share.
pub struct Walks<'a> {
    view: View<'a>,
    tracer: Tracer,
    wavelengths: Vec<AtWavelength<'a>>,
}

/// Light of an end on its way through a wdm element.
#[derive(Debug, Clone, Copy)]
pub struct Crossing {
    /// The element.
    pub element: u32,
    /// The leg that it takes.
    pub leg: u16,
    /// Whether it comes in by the common port and goes out by the leg.
    pub is_parted: bool,
    /// What it lost before.
    pub before: Sums,
}

impl<'a> Walks<'a> {
    /// Walks through a judged plan.
    pub fn new(view: View<'a>) -> Self {
        Self { view, tracer: Tracer::new(view.plant), wavelengths: Vec::new() }
    }

    /// Where light of a band from a port goes; `None` when nothing is attached to the port.
    pub fn from(&mut self, port: u32, band: Band) -> Option<Trace> {
        let starts = [PointRef::Port(port), PointRef::PortTransmit(port)];
        let start = starts.into_iter().find(|point| self.view.plant.is_attached(*point))?;
        let at = self.at(band);
        let (at, tracer) = (&self.wavelengths[at], &mut self.tracer);
        Some(self.view.plant.trace(start, |element, leg| at.passes(element, leg), tracer))
    }

    /// Whether a leg of a wdm element passes a band.
    pub fn passes(&mut self, band: Band, element: u32, leg: u16) -> bool {
        let at = self.at(band);
        self.wavelengths[at].passes(element, leg)
    }

    /// The wdm elements that the light of an end crosses.
    pub fn crossings(&mut self, end: &End) -> Vec<Crossing> {
        let band = self.view.assessment.pair(end).band;
        let Some(trace) = self.from(end.transmitter, band) else { return Vec::new() };
        let arrival = arrival(&trace, end);
        let at = self.at(band);
        let at = &self.wavelengths[at];
        let (mut crossings, mut before) = (Vec::new(), Sums::default());
        for visit in arrival.map_or_else(Vec::new, |arrival| trace.path_to(arrival)) {
            let here = &trace.visits[visit as usize];
            if let Some(Link::Wdm { element, leg }) = here.link {
                let is_parted = matches!(here.point, PointRef::WdmLeg { .. });
                crossings.push(Crossing { element, leg, is_parted, before });
            }
            at.add_step(&trace, visit, &mut before);
        }
        crossings
    }

    /// What throws light back on the way of an end.
    pub fn reflectors(&mut self, end: &End) -> Vec<Reflector> {
        let band = self.view.assessment.pair(end).band;
        let Some(trace) = self.from(end.transmitter, band) else { return Vec::new() };
        let at = self.at(band);
        let arrival = arrival(&trace, end);
        arrival.map_or_else(Vec::new, |arrival| self.wavelengths[at].reflectors(&trace, arrival))
    }

    /// Length of each fiber type on the way of an end.
    pub fn fiber_lengths(&mut self, end: &End) -> Vec<(u16, Kilometers)> {
        let band = self.view.assessment.pair(end).band;
        let Some(trace) = self.from(end.transmitter, band) else { return Vec::new() };
        let at = self.at(band);
        let arrival = arrival(&trace, end);
        arrival.map_or_else(Vec::new, |arrival| self.wavelengths[at].fiber_lengths(&trace, arrival))
    }

    /// Whether any joint of the plan reflects more than this.
    pub fn reflects_more_than(&mut self, limit: Decibels) -> bool {
        let bands = self.view.assessment.pairs.bands.clone();
        let band = bands.into_iter().next().map(|band| self.at(band));
        band.is_some_and(|at| self.wavelengths[at].strongest_reflectance() > Some(limit))
    }

    /// The joint that reflects most on the way from a port to each port that its light reaches.
    pub fn strongest_reflections(
        &mut self,
        port: u32,
        band: Band,
    ) -> FxHashMap<u32, (Decibels, ElementRef)> {
        let Some(trace) = self.from(port, band) else { return FxHashMap::default() };
        let at = self.at(band);
        let strongest = self.wavelengths[at].strongest_on_the_way(&trace);
        let visits = trace.visits.iter().zip(strongest).filter(|(visit, _)| is_port(visit.point));
        let port = |point| match point {
            PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => {
                Some(port)
            }
            _ => None,
        };
        visits.filter_map(|(visit, joint)| Some((port(visit.point)?, joint?))).collect()
    }

    fn at(&mut self, band: Band) -> usize {
        let known = self.wavelengths.iter().position(|at| at.band == band);
        known.unwrap_or_else(|| {
            self.wavelengths.push(AtWavelength::new(self.view.plan, self.view.tables, band));
            self.wavelengths.len() - 1
        })
    }
}

/// The visit of the port that an end's light arrives at.
fn arrival(trace: &Trace, end: &End) -> Option<u32> {
    let arrives = [PointRef::Port(end.receiver), PointRef::PortReceive(end.receiver)];
    trace.visits.iter().position(|visit| arrives.contains(&visit.point)).map(|index| index as u32)
}
