"""Many points of a campaign flown as one batch: the one door from a study to the engine.

A point is a set of values that replace those of the documents. Without draws each point is one
flight with the values as they stand; with draws it is an ensemble, and every point is given the
same random numbers, so that what differs between two points is what was changed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flatten import flatten
from loftwright.documents.reading import findings
from loftwright.flight import engine, prepare
from loftwright.flight.blocks import Recipe, rows_of
from loftwright.flight.carrying import veers
from loftwright.flight.citations import flight_laws
from loftwright.flight.draws import bounds_of
from loftwright.flight.figures import columns
from loftwright.flight.forecast import provenance
from loftwright.flight.kernel.body import Body
from loftwright.flight.results import Provenance
from loftwright.study.derived import of_the_point, with_derived
from loftwright.study.figures import GROUND, known_keys, undrawn
from loftwright.study.ground import Ground, Grounds, on_the_ground
from loftwright.study.spans import placed

__all__ = [
    "BLOCK",
    "TOLERANCE",
    "Draws",
    "Evaluated",
    "Rows",
    "evaluate",
    "fly_rows",
    "made_by",
    "refusal",
    "shifted",
]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

TOLERANCE = 1e-6
# Flights handed to the engine at a time: enough for every thread, little enough for memory.
BLOCK = 16_384


class Draws(NamedTuple):
    """How many flights each point has, and the seed that all points share."""

    flights: int
    seed: int


@dataclass(frozen=True, slots=True)
class Evaluated:
    """What the points came to.

    ``columns`` maps a figure to an array ``(n,)``, or ``(n, flights)`` with draws; NaN where it
    did not happen. ``refused`` holds for each point why the documents would not read so, or "".
    """

    columns: dict[str, Floats]
    refused: list[str]


class Rows(NamedTuple):
    """The engine's rows of one campaign, and what its figures are worked out with."""

    bodies: list[Body]
    values: prepare.Values
    flights: int
    ground: Ground


def refusal(campaign: Campaign) -> str:
    """Return the first error that reading such documents would give, or ""."""
    errors = (f"{role}: {found.message}" for role, found in findings(campaign)
              if found.severity == "error")  # fmt: skip
    return next(errors, "")


def evaluate(
    campaign: Campaign,
    points: Mapping[str, Floats],
    draws: Draws | None = None,
    *,
    wanted: Collection[str] = (),
    tolerance: float = TOLERANCE,
    progress: Progress | None = None,
) -> Evaluated:
    """Fly every point of a study.

    Parameters
    ----------
    points : mapping
        Path to an array ``(n,)`` of SI values; every other field stays as the documents have it,
        and a replaced one keeps its uncertainty.
    draws : Draws, optional
        Fly each point many times, every point with the same draws and gusts.
    wanted : collection of str
        Figures asked for: those of ``figures.ASKED`` are worked out only if they are among them.
    progress : callable, optional
        Called with flights done and their total.

    Notes
    -----
    A point goes through the same preparation as a forecast with ``--set``, so both agree to the
    last bit.
    """
    number = len(next(iter(points.values()))) if points else 1
    shape = (number,) if draws is None else (number, draws.flights)
    there = [
        placed(campaign, {path: float(column[i]) for path, column in points.items()})
        for i in range(number)
    ]
    refused = [refusal(each) for each in there]
    flying = [i for i in range(number) if not refused[i]]
    found: dict[str, Floats] = {key: np.full(shape, np.nan) for key in known_keys(campaign)}
    todo = [there[i] for i in flying]
    # Of a single flight the veer comes with all else that payloads do to the climb.
    once = {"veer_m"} & set(wanted) if draws is None else set()
    flown = _flown(todo, draws, tolerance, set(wanted) - once, progress)
    asked = {key for key in wanted if undrawn(key)} | once
    for i, each, row in zip(flying, todo, flown, strict=True):
        for key, column in row.items():
            found.setdefault(key, np.full(shape, np.nan))[i] = column if draws else column[0]
        for key, value in of_the_point(each, asked, tolerance).items():
            found[key][i] = np.nan if value is None else value
    return Evaluated(found, refused)


