"""All jobs of a campaign, kept in its folder."""

from __future__ import annotations

import json
import os
import secrets
import shutil
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from loftwright.documents.files import write_atomically
from loftwright.web.jobs.job import Job, State
from loftwright.web.jobs.process import mark_of

__all__ = ["Jobs"]

# What a verb can write besides its answer.
REPORTS = frozenset(
    {
        "forecast",
        "firing",
        "compare",
        "explore",
        "best",
        "sensitivity",
        "rehearse",
        "tune",
        "debrief",
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
        a verb that is two words, ``"program check"``. ``page`` is the step it belongs to.
        """
        verb = words[0].split()
        folder = self._new_folder()
        shown = [*verb, str(self.home), *words[1:]]
        asked = {
            "words": shown,
            "whole": [*shown, "--json", *self._outputs(verb, folder)],
            "page": page,
            "title": title,
            "started": time.time(),
        }
        write_atomically(folder / "job.json", json.dumps(asked))
        runner = [sys.executable, "-m", "loftwright.web.jobs.runner", str(folder)]
        process = subprocess.Popen(
            runner,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            **_apart(),
        )
        asked["process"] = mark_of(process.pid)
        write_atomically(folder / "job.json", json.dumps(asked))
        _reap(process)
        return Job(folder)

    def find(self, name: str) -> Job | None:
        """Return the job with this id, None where there is none."""
        return next((job for job in self.all() if job.id == name), None)

    def all(self) -> list[Job]:
        """Return all jobs, the latest first."""
        if not self.folder.is_dir():
            return []
        found = [Job(each) for each in self.folder.iterdir() if (each / "job.json").is_file()]
        return sorted(found, key=lambda job: job.id, reverse=True)

    def latest(self, page: str, state: State | None = None) -> Job | None:
        """Return the latest job of a page (in that state), None where there is none."""
        own = (job for job in self.all() if job.page == page)
        return next((job for job in own if state is None or job.state is state), None)

    def running(self) -> list[Job]:
        """Return the jobs that run now."""
        return [job for job in self.all() if job.state is State.RUNNING]

    def remove(self, job: Job) -> None:
        """Forget a job that has ended, with all that it wrote."""
        if job.state is not State.RUNNING:
            shutil.rmtree(job.folder)

    def _new_folder(self) -> Path:
        # The time comes first, so that names sort as jobs were started.
        name = f"{time.strftime('%Y%m%d-%H%M%S')}-{secrets.token_hex(3)}"
        folder = self.folder / name
        folder.mkdir(parents=True)
        return folder

    def _outputs(self, verb: Sequence[str], folder: Path) -> list[str]:
        if verb[0] not in REPORTS:
            return []
        return ["--report", str(folder / "report.html")]


def _apart() -> dict[str, Any]:
    """Return what sets a process apart, so that it outlives this one."""
    if os.name == "nt":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.DETACHED_PROCESS}  # type: ignore[attr-defined]
    return {"start_new_session": True}


def _reap(process: subprocess.Popen[bytes]) -> None:
    """Wait for a process in the background, so that it does not stay in the system's table."""
    from threading import Thread

    Thread(target=process.wait, daemon=True).start()
