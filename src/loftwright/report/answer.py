"""The answer in plain words: what will happen, how sure that is, and the chances that matter."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.flight.kernel import slots
from loftwright.flight.outcomes import sentence
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.quantities import amount, span

__all__ = ["Answer", "KeyFigure", "chance_words", "compass", "forecast_answer"]

Floats = NDArray[np.float64]
FAST = 15.0  # m/s, well above any working canopy; said in words wherever it is used

HOLD = "payload.hold.strength"

_POINTS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One figure to be seen at a glance: name, value with unit, and its spread in words."""

    name: str
    value: str
    spread: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The lead sentence, the figures to see at a glance, then sentences and chances."""

    lead: str
    keys: tuple[KeyFigure, ...]
    sentences: tuple[str, ...]
    chances: tuple[str, ...]


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
    share = happened / flights
    if flights <= 100 or share < 0.005 or share > 0.995:
        return f"in {happened} of {flights} flights"
    return f"in {share * 100:.0f} of 100 flights"


def forecast_answer(campaign: Campaign, flight: Flight, ensemble: Ensemble | None) -> Answer:
    """Put a flight, and its ensemble if there is one, into words."""
    say = _Words(campaign, flight, ensemble)
    return Answer(
        lead=say.lead(),
        keys=tuple(k for k in say.key_figures() if k is not None),
        sentences=tuple(s for s in (say.ending(), say.hold(), say.release(), *say.landings()) if s),
        chances=tuple(say.chances()),
    )


@dataclass(frozen=True, slots=True)
class _Words:
    campaign: Campaign
    flight: Flight
    ensemble: Ensemble | None

    @property
    def system(self) -> str:
        return self.campaign.head.units

    def statistic(self, key: str, which: str) -> float | None:
        known = (self.ensemble.statistics if self.ensemble else {}).get(key)
        value = known.get(which) if known else None
        return value if value is not None and math.isfinite(value) else None

    def best(self, key: str) -> float | None:
        """The median of the ensemble, or the figure of the one flight."""
        median = self.statistic(key, "p50")
        if median is not None:
            return median
        value = self.flight.figures.get(key)
        if value is None and key.startswith("touchdown_"):
            _, body, rest = key.split("_", 2)
            value = self.flight.touchdown.get(body, {}).get(rest)
        return value if value is not None and math.isfinite(value) else None

    def range(self, key: str, kind: str) -> str:
        low, high = self.statistic(key, "p05"), self.statistic(key, "p95")
        if low is None or high is None:
            return ""
        return span(low, high, kind, self.system)

    def shown(self, key: str, kind: str, significant: int = 2) -> str:
        return amount(self.best(key), kind, self.system, significant)

    def lead(self) -> str:
        return self.tearing() or self.outline()

    def outline(self) -> str:
        """How high, and how far off."""
        if self.best("apogee_m") is None:
            return "No height to speak of."
        top = f"About {self.shown('apogee_m', 'height')} up"
        reach = self.reach("vehicle")
        if self.ensemble is not None and reach is not None:
            most = amount(float(np.quantile(reach, 0.9)), "distance", self.system, 2)
            return f"{top}; {self.name('vehicle')} down within {most} of the pad nine times in ten."
        when = self.best("apogee_time_s")
        after = f", {amount(when, 'time', self.system, 2)} after liftoff" if when else ""
        return f"{top}{after}."

    def key_figures(self) -> list[KeyFigure | None]:
        return [
            self.key("greatest height", "apogee_m", "height"),
            self.key("climb at release", "release_climb_m_s", "speed", 3),
            self.reach_key("vehicle"),
            self.reach_key("payload"),
            self.key("vehicle at the ground", "touchdown_vehicle_energy_j", "energy"),
        ]

    def key(self, name: str, figure: str, kind: str, significant: int = 2) -> KeyFigure | None:
        if self.best(figure) is None:
            return None
        spread = self.range(figure, kind)
        if spread and " to " not in spread:
            spread = "hardly varies"
        shown = self.shown(figure, kind, significant)
        return KeyFigure(name, shown, spread or "one flight, as written")

    def reach_key(self, body: str) -> KeyFigure | None:
        reach = self.reach(body)
        if reach is None:
            return None
        if self.ensemble is None:
            far = amount(float(reach[0]), "distance", self.system, 2)
            return KeyFigure(f"{body}, from the pad", far, "one flight, as written")
        half, most = (float(v) for v in np.quantile(reach, (0.5, 0.9)))
        far = amount(most, "distance", self.system, 2)
        near = amount(half, "distance", self.system, 2)
        return KeyFigure(f"{body} lands within", far, f"half within {near}")

    def places(self, body: str) -> Floats:
        """Touchdown points east and north, ``(n, 2)``; one row without an ensemble."""
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
        points = self.places(body)
        return np.hypot(points[:, 0], points[:, 1]) if len(points) else None

    def release(self) -> str:
        if self.best("release_climb_m_s") is None or self.campaign.payload is None:
            return ""
        spread = self.range("release_climb_m_s", "speed")
        wide = f" ({spread})" if spread and " to " in spread else ""
        return (
            f"{self.campaign.payload.name} lets go {self.shown('release_height_m', 'height')} up, "
            f"climbing at {self.shown('release_climb_m_s', 'speed', 3)}{wide}, "
            f"{self.shown('release_time_s', 'time')} after liftoff."
        )

    def landings(self) -> list[str]:
        return [s for body in self.flight.touchdown if (s := self.landing(body))]

    def name(self, body: str) -> str:
        if body == "payload" and self.campaign.payload:
            return self.campaign.payload.name
        return self.campaign.vehicle.name

    def landing(self, body: str) -> str:
        points = self.places(body)
        if not len(points):
            return ""
        east, north = np.median(points, axis=0).tolist()
        far = amount(math.hypot(east, north), "distance", self.system, 2)
        base = f"touchdown_{body}"
        return (
            f"{self.name(body)} comes down {self.shown(f'{base}_time_s', 'time')} after liftoff, "
            f"{far} to the {compass(east, north)} of the pad, at "
            f"{self.shown(f'{base}_speed_m_s', 'speed')} and with "
            f"{self.shown(f'{base}_energy_j', 'energy')}."
        )

    def chances(self) -> list[str]:
        if self.ensemble is None:
            return []
        said = []
        high = self.statistic("apogee_m", "p95")
        if high is not None:
            said.append(
                f"One flight in twenty goes above {amount(high, 'height', self.system, 2)}."
            )
        for body in self.flight.touchdown:
            reach = self.reach(body)
            if reach is not None and len(reach) > 1:
                far = amount(float(np.quantile(reach, 0.95)), "distance", self.system, 2)
                said.append(f"One time in twenty {self.name(body)} lands farther than {far} away.")
        return self.endings() + self.holding() + self.let_go() + said + self.events()

    def ending(self) -> str:
        """How the flight ended, where that is not the usual way."""
        return "" if self.flight.outcome == sentence(slots.LANDED) else self.flight.outcome

    def endings(self) -> list[str]:
        """How often flights of the ensemble ended in any other way than by coming down."""
        assert self.ensemble is not None
        outcomes = self.ensemble.columns.get("outcome", np.zeros(0))
        codes, counts = np.unique(outcomes[np.isfinite(outcomes)], return_counts=True)
        said = []
        for code, count in zip(codes.tolist(), counts.tolist(), strict=True):
            if code != slots.LANDED:
                often = chance_words(count, outcomes.size)
                words = sentence(code)
                said.append(f"{often[:1].upper()}{often[1:]}: {words[:1].lower()}{words[1:]}")
        return said

    def strength(self) -> Floats | float | None:
        """What the hold bears: as drawn, flight by flight, or as written."""
        hold = self.campaign.payload.hold if self.campaign.payload else None
        drawn = self.ensemble.drawn if self.ensemble else {}
        return drawn.get(HOLD, hold.strength.value) if hold else None

    def torn(self) -> NDArray[np.bool_]:
        """In which flights the hold is asked more than it bears; empty where nothing is known."""
        strength = self.strength()
        asked = self.ensemble.columns.get("hold_load_n") if self.ensemble else None
        if asked is None:
            asked = np.array([self.flight.figures.get("hold_load_n") or math.nan])
        if strength is None or not np.isfinite(asked).any():
            return np.zeros(0, dtype=bool)
        return np.asarray(asked > strength)

    def asked(self) -> str:
        """What the hold is asked, beside what it bears."""
        strength = self.strength()
        assert strength is not None
        bears = amount(float(np.median(strength)), "force", self.system, 2)
        more = self.range("hold_load_n", "force") or self.shown("hold_load_n", "force")
        return f"is asked {more} and bears {bears}"

    def tearing(self) -> str:
        """Say that the payload tears off, where that is what to expect."""
        torn = self.torn()
        if not torn.size or torn.mean() <= 0.5:
            return ""
        often = f" {chance_words(int(torn.sum()), torn.size)}" if self.ensemble else ""
        return f"{self.name('payload')} tears off{often}: its hold {self.asked()}."

    def hold(self) -> str:
        """What the hold is asked, or what the rest supposes where it is asked too much."""
        if self.tearing():
            outline = self.outline()
            return f"All else here supposes that it holds: {outline[:1].lower()}{outline[1:]}"
        if not self.torn().size:
            return ""
        return f"The hold of {self.name('payload')} {self.asked()}."

    def holding(self) -> list[str]:
        """How often the hold gives way, where the lead has not said so."""
        torn = self.torn()
        if not torn.size or self.tearing():
            return []
        often = chance_words(int(torn.sum()), torn.size)
        return [f"The hold is asked more than it bears {often}."]

    def let_go(self) -> list[str]:
        """How often the payload is let go: still held, and told to."""
        assert self.ensemble is not None
        released = self.ensemble.columns.get("release_time_s")
        if released is None or self.campaign.payload is None:
            return []
        torn = self.torn()
        meant = np.isfinite(released) & ~torn if torn.size else np.isfinite(released)
        often = chance_words(int(meant.sum()), meant.size)
        return [
            f"{self.campaign.payload.name} is let go{' as meant' if torn.any() else ''} {often}."
        ]

    def events(self) -> list[str]:
        assert self.ensemble is not None
        said, columns = [], self.ensemble.columns
        speed = columns.get("touchdown_vehicle_speed_m_s")
        if speed is not None and np.isfinite(speed).any():
            fast = chance_words(int((speed > FAST).sum()), speed.size)
            limit = amount(FAST, "speed", self.system, 2)
            said.append(f"{self.name('vehicle')} comes down faster than {limit} {fast}.")
        return said
