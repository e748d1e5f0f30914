//! [`Convolver`]: computes the law of a sum once and remembers it by content.

use super::chance::cases;
use super::distribution::{CaseLaw, Chances, Law, LossDistribution, Mixture};
use super::fidelity::{Decays, Errors, Reading};
use super::kernel::Kernel;
use super::lattice::{Lattice, Level, SPREADING};
use super::spectrum::{Factor, Grid, Masses, Plans, Spectrum};
use super::sum::{LossSum, joined};
use super::window::window;
use rustc_hash::FxHashMap;
use std::f64::consts::PI;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, PoisonError, RwLock};

/// Most lattice points remembered (8 bytes each); beyond it all are forgotten and computed anew.
const MOST_POINTS: usize = 24 << 20;
/// Steps in a standard deviation of the sum of `n` elements: this times the root of `n + 2`, which
/// holds the variance that a lattice adds, and then takes off, to a two-thousandth of the sum's.
const STEPS_IN_SPREAD: f64 = 20.0;
/// Probability that a lattice may miss because it is too coarse; refined by as much as `FINEST`
/// steps in a standard deviation.
const UNCARRIED: f64 = 5e-8;
const FINEST: f64 = 1024.0;
/// Bound on the error of quantiles, dB, above which a lattice is made finer, down to `FINEST_HELD` steps
/// in a standard deviation.
const HELD_SHIFT: f64 = 4e-3;
const FINEST_HELD: f64 = 16_384.0;
/// Distance of levels of normal variance, as a part of the sum's variance.
const VARIANCE_APART: f64 = 1.0 / 4096.0;
/// Distance of levels of the normal part's standard deviation, dB, where the other laws are so few
/// that their sum has kinks.
const SPREAD_APART: f64 = 1.0 / 4096.0;
/// Error of probabilities below which a law is taken as it is known.
const SHARP: f64 = 5e-8;
/// Magnitude below which a spectrum counts as nothing.
const CARRIED: f64 = 1e-9;

/// Computes laws of sums of losses and remembers them by content; made to be shared by threads.
///
/// Two sums whose random parts agree share one computed law whatever their constant parts. Normal
/// parts are computed at levels of their variance (1/512 of the sum's variance apart, or less); a sum
/// between two levels reads both. So a million light paths whose fibers all differ in length need a
/// few dozen computed laws. Results depend on the sum asked for alone,
/// not on what was asked before. Memory stays below 200 MB.
pub struct Convolver {
    families: RwLock<Families>,
    factors: RwLock<Factors>,
    plans: Plans,
    points: AtomicUsize,
}

/// What is remembered, by the random part of a sum.
type Families = FxHashMap<Box<[(Kernel, u32)]>, Arc<Family>>;

/// Spectra of single laws, by the law and the grid (its step and its length): sums that differ in how
/// often each law comes share them.
type Factors = FxHashMap<(Kernel, u64, usize), Arc<Factor>>;

impl Default for Convolver {
    fn default() -> Self {
        Self::new()
    }
}

impl Convolver {
    /// A convolver that remembers nothing yet.
    pub fn new() -> Self {
        Self {
            families: RwLock::default(),
            factors: RwLock::default(),
            plans: Plans::new(),
            points: AtomicUsize::new(0),
        }
    }

    /// The law of a sum of independent losses.
    pub fn distribution(&self, sum: &LossSum) -> LossDistribution {
        if sum.chances.is_empty() {
            return self.certain(sum);
        }
        let (cases, left_out) = cases(sum);
        let mut laws: Vec<CaseLaw> = Vec::with_capacity(cases.len());
        for case in cases {
            // Cases that differ by constant losses alone share one law.
            let alike = |known: &&CaseLaw| {
                known.sum.variance == case.sum.variance && known.sum.kernels == case.sum.kernels
            };
            let law = match laws.iter().find(alike) {
                Some(known) => {
                    let moved = case.sum.constant - known.sum.constant;
                    let (constant, mean) = (case.sum.constant, known.law.mean + moved);
                    LossDistribution { constant, mean, ..known.law.clone() }
                }
                None => self.certain(&case.sum),
            };
            laws.push(CaseLaw { probability: case.probability, sum: case.sum, law });
        }
        LossDistribution {
            constant: sum.constant,
            mean: sum.mean().value(),
            spread: sum.spread().value(),
            law: Law::Chance(Arc::new(Chances { cases: laws, left_out })),
        }
    }

    /// The law of a sum without chances.
    fn certain(&self, sum: &LossSum) -> LossDistribution {
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
        let level = family.level_below(variance);
        let lower = self.lattice(family, level);
        let (low, high) = (level.spread * level.spread, level.next * level.next);
        if variance <= low {
            return Law::Lattice(Mixture { upper: Arc::clone(&lower), lower, weight: 0.0 });
        }
        let upper = self.lattice(family, family.level_above(level));
        Law::Lattice(Mixture { lower, upper, weight: ((variance - low) / (high - low)).min(1.0) })
    }

