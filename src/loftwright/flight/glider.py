"""A glider's tables into the kernel's rows: strips over wing, tail and fin, and the fuselage.

Lengths of the documents run aft from the glider's nose; here everything is laid out in body axes
about the balance point: x forward, y left, z up. Every number may also be an array ``(n,)``, see
`flat`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import cos, sin
from typing import Any, NamedTuple

from loftwright.flight.flat import each, larger, smaller
from loftwright.flight.glider_masses import glider_inertia
from loftwright.flight.kernel.wing_slots import TAIL_STRIPS, WING_STRIPS
from loftwright.physics.section import arc_lift_incidence
from loftwright.physics.wing import (
    broadside_drag,
    centre_shift,
    downwash_slope,
    elliptic_mean,
    rolling_slope,
    swept_slope,
)

__all__ = ["Extents", "Surface", "extents", "glider_rows", "has_wing", "surface_of"]

PI = 3.141592653589793
TWO_PI = 2.0 * PI
Values = Mapping[str, Any]
Row = dict[str, Any]

# A strip's slope must stay below that of its section, or the wake would add to its incidence.
STEEPEST = 0.98 * TWO_PI
# Edges of a plate, lightly rounded in front and square behind, on thickness over chord, and the
# laminar flow's parting behind the top of an arc, on camber squared (both judgement).
EDGE_DRAG = 0.2
ARC_DRAG = 3.0
# Fuselage and tailplane close the root of a fin: its aspect ratio counts half as much again
# (USAF DATCOM, from memory).
FIN_CLOSED = 1.5
FUSELAGE_ACROSS, FUSELAGE_FRONT = 1.1, 0.15  # drag coefficients of a stick (judgement)
MOST_DOWNWASH = 0.9
QUICKEST = 1e-3  # s, for a wing that is out at once
HALF_WING = WING_STRIPS // 2
# Mean height of an ellipse over each strip of a half wing, in chords of a plank of its area.
ELLIPSE = tuple(
    4.0 / PI * elliptic_mean(k / HALF_WING, (k + 1) / HALF_WING) for k in range(HALF_WING)
)


class Surface(NamedTuple):
    """A wing, a tailplane or a fin; SI, aft of the glider's nose, fins upright."""

    from_nose: Any
    span: Any
    root_chord: Any
    tip_chord: Any
    sweep: Any
    dihedral: Any
    incidence: Any
    thickness: Any
    height: Any

    @property
    def area(self) -> Any:
        """Area as seen from above [m2]."""
        return 0.5 * self.span * (self.root_chord + self.tip_chord)

    @property
    def aspect_ratio(self) -> Any:
        """Span squared over area."""
        return self.span**2 / self.area

    def chord(self, share: float) -> Any:
        """Chord at a share of the way from root to tip [m]."""
        return self.root_chord + share * (self.tip_chord - self.root_chord)

    def middle(self, share: float) -> Any:
        """Mid-chord at a share of the way from root to tip, aft of the nose [m]."""
        return self.from_nose + share * self.sweep + 0.5 * self.chord(share)


class Extents(NamedTuple):
    """How far the glider reaches from its balance point, body axes [m]."""

    half_span: Any
    nose: Any  # forward
    tail: Any  # aft, positive
    above: Any
    below: Any  # positive


def has_wing(values: Values, root: str = "payload") -> bool:
    """Tell whether the payload is a glider with a described wing."""
    return f"{root}.wing.span" in values and f"{root}.balance.from_nose" in values


def surface_of(values: Values, path: str) -> Surface | None:
    """Return the surface that stands at ``path``, or None."""
    if f"{path}.span" not in values:
        return None
    turned = "cant" if f"{path}.cant" in values else "incidence"
    from_nose, span, root_chord, tip_chord, sweep, thickness, height = (
        values[f"{path}.{name}"]
        for name in (
            "from_nose", "span", "root_chord", "tip_chord", "sweep", "thickness", "height"
        )
    )  # fmt: skip
    return Surface(
        from_nose, span, root_chord, tip_chord, sweep,
        values.get(f"{path}.dihedral", 0.0), values[f"{path}.{turned}"], thickness, height,
    )  # fmt: skip


