//! How much light an open connector may let out.

use std::collections::BTreeMap;

use super::Assessment;
use crate::loss::AtWavelength;
use crate::plan::{Plan, PointRef, PortKind};
use crate::plant::{Link, Plant, Trace, Tracer, Visit};
use crate::tables::{Optic, Tables};
use crate::units::{DecibelMilliwatts, Nanometers};

/// The most light that can come out at a point if it is opened, all systems together.
#[derive(Debug, Clone, PartialEq)]
pub struct Hazard {
    /// The point: the first one outside the equipment.
    pub point: PointRef,
    /// The sum of the greatest launch powers of everything that sends into it from one side.
    pub power: DecibelMilliwatts,
    /// Wavelengths of the sources.
    pub wavelengths: Vec<Nanometers>,
    /// The lowest tabulated hazard level that holds this power at every wavelength in the sum, if
    /// the tables know one.
    pub level: Option<String>,
    /// The edition the limit was taken from.
    pub edition: Option<String>,
}

/// The points with the most light: for every OLT or link port the first connection outside, and the
/// common port of every wdm element that adds systems together. At most `count`, brightest first.
pub fn hazards(
    plan: &Plan,
    plant: &Plant,
    tables: &Tables,
    assessment: &Assessment,
    count: usize,
) -> Vec<Hazard> {
    // What comes out of an opened plug comes from one side: light is added per point and side.
    let mut lit: BTreeMap<(PointRef, Option<u32>), Vec<&Optic>> = BTreeMap::new();
    let mut tracer = Tracer::new(plant);
    let bands = assessment.pairs.bands.iter();
    let wavelengths: Vec<AtWavelength<'_>> =
        bands.map(|band| AtWavelength::new(plan, tables, *band)).collect();
    for port in 0..plan.ports.len() as u32 {
        for &index in assessment.pairs.of_port(plan, port) {
            let Some(optic) = assessment.pairs.optic(index) else { continue };
            if plan.ports[port as usize].kind == PortKind::Ont {
                continue;
            }
            let Some(band) = optic.transmit.first() else { continue };
            let Some(at) = wavelengths.iter().find(|at| at.band == *band) else { continue };
            if let Some(side) = brightest_point(plan, plant, at, port, &mut tracer) {
                lit.entry(side).or_default().push(optic);
            }
        }
    }
    let mut found: Vec<Hazard> =
        lit.into_iter().filter_map(|((point, _), optics)| hazard(tables, point, &optics)).collect();
    found.sort_by(|a, b| b.power.value().total_cmp(&a.power.value()).then(a.point.cmp(&b.point)));
    found.truncate(count);
    found
}

/// Where the light of a port can first be met together with that of others: behind the last wdm
/// element that stands before any cable or splitter, else the first point of the way.
fn brightest_point(
    plan: &Plan,
    plant: &Plant,
    at: &AtWavelength<'_>,
    port: u32,
    tracer: &mut Tracer,
) -> Option<(PointRef, Option<u32>)> {
    let start = [PointRef::Port(port), PointRef::PortTransmit(port)]
        .into_iter()
        .find(|point| plant.is_attached(*point))?;
    let trace: Trace = plant.trace(start, |element, leg| at.passes(element, leg), tracer);
    let indoors = |visit: &&Visit| match visit.link {
        Some(Link::Span(index)) => !plan.spans[index as usize].outside,
        _ => !matches!(visit.point, PointRef::SplitterInput { .. } | PointRef::Tap { .. }),
    };
    let common = trace
        .visits
        .iter()
        .take_while(indoors)
        .filter(|visit| {
            matches!((visit.point, visit.link), (PointRef::WdmCommon(_), Some(Link::Wdm { .. })))
        })
        .last()
        .map(|visit| (visit.point, None));
    common.or_else(|| {
        let first = trace.visits.get(1)?;
        let side = match first.link {
            Some(Link::Span(index) | Link::Direct(index)) => Some(index),
            _ => None,
        };
        Some((first.point, side))
    })
}

fn hazard(tables: &Tables, point: PointRef, optics: &[&Optic]) -> Option<Hazard> {
    let power = DecibelMilliwatts::total(optics.iter().filter_map(|optic| total_launch(tables, optic)))?;
    let mut wavelengths: Vec<Nanometers> =
        optics.iter().flat_map(|optic| optic.transmit.iter().map(|band| band.nominal)).collect();
    wavelengths.sort_by(|a, b| a.value().total_cmp(&b.value()));
    wavelengths.dedup();
    let (level, edition) = level(tables, power, &wavelengths);
    Some(Hazard { point, power, wavelengths, level, edition })
}

/// The launch power of all lanes together.
fn total_launch(tables: &Tables, optic: &Optic) -> Option<DecibelMilliwatts> {
    if let crate::tables::Family::Interface(id) = optic.family
        && let Some(total) = tables.interfaces.row(id).value.launch_total
    {
        return Some(total);
    }
    let lane = optic.launch[1]?;
    DecibelMilliwatts::total(std::iter::repeat_n(lane, optic.transmit.len().max(1)))
}

/// The first level, in table order, whose limit holds at every wavelength of the sum.
fn level(
    tables: &Tables,
    power: DecibelMilliwatts,
    wavelengths: &[Nanometers],
) -> (Option<String>, Option<String>) {
    let rows = tables.hazard_levels.rows();
    let holds = |name: &str, nm: Nanometers| {
        rows.iter().any(|row| {
            let limit = &row.value;
            limit.level == name && nm >= limit.band.0 && nm <= limit.band.1 && power <= limit.limit
        })
    };
    let found = rows.iter().find(|row| wavelengths.iter().all(|nm| holds(&row.value.level, *nm)));
    (found.map(|row| row.value.level.clone()), found.map(|row| row.value.edition.clone()))
}
