//! Other optics with a pad: what would close but for too much light.

use super::super::pads::{PadAdvice, PadPlace, of_view};
use super::HAIR;
use crate::budget::{Assessment, End, Verdict};
use crate::check::view::View;
use crate::fit::pad::{Pad, Stocked};
use crate::tables::FiberKind;
use crate::units::Decibels;

/// The pads that bring every receiver within its limits; `None` where too much light is not all that
/// is wrong, or no pad of the stock would do.
pub(super) fn pads(view: &View<'_>, stock: &[Stocked]) -> Option<Vec<PadAdvice>> {
    let too_hot = view.assessment.ends.iter().any(|end| end.verdict == Verdict::Overload);
    let mendable = |end: &End| match end.verdict {
        Verdict::Overload => is_only_hot(view.assessment, end),
        verdict => matches!(verdict, Verdict::Pass | Verdict::Marginal),
    };
    if !too_hot || !view.assessment.ends.iter().all(mendable) {
        return None;
    }
    let mut pads = of_view(view, view.assessment.groups.iter(), stock);
    // One on the common fiber serves all; where none fits there, each leg has its own.
    let legs = pads.iter().any(|one| matches!(one.place, PadPlace::Leg(_)));
    pads.retain(|one| !legs || !matches!(one.place, PadPlace::Common(_)));
    pads.iter().all(|one| matches!(one.pad, Pad::Use { .. })).then_some(pads)
}

/// Whether nothing but too much light speaks against an end: its verdict tells the gravest alone.
fn is_only_hot(assessment: &Assessment, end: &End) -> bool {
    let against = end.against;
    let multimode = assessment.pair(end).fiber_kind == FiberKind::Multimode;
    end.missing.is_none()
        && !(against.fiber_kind
            || against.dispersion
            || against.dispersion_unknown
            || against.receiver_band
            || against.no_reach
            || against.blocked
            || (multimode && against.beyond_reach))
}

/// Counts the pads in the losses of the ends that they serve, and judges those anew by their loss.
pub(super) fn put_in(
    assessment: &mut Assessment,
    pads: &[PadAdvice],
    joint: Decibels,
    reserve: Decibels,
) {
    for index in 0..assessment.ends.len() {
        let end = assessment.ends[index];
        let group = &assessment.groups[end.group as usize];
        let serves = |place: &PadPlace| match *place {
            PadPlace::Receiver(port) => end.receiver == port,
            PadPlace::Fiber(a, b) => [(a, b), (b, a)].contains(&(end.transmitter, end.receiver)),
            PadPlace::Common(port) => group.port == port,
            PadPlace::Leg(port) => end.receiver == port || end.transmitter == port,
        };
        let mut end = end;
        for advice in pads.iter().filter(|advice| serves(&advice.place)) {
            if let Pad::Use { pad, .. } = &advice.pad {
                end.least += pad.value - pad.tolerance;
                end.most += pad.value + pad.tolerance + joint;
            }
        }
        let window = assessment.pair(&end).window;
        if end.verdict == Verdict::Overload {
            let kept = end.headroom(&window).is_some_and(|headroom| headroom.value() >= -HAIR);
            let tight = end.margin(&window).is_none_or(|margin| margin < reserve);
            end.verdict = match (kept, tight || end.against.beyond_reach) {
                (false, _) => Verdict::Overload,
                (true, true) => Verdict::Marginal,
                (true, false) => Verdict::Pass,
            };
        }
        assessment.ends[index] = end;
    }
}
