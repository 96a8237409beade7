"""What a ledger holds, read out as values."""

from __future__ import annotations

import hashlib
import sqlite3
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from loftwright.ledger.entries import (
    Action,
    BuildEntry,
    Decision,
    EvidenceEntry,
    EvidenceName,
    Figure,
    Finding,
    FlightEntry,
    Judgement,
)
from loftwright.ledger.opening import telling
from loftwright.ledger.problems import MEND_DAMAGE, refused

__all__ = ["Contents"]


class Contents:
    """An open ledger, read; `loftwright.ledger.ledger.Ledger` writes too."""

    def __init__(
        self, folder: Path, file: Path, database: sqlite3.Connection, *, may_write: bool
    ) -> None:
        self.folder = folder
        self.file = file
        self.may_write = may_write
        self._database = database

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what was acknowledged is in it."""
        self._database.close()

    def rows(self, question: str, *values: Any) -> list[tuple[Any, ...]]:
        """Return the rows that answer a SELECT."""
        with telling(self.file):
            return self._database.execute(question, values).fetchall()

    def flights(self) -> tuple[FlightEntry, ...]:
        """Return all flights, in the order in which they were flown as far as that is told."""
        rows = self.rows(
            "SELECT name, number, title, flown, asked, outcome, note, record, build, taken_in "
            "FROM flight ORDER BY flown IS NULL, flown, number"
        )
        names = FlightEntry.__dataclass_fields__
        return tuple(FlightEntry(**dict(zip(names, row, strict=True))) for row in rows)

    def flight(self, name: str) -> FlightEntry:
        """Return the flight in the folder ``name``, or with that title where only one has it.

        Raises ``ProblemError``, ``ledger-no-such``.
        """
        flights = self.flights()
        by_name = [each for each in flights if each.name == name]
        found = by_name or [each for each in flights if each.title == name]
        if len(found) == 1:
            return found[0]
        from difflib import get_close_matches

        near = get_close_matches(name, [each.name for each in flights], n=1)
        mend = f"did you mean {near[0]}?" if near else "see loftwright ledger list"
        raise refused("ledger-no-such", f"the ledger has no flight {name!r}", mend, self.file)

    def document(self, sha256: str) -> bytes:
        """Return the content of a document, held to its digest.

        Raises ``ProblemError``, ``ledger-no-such`` or ``ledger-damaged``.
        """
        rows = self.rows("SELECT content FROM document WHERE sha256 = ?", sha256)
        if not rows:
            message = f"the ledger has no document {sha256[:12]}"
            raise refused("ledger-no-such", message, "see loftwright ledger verify", self.file)
        content = bytes(rows[0][0])
        if hashlib.sha256(content).hexdigest() != sha256:
            message = f"the document {sha256[:12]} is not what was put in"
            raise refused("ledger-damaged", message, MEND_DAMAGE, self.file)
        return content

    def build(self, sha256: str) -> BuildEntry:
        """Return a build. Raises ``ProblemError``, ``ledger-no-such``."""
        rows = self.rows(
            "SELECT file, document FROM build_document WHERE build = ? ORDER BY file", sha256
        )
        if not rows:
            message = f"the ledger has no build {sha256[:12]}"
            raise refused("ledger-no-such", message, "see loftwright ledger verify", self.file)
        return BuildEntry(sha256=sha256, documents=dict(rows))

    def documents(self, build: str) -> dict[str, bytes]:
        """Return the documents of a build, by the names of their files."""
        named = self.build(build).documents
        return {file: self.document(sha256) for file, sha256 in named.items()}

    def evidence(self, flight: str | None = None) -> tuple[EvidenceEntry, ...]:
        """Return the evidence of one flight, or of all."""
        names = EvidenceEntry.__dataclass_fields__
        rows = self.rows(
            f"SELECT {', '.join(names)} FROM evidence WHERE ? IS NULL OR flight = ? "
            "ORDER BY flight, file, taken_in, sha256",
            flight,
            flight,
        )
        return tuple(EvidenceEntry(**dict(zip(names, row, strict=True))) for row in rows)

    def findings(
        self, flight: str | None = None, *, open_only: bool = False
    ) -> tuple[Finding, ...]:
        """Return the findings from one flight, or all; or of these what is still unsettled."""
        names = (
            "number", "noted", "what", "sure", "flight", "who", "explains", "closed", "closed_by",
            "closed_why",
        )  # fmt: skip
        rows = self.rows(
            f"SELECT unsettled, {', '.join(names)} FROM finding "
            "WHERE (? IS NULL OR flight = ?) AND (NOT ? OR (unsettled AND closed IS NULL)) "
            "ORDER BY number",
            flight,
            flight,
            open_only,
        )
        return tuple(
            Finding(
                **dict(zip(names, row, strict=True)),
                unsettled=bool(unsettled),
                evidence=self._named("finding", int(row[0])),
            )
            for unsettled, *row in rows
        )

    def actions(self, open_only: bool = False) -> tuple[Action, ...]:
        """Return the actions, or those that are still to be done."""
        names = Action.__dataclass_fields__
        rows = self.rows(
            f"SELECT {', '.join(names)} FROM action WHERE NOT ? OR closed IS NULL ORDER BY number",
            open_only,
        )
        return tuple(Action(**dict(zip(names, row, strict=True))) for row in rows)

    def decisions(self) -> tuple[Decision, ...]:
        """Return the decisions."""
        names = ("number", "noted", "what", "why", "who")
        rows = self.rows(f"SELECT {', '.join(names)} FROM decision ORDER BY number")
        return tuple(
            Decision(
                **dict(zip(names, row, strict=True)), evidence=self._named("decision", int(row[0]))
            )
            for row in rows
        )

    def judgements(self, flight: str | None = None) -> tuple[Judgement, ...]:
        """Return what was said of functions in one flight, or in all, the earliest first."""
        names = Judgement.__dataclass_fields__
        rows = self.rows(
            f"SELECT {', '.join(names)} FROM judgement WHERE ? IS NULL OR flight = ? "
            "ORDER BY number",
            flight,
            flight,
        )
        return tuple(Judgement(**dict(zip(names, row, strict=True))) for row in rows)

    def figures(self, flight: str | None = None) -> tuple[Figure, ...]:
        """Return the figures of one flight, or of all."""
        names = Figure.__dataclass_fields__
        rows = self.rows(
            f"SELECT {', '.join(names)} FROM figure WHERE ? IS NULL OR flight = ? "
            "ORDER BY flight, name, made_by",
            flight,
            flight,
        )
        return tuple(Figure(**dict(zip(names, row, strict=True))) for row in rows)

    def _named(self, table: str, number: int) -> tuple[EvidenceName, ...]:
        rows = self.rows(
            f"SELECT flight, file, sha256 FROM {table}_evidence WHERE {table} = ? "
            "ORDER BY flight, file, sha256",
            number,
        )
        return tuple(EvidenceName(*row) for row in rows)

    def action(self, number: int) -> Action:
        """Return an action. Raises ``ProblemError``, ``ledger-no-such``."""
        found = next((each for each in self.actions() if each.number == number), None)
        if found is None:
            message = f"the ledger has no action A{number}"
            raise refused("ledger-no-such", message, "see loftwright ledger list", self.file)
        return found

    def finding(self, number: int) -> Finding:
        """Return a finding. Raises ``ProblemError``, ``ledger-no-such``."""
        found = next((each for each in self.findings() if each.number == number), None)
        if found is None:
            message = f"the ledger has no finding F{number}"
            raise refused("ledger-no-such", message, "see loftwright ledger list", self.file)
        return found

    def decision(self, number: int) -> Decision:
        """Return a decision. Raises ``ProblemError``, ``ledger-no-such``."""
        found = next((each for each in self.decisions() if each.number == number), None)
        if found is None:
            message = f"the ledger has no decision D{number}"
            raise refused("ledger-no-such", message, "see loftwright ledger list", self.file)
        return found
