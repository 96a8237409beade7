"""What landings mean against the ground: chances, contours that reach a shape, people, energy."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from loftwright.documents.campaign import Campaign
from loftwright.documents.vehicle import Vehicle
from loftwright.field.contours import highest_density_contours
from loftwright.field.geometry import Bools, Floats
from loftwright.field.shapes import GroundShape, ground_shapes
from loftwright.flight.chance import Chance, chance_of
from loftwright.flight.obstacles import catching
from loftwright.physics.hazard import (
    FATAL_ENERGY,
    LIGHT_INJURY_ENERGY,
    SERIOUS_INJURY_ENERGY,
    casualty_area,
)

__all__ = [
    "SHARES",
    "THRESHOLDS",
    "BodyOnGround",
    "EnergyChance",
    "Happening",
    "Hits",
    "Landings",
    "Place",
    "ends_in",
    "ends_of",
    "landing_chances",
    "landings_of",
    "on_ground",
]

SHARES = (0.5, 0.9)
THRESHOLDS = (LIGHT_INJURY_ENERGY, SERIOUS_INJURY_ENERGY, FATAL_ENERGY)  # J
GUESSED_GLIDE = 5.0  # of a small glider whose ratio nobody has measured (judgement)

Happening = Literal["outside", "caught", "in", "on", "beyond"]
_HAPPENINGS: dict[str, Happening] = {
    "trees": "caught", "building": "caught", "road": "on", "people line": "beyond",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Landings:
    """Where one body came down, a row a flight, flights without a landing left out.

    ``caught`` holds the site's number of the shape that caught it, or NaN. ``plan_area`` [m2] and
    ``run`` [-] are those of ``physics.hazard.casualty_area``.
    """

    points: Floats  # (n, 2) m, east and north
    caught: Floats  # (n,)
    energy: Floats  # (n,) J
    plan_area: float = 0.0
    run: float = 0.0


@dataclass(frozen=True, slots=True)
class Place:
    """How often a body ends in one place.

    ``shape`` is its number in the site, or None for all field edges together. ``reached`` is the
    share of the tightest contour that reaches it (of `SHARES`), or None where none does.
    """

    happening: Happening
    shape: int | None
    name: str
    chance: Chance
    reached: float | None


@dataclass(frozen=True, slots=True)
class EnergyChance:
    """How often a body comes down with more than a published threshold."""

    threshold_j: float
    chance: Chance


@dataclass(frozen=True, slots=True)
class Hits:
    """How many of the people in a shape one flight is expected to hit, and its range."""

    shape: int
    name: str
    expected: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class BodyOnGround:
    """All that one body's landings mean."""

    body: str
    landings: int
    middle: tuple[float, float]  # m, east and north: half land on either side, each way
    places: tuple[Place, ...]
    energies: tuple[EnergyChance, ...]
    hits: tuple[Hits, ...]


def on_ground(campaign: Campaign, columns: Mapping[str, Floats]) -> tuple[BodyOnGround, ...]:
    """Return what the landings of an ensemble's columns mean against the site's shapes."""
    return landing_chances(landings_of(campaign, columns), ground_shapes(campaign.site))


def landings_of(campaign: Campaign, columns: Mapping[str, Floats]) -> dict[str, Landings]:
    """Return the landings of each body that came down in at least one flight.

    Columns ``touchdown_<body>_caught`` count the shapes that catch; where they are missing nothing
    was caught in flight, and trees count what came down on their ground.
    """
    numbers = np.array([*catching(campaign.site), np.nan])
    found = {}
    for body in _bodies(columns):
        points = np.stack([columns[f"touchdown_{body}_{way}_m"] for way in ("east", "north")], 1)
        down = np.asarray(np.isfinite(points).all(axis=1))
        if not down.any():
            continue
        nothing = np.full(len(down), np.nan)
        which = columns.get(f"touchdown_{body}_caught", nothing)[down]
        free = ~(which >= 0.0)
        found[body] = Landings(
            points=points[down],
            caught=numbers[np.where(free, -1, which).astype(int)],
            energy=columns.get(f"touchdown_{body}_energy_j", nothing)[down],
            plan_area=_plan_area(campaign, body),
            run=_run(campaign, body),
        )
    return found


def _bodies(columns: Iterable[str]) -> list[str]:
    """Return the bodies whose landings stand in columns, in their order."""
    first, last = "touchdown_", "_east_m"
    return [
        name.removeprefix(first).removesuffix(last)
        for name in columns
        if name.startswith(first) and name.endswith(last)
    ]


def landing_chances(
    bodies: Mapping[str, Landings], shapes: Sequence[GroundShape]
) -> tuple[BodyOnGround, ...]:
    """Return for each body how often it ends where, with what energy, and whom it may hit."""
    return tuple(_body(name, landings, shapes) for name, landings in bodies.items())


