"""Figures under their names: which column is which, and what did not happen."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.flight.figures import FIGURES, TOUCHDOWN, columns, flight_figures, touchdowns
from loftwright.flight.kernel import slots
from loftwright.flight.outcomes import sentence


def rows(count=2, **named):
    table = np.full((count, slots.FIGURE_COUNT), np.nan)
    for name, value in named.items():
        table[:, getattr(slots, name)] = value
    return table


DOWN = rows(
    VEHICLE_DOWN_TIME=[20.0, 21.0],
    VEHICLE_DOWN_EAST=3.0,
    VEHICLE_DOWN_NORTH=-4.0,
    VEHICLE_DOWN_SPEED=[5.0, 10.0],
    VEHICLE_DOWN_MASS=0.4,
    PAYLOAD_DOWN_TIME=[60.0, np.nan],
    PAYLOAD_DOWN_EAST=1.0,
    PAYLOAD_DOWN_NORTH=2.0,
    PAYLOAD_DOWN_SPEED=[4.0, np.nan],
)


def test_every_figure_is_one_row_of_the_engine():
    assert len(set(FIGURES.values())) == len(FIGURES)
    table = np.arange(float(slots.FIGURE_COUNT))[np.newaxis].repeat(2, 0)
    found = columns(table, 0.05, 1.0)
    for name, slot in FIGURES.items():
        np.testing.assert_array_equal(found[name], float(slot))


def test_nothing_is_asked_of_a_hold_that_holds_nothing():
    table = rows(HOLD_LOAD=[0.0, 0.0])
    assert np.isnan(columns(table, None, 1.0)["hold_load_n"]).all()
    assert (columns(table, 0.05, 1.0)["hold_load_n"] == 0.0).all()


def test_names_carry_their_units():
    units = ("_m", "_s", "_m_s", "_m_s2", "_n", "_n_s", "_rad", "_kg")
    assert all(name.endswith(units) for name in FIGURES)


def test_energy_is_half_m_v_squared_of_what_came_down():
    found = columns(DOWN, 0.05, 1.0)
    np.testing.assert_allclose(found["touchdown_vehicle_energy_j"], [5.0, 20.0])
    np.testing.assert_allclose(found["touchdown_payload_energy_j"], [0.4, np.nan])


def test_masses_of_a_payload_may_differ_from_flight_to_flight():
    found = columns(rows(PAYLOAD_DOWN_SPEED=2.0), np.array([0.1, 0.2]), 1.0)
    np.testing.assert_allclose(found["touchdown_payload_energy_j"], [0.2, 0.4])


def test_without_a_payload_there_is_no_column_of_it():
    assert not any("payload" in name for name in columns(DOWN, None, 1.0))


def test_touchdowns_of_a_flight():
    found = columns(DOWN, 0.05, 1.0)
    assert touchdowns(found, 0)["vehicle"] == {
        "time_s": 20.0,
        "east_m": 3.0,
        "north_m": -4.0,
        "speed_m_s": 5.0,
        "energy_j": pytest.approx(5.0),
    }
    assert set(touchdowns(found, 0)) == {"vehicle", "payload"}
    assert set(touchdowns(found, 1)) == {"vehicle"}
    assert tuple(touchdowns(found, 1)["vehicle"]) == TOUCHDOWN


def test_what_did_not_happen_is_none():
    found = flight_figures(columns(rows(APOGEE_HEIGHT=80.0), None, 1.0))
    assert found["apogee_m"] == 80.0
    assert found["canopy_open_s"] is None
    assert found["canopy_load_n"] is None


def test_opening_load_is_the_drag_while_filling_times_the_factor():
    table = rows(OPENED_TIME=[5.0, np.nan], CANOPY_LOAD=[3.0, 0.0])
    np.testing.assert_allclose(columns(table, None, 1.7)["canopy_load_n"], [5.1, np.nan])


@pytest.mark.parametrize("outcome", range(5))
def test_every_outcome_has_its_sentence(outcome):
    assert sentence(float(outcome)).endswith(".")


def test_sentences_differ():
    assert len({sentence(outcome) for outcome in range(5)}) == 5
