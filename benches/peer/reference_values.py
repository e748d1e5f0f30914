"""Reference values for tests/statistics.rs: laws of sums of losses and joint yields of trees.

Works with general-purpose libraries alone (mpmath, numpy, scipy) and by other means than the engine:
no lattice and no fast Fourier transform. Sums are found by direct quadrature in 30 digits or by
Gil-Pelaez inversion of the exact characteristic function, F(x) = 1/2 - 1/pi * integral over w > 0 of
Im(exp(-i w x) phi(w)) / w; joint yields by nested Gauss-Legendre quadrature. Each value is printed
with the difference to the same value from a coarser rule.

    python3 -m venv venv && venv/bin/pip install numpy scipy mpmath
    venv/bin/python reference_values.py
"""

import mpmath as mp
import numpy as np
from scipy import optimize, special, stats

mp.mp.dps = 30

# Weibull fit of a single-mode connector of grade B: mean 0.12 dB, 97 % at most 0.25 dB.
STEEPNESS, SCALE = 2.04728690506, 0.135454100238


# --- two Weibull laws: direct quadrature ---------------------------------------------------------


def two_weibull_cdf(x):
    k, s = mp.mpf(STEEPNESS), mp.mpf(SCALE)
    cdf = lambda t: 1 - mp.exp(-((t / s) ** k))
    pdf = lambda t: k / s * (t / s) ** (k - 1) * mp.exp(-((t / s) ** k))
    return mp.quad(lambda t: pdf(t) * cdf(x - t), mp.linspace(0, x, 9))


def two_weibull():
    for x in ("0.2", "0.3", "0.4"):
        print(f"two Weibull laws, P(<= {x}) = {mp.nstr(two_weibull_cdf(mp.mpf(x)), 15)}")
    for p, start in (("0.97", 0.43), ("0.999", 0.58)):
        q = mp.findroot(lambda x: two_weibull_cdf(x) - mp.mpf(p), (start, start + 0.02), solver="secant", tol=1e-24)
        print(f"two Weibull laws, quantile {p} = {mp.nstr(q, 15)}")


# --- characteristic functions --------------------------------------------------------------------


def by_quantiles(quantile, panels, points):
    """Characteristic function from E[exp(iwX)] = integral over u of exp(iw Q(u)), with u = Phi(z)."""
    nodes, weights = np.polynomial.legendre.leggauss(points)
    edges = np.linspace(-9.0, 9.0, panels + 1)
    z = np.concatenate([(b - a) / 2 * nodes + (a + b) / 2 for a, b in zip(edges, edges[1:])])
    w = np.concatenate([(b - a) / 2 * weights for a, b in zip(edges, edges[1:])])
    x = quantile(z)
    mass = w * np.exp(-z * z / 2) / np.sqrt(2 * np.pi)
    return lambda omega: np.exp(1j * np.outer(omega, x)) @ mass


def weibull(steepness, scale, rule):
    # -ln(1 - Phi(z)) keeps its precision in both tails.
    return by_quantiles(lambda z: scale * (-special.log_ndtr(-z)) ** (1 / steepness), *rule)


def log_normal(mean, sd, rule):
    spread = np.sqrt(np.log1p((sd / mean) ** 2))
    location = np.log(mean) - spread**2 / 2
    return by_quantiles(lambda z: np.exp(location + spread * z), *rule)


def half_normal(sigma, rule):
    return by_quantiles(lambda z: sigma * -special.ndtri(special.ndtr(-z) / 2), *rule)


def gamma(shape, scale):
    return lambda omega: (1 - 1j * scale * omega) ** -shape


def normal(mean, sd):
    return lambda omega: np.exp(1j * mean * omega - 0.5 * (sd * omega) ** 2)


def uniform(low, high):
    return lambda omega: np.exp(0.5j * (low + high) * omega) * np.sinc(omega * (high - low) / 2 / np.pi)


