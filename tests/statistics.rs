//! Sums of losses and joint yields against exact values, by the public interface.
//!
//! The values come from closed forms evaluated in many digits and from the quadratures in
//! `benches/peer/reference_values.py`; beside each stands which. The engine computes none of them in
//! the way they were made.

mod statistics {
    mod chances;
    mod joint;
    mod properties;
    mod sums;
    pub mod support;
}
