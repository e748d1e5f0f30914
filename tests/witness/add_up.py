"""Adds up `plan.yaml` beside this file by hand: every element written out, normal laws by the error
function, the pad's uniform law and what the ends share by Simpson's rule. Nothing of the engine is used.

    python3 add_up.py > expected.json

Sources: sums of independent variables and the normal and uniform laws are textbook statistics; who pays
for which joint is what the plan draws (two splices in 4.1 km of 2 km reels, one splice at each side of
the splitter, one mated pair in the first drop, no joint at the pad, equipment connectors left out).
A measurement is stated with the customary expanded uncertainty, coverage factor 2 (JCGM 100:2008,
6.2 and 6.3): its standard deviation is half of it. Of a PON every loss of one element is the same in both
directions but for the fiber, whose mean differs.
"""

import json
from math import erf, sqrt

CONFIDENCE, RESERVE = 0.99, 0.5
LIMITS = {"down": (8.0, 9.6), "up": (8.0, 9.9)}  # least and greatest loss of the class
FIBER = {"down": (0.23, 0.26, 0.32), "up": (0.31, 0.34, 0.40)}  # dB/km at 1490 and 1310 nm
FIBER_SD = 0.02  # dB/km of one reel
SPLICE, PAIR, SPLIT = (0.01, 0.06, 0.12, 0.02), (0.05, 0.25, 0.50, 0.08), (3.1, 3.4, 3.8, 0.15)
PAD, TOLERANCE = 3.0, 0.5
MEASURED, UNCERTAINTY = {"down": 0.80, "up": 0.90}, 0.3
AGEING, COLD = 0.2, 0.01  # dB, dB/km


def fiber(way, km, reels=1):
    least, typical, most = (each * km for each in FIBER[way])
    return least, typical, most, FIBER_SD * km / sqrt(reels)


def shared(way):
    """Jumper, feeder of three reels with two splices, the splice into the splitter; the pad apart."""
    return [fiber(way, 0.005), fiber(way, 4.1, 3), SPLICE, SPLICE, SPLICE]


def own(way, home):
    """One leg of the splitter, its splice, and the drop."""
    if home == 1:
        return [SPLIT, SPLICE, PAIR, fiber(way, 1.2)]
    loss = MEASURED[way]
    return [SPLIT, SPLICE, (loss - UNCERTAINTY, loss, loss + UNCERTAINTY, UNCERTAINTY / 2)]


OUTSIDE = {1: 4.1 + 1.2, 2: 4.1 + 0.9}  # km; the jumper lies inside
REPAIRS = 3  # one for each begun 2 km of 5.3 and of 5.0 km


def constant(home):
    return AGEING + COLD * OUTSIDE[home]


def total(parts, column):
    return sum(part[column] for part in parts)


def sd(parts):
    return sqrt(sum(part[3] ** 2 for part in parts))


def phi(x):
    return 0.5 * (1 + erf(x / sqrt(2)))


def simpson(function, low, high, steps=4000):
    width = (high - low) / steps
    inner = sum((4 if i % 2 else 2) * function(low + i * width) for i in range(1, steps))
    return (function(low) + inner + function(high)) * width / 3


def below(mean, deviation, x):
    """P(N(mean, deviation) + U(-TOLERANCE, TOLERANCE) <= x)."""
    return simpson(lambda u: phi((x - mean - u) / deviation), -TOLERANCE, TOLERANCE) / (2 * TOLERANCE)


def quantile(mean, deviation, p):
    low, high = mean - 5, mean + 5
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if below(mean, deviation, middle) < p else (low, middle)
    return (low + high) / 2


def path(way, home):
    return shared(way) + own(way, home)


def end(way, home):
    parts = path(way, home)
    with_repairs = parts + [SPLICE] * REPAIRS
    mean, deviation = total(with_repairs, 1) + PAD + constant(home), sd(with_repairs)
    low, high = LIMITS[way]
    least = total(parts, 0) + PAD - TOLERANCE
    most = total(with_repairs, 2) + PAD + TOLERANCE + constant(home)
    # On the first day there are no repairs, no ageing and no cold.
    first_day = total(parts, 1) + PAD
    return {
        "least": least,
        "typical": mean,
        "most": most,
        "margin": high - most,
        "headroom": least - low,
        "spread": sqrt(deviation**2 + TOLERANCE**2 / 3),
        "quantile": quantile(mean, deviation, CONFIDENCE),
        "normal_quantile": mean + 2.3263478740408408 * sqrt(deviation**2 + TOLERANCE**2 / 3),
        "too_much_loss": 1 - below(mean, deviation, high),
        "too_much_light": below(first_day, sd(parts), low),
    }


def own_law(way, home):
    """Mean and deviation of what an end does not share, on its last and on its first day."""
    parts, repaired = own(way, home), own(way, home) + [SPLICE] * REPAIRS
    return total(repaired, 1) + constant(home), sd(repaired), total(parts, 1)


def joint(ways, reserve=0.0):
    """All ends close in all these directions. Repairs are taken as spent on their mean for the first
    day: their deviation, 0.035 dB of 0.34, cannot be told apart from the rest of the path's."""
    base = "down"
    mean, deviation = total(shared(base), 1) + PAD, sd(shared(base))

    def close(loss, home):
        low, high = -1e9, 1e9
        for way in ways:
            shift = total(path(way, home), 1) - total(path(base, home), 1)
            low = max(low, LIMITS[way][0] - shift)
            high = min(high, LIMITS[way][1] - reserve - shift)
        last, spread, first = own_law(base, home)
        return phi((high - loss - last) / spread) - phi((low + (last - first) - loss - last) / spread)

    def given(loss):
        return close(loss, 1) * close(loss, 2)

    def density(loss):
        return (phi((loss - mean + TOLERANCE) / deviation) - phi((loss - mean - TOLERANCE) / deviation)) / (2 * TOLERANCE)

    return simpson(lambda loss: density(loss) * given(loss), mean - 2, mean + 2)


print(json.dumps({
    "ends": {f"home-{home} {way}": end(way, home) for home in (1, 2) for way in ("down", "up")},
    "joint": {"downstream": joint(["down"]), "upstream": joint(["up"]), "both": joint(["down", "up"]),
              "both_with_reserve": joint(["down", "up"], RESERVE)},
}, indent=2))
