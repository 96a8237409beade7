"""Features by what they speak of, and how to speak of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from loftwright.debrief.causes.evidence import APART
from loftwright.units.show import format_quantity

__all__ = ["Speech", "Subject", "subjects_of"]

# Features by subject: a feature belongs to the first whose beginning it has.
_BEGINNINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("liftoff", ("liftoff shown by",)),
    ("end", ("record ends", "height at its end", "climb at its end")),
    ("hole", ("hole", "holes", "hole from")),
    ("still pressure", ("still pressure",)),
    ("still push", ("still push",)),
    ("silent", ("silent",)),
    ("absurd", ("absurd",)),
    ("repeats", ("same in motion", "same on the pad")),
    ("noise", ("pad noise", "coast noise", "sink noise", "burst")),
    ("pad", ("pad drift", "pad wander")),
    ("boost", ("boost excess", "pressure just off")),
    ("rest", ("rest pressure",)),
    ("top", ("apogee",)),
    ("sink", ("sink", "last sink", "time from the top", "ground after")),
    ("climb", ("fastest climb", "climb at ", "height at ")),
    ("push on the pad", ("push on the pad", "push noise on the pad")),
    ("knock", ("knock", "dent")),
    ("push silent", ("push silent",)),
    ("push noise", ("push noise in flight",)),
    ("canopy push", ("hangs from", "most push later", "push at the end")),
    ("boost push", ("most push", "push ends", "speed from the push", "push while")),
    ("begins anew", ("begins anew",)),
    ("last stage", ("last stage", "foreign stages")),
    ("supply", ("supply",)),
)
_STAGED = (
    ("stage {}", ("stage {} from", "height at stage {}", "climb at stage {}")),
    ("after stage {}", ("climb after stage {}", "hangs after stage {}")),
    ("load at stage {}", ("load at stage {}", "loaded from stage {}")),
)
LANES = {
    "liftoff": "height", "end": "height", "hole": "height", "still pressure": "height",
    "silent": "height", "absurd": "height", "repeats": "height", "noise": "height",
    "pad": "height", "boost": "height", "rest": "height", "top": "height", "sink": "height",
    "climb": "height", "begins anew": "stages", "last stage": "stages", "supply": "supply",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Subject:
    """What some features speak of: of whose record, on which lane of the strip.

    ``of`` is the controller, or what two records are compared by, or what people took.
    """

    key: str
    of: str
    features: tuple[str, ...]  # full names

    @property
    def lane(self) -> str | None:
        """The lane of the strip that it belongs to."""
        if "stage" in self.key:
            return "supply" if self.key.startswith("load") else "stages"
        if "push" in self.key or self.key == "knock":
            return "push"
        return LANES.get(self.key)


def _key(short: str) -> str:
    words = short.split()
    if "stage" in words and words[words.index("stage") + 1 :]:
        number = words[words.index("stage") + 1]
        for key, patterns in _STAGED:
            if short in [pattern.format(number) for pattern in patterns]:
                return key.format(number)
    for key, beginnings in _BEGINNINGS:
        if short.startswith(beginnings):
            return key
    return short


def subjects_of(names: Sequence[str]) -> tuple[Subject, ...]:
    """Group the full names of features by what they speak of."""
    groups: dict[tuple[str, str], list[str]] = {}
    for name in names:
        of, _, short = name.partition(APART)
        key = "two records" if " less " in of else _key(short)
        key = "place" if of.endswith(" lies") else key
        key = "watch" if of.startswith(("stopwatch", "clock")) else key
        groups.setdefault((of, key), []).append(name)
    return tuple(Subject(key, of, tuple(each)) for (of, key), each in groups.items())


@dataclass(frozen=True, slots=True)
class Speech:
    """How to speak: of units, of records, of stages by number."""

    units: str
    several: bool  # whether there is more than one record
    stages: Mapping[str, tuple[str, ...]]  # by controller
    own: tuple[str, ...] = ()  # those of the controller that is spoken of

    def show(self, value: float, dimension: str) -> str:
        """Return a number with its unit; what is nought within a thousandth as nought."""
        said = str(format_quantity(value, dimension, self.units, digits=2))
        return said.replace("^2", "²")

    def when(self, time: float) -> str:
        """Return a moment on the flight's clock."""
        side = "after" if time >= 0.0 else "before"
        return f"{abs(time):.2f} s {side} liftoff"

    def record(self, of: str) -> str:
        """Name a record, as a sentence begins with it."""
        return f"The record of {of}" if self.several else "The record"
