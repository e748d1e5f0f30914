//! The only place that words results: one value, one file per face.
//!
//! Holds: the written forms (table for people, JSON, CSV) of what the engine says, the drawing of
//! findings with the line they point at, the cautions.
//! Must not know: how a result was computed, where it is written to.
//! Start reading at [`budget::Budget`]; [`grid`] draws every table.

pub mod audit;
pub mod budget;
pub mod cautions;
pub mod channel;
pub mod diagnostic;
pub mod diff;
pub mod document;
pub mod fit;
pub mod grid;
pub mod html;
pub mod map;
pub mod module;
pub mod order;
pub mod paint;
pub mod rules;
pub mod schedule;
pub mod skeleton;
pub mod tables;
pub mod trust;
