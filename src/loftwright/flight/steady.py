"""The steady glide of a described glider: where its moments vanish and its lift bears it.

Plain Python on the kernel's own functions. With arrays among the rows, the same functions run on
arrays: clones with NumPy's root, larger and smaller in place of Python's.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from functools import cache
from hashlib import blake2b
from itertools import pairwise
from math import cos, radians, sin
from threading import Lock
from typing import Any, NamedTuple

from loftwright.flight.flat import larger, smaller
from loftwright.flight.kernel import gliding, slots, wing_slots
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["SEA_LEVEL_DENSITY", "Steady", "glider_table", "measured_drag_factor", "steady_glide"]

SEA_LEVEL_DENSITY, SEA_LEVEL_VISCOSITY = 1.225, 1.789e-5  # U.S. Standard Atmosphere 1976
LANES = slots.LANES
LONG_AGO = -1e6  # s; whatever unfolds has unfolded
EVEN_AIR = 1e12  # K, so warm that density does not fall with height
LOWEST, HIGHEST, STEPS = radians(-8.0), radians(20.0), 57
FEW_STEPS = 15
ROUNDS = 8
SMALL = 1e-4  # rad
CORRECTIONS = 4
FACTOR_RANGE = (0.3, 3.0)  # what a measured glide may make of the drag


class Steady(NamedTuple):
    """A steady straight glide; SI, radians."""

    speed: Any
    incidence: Any
    glide_ratio: Any
    stiffness: Any  # nose-down moment per incidence, over weight, m/rad


def glider_table(rows: Mapping[str, Any], mass: Any, density: float) -> list[Any]:
    """Lay a glider's rows into lane 0 of a table, in even, still air."""
    table: list[Any] = [0.0] * (LANES * wing_slots.GLIDER_PARAMETER_COUNT)
    for name, value in rows.items():
        slot, _, strip = name.partition(".")
        home = slots if hasattr(slots, slot) else wing_slots
        place = getattr(home, slot) + (int(strip) * wing_slots.STRIP_STRIDE if strip else 0)
        table[place] = value
    table[slots.DRY_MASS] = table[slots.MASS] = mass
    table[slots.GRAVITY] = GRAVITY
    table[slots.PAD_DENSITY] = table[slots.DENSITY] = density
    table[slots.PAD_TEMPERATURE] = EVEN_AIR
    table[slots.PAD_PRESSURE] = 101325.0
    table[slots.VISCOSITY] = SEA_LEVEL_VISCOSITY
    table[slots.ROUGHNESS] = 0.03
    table[wing_slots.WING_OPEN] = 1.0
    table[slots.LEFT_AT] = LONG_AGO
    return table


class _Ways(NamedTuple):
    """The functions that the solution runs on, for numbers or for arrays."""

    meet_air: Callable[..., None]
    loads: Callable[..., None]
    sine: Callable[[Any], Any]
    cosine: Callable[[Any], Any]
    larger: Callable[[Any, Any], Any]
    smaller: Callable[[Any, Any], Any]


PLAIN = _Ways(gliding.meet_air, gliding.glider_loads, sin, cos, max, min)


@cache
def _on_arrays() -> _Ways:
    import numpy as np

    instead = {"sqrt": np.sqrt, "max": np.maximum, "min": np.minimum}
    done: dict[types.FunctionType, types.FunctionType] = {}

    def clone(function: types.FunctionType) -> types.FunctionType:
        if function not in done:
            names = {**function.__globals__, **instead}
            for name in function.__code__.co_names:
                value = names.get(name)
                if isinstance(value, types.FunctionType):
                    names[name] = clone(value)
            done[function] = types.FunctionType(function.__code__, names, function.__name__)
        return done[function]

    # The checker knows what numba compiles by its own type; here it stays a plain function.
    return _Ways(
        clone(gliding.meet_air), clone(gliding.glider_loads),  # type: ignore[arg-type]
        np.sin, np.cos, np.maximum, np.minimum,
    )  # fmt: skip


