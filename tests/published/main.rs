//! Published and worked cases of link budgets, put to the engine with their own inputs.
//!
//! Beside each case stands where it comes from: a document or textbook with the number of the
//! example, `common practice`, or `from memory`. Textbook results were read in public texts that
//! restate inputs and result. A figure is met within half of its last printed digit. Cases that a
//! text gets wrong stand here too, as what the engine must not repeat.

mod bench;
mod couplers;
mod dispersion;
mod interfaces;
mod levels;
mod loss_budgets;
mod point_to_point;
mod pon;
mod pon_plants;
mod reflection;
mod spectral;
