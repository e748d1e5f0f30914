//! Dirty connectors.

use crate::units::{Decibels, Percent, Probability, Quantity};

/// What dirt does to connectors: a share of them, each for itself, loses so much more.
///
/// It belongs to the statistics alone. The worst case counts what a clean connector keeps: with dirt
/// in it every plan would fail, and a dirty connector is a fault to be cleaned, not a tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dirt {
    /// How probable it is that a mated connector is dirty.
    pub share: Probability,
    /// What a dirty one loses beyond the clean one.
    pub loss: Decibels,
}

impl Dirt {
    /// The largest loss that is believed of a connector that still passes light.
    const MOST_DB: f64 = 40.0;

    /// From its two figures as they are written: `3 %, 1 dB`.
    ///
    /// # Errors
    /// What is wrong with the text, and what was expected.
    pub fn parse(text: &str) -> Result<Self, String> {
        let expected = "expected a share and the loss of a dirty connector such as `3 %, 1 dB`";
        let (share, loss) = text.split_once(',').ok_or_else(|| expected.to_string())?;
        let share = Percent::parse(share.trim()).map_err(|error| format!("{error}; {expected}"))?;
        let loss = Decibels::parse(loss.trim()).map_err(|error| format!("{error}; {expected}"))?;
        Self::of(share, loss)
    }

    /// From its two figures.
    ///
    /// # Errors
    /// A share outside 0 to 100 %, a loss below zero or beyond 40 dB.
    pub fn of(share: Percent, loss: Decibels) -> Result<Self, String> {
        let probability = Probability::new(share.fraction())
            .ok_or_else(|| format!("a share of {} % is not between 0 and 100 %", share.value()))?;
        if !(0.0..=Self::MOST_DB).contains(&loss.value()) {
            return Err(format!("a dirty connector loses 0 to {} dB more, not {loss}", Self::MOST_DB));
        }
        Ok(Self { share: probability, loss })
    }

    /// The share in percent.
    pub fn percent(&self) -> Percent {
        Percent::new(self.share.value() * 100.0)
    }
}

impl std::fmt::Display for Dirt {
    /// `3 % lose 1.00 dB more`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let percent = (self.percent().value() * 1e6).round() / 1e6;
        write!(f, "{percent} % lose {} more", self.loss)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_and_a_loss_are_read() {
        let dirt = Dirt::parse("3 %, 1 dB").expect("read");
        assert!((dirt.share.value() - 0.03).abs() < 1e-15 && dirt.loss == Decibels::new(1.0));
        assert_eq!(dirt.to_string(), "3 % lose 1.00 dB more");
        for (bad, reason) in [
            ("3 %", "expected a share"),
            ("3, 1 dB", "expected a share"),
            ("3 %, 1", "expected a share"),
            ("3 %, -1 dB", "-1 dB is out of range"),
            ("3 %, 50 dB", "0 to 40 dB"),
            ("130 %, 1 dB", "%"),
            ("1 dB, 3 %", "expected a share"),
        ] {
            let refused = Dirt::parse(bad).expect_err("refused");
            assert!(refused.contains(reason), "{bad}: {refused}");
        }
    }
}
