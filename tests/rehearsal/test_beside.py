"""Two rehearsals beside each other, and one out of its kept answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from rehearsal.loops import MENDED, REHEARSED

from loftwright.cli.answers import plain
from loftwright.cli.rehearse_answer import rehearsal_answer
from loftwright.errors import ProblemError
from loftwright.rehearsal.beside import beside
from loftwright.rehearsal.chances import chance_of_count, difference_of
from loftwright.rehearsal.kept import rehearsal_of
from loftwright.rehearsal.rehearse import rehearse
from loftwright.rehearsal.tally import bits_of, happened_of
from loftwright.report.beside_words import beside_lead, beside_rows, how_compared

PLUG, CELL = "connector opens at liftoff: bay plug", "battery flat: cell"


@pytest.fixture(scope="module")
def before():
    return rehearse(example(MENDED), flights=20, faults=f"{PLUG}, {CELL}")


@pytest.fixture(scope="module")
def after():
    return rehearse(example(REHEARSED), flights=20, faults=f"{PLUG}, battery flat", pairs=True)


@given(arrays(bool, st.integers(1, 50)))
def test_bits_are_read_as_they_were_written(happened):
    np.testing.assert_array_equal(happened_of(bits_of(happened), len(happened)), happened)


@pytest.mark.parametrize(("bits", "flights"), [("ff", 9), ("ffff", 8), ("f", 4), ("zz", 8)])
def test_bits_of_other_flights_are_refused(bits, flights):
    with pytest.raises(ValueError, match=r"."):
        happened_of(bits, flights)


def test_a_kept_answer_is_the_rehearsal_without_what_was_watched(before, after):
    for found in (before, after):
        again = rehearsal_of(plain(rehearsal_answer(found)))
        assert replace(again, provenance=found.provenance) == replace(found, watched=())
        assert again.provenance.documents == found.provenance.documents


@pytest.mark.parametrize("answer", [{}, {"flights": 3}, {"flights": "x", "provenance": 3}])
def test_what_is_no_answer_is_refused(answer):
    with pytest.raises(ProblemError) as caught:
        rehearsal_of(answer)
    assert caught.value.problems[0].code == "rehearse-kept"


def test_a_mend_is_told_from_chance(before, after):
    found = beside(before, after)
    assert found.paired
    by_name = {each.name: each for each in found.cases}
    assert by_name[PLUG].lost.difference == -1.0
    assert by_name["battery flat: timer cell"].before is None
    rows = {(row.case, row.what): row.told for row in beside_rows(found)}
    assert rows[PLUG, "lost"] == "better"
    assert rows["no fault", "lost"] in ("the same", "may be chance")
    assert rows["battery flat: timer cell", "lost"] == "only in the later one"
    lead = beside_lead(found)
    assert PLUG in lead
    assert "better" in lead
    assert "worse" not in lead
    assert "Single points of failure: 2 before, 0 after." in lead
    assert "same draws" in how_compared(found)


def test_the_same_rehearsal_differs_in_nothing(before):
    found = beside(before, before)
    assert {row.told for row in beside_rows(found)} == {"the same"}
    assert beside_lead(found).startswith("No difference that can be told from chance.")


def test_other_seeds_are_flights_that_share_nothing(before, after):
    found = beside(before, replace(after, seed=2))
    assert not found.paired
    case = next(each for each in found.cases if each.name == PLUG)
    paired = next(each for each in beside(before, after).cases if each.name == PLUG)
    assert case.lost.high < 0.0
    # What is known to be the same flights tells more.
    nominal, alike = found.cases[0], beside(before, after).cases[0]
    assert nominal.lost.high > alike.lost.high
    assert case.lost.difference == paired.lost.difference
    assert "seeds differ" in how_compared(found)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(0, 40), st.integers(1, 40))
def test_a_difference_lies_within_its_interval(one, of_one, other, of_other):
    before, after = (
        chance_of_count(min(one, of_one), of_one),
        chance_of_count(min(other, of_other), of_other),
    )
    change, low, high = difference_of(before, after)
    assert -1.0 <= low <= change <= high <= 1.0
    back = difference_of(after, before)
    assert back == pytest.approx((-change, -high, -low))
