"""The causes of a flight as rows: how likely, what speaks for and against, what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.debrief.causes.results import Argument, Cause, Causes
from loftwright.report.estimates import hundred, moment
from loftwright.report.flight_answer import between, ended, group_of, often_told
from loftwright.report.reading import listed

__all__ = ["CauseRow", "cause_rows", "telling_rows", "unlikely_rows"]

RARE = 0.005  # probability below which causes are counted and not named
CHANGES = 0.05  # of log10 of the odds: less than that changes nothing worth a sentence


@dataclass(frozen=True, slots=True)
class CauseRow:
    """A cause: its share as text and as percent for the bar, arguments, and what is like it."""

    number: int
    says: str
    parts: str
    share: str
    between: str
    percent: float
    low: float
    high: float
    prior: str
    speaks_for: tuple[tuple[str, str], ...]
    speaks_against: tuple[tuple[str, str], ...]
    alike: str


def cause_rows(causes: Causes | None) -> list[CauseRow]:
    """Return the causes of the 90 % set, most probable first.

    Where most likely nothing failed, that alone: what else is in the set left no trace.
    """
    if causes is None:
        return []
    return [_row(causes, number) for number in range(_told(causes))]


def _told(causes: Causes) -> int:
    """How many causes are argued for, one by one."""
    if causes.causes and not causes.causes[0].faults:
        return 1
    return min(causes.in_set, len(causes.causes))


def _row(causes: Causes, number: int) -> CauseRow:
    each = causes.causes[number]
    return CauseRow(
        number=number + 1,
        says=each.says,
        parts=listed(list(each.parts)) if each.parts else "",
        share=hundred(each.probability),
        between=between(each).removeprefix(hundred(each.probability)).strip(" ()"),
        percent=100.0 * each.probability,
        low=100.0 * each.low,
        high=100.0 * each.high,
        prior=hundred(each.prior),
        speaks_for=_arguments(each.speaks_for),
        speaks_against=_arguments(each.speaks_against),
        alike=_alike(causes, number),
    )


def _arguments(arguments: tuple[Argument, ...]) -> tuple[tuple[str, str], ...]:
    """Return sentence and weight in words, the heaviest first."""
    kept = [each for each in arguments if abs(each.weight) >= CHANGES]
    ordered = sorted(kept, key=lambda each: -abs(each.weight))
    return tuple((_placed(each), _weighs(each.weight)) for each in ordered)


def _placed(each: Argument) -> str:
    if each.time_s is None:
        return ended(each.says) + "."
    return f"{ended(each.says)} (at {moment(each.time_s)})."


def _weighs(weight: float) -> str:
    """Say a logarithm of odds as a factor, roughly: nobody knows it better."""
    factor = 10.0 ** min(abs(weight), 6.0)
    if factor >= 1000.0:
        said = "more than 1000"
    elif factor >= 10.0:
        said = f"about {round(factor, -1 if factor < 100 else -2):.0f}"
    else:
        said = f"about {factor:.1f}".removesuffix(".0")
    return f"{said} times {'more' if weight > 0.0 else 'less'} likely by this"


def _alike(causes: Causes, number: int) -> str:
    others = group_of(causes, number)[1:]
    if not others:
        return ""
    named = listed([f"number {other + 1}" for other in others])
    return f"This record cannot tell it from {named}."


def unlikely_rows(causes: Causes | None) -> tuple[list[tuple[str, str]], int]:
    """Return words and share of causes that are not argued for, and how many more are rarer yet."""
    if causes is None:
        return [], 0
    rest = causes.causes[_told(causes) :]
    worth = [each for each in rest if each.probability >= RARE]
    return [(_words(each), hundred(each.probability)) for each in worth], len(rest) - len(worth)


def _words(cause: Cause) -> str:
    return ended(cause.says)


def telling_rows(causes: Causes | None) -> list[tuple[str, str, str]]:
    """Return what would tell, between which, and how well; the best first."""
    if causes is None:
        return []
    ordered = sorted(causes.tellings, key=lambda each: -each.resolved)
    return [
        (
            ended(each.says),
            listed([f"{number + 1}" for number in each.between]),
            often_told(each.resolved),
        )
        for each in ordered
    ]
