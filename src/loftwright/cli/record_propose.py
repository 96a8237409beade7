"""``loftwright record --dry-run``: what files are and how they would be read; nothing is kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from loftwright.cli.record_told import FileWords
    from loftwright.evidence.log_choice import ColumnRead
    from loftwright.evidence.log_flights import FlightSpan
    from loftwright.evidence.proposal import Proposal
    from loftwright.evidence.table_preview import ColumnPreview

__all__ = ["proposal_answer", "propose", "tell_proposals"]


def propose(home: Path, files: Sequence[FileWords]) -> list[Proposal]:
    """Return what is proposed of each file. Raises ``ProblemError`` where one cannot be read."""
    from loftwright.evidence.kept_reading import readings_of
    from loftwright.evidence.proposal import propose_file

    readings = readings_of(home)
    return [propose_file(each.path, each.told(), readings, home) for each in files]


def tell_proposals(
    flight: str, files: Sequence[FileWords], found: Sequence[Proposal], *, as_json: bool
) -> int:
    """Say what is proposed; return the code to end with."""
    if as_json:
        from loftwright.cli.answers import emit

        pairs = zip(files, found, strict=True)
        answer = [proposal_answer(told, each) for told, each in pairs]
        emit("record-proposal", {"flight": flight, "files": answer})
    else:
        for each in found:
            click.echo("\n".join(_lines(each)))
        click.echo("Nothing was kept: --dry-run.")
    return 0 if all(each.ready for each in found) else 2


def proposal_answer(told: FileWords, found: Proposal) -> dict[str, Any]:
    """Return a proposal for programs; ``told`` may be changed and given to ``--proposal``."""
    from loftwright.errors import as_dict

    table = found.table
    return {
        "file": found.file.absolute(),
        "told": told.as_told(),
        "ready": found.ready,
        "kind": found.kind,
        "why": found.why,
        "bytes": found.size,
        "sha256": found.sha256,
        "kept_already_as": list(found.kept),
        "reading": found.reading,
        "layout": None if table is None else _layout(table),
        "columns": [_column(found, number) for number in range(len(found.columns))],
        "flights": [_flight(number, each) for number, each in enumerate(found.flights, start=1)],
        "flight_number": found.flight_number,
        "rows": found.rows,
        "duration_s": found.duration_s,
        "rise_m": found.rise_m,
        "doubts": list(found.doubts),
        "notes": list(found.notes),
        "problems": [as_dict(each) for each in found.problems],
        "warnings": [as_dict(each) for each in found.warnings],
    }


def _layout(table: Any) -> dict[str, Any]:
    return {
        "delimiter": table.delimiter,
        "decimal": table.decimal,
        "says": table.describes,
        "names_line": table.names_line,
        "first_rows_lines": list(table.lines),
        "rows_drawn": table.rows,
        "rows_damaged": table.damaged,
        "whole": table.whole,
    }


def _column(found: Proposal, place: int) -> dict[str, Any]:
    from loftwright.evidence.proposal import units_offered

    read: ColumnRead = found.columns[place]
    seen: ColumnPreview | None = None
    if found.table is not None and place < len(found.table.columns):
        seen = found.table.columns[place]
    return {
        "number": read.number,
        "name": read.name,
        "is": read.role,
        "unit": read.unit,
        "units_possible": list(units_offered(read.role)),
        "why": read.why,
        "doubt": read.doubt or None,
        "holds": None if seen is None else seen.holds,
        "first_cells": [] if seen is None else list(seen.cells),
        "least": [] if seen is None else seen.low,
        "most": [] if seen is None else seen.high,
    }


def _flight(number: int, span: FlightSpan) -> dict[str, Any]:
    return {
        "number": number,
        "liftoff_line": span.liftoff,
        "liftoff_s": span.liftoff_s,
        "top_m": span.top_m,
        "landed": span.landed,
        "says": span.describe(),
    }


def _lines(found: Proposal) -> Iterator[str]:
    from loftwright.errors import as_text
    from loftwright.errors.render import printable

    yield f"{found.file.name}: {found.kind}; {printable(found.why, 200)}"
    for where in found.kept:
        yield f"  kept already: {where}"
    notes = found.notes or [each.describe() for each in found.columns]
    yield from (f"  {printable(line, 300)}" for line in notes)
    if len(found.flights) > 1:
        yield from (
            f"  flight {number}: {each.describe()}"
            for number, each in enumerate(found.flights, start=1)
        )
    if found.rise_m is not None:
        yield f"  read so, it rises {found.rise_m:.0f} m"
    yield from (f"  In doubt: {printable(doubt, 300)}" for doubt in found.doubts)
    yield from (as_text(each) for each in found.problems)
