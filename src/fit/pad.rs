//! Which fixed attenuator brings a receiver below its overload limit and above its sensitivity.

use crate::units::Decibels;

/// Headroom that a pad should leave where one can be had (common practice: sit 1 to 2 dB inside the
/// window; one public text on long-reach optics back to back says the same).
const INSIDE: Decibels = Decibels::new(1.0);
/// Binary noise of sums.
const HAIR: f64 = 1e-9;

/// What the receivers behind one place for a pad leave free.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// The smallest headroom towards overload; negative where too much light may arrive. `None` = not
    /// known.
    pub headroom: Option<Decibels>,
    /// The smallest margin towards sensitivity. `None` = not known.
    pub margin: Option<Decibels>,
}

impl Room {
    /// The room that two receivers leave together.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        let least = |a: Option<Decibels>, b: Option<Decibels>| Some(a?.min(b?));
        Self { headroom: least(self.headroom, other.headroom), margin: least(self.margin, other.margin) }
    }
}

/// A pad that can be had.
#[derive(Debug, Clone, PartialEq)]
pub struct Stocked {
    /// What it is called in the table or the stock list.
    pub name: String,
    /// Nominal loss.
    pub value: Decibels,
    /// Tolerance each way.
    pub tolerance: Decibels,
}

/// What pad a place needs.
#[derive(Debug, Clone, PartialEq)]
pub enum Pad {
    /// None: no receiver behind it may get too much.
    NotNeeded,
    /// Nothing can be said: a level is not known.
    Unknown,
    /// This one.
    Use {
        /// The pad.
        pad: Stocked,
        /// Headroom that is left with it.
        headroom: Decibels,
        /// Margin that is left with it.
        margin: Decibels,
    },
    /// None that can be had: the receiver needs at least and stands at most so much more loss.
    NoneFits {
        /// The least loss that must be added.
        least: Decibels,
        /// The most that may be added; below `least` where no pad at all would do.
        most: Decibels,
    },
}

/// Chooses the smallest pad of a stock that leaves 1 dB of headroom; where none does, the one that
/// leaves most of it. `joint` is the greatest loss of the mated pair that comes with a pad.
///
/// With a pad of nominal value v and tolerance t, a receiver's headroom grows by v - t (its joint may
/// lose nothing), and its margin shrinks by v + t and the joint's greatest loss.
pub fn choose(room: Room, joint: Decibels, stock: &[Stocked]) -> Pad {
    let Some(headroom) = room.headroom else { return Pad::Unknown };
    if headroom.value() >= -HAIR {
        return Pad::NotNeeded;
    }
    let Some(margin) = room.margin else { return Pad::Unknown };
    let left = |pad: &Stocked| {
        (headroom + (pad.value - pad.tolerance), margin - (pad.value + pad.tolerance + joint))
    };
    let mut fitting: Vec<(&Stocked, Decibels, Decibels)> = stock
        .iter()
        .map(|pad| (pad, left(pad)))
        .filter(|(_, (head, margin))| head.value() >= -HAIR && margin.value() >= -HAIR)
        .map(|(pad, (head, margin))| (pad, head, margin))
        .collect();
    fitting.sort_by(|a, b| a.0.value.value().total_cmp(&b.0.value.value()));
    let inside = fitting.iter().find(|(_, head, _)| head.value() >= INSIDE.value() - HAIR);
    match inside.or(fitting.last()) {
        Some((pad, headroom, margin)) => {
            Pad::Use { pad: (*pad).clone(), headroom: *headroom, margin: *margin }
        }
        None => Pad::NoneFits { least: Decibels::ZERO - headroom, most: margin - joint },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stock() -> Vec<Stocked> {
        let pad = |value: f64| Stocked {
            name: format!("{value} dB"),
            value: Decibels::new(value),
            tolerance: Decibels::new((value / 10.0).max(0.5)),
        };
        [1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0].map(pad).to_vec()
    }

    fn room(headroom: f64, margin: f64) -> Room {
        Room { headroom: Some(Decibels::new(headroom)), margin: Some(Decibels::new(margin)) }
    }

    fn value(pad: &Pad) -> Option<f64> {
        match pad {
            Pad::Use { pad, .. } => Some(pad.value.value()),
            _ => None,
        }
    }

    /// Two 10GBASE-ER back to back need 5 dB (launch +4.0 dBm, overload -1.0 dBm; a public text says
    /// 5 dB and to sit 1 to 2 dB inside): 7 dB, with 0.7 dB of tolerance, leaves 1.3 dB.
    #[test]
    fn long_reach_optics_back_to_back() {
        let pad = choose(room(-5.0, 10.9), Decibels::ZERO, &stock());
        assert_eq!(value(&pad), Some(7.0));
        let Pad::Use { headroom, margin, .. } = pad else { panic!("a pad") };
        approx::assert_abs_diff_eq!(headroom.value(), 1.3, epsilon = 1e-12);
        approx::assert_abs_diff_eq!(margin.value(), 3.2, epsilon = 1e-12);
    }

    /// 1000BASE-ZX over 7.53 dB: best level -2.53 dBm at a receiver of -3 dBm, worst -7.53 dBm at one
    /// of -24 dBm (a public thread; its answer: 5 dB will do). The smallest with 1 dB inside is 2 dB.
    #[test]
    fn the_smallest_pad_with_a_decibel_inside() {
        assert_eq!(value(&choose(room(-0.47, 16.47), Decibels::ZERO, &stock())), Some(2.0));
        // Where none leaves a decibel, the one that leaves most.
        assert_eq!(value(&choose(room(-0.47, 2.0), Decibels::ZERO, &stock())), Some(1.0));
    }

    #[test]
    fn no_pad_is_named_where_none_fits_or_none_is_needed() {
        assert_eq!(choose(room(0.0, 3.0), Decibels::ZERO, &stock()), Pad::NotNeeded);
        let none = choose(room(-5.0, 4.0), Decibels::new(0.5), &stock());
        assert_eq!(none, Pad::NoneFits { least: Decibels::new(5.0), most: Decibels::new(3.5) });
        let unknown = Room { headroom: Some(Decibels::new(-1.0)), margin: None };
        assert_eq!(choose(unknown, Decibels::ZERO, &stock()), Pad::Unknown);
    }

    #[test]
    fn a_pad_serves_the_weakest_receiver_behind_it() {
        let both = room(-3.0, 10.0).and(room(2.0, 1.0));
        assert_eq!(both, room(-3.0, 1.0));
    }
}
