//! What a module's memory says: dumps with known contents, memories made for the purpose, texts of
//! many forms, every rule, every face, and whatever bytes.
//!
//! The dumps in `dumps/` are of invented modules; `expected.json` says what is in them. Both were
//! made apart from this project, from SFF-8472, SFF-8636 and CMIS as public texts restate them, and
//! all but the readings of external calibration were also read with a public decoder that agrees.

mod build;
mod dump_forms;
mod external_calibration;
mod faces;
mod given;
mod interfaces;
mod paged;
mod rules;
mod whatever;
