"""How each described glider glides when left alone: a table, and its habits in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log, pi

from loftwright.flight.results import GliderModes
from loftwright.report.quantities import amount, digits
from loftwright.report.reading import Reading

__all__ = ["GlideWords", "glides"]

FAINT = 0.05  # damping below which a swing outlasts most glides: it halves in over two turns
LIVELY = 0.3


@dataclass(frozen=True, slots=True)
class GlideWords:
    """A glider by name: sentences, and rows of words and number."""

    name: str
    sentences: tuple[str, ...]
    rows: tuple[tuple[str, str], ...]


def glides(read: Reading) -> tuple[GlideWords, ...]:
    """Return the glide of each payload with a described wing."""
    return tuple(
        GlideWords(
            read.name(root),
            tuple(_sentences(read.name(root), modes, read.system)),
            tuple(_rows(modes, read.system)),
        )
        for root, modes in read.flight.gliders.items()
    )


def _sentences(name: str, modes: GliderModes, system: str) -> Iterator[str]:
    if not modes.trims:
        yield f"{name}: {modes.says}."
        return
    yield (
        f"Left alone, {name} settles at {amount(modes.speed_m_s, 'speed', system, 2)}, goes "
        f"{digits(modes.glide_ratio or 0.0, 2)} times as far as it drops, and sinks at "
        f"{amount(modes.sink_m_s, 'speed', system, 2)}."
    )
    yield from _slow_swing(modes, system)
    yield from _turning(modes, system)
    yield from _quick(modes)


def _slow_swing(modes: GliderModes, system: str) -> Iterator[str]:
    damping, period = modes.phugoid_damping, modes.phugoid_period_s
    if damping is None or period is None:
        return
    whole = amount(period, "time", system, 2)
    if damping <= 0.0:
        yield f"Its slow swing, up and down in {whole}, grows by itself: it will stall and dive."
        return
    # The amplitude falls by exp(-2 pi damping / sqrt(1 - damping^2)) in a swing.
    swings = log(2.0) * max(1.0 - damping * damping, 0.0) ** 0.5 / (2.0 * pi * damping)
    how = "for long" if damping < FAINT else "for a while" if damping < LIVELY else "briefly"
    yield (
        f"Disturbed, it swings slowly up and down {how}: {whole} a swing, half as wide "
        f"{_swings(swings)}."
    )


def _swings(number: float) -> str:
    return "within one" if number < 1.0 else f"after {digits(number, 2)} swings"


def _turning(modes: GliderModes, system: str) -> Iterator[str]:
    spiral, roll = modes.spiral_time_constant_s, modes.roll_time_constant_s
    if spiral is None:
        yield "Roll and turn are one slow swing."
        return
    # Time to halve or to double is ln 2 of the time constant.
    time = amount(abs(spiral) * log(2.0), "time", system, 2)
    if spiral < 0.0:
        yield f"A turn tightens by itself, twice as steep in {time}: it ends in a spiral."
    else:
        yield f"A turn widens again by itself, half as steep in {time}."
    if roll is not None and roll > 0.0:
        yield f"A roll stops within {amount(3.0 * roll, 'time', system, 2)}."


def _quick(modes: GliderModes) -> Iterator[str]:
    grow = [
        words
        for words, damping in (
            ("its quick swing in pitch", modes.short_period_damping),
            ("its swing between yaw and roll", modes.dutch_roll_damping),
        )
        if damping is not None and damping <= 0.0
    ]
    for words in grow:
        yield f"{words[:1].upper()}{words[1:]} grows by itself."


def _rows(modes: GliderModes, system: str) -> Iterator[tuple[str, str]]:
    numbers = (
        ("speed in the glide", modes.speed_m_s, "speed"),
        ("angle of its fuselage to the flow", modes.incidence_rad, "angle"),
        ("distance over height lost", modes.glide_ratio, "number"),
        ("sink", modes.sink_m_s, "speed"),
        ("slow swing, period", modes.phugoid_period_s, "time"),
        ("slow swing, damping ratio", modes.phugoid_damping, "number"),
        ("quick swing in pitch, period", modes.short_period_s, "time"),
        ("quick swing in pitch, damping ratio", modes.short_period_damping, "number"),
        ("roll, time constant", modes.roll_time_constant_s, "time"),
        ("spiral, time constant", modes.spiral_time_constant_s, "time"),
        ("yaw with roll, period", modes.dutch_roll_period_s, "time"),
        ("yaw with roll, damping ratio", modes.dutch_roll_damping, "number"),
    )
    for words, value, kind in numbers:
        if value is not None:
            yield words, amount(value, kind, system, 2)
