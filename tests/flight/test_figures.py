"""Figures under their names: which column is which, and what did not happen."""

from __future__ import annotations

import numpy as np
import pytest

from loftwright.flight.engine import Raw
from loftwright.flight.figures import (
    CARRIED,
    FIGURES,
    FREE,
    STAGE,
    TOUCHDOWN,
    columns,
    flight_figures,
    touchdowns,
)
from loftwright.flight.kernel import slots
from loftwright.flight.outcomes import sentence

PAYLOAD = (("payload", "vehicle", 0),)


def rows(count=2, **named):
    table = np.full((count, slots.FIGURE_COUNT), np.nan)
    for name, value in named.items():
        table[:, getattr(slots, name)] = value
    return table


def found_of(carried=(), opening_factor=1.0, **bodies):
    return columns(Raw(bodies, [], carried), opening_factor)


LANDED = rows(
    DOWN_TIME=[20.0, 21.0],
    DOWN_EAST=3.0,
    DOWN_NORTH=-4.0,
    DOWN_UP=0.0,
    DOWN_SPEED=[5.0, 10.0],
    DOWN_MASS=0.4,
)
GLIDED = rows(
    DOWN_TIME=[60.0, np.nan],
    DOWN_EAST=1.0,
    DOWN_NORTH=2.0,
    DOWN_UP=[6.5, np.nan],
    DOWN_SPEED=[4.0, np.nan],
    DOWN_MASS=0.05,
    CAUGHT=[2.0, np.nan],
)


def numbered(count=2):
    return np.arange(float(slots.FIGURE_COUNT))[np.newaxis].repeat(count, 0)


def test_every_figure_is_one_row_of_the_engine():
    for names in (FIGURES, CARRIED, FREE, STAGE, TOUCHDOWN):
        assert len(set(names.values())) == len(names)
    found = found_of(vehicle=numbered())
    for name, slot in FIGURES.items():
        np.testing.assert_array_equal(found[name], float(slot))


@pytest.mark.parametrize("item", [0, 3])
def test_every_thing_carried_has_figures_of_its_own(item):
    name = "payload" if item == 0 else "payload4"
    found = found_of(((name, "vehicle", item),), vehicle=numbered())
    prefix = "" if item == 0 else "payload4_"
    for key, slot in CARRIED.items():
        if key not in ("hold_use", "torn_off"):
            expected = float(slot + item * slots.ITEM_FIGURES)
            np.testing.assert_array_equal(found[prefix + key], expected)


def test_a_margin_is_what_the_hold_bears_beyond_what_was_asked():
    table = rows(4, HOLD_USE=[0.5, 1.0, 0.0, np.nan], TORN=[0.0, 1.0, 0.0, np.nan])
    found = found_of(PAYLOAD, vehicle=table)
    np.testing.assert_allclose(found["hold_margin"], [1.0, 0.0, np.nan, np.nan])
    np.testing.assert_array_equal(found["torn_off"], [0.0, 1.0, 0.0, 0.0])
    assert "hold_use" not in found


def test_a_hold_that_gave_way_has_no_margin():
    """Use at the moment of giving way is one up to the rounding of that moment."""
    found = found_of(PAYLOAD, vehicle=rows(HOLD_USE=1.0 + 1e-9, TORN=1.0))
    np.testing.assert_array_equal(found["hold_margin"], 0.0)


def test_without_a_hold_nothing_is_asked():
    assert "hold_load_n" not in found_of(vehicle=rows())
    assert "hold_load_n" in found_of(PAYLOAD, vehicle=rows())


def test_recontact_is_a_fin_struck_or_a_skin_pressed_in():
    payload = rows(
        4,
        LET_GO_TIME=[1.0, 1.0, 1.0, np.nan],
        FIN_CLEARANCE=[0.2, 0.0, 0.2, np.nan],
        BODY_CLEARANCE=[0.1, 0.1, -0.01, np.nan],
    )
    found = found_of(PAYLOAD, vehicle=rows(4), payload=payload)
    np.testing.assert_array_equal(found["recontact"], [0.0, 1.0, 1.0, np.nan])


def test_names_carry_their_units():
    units = ("_m", "_s", "_m_s", "_m_s2", "_n", "_n_s", "_rad", "_kg")
    names = (set(FIGURES) | set(CARRIED) | set(FREE) | set(STAGE)) - {"hold_use", "torn_off"}
    assert all(name.endswith(units) for name in names)


def test_energy_is_half_m_v_squared_of_what_came_down():
    found = found_of(PAYLOAD, vehicle=LANDED, payload=GLIDED)
    np.testing.assert_allclose(found["touchdown_vehicle_energy_j"], [5.0, 20.0])
    np.testing.assert_allclose(found["touchdown_payload_energy_j"], [0.4, np.nan])


def test_masses_of_a_payload_may_differ_from_flight_to_flight():
    payload = rows(DOWN_SPEED=2.0, DOWN_MASS=[0.1, 0.2])
    found = found_of(PAYLOAD, vehicle=LANDED, payload=payload)
    np.testing.assert_allclose(found["touchdown_payload_energy_j"], [0.2, 0.4])


def test_without_a_payload_there_is_no_column_of_it():
    assert not any("payload" in name for name in found_of(vehicle=LANDED))


def test_touchdowns_of_a_flight():
    found = found_of(PAYLOAD, vehicle=LANDED, payload=GLIDED)
    assert touchdowns(found, 0)["vehicle"] == {
        "time_s": 20.0,
        "east_m": 3.0,
        "north_m": -4.0,
        "up_m": 0.0,
        "speed_m_s": 5.0,
        "energy_j": pytest.approx(5.0),
    }
    assert set(touchdowns(found, 0)) == {"vehicle", "payload"}
    assert set(touchdowns(found, 1)) == {"vehicle"}
    assert set(touchdowns(found, 1)["vehicle"]) == {*TOUCHDOWN, "energy_j"}


def test_only_what_is_caught_says_by_what():
    found = touchdowns(found_of(PAYLOAD, vehicle=LANDED, payload=GLIDED), 0)
    assert found["payload"]["caught"] == 2.0
    assert found["payload"]["up_m"] == 6.5
    assert "caught" not in found["vehicle"]


def test_what_did_not_happen_is_none():
    found = flight_figures(found_of(vehicle=rows(APOGEE_HEIGHT=80.0)))
    assert found["apogee_m"] == 80.0
    assert found["canopy_open_s"] is None
    assert found["canopy_load_n"] is None


def test_opening_load_is_the_drag_while_filling_times_the_factor():
    table = rows(OPENED_TIME=[5.0, np.nan], CANOPY_LOAD=[3.0, 0.0])
    found = found_of(opening_factor=1.7, vehicle=table)
    np.testing.assert_allclose(found["canopy_load_n"], [5.1, np.nan])


@pytest.mark.parametrize("outcome", range(6))
def test_every_outcome_has_its_sentence(outcome):
    assert sentence(float(outcome)).endswith(".")


def test_sentences_differ():
    assert len({sentence(outcome) for outcome in range(6)}) == 6
