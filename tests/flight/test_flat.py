"""Rows of tables, and the small helpers that work on floats and arrays alike."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.flat import each, larger, rows, smaller


def test_rows_come_in_the_documents_order() -> None:
    flat = {f"vehicle.part.{i}.mass": float(i) for i in (10, 2, 0)} | {"vehicle.parting": 9.0}
    assert rows(flat, "vehicle.part") == [{"mass": 0.0}, {"mass": 2.0}, {"mass": 10.0}]
    assert rows(flat, "vehicle.fins") == []


def test_rows_keep_what_lies_deeper() -> None:
    assert rows({"a.0.b.c": 1.0}, "a") == [{"b.c": 1.0}]


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_larger_and_smaller_agree_with_max_and_min(a: float, b: float) -> None:
    assert math.isclose(larger(a, b), max(a, b), abs_tol=1e-9)
    assert math.isclose(smaller(a, b), min(a, b), abs_tol=1e-9)


def test_each_leaves_floats_alone_and_walks_arrays() -> None:
    assert each(math.hypot, 3.0, 4.0) == 5.0
    assert isinstance(each(math.sqrt, 4.0), float)
    many = each(math.hypot, np.array([3.0, 6.0]), 4.0)
    assert many.tolist() == [5.0, math.hypot(6.0, 4.0)]
