"""What landings mean against the ground, in words: a table of chances, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from loftwright.documents.campaign import Campaign
from loftwright.field.landings import BodyOnGround, Hits, on_ground
from loftwright.field.shapes import GroundShape, ground_shapes
from loftwright.flight.results import Ensemble
from loftwright.physics.hazard import LIGHT_INJURY_ENERGY, speed_at_energy
from loftwright.report.bodies import body_name, in_order
from loftwright.report.quantities import amount, digits
from loftwright.report.reading import hundredths, in_hundred, listed

__all__ = ["GroundWords", "ground_words"]

_FROM_LANDINGS = {0.5: "half", 0.9: "9 in 10"}


@dataclass(frozen=True, slots=True)
class GroundWords:
    """Sentences, then rows of chances with a cell for each body, then what to keep in mind.

    A cell is how many flights in a hundred, and the range of the truth in brackets.
    """

    caption: str
    sentences: tuple[str, ...]
    bodies: tuple[str, ...]
    rows: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    notes: tuple[str, ...]


def ground_words(campaign: Campaign, ensemble: Ensemble | None) -> GroundWords | None:
    """Return the words for an ensemble; None without one. Without shapes energies are told."""
    shapes = ground_shapes(campaign.site)
    if ensemble is None:
        return None
    bodies = on_ground(campaign, ensemble.columns)
    if not bodies:
        return None
    order = in_order(body.body for body in bodies)
    bodies = tuple(sorted(bodies, key=lambda body: order.index(body.body)))
    names = {body.body: body_name(campaign, body.body) for body in bodies}
    return GroundWords(
        caption="Where it ends up" if bodies[0].places else "How hard it comes down",
        sentences=tuple(_sentences(bodies, names)),
        bodies=tuple(names.values()),
        rows=tuple(_rows(bodies, shapes, campaign.head.units)),
        notes=tuple(_notes(campaign, ensemble, bodies, names)),
    )


# ---------------------------------------------------------------- sentences


def _sentences(bodies: Sequence[BodyOnGround], names: dict[str, str]) -> Iterator[str]:
    for body in bodies:
        yield from _strays(body, names[body.body])
        yield from _reached(body, names[body.body])
    for body in bodies:
        yield from (_hit_words(names[body.body], hits) for hits in body.hits)


def _strays(body: BodyOnGround, name: str) -> Iterator[str]:
    """Say how often a body leaves the field or passes the people's line."""
    strays = [place for place in body.places if place.happening in ("outside", "beyond")]
    seen = [place for place in strays if place.chance.count]
    never = [place for place in strays if not place.chance.count]
    if seen:
        told = [(f"{each.happening} {each.name} in", *in_hundred(each.chance)) for each in seen]
        (where, number, brackets), *others = told
        more = "".join(f", {' '.join(each)}" for each in others)
        yield f"{name} comes down {where} {number} of 100 flights {brackets}{more}."
    if never:
        where = " or ".join(f"{each.happening} {each.name}" for each in never)
        most = hundredths(never[0].chance.high)
        yield (
            f"In {body.landings} flights {name} never came down {where}: at most {most} in 100 do."
        )


def _reached(body: BodyOnGround, name: str) -> Iterator[str]:
    """Say which shapes each contour reaches, the tighter one first."""
    for share, words in _FROM_LANDINGS.items():
        near = [place for place in body.places if place.reached == share]
        verbs = [f"leaves {each.name}" for each in near if each.happening == "outside"]
        verbs += [f"crosses {each.name}" for each in near if each.happening == "beyond"]
        reached = [each.name for each in near if each.happening not in ("outside", "beyond")]
        verbs += [f"reaches {listed(reached)}"] if reached else []
        if verbs:
            yield f"The line around {words} of {name}'s landings {listed(verbs)}."


