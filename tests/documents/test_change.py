"""Documents changed against what was read: no edit is lost in silence."""

from __future__ import annotations

import itertools
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from documents.bad_documents import WHOLE
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents.change import Edit, change, change_text, merged_lines
from loftwright.documents.edit import with_values
from loftwright.documents.history import digest_of, undo
from loftwright.documents.journal import remember
from loftwright.documents.merging import hunks
from loftwright.documents.reading import MODELS
from loftwright.documents.written import as_written, declared_at, shown
from loftwright.errors import ProblemError

FILE = "vehicle.toml"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return Path(shutil.copytree(WHOLE, tmp_path / "home"))


def content(home: Path) -> bytes:
    return (home / FILE).read_bytes()


def read(home: Path) -> str:
    """Return the digest of the vehicle as a page does that is about to change it."""
    return remember(home, content(home))


def set_in(home: Path, values: dict[str, Any], removed=(), based_on=None):
    edit = Edit(values, tuple(removed), based_on)
    return change(home, {FILE: edit}, {FILE: MODELS["vehicle"]})


def said(home: Path) -> dict[str, Any]:
    return tomllib.loads(content(home).decode())


def by_hand(home: Path, values: dict[str, Any]) -> None:
    (home / FILE).write_text(with_values(content(home).decode(), values))


def test_edits_of_different_fields_are_put_together(home: Path) -> None:
    base = read(home)
    by_hand(home, {"fill.gauge_pressure": "50 psi"})
    done = set_in(home, {"fill.water_volume": "0.5 L"}, based_on=base)
    assert done.written == (FILE,)
    assert done.meanwhile == {FILE: ("fill.gauge_pressure",)}
    assert said(home)["fill"]["gauge_pressure"] == "50 psi"
    assert said(home)["fill"]["water_volume"] == "0.5 L"
    assert done.hashes[FILE] == digest_of(content(home))


def test_edits_of_the_same_field_come_back_with_all_three(home: Path) -> None:
    base, was = read(home), said(home)["fill"]["water_volume"]
    by_hand(home, {"fill.water_volume": "0.4 L"})
    text = content(home)
    done = set_in(home, {"fill.water_volume": "0.5 L", "name": "Mine"}, based_on=base)
    (clash,) = done.conflicts
    assert (clash.path, clash.base, clash.theirs, clash.yours) == (
        "fill.water_volume",
        was,
        "0.4 L",
        "0.5 L",
    )
    assert done.written == ()
    assert content(home) == text


def test_both_wanting_the_same_is_no_clash(home: Path) -> None:
    base = read(home)
    by_hand(home, {"fill.water_volume": "0.4 L"})
    assert set_in(home, {"fill.water_volume": "0.4 L"}, based_on=base).conflicts == ()


def test_without_the_text_that_was_read_everything_that_differs_is_asked(home: Path) -> None:
    done = set_in(home, {"fill.water_volume": "0.5 L"}, based_on="0" * 64)
    (clash,) = done.conflicts
    assert clash.base is None
    assert clash.theirs == said(home)["fill"]["water_volume"]


def test_what_they_took_out_is_not_put_back_by_halves(home: Path) -> None:
    base = read(home)
    set_in(home, {}, ["canopy"])
    done = set_in(home, {"canopy.delay": "1 s"}, based_on=base)
    assert [each.theirs for each in done.conflicts] == [None]


def test_taking_out_what_they_changed_is_asked(home: Path) -> None:
    base = read(home)
    by_hand(home, {"canopy.diameter": "0.8 m"})
    (clash,) = set_in(home, {}, ["canopy"], based_on=base).conflicts
    assert clash.yours is None
    assert "diameter = 0.8 m" in (clash.theirs or "")


def test_one_of_a_list_is_not_taken_for_another(home: Path) -> None:
    fins = said(home)["fins"][0]
    set_in(home, {f"fins.1.{word}": value for word, value in {**fins, "count": 3}.items()})
    base = read(home)
    set_in(home, {}, ["fins.0"])
    set_in(home, {f"fins.1.{word}": value for word, value in {**fins, "count": 8}.items()})
    done = set_in(home, {"fins.0.span": "90 mm"}, based_on=base)
    assert [each.path for each in done.conflicts] == ["fins.0.span"]


