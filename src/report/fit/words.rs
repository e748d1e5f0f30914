//! Pads, alternatives and gaps in words.

use super::FitReport;
use crate::engine::alternatives::Alternative;
use crate::engine::fit::NotChecked;
use crate::engine::pads::{PadAdvice, PadPlace};
use crate::fit::pad::Pad;
use crate::units::Decibels;

/// Where a pad goes.
pub(super) fn place(report: &FitReport<'_>, place: &PadPlace) -> String {
    let name = |port: u32| report.view.port_name(port);
    match *place {
        PadPlace::Receiver(port) => format!("at the receive side of `{}`", name(port)),
        PadPlace::Fiber(a, b) => format!("on the fiber between `{}` and `{}`", name(a), name(b)),
        PadPlace::Common(olt) => format!("between `{}` and its first splitter", name(olt)),
        PadPlace::Leg(ont) => format!("at `{}`", name(ont)),
    }
}

/// What pad, or why none.
pub(super) fn pad(report: &FitReport<'_>, advice: &PadAdvice) -> String {
    let place = place(report, &advice.place);
    match &advice.pad {
        Pad::NotNeeded => format!("{place}: none is needed"),
        Pad::Unknown => format!("{place}: not known, for a level is not known"),
        Pad::Use { pad, headroom, margin } => format!(
            "{place}: {} ± {} leaves {} of headroom and {} of margin",
            pad.value,
            pad.tolerance,
            headroom.rounded_down(),
            margin.rounded_down(),
        ),
        Pad::NoneFits { least, most } if most < least => {
            let (least, most) = (least.rounded_up(), most.rounded_down().max(Decibels::ZERO));
            format!("{place}: no pad can do: {least} more loss is needed and {most} is left")
        }
        Pad::NoneFits { least, most } => format!(
            "{place}: none in stock fits between {} and {}, tolerance included",
            least.rounded_up(),
            most.rounded_down(),
        ),
    }
}

/// A datum that is missing and the rules that wait for it.
pub(super) fn gap(gap: &NotChecked) -> String {
    let of: Vec<String> = gap.of.iter().map(|port| format!("`{port}`")).collect();
    let of = if of.is_empty() { String::new() } else { format!(", of {}", of.join(" and ")) };
    format!("{}{of} ({})", gap.datum, gap.rules.join(", "))
}

/// Whether an alternative closes, in a few words.
pub(super) fn closes(one: &Alternative) -> &'static str {
    match (one.closes, one.marginal) {
        (true, false) => "yes",
        (true, true) => "yes, but marginal",
        (false, _) => "no",
    }
}

/// What an alternative needs beside its optics: another part of one, pads.
pub(super) fn with(report: &FitReport<'_>, one: &Alternative) -> String {
    let pads = one.pads.iter().filter_map(|advice| match &advice.pad {
        Pad::Use { pad, .. } => Some(format!("{} {}", pad.value, short_place(report, &advice.place))),
        _ => None,
    });
    let part = Some(one.part.clone()).filter(|part| !part.is_empty());
    part.into_iter().chain(pads).collect::<Vec<_>>().join(", ")
}

/// Where a pad goes, for a cell.
fn short_place(report: &FitReport<'_>, place: &PadPlace) -> String {
    let name = |port: u32| report.view.port_name(port);
    match *place {
        PadPlace::Receiver(port) | PadPlace::Leg(port) => format!("at {}", name(port)),
        PadPlace::Fiber(..) => "on the fiber".to_string(),
        PadPlace::Common(olt) => format!("behind {}", name(olt)),
    }
}

/// What a port holds and faces: `10GBASE-ER in A, facing 10GBASE-LR in B`.
pub(super) fn what(report: &FitReport<'_>) -> String {
    let view = report.view;
    let port = report.answer.port;
    let optics = view.assessment.pairs.of_port(view.plan, port);
    let names: Vec<&str> = optics.iter().map(|optic| view.optic_name(*optic)).collect();
    let optic = if names.is_empty() { "no optic".to_string() } else { names.join(" and ") };
    let mut faces: Vec<String> = Vec::new();
    for end in &report.answer.ends {
        let end = &view.assessment.ends[*end];
        let pair = view.assessment.pair(end);
        let (far, far_optic) = if end.transmitter == port {
            (end.receiver, pair.receiver)
        } else {
            (end.transmitter, pair.transmitter)
        };
        let one = format!("{} in `{}`", view.optic_name(far_optic), view.port_name(far));
        if !faces.contains(&one) {
            faces.push(one);
        }
    }
    let facing = match faces.as_slice() {
        [] => String::new(),
        [one] => format!(", facing {one}"),
        [first, rest @ ..] => format!(", facing {first} and {} more", rest.len()),
    };
    format!("{optic} in `{}`{facing}", view.port_name(port))
}
