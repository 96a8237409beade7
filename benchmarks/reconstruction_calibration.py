"""Do the bands of a reconstruction hold what they promise? Many flights, many recorders.

    python benchmarks/reconstruction_calibration.py [--flights N] [--faulty N] [--write]

Each flight is forecast from an example campaign, sensed by its documented board or a variant of it,
written down by that board's own clock, and reconstructed; the truth is what was flown. In so many
more flights of each recorder one fault of the library happens, each in turn. ``--write`` puts the
tables into docs/physics/reconstruction.md.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter, defaultdict
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))
from reconstruction_counts import PHASES, Tally, flagged, gone_wrong
from reconstruction_flights import RECORDERS, campaigns

from loftwright.debrief.reconstruction.instrument import instrument_of
from loftwright.debrief.reconstruction.reconstruct import reconstruct
from loftwright.debrief.reconstruction.rehearsed_log import rehearsed_logs
from loftwright.errors import ProblemError
from loftwright.instruments.cases import Happening
from loftwright.rehearsal.cases import known_happenings
from loftwright.rehearsal.plan import plan_of

PAGE = Path(__file__).resolve().parents[1] / "docs/physics/reconstruction.md"


KINDS = ("nothing fails", "vehicle fails", "instrument fails")
# Faults of the library that change what the recorder writes down; all others change the flight.
OF_THE_RECORD = ("sensing", "supply", "assembly")


@dataclass
class Result:
    """Tallies of all flights: by recorder where nothing fails, by kind, and of flagged records."""

    recorders: dict[str, Tally] = field(default_factory=dict)
    kinds: dict[str, Tally] = field(default_factory=lambda: {kind: Tally() for kind in KINDS})
    sound: Tally = field(default_factory=Tally)  # not flagged, whatever fails
    faults: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    kind_of: dict[str, str] = field(default_factory=dict)
    refused: dict[str, int] = field(default_factory=lambda: dict.fromkeys(KINDS, 0))


def run(flights: int, faulty: int, first: int, seed: int, names: tuple[str, ...]) -> Result:
    result, jobs = Result(), []
    for number, (name, _) in enumerate(campaigns(names)):
        result.recorders[name] = Tally()
        jobs.append((name, number, flights, faulty, first, seed))
    with ProcessPoolExecutor(2) as pool:
        for name, taken in zip(result.recorders, pool.map(_recorder, jobs), strict=True):
            for kind, fault, seconds, rehearsed, flight in taken:
                _count(result, name, kind, fault, seconds, rehearsed, flight)
            print(line(name, result.recorders[name]), flush=True)
    return result


def _count(
    result: Result, name: str, kind: str, fault: str, seconds: float, rehearsed: Any, flight: Any
) -> None:
    counts = result.faults[fault]
    counts["flights"] += 1
    result.kind_of[fault] = kind
    if flight is None:
        result.refused[kind] += 1
        counts["refused"] += 1
        return
    result.kinds[kind].take(rehearsed, flight, seconds)
    is_flagged, wrong = flagged(flight), gone_wrong(rehearsed, flight)
    counts["flagged"] += is_flagged
    counts["wrong"] += wrong
    counts["unflagged wrong"] += wrong and not is_flagged
    if not is_flagged:
        result.sound.take(rehearsed, flight, seconds)
    if kind == KINDS[0]:
        result.recorders[name].take(rehearsed, flight, seconds)


def _recorder(job: tuple[str, int, int, int, int, int]) -> list[Any]:
    """Fly one recorder: some flights without a fault, and some with one each."""
    name, number, flights, faulty, first, seed = job
    campaign = dict(campaigns((name,)))[name]
    instrument = instrument_of(campaign, "board")
    blind = RECORDERS[name].get("accelerometer", 0) is None
    if blind:
        instrument = replace(instrument, push_range=None)
    begin = first + number * (flights + faulty)  # no two recorders meet the same flights
    known = known_happenings(plan_of(campaign, seed))
    flown = [("", KINDS[0], begin, flights, ())]
    for k in range(faulty):
        each = known[(number * faulty + k) % len(known)]
        kind = KINDS[2] if _is_of_the_record(each) else KINDS[1]
        flown.append((each.fault.name, kind, begin + flights + k, 1, (each,)))
    found = []
    for fault, kind, start, count, happening in flown:
        logs = rehearsed_logs(
            campaign, "board", seed=seed, first=start, count=count, happening=happening
        )
        for each in logs:
            shown = replace(each, log=replace(each.log, push_m_s2=None)) if blind else each
            seconds, flight = _reconstructed(shown, instrument, campaign)
            found.append((kind, fault, seconds, shown, flight))
    return found


def _is_of_the_record(each: Happening) -> bool:
    return each.fault.group in OF_THE_RECORD


def _reconstructed(shown: Any, instrument: Any, campaign: Any) -> tuple[float, Any]:
    """Reconstruct one flight; None where it is refused as none."""
    air = campaign.site.air.temperature
    began = time.process_time()
    try:
        flight = reconstruct(
            shown.log, instrument, pad_temperature=air.value, pad_pressure=None,
            pad_temperature_sd=air.sd,
        )  # fmt: skip
    except ProblemError as problem:
        if problem.problems[0].code != "log-no-liftoff":
            raise
        flight = None
    return time.process_time() - began, flight


def line(name: str, tally: Tally) -> str:
    error = np.abs(tally.apogee)
    shares = {key: f"{count.share:.0f}" for key, count in tally.counts.items()}
    return (
        f"{name}: apogee |error| median {np.median(error):.2f} 95 % {np.quantile(error, 0.95):.2f}"
        f" worst {error.max():.2f} m; naive {np.median(np.abs(tally.naive)):.2f},"
        f" {np.quantile(np.abs(tally.naive), 0.95):.2f} m; {np.median(tally.seconds):.2f} s;"
        f" held, %: {shares} missing {dict(tally.missing)}"
    )


HEADS = [
    "height", "climb", "apogee", "max climb", "time of liftoff", "time of water out",
    "time of apogee", "time of canopy open", "time of touchdown",
]  # fmt: skip


def table(result: Result) -> str:
    rows = _rows("recorder, nothing fails", result.recorders)
    rows += ["", *_rows("all recorders", {**result.kinds, "all that is not flagged": result.sound})]
    whole = result.sound
    rows += ["", "| phase, all that is not flagged | height | climb |", "| --- | --- | --- |"]
    for words in PHASES:
        cells = [f"{whole.counts[f'{n}, {words}'].share:.0f}" for n in ("height", "climb")]
        rows.append(f"| {words} | " + " | ".join(cells) + " |")
    rows += ["", *_kinds(result), "", *_faults(result)]
    heads = [
        "", "top: median error, m", "95 %", "worst", "largest reading: median error, m", "95 %",
    ]  # fmt: skip
    rows += ["", "| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    kept = {**result.recorders, **result.kinds, "all that is not flagged": result.sound}
    for name, tally in kept.items():
        error, naive = np.abs(tally.apogee), np.abs(tally.naive)
        rows.append(
            f"| {name} | {np.median(error):.2f} | {np.quantile(error, 0.95):.2f} | "
            f"{error.max():.2f} | {np.median(naive):.2f} | {np.quantile(naive, 0.95):.2f} |"
        )
    return "\n".join(rows)


def _rows(first: str, tallies: dict[str, Tally]) -> list[str]:
    rows = [f"| {first} | flights | " + " | ".join(HEADS) + " |"]
    rows.append("|" + " --- |" * (len(HEADS) + 2))
    for name, tally in tallies.items():
        cells = [f"{tally.counts[h].share:.0f}" if h in tally.counts else "–" for h in HEADS]
        rows.append(f"| {name} | {len(tally.seconds)} | " + " | ".join(cells) + " |")
    return rows


def _kinds(result: Result) -> list[str]:
    """Of each kind of flight: how many are flagged, and how many are wrong and are not."""
    heads = ["", "flights", "no flight in it", "flagged", "wrong", "wrong and not flagged"]
    rows = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    for kind in KINDS:
        tally, refused = result.kinds[kind], result.refused[kind]
        quiet = sum(
            counts["unflagged wrong"] for name, counts in result.faults.items()
            if result.kind_of[name] == kind
        )  # fmt: skip
        rows.append(
            f"| {kind} | {len(tally.seconds) + refused} | {refused} | {tally.flagged} | "
            f"{tally.wrong} | {quiet} |"
        )
    return rows


def _faults(result: Result) -> list[str]:
    """Faults of the instrument, one by one."""
    heads = ["fault of the instrument", "flights", "no flight in it", "flagged", "wrong",
             "wrong and not flagged"]  # fmt: skip
    rows = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    for name in sorted(result.faults):
        if result.kind_of[name] == KINDS[2]:
            each = result.faults[name]
            cells = [each[k] for k in ("flights", "refused", "flagged", "wrong", "unflagged wrong")]
            rows.append(f"| {name} | " + " | ".join(map(str, cells)) + " |")
    return rows


def write(text: str) -> None:
    begin, end = "<!-- calibration: begin -->\n", "<!-- calibration: end -->"
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(begin)
    after = rest.split(end)[1]
    PAGE.write_text(before + begin + text + "\n" + end + after, encoding="utf-8")


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("--flights", type=int, default=40)
    ask.add_argument("--faulty", type=int, default=25)
    ask.add_argument("--first", type=int, default=40_000)
    ask.add_argument("--seed", type=int, default=19)
    ask.add_argument("--only", action="append", default=[])
    ask.add_argument("--write", action="store_true")
    told = ask.parse_args()
    result = run(told.flights, told.faulty, told.first, told.seed, tuple(told.only))
    counts = result.kinds[KINDS[0]].counts
    spread = {k: f"{np.std(c.scaled):.2f}" for k, c in counts.items() if c.scaled}
    mean = {k: f"{np.mean(c.scaled):+.2f}" for k, c in counts.items() if c.scaled}
    print("nothing fails: errors over standard deviations: spread", spread, "mean", mean)
    text = table(result)
    print(text)
    if told.write:
        write(text)


if __name__ == "__main__":
    main()
