"""The flights that a campaign keeps, a line each: when, what for, how high, how it went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.flights import FLIGHT_FILE, FLIGHTS, flights_of, home_of
from loftwright.documents.reading import read_document
from loftwright.errors import ProblemError
from loftwright.ledger.functions import on_stand

__all__ = ["FlightLine", "flight_lines"]

APOGEE = "apogee_m"


@dataclass(frozen=True, slots=True)
class FlightLine:
    """A flight: ``name`` is its folder's, ``title`` what people call it.

    ``height_m`` is the height reached as the ledger keeps it, None where it does not; ``findings``
    are numbers of its findings, e.g. "F2". ``on_stand`` tells that it was a firing and nothing
    flew. ``wrong`` says what keeps its record from being read.
    """

    name: str
    title: str
    flown: str | None = None
    asked: str | None = None
    outcome: str = "not judged"
    height_m: float | None = None
    findings: tuple[str, ...] = ()
    on_stand: bool = False
    logs: int = 0
    wrong: str = ""


def flight_lines(folder: Path) -> list[FlightLine]:
    """Return the flights of the campaign in ``folder``, the latest first.

    Those without a day come last. Nothing is written. Raises ``ProblemError`` where the ledger
    cannot be read.
    """
    home = home_of(folder)
    heights, findings = _in_ledger(home)
    found = [_line(home, name, heights, findings) for name in flights_of(home)]
    return sorted(found, key=lambda each: (each.flown or "", each.name), reverse=True)


def _line(
    home: Path, name: str, heights: Mapping[str, float], findings: Mapping[str, list[str]]
) -> FlightLine:
    height, found = heights.get(name), tuple(findings.get(name, ()))
    try:
        record = read_document(home / FLIGHTS / name / FLIGHT_FILE, FlightRecord)
    except ProblemError as error:
        wrong = error.problems[0].message
        return FlightLine(name, name, height_m=height, findings=found, wrong=wrong)
    kinds = [each.kind for each in record.evidence]
    return FlightLine(
        name,
        record.name,
        record.flown,
        record.asked,
        record.outcome,
        on_stand=on_stand(record),
        logs=kinds.count("log"),
        height_m=height,
        findings=found,
    )


def _in_ledger(home: Path) -> tuple[dict[str, float], dict[str, list[str]]]:
    """Return heights and numbers of findings by flight; none where there is no ledger."""
    from loftwright.ledger.ledger import open_ledger
    from loftwright.ledger.opening import FILE

    heights: dict[str, float] = {}
    findings: dict[str, list[str]] = {}
    if not (home / FILE).is_file():
        return heights, findings
    with open_ledger(home) as ledger:
        for figure in ledger.figures():
            if figure.name == APOGEE:
                heights[figure.flight] = figure.value
        for each in ledger.findings():
            if each.flight is not None:
                findings.setdefault(each.flight, []).append(f"F{each.number}")
    return heights, findings
