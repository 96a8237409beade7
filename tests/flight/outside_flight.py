"""The flight engine beside closed forms of flight: drag, vacuum, spin, fins and canopy."""

from __future__ import annotations

from functools import cache
from math import cos, pi, radians, sin, tan

import numpy as np
from flight.engine_rows import Floats, coasting, column, figure, fly, parameters, time_of, to_ground
from outside import COMPUTED, MEMORY, OutsideCheck, Tolerance, absolute, register, relative
from scipy.interpolate import CubicSpline

from loftwright.flight import engine
from loftwright.physics.rotation import quaternion_from_elevation_azimuth

NO_WEIGHT = 1e-12  # m/s2


def declare(
    quantity: str,
    inputs: str,
    expected: float,
    ours: object,
    tolerance: Tolerance,
    source: str,
    standing: str = COMPUTED,
) -> None:
    """Register a check of the engine."""
    register(
        OutsideCheck(
            model="Flight engine",
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,  # type: ignore[arg-type]
            tolerance=tolerance,
            standing=standing,
        )
    )


def attitude(elevation: float, azimuth: float) -> dict[str, float]:
    """Name the parts of a quaternion."""
    parts = quaternion_from_elevation_azimuth(elevation, azimuth)
    return dict(zip(("Q0", "Q1", "Q2", "Q3"), parts, strict=True))


# ---------------------------------------------------------------- straight up, with drag

QUADRATIC = "closed form of vertical motion with quadratic drag, e.g. Marion and Thornton, ch. 2"
SHOT = "0.150 kg, C_D A 0.0030 m², 1.225 kg/m³, 50 m/s"


@cache
def vertical_shot() -> dict[str, float]:
    """A shot straight up and back in even air."""
    table = parameters(DRY_MASS=0.150, MEASURED_DRAG=0.0030)
    raw = fly(table, coasting(V_UP=50.0), tolerance=1e-10)
    up = figure(raw, "APOGEE_TIME")
    return {
        "apogee, m": figure(raw, "APOGEE_HEIGHT"),
        "time up, s": up,
        "time down, s": figure(raw, "DOWN_TIME") - up,
        "speed of impact, m/s": figure(raw, "DOWN_SPEED"),
    }


for name, value in (
    ("apogee, m", 57.818456),
    ("time up, s", 3.046294),
    ("time down, s", 3.849926),
    ("speed of impact, m/s", 24.624624),
):
    declare(
        f"vertical shot with drag: {name}",
        SHOT,
        value,
        lambda q=name: vertical_shot()[q],
        absolute(1e-6),
        QUADRATIC,
    )

# ---------------------------------------------------------------- no air

PARABOLA = "Galileo's parabola: v² sin 2E / g, (v sin E)² / 2g"


@cache
def vacuum_shot(speed: float, elevation: float) -> engine.Raw:
    """A shot without drag."""
    start = coasting(
        V_EAST=speed * cos(elevation), V_UP=speed * sin(elevation), **attitude(elevation, pi / 2)
    )
    return fly(parameters(), start, tolerance=1e-10)


for v0, reach, height in ((30.0, 91.774, 45.887), (50.0, 254.929, 127.465)):
    declare(
        "range at 45° without air, m",
        f"{v0:g} m/s",
        reach,
        lambda v=v0: figure(vacuum_shot(v, pi / 4), "DOWN_EAST"),
        absolute(6e-4),
        PARABOLA,
    )
    declare(
        "apogee straight up without air, m",
        f"{v0:g} m/s",
        height,
        lambda v=v0: figure(vacuum_shot(v, pi / 2), "APOGEE_HEIGHT"),
        absolute(6e-4),
        PARABOLA,
    )

# ---------------------------------------------------------------- a free top

LANDAU = "L. D. Landau and E. M. Lifshitz, Mechanics, 3rd ed. (1976), section 33 and 36"
ALONG, ACROSS, SPIN, CONE = 0.0008, 0.0125, 20.0, radians(5.0)


