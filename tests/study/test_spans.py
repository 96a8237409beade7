"""Ranges of documents' quantities: what is read, what is refused, and where points lie."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from study.cases import PRESSURE, WATER, codes, lift

from loftwright.documents.flatten import flatten
from loftwright.errors import ProblemError
from loftwright.study.spans import placed, read_span, read_spans, shown, variable


def test_a_range_is_read_in_its_units():
    span = read_span(lift(), f"{WATER}=0.4 L..1400 mL")
    assert (span.low, span.high) == pytest.approx((0.4e-3, 1.4e-3))
    assert span.now == pytest.approx(0.95e-3)
    assert shown(span, 0.9e-3) == "900 mL"


def test_a_temperature_keeps_its_zero():
    span = read_span(lift(), "vehicle.fill.temperature=0 degC..30 degC")
    assert (span.low, span.high) == pytest.approx((273.15, 303.15))


def test_whole_numbers_are_taken_one_by_one():
    span = read_span(lift(), "vehicle.fins.0.count=3..6")
    assert span.points(41).tolist() == [3.0, 4.0, 5.0, 6.0]
    shares = np.linspace(0.0, 1.0, 1001)
    values, counts = np.unique(span.at(shares), return_counts=True)
    assert values.tolist() == [3.0, 4.0, 5.0, 6.0]
    assert np.ptp(counts) <= 1


def test_an_optional_field_that_is_left_out_may_be_varied():
    span = read_span(lift(), "vehicle.nozzle.breakthrough_volume=0 mL..20 mL")
    assert span.now is None
    there = placed(lift(), {span.path: 5e-6})
    assert flatten(there)[0][span.path] == 5e-6


def test_an_end_that_is_just_excluded_moves_a_hair_inside():
    span = read_span(lift(), "vehicle.fins.0.span=0 mm..100 mm")
    assert 0.0 < span.low < 1e-6


@pytest.mark.parametrize(
    ("text", "code", "hint"),
    [
        ("vehicle.fill.water=0.4 L..1 L", "study-unknown-path", WATER),
        ("fill.water_volume=0.4 L..1 L", "study-unknown-path", WATER),
        ("vehicle.fill.gas=dry..moist", "study-unknown-path", "--set"),
        ("vehicle.ballast.mass=0 g..50 g", "study-unknown-path", "[ballast]"),
        ("nonsense", "study-unknown-path", "reference"),
        (f"{WATER}", "study-range", "write it like"),
        (f"{WATER}=0.4 L", "study-range", "write it like"),
        (f"{WATER}=1.4 L..0.4 L", "study-range", "lesser value first"),
        (f"{WATER}=1 L..1 L", "study-range", "lesser value first"),
        (f"{WATER}=0.4 L ± 0.1 L..1.4 L", "study-range", "value alone"),
        (f"{WATER}=-1 L..1 L", "study-range", "narrow"),
        ("vehicle.nozzle.flow_coefficient=0.9..1.1", "study-range", "narrow"),
        ("vehicle.fins.0.count=3..9", "study-range", "narrow"),
        ("vehicle.fins.0.count=3.5..6", "study-range", "3..6"),
        (f"{WATER}=0.4..1.4", "quantity-no-unit", "unit"),
        (f"{WATER}=0.4 kg..1.4 kg", "quantity-wrong-dimension", "volume"),
        (f"{PRESSURE}=4 bara..6 bara", "quantity-wrong-dimension", "gauge"),
        (f"{WATER}=0,4 L..1,4 L", "quantity-decimal-comma", "0.4 L"),
    ],
)  # fmt: skip
def test_bad_ranges_are_refused_with_a_way_to_mend_them(text, code, hint):
    with pytest.raises(ProblemError) as caught:
        read_span(lift(), text)
    assert codes(caught.value) == [code]
    assert hint in caught.value.problems[0].mend


def test_every_problem_is_told_in_one_run():
    with pytest.raises(ProblemError) as caught:
        read_spans(lift(), [f"{WATER}=1 L..0 L", "no.such=1..2", f"{PRESSURE}=1 bar..2 bar",
                            f"{PRESSURE}=1 bar..2 bar"])  # fmt: skip
    assert codes(caught.value) == ["study-range", "study-unknown-path", "study-range"]


NUMBERS = sorted(path for path, (rule, now) in variable(lift()).items() if now is not None)


@given(st.sampled_from(NUMBERS), st.floats(0.5, 1.5))
def test_placing_changes_one_field_and_keeps_its_uncertainty(path, factor):
    values, sds, words = flatten(lift())
    old = float(words[path]) if path in words else values[path]
    new = float(round(old * factor)) if path in words else old * factor
    values_there, sds_there, words_there = flatten(placed(lift(), {path: new}))
    assert sds_there == sds
    changed = {key for key in values if values_there[key] != values[key]}
    changed |= {key for key in words if words_there[key] != words[key]}
    assert changed <= {path}
    assert (words_there if path in words else values_there)[path] == new


@given(st.floats(0.0, 1.0))
def test_shares_of_a_range_stay_inside_it_and_rise(share):
    span = read_span(lift(), f"{WATER}=0.3 L..1.1 L")
    low, here, high = span.at(np.array([0.0, share, 1.0]))
    assert low == span.low
    assert high == span.high
    assert low <= here <= high
