//! One file per sheet.

pub(super) mod about;
pub(super) mod capacity;
pub(super) mod ends;
pub(super) mod fibers;
pub(super) mod labels;
pub(super) mod light;
pub(super) mod materials;
pub(super) mod patches;
pub(super) mod ports;
pub(super) mod splices;
