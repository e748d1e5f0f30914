//! Spanwright: optical link budgets and fiber plans.
//!
//! A plan describes ports, optics, panels, splices, splitters and fiber spans. The engine turns it
//! into a graph, sends light through it in both directions at every wavelength in use, and says
//! for every end what arrives, how sure that is, and whether the optics there can live with it.
//!
//! The rooms, ground floor first; a room imports only from rooms above it in this list:
//! [`units`], [`place`], [`tables`], [`plan`], [`plant`], [`loss`], [`budget`], [`fit`], [`check`], [`engine`],
//! [`read`], [`report`], [`cli`].

pub mod audit;
pub mod budget;
pub mod check;
pub mod cli;
pub mod engine;
pub mod fit;
pub mod inventory;
pub mod loss;
pub mod place;
pub mod plan;
pub mod plant;
pub mod read;
pub mod report;
pub mod tables;
pub mod units;
