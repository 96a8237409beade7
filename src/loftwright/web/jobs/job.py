"""One command that runs, or ran, beside the pages: what its folder says of it.

.loftwright/jobs/<id>/
    job.json        what was asked for; written once
    process.json    marks of the processes that run it
    waiting.json    its place in line, while other work has to end before it
    progress.json   how far it has come; written over by the command
    answer.json     standard output: the ``--json`` object
    said.txt        standard error
    end.json        exit code and time; written once, by who waits for the command
    seal.json       that all this was worked out on this machine, see `seals`
    stop, pin       are there once somebody wants it stopped, or kept
    report.html, strips/
"""

from __future__ import annotations

import json
import math
import os
import signal
import time
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from markupsafe import Markup

from loftwright.documents.files import read_regular
from loftwright.errors import ProblemError
from loftwright.report.shell import typed
from loftwright.web.jobs.process import is_alive, tell
from loftwright.web.jobs.seals import is_sealed, is_signed
from loftwright.web.jobs.stand import OF_DOCUMENTS, what_would_fly
from loftwright.web.jobs.turns import is_waiting
from loftwright.web.report_body import body_of

__all__ = ["Job", "Progress", "State"]

INTERRUPTED = 130
BEGINS = 20.0  # s within which a job's process has said which it is
LARGEST = 512 << 20  # bytes of an answer
SAID = 8000  # bytes of what it said that are shown, the last ones
KILL = getattr(signal, "SIGKILL", signal.SIGTERM)


class State(Enum):
    """How it stands with a job; the value is the word that people see."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"
    BROKEN_OFF = "broken off"
    NOT_VOUCHED = "not vouched for"


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a command has come; ``left_s`` is None while nobody can tell."""

    done: int
    total: int
    what: str
    rate: float | None
    left_s: float | None

    @property
    def percent(self) -> float:
        """The share that is done, 0 to 100."""
        return 100.0 * self.done / self.total if self.total else 0.0


