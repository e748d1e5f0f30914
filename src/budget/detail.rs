//! One end, element by element.

use super::{Assessment, End};
use crate::loss::{AtWavelength, Missing, Part, Reflections, RowRef};
use crate::plan::{Plan, PointRef};
use crate::plant::{Plant, Tracer, is_port};
use crate::tables::Tables;
use crate::units::{DecibelMilliwatts, Decibels};

/// One element of the path with what has added up behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DetailLine {
    /// The element.
    pub part: Part,
    /// Least, mean and worst loss from the transmitter to behind this element.
    pub reached: [Decibels; 3],
    /// Lowest and highest level behind this element: least launch less the worst losses, greatest
    /// launch less the least losses.
    pub level: [Option<DecibelMilliwatts>; 2],
}

/// The path of one end.
#[derive(Debug, Clone, PartialEq)]
pub struct Detail {
    /// The end.
    pub end: End,
    /// Its elements from the transmitter to the receiver; allowances last.
    pub lines: Vec<DetailLine>,
    /// Data that are missing on the way.
    pub missing: Vec<Missing>,
    /// What comes back to the transmitter.
    pub reflections: Reflections,
    /// Rows of tables that the light meets on this way, sorted.
    pub rows: Vec<RowRef>,
}

/// The elements that the light of an end crosses.
///
/// The walk is made anew from the sending port, so that an upstream path reads from the ONU to the
/// OLT. `None` if light no longer gets there (it always does for an end of this assessment).
pub fn detail(
    plan: &Plan,
    plant: &Plant,
    tables: &Tables,
    assessment: &Assessment,
    end: &End,
) -> Option<Detail> {
    let pair = assessment.pair(end);
    let at = AtWavelength::new(plan, tables, pair.band);
    let sides = [PointRef::Port(end.transmitter), PointRef::PortTransmit(end.transmitter)];
    let start = sides.into_iter().find(|point| plant.is_attached(*point))?;
    let trace = plant.trace(start, |element, leg| at.passes(element, leg), &mut Tracer::new(plant));
    let arrives = [PointRef::Port(end.receiver), PointRef::PortReceive(end.receiver)];
    let visit =
        trace.visits.iter().position(|visit| is_port(visit.point) && arrives.contains(&visit.point))?
            as u32;
    let mut lines = Vec::new();
    let mut missing = Vec::new();
    let mut reached = [Decibels::ZERO; 3];
    for step in at.parts(&trace, visit) {
        match step {
            Ok(part) => {
                let total = part.total();
                reached =
                    [reached[0] + total.least, reached[1] + total.typical, reached[2] + total.most];
                let [launch_least, launch_most] = pair.window.launch;
                let level = [launch_least.map(|p| p - reached[2]), launch_most.map(|p| p - reached[0])];
                lines.push(DetailLine { part, reached, level });
            }
            Err(datum) => missing.push(datum),
        }
    }
    let reflections = at.reflections(&trace);
    let rows = at.rows_on(&trace, visit);
    Some(Detail { end: *end, lines, missing, reflections, rows })
}