def _mid_sweep(surface: Surface, span: Any) -> Any:
    """Tangent of the sweep of the mid-chord line."""
    return (surface.sweep + 0.5 * (surface.tip_chord - surface.root_chord)) / span


def _axes(incidence: Any, sweep: Any, dihedral: Any, side: float) -> Row:
    """Chord, normal and turning axis of a strip; ``side`` is 1 on the left, -1 on the right."""
    along = 1.0 / (1.0 + sweep**2) ** 0.5
    out = side * sweep * along
    lean, tilt = each(sin, incidence), each(cos, incidence)
    up, level = side * each(sin, dihedral), each(cos, dihedral)
    chord_z = along * lean
    chord = (along * tilt, out * level - chord_z * up, out * up + chord_z * level)
    normal = (-lean, -tilt * up, tilt * level)
    return _frame(chord, normal)


def _frame(chord: tuple[Any, Any, Any], normal: tuple[Any, Any, Any]) -> Row:
    cx, cy, cz = chord
    nx, ny, nz = normal
    axis = (cy * nz - cz * ny, cz * nx - cx * nz, cx * ny - cy * nx)
    names = (f"{name}_{part}" for name in ("CHORD", "NORMAL", "AXIS") for part in "XYZ")
    return dict(zip(names, (*chord, *normal, *axis), strict=True))


def _plate(surface: Surface, chord: Any, area: Any, sweep: Any, slope: Any) -> Row:
    """What a strip's size makes of it; ``sweep`` is the tangent of the mid-chord's."""
    along = 1.0 / (1.0 + sweep**2) ** 0.5
    relative = surface.thickness / chord
    return {
        "STRIP_AREA": area,
        "STRIP_CHORD": chord * along,
        "STRIP_SLOPE": smaller(slope / along, STEEPEST),
        "STRIP_CAMBER": 0.0,
        "STRIP_BROADSIDE": broadside_drag(surface.aspect_ratio),
        "STRIP_FRICTION": 2.656 * (1.0 + 2.0 * relative) / chord**0.5,
        "STRIP_EDGE": EDGE_DRAG * relative,
        "STRIP_FOLDS": 0.0,
    }


def _wing_strips(values: Values, root: str, wing: Surface, balance: Row) -> Iterator[Row]:
    """Four strips a side, from the middle outward, left and right in turn."""
    half = 0.5 * wing.span
    sweep = _mid_sweep(wing, half)
    slope = swept_slope(wing.aspect_ratio, sweep)
    washout, warp = values[f"{root}.wing.washout"], values[f"{root}.wing.warp"]
    arc = values[f"{root}.wing.camber"] + values[f"{root}.wing.curl"]
    rise = each(sin, wing.dihedral) / each(cos, wing.dihedral)
    mean = 0.5 * (wing.root_chord + wing.tip_chord)
    ahead = centre_shift(wing.aspect_ratio) * mean
    for k in range(HALF_WING):
        share = (k + 0.5) / HALF_WING
        chord = wing.chord(share)
        area = half / HALF_WING * chord / each(cos, wing.dihedral)
        loaded = slope * 0.5 * (1.0 + ELLIPSE[k] * mean / chord)
        plate = _plate(wing, chord, area, sweep, loaded)
        plate["STRIP_CAMBER"] = arc_lift_incidence(arc) * (1.0 + sweep**2) ** 0.5
        plate["STRIP_EDGE"] = plate["STRIP_EDGE"] + ARC_DRAG * arc**2
        plate["STRIP_FOLDS"] = 1.0
        for side in (1.0, -1.0):
            twist = wing.incidence + share * (side * warp - washout)
            yield (
                plate
                | _axes(twist, sweep, wing.dihedral, side)
                | {
                    "STRIP_X": balance["x"] - wing.middle(share) + ahead,
                    "STRIP_Y": side * share * half,
                    "STRIP_Z": wing.height + share * half * rise - balance["z"],
                }
            )


