"""The table form of a release program: what its document becomes, and all that is executed.

Three things execute it alike, sample for sample: ``interpreter`` (which defines it), the compiled
runner of ``kernel/decide``, and the C that ``emit`` writes. Times are whole milliseconds of the
controller's clock; every other number is single precision, each operation rounded once.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

__all__ = [
    "ALWAYS",
    "NO_TIME",
    "SIGNS",
    "Act",
    "Action",
    "Clock",
    "Estimator",
    "Exit",
    "Op",
    "Seen",
    "Stage",
    "Step",
    "Table",
]

NO_TIME = -1  # in place of a "not after" or of a backup that is not there


class Estimator(IntEnum):
    """How height and climb follow from pressure."""

    RAW = 0  # height as read; climb from one reading to the next
    FILTER = 1  # both, each through a first-order low-pass
    TRACKING = 2  # a steady-state tracking filter (alpha-beta)


class Seen(IntEnum):
    """What a condition may look at, in metres, metres a second, pascals, metres a second squared.

    ``DROP`` is how far the height has fallen below the highest since launch was sensed (since
    power-up before that). ``SWITCH`` is 1 when the line is open, 0 when it is closed.
    """

    HEIGHT = 0
    CLIMB = 1
    DROP = 2
    PRESSURE = 3
    PUSH = 4
    SWITCH = 5


class Op(IntEnum):
    """A step of a condition in postfix form; comparisons with not-a-number are false."""

    LESS = 0  # seen < constant
    AT_MOST = 1
    MORE = 2
    AT_LEAST = 3
    AND = 4
    OR = 5
    NOT = 6


SIGNS = {Op.LESS: "<", Op.AT_MOST: "<=", Op.MORE: ">", Op.AT_LEAST: ">="}  # as written, in C too


class Clock(IntEnum):
    """From when an exit's times count."""

    STAGE = 0  # since the stage was entered
    LAUNCH = 1  # since launch was sensed; before that no time of such an exit has come


class Action(IntEnum):
    """What is done to an output when a stage is entered."""

    OPEN = 0  # its level goes to 1 and stays there
    CLOSE = 1  # back to 0
    PULSE = 2  # 1 for a time, then 0
    SOUND = 3  # the same, of something that is heard or seen


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a condition; ``seen`` and ``constant`` belong to comparisons only."""

    op: Op
    seen: Seen = Seen.HEIGHT
    constant: float = 0.0  # representable in single precision


# A condition that always holds: an exit by its window alone.
ALWAYS: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Exit:
    """One way out of a stage; of those that are ready, the first in order is taken."""

    to: int  # number of a stage
    condition: tuple[Step, ...]
    hold_ms: int = 0  # how long condition and window must hold without a break
    not_before_ms: int = 0
    not_after_ms: int = NO_TIME  # the last moment of the window
    backup_ms: int = NO_TIME  # ready from this moment on, whatever condition and window say
    clock: Clock = Clock.STAGE


@dataclass(frozen=True, slots=True)
class Act:
    """One thing that is done on entering a stage."""

    output: int  # number of an output
    action: Action
    for_ms: int = 0  # of a pulse or sound


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the program; the first one is entered at power-up."""

    name: str
    exits: tuple[Exit, ...] = ()
    acts: tuple[Act, ...] = ()
    is_ground: bool = False  # the reference pressure follows the readings here
    marks_launch: bool = False  # entering it is when launch is sensed, the first time


@dataclass(frozen=True, slots=True)
class Table:
    """A release program, ready to be executed.

    ``height_series`` holds c0 ... c5 of height = x (c0 + x (c1 + x (c2 + ...))) with
    x = (reference - pressure) / reference: the standard atmosphere's height above the pad as a
    binomial series, in single precision, so that no controller needs a power function.
    """

    name: str
    outputs: tuple[str, ...]
    stages: tuple[Stage, ...]
    step_ms: int  # from one sample to the next
    estimator: Estimator
    height_gain: float  # TRACKING: alpha; FILTER: share of the new height; RAW: 1
    climb_gain: float  # TRACKING: beta over the step, 1/s; FILTER: share of the new climb; RAW: 1
    reference_gain: float  # share of a new reading that the reference takes on the ground
    least_pa: float  # readings outside these two are refused
    most_pa: float
    height_series: tuple[float, float, float, float, float, float]
