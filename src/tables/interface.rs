//! Point-to-point interface types.

use super::{Band, ByGrade, FiberKind, Grade};
use crate::units::{
    DecibelMilliwatts, Decibels, GigabitsPerSecond, Kilometers, Megabaud, Nanometers, PsPerNm,
};

/// In which terms a level is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LevelTerms {
    /// Mean optical power.
    Mean,
    /// Optical modulation amplitude.
    Oma,
    /// Stressed sensitivity in optical modulation amplitude.
    StressedOma,
    /// A formula of the transmitter's quality (TDEC, SECQ).
    Formula,
}

impl LevelTerms {
    /// From the word in a table; `None` for an unknown word.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "mean" => Some(Self::Mean),
            "oma" => Some(Self::Oma),
            "stressed-oma" => Some(Self::StressedOma),
            "formula" => Some(Self::Formula),
            _ => None,
        }
    }
}

/// The words for error correction: none; the code of BASE-R (clause 74); Reed-Solomon RS(528,514) and
/// RS(544,514); the codes of coherent modules.
pub const FEC_WORDS: [&str; 6] = ["none", "fc", "rs528", "rs544", "cfec", "ofec"];

/// One interface type. An empty figure is not known and is never guessed.
#[derive(Debug, Clone, PartialEq)]
pub struct Interface {
    /// `standard`, `msa` or `common-practice`.
    pub status: String,
    /// Data rate.
    pub rate: Option<GigabitsPerSecond>,
    /// Optical lanes per direction.
    pub lanes: u16,
    /// Modulation, as the clause names it.
    pub modulation: String,
    /// Fiber kind.
    pub fiber_kind: FiberKind,
    /// Fibers used: 1 for single-fiber, 2 for duplex, more for parallel.
    pub fibers: u16,
    /// Transmit wavelength per lane.
    pub transmit: Vec<Band>,
    /// Receiver's wavelength range per lane; empty = its own transmit range.
    pub receive: Vec<(Nanometers, Nanometers)>,
    /// Terms of the launch levels.
    pub levels: Option<LevelTerms>,
    /// Mean launch power per lane, least and most.
    pub launch: [Option<DecibelMilliwatts>; 2],
    /// Least launch in OMA per lane.
    pub launch_oma: Option<DecibelMilliwatts>,
    /// Least launch in OMA less its penalty per lane.
    pub launch_oma_less_penalty: Option<DecibelMilliwatts>,
    /// Greatest total launch over all lanes.
    pub launch_total: Option<DecibelMilliwatts>,
    /// Least mean power at the receiver (what the channel loss leaves), per lane.
    pub receive_min: Option<DecibelMilliwatts>,
    /// Receiver sensitivity and its terms.
    pub sensitivity: Option<(DecibelMilliwatts, Option<LevelTerms>)>,
    /// Receiver overload and its terms.
    pub overload: Option<(DecibelMilliwatts, Option<LevelTerms>)>,
    /// Damage level.
    pub damage: Option<DecibelMilliwatts>,
    /// Greatest channel insertion loss.
    pub max_channel_loss: ByGrade,
    /// Least channel insertion loss.
    pub min_channel_loss: Option<Decibels>,
    /// Power budget, penalties included.
    pub power_budget: Option<Decibels>,
    /// Allocation for penalties.
    pub penalty: ByGrade,
    /// Accumulated dispersion allowed, least and most; see [`Interface::dispersion_limits`].
    pub dispersion: [Option<PsPerNm>; 2],
    /// Line rate of a lane.
    pub lane_rate: Option<Megabaud>,
    /// Root mean square width of the transmitter's line, where it is broad.
    pub line_width: Option<Nanometers>,
    /// Return loss the link must keep.
    pub min_return_loss: Option<Decibels>,
    /// Greatest reflectance of a single event (negative).
    pub max_reflectance: Option<Decibels>,
    /// Forward error correction it is specified with: `none`, `fc` (fire code), `rs528`, `rs544`,
    /// `scfec`, `cfec`, `ofec`, `in-module` (done by the module, unseen by the host); empty = not
    /// known or optional.
    pub fec: String,
    /// Reach on single-mode fiber.
    pub reach_single_mode: Option<Kilometers>,
    /// Reach on OM1 to OM5.
    pub reach_multimode: [Option<Kilometers>; 5],
    /// Allocation for connections.
    pub connector_loss: Option<Decibels>,
    /// Usual connector.
    pub connector: String,
    /// Interface types at the far end that work with this one.
    pub mates_with: Vec<String>,
}

/// Accumulated dispersion that an interface stands.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DispersionLimits {
    /// Least and most.
    pub range: [Option<PsPerNm>; 2],
    /// Whether they follow from bit rate and line width, the interface stating none.
    pub is_assumed: bool,
}

impl Interface {
    /// Whether the receiver takes light by its phase, and mends chromatic and polarization mode dispersion.
    pub fn is_coherent(&self) -> bool {
        self.modulation.contains("coherent") || self.modulation.starts_with("DP-")
    }

    /// The accumulated dispersion that it stands. One that states none and sends on and off over single-mode
    /// fiber stands what its bit rate B leaves: with a broad line of width w (root mean square) the magnitude
    /// 0.115 / (B w), a penalty of 1 dB; with a line that is narrow against the modulation and not chirped
    /// 1e5 / B² ps/nm, B in Gbit/s (textbook forms, the latter as in Kolimbiris, section 12).
    pub fn dispersion_limits(&self) -> DispersionLimits {
        let stated = DispersionLimits { range: self.dispersion, is_assumed: false };
        let is_plain = self.fiber_kind == FiberKind::SingleMode && self.modulation.starts_with("NRZ");
        let Some(rate) = self.lane_rate.filter(|_| self.dispersion == [None, None] && is_plain) else {
            return stated;
        };
        let gigabaud = rate.value() / 1000.0;
        let most = match self.line_width {
            Some(width) => 0.115 / (gigabaud * 1e-3 * width.value()),
            None => 1e5 / (gigabaud * gigabaud),
        };
        DispersionLimits {
            range: [Some(PsPerNm::new(-most)), Some(PsPerNm::new(most))],
            is_assumed: true,
        }
    }

    /// The stated reach on a fiber type; `None` where the type gives none for it.
    pub fn reach(&self, fiber: &str, kind: FiberKind) -> Option<Kilometers> {
        match kind {
            FiberKind::SingleMode => self.reach_single_mode,
            FiberKind::Multimode => self.reach_multimode[Grade::of(fiber)?.index()],
        }
    }
}
