"""Writing values back changes what was asked and not a byte else."""

from __future__ import annotations

import copy
import difflib
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from documents.bad_documents import WHOLE
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.edit import set_values, with_values
from loftwright.documents.reading import read_document
from loftwright.documents.vehicle import Vehicle
from loftwright.errors import ProblemError
from loftwright.units import Quantity

TEXT = """# top
name = "x"   # its name

[nozzle]   # bare
throat = "1 mm"     # measured
flow = "0.9"        # wide

# about the fill
[fill]
a = "1"

[[vessel]]
v = "1 L"  # one

[[vessel]]
v = "2 L"  # two"""


@pytest.fixture
def vehicle(tmp_path: Path) -> Path:
    return Path(shutil.copy(WHOLE / "vehicle.toml", tmp_path / "vehicle.toml"))


def changed_lines(old: str, new: str) -> list[str]:
    """Return the lines of ``new`` that are not, in order, lines of ``old``."""
    matcher = difflib.SequenceMatcher(None, old.split("\n"), new.split("\n"), autojunk=False)
    changes = [opcode for opcode in matcher.get_opcodes() if opcode[0] != "equal"]
    return [line for _, _, _, start, end in changes for line in new.split("\n")[start:end]]


def test_a_value_is_replaced_in_place() -> None:
    text = with_values(TEXT, {"nozzle.flow": "0.93 ± 0.02"})
    assert text == TEXT.replace('"0.9"  ', '"0.93 ± 0.02"  ')


@pytest.mark.parametrize(
    ("key", "line", "after"),
    [
        ("nozzle.velocity", 'velocity = "1"', 'flow = "0.9"        # wide'),
        ("question", 'question = "1"', 'name = "x"   # its name'),
        ("vessel.0.wall", 'wall = "1"', 'v = "1 L"  # one'),
        ("vessel.1.wall", 'wall = "1"', 'v = "2 L"  # two'),
        ("tube.length", 'length = "1"', "[tube]"),
        ("vessel.2.v", 'v = "1"', "[[vessel]]"),
    ],
)
def test_a_new_field_stands_at_the_end_of_its_table(key: str, line: str, after: str) -> None:
    lines = with_values(TEXT, {key: "1"}).splitlines()
    assert lines[lines.index(line) - 1] == after


def test_everything_else_stays_byte_for_byte() -> None:
    values: dict[str, str | int | float | bool] = {"fill.b": True, "vessel.0.n": 3, "nozzle.c": 0.5}
    text = with_values(TEXT, values)
    assert [line for line in text.splitlines() if line not in ("b = true", "n = 3", "c = 0.5")] == (
        TEXT.splitlines()
    )


def test_windows_line_ends_stay() -> None:
    text = with_values(TEXT.replace("\n", "\r\n"), {"nozzle.flow": "1", "fill.b": "2", "t.u": "3"})
    assert "\n" not in text.replace("\r\n", "")
    assert tomllib.loads(text)["fill"] == {"a": "1", "b": "2"}


def test_an_empty_text_takes_a_table() -> None:
    assert with_values("", {"a.b": "1", "a.c": 2}) == '[a]\nb = "1"\nc = 2\n'


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('fill = { a = "1" }\n', "fill.b"),
        ('name = "x"\n', "name.first"),
        ("[fill]\n", "fill"),
        ("[[vessel]]\n", "vessel.3.v"),
        ("[[vessel]]\n", "vessel.v"),
        ("list = [1, 2]\n", "list.0"),
    ],
)
def test_what_has_no_place_is_refused(text: str, key: str) -> None:
    with pytest.raises(ProblemError) as caught:
        with_values(text, {key: "1"}, "vehicle.toml")
    assert caught.value.problems[0].code == "file-edit-refused"


def test_fitted_values_come_back(vehicle: Path) -> None:
    old = vehicle.read_text(encoding="utf-8")
    values = {"nozzle.flow_coefficient": "0.93 ± 0.02", "nozzle.velocity_coefficient": "0.96"}
    set_values(vehicle, values, Vehicle)
    nozzle = read_document(vehicle, Vehicle).nozzle
    assert nozzle.flow_coefficient == Quantity(0.93, 0.02)
    assert nozzle.velocity_coefficient == Quantity(0.96)
    assert changed_lines(old, vehicle.read_text(encoding="utf-8")) == [
        'flow_coefficient = "0.93 ± 0.02"',
        'velocity_coefficient = "0.96"',
    ]


def test_a_byte_order_mark_stays(vehicle: Path) -> None:
    vehicle.write_bytes(b"\xef\xbb\xbf" + vehicle.read_bytes())
    set_values(vehicle, {"name": "Burdock"})
    assert vehicle.read_bytes().startswith(b"\xef\xbb\xbf#")
    assert read_document(vehicle, Vehicle).name == "Burdock"


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({"nozzle.flow_coefficient": "1.2"}, "doc-out-of-bounds"),
        ({"nozzle.flow_koefficient": "0.9"}, "doc-unknown-field"),
        ({"fill.water_volume": "3 L"}, "vehicle-too-much-water"),
    ],
)
def test_what_would_not_read_again_is_not_written(
    vehicle: Path, values: dict[str, str], code: str
) -> None:
    old = vehicle.read_bytes()
    with pytest.raises(ProblemError) as caught:
        set_values(vehicle, values, Vehicle)
    assert [problem.code for problem in caught.value.problems] == [code]
    assert vehicle.read_bytes() == old


def test_a_broken_document_is_left_alone(vehicle: Path) -> None:
    vehicle.write_text("[fill", encoding="utf-8")
    with pytest.raises(ProblemError):
        set_values(vehicle, {"fill.a": "1"})
    assert vehicle.read_text(encoding="utf-8") == "[fill"
    with pytest.raises(ProblemError):
        set_values(vehicle.with_name("none.toml"), {"fill.a": "1"})


words = st.from_regex(r"[a-z_]{1,4}", fullmatch=True)
values = st.integers(-999, 999) | st.booleans() | st.text(st.characters(exclude_categories=["Cs"]))
tables = st.dictionaries(words, values, max_size=3)
documents = st.dictionaries(
    words, values | tables | st.lists(tables, min_size=1, max_size=2), max_size=4
)


@st.composite
def commented(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    data = draw(documents)
    lines = tomlkit.dumps(data).split("\n")
    text = "\n".join(f"{line} # {n}" if "=" in line and '"""' not in line else line
                     for n, line in enumerate(lines))  # fmt: skip
    return text, data


@given(commented(), words, words, values)
def test_exactly_what_was_asked_changes(
    document: tuple[str, dict[str, Any]], table: str, key: str, value: str | int | bool
) -> None:
    text, data = document
    wanted = copy.deepcopy(data)
    place = wanted.setdefault(table, {})
    if not isinstance(place, dict):
        with pytest.raises(ProblemError):
            with_values(text, {f"{table}.{key}": value})
        return
    place[key] = value
    new = with_values(text, {f"{table}.{key}": value})
    assert tomllib.loads(new) == wanted
    assert len(changed_lines(text, new)) <= 3  # a gap, a header and the field
