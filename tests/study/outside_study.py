"""Shares of variance and the search for the best point beside values from elsewhere."""

from __future__ import annotations

from functools import cache

import numpy as np
from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register, relative

from loftwright.study.optimum import Archive, Found, Outcome, Room, best_of, polish, search
from loftwright.study.sensitivity import shares_of_variance

ISHIGAMI = "A. Saltelli et al., Global Sensitivity Analysis: The Primer (2008), section 4.5"


@cache
def ishigami() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return first and total order of sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1 on (-pi, pi)."""
    from scipy.stats import uniform

    def function(x):
        return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])

    inputs = [uniform(-np.pi, 2.0 * np.pi)] * 3
    (first, total), _ = shares_of_variance(function, inputs, 2**14, 1)
    return tuple(first[0].tolist()), tuple(total[0].tolist())


for number, (first, total) in enumerate(((0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437))):
    for order, expected in enumerate((first, total)):
        register(
            OutsideCheck(
                model="Shares of variance",
                quantity=f"Ishigami function, {('first', 'total')[order]} order of x{number + 1}",
                source=ISHIGAMI,
                inputs="a 7, b 0.1, three uniform inputs on (-pi, pi), base sample 16384",
                expected=expected,
                ours=lambda order=order, number=number: ishigami()[order][number],
                tolerance=absolute(0.01),
                standing=MEMORY,
            )
        )

# ---------------------------------------------------------------- the fullest use of a bottle

FREE_ROCKET = (
    "F. Finney, Am. J. Phys. 68 (2000) 223; G. A. Prusa, SIAM Rev. 42 (2000) 719: "
    "p V^n constant, v² = 2 (p - pₐ)/ρ, speed by quadrature"
)
OUTSIDE, DENSITY, VESSEL, EXPONENT = 101325.0, 1000.0, 2.0e-3, 1.4
NODES, WEIGHTS = np.polynomial.legendre.leggauss(64)


def speed_gained(share, gauge: float, dry: float):
    """Return the speed of a free rocket when its water is out, at water fractions ``share``.

    The integral of v dm / m, without drag and gravity and without the mass of the air.
    """
    water = np.atleast_1d(share) * VESSEL
    gas = VESSEL - water
    left = water[:, None] * 0.5 * (1.0 + NODES)  # still aboard
    pressure = (OUTSIDE + gauge) * (gas[:, None] / (VESSEL - left)) ** EXPONENT
    jet = np.sqrt(np.maximum(2.0 * (pressure - OUTSIDE) / DENSITY, 0.0))
    return (DENSITY * jet / (dry + DENSITY * left)) @ WEIGHTS * 0.5 * water


@cache
def fullest(gauge: float, dry: float) -> Found:
    """Return the best water fraction as the search finds it."""
    archive = Archive(1e-4)

    def task(shares):
        return Outcome(-speed_gained(shares[:, 0], gauge, dry)[:, None], np.zeros((len(shares), 0)))

    def weigh(costs):
        return costs[:, 0]

    search(task, 1, weigh, archive, seed=1)
    room = Room(np.zeros(1), np.ones(1), np.array([True]))
    polish(task, best_of(archive, weigh).share, weigh, archive, room, scale=40.0)
    return best_of(archive, weigh)


for bar, dry, fraction, speed in (
    (3.0, 0.10, 0.3351, 37.6650),
    (5.0, 0.15, 0.3915, 42.9022),
    (8.0, 0.30, 0.4606, 40.3852),
):
    for quantity, expected, ours, tolerance in (
        (
            f"best share of water, {bar:g} bar, {dry:g} kg dry",
            fraction,
            lambda bar=bar, dry=dry: float(fullest(bar * 1e5, dry).share[0]),
            absolute(5e-4),
        ),
        (
            f"greatest speed from water alone, {bar:g} bar, {dry:g} kg dry, m/s",
            speed,
            lambda bar=bar, dry=dry: -fullest(bar * 1e5, dry).cost,
            relative(3e-4),
        ),
    ):
        register(
            OutsideCheck(
                model="Search for the best point",
                quantity=quantity,
                source=FREE_ROCKET,
                inputs="2 L, n 1.4, free rocket without drag, gravity and air's mass",
                expected=expected,
                ours=ours,
                tolerance=tolerance,
                standing=COMPUTED,
            )
        )
