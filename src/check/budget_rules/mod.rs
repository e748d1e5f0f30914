//! Rules about light: does enough arrive, and not too much?

use super::Finding;
use super::view::View;

pub mod beyond_reach;
pub mod class_minimum;
pub mod crosstalk;
pub mod damage;
pub mod differential_loss;
pub mod differential_reach;
pub mod dispersion;
pub mod joint_reflectance;
pub mod joint_yield;
pub mod light_twice;
pub mod measured_elsewhere;
pub mod measured_too_good;
pub mod multipath;
pub mod no_ends;
pub mod no_light;
pub mod not_at_confidence;
pub mod only_statistically;
pub mod over_loss;
pub mod overload;
pub mod pmd;
pub mod protects_nothing;
pub mod reserve_not_kept;
pub mod return_loss;
pub mod two_transmitters;
pub mod unknown;

/// Runs every rule of this folder.
pub fn run(view: &View<'_>, findings: &mut Vec<Finding>) {
    beyond_reach::check(view, findings);
    class_minimum::check(view, findings);
    crosstalk::check(view, findings);
    damage::check(view, findings);
    differential_loss::check(view, findings);
    differential_reach::check(view, findings);
    dispersion::check(view, findings);
    joint_reflectance::check(view, findings);
    joint_yield::check(view, findings);
    light_twice::check(view, findings);
    measured_elsewhere::check(view, findings);
    measured_too_good::check(view, findings);
    multipath::check(view, findings);
    no_ends::check(view, findings);
    no_light::check(view, findings);
    not_at_confidence::check(view, findings);
    only_statistically::check(view, findings);
    over_loss::check(view, findings);
    overload::check(view, findings);
    pmd::check(view, findings);
    protects_nothing::check(view, findings);
    reserve_not_kept::check(view, findings);
    return_loss::check(view, findings);
    two_transmitters::check(view, findings);
    unknown::check(view, findings);
}
