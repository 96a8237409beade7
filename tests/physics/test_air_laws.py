"""Properties that still air, moist air and wind must have."""

from __future__ import annotations

from math import exp, inf, log, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from loftwright.physics.altimetry import (
    altimeter_setting,
    layer_thickness,
    pressure_altitude,
    true_height,
    weather_service_altitude,
)
from loftwright.physics.atmosphere import (
    GRAVITY,
    R_AIR,
    air_density_at,
    air_pressure_at,
    air_temperature_at,
    dynamic_viscosity,
    speed_of_sound,
)
from loftwright.physics.gas import (
    latent_heat,
    moist_expansion_exponent,
    moist_expansion_slope,
    moist_mean_exponent,
    saturation_vapour_pressure,
)
from loftwright.physics.gust_spectrum import (
    along_gust_spectrum,
    gust_energy_share,
    gust_energy_spectrum,
    vertical_gust_share,
)
from loftwright.physics.standard_atmosphere import (
    geopotential_height,
    moist_air_density,
    standard_density,
    standard_pressure,
    standard_temperature,
)
from loftwright.physics.turbulence import (
    exposure_coefficient,
    horizontal_turbulence,
    horizontal_turbulence_length,
    landing_shear,
    power_law_wind_speed,
    vertical_turbulence_spectrum,
)
from loftwright.physics.wind import log_wind_speed

heights = st.floats(-400.0, 4000.0)
temperatures = st.floats(250.0, 320.0)
pressures = st.floats(6e4, 1.05e5)


# ---------------------------------------------------------------- still air


@given(heights, pressures, temperatures)
def test_air_is_hydrostatic(height, ground_pressure, ground_temperature):
    step = 1.0
    above = air_pressure_at(height + step, ground_pressure, ground_temperature)
    below = air_pressure_at(height - step, ground_pressure, ground_temperature)
    ground_density = ground_pressure / (R_AIR * ground_temperature)
    density = air_density_at(height, ground_density, ground_temperature)
    # The central difference over 2 m is itself off by some 1e-9.
    assert (above - below) / (2 * step) == pytest.approx(-density * GRAVITY, rel=1e-8)


@given(heights, pressures, temperatures)
def test_air_is_a_perfect_gas(height, ground_pressure, ground_temperature):
    pressure = air_pressure_at(height, ground_pressure, ground_temperature)
    temperature = air_temperature_at(height, ground_temperature)
    density = air_density_at(
        height, ground_pressure / (R_AIR * ground_temperature), ground_temperature
    )
    assert density == pytest.approx(pressure / (R_AIR * temperature), rel=1e-12)


@given(heights, st.floats(0.0, 3000.0))
def test_going_up_in_two_steps_is_going_up_in_one(first, second):
    halfway = air_pressure_at(first, 101325.0, 288.15)
    warmth = air_temperature_at(first, 288.15)
    assert air_pressure_at(second, halfway, warmth) == pytest.approx(
        air_pressure_at(first + second, 101325.0, 288.15), rel=1e-12
    )


@given(st.floats(-4000.0, 11000.0))
def test_pressure_altitude_undoes_the_standard_pressure(height):
    assert pressure_altitude(standard_pressure(height), 101325.0) == pytest.approx(height, abs=1e-6)


@given(st.floats(-400.0, 3000.0))
def test_the_weather_service_reads_the_same_height(height):
    # The sheet's rounded constants are 0.04 % of the height apart from the standard's.
    ours = weather_service_altitude(standard_pressure(height))
    assert ours == pytest.approx(height, rel=1e-3, abs=0.01)


@given(st.floats(-400.0, 3000.0))
def test_standard_air_has_the_standard_altimeter_setting(height):
    assert altimeter_setting(standard_pressure(height), height) == pytest.approx(
        101325.0, rel=1e-12
    )


@given(pressures, st.floats(0.0, 2000.0))
def test_altimeter_setting_rises_with_elevation(pressure, elevation):
    assert altimeter_setting(pressure, elevation) >= pressure


@given(st.floats(0.1, 1.0), st.floats(0.1, 1.0), temperatures)
def test_layers_add_up(first, second, temperature):
    bottom, middle, top = 1e5, 1e5 * first, 1e5 * first * second
    assert layer_thickness(bottom, top, temperature) == pytest.approx(
        layer_thickness(bottom, middle, temperature) + layer_thickness(middle, top, temperature),
        abs=1e-9,
    )


@given(st.floats(0.0, 500.0), temperatures)
def test_a_thin_layer_is_as_thick_as_the_true_height_says(indicated, temperature):
    assert true_height(indicated, temperature, temperature) == pytest.approx(indicated)


@given(st.floats(1.0, 80000.0))
def test_geopotential_height_is_less_than_height(height):
    assert height * 0.98 <= geopotential_height(height) <= height


