//! The verdict on an end.

use crate::loss::Missing;
use crate::units::Decibels;

/// What is said of an end. Ordered: of two that hold, the greater is said (a certain failure before a
/// missing datum before a doubt).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Verdict {
    /// The worst case closes and keeps the reserve.
    Pass,
    /// The worst case closes but eats the reserve, or only the statistical case closes, or the link
    /// is longer than its interface is specified for.
    Marginal,
    /// A needed datum is missing: nothing may be claimed.
    Unknown,
    /// Too much light may arrive.
    Overload,
    /// Neither the worst nor the statistical case closes, or the ends are not made for each other.
    Fail,
}

impl Verdict {
    /// All verdicts, best first.
    pub const ALL: [Self; 5] = [Self::Pass, Self::Marginal, Self::Unknown, Self::Overload, Self::Fail];

    /// The word that stands in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Marginal => "marginal",
            Self::Overload => "overload",
            Self::Fail => "fail",
            Self::Unknown => "unknown",
        }
    }
}

/// Why a verdict is what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reason {
    /// The worst case closes with the reserve kept.
    Closes,
    /// The worst case closes but the reserve is not kept.
    ReserveNotKept,
    /// The worst case does not close; the statistical case does at the asked confidence.
    OnlyStatistically,
    /// The sum of the greatest losses closes; the loss at the asked confidence does not. A connector's
    /// greatest loss is one that 97 % of matings keep, so with few joints the sum is not the last word.
    NotAtConfidence,
    /// More is lost than the optics allow.
    OverLoss,
    /// Less is lost than the receiver needs.
    TooMuchLight,
    /// Longer than the interface is specified for, although the loss closes.
    BeyondReach,
    /// More chromatic dispersion than the interface stands.
    Dispersion,
    /// The interface limits dispersion, and that of a fiber on the way is not known at its wavelength.
    DispersionUnknown,
    /// Single-mode optics on multimode fiber or the reverse.
    FiberKind,
    /// The wavelength lies outside what the far receiver is specified for.
    ReceiverBand,
    /// A wdm element on the way does not pass the wavelength back.
    Blocked,
    /// The loss window of the two optics is not known.
    NoWindow,
    /// The overload limit is not known.
    NoOverload,
    /// No reach is known for this fiber, and modal bandwidth would decide.
    NoReach,
    /// A datum of the plant is missing.
    Missing(Missing),
}

/// What a verdict on the loss is made from.
#[derive(Debug, Clone, Copy)]
pub(super) struct LossCase {
    pub(super) least: Decibels,
    pub(super) most: Decibels,
    pub(super) quantile: Option<Decibels>,
    pub(super) min: Option<Decibels>,
    pub(super) max: Option<Decibels>,
    pub(super) reserve: Decibels,
}

/// Binary noise of sums of dozens of terms must not turn a link that closes exactly into a failure.
const HAIR: f64 = 1e-9;

/// Judges the loss alone.
pub(super) fn judge_loss(case: &LossCase) -> (Verdict, Reason) {
    let Some(max) = case.max else { return (Verdict::Unknown, Reason::NoWindow) };
    let margin = (max - case.most).value();
    let statistical = case.quantile.is_some_and(|quantile| (max - quantile).value() >= -HAIR);
    if margin < -HAIR && !statistical {
        return (Verdict::Fail, Reason::OverLoss);
    }
    let Some(min) = case.min else { return (Verdict::Unknown, Reason::NoOverload) };
    if (case.least - min).value() < -HAIR {
        return (Verdict::Overload, Reason::TooMuchLight);
    }
    if margin < -HAIR {
        (Verdict::Marginal, Reason::OnlyStatistically)
    } else if case.quantile.is_some() && !statistical {
        (Verdict::Marginal, Reason::NotAtConfidence)
    } else if margin < case.reserve.value() - HAIR {
        (Verdict::Marginal, Reason::ReserveNotKept)
    } else {
        (Verdict::Pass, Reason::Closes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn verdict(least: f64, most: f64, quantile: Option<f64>, reserve: f64) -> (Verdict, Reason) {
        judge_loss(&LossCase {
            least: Decibels::new(least),
            most: Decibels::new(most),
            quantile: quantile.map(Decibels::new),
            min: Some(Decibels::new(13.0)),
            max: Some(Decibels::new(28.0)),
            reserve: Decibels::new(reserve),
        })
    }

    #[test]
    fn each_verdict_has_its_case() {
        assert_eq!(verdict(15.0, 26.0, None, 1.0), (Verdict::Pass, Reason::Closes));
        assert_eq!(verdict(15.0, 27.5, None, 1.0), (Verdict::Marginal, Reason::ReserveNotKept));
        assert_eq!(verdict(15.0, 28.3, Some(26.0), 1.0), (Verdict::Marginal, Reason::OnlyStatistically));
        assert_eq!(verdict(15.0, 28.3, Some(28.1), 1.0), (Verdict::Fail, Reason::OverLoss));
        assert_eq!(verdict(15.0, 28.3, None, 1.0), (Verdict::Fail, Reason::OverLoss));
        assert_eq!(verdict(12.9, 20.0, None, 1.0), (Verdict::Overload, Reason::TooMuchLight));
        assert_eq!(verdict(15.0, 27.9, Some(28.1), 0.0), (Verdict::Marginal, Reason::NotAtConfidence));
        assert_eq!(verdict(13.0, 28.0, None, 0.0), (Verdict::Pass, Reason::Closes));
        assert_eq!(verdict(13.0, 28.000_000_000_01, None, 0.0), (Verdict::Pass, Reason::Closes));
    }

    #[test]
    fn a_missing_limit_is_never_a_pass() {
        let mut case = LossCase {
            least: Decibels::new(15.0),
            most: Decibels::new(20.0),
            quantile: None,
            min: None,
            max: Some(Decibels::new(28.0)),
            reserve: Decibels::ZERO,
        };
        assert_eq!(judge_loss(&case), (Verdict::Unknown, Reason::NoOverload));
        case.max = None;
        assert_eq!(judge_loss(&case), (Verdict::Unknown, Reason::NoWindow));
    }
}
