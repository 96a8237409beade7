"""The figures of a what-if: now, how far they spread, and what is another beside the baseline."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.chance import chance_of
from loftwright.flight.figures import prefix_of
from loftwright.report.bodies import short_names
from loftwright.report.quantities import amount, digits, span, unit_of
from loftwright.report.reading import begun, chance_words, in_hundred
from loftwright.study.figures import bodies_down
from loftwright.study.ground import Grounds, on_the_ground
from loftwright.study.pairs import Pair, paired_amount, paired_chance
from loftwright.study.whatif import WhatIfAnswer

__all__ = ["FigureGroup", "FigureRow", "figure_groups", "lead", "rows_at_a_glance", "with_ground"]

Floats = NDArray[np.float64]

NO_BREAK = "\u00a0"


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure: its words, its median, 5 to 95 %, and what is another than in the baseline.

    ``beside`` is empty without a baseline; ``told_apart`` where the difference is surely not
    chance. ``difference`` is that of the medians of pairs in SI, of chances that of the shares;
    None where only one side has it.
    """

    key: str
    words: str
    value: str
    spread: str
    beside: str = ""
    told_apart: bool = False
    difference: float | None = None


@dataclass(frozen=True, slots=True)
class FigureGroup:
    """Figures that answer one question."""

    words: str
    rows: tuple[FigureRow, ...]


_Known = tuple[str, str, str]  # column, words, kind of unit or "chance"

_FLIGHT: Final[tuple[_Known, ...]] = (
    ("apogee_m", "greatest height", "height"),
    ("apogee_time_s", "time of it", "time"),
    ("guide_exit_speed_m_s", "speed leaving the guide", "speed"),
    ("burnout_lean_rad", "path off the guide at end of thrust", "angle"),
    ("max_speed_m_s", "greatest speed", "speed"),
)
_LOADS: Final[tuple[_Known, ...]] = (
    ("max_acceleration_m_s2", "greatest acceleration", "acceleration"),
    ("canopy_load_n", "greatest pull of the canopy", "force"),
    ("canopy_open_speed_m_s", "speed as the canopy opens", "speed"),
)
_HOLD: Final[tuple[_Known, ...]] = (
    ("hold_load_n", "{} pulls on its hold", "force"),
    ("hold_margin", "margin of {}'s hold", "share"),
    ("torn_off", "{} tears off", "chance"),
)
_RELEASE: Final[tuple[_Known, ...]] = (
    ("release_time_s", "{} leaves after", "time"),
    ("release_height_m", "height as {} leaves", "height"),
    ("release_climb_m_s", "climb as {} leaves", "speed"),
    ("release_speed_m_s", "speed as {} leaves", "speed"),
    ("fin_clearance_m", "{} clears the fins by", "small_length"),
    ("recontact", "{} touches what it has left", "chance"),
)
_STAGE: Final[tuple[_Known, ...]] = (
    ("release_time_s", "{} parts after", "time"),
    ("release_height_m", "height as {} parts", "height"),
    ("apogee_m", "greatest height of {}", "height"),
    ("max_acceleration_m_s2", "greatest acceleration of {}", "acceleration"),
)
_DOWN: Final[tuple[_Known, ...]] = (
    ("reach_m", "{} lands, from the pad", "distance"),
    ("speed_m_s", "speed of {} at the ground", "speed"),
    ("energy_j", "energy of {} at the ground", "energy"),
)
_GROUND: Final[dict[str, _Known]] = {  # by the kind of shape that must be there
    "field edge": ("inside_field", "everything comes down inside the field", "chance"),
    "trees": ("tree_risk", "something ends in the trees", "chance"),
    "building": ("building_risk", "something ends on a building", "chance"),
}
NOUGHT: Final = 1e-7  # SI; less is the rounding of sums
_GLANCE: Final = (
    "apogee_m", "hold_margin", "release_climb_m_s", "release_height_m", "touchdown_vehicle_reach_m",
    "touchdown_payload_reach_m", "max_acceleration_m_s2", "upper_apogee_m", "canopy_open_speed_m_s",
)  # fmt: skip
MOST_AT_A_GLANCE: Final = 6


