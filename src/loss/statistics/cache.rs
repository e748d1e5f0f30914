//! [`Convolver`]: computes the law of a sum once and remembers it by content.

use super::distribution::{Law, LossDistribution};
use super::kernel::Kernel;
use super::lattice::{Lattice, Making, SLACK};
use super::spectrum::{Grid, Plans, Spectrum, sharpen};
use super::sum::{LossSum, joined};
use super::window::window;
use rustc_hash::FxHashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, PoisonError, RwLock};

/// Most lattice points remembered (8 bytes each); beyond it all are forgotten and computed anew.
const MOST_POINTS: usize = 24 << 20;
/// Aim for the error bound of a quantile, dB.
const AIM: f64 = 0.0042;
/// Widest lattice step, dB.
const WIDEST_STEP: f64 = 1.0 / 1024.0;
/// Steps in a standard deviation of the sum, at least.
const STEPS_IN_SPREAD: f64 = 200.0;

/// Computes laws of sums of losses and remembers them by content; made to be shared by threads.
///
/// Two sums whose random parts agree share one computed law whatever their constant parts. Normal
/// parts are computed at levels of their standard deviation (at most 1/4096 dB and 1/512 of the
/// sum's spread apart); a sum between two levels reads both. So a million light paths whose fibers
/// all differ in length need a few hundred computed laws. Results depend on the sum asked for alone,
/// not on what was asked before. Memory stays below 200 MB.
pub struct Convolver {
    families: RwLock<FxHashMap<Box<[(Kernel, u32)]>, Arc<Family>>>,
    plans: Plans,
    points: AtomicUsize,
}

impl Default for Convolver {
    fn default() -> Self {
        Self::new()
    }
}

impl Convolver {
    /// A convolver that remembers nothing yet.
    pub fn new() -> Self {
        Self { families: RwLock::default(), plans: Plans::new(), points: AtomicUsize::new(0) }
    }

    /// The law of a sum of independent losses.
    pub fn distribution(&self, sum: &LossSum) -> LossDistribution {
        if sum.kernels.is_empty() {
            let spread = sum.variance.sqrt();
            let law = if spread > 0.0 { Law::Normal { spread } } else { Law::Fixed };
            return LossDistribution { constant: sum.constant, mean: sum.constant, spread, law };
        }
        let family = self.family(&sum.kernels);
        LossDistribution {
            constant: sum.constant,
            mean: sum.constant + family.mean,
            spread: (family.variance + sum.variance).sqrt(),
            law: self.law(&family, sum.variance),
        }
    }

    fn law(&self, family: &Family, variance: f64) -> Law {
        if let ([(kernel, 1)], true) = (family.kernels.as_slice(), variance == 0.0) {
            return Law::Single(*kernel);
        }
        let (low, high) = family.levels_around(variance);
        let lower = self.lattice(family, low, high - low);
        if variance <= low * low {
            return Law::Lattice { upper: Arc::clone(&lower), lower, weight: 0.0 };
        }
        let upper = self.lattice(family, high, high - low);
        let weight = (variance - low * low) / (high * high - low * low);
        Law::Lattice { lower, upper, weight: weight.clamp(0.0, 1.0) }
    }

    /// Masses of the random part of a sum on the points `k * step`, from the first point on; and the
    /// variance the lattice added (already taken off to first order).
    pub(super) fn masses(&self, sum: &LossSum, step: f64) -> Masses {
        let family = self.family(&sum.kernels);
        let (low, high) = window(&family.kernels, sum.variance);
        let grid = Grid::covering(high - low, step);
        let spectrum = self.spectrum(&family, grid);
        let first = (low / grid.step).floor() as i64 - 4;
        let mut masses = spectrum.masses(sum.variance, first, &self.plans);
        sharpen(&mut masses, spectrum.inflation / (grid.step * grid.step));
        Masses { step: grid.step, first, masses, inflation: spectrum.inflation }
    }

    /// Limits outside of which the random part of a sum lies with probability below 1e-12.
    pub(super) fn random_limits(&self, sum: &LossSum) -> (f64, f64) {
        let normal = 7.5 * sum.variance.sqrt();
        if sum.kernels.is_empty() {
            return (-normal, normal);
        }
        let family = self.family(&sum.kernels);
        (family.window.0 - normal, family.window.1 + normal)
    }

    pub(super) fn plans(&self) -> &Plans {
        &self.plans
    }

    fn family(&self, kernels: &[(Kernel, u32)]) -> Arc<Family> {
        let families = self.families.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(family) = families.get(kernels) {
            return Arc::clone(family);
        }
        drop(families);
        let family = Arc::new(Family::of(kernels));
        self.account(64);
        let mut families = self.families.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(families.entry(kernels.into()).or_insert(family))
    }

