//! Rules about inventories of ports: what a row says, what two rows say of each other, what all of them
//! say together.
//!
//! One rule is one file with its [`Entry`]; [`ENTRIES`] lists them. A rule decides on the compact row
//! and keeps two numbers; it words a hit later, when the row has been read again.

mod cells;
pub mod facts;
mod levels;
mod same_words;

pub mod beyond_alarm;
pub mod beyond_reach;
pub mod bias_over_siblings;
pub mod circuit_differs;
pub mod circuit_many_ports;
pub mod conflicting_rows;
pub mod damage;
pub mod damaged_name;
pub mod dark_but_up;
pub mod dates_contradict;
pub mod directions_differ;
pub mod dispersion;
pub mod duplicate_row;
pub mod empty_with_module;
pub mod far_end_claimed_twice;
pub mod far_end_disagrees;
pub mod far_end_itself;
pub mod far_end_one_sided;
pub mod far_end_outside;
pub mod far_end_unclear;
pub mod far_end_unknown;
pub mod far_module_differs;
pub mod frame_port_twice;
pub mod group_shares;
pub mod hot_module;
pub mod hotter_than_siblings;
pub mod identical_readings;
pub mod in_service_without_circuit;
pub mod jumper_twice;
pub mod lanes_unlike;
pub mod launch_out_of_class;
pub mod launch_under_siblings;
pub mod light_in_empty_port;
pub mod loss_under_fiber;
pub mod module_without_serial;
pub mod more_onus_than_split;
pub mod no_heads;
pub mod no_module;
pub mod no_name;
pub mod not_in_plan;
pub mod open_live_end;
pub mod out_of_range;
pub mod over_loss;
pub mod overload;
pub mod path_differs;
pub mod plan_far_differs;
pub mod plan_loss_differs;
pub mod plan_optic_differs;
pub mod planned_differs;
pub mod planned_port_missing;
pub mod pon_full;
pub mod proof_old;
pub mod ragged_row;
pub mod receive_above_expected;
pub mod receive_below_expected;
pub mod receive_over_overload;
pub mod receive_under_least;
pub mod reserve_not_kept;
pub mod retired_still_holding;
pub mod row_shifted;
pub mod serial_twice;
pub mod site_spellings;
pub mod slot_without_blank;
pub mod spare_in_use;
pub mod strand_twice;
pub mod supply_voltage;
pub mod temporary_note;
pub mod threshold_order;
pub mod thresholds_of_another;
pub mod two_far_ends;
pub mod unclear_day;
pub mod unit_mix;
pub mod unknown_optic;
pub mod unknown_word;
pub mod unreadable_cell;
pub mod uplinks_together;
pub mod wavelength_differs;
pub mod zero_reading;

use facts::Entry;

/// Every rule of this folder that looks at rows, in the order of their files.
pub static ENTRIES: &[&Entry] = &[
    &beyond_alarm::ENTRY,
    &beyond_reach::ENTRY,
    &bias_over_siblings::ENTRY,
    &circuit_differs::ENTRY,
    &circuit_many_ports::ENTRY,
    &conflicting_rows::ENTRY,
    &damage::ENTRY,
    &damaged_name::ENTRY,
    &dark_but_up::ENTRY,
    &dates_contradict::ENTRY,
    &directions_differ::ENTRY,
    &dispersion::ENTRY,
    &duplicate_row::ENTRY,
    &empty_with_module::ENTRY,
    &far_end_claimed_twice::ENTRY,
    &far_end_disagrees::ENTRY,
    &far_end_itself::ENTRY,
    &far_end_one_sided::ENTRY,
    &far_end_outside::ENTRY,
    &far_end_unclear::ENTRY,
    &far_end_unknown::ENTRY,
    &far_module_differs::ENTRY,
    &frame_port_twice::ENTRY,
    &group_shares::ENTRY,
    &hot_module::ENTRY,
    &hotter_than_siblings::ENTRY,
    &identical_readings::ENTRY,
    &in_service_without_circuit::ENTRY,
    &jumper_twice::ENTRY,
    &lanes_unlike::ENTRY,
    &launch_out_of_class::ENTRY,
    &launch_under_siblings::ENTRY,
    &light_in_empty_port::ENTRY,
    &loss_under_fiber::ENTRY,
    &module_without_serial::ENTRY,
    &more_onus_than_split::ENTRY,
    &no_module::ENTRY,
    &no_name::ENTRY,
    &not_in_plan::ENTRY,
    &open_live_end::ENTRY,
    &out_of_range::ENTRY,
    &over_loss::ENTRY,
    &overload::ENTRY,
    &path_differs::ENTRY,
    &plan_far_differs::ENTRY,
    &plan_optic_differs::ENTRY,
    &plan_loss_differs::ENTRY,
    &planned_differs::ENTRY,
    &planned_port_missing::ENTRY,
    &pon_full::ENTRY,
    &proof_old::ENTRY,
    &ragged_row::ENTRY,
    &receive_above_expected::ENTRY,
    &receive_below_expected::ENTRY,
    &receive_over_overload::ENTRY,
    &receive_under_least::ENTRY,
    &reserve_not_kept::ENTRY,
    &retired_still_holding::ENTRY,
    &row_shifted::ENTRY,
    &serial_twice::ENTRY,
    &site_spellings::ENTRY,
    &slot_without_blank::ENTRY,
    &spare_in_use::ENTRY,
    &strand_twice::ENTRY,
    &supply_voltage::ENTRY,
    &temporary_note::ENTRY,
    &threshold_order::ENTRY,
    &thresholds_of_another::ENTRY,
    &two_far_ends::ENTRY,
    &unclear_day::ENTRY,
    &unit_mix::ENTRY,
    &unknown_optic::ENTRY,
    &unknown_word::ENTRY,
    &unreadable_cell::ENTRY,
    &uplinks_together::ENTRY,
    &wavelength_differs::ENTRY,
    &zero_reading::ENTRY,
];

/// The index of a rule in [`ENTRIES`].
pub fn index_of(entry: &'static Entry) -> u16 {
    let found = ENTRIES.iter().position(|known| std::ptr::eq(*known, entry));
    found.map_or(u16::MAX, |index| index as u16)
}
