"""Malformed records as data: what is wrong, the bytes, and the code that they get.

The messages stand word for word in ``docs/reference/bad-input.md``, which a test keeps fresh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from documents.bad_input import Case, Section

from loftwright.errors import Problem, ProblemError
from loftwright.evidence.record import read_firing_record
from loftwright.evidence.thrust import measure_firing

__all__ = ["BAD_RECORDS", "SECTION", "BadRecord"]


@dataclass(frozen=True)
class BadRecord:
    """A record that cannot be read, or holds no firing that can be measured."""

    title: str
    raw: bytes
    code: str
    line: int | None = None
    options: dict[str, Any] = field(default_factory=dict)
    measured: bool = False  # the reader takes it; measuring refuses it

    @property
    def written(self) -> str:
        """What a person would see as wrong."""
        said = ", ".join(f"{name}={value!r}" for name, value in self.options.items())
        if said or self.line is None:
            return said
        lines = self.raw.decode("latin-1").splitlines()
        shown = lines[self.line - 1].replace("\t", "    ").strip()
        return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in shown)

    def problems(self, folder: Path) -> Sequence[Problem]:
        """Read and measure the record in an empty folder; return what is reported."""
        path = folder / "run.txt"
        path.write_bytes(self.raw)
        try:
            measure_firing(read_firing_record(path, **self.options))
        except ProblemError as error:
            return error.problems
        return ()

    def case(self) -> Case:
        """This record as a row of the docs."""
        return Case(self.title, self.written, (self.code,), self.line, self.problems)


def rows(count: int = 60, form: str = "{t:.2f}\t{f:.2f}\n", at: int = 30) -> str:
    """Rows of a quiet record with a bump in the middle."""
    return "".join(form.format(t=0.01 * i, f=5.0 if i == at else 0.1) for i in range(count))


GOOD = "Time (s)\tForce (N)\n"


def changed(line: int, text: str, body: str | None = None) -> bytes:
    """A good record with one line replaced (1 is the header)."""
    lines = (body or GOOD + rows()).split("\n")
    lines[line - 1] = text
    return "\n".join(lines).encode()


BAD_RECORDS: tuple[BadRecord, ...] = (
    BadRecord(
        "an empty record",
        b"",
        "evidence-empty",
    ),
    BadRecord(
        "a picture instead of a record",
        b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR",
        "evidence-not-text",
        line=2,
    ),
    BadRecord(
        "UTF-16 cut in the middle of a letter",
        "Force (N)\t100 Hz\n1\n2\n".encode("utf-16") + b"\x31",
        "evidence-encoding",
    ),
    BadRecord("words only", b"Firing 3 was loud\nand wet\n", "evidence-no-rows"),
    BadRecord(
        "a comma that may be a decimal comma",
        ("Force (N), 100 Hz\n" + rows(form="{f:.2f}\n").replace(".", ",")).encode(),
        "evidence-decimal-unclear",
        line=2,
    ),
    BadRecord(
        "the letter O for a zero",
        changed(12, "0.10\t0.1O"),
        "evidence-not-a-number",
        12,
    ),
    BadRecord(
        "not a number, said aloud",
        changed(20, "0.18\tNaN"),
        "evidence-not-a-number",
        20,
    ),
    BadRecord(
        "a number too large",
        changed(20, "0.18\t1e999"),
        "evidence-not-a-number",
        20,
    ),
    BadRecord(
        "a decimal comma in one row",
        changed(9, "0.07\t0,10"),
        "evidence-not-a-number",
        9,
    ),
    BadRecord(
        "a row without its force",
        changed(15, "0.13\t"),
        "evidence-column-count",
        15,
    ),
    BadRecord(
        "one cell too many",
        changed(15, "0.13\t0.1\t7"),
        "evidence-column-count",
        15,
    ),
    BadRecord(
        "two records in one file",
        (GOOD + rows() + "Time (s)\tForce (N)\n" + rows()).encode(),
        "evidence-not-a-number",
        62,
    ),
    BadRecord(
        "five rows",
        (GOOD + rows(5)).encode(),
        "evidence-too-short",
        2,
    ),
    BadRecord(
        "no unit of force",
        ("Time (s)\tForce\n" + rows()).encode(),
        "evidence-unit-missing",
        1,
    ),
    BadRecord(
        "volts instead of a force",
        ("Time (s)\tForce (V)\n" + rows()).encode(),
        "evidence-unit-unknown",
        1,
    ),
    BadRecord(
        "cells in different units",
        ("Cell 1 (N)\tCell 2 (lbf)\t100 Hz\n" + rows()).encode(),
        "evidence-unit-mixed",
        1,
    ),
    BadRecord(
        "no names at all, three columns that do not add up",
        rows(form="{f:.2f}\t{t:.2f}\t{f:.2f}\n").encode(),
        "evidence-column-unclear",
        1,
        {"rate": 100.0, "unit": "N"},
    ),
    BadRecord(
        "two different forces",
        ("Time (s)\tForce X (N)\tThrust stand (N)\n" + rows(form="{t:.2f}\t{f}\t{f}\n")).encode(),
        "evidence-column-unclear",
        1,
    ),
    BadRecord(
        "no force among the columns",
        ("Time (s)\tPressure (bar)\n" + rows()).encode(),
        "evidence-column-unclear",
        1,
    ),
    BadRecord(
        "a column that is not there",
        (GOOD + rows()).encode(),
        "evidence-no-column",
        1,
        {"column": "Cell 9"},
    ),
    BadRecord(
        "a sum that is not the sum",
        (
            "Cell 1 (N)\tCell 2 (N)\tSum (N)\t100 Hz\n"
            + rows(form="1.0\t2.0\t3.0\n", count=30)
            + "1.0\t2.0\t3.5\n"
            + rows(form="1.0\t2.0\t3.0\n", count=30)
        ).encode(),
        "evidence-sum-wrong",
        32,
    ),
    BadRecord(
        "no time and no sampling frequency",
        ("Force (N)\n" + rows(form="{f:.2f}\n")).encode(),
        "evidence-rate-missing",
        2,
    ),
    BadRecord(
        "two sampling frequencies",
        ("Sampling 100 Hz\nSampling 1.652 kHz\nForce (N)\n" + rows(form="{f:.2f}\n")).encode(),
        "evidence-rate-unclear",
        2,
    ),
    BadRecord(
        "a clock that contradicts the header",
        ("Sampling 80 Hz\n" + GOOD + rows()).encode(),
        "evidence-rate-conflict",
        3,
    ),
    BadRecord(
        "time without a unit",
        ("Time\tForce (N)\n" + rows()).encode(),
        "evidence-time-unit",
        1,
    ),
    BadRecord(
        "a clock that steps back",
        changed(30, "0.10\t0.10"),
        "evidence-time-order",
        30,
    ),
    BadRecord(
        "an option that is no unit",
        (GOOD + rows()).encode(),
        "evidence-option",
        None,
        {"unit": "stone"},
    ),
    BadRecord(
        "a sampling rate of zero",
        (GOOD + rows()).encode(),
        "evidence-option",
        None,
        {"rate": 0.0},
    ),
    BadRecord(
        "a force that never changes",
        (GOOD + rows(400, "{t:.2f}\t0.50\n")).encode(),
        "evidence-no-firing",
        measured=True,
    ),
    BadRecord(
        "a firing right at the start",
        (GOOD + rows(400, at=5)).encode(),
        "evidence-no-rest",
        measured=True,
    ),
    BadRecord(
        "a firing right at the end",
        (GOOD + rows(400, at=396)).encode(),
        "evidence-no-rest",
        measured=True,
    ),
)

SECTION = Section(
    "Records of static firings",
    "A load-cell record is read as it came. What it does not settle is asked for, never guessed.",
    tuple(bad.case() for bad in BAD_RECORDS),
)
