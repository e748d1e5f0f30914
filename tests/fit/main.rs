//! Whether an optic belongs into a port, held against what stands outside the project: channel losses
//! of standards, mismatches with known answers, pads worked by hand, module memories, and what must
//! hold whatever the optics.
//!
//! Beside each value stands its source: a document with its clause, `common practice`, or `from
//! memory`. Where sources disagree, what is certain is tested and the rest is said.

mod alternatives;
mod bench;
mod breakouts;
mod channel_losses;
mod dispersion;
mod far_ends;
mod fibers_and_cords;
mod in_plans;
mod memory;
mod not_optical;
mod own_reach;
mod pads;
mod pairs;
mod ports;
mod statements;
mod usual_grades;