@given(temperatures)
def test_warm_air_is_more_viscous_and_faster(temperature):
    assert dynamic_viscosity(temperature + 1.0) > dynamic_viscosity(temperature)
    assert speed_of_sound(4.0 * temperature) == pytest.approx(2.0 * speed_of_sound(temperature))


@given(pressures, temperatures, st.floats(0.0, 0.99))
def test_moist_air_is_lighter(pressure, temperature, humidity):
    moister = moist_air_density(pressure, temperature, humidity + 0.01)
    assert moister < moist_air_density(pressure, temperature, humidity)


@given(st.floats(-5000.0, 11000.0))
def test_standard_air_is_a_perfect_gas(height):
    expected = standard_pressure(height) / (R_AIR * standard_temperature(height))
    assert standard_density(height) == pytest.approx(expected, rel=1e-12)


# ---------------------------------------------------------------- moist air


@given(st.floats(240.0, 330.0), st.floats(2e4, 2e6))
def test_moist_air_cools_less_than_dry_air_and_more_than_none(temperature, dry_pressure):
    assert -0.4 < moist_expansion_slope(temperature, dry_pressure) < 0.0


def test_air_without_vapour_follows_the_dry_adiabat():
    assert moist_expansion_slope(100.0, 1e6) == pytest.approx(-0.4, abs=1e-9)


@given(st.floats(275.0, 310.0), st.floats(2e5, 1e6))
def test_vapour_follows_clausius_and_clapeyron(temperature, pressure):
    step = 1e-3
    slope = (
        saturation_vapour_pressure(temperature + step)
        - saturation_vapour_pressure(temperature - step)
    ) / (2 * step)
    expected = latent_heat(temperature) * saturation_vapour_pressure(temperature)
    # Vapour is not quite a perfect gas: 0.4 % at 10 degC.
    assert slope == pytest.approx(expected / (461.5 * temperature**2), rel=5e-3)
    assert pressure > saturation_vapour_pressure(temperature)


@given(st.floats(278.0, 308.0), st.floats(1.5e5, 1.2e6))
def test_exponents_lie_between_isothermal_and_adiabatic(temperature, pressure):
    start = moist_expansion_exponent(temperature, pressure)
    mean = moist_mean_exponent(temperature, pressure, 1.7)
    assert 1.0 < start < mean < 1.4


@given(st.floats(278.0, 307.0), st.floats(1.5e5, 1.2e6))
def test_exponent_falls_with_warmth_and_rises_with_pressure(temperature, pressure):
    here = moist_expansion_exponent(temperature, pressure)
    assert moist_expansion_exponent(temperature + 1.0, pressure) < here
    assert moist_expansion_exponent(temperature, 1.05 * pressure) > here


@given(st.floats(278.0, 308.0), st.floats(2e5, 1e6))
def test_a_small_expansion_has_the_exponent_at_the_start(temperature, pressure):
    # The start takes the vapour's slope from its latent heat, the mean from its pressure: they
    # differ by half a per cent, of which the vapour's share of the pressure remains.
    share = saturation_vapour_pressure(temperature) / pressure
    assert moist_mean_exponent(temperature, pressure, 1.0001) == pytest.approx(
        moist_expansion_exponent(temperature, pressure), abs=0.03 * share + 1e-5
    )


def test_mean_exponent_is_that_of_a_finer_integration():
    # Oracle: SciPy's DOP853 on the same slope.
    first = 500e3 - saturation_vapour_pressure(293.15)
    run = solve_ivp(
        lambda lnv, lnt: [moist_expansion_slope(293.15 * exp(lnt[0]), first * exp(lnt[0] - lnv))],
        (0.0, log(1.7)),
        [0.0],
        method="DOP853",
        rtol=1e-12,
        atol=1e-14,
    )
    last = first * exp(run.y[0, -1]) / 1.7 + saturation_vapour_pressure(293.15 * exp(run.y[0, -1]))
    mean = moist_mean_exponent(293.15, 500e3, 1.7)
    assert mean == pytest.approx(-log(last / 500e3) / log(1.7), abs=1e-9)


def test_vapour_pressure_does_not_run_away_in_the_cold():
    assert saturation_vapour_pressure(20.0) == saturation_vapour_pressure(100.0)
    assert 0.0 < saturation_vapour_pressure(100.0) < 1e-10


# ---------------------------------------------------------------- wind


@given(st.floats(0.0, 200.0), st.floats(0.0, 20.0), st.floats(1.5, 10.0), st.floats(1e-3, 1.0))
def test_wind_grows_with_height_from_nothing(height, speed, reference, roughness):
    here = log_wind_speed(height, speed, reference, roughness)
    assert 0.0 <= here <= log_wind_speed(height + 1.0, speed, reference, roughness)
    assert log_wind_speed(reference, speed, reference, roughness) == pytest.approx(speed)
    assert log_wind_speed(0.5 * roughness, speed, reference, roughness) == 0.0


