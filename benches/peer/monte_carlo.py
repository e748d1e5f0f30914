"""The peer of benches/statistics.rs: the 99.9 % quantile of a 40-element path by plain Monte Carlo.

Draws 1,000,000 trials with numpy, as one would by hand, and prints the time and how far the quantile is
from the exact one (reference_values.py). The elements are those of the benchmark: 20 exponential
splices, 14 Weibull connectors, 4 lognormal ones, a gamma splitter and normal fiber.

    venv/bin/python monte_carlo.py [runs]
"""

import sys
import time

import numpy as np

TRIALS = 1_000_000
EXACT = 15.5512190045101


def quantile(random):
    total = random.normal(7.0, 0.12, TRIALS)
    for _ in range(20):
        total += random.exponential(0.05, TRIALS)
    for _ in range(14):
        total += 0.135454100238 * random.weibull(2.04728690506, TRIALS)
    spread = np.sqrt(np.log1p((0.108 / 0.25) ** 2))
    for _ in range(4):
        total += random.lognormal(np.log(0.25) - spread**2 / 2, spread, TRIALS)
    total += 3.0 + random.gamma((0.4 / 0.15) ** 2, 0.15**2 / 0.4, TRIALS)
    return np.quantile(total, 0.999)


def main():
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    times, errors = [], []
    for run in range(runs):
        random = np.random.default_rng(run)
        wall, cpu = time.perf_counter(), time.process_time()
        errors.append(quantile(random) - EXACT)
        times.append((time.perf_counter() - wall, time.process_time() - cpu))
    wall, cpu = (min(column) for column in zip(*times))
    print(f"numpy {np.__version__}, {TRIALS:,} trials: {wall:.3f} s (cpu {cpu:.3f} s), best of {runs}")
    print(f"error of the 99.9 % quantile: rms {np.sqrt(np.mean(np.square(errors))):.5f} dB, worst {max(map(abs, errors)):.5f} dB")


if __name__ == "__main__":
    main()
