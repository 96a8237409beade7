"""The JSON form that every command shares, for answers and for problems."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from cli.commands import every_command
from hypothesis import given
from hypothesis import strategies as st

from loftwright.cli.answers import VERSIONS, plain, schema
from loftwright.errors import catalogue

PROBLEM_KEYS = {"code", "severity", "message", "where", "mend"}
WHERE_KEYS = {"file", "line", "column", "field", "value"}


def assert_problems(ended, code=2):
    """Assert the one form of problems: an object alone on standard output, and no traceback."""
    assert ended.code == code
    assert ended.answer["schema"] == "loftwright/problems/1"
    assert ended.answer["problems"]
    for problem in ended.answer["problems"]:
        assert set(problem) == PROBLEM_KEYS
        assert set(problem["where"]) == WHERE_KEYS
        assert catalogue.find(problem["code"]) is not None
    assert "Traceback" not in ended.err
    return [problem["code"] for problem in ended.answer["problems"]]


def test_every_command_has_a_versioned_schema():
    named = {name.replace(" ", "-") for name, _ in every_command()}
    # Of two commands, an option answers something else: flights of a rehearsal, what is proposed.
    assert named | {"problems", "glance-pad", "rehearse-watch", "record-proposal"} == set(VERSIONS)
    for name in VERSIONS:
        assert re.fullmatch(rf"loftwright/{name}/[1-9][0-9]*", schema(name))


@pytest.mark.parametrize(
    "words",
    [
        ("check", "nowhere"),
        ("check",),
        ("check", "--jsno", "."),
        ("chek", "."),
        ("forecast", "nowhere"),
        ("forecast", ".", "--flights", "many"),
        ("forecast", ".", "--flights", "1"),
        ("forecast", ".", "--tolerance", "1"),
        ("firing", "nowhere"),
        ("firing", ".", "--fit"),
        ("firing", ".", "--write"),
        ("explain", "no-such-code"),
        ("new",),
        ("program", "check", "nowhere.toml"),
        ("program", "check", "."),
        ("program", "explain"),
        ("program", "chek", "nowhere.toml"),
        ("ledger", "list", "nowhere"),
        ("ledger", "lst", "."),
        ("ledger", "close", ".", "A1"),
    ],
)
def test_bad_input_is_told_as_problems(loftwright, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert_problems(loftwright(*words, "--json"))
    as_text = loftwright(*words)
    assert as_text.code == 2
    assert as_text.out == ""
    assert "mend:" in as_text.err
    assert "Traceback" not in as_text.err


def test_a_slip_in_a_commands_name_is_told_the_nearest(loftwright):
    assert "Did you mean forecast?" in loftwright("forcast", ".").err


def test_interruption_ends_with_130_and_says_what_was_done(loftwright, demo, monkeypatch):
    def interrupted(*_arguments, progress, **_others):
        progress(512, 2000)
        raise KeyboardInterrupt

    monkeypatch.setattr("loftwright.flight.forecast.forecast", interrupted)
    ended = loftwright("forecast", demo, "--flights", 2000, "--json")
    assert assert_problems(ended, 130) == ["command-interrupted"]
    assert "after 512 of 2000 flights" in ended.answer["problems"][0]["message"]


def test_a_fault_of_ours_ends_with_1_and_without_traceback(loftwright, demo, monkeypatch):
    def broken(_campaign):
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr("loftwright.rehearsal.checking.check", broken)
    assert assert_problems(loftwright("check", demo, "--json"), 1) == ["command-fault"]
    ended = loftwright("check", demo)
    assert ended.code == 1
    assert "ZeroDivisionError: on purpose" in ended.err
    assert __file__ in ended.err
    monkeypatch.setenv("LOFTWRIGHT_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        loftwright("check", demo)


FLOATS = st.floats(allow_nan=True, allow_infinity=True)
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | FLOATS | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner) | st.tuples(inner),
    max_leaves=20,
)


@given(VALUES)
def test_whatever_is_answered_is_strict_json(value):
    text = json.dumps(plain(value), allow_nan=False)
    assert plain(json.loads(text)) == plain(value)


@given(st.lists(FLOATS))
def test_arrays_become_lists_with_null_for_what_is_not_finite(values):
    expected = [value if np.isfinite(value) else None for value in values]
    assert plain(np.array(values, dtype=float)) == expected


def test_single_numbers_of_numpy_become_numbers():
    assert plain({"a": np.float64(0.5), "b": np.int64(3), "c": np.float64("nan")}) == {
        "a": 0.5,
        "b": 3,
        "c": None,
    }
