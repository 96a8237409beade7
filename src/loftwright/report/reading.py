"""What is known of a flight and of the ensemble around it, asked by the name of a figure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.flight.chance import Chance, chance_of
from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.bodies import body_name
from loftwright.report.quantities import amount, span

__all__ = [
    "Reading",
    "chance_words",
    "compass",
    "hundredths",
    "in_hundred",
    "listed",
    "often",
]

Floats = NDArray[np.float64]

# Below these a figure reads as nought: the rounding of sums, or less than anybody measures.
NOUGHT = {"time": 5e-4, "height": 5e-3, "speed": 5e-3, "energy": 5e-5}

_POINTS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


def _or_nought(value: float, kind: str) -> float:
    return 0.0 if abs(value) < NOUGHT.get(kind, 0.0) else value


def compass(east: float, north: float) -> str:
    """Return the nearest of the eight points of the compass, in words."""
    bearing = math.degrees(math.atan2(east, north)) % 360
    return _POINTS[round(bearing / 45) % 8]


def chance_words(happened: int, flights: int) -> str:
    """Return how often something happened, such as ``"in 3 of 100 flights"``."""
    if happened == 0:
        return f"in none of {flights} flights"
    if happened == flights:
        return f"in all {flights} flights"
    rare = 100 * min(happened, flights - happened) < flights
    if flights <= 100 or rare:
        return f"in {happened} of {flights} flights"
    return f"in {100 * happened / flights:.0f} of 100 flights"


def hundredths(share: float, finer: int = 0) -> str:
    """Return a share in hundredths, finer towards none and towards all; never one of these."""
    of_hundred = 100.0 * share
    near = min(of_hundred, 100.0 - of_hundred)
    if near >= 1.0:
        digits = 1 if near < 10.0 else 0
    else:
        digits = max(2, -math.floor(math.log10(near))) if near > 0.0 else 2
    return f"{of_hundred:.{digits + finer}f}"


def _ends(chance: Chance) -> tuple[str, str]:
    """Return the interval of a chance in hundredths, with the digits that tell its ends apart."""
    for finer in range(4):
        low, high = hundredths(chance.low, finer), hundredths(chance.high, finer)
        if low != high:
            break
    return low, high


def _range_of_truth(chance: Chance) -> str:
    """Return the interval of a chance in brackets, in hundredths."""
    low, high = _ends(chance)
    if chance.count == 0:
        return f"(up to {high} in 100)"
    if chance.count == chance.flights:
        return f"(at least {low} in 100)"
    return f"({low} to {high} in 100)"


def often(chance: Chance) -> str:
    """Return a chance and its interval: ``"in 3 of 100 flights (1.0 to 8.5 in 100)"``."""
    return f"{chance_words(chance.count, chance.flights)} {_range_of_truth(chance)}"


def in_hundred(chance: Chance) -> tuple[str, str]:
    """Return ``"3.2"`` and ``"(2.1 to 4.8)"``: flights in a hundred, and the range of the truth."""
    low, high = _ends(chance)
    if chance.count == 0:
        return "none", f"(up to {high})"
    if chance.count == chance.flights:
        return "all", f"(at least {low})"
    return hundredths(chance.share), f"({low} to {high})"


def begun(words: str) -> str:
    """Return words as a sentence begins with them."""
    return words[:1].upper() + words[1:]


def listed(names: list[str]) -> str:
    """Return names as a list in a sentence."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


