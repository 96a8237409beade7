"""What one carried payload is to the flight: mass, air loads, hold and release, as numbers.

Lengths run aft from the nose tip of what carries it; y is to the left and z up, seen from behind
with the side that faces the launch azimuth below. Every number may be an array ``(n,)``, see
`flat`. Measured values win over what is built up from the shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import reduce
from math import cos, sin
from typing import Any

from loftwright.documents.campaign import PAYLOADS
from loftwright.documents.payload import BEARS
from loftwright.flight.flat import each, larger, rows, smaller
from loftwright.flight.kernel import slots
from loftwright.flight.masses import PayloadMass
from loftwright.physics.drag import skin_friction
from loftwright.physics.protuberance import (
    boundary_layer_thickness,
    mean_layer_pressure,
    protuberance_drag_area,
    standing_edge_slope,
)
from loftwright.physics.retention import shared_strength, tipping_pull
from loftwright.physics.solids import arc_balance, arc_spread, block_inertia

__all__ = [
    "KINEMATIC_VISCOSITY",
    "MIDDLING_SPEED",
    "RELEASES",
    "UNKNOWN_STRENGTH",
    "drag_area",
    "gathered",
    "hold_strengths",
    "item_rows",
    "radial",
    "riders",
    "tipping",
]

Values = Mapping[str, Any]
Words = Mapping[str, str | int]
Row = dict[str, Any]

PI = 3.141592653589793
UNKNOWN_STRENGTH = 1e9  # N; nobody has said what it bears, so nothing is judged by it
LEAST_STRENGTH = 1e-6  # N
BY_SPENT = 4.0  # the jet that pushes it has ended
RELEASES = {
    "never": slots.NEVER,
    "climb": slots.BY_CLIMB,
    "apogee": slots.BY_APOGEE,
    "time": slots.BY_TIME,
    "spent": BY_SPENT,
    "air out": BY_SPENT,
}

# Reynolds numbers of the build-up are taken at a middling speed: drag goes with their fifth root.
MIDDLING_SPEED = 30.0  # m/s
KINEMATIC_VISCOSITY = 1.46e-5  # m2/s, standard air at sea level
FOREMOST = 0.01  # m; the layer is never thinner than so far behind the nose tip
# Pressure drag of the front on width times height: a square block whose flow closes again behind
# its edge, a low step all along the wall, and either with its edge rounded; of a square rear; of a
# streamlined fairing, its friction included. S. F. Hoerner, Fluid-Dynamic Drag (1965), ch. 3
# (blunt cylinders along the flow), ch. 5 (steps and other irregularities), ch. 8 (fairings), all
# from memory; ``drag_factor`` carries how far they are trusted.
FRONT_DRAG = {
    ("folded", "sharp"): 0.65,
    ("folded", "rounded"): 0.05,
    ("wrapped", "sharp"): 0.40,
    ("wrapped", "rounded"): 0.05,
}
REAR_DRAG = 0.20
FAIRING_DRAG = 0.10
PLATE_DRAG = 1.17  # flat plate square to the flow, Hoerner, ch. 3 (from memory)
CYLINDER_DRAG = 1.2  # endless cylinder across the flow, NACA Report 1048
MEAN_SINE_CUBED = 4 / (3 * PI)  # a standing edge meets the cross-flow from all sides


def riders(words: Words, carrier: str) -> tuple[str, ...]:
    """Return the roots of what rides on ``carrier`` ("vehicle" or "upper"), payloads first."""
    on = [
        root
        for root in PAYLOADS
        if f"{root}.kind" in words and words.get(f"{root}.on", "vehicle") == carrier
    ]
    if carrier == "vehicle":
        on += [root for root in ("boosters", "upper") if f"{root}.name" in words]
    return tuple(on)


def radial(around: Any) -> tuple[Any, Any]:
    """Return the direction off the axis at an angle ``around`` it, on the body's y and z axes."""
    return each(sin, around), -each(cos, around)


def item_rows(values: Values, words: Words, root: str) -> Row:
    """Return what the flight needs of the payload at ``root`` ("payload", "payload2" ...).

    Names are those of the kernel's items: masses and places (kg, m), its own inertia about its
    balance on the vehicle's axes (kg m2; IYZ is the entry of the matrix, minus the sum of m y z),
    drag areas along and across (m2), slope of the normal force (m2/rad) and where the air acts,
    force off the body (m2), strengths (N), friction, and what lets it go.
    """
    shape = _Shape(values, words, root)
    return (
        _mass(values, root, shape)
        | {
            "ITEM_DRAG": drag_area(values, words, root),
            "ITEM_SIDE": _side_area(shape),
            "ITEM_SLOPE": _slope(shape),
            "ITEM_CENTRE": shape.front + 0.5 * shape.length,
            "ITEM_PUSH": _push(values, root, shape),
            "ITEM_SHIELD": 0.0,
        }
        | hold_strengths(values, words, root)
        | {
            "ITEM_TIP": tipping(values, shape, root),
            "ITEM_WHEN": RELEASES[str(words[f"{root}.release.when"])],
            "ITEM_CLIMB": values.get(f"{root}.release.climb", 0.0),
            "ITEM_TIME": values.get(f"{root}.release.time", 0.0),
            "ITEM_DELAY": values[f"{root}.release.delay"],
            "ITEM_TOSS": values.get(f"{root}.toss.speed", 0.0),
        }
    )


