"""Written quantities said in the units of others: their own stay, all keep their sense."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.units import DIMENSIONS, parse_quantity, read_quantity, said_in
from loftwright.units.usual import _STRANGE

UNITS = [(unit, name) for name, each in DIMENSIONS.items() for unit in each.units]
NUMBERS = st.integers(-9999, 9999).map(lambda n: n / 100.0)


# 1 ft = 0.3048 m, 1 mile an hour = 0.44704 m/s, 1 psi = 6894.757 Pa (NIST SP 811, B.8).
@pytest.mark.parametrize(
    ("system", "written", "dimension", "said"),
    [
        ("us", "12 m", "length", "39.4 ft"),
        ("us", "0.2 m", "length", "7.87 in"),
        ("us", "15  m/s", "speed", "49.2 ft/s"),
        ("us", "34 mph", "speed", "34 mph"),
        ("us", "98 kPa", "absolute_pressure", "14.2 psia"),
        ("us", "1.5 Pa", "pressure_difference", "1.5 Pa"),
        ("us", "4 g", "acceleration", "4 g"),
        ("us", "2 L", "volume", "2 L"),
        ("us", "17 degC ± 1 degC", "temperature", "62.6 ± 1.8 degF"),
        ("metric", "50 ft/s", "speed", "15.2 m/s"),
        ("metric", "60 psi", "gauge_pressure", "4.14 bar"),
        ("metric", "100 in²", "area", "645 cm^2"),
        (None, "50 ft/s", "speed", "50 ft/s"),
    ],
)
def test_a_quantity_is_said_in_the_units_of_the_person(
    system: str | None, written: str, dimension: str, said: str
) -> None:
    assert said_in(system, written, dimension) == said


@given(st.sampled_from(UNITS), NUMBERS, st.sampled_from(["metric", "us"]))
def test_a_quantity_keeps_its_sense_whatever_it_is_said_in(
    unit_of: tuple[str, str], number: float, system: str
) -> None:
    unit, dimension = unit_of
    written = f"{number} {unit}".strip()
    said = said_in(system, written, dimension)
    before, after = (parse_quantity(each, dimension).value for each in (written, said))
    zero = DIMENSIONS[dimension].units[read_quantity(said, dimension)[1]]
    assert after - zero.offset == pytest.approx(before - zero.offset, rel=5e-3, abs=6e-9)


def test_every_strange_unit_is_one_that_is_read() -> None:
    known = {unit for unit, _ in UNITS}
    assert set().union(*_STRANGE.values()) <= known
    assert not _STRANGE["us"] & _STRANGE["metric"]
