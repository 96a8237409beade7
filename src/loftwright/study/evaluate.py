"""Many points of a campaign flown as one batch: the one door from a study to the engine.

A point is a set of values that replace those of the documents. Without draws each point is one
flight with the values as they stand; with draws it is an ensemble, and every point is given the
same random numbers, so that what differs between two points is what was changed.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.documents.reading import findings
from loftwright.flight import engine, prepare
from loftwright.flight.citations import flight_laws
from loftwright.flight.draws import bounds_of, draw, kept
from loftwright.flight.figures import columns
from loftwright.flight.forecast import provenance
from loftwright.flight.gusts import Gusts, draw_gusts
from loftwright.flight.results import Provenance
from loftwright.study import figures
from loftwright.study.spans import placed

__all__ = [
    "TOLERANCE",
    "Draws",
    "Evaluated",
    "Uncertain",
    "evaluate",
    "made_by",
    "refusal",
    "uncertain",
]

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]

TOLERANCE = 1e-6
# Flights handed to the engine at a time: enough for every thread, little enough for memory.
BLOCK = 16_384
GUSTS = "site.wind.waves"  # the name under which gusts count as an input of their own
GUST_FIELDS = 4096  # gust fields to choose from; more than any study tells apart


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


class _Rows(NamedTuple):
    """Rows for the engine, and what its figures are worked out with."""

    parameters: Floats
    states: Floats
    values: prepare.Values
    flights: int


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
        Figures asked for: those of the check are worked out only if they are among them.
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
    on_pad = figures.CHECKED & set(wanted)
    found: dict[str, Floats] = {
        name: np.full(shape, np.nan) for name in figures.known_keys(campaign)
    }
    todo = [there[i] for i in flying]
    flown = _flown(todo, draws, tolerance, progress)
    for i, each, row in zip(flying, todo, flown, strict=True):
        checked = figures.of_the_check(each) if on_pad else {}
        for name, column in (row | checked).items():
            found.setdefault(name, np.full(shape, np.nan))[i] = column if draws else column[0]
    return Evaluated(found, refused)


def _flown(
    campaigns: list[Campaign],
    draws: Draws | None,
    tolerance: float,
    progress: Progress | None,
) -> Iterator[dict[str, Floats]]:
    """Yield each campaign's columns in order; whole campaigns are batched until a block is full."""
    flights = draws.flights if draws else 1
    together = max(1, BLOCK // flights)
    total = len(campaigns) * flights
    for start in range(0, len(campaigns), together):
        batch = [_rows(each, draws) for each in campaigns[start : start + together]]
        yield from _fly(batch, tolerance, _shifted(progress, start * flights, total))


def _shifted(progress: Progress | None, before: int, total: int) -> Progress | None:
    if progress is None:
        return None
    return lambda done, _: progress(before + done, total)


def _rows(campaign: Campaign, draws: Draws | None) -> _Rows:
    values, sds, words = flatten(campaign)
    if draws is None:
        return _Rows(*prepare.prepare(values, words), values, 1)
    drawn = draw(values, sds, bounds_of(campaign), draws.seed, draws.flights)
    varied: prepare.Values = {**values, **drawn}
    gusts = draw_gusts(
        draws.seed, draws.flights, prepare.gust_deviation(varied), varied["site.wind.speed"]
    )
    rows = prepare.prepare(varied, words, flights=draws.flights, gusts=gusts)
    return _Rows(*rows, varied, draws.flights)


def _fly(
    batch: list[_Rows], tolerance: float, progress: Progress | None
) -> Iterator[dict[str, Floats]]:
    raw = engine.fly_all(
        np.concatenate([each.parameters for each in batch]),
        np.concatenate([each.states for each in batch]),
        tolerance=tolerance,
        progress=progress,
    )
    if progress is not None:
        progress(len(raw.figures), len(raw.figures))
    start = 0
    for each in batch:
        stop = start + each.flights
        yield _figures(raw.figures[start:stop], each.values)
        start = stop


def _figures(raw: Floats, values: prepare.Values) -> dict[str, Floats]:
    factor = values.get("vehicle.canopy.opening_factor", 1.0)
    found = columns(raw, values.get("payload.mass"), factor)
    return figures.with_derived(found, values)


def made_by(campaign: Campaign, draws: Draws | None = None) -> Provenance:
    """State what makes a study of this campaign."""
    _, _, words = flatten(campaign)
    laws = flight_laws(words, ensemble=draws is not None)
    if draws is None:
        return provenance(campaign, tolerance=TOLERANCE, laws=laws)
    return provenance(
        campaign, tolerance=TOLERANCE, laws=laws, seed=draws.seed, flights=draws.flights
    )


# ---------------------------------------------------------------- what is uncertain


@dataclass(frozen=True, slots=True)
class Uncertain:
    """What the documents leave uncertain, as inputs of a function of standard normal numbers.

    ``paths`` are the inputs that act on a flight; the last may be the gusts.
    """

    campaign: Campaign
    paths: tuple[str, ...]
    seed: int
    tolerance: float = TOLERANCE

    def fly(
        self, normal: Floats, wanted: Collection[str], progress: Progress | None = None
    ) -> dict[str, Floats]:
        """Return the columns ``wanted`` at ``normal``, (inputs, n) standard normal numbers."""
        found: dict[str, list[Floats]] = {name: [] for name in wanted}
        total = normal.shape[1]
        for start in range(0, total, BLOCK):
            batch = [self._rows(normal[:, start : start + BLOCK])]
            for row in _fly(batch, self.tolerance, _shifted(progress, start, total)):
                for name in wanted:
                    found[name].append(row[name])
        return {name: np.concatenate(parts) for name, parts in found.items()}

    def _rows(self, normal: Floats) -> _Rows:
        values, sds, words = flatten(self.campaign)
        flights = normal.shape[1]
        own = {path: row for path, row in zip(self.paths, normal, strict=True) if path != GUSTS}
        drawn = _drawn(values, sds, self.campaign, own)
        varied: prepare.Values = {**values, **drawn}
        gusts = self._gusts(normal[-1], varied) if GUSTS in self.paths else None
        rows = prepare.prepare(varied, words, flights=flights, gusts=gusts)
        return _Rows(*rows, varied, flights)

    def _gusts(self, normal: Floats, values: prepare.Values) -> Gusts:
        """Take one of many gust fields for each number, carried along by the flight's own wind."""
        from scipy.special import ndtr

        field = draw_gusts(self.seed, GUST_FIELDS, 1.0, 1.0)
        chosen = np.minimum((ndtr(normal) * GUST_FIELDS).astype(int), GUST_FIELDS - 1)
        one = Gusts(*(part[chosen] for part in field))
        speed = np.reshape(values["site.wind.speed"], (-1, 1))
        deviation = np.reshape(prepare.gust_deviation(values), (-1, 1))
        return one._replace(rate=one.rate * speed, amplitude=one.amplitude * deviation)


def _drawn(
    values: Mapping[str, float],
    sds: Mapping[str, float],
    campaign: Campaign,
    normal: Mapping[str, Floats],
) -> dict[str, Floats]:
    """Return values at standard normal numbers, kept in bounds as draws of an ensemble are."""
    bounds = bounds_of(campaign)
    spread = {path: values[path] + sds[path] * row for path, row in normal.items()}
    return kept(values, spread, bounds)


def uncertain(campaign: Campaign, seed: int, tolerance: float = TOLERANCE) -> Uncertain:
    """Return what is uncertain about a campaign, without what acts on no flight.

    The wall of a vessel is an example of that: it spreads, and a flight is the same with any.
    """
    values, sds, words = flatten(campaign)
    plain = _effect(values, words)

    def acts(path: str) -> bool:
        other = _effect({**values, path: values[path] + sds[path]}, words)
        return not all(map(np.array_equal, plain, other))

    paths = [path for path, sd in sds.items() if sd > 0.0 and acts(path)]
    if np.any(prepare.gust_deviation(values) > 0.0):
        paths.append(GUSTS)
    return Uncertain(campaign, tuple(paths), seed, tolerance)


def _effect(values: prepare.Values, words: prepare.Words) -> tuple[Any, ...]:
    """Return all that a set of values has an effect on."""
    return (
        *prepare.prepare(values, words),
        prepare.gust_deviation(values),
        values.get("vehicle.canopy.opening_factor"),
    )