def test_what_would_not_read_is_refused_and_old_errors_do_not_stand_in_the_way(home: Path) -> None:
    text = content(home)
    with pytest.raises(ProblemError) as caught:
        set_in(home, {"fill.water_volume": "wet"})
    assert caught.value.problems[0].where.field == "fill.water_volume"
    assert content(home) == text
    by_hand(home, {"nozzle.throat_diameter": "wide"})
    set_in(home, {"fill.water_volume": "0.5 L"})
    set_in(home, {"nozzle.throat_diameter": "21.6 mm"})
    assert said(home)["nozzle"]["throat_diameter"] == "21.6 mm"


def test_a_text_is_kept_with_its_line_ends_and_only_with_errors_when_asked(home: Path) -> None:
    windows = content(home).replace(b"\n", b"\r\n")
    (home / FILE).write_bytes(windows)
    text = content(home).decode().replace('name = "', 'name = "New ')
    change_text(home, FILE, text.replace("\r\n", "\n"), MODELS["vehicle"])
    assert content(home) == text.encode()
    with pytest.raises(ProblemError):
        change_text(home, FILE, "[fill", MODELS["vehicle"])
    assert content(home) == text.encode()
    change_text(home, FILE, "[fill", MODELS["vehicle"], with_errors=True)
    assert content(home) == b"[fill"
    undo(home)
    assert content(home) == text.encode()


def test_texts_that_two_changed_come_back_line_by_line(home: Path) -> None:
    old = content(home).decode()
    base = read(home)
    by_hand(home, {"name": "Theirs", "fill.gauge_pressure": "50 psi"})
    mine = with_values(old, {"name": "Yours", "fill.water_volume": "0.5 L"})
    done = change_text(home, FILE, mine, MODELS["vehicle"], based_on=base)
    assert done.written == ()
    kinds = [hunk.kind for hunk in done.lines if hunk.kind != "same"]
    assert kinds in (["conflict", "yours", "theirs"], ["conflict", "conflict"])
    both = merged_lines(done.lines, {})
    assert "Theirs" in both
    assert "Yours" in both


lines = st.lists(st.sampled_from(["a", "b", "c", "d", ""]), max_size=9)


@given(st.none() | lines, lines, lines)
def test_hunks_hold_both_texts_whole(base, theirs, yours) -> None:
    found = hunks(base, theirs, yours)
    assert [line for hunk in found for line in hunk.theirs] == theirs
    assert [line for hunk in found for line in hunk.yours] == yours
    if base is not None:
        assert [line for hunk in found for line in hunk.base] == base
    for hunk in found:
        assert (hunk.kind == "same") == (hunk.theirs == hunk.yours)
    assert ("same", "same") not in itertools.pairwise(hunk.kind for hunk in found)


@given(lines, lines)
def test_what_one_side_alone_changed_is_taken(base, yours) -> None:
    assert merged_lines(hunks(base, base, yours), {}).split("\n") == (yours or [""])
    assert merged_lines(hunks(base, yours, base), {}).split("\n") == (yours or [""])


FIELDS = ["fill.water_volume", "fill.gauge_pressure", "name", "canopy.delay", "ballast.mass"]
VALUES = {
    "fill.water_volume": ["0.4 L", "0.5 L"],
    "fill.gauge_pressure": ["40 psi", "50 psi"],
    "name": ["One", "Two"],
    "canopy.delay": ["0.2 s", "0.3 s"],
    "ballast.mass": ["10 g", "20 g"],
}
edits = st.dictionaries(st.sampled_from(FIELDS), st.integers(0, 1), min_size=1)


