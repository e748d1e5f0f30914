//! Rules about belonging together: optic and optic, optic and fiber.

use super::Finding;
use super::view::View;

pub mod blocked;
pub mod classes_differ;
pub mod fiber_kind;
pub mod joint_kind;
pub mod no_far_optic;
pub mod pair_not_crossed;
pub mod receiver_band;
pub mod unknown_optic;
pub mod unlike_ends;

/// Runs every rule of this folder.
pub fn run(view: &View<'_>, findings: &mut Vec<Finding>) {
    blocked::check(view, findings);
    classes_differ::check(view, findings);
    fiber_kind::check(view, findings);
    joint_kind::check(view, findings);
    no_far_optic::check(view, findings);
    pair_not_crossed::check(view, findings);
    receiver_band::check(view, findings);
    unknown_optic::check(view, findings);
    unlike_ends::check(view, findings);
}
