"""What the calibration of reconstructions counts: bands that hold, records that are told apart."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

import numpy as np

__all__ = ["EVENTS", "PHASES", "Count", "Tally", "flagged", "gone_wrong"]

PHASES = ("push", "coast", "opening", "descent")
EVENTS = ("liftoff", "water out", "apogee", "canopy open", "touchdown")
FIVE = 1.6448536
FAR = 3.0  # standard deviations


def flagged(flight: Any) -> bool:
    """Whether a reconstruction says of itself that its record is not sound."""
    return bool(flight.unsound)


def gone_wrong(rehearsed: Any, flight: Any) -> bool:
    """Whether the top, its time or the largest climb is off by more than three of its sd."""
    truths = (
        (flight.apogee, rehearsed.apogee_m),
        (flight.apogee_time, rehearsed.events.get("apogee")),
        (flight.max_climb, float(rehearsed.true_climb.max())),
    )
    return any(
        told is not None and truth is not None and abs(told.value - truth) > FAR * told.sd
        for told, truth in truths
    )


@dataclass
class Count:
    """How often a 90 % band held the truth, and how it missed."""

    inside: float = 0.0
    of: float = 0.0
    scaled: list[float] = field(default_factory=list)

    def add(self, inside: Any, scaled: Any = ()) -> None:
        self.inside += float(np.sum(inside))
        self.of += float(np.size(inside))
        self.scaled.extend(np.atleast_1d(scaled).tolist())

    @property
    def share(self) -> float:
        return 100.0 * self.inside / self.of if self.of else float("nan")


class Tally:
    """Counts of one recorder, or of all."""

    def __init__(self) -> None:
        self.counts: dict[str, Count] = defaultdict(Count)
        self.apogee: list[float] = []
        self.naive: list[float] = []
        self.seconds: list[float] = []
        self.missing: dict[str, int] = defaultdict(int)
        self.flagged = 0
        self.wrong = 0

    def take(self, rehearsed: Any, flight: Any, seconds: float) -> None:
        self.seconds.append(seconds)
        self.flagged += flagged(flight)
        self.wrong += gone_wrong(rehearsed, flight)
        self._pointwise(rehearsed, flight)
        self._events(rehearsed, flight)
        self.naive.append(flight.naive_max_height_m - rehearsed.apogee_m)
        if flight.apogee is None:
            return
        self.apogee.append(flight.apogee.value - rehearsed.apogee_m)
        self._estimate("apogee", flight.apogee, rehearsed.apogee_m)
        self._estimate("max climb", flight.max_climb, float(rehearsed.true_climb.max()))

    def _estimate(self, name: str, estimate: Any, truth: float) -> None:
        inside = estimate.low <= truth <= estimate.high
        self.counts[name].add(
            inside, (estimate.value - truth) / max(estimate.sd, 1e-9) if np.isfinite(truth) else ()
        )

    def _events(self, rehearsed: Any, flight: Any) -> None:
        log = rehearsed.log
        start = float(np.interp(0.0, rehearsed.true_time, log.time_s)) - flight.liftoff_s
        for kind in EVENTS:
            event = flight.event(kind)
            if event is None:
                self.missing[kind] += 1
                continue
            truth = start if kind == "liftoff" else rehearsed.events.get(kind)
            if truth is None:  # seen, where there was none
                truth = np.inf
            self._estimate(f"time of {kind}", event.time, truth)

    def _pointwise(self, rehearsed: Any, flight: Any) -> None:
        curve, log = flight.curve, rehearsed.log

        def clock(moment: Any) -> Any:
            return np.interp(moment, rehearsed.true_time, log.time_s) - flight.liftoff_s

        events = {name: float(clock(moment)) for name, moment in rehearsed.events.items()}
        # The same share of moments from every flight, however often it was read.
        end = events.get("touchdown", float(clock(rehearsed.true_time[-1])))
        at = np.arange(0.0, min(end, curve.time[-1]), 0.02)
        truth_time = log.time_s - flight.liftoff_s
        opened = events.get("canopy open", end)
        edges = [events.get("air out", 0.0), opened, opened + 1.0]
        phase = np.searchsorted(edges, at)
        for name, true in (("height", rehearsed.true_height), ("climb", rehearsed.true_climb)):
            truth = np.interp(at, truth_time, true)
            value = np.interp(at, curve.time, getattr(curve, name))
            sd = np.interp(at, curve.time, getattr(curve, f"{name}_sd"))
            inside = np.abs(value - truth) <= FIVE * sd
            self.counts[name].add(inside)
            for number, words in enumerate(PHASES):
                self.counts[f"{name}, {words}"].add(inside[phase == number])
