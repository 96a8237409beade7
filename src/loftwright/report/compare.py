"""Two campaigns flown with the same draws: what was changed, and the figures that it moves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.differences import Difference
from loftwright.field.landings import THRESHOLDS, Happening, ends_of, landings_of
from loftwright.field.shapes import ground_shapes
from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.quantities import amount
from loftwright.study.pairs import Pair, paired_amount, paired_chance

__all__ = ["Compared", "Compares", "Moved", "Side"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


class Compares(NamedTuple):
    """What one figure is: its words, the kind of unit, and which way it is better, if any."""

    words: str
    kind: str  # "chance", "share", or a kind of `report.quantities`
    better: int = 0  # 1: more, -1: less


@dataclass(frozen=True)
class Side:
    """One of the two: what it is called at the head of a column, and all about its flights."""

    label: str
    campaign: Campaign
    flight: Flight
    ensemble: Ensemble | None = None

    @cached_property
    def columns(self) -> dict[str, Floats]:
        """Every figure of every flight; of a single flight, columns of one row."""
        if self.ensemble is not None:
            named = self.ensemble.columns
            return {name: named[name] for name in named}
        known = {name: value for name, value in self.flight.figures.items() if value is not None}
        for body, ends in self.flight.touchdown.items():
            known |= {f"touchdown_{body}_{key}": value for key, value in ends.items()}
        return {name: np.array([value]) for name, value in known.items()}

    @property
    def veers(self) -> Floats | None:
        """Veer of the first flights, or of the one."""
        if self.ensemble is not None:
            return self.ensemble.veers if len(self.ensemble.veers) else None
        return self.columns.get("veer_m")

    def name(self, body: str) -> str:
        """Return what a body is called."""
        document = self.campaign.documents.get(body)
        return getattr(document, "name", body)


@dataclass(frozen=True, slots=True)
class Moved:
    """A figure of both sides that is not the same in all their flights."""

    key: str
    figure: Compares
    pair: Pair


@dataclass(frozen=True, slots=True)
class Compared:
    """Two sides, what differs in their documents, and which figures differ because of it.

    ``same`` counts the figures that no flight tells apart. ``said`` begins a sentence about the
    other side ("With ...,"), ``aside`` names the first one in it ("as it is").
    """

    one: Side
    other: Side
    documents: tuple[Difference, ...]
    moved: tuple[Moved, ...]
    same: int
    said: str
    aside: str

    @classmethod
    def of(
        cls, one: Side, other: Side, documents: list[Difference], said: str, aside: str
    ) -> Compared:
        """Pair the flights of two sides."""
        found = list(_pairs(one, other))
        moved = tuple(each for each in found if not each.pair.same)
        return cls(one, other, tuple(documents), moved, len(found) - len(moved), said, aside)

    @property
    def flights(self) -> int | None:
        """Flights of each side; None of single flights."""
        made = self.one.ensemble.provenance.flights if self.one.ensemble else None
        return made

    @property
    def system(self) -> str:
        """Units of reports."""
        return self.one.campaign.head.units


# ---------------------------------------------------------------- which figures, in which order

_FLIGHT: Final[dict[str, Compares]] = {
    "apogee_m": Compares("greatest height", "height"),
    "max_speed_m_s": Compares("greatest speed", "speed"),
    "max_acceleration_m_s2": Compares("greatest acceleration", "acceleration"),
    "guide_exit_speed_m_s": Compares("speed leaving the guide", "speed", 1),
    "burnout_lean_rad": Compares("path off the guide", "angle", -1),
    "canopy_open_speed_m_s": Compares("speed at canopy opening", "speed", -1),
}
_CARRIED: Final[dict[str, Compares]] = {
    "hold_margin": Compares("margin of {}'s hold", "share", 1),
    "hold_load_n": Compares("pull on {}'s hold", "force"),
}
_LEAVING: Final[dict[str, Compares]] = {
    "release_time_s": Compares("{} leaves after", "time"),
    "release_height_m": Compares("height as {} leaves", "height"),
    "release_climb_m_s": Compares("climb as {} leaves", "speed", -1),
    "fin_clearance_m": Compares("{} clears fins by", "length", 1),
}
_DOWN: Final[dict[str, Compares]] = {
    "time_s": Compares("{} lands after", "time"),
    "speed_m_s": Compares("{} lands, speed", "speed", -1),
    "energy_j": Compares("{} lands, energy", "energy", -1),
}
_VEER: Final = Compares("veer of the climb", "distance", -1)
_TRIM: Final = Compares("trim angle, as written", "angle", -1)
_PLACES: Final = {
    "outside": "{} outside {}", "caught": "{} caught by {}", "on": "{} on {}",
    "beyond": "{} beyond {}", "in": "{} in {}",
}  # fmt: skip


def _pairs(one: Side, other: Side) -> Iterator[Moved]:
    """Yield every figure that is compared, those of most consequence first."""
    payloads = _both(one.campaign.payloads, other.campaign.payloads)
    for root in payloads:
        yield from _hold(one, other, root)
    yield from _bend(one, other)
    for key, figure in _FLIGHT.items():
        yield from _amount(one, other, key, key, figure)
    for root in payloads:
        yield from _leaving(one, other, root)
    for body in _both(one.flight.touchdown, other.flight.touchdown):
        yield from _landing(one, other, body)


def _both(one: Mapping[str, object], other: Mapping[str, object]) -> list[str]:
    return list(dict.fromkeys([*one, *other]))


def _amount(
    one: Side, other: Side, key: str, column: str, figure: Compares, name: str = ""
) -> Iterator[Moved]:
    mine, theirs = one.columns.get(column), other.columns.get(column)
    pair = paired_amount(mine, theirs)
    if pair.one is not None or pair.other is not None:
        yield Moved(key, figure._replace(words=figure.words.format(name)), pair)


def _chance(
    key: str, words: str, one: Bools | None, other: Bools | None, better: int = -1
) -> Iterator[Moved]:
    if one is None and other is None:
        return
    pair = paired_chance(one, other)
    # What the other side cannot have, and this one never does, is worth no line; a hold is.
    if pair.difference is not None or pair.one or pair.other or key.endswith("torn_off"):
        yield Moved(key, Compares(words, "chance", better), pair)


def _whose(one: Side, other: Side, body: str) -> str:
    """Name of a body, by the first side that has it."""
    side = one if body in one.campaign.documents else other
    return side.name(body)


def _hold(one: Side, other: Side, root: str) -> Iterator[Moved]:
    prefix, name = prefix_of(root), _whose(one, other, root)
    torn = [_torn(side, root) for side in (one, other)]
    yield from _chance(f"{prefix}torn_off", f"{name} tears off", torn[0], torn[1])
    for key, figure in _CARRIED.items():
        yield from _amount(one, other, prefix + key, prefix + key, figure, name)


def _torn(side: Side, root: str) -> Bools | None:
    column = side.columns.get(f"{prefix_of(root)}torn_off")
    return None if column is None else np.asarray(column > 0.0)


def _bend(one: Side, other: Side) -> Iterator[Moved]:
    for key, figure, columns in (
        ("veer_m", _VEER, (one.veers, other.veers)),
        ("carry_trim_deg", _TRIM, (_trim(one), _trim(other))),
    ):
        pair = paired_amount(*columns)
        if pair.one is not None or pair.other is not None:
            yield Moved(key, figure, pair)


def _trim(side: Side) -> Floats | None:
    degrees = side.flight.figures.get("carry_trim_deg")
    return None if degrees is None else np.radians([degrees])


def _leaving(one: Side, other: Side, root: str) -> Iterator[Moved]:
    prefix, name = prefix_of(root), _whose(one, other, root)
    met = [_happened(side, f"{prefix}recontact") for side in (one, other)]
    yield from _chance(f"{prefix}recontact", f"{name} touches the lifter", met[0], met[1])
    for key, figure in _LEAVING.items():
        yield from _amount(one, other, prefix + key, prefix + key, figure, name)


def _happened(side: Side, column: str) -> Bools | None:
    values = side.columns.get(column)
    return None if values is None else np.asarray(values > 0.0)


def _landing(one: Side, other: Side, body: str) -> Iterator[Moved]:
    name, base = _whose(one, other, body), f"touchdown_{body}"
    reach = Compares(f"{name} lands, from the pad", "distance")
    pair = paired_amount(_reach(one, base), _reach(other, base))
    if pair.one is not None or pair.other is not None:
        yield Moved(f"{base}_reach_m", reach, pair)
    for key, figure in _DOWN.items():
        yield from _amount(one, other, f"{base}_{key}", f"{base}_{key}", figure, name)
    places = [_ends(side, body) for side in (one, other)]
    for happening, shape in _both_places(*places):
        held = [each.get((happening, shape)) for each in places]
        words = _PLACES[happening].format(name, shape)
        yield from _chance(f"{base}_{happening} {shape}", words, held[0], held[1])
    energies = [side.columns.get(f"{base}_energy_j") for side in (one, other)]
    for least in THRESHOLDS:
        over = [None if each is None else np.asarray(each > least) for each in energies]
        words = f"{name} lands with over {amount(least, 'energy', one.campaign.head.units, 2)}"
        yield from _chance(f"{base}_over_{least:.0f}_j", words, over[0], over[1])


def _reach(side: Side, base: str) -> Floats | None:
    east, north = (side.columns.get(f"{base}_{way}_m") for way in ("east", "north"))
    return None if east is None or north is None else np.hypot(east, north)


Places = Mapping[tuple[Happening, str], Bools]


def _ends(side: Side, body: str) -> Places:
    """In which flights a body ended where; only many flights have chances worth a line."""
    shapes = ground_shapes(side.campaign.site)
    if side.ensemble is None or not shapes:
        return {}
    landings = landings_of(side.campaign, side.columns).get(body)
    if landings is None:
        return {}
    return ends_of(side.columns, landings, body, shapes)


def _both_places(one: Places, other: Places) -> list[tuple[Happening, str]]:
    return list(dict.fromkeys([*one, *other]))