def with_ground(answer: WhatIfAnswer) -> dict[str, Floats]:
    """Return the columns with those of the ground and of the reach of each body."""
    found = dict(answer.columns)
    for body in bodies_down(found):
        east, north = (found[f"touchdown_{body}_{way}_m"] for way in ("east", "north"))
        found[f"touchdown_{body}_reach_m"] = np.hypot(east, north)
    return found | on_the_ground(answer.columns, Grounds().of(answer.campaign))


_Percentiles = tuple[float, float, float]  # 5, 50 and 95 %


@dataclass(frozen=True, slots=True)
class _Sides:
    now: dict[str, Floats]
    pinned: dict[str, Floats] | None
    system: str
    known: dict[str, _Percentiles]

    def row(self, key: str, words: str, kind: str) -> FigureRow | None:
        column = self.now.get(key)
        if column is None or not np.isfinite(column).any():
            return None
        told = self.known.get(key) if kind != "chance" else None
        value, spread = _told(column, kind, self.system, told)
        if self.pinned is None:
            return FigureRow(key, words, value, spread)
        pair = _pair(self.pinned.get(key), column, kind)
        said = _beside(pair, kind, self.system)
        return FigureRow(key, words, value, spread, said, pair.told_apart, pair.difference)


def figure_groups(
    answer: WhatIfAnswer,
    now: dict[str, Floats],
    pinned: dict[str, Floats] | None = None,
) -> list[FigureGroup]:
    """Return the figures by question; those that never happened are left out.

    ``now`` and ``pinned`` are columns as `with_ground` gives them; both were flown with the same
    draws, so that they are compared flight by flight.
    """
    wanted_of = list(_wanted(answer, short_names(answer.campaign)))
    keys = [key for _, wanted in wanted_of for key, _, kind in wanted if kind != "chance"]
    sides = _Sides(now, pinned, answer.campaign.head.units, _percentiles(now, keys))
    groups = []
    for words, wanted in wanted_of:
        rows = tuple(row for each in wanted if (row := sides.row(*each)) is not None)
        if rows:
            groups.append(FigureGroup(words, rows))
    return groups


def _wanted(answer: WhatIfAnswer, names: dict[str, str]) -> Iterator[tuple[str, list[_Known]]]:
    campaign = answer.campaign
    yield "The climb", list(_FLIGHT)
    loads = list(_LOADS)
    for root in campaign.payloads:
        loads += _named(_HOLD, prefix_of(root), names.get(root, root))
    yield "Loads and margins", loads
    leaving: list[_Known] = []
    for root in campaign.payloads:
        leaving += _named(_RELEASE, prefix_of(root), names.get(root, root))
    yield "Release", leaving
    parting: list[_Known] = []
    for root in ("boosters", "upper"):
        if root in campaign.documents:
            parting += _named(_STAGE, prefix_of(root), names.get(root, root))
    yield "Stages", parting
    down: list[_Known] = []
    for body in bodies_down(answer.columns):
        down += _named(_DOWN, f"touchdown_{body}_", names.get(body, body))
    kinds = {shape.kind for shape in campaign.site.shape}
    yield "Coming down", [*down, *(row for kind, row in _GROUND.items() if kind in kinds)]


def _named(known: tuple[_Known, ...], prefix: str, name: str) -> list[_Known]:
    return [(prefix + key, words.format(name), kind) for key, words, kind in known]


def rows_at_a_glance(groups: list[FigureGroup]) -> list[FigureRow]:
    """Return the few figures that are looked at first, of most consequence first."""
    rows = {row.key: row for group in groups for row in group.rows}
    return [rows[key] for key in _GLANCE if key in rows][:MOST_AT_A_GLANCE]


# ---------------------------------------------------------------- words


def _told(
    column: Floats, kind: str, system: str, percentiles: _Percentiles | None
) -> tuple[str, str]:
    """Return the median and 5 to 95 %; of what happens or does not, how often."""
    if kind == "chance":
        known = column[np.isfinite(column)]
        chance = chance_of(known > 0.0)
        interval = in_hundred(chance)[1].strip("()")
        return chance_words(chance.count, chance.flights), f"95 %: {interval} in 100"
    assert percentiles is not None
    low, middle, high = percentiles
    happened = int(np.isfinite(column).sum())
    often = "" if happened == column.size else f"; {chance_words(happened, column.size)}"
    if kind == "share":
        return _percent(middle), f"{_percent(low)} to {_percent(high)}{often}"
    spread = span(low, high, kind, system)
    return (
        amount(middle, kind, system),
        f"{spread if ' to ' in spread else 'hardly varies'}{often}",
    )


