"""What the strict reader of quantities takes, what it refuses, and what it says."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.units import DIMENSIONS, Quantity, QuantityError, parse_quantity, read_quantity

PSI = 6894.757293168361  # Pa, NIST SP 811 B.8: 6.894 757 E+03; exact ratio of pound-force and inch

ACCEPTED = [
    ("1.30 L ± 0.02 L", "volume", 1.3e-3, 2e-5),
    ("1.30 ± 0.02 L", "volume", 1.3e-3, 2e-5),
    ("1.30 L +/- 0.02 L", "volume", 1.3e-3, 2e-5),
    ("1.30L±20mL", "volume", 1.3e-3, 2e-5),
    ("  55 psi  ", "gauge_pressure", 55 * PSI, 0.0),
    ("60 psi ± 3 %", "gauge_pressure", 60 * PSI, 1.8 * PSI),
    ("4 barg ± 0.1 bar", "gauge_pressure", 4e5, 1e4),
    ("60 psig", "gauge_pressure", 60 * PSI, 0.0),
    ("5 bara", "absolute_pressure", 5e5, 0.0),
    ("1008 hPa ± 1 hPa", "absolute_pressure", 100800.0, 100.0),
    ("9 degC ± 1 degC", "temperature", 282.15, 1.0),
    ("9 ± 1 degC", "temperature", 282.15, 1.0),
    ("9 °C ± 1 K", "temperature", 282.15, 1.0),
    ("50 degF ± 9 degF", "temperature", 283.15, 5.0),
    ("50 ft/s", "speed", 15.24, 0.0),
    ("0.012 kg m^2", "inertia", 0.012, 0.0),
    ("0.012 kg*m^2", "inertia", 0.012, 0.0),
    ("0.012 kg·m²", "inertia", 0.012, 0.0),
    ("120 g cm^2", "inertia", 1.2e-5, 0.0),
    ("0.95 ± 0.04", "number", 0.95, 0.04),
    ("60 %", "number", 0.6, 0.0),
    ("60 % ± 3 %", "number", 0.6, 0.03),
    ("-0.5 deg", "angle", -0.5 * math.pi / 180, 0.0),
    ("1e3 mm", "length", 1.0, 0.0),
    ("+2.5E-1 m", "length", 0.25, 0.0),
    ("0 m ± 0 m", "length", 0.0, 0.0),
    ("20 g", "acceleration", 196.133, 0.0),
    ("20 g", "mass", 0.02, 0.0),
]


@pytest.mark.parametrize(("text", "dimension", "value", "sd"), ACCEPTED)
def test_accepted(text: str, dimension: str, value: float, sd: float) -> None:
    quantity = parse_quantity(text, dimension)
    assert quantity.value == pytest.approx(value, rel=1e-14, abs=0.0)
    assert quantity.sd == pytest.approx(sd, rel=1e-12, abs=0.0)


REFUSED = [
    # text, dimension, code, words of the mend, first blamed character
    ("1,5 L", "volume", "decimal-comma", '"1.5 L"', 0),
    ("1.30 L ± 0,02 L", "volume", "decimal-comma", '"1.30 L ± 0.02 L"', 9),
    ("1,500 mL", "volume", "separator", '"1500 mL" or "1.500 mL"', 0),
    ("1 500 mL", "volume", "separator", '"1500 mL"', 0),
    ("1'500 mL", "volume", "separator", '"1500 mL"', 0),
    ("1_500 mL", "volume", "separator", '"1500 mL"', 0),
    ("1,234,567 Pa", "gauge_pressure", "separator", '"1234567 Pa"', 0),
    ("7.5.2 bar", "gauge_pressure", "unreadable", '"60 psi"', 0),
    ("1/2 in", "length", "unreadable", "", 0),
    ("two m", "length", "unreadable", "", 0),
    (".5 m", "length", "unreadable", '"0.5 m"', 0),
    ("5. m", "length", "unreadable", '"5.0 m"', 0),
    ("-.5 deg", "angle", "unreadable", '"-0.5 deg"', 0),
    ("", "length", "unreadable", "", 0),
    ("   ", "length", "unreadable", "", 0),
    ("m", "length", "unreadable", "", 0),
    ("5 m ±", "length", "unreadable", "", 4),
    ("± 5 m", "length", "unreadable", "", 0),
    ("5 m ± 1 m ± 2 m", "length", "unreadable", "", 10),
    ("5 m ± m", "length", "unreadable", "", 6),
    ("1e9999 m", "length", "unreadable", "", 0),
    ("0x10 m", "length", "unknown-unit", "", 1),
    ("5" * 200 + " m", "length", "unreadable", "", 0),
    ("5", "length", "no-unit", '"1.2 m"', 0),
    ("5 ± 1", "length", "no-unit", '"1.2 m"', 4),
    ("1.3 L ± 0.02", "volume", "no-unit", '"1.3 L ± 0.02 L"', 8),
    ("10 C", "temperature", "unknown-unit", '"degC"', 3),
    ("5 c", "speed", "unknown-unit", "km/h", 2),
    ("5 PSI", "gauge_pressure", "unknown-unit", '"psi"', 2),
    ("5 Meters", "length", "unknown-unit", '"m"', 2),
    ("5 fps", "speed", "unknown-unit", '"ft/s"', 2),
    ("5 km/hr", "speed", "unknown-unit", '"km/h"', 2),
    ("5 m2", "area", "unknown-unit", '"m^2"', 2),
    ("5 furlong", "length", "unknown-unit", "use one of: m, km", 2),
    ("1 ton", "mass", "unclear-unit", "kg", 2),
    ("20 fl oz", "volume", "unclear-unit", "mL", 3),
    ("5 kg", "length", "wrong-dimension", "a length", 2),
    ("5 %", "length", "wrong-dimension", "a length", 2),
    ("5 m", "number", "wrong-dimension", "a plain number", 2),
    ("8 bara", "gauge_pressure", "wrong-dimension", 'as gauge, e.g. "60 psi"', 2),
    ("8 psia", "gauge_pressure", "wrong-dimension", "as gauge", 2),
    ("8 psig", "absolute_pressure", "wrong-dimension", "as absolute", 2),
    ("8 barg", "absolute_pressure", "wrong-dimension", "as absolute", 2),
    ("60 psi ± 2 mm", "gauge_pressure", "wrong-dimension", "a gauge pressure", 11),
    ("nan m", "length", "not-finite", "", 0),
    ("inf m", "length", "not-finite", "", 0),
    ("-Infinity m", "length", "not-finite", "", 0),
    ("1e999 m", "length", "not-finite", "", 0),
    ("1e308 km", "length", "not-finite", "", 0),
    ("5 m ± nan m", "length", "not-finite", "", 6),
    ("5 m ± -1 m", "length", "negative-spread", "", 6),
    ("5 m ± -0 m", "length", "negative-spread", "", 6),
    ("5 m above ground", "length", "trailing", "", 4),
    ("5 m 3", "length", "trailing", "", 4),
    ("0.95 ± 4 %", "number", "unclear-percent", '"0.95 ± 0.04"', 7),
    ("60 % ± 0.03", "number", "unclear-percent", "", 7),
    ("0 deg ± 3 %", "angle", "unclear-percent", "", 8),
    ("15 degC ± 3 %", "temperature", "unclear-percent", "", 10),
    ("\uff15 m", "length", "odd-character", "", 0),
    ("5\u00a0m", "length", "odd-character", '"5 m"', 1),
    ("−5 degC", "temperature", "odd-character", '"-5 degC"', 0),
    ("5 \u043c", "length", "odd-character", "", 2),
    ("5 m\u200b", "length", "odd-character", "", 3),
    ("5 m\n", "length", "odd-character", "", 3),
    ("\u0665 m", "length", "odd-character", "", 0),
]


@pytest.mark.parametrize(("text", "dimension", "code", "mend", "at"), REFUSED)
def test_refused(text: str, dimension: str, code: str, mend: str, at: int) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, dimension)
    error = caught.value
    assert error.code == f"quantity-{code}"
    assert mend in error.mend
    assert error.at == at
    assert error.width >= 1


# pint 0.2x reads all of these; the comment says as what.
LENIENT = [
    ("1,5 L", "volume"),  # 15 L: the comma is dropped
    ("1,500.0 mL", "volume"),
    ("7.5.2 bar", "gauge_pressure"),  # 7.5 times 0.2 bar
    ("10 C", "temperature"),  # 10 coulomb
    ("1 ton", "mass"),  # the US short ton
    ("5 c", "speed"),  # five times the speed of light
    ("2 L 3", "volume"),  # 6 L
    ("5 m 10 s", "length"),
    ("2 * 3 m", "length"),
    ("5 dekameter", "length"),
    ("3 gallon", "volume"),
    ("nan m", "length"),
    ("1e999 m", "length"),
    ("m", "length"),  # 1 m
    ("60", "gauge_pressure"),
]


@pytest.mark.parametrize(("text", "dimension"), LENIENT)
def test_a_lenient_reader_takes_what_ours_refuses(text: str, dimension: str) -> None:
    assert pint.UnitRegistry().parse_expression(text) is not None
    with pytest.raises(QuantityError):
        parse_quantity(text, dimension)


def test_the_field_s_own_example_is_shown() -> None:
    with pytest.raises(QuantityError, match="a gauge pressure is needed") as caught:
        parse_quantity("8 bara", "gauge_pressure", "72 psi")
    assert '"72 psi"' in caught.value.mend


def test_the_written_unit_is_handed_back() -> None:
    assert read_quantity("1.30 ± 0.02 L", "volume")[1] == "L"
    assert read_quantity("60 psi ± 1 %", "gauge_pressure")[1] == "psi"
    assert read_quantity("0.5", "number")[1] == ""


def test_every_dimension_reads_its_own_example() -> None:
    for name, dimension in DIMENSIONS.items():
        assert parse_quantity(dimension.example, name).value > 0.0


def test_a_quantity_is_its_value_as_a_float() -> None:
    assert float(Quantity(2.5, 0.1)) == 2.5


units = st.sampled_from(
    [(name, unit) for name, dimension in DIMENSIONS.items() for unit in dimension.units]
)
numbers = st.decimals(-1_000_000, 1_000_000, places=6).map(str)
spreads = st.decimals(0, 1000, places=3).map(str)


@given(units, numbers)
def test_reads_what_is_well_formed(unit: tuple[str, str], number: str) -> None:
    name, spelling = unit
    expected = DIMENSIONS[name].units[spelling].to_si(float(number))
    assert parse_quantity(f"{number} {spelling}", name) == Quantity(expected)


@given(units, numbers, spreads, st.sampled_from(["±", "+/-", " ± ", "  +/- "]))
def test_reads_uncertainty(unit: tuple[str, str], number: str, spread: str, sign: str) -> None:
    name, spelling = unit
    once = f"{number}{sign}{spread} {spelling}"
    twice = f"{number} {spelling}{sign}{spread} {spelling}"
    if name != "number" or not spelling:
        assert parse_quantity(once, name) == parse_quantity(twice, name)
    expected = DIMENSIONS[name].units[spelling].difference(float(spread))
    assert parse_quantity(twice, name).sd == expected


@given(units, numbers, st.sampled_from(list(DIMENSIONS)))
def test_no_unit_passes_for_another_dimension(
    unit: tuple[str, str], number: str, other: str
) -> None:
    _, spelling = unit
    if spelling in DIMENSIONS[other].units:
        return
    with pytest.raises(QuantityError):
        parse_quantity(f"{number} {spelling}", other)


def outcome(text: str, name: str) -> tuple[Quantity | None, QuantityError | None]:
    try:
        return parse_quantity(text, name), None
    except QuantityError as error:
        return None, error


@given(st.text(max_size=200), st.sampled_from(list(DIMENSIONS)))
def test_any_text_gives_a_quantity_or_a_quantity_error(text: str, name: str) -> None:
    quantity, error = outcome(text, name)
    if quantity is not None:
        assert math.isfinite(quantity.value)
        assert 0.0 <= quantity.sd < math.inf
    if error is not None:
        assert error.message
        assert error.mend
        assert 0 <= error.at <= len(text)


@given(st.text("0123456789.,±+-/eE %psibarLmg°'_ ", max_size=30), st.sampled_from(list(DIMENSIONS)))
def test_near_misses_never_crash(text: str, name: str) -> None:
    quantity, error = outcome(text, name)
    assert (quantity is None) != (error is None)
    assert quantity is None or math.isfinite(quantity.value)
