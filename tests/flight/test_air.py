"""The air at the pad: measured beats standard; moist air against a published formula."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.air import air_at_pad

STANDARD = {
    "site.air.temperature": 288.15,
    "site.air.humidity": 0.0,
    "site.place.elevation": 0.0,
}


def test_standard_air_at_sea_level() -> None:
    # U.S. Standard Atmosphere 1976, table I: 101 325 Pa, 288.15 K, 1.2250 kg/m3; mu 1.7894e-5.
    air = air_at_pad(STANDARD)
    assert air == pytest.approx((101325.0, 288.15, 1.2250, 1.7894e-5), rel=3e-5)


@pytest.mark.parametrize(("height", "pressure"), [(1000.0, 89876.0), (2000.0, 79501.0)])
def test_standard_pressure_at_the_elevation(height: float, pressure: float) -> None:
    # U.S. Standard Atmosphere 1976, table I, geometric altitude (from memory); geometric taken
    # as geopotential height costs 2 Pa at 1 km, 8 Pa at 2 km.
    air = air_at_pad(STANDARD | {"site.place.elevation": height})
    assert air.pressure == pytest.approx(pressure, abs=9.0)


def test_measured_pressure_wins() -> None:
    air = air_at_pad(STANDARD | {"site.air.pressure": 93200.0, "site.place.elevation": 3000.0})
    assert air.pressure == 93200.0


def test_moist_air_against_cipm_2007() -> None:
    # Picard et al., "Revised formula for the density of moist air (CIPM-2007)", Metrologia 45
    # (2008) 149; its simplified form in OIML R 111-1 (2004), eq. E.3-1 (from memory):
    # rho = (0.34848 p - 0.009 h exp(0.061 t)) / (273.15 + t), p in hPa, h in %, t in degC.
    # Stated to 2e-4; ours is ideal gas, so 6e-4 together.
    for p, h, t in [(1013.25, 50.0, 20.0), (932.0, 55.0, 17.0), (980.0, 80.0, 27.0)]:
        values = STANDARD | {
            "site.air.pressure": p * 100,
            "site.air.temperature": t + 273.15,
            "site.air.humidity": h / 100,
        }
        expected = (0.34848 * p - 0.009 * h * np.exp(0.061 * t)) / (273.15 + t)
        assert air_at_pad(values).density == pytest.approx(expected, rel=6e-4)


@given(st.floats(250.0, 320.0), st.floats(0.0, 0.9))
def test_moist_air_is_lighter(temperature: float, humidity: float) -> None:
    dry = STANDARD | {"site.air.pressure": 1e5, "site.air.temperature": temperature}
    damp = dry | {"site.air.humidity": humidity + 0.1}
    assert air_at_pad(damp).density < air_at_pad(dry).density


def test_humidity_drawn_beyond_saturation_counts_as_saturated() -> None:
    draws = {**STANDARD, "site.air.humidity": np.array([-0.1, 0.0, 1.0, 1.1])}
    density = np.asarray(air_at_pad(draws).density)  # type: ignore[arg-type]
    assert density[0] == density[1] > density[2] == density[3]


@pytest.mark.parametrize("measured", [True, False])
def test_arrays_give_what_floats_give_one_by_one(measured: bool) -> None:
    rng = np.random.default_rng(3)
    columns = {
        "site.air.temperature": rng.uniform(270, 300, 4),
        "site.air.humidity": rng.uniform(0, 1, 4),
        "site.place.elevation": rng.uniform(0, 2000, 4),
    }
    if measured:
        columns["site.air.pressure"] = rng.uniform(9e4, 1e5, 4)
    together = air_at_pad(columns)  # type: ignore[arg-type]
    for i in range(4):
        alone = air_at_pad({name: float(column[i]) for name, column in columns.items()})
        assert tuple(float(np.asarray(each)[i]) for each in together) == alone