def _flown(
    campaigns: list[Campaign],
    draws: Draws | None,
    tolerance: float,
    wanted: Collection[str],
    progress: Progress | None,
) -> Iterator[dict[str, Floats]]:
    """Yield each campaign's columns in order; whole campaigns are batched until a block is full."""
    flights = draws.flights if draws else 1
    together = max(1, BLOCK // flights)
    total = len(campaigns) * flights
    grounds = Grounds()
    for start in range(0, len(campaigns), together):
        batch = [
            _rows(each, draws, grounds.of(each)) for each in campaigns[start : start + together]
        ]
        told = shifted(progress, start * flights, total)
        yield from fly_rows(batch, tolerance, wanted, told)


def shifted(progress: Progress | None, before: int, total: int) -> Progress | None:
    """Return what tells of a part of the flights as of the whole."""
    if progress is None:
        return None
    return lambda done, _: progress(before + done, total)


def _rows(campaign: Campaign, draws: Draws | None, ground: Ground) -> Rows:
    values, sds, words = flatten(campaign)
    if draws is None:
        return Rows(prepare.prepare(values, words), values, 1, ground)
    recipe = Recipe(values, sds, words, bounds_of(campaign), draws.seed, TOLERANCE, ground.row)
    bodies, varied, _ = rows_of(recipe, 0, draws.flights)
    return Rows(bodies, varied, draws.flights, ground)


def fly_rows(
    batch: Sequence[Rows],
    tolerance: float,
    wanted: Collection[str],
    progress: Progress | None = None,
) -> list[dict[str, Floats]]:
    """Return the columns of each of some campaigns; those that are alike fly as one."""
    found: list[dict[str, Floats]] = [{} for _ in batch]
    total, done = sum(each.flights for each in batch), 0
    for alike in _alike(batch):
        some = [batch[i] for i in alike]
        columns = _fly(some, tolerance, wanted, shifted(progress, done, total))
        done += sum(each.flights for each in some)
        if progress is not None:
            progress(done, total)
        ends = np.cumsum([each.flights for each in some])[:-1]
        parts = {key: np.split(column, ends) for key, column in columns.items()}
        for k, i in enumerate(alike):
            found[i] = {key: part[k] for key, part in parts.items()}
    return found


def _alike(batch: Sequence[Rows]) -> list[list[int]]:
    """Group campaigns whose bodies and ground are the same but for numbers."""
    groups: dict[object, list[int]] = {}
    for i, each in enumerate(batch):
        bodies = tuple(
            (body.name, body.phase, body.parents, body.parameters.shape[1]) for body in each.bodies
        )
        groups.setdefault((bodies, id(each.ground)), []).append(i)
    return list(groups.values())


def _fly(
    some: Sequence[Rows], tolerance: float, wanted: Collection[str], progress: Progress | None
) -> dict[str, Floats]:
    bodies = [_joined(parts) for parts in zip(*(each.bodies for each in some), strict=True)]
    ground = some[0].ground
    raw = engine.fly_all(bodies, tolerance=tolerance, shapes=ground.row, progress=progress)
    masses = {root: _gathered(some, f"{root}.mass")
              for root in PAYLOADS if f"{root}.mass" in some[0].values}  # fmt: skip
    factor = _gathered(some, "vehicle.canopy.opening_factor", 1.0)
    found = with_derived(columns(raw, factor), masses)
    if any(key.endswith(GROUND) for key in wanted):
        found |= on_the_ground(found, ground)
    if "veer_m" in wanted:
        found["veer_m"] = veers(bodies, len(raw.figures), tolerance)
    return found


def _joined(parts: Sequence[Body]) -> Body:
    """Put the same body of several campaigns into one table."""
    first = parts[0]
    beside = None if first.beside is None else np.concatenate([part.beside for part in parts])
    return first._replace(
        parameters=np.concatenate([part.parameters for part in parts]),
        states=np.concatenate([part.states for part in parts]),
        beside=beside,
    )


def _gathered(some: Sequence[Rows], path: str, default: float | None = None) -> Floats:
    """Return a value of each flight of several campaigns."""
    return np.concatenate(
        [np.broadcast_to(each.values.get(path, default), each.flights) for each in some]
    )


def made_by(campaign: Campaign, draws: Draws | None = None) -> Provenance:
    """State what makes a study of this campaign."""
    values, _, words = flatten(campaign)
    laws = flight_laws(values, words, ensemble=draws is not None)
    if draws is None:
        return provenance(campaign, tolerance=TOLERANCE, laws=laws)
    return provenance(
        campaign, tolerance=TOLERANCE, laws=laws, seed=draws.seed, flights=draws.flights
    )