@dataclass(frozen=True, slots=True)
class Job:
    """A job by its folder; every question is answered by what stands there now."""

    folder: Path

    @property
    def id(self) -> str:
        """Its name, which is that of its folder."""
        return self.folder.name

    @property
    def asked(self) -> dict[str, Any]:
        """What was asked for: order, words, page, title, started; empty if it cannot be read."""
        return _read(self.folder / "job.json") or {}

    @property
    def page(self) -> str:
        """The step of the job that started it, e.g. ``"forecast"``."""
        return str(self.asked.get("page", ""))

    @property
    def title(self) -> str:
        """What it does, in words."""
        return str(self.asked.get("title", self.id))

    @property
    def started(self) -> float:
        """When it began by the clock of that moment, s since 1970."""
        return _number(self.asked.get("started"))

    @property
    def order(self) -> int:
        """Its place among the jobs of the campaign, as they were asked for."""
        order = self.asked.get("order")
        return order if isinstance(order, int) else 0

    @property
    def words(self) -> list[str]:
        """The words of the command, without what only the workbench wants of it."""
        return _words(self.asked.get("words"))

    @property
    def begun_with(self) -> list[str]:
        """The words that `Jobs.start` was given; none where they are not known any more."""
        return _words(self.asked.get("begun_with"))

    @property
    def is_of_earlier(self) -> bool:
        """Whether it was asked for on documents that have changed since.

        False for what is about a flight or the ledger, for what writes into the documents itself,
        and where it is not known.
        """
        asked, words = self.asked, self.words
        made_of = asked.get("made_of")
        about = words[:1] and words[0] in OF_DOCUMENTS and "--write" not in words
        return bool(made_of and about) and made_of != what_would_fly(self.folder.parents[2])

    @property
    def is_pinned(self) -> bool:
        """Whether somebody wants it kept."""
        return (self.folder / "pin").exists()

    @property
    def is_asked_to_stop(self) -> bool:
        """Whether somebody has asked it to stop."""
        return (self.folder / "stop").exists()

    @property
    def is_waiting(self) -> bool:
        """Whether other work has to end before it begins."""
        return is_waiting(self.folder)

    @property
    def can_go_on(self) -> bool:
        """Whether the command can take up what an earlier run of it has done."""
        return self.begun_with[:1] == ["forecast"] and "--parquet" in self.begun_with

    @property
    def took_s(self) -> float | None:
        """How long it took, s; None where nobody saw it end."""
        ended = self.ended
        return None if ended is None else max(_number(ended.get("ended")) - self.started, 0.0)

    @property
    def command(self) -> str:
        """The command as a person types it; empty where others asked for it."""
        return typed(["loftwright", *self.words]) if self.is_ours else ""

    @property
    def ended(self) -> dict[str, Any] | None:
        """Exit code and time of its end, None while it runs or where nobody saw it end."""
        return _read(self.folder / "end.json")

    @property
    def is_ours(self) -> bool:
        """Whether this machine began it; a campaign may bring work that others began."""
        return is_signed(self.id, self.asked)

    @property
    def is_vouched_for(self) -> bool:
        """Whether this machine saw all come that its folder says."""
        return is_sealed(self.folder)

    @property
    def state(self) -> State:
        """How it stands with it now.

        What it says of itself counts where this machine vouches for it: for all of an answer, for
        what was asked at least where there is none.
        """
        said = self._said_state()
        if said is State.RUNNING:
            return said
        is_known = self.is_vouched_for if said is State.DONE else self.is_ours
        return said if is_known else State.NOT_VOUCHED

    def _said_state(self) -> State:
        alive = self._is_alive()  # asked first: it may end in between
        ended = self.ended
        if ended is None:
            return State.RUNNING if alive else self._unseen()
        if ended.get("code") == 0:
            return State.DONE
        # An answer with a reason against something ends with 1, and is an answer all the same.
        if ended.get("code") == 1 and self._has_answered():
            return State.DONE
        stopped = ended.get("code") == INTERRUPTED or self.is_asked_to_stop
        return State.STOPPED if stopped else State.FAILED

    def _is_alive(self) -> bool:
        marks = self._marks()
        if not marks:  # it has been started in this moment, or was never
            return 0.0 <= time.time() - self.started < BEGINS
        return any(is_alive(mark) for mark in marks)

    def _marks(self) -> list[dict[str, Any]]:
        found = [*(_read(self.folder / "process.json") or {}).values(), self.asked.get("process")]
        return [mark for mark in found if isinstance(mark, dict)]

    def _unseen(self) -> State:
        """Return how it ended where nobody saw the end: an answer is written whole or not."""
        if self._has_answered():
            return State.DONE
        return State.STOPPED if self.is_asked_to_stop else State.BROKEN_OFF

    def _has_answered(self) -> bool:
        answer = self._answer() or {}
        schema = str(answer.get("schema", ""))
        return bool(schema) and not schema.startswith("loftwright/problems/")

    @property
    def progress(self) -> Progress | None:
        """How far it has come, None where it has not said so."""
        read = _read(self.folder / "progress.json")
        if read is None:
            return None
        done, total = int(_number(read.get("done"))), int(_number(read.get("total")))
        return Progress(
            min(done, total),
            total,
            str(read.get("what", "")),
            _number_or_none(read.get("rate")),
            _number_or_none(read.get("left_s")),
        )

    def answer(self) -> dict[str, Any] | None:
        """Return the ``--json`` object, None where there is none that this machine vouches for."""
        return self._answer() if self.is_vouched_for else None

    def _answer(self) -> dict[str, Any] | None:
        return _read(self.folder / "answer.json")

    def problems(self) -> list[dict[str, Any]]:
        """Return what was wrong, as ``--json`` tells it."""
        answer = self.answer() or {}
        return list(answer.get("problems", ()))

    def said(self) -> str:
        """Return what the command wrote to standard error: its end, where it is long.

        Nothing of what this machine did not begin.
        """
        if not self.is_ours:
            return ""
        try:
            with open(self.folder / "said.txt", "rb") as stream:
                size = stream.seek(0, os.SEEK_END)
                stream.seek(max(size - SAID, 0))
                return stream.read(SAID).decode("utf-8", errors="replace")
        except OSError:
            return ""

    def has_report(self) -> bool:
        """Tell whether there is a report to show inside a page."""
        return self.has_report_file() and self.is_vouched_for

    def has_report_file(self) -> bool:
        """Tell whether there is a report at all, whoever wrote it."""
        return (self.folder / "report.html").is_file()

    def report_main(self) -> Markup:
        """Return the body of its report, to be shown inside a page.

        Empty where there is none that this machine vouches for: markup of others is no part of our
        pages.
        """
        if not self.has_report():
            return Markup("")
        try:
            page = self.report_page().decode("utf-8")
        except (ProblemError, ValueError):  # it is taken away in this moment
            return Markup("")
        return body_of(page, f"/strips/{self.id}")

    def report_page(self) -> bytes:
        """Return its report as it was written. Raises ``ProblemError`` where it cannot be read."""
        return read_regular(self.folder / "report.html", LARGEST, name="report.html")

    def cancel(self) -> None:
        """Ask the command to end; it leaves nothing half written. Asked again, it is ended."""
        if self.state is not State.RUNNING:
            return
        how = KILL if self.is_asked_to_stop else signal.SIGINT
        # It may have been taken away, and what fills the disk is what has to be stopped.
        with suppress(OSError):
            (self.folder / "stop").touch()
        mark = next((each for each in self._marks() if is_alive(each)), None)
        tell(mark, how)  # to all of the group: once, for a second one would break its tidying up

    def pin(self, wanted: bool) -> None:
        """Keep it until it is taken away by hand, or not."""
        if wanted:
            with suppress(FileNotFoundError):  # it was taken away in this moment
                (self.folder / "pin").touch()
        else:
            (self.folder / "pin").unlink(missing_ok=True)

    def size(self) -> int:
        """Return how many bytes it takes on the disk."""
        total = 0
        for path in self.folder.rglob("*"):
            with suppress(OSError):  # it may go in this moment
                total += path.lstat().st_size
        return total


def _read(path: Path) -> dict[str, Any] | None:
    """Return a JSON object, None where there is none that can be read."""
    try:
        found = json.loads(read_regular(path, LARGEST))
    except (ProblemError, ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _number(value: Any) -> float:
    """Return a number as it was noted; 0 for what is none."""
    is_number = isinstance(value, int | float) and math.isfinite(value)
    return float(value) if is_number else 0.0


def _number_or_none(value: Any) -> float | None:
    return _number(value) if isinstance(value, int | float) else None


def _words(value: Any) -> list[str]:
    return [str(word) for word in value] if isinstance(value, list) else []
