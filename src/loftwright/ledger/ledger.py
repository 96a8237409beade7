"""The ledger opened: what it holds, and what may be written into it.

Entries are only ever added, and closed once: nothing that somebody wrote is written over.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from math import isfinite
from pathlib import Path

from loftwright.documents.flights import home_of
from loftwright.ledger.contents import Contents
from loftwright.ledger.entries import (
    SURENESS,
    Action,
    Decision,
    EvidenceName,
    Finding,
    Judgement,
)
from loftwright.ledger.functions import FUNCTIONS, OUTCOMES
from loftwright.ledger.opening import FILE, connect, telling, writing
from loftwright.ledger.problems import refused
from loftwright.ledger.words import a_day, one_of, some_words, words_or_none

__all__ = ["Ledger", "open_ledger", "today"]


def today() -> str:
    """Return the day, as ISO 8601 has it."""
    return date.today().isoformat()


def now() -> str:
    """Return the moment in UTC, to the second, as ISO 8601 has it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def open_ledger(folder: Path) -> Ledger:
    """Open the ledger of the campaign in ``folder``; an empty one is made where there is none.

    Use it with ``with``. A ledger that lies where nothing can be written is opened for reading;
    `Ledger.may_write` tells. Raises ``ProblemError``: ``file-no-folder``, and as
    `loftwright.ledger.opening.connect`.
    """
    folder = home_of(folder)
    if not os.path.isdir(folder):
        mend = "give the folder that holds campaign.toml"
        raise refused("file-no-folder", "there is no such folder", mend, folder)
    file = folder / FILE
    database, may_write = connect(file)
    return Ledger(folder, file, database, may_write=may_write)


