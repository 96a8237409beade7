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
MOST_AT_ONCE = 1024  # gliders times incidences in one array, which must stay in the cache
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


_Forces = tuple[Any, Any, Any]  # lift, drag and nose-up moment of straight flight


class _Ways(NamedTuple):
    """What the solution runs on, for numbers or for arrays.

    ``forces(table, incidences, speed)`` gives the forces at each of some incidences.
    """

    forces: Callable[[list[Any], list[Any], Any], list[_Forces]]
    larger: Callable[[Any, Any], Any]
    smaller: Callable[[Any, Any], Any]


def _forces(
    law: Mapping[str, Callable[..., Any]], table: list[Any], incidence: Any, speed: Any
) -> _Forces:
    sine, cosine = law["sine"](incidence), law["cosine"](incidence)
    law["meet_air"](speed * cosine, 0.0, -speed * sine, table, 0)
    law["glider_loads"]([0.0] * (LANES * slots.STATES), table, 0)
    x, z = table[slots.FORCE_X], table[slots.FORCE_Z]
    return z * cosine + x * sine, z * sine - x * cosine, -table[slots.MOMENT_Y]


_LAW: Mapping[str, Callable[..., Any]] = {
    "meet_air": gliding.meet_air, "glider_loads": gliding.glider_loads, "sine": sin, "cosine": cos,
}  # fmt: skip


def _one_by_one(table: list[Any], incidences: list[Any], speed: Any) -> list[_Forces]:
    return [_forces(_LAW, table, incidence, speed) for incidence in incidences]


PLAIN = _Ways(_one_by_one, max, min)


@cache
def _on_arrays() -> dict[str, Callable[..., None]]:
    """Return the kernel's functions as they run on arrays, by name."""
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

    wanted = (gliding.meet_air, gliding.strip_load, gliding.wing_wake, gliding.end_glide)
    # The checker knows what numba compiles by its own type; here it stays a plain function.
    return {each.__name__: clone(each) for each in wanted}  # type: ignore[arg-type]


def _side_by_side(table: list[Any]) -> _Ways:
    """Return the functions for the many gliders of a table.

    It is the number of calls that costs: incidences, strips and gliders are the axes of one array.
    Sums are taken strip by strip, as `glider_loads` takes them: the same to the last bit.
    """
    import numpy as np

    law, tail = _on_arrays(), wing_slots.WING_STRIPS
    wing, behind = _stacked(table, range(tail)), _stacked(table, range(tail, wing_slots.STRIPS))

    def add(strips: dict[int, Any], y: list[Any], table: list[Any]) -> None:
        beside = [*table]
        for row, value in strips.items():
            beside[row] = value
        for row in _SUMS:
            beside[row] = 0.0
        law["strip_load"](0, y, beside, 0)
        for row in _SUMS:
            for strip in range(beside[row].shape[1]):
                table[row] = table[row] + beside[row][:, strip : strip + 1]

    def glider_loads(y: list[Any], table: list[Any], lane: int) -> None:
        add(wing, y, table)
        law["wing_wake"](table, lane)
        add(behind, y, table)
        law["end_glide"](y, table, lane)

    laws: dict[str, Callable[..., Any]] = {
        **law,
        "glider_loads": glider_loads,
        "sine": np.sin,
        "cosine": np.cos,
    }

    def forces(table: list[Any], incidences: list[Any], speed: Any) -> list[_Forces]:
        gliders = max(np.size(each) for each in (speed, *incidences))
        share = max(1, MOST_AT_ONCE // gliders)
        found: list[_Forces] = []
        for first in range(0, len(incidences), share):
            some = incidences[first : first + share]
            at = np.stack([np.atleast_1d(each) for each in some])[:, np.newaxis]
            of_some = [np.asarray(each)[:, 0] for each in _forces(laws, table, at, speed)]
            found += zip(*of_some, strict=True)
        return found

    return _Ways(forces, np.maximum, np.minimum)


def _stacked(table: list[Any], strips: range) -> dict[int, Any]:
    """Return the rows of some strips by the place of the first strip's, ``(strips, gliders)``."""
    import numpy as np

    stride = wing_slots.STRIP_STRIDE
    found: dict[int, Any] = {}
    for row in range(wing_slots.STRIP_X, wing_slots.STRIP_X + stride, LANES):
        each = np.broadcast_arrays(*(table[row + strip * stride] for strip in strips))
        found[row] = np.stack(each).reshape(len(strips), -1)
    return found


_SUMS = (
    wing_slots.WING_LIFT, slots.FORCE_X, slots.FORCE_Y, slots.FORCE_Z,
    slots.MOMENT_X, slots.MOMENT_Y, slots.MOMENT_Z,
)  # fmt: skip


def _settle(
    ways: _Ways, table: list[Any], incidence: Any, speed: Any, rounds: int = ROUNDS
) -> Steady:
    """Follow moment and force to their balance, from a place near it."""
    weight = table[slots.DRY_MASS] * table[slots.GRAVITY]
    slope: Any = 0.0
    for _ in range(rounds):
        both = ways.forces(table, [incidence, incidence + SMALL], speed)
        (lift, drag, moment), (_, _, beyond) = both
        slope = (beyond - moment) / SMALL
        step = moment / ways.smaller(slope, -1e-9)
        incidence = incidence - ways.larger(ways.smaller(step, 0.05), -0.05)
        bearing = (lift * lift + drag * drag) ** 0.5
        change = (weight / bearing) ** 0.5
        speed = speed * ways.larger(ways.smaller(change, 2.0), 0.5)
    ((lift, drag, _),) = ways.forces(table, [incidence], speed)
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
    incidences = [LOWEST + k * step for k in range(STEPS)]
    forces = PLAIN.forces(table, incidences, speed)
    seen = [(at, lift, moment) for at, (lift, _, moment) in zip(incidences, forces, strict=True)]
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

    ways = _side_by_side(table)
    steady = _first_glides(ways, table)
    found = _matched(ways, table, steady, values, root)
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


def _first_glides(ways: _Ways, table: list[Any]) -> Steady:
    """Find about where each of many gliders trims; no stiffness where one does not.

    As `steady_glide`, at fewer incidences: what follows starts from there and comes nearer.
    """
    import numpy as np

    speed = _first_speed(table)
    step = (HIGHEST - LOWEST) / (FEW_STEPS - 1)
    found: Any = np.nan
    before: Any = -1.0
    incidences = [LOWEST + k * step for k in range(FEW_STEPS)]
    for k, (lift, _, moment) in enumerate(ways.forces(table, incidences, speed)):
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