def _loads(ways: _Ways, table: list[Any], incidence: Any, speed: Any) -> tuple[Any, Any, Any]:
    """Lift, drag and nose-up moment of straight flight."""
    sine, cosine = ways.sine(incidence), ways.cosine(incidence)
    ways.meet_air(speed * cosine, 0.0, -speed * sine, table, 0)
    ways.loads([0.0] * (LANES * slots.STATES), table, 0)
    x, z = table[slots.FORCE_X], table[slots.FORCE_Z]
    return z * cosine + x * sine, z * sine - x * cosine, -table[slots.MOMENT_Y]


def _settle(
    ways: _Ways, table: list[Any], incidence: Any, speed: Any, rounds: int = ROUNDS
) -> Steady:
    """Follow moment and force to their balance, from a place near it."""
    weight = table[slots.DRY_MASS] * table[slots.GRAVITY]
    slope: Any = 0.0
    for _ in range(rounds):
        lift, drag, moment = _loads(ways, table, incidence, speed)
        slope = (_loads(ways, table, incidence + SMALL, speed)[2] - moment) / SMALL
        step = moment / ways.smaller(slope, -1e-9)
        incidence = incidence - ways.larger(ways.smaller(step, 0.05), -0.05)
        bearing = (lift * lift + drag * drag) ** 0.5
        change = (weight / bearing) ** 0.5
        speed = speed * ways.larger(ways.smaller(change, 2.0), 0.5)
    lift, drag, _ = _loads(ways, table, incidence, speed)
    return Steady(speed, incidence, lift / drag, -slope / weight)


def _first_speed(table: list[Any]) -> Any:
    area: Any = 0.0
    for strip in range(wing_slots.WING_STRIPS):
        area = area + table[wing_slots.STRIP_AREA + strip * wing_slots.STRIP_STRIDE]
    weight = table[slots.DRY_MASS] * table[slots.GRAVITY]
    return (2.0 * weight / (table[slots.DENSITY] * area * 0.6)) ** 0.5


def steady_glide(table: list[Any]) -> tuple[Steady | None, str]:
    """Find the steady glide of one glider, or say why there is none.

    The incidence at which the nose-up moment passes through zero downward, with lift upward, is
    looked for from -8 to 20 degrees; of several, the lowest.
    """
    speed = _first_speed(table)
    step = (HIGHEST - LOWEST) / (STEPS - 1)
    seen = []
    for k in range(STEPS):
        incidence = LOWEST + k * step
        lift, _, moment = _loads(PLAIN, table, incidence, speed)
        seen.append((incidence, lift, moment))
    for (low, _, before), (high, lift, after) in pairwise(seen):
        if before > 0.0 >= after and lift > 0.0:
            start = low + (high - low) * before / (before - after)
            found = _settle(PLAIN, table, start, speed)
            if found.glide_ratio > 0.0 and found.stiffness > 0.0:
                return found, ""
    return None, _why_not(seen)


def _why_not(seen: list[tuple[float, float, float]]) -> str:
    lifting = [moment for _, lift, moment in seen if lift > 0.0]
    if not lifting:
        return "it never trims: no incidence up to 20 degrees gives lift"
    if all(moment <= 0.0 for moment in lifting):
        return (
            "it never trims: the air turns its nose down at every incidence that lifts, so it "
            "dives; more incidence on the wing, or the balance point further aft"
        )
    if lifting[-1] > 0.0:
        return (
            "it never trims: the air turns its nose up beyond the stall, so it falls back or "
            "tumbles; the balance point further forward"
        )
    return (
        "it never trims: where its moments vanish a gust would turn it further; the balance point "
        "further forward"
    )


def measured_drag_factor(rows: Mapping[str, Any], values: Mapping[str, Any], root: str) -> Any:
    """Factor on the whole drag with which the trimmed glide is the measured one.

    1 where the glider never trims: there is no glide to hold it against. Each of many gliders is
    worked out by itself: what it comes to does not depend on the others.
    """
    mass = values[f"{root}.mass"]
    measured = tuple(values.get(f"{root}.glide.{name}") for name in ("glide_ratio", "sink"))
    return _FACTORS.of(
        (*sorted(rows.items()), mass, *measured),
        lambda: _drag_factor(rows, values, root, mass),
    )