class _Shape:
    """The size of one payload as carried, and how it lies against its carrier."""

    def __init__(self, values: Values, words: Words, root: str) -> None:
        table = f"{root}.carried"
        carrier = str(words.get(f"{root}.on", "vehicle"))
        self.how = str(words[f"{table}.how"])
        self.edges = str(words[f"{table}.edges"])
        self.length = values[f"{table}.length"]
        self.width = values[f"{table}.width"]
        self.thickness = values[f"{table}.thickness"]
        self.gap = values[f"{table}.gap"]
        self.body_radius = 0.5 * values[f"{carrier}.body.diameter"]
        balance = values[f"{table}.from_nose"]
        self.front = values.get(f"{table}.front_from_nose", balance - 0.5 * self.length)
        # Of a wrapped one: radius to the middle of its thickness, and half its angle.
        self.arc_radius = self.body_radius + self.gap + 0.5 * self.thickness
        self.half_angle = smaller(0.5 * self.width / self.arc_radius, PI)

    @property
    def is_wrapped(self) -> bool:
        return self.how == "wrapped"

    @property
    def is_inside(self) -> bool:
        return self.how == "inside"


# ---------------------------------------------------------------- mass


def _own_inertia(mass: Any, shape: _Shape) -> tuple[Any, Any, Any]:
    """Return inertia along the axis, about the radial and about the tangential direction."""
    if not shape.is_wrapped:
        return (
            block_inertia(mass, shape.width, shape.thickness),
            block_inertia(mass, shape.length, shape.width),
            block_inertia(mass, shape.length, shape.thickness),
        )
    square = shape.arc_radius * shape.arc_radius
    share, middle = each(arc_spread, shape.half_angle), each(arc_balance, shape.half_angle)
    off = mass * square * (share - middle * middle)  # along the line through its middle
    aside = mass * square * (1.0 - share)
    along = mass * shape.length * shape.length / 12.0
    return off + aside, aside + along, off + along


def _mass(values: Values, root: str, shape: _Shape) -> Row:
    mass = values[f"{root}.mass"]
    to_y, to_z = radial(values[f"{root}.carried.around"])
    off = values[f"{root}.carried.offset"]
    if shape.is_wrapped:
        off = shape.arc_radius * each(arc_balance, shape.half_angle)
    along, about_radial, about_tangent = _own_inertia(mass, shape)
    across = values.get(f"{root}.carried.inertia_across")
    if across is not None:
        about_radial = about_tangent = across
    return {
        "ITEM_MASS": mass,
        "ITEM_FROM_NOSE": values[f"{root}.carried.from_nose"],
        "ITEM_Y": off * to_y,
        "ITEM_Z": off * to_z,
        "ITEM_IXX": values.get(f"{root}.carried.inertia_along", along),
        "ITEM_IYY": about_radial * to_y * to_y + about_tangent * to_z * to_z,
        "ITEM_IZZ": about_radial * to_z * to_z + about_tangent * to_y * to_y,
        "ITEM_IYZ": (about_radial - about_tangent) * to_y * to_z,
    }


def gathered(items: Sequence[Row]) -> PayloadMass:
    """Take all that is carried as one mass beside the axis, alike in both planes across it."""
    mass = sum(item["ITEM_MASS"] for item in items)
    at, y, z = (
        sum(item["ITEM_MASS"] * item[name] for item in items) / mass
        for name in ("ITEM_FROM_NOSE", "ITEM_Y", "ITEM_Z")
    )
    along = sum(item["ITEM_IXX"] for item in items)
    across = sum(item["ITEM_IYY"] + item["ITEM_IZZ"] for item in items) / 2
    for item in items:
        own = item["ITEM_MASS"]
        aside = own * ((item["ITEM_Y"] - y) ** 2 + (item["ITEM_Z"] - z) ** 2)
        along += aside
        across += own * (item["ITEM_FROM_NOSE"] - at) ** 2 + aside / 2
    return PayloadMass(mass, at, (y * y + z * z) ** 0.5, across, along)


# ---------------------------------------------------------------- air


def drag_area(values: Values, words: Words, root: str) -> Any:
    """Return the drag area along the flow, measured or built up, m2."""
    table = f"{root}.carried"
    if f"{table}.drag_area" in values:
        return values[f"{table}.drag_area"]
    if f"{table}.drag_coefficient" in values:
        front = values[f"{table}.width"] * values[f"{table}.thickness"]
        return values[f"{table}.drag_coefficient"] * front
    shape = _Shape(values, words, root)
    if shape.is_inside:
        return 0.0
    return values[f"{table}.drag_factor"] * _built_up(shape)


