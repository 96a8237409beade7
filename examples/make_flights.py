#!/usr/bin/env python3
"""Make the recorded flights of examples/sedge-lift-flown. Everything in them is invented.

The forward model flies, with its instruments and its faults; people see what they could have seen.

    .venv/bin/python examples/make_flights.py            make them anew, in their place
    .venv/bin/python examples/make_flights.py FOLDER     make them in a copy of the campaign there

The same script makes the same flights, to the last digit on machines that compute alike.
"""

from __future__ import annotations

import hashlib
import math
import shutil
import stat
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.scoring.kept_forecast import keep_forecast
from loftwright.debrief.synthetic import SyntheticRecord, log_text, synthetic_log
from loftwright.documents.campaign import Campaign
from loftwright.documents.reading import read_campaign
from loftwright.documents.snapshot import take_snapshot
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Flown as Bodies
from loftwright.rehearsal.cases import chosen, known_happenings
from loftwright.rehearsal.closing import Branches
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.run import Trial, fly_block

Floats = NDArray[np.float64]

HERE = Path(__file__).resolve().parent
FLOWN = HERE / "sedge-lift-flown"
BOARD = "board"
FORECAST_FLIGHTS = 150
INVENTED = "Invented for the demo: nobody flew this. The forward model made the log"
SOUND = 340.0  # m/s
DEGREE = math.pi / 180.0


@dataclass(frozen=True)
class Station:
    """A place to look from: metres from the pad, and by what its compass is off."""

    name: str
    by: str
    east: float
    north: float
    zero: float  # degrees


STATIONS = (Station("Gate", "Runa", -95.0, 20.0, 2.0), Station("Knoll", "Ivo", 30.0, -110.0, -1.0))


@dataclass(frozen=True)
class Story:
    """One flight: which draw it is, what fails in it, and what people wrote down of it."""

    name: str
    title: str
    flown: str
    forecast: str  # when that was made
    asked: str
    fault: str  # in words of the fault library, empty where nothing fails
    number: int  # of the flight among those of SEED
    outcome: str
    note: str
    looks: tuple[str, ...]  # of LOOKS
    voltage: bool = True  # whether the log holds the battery's


SEED = 2026
LOOKS = ("film", "stopwatch", "sightings", "paced", "no release")
STORIES = (
    Story(
        name="2026-05-09-a",
        title="First lift",
        flown="2026-05-09T10:40",
        forecast="2026-05-08T20:15:00+00:00",
        asked="Does the glider leave cleanly, and is the forecast right?",
        fault="",
        number=4,
        outcome="success",
        note="all as it should be.",
        looks=("film", "stopwatch", "sightings", "paced"),
    ),
    Story(
        name="2026-05-09-b",
        title="Second lift",
        flown="2026-05-09T11:25",
        forecast="2026-05-08T20:15:00+00:00",
        asked="Does it do the same again?",
        fault="controller resets in flight: board",
        number=5,
        outcome="failure",
        note="something fails in it.",
        looks=("no release", "stopwatch", "paced"),
    ),
    Story(
        name="2026-05-16-a",
        title="Third lift",
        flown="2026-05-16T09:50",
        forecast="2026-05-15T21:30:00+00:00",
        asked="Is the board cured?",
        fault="actuator stuck: latch servo",
        number=8,
        outcome="failure",
        note="something fails in it, and its log holds no battery voltage.",
        looks=("no release", "stopwatch", "paced"),
        voltage=False,
    ),
)


@dataclass(frozen=True)
class Seen:
    """What there was to see in one flight: its record, what was drawn, and where the top was."""

    record: SyntheticRecord
    drawn: Mapping[str, float]
    top: tuple[float, float, float]  # east, north, up, m


# ---------------------------------------------------------------- the flights


def make(campaign: Path) -> None:
    """Make all flights in the folder of a campaign; those that are there go."""
    read = read_campaign(campaign)
    plan = plan_of(read, SEED)
    known = known_happenings(plan)
    flights = campaign / "flights"
    _remove(flights)
    for story in STORIES:
        trial = Trial(tuple(chosen(known, story.fault))) if story.fault else Trial()
        _write(flights / story.name, story, read, _fly(plan, trial, story.number))


def _remove(folder: Path) -> None:
    """Remove what was made before; what is kept can only be read."""
    for path in sorted(folder.rglob("*"), reverse=True):
        path.chmod(stat.S_IRWXU)
    shutil.rmtree(folder, ignore_errors=True)


