"""When one phase of a flight ends and the next begins, and how each one moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.reconstruction.smoother import Phase
from loftwright.physics.atmosphere import GRAVITY

__all__ = ["NEVER", "SHAKES", "Moment", "Shape", "moment_of"]

Floats = NDArray[np.float64]
NEVER = 1e9  # s

# White jerk of each phase before the record has said its own [m2/s5]: about the square of what an
# acceleration changes by over the time in which it does. Of "ground" it is m2/s (judgement).
SHAKES = {"push": 3e5, "coast": 10.0, "opening": 1e3, "descent": 0.2, "ground": 1e-4}
# How the acceleration begins that a phase has beyond its own [m/s2]: mean, standard deviation.
PUSH_BEGINS = (130.0, 130.0)
COAST_BEGINS = (-10.0, 12.0)  # of drag, beyond gravity
# While water goes out, what is pushed gets lighter faster than pressure falls, and a tube is left
# behind: the acceleration grows two or three times (judgement, from forecasts).
PUSH_GROWS = 3.0
# Then air alone pushes, and dies away within this share of the time that water took: both times go
# with the volume over the area of the nozzle (judgement, from forecasts) ...
AIR_FADES = 0.18
AIR_LASTS = 3.0  # ... so many times as long it is felt
AIR_SHAKE = 0.3  # its white jerk, of the push's own
OPENING_BEGINS = (-9.0, 4.0)  # still falling: a canopy takes its time to fill
DESCENT_FADES = 2.0  # 1/s, of swinging
# What still changes a steady fall is wind that changes with the height: for seconds, not tenths.
WANDERS = 0.4  # 1/s (judgement, from forecasts)
OPENING_LASTS = 0.8  # s
SETTLING_LASTS = 1.2  # s, in which it swings less and less


@dataclass(frozen=True, slots=True)
class Shape:
    """The moments between phases, by the log's clock; None where the record shows none.

    ``shakes`` gives the white jerk of each phase; ``until`` is where the record ends or is cut;
    ``settles`` (1/s) is how fast the descent finds back to its steady rate, and ``grows`` by which
    factor acceleration does while water goes out.
    """

    liftoff: float
    push_end: float
    opening: float | None
    touchdown: float | None
    until: float
    shakes: dict[str, float]
    settles: float = DESCENT_FADES
    grows: float = PUSH_GROWS

    def phases(self) -> list[Phase]:
        """Return the phases, from the pad to the end of the record."""
        shake = self.shakes
        lasts = max(self.push_end - self.liftoff, 0.01)
        fades = AIR_FADES * lasts
        down = self.until + 1.0 if self.touchdown is None else self.touchdown
        open_at = down if self.opening is None else min(self.opening, down)
        found = [
            Phase("pad", self.liftoff, 0.0, rests=True),
            Phase("push", self.push_end, shake["push"], decay=-log(self.grows) / lasts,
                  anew=PUSH_BEGINS),
            Phase("air", min(self.push_end + AIR_LASTS * fades, open_at),
                  AIR_SHAKE * shake["push"], decay=1.0 / fades),
            Phase("coast", open_at, shake["coast"], -GRAVITY, anew=COAST_BEGINS, drags=True),
        ]  # fmt: skip
        if self.opening is not None:
            full = min(open_at + OPENING_LASTS, down)
            calm = min(full + SETTLING_LASTS, down)
            between = sqrt(shake["opening"] * shake["descent"])
            found += [
                Phase("opening", full, shake["opening"], 0.0, DESCENT_FADES, anew=OPENING_BEGINS),
                Phase("settling", calm, between, 0.0, self.settles),
                Phase("descent", down, shake["descent"], 0.0, WANDERS),
            ]
        if self.touchdown is not None:
            found.append(Phase("ground", NEVER, shake["ground"], rests=True))
        return found

    def moved(self, name: str, time: float) -> Shape:
        """Return it with one of its moments moved."""
        changes: dict[str, Any] = {name: time}
        return replace(self, **changes)

    def shaken(self, name: str, shake: float) -> Shape:
        """Return it with the white jerk of one phase changed."""
        return replace(self, shakes={**self.shakes, name: shake})

    def span(self, name: str) -> tuple[float, float]:
        """Return from when to when a phase lasts; (0, 0) where there is none."""
        begin = -NEVER
        for phase in self.phases():
            if phase.name == name:
                return begin, min(phase.end, self.until)
            begin = phase.end
        return 0.0, 0.0


@dataclass(frozen=True, slots=True)
class Moment:
    """When one phase passes into the next [s]: mean, spread and 90 % interval."""

    time: float
    sd: float
    low: float
    high: float


def moment_of(times: Sequence[float], likelihoods: Sequence[float]) -> Moment:
    """Return what likelihoods on a grid of times say of a moment, every time held equally likely.

    ``likelihoods`` are logarithms. Between two times of the grid all are as likely as these.
    """
    time, share = np.asarray(times, float), np.asarray(likelihoods, float)
    share = np.exp(share - share.max())
    width = np.gradient(time)
    share = share * width / (share * width).sum()
    mean = float((share * time).sum())
    within = float((share * width**2).sum()) / 12.0
    sd = float(np.sqrt((share * (time - mean) ** 2).sum() + within))
    edges = np.concatenate([[time[0] - width[0] / 2.0], time + width / 2.0])
    low, high = np.interp([0.05, 0.95], np.concatenate([[0.0], np.cumsum(share)]), edges)
    return Moment(mean, sd, float(low), float(high))
