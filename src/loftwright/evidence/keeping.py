"""Taking files into a flight's evidence: byte for byte, whole or not at all, read-only after."""

from __future__ import annotations

import hashlib
import os
import secrets
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

from loftwright.documents.alone import writing_alone
from loftwright.documents.campaign import Campaign
from loftwright.documents.edit import Value, changed_text, set_values, with_values, without
from loftwright.documents.files import open_regular, sync_folder, write_atomically
from loftwright.documents.flight_record import FlightEvidence, FlightRecord
from loftwright.documents.flights import (
    BUILD,
    EVIDENCE,
    FLIGHT_FILE,
    flight_folder,
    name_fault,
)
from loftwright.documents.reading import read_document, read_text
from loftwright.documents.snapshot import READ_ONLY, snapshot_digest, take_snapshot
from loftwright.documents.template import make_folder, starter
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.recorded_flight import AT_ONCE, digest_of

__all__ = [
    "Change",
    "TakenIn",
    "change_record",
    "keep_file",
    "note_entry",
    "open_flight",
    "refuse_change",
    "refuse_names",
]

Told = Callable[[int, int], object]
FORSAKEN = 3600.0  # s without a byte written to it


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A file that was taken in: where it lies now, and whether it was kept already."""

    path: Path
    name: str
    sha256: str
    size: int
    known: bool


def open_flight(campaign: Campaign, name: str) -> tuple[Path, bool]:
    """Begin the flight called ``name`` where it is not begun; return its folder, and if it was new.

    The documents are kept as they are now in ``build/``, and ``flight.toml`` is begun with every
    field as a comment. A flight that is begun is left as it is. Killed at any moment, the same
    call goes on where it was. Raises ``ProblemError`` where something cannot be written.
    """
    folder = flight_folder(campaign.folder, name)
    document = folder / FLIGHT_FILE
    if document.is_file():
        return folder, False
    make_folder(folder)
    with writing_alone(document):
        return folder, not document.is_file() and _begin(campaign, name, folder)


def _begin(campaign: Campaign, name: str, folder: Path) -> bool:
    build = folder / BUILD
    if build.is_dir():  # killed before flight.toml was written
        from loftwright.documents.reading import read_campaign

        digest = snapshot_digest(read_campaign(build).hashes)
    else:
        digest = take_snapshot(campaign, build)
    make_folder(folder / EVIDENCE)
    write_atomically(
        folder / FLIGHT_FILE, _begun(name, digest, campaign.head.units), overwrite=False
    )
    return True


def _begun(name: str, digest: str, system: str) -> str:
    return with_values(_starter(name, system), {"name": name, "build": digest}, FLIGHT_FILE)


def _starter(name: str, system: str = "metric") -> str:
    """Return the starter of a flight, without what is written by taking files in."""
    blocks = starter("flight", name, system=system).split("\n\n")
    text = "\n\n".join(each for each in blocks if not each.startswith("# [[evidence]]"))
    lines = text.splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith("# build = "))


def keep_file(
    folder: Path,
    original: Path,
    name: str | None = None,
    *,
    progress: Told | None = None,
) -> TakenIn:
    """Copy ``original`` into the evidence of the flight in ``folder``; its entry is not written.

    The copy appears under ``name`` (its own when left out) whole or not at all, and can only be
    read from then on. The same bytes are not kept twice: the file that holds them is returned.

    Raises
    ------
    ProblemError
        The file cannot be read, has a name that cannot be kept, changes while it is copied, or
        another file has its name here.
    """
    wanted = name or original.name
    if (fault := name_fault(wanted)) is not None:
        raise ProblemError([_badly_named(original, wanted, fault)])
    record = read_document(folder / FLIGHT_FILE, FlightRecord)
    evidence = folder / EVIDENCE
    make_folder(evidence)
    _sweep(evidence)
    draft = evidence / f".{wanted}.{secrets.token_hex(4)}.part"
    try:
        digest, size = _copied(original, draft, progress)
        return _placed(evidence, draft, original, wanted, (digest, size), record)
    except OSError as error:
        message = f"the file cannot be kept: {error.strerror or error}"
        mend = "see whether the campaign may be written to and has room"
        where = Where(file=str(evidence / wanted))
        raise ProblemError([Problem("file-not-written", message, where, mend)]) from error
    finally:
        draft.unlink(missing_ok=True)


def _badly_named(original: Path, wanted: str, fault: str) -> Problem:
    mend = "say another name for it here: --name board.csv"
    where = Where(file=str(original), value=wanted)
    return Problem("record-name", f"a file cannot be kept as this: {fault}", where, mend)


def refuse_names(folder: Path, files: Sequence[tuple[Path, str | None]]) -> None:
    """Raise ``ProblemError`` where `keep_file` would refuse a name of these files; keep nothing.

    ``files`` are originals with the name that each is to have; its own where that is None. So
    several files are taken in together, or none of them.
    """
    evidence = folder / EVIDENCE
    taken: dict[str, Path] = {}
    problems = []
    for original, name in files:
        wanted = name or original.name
        if (fault := name_fault(wanted)) is not None:
            problems.append(_badly_named(original, wanted, fault))
            continue
        twin = taken.get(wanted.casefold())
        if twin is None and evidence.is_dir():
            twin = _twin(evidence, wanted)
        if twin is not None and digest_of(twin) != digest_of(original):
            problems.append(_name_taken(original, twin.name, wanted))
        taken.setdefault(wanted.casefold(), original)
    if problems:
        raise ProblemError(problems)


@dataclass(frozen=True, slots=True)
class Change:
    """What is to be changed in a ``flight.toml``: fields that are set, then what is taken out.

    Paths are in the words of the file (``"stopwatch.0.time"``). With ``based_on`` the change holds
    for the document with this SHA-256 alone.
    """

    values: Mapping[str, Value] = field(default_factory=dict)
    removed: tuple[str, ...] = ()
    based_on: str | None = None


def refuse_change(folder: Path, change: Change) -> None:
    """Raise ``ProblemError`` where `change_record` would; nothing is written.

    ``flight.toml`` need not be there yet.
    """
    document = folder / FLIGHT_FILE
    if document.is_file():
        _changed(document, change)
        return
    named = {"name": folder.name, **change.values}
    text = with_values(_starter(folder.name), named, FLIGHT_FILE)
    read_text(without(text, change.removed, FLIGHT_FILE), FLIGHT_FILE, FlightRecord)


def change_record(folder: Path, change: Change) -> None:
    """Change the ``flight.toml`` in ``folder``, all of it or nothing; comments stay.

    Raises ``ProblemError`` and leaves the document as it was where that cannot be, or where it is
    not what the change is based on any more (``record-meanwhile``).
    """
    document = folder / FLIGHT_FILE
    if change.values or change.removed:
        with writing_alone(document):
            write_atomically(document, _changed(document, change))


def _changed(document: Path, change: Change) -> str:
    if change.based_on is not None and digest_of(document)[0] != change.based_on:
        message = "the flight's record has been changed meanwhile; nothing was written"
        mend = "look at it as it is now, and make the change again"
        raise ProblemError([Problem("record-meanwhile", message, Where(file=FLIGHT_FILE), mend)])
    text = changed_text(document, change.values, None if change.removed else FlightRecord)
    if not change.removed:
        return text
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    text = without(text.removeprefix(mark), change.removed, FLIGHT_FILE)
    read_text(text, FLIGHT_FILE, FlightRecord)
    return mark + text


def _sweep(evidence: Path) -> None:
    """Take away what copies left behind that were killed: half files that nobody writes to now."""
    for draft in evidence.glob(".*.part"):
        try:
            if time.time() - draft.stat().st_mtime > FORSAKEN:
                draft.unlink(missing_ok=True)
        except OSError:  # somebody else's; it does not count anyway
            continue


def _copied(original: Path, draft: Path, progress: Told | None) -> tuple[str, int]:
    """Copy bytes to a new file, on the disk when this returns; return their digest and number."""
    digest, done = hashlib.sha256(), 0
    with open_regular(original, name=str(original)) as stream:
        before = _stamp(stream)
        with draft.open("xb") as copy:
            # A file that grows as fast as it is read must not hold this up: it is refused below.
            while done <= before[0] and (content := stream.read(AT_ONCE)):
                digest.update(content)
                copy.write(content)
                done += len(content)
                if progress is not None:
                    progress(done, max(before[0], done))
            copy.flush()
            os.fsync(copy.fileno())
        if _stamp(stream) != before or done != before[0]:
            message = "the file has been changed while it was copied; nothing of it is kept"
            mend = "finish what is writing it, and run the same command again"
            raise ProblemError(
                [Problem("record-changed", message, Where(file=str(original)), mend)]
            )
    return digest.hexdigest(), done


def _stamp(stream: BinaryIO) -> tuple[int, int]:
    facts = os.fstat(stream.fileno())
    return facts.st_size, facts.st_mtime_ns


def _placed(
    evidence: Path,
    draft: Path,
    original: Path,
    wanted: str,
    facts: tuple[str, int],
    record: FlightRecord,
) -> TakenIn:
    """Put a copy in its place, or return the file that holds the same bytes already."""
    digest, size = facts
    for entry in record.evidence:
        if (entry.sha256, entry.size) == facts and (evidence / entry.file).is_file():
            return TakenIn(evidence / entry.file, entry.file, digest, size, known=True)
    twin = _twin(evidence, wanted)
    if twin is not None:
        if digest_of(twin) == facts:  # killed before its entry was written
            twin.chmod(READ_ONLY)
            return TakenIn(twin, twin.name, digest, size, known=False)
        raise ProblemError([_name_taken(original, twin.name, wanted)])
    _put_in_place(draft, evidence / wanted)
    draft.unlink(missing_ok=True)  # first: some systems let nobody remove what is read-only
    (evidence / wanted).chmod(READ_ONLY)
    sync_folder(evidence)
    return TakenIn(evidence / wanted, wanted, digest, size, known=False)


def _name_taken(original: Path, twin: str, wanted: str) -> Problem:
    message = f"another file is kept as {twin} already, and stays as it is"
    mend = f"say another name for this one: --name {_another(wanted)}"
    return Problem("record-name-taken", message, Where(file=str(original)), mend)


def _put_in_place(draft: Path, target: Path) -> None:
    """Give a finished copy its name in one step, which fails where the name is taken meanwhile."""
    try:
        os.link(draft, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links, such as a memory card's
        if target.exists():
            raise
        os.rename(draft, target)


def _twin(evidence: Path, wanted: str) -> Path | None:
    """Return what has this name already, whatever its capital letters."""
    found = (each for each in evidence.iterdir() if each.name.casefold() == wanted.casefold())
    return next(found, None)


def _another(name: str) -> str:
    stem, point, suffix = name.rpartition(".")
    return f"{stem}-2.{suffix}" if point and stem else f"{name}-2"


def note_entry(folder: Path, taken: TakenIn, told: Mapping[str, Value]) -> None:
    """Write the entry of a kept file into ``flight.toml``, or ``told`` into the one it has.

    ``told`` are fields of `FlightEvidence` in the words of the file. Comments and everything else
    stay. Raises ``ProblemError`` and leaves the document as it was where that cannot be.
    """
    path = folder / FLIGHT_FILE
    with writing_alone(path):
        _note(path, taken, told)


def _note(path: Path, taken: TakenIn, told: Mapping[str, Value]) -> None:
    record = read_document(path, FlightRecord)
    names = [entry.file for entry in record.evidence]
    place = names.index(taken.name) if taken.name in names else len(names)
    values: dict[str, Value] = {}
    if place == len(names):
        values = {"file": taken.name, "sha256": taken.sha256, "size": taken.size}
    values |= told
    ordered = sorted(values, key=list(FlightEvidence.__dataclass_fields__).index)
    if ordered:
        fields = {f"evidence.{place}.{word}": values[word] for word in ordered}
        set_values(path, fields, FlightRecord)