def _tail_strips(tail: Surface | None, balance: Row) -> Iterator[Row]:
    """One strip a side, at the middle of its area."""
    if tail is None:
        yield from (_nothing(), _nothing())
        return
    half = 0.5 * tail.span
    sweep = _mid_sweep(tail, half)
    rise = each(sin, tail.dihedral) / each(cos, tail.dihedral)
    share = (tail.root_chord + 2.0 * tail.tip_chord) / (3.0 * (tail.root_chord + tail.tip_chord))
    slope = swept_slope(tail.aspect_ratio, sweep)
    area = 0.5 * tail.area / each(cos, tail.dihedral)
    plate = _plate(tail, tail.area / tail.span, area, sweep, slope)
    for side in (1.0, -1.0):
        yield (
            plate
            | _axes(tail.incidence, sweep, tail.dihedral, side)
            | {
                "STRIP_X": balance["x"] - tail.middle(share),
                "STRIP_Y": side * share * half,
                "STRIP_Z": tail.height + share * half * rise - balance["z"],
            }
        )


def _fin_strips(fin: Surface | None, balance: Row) -> Iterator[Row]:
    """Lower and upper half."""
    if fin is None:
        yield from (_nothing(), _nothing())
        return
    sweep = _mid_sweep(fin, fin.span)
    along = 1.0 / (1.0 + sweep**2) ** 0.5
    slope = swept_slope(FIN_CLOSED * fin.aspect_ratio, sweep)
    lean, tilt = each(sin, fin.incidence), each(cos, fin.incidence)
    axes = _frame((along * tilt, along * lean, sweep * along), (-lean, tilt, 0.0))
    for share in (0.25, 0.75):
        chord = fin.chord(share)
        yield (
            _plate(fin, chord, 0.5 * fin.span * chord, sweep, slope)
            | axes
            | {
                "STRIP_X": balance["x"] - fin.middle(share),
                "STRIP_Y": 0.0,
                "STRIP_Z": fin.height + share * fin.span - balance["z"],
            }
        )