def _body(name: str, landings: Landings, shapes: Sequence[GroundShape]) -> BodyOnGround:
    contours = highest_density_contours(landings.points, SHARES)
    held = [ends_in(number, shape, landings) for number, shape in enumerate(shapes)]
    places = [*_outside(shapes, held, contours)]
    places += [
        _place(number, shape, held[number], contours)
        for number, shape in enumerate(shapes)
        if shape.kind != "field edge"
    ]
    known = landings.energy[np.isfinite(landings.energy)]
    east, north = np.median(landings.points, axis=0)
    return BodyOnGround(
        body=name,
        landings=len(landings.points),
        middle=(float(east), float(north)),
        places=tuple(places),
        energies=tuple(EnergyChance(least, chance_of(known > least)) for least in THRESHOLDS),
        hits=tuple(
            _hits(number, shape, held[number], landings)
            for number, shape in enumerate(shapes)
            if shape.people is not None
        ),
    )


def ends_in(number: int, shape: GroundShape, landings: Landings) -> Bools:
    """Tell of each landing whether it ended in the shape; what hangs in trees is not on a road."""
    free = np.isnan(landings.caught)
    held = shape.holds(landings.points)
    if shape.catches:
        return np.asarray((landings.caught == number) | (free & held))
    return held if shape.kind in ("field edge", "people line") else held & free


def _outside(
    shapes: Sequence[GroundShape], held: Sequence[Bools], contours: Mapping[float, list[Floats]]
) -> list[Place]:
    edges = [number for number, shape in enumerate(shapes) if shape.kind == "field edge"]
    if not edges:
        return []
    outside = ~_any(held[number] for number in edges)
    reached = None
    for share, lines in contours.items():
        leaves = any(
            not np.logical_or.reduce([shapes[k].holds(line) for k in edges]).all() for line in lines
        )
        reached = share if leaves and reached is None else reached
    name = shapes[edges[0]].name if len(edges) == 1 else "the field"
    alone = edges[0] if len(edges) == 1 else None
    return [Place("outside", alone, name, chance_of(outside), reached)]


def ends_of(
    columns: Mapping[str, Floats], landings: Landings, body: str, shapes: Sequence[GroundShape]
) -> dict[tuple[Happening, str], Bools]:
    """Tell of every flight of an ensemble whether a body ended in each place; never unless down.

    Places go by what happens there and the shape's name, as in `Place`.
    """
    down = np.isfinite(columns[f"touchdown_{body}_east_m"])
    held = [ends_in(number, shape, landings) for number, shape in enumerate(shapes)]
    edges = [number for number, shape in enumerate(shapes) if shape.kind == "field edge"]
    found: dict[tuple[Happening, str], Bools] = {}
    if edges:
        name = shapes[edges[0]].name if len(edges) == 1 else "the field"
        found["outside", name] = ~_any(held[number] for number in edges)
    for number, shape in enumerate(shapes):
        if shape.kind != "field edge":
            found[_HAPPENINGS.get(shape.kind, "in"), shape.name] = held[number]
    return {place: _every_flight(ended, down) for place, ended in found.items()}


def _every_flight(ended: Bools, down: Bools) -> Bools:
    """Put what is known of the flights that came down among all of them."""
    whole = np.zeros(len(down), dtype=bool)
    whole[down] = ended
    return whole


def _any(found: Iterable[Bools]) -> Bools:
    return np.asarray(np.any(list(found), axis=0), dtype=bool)


def _place(
    number: int, shape: GroundShape, held: Bools, contours: Mapping[float, list[Floats]]
) -> Place:
    reached = [share for share, lines in contours.items() if any(map(shape.reached_by, lines))]
    happening = _HAPPENINGS.get(shape.kind, "in")
    return Place(happening, number, shape.name, chance_of(held), min(reached, default=None))


def _hits(number: int, shape: GroundShape, held: Bools, landings: Landings) -> Hits:
    chance = chance_of(held)
    a_landing = casualty_area(landings.plan_area, landings.run) / shape.area
    people = shape.people or 0.0
    # Where fewer stand than one body can reach, no more than all of them are hit.
    hit = min(people * a_landing, people)
    return Hits(number, shape.name, chance.share * hit, chance.low * hit, chance.high * hit)


def _stage(campaign: Campaign, body: str) -> Vehicle:
    """Return the vehicle document of a body that is no payload."""
    if body.startswith("booster") and campaign.boosters is not None:
        return campaign.boosters
    return campaign.upper if body == "upper" and campaign.upper is not None else campaign.vehicle


def _plan_area(campaign: Campaign, body: str) -> float:
    """Largest area that a body shows from above, m2."""
    payload = campaign.payloads.get(body)
    if payload is None:
        shell = _stage(campaign, body).body
        return shell.length.value * shell.diameter.value
    if payload.wing is not None:
        wing = payload.wing
        return 0.5 * wing.span.value * (wing.root_chord.value + wing.tip_chord.value)
    if payload.glide is not None and payload.glide.wing_area is not None:
        return payload.glide.wing_area.value
    return payload.carried.length.value * payload.carried.width.value


def _run(campaign: Campaign, body: str) -> float:
    """Level way of a body for each length of fall; of a glider without a measured one, a guess."""
    payload = campaign.payloads.get(body)
    if payload is None or payload.kind != "glider":
        return 0.0
    measured = payload.glide.glide_ratio if payload.glide is not None else None
    return GUESSED_GLIDE if measured is None else measured.value