@given(st.floats(1.0, 200.0), st.floats(0.01, 0.5))
def test_both_shear_laws_agree_where_they_are_the_same_law(height, roughness):
    # The standard's reference height is 20 ft.
    assert landing_shear(height, 3.0, roughness) == pytest.approx(
        log_wind_speed(height, 3.0, 6.096, roughness)
    )


@given(st.floats(1.0, 300.0), st.floats(1.0, 300.0), st.floats(0.05, 0.4))
def test_power_law_composes(first, second, exponent):
    halfway = power_law_wind_speed(first, 5.0, 10.0, exponent)
    assert power_law_wind_speed(second, halfway, first, exponent) == pytest.approx(
        power_law_wind_speed(second, 5.0, 10.0, exponent)
    )


@pytest.mark.parametrize("length", [20.0, 150.0])
def test_spectrum_holds_the_variance(length):
    whole, _ = quad(lambda k: vertical_turbulence_spectrum(k, 1.3, length), 0.0, inf)
    assert whole == pytest.approx(1.3**2, rel=1e-6)
    assert vertical_turbulence_spectrum(0.0, 1.0, pi) == pytest.approx(1.0)


@pytest.mark.parametrize("length", [20.0, 150.0])
def test_an_isotropic_field_has_its_variance_in_each_direction(length):
    whole, _ = quad(lambda k: gust_energy_spectrum(k, 1.3, length), 0.0, inf)
    assert whole == pytest.approx(1.5 * 1.3**2, rel=1e-6)
    along, _ = quad(lambda k: along_gust_spectrum(k, 1.3, length), 0.0, inf)
    assert along == pytest.approx(1.3**2, rel=1e-6)


@given(st.floats(0.01, 50.0))
def test_the_share_of_energy_is_the_integral_of_the_spectrum(scaled):
    below, _ = quad(lambda k: gust_energy_spectrum(k, 1.0, 1.0), 0.0, scaled, limit=200)
    assert gust_energy_share(scaled) == pytest.approx(below / 1.5, rel=1e-6, abs=1e-12)


@given(st.floats(0.0, 3.0))
def test_both_line_spectra_come_from_the_energy_spectrum(scaled):
    """Batchelor (1953): integrals of E/k (1 - k1^2/k^2) and E/2k (1 + k1^2/k^2) above k1."""
    for law, sign, factor in (
        (along_gust_spectrum, -1.0, 1.0),
        (vertical_turbulence_spectrum, 1.0, 0.5),
    ):

        def part(k, sign=sign, factor=factor):
            return factor * gust_energy_spectrum(k, 1.0, 1.0) / k * (1.0 + sign * (scaled / k) ** 2)

        whole, _ = quad(part, max(scaled, 1e-9), inf, limit=200)
        assert law(scaled, 1.0, 1.0) == pytest.approx(whole, rel=1e-5)


@given(st.floats(-5.0, 50.0), st.floats(0.5, 40.0))
def test_the_ground_stops_vertical_gusts(height, full):
    share = vertical_gust_share(height, full)
    assert 0.0 <= share <= 1.0
    assert share == 0.0 if height <= 0.0 else share > 0.0 or height < 1e-6
    assert share >= vertical_gust_share(height - 0.1, full)


@given(st.floats(1.0, 304.0))
def test_turbulence_near_the_ground_is_stronger_along_the_wind(height):
    assert horizontal_turbulence(height, 5.0) >= 0.5
    assert horizontal_turbulence_length(height) >= height


# ---------------------------------------------------------------- nonsense


@pytest.mark.parametrize(
    "nonsense",
    [
        lambda: standard_pressure(11001.0),
        lambda: standard_temperature(-5001.0),
        lambda: standard_density(float("nan")),
        lambda: pressure_altitude(0.0, 101325.0),
        lambda: weather_service_altitude(-1.0),
        lambda: altimeter_setting(0.0, 100.0),
        lambda: layer_thickness(1e5, 0.0, 288.0),
        lambda: true_height(100.0, 0.0, 288.15),
        lambda: moist_air_density(1e5, 288.15, 1.1),
        lambda: moist_expansion_exponent(300.0, 1000.0),
        lambda: moist_mean_exponent(300.0, 1e5, 1.0),
        lambda: power_law_wind_speed(0.0, 5.0, 10.0, 0.14),
        lambda: landing_shear(-1.0, 5.0, 0.1),
        lambda: horizontal_turbulence_length(400.0),
        lambda: exposure_coefficient(10.0, 0.0, 7.0),
    ],
)
def test_nonsense_is_refused(nonsense):
    with pytest.raises(ValueError, match=r"must|not between|holds"):
        nonsense()


def test_vapour_at_the_triple_point():
    # 611.657 Pa at 273.16 K, the triple point of water (IAPWS).
    assert saturation_vapour_pressure(273.16) == pytest.approx(611.657, rel=1e-3)