@cache
def top_tape() -> Floats:
    """Tape of a spinning body that nothing turns."""
    start = coasting(V_UP=50.0, ROLL_RATE=SPIN, PITCH_RATE=ALONG * SPIN * tan(CONE) / ACROSS)
    table = parameters(DRY_ALONG=ALONG, DRY_ACROSS=ACROSS)
    raw = fly(table, start, tolerance=1e-10, recorded=1, capacity=100_000, intervals=(1e-2, 1e-2))
    return raw.tapes[0]["vehicle"]


def precession() -> float:
    """Rate at which the nose goes round the angular momentum [rad/s]."""
    tape = top_tape()
    spin = np.column_stack([column(tape, f"{a}_RATE") for a in ("ROLL", "PITCH", "YAW")])
    momentum = to_ground(tape, spin * (ALONG, ACROSS, ACROSS))
    nose = to_ground(tape, np.tile([1.0, 0.0, 0.0], (len(tape), 1)))
    pole = momentum[0] / np.linalg.norm(momentum[0])
    first = nose[0] - pole * (nose[0] @ pole)
    angle = np.unwrap(np.arctan2(nose @ np.cross(pole, first), nose @ first))
    return float(np.polyfit(time_of(tape), angle, 1)[0])


def body_precession() -> float:
    """Rate at which the cross spin goes round in the body [rad/s]."""
    tape = top_tape()
    angle = np.unwrap(np.arctan2(column(tape, "YAW_RATE"), column(tape, "PITCH_RATE")))
    return float(np.polyfit(time_of(tape), angle, 1)[0])


TOP = "inertia 0.0008 and 0.0125 kg m², 20 rad/s about the axis, 5° half cone"
declare("precession of a free top, rad/s", TOP, 1.284889, precession, absolute(1e-6), LANDAU)
declare(
    "precession of a free top, in the body, rad/s",
    TOP,
    -18.720000,
    body_precession,
    absolute(1e-5),
    LANDAU,
)

# ---------------------------------------------------------------- weathercock


def weathercock() -> float:
    """Frequency of a dart about its path [1/s], with as little damping as can be.

    The stiffness is lift slope times margin; a hundredth of the margin with a hundredfold slope
    leaves it, and takes the damping, which goes with the margin's square, nearly away. The dart
    is heavy, so it does not leave its path.
    """
    table = parameters(
        GRAVITY=NO_WEIGHT,
        DRY_MASS=1e9,
        DRY_ACROSS=0.0125,
        FIN_SLOPE=100.0 * 10.0 * 0.25 * pi * 0.108**2,
        FIN_CENTRE=0.20 / 100.0,
    )
    start = coasting(UP=80.0, V_UP=-40.0, **attitude(-pi / 2 + 1e-3, pi / 2))
    raw = fly(table, start, tolerance=1e-10, recorded=1, capacity=100_000, intervals=(1e-3, 1e-3))
    tape = raw.tapes[0]["vehicle"]
    once = np.concatenate([[True], np.diff(time_of(tape)) > 1e-9])
    turning = CubicSpline(time_of(tape)[once], column(tape, "PITCH_RATE")[once])
    crossings = turning.roots(extrapolate=False)[1:]
    return float((len(crossings) - 1) / (2.0 * (crossings[-1] - crossings[0])))


declare(
    "weathercock frequency, 1/s",
    "40 m/s, 1.225 kg/m³, slope 10 on 0.108 m, margin 0.20 m, 0.0125 kg m²",
    6.032007,
    weathercock,
    relative(1e-5),
    "linear weathercock stiffness, e.g. B. Etkin, Dynamics of Flight, ch. 3",
)

# ---------------------------------------------------------------- canopy

KNACKE = "T. W. Knacke, NWC TP 6575 (1991)"
FULL = {"CANOPY_AT": 0.0, "CANOPY_DIAMETER": 0.6}


def descent(mass: float, drag_area: float, rho: float, **body: float) -> float:
    """Speed at the ground under a canopy that has been open for long [m/s]."""
    table = parameters(DRY_MASS=mass, CANOPY_DRAG=drag_area, PAD_DENSITY=rho, **FULL, **body)
    raw = fly(table, coasting(UP=200.0, V_UP=-1.0), tolerance=1e-10)
    return figure(raw, "DOWN_SPEED")