class Sum:
    """A sum of laws, each a characteristic function with its number."""

    def __init__(self, parts, highest, panels):
        nodes, weights = np.polynomial.legendre.leggauss(20)
        edges = np.linspace(0.0, highest, panels + 1)
        self.omega = np.concatenate([(b - a) / 2 * nodes + (a + b) / 2 for a, b in zip(edges, edges[1:])])
        self.weight = np.concatenate([(b - a) / 2 * weights for a, b in zip(edges, edges[1:])])
        self.phi = np.ones_like(self.omega, dtype=complex)
        for part, count in parts:
            self.phi *= part(self.omega) ** count

    def cdf(self, x):
        values = np.imag(np.exp(-1j * self.omega * x) * self.phi) / self.omega
        return 0.5 - self.weight @ values / np.pi

    def quantile(self, p, low, high):
        return optimize.brentq(lambda x: self.cdf(x) - p, low, high, xtol=1e-14, rtol=1e-14)


def report(name, make, limits, quantiles, bracket, highest):
    fine = Sum(make((160, 12)), highest, 900)
    coarse = Sum(make((110, 12)), highest * 0.8, 500)
    print(f"{name}: |phi| at the end {abs(fine.phi[-1]):.1e}")
    for x in limits:
        print(f"  P(<= {x}) = {fine.cdf(x):.14f}   coarser differs by {fine.cdf(x) - coarse.cdf(x):.1e}")
    for p in quantiles:
        q, other = fine.quantile(p, *bracket), coarse.quantile(p, *bracket)
        print(f"  quantile {p} = {q:.13f}   coarser differs by {q - other:.1e}")


def sums():
    report(
        "8 Weibull connectors + 10 exponential splices of mean 0.05 + N(7, 0.12)",
        lambda rule: [(weibull(STEEPNESS, SCALE, rule), 8), (gamma(1, 0.05), 10), (normal(7, 0.12), 1)],
        (8.3, 8.8, 9.2), (0.97, 0.999), (7.5, 11.0), 75.0,
    )
    report(
        "4 gamma connectors + 6 lognormal splices (0.05, 0.03) + U(3.2, 3.8) + N(2.1, 0.05)",
        lambda rule: [
            (gamma(4.28278937683, 0.0280191224554), 4), (log_normal(0.05, 0.03, rule), 6),
            (uniform(3.2, 3.8), 1), (normal(2.1, 0.05), 1),
        ],
        (6.1, 6.4, 6.8), (0.97, 0.999), (5.5, 8.5), 170.0,
    )
    report(
        "3 half-normal (0.2) + 2 Weibull + 4 exponential of mean 0.08",
        lambda rule: [(half_normal(0.2, rule), 3), (weibull(STEEPNESS, SCALE, rule), 2), (gamma(1, 0.08), 4)],
        (0.8, 1.1, 1.6), (0.97, 0.999), (0.5, 3.0), 1500.0,
    )
    report(
        "10 exponential of mean 0.05 + 2 Weibull + N(0, 0.02), far tail",
        lambda rule: [(gamma(1, 0.05), 10), (weibull(STEEPNESS, SCALE, rule), 2), (normal(0, 0.02), 1)],
        (1.0,), (1 - 1e-6, 1 - 1e-9), (0.5, 4.0), 420.0,
    )
    report(
        "40 elements: 20 exponential 0.05, 14 Weibull, 4 lognormal (0.25, 0.108), 3 + gamma (0.4, 0.15), N(7, 0.12)",
        lambda rule: [
            (gamma(1, 0.05), 20), (weibull(STEEPNESS, SCALE, rule), 14), (log_normal(0.25, 0.108, rule), 4),
            (gamma((0.4 / 0.15) ** 2, 0.15**2 / 0.4), 1), (normal(10.0, 0.12), 1),
        ],
        (14.0, 15.0), (0.5, 0.97, 0.999, 0.9999), (12.0, 18.0), 75.0,
    )


