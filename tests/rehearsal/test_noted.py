"""Flights noted behind each count: flown again by number they are what they were counted as."""

from __future__ import annotations

import numpy as np
import pytest
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st
from rehearsal.loops import MENDED, plan_for, trial
from rehearsal.test_tally import judged

from loftwright.errors import ProblemError
from loftwright.rehearsal import trials as trials_module
from loftwright.rehearsal.one_flight import fly_again, trial_named, watch_again
from loftwright.rehearsal.rehearse import rehearse
from loftwright.rehearsal.results import COUNTED, FIELD, NO_FAULT, PAYLOAD, VEHICLE
from loftwright.rehearsal.tally import NOTED, Tally
from loftwright.rehearsal.trials import count_trials

FROZEN, TANGLED = "sensor frozen: baro", "canopy tangles"
FLIGHTS = 24


@pytest.fixture(scope="module")
def found():
    """A rehearsal of two faults that go wrong in several ways, and both together."""
    names = f"{FROZEN}, {TANGLED}"
    return rehearse(
        example(MENDED), flights=FLIGHTS, seed=5, faults=names, pairs=True, mends=False
    )  # fmt: skip


@given(st.integers(0, 1000), st.lists(st.integers(1, 60), min_size=1, max_size=6))
def test_what_is_noted_does_not_depend_on_blocks(seed, sizes):
    whole = judged(seed, sum(sizes))
    one, many = Tally(), Tally()
    one.add(0, whole)
    first = 0
    for size in sizes:
        many.add(first, whole.take(np.arange(first, first + size)))
        first += size
    assert one.noted() == many.noted()


@given(st.integers(0, 1000), st.integers(1, 300))
def test_every_count_has_its_first_flights_and_its_worst(seed, count):
    flights = judged(seed, count)
    tally = Tally()
    tally.add(100, flights)
    noted = tally.noted()
    columns = {"payload": PAYLOAD, "vehicle": VEHICLE, "field": FIELD}
    for column, words in columns.items():
        for code, word in enumerate(words):
            behind = 100 + np.flatnonzero(getattr(flights, column) == code)
            _is_noted(noted.get(column, {}).get(word), behind, flights)
    for word in COUNTED:
        behind = 100 + np.flatnonzero(getattr(flights, word))
        _is_noted(noted.get("counted", {}).get(word), behind, flights)


def _is_noted(cell, behind, flights):
    if len(behind) == 0:
        assert cell is None
        return
    assert cell.first == tuple(behind[:NOTED])
    assert cell.worst in behind
    assert flights.severity[cell.worst - 100] == flights.severity[behind - 100].min()


def test_a_noted_flight_flown_again_is_what_it_was_counted_as(found):
    plan = plan_for(MENDED, 5)
    several = 0
    for case in (found.nominal, *found.faults, *found.pairs):
        for column, words in case.noted.items():
            for word, noted in words.items():
                for again in fly_again(plan, case.name, sorted({*noted.first, noted.worst})):
                    told = getattr(again, word if column == "counted" else column)
                    assert told == (True if column == "counted" else word), (case.name, column)
                    several += 1
    assert several > 100


def test_all_flights_of_few_are_noted(found):
    for case in (found.nominal, *found.faults):
        for chances, column in ((case.payload, "payload"), (case.vehicle, "vehicle")):
            for word, chance in chances.items():
                noted = case.noted[column].get(word)
                assert len(noted.first if noted else ()) == min(chance.count, NOTED)


def test_threads_and_blocks_change_nothing(monkeypatch):
    plan = plan_for(MENDED, 5)
    flown = [trial(plan), trial(plan, ("sensor frozen", "baro"))]
    wanted = [each.noted() for each in count_trials(plan, flown, 20)]
    monkeypatch.setattr(trials_module, "processors", lambda: 1)
    monkeypatch.setattr(trials_module, "_block", lambda *_: 7)
    assert [each.noted() for each in count_trials(plan, flown, 20)] == wanted


def test_the_worst_flight_of_a_case_is_the_worst_of_one_of_its_counts(found):
    for case in found.faults:
        if case.worst:
            worst = {noted.worst for noted in case.noted["vehicle"].values()}
            assert case.worst[0] in worst


def test_a_flight_is_watched_beside_itself_without_the_fault(found):
    plan = plan_for(MENDED, 5)
    number = found.faults[0].worst[0]
    seen = watch_again(plan, found.faults[0].name, number)
    assert (seen.flown.flight, seen.plain.flight) == (number, number)
    assert (seen.flown.case, seen.plain.case) == (found.faults[0].name, NO_FAULT)
    # The same wind and draws: both are one flight until the fault does something.
    np.testing.assert_array_equal(
        seen.watched.truth["height_m"][:120], seen.plain_watched.truth["height_m"][:120]
    )
    assert fly_again(plan, NO_FAULT, [number]) == (seen.plain,)
    alone = watch_again(plan, NO_FAULT, number)
    assert alone.plain is alone.plain_watched is None
    assert alone.watched.events == seen.plain_watched.events


def test_cases_are_named_as_tables_name_them():
    plan = plan_for("sedge-lift-rehearsed")
    assert trial_named(plan, NO_FAULT).happening == ()
    swapped = "controllers swapped: timer and board"
    assert len(trial_named(plan, swapped).happening) == 1
    assert len(trial_named(plan, f"{swapped} and {FROZEN}").happening) == 2
    assert len(trial_named(plan, f"{FROZEN} and {swapped}").happening) == 2
    for wrong in ("sensor frozen", f"{FROZEN} and {FROZEN}", f"{FROZEN} and ", "", " and "):
        with pytest.raises(ProblemError) as caught:
            trial_named(plan, wrong)
        assert caught.value.problems[0].code == "rehearse-unknown-fault"
