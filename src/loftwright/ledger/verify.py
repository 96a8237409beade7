"""Whether the ledger is whole, and whether the evidence is still what it was."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.flights import EVIDENCE, FLIGHTS
from loftwright.documents.snapshot import snapshot_digest
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.recorded_flight import digest_of
from loftwright.ledger.contents import Contents
from loftwright.ledger.entries import EvidenceEntry
from loftwright.ledger.problems import MEND_DAMAGE

__all__ = ["Verified", "verify"]

_TAKE_BACK = "take it from a copy; the record stands or falls with it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verified:
    """What was looked at, and what is wrong with it."""

    flights: int
    documents: int
    files: int
    size: int  # bytes of evidence that were read
    problems: tuple[Problem, ...]

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems


def verify(ledger: Contents, progress: Callable[[int, int], object] | None = None) -> Verified:
    """Read every page of the ledger and every byte of the evidence, and hold them to their digests.

    Looks at the database's own checks (its pages, references among its entries), at every document
    and build that it keeps, and at the files in ``flights/<name>/evidence/``. ``progress`` is told
    how many of these files are done, and of how many.
    """
    problems = list(_database(ledger))
    documents = list(_documents(ledger, problems))
    files, size = 0, 0
    total = len({(each.flight, each.file) for each in ledger.evidence()})
    for name in (each.name for each in ledger.flights()):
        place = ledger.folder / FLIGHTS / name
        if not place.is_dir():
            where = Where(file=f"{FLIGHTS}/{name}")
            message = "the folder of this flight is gone"
            problems.append(Problem("ledger-evidence-missing", message, where, _TAKE_BACK))
            continue
        for own in _by_file(ledger.evidence(name)):
            found, read = _file(place / EVIDENCE, own)
            problems += found
            files, size = files + 1, size + read
            if progress is not None:
                progress(files, total)
    return Verified(
        flights=len(ledger.flights()),
        documents=len(documents),
        files=files,
        size=size,
        problems=tuple(problems),
    )


def _database(ledger: Contents) -> Iterator[Problem]:
    for (said,) in ledger.rows("PRAGMA integrity_check"):
        if said != "ok":
            yield _damage(ledger, f"the database says: {said}")
    for table, _, other, _ in ledger.rows("PRAGMA foreign_key_check"):
        yield _damage(ledger, f"an entry of {table} leads to none of {other}")


def _documents(ledger: Contents, problems: list[Problem]) -> Iterator[str]:
    """Yield the digests of all documents; those that do not fit, and such builds, are noted."""
    for sha256, content in ledger.rows("SELECT sha256, content FROM document ORDER BY sha256"):
        if hashlib.sha256(content).hexdigest() != sha256:
            message = f"the document {sha256[:12]} is not what was put in"
            problems.append(_damage(ledger, message))
        yield sha256
    for (build,) in ledger.rows("SELECT sha256 FROM build ORDER BY sha256"):
        named = ledger.rows("SELECT file, document FROM build_document WHERE build = ?", build)
        if snapshot_digest(dict(named)) != build:
            problems.append(_damage(ledger, f"the build {build[:12]} is not what was put in"))


def _damage(ledger: Contents, message: str) -> Problem:
    return Problem("ledger-damaged", message, Where(file=ledger.file.name), MEND_DAMAGE)


def _by_file(entries: tuple[EvidenceEntry, ...]) -> Iterator[tuple[EvidenceEntry, ...]]:
    """Yield the entries of each file, the earliest first."""
    for file in dict.fromkeys(each.file for each in entries):
        yield tuple(each for each in entries if each.file == file)


def _file(folder: Path, own: tuple[EvidenceEntry, ...]) -> tuple[list[Problem], int]:
    """Return what is wrong with one file, and how many bytes of it were read."""
    entry = own[0]
    where = Where(file=f"{FLIGHTS}/{entry.flight}/{EVIDENCE}/{entry.file}")
    path = (folder / entry.file).resolve()
    if not path.is_relative_to(folder.resolve()):
        message = "this name leads out of the flight's evidence"
        mend = "give the name of a file in evidence/"
        return [Problem("ledger-evidence-missing", message, where, mend)], 0
    try:
        sha256, size = digest_of(path)
    except ProblemError as error:
        message = f"the evidence cannot be had: {error.problems[0].message}"
        return [Problem("ledger-evidence-missing", message, where, _TAKE_BACK)], 0
    problems = []
    if (sha256, size) != (entry.sha256, entry.size):
        message = f"these bytes ({size}, {sha256[:12]}) are not those that were taken in "
        message += f"({entry.size}, {entry.sha256[:12]})"
        problems.append(Problem("ledger-evidence-changed", message, where, _TAKE_BACK))
    if len(own) > 1:
        message = "flight.toml gave another digest of this file when it was first taken in"
        mend = "find out who changed it, and why; note that as a finding"
        problems.append(Problem("ledger-evidence-changed", message, where, mend))
    return problems, size
