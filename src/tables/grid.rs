//! Channel grids, computed both ways: ITU-T G.694.1 (dense) and ITU-T G.694.2 (coarse).
//!
//! G.694.1: 193.1 THz + n x spacing, n any whole number. The letters in front of channel numbers
//! (C31 = 193.1 THz, so that the frequency is 190.0 + 0.1 x number THz; H between two of them) are
//! common practice, not part of the Recommendation. G.694.2: 1271 nm + 20 nm x m, m from 0 to 17.

use super::Band;
use crate::units::{Gigahertz, Nanometers, Quantity, Terahertz, UnitError};

/// Where n is 0 on every dense grid.
const ANCHOR: Terahertz = Terahertz::new(193.1);
/// The channel number of common practice at n = 0.
const ANCHOR_NUMBER: i32 = 31;
/// How far a wavelength written with two decimals may lie from the channel it means.
const WRITTEN: Nanometers = Nanometers::new(0.05);
/// Half the passband of a coarse channel: what a laser may drift over its life (from memory of
/// G.694.2 and of the linear interfaces that use it).
const COARSE_HALF: Nanometers = Nanometers::new(6.5);
/// Frequencies of what is sent through fiber, in THz: 2500 to 400 nm.
const LIGHT: std::ops::RangeInclusive<f64> = 120.0..=750.0;
const COARSE_FIRST: u16 = 1271;
const COARSE_STEP: u16 = 20;
const COARSE_CHANNELS: u16 = 18;

/// Distance between channels of a dense grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Spacing {
    /// 100 GHz.
    Ghz100,
    /// 50 GHz.
    Ghz50,
    /// 25 GHz.
    Ghz25,
    /// 12.5 GHz.
    Ghz12,
}

impl Spacing {
    /// All spacings, the widest first.
    pub const ALL: [Self; 4] = [Self::Ghz100, Self::Ghz50, Self::Ghz25, Self::Ghz12];

    /// The spacing as a frequency difference.
    pub const fn width(self) -> Gigahertz {
        Gigahertz::new(match self {
            Self::Ghz100 => 100.0,
            Self::Ghz50 => 50.0,
            Self::Ghz25 => 25.0,
            Self::Ghz12 => 12.5,
        })
    }
}

/// A channel of a dense grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct DenseChannel {
    /// Steps from 193.1 THz; may be negative.
    pub n: i32,
    /// The grid it belongs to.
    pub spacing: Spacing,
}

impl DenseChannel {
    /// The channel nearest to a wavelength.
    pub fn nearest(at: Nanometers, spacing: Spacing) -> Self {
        let away = Gigahertz::from(at.frequency() - ANCHOR);
        Self { n: (away.value() / spacing.width().value()).round() as i32, spacing }
    }

    /// Its central frequency.
    pub fn frequency(self) -> Terahertz {
        ANCHOR + Terahertz::from(self.spacing.width() * f64::from(self.n))
    }

    /// Its central wavelength in vacuum.
    pub fn wavelength(self) -> Nanometers {
        self.frequency().wavelength()
    }

    /// Whether a written wavelength means this channel rather than none: it lies within 0.05 nm of
    /// its middle, on the finest grid within a quarter of the distance to the next.
    pub fn is_meant_by(self, at: Nanometers) -> bool {
        let next = Self { n: self.n + 1, ..self }.wavelength();
        let quarter = Nanometers::new((self.wavelength() - next).value().abs() / 4.0);
        (at - self.wavelength()).value().abs() < WRITTEN.min(quarter).value()
    }

    /// Its label in common practice; `None` where practice has none.
    pub fn label(self) -> Option<String> {
        let per_channel = match self.spacing {
            Spacing::Ghz100 => 1,
            Spacing::Ghz50 => 2,
            Spacing::Ghz25 | Spacing::Ghz12 => return None,
        };
        let number = ANCHOR_NUMBER.checked_add(self.n.div_euclid(per_channel))?;
        let between = self.n.rem_euclid(per_channel) == 1;
        let letter = if between { half_letter(number) } else { letter(number) }?;
        Some(format!("{letter}{number}"))
    }
}

