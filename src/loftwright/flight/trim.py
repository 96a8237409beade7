"""How a described glider flies when left alone: its steady glide and the modes about it.

The modes are eigenvalues of the rigid body's own equations of motion, those of `kernel.rates`,
linearised by central differences about the trimmed glide. Warp and cant are taken out first: what
is asked is how the glider answers, not which way it drifts.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, pi, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.glider import glider_rows
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.rates import lane_rates
from loftwright.flight.results import GliderModes
from loftwright.flight.steady import SEA_LEVEL_DENSITY, Steady, glider_table, steady_glide
from loftwright.physics.rotation import quaternion_from_elevation_azimuth

__all__ = ["glider_modes"]

Floats = NDArray[np.float64]
Roots = NDArray[Any]
LANES = slots.LANES
HIGH = 100.0  # m above the ground, anywhere
STEP = 1e-5
# Perturbations: velocity east, north, up; small turns about body axes; turning rates. Flying east,
# the motion in the upright plane does not mix with that across it.
UPRIGHT = (0, 2, 4, 7)
ACROSS = (1, 3, 5, 6, 8)


def glider_modes(
    values: Mapping[str, Any],
    root: str = "payload",
    density: float = SEA_LEVEL_DENSITY,
) -> GliderModes:
    """Find the trimmed glide of a glider with [wing], and its modes.

    ``values`` are those of `loftwright.documents.flatten.flatten`; numbers, not arrays.
    ``density`` is that of the air [kg/m3].
    """
    straight = {**values, f"{root}.wing.warp": 0.0}
    if f"{root}.fin.cant" in values:
        straight[f"{root}.fin.cant"] = 0.0
    table = glider_table(glider_rows(straight, root), values[f"{root}.mass"], density)
    steady, why = steady_glide(table)
    if steady is None:
        return GliderModes(trims=False, says=why)
    return _described(steady, *_motions(table, steady))


# ---------------------------------------------------------------- linearised motion


def _motions(table: list[float], steady: Steady) -> tuple[Roots, Roots]:
    """Eigenvalues of the motion in the upright plane, and of that across it."""
    slope = atan2(1.0, steady.glide_ratio)
    attitude = quaternion_from_elevation_azimuth(steady.incidence - slope, 0.5 * pi)
    speed = steady.speed
    velocity = (speed * np.cos(slope), 0.0, -speed * np.sin(slope))
    matrix = np.empty((9, 9))
    for column in range(9):
        nudge = np.zeros(9)
        nudge[column] = STEP
        ahead, behind = (_rates(table, velocity, attitude, sign * nudge) for sign in (1.0, -1.0))
        matrix[:, column] = (ahead - behind) / (2.0 * STEP)
    return (
        np.linalg.eigvals(matrix[np.ix_(UPRIGHT, UPRIGHT)]),
        np.linalg.eigvals(matrix[np.ix_(ACROSS, ACROSS)]),
    )


def _rates(
    table: list[float], velocity: Any, attitude: tuple[float, float, float, float], nudge: Floats
) -> Floats:
    """Rates of the nine perturbations."""
    y, dy = [0.0] * slots.SIZE, [0.0] * slots.SIZE
    y[slots.UP] = HIGH
    for k, first in enumerate((slots.V_EAST, slots.V_NORTH, slots.V_UP)):
        y[first] = velocity[k] + nudge[k]
    turned = _turned(attitude, nudge[3:6])
    for k, first in enumerate((slots.Q0, slots.Q1, slots.Q2, slots.Q3)):
        y[first] = turned[k]
    for k, first in enumerate((slots.ROLL_RATE, slots.PITCH_RATE, slots.YAW_RATE)):
        y[first] = nudge[6 + k]
    # What numba compiles has no annotations, on purpose: it infers them.
    lane_rates(slots.GLIDE_PHASE, 0, 0.0, y, table, dy, 0)  # type: ignore[no-untyped-call]
    rows = (slots.V_EAST, slots.V_NORTH, slots.V_UP)
    spins = (slots.ROLL_RATE, slots.PITCH_RATE, slots.YAW_RATE)
    return np.array([*(dy[row] for row in rows), *nudge[6:9], *(dy[row] for row in spins)])


def _turned(q: tuple[float, float, float, float], turn: Floats) -> tuple[float, ...]:
    """Attitude after a small turn about body axes, by quaternion product."""
    x, y, z = (0.5 * float(part) for part in turn)
    w = sqrt(1.0 - x * x - y * y - z * z)
    q0, q1, q2, q3 = q
    return (
        q0 * w - q1 * x - q2 * y - q3 * z,
        q0 * x + q1 * w + q2 * z - q3 * y,
        q0 * y - q1 * z + q2 * w + q3 * x,
        q0 * z + q1 * y - q2 * x + q3 * w,
    )


# ---------------------------------------------------------------- modes by name


def _described(steady: Steady, upright: Any, across: Any) -> GliderModes:
    by_size = sorted(upright, key=abs)
    phugoid, phugoid_damping = _swing(by_size[:2])
    short, short_damping = _swing(by_size[2:])
    # Of the five, the one that only changes the heading is zero.
    lateral = sorted(across, key=abs)[1:]
    swings = [root for root in lateral if abs(root.imag) > 1e-9]
    alone = sorted(float(root.real) for root in lateral if abs(root.imag) <= 1e-9)
    dutch, dutch_damping = _swing(swings) if len(swings) == 2 else (None, None)
    roll = -1.0 / alone[0] if len(alone) == 2 else None
    spiral = -1.0 / alone[1] if len(alone) == 2 else None
    slope = atan2(1.0, steady.glide_ratio)
    return GliderModes(
        trims=True,
        says=_said(spiral, phugoid_damping, short_damping),
        speed_m_s=float(steady.speed),
        incidence_rad=float(steady.incidence),
        glide_ratio=float(steady.glide_ratio),
        sink_m_s=float(steady.speed * np.sin(slope)),
        phugoid_period_s=phugoid,
        phugoid_damping=phugoid_damping,
        short_period_s=short,
        short_period_damping=short_damping,
        roll_time_constant_s=roll,
        spiral_time_constant_s=spiral,
        dutch_roll_period_s=dutch,
        dutch_roll_damping=dutch_damping,
    )


def _swing(pair: Any) -> tuple[float | None, float | None]:
    """Period and damping ratio of two roots; no period where they do not swing."""
    product, total = (pair[0] * pair[1]).real, (pair[0] + pair[1]).real
    damping = float(-total / (2.0 * sqrt(product))) if product > 0.0 else None
    turning = abs(pair[0].imag)
    return (float(2.0 * pi / turning) if turning > 1e-9 else None), damping


def _said(spiral: float | None, phugoid: float | None, short: float | None) -> str:
    parts = ["it trims"]
    if phugoid is None or phugoid <= 0.0:
        parts.append("its slow swing grows by itself")
    if short is None or short <= 0.0:
        parts.append("its quick swing in pitch grows by itself")
    if spiral is None:
        parts.append("roll and spiral are one slow swing")
    elif spiral < 0.0:
        parts.append(f"a turn tightens into a spiral, e-fold in {-spiral:.2g} s")
    else:
        parts.append("a turn widens again by itself")
    return "; ".join(parts)
