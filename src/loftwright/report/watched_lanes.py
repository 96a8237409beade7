"""From one watched flight to a strip: what was, what was sensed, believed and done."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loftwright.program.phrases import phrase_in_units
from loftwright.rehearsal.results import Stay, Watched
from loftwright.report.quantities import amount, unit_of
from loftwright.report.strip_model import Block, Curve, Event, Lane, Note, Role, Strip

__all__ = ["stay_sentences", "watched_strip", "watched_strips"]

Floats = NDArray[np.float64]

# Of the boost, these crowd the rail and decide nothing.
CROWD = ("tube clear", "guide exit", "water out", "boosters out", "burnout")
BEFORE = 0.08  # of the time shown, kept in sight before the first thing that happens
SLACK = 0.15  # s between a stage's start and a command that it gives
GONE = 0.03  # s: a longer gap between two stays is a controller without power
NO_POWER = "without power"  # what such a stay is called where it is told
WRONG_M, WRONG_SHARE = 3.0, 0.08  # of the top: a belief farther off is said in words
CLOSE = 0.55  # of the whole: a part that is shorter is worth showing larger


def watched_strips(watched: Watched, system: str) -> list[Strip]:
    """Return the whole flight, and the part in which controllers act shown larger."""
    whole = watched_strip(watched, system)
    last = max([*watched.commands.values(), *watched.acts.values()], default=math.nan)
    stop = 1.15 * last + 0.3
    if not math.isfinite(last) or stop - whole.start > CLOSE * (whole.end - whole.start):
        return [whole]
    part = (whole.start, stop)
    large = watched_strip(watched, system, part)
    return [replace(whole, close_up=part), large]


def watched_strip(watched: Watched, system: str, part: tuple[float, float] | None = None) -> Strip:
    """Return one flight as a strip, in the units of ``system`` (``"metric"`` or ``"us"``).

    For each controller that has a barometer: height as flown (ink), as sensed and as believed,
    climb as flown and as believed; of each its stages as blocks. Outputs that are on, and supplies,
    follow where they are told. Commands and what moves are events on the rail. ``part`` shows only
    from one second to another, larger.
    """
    start, end = part or _clock(watched)
    names = list(dict.fromkeys((*watched.stays, *watched.believed, *watched.sensed)))
    believing = [name for name in names if "height_m" in watched.believed.get(name, {})]
    lanes: list[Lane] = []
    if not believing:
        lanes = [
            _height(watched, "", "", system, (start, end), top=True),
            _climb(watched, "", "", system),
        ]
    for name in names:
        if name in believing:
            beside = name if len(names) > 1 else ""
            top = name == believing[0]
            lanes.append(_height(watched, name, beside, system, (start, end), top=top))
            lanes.append(_climb(watched, name, beside, system))
        lanes.append(_stages(watched, name, end))
    lanes += [_level(name, spans) for name, spans in watched.levels.items()]
    lanes += [_supply(name, columns) for name, columns in watched.supplies.items()]
    return Strip(
        title="The part in which they act, shown larger" if part else f"{watched.case}",
        description=f"Flight {watched.flight}, {watched.case}. {watched.outcome} "
        + " ".join(stay_sentences(watched, system)),
        start=start,
        end=end,
        lanes=tuple(lanes),
        events=tuple(_events(watched, end - start)),
    )


def _clock(watched: Watched) -> tuple[float, float]:
    """From shortly before the first thing that happens to the last touchdown."""
    # A record that is replayed has no truth: what was sensed is all there is.
    told = [watched.truth, *(() if watched.truth else watched.sensed.values())]
    clocks = [np.asarray(each["time_s"]) for each in told if "time_s" in each]
    ends = [float(each[np.isfinite(each)].max()) for each in clocks if np.isfinite(each).any()]
    moments = [*watched.events.values(), *watched.commands.values(), *watched.acts.values()]
    moments += [moment for stays in watched.stays.values() for moment in _entries(stays)]
    known = [moment for moment in moments if math.isfinite(moment)]
    end = max([*ends, *known], default=1.0)
    first = min([0.0, *known])
    return first - max(0.5, BEFORE * (end - first)), end


def _entries(stays: Sequence[Stay]) -> list[float]:
    """When stages are entered; power-up itself is nothing that happens."""
    first = 2 if stays and stays[0].stage == NO_POWER else 1
    return [stay.start for stay in stays[first:]]


# ---------------------------------------------------------------- lanes


def _shown(
    name: str, columns: Mapping[str, Floats] | None, key: str, size: float, role: Role
) -> Iterator[Curve]:
    if columns is None or key not in columns:
        return
    value = np.asarray(columns[key], dtype=np.float64) / size
    time = np.asarray(columns["time_s"], dtype=np.float64)
    if value.shape == time.shape:
        yield Curve(name, time, value, role, faint=role is Role.SENSED, sheer=role is Role.SENSED)


def _height(
    watched: Watched, name: str, beside: str, system: str, part: tuple[float, float], *, top: bool
) -> Lane:
    unit = unit_of("height", system)
    curves = [
        *_shown("sensed", watched.sensed.get(name), "height_m", unit.size, Role.SENSED),
        *_shown("flown", watched.truth, "height_m", unit.size, Role.RECORD),
        *_shown("believed", watched.believed.get(name), "height_m", unit.size, Role.FORECAST),
    ]
    said = [*_wrong(watched, name, system, part), *(_top(watched, system) if top else ())]
    words = f"{unit.symbol}, {beside}" if beside else unit.symbol
    return Lane("height", words, tuple(curves), notes=tuple(said), height=120.0)


def _climb(watched: Watched, name: str, beside: str, system: str) -> Lane:
    unit = unit_of("speed", system)
    curves = [
        *_shown("flown", watched.truth, "climb_m_s", unit.size, Role.RECORD),
        *_shown("believed", watched.believed.get(name), "climb_m_s", unit.size, Role.FORECAST),
    ]
    words = f"{unit.symbol}, {beside}" if beside else unit.symbol
    return Lane("climb", words, tuple(curves), height=88.0)


def _top(watched: Watched, system: str) -> Iterator[Note]:
    time, height = (watched.truth.get(key, np.zeros(0)) for key in ("time_s", "height_m"))
    if np.isfinite(height).any():
        at = int(np.nanargmax(height))
        top = float(height[at])
        shown = top / unit_of("height", system).size
        yield Note(float(time[at]), shown, amount(top, "height", system))


def _wrong(watched: Watched, name: str, system: str, part: tuple[float, float]) -> Iterator[Note]:
    """Say where in a part of the flight a belief is farthest from the truth, if that is far."""
    believed, truth = watched.believed.get(name), watched.truth
    if believed is None or "height_m" not in believed or "height_m" not in truth:
        return
    time, height = (np.asarray(believed[key]) for key in ("time_s", "height_m"))
    off = height - np.interp(time, truth["time_s"], truth["height_m"])
    off = np.where((time >= part[0]) & (time <= part[1]), off, np.nan)
    if not np.isfinite(off).any():
        return
    at = int(np.nanargmax(np.abs(off)))
    far = float(off[at])
    if abs(far) <= max(WRONG_M, WRONG_SHARE * float(np.nanmax(truth["height_m"]))):
        return
    words = f"! {amount(abs(far), 'height', system, 2)} too {'high' if far > 0 else 'low'}"
    yield Note(float(time[at]), float(height[at]) / unit_of("height", system).size, words,
               "warning")  # fmt: skip


def _stages(watched: Watched, name: str, end: float) -> Lane:
    """Return the stages of a controller; quiet where it waits, coloured where it acts."""
    blocks: list[Block] = []
    stays = watched.stays.get(name, ())
    for number, stay in enumerate(stays):
        if number and stay.start - stays[number - 1].end > GONE:
            blocks.append(_dark(stays[number - 1].end, stay.start))
        if stay.stage == NO_POWER:
            blocks.append(_dark(stay.start, stay.end))
        else:
            blocks.append(Block(stay.stage, stay.start, stay.end, _role(watched, name, stay)))
    if stays and end - stays[-1].end > GONE * (end - stays[0].start):
        blocks.append(_dark(stays[-1].end, end))
    return Lane(name, "stages", blocks=tuple(blocks), height=34.0)


def _dark(start: float, end: float) -> Block:
    return Block(f"! {NO_POWER}", start, end, "warning")


def _role(watched: Watched, name: str, stay: Stay) -> str:
    own = [
        moment for words, moment in watched.commands.items() if _split(words)[0] in ("", name)
    ]  # fmt: skip
    return "vehicle" if any(0.0 <= moment - stay.start < SLACK for moment in own) else "rule"


def _split(words: str) -> tuple[str, str]:
    """Return controller and output of ``"main: latch"``; no controller of ``"latch"``."""
    who, colon, what = words.partition(": ")
    return (who, what) if colon else ("", words)


def _level(name: str, spans: tuple[tuple[float, float], ...]) -> Lane:
    who, what = _split(name)
    blocks = tuple(Block("on", start, end, "vehicle") for start, end in spans)
    return Lane(what, f"of {who}" if who else "output", blocks=blocks, height=34.0)


def _supply(name: str, columns: Mapping[str, Floats]) -> Lane:
    curve = Curve("", columns["time_s"], columns["volts"], Role.RECORD)
    return Lane("supply", f"V, {name}", (curve,), height=64.0, from_zero=False)


# ---------------------------------------------------------------- words


def _events(watched: Watched, long: float) -> Iterator[Event]:
    crowded = long > 4.0
    for words, time in watched.events.items():
        if not (crowded and words in CROWD):
            yield Event(words, float(time))
    several = len(watched.stays) > 1
    for words, time in watched.commands.items():
        who, what = _split(words)
        said = f"{who} commands {what}" if who and several else f"{what} commanded"
        yield Event(said, float(time), role="quiet")
    for words, time in watched.acts.items():
        yield Event(f"{words} moved", float(time), role="vehicle")


def stay_sentences(watched: Watched, system: str = "metric") -> list[str]:
    """Return a sentence for each controller: its stages, when each begins, and why.

    Conditions are in the units of ``system``.
    """
    sentences = []
    for name, stays in watched.stays.items():
        told = []
        for number, stay in enumerate(stays):
            if number == 0:
                told.append(stay.stage)
                continue
            why = phrase_in_units(stays[number - 1].why, system)
            when = f"{stay.start:.2f}\u00a0s".replace("-", "−")
            told.append(f"{stay.stage} at {when}{f' ({why})' if why else ''}")
        if told:
            sentences.append(f"{name[:1].upper()}{name[1:]}: {'; '.join(told)}.")
    return sentences