    /// Masses of the random part of a sum on a lattice of this step, and bounds on what they do to an
    /// expectation.
    ///
    /// A law well known that has no spectrum near the lattice's frequency is sampled: sums over the
    /// samples are then integrals. Any other is split between the lattice points.
    pub(super) fn masses(&self, sum: &LossSum, law: &LossDistribution, step: f64) -> (Masses, Errors) {
        let Law::Chance(chances) = &law.law else {
            return self.certain_masses(sum, law, step, 0.0);
        };
        let cases = chances.cases.iter().map(|case| {
            let (masses, errors) = self.certain_masses(&case.sum, &case.law, step, case.law.constant);
            (case.probability, masses, errors)
        });
        let (parts, errors): (Vec<_>, Vec<_>) =
            cases.map(|(weight, masses, errors)| ((weight, masses), (weight, errors))).unzip();
        (Masses::mixed(step, &parts), Errors::Cases(errors))
    }

    /// The same for a sum without chances, moved up by `moved`.
    fn certain_masses(
        &self,
        sum: &LossSum,
        law: &LossDistribution,
        step: f64,
        moved: f64,
    ) -> (Masses, Errors) {
        if let Law::Fixed = law.law {
            let masses = Masses { step, first: 0, values: vec![1.0] };
            return (masses.moved(moved), Errors::Law(0.0));
        }
        let family = self.family(&sum.kernels);
        let (low, high) = law.random_limits();
        let first = ((low + moved) / step).floor() as i64;
        if family.is_carried(sum.variance, step)
            && law.probability_error() < SHARP
            && let Some(density) = law.random_density()
        {
            let last = ((high + moved) / step).ceil() as i64;
            let values = (first..=last).map(|k| step * density(k as f64 * step - moved)).collect();
            let errors = Errors::Law(law.probability_error());
            return (Masses { step, first, values }.normalized(), errors);
        }
        let grid = Grid::covering(high - low, step);
        let spectrum = self.spectrum(&family, grid);
        let masses =
            spectrum.masses(sum.variance, spectrum.inflation, first_point(low, grid), &self.plans);
        let squared = step * step;
        let reading = Reading {
            variance: sum.variance / squared,
            apart: 0.0,
            excess: spectrum.inflation / squared + SPREADING,
        };
        // Sharpening puts mass one step beside where there is any.
        (
            masses.within(low - step, high + step).normalized().moved(moved),
            Errors::of_step(&spectrum.fidelity, &reading),
        )
    }

    /// The widest lattice step that serves an expectation over a sum.
    ///
    /// What comes by chance makes no law narrower, so the step of what is certain serves it too; where
    /// nothing else has a spread, any step does.
    pub(super) fn widest_step(&self, sum: &LossSum) -> f64 {
        if sum.variance == 0.0 && sum.kernels.is_empty() {
            return sum.spread().value();
        }
        let family = self.family(&sum.kernels);
        let spread = (family.variance + sum.variance).sqrt();
        let narrowest = spread / (STEPS_IN_SPREAD * (family.cells + 2.0).sqrt());
        let mut step = 0.25 * spread;
        while step > narrowest && !family.is_carried(sum.variance, step) {
            step *= 0.8;
        }
        step.max(narrowest)
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

    fn lattice(&self, family: &Family, level: Level) -> Arc<Lattice> {
        let key = (level.spread.to_bits(), level.next.to_bits());
        let lattices = family.lattices.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(lattice) = lattices.get(&key) {
            return Arc::clone(lattice);
        }
        drop(lattices);
        let lattice = Arc::new(self.computed(family, level));
        self.account(lattice.len());
        let mut lattices = family.lattices.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(lattices.entry(key).or_insert(lattice))
    }

    fn computed(&self, family: &Family, level: Level) -> Lattice {
        let variance = level.spread * level.spread;
        let (low, high) = window(&family.kernels, variance);
        let spread = (family.variance + variance).sqrt();
        let mut step = family.step(variance);
        loop {
            let grid = Grid::covering(high - low, step);
            let spectrum = self.spectrum(family, grid);
            let lattice = Lattice::new(&spectrum, family.cells, level, |excess| {
                spectrum.masses(variance, excess, first_point(low, grid), &self.plans)
            });
            // The step was chosen by an estimate; what counts is the bound that came of it.
            let finest = step * FINEST_HELD < spread || grid.step > step;
            if lattice.shift <= HELD_SHIFT || finest {
                return lattice;
            }
            step *= 0.5;
        }
    }

    fn spectrum(&self, family: &Family, grid: Grid) -> Arc<Spectrum> {
        let spectra = family.spectra.read().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, spectrum)) = spectra.iter().find(|(held, _)| *held == grid) {
            return Arc::clone(spectrum);
        }
        drop(spectra);
        let spectrum = Arc::new(Spectrum::of(&family.kernels, grid, |kernel| self.factor(kernel, grid)));
        self.account(grid.len);
        let mut spectra = family.spectra.write().unwrap_or_else(PoisonError::into_inner);
        spectra.push((grid, Arc::clone(&spectrum)));
        spectrum
    }

    fn factor(&self, kernel: &Kernel, grid: Grid) -> Arc<Factor> {
        let key = (*kernel, grid.step.to_bits(), grid.len);
        let factors = self.factors.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(factor) = factors.get(&key) {
            return Arc::clone(factor);
        }
        drop(factors);
        let factor = Arc::new(Factor::of(kernel, grid, &self.plans));
        self.account(2 * grid.len);
        let mut factors = self.factors.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(factors.entry(key).or_insert(factor))
    }

    /// Counts points about to be remembered, and forgets everything when they are too many.
    fn account(&self, points: usize) {
        if self.points.fetch_add(points, Ordering::Relaxed) + points > MOST_POINTS {
            self.families.write().unwrap_or_else(PoisonError::into_inner).clear();
            self.factors.write().unwrap_or_else(PoisonError::into_inner).clear();
            self.points.store(points, Ordering::Relaxed);
        }
    }
}

