"""Normal force of body and fins beside the worked examples of the method's formulas."""

from __future__ import annotations

from functools import cache
from math import pi, radians

from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register, relative

from loftwright.physics.crossflow import (
    body_normal_force,
    crossflow_proportion,
    potential_normal_force,
)
from loftwright.physics.fins import (
    fin_set_centre,
    fin_set_slope,
    mid_chord_length,
    single_fin_slope,
)
from loftwright.physics.interference import (
    body_carry_over,
    fin_body_interference,
    fin_carry_over,
    simple_interference,
)
from loftwright.physics.roll import fin_lift_slope, roll_damping, roll_forcing, roll_rate_ratio
from loftwright.physics.slender import (
    cone_centre,
    conical_change_centre,
    conical_change_slope,
    nose_slope,
    ogive_centre,
)

BARROWMAN = "J. S. Barrowman, MS thesis (1967), NTRS 20010047838; Barrowman and Barrowman (1966)"
CLOSE = absolute(1e-5)


def check(quantity, inputs, expected, ours, tolerance=CLOSE, source=BARROWMAN, standing=COMPUTED):
    register(
        OutsideCheck(
            model="Normal force",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


@cache
def example_1():
    """Cone and three fins."""
    nose, nose_at = nose_slope(0.108, 0.108), cone_centre(0.30)
    alone = fin_set_slope(3, 0.20, 0.10, 0.12, 0.10, 0.108, 0.0)
    fins, fins_at = alone * simple_interference(0.12, 0.054), 1.10 + fin_set_centre(0.2, 0.1, 0.1)
    total = nose + fins
    centre = (nose * nose_at + fins * fins_at) / total
    return nose, nose_at, alone, fins, fins_at, total, centre


@cache
def example_2():
    """Ogive, four fins and boat-tail."""
    nose, nose_at = nose_slope(0.090, 0.090), ogive_centre(0.25)
    alone = fin_set_slope(4, 0.16, 0.08, 0.10, 0.08, 0.090, 0.0)
    fins, fins_at = (
        alone * simple_interference(0.10, 0.045),
        0.90 + fin_set_centre(0.16, 0.08, 0.08),
    )
    tail = conical_change_slope(0.090, 0.030, 0.090)
    tail_at = 1.06 + conical_change_centre(0.090, 0.030, 0.10)
    total = nose + fins + tail
    centre = (nose * nose_at + fins * fins_at + tail * tail_at) / total
    return nose, nose_at, alone, fins, fins_at, tail, tail_at, total, centre


NAMES = (
    "nose slope, 1/rad",
    "nose centre, m",
    "fins alone slope, 1/rad",
    "fins with interference slope, 1/rad",
    "fins centre, m",
    "boat-tail slope, 1/rad",
    "boat-tail centre, m",
    "total slope, 1/rad",
    "aerodynamic centre from nose, m",
)
ONE = "cone 0.30 m on 0.108 m; 3 fins 0.20/0.10/0.12/0.10 m from 1.10 m"
TWO = (
    "ogive 0.25 m on 0.090 m; 4 fins 0.16/0.08/0.10/0.08 m from 0.90 m; "
    "boat-tail to 0.030 m over 0.10 m from 1.06 m"
)
for index, (name, expected) in enumerate(
    zip(
        NAMES[:5] + NAMES[7:],
        (2.0, 0.200000, 6.376638, 8.355595, 1.183333, 10.355595, 0.993420),
        strict=True,
    )
):
    check(name, ONE, expected, lambda i=index: example_1()[i])
for index, (name, expected) in enumerate(
    zip(
        NAMES,
        (2.0, 0.116500, 8.428129, 11.043755, 0.966667, -1.777778, 1.101667, 11.265977, 0.794437),
        strict=True,
    )
):
    check(name, TWO, expected, lambda i=index: example_2()[i])

check("mid-chord length, m", ONE, 0.130000, lambda: mid_chord_length(0.20, 0.10, 0.12, 0.10))
check("mid-chord length, m", TWO, 0.107703, lambda: mid_chord_length(0.16, 0.08, 0.10, 0.08))
check("simple interference", ONE, 1.310345, lambda: simple_interference(0.12, 0.054))
check("simple interference", TWO, 1.310345, lambda: simple_interference(0.10, 0.045))
DIEDERICH = "F. W. Diederich, NACA TN 2335 (1951), plan-form parameter"
check(
    "single fin slope, 1/rad",
    ONE,
    4.251092,
    lambda: single_fin_slope(0.20, 0.10, 0.12, 0.10, pi / 4 * 0.108**2, 0.0),
    source=DIEDERICH,
)
for mach, factor in ((0.1, 1.001224), (0.3, 1.011227), (0.5, 1.032423)):
    check(
        "fin slope over its value at rest",
        f"{ONE}; Mach {mach}",
        factor,
        lambda m=mach: fin_set_slope(3, 0.20, 0.10, 0.12, 0.10, 0.108, m) / example_1()[2],
        absolute(1e-6),
    )

# ---------------------------------------------------------------- interference

PITTS = "W. C. Pitts, J. N. Nielsen, G. E. Kaattari, NACA Report 1307 (1957), slender-body theory"
for ratio, on_fins, on_body, both in (
    (0.05, 1.03744, 0.06506, 1.10250),
    (0.10, 1.07697, 0.13303, 1.21000),
    (0.20, 1.16164, 0.27836, 1.44000),
    (0.30, 1.25276, 0.43724, 1.69000),
    (0.40, 1.34928, 0.61072, 1.96000),
    (0.50, 1.45028, 0.79972, 2.25000),
    (0.60, 1.55499, 1.00501, 2.56000),
):
    place = f"body radius over tip radius {ratio}"
    for name, expected, law in (
        ("fins beside body over fins alone", on_fins, fin_carry_over),
        ("body beside fins over fins alone", on_body, body_carry_over),
        ("fins and body over fins alone", both, fin_body_interference),
    ):
        check(name, place, expected, lambda f=law, r=ratio: f(r), absolute(6e-6), PITTS)

for ratio, percent in (
    (0.05, 1.21),
    (0.10, 2.14),
    (0.20, 3.30),
    (0.30, 3.77),
    (0.40, 3.76),
    (0.50, 3.43),
    (0.60, 2.89),
):
    check(
        "simple form against fins beside body, %",
        f"body radius over tip radius {ratio}",
        percent,
        lambda r=ratio: 100.0 * (simple_interference(1.0 - r, r) / fin_carry_over(r) - 1.0),
        absolute(0.006),
        PITTS,
    )

# ---------------------------------------------------------------- body at incidence

ALLEN = "H. J. Allen and E. W. Perkins, NACA Report 1048 (1951)"
BODY = "L 1.3 m, d 0.108 m, side area 0.95 L d, proportion 0.68, cylinder 1.2"
PLANFORM = 0.95 * 1.3 * 0.108 / (pi / 4 * 0.108**2)
for degrees, potential, viscous, total in (
    (2, 0.069746, 0.014470, 0.084216),
    (5, 0.173483, 0.090248, 0.263730),
    (10, 0.340719, 0.358248, 0.698967),
    (20, 0.633022, 1.389783, 2.022805),
):
    inputs, angle = f"{BODY}, {degrees}°", radians(degrees)
    for name, expected, ours in (
        ("potential normal force", potential, lambda a=angle: potential_normal_force(a)),
        (
            "viscous cross-flow",
            viscous,
            lambda a=angle: body_normal_force(a, 0.68, 1.2, PLANFORM) - potential_normal_force(a),
        ),
        ("normal force", total, lambda a=angle: body_normal_force(a, 0.68, 1.2, PLANFORM)),
    ):
        check(name, inputs, expected, ours, absolute(1e-6), ALLEN)
for fineness, proportion in ((4.0, 0.6), (10.0, 0.68), (20.0, 0.76)):
    check(
        "cross-flow proportion",
        f"length over diameter {fineness:g}",
        proportion,
        lambda f=fineness: crossflow_proportion(f),
        absolute(0.01),
        ALLEN,
        MEMORY,
    )

# ---------------------------------------------------------------- roll


def rolling_rectangle() -> float:
    """Helix angle of the tips over cant, for plain rectangular fins on no body."""
    slope = fin_lift_slope(4.0, 2.0, 0.01, 0.02)
    forcing = roll_forcing(2.0, slope, 0.1, 0.1, 0.2, 0.0)
    damping = roll_damping(2.0, slope, 0.1, 0.1, 0.2, 0.0)
    return roll_rate_ratio(forcing, damping, 1.0) * 0.2


check(
    "tip helix angle over cant",
    "rectangular fins from the axis, strip theory",
    1.5,
    rolling_rectangle,
    relative(1e-12),
    "Strip theory: balance of the first and second moments of the chord",
)
