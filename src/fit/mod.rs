//! What an optic, a cage, a card, a fiber and a far end allow each other.
//!
//! Holds: channel grids, and what an optic's own memory says of it.
//! Must not know: files, rules, how results are worded.
//! Start reading at [`memory::decode`] and [`grid::Channel`].

pub mod grid;
pub mod memory;
