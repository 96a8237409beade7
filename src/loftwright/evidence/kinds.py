"""What kind of record a file is, by its bytes and by what its columns are called."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from loftwright.documents.files import open_regular
from loftwright.errors import ProblemError
from loftwright.evidence.labels import read_label
from loftwright.evidence.log_guess import propose
from loftwright.evidence.log_labels import read_log_label
from loftwright.evidence.log_layout import Cell, LogLayout, find_log_layout
from loftwright.evidence.log_rows import head_table
from loftwright.evidence.stream import Source, encodings, read_blocks
from loftwright.evidence.text import Lines

__all__ = ["Head", "ProposedKind", "look_at", "propose_kind"]

HEAD = 64  # bytes
HEAD_LINES = 4000
# Container formats by the bytes that they begin with, as their specifications have them: RIFF/WAVE
# (IBM and Microsoft, 1991), FLAC (RFC 9639), Ogg (RFC 3533), ID3v2.4, JPEG (ITU-T T.81), PNG (ISO
# 15948), GIF89a, Matroska (RFC 9559, EBML RFC 8794).
BEGINNINGS = (
    (b"fLaC", "sound", "FLAC sound"),
    (b"OggS", "sound", "Ogg sound"),
    (b"ID3", "sound", "MPEG sound"),
    (b"\xff\xd8\xff", "picture", "a JPEG picture"),
    (b"\x89PNG\r\n\x1a\n", "picture", "a PNG picture"),
    (b"GIF8", "picture", "a GIF picture"),
    (b"\x1aE\xdf\xa3", "film", "a Matroska film"),
)
# ISO/IEC 14496-12: at byte 4 "ftyp", then the brand.
BRANDS = ((b"M4A", "sound", "sound"), (b"heic", "picture", "a picture"), (b"mif1", "picture", ""))


@dataclass(frozen=True, slots=True)
class ProposedKind:
    """A kind of record, why, and whether that is sure enough to be taken unasked."""

    kind: str
    why: str
    sure: bool


@dataclass(frozen=True, slots=True)
class Head:
    """The first lines of a file of text, and the table that is found in them."""

    lines: Lines
    layout: LogLayout


def look_at(
    path: Path, *, delimiter: str | None = None, decimal: str | None = None, alone: bool = True
) -> Head | None:
    """Return the table that a file begins with, None where it begins with none.

    Raises ``ProblemError`` where the file cannot be read at all.
    """
    with open_regular(path, name=path.name) as stream:
        source = Source(stream, path.name)
        try:
            for encoding in encodings(source):
                try:
                    block = next(read_blocks(source, encoding), None)
                except UnicodeDecodeError:
                    continue
                if block is None:
                    return None
                lines = Lines(path.name, tuple(block.texts[:HEAD_LINES]), cut=False, notes=())
                found = find_log_layout(lines, delimiter=delimiter, decimal=decimal, alone=alone)
                return Head(lines, found)
        except ProblemError:
            return None
    return None


def propose_kind(path: Path) -> ProposedKind:
    """Say what kind of record a file is, with the reason.

    Raises ``ProblemError`` where it cannot be read.
    """
    with open_regular(path, name=path.name) as stream:
        head = stream.read(HEAD)
    if (found := _by_beginning(head)) is not None:
        return found
    # A comma between two whole numbers may be a decimal comma of one column: two count for more.
    table = look_at(path) or look_at(path, alone=False)
    if table is None:
        return ProposedKind("other", "it begins with no table of numbers that can be read", True)
    return _by_columns(table)


def _by_beginning(head: bytes) -> ProposedKind | None:
    if head[:4] == b"RIFF" and head[8:12] in (b"WAVE", b"AVI "):
        kind = "sound" if head[8:12] == b"WAVE" else "film"
        return ProposedKind(kind, f"its bytes begin as those of a RIFF {kind}", True)
    for beginning, kind, what in BEGINNINGS:
        if head.startswith(beginning):
            return ProposedKind(kind, f"its bytes begin as those of {what}", True)
    if head[4:8] == b"ftyp":
        kind = next((kind for brand, kind, _ in BRANDS if head[8:].startswith(brand)), "film")
        return ProposedKind(kind, f"its bytes begin as those of an ISO media file, {kind}", True)
    return None


def _is_force(name: str) -> bool:
    """Tell whether a column is named like force; grams are of forces, and g of accelerations."""
    return read_label(name).kind in {"force", "sum"} and read_log_label(name).kind == "other"


def _by_columns(table: Head) -> ProposedKind:
    names = table.layout.names
    forces = [name for name in names if _is_force(name)]
    levels = [name for name in names if read_log_label(name).kind in {"pressure", "height"}]
    if forces:
        return ProposedKind("firing", f"column {forces[0]!r} sounds like force", not levels)
    if levels:
        words = read_log_label(levels[0]).kind
        return ProposedKind("log", f"column {levels[0]!r} sounds like {words}", True)
    numeric = [i for i, kind in enumerate(table.layout.kinds) if kind is Cell.NUMBER]
    head = head_table(table.layout, table.lines.texts)
    for role, sure in (("pressure", True), ("height", False)):
        guesses = [each for each in propose(head, numeric) if each.role == role]
        if guesses:
            why = f"column {guesses[0].column + 1} may be {role}: {guesses[0].why}"
            return ProposedKind("log", why, sure)
    return ProposedKind("other", "no column looks like pressure, height or force", False)
