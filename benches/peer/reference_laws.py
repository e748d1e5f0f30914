"""Exact values for the laws of chance and for laws stated through two of their values, by mpmath.

None of them is computed in the way the engine does it: sums of gamma and exponential laws by their closed
forms or by Laplace inversion (fixed Talbot, two orders that must agree), cut normal laws by quadrature of
the convolution integral, trees by quadrature over the shared losses.

    venv/bin/python reference_laws.py > ../../tests/statistics/laws.csv
"""

from mpmath import (binomial, erfc, exp, fac, findroot, gammainc, inf, log, mp, mpf, npdf, pi, quad, sqrt)

mp.dps = 40


def phi(x):
    return erfc(-x / sqrt(2)) / 2


def talbot(transform, x, order):
    """P(X <= x) from E[exp(-s X)], Abate and Valko's fixed Talbot contour."""
    from mpmath import cot, mpc
    r = mpf(2) * order / (5 * x)
    total = (exp(r * x) * transform(mpc(r)) / r / 2).real
    for k in range(1, order):
        theta = k * pi / order
        c = cot(theta)
        s = r * theta * mpc(c, 1)
        sigma = theta + (theta * c - 1) * c
        total += (exp(x * s) * transform(s) / s * mpc(1, sigma)).real
    return r / order * total


def inverted(transform, x):
    if x <= 0:
        return mpf(0)
    one, two = talbot(transform, x, 60), talbot(transform, x, 70)
    assert abs(one - two) < mpf(10) ** -14, (x, one, two)
    return two


def quantile(cdf, p, start, width=mpf("0.05")):
    low, high = mpf(start), mpf(start)
    while cdf(low) > p:
        low -= width
    while cdf(high) < p:
        high += width
    for _ in range(60):
        middle = (low + high) / 2
        if cdf(middle) < p:
            low = middle
        else:
            high = middle
    return (low + high) / 2


ROWS = []


def say(case, what, at, value, source):
    ROWS.append((case, what, at, mp.nstr(value, 14), source))


def probabilities(case, cdf, losses, source):
    for loss in losses:
        say(case, "P", loss, cdf(mpf(loss)), source)


def quantiles(case, cdf, starts, source):
    for p, start in starts:
        say(case, "q", p, quantile(cdf, mpf(p), start), source)


def by_trials(count, share, step, cdf):
    """The law with `count` times a chance of `share` to lose `step` more."""
    share, step = mpf(share), mpf(step)

    def mixed(x):
        return sum(
            binomial(count, k) * share**k * (1 - share) ** (count - k) * cdf(x - k * step) for k in range(count + 1)
        )

    return mixed


def gammas(*parts):
    """Laplace transform of a sum of gamma laws: (shape, scale) each."""

    def transform(s):
        value = mpf(1)
        for shape, scale in parts:
            value *= (1 + s * mpf(scale)) ** -mpf(shape)
        return value

    return transform


def dirty():
    # Six connectors: gamma, mean 0.25 dB, 97 % at most 0.5 dB; ten exponential splices of mean 0.05 dB.
    source = "fixed Talbot of orders 60 and 70, binomial mixture"
    clean = lambda x: inverted(gammas((6 * mpf("4.9312628899"), "0.0506969523997"), (10, "0.05")), x)
    law = by_trials(6, "0.03", 1, clean)
    probabilities("dirty", law, ["1.5", "2.0", "2.5", "3.0", "3.5", "4.0", "5.0"], source)
    quantiles("dirty", law, [("0.5", "2.0"), ("0.9", "2.8"), ("0.97", "3.2"), ("0.99", "3.6"), ("0.999", "4.2")], source)


def dirty_exponential():
    # Four exponential connectors of mean 0.25 dB and ten splices of mean 0.06 dB; each connector is dirty with
    # probability 5 % and then loses an exponential 1.2 dB more.
    source = "fixed Talbot of orders 60 and 70"
    share = mpf("0.05")

    def transform(s):
        one = (1 - share) + share / (1 + s * mpf("1.2"))
        return gammas((4, "0.25"), (10, "0.06"))(s) * one**4

    law = lambda x: inverted(transform, x)
    probabilities("dirty-exponential", law, ["1.0", "1.6", "2.5", "4.0", "6.0"], source)
    quantiles("dirty-exponential", law, [("0.5", "1.6"), ("0.97", "3.2"), ("0.99", "3.8"), ("0.999", "5.5")], source)


