"""Kept rehearsals: their answers, the documents that they flew, and those made ready again."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from loftwright.errors import ProblemError
from loftwright.report.shell import typed
from loftwright.web.jobs import Job, State
from loftwright.web.report_body import body_of

if TYPE_CHECKING:
    from loftwright.documents import Campaign
    from loftwright.rehearsal.plan import Plan
    from loftwright.rehearsal.results import Case, Rehearsal
    from loftwright.web.bench import Bench

__all__ = [
    "COLUMNS",
    "Kept",
    "adopt_command",
    "is_written",
    "kept_rehearsals",
    "kept_tunings",
    "of_command",
    "parted",
    "rehearsal_kept",
    "report_shown",
    "slug",
    "start_kept",
]

DOCUMENTS = "documents"  # in a job's folder: the documents as they were when it began
COLUMNS = ("payload", "vehicle", "field", "counted")

_ready = Lock()


@dataclass(frozen=True)
class Kept:
    """A rehearsal that is done: its job and its answer."""

    job: Job
    answer: Mapping[str, Any]
    rehearsal: Rehearsal

    @property
    def cases(self) -> dict[str, Case]:
        """All cases by the word that addresses them, the nominal one first."""
        found: dict[str, Case] = {}
        each = self.rehearsal
        for case in (each.nominal, *each.faults, *each.pairs):
            word, number = slug(case.name), 2
            while word in found:
                word, number = f"{slug(case.name)}-{number}", number + 1
            found[word] = case
        return found

    @property
    def documents(self) -> Path | None:
        """Where the documents lie that it flew; None where they were not kept as they were."""
        folder = self.job.folder / DOCUMENTS
        return folder if _hashes(folder) == self.rehearsal.provenance.documents else None

    def campaign(self) -> Campaign:
        """Return the campaign that it flew.

        Raises ``ProblemError`` where the documents were not kept.
        """
        from loftwright.documents import read_campaign
        from loftwright.errors import Problem, ProblemError

        folder = self.documents
        if folder is None:
            message = "the documents that this rehearsal flew are not kept"
            mend = "rehearse again; its flights can be looked at then"
            raise ProblemError([Problem("rehearse-not-kept", message, mend=mend)])
        return read_campaign(folder)

    def plan(self) -> Plan:
        """Return the plan that its flights are flown again with."""
        campaign = self.campaign()
        truth = _option(self.job.words, "--truth")
        with _ready:
            return _plan(str(campaign.folder), self.rehearsal.seed, truth)

    def is_of_now(self, bench: Bench) -> bool:
        """Tell whether the documents are still those that it flew."""
        from loftwright.errors import ProblemError

        try:
            return dict(bench.read_campaign().hashes) == self.rehearsal.provenance.documents
        except ProblemError:
            return False


@lru_cache(maxsize=4)
def _plan(folder: str, seed: int, truth: str) -> Plan:
    """Make kept documents ready, which never change."""
    from loftwright.cli.rehearse import recorded_truth
    from loftwright.documents import read_campaign
    from loftwright.rehearsal.plan import plan_of

    recorded = recorded_truth(Path(truth)) if truth else None
    return plan_of(read_campaign(Path(folder)), seed, recorded)


def _hashes(folder: Path) -> dict[str, str]:
    from loftwright.documents.history import digest_of

    if not folder.is_dir():
        return {}
    names = (path for path in sorted(folder.rglob("*.toml")) if path.is_file())
    return {
        path.relative_to(folder).as_posix(): digest_of(path.read_bytes()) or "" for path in names
    }


def _option(words: Sequence[str], option: str) -> str:
    """Return what follows an option of a command; empty where it is not there."""
    return words[words.index(option) + 1] if option in words[:-1] else ""


def start_kept(bench: Bench, words: Sequence[str], *, page: str, title: str) -> Job:
    """Start a command, and keep the documents as they are beside its answer.

    Should one be changed in this very moment, both differ: that is seen by their digests.
    """
    campaign = bench.read_campaign()
    job = bench.jobs.start(words, page=page, title=title)
    _keep_documents(campaign, job)
    return job


def _keep_documents(campaign: Campaign, job: Job) -> None:
    for name in campaign.hashes:
        copy = job.folder / DOCUMENTS / name
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes((campaign.folder / name).read_bytes())


def of_command(jobs: Sequence[Job], verb: str) -> list[Job]:
    """Return the jobs that run or ran a command."""
    return [job for job in jobs if job.words[:1] == [verb]]


def kept_rehearsals(bench: Bench) -> list[Job]:
    """Return all rehearsals, the latest first, whatever became of them."""
    return [job for job in of_command(bench.jobs.all(), "rehearse") if "--watch" not in job.words]


def kept_tunings(bench: Bench) -> list[Job]:
    """Return all runs of tuning, the latest first."""
    return of_command(bench.jobs.all(), "tune")


def rehearsal_kept(bench: Bench, job: Job) -> Kept | None:
    """Return a rehearsal that is done; None of one that is not.

    Where nobody kept the documents when it began, and they are still the same, that is done now.

    Raises ``ProblemError`` where its answer is none that can be read.
    """
    if job.state is not State.DONE:
        return None
    from loftwright.rehearsal.kept import rehearsal_of

    answer = job.answer() or {}
    kept = Kept(job, answer, rehearsal_of(answer, typed(job.words)))
    if not (job.folder / DOCUMENTS).exists() and kept.is_of_now(bench):
        _keep_documents(bench.read_campaign(), job)
    return kept


def adopt_command(bench: Bench, job: Job) -> str:
    """Return the command that writes a change of a job's answer; its number is to follow."""
    answer = str(job.folder / "answer.json")
    return typed(["loftwright", "adopt", str(bench.home), answer])


def is_written(bench: Bench, whats: Collection[str], based_on: Mapping[str, str]) -> bool:
    """Tell whether the last change of the documents is one of these, made as it was tried.

    ``whats`` are the changes as they are called, ``based_on`` the SHA-256 of the documents that
    they were tried on. One that was taken back, or overtaken by others, is none.
    """
    from loftwright.documents.history import steps

    try:
        found = steps(bench.home)
    except ProblemError:  # said where the documents are described
        return False
    last = found.undo
    if last is None or found.blocked or last.what not in whats:
        return False
    return all(before in (None, based_on.get(file)) for file, (before, _) in last.files.items())


def slug(name: str) -> str:
    """Return a name as it stands in an address."""
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    return "-".join(filter(None, kept.split("-"))) or "case"


def parted(body: Markup) -> tuple[Markup, Markup]:
    """Return a report's body, and its foot: the cautions, and where it comes from."""
    head, mark, foot = body.partition('<section class="cautions">')
    return Markup(head), Markup(mark + foot)


def report_shown(bench: Bench, key: str, make: Callable[[], str]) -> Markup:
    """Return the body of a report that ``make`` makes now, its strips laid out under ``key``."""
    from loftwright.report.drawn import gathered_strips

    with gathered_strips() as strips:
        page = make()
    address = bench.strips.put(key[:80], strips) if strips else ""
    return body_of(page, address)
