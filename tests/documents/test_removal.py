"""Taking fields and tables out of a document, and putting them in, touches nothing else."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest
import tomlkit
from documents.bad_documents import WHOLE
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.edit import with_values, without
from loftwright.errors import ProblemError

TEXT = """# top
name = "x"   # its name
mass = "1 g"

# about the fill
[fill]          # poured in
a = "1"         # measured
# b = "2"       # not in use

# about the fins
[[fins]]
n = 1

[fins.root]
chord = "1"

[[fins]]
n = 2

[canopy]
d = "1"
# the last of it
"""


@pytest.mark.parametrize(
    ("path", "gone"),
    [
        ("mass", 'mass = "1 g"\n'),
        ("name", 'name = "x"   # its name\n'),
        ("fill.a", 'a = "1"         # measured\n'),
        ("fins.1", "\n[[fins]]\nn = 2\n"),
        ("fins.0.root", '\n[fins.root]\nchord = "1"\n'),
        ("canopy", '\n[canopy]\nd = "1"\n# the last of it\n'),
    ],
)
def test_what_goes_is_what_was_asked(path: str, gone: str) -> None:
    before, _, after = TEXT.partition(gone)
    assert without(TEXT, [path]) == before + after


def test_a_table_goes_with_what_is_below_it_and_comments_above_it_stay() -> None:
    text = without(TEXT, ["fins.0"])
    assert tomllib.loads(text)["fins"] == [{"n": 2}]
    assert "# about the fins" in text
    assert "fins" not in tomllib.loads(without(TEXT, ["fins"]))


def test_several_of_a_list_go_by_the_numbers_that_they_had() -> None:
    text = "\n".join(f"[[part]]\nn = {n}\n" for n in range(12))
    left = tomllib.loads(without(text, ["part.2", "part.10", "part.0", "part.10.n"]))["part"]
    assert [each["n"] for each in left] == [1, 3, 4, 5, 6, 7, 8, 9, 11]


def test_windows_line_ends_stay() -> None:
    old = TEXT.replace("\n", "\r\n")
    assert without(old, ["fins.1", "mass"]) == without(TEXT, ["fins.1", "mass"]).replace(
        "\n", "\r\n"
    )


@pytest.mark.parametrize("path", ["none", "fill.none", "fins.2", "fins.x", "name.x", "fins.0.n.x"])
def test_what_is_not_there_cannot_go(path: str) -> None:
    with pytest.raises(ProblemError) as caught:
        without(TEXT, [path], "vehicle.toml")
    assert caught.value.problems[0].code == "file-edit-refused"
    assert caught.value.problems[0].where.field == path


def test_what_shares_a_line_is_refused() -> None:
    with pytest.raises(ProblemError):
        without('fill = { a = "1", b = "2" }\n', ["fill.a"])
    assert without('x = 1\nfill = { a = "1", b = "2" }\n', ["fill"]) == "x = 1\n"


def test_another_of_a_list_stands_behind_its_like() -> None:
    text = with_values(TEXT, {"fins.2.n": 3})
    assert text.index("n = 3") < text.index("[canopy]")
    nested = '[[stage]]\nname = "a"\n\n[[stage.way]]\nto = "b"\n\n[[stage]]\nname = "b"\n'
    more = with_values(nested, {"stage.0.way.1.to": "c", "stage.1.way.0.to": "a"})
    data = tomllib.loads(more)
    assert [way["to"] for way in data["stage"][0]["way"]] == ["b", "c"]
    assert [way["to"] for way in data["stage"][1]["way"]] == ["a"]
    assert without(more, ["stage.0.way.1", "stage.1.way"]) == nested


@pytest.mark.parametrize("end", ["\n", "", "\r\n"])
def test_taking_out_what_was_put_into_a_whole_document_gives_it_back(end: str) -> None:
    text = (WHOLE / "vehicle.toml").read_text(encoding="utf-8").rstrip("\n")
    if end == "\r\n":
        text = text.replace("\n", "\r\n")
    text += end
    added = with_values(text, {"spare.a": "1", "spare.b": "2", "fins.1.count": 3, "more": "x"})
    assert without(added, ["fins.1", "more", "spare"]) == text


words = st.from_regex(r"[a-z_]{1,4}", fullmatch=True)
values = st.integers(-999, 999) | st.booleans() | st.text(st.characters(exclude_categories=["Cs"]))
tables = st.dictionaries(words, values, max_size=3)
lists = st.lists(tables, min_size=1, max_size=3)
documents = st.dictionaries(words, values | tables | lists, max_size=5)


@st.composite
def commented(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """Return a document as another library writes it, with comments, and what it says."""
    data = draw(documents)
    lines: list[str] = []
    for number, line in enumerate(tomlkit.dumps(data).split("\n")):
        plain = "=" in line and '"""' not in line
        if draw(st.booleans()) and not any('"""' in each for each in lines):
            lines.append(f"# above {number}")
        lines.append(f"{line} # {number}" if plain else line)
    text = "\n".join(lines)
    text = text.rstrip("\n") if draw(st.booleans()) else text
    return text, tomllib.loads(text)


@given(commented(), words, words, values, st.booleans())
def test_taking_out_what_was_put_in_gives_the_old_text(
    document: tuple[str, dict[str, Any]], table: str, key: str, value: Any, many: bool
) -> None:
    text, data = document
    there = data.get(table)
    if many:
        if there is not None and not (isinstance(there, list) and there):
            return
        outermost = f"{table}.{len(there or [])}"
    else:
        if there is not None and not isinstance(there, dict):
            return
        outermost = table if there is None else f"{table}.{key}"
        if there is not None and key in there:
            return
    path = f"{outermost}.{key}" if many else f"{table}.{key}"
    added = with_values(text, {path: value})
    assert without(added, [outermost]) == text


@given(commented(), st.data())
def test_exactly_what_was_asked_goes_and_comments_of_others_stay(
    document: tuple[str, dict[str, Any]], data: st.DataObject
) -> None:
    text, said = document
    paths = sorted(_paths(said))
    if not paths:
        return
    path = data.draw(st.sampled_from(paths))
    left = without(text, [path])
    wanted = copy.deepcopy(said)
    _take(wanted, path)
    assert tomllib.loads(left) == wanted
    above = f"\n{text}".partition("\n[")[0]  # tables may have fields of the same names
    for word, each in said.items():
        if path.partition(".")[0] != word and not isinstance(each, dict | list):
            lines = [
                line for line in above.split("\n") if line.startswith((f"{word} =", f'"{word}" ='))
            ]
            assert all(line in left for line in lines)


def _paths(said: dict[str, Any]) -> list[str]:
    found = []
    for word, each in said.items():
        found.append(word)
        if isinstance(each, dict):
            found += [f"{word}.{inner}" for inner in each]
        elif isinstance(each, list):
            found += [f"{word}.{number}" for number in range(len(each))]
            found += [f"{word}.{n}.{inner}" for n, item in enumerate(each) for inner in item]
    return found


def _take(said: Any, path: str) -> None:
    *above, last = [int(part) if part.isdecimal() else part for part in path.split(".")]
    data = said
    for part in above:
        data = data[part]
    del data[last]
    if isinstance(data, list) and not data:
        del said[above[0]]
