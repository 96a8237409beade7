"""Moments of inertia of a glider, built up from its parts where they were not measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from loftwright.flight.flat import larger, smaller

__all__ = ["GliderInertia", "glider_inertia"]

Values = Mapping[str, Any]
FOAM = 40.0  # kg/m3, sheets of extruded foam (common practice, no source)
LARGEST_SHARE = 0.8  # of the mass that surfaces can have, the rest is stick and ballast
STICK_SHARE = 0.5  # of what is left, the rest is ballast
# Air that goes along when a plate moves square to itself: that of a cylinder around its chord
# (H. Lamb, Hydrodynamics, 6th ed., section 71, from memory), at sea level.
AIR_ALONG = 1.225 * 3.141592653589793 / 4.0


class GliderInertia(NamedTuple):
    """Moments of inertia about the balance point, body axes [kg m2]; ``cross`` is -sum m x z."""

    roll: Any
    pitch: Any
    yaw: Any
    cross: Any


class _Part(NamedTuple):
    mass: Any
    x: Any  # aft of the nose
    z: Any
    length: Any  # of an even block about its middle
    width: Any
    depth: Any
    level: bool = True  # a plate that turns air over when it rolls or pitches; else an upright one


def _surfaces(values: Values, root: str) -> list[_Part]:
    parts = []
    for name in ("wing", "tailplane", "fin"):
        path = f"{root}.{name}"
        if f"{path}.span" not in values:
            continue
        span, thickness = values[f"{path}.span"], values[f"{path}.thickness"]
        chord = 0.5 * (values[f"{path}.root_chord"] + values[f"{path}.tip_chord"])
        mass = values.get(f"{path}.mass", FOAM * span * chord * thickness)
        x = values[f"{path}.from_nose"] + 0.5 * (values[f"{path}.sweep"] + chord)
        z = values[f"{path}.height"]
        if name == "fin":
            parts.append(_Part(mass, x, z + 0.5 * span, chord, thickness, span, False))
        else:
            # Half way out, a wing stands higher by a quarter of its span times its rise.
            rise = values[f"{path}.dihedral"]
            parts.append(_Part(mass, x, z + 0.25 * span * rise, chord, span, thickness))
    return parts


def _about_balance(parts: list[_Part], x: Any, z: Any) -> GliderInertia:
    roll: Any = 0.0
    pitch: Any = 0.0
    yaw: Any = 0.0
    cross: Any = 0.0
    for mass, at, height, length, width, depth, _ in parts:
        ahead, above = x - at, height - z
        roll = roll + mass * (above**2 + (width**2 + depth**2) / 12.0)
        pitch = pitch + mass * (ahead**2 + above**2 + (length**2 + depth**2) / 12.0)
        yaw = yaw + mass * (ahead**2 + (length**2 + width**2) / 12.0)
        cross = cross - mass * ahead * above
    return GliderInertia(roll, pitch, yaw, cross)


def _with_air(built: GliderInertia, surfaces: list[_Part], x: Any, z: Any) -> GliderInertia:
    """Add the air that goes along: as heavy as a small glider's wing when it rolls."""
    roll, pitch, yaw, cross = built
    for part in surfaces:
        span = part.width if part.level else part.depth
        air = AIR_ALONG * part.length**2 * span
        ahead = air * (x - part.x) ** 2
        if part.level:
            roll, pitch = roll + air * span**2 / 12.0, pitch + ahead
        else:
            roll, yaw = roll + air * ((part.z - z) ** 2 + span**2 / 12.0), yaw + ahead
    return GliderInertia(roll, pitch, yaw, cross)


def glider_inertia(values: Values, root: str = "payload") -> GliderInertia:
    """Return the moments of inertia: measured where given, else built up.

    Surfaces weigh what they were weighed at, or are light foam. Half of what is left of the mass
    is a stick as long as the fuselage, the other half ballast where it makes the balance right,
    within the fuselage. Air that a turning surface takes along counts in what is built up; what
    was measured by swinging has it in it.
    """
    whole = values[f"{root}.mass"]
    x, z = values[f"{root}.balance.from_nose"], values[f"{root}.balance.height"]
    surfaces = _surfaces(values, root)
    heavy = sum(part.mass for part in surfaces)
    fit = smaller(heavy, LARGEST_SHARE * whole) / heavy
    parts = [part._replace(mass=fit * part.mass) for part in surfaces]
    left = whole - fit * heavy
    length = values.get(f"{root}.fuselage.length", 2.0 * x)
    width = values.get(f"{root}.fuselage.width", 0.0)
    depth = values.get(f"{root}.fuselage.depth", 0.0)
    parts.append(_Part(STICK_SHARE * left, 0.5 * length, 0.0, length, width, depth))
    ballast = (1.0 - STICK_SHARE) * left
    moment = whole * x - sum(part.mass * part.x for part in parts)
    place = smaller(larger(moment / ballast, 0.0), length)
    parts.append(_Part(ballast, place, z, 0.0, width, depth))
    built = _with_air(_about_balance(parts, x, z), surfaces, x, z)
    return GliderInertia(
        values.get(f"{root}.balance.inertia_roll", built.roll),
        values.get(f"{root}.balance.inertia_pitch", built.pitch),
        values.get(f"{root}.balance.inertia_yaw", built.yaw),
        built.cross,
    )