def repairs():
    # Poisson cuts, 0.852 on average, two exponential splices of mean 0.1 dB each, behind four exponential
    # connectors of mean 0.25 dB; and the same cuts alone.
    source = "fixed Talbot of orders 60 and 70 of exp(mean (f^2 - 1))"
    mean = mpf("0.852")

    def compound(s):
        return exp(mean * ((1 + s * mpf("0.1")) ** -2 - 1))

    law = lambda x: inverted(lambda s: compound(s) * gammas((4, "0.25"))(s), x)
    probabilities("repairs", law, ["0.5", "1.0", "1.5", "2.5", "3.5"], source)
    quantiles("repairs", law, [("0.5", "1.0"), ("0.97", "2.2"), ("0.99", "2.6"), ("0.999", "3.6")], source)
    alone = lambda x: exp(-mean) * (
        1
        + sum(
            mean**n / fac(n) * (gammainc(2 * n, 0, x / mpf("0.1"), regularized=True) if x > 0 else 0)
            for n in range(1, 60)
        )
    )
    source = "Poisson mixture of Erlang laws, regularised incomplete gamma function"
    probabilities("repairs-alone", alone, ["0.1", "0.3", "0.6", "1.0"], source)
    quantiles("repairs-alone", alone, [("0.9", "0.4"), ("0.99", "0.8"), ("0.999", "1.1")], source)


def cut_normal():
    # N(0.05, 0.05) cut at 0: moments, and sums of two and four.
    center = sigma = mpf("0.05")
    kept = phi(center / sigma)
    density = lambda x: npdf(x, center, sigma) / kept if x >= 0 else mpf(0)
    one = lambda x: (phi((x - center) / sigma) - phi(-center / sigma)) / kept if x > 0 else mpf(0)
    mean = quad(lambda x: x * density(x), [0, 0.1, 0.3, 1])
    say("cut-normal-1", "mean", "", mean, "quadrature")
    say("cut-normal-1", "sd", "", sqrt(quad(lambda x: (x - mean) ** 2 * density(x), [0, 0.1, 0.3, 1])), "quadrature")
    source = "quadrature of the convolution integral"

    def two(x):
        return quad(lambda y: density(y) * one(x - y), [0, x / 2, x]) if x > 0 else mpf(0)

    def density_two(x):
        # In closed form: the product of two normal densities is one around the middle.
        half = sigma / sqrt(2)
        middle = npdf(x, 2 * center, sigma * sqrt(2))
        return middle * (2 * phi((x / 2) / half) - 1) / kept**2 if x > 0 else mpf(0)

    mp.dps = 25

    def four(x):
        return quad(lambda y: density_two(y) * two(x - y), [0, x / 2, x], maxdegree=5) if x > 0 else mpf(0)

    probabilities("cut-normal-2", two, ["0.05", "0.1", "0.2", "0.3"], source)
    quantiles("cut-normal-2", two, [("0.5", "0.13"), ("0.97", "0.24"), ("0.999", "0.3")], source)
    probabilities("cut-normal-4", four, ["0.15", "0.25", "0.35", "0.5"], source)
    mp.dps = 40


def dirty_pon():
    # Feeder N(6, 0.25) and Poisson repairs of 0.3 dB, 0.5 on average; 32 legs N(19, 0.45), each with a
    # connector that is dirty with probability 3 % and then loses 1 dB.
    source = "quadrature over the feeder, Poisson and binomial sums"

    def leg(rest):
        share = mpf("0.03")
        return (1 - share) * phi(rest / mpf("0.45")) + share * phi((rest - 1) / mpf("0.45"))

    def all_close(most, legs):
        total = mpf(0)
        for n in range(30):
            weight = exp(-mpf("0.5")) * mpf("0.5") ** n / fac(n)
            if weight < mpf(10) ** -25:
                break
            rest = mpf(most) - 25 - mpf("0.3") * n
            inner = lambda z: npdf(z) * leg(rest - mpf("0.25") * z) ** legs
            total += weight * quad(inner, [-12, -6, -3, 0, 3, 6, 12])
        return total

    for most, legs in [("26.5", 1), ("26.5", 32), ("27.5", 8), ("27.5", 32), ("28.5", 32), ("28.5", 64)]:
        say(f"dirty-pon-{legs}", "P", most, all_close(most, legs), source)


def through_two_values():
    # Spreads of the laws from 0 dB through a mean and a 97 % value.
    z = findroot(lambda z: phi(z) - mpf("0.97"), mpf("1.88"))
    for name, mean, most in [("B", "0.12", "0.25"), ("C", "0.25", "0.5"), ("steep", "0.2", "0.22")]:
        mean, most = mpf(mean), mpf(most)
        root = z - sqrt(z * z - 2 * log(most / mean))
        spread = mean * sqrt(exp(root**2) - 1)
        say(f"through-{name}", "lognormal", "", spread, "closed form: root of z s - s^2/2 = ln(q/m)")
        beyond = lambda k: gammainc(k, k * most / mean, inf, regularized=True) - mpf("0.03")
        shape = findroot(beyond, (mpf(2), mpf(8)) if name != "steep" else (mpf(200), mpf(500)), solver="anderson")
        say(f"through-{name}", "gamma", "", mean / sqrt(shape), "root of the regularised incomplete gamma function")
        say(f"through-{name}", "normal", "", (most - mean) / z, "closed form")


def main():
    for part in [dirty, dirty_exponential, repairs, cut_normal, dirty_pon, through_two_values]:
        part()
    print("case,what,at,value,source")
    for row in ROWS:
        print(",".join('"%s"' % cell if "," in cell else cell for cell in row))


if __name__ == "__main__":
    main()