def _hit_words(name: str, hits: Hits) -> str:
    most = _one_in(hits.high)
    if hits.expected == 0.0:
        return (
            f"{name} hits somebody in {hits.name} less often than once in {most} flights, with "
            "95 % confidence in the count."
        )
    return (
        f"{name} is expected to hit somebody in {hits.name} once in {_one_in(hits.expected)} "
        f"flights, and not more often than once in {most}, with 95 % confidence in the count."
    )


def _one_in(expected: float) -> str:
    """Return in how many flights something is to be expected once: rather fewer than more."""
    if expected <= 0.0:
        return "any number of"
    once = 1.0 / expected
    if once < 1.0:
        return "less than one"
    step = 10.0 ** max(math.floor(math.log10(once)) - 1, 0)
    return digits(math.floor(once / step + 1e-9) * step, 2)


# ---------------------------------------------------------------- table

_PLACES = {
    "outside": "outside {}", "caught": "caught by {}", "on": "on {}", "beyond": "beyond {}",
    "in": "in {}",
}  # fmt: skip


def _rows(
    bodies: Sequence[BodyOnGround], shapes: Sequence[GroundShape], system: str
) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    for together in zip(*(body.places for body in bodies), strict=True):
        place = together[0]
        among = place.shape is not None and shapes[place.shape].kind == "people"
        words = "among {}" if among else _PLACES[place.happening]
        yield words.format(place.name), tuple(in_hundred(each.chance) for each in together)
    for energies in zip(*(body.energies for body in bodies), strict=True):
        if not all(each.chance.flights for each in energies):
            continue
        least = amount(energies[0].threshold_j, "energy", system, 3 if system == "metric" else 2)
        yield f"with more than {least}", tuple(in_hundred(each.chance) for each in energies)


# ---------------------------------------------------------------- notes


def _notes(
    campaign: Campaign,
    ensemble: Ensemble,
    bodies: Sequence[BodyOnGround],
    names: dict[str, str],
) -> Iterator[str]:
    yield (
        "In brackets: what the true number may be, with 95 % confidence in the count alone. That "
        "the model and the wind may be wrong comes on top; flying more often does not cure it."
    )
    speeds = [
        f"{names[body.body]} at {amount(speed, 'speed', campaign.head.units, 2)}"
        for body in bodies
        if (speed := _threshold_speed(ensemble, body.body)) is not None
    ]
    system = campaign.head.units
    first, second, third = (
        amount(each.threshold_j, "energy", system, 3 if system == "metric" else 2)
        for each in bodies[0].energies
    )
    reach = f" The first is reached by {listed(speeds)}." if speeds else ""
    yield (
        f"{first} and {second} are what 14 CFR 107.120 and 107.130 let an unmanned aircraft pass "
        f"on to a person; {third} is a fatality criterion of RCC 321.{reach} They hold for blunt "
        "things: a nose, a fin or an eye needs far less."
    )
    if any(body.hits for body in bodies):
        yield (
            "A hit is reckoned for people who stand still, spread evenly, and do not look up: "
            "one foot of radius each, and all of the body's own area. It says nothing of how bad "
            "it is, and no small number stands in for moving people away."
        )
    shapes = "Shapes are as you drew them. " if bodies[0].places else ""
    yield (
        f"{shapes}Ask the landowner, follow local codes and the rules of the "
        "air, and keep people upwind, together and watching."
    )


def _threshold_speed(ensemble: Ensemble, body: str) -> float | None:
    """Speed at which a body of the ensemble's middle mass reaches the lowest threshold, m/s."""
    energy = ensemble.columns.get(f"touchdown_{body}_energy_j")
    speed = ensemble.columns.get(f"touchdown_{body}_speed_m_s")
    if energy is None or speed is None:
        return None
    known = np.isfinite(energy) & (speed > 0.0)
    if not known.any():
        return None
    mass = float(np.median(2.0 * energy[known] / speed[known] ** 2))
    return speed_at_energy(mass, LIGHT_INJURY_ENERGY) if mass > 0.0 else None
