//! Optics against losses: does enough light arrive, and not too much?
//!
//! Holds: the loss window of two optics ([`Window`]), the ends of a plan with their verdicts
//! ([`End`], [`Verdict`]), PONs and links ([`Group`]), and the walk over a whole plan ([`assess`]).
//! Must not know: rules and findings (that is `check`), files, text.
//! Start reading at [`assess`].

mod assess;
mod detail;
mod end;
mod group;
mod hazard;
mod joint;
mod pairs;
mod profile;
mod reach;
mod standing;
mod statistics;
mod verdict;
mod walk;
mod window;

pub use assess::{Anomaly, Assessment, DarkPort, Settings, assess, assess_from};
pub use detail::{Detail, DetailLine, detail};
pub use end::{Against, Direction, End, Statistics};
pub use group::{CrossCheck, Group, GroupKind, JointYields};
pub use hazard::{Hazard, hazards};
pub use pairs::{OpticUse, Pair, PairGrade, Pairs};
pub use profile::{EndAt, Lit, Profile, Profiles, Shape, WayLosses, Waypoint};
pub use standing::{Standing, State, Tally};
pub use verdict::{Reason, Verdict};
pub use window::{Basis, Window, window};
