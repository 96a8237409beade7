"""A rehearsal out of the answer that was kept of it, without its watched flights."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.chance import Chance
from loftwright.flight.results import Provenance
from loftwright.rehearsal.results import (
    Case,
    CommonCause,
    CutSet,
    Mend,
    Noted,
    Rehearsal,
    Shift,
    Writing,
)

__all__ = ["rehearsal_of"]

Answer = Mapping[str, Any]


def rehearsal_of(answer: Answer, name: str = "") -> Rehearsal:
    """Return the rehearsal that ``rehearse --json`` told; ``name`` is that of its file.

    Raises ``ProblemError`` where it is none, or of a version that had not all of it yet.
    """
    try:
        return _rehearsal(answer)
    except (KeyError, TypeError, ValueError, AttributeError):
        message = "this is no answer of a rehearsal, or one of an earlier Loftwright"
        where, mend = Where(file=name or None), "rehearse again, and keep that answer"
        raise ProblemError([Problem("rehearse-kept", message, where, mend)]) from None


def _rehearsal(answer: Answer) -> Rehearsal:
    made = answer["provenance"]
    return Rehearsal(
        flights=int(answer["flights"]),
        seed=int(made["seed"]),
        level=float(answer["single_point_level"]),
        nominal=_case(answer["nominal"]),
        faults=tuple(map(_case, answer["faults"])),
        provenance=Provenance(
            dict(made["documents_sha256"]),
            str(made["model"]),
            made["seed"],
            made["flights"],
            made["relative_tolerance"],
            tuple(made["laws"]),
        ),
        pairs=tuple(map(_case, answer["pairs"])),
        cut_sets=tuple(
            CutSet(tuple(each["faults"]), each["chance"], each["share"])
            for each in answer["cut_sets"]
        ),
        common_causes=tuple(
            CommonCause(
                each["part"], each["kind"], tuple(each["takes_along"]), each["leaves_no_way_down"]
            )
            for each in answer["common_causes"]
        ),
        mends=tuple(map(_mend, answer["mends"])),
        wanted=dict(answer["wanted"]),
        truth_from=str(answer["truth_from"] or ""),
    )


def _case(told: Answer) -> Case:
    return Case(
        faults=tuple(told["faults"]),
        says=str(told["says"]),
        happens=_number(told["happens"]),
        payload=_chances(told["payload"]),
        vehicle=_chances(told["vehicle"]),
        field=_chances(told["field"]),
        good=_chance(told["good"]),
        lost=_chance(told["lost"]),
        endangers=None if told["endangers"] is None else _chance(told["endangers"]),
        severity=str(told["severity"]),
        likelihood=str(told["likelihood"]),
        risk=str(told["risk"]),
        energy_j={
            body: (_number(each["p50"]), _number(each["p95"]))
            for body, each in told["energy_j"].items()
        },
        worst=tuple(map(int, told["worst_flights"])),
        is_single_point=bool(told["is_single_point"]),
        part=str(told["part"] or ""),
        noted={
            column: {
                word: Noted(tuple(map(int, each["first"])), int(each["worst"]))
                for word, each in words.items()
            }
            for column, words in told["flights_behind"].items()
        },
        first=dict(told["first_flights"]),
    )


def _mend(told: Answer) -> Mend:
    return Mend(
        words=str(told["words"]),
        how=str(told["how"]),
        lost={name: _shift(each) for name, each in told["lost"].items()},
        good=_shift(told["good"]),
        writings=tuple(
            Writing(each["file"], dict(each["set"]), each["add"], bool(each["new"]))
            for each in told["writes"]
        ),
    )


def _shift(told: Answer) -> Shift:
    low, high = map(float, told["interval"])
    return Shift(
        _chance(told["before"]), _chance(told["after"]), float(told["difference"]), low, high
    )


def _chances(told: Answer) -> dict[str, Chance]:
    return {word: _chance(each) for word, each in told.items()}


def _chance(told: Answer) -> Chance:
    low, high = map(float, told["interval"])
    return Chance(int(told["count"]), int(told["flights"]), low, high)


def _number(value: Any) -> float:
    return float("nan") if value is None else float(value)
