"""The scanner notes where every key and value stands, and survives any text."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.spans import Path, Spans, scan

TEXT = '''name = "x" # c
[fill]
water_volume = "1 L"
"quoted key" = 1
a.b = 3
[[vessel]]
volume = '2'
[[vessel]]
many = [1, "a]b", {q = 1, r = """x
y"""}, # comment ]
  'z']
[vessel.sub]
when = 1979-05-27 07:32:00   # c
[ spaced . out ]
k   =   true
'''


def at(spans: Spans, path: Path) -> tuple[int, int, str]:
    span = spans.values[path]
    return (*spans.place(span.start), spans.text[span.start : span.end])


@pytest.mark.parametrize(
    ("path", "line", "column", "raw"),
    [
        (("name",), 1, 8, '"x"'),
        (("fill", "water_volume"), 3, 16, '"1 L"'),
        (("fill", "quoted key"), 4, 16, "1"),
        (("fill", "a", "b"), 5, 7, "3"),
        (("vessel", 0, "volume"), 7, 10, "'2'"),
        (("vessel", 1, "many", 1), 9, 12, '"a]b"'),
        (("vessel", 1, "many", 2, "q"), 9, 24, "1"),
        (("vessel", 1, "many", 2, "r"), 9, 31, '"""x\ny"""'),
        (("vessel", 1, "many", 3), 11, 3, "'z'"),
        (("vessel", 1, "sub", "when"), 13, 8, "1979-05-27 07:32:00"),
        (("spaced", "out", "k"), 15, 9, "true"),
    ],
)
def test_place_of_a_value(path: Path, line: int, column: int, raw: str) -> None:
    assert at(scan(TEXT), path) == (line, column, raw)


def test_place_of_headers_and_what_is_near() -> None:
    spans = scan(TEXT)
    assert spans.place(spans.keys["fill",].start) == (2, 1)
    assert spans.place(spans.keys["vessel", 1].start) == (8, 1)
    assert spans.place(spans.near(("vessel", 1, "missing")).start) == (8, 1)
    assert spans.place(spans.near(("nowhere", "at all")).start) == (1, 1)
    assert spans.line(3) == 'water_volume = "1 L"'


def test_repeats_are_noted_and_the_first_stands() -> None:
    spans = scan("a = 1\na = 2\n[t]\n[t]\n")
    assert [(path, spans.place(span.start)[0]) for path, span in spans.repeats] == [
        (("a",), 2),
        (("t",), 4),
    ]
    assert at(spans, ("a",))[2] == "1"


words = st.text("abc-_12", min_size=1, max_size=4) | st.text(max_size=5)
scalars = (
    st.integers(-(2**40), 2**40)
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    | st.dates()
)
trees: st.SearchStrategy[Any] = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(words, inner, max_size=3)
        | st.lists(st.dictionaries(words, inner, max_size=2), min_size=1, max_size=3)
    ),
    max_leaves=12,
)
documents = st.dictionaries(words, trees, max_size=4)


def leaves(data: Any, path: Path = ()) -> list[tuple[Path, Any]]:
    if isinstance(data, dict):
        return [leaf for key, each in data.items() for leaf in leaves(each, (*path, key))]
    if isinstance(data, list):
        return [leaf for i, each in enumerate(data) for leaf in leaves(each, (*path, i))]
    return [(path, data)]


@given(documents)
def test_every_leaf_of_a_written_document_is_found_with_its_value(data: dict[str, Any]) -> None:
    text = tomlkit.dumps(data)
    spans = scan(text)
    for path, value in leaves(tomllib.loads(text)):
        span = spans.values[path]
        assert tomllib.loads(f"it = {text[span.start : span.end]}")["it"] == value


@given(st.text(max_size=300) | st.text("[]{}\"'=.,#\n \\ab1", max_size=200))
def test_any_text_is_scanned(text: str) -> None:
    spans = scan(text)
    for span in (*spans.keys.values(), *spans.values.values()):
        assert 0 <= span.start <= span.end <= len(text)
        line, column = spans.place(span.start)
        assert line >= 1
        assert 1 <= column <= len(spans.line(line)) + 1


@pytest.mark.parametrize("text", ["a=" + "[" * 100_000, "a=" + "{a=" * 30_000, '"' * 100_000])
def test_deep_and_endless_texts_end(text: str) -> None:
    assert scan(text).text == text
