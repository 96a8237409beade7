"""SI numbers shown in the units a person thinks in."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.units import (
    DIMENSIONS,
    Shown,
    display_units,
    format_quantity,
    from_si,
    parse_quantity,
)

FOOT, PSI = 0.3048, 6894.757293168361


@pytest.mark.parametrize(
    ("value", "dimension", "system", "shown"),
    [
        (61.234, "length", "metric", "61.2 m"),
        (61.234, "length", "us", "201 ft"),
        (0.0215, "length", "metric", "21.5 mm"),
        (0.0215, "length", "us", "0.846 in"),
        (1234.0 * FOOT, "length", "us", "1234 ft"),
        (60 * PSI, "gauge_pressure", "us", "60.0 psi"),
        (60 * PSI, "gauge_pressure", "metric", "4.14 bar"),
        (100800.0, "absolute_pressure", "metric", "1008 hPa"),
        (5e5, "absolute_pressure", "metric", "5.00 bara"),
        (5e5, "absolute_pressure", "us", "72.5 psia"),
        (0.186, "mass", "metric", "186 g"),
        (0.186, "mass", "us", "186 g"),
        (1.186, "mass", "metric", "1.19 kg"),
        (0.65e-3, "volume", "metric", "0.650 L"),
        (0.01e-3, "volume", "us", "10.0 mL"),
        (288.15, "temperature", "metric", "15.0 degC"),
        (288.15, "temperature", "us", "59.0 degF"),
        (15.24, "speed", "us", "50.0 ft/s"),
        (math.pi / 2, "angle", "us", "90.0 deg"),
        (0.95, "number", "metric", "0.950"),
        (0.0, "length", "metric", "0 m"),
        (-0.0, "angle", "metric", "0 deg"),
        (math.inf, "length", "metric", "inf m"),
        (math.nan, "length", "us", "nan ft"),
        (-2.5, "length", "metric", "-2.50 m"),
    ],
)
def test_shown(value: float, dimension: str, system: str, shown: str) -> None:
    assert str(format_quantity(value, dimension, system)) == shown


def test_number_and_unit_come_apart() -> None:
    assert format_quantity(0.0215, "length") == Shown("21.5", "mm")


def test_uncertainty_sets_the_last_figure() -> None:
    assert str(format_quantity(0.9342, "number", sd=0.0213)) == "0.934 ± 0.021"
    assert str(format_quantity(61.23, "length", sd=4.2)) == "61.2 ± 4.2 m"
    assert str(format_quantity(288.15, "temperature", "us", sd=1.0)) == "59.0 ± 1.8 degF"


def test_a_unit_may_be_asked_for() -> None:
    assert str(format_quantity(1.0, "length", "us", unit="mm")) == "1000 mm"


def test_display_units_belong_to_their_dimension() -> None:
    for system in ("metric", "us"):
        for dimension, unit in display_units(system).items():
            assert unit in DIMENSIONS[dimension].units
    assert display_units("us")["length"] == "ft"
    assert display_units("us")["gauge_pressure"] == "psi"
    assert display_units("us")["mass"] == "g"
    assert display_units("metric")["length"] == "m"


def test_arrays_convert() -> None:
    feet = from_si(np.array([0.3048, 3.048]), "length", "ft")
    np.testing.assert_allclose(feet, [1.0, 10.0])


systems = st.sampled_from(["metric", "us"])
dimensions = st.sampled_from(list(DIMENSIONS))
magnitudes = st.floats(1e-6, 1e9) | st.floats(-1e9, -1e-6) | st.just(0.0)


@given(magnitudes, dimensions, systems)
def test_round_trip_through_a_person_s_units(value: float, dimension: str, system: str) -> None:
    shown = str(format_quantity(value, dimension, system, digits=15))
    slack = 1e-11 if dimension == "temperature" else 0.0  # kelvins that an offset takes along
    assert parse_quantity(shown, dimension).value == pytest.approx(value, rel=1e-12, abs=slack)


@given(magnitudes, st.floats(1e-5, 1e3), dimensions, systems)
def test_round_trip_with_uncertainty(value: float, sd: float, dimension: str, system: str) -> None:
    shown = str(format_quantity(value, dimension, system, sd=sd))
    read = parse_quantity(shown, dimension)
    assert read.sd == pytest.approx(sd, rel=0.06)
    assert read.value == pytest.approx(value, rel=1e-12, abs=0.06 * sd + 1e-11)


@given(magnitudes, dimensions, systems, st.integers(1, 12))
def test_rounding_stays_within_its_figures(
    value: float, dimension: str, system: str, digits: int
) -> None:
    shown = format_quantity(value, dimension, system, digits=digits)
    number = from_si(value, dimension, shown.unit)
    assert float(shown.number) == pytest.approx(number, rel=0.51 * 10.0 ** (1 - digits), abs=1e-12)