    fn lattice(&self, family: &Family, level: f64, apart: f64) -> Arc<Lattice> {
        let key = (level.to_bits(), apart.to_bits());
        let lattices = family.lattices.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(lattice) = lattices.get(&key) {
            return Arc::clone(lattice);
        }
        drop(lattices);
        let lattice = Arc::new(self.computed(family, level, apart));
        self.account(lattice.len());
        let mut lattices = family.lattices.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(lattices.entry(key).or_insert(lattice))
    }

    fn computed(&self, family: &Family, level: f64, apart: f64) -> Lattice {
        let variance = level * level;
        let t0=std::time::Instant::now();
        let (low, high) = window(&family.kernels, variance);
        let t1=std::time::Instant::now();
        let grid = Grid::covering(high - low, family.step((family.variance + variance).sqrt()));
        let spectrum = self.spectrum(family, grid);
        let making = Making {
            step: grid.step,
            first: (low / grid.step).floor() as i64 - 4,
            inflation: spectrum.inflation,
            cells: family.cells,
            level: apart,
        };
        let t2=std::time::Instant::now();
        let m = spectrum.masses(variance, making.first, &self.plans);
        let t3=std::time::Instant::now();
        let l=Lattice::new(m, &making);
        eprintln!("window {:?} ({low} {high}) spectrum {:?} masses {:?} lattice {:?} {grid:?}",t1-t0,t2-t1,t3-t2,t3.elapsed());
        l
    }

    fn spectrum(&self, family: &Family, grid: Grid) -> Arc<Spectrum> {
        let spectra = family.spectra.read().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, spectrum)) = spectra.iter().find(|(held, _)| *held == grid) {
            return Arc::clone(spectrum);
        }
        drop(spectra);
        let spectrum = Arc::new(Spectrum::of(&family.kernels, grid, &self.plans));
        self.account(grid.len);
        let mut spectra = family.spectra.write().unwrap_or_else(PoisonError::into_inner);
        spectra.push((grid, Arc::clone(&spectrum)));
        spectrum
    }

    /// Counts points about to be remembered, and forgets everything when they are too many.
    fn account(&self, points: usize) {
        if self.points.fetch_add(points, Ordering::Relaxed) + points > MOST_POINTS {
            self.families.write().unwrap_or_else(PoisonError::into_inner).clear();
            self.points.store(points, Ordering::Relaxed);
        }
    }
}

/// See [`Convolver::masses`].
pub(super) struct Masses {
    pub(super) step: f64,
    pub(super) first: i64,
    pub(super) masses: Vec<f64>,
    pub(super) inflation: f64,
}

/// All sums with the same laws besides the normal ones.
struct Family {
    kernels: Vec<(Kernel, u32)>,
    /// Elements to be split.
    cells: f64,
    mean: f64,
    variance: f64,
    window: (f64, f64),
    spectra: RwLock<Vec<(Grid, Arc<Spectrum>)>>,
    /// By standard deviation of the normal part and distance of levels there.
    lattices: RwLock<FxHashMap<(u64, u64), Arc<Lattice>>>,
}

impl Family {
    fn of(kernels: &[(Kernel, u32)]) -> Self {
        let kernels = joined(kernels);
        let total = |each: fn(&Kernel) -> f64| kernels.iter().map(|(k, n)| f64::from(*n) * each(k)).sum();
        Self {
            cells: total(|_| 1.0),
            mean: total(Kernel::mean),
            variance: total(Kernel::variance),
            window: window(&kernels, 0.0),
            kernels,
            spectra: RwLock::default(),
            lattices: RwLock::default(),
        }
    }

    /// The levels of standard deviation at or below and above a normal part of this variance.
    fn levels_around(&self, variance: f64) -> (f64, f64) {
        let octave = (self.variance + variance).sqrt().log2().floor() - 9.0;
        let apart = octave.min(-12.0).exp2();
        let low = (variance.sqrt() / apart).floor() * apart;
        (low, low + apart)
    }

    /// The lattice step that keeps the error bound near its aim: a power of two, so that sums share
    /// spectra.
    fn step(&self, spread: f64) -> f64 {
        let soft = (-2.0 * SLACK.ln() * 0.25 * (self.cells + 1.0)).sqrt();
        let aim = AIM / soft.min(self.cells + 0.5);
        aim.min(spread / STEPS_IN_SPREAD).min(WIDEST_STEP).log2().floor().exp2()
    }
}
