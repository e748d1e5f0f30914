//! Walks of light for rules that ask where it goes: tables are looked up once per wavelength.

use super::view::View;
use crate::loss::AtWavelength;
use crate::plan::PointRef;
use crate::plant::{Trace, Tracer};
use crate::tables::Band;

/// Memory and look-ups that walks share.
pub struct Walks<'a> {
    view: View<'a>,
    tracer: Tracer,
    wavelengths: Vec<AtWavelength<'a>>,
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

    fn at(&mut self, band: Band) -> usize {
        let known = self.wavelengths.iter().position(|at| at.band == band);
        known.unwrap_or_else(|| {
            self.wavelengths.push(AtWavelength::new(self.view.plan, self.view.tables, band));
            self.wavelengths.len() - 1
        })
    }
}