@dataclass(frozen=True, slots=True)
class Reading:
    """A campaign with its flight, and the ensemble around it if there is one."""

    campaign: Campaign
    flight: Flight
    ensemble: Ensemble | None

    @property
    def system(self) -> str:
        """The units that the person reads."""
        return self.campaign.head.units

    def statistic(self, key: str, which: str) -> float | None:
        """Return a percentile of a figure over the ensemble, None where there is none."""
        known = (self.ensemble.statistics if self.ensemble else {}).get(key)
        value = known.get(which) if known else None
        return value if value is not None and math.isfinite(value) else None

    def best(self, key: str) -> float | None:
        """Return the median of the ensemble, or the figure of the one flight."""
        median = self.statistic(key, "p50")
        if median is not None:
            return median
        value = self.flight.figures.get(key)
        if value is None and key.startswith("touchdown_"):
            _, body, rest = key.split("_", 2)
            value = self.flight.touchdown.get(body, {}).get(rest)
        return value if value is not None and math.isfinite(value) else None

    def column(self, key: str) -> Floats:
        """Return a figure of every flight: of the ensemble, or of the one flight."""
        if self.ensemble is not None:
            column = self.ensemble.columns.get(key)
            return np.zeros(0) if column is None else np.asarray(column)
        value = self.flight.figures.get(key)
        return np.array([math.nan if value is None else value])

    def among(self, key: str, which: NDArray[np.bool_] | None) -> tuple[float, ...] | None:
        """Return 5, 50 and 95 % of a figure over some flights; None where it never happened."""
        column = self.column(key)
        if which is None or which.size != column.size:
            return None
        known = column[which & np.isfinite(column)]
        if not known.size:
            return None
        found = np.percentile(known, (5.0, 50.0, 95.0))
        return tuple(float(value) for value in found)

    def middle(
        self, key: str, kind: str, which: NDArray[np.bool_] | None, significant: int = 2
    ) -> str:
        """Return the median of a figure over some flights."""
        known = self.among(key, which)
        value = _or_nought(known[1], kind) if known else None
        return amount(value, kind, self.system, significant)

    def spread(self, key: str, kind: str, which: NDArray[np.bool_] | None) -> str:
        """Return 5 to 95 % of a figure over some flights."""
        known = self.among(key, which)
        if known is None:
            return "–"
        low, high = (_or_nought(value, kind) for value in (known[0], known[2]))
        return span(low, high, kind, self.system)

    def range(self, key: str, kind: str) -> str:
        """Return 5 to 95 % of a figure in words; nothing without an ensemble."""
        low, high = self.statistic(key, "p05"), self.statistic(key, "p95")
        if low is None or high is None:
            return ""
        return span(low, high, kind, self.system)

    def wide(self, key: str, kind: str) -> str:
        """Return the range of a figure in brackets, where it has one."""
        spread = self.range(key, kind)
        return f" ({spread})" if " to " in spread else ""

    def shown(self, key: str, kind: str, significant: int = 2) -> str:
        """Return a figure in the person's unit."""
        best = self.best(key)
        value = None if best is None else _or_nought(best, kind)
        return amount(value, kind, self.system, significant)

    def name(self, body: str) -> str:
        """Return what a body is called."""
        return body_name(self.campaign, body)

    # ------------------------------------------------------------ what is carried

    def torn(self, root: str) -> NDArray[np.bool_] | None:
        """Tell in which flights a hold gives way; None where nobody has said what it bears."""
        prefix = prefix_of(root)
        torn, margin = (self.column(f"{prefix}{key}") for key in ("torn_off", "hold_margin"))
        if not torn.size or not np.isfinite(margin).any():
            return None
        return np.asarray(torn > 0.0)

    def let_go(self, root: str) -> NDArray[np.bool_]:
        """Tell in which flights something is let go as meant, and not torn off before."""
        prefix = prefix_of(root)
        left = np.isfinite(self.column(f"{prefix}release_time_s"))
        torn = self.column(f"{prefix}torn_off")
        return left & ~(torn > 0.0) if torn.size == left.size else left

    def recontact(self, root: str) -> Chance | None:
        """Return how often a payload that has left touches what carried it."""
        column = self.column(f"{prefix_of(root)}recontact")
        known = column[np.isfinite(column)]
        return chance_of(known > 0.0) if known.size else None

    def tears(self, root: str) -> bool:
        """Whether a payload is to be expected to tear off."""
        torn = self.torn(root)
        return torn is not None and bool(torn.mean() > 0.5)

    # ------------------------------------------------------------ landings

    def places(self, body: str) -> Floats:
        """Return touchdown points east and north, ``(n, 2)``; one row without an ensemble."""
        columns = self.ensemble.columns if self.ensemble else {}
        east, north = (columns.get(f"touchdown_{body}_{k}_m") for k in ("east", "north"))
        end = self.flight.touchdown.get(body)
        if east is not None and north is not None:
            points = np.stack((east, north), axis=1)
        elif end is not None:
            points = np.array([[end["east_m"], end["north_m"]]])
        else:
            return np.zeros((0, 2))
        return np.asarray(points[np.isfinite(points).all(axis=1)])

    def reach(self, body: str) -> Floats | None:
        """Return how far from the pad a body comes down, each time; None where it never does."""
        points = self.places(body)
        return np.hypot(points[:, 0], points[:, 1]) if len(points) else None
