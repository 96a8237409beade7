"""Work on a flight that need not be done twice: found again by what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from loftwright import __version__
from loftwright.documents.files import read_regular, write_atomically
from loftwright.documents.flights import BUILD, EVIDENCE, FLIGHTS, FORECAST_FILE, flights_of
from loftwright.documents.readings import READINGS_FILE
from loftwright.errors import Problem, ProblemError
from loftwright.web.jobs import State

if TYPE_CHECKING:
    from loftwright.web.bench import Bench
    from loftwright.web.jobs import Job

__all__ = ["CAMPAIGN", "STARTING", "Debriefs", "flights_stand", "not_started_by_looking"]

CAMPAIGN = "--campaign"  # among the words of what is about all flights
LARGEST = 4096  # bytes of a note
STARTING = Lock()  # held from the look for work that is there until its start is noted


class Debriefs:
    """The work on one flight of the campaign on ``bench``."""

    def __init__(self, bench: Bench, flight: str) -> None:
        self.bench, self.flight = bench, flight
        self.folder = bench.home / ".loftwright" / "debriefs"

    def job(self, words: Sequence[str], *, ledger: bool = True) -> Job | None:
        """Return the work that these words led to, of the flight as it stands; None for none.

        What this machine does not vouch for is none.
        With ``ledger`` the work is another once findings or actions of the flight are others.
        """
        try:
            said = json.loads(read_regular(self._note(words, ledger=ledger), LARGEST))
        except (ProblemError, ValueError, RecursionError):
            return None
        job = self.bench.jobs.find(str(said.get("job"))) if isinstance(said, dict) else None
        return None if job is None or job.state is State.NOT_VOUCHED else job

    def start(self, words: Sequence[str], title: str, *, ledger: bool = True) -> Job:
        """Start work, and note of what it is, so that `job` finds it again."""
        note = self._note(words, ledger=ledger)  # of the flight as it is before the work begins
        job = self.bench.jobs.start(list(words), page="debrief", title=title)
        self.folder.mkdir(parents=True, exist_ok=True)
        write_atomically(note, json.dumps({"job": job.id}))
        return job

    def found_or_started(
        self,
        words: Sequence[str],
        title: str,
        *,
        may_start: bool,
        ledger: bool = True,
        begin: Callable[[], Job] | None = None,
    ) -> Job:
        """Return the work that these words led to, started where there is none.

        ``begin`` starts it where it is not these words alone. Raises ``ProblemError`` where there
        is none, and who looks may not start it.
        """
        with STARTING:  # two pages that ask at once start it once
            found = self.job(words, ledger=ledger)
            if found is not None:
                return found
            if not may_start:
                raise not_started_by_looking()
            if begin is None:
                return self.start(words, title, ledger=ledger)
            job = begin()
            self.take_for(words, job, ledger=ledger)
            return job

    def take_for(self, words: Sequence[str], job: Job, *, ledger: bool = True) -> None:
        """Note that ``job`` says what these words would, of the flight as it stands now."""
        self.folder.mkdir(parents=True, exist_ok=True)
        write_atomically(self._note(words, ledger=ledger), json.dumps({"job": job.id}))

    def stand(self) -> str:
        """Return a digest of what the flight left behind, without the ledger."""
        return self._digest((), ledger=False)

    def _note(self, words: Sequence[str], *, ledger: bool) -> Path:
        return self.folder / f"{self._digest(words, ledger=ledger)}.json"

    def _digest(self, words: Sequence[str], *, ledger: bool) -> str:
        whole = hashlib.sha256()
        flights = flights_of(self.bench.home) if CAMPAIGN in words else [self.flight]
        parts = [__version__, *words, *(each for one in flights for each in self._files(one))]
        if ledger:
            parts += self._in_ledger()
        for part in parts:
            whole.update(part.encode("utf-8", "surrogatepass") + b"\0")
        return whole.hexdigest()[:40]

    def _files(self, flight: str) -> Iterator[str]:
        """Yield what tells whether any file of a flight is another than before."""
        folder = self.bench.home / FLIGHTS / flight
        small = [folder / "flight.toml", self.bench.home / READINGS_FILE]
        for path in (*small, *_inside(folder / BUILD)):
            content = path.read_bytes() if path.is_file() else b""
            yield f"{path.name} {hashlib.sha256(content).hexdigest()}"
        for path in (folder / FORECAST_FILE, *_inside(folder / EVIDENCE)):
            if path.is_file():
                state = path.stat()
                yield f"{path.name} {state.st_size} {state.st_mtime_ns}"

    def _in_ledger(self) -> Iterator[str]:
        """Yield what the ledger says of the flight; nothing is written where there is none."""
        from loftwright.ledger.ledger import open_ledger
        from loftwright.ledger.opening import FILE

        if not (self.bench.home / FILE).is_file():
            return
        with open_ledger(self.bench.home) as ledger:
            findings = ledger.findings(self.flight)
            numbers = {each.number for each in findings}
            actions = [each for each in ledger.actions() if each.finding in numbers]
        yield from (repr(each) for each in (*findings, *actions))


def flights_stand(bench: Bench) -> str:
    """Return a digest of what all flights of the campaign left behind, without the ledger."""
    return Debriefs(bench, "")._digest((CAMPAIGN,), ledger=False)


def not_started_by_looking() -> ProblemError:
    """Say that nobody has worked it out yet, to a device that changes nothing."""
    message = "nobody has worked this out yet, and this device only looks"
    mend = "open this page on the laptop; then look again here"
    return ProblemError([Problem("work-by-looking", message, mend=mend)])


def _inside(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*")) if folder.is_dir() else []
