"""What is being taken into a flight in this moment: by work beside the pages, or by a command."""

from __future__ import annotations

import hashlib
import re
import time
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from loftwright.documents.flights import EVIDENCE, FLIGHTS

if TYPE_CHECKING:
    from loftwright.documents.flight_record import FlightRecord
    from loftwright.web.bench import Bench
    from loftwright.web.jobs import Job

__all__ = ["Arrival", "arriving"]

_DRAFT = re.compile(r"\.(.+)\.[0-9a-f]{8}\.part")  # as `evidence.keeping` names what it copies
FRESH = 60.0  # s; what nobody has written to for longer was left behind by a command that was ended


@dataclass(frozen=True, slots=True)
class Arrival:
    """What is under way to a flight: work that takes files in, and files that no record has yet."""

    jobs: tuple[Job, ...]
    files: tuple[str, ...]

    @property
    def mark(self) -> str:
        """What tells this from what is under way at another moment."""
        whole = "\n".join([*(job.id for job in self.jobs), "", *self.files])
        return hashlib.sha256(whole.encode("utf-8", "surrogatepass")).hexdigest()[:16]


def arriving(bench: Bench, flight: str, record: FlightRecord) -> Arrival:
    """Return what is being taken into ``flight``, whose record is ``record``."""
    running = [job for job in bench.jobs.running() if job.words[:1] == ["record"]]
    known = {each.file for each in record.evidence}
    folder = bench.home / FLIGHTS / flight / EVIDENCE
    files = set()
    for path in folder.iterdir() if folder.is_dir() else ():
        draft = _DRAFT.fullmatch(path.name)
        name = draft[1] if draft else path.name
        with suppress(OSError):  # it has got its own name, or is gone again
            if name not in known and time.time() - path.stat().st_mtime < FRESH:
                files.add(name)
    return Arrival(tuple(job for job in running if flight in job.words), tuple(sorted(files)))