# --- joint yields --------------------------------------------------------------------------------


def rule(low, high, panels):
    nodes, weights = np.polynomial.legendre.leggauss(20)
    edges = np.linspace(low, high, panels + 1)
    x = np.concatenate([(b - a) / 2 * nodes + (a + b) / 2 for a, b in zip(edges, edges[1:])])
    return x, np.concatenate([(b - a) / 2 * weights for a, b in zip(edges, edges[1:])])


def overload(panels):
    """Feeder N(6, 0.25), 32 legs N(19, 0.45), each to lose between 23.2 and 26.6 dB."""
    f, w = rule(6 - 9 * 0.25, 6 + 9 * 0.25, panels)
    leg = stats.norm(19, 0.45)
    closes = (leg.cdf(26.6 - f) - leg.cdf(23.2 - f)) ** 32
    return w @ (closes * stats.norm(6, 0.25).pdf(f))


def unequal(panels):
    """Feeder N(6, 0.25); 10, 12 and 10 legs N(18.6, 0.4), N(19, 0.45), N(19.3, 0.3), to lose at most 26.6 dB."""
    f, w = rule(6 - 9 * 0.25, 6 + 9 * 0.25, panels)
    closes = np.ones_like(f)
    for count, mean, sd in ((10, 18.6, 0.4), (12, 19.0, 0.45), (10, 19.3, 0.3)):
        closes *= stats.norm(mean, sd).cdf(26.6 - f) ** count
    return w @ (closes * stats.norm(6, 0.25).pdf(f))


def skewed(panels):
    """Feeder 6 + gamma(4, 0.05), 16 legs 19 + gamma(3, 0.2), to lose at most 27.6 dB."""
    x, w = rule(0.0, 0.05 * 60, panels)
    closes = stats.gamma(3, scale=0.2).cdf(27.6 - 25 - x) ** 16
    return w @ (closes * stats.gamma(4, scale=0.05).pdf(x))


def cascaded(panels):
    """Feeder 6 + gamma(4, 0.05); 4 middle segments 7 + gamma(3, 0.06); 8 ends each, 10.5 + gamma(2, 0.15);
    at most 25.6 dB. The 4 middle segments are drawn independently of each other."""
    x, wx = rule(0.0, 0.05 * 60, panels)
    y, wy = rule(0.0, 0.06 * 60, panels)
    room = 25.6 - 23.5 - x[:, None] - y[None, :]
    ends = stats.gamma(2, scale=0.15).cdf(room) ** 8
    middle = ends @ (wy * stats.gamma(3, scale=0.06).pdf(y))
    return wx @ (middle**4 * stats.gamma(4, scale=0.05).pdf(x))


def narrow(panels):
    """Feeder N(6, 0.25), 8 legs N(19, 0.002), to lose at most 25.5 dB."""
    f, w = rule(6.48, 6.52, panels)
    closes = stats.norm(19, 0.002).cdf(25.5 - f) ** 8
    return stats.norm(6, 0.25).cdf(6.48) + w @ (closes * stats.norm(6, 0.25).pdf(f))


def kinked(panels):
    """Feeder 6 + exponential (0.1), 4 legs 19 + exponential (0.2), to lose at most 26.2 dB."""
    x, w = rule(0.0, 1.2, panels)
    return w @ ((-np.expm1(-(1.2 - x) / 0.2)) ** 4 * np.exp(-x / 0.1) / 0.1)


def joints():
    all_trees = (overload, unequal, skewed, cascaded, narrow, kinked)
    for name, value in ((tree.__name__, tree) for tree in all_trees):
        fine, coarse = value(90), value(60)
        print(f"joint yield, {name}: {fine:.14f}   coarser differs by {fine - coarse:.1e}")


if __name__ == "__main__":
    two_weibull()
    sums()
    joints()
