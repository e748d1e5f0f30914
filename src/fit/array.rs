//! Array cords: which position of one end leads to which of the other (TIA-568.3, from memory).

use crate::plan::Polarity;

/// Positions of a row of the array connector that so many fibers of a parallel interface use: 12 for
/// up to 12 fibers, 16 for up to 16, 24 or 32 beyond.
pub fn positions(fibers: u16) -> u16 {
    [12, 16, 24, 32].into_iter().find(|row| fibers <= *row).unwrap_or(fibers)
}

/// Where a position, from 1, comes out at the far end of one cord with so many positions.
pub fn leads_to(polarity: Polarity, position: u16, positions: u16) -> u16 {
    match polarity {
        Polarity::A => position,
        Polarity::B => positions + 1 - position,
        Polarity::C => ((position - 1) ^ 1) + 1,
    }
}

/// Whether cords in a row lead every transmitter to the receiver of its lane. A module sends lane k
/// from position k and receives it on the k-th position from the other end.
pub fn leads_to_receivers(cords: &[Polarity], lanes: u16, positions: u16) -> bool {
    (1..=lanes).all(|lane| {
        let arrives = cords.iter().fold(lane, |at, cord| leads_to(*cord, at, positions));
        arrives == positions + 1 - lane
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use Polarity::{A, B, C};

    /// TIA-568.3 as restated in public texts: type A straight, type B reversed, type C pairs exchanged.
    #[test]
    fn one_cord_of_each_type() {
        let across = |cord| (1..=12).map(|at| leads_to(cord, at, 12)).collect::<Vec<_>>();
        assert_eq!(across(A), [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
        assert_eq!(across(B), [12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]);
        assert_eq!(across(C), [2, 1, 4, 3, 6, 5, 8, 7, 10, 9, 12, 11]);
    }

    /// Parallel optics want an odd number of reversals; only type B reverses (a public text: "only
    /// type B aligns lanes directly").
    #[test]
    fn an_odd_number_of_reversals_leads_to_receivers() {
        assert!(leads_to_receivers(&[B], 4, 12));
        assert!(!leads_to_receivers(&[A], 4, 12));
        assert!(!leads_to_receivers(&[C], 4, 12));
        assert!(!leads_to_receivers(&[B, B], 4, 12));
        assert!(leads_to_receivers(&[B, A], 4, 12));
        assert!(leads_to_receivers(&[A, B, A], 4, 12));
        assert!(leads_to_receivers(&[B, B, B], 4, 12));
        assert!(!leads_to_receivers(&[B, C], 4, 12));
        assert!(leads_to_receivers(&[B], 8, 16));
    }
}
