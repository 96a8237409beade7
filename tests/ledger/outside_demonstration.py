"""Tests of reliability beside independent numbers: intervals with weights, tests played through."""

from __future__ import annotations

from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register

from loftwright.ledger.demonstration import (
    Prior,
    beta_interval,
    chance_above,
    chance_to_pass,
    simulated,
)


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Reliability",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- the binomial test, played through

DEMONSTRATION = "binomial demonstration test, tabled in many handbooks; ours by simulation"
TESTS = {
    (0.90, 0.90): (22, 38, 52, 65),
    (0.90, 0.95): (29, 46, 61, 76),
    (0.95, 0.90): (45, 77, 105, 132),
}
for (reliability, level), sizes in TESTS.items():
    for failures, size in enumerate(sizes):
        check(
            f"flights that show reliability {reliability:g}, by simulation",
            f"confidence {level:g}, {failures} failures",
            size,
            lambda r=reliability, c=level, f=failures: float(simulated(r, c, f, 1)),
            absolute(1.0),
            DEMONSTRATION,
            MEMORY,
        )

# ---------------------------------------------------------------- posteriors

BROWN = (
    "L. D. Brown, T. T. Cai and A. DasGupta, Statistical Science 16 (2001), Beta(x + ½, n - x + ½)"
)
for count, flights, ends in (
    (0, 20, (None, 0.1166)),
    (1, 29, (0.0037, 0.1501)),
    (3, 10, (0.0927, 0.6058)),
    (81, 263, (0.2545, 0.3656)),
    (10, 10, (0.7828, None)),
):
    for end, expected in enumerate(ends):
        if expected is not None:
            check(
                f"{('lower', 'upper')[end]} end of a weighted chance, Jeffreys 95 %",
                f"{count} of {flights}, all with weight 1",
                expected,
                lambda x=count, n=flights, end=end: beta_interval(x, n, 0.95)[end],
                absolute(1e-4),
                BROWN,
            )

# Of a uniform prior and n successes the posterior is Beta(n + 1, 1), whose distribution is
# r^(n + 1): all in closed form.
UNIFORM = Prior(1.0, 1.0)
LAPLACE = "P. S. Laplace, rule of succession: (n + 1)/(n + m + 1) for m more after n of n"
for n, m, expected in ((0, 1, 1 / 2), (4, 1, 5 / 6), (9, 10, 10 / 20), (2, 14, 3 / 17)):
    check(
        "chance that all of the next flights work",
        f"{m} more after {n} of {n}, uniform prior",
        expected,
        lambda n=n, m=m: chance_to_pass(m, 0, n, n, 1, UNIFORM),
        absolute(0.005),
        LAPLACE,
        MEMORY,
    )
POWER = (
    "J. G. Ibrahim and M.-H. Chen, Statistical Science 15 (2000): Beta(1 + a n, 1), worked by hand"
)
for weight, n, wanted, expected in (
    (0.5, 8, 0.9, 1 - 0.9**5),
    (1.0, 8, 0.9, 1 - 0.9**9),
    (0.0, 8, 0.9, 1 - 0.9),
    (0.25, 10, 0.8, 1 - 0.8**3.5),
):
    check(
        "chance that a reliability is as wanted, power prior",
        f"{n} of {n} with weight {weight:g}, uniform prior, wanted {wanted:g}",
        expected,
        lambda a=weight, n=n, r=wanted: chance_above(r, a * n, a * n, UNIFORM),
        absolute(1e-12),
        POWER,
        MEMORY,
    )