def _nothing() -> Row:
    """Return a strip of no size, anywhere harmless."""
    sizes = ("AREA", "CHORD", "SLOPE", "CAMBER", "BROADSIDE", "FRICTION", "EDGE", "FOLDS")
    place = {f"STRIP_{name}": 0.0 for name in (*"XYZ", *sizes)}
    return place | _frame((1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def _fuselage(values: Values, root: str, balance: Row) -> Row:
    """The stick between wing and tail, taken as even along its length."""
    if f"{root}.fuselage.length" not in values:
        names = ("X", "Z", "SIDE", "TOP", "FRICTION", "FRONT", "VOLUME", "DAMPING")
        return {f"FUSELAGE_{name}": 0.0 for name in names}
    length, width, depth = (
        values[f"{root}.fuselage.{name}"] for name in ("length", "width", "depth")
    )
    top, front = FUSELAGE_ACROSS * width * length, 0.25 * PI * width * depth
    return {
        "FUSELAGE_X": balance["x"] - 0.5 * length,
        "FUSELAGE_Z": -balance["z"],
        "FUSELAGE_SIDE": FUSELAGE_ACROSS * depth * length,
        "FUSELAGE_TOP": top,
        "FUSELAGE_FRICTION": 1.328 * 2.0 * (width + depth) * length / length**0.5,
        "FUSELAGE_FRONT": FUSELAGE_FRONT * front,
        "FUSELAGE_VOLUME": 0.7 * front * length,
        "FUSELAGE_DAMPING": top * length**3 / 32.0,
    }


def _wake_gain(wing: Surface, tail: Surface | None) -> Any:
    """Downwash at the tail times density and speed, over the wing's lift [1/m2]."""
    if tail is None:
        return 0.0
    half = 0.5 * wing.span
    arm = larger((tail.middle(0.5) - wing.middle(0.5)) / half, 0.2)
    height = smaller(abs(tail.height - wing.height) / wing.span, 0.5)
    taper = smaller(wing.tip_chord / wing.root_chord, 1.0)
    slope = smaller(downwash_slope(wing.aspect_ratio, taper, arm, height), MOST_DOWNWASH)
    lift = swept_slope(wing.aspect_ratio, _mid_sweep(wing, half))
    return 2.0 * slope / (lift * wing.area)


def _roll_share(wing: Surface, strips: list[Row]) -> Any:
    """Rolling moment of the wing over that of its strips, when it rolls or is twisted."""
    sweep = _mid_sweep(wing, 0.5 * wing.span)
    whole = rolling_slope(wing.aspect_ratio, sweep) / 8.0
    alone: Any = 0.0
    for strip in strips:
        slope = strip["STRIP_SLOPE"] / (1.0 + sweep**2) ** 0.5
        alone = alone + slope * strip["STRIP_AREA"] * strip["STRIP_Y"] ** 2
    return whole * wing.span**2 * wing.area / (2.0 * alone)


def _balance(values: Values, root: str) -> Row:
    return {"x": values[f"{root}.balance.from_nose"], "z": values[f"{root}.balance.height"]}


def geometry_rows(values: Values, root: str = "payload") -> Row:
    """Return everything but what a measured glide changes, by the names of `wing_slots`.

    A strip's row is named with its number behind it: ``"STRIP_X.3"``.
    """
    balance = _balance(values, root)
    wing = surface_of(values, f"{root}.wing")
    if wing is None:
        raise ValueError(f"{root} has no wing")
    tail = surface_of(values, f"{root}.tailplane")
    fin = surface_of(values, f"{root}.fin")
    of_wing = list(_wing_strips(values, root, wing, balance))
    strips = [*of_wing, *_tail_strips(tail, balance), *_fin_strips(fin, balance)]
    if len(strips) != WING_STRIPS + TAIL_STRIPS:
        raise ValueError(f"{len(strips)} strips do not fill the table")
    inertia = glider_inertia(values, root)
    row: Row = {
        "INERTIA_XX": inertia.roll,
        "INERTIA_YY": inertia.pitch,
        "INERTIA_ZZ": inertia.yaw,
        "INERTIA_XZ": inertia.cross,
        "UNFOLD_RATE": 1.0 / larger(values[f"{root}.wing.unfold_time"], QUICKEST),
        "FOLDED_SHARE": values[f"{root}.wing.folded_share"],
        "WAKE_GAIN": _wake_gain(wing, tail),
        "ROLL_SHARE": _roll_share(wing, of_wing),
        "DRAG_FACTOR": 1.0,
    }
    row |= _fuselage(values, root, balance)
    for number, strip in enumerate(strips):
        row |= {f"{name}.{number}": value for name, value in strip.items()}
    return row


def glider_rows(values: Values, root: str = "payload") -> Row:
    """Return the numbers of a glider with [wing], by the names of `kernel.wing_slots`.

    A strip's row is named with its number behind it: ``"STRIP_X.3"`` is slot
    ``STRIP_X + 3 * STRIP_STRIDE``. A measured glide ratio or sink rate scales the whole drag
    until the trimmed glide has it.
    """
    row = geometry_rows(values, root)
    measured = f"{root}.glide.glide_ratio", f"{root}.glide.sink"
    if any(path in values for path in measured):
        from loftwright.flight.steady import measured_drag_factor  # only where it is needed

        row["DRAG_FACTOR"] = measured_drag_factor(row, values, root)
    return row


def extents(values: Values, root: str = "payload") -> Extents:
    """Return how far a glider with [wing] reaches from its balance point."""
    balance = _balance(values, root)
    last: Any = values.get(f"{root}.fuselage.length", 0.0)
    span: Any = 0.0
    above: Any = 0.0
    below: Any = 0.5 * values.get(f"{root}.fuselage.depth", 0.0)
    for part in ("wing", "tailplane", "fin"):
        surface = surface_of(values, f"{root}.{part}")
        if surface is None:
            continue
        end = larger(surface.root_chord, surface.sweep + surface.tip_chord)
        last = larger(last, surface.from_nose + end)
        upright = part == "fin"
        rise = surface.span if upright else 0.5 * surface.span * each(sin, surface.dihedral)
        above = larger(above, surface.height + larger(rise, 0.0))
        below = larger(below, -surface.height - smaller(rise, 0.0))
        span = span if upright else larger(span, surface.span)
    return Extents(
        half_span=0.5 * span,
        nose=balance["x"],
        tail=last - balance["x"],
        above=larger(above - balance["z"], 0.0),
        below=larger(below + balance["z"], 0.0),
    )
