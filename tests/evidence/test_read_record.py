"""Reading records of every shape: delimiters, decimals, encodings, units, clocks."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.errors import ProblemError
from loftwright.evidence.record import FiringRecord, parse_firing_record, read_firing_record

RNG = np.random.default_rng(7)
FORCE = np.round(RNG.normal(5.0, 2.0, 300), 3)
TIME = np.arange(300) * 0.002


def written(
    header: str,
    *columns: np.ndarray,
    delimiter: str = "\t",
    decimal: str = ".",
    end: str = "\n",
) -> str:
    rows = (
        delimiter.join(f"{value:.3f}".replace(".", decimal) for value in row)
        for row in zip(*columns, strict=True)
    )
    return header + end.join(rows) + end


def read(text: str | bytes, **options: object) -> FiringRecord:
    raw = text.encode() if isinstance(text, str) else text
    return parse_firing_record(raw, "made-up.txt", **options)  # type: ignore[arg-type]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(
    ("delimiter", "decimal"),
    [("\t", "."), ("\t", ","), (";", "."), (";", ","), (",", "."), (" ", "."), ("  ", ",")],
)
def test_delimiters_decimals_and_line_ends(delimiter: str, decimal: str, end: str) -> None:
    names = delimiter.join(["Time(s)", "Force(N)"])
    text = written(names + end, TIME, FORCE, delimiter=delimiter, decimal=decimal, end=end)
    record = read(text)
    np.testing.assert_allclose(record.force, FORCE, rtol=0, atol=1e-12)
    np.testing.assert_allclose(record.time, TIME, rtol=0, atol=1e-12)
    assert record.rate == pytest.approx(500.0, rel=1e-9)


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-le", "utf-16-be", "utf-32"]
)
def test_encodings(encoding: str) -> None:
    text = written("Prüfstand 3, 15 °C\nTime (ms)\tForce (N)\n", 1e3 * TIME, FORCE)
    record = read(text.encode(encoding))
    np.testing.assert_allclose(record.force, FORCE)
    assert record.remarks[0].text == "Prüfstand 3, 15 °C"
    assert "encoding" in record.notes[0]


# NIST SP 811 (2008), appendix B.8: 1 lbf = 4.448 222 N, 1 kgf = 9.806 65 N, 1 ozf = 0.278 013 9 N
# (all from memory; the first two are exact by definition with more digits).
@pytest.mark.parametrize(
    ("unit", "newtons", "tolerance"),
    [
        ("N", 1.0, 0),
        ("kN", 1000.0, 0),
        ("lbf", 4.448222, 1e-6),
        ("LBF", 4.448222, 1e-6),
        ("kgf", 9.80665, 1e-12),
        ("g", 0.00980665, 1e-12),
        ("ozf", 0.2780139, 1e-6),
    ],
)
def test_units_of_force(unit: str, newtons: float, tolerance: float) -> None:
    record = read(written(f"Time (s),Force [{unit}]\n", TIME, FORCE, delimiter=","))
    np.testing.assert_allclose(record.force, FORCE * newtons, rtol=tolerance, atol=1e-15)


@pytest.mark.parametrize(
    ("said", "rate"),
    [
        ("Sampling Frequency 1.652000 kHz", 1652.0),
        ("sample rate: 80 Hz", 80.0),
        ("80 samples/s", 80.0),
        ("10 SPS", 10.0),
        ("Sample interval = 12,5 ms", 80.0),
        ("dt: 0.001 s", 1000.0),
    ],
)
def test_sampling_in_the_header(said: str, rate: float) -> None:
    record = read(written(f"% {said}\nForce (N)\n", FORCE))
    assert record.rate == pytest.approx(rate, rel=1e-12)
    assert record.time[1] == pytest.approx(1.0 / rate, rel=1e-12)


@pytest.mark.parametrize(
    ("said", "name", "value"),
    [
        ("Water: 1000 grams", "water", 1.0),
        ("% Water:\t650\tmL", "water", 0.65),
        ("water mass = 0.8 kg", "water", 0.8),
        ("Pressure: 40 (psi)", "pressure", 275790.29),
        ("pressure 2,5 bar", "pressure", 2.5e5),
        ("Pressure: 3.6 bar abs", "absolute pressure", 3.6e5),
        ("Temperature: 59 F", "temperature", 288.15),
        ("temperature = 15.6 °C", "temperature", 288.75),
        ("Water temperature: 9 C", "temperature", 282.15),
    ],
)
def test_conditions_in_the_header(said: str, name: str, value: float) -> None:
    record = read(written(f"first line\n{said}\nForce (N)\t100 Hz\n", FORCE))
    assert record.conditions[name].value == pytest.approx(value, rel=1e-7)
    assert record.conditions[name].line == 2


def test_a_condition_without_a_unit_is_left_alone_and_noted() -> None:
    record = read(written("Pressure: 40\nForce (N), 100 Hz\n", FORCE))
    assert "pressure" not in record.conditions
    assert any("pressure in line 1 has no unit" in note for note in record.notes)


def test_a_condition_said_twice_counts_once() -> None:
    record = read(written("Water: 1 kg\nWater: 2 kg\nForce (N)\t100 Hz\n", FORCE))
    assert record.conditions["water"].value == 1.0
    assert any("stands again in line 2" in note for note in record.notes)


def test_cells_are_summed_and_a_given_sum_is_verified() -> None:
    other = np.round(RNG.normal(3.0, 1.0, 300), 3)
    summed = read(written("Cell 1 (N)\tCell 2 (N)\t100 Hz\n", FORCE, other))
    given_sum = read(
        written("Cell 1 (N)\tCell 2 (N)\tSum (N)\t100 Hz\n", FORCE, other, FORCE + other)
    )
    np.testing.assert_allclose(summed.force, FORCE + other)
    np.testing.assert_allclose(given_sum.force, FORCE + other)
    assert any("is the sum of the 2 cells in every row" in note for note in given_sum.notes)


def test_an_unnamed_sum_is_proved_by_its_rows() -> None:
    other = np.round(RNG.normal(3.0, 1.0, 300), 3)
    record = read(written("", FORCE, other, FORCE + other), rate=100.0, unit="N")
    np.testing.assert_allclose(record.force, FORCE + other)
    assert any("column 3 is the sum" in note for note in record.notes)


def test_a_column_can_be_named_or_counted() -> None:
    header = "Time (s)\tForce A (N)\tThrust B (lbf)\n"
    text = written(header, TIME, FORCE, 2 * FORCE)
    by_name, by_number = read(text, column="force a"), read(text, column=3)
    np.testing.assert_allclose(by_name.force, FORCE)
    np.testing.assert_allclose(by_number.force, 2 * FORCE * 4.4482216152605)


def test_units_in_a_row_of_their_own() -> None:
    record = read(written("Time;Thrust\nms;lbf\n", 1e3 * TIME, FORCE, delimiter=";"))
    assert record.rate == pytest.approx(500.0)
    np.testing.assert_allclose(record.force, FORCE * 4.4482216152605)


def test_other_columns_are_left_aside_and_noted() -> None:
    text = written("Time (s),Pressure (bar),Force (N)\n", TIME, FORCE, FORCE + 1, delimiter=",")
    record = read(text)
    np.testing.assert_allclose(record.force, FORCE + 1)
    assert any(note.startswith("not used: Pressure") for note in record.notes)


def test_blank_and_comment_lines_among_the_numbers() -> None:
    lines = written("Force (N)\t100 Hz\n", FORCE).split("\n")
    lines[50:50] = ["", "% a pause here", "   "]
    record = read("\n".join(lines))
    assert len(record.force) == 300
    assert any("3 blank or comment line(s)" in note for note in record.notes)


def test_a_cut_last_line_is_left_out() -> None:
    text = written("Time (s)\tForce (N)\n", TIME, FORCE)
    record = read(text + "0.600\t")
    assert len(record.force) == 300
    assert any("cut off and was left out" in note for note in record.notes)
    whole = read(text + "0.600\t1.000")
    assert len(whole.force) == 301
    assert any("is complete and was kept" in note for note in whole.notes)


def test_holes_in_the_clock_are_noted() -> None:
    time = TIME.copy()
    time[100:] += 0.5
    record = read(written("Time (s)\tForce (N)\n", time, FORCE))
    assert any("1 hole(s) in the time column" in note for note in record.notes)


@pytest.mark.parametrize("delimiter", [",", "comma"])
def test_a_delimiter_that_is_told_settles_the_comma(delimiter: str) -> None:
    text = written("Force (N), 100 Hz\n", FORCE, delimiter=";", decimal=",")
    assert len(read(text, decimal=",").force) == 300
    two = read(text, delimiter=delimiter, column=1, unit="N")
    np.testing.assert_allclose(two.force, np.trunc(FORCE))


def test_a_given_rate_leaves_the_time_column_aside() -> None:
    record = read(written("Time\tForce (N)\n", TIME, FORCE), rate=250.0)
    assert record.rate == 250.0
    assert record.time[1] == pytest.approx(0.004)


def test_numbers_in_the_header_are_no_rows() -> None:
    header = "Force A (N)\tForce B (N)\t100 Hz\n1000\n\t301\t%3/9/2031\nbench 4\n"
    record = read(written(header, FORCE, FORCE), column=1)
    assert len(record.force) == 300


def test_the_original_is_untouched_and_hashed(tmp_path: Path) -> None:
    raw = written("Force (N)\t100 Hz\r\n", FORCE, end="\r\n").encode()
    path = tmp_path / "run 1.txt"
    path.write_bytes(raw)
    record = read_firing_record(path)
    assert path.read_bytes() == raw
    assert record.sha256 == hashlib.sha256(raw).hexdigest()
    assert record.name == "run 1.txt"


def test_the_six_measured_firings_are_read(measured_firings: list[Path]) -> None:
    temperatures = []
    for path in measured_firings:
        record = read_firing_record(path)
        assert len(record.force) == 14000
        assert record.rate == 1652.0
        assert record.conditions["water"].value == 1.0
        assert record.conditions["pressure"].value == pytest.approx(275790.29, rel=1e-7)
        temperatures.append(record.conditions["temperature"].value - 273.15)
        assert any("sum of the 2 cells in every row" in note for note in record.notes)
    # University of Colorado, ASEN 2004 (2020), headers of the records: 9 to 25 degC.
    assert temperatures == pytest.approx([9.0, 15.0, 15.0, 13.0, 15.6, 25.0])


# ------------------------------------------------------------------ nothing may crash the reader

OPTIONS = st.fixed_dictionaries(
    {},
    optional={
        "rate": st.sampled_from([-1.0, 0.0, 100.0, float("nan"), 1e99]),
        "unit": st.sampled_from(["N", "lbf", "furlong", ""]),
        "column": st.sampled_from([0, 1, 2, 99, "force", "", "²", "-1"]),
        "time_unit": st.sampled_from(["s", "ms", "h"]),
        "delimiter": st.sampled_from(["\t", ",", "|", ""]),
        "decimal": st.sampled_from([".", ",", "x"]),
    },
)
PIECES = st.lists(
    st.sampled_from(
        ["1", "-2.5", "3,4", "1e5", "1e999", "nan", "\t", ",", ";", " ", "\n", "\r\n", "%", "Time",
         "(s)", "Force (N)", "Sum", "cell 1", "kHz 1", "5 Hz", "Water: 1 kg", "²", "١٢", "\x00",
         "+", "-", ".", "1_0", "°", "\ufeff", "0x1F", "1\n2\n3\n", "1\t2\n2\t3\n3\t4\n"]
    ),
    max_size=200,
).map("".join)  # fmt: skip


def outcome(raw: bytes, **options: object) -> FiringRecord | ProblemError:
    """Read, and hand back what was raised; anything but a ProblemError fails the test."""
    try:
        return read(raw, **options)
    except ProblemError as error:
        return error


def is_kind(answer: FiringRecord | ProblemError) -> bool:
    """Whether an answer can be used, or says where and how to mend."""
    if isinstance(answer, ProblemError):
        return all(each.message and each.mend and each.where.file for each in answer.problems)
    return bool(np.isfinite(answer.force).all() and np.all(np.diff(answer.time) > 0))


@given(raw=st.binary(max_size=400) | PIECES.map(str.encode), options=OPTIONS)
@settings(max_examples=300, deadline=None)
def test_any_bytes_give_a_record_or_a_problem(raw: bytes, options: dict[str, object]) -> None:
    assert is_kind(outcome(raw, **options))


@given(
    body=PIECES,
    at=st.integers(0, 400),
    encoding=st.sampled_from(["utf-8", "utf-16", "latin-1"]),
)
@settings(max_examples=200, deadline=None)
def test_a_good_record_with_anything_inside(body: str, at: int, encoding: str) -> None:
    text = written("Time (s)\tForce (N)\n", TIME[:120], FORCE[:120])
    at = min(at, len(text))
    assert is_kind(outcome((text[:at] + body + text[at:]).encode(encoding, "replace")))


@given(st.lists(st.floats(-1e4, 1e4), min_size=60, max_size=90), st.sampled_from("\t;, "))
@settings(max_examples=50, deadline=None)
def test_what_is_written_is_read(values: list[float], delimiter: str) -> None:
    column = np.array(values)
    clock = np.arange(len(values)) * 0.01
    text = f"Time(s){delimiter}Force(N)\n" + "".join(
        f"{t!r}{delimiter}{f!r}\n" for t, f in zip(clock.tolist(), values, strict=True)
    )
    np.testing.assert_array_equal(read(text).force, column)