class _Kept:
    """The last few results, by what they were worked out from, bit for bit.

    A glider is looked at again and again while only the water or the wind is another.
    """

    def __init__(self, most: int) -> None:
        self._most, self._found, self._lock = most, dict[bytes, Any](), Lock()

    def of(self, inputs: tuple[Any, ...], work: Callable[[], Any]) -> Any:
        """Return what ``work`` comes to, worked out only where it is not known already."""
        key = _digest(inputs)
        with self._lock:
            if key in self._found:
                return self._found[key]
        result = work()
        if hasattr(result, "setflags"):
            result.setflags(write=False)  # it is shared
        with self._lock:
            while len(self._found) >= self._most:
                del self._found[next(iter(self._found))]
            self._found[key] = result
        return result


def _digest(inputs: tuple[Any, ...]) -> bytes:
    """Return what tells inputs apart: names, numbers, and arrays of numbers."""
    told = blake2b(digest_size=16)
    for each in inputs:
        name, value = each if isinstance(each, tuple) else ("", each)
        told.update(f"{name} {getattr(value, 'shape', '')} ".encode())
        told.update(value.tobytes() if hasattr(value, "tobytes") else repr(value).encode())
    return told.digest()


_FACTORS = _Kept(24)


def _drag_factor(rows: Mapping[str, Any], values: Mapping[str, Any], root: str, mass: Any) -> Any:
    table = glider_table(rows, mass, SEA_LEVEL_DENSITY)
    if not any(getattr(value, "shape", ()) for value in (*rows.values(), mass)):
        steady, _ = steady_glide(table)
        return 1.0 if steady is None else _matched(PLAIN, table, steady, values, root)
    import numpy as np

    steady = _first_glides(table)
    found = _matched(_on_arrays(), table, steady, values, root)
    return np.where(np.isfinite(steady.stiffness), found, 1.0)


def _matched(
    ways: _Ways, table: list[Any], steady: Steady, values: Mapping[str, Any], root: str
) -> Any:
    """Correct the drag until the glide is the measured one, from a glide near it."""
    ratio, sink = (values.get(f"{root}.glide.{name}") for name in ("glide_ratio", "sink"))
    factor: Any = 1.0
    for _ in range(CORRECTIONS):
        steady = _settle(ways, table, steady.incidence, steady.speed, 3)
        # Drag goes with one over the glide ratio, and nearly with the sink rate.
        much = steady.glide_ratio / ratio if sink is None else sink / _sink_of(steady)
        factor = _within(factor * much)
        table[wing_slots.DRAG_FACTOR] = factor
    return factor


def _first_glides(table: list[Any]) -> Steady:
    """Find about where each of many gliders trims; no stiffness where one does not.

    As `steady_glide`, at fewer incidences: what follows starts from there and comes nearer.
    """
    import numpy as np

    ways = _on_arrays()
    speed = _first_speed(table)
    step = (HIGHEST - LOWEST) / (FEW_STEPS - 1)
    found: Any = np.nan
    before: Any = -1.0
    for k in range(FEW_STEPS):
        lift, _, moment = _loads(ways, table, LOWEST + k * step, speed)
        passes = np.isnan(found) & (before > 0.0) & (moment <= 0.0) & (lift > 0.0)
        share = before / np.where(passes, before - moment, 1.0)
        found = np.where(passes, LOWEST + (k - 1 + share) * step, found)
        before = moment
    trims = np.isfinite(found)
    return Steady(speed, np.where(trims, found, 0.0), 1.0, np.where(trims, 1.0, np.nan))


def _sink_of(steady: Steady) -> Any:
    return steady.speed / (1.0 + steady.glide_ratio**2) ** 0.5


def _within(factor: Any) -> Any:
    low, high = FACTOR_RANGE
    return smaller(larger(factor, low), high)