def valued(picked: dict[str, int]) -> dict[str, Any]:
    values = {path: VALUES[path][number] for path, number in picked.items()}
    return values | ({"ballast.from_nose": "60 mm"} if "ballast.mass" in values else {})


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(edits, st.booleans()), min_size=2, max_size=4))
def test_no_edit_of_many_on_the_same_reading_is_lost(tmp_path_factory, doings) -> None:
    home = Path(shutil.copytree(WHOLE, tmp_path_factory.mktemp("several") / "home"))
    base = read(home)
    first = tomllib.loads(content(home).decode())
    in_force: dict[str, str] = {}
    for picked, gone in doings:
        wanted, removed = valued(picked), ["canopy"] if gone and "canopy" in said(home) else []
        wanted = {path: value for path, value in wanted.items() if not (removed and "can" in path)}
        before = content(home)
        done = set_in(home, wanted, removed, based_on=base)
        if done.conflicts:
            assert content(home) == before
            for clash in done.conflicts:
                # Somebody else has indeed changed it, or what it stands in.
                root = clash.path.split(".")[0]
                assert said(home).get(root) != first.get(root)
                assert clash.yours is not None or clash.path in removed
            continue
        in_force |= wanted
        if removed:
            in_force = {path: value for path, value in in_force.items() if "can" not in path}
            assert "canopy" not in said(home)
    now = said(home)
    for path, value in in_force.items():
        place: Any = now
        for part in path.split("."):
            place = place[part]
        assert place == value


EDITOR = """
import sys
from pathlib import Path
from loftwright.documents.change import Edit, change
from loftwright.documents.reading import MODELS
home, mine = Path(sys.argv[1]), sys.argv[2]
for number in range(6):
    edit = Edit({f"part.{mine}.mass": f"{number + 1} g"})
    change(home, {"vehicle.toml": edit}, {"vehicle.toml": MODELS["vehicle"]})
"""


def test_several_commands_at_once_lose_no_edit_and_leave_it_whole(home: Path) -> None:
    parts = {}
    for number in range(4):
        parts |= {f"part.{number}.name": f"part {number}", f"part.{number}.mass": "9 g"}
        parts |= {f"part.{number}.from_nose": "0 mm", f"part.{number}.length": "10 mm"}
    old = with_values(content(home).decode(), parts)
    (home / FILE).write_text(old)
    running = [
        subprocess.Popen([sys.executable, "-c", EDITOR, str(home), str(number)])
        for number in range(4)
    ]
    while any(each.poll() is None for each in running):
        tomllib.loads(content(home).decode())  # always whole, whenever it is read
    assert [each.returncode for each in running] == [0] * 4
    masses = [each["mass"] for each in said(home)["part"][:4]]
    assert masses == ["6 g"] * 4
    for _ in range(24):
        undo(home)
    assert content(home).decode() == old


def test_words_become_what_the_field_takes() -> None:
    vehicle, site, program = MODELS["vehicle"], MODELS["site"], MODELS["program"]
    assert as_written(vehicle, "fins.0.count", " 4 ") == 4
    assert as_written(vehicle, "fins.0.count", "four") == "four"
    assert as_written(vehicle, "name", "12") == "12"
    assert as_written(vehicle, "name", '"Twelve"') == '"Twelve"'
    assert as_written(vehicle, "fill.water_volume", '"0.5 L"') == "0.5 L"
    assert as_written(program, "stage.0.ground", "true") is True
    for text in ('["1 m, 2 m", "3 m, 4 m"]', "1 m, 2 m; 3 m, 4 m", "1 m, 2 m\n3 m, 4 m\n"):
        assert as_written(site, "shape.0.corners", text) == ["1 m, 2 m", "3 m, 4 m"]
    for value in (4, True, "x", ["1 m, 2 m", "3 m, 4 m"]):
        path = {4: "fins.0.count"}.get(value if isinstance(value, int) else 0, "name")
        model = vehicle
        if value is True:
            path, model = "stage.0.ground", program
        if isinstance(value, list):
            path, model = "shape.0.corners", site
        assert as_written(model, path, shown(value)) == value


def test_declarations_are_found_by_path() -> None:
    vehicle = MODELS["vehicle"]
    found = declared_at(vehicle, ("fins", 0, "span"))
    assert found is not None
    assert found.rule.dimension == "length"
    assert declared_at(vehicle, ("fins",)).rule.kind == "tables"
    for path in itertools.chain([("none",), ("fill", 0), ("name", "x"), ("fins", 0, "x")]):
        assert declared_at(vehicle, path) is None