/// The letter in front of a channel number of the 100 GHz grid.
fn letter(number: i32) -> Option<char> {
    match number {
        1..=14 => Some('L'),
        15..=61 => Some('C'),
        62..=72 => Some('S'),
        _ => None,
    }
}

/// The letter of a channel 50 GHz above one of the 100 GHz grid.
fn half_letter(number: i32) -> Option<char> {
    (17..=61).contains(&number).then_some('H')
}

/// A channel of the coarse grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct CoarseChannel {
    nanometers: u16,
}

impl CoarseChannel {
    /// All eighteen.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..COARSE_CHANNELS).map(|m| Self { nanometers: COARSE_FIRST + COARSE_STEP * m })
    }

    /// The channel nearest to a wavelength; `None` beyond the ends of the grid.
    pub fn nearest(at: Nanometers) -> Option<Self> {
        let half_step = f64::from(COARSE_STEP) / 2.0;
        Self::all().find(|channel| (at - channel.wavelength()).value().abs() <= half_step)
    }

    /// Its central wavelength.
    pub fn wavelength(self) -> Nanometers {
        Nanometers::new(f64::from(self.nanometers))
    }

    /// Shortest and longest wavelength that its filters pass.
    pub fn passband(self) -> (Nanometers, Nanometers) {
        (self.wavelength() - COARSE_HALF, self.wavelength() + COARSE_HALF)
    }

    /// Whether a wavelength lies in the passband.
    pub fn passes(self, at: Nanometers) -> bool {
        let (from, to) = self.passband();
        (from..=to).contains(&at)
    }

    /// `CWDM1551`.
    pub fn label(self) -> String {
        format!("CWDM{}", self.nanometers)
    }
}

/// A channel of either kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Channel {
    /// ITU-T G.694.1.
    Dense(DenseChannel),
    /// ITU-T G.694.2.
    Coarse(CoarseChannel),
}

impl Channel {
    /// Its name: the label of practice, else its frequency.
    pub fn name(self) -> String {
        match self {
            Self::Dense(channel) => channel.label().unwrap_or_else(|| channel.frequency().to_string()),
            Self::Coarse(channel) => channel.label(),
        }
    }

    /// Its middle.
    pub fn wavelength(self) -> Nanometers {
        match self {
            Self::Dense(channel) => channel.wavelength(),
            Self::Coarse(channel) => channel.wavelength(),
        }
    }

    /// What a laser on this channel sends over its life: an eighth of the spacing to either side on a
    /// dense grid (common practice), the central wavelength with its tolerance on the coarse one.
    pub fn band(self) -> Band {
        match self {
            Self::Coarse(channel) => {
                let (shortest, longest) = channel.passband();
                Band { shortest, nominal: channel.wavelength(), longest }
            }
            Self::Dense(channel) => {
                let away = Terahertz::from(channel.spacing.width() * 0.125);
                Band {
                    shortest: (channel.frequency() + away).wavelength(),
                    nominal: channel.wavelength(),
                    longest: (channel.frequency() - away).wavelength(),
                }
            }
        }
    }
}

/// Why a written channel was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChannelError {
    /// Neither a label nor a frequency.
    #[error("`{0}` is not a channel; expected {EXPECTED}")]
    NotAChannel(String),
    /// A number without a letter: makers count differently.
    #[error("`{0}` alone is ambiguous: makers count channels differently; write {EXPECTED}")]
    BareNumber(String),
    /// The letter and the number do not go together.
    #[error("there is no channel `{0}`: C15 to C61, H17 to H61, L1 to L14, S62 to S72")]
    NoSuchNumber(String),
    /// Not one of the eighteen coarse channels.
    #[error("there is no coarse channel at {0}: they stand every 20 nm from 1271 to 1611 nm")]
    NotCoarse(Nanometers),
    /// Between the channels of the finest grid.
    #[error("{at} lies on no grid of ITU-T G.694.1; the nearest channel is {nearest}")]
    OffGrid {
        /// What was written.
        at: Terahertz,
        /// The nearest channel of the finest grid.
        nearest: Terahertz,
    },
}