def _built_up(shape: _Shape) -> Any:
    """Build up the drag of what stands off, in the boundary layer that reaches it."""
    way = larger(shape.front, FOREMOST)
    layer = boundary_layer_thickness(way, MIDDLING_SPEED * way / KINEMATIC_VISCOSITY)
    pressure = mean_layer_pressure(shape.gap, shape.gap + shape.thickness, layer)
    if shape.how == "fairing":
        return protuberance_drag_area(
            FAIRING_DRAG, 0.0, shape.width, shape.thickness, pressure, 0.0, 0.0
        )
    friction = each(skin_friction, MIDDLING_SPEED * shape.length / KINEMATIC_VISCOSITY, 0.0)
    # A gap as deep as the layer lets half of the flow in beneath (judgement).
    beneath = 2 * shape.width * shape.gap / (shape.gap + layer)
    sides = (2 * shape.thickness + beneath) * shape.length
    return protuberance_drag_area(
        FRONT_DRAG[shape.how, shape.edges],
        REAR_DRAG,
        shape.width,
        shape.thickness,
        pressure,
        friction,
        sides,
    )


def _side_area(shape: _Shape) -> Any:
    """Return the drag area across the flow that it adds to the body's, mean over all sides, m2."""
    standing = shape.length * (shape.thickness + shape.gap)
    if shape.is_inside:
        return 0.0
    if shape.is_wrapped:  # it thickens the body, by its share of the way around
        return CYLINDER_DRAG * 2 * standing * shape.half_angle / PI
    return PLATE_DRAG * MEAN_SINE_CUBED * standing


def _slope(shape: _Shape) -> Any:
    """Return the normal force per incidence of its standing edges, m2/rad; a full ring has none."""
    if shape.is_inside:
        return 0.0
    slope = standing_edge_slope(shape.thickness + shape.gap, shape.body_radius)
    return slope * (1 - shape.half_angle / PI) if shape.is_wrapped else slope


def _push(values: Values, root: str, shape: _Shape) -> Any:
    """Return the force straight off the body in flow along it, over dynamic pressure, m2."""
    if shape.is_inside:
        return 0.0
    width = shape.width
    if shape.is_wrapped:  # only what stands against the line of symmetry counts
        width = width * each(arc_balance, shape.half_angle)
    return values[f"{root}.carried.push_coefficient"] * shape.length * width


# ---------------------------------------------------------------- hold


def hold_strengths(values: Values, words: Words, root: str) -> Row:
    """Return what the hold bears along, around and off the body, and its friction.

    A strength that nobody has told is `UNKNOWN_STRENGTH`. Where some of the pieces that bear a
    load have been pulled and others not, only the former count.
    """
    if f"{root}.hold.strength" in values:
        strength = larger(values[f"{root}.hold.strength"], LEAST_STRENGTH)
        grip = values[f"{root}.hold.friction"]
        return _strengths(strength, strength, strength, grip)
    pieces = [
        {**numbers, **named}
        for numbers, named in zip(
            rows(values, f"{root}.retainer"), rows(words, f"{root}.retainer"), strict=True
        )
    ]
    if not pieces:
        return _strengths(UNKNOWN_STRENGTH, UNKNOWN_STRENGTH, UNKNOWN_STRENGTH, 0.0)
    grip = sum(piece["count"] * piece["friction"] for piece in pieces)
    count = sum(piece["count"] for piece in pieces)
    along, across, peel = (_summed(pieces, way) for way in ("along", "across", "peel"))
    return _strengths(along, across, peel, grip / count)


def tipping(values: Values, shape: _Shape, root: str) -> Any:
    """Return how much of a load along the axis pulls off the body at the payload's other end.

    The load acts at the balance point, above the skin that holds it; the payload tips over its rear
    end and is kept by its foremost retainer, or by its front end where nobody has said. Something
    inside the body cannot tip.
    """
    if shape.is_inside:
        return 0.0
    balance, off = values[f"{root}.carried.from_nose"], values[f"{root}.carried.offset"]
    if shape.is_wrapped:
        off = shape.arc_radius * each(arc_balance, shape.half_angle)
    foremost = shape.front
    places: list[Any] = [
        piece.get("from_nose", balance) for piece in rows(values, f"{root}.retainer")
    ]
    if places:
        foremost = reduce(smaller, places)
    base = larger(shape.front + shape.length - foremost, shape.thickness)
    return tipping_pull(1.0, larger(off - shape.body_radius, 0.0), base)


def _strengths(along: Any, across: Any, peel: Any, grip: Any) -> Row:
    return {"ITEM_ALONG": along, "ITEM_ACROSS": across, "ITEM_PEEL": peel, "ITEM_GRIP": grip}


def _summed(pieces: list[dict[str, Any]], way: str) -> Any:
    """Sum what the pieces bear one way, by their own strength and by what their preload grips."""
    shares = []
    for piece in pieces:
        bears = way in BEARS[piece["kind"]] and way in piece
        grips = "preload" in piece and (way != "peel" or piece["kind"] == "friction")
        if bears or grips:
            strength = piece[way] if bears else 0.0
            preload = piece["preload"] if grips else 0.0
            shares.append(shared_strength(piece["count"], strength, piece["friction"], preload))
    return larger(sum(shares), LEAST_STRENGTH) if shares else UNKNOWN_STRENGTH
