"""Two rehearsals side by side, in words and rows: what changed, and what may be chance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loftwright.rehearsal.beside import Beside, CaseBeside
from loftwright.rehearsal.results import NO_FAULT, Shift
from loftwright.report.reading import listed
from loftwright.report.rehearse_words import share_words, shift_words, whole

__all__ = ["BesideRow", "beside_lead", "beside_rows", "how_compared"]

MOST_NAMED = 4
MANY = 20  # rows of which one misses by chance, with intervals of 95 %


@dataclass(frozen=True, slots=True)
class BesideRow:
    """A case in both rehearsals: what was counted, before and after, and the difference.

    ``told`` is "better", "worse", "may be chance", "the same" or what only one of them flew;
    ``size`` the difference as a share, for sorting.
    """

    case: str
    what: str
    before: str
    after: str
    difference: str
    told: str
    size: float = 0.0


def beside_lead(found: Beside) -> str:
    """Say in a few sentences what differs beyond chance."""
    changed: dict[str, list[str]] = {"better": [], "worse": []}
    for row in beside_rows(found):
        if row.told in changed and row.case not in changed[row.told]:
            changed[row.told].append(row.case)
    said = [f"{_names(names)} {_fares(names)} {told}." for told, names in changed.items() if names]
    nominal = found.cases[0]
    if nominal.good is not None and NO_FAULT not in changed["better"] + changed["worse"]:
        said.append("Without a fault nothing has changed that can be told.")
    only = [each.name for each in found.cases if each.before is None]
    gone = [each.name for each in found.cases if each.after is None]
    if only:
        said.append(f"Only in the later one: {_names(only)}.")
    if gone:
        said.append(f"Only in the earlier one: {_names(gone)}.")
    if not any(changed.values()):
        said.insert(0, "No difference that can be told from chance.")
    return " ".join([*said, *_weak(found)])


def _weak(found: Beside) -> Iterator[str]:
    """Say how many single points of failure there were and are, and which are new."""
    before, after = (
        {case.name for case in each.single_points} for each in (found.before, found.after)
    )
    if before or after:
        yield f"Single points of failure: {len(before)} before, {len(after)} after."
    tried = {each.name for each in found.cases if each.before is not None}
    if new := [name for name in sorted(after - before) if name not in tried]:
        yield f"New among them: {_names(new)}."


def _names(names: list[str]) -> str:
    if len(names) > MOST_NAMED:
        names = [*names[:MOST_NAMED], f"{len(names) - MOST_NAMED} more"]
    words = listed([f"“{name}”" if not name[:1].isdigit() else name for name in names])
    return words[:1].upper() + words[1:]


def _fares(names: list[str]) -> str:
    return "fares" if len(names) == 1 else "fare"


def how_compared(found: Beside) -> str:
    """Say how the differences were taken."""
    flights = whole(found.flights)
    if found.paired:
        return (
            f"Flight by flight on the same draws, over the first {flights} flights of each case; "
            "differences with their 95 % intervals. Where an interval holds no change, the "
            f"difference may be chance.{_many(found)}"
        )
    return (
        "The seeds differ, so both are flights that share nothing: differences have Newcombe's "
        "95 % interval. Where it holds no change, the difference may be chance; rehearse with one "
        f"seed to tell more.{_many(found)}"
    )


def _many(found: Beside) -> str:
    """Say that one interval in twenty misses, where so many stand together."""
    if len(found.cases) * 3 < MANY:
        return ""
    return " Of so many rows a few may look better or worse by chance alone."


def beside_rows(found: Beside) -> Iterator[BesideRow]:
    """Yield the rows of every case: lost, endangers, as wanted."""
    for each in found.cases:
        if each.before is None or each.after is None:
            told = "only in the later one" if each.before is None else "only in the earlier one"
            case = each.after or each.before
            assert case is not None
            share = " ".join(share_words(case.lost))
            sides = ("", share) if each.before is None else (share, "")
            yield BesideRow(each.name, "lost", *sides, "", told)
            continue
        yield from _rows(each)


def _rows(each: CaseBeside) -> Iterator[BesideRow]:
    told = (("lost", each.lost, -1), ("endangers people", each.endangers, -1),
            ("as wanted", each.good, 1))  # fmt: skip
    for what, shift, sign in told:
        if shift is not None:
            before, after = (" ".join(share_words(c)) for c in (shift.before, shift.after))
            yield BesideRow(
                each.name,
                what,
                before,
                after,
                shift_words(shift),
                _told(shift, sign),
                shift.difference,
            )


def _told(shift: Shift, sign: int) -> str:
    if shift.low <= 0.0 <= shift.high:
        return "the same" if shift.difference == 0.0 else "may be chance"
    return "better" if shift.difference * sign > 0.0 else "worse"
