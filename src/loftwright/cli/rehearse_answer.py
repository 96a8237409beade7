"""What ``loftwright rehearse`` answers to programs: one object, or a table a row a case."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    from loftwright.flight.chance import Chance
    from loftwright.rehearsal.results import Case, Rehearsal, Shift

__all__ = ["beside_answer", "cases_csv", "rehearsal_answer"]


def rehearsal_answer(found: Rehearsal) -> dict[str, Any]:
    """Return what was found, as ``rehearse --json`` tells it (`rehearsal.kept` reads it)."""
    from loftwright.cli.answers import made_by, written_as

    return {
        "flights": found.flights,
        "single_point_level": found.level,
        "confidence": 0.95,
        "truth_from": found.truth_from or None,
        "wanted": found.wanted,
        "nominal": _case(found.nominal),
        "faults": [_case(each) for each in found.faults],
        "single_points": [each.name for each in found.single_points],
        "pairs": [_case(each) for each in found.pairs],
        "cut_sets": [
            {"faults": each.faults, "chance": each.chance, "share": each.share}
            for each in found.cut_sets
        ],
        "common_causes": [
            {
                "part": each.part,
                "kind": each.kind,
                "takes_along": each.takes_along,
                "leaves_no_way_down": each.leaves_no_way_down,
            }
            for each in found.common_causes
        ],
        "mends": [
            {
                "words": each.words,
                "how": each.how,
                "lost": {name: _shift(shift) for name, shift in each.lost.items()},
                "good": _shift(each.good),
                "writes": written_as(each.writings),
            }
            for each in found.mends
        ],
        "provenance": made_by(found.provenance),
    }


def beside_answer(earlier: Rehearsal | None, found: Rehearsal) -> dict[str, Any]:
    """Return what differs from an earlier rehearsal; nothing where none was given."""
    if earlier is None:
        return {}
    from loftwright.rehearsal.beside import beside

    held = beside(earlier, found)
    cases = {
        each.name: {
            word: None if shift is None else _shift(shift)
            for word, shift in (
                ("good", each.good), ("lost", each.lost), ("endangers", each.endangers),
            )
        }
        for each in held.cases
    }  # fmt: skip
    return {"beside": {"same_draws": held.paired, "flights": held.flights, "cases": cases}}


def _case(case: Case) -> dict[str, Any]:
    return {
        "faults": case.faults,
        "part": case.part or None,
        "says": case.says,
        "happens": case.happens,
        "payload": {word: _chance(chance) for word, chance in case.payload.items()},
        "vehicle": {word: _chance(chance) for word, chance in case.vehicle.items()},
        "field": {word: _chance(chance) for word, chance in case.field.items()},
        "good": _chance(case.good),
        "lost": _chance(case.lost),
        "endangers": _chance(case.endangers) if case.endangers else None,
        "severity": case.severity,
        "likelihood": case.likelihood,
        "risk": case.risk,
        "is_single_point": case.is_single_point,
        "energy_j": {
            body: {"p50": middle, "p95": high} for body, (middle, high) in case.energy_j.items()
        },
        "worst_flights": case.worst,
        "flights_behind": {
            column: {
                word: {"first": noted.first, "worst": noted.worst} for word, noted in words.items()
            }
            for column, words in case.noted.items()
        },
        "first_flights": case.first,
    }


def _chance(chance: Chance) -> dict[str, Any]:
    return {
        "count": chance.count,
        "flights": chance.flights,
        "share": chance.share,
        "interval": [chance.low, chance.high],
    }


def _shift(shift: Shift) -> dict[str, Any]:
    return {
        "before": _chance(shift.before),
        "after": _chance(shift.after),
        "difference": shift.difference,
        "interval": [shift.low, shift.high],
    }


def cases_csv(found: Rehearsal) -> str:
    """Return the failure table, a row a case: shares of flights in which it has happened."""
    from csv import writer
    from io import StringIO

    from loftwright.documents.cells import cell

    text = StringIO()
    rows = writer(text, lineterminator="\n")
    cases = (found.nominal, *found.faults, *found.pairs)
    payload, vehicle, field = (
        list(getattr(found.nominal, name)) for name in ("payload", "vehicle", "field")
    )
    rows.writerow(
        ["faults", "part", "happens", "flights", "good", "lost", "endangers"]
        + [f"payload {word}" for word in payload]
        + [f"vehicle {word}" for word in vehicle]
        + [f"ground {word}" for word in field]
        + ["severity", "likelihood", "risk", "single point"]
    )
    for case in cases:
        counted = [case.payload[word] for word in payload]
        counted += [case.vehicle[word] for word in vehicle]
        counted += [case.field[word] for word in field]
        shares = (case.good, case.lost, case.endangers, *counted)
        rows.writerow(
            [
                cell(" and ".join(case.faults)),
                cell(case.part),
                f"{case.happens:g}",
                case.good.flights,
            ]
            + [f"{each.share:.6g}" if each else "" for each in shares]
            + [case.severity, case.likelihood, case.risk, "yes" if case.is_single_point else "no"]
        )
    return text.getvalue()
