"""Numbers are rounded to the safe side, and what is not all, or none, never reads so."""

from __future__ import annotations

import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report import carried, synthetic

from loftwright.flight.chance import Chance, wilson
from loftwright.flight.statistics import statistics
from loftwright.ledger.functions import _percent as witness_percent
from loftwright.report.answer import forecast_answer
from loftwright.report.cause_words import chance_of
from loftwright.report.estimates import hundred
from loftwright.report.facts import check_facts
from loftwright.report.figures_table import flight_rows
from loftwright.report.flight_answer import often_told
from loftwright.report.ground_words import _hit_words
from loftwright.report.ledger_words import _interval
from loftwright.report.ledger_words import _percent as ledger_percent
from loftwright.report.pad_list import _at_most
from loftwright.report.quantities import amount, digits, percent
from loftwright.report.reading import hundredths, in_hundred
from loftwright.report.whatif_figures import _told
from loftwright.units import DIMENSIONS

INSIDE = st.floats(0.0, 1.0, exclude_min=True, exclude_max=True)
POSITIVE = st.floats(1e-3, 1e6)


def number(text: str) -> float:
    """Return the first number in words."""
    found = re.search(r"-?[0-9.]+(e[-+][0-9]+)?", text.replace("\u202f", "").replace("−", "-"))
    assert found is not None, text
    return float(found[0])


@given(POSITIVE, st.integers(2, 4))
def test_what_is_rounded_one_way_stays_on_its_side(value: float, significant: int) -> None:
    low, high = (number(digits(value, significant, way)) for way in ("down", "up"))
    assert low <= value * (1 + 1e-6)
    assert high >= value * (1 - 1e-6)
    assert high - low <= 10.0 ** (1 - significant) * 10 * max(value, 1e-3) + 1e-12


@given(st.integers(1, 9999), st.integers(0, 2), st.sampled_from(["down", "up"]))
def test_what_was_written_so_is_told_so(whole: int, places: int, way: str) -> None:
    value = whole / 10**places
    assert number(digits(value, 6, way)) == pytest.approx(value, rel=1e-9)


@given(st.floats(1.0, 200.0), st.sampled_from(["metric", "us"]))
def test_a_pressure_to_pump_to_is_never_told_higher(psi: float, system: str) -> None:
    pascal = psi * DIMENSIONS["gauge_pressure"].units["psi"].factor
    unit = DIMENSIONS["gauge_pressure"].units["psi" if system == "us" else "bar"].factor
    assert number(_at_most(pascal, system)) * unit <= pascal * (1 + 1e-6)


@pytest.mark.parametrize(("psi", "said"), [(75, "75"), (101.6, "101.6"), (99.996, "99.99")])
def test_a_pressure_is_told_as_it_was_written(psi: float, said: str) -> None:
    pascal = psi * DIMENSIONS["gauge_pressure"].units["psi"].factor
    assert _at_most(pascal, "us") == f"{said}\u00a0psi"


def test_margins_are_rounded_down_and_distances_to_keep_up() -> None:
    check = {
        "proof_margin": 1.4996,
        "pressure_test_distance_m": 12.34,
        "payloads": {"payload": {
            "name": "Tern", "load_n": None, "trim_rad": None,
            "margin": {"boost": {"together": -0.004}},
        }},
    }  # fmt: skip
    told = {each.words: each.value for each in check_facts(check, "metric")}
    assert told["proof over fill pressure"] == "1.49 times"
    assert told["Tern: hold over its load"] == "0.99 times"  # it gives way
    assert told["keep away, pressure test"] == "12.4\u00a0m"


@given(INSIDE, st.integers(2, 4))
def test_a_share_is_never_told_as_all_or_none(share: float, significant: int) -> None:
    for said in (percent(share, significant), amount(share, "chance", "metric", significant)):
        assert number(said) < 100.0 or said.startswith("more than"), said
        assert number(said) > 0.0, said
    assert number(ledger_percent(share)) < 100.0
    assert "100" not in hundred(share)
    for said in (chance_of(share), witness_percent(share), often_told(share)):
        assert not said.startswith(("100 %", "0 %", "in 100 of", "in 0 of")), said


def test_all_and_none_are_told_as_such() -> None:
    assert [percent(each) for each in (0.0, 1.0)] == ["0", "100"]
    assert amount(float("nan"), "chance", "metric") == "–"


@given(st.integers(1, 60), st.data())
def test_an_interval_of_the_ledger_is_never_told_narrower(
    flights: int, data: st.DataObject
) -> None:
    low, high = wilson(data.draw(st.integers(0, flights)), flights)
    first, last = (number(each) / 100.0 for each in _interval((low, high)).split(" to "))
    assert first <= low + 1e-9
    assert last >= high - 5e-4  # an upper end near all is told to a tenth
    assert (last == 1.0) == (high == 1.0)


@given(st.integers(1, 10**6), st.data())
def test_a_count_is_none_or_all_only_where_it_is(flights: int, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, flights))
    share, _ = in_hundred(Chance(count, flights, *wilson(count, flights)))
    assert (share == "none") == (count == 0)
    assert (share == "all") == (count == flights)
    if 0 < count < flights:
        assert 0.0 < float(hundredths(count / flights)) < 100.0


@given(st.floats(1e-7, 0.9))
def test_hits_are_not_told_rarer_than_they_may_be(most: float) -> None:
    hits = SimpleNamespace(name="the road", expected=0.0, high=most)
    said = _hit_words("Plover", hits)
    assert "95 % confidence" in said
    assert number(said.partition("once in ")[2]) <= 1.0 / most * (1 + 1e-6)


def test_a_figure_that_few_flights_have_says_how_many() -> None:
    found = synthetic.ensemble(40)
    apogee = found.columns["apogee_m"].copy()
    apogee[3:] = np.nan
    columns = found.columns | {"apogee_m": apogee}
    told = replace(found, columns=columns, statistics=statistics(columns))
    rows = [row.words for row in flight_rows(told.nominal, told, "metric")]
    assert "greatest height (in 3 of 40 flights)" in rows
    assert not any("flights" in words for words in rows if "greatest height" not in words)
    assert _told(apogee, "height", "metric", (40.0, 41.0, 42.0))[1].endswith("in 3 of 40 flights")
    assert "flights" not in _told(np.ones(40), "height", "metric", (1.0, 1.0, 1.0))[1]


def test_what_no_flight_showed_is_not_told_as_never() -> None:
    none, some = np.zeros(400), np.r_[np.ones(399), 0.0]
    assert _told(none, "chance", "metric", None) == (
        "in none of 400 flights", "95 %: up to 0.95 in 100",
    )  # fmt: skip
    assert "100 in 100" not in _told(some, "chance", "metric", None)[1]
    ensemble, campaign = carried.staged(), carried.staged_campaign()
    keys = forecast_answer(campaign, ensemble.nominal, ensemble).keys
    said = next(key for key in keys if key.name.endswith("gives way"))
    assert said.name.startswith("the hold of ")  # others there are torn off
    assert (said.value, said.spread) == ("in none of 60", "95 %: up to 6.0 in 100")
