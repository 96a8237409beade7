"""What a program is tuned for: figures of many flights with their intervals, and limits."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NoReturn

import numpy as np
from numpy.typing import NDArray

from loftwright.errors import Problem, ProblemError, Where
from loftwright.instruments.cases import Happening
from loftwright.rehearsal.chances import clopper_pearson
from loftwright.rehearsal.results import PAYLOAD
from loftwright.rehearsal.run import Flown
from loftwright.study.pairs import median_interval
from loftwright.units import QuantityError, read_quantity

__all__ = [
    "FIGURES",
    "Figure",
    "Limit",
    "Measured",
    "Sample",
    "combined",
    "figure_named",
    "read_limit",
]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Measured:
    """A figure of many flights, SI, with its 95 % interval; NaN where it never came about."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Figure:
    """Something to aim at: a chance, or the median of an amount over the flights that have it.

    ``of`` gives it for each flight of a trial: true or false, or an amount.
    """

    name: str
    words: str
    kind: str  # "chance", or a kind of quantity in reports
    most: bool  # whether more is better
    of: Callable[[Flown, int], NDArray[np.generic]]

    @property
    def is_chance(self) -> bool:
        """Tell whether it is a share of flights."""
        return self.kind == "chance"

    def cost(self, measured: Measured) -> float:
        """Return what is to be made small; far off where the figure never came about."""
        if np.isnan(measured.value):
            return 1e9
        return -measured.value if self.most else measured.value

    def careful(self, measured: Measured) -> float:
        """Return the end of the interval on the bad side."""
        return measured.low if self.most else measured.high

    def is_as_good(self, value: float, other: float) -> bool:
        """Tell whether a value is no worse than another."""
        return value >= other if self.most else value <= other


def _word(*words: str) -> Callable[[Flown, int], NDArray[np.generic]]:
    codes = [PAYLOAD.index(word) for word in words]

    def of(flown: Flown, trial: int) -> NDArray[np.generic]:
        payload = flown.of(trial).payload
        return np.isin(payload, codes)

    return of


def _released(column: str) -> Callable[[Flown, int], NDArray[np.generic]]:
    return lambda flown, trial: flown.figures(trial, column)


FIGURES: dict[str, Figure] = {
    each.name: each
    for each in (
        Figure("released_well", "released well", "chance", True, _word("released well")),
        Figure("good", "all as wanted", "chance", True, lambda flown, trial: flown.of(trial).good),
        Figure(
            "released_early", "released too early", "chance", False,
            _word("on the pad", "too low", "too fast"),
        ),
        Figure(
            "released_late", "released slow or inverted", "chance", False,
            _word("slow or inverted"),
        ),
        Figure("never", "never released", "chance", False, _word("never")),
        Figure(
            "lost", "vehicle lost", "chance", False, lambda flown, trial: flown.of(trial).lost
        ),
        Figure(
            "endangers", "endangers people", "chance", False,
            lambda flown, trial: flown.of(trial).endangers,
        ),
        Figure(
            "release_height", "height of release", "height", True, _released("release_height_m")
        ),
        Figure("release_climb", "climb at release", "speed", True, _released("release_climb_m_s")),
        Figure("release_speed", "speed at release", "speed", False, _released("release_speed_m_s")),
        Figure(
            "canopy_height", "height of the canopy's opening", "height", True,
            _released("canopy_open_height_m"),
        ),
        Figure(
            "canopy_speed", "speed at the canopy's opening", "speed", False,
            _released("canopy_open_speed_m_s"),
        ),
    )
}  # fmt: skip


class Sample:
    """What the flights of one trial came to, by figure."""

    def __init__(self) -> None:
        self._parts: dict[str, list[NDArray[np.generic]]] = {name: [] for name in FIGURES}

    def add(self, flown: Flown, trial: int) -> None:
        """Add a block of flights."""
        for name, figure in FIGURES.items():
            if figure.name.startswith("canopy") and "canopy_open_s" not in flown.columns:
                continue
            self._parts[name].append(figure.of(flown, trial))

    def column(self, name: str) -> NDArray[np.generic]:
        """Return a figure of every flight."""
        parts = self._parts[name]
        return np.concatenate(parts) if parts else np.zeros(0)


def combined(figure: Figure, samples: Sequence[Sample], happen: Sequence[Happening]) -> Measured:
    """Return a figure of a setting, its faults counted with how likely they are.

    ``samples`` are of the flights without a fault and with each fault of ``happen``. A chance is
    that of one flight in which at most one fault happens, with an interval that is as wide as
    those of its parts together; an amount is of the flights without a fault.
    """
    if not figure.is_chance:
        return _median(np.asarray(samples[0].column(figure.name), float))
    shares = [1.0 - sum(each.chance for each in happen), *(each.chance for each in happen)]
    value = low = high = 0.0
    for share, sample in zip(shares, samples, strict=True):
        flags = sample.column(figure.name)
        count, flights = int(np.count_nonzero(flags)), len(flags)
        ends = clopper_pearson(count, flights)
        value += share * count / max(flights, 1)
        low, high = low + share * ends[0], high + share * ends[1]
    return Measured(value, low, high)


def _median(column: Floats) -> Measured:
    known = np.sort(column[np.isfinite(column)])
    if not len(known):
        return Measured(np.nan, np.nan, np.nan)
    low, high = median_interval(known)
    middle = float(np.median(known))
    return Measured(middle, middle if low is None else low, middle if high is None else high)


# ---------------------------------------------------------------- limits


@dataclass(frozen=True, slots=True)
class Limit:
    """A figure that must not pass a value, SI."""

    figure: str
    most: bool  # whether it is an upper limit
    value: float
    words: str

    def kept(self, measured: Measured) -> bool:
        """Tell whether a figure keeps to it; an amount that never came about does not."""
        if np.isnan(measured.value):
            return False
        return measured.value <= self.value if self.most else measured.value >= self.value


_LIMIT = re.compile(r"\s*([a-z_ ]+?)\s*(<=|>=|<|>)\s*(.+?)\s*")
_DIMENSIONS = {"chance": "number", "height": "length", "speed": "speed"}


def read_limit(text: str) -> Limit:
    """Read ``NAME < VALUE`` or ``NAME > VALUE``; a chance may be written as a share or in %.

    Raises
    ------
    ProblemError
        For an unknown figure, and for what is no limit.
    """
    match = _LIMIT.fullmatch(text)
    if match is None:
        _refuse("tune-limit", "this is not FIGURE < VALUE", text, "write e.g. lost < 0.01")
    name, sign, given = match.groups()
    figure = figure_named(name, "--limit")
    try:
        value = read_quantity(given, _DIMENSIONS[figure.kind])[0].value
    except QuantityError as error:
        where = Where(field="--limit", value=text)
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from None
    return Limit(figure.name, sign.startswith("<"), value, text.strip())


def figure_named(name: str, option: str) -> Figure:
    """Return a figure by its name, with blanks or underscores."""
    from difflib import get_close_matches

    key = name.strip().replace(" ", "_")
    if key in FIGURES:
        return FIGURES[key]
    near = get_close_matches(key, FIGURES, n=1, cutoff=0.5)
    mend = f"did you mean {near[0]}?" if near else f"there are {', '.join(FIGURES)}"
    where = Where(field=option, value=name)
    message = f"no figure is called {key[:40]!r}"
    raise ProblemError([Problem("tune-unknown-figure", message, where, mend)])


def _refuse(code: str, message: str, value: str, mend: str) -> NoReturn:
    raise ProblemError([Problem(code, message, Where(field="--limit", value=value), mend)])