def _fly(plan: Plan, trial: Trial, number: int) -> Seen:
    flown = fly_block(plan, [trial], number, 1)
    which = int(flown.settled.which[0, 0])
    every = flown.settled.branches
    one = slice(which, which + 1)
    tops: list[tuple[float, float, float]] = []

    def take(_some: slice, bodies: Bodies, _ended: Floats) -> None:
        tape = bodies.records[0][: bodies.counts[0]]
        columns = (slots.RECORD_STATE + slot // slots.LANES for slot in (slots.EAST, slots.NORTH))
        up = tape[:, slots.RECORD_STATE + slots.UP // slots.LANES]
        at = int(np.argmax(up))
        east, north = (float(tape[at, column]) for column in columns)
        tops.append((east, north, float(up[at])))

    flown.block.vehicles(Branches(every.group[one], every.flight[one], every.acts[one]), take)
    values = flown.block.values[int(every.group[which])]
    return Seen(synthetic_log(plan, trial, number, BOARD), _first(values), tops[0])


def _first(values: Mapping[str, Any]) -> dict[str, float]:
    """Return what was drawn for one flight as plain numbers."""
    return {
        path: float(np.ravel(value)[0])
        for path, value in values.items()
        if not isinstance(value, str)
    }


def _write(folder: Path, story: Story, campaign: Campaign, seen: Seen) -> None:
    """Write one flight as `loftwright record` keeps it."""
    keep_forecast(
        campaign, folder, seed=1, flights=FORECAST_FLIGHTS, made=story.forecast, replace=True
    )
    build = take_snapshot(campaign, folder / "build")
    log = _log(story, seen.record).encode("utf-8")
    evidence = folder / "evidence"
    evidence.mkdir()
    (evidence / "board.csv").write_bytes(log)
    document = "\n".join(_document(story, seen, build, log)) + "\n"
    (folder / "flight.toml").write_bytes(document.encode("utf-8"))


def _log(story: Story, record: SyntheticRecord) -> str:
    rows = log_text(record)
    if not story.voltage:
        rows = _without(rows, "battery [V]")
    return f"# {INVENTED}.\n# Board of Bulrush 2, flight {story.name}\n{rows}"


def _without(rows: str, column: str) -> str:
    cells = [line.split(",") for line in rows.splitlines()]
    place = cells[0].index(column)
    return "".join(",".join(row[:place] + row[place + 1 :]) + "\n" for row in cells)


# ---------------------------------------------------------------- flight.toml


def _document(story: Story, seen: Seen, build: str, log: bytes) -> Iterator[str]:
    dice = np.random.default_rng([SEED, *story.name.encode("ascii")])
    yield f"# {INVENTED} and the times below; {story.note}"
    yield ""
    yield f'name = "{story.title}"'
    yield f'flown = "{story.flown}"'
    yield f'asked = "{story.asked}"'
    yield f'outcome = "{story.outcome}"'
    yield f'build = "{build}"'
    yield f'note = "{INVENTED}, and what people saw."'
    yield from _conditions(seen.drawn, dice)
    yield from _entry(log)
    events = seen.record.truth.events
    if "film" in story.looks:
        yield from _film(events, dice)
    if "no release" in story.looks:
        yield from _never()
    if "stopwatch" in story.looks:
        yield from _stopwatch(events, dice)
    if "sightings" in story.looks:
        yield from _sightings(seen.top, dice)
    if "paced" in story.looks:
        yield from _paced(seen.record.truth.landed, dice)


def _conditions(drawn: Mapping[str, float], dice: np.random.Generator) -> Iterator[str]:
    """What was measured at the pad: what was drawn, as instruments would have shown it."""

    def shown(path: str, size: float, sd: float, places: int) -> str:
        value = drawn[path] / size + sd * dice.standard_normal()
        return f"{value:.{places}f}"

    psi, mph = 6894.757, 0.44704
    temperature = drawn["site.air.temperature"] - 273.15 + 0.5 * dice.standard_normal()
    yield "\n[conditions]"
    yield f'water_volume = "{shown("vehicle.fill.water_volume", 1e-3, 0.01, 2)} L ± 0.01 L"'
    yield f'gauge_pressure = "{shown("vehicle.fill.gauge_pressure", psi, 1.0, 0)} psi ± 1 psi"'
    yield f'pressure = "{shown("site.air.pressure", 100.0, 0.5, 0)} hPa ± 1 hPa"'
    yield f'temperature = "{temperature:.0f} degC ± 1 degC"'
    yield f'wind_speed = "{shown("site.wind.speed", mph, 1.0, 0)} mph ± 1 mph"'
    yield f'wind_from = "{shown("site.wind.from", DEGREE, 10.0, 0)} deg ± 10 deg"'


def _entry(log: bytes) -> Iterator[str]:
    yield "\n[[evidence]]"
    yield 'file = "board.csv"'
    yield 'kind = "log"'
    yield f'sha256 = "{hashlib.sha256(log).hexdigest()}"'
    yield f"size = {len(log)}"
    yield f'source = "{BOARD}"'


def _film(events: Mapping[str, float], dice: np.random.Generator) -> Iterator[str]:
    """Moments off a film, to a frame or two, by its own clock."""
    zero = float(dice.uniform(8.0, 20.0))
    for what, of, key in (
        ("liftoff", "vehicle", ""),
        ("release", "payload", "release"),
        ("canopy open", "vehicle", "canopy open"),
        ("touchdown", "vehicle", "touchdown"),
    ):
        at = zero + (events[key] if key else 0.0) + 0.04 * dice.standard_normal()
        yield from _saw(what, of, at=f"{at:.2f} s ± 0.04 s", clock="film", by="Pell", sure="99 %")


def _never() -> Iterator[str]:
    yield from _saw(
        "release", "payload", happened="no", by="Runa", sure="99.9 %",
        said="It came down with the glider on.",
    )  # fmt: skip


def _saw(what: str, of: str, **told: str) -> Iterator[str]:
    yield "\n[[saw]]"
    yield f'what = "{what}"'
    yield f'of = "{of}"'
    for word in ("happened", "at", "clock", "sure", "by", "said"):
        if word in told:
            yield f'{word} = "{told[word]}"'


def _stopwatch(events: Mapping[str, float], dice: np.random.Generator) -> Iterator[str]:
    """Started at the release and stopped at touchdown, each a quarter of a second off."""
    time = events["touchdown"] + 0.25 * math.sqrt(2.0) * dice.standard_normal()
    yield "\n[[stopwatch]]"
    yield 'begin = "liftoff"'
    yield 'end = "touchdown"'
    yield f'time = "{time:.1f} s ± 0.4 s"'
    yield 'by = "Ivo"'


def _sightings(top: tuple[float, float, float], dice: np.random.Generator) -> Iterator[str]:
    """Bearings and elevations of the top, off a compass and a protractor with a plumb line."""
    eye = 1.6
    for each in STATIONS:
        yield "\n[[station]]"
        yield f'name = "{each.name}"'
        yield f'east = "{each.east:g} m ± 1 m"'
        yield f'north = "{each.north:g} m ± 1 m"'
        yield f'bearing_zero = "{each.zero:g} deg ± 1 deg"'
    for each in STATIONS:
        east, north = top[0] - each.east, top[1] - each.north
        bearing = math.atan2(east, north) / DEGREE + each.zero + 2.0 * dice.standard_normal()
        over = math.atan2(top[2] - eye, math.hypot(east, north)) / DEGREE
        yield "\n[[sighting]]"
        yield f'station = "{each.name}"'
        yield 'moment = "apogee"'
        yield f'bearing = "{bearing % 360.0:.0f} deg ± 2 deg"'
        yield f'elevation = "{over + dice.standard_normal():.0f} deg ± 1 deg"'
        yield f'by = "{each.by}"'


def _paced(landed: Mapping[str, tuple[float, float]], dice: np.random.Generator) -> Iterator[str]:
    """Where vehicle and glider lay, in paces from the pad and by a compass."""
    for of in ("vehicle", "payload"):
        if of not in landed:
            continue
        east, north = landed[of]
        far = math.hypot(east, north) * (1.0 + 0.03 * dice.standard_normal())
        bearing = math.atan2(east, north) / DEGREE + 5.0 * dice.standard_normal()
        yield "\n[[landed]]"
        yield f'of = "{of}"'
        yield f'distance = "{far:.0f} m ± {max(2.0, 0.03 * far):.0f} m"'
        yield f'bearing = "{bearing % 360.0:.0f} deg ± 5 deg"'


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else FLOWN)