class Ledger(Contents):
    """An open ledger. Made by `open_ledger`; not to be shared among threads."""

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Write several things whole or not at all; nobody else writes meanwhile.

        Raises ``ProblemError``: ``ledger-read-only``, ``ledger-busy``, ``ledger-no-room``.
        """
        if not self.may_write:
            message = "the ledger may be read but not written"
            mend = "see whether the folder or disk is write-protected, or full; nothing was written"
            raise refused("ledger-read-only", message, mend, self.file)
        with telling(self.file), writing(self._database) as database:
            yield database

    def add_finding(
        self,
        what: str,
        *,
        sure: str = "likely",
        flight: str | None = None,
        evidence: Iterable[str] = (),
        explains: str | None = None,
        unsettled: bool = False,
        who: str | None = None,
    ) -> Finding:
        """Write down what was found, and return it with its number.

        Parameters
        ----------
        what
            In words.
        sure
            Of `loftwright.ledger.entries.SURENESS`.
        flight
            From which flight: its folder's name, or its title.
        evidence
            Files that show it: of that flight, or of any as ``flight/file``.
        explains
            The function of that flight whose failure it explains.
        unsettled
            Whether it still has to be answered or mended.
        who
            Found it.

        Raises
        ------
        ProblemError
            ``ledger-words``, ``ledger-no-such``, and as `writing`.
        """
        what, sure = some_words(what, "a finding"), one_of(sure, SURENESS, "how sure it is")
        who = words_or_none(who, "who found it")
        if explains is not None:
            one_of(explains, FUNCTIONS, "the function that it explains")
            if flight is None:
                mend = "name the flight whose failure it explains"
                raise refused("ledger-words", "the flight is not said", mend)
        flight = None if flight is None else self.flight(flight).name
        named = [self._evidence_called(each, flight) for each in evidence]
        with self.writing() as database:
            number = _inserted(
                database,
                "INSERT INTO finding (noted, what, sure, flight, who, explains, unsettled) "
                "VALUES (?, ?, ?, ?, ?, ?, ?)",
                (now(), what, sure, flight, who, explains, int(unsettled)),
            )
            _name(database, "finding", number, named)
        return self.finding(number)

    def add_action(
        self,
        what: str,
        *,
        who: str | None = None,
        due: str | None = None,
        finding: int | None = None,
    ) -> Action:
        """Write down what is to be done, by whom and until when, and return it with its number.

        ``finding`` is the number of the finding that calls for it. Raises ``ProblemError``:
        ``ledger-words``, ``ledger-day``, ``ledger-no-such``, and as `writing`.
        """
        what, who = some_words(what, "an action"), words_or_none(who, "who does it")
        due = a_day(due, "the day it is due")
        if finding is not None:
            self.finding(finding)
        with self.writing() as database:
            number = _inserted(
                database,
                "INSERT INTO action (noted, what, who, due, finding) VALUES (?, ?, ?, ?, ?)",
                (now(), what, who, due, finding),
            )
        return self.action(number)

    def add_decision(
        self, what: str, *, why: str, who: str | None = None, evidence: Iterable[str] = ()
    ) -> Decision:
        """Write down what was decided and why, and return it with its number.

        ``evidence`` names files as ``flight/file``. Raises ``ProblemError`` as `add_finding`.
        """
        what, why = some_words(what, "a decision"), some_words(why, "why it was decided")
        who = words_or_none(who, "who decided")
        named = [self._evidence_called(each, None) for each in evidence]
        with self.writing() as database:
            number = _inserted(
                database,
                "INSERT INTO decision (noted, what, why, who) VALUES (?, ?, ?, ?)",
                (now(), what, why, who),
            )
            _name(database, "decision", number, named)
        return self.decision(number)

    def close_action(
        self, number: int, *, flight: str | None = None, why: str | None = None
    ) -> Action:
        """Close an action: by the flight that showed it done, or say why; and return it.

        Raises ``ProblemError``: ``ledger-no-such``, ``ledger-closed`` (it is already),
        ``ledger-words`` (neither is said), and as `writing`.
        """
        self.action(number)
        closed = self._close("action", number, flight, why)
        action = self.action(number)
        if not closed:
            message = f"action A{number} was closed already, {action.closed}"
            raise refused("ledger-closed", message, "see loftwright ledger show", self.file)
        return action

    def close_finding(
        self, number: int, *, flight: str | None = None, why: str | None = None
    ) -> Finding:
        """Close an unsettled finding, as `close_action` does an action; and return it."""
        if not self.finding(number).unsettled:
            mend = "only what was noted with --unsettled is closed"
            message = f"finding F{number} does not wait for anything"
            raise refused("ledger-closed", message, mend, self.file)
        closed = self._close("finding", number, flight, why)
        finding = self.finding(number)
        if not closed:
            message = f"finding F{number} was closed already, {finding.closed}"
            raise refused("ledger-closed", message, "see loftwright ledger show", self.file)
        return finding

    def _close(self, table: str, number: int, flight: str | None, why: str | None) -> bool:
        """Close an entry unless somebody did so meanwhile; tell whether this did."""
        why = words_or_none(why, "why it is closed")
        flight = None if flight is None else self.flight(flight).name
        if flight is None and why is None:
            mend = "name the flight that showed it done, or say why"
            raise refused("ledger-words", "what closes it is not said", mend)
        with self.writing() as database:
            return bool(
                database.execute(
                    f"UPDATE {table} SET closed = ?, closed_by = ?, closed_why = ? "
                    "WHERE number = ? AND closed IS NULL",
                    (now(), flight, why, number),
                ).rowcount
            )

    def judge(
        self,
        flight: str,
        function: str,
        outcome: str,
        *,
        why: str | None = None,
        who: str | None = None,
    ) -> Judgement:
        """Write down how a function went in a flight; it counts before what else tells of it.

        ``function`` is of `FUNCTIONS`, ``outcome`` of `OUTCOMES`. Earlier judgements stay, the
        last one counts. Raises ``ProblemError``: ``ledger-words``, ``ledger-no-such``, and as
        `writing`.
        """
        one_of(function, FUNCTIONS, "a function")
        one_of(outcome, OUTCOMES, "an outcome")
        why, who = words_or_none(why, "why"), words_or_none(who, "who judges")
        name = self.flight(flight).name
        with self.writing() as database:
            number = _inserted(
                database,
                "INSERT INTO judgement (noted, flight, function, outcome, why, who) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                (now(), name, function, outcome, why, who),
            )
        return next(each for each in self.judgements(name) if each.number == number)

    def keep_figures(
        self, flight: str, figures: Mapping[str, tuple[float, float | None]], *, made_by: str
    ) -> None:
        """Keep figures of a flight, e.g. ``{"apogee_m": (94.2, 0.8)}``: value and its spread.

        Values are in SI, with the unit in the name. Those that ``made_by`` made before are
        replaced. Raises ``ProblemError``: ``ledger-no-such``, ``ledger-words`` (a value that is
        no number), and as `writing`.
        """
        name = self.flight(flight).name
        for word, (value, sd) in figures.items():
            if not (isfinite(value) and (sd is None or (isfinite(sd) and sd >= 0.0))):
                raise refused("ledger-words", f"{word} is no number", "leave out what is not known")
        with self.writing() as database:
            database.execute("DELETE FROM figure WHERE flight = ? AND made_by = ?", (name, made_by))
            database.executemany(
                "INSERT INTO figure (flight, name, made_by, value, sd, noted) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                [(name, word, made_by, *each, now()) for word, each in figures.items()],
            )

    def _evidence_called(self, words: str, flight: str | None) -> EvidenceName:
        """Return which file is meant by its name, of ``flight`` or as ``flight/file``."""
        of, _, file = words.partition("/") if flight is None else (flight, "", words)
        there = self.evidence(of)
        found = [each for each in there if each.file == file]
        if not found:
            message = f"the ledger has no evidence {words!r}"
            files = ", ".join(dict.fromkeys(each.file for each in there))
            mend = f"there is: {files}" if files else "name it as FLIGHT/FILE; see ledger list"
            raise refused("ledger-no-such", message, mend, self.file)
        return EvidenceName(of, file, found[-1].sha256)


def _name(
    database: sqlite3.Connection, table: str, number: int | None, named: Iterable[EvidenceName]
) -> None:
    """Note which files an entry rests on."""
    database.executemany(
        f"INSERT OR IGNORE INTO {table}_evidence VALUES (?, ?, ?, ?)",
        [(number, each.flight, each.file, each.sha256) for each in named],
    )


def _inserted(database: sqlite3.Connection, statement: str, values: tuple[object, ...]) -> int:
    """Insert an entry and return its number."""
    return int(database.execute(statement, values).lastrowid or 0)