/// The lattice point to begin with when nothing lies below `low`.
fn first_point(low: f64, grid: Grid) -> i64 {
    (low / grid.step).floor() as i64 - 4
}

/// All sums with the same laws besides the normal ones.
struct Family {
    kernels: Vec<(Kernel, u32)>,
    /// Elements to be split.
    cells: f64,
    mean: f64,
    variance: f64,
    decays: Decays,
    /// Whether levels of normal variance may be told apart by variance alone.
    smooth: bool,
    spectra: RwLock<Vec<(Grid, Arc<Spectrum>)>>,
    /// By standard deviation of the normal part and distance of levels there.
    lattices: RwLock<FxHashMap<(u64, u64), Arc<Lattice>>>,
}

impl Family {
    fn of(kernels: &[(Kernel, u32)]) -> Self {
        let kernels = joined(kernels);
        let total =
            |each: fn(&Kernel) -> f64| kernels.iter().map(|(k, n)| f64::from(*n) * each(k)).sum::<f64>();
        let variance = total(Kernel::variance);
        let decays = Decays::of(&kernels);
        // Mixing two variances `d` apart errs most at frequencies about `32^(1/4) / sqrt(d)`.
        let worst = 32_f64.powf(0.25) / (VARIANCE_APART * variance).sqrt();
        Self {
            cells: total(|_| 1.0),
            mean: total(Kernel::mean),
            variance,
            smooth: decays.magnitude(0.0, worst) < UNCARRIED,
            decays,
            kernels,
            spectra: RwLock::default(),
            lattices: RwLock::default(),
        }
    }

    /// The level of standard deviation at or below that of a normal part of this variance, and the
    /// next.
    fn level_below(&self, variance: f64) -> Level {
        let spread = variance.sqrt();
        if spread == 0.0 {
            return Level { spread, next: spread };
        }
        if self.smooth {
            let level = ((variance / self.variance).ln_1p() / VARIANCE_APART).floor();
            let spread_of = |level: f64| (self.variance * (VARIANCE_APART * level).exp_m1()).sqrt();
            return Level { spread: spread_of(level), next: spread_of(level + 1.0) };
        }
        let apart = (VARIANCE_APART * (self.variance + variance) / (2.0 * spread)).min(SPREAD_APART);
        let apart = apart.log2().floor().exp2();
        let level = (spread / apart).floor() * apart;
        Level { spread: level, next: level + apart }
    }

    fn level_above(&self, level: Level) -> Level {
        // A little more than the level itself, against rounding to the one below.
        let above = self.level_below(level.next * level.next * (1.0 + 1e-9));
        Level { spread: level.next, next: above.next }
    }

    /// Whether a sum has no spectrum near the frequency of a lattice: then sums over lattice points are
    /// integrals, also over the product with what varies at up to half that frequency.
    fn is_carried(&self, variance: f64, step: f64) -> bool {
        self.decays.magnitude(variance, 1.5 * PI / step) < CARRIED
    }

    /// The lattice step for a sum with a normal part of this variance, one of four to an octave, so that
    /// sums share spectra.
    fn step(&self, variance: f64) -> f64 {
        let spread = (self.variance + variance).sqrt();
        let mut step = spread / (STEPS_IN_SPREAD * (self.cells + 2.0).sqrt());
        while step * FINEST > spread && self.decays.uncarried(variance, spread, step) > UNCARRIED {
            step *= 0.8;
        }
        ((step.log2() * 4.0).floor() / 4.0).exp2()
    }
}
