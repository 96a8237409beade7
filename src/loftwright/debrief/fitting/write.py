"""Writing what flights taught into the documents, with where it came from.

What is of the build is written; what was of the day (its fill, its wind) only where it is asked
for by name. Every other byte of a document stays as it was, and so do older comments: the comments
of earlier fits are what tells which flights have been learnt from.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from loftwright.debrief.fitting.fit import BAD
from loftwright.debrief.fitting.joint import is_of_the_day
from loftwright.debrief.fitting.problems import fit_problem
from loftwright.debrief.fitting.results import FlightFit, Informed
from loftwright.documents.alone import writing_alone
from loftwright.documents.campaign import Campaign
from loftwright.documents.edit import changed_text
from loftwright.documents.files import read_regular
from loftwright.documents.flatten import leaves
from loftwright.documents.history import write_documents
from loftwright.documents.reading import CAMPAIGN_FILE
from loftwright.documents.source import LARGEST
from loftwright.documents.spans import scan
from loftwright.errors import Problem, ProblemError, Where
from loftwright.units import QuantityError, format_quantity, read_quantity

__all__ = ["Written", "used_before", "write_flight_fit", "writes"]

BEGINNING = "# learnt from "  # of the comment by which a fit is known again
SHORT = 8  # digits of a log's digest that name it
TIED = 0.5  # correlation from which a comment mentions it


@dataclass(frozen=True, slots=True)
class Written:
    """A field that was written: in which file, what stood there, and what stands there now."""

    path: str
    file: str
    before: str
    now: str


def used_before(campaign: Campaign, fit: FlightFit) -> Iterator[Problem]:
    """Yield a problem for each document whose values were learnt from one of these logs already."""
    for root in campaign.documents:
        name = getattr(campaign.head, root)
        text = read_regular(campaign.folder / name, LARGEST).decode("utf-8-sig", "replace")
        for number, line in enumerate(text.splitlines(), start=1):
            if not line.lstrip().startswith(BEGINNING):
                continue
            again = [
                flight
                for flight, digest in zip(fit.flights, fit.logs, strict=True)
                if digest and f"({digest[:SHORT]})" in line
            ]
            if again:
                yield Problem(
                    "fit-learnt-already",
                    f"these values were learnt from {', '.join(again)} already; learning twice "
                    "counts one flight twice",
                    Where(file=name, line=number, column=1, source=line),
                    "to start over, put the values back that the comment keeps and take it out; "
                    "or learn from other flights; or go on all the same with --again",
                )


def writes(fit: FlightFit, asked: Sequence[str]) -> list[Informed]:
    """Return the fields that would be written: informed, and of the build or asked for."""
    return [
        each
        for each in fit.fields
        if each.informed
        and not each.flight
        and (not is_of_the_day(each.path) or each.path in asked)
    ]


def write_flight_fit(
    campaign: Campaign,
    fit: FlightFit,
    *,
    day: str,
    asked: Sequence[str] = (),
    flown: Sequence[Campaign] = (),
) -> tuple[list[Written], list[str]]:
    """Write the informed fields into the campaign's documents; all of them, or none.

    Parameters
    ----------
    campaign : as its documents stand now
    fit : to its flights
    day : on which this is done, for the comment
    asked : fields of a day that are to be written too
    flown : the documents as each flight had them: a field that says something else now is left

    Returns
    -------
    What was written, and words on what was not and why.

    Raises
    ------
    ProblemError
        The model does not follow the records, or a document cannot be changed.
    """
    if fit.misfit > BAD:
        raise ProblemError([fit_problem("fit-no-match", value=f"{fit.misfit:.1f}")])
    rules = {
        path: (rule, value)
        for root, document in campaign.documents.items()
        for path, rule, value in leaves(document, root)
    }
    stood = _stood(flown)
    planned: dict[str, list[tuple[Informed, Written]]] = {}
    notes = []
    for each in writes(fit, asked):
        if each.path not in rules or any(
            then.get(each.path) != rules[each.path][1] for then in stood
        ):
            notes.append(
                f"{each.words} was not written: the documents of today say something else of it "
                "than those that flew"
            )
            continue
        root, _, field = each.path.partition(".")
        name = getattr(campaign.head, root)
        written = _written(campaign, each, name, field, rules[each.path][0])
        planned.setdefault(root, []).append((each, written))
    with writing_alone(campaign.folder / CAMPAIGN_FILE):
        texts = {
            getattr(campaign.head, root): _text(campaign, root, pairs, fit, day).encode("utf-8")
            for root, pairs in planned.items()
        }
        write_documents(campaign.folder, texts, f"learnt from {', '.join(fit.flights)}")
    return [written for pairs in planned.values() for _, written in pairs], notes


def _stood(flown: Sequence[Campaign]) -> list[dict[str, Any]]:
    """Return what stood in each field when the flights flew."""
    return [
        {
            path: value
            for root, document in campaign.documents.items()
            for path, _, value in leaves(document, root)
        }
        for campaign in flown
    ]


def _text(
    campaign: Campaign,
    root: str,
    pairs: Sequence[tuple[Informed, Written]],
    fit: FlightFit,
    day: str,
) -> str:
    path = campaign.folder / getattr(campaign.head, root)
    values, comments = {}, {}
    for each, written in pairs:
        field = each.path.partition(".")[2]
        values[field] = written.now
        comments[field] = _comment(each, written, fit, day)
    return changed_text(path, values, type(campaign.documents[root]), comments)


def _comment(each: Informed, written: Written, fit: FlightFit, day: str) -> str:
    """Say which flights and logs a value comes from, what stood there, and what it goes with."""
    flights = ", ".join(
        f"{name} ({digest[:SHORT]})" if digest else name
        for name, digest in zip(fit.flights, fit.logs, strict=True)
    )
    tied = ", ".join(
        f"{path} ({correlation:+.2f})"
        for path, correlation in each.goes_with
        if abs(correlation) >= TIED
    )
    with_others = f"; goes with {tied}" if tied else ""
    plain = BEGINNING.removeprefix("# ")
    return f"{plain}{flights} on {day}; was {written.before}{with_others}"


def _written(campaign: Campaign, each: Informed, name: str, field: str, rule: Any) -> Written:
    """Return a field's old and new text, in the unit in which the document has it."""
    before = _stands(campaign.folder / name, field)
    unit = None
    if before is not None:
        try:
            _, unit = read_quantity(before, rule.dimension)
        except QuantityError:
            unit = None
    shown = format_quantity(
        each.posterior.value,
        rule.dimension,
        campaign.head.units,
        sd=each.posterior.sd,
        unit=unit or None,
    )
    now = _with_units(shown.number, shown.unit)
    return Written(each.path, name, before if before is not None else "left out", now)


def _with_units(number: str, unit: str) -> str:
    """Return ``"74.1 psi ± 1.5 psi"`` from a number with its spread."""
    return " ± ".join(f"{part} {unit}".strip() for part in number.split(" ± "))


def _stands(path: Path, field: str) -> str | None:
    """Return what stands in a document, without its quotes; None where it has no such field."""
    text = path.read_bytes().decode("utf-8-sig")
    key = tuple(int(part) if part.isdigit() else part for part in field.split("."))
    span = scan(text).values.get(key)
    return None if span is None else text[span.start : span.end].strip("\"'")