def _percentiles(columns: dict[str, Floats], keys: list[str]) -> dict[str, _Percentiles]:
    """Return 5, 50 and 95 % of columns, over the flights in which each happened.

    Those that always did are worked out in one go: with few flights it is the calls that cost.
    """
    there = [key for key in dict.fromkeys(keys) if key in columns]
    happened = {key: columns[key][np.isfinite(columns[key])] for key in there}
    together: dict[int, list[str]] = {}
    for key, known in happened.items():
        if known.size:
            together.setdefault(known.size, []).append(key)
    found: dict[str, _Percentiles] = {}
    for some in together.values():
        rows = np.stack([happened[key] for key in some])
        rows[np.abs(rows) < NOUGHT] = 0.0
        parts = np.percentile(rows, (5.0, 50.0, 95.0), axis=1).T.tolist()
        found |= {key: (part[0], part[1], part[2]) for key, part in zip(some, parts, strict=True)}
    return found


def _percent(share: float) -> str:
    return f"{digits(100.0 * share, 2)}{NO_BREAK}%"


def _pair(pinned: Floats | None, now: Floats, kind: str) -> Pair:
    """Pair the flights that both have; a longer answer has the flights of a shorter one first."""
    if pinned is None:
        return paired_amount(None, now)
    count = min(len(pinned), len(now))
    one, other = pinned[:count], now[:count]
    if kind != "chance":
        return paired_amount(one, other)
    both = np.isfinite(one) & np.isfinite(other)
    return paired_chance(one[both] > 0.0, other[both] > 0.0)


def _beside(pair: Pair, kind: str, system: str) -> str:
    """Say how much more or less a figure is than in the baseline."""
    if pair.difference is None:
        return "only now"
    if pair.same or abs(pair.difference) < NOUGHT:
        return "the same"
    size = digits(abs(pair.difference) * 100.0, 2)
    if kind == "chance":
        said = f"{size} in 100 "
    elif kind == "share":
        said = f"{size} points "
    else:
        unit = unit_of(kind, system)
        glue = "" if unit.symbol in ("°", "") else NO_BREAK
        said = f"{digits(abs(pair.difference) / unit.size, 2)}{glue}{unit.symbol} "
    said += _WAYS.get(kind, ("more", "less"))[0 if pair.difference > 0.0 else 1]
    return said if pair.told_apart else f"{said}, may be chance"


_WAYS: Final = {
    "height": ("higher", "lower"),
    "speed": ("faster", "slower"),
    "time": ("later", "earlier"),
    "distance": ("farther", "nearer"),
    "chance": ("more", "fewer"),
}


def lead(answer: WhatIfAnswer, columns: dict[str, Floats]) -> str:
    """Return the sentence that says most: how high, and how far off."""
    system, names = answer.campaign.head.units, short_names(answer.campaign)
    apogee = columns["apogee_m"][np.isfinite(columns["apogee_m"])]
    scrubbed = columns.get("scrubbed", np.zeros(0)) > 0.0
    first = ""
    if scrubbed.any():
        happens = chance_words(int(scrubbed.sum()), scrubbed.size)
        first = f"A program lets something go on the pad {happens}. "
    for root in answer.campaign.payloads:
        torn = columns.get(f"{prefix_of(root)}torn_off", np.zeros(0)) > 0.0
        if torn.size and torn.mean() > 0.5:
            name = begun(names.get(root, root))
            first += f"{name} tears off {chance_words(int(torn.sum()), torn.size)}. "
    if not apogee.size:
        return f"{first}No height to speak of.".strip()
    top = f"About {amount(float(np.median(apogee)), 'height', system, 2)} up"
    reaches = [columns[f"touchdown_{body}_reach_m"] for body in bodies_down(columns)]
    farthest = np.fmax.reduce(reaches) if reaches else np.zeros(0)
    farthest = farthest[np.isfinite(farthest)]
    if not farthest.size:
        return f"{first}{top}."
    most = amount(float(np.quantile(farthest, 0.9)), "distance", system, 2)
    return f"{first}{top}; everything down within {most} of the pad nine times in ten."
