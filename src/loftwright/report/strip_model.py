"""What a strip shows: lanes on one clock, and the events that run through them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

__all__ = ["Block", "Curve", "Event", "Lane", "Limit", "Note", "Role", "Spread", "Strip"]

Floats = NDArray[np.float64]


class Role(Enum):
    """Whose line it is; the value names its colour."""

    FORECAST = "vehicle"
    RECORD = "ink"
    PAYLOAD = "payload"
    SENSED = "quiet"


@dataclass(frozen=True, slots=True)
class Curve:
    """A line of ``value`` over ``time``, both ``(n,)``, named at its end.

    ``sheer`` lets what lies below shine through, as where many records share a lane. ``dash`` is
    that of the role when left out. ``told`` is what a line is called that has no name at its end.
    What lies outside ``within`` is drawn along the edge of that range.
    """

    name: str
    time: Floats
    value: Floats
    role: Role
    faint: bool = False
    sheer: bool = False
    dash: str | None = None
    told: str = ""
    within: tuple[float, float] | None = None

    @property
    def drawn(self) -> Floats:
        """The values as they are drawn."""
        return self.value if self.within is None else np.clip(self.value, *self.within)


@dataclass(frozen=True, slots=True)
class Spread:
    """A forecast band: ``(n, 5)`` for 5, 25, 50, 75 and 95 %, its median drawn as a line.

    ``told`` is what it is called where it has no name at its end.
    """

    name: str
    time: Floats
    percentiles: Floats
    role: Role = Role.FORECAST
    dash: str | None = None
    told: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """Words at a point of a lane."""

    time: float
    value: float
    words: str
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Limit:
    """A level that must not be passed, drawn as a line with its words."""

    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Block:
    """A stretch of time with its name; ``role`` names its colour, hatched where it warns."""

    words: str
    start: float
    end: float
    role: str = "rule"


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane; ``height`` is in px at the laptop's width.

    A lane of ``blocks`` has no numbers; its ``unit`` is a word under its name. ``from_zero`` keeps
    zero in sight, as for everything but temperatures; ``reach`` keeps more in sight than is drawn,
    as beside another strip.
    """

    name: str
    unit: str
    curves: tuple[Curve, ...] = ()
    spreads: tuple[Spread, ...] = ()
    notes: tuple[Note, ...] = ()
    limits: tuple[Limit, ...] = ()
    height: float = 90.0
    from_zero: bool = True
    reach: tuple[float, ...] = ()
    blocks: tuple[Block, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is neither a block nor a finite number to draw."""
        if self.blocks:
            return False
        columns = [c.value for c in self.curves] + [s.percentiles for s in self.spreads]
        return not any(bool(np.isfinite(column).any()) for column in columns)


@dataclass(frozen=True, slots=True)
class Event:
    """A moment; ``early`` and ``late`` are the 5 and 95 % of when it is expected."""

    words: str
    time: float
    early: float | None = None
    late: float | None = None
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip from ``start`` to ``end`` s; ``close_up`` marks the part shown larger elsewhere."""

    title: str
    description: str
    start: float
    end: float
    lanes: tuple[Lane, ...]
    events: tuple[Event, ...] = field(default=())
    close_up: tuple[float, float] | None = None
