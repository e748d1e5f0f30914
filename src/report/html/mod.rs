//! Pages: one file each, no network, readable without script and without color.
//!
//! `report` is the page of a judged plan; `frame` what every page shares (style, identity, cautions,
//! print heads); `data` the compact data for the page's own script; `tree`, `bars` and `svg` the
//! drawings. Templates, style and script lie in `templates/`; text is escaped by the templates and by
//! [`svg::escaped`], nowhere else.

mod bars;
mod data;
pub(crate) mod frame;
mod report;
mod svg;
mod tree;

pub use report::write as write_report;
