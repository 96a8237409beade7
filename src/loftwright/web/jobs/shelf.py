"""All jobs of a campaign, kept in its folder."""

from __future__ import annotations

import json
import secrets
import shutil
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from loftwright.documents.files import write_atomically
from loftwright.documents.worked import workplace
from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.jobs.job import Job, State
from loftwright.web.jobs.process import mark_of
from loftwright.web.jobs.seals import signed
from loftwright.web.jobs.stand import what_would_fly
from loftwright.web.jobs.turns import asking, take_place, takes_turns, waiting

__all__ = ["Jobs"]

MOST, LARGEST = 60, 1 << 30  # jobs that are kept, and their bytes
QUEUE = 20  # jobs that may wait for others to end
MOST_GOING = 32  # jobs that run or wait
ROOM = "see whether the campaign's folder may be written to and the disk has room"
LONGEST = 120  # signs of a title that is made of words
HALF = 3600.0  # s after which a folder without a job is one that was never begun

# What a verb can write besides its answer.
REPORTS = frozenset(
    {
        "forecast",
        "whatif",
        "firing",
        "compare",
        "explore",
        "best",
        "sensitivity",
        "rehearse",
        "tune",
        "debrief",
        "causes",
        "fit",
    }
)


class Jobs:
    """The jobs of the campaign at ``home``; used by many threads, and by several servers."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.folder = home / ".loftwright" / "jobs"

    def start(self, words: Sequence[str], *, page: str, title: str) -> Job:
        """Start a command beside the pages.

        ``words`` are the verb and what follows DIR, e.g. ``["forecast", "--flights", "400"]``; for
        a verb that is two words, ``"program check"``. ``page`` is the step it belongs to. Old
        jobs are swept first. Raises ``ProblemError``, ``work-not-started``.
        """
        verb = words[0].split()
        if len(waiting(self.folder)) >= QUEUE:
            mend = "wait until some have ended, or stop some on the page of work"
            raise _not_started(f"{QUEUE} others wait already", mend)
        # What is quick waits for nothing: so many at once would be more than a machine can do.
        if len(self.running()) >= MOST_GOING:
            mend = "wait until some have ended, or stop some on the page of work"
            raise _not_started(f"{MOST_GOING} others run or wait already", mend)
        try:
            workplace(self.home)
            self.sweep()
            self.folder.mkdir(exist_ok=True)
            with asking(self.folder):
                return self._begin(verb, words, page, title)
        except OSError as error:
            raise _not_started(error) from error

    def _begin(self, verb: list[str], words: Sequence[str], page: str, title: str) -> Job:
        """Write down what is asked for, and run it; nobody else asks meanwhile."""
        folder = self._new_folder()
        order = 1 + max((job.order for job in self.all()), default=0)
        shown = [*verb, str(self.home), *words[1:]]
        asked = {
            "words": shown,
            "whole": [*shown, "--json", *self._outputs(verb, folder)],
            "page": page,
            "title": title,
            "order": order,
            "started": time.time(),
            "begun_with": list(words),
            "made_of": what_would_fly(self.home),
        }
        try:
            write_atomically(folder / "job.json", json.dumps(signed(folder.name, asked)))
            process = self._run(folder)
            mark = mark_of(process.pid)
            if takes_turns(verb[0]):
                take_place(folder, order, mark, is_here=False)
            marks = json.dumps({"runner": mark})
            if not (folder / "process.json").exists():  # it has not yet said so itself
                write_atomically(folder / "process.json", marks)
        except (OSError, ProblemError) as error:
            shutil.rmtree(folder, ignore_errors=True)
            raise _not_started(error) from error
        _reap(process)
        return Job(folder)

    def again(self, job: Job, *, go_on: bool = False) -> Job:
        """Start what a job did once more; ``go_on`` takes up what it had done.

        Of a job that is not ours, who asks for this has looked at its words. Raises
        ``ProblemError``, ``work-not-started``, where it is not known any more what that was.
        """
        words = job.begun_with
        if not words:
            raise _not_started("nobody knows any more what it did")
        if not job.is_ours:  # what others call it need not be what it does
            return self.start(words, page="work", title=" ".join(words)[:LONGEST])
        if go_on and job.can_go_on and "--resume" not in words:
            words = [*words, "--resume"]
        return self.start(words, page=job.page, title=job.title)

    def _run(self, folder: Path) -> subprocess.Popen[bytes]:
        runner = [sys.executable, "-m", "loftwright.web.jobs.runner", str(folder)]
        return subprocess.Popen(
            runner,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            **_apart(),
        )

    def find(self, name: str) -> Job | None:
        """Return the job with this id, None where there is none."""
        return next((job for job in self.all() if job.id == name), None)

    def all(self) -> list[Job]:
        """Return all jobs, the latest first."""
        return self._sorted(self._folders())

    def _folders(self) -> list[Path]:
        if not self.folder.is_dir():
            return []
        # What is being taken away has a dot in front.
        names = (each for each in self.folder.iterdir() if not each.name.startswith("."))
        found = [each for each in names if (each / "job.json").is_file()]
        return [each for each in found if not each.is_symlink()]

    def _sorted(self, folders: Iterable[Path]) -> list[Job]:
        found = [Job(each) for each in folders]
        return sorted(found, key=lambda job: (job.order, job.started, job.id), reverse=True)

    def latest(self, page: str, state: State | None = None) -> Job | None:
        """Return the latest job of a page (in that state), None where there is none."""
        own = (job for job in self.all() if job.page == page)
        return next((job for job in own if state is None or job.state is state), None)

    def running(self) -> list[Job]:
        """Return the jobs that run now."""
        # Every page asks: of those that have ended nothing more is read.
        going = [each for each in self._folders() if not (each / "end.json").is_file()]
        return [job for job in self._sorted(going) if job.state is State.RUNNING]

    def remove(self, job: Job) -> None:
        """Forget a job that has ended, with all that it wrote.

        Raises ``ProblemError``, ``file-not-written``, where its folder cannot be taken away.
        """
        if job.state is State.RUNNING:
            return
        _take_away(job.folder)
        if job.folder.exists():
            message, where = "the work cannot be taken away", Where(file=str(job.folder))
            raise ProblemError([Problem("file-not-written", message, where, ROOM)])

    def sweep(self, *, most: int = MOST, largest: int = LARGEST) -> None:
        """Take away the oldest jobs beyond so many, or so many bytes.

        What runs stays, as does what is pinned and the latest of each page. What is left of a job
        that was never begun goes after an hour.
        """
        self._sweep_halves()
        jobs = self.all()
        latest: dict[str, str] = {}
        for job in jobs:
            latest.setdefault(job.page, job.id)
        count, size = len(jobs), sum(job.size() for job in jobs)
        for job in reversed(jobs):
            if count <= most and size <= largest:
                return
            if job.id in latest.values() or job.is_pinned or job.state is State.RUNNING:
                continue
            count, size = count - 1, size - job.size()
            _take_away(job.folder)

    def _sweep_halves(self) -> None:
        for folder in self.folder.iterdir() if self.folder.is_dir() else ():
            with suppress(OSError):  # another server may sweep as well
                old = time.time() - folder.stat().st_mtime > HALF
                is_gone = folder.name.startswith(".")  # and somebody was broken off at it
                if old and folder.is_dir() and (is_gone or not (folder / "job.json").is_file()):
                    shutil.rmtree(folder)

    def _new_folder(self) -> Path:
        name = f"{time.strftime('%Y%m%d-%H%M%S')}-{secrets.token_hex(3)}"
        folder = self.folder / name
        folder.mkdir()
        return folder

    def _outputs(self, verb: Sequence[str], folder: Path) -> list[str]:
        if verb[0] not in REPORTS:
            return []
        return ["--report", str(folder / "report.html"), "--strips", str(folder / "strips")]


def _take_away(folder: Path) -> None:
    """Take a folder away: at once out of sight, then from the disk."""
    gone = folder.with_name(f".{folder.name}.gone")
    with suppress(OSError):  # it is not there any more, or may not be touched
        folder.rename(gone)
    shutil.rmtree(gone, ignore_errors=True)


def _not_started(why: object, mend: str = ROOM) -> ProblemError:
    if isinstance(why, OSError):
        why = why.strerror or why
    elif isinstance(why, ProblemError):
        why = why.problems[0].message
    message = f"the work cannot be started: {why}"
    return ProblemError([Problem("work-not-started", message, mend=mend)])


def _apart() -> dict[str, Any]:
    """Return what sets a process apart, so that it outlives this one."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.DETACHED_PROCESS}
    return {"start_new_session": True}


def _reap(process: subprocess.Popen[bytes]) -> None:
    """Wait for a process in the background, so that it does not stay in the system's table."""
    from threading import Thread

    Thread(target=process.wait, daemon=True).start()
