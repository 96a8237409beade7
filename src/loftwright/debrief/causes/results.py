"""What is told of the causes of a flight that went wrong."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Argument", "Cause", "Causes", "Telling"]


@dataclass(frozen=True, slots=True)
class Argument:
    """A piece of evidence for or against a cause.

    ``weight`` is its part of the logarithm (base 10) of the odds against all other causes,
    positive where it speaks for the cause. ``lane`` and ``time_s`` place it on the strip where it
    has a place. ``says`` is a sentence.
    """

    says: str
    weight: float
    lane: str | None = None
    time_s: float | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause, with what speaks for and against it.

    ``faults`` and ``parts`` are those of the fault library, both empty for "nothing failed".
    ``alike`` numbers the group of causes that this evidence cannot tell apart, None where it
    stands alone.
    """

    faults: tuple[str, ...]
    parts: tuple[str, ...]
    says: str
    prior: float
    probability: float
    low: float  # bounds of the probability's 90 % interval, from the number of flights flown
    high: float
    speaks_for: tuple[Argument, ...] = ()
    speaks_against: tuple[Argument, ...] = ()
    alike: int | None = None


@dataclass(frozen=True, slots=True)
class Telling:
    """An observation or instrument that would tell causes apart next time, and how well.

    ``resolved`` is the chance that it names the right one of them.
    """

    says: str
    between: tuple[int, ...]  # of ``Causes.causes``
    resolved: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Causes:
    """Causes of one flight, most probable first; probabilities add up to one.

    ``in_set`` is how many of the first causes make the 90 % set. ``evidence`` says what was looked
    at, and what was not there to look at. ``fits`` tells whether any cause makes this evidence
    at all; where none does, ``fits_says`` tells so.
    """

    causes: tuple[Cause, ...]
    in_set: int
    evidence: tuple[str, ...]
    tellings: tuple[Telling, ...]
    fits: bool
    fits_says: str
    flights: int  # flown for each cause
    cases: int
    seed: int
    stopped: bool = False
