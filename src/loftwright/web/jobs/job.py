"""One command that runs, or ran, beside the pages: what its folder says of it.

.loftwright/jobs/<id>/
    job.json        what was asked for; written once
    progress.json   how far it has come; written over by the command
    answer.json     standard output: the ``--json`` object
    said.txt        standard error
    end.json        exit code and time; written once, by who waits for the command
    report.html, strips/
"""

from __future__ import annotations

import json
import shlex
import signal
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from markupsafe import Markup

from loftwright.web.jobs.process import is_alive, tell

__all__ = ["Job", "Progress", "State"]

INTERRUPTED = 130


class State(Enum):
    """How it stands with a job; the value is the word that people see."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"
    BROKEN_OFF = "broken off"


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
        """What was asked for: words, page, title, started, pid; empty if it cannot be read."""
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
        """When it began, s since 1970."""
        return float(self.asked.get("started", 0.0))

    @property
    def words(self) -> list[str]:
        """The words of the command, without what only the workbench wants of it."""
        return [str(word) for word in self.asked.get("words", [])]

    @property
    def command(self) -> str:
        """The command as a person types it."""
        return shlex.join(["loftwright", *self.words])

    @property
    def ended(self) -> dict[str, Any] | None:
        """Exit code and time of its end, None while it runs or where nobody saw it end."""
        return _read(self.folder / "end.json")

    @property
    def state(self) -> State:
        """How it stands with it now."""
        alive = is_alive(self.asked.get("process"))  # asked first: it may end in between
        ended = self.ended
        if ended is None:
            return State.RUNNING if alive else State.BROKEN_OFF
        if ended.get("code") == 0:
            return State.DONE
        stopped = ended.get("code") == INTERRUPTED or (self.folder / "stop").exists()
        return State.STOPPED if stopped else State.FAILED

    @property
    def progress(self) -> Progress | None:
        """How far it has come, None where it has not said so."""
        read = _read(self.folder / "progress.json")
        if read is None:
            return None
        return Progress(
            int(read["done"]), int(read["total"]), str(read["what"]), read["rate"], read["left_s"]
        )

    def answer(self) -> dict[str, Any] | None:
        """Return the ``--json`` object, None where there is none."""
        return _read(self.folder / "answer.json")

    def problems(self) -> list[dict[str, Any]]:
        """Return what was wrong, as ``--json`` tells it."""
        answer = self.answer() or {}
        return list(answer.get("problems", ()))

    def said(self) -> str:
        """Return what the command wrote to standard error."""
        try:
            return (self.folder / "said.txt").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return ""

    def has_report(self) -> bool:
        """Tell whether there is a report to show."""
        return (self.folder / "report.html").is_file()

    def report_main(self) -> Markup:
        """Return the body of its report, to be shown inside a page; empty where there is none."""
        try:
            page = (self.folder / "report.html").read_text(encoding="utf-8")
        except OSError:
            return Markup("")
        # The report is ours: everything in it is escaped already.
        main = page.partition("<main>")[2].partition("</main>")[0]
        return Markup(main.replace("data-strip=", f'data-strips="/strips/{self.id}" data-strip='))

    def cancel(self) -> None:
        """Ask the command to end; it leaves nothing half written."""
        if self.state is State.RUNNING:
            (self.folder / "stop").touch()
            tell(self.asked.get("process"), signal.SIGINT)


def _read(path: Path) -> dict[str, Any] | None:
    """Return a JSON object, None where there is none that can be read."""
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return found if isinstance(found, dict) else None
