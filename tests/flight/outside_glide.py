"""Gliders in flight beside published trajectories: as a point, and strip by strip."""

from __future__ import annotations

from functools import cache
from math import cos, degrees, pi, radians, sin, sqrt

import numpy as np
from flight.gliders import loads, plank, table_of
from flight.wing_lattice import lattice
from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from loftwright.flight.kernel import rates, slots, wing_slots
from loftwright.physics.phugoid import drag_free_constant

POINT, WING = "Steady glide and swing", "Wing"
LANES = slots.LANES


def check(model, quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model=model,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- the point glide of the engine


@cache
def glide(
    mass: float,
    lift_area: float,
    drag_area: float,
    speed: float,
    slope: float,
    gravity: float = 9.8,
    height: float = 2.0,
    seconds: float = 6.0,
):
    """Fly the engine's own glide phase, uncompiled, under SciPy, in even, still air."""
    p = [0.0] * (LANES * slots.COMMON_COUNT)
    for name, value in (
        ("GRAVITY", gravity), ("PAD_PRESSURE", 101325.0), ("PAD_TEMPERATURE", 1e15),
        ("PAD_DENSITY", 1.225), ("VISCOSITY", 1.8e-5), ("ROUGHNESS", 0.03),
        ("DRY_MASS", mass), ("LIFT_AREA", lift_area), ("DRAG_AREA", drag_area),
        ("SPAN_EAST", 0.0), ("SPAN_NORTH", 1.0),
    ):  # fmt: skip
        p[getattr(slots, name)] = value

    def rate(t, row):
        y, dy = [0.0] * slots.SIZE, [0.0] * slots.SIZE
        y[: 6 * LANES : LANES] = row.tolist()
        rates.lane_rates(slots.POINT_PHASE, 0, t, y, p, dy, 0)
        return dy[: 6 * LANES : LANES]

    state = (0.0, 0.0, height, speed * cos(slope), 0.0, speed * sin(slope))
    return solve_ivp(rate, (0, seconds), state, rtol=1e-11, atol=1e-12, dense_output=True)


def seen(run, t: float, what: str) -> float:
    """Speed, unwrapped slope, height or distance at a time."""
    if what == "slope, rad":
        times = np.linspace(0.0, t, 400)
        paths = run.sol(times)
        return float(np.unwrap(np.arctan2(paths[5], paths[3]))[-1])
    row = run.sol(t)
    return float({"speed, m/s": np.hypot(row[3], row[5]), "height, m": row[2],
                  "distance, m": row[0]}[what])  # fmt: skip


AREA, MASS = 0.017, 0.003
LIFT = sqrt(0.02 * pi * 0.9 * 0.86)
TRIM_SPEED, TRIM_SLOPE = 3.549371, radians(-10.28078)
PAPER = (MASS, LIFT * AREA, 0.04 * AREA)
TRIM = sqrt(2 * MASS * 9.8 / (1.225 * AREA * sqrt(LIFT**2 + 0.04**2)))
GAMMA = -np.arctan(0.04 / LIFT)
CASES = {
    "at trim": (TRIM, GAMMA),
    "trim speed, level": (TRIM, 0.0),
    "1.5 times trim speed, level": (1.5 * TRIM, 0.0),
    "3 times trim speed, level": (3.0 * TRIM, 0.0),
}
STENGEL = "R. F. Stengel, Flight Dynamics (2004), example 1.3-1, integrated at 1e-11"
NAMES = ("speed, m/s", "slope, rad", "height, m", "distance, m")
for case, t, *row in (
    ("at trim", 1, 3.549371, -0.179433, 1.366536, 3.492385),
    ("at trim", 2, None, None, 0.733073, 6.984771),
    ("at trim", 3, None, None, 0.099609, 10.477156),
    ("trim speed, level", 1, 3.694664, -0.247946, 1.392678, 3.313947),
    ("trim speed, level", 2, 3.445573, -0.170016, 0.816627, 6.872741),
    ("trim speed, level", 3, 3.592509, -0.170585, 0.132579, 10.350186),
    ("1.5 times trim speed, level", 1, 3.126710, -0.567488, 2.323830, 3.067483),
    ("1.5 times trim speed, level", 2, 3.471258, 0.006179, 1.367266, 6.741240),
    ("1.5 times trim speed, level", 3, 3.724258, -0.239648, 0.720175, 10.047190),
):
    for name, expected in zip(NAMES, row, strict=True):
        if expected is not None:
            check(
                POINT, f"paper aeroplane, {case}, after {t} s: {name}",
                "3 g, 0.017 m², C_L 0.220526, C_D 0.04, from 2 m", expected,
                lambda c=case, s=t, n=name: seen(glide(*PAPER, *CASES[c]), s, n),
                absolute(1e-4), STENGEL,
            )  # fmt: skip
check(
    POINT, "paper aeroplane thrown at 3 times trim speed: full loops", "6 s", 1.0,
    lambda: float(round(
        seen(glide(*PAPER, *CASES["3 times trim speed, level"]), 6.0, "slope, rad") / (2 * pi)
    )),
    absolute(0.0), "R. F. Stengel, supplement to Flight Dynamics: it loops once",
)  # fmt: skip


def landing(run) -> tuple[float, float]:
    """Time and distance of reaching the ground."""
    t = brentq(lambda t: run.sol(t)[2], 0.5, run.t[-1], xtol=1e-12)
    return t, float(run.sol(t)[0])


# The distances were multiplied out from times of four decimals: at trim it is 2 m times L/D.
for case, t, reach in (
    ("at trim", 3.1573, 11.0265),
    ("trim speed, level", 3.2248, 11.1429),
    ("1.5 times trim speed, level", 4.2412, 14.4202),
):
    for index, (name, expected) in enumerate((("time, s", t), ("distance, m", reach))):
        check(
            POINT, f"paper aeroplane, {case}, to the ground: {name}", "from 2 m", expected,
            lambda c=case, i=index: landing(glide(*PAPER, *CASES[c]))[i],
            absolute((1e-4, 4e-4)[index]), STENGEL,
        )  # fmt: skip

# The course's two equations know the speed at which lift is weight, and lift over drag.
COURSE_LIFT = 2 * 9.8 / (1.225 * 4.9**2)
BARBA = "L. A. Barba et al., course notebook 01_03, full phugoid equations, integrated"
for angle, speed, reach, t in (
    (0.0, 4.9, 10.21376, 2.18925),
    (10.0, 6.5, 14.85789, 3.30136),
    (-11.3099, 4.9, 10.08923, 2.11980),
):
    inputs = f"4.9 m/s trim, L/D 5, 2 m, {speed:g} m/s at {angle:g}°"
    for index, (name, expected) in enumerate((("time, s", t), ("distance, m", reach))):
        check(
            POINT, f"course glider, {name}", inputs, expected,
            lambda a=angle, v=speed, i=index: landing(
                glide(1.0, COURSE_LIFT, COURSE_LIFT / 5, v, radians(a))
            )[i],
            absolute(0.01), BARBA,
        )  # fmt: skip


def kept(seconds: float) -> float:
    """Largest change of Lanchester's constant along a path without drag."""
    speed = 6.0
    run = glide(1.0, COURSE_LIFT, 0.0, speed, 0.0, height=20.0, seconds=seconds)
    times = np.linspace(0.0, seconds, 60)
    rows = run.sol(times)
    trim_depth = 4.9**2 / (2 * 9.8)
    constants = [
        drag_free_constant((v2 := row[3] ** 2 + row[5] ** 2) / (2 * 9.8), trim_depth,
                           row[3] / sqrt(v2))
        for row in rows.T
    ]  # fmt: skip
    return float(np.ptp(constants))


check(
    POINT, "change of Lanchester's constant over 10 s without drag, √m", "4.9 m/s trim, 6 m/s",
    0.0, lambda: kept(10.0), absolute(1e-7), "F. W. Lanchester, Aerodonetics (1908), appendix V",
)  # fmt: skip

# ---------------------------------------------------------------- strips


@cache
def steady_roll(span: float, root: float, tip: float) -> float:
    """Roll rate at which the strips of a twisted wing feel no rolling moment [°/s].

    Without friction, which the strip result does not know: it takes 0.8 % of the rate.
    """
    table = table_of(plank(span, root, tip, wing__warp=radians(1.0)))
    for strip in range(wing_slots.STRIPS):
        for slot in (wing_slots.STRIP_FRICTION, wing_slots.STRIP_EDGE):
            table[slot + strip * wing_slots.STRIP_STRIDE] = 0.0
    return degrees(
        brentq(lambda p: loads(table, (5.0, 0.0, 0.0), (p, 0.0, 0.0))[3], 0.0, 2.0, xtol=1e-12)
    )


for root, tip in ((0.06, 0.06), (0.08, 0.03)):
    check(
        WING, "roll rate of a twisted wing, by strips, °/s",
        f"0.30 m, chords {root:g} and {tip:g} m, 5 m/s, 1° at the tips", 33.333,
        lambda r=root, t=tip: steady_roll(0.30, r, t), relative(1e-3),
        "H. A. Pearson and R. T. Jones, NACA Report 635 (1938), strip result", MEMORY,
    )  # fmt: skip

WINGS = {
    "rectangle, aspect ratio 5": (0.4, 0.08, 0.08, 0.0),
    "taper one half, aspect ratio 6.7": (0.4, 0.08, 0.04, 0.02),
    "swept 30°, aspect ratio 4": (0.4, 0.12, 0.08, 0.115),
    "rectangle, aspect ratio 1": (0.15, 0.15, 0.15, 0.0),
    "dart, aspect ratio 1.2": (0.16, 0.25, 0.02, 0.23),
}


@cache
def by_strips(name: str) -> tuple[float, float, float]:
    """Lift slope, centre over mean chord, and roll damping of a wing alone, by strips."""
    span, root, tip, sweep = WINGS[name]
    table = table_of(plank(span, root, tip, sweep))
    speed, small, mean = 5.0, 1e-3, 0.5 * (root + tip)
    push = 0.5 * 1.225 * speed**2 * mean * span
    up, down = (loads(table, (speed, 0.0, -a * speed)) for a in (small, -small))
    lift = (up[2] - down[2]) / (2 * small * push)
    moment = (up[4] - down[4]) / (2 * small * push)
    rolling = loads(table, (speed, 0.0, 0.0), (small * 2 * speed / span, 0.0, 0.0))
    return lift, moment / lift / mean, rolling[3] / (small * push * span)


@cache
def by_lattice(name: str) -> tuple[float, float, float]:
    """The same by the lattice of vortices."""
    span, root, tip, sweep = WINGS[name]
    solved = lattice(span, root, tip, sweep)
    return solved.lift_slope, solved.centre / (0.5 * (root + tip)), solved.roll_damping


KATZ = "vortex lattice after J. Katz and A. Plotkin, Low-Speed Aerodynamics, section 12.1"
for name in WINGS:
    swept = "dart" in name
    for index, (quantity, tolerance) in enumerate(
        (
            ("lift slope, 1/rad", relative(0.06)),
            ("centre of lift over the mean chord", absolute(0.05)),
            ("roll damping", relative(0.30 if swept else 0.07)),
        )
    ):
        check(
            WING, f"{quantity}, by strips", name, round(by_lattice(name)[index], 4),
            lambda n=name, i=index: by_strips(n)[i], tolerance, KATZ,
        )  # fmt: skip
