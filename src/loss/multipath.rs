//! Multipath interference: light that two joints throw back arrives late beside the light that did not turn.
//!
//! The sum over pairs of reflectors is the upper bound used in contributions to IEEE 802.3; the penalty is a
//! form fitted to four figures of those contributions, not seen in print.

use super::{AtWavelength, Part};
use crate::plan::JointUse;
use crate::plant::Trace;
use crate::units::Decibels;

/// What an optic itself throws back: the limit of IEEE 802.3 for most receivers of single-mode interfaces
/// (from memory).
const OPTIC: Decibels = Decibels::new(-26.0);

/// Something that throws light back, and the one-way loss before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reflector {
    /// Its reflectance (negative).
    pub reflectance: Decibels,
    /// The loss from the sender to it.
    pub before: Decibels,
}

/// How a lane is modulated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Levels {
    /// On and off.
    Two,
    /// Four levels of power.
    Four,
}

/// Σ √(Ri Rj) 10^(-Lij / 10) over all pairs of reflectors, Lij the one-way loss between them.
pub fn interference(reflectors: &[Reflector]) -> f64 {
    let amplitude = |reflector: &Reflector| 10f64.powf(reflector.reflectance.value() / 20.0);
    let pairs = reflectors
        .iter()
        .enumerate()
        .flat_map(|(index, first)| reflectors[index + 1..].iter().map(move |second| (first, second)));
    pairs
        .map(|(first, second)| {
            let between = (second.before - first.before).value().abs();
            amplitude(first) * amplitude(second) * 10f64.powf(-between / 10.0)
        })
        .sum()
}

/// What interference costs a receiver, at an extinction ratio and with half the phases at their worst:
/// `-10 log10(1 - 2 S r / (r - 1))`, of four levels three times the term. `None` where the eye closes.
pub fn penalty(interference: f64, extinction: Decibels, levels: Levels) -> Option<Decibels> {
    let ratio = 10f64.powf(extinction.value() / 10.0);
    let times = match levels {
        Levels::Two => 1.0,
        Levels::Four => 3.0,
    };
    let left = 1.0 - times * 2.0 * interference * ratio / (ratio - 1.0);
    (left > 0.0).then(|| Decibels::new(-10.0 * left.log10()))
}

impl AtWavelength<'_> {
    /// What throws light back on the way to a visit: both optics and every joint whose reflectance is known.
    pub fn reflectors(&self, trace: &Trace, visit: u32) -> Vec<Reflector> {
        let mut found = vec![Reflector { reflectance: OPTIC, before: Decibels::ZERO }];
        let mut before = Decibels::ZERO;
        for at in trace.path_to(visit).into_iter().skip(1) {
            self.step(trace, at, &mut |step| {
                let Ok(part) = step else { return };
                if let Part { joint: Some(JointUse(joint)), count, .. } = part
                    && let Some(reflectance) =
                        self.reflectances.get(usize::from(joint)).copied().flatten()
                {
                    found.extend((0..count).map(|_| Reflector { reflectance, before }));
                }
                before += part.total().typical;
            });
        }
        found.push(Reflector { reflectance: OPTIC, before });
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(optics: f64, connectors: f64, count: usize) -> f64 {
        let at =
            |reflectance| Reflector { reflectance: Decibels::new(reflectance), before: Decibels::ZERO };
        let mut all = vec![at(connectors); count];
        all.extend([at(optics), at(optics)]);
        interference(&all)
    }

    /// Four connectors of -35 dB between optics of -26 dB without loss: S = 0.0115392605327; of -45 dB
    /// 0.00495632943613 (`√(Rt Rr) + n √(Rt Rc) + n √(Rr Rc) + n (n - 1) / 2 Rc` by a high-precision library).
    #[test]
    fn sums_of_equal_connectors() {
        approx::assert_abs_diff_eq!(row(-26.0, -35.0, 4), 0.011_539_260_532_7, epsilon = 1e-12);
        approx::assert_abs_diff_eq!(row(-26.0, -45.0, 4), 0.004_956_329_436_13, epsilon = 1e-12);
    }

    /// Contributions to IEEE 802.3, read: optics of -19 dB, connectors of -35 dB, extinction ratio 3.5 dB:
    /// 0.34, 0.51 and 0.70 dB with two, four and six connectors.
    #[test]
    fn penalties_as_contributed() {
        for (count, printed) in [(2, 0.34), (4, 0.51), (6, 0.70)] {
            let found = penalty(row(-19.0, -35.0, count), Decibels::new(3.5), Levels::Two);
            approx::assert_abs_diff_eq!(found.unwrap().value(), printed, epsilon = 0.005);
        }
        let four = penalty(row(-26.0, -35.0, 4), Decibels::new(4.5), Levels::Four);
        approx::assert_abs_diff_eq!(four.unwrap().value(), 0.492_997_735_836, epsilon = 1e-9);
    }
}
