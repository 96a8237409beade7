"""Text in tables: a spreadsheet takes none of it for a formula."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.cells import cell, cells


# Of OWASP, "CSV Injection", its list of first signs; and a well-known formula of each kind.
@pytest.mark.parametrize(
    "text", ["=1+1", "+1+1", "-2+3", "@SUM(1)", "\t=1", "\r=1", '=HYPERLINK("http://x","y")']
)
def test_a_formula_is_text(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize("value", ["", "-1.5e-3", "+4", "let go", "5 - 3", 1.5, None, True, -2])
def test_numbers_and_words_stay_as_they_are(value: object) -> None:
    assert cell(value) == value


@given(st.text())
def test_no_text_begins_a_formula_unless_it_is_a_number(text: str) -> None:
    (made,) = cells([text])
    assert isinstance(made, str)
    assert made.removeprefix("'") == text.removeprefix("'")
    if made[:1] in {"=", "@", "\t", "\r"}:
        assert float(made) == float(text)