for mass, diameter, coefficient, rho, speed in (
    (0.35, 0.60, 0.75, 1.225, 5.140608),
    (0.35, 0.90, 0.75, 1.225, 3.427072),
    (0.15, 0.45, 0.80, 1.112, 4.560013),
):
    area = coefficient * 0.25 * pi * diameter**2
    declare(
        "speed of descent, m/s",
        f"{mass} kg, {diameter} m, C_D {coefficient}, {rho} kg/m³",
        speed,
        lambda m=mass, a=area, r=rho: descent(m, a, r),
        relative(1e-5),
        f"{KNACKE}, section 5.1",
    )


# The drag areas of canopy and body add up; a body that hangs along the flow has no side to it.
for share, speed in ((1.0, 5.104627), (0.1, 15.215353)):
    area = share * 0.75 * 0.25 * pi * 0.60**2
    declare(
        "speed of descent with the body's drag, m/s",
        f"0.35 kg, 0.6 m, C_D 0.75 of which {share:.0%} filled, body 0.003 m²",
        speed,
        lambda a=area: descent(0.35, a, 1.225, MEASURED_DRAG=0.003, CROSS_AREA=0.05),
        relative(1e-5),
        f"{KNACKE}, section 5.1",
    )


def drift(height: float, descent_speed: float, wind: float) -> float:
    """Way that an open canopy drifts in a wind that is the same at all heights [m]."""
    area = 2.0 * 0.35 * 9.80665 / (1.225 * descent_speed**2)
    # One gust so long that it is a steady wind; its partner, a quarter further on, is nothing.
    even = {"GUST_ALONG_0": wind, "GUST_1_PHASE": 0.5 * pi, "ROUGHNESS": 1e-12}
    table = parameters(DRY_MASS=0.35, CANOPY_DRAG=area, **even, **FULL)
    start = coasting(UP=height, V_UP=-descent_speed, V_EAST=wind)
    return figure(fly(table, start, tolerance=1e-10), "DOWN_EAST")


for height, descent_speed, wind, way in (
    (100.0, 5.0, 5.0, 100.0),
    (100.0, 5.0, 8.0, 160.0),
    (60.0, 4.5, 3.0, 40.0),
):
    declare(
        "drift under a canopy, m",
        f"{height:g} m, {descent_speed:g} m/s down, wind {wind:g} m/s",
        way,
        lambda h=height, v=descent_speed, w=wind: drift(h, v, w),
        relative(1e-6),
        "height over speed of descent, times wind",
    )

AREA, SPEED, LOAD = 0.25 * pi * 0.60**2 * 0.75, 15.0, 0.35


def opening_load(filling_time: float) -> float:
    """Largest load while a canopy fills [N]: no weight, area growing as the square of time."""
    table = parameters(
        GRAVITY=NO_WEIGHT,
        DRY_MASS=LOAD,
        CANOPY_DRAG=AREA,
        FILLING_CONSTANT=filling_time * SPEED / 0.6,
        **FULL,
    )
    start = coasting(UP=200.0, V_UP=-SPEED)
    return figure(fly(table, start, tolerance=1e-9), "CANOPY_LOAD")


STEADY = 0.5 * 1.225 * SPEED**2 * AREA
for ballistic, share in (
    (0.02, 0.04291),
    (0.05, 0.07904),
    (0.1, 0.12547),
    (0.2, 0.19917),
    (0.5, 0.36688),
    (1.0, 0.56250),
    (1.5, 0.66942),
    (2.0, 0.73469),
    (5.0, 0.87891),
    (10.0, 0.93652),
    (100.0, 0.99337),
):
    declare(
        "largest load while filling over the steady load, -",
        f"ballistic parameter {ballistic:g}, area as the square of time",
        share,
        lambda a=ballistic: opening_load(2.0 * LOAD / (1.225 * AREA * SPEED * a)) / STEADY,
        # The engine looks at the load at the ends of its steps, 20 or more in a filling.
        relative(2e-3),
        f"{KNACKE}, section 5.4, after E. Pflanz",
        MEMORY,
    )
declare(
    "largest load while filling, N",
    "0.35 kg, 0.60 m, C_D 0.75, 15 m/s, filling constant 8",
    11.5824,
    lambda: opening_load(8.0 * 0.6 / SPEED),
    relative(2e-3),
    f"{KNACKE}, section 5.4, after E. Pflanz",
    MEMORY,
)
