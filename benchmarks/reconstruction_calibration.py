"""Do the bands of a reconstruction hold what they promise? Many flights, many recorders.

    python benchmarks/reconstruction_calibration.py [--flights N] [--first K] [--write]

Each flight is forecast from an example campaign, sensed by its documented board or a variant of it,
written down by that board's own clock, and reconstructed; the truth is what was flown. ``--write``
puts the table into docs/physics/reconstruction.md.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from reconstruction_flights import RECORDERS, campaigns

from loftwright.debrief.instrument import instrument_of
from loftwright.debrief.reconstruct import reconstruct
from loftwright.debrief.rehearsed_log import rehearsed_logs

PAGE = Path(__file__).resolve().parents[1] / "docs/physics/reconstruction.md"
PHASES = ("push", "coast", "opening", "descent")
FIVE = 1.6448536


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

    def take(self, rehearsed: Any, flight: Any, seconds: float) -> None:
        self.seconds.append(seconds)
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
        self.counts[name].add(inside, (estimate.value - truth) / max(estimate.sd, 1e-9))

    def _events(self, rehearsed: Any, flight: Any) -> None:
        log = rehearsed.log
        start = float(np.interp(0.0, rehearsed.true_time, log.time_s)) - flight.liftoff_s
        for kind in ("liftoff", "water out", "apogee", "canopy open", "touchdown"):
            event = flight.event(kind)
            if event is None:
                self.missing[kind] += 1
                continue
            truth = start if kind == "liftoff" else rehearsed.events[kind]
            self._estimate(f"time of {kind}", event.time, truth)

    def _pointwise(self, rehearsed: Any, flight: Any) -> None:
        curve, log = flight.curve, rehearsed.log
        clock = lambda t: np.interp(t, rehearsed.true_time, log.time_s) - flight.liftoff_s  # noqa: E731
        events = {name: float(clock(moment)) for name, moment in rehearsed.events.items()}
        # The same share of moments from every flight, however often it was read.
        at = np.arange(0.0, events["touchdown"], 0.02)
        truth_time = log.time_s - flight.liftoff_s
        opened = events.get("canopy open", events["touchdown"])
        edges = [events["air out"], opened, opened + 1.0]
        phase = np.searchsorted(edges, at)
        for name, true in (("height", rehearsed.true_height), ("climb", rehearsed.true_climb)):
            truth = np.interp(at, truth_time, true)
            value = np.interp(at, curve.time, getattr(curve, name))
            sd = np.interp(at, curve.time, getattr(curve, f"{name}_sd"))
            inside = np.abs(value - truth) <= FIVE * sd
            self.counts[name].add(inside)
            for number, words in enumerate(PHASES):
                self.counts[f"{name}, {words}"].add(inside[phase == number])


def run(flights: int, first: int, seed: int, names: tuple[str, ...]) -> dict[str, Tally]:
    tallies: dict[str, Tally] = {}
    whole = Tally()
    for number, (name, campaign) in enumerate(campaigns(names)):
        tally = tallies[name] = Tally()
        instrument = instrument_of(campaign, "board")
        blind = RECORDERS[name].get("accelerometer", 0) is None
        if blind:
            instrument = replace(instrument, push_range=None)
        air = campaign.site.air
        begin = first + number * flights  # no two recorders meet the same flights
        for each in rehearsed_logs(campaign, "board", seed=seed, first=begin, count=flights):
            shown = replace(each, log=replace(each.log, push_m_s2=None)) if blind else each
            began = time.perf_counter()
            flight = reconstruct(
                shown.log, instrument, pad_temperature=air.temperature.value, pad_pressure=None,
                pad_temperature_sd=air.temperature.sd,
            )  # fmt: skip
            seconds = time.perf_counter() - began
            for each_tally in (tally, whole):
                each_tally.take(shown, flight, seconds)
        print(line(name, tally), flush=True)
    tallies["all"] = whole
    return tallies


def line(name: str, tally: Tally) -> str:
    error = np.abs(tally.apogee)
    shares = {key: f"{count.share:.0f}" for key, count in tally.counts.items()}
    return (
        f"{name}: apogee |error| median {np.median(error):.2f} 95 % {np.quantile(error, 0.95):.2f}"
        f" worst {error.max():.2f} m; naive {np.median(np.abs(tally.naive)):.2f},"
        f" {np.quantile(np.abs(tally.naive), 0.95):.2f} m; {np.median(tally.seconds):.2f} s;"
        f" held, %: {shares} missing {dict(tally.missing)}"
    )


def table(tallies: dict[str, Tally]) -> str:
    heads = [
        "height", "climb", "apogee", "max climb", "time of liftoff", "time of water out",
        "time of apogee", "time of canopy open", "time of touchdown",
    ]  # fmt: skip
    rows = ["| recorder | flights | " + " | ".join(heads) + " |"]
    rows.append("|" + " --- |" * (len(heads) + 2))
    for name, tally in tallies.items():
        cells = [f"{tally.counts[h].share:.0f}" if h in tally.counts else "–" for h in heads]
        rows.append(f"| {name} | {len(tally.seconds)} | " + " | ".join(cells) + " |")
    rows += ["", "| phase | height | climb |", "| --- | --- | --- |"]
    whole = tallies["all"]
    for words in PHASES:
        cells = [f"{whole.counts[f'{n}, {words}'].share:.0f}" for n in ("height", "climb")]
        rows.append(f"| {words} | " + " | ".join(cells) + " |")
    heads = [
        "recorder", "top: median error, m", "95 %", "worst",
        "largest reading: median error, m", "95 %",
    ]  # fmt: skip
    rows += ["", "| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    for name, tally in tallies.items():
        error, naive = np.abs(tally.apogee), np.abs(tally.naive)
        rows.append(
            f"| {name} | {np.median(error):.2f} | {np.quantile(error, 0.95):.2f} | "
            f"{error.max():.2f} | {np.median(naive):.2f} | {np.quantile(naive, 0.95):.2f} |"
        )
    return "\n".join(rows)


def write(text: str) -> None:
    begin, end = "<!-- calibration: begin -->\n", "<!-- calibration: end -->"
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(begin)
    after = rest.split(end)[1]
    PAGE.write_text(before + begin + text + "\n" + end + after, encoding="utf-8")


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--flights", type=int, default=65)
    ask.add_argument("--first", type=int, default=40_000)
    ask.add_argument("--seed", type=int, default=19)
    ask.add_argument("--only", action="append", default=[])
    ask.add_argument("--write", action="store_true")
    told = ask.parse_args()
    tallies = run(told.flights, told.first, told.seed, tuple(told.only))
    print(line("all", tallies["all"]))
    spread = {k: f"{np.std(c.scaled):.2f}" for k, c in tallies["all"].counts.items() if c.scaled}
    mean = {k: f"{np.mean(c.scaled):+.2f}" for k, c in tallies["all"].counts.items() if c.scaled}
    print("errors over standard deviations: spread", spread, "mean", mean)
    text = table(tallies)
    print(text)
    if told.write:
        write(text)


if __name__ == "__main__":
    main()