/// What can be written for a channel.
const EXPECTED: &str = "`C31`, `H31`, `193.1 THz` or `CWDM1551`";

impl Channel {
    /// Reads a label (`C31`, `H31`, `CWDM1551`) or a frequency (`193.1 THz`).
    ///
    /// A coarse channel may be written with its older label, 1 nm less (`CWDM1550`).
    ///
    /// # Errors
    /// [`ChannelError`] says what is wrong and what was expected.
    pub fn parse(text: &str) -> Result<Self, ChannelError> {
        let short: String = text.trim().chars().take(40).collect();
        let refused = || ChannelError::NotAChannel(short.clone());
        let upper = short.to_ascii_uppercase();
        if let Some(nanometers) = upper.strip_prefix("CWDM") {
            let number = nanometers.trim_start_matches(['-', ' ']).trim_end_matches("NM").trim_end();
            return coarse(number.parse().map_err(|_| refused())?);
        }
        if let Some(number) = upper.strip_suffix("THZ") {
            let terahertz: f64 = number.trim_end().parse().map_err(|_| refused())?;
            let light = LIGHT.contains(&terahertz);
            return if light { on_grid(Terahertz::new(terahertz)) } else { Err(refused()) };
        }
        if upper.parse::<f64>().is_ok() {
            return Err(ChannelError::BareNumber(short));
        }
        let mut letters = upper.chars();
        let letter = letters.next().filter(|letter| "CHLS".contains(*letter)).ok_or_else(refused)?;
        let number: i32 = letters.as_str().trim_start_matches('-').parse().map_err(|_| refused())?;
        labeled(letter, number).ok_or(ChannelError::NoSuchNumber(short))
    }
}

fn labeled(written: char, number: i32) -> Option<Channel> {
    let dense = |n, spacing| Some(Channel::Dense(DenseChannel { n, spacing }));
    let away = number.checked_sub(ANCHOR_NUMBER)?;
    if written == 'H' {
        half_letter(number)?;
        return dense(2 * away + 1, Spacing::Ghz50);
    }
    letter(number).filter(|letter| *letter == written)?;
    dense(away, Spacing::Ghz100)
}

fn coarse(number: u16) -> Result<Channel, ChannelError> {
    let at = Nanometers::new(f64::from(number));
    let found = CoarseChannel::all().find(|channel| {
        channel.nanometers == number || channel.nanometers.checked_sub(1) == Some(number)
    });
    found.map(Channel::Coarse).ok_or(ChannelError::NotCoarse(at))
}

/// The channel of the widest grid that has this frequency.
fn on_grid(at: Terahertz) -> Result<Channel, ChannelError> {
    /// A frequency is written with five decimals at most: 12.5 GHz is 0.0125 THz.
    const WRITTEN_THZ: f64 = 1e-5;
    let candidates = Spacing::ALL.map(|spacing| DenseChannel::nearest(at.wavelength(), spacing));
    let fits = |channel: &&DenseChannel| (channel.frequency() - at).value().abs() < WRITTEN_THZ;
    candidates.iter().find(fits).map(|channel| Channel::Dense(*channel)).ok_or_else(|| {
        let nearest = candidates[candidates.len() - 1].frequency();
        ChannelError::OffGrid { at, nearest }
    })
}

/// Reads a wavelength; a number without a unit is taken as nanometers.
///
/// # Errors
/// [`UnitError`] names what is wrong and what was expected.
pub fn parse_wavelength(text: &str) -> Result<Nanometers, UnitError> {
    match Nanometers::parse(text) {
        Err(UnitError::MissingUnit { .. }) => Nanometers::parse(&format!("{} nm", text.trim())),
        other => other,
    }
}
