//! What light loses on its way: elements at a wavelength, sums along paths, what comes back.
//!
//! Holds: the loss figures of every element ([`AtWavelength`]), the parts of a path ([`Part`]), sums
//! (worst, least, statistical), dispersion, reflections.
//! Must not know: optics and their limits (that is `budget`), findings, text.
//! Start reading at [`AtWavelength::parts`] and [`statistics`].

mod at_wavelength;
mod law;
pub mod multipath;
mod part;
mod reflection;
mod rows_met;
pub mod statistics;
mod steps;
mod sums;
mod transition;

pub use at_wavelength::{AtWavelength, Missing};
pub use law::{law_of, spread_within};
pub use part::{Chance, ElementRef, Part, PartKind, RowRef, TableName};
pub use reflection::{Reflections, backscatter_per_meter, fiber_only_return};
pub use rows_met::RowsMet;
pub use sums::Sums;
pub use transition::{ExtraLoss, mode_field_mismatch, unlike_fibers};
