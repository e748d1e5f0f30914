//! The only place that opens input: plans, bulk tables, reference tables, dumps of modules, descriptions of
//! networks.
//!
//! Holds: the texts of the files read, the limits on what is read, and one reader per written form.
//! Readers return the value *and* every finding; they never stop at the first.
//! Must not know: how a finding is drawn, what a result looks like.
//! Start reading at [`sources::Sources`]; [`limits`] is the table of all limits.

pub mod dump;
pub mod inventory;
pub mod limits;
pub mod network;
pub mod plan;
pub mod schema;
pub mod sources;
pub mod stock;
pub mod tables;
pub mod yaml;
