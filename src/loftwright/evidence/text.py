"""Bytes into lines: which encoding a record is in, and where its lines end."""

from __future__ import annotations

import re
from dataclasses import dataclass

from loftwright.evidence.problems import problem

__all__ = ["LINE_END", "UNPRINTABLE", "Lines", "read_lines", "wide_encoding"]

LONGEST_RECORD = 256 * 1024 * 1024  # bytes; more is no load-cell record of a firing
# The longer mark first: the UTF-32 mark begins with the UTF-16 one.
MARKS = (
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
LINE_END = re.compile(r"\r\n|\n|\r")
UNPRINTABLE = re.compile(r"[\x00-\x08\x0e-\x1f]")


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a record, and how the bytes were read.

    ``texts[i]`` is line ``i + 1`` of the file. ``cut`` says that the file does not end with a
    line end, so its last line may be incomplete.
    """

    name: str
    texts: tuple[str, ...]
    cut: bool
    notes: tuple[str, ...]


def _marked_encoding(raw: bytes) -> str | None:
    return next((encoding for mark, encoding in MARKS if raw.startswith(mark)), None)


def _unmarked_utf_16(raw: bytes) -> str | None:
    """Plain text in UTF-16 without a mark has a zero in every second byte."""
    sample = raw[:2000]
    half = len(sample) // 2
    if half and sample[1::2].count(0) > 0.9 * half and not sample[::2].count(0):
        return "utf-16-le"
    if half and sample[::2].count(0) > 0.9 * half and not sample[1::2].count(0):
        return "utf-16-be"
    return None


def wide_encoding(raw: bytes) -> str | None:
    """Return the encoding that ``raw`` is in, by its mark or its zeros; None for plain bytes."""
    return _marked_encoding(raw) or _unmarked_utf_16(raw)


def _decode(raw: bytes, name: str) -> tuple[str, str]:
    """Text of ``raw`` and a note on the encoding."""
    wide = wide_encoding(raw)
    encoding = wide or "utf-8"
    try:
        return raw.decode(encoding), f"encoding {encoding}" + (
            " (marked or evident)" if wide else ""
        )
    except UnicodeDecodeError as error:
        if wide:
            raise problem(
                "evidence-encoding", file=name, value=encoding, facts={"at": error.start}
            ) from error
    return raw.decode("latin-1"), "encoding latin-1, because the bytes are not UTF-8"


def read_lines(raw: bytes, name: str) -> Lines:
    """Split the bytes of a record into lines.

    Parameters
    ----------
    raw : the file's bytes
    name : what to call the file in messages

    Raises
    ------
    ProblemError
        The file is empty, too long, not text, or breaks the encoding that it announces.
    """
    if not raw.strip():
        raise problem("evidence-empty", file=name)
    if len(raw) > LONGEST_RECORD:
        raise problem("evidence-too-long", file=name, value=f"{len(raw)} bytes")
    text, note = _decode(raw, name)
    texts = LINE_END.split(text)
    for number, line in enumerate(texts, start=1):
        if found := UNPRINTABLE.search(line):
            raise problem(
                "evidence-not-text", file=name, line=number, value=f"byte {ord(found.group()):#04x}"
            )
    cut = bool(texts[-1])
    return Lines(name, tuple(texts if cut else texts[:-1]), cut, (note,))
