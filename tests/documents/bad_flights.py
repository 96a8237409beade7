"""Malformed records of flights, and readings: one edit each of one that reads without a word."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from documents.bad_documents import WHOLE
from documents.bad_input import Case, Section

from loftwright.documents.reading import MODELS, check_source
from loftwright.documents.source import Source, read_content
from loftwright.errors import Problem


def problems_of(text: str, document: str) -> Sequence[Problem]:
    """Return everything that reading a document reports."""
    source = Source(f"{document}.toml")
    read_content(text.encode(), source)
    check_source(source, MODELS[document])
    return source.problems


def edit(
    name: str, old: str, new: str, code: str, more: int = 0, *, document: str = "flight"
) -> Case:
    """Declare an edit; its line is the first changed one and ``more``."""
    text = (WHOLE / f"{document}.toml").read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    line = text[: text.index(old)].count("\n") + 1 + more
    changed = text.replace(old, new)

    def problems(_: Path) -> Sequence[Problem]:
        return problems_of(changed, document)

    return Case(name, new or f"without {old.splitlines()[0]}", (code,), line, problems)


MOMENT = 'moment = "apogee"\n'
PACED = 'distance = "48 m ± 3 m"\nbearing = "60 deg ± 10 deg"\n'
ADC = 'column = "adc"\nis = "pressure"'

CASES = (
    edit(
        "a word of another moment",
        'what = "canopy open"',
        'what = "canopy opn"',
        "doc-unknown-choice",
    ),
    edit("a body that is none", 'of = "payload"\nat', 'of = "payload4"\nat', "doc-unknown-choice"),
    edit("a misspelt kind of record", 'kind = "sound"', 'kind = "sond"', "doc-unknown-choice"),
    edit("a misspelt word", "bearing_zero", "bearing_zer", "doc-unknown-field"),
    edit("surer than sure", '"95 %"', '"120 %"', "doc-out-of-bounds"),
    edit("hardly believed", '"95 %"', '"20 %"', "record-unsure"),
    edit(
        "the time of what did not happen", 'happened = "yes"', 'happened = "no"', "doc-not-used", 2
    ),
    edit("a sighting without its moment", MOMENT, "", "record-no-moment", -3),
    edit(
        "a sighting from nowhere",
        '"Gate"\nof = "payload"',
        '"Gat"\nof = "payload"',
        "record-no-station",
    ),
    edit(
        "two stations of one name",
        'bearing_zero = "2 deg ± 1 deg"\n',
        'bearing_zero = "2 deg"\n\n[[station]]\nname = "Gate"\neast = "1 m"\nnorth = "2 m"\n',
        "record-same-station",
        3,
    ),
    edit("above straight up", '"41 deg ± 1 deg"', '"95 deg"', "doc-out-of-bounds"),
    edit("a watch that did not run", 'end = "touchdown"', 'end = "liftoff"', "record-no-span"),
    edit("a landing without its place", PACED, "", "record-no-place", -2),
    edit("half a place", 'bearing = "60 deg ± 10 deg"\n', "", "record-no-place", -3),
    edit(
        "two places of one landing",
        PACED,
        PACED + 'latitude = "52.1 deg"\nlongitude = "4.9 deg"\n',
        "record-no-place",
        -2,
    ),
    edit(
        "a body that landed twice",
        'of = "payload"\nlat',
        'of = "vehicle"\nlat',
        "record-landed-twice",
    ),
    edit("beyond the pole", '"52.1003 deg"', '"152.1003 deg"', "doc-out-of-bounds"),
    edit("a path for a file", '"launch.wav"', '"../launch.wav"', "record-name"),
    edit("two entries of a file", '"launch.wav"', '"Board.csv"', "record-file-twice"),
    edit("a digest that is none", '"60303ae22b', '"60303AE22b', "record-digest"),
    edit(
        "a flight before the first", "flight_number = 2", "flight_number = 0", "doc-out-of-bounds"
    ),
    edit(
        "two readings of one name",
        'name = "stand"',
        'name = "board"',
        "reading-same-name",
        document="readings",
    ),
    edit(
        "a column twice", 'column = "servo"', 'column = "ADC"', "reading-twice", document="readings"
    ),
    edit(
        "two columns of pressure",
        'is = "state"',
        'is = "pressure"',
        "reading-twice",
        document="readings",
    ),
    edit("a force in a log", 'is = "state"', 'is = "force"', "reading-role", document="readings"),
    edit("a factor of zero", "factor = 0.25", "factor = 0", "reading-factor", document="readings"),
    edit(
        "time from two places",
        'decimal = "."',
        'decimal = "."\nevery = "20 ms"',
        "reading-two-times",
        1,
        document="readings",
    ),
)

SECTION = Section(
    "Flights and readings",
    "Edits of a flight's record, and of the readings that a campaign keeps.",
    CASES,
)
