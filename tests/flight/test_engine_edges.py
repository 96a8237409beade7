"""Odd vehicles and odd days: every flight ends in a known way, with numbers that are numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest
from flight.campaigns import example
from flight.engine_rows import column, figure, get_slot, set_slot, time_of
from hypothesis import given, settings
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight import engine
from loftwright.flight.firing import fire
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.events import AT_AMBIENT
from loftwright.flight.masses import water_column
from loftwright.flight.prepare import prepare

VALUES, _, WORDS = flatten(example("sedge-lift"))
WATER = "vehicle.fill.water_volume"
FILL = "vehicle.fill.gauge_pressure"
THROAT = "vehicle.nozzle.throat_diameter"
ELEVATION = "site.launch.elevation"
TUBELESS = {name: v for name, v in VALUES.items() if not name.startswith("vehicle.launch_tube")}
ENDS = {slots.LANDED, slots.STAYED, slots.OUT_OF_TIME}
HELD_FAST = {"payload.hold.strength": 1e6}


def flown(values=None, *, tube=True, **rows):
    """Fly the example, held fast, with other values, and other parameters by their names."""
    bodies = prepare({**(VALUES if tube else TUBELESS), **HELD_FAST, **(values or {})}, WORDS)
    for name, value in rows.items():
        for body in bodies[:1] if name != "GRAVITY" else bodies:
            set_slot(body.parameters, name, value)
    return engine.fly_all(bodies, recorded=1, capacity=4000)


def assert_sound(raw):
    """Nothing on the tapes, and no figure of what happened, is other than finite."""
    for tape in raw.tapes[0].values():
        assert np.isfinite(tape).all()
        times = time_of(tape)
        assert (np.diff(times) >= -np.spacing(times[1:])).all()
    for figures in raw.bodies.values():
        assert not np.isinf(figures).any()


def assert_landed(raw):
    assert figure(raw, "OUTCOME") == slots.LANDED
    assert figure(raw, "DOWN_SPEED") > 0.0
    assert_sound(raw)


def assert_stayed(raw):
    assert figure(raw, "OUTCOME") == slots.STAYED
    assert math.isnan(figure(raw, "DOWN_TIME"))
    assert_sound(raw)


def assert_pushed_as_on_the_stand(raw, values):
    """What never moves on an upright guide is pushed as if it were held."""
    stand = fire({**TUBELESS, **values}, WORDS).figures["impulse_n_s"]
    assert figure(raw, "TOTAL_IMPULSE") == pytest.approx(stand, rel=1e-4, abs=1e-6)


def happened(raw, name, body="vehicle"):
    return not math.isnan(figure(raw, name, body=body))


# ---------------------------------------------------------------- fill and nozzle


@pytest.mark.parametrize("tube", [True, False])
def test_no_water_flies_on_air(tube):
    raw = flown({WATER: 0.0}, tube=tube)
    assert_landed(raw)
    assert math.isnan(figure(raw, "WATER_OUT_TIME"))
    assert figure(raw, "WATER_LEFT") == 0.0


def test_overfilled_stops_when_the_pressure_is_gone_and_keeps_its_water():
    raw = flown({WATER: 3.2e-3, FILL: 1e5}, tube=False)
    assert_stayed(raw)
    left = column(raw.tapes[0]["vehicle"], "WATER")[-1]
    # 0.1 L of gas at 1 bar gauge can swell to 0.2 L at most.
    assert 3.0 < left < 3.2
    assert math.isnan(figure(raw, "WATER_OUT_TIME"))
    assert figure(raw, "WATER_LEFT") == pytest.approx(left)


def test_overfilled_that_leaves_the_guide_lands_with_its_water():
    raw = flown({WATER: 2.5e-3, FILL: 3e5}, tube=False)
    assert_landed(raw)
    assert figure(raw, "DOWN_MASS") > 1.0


def test_a_fill_at_ambient_pressure_stays_on_the_guide():
    """A tube closes the throat; without one, water falls out until the air outside carries it."""
    closed = flown({FILL: 0.0})
    assert_stayed(closed)
    assert figure(closed, "TOTAL_IMPULSE") == pytest.approx(0.0, abs=1e-6)
    open_ = flown({FILL: 0.0, ELEVATION: math.pi / 2}, tube=False)
    assert_stayed(open_)
    assert 0.0 < figure(open_, "TOTAL_IMPULSE") < 0.1
    assert_pushed_as_on_the_stand(open_, {FILL: 0.0})


@pytest.mark.parametrize("tube", [True, False])
def test_a_vehicle_too_heavy_to_move_stays_on_the_guide(tube):
    raw = flown(tube=tube, DRY_MASS=1000.0)
    assert_stayed(raw)
    assert figure(raw, "MAX_SPEED") == 0.0


def test_a_tiny_throat_never_lifts_its_vehicle():
    raw = flown({THROAT: 1e-3}, tube=False)
    assert_stayed(raw)
    assert figure(raw, "TOTAL_IMPULSE") > 10.0


def test_a_throat_half_as_wide_as_the_bottle_flies():
    assert_landed(flown({THROAT: 0.054}, tube=False))


def test_twice_the_proof_pressure_of_a_bottle_flies():
    assert_landed(flown({FILL: 2.5e6}))


# ---------------------------------------------------------------- what cannot lift itself

BACKWARD = {  # wind blows down the axis of a vehicle that rests on its guide, half way up
    WATER: 2.8022580279863023e-3,
    FILL: 139889.0,
    THROAT: 0.03125,
    "vehicle.nozzle.flow_coefficient": 1.0,
    "vehicle.nozzle.velocity_coefficient": 1.0,
    "vehicle.fill.temperature": 260.0,
    "vehicle.mass.dry": 0.5,
    "payload.mass": 0.5,
    "site.wind.speed": 14.0,
    "site.wind.gust": 4.0,
    ELEVATION: 1.0,
    "site.launch.azimuth": 4.0,
    "site.launch.guide_length": 1.0,
}


def assert_in_bounds(raw):
    """A body came to its end within the hour, in steps that anybody can wait for."""
    assert (time_of(raw.tapes[0]["vehicle"]) <= 3601.0).all()
    assert figure(raw, "STEPS") < 50_000


def test_wind_down_the_axis_does_not_hold_the_water_of_what_rests_on_its_guide():
    raw = flown(BACKWARD, tube=False, FIN_SLOPE=0.0)
    assert_stayed(raw)
    assert figure(raw, "MAX_SPEED") > 0.1
    assert time_of(raw.tapes[0]["vehicle"])[-1] < 10.0


def test_a_pinhole_is_waited_for_an_hour():
    raw = flown({THROAT: 1e-4}, tube=False)
    assert_stayed(raw)
    assert_in_bounds(raw)
    assert math.isnan(figure(raw, "AIR_OUT_TIME"))


PRESSED = {
    WATER: st.floats(0.0, 3.2e-3),
    FILL: st.floats(0.0, 1.2e6),
    THROAT: st.floats(1e-3, 0.05),
    "vehicle.nozzle.flow_coefficient": st.floats(0.3, 1.0),
    "site.wind.speed": st.floats(0.0, 40.0),
    "site.wind.gust": st.floats(0.0, 60.0),
    "site.launch.azimuth": st.floats(0.0, 2.0 * math.pi),
}


def flown_too_heavy(values, margin, fins):
    """Fly with a weight along the guide above any push: of the jet, and of the wind."""
    push = 2.0 * (values[FILL] + 1e4) * math.pi / 4.0 * values[THROAT] ** 2 + 100.0
    heavy = margin * push / (9.8 * math.sin(values[ELEVATION]))
    slope = get_slot(prepare({**VALUES, **values}, WORDS)[0].parameters, "FIN_SLOPE")
    return flown(values, tube=False, DRY_MASS=heavy, FIN_SLOPE=fins * slope)


@settings(deadline=None, max_examples=60)
@given(
    values=st.fixed_dictionaries({**PRESSED, ELEVATION: st.floats(0.2, math.pi / 2)}),
    margin=st.floats(1.1, 10.0),
    fins=st.floats(0.0, 3.0),
)
def test_whatever_cannot_lift_itself_stays(values, margin, fins):
    raw = flown_too_heavy(values, margin, fins)
    assert_stayed(raw)
    assert_in_bounds(raw)
    assert figure(raw, "MAX_SPEED") == 0.0


@settings(deadline=None, max_examples=30)
@given(
    values=st.fixed_dictionaries({**PRESSED, ELEVATION: st.just(math.pi / 2)}),
    margin=st.floats(1.1, 10.0),
)
def test_what_stays_is_pushed_as_on_the_stand(values, margin):
    """Whatever the wind does: the water of what stands is pressed by its weight alone."""
    assert_pushed_as_on_the_stand(flown_too_heavy(values, margin, 1.0), values)


# ---------------------------------------------------------------- stand


def test_a_firing_with_a_launch_tube_is_the_firing_without_it():
    """The stand holds the vessel: nothing can slide, so the tube does nothing."""
    one, other = fire(VALUES, WORDS).figures, fire(TUBELESS, WORDS).figures
    assert one == other
    assert 20.0 < one["impulse_n_s"] < 60.0
    assert 0.05 < one["water_out_s"] < one["air_out_s"] < 1.0


def test_an_overfilled_firing_ends_when_the_outside_carries_the_water_that_is_left():
    values = {**TUBELESS, WATER: 3.1e-3, FILL: 1.5e5}
    firing = fire(values, WORDS)
    left = firing.water_mass[-1]
    head = 9.80665 * left / water_column(values).area
    ended = AT_AMBIENT * VALUES["site.air.pressure"]
    assert left > 2.5
    assert firing.gauge_pressure[-1] == pytest.approx(ended - head, abs=1e-3)


# ---------------------------------------------------------------- guide


@pytest.mark.parametrize("length", [0.0, 1e-3, 20.0])
def test_any_guide(length):
    assert_landed(flown({"site.launch.guide_length": length}, tube=False))


def test_a_tube_longer_than_the_guide_guides():
    raw = flown({"vehicle.launch_tube.length": 2.0, "site.launch.guide_length": 0.5})
    assert_landed(raw)
    assert figure(raw, "GUIDE_EXIT_TIME") == pytest.approx(figure(raw, "TUBE_CLEAR_TIME"), abs=1e-9)


@pytest.mark.parametrize("elevation", [0.0, 0.02, 0.1])
def test_a_launch_along_the_ground(elevation):
    raw = flown({ELEVATION: elevation}, tube=False)
    assert_landed(raw)
    assert figure(raw, "MAX_SPEED") >= figure(raw, "DOWN_SPEED")


def test_the_largest_speed_may_be_that_of_the_touchdown():
    raw = flown(CANOPY_KIND=0.0, ITEM_WHEN=0.0, MEASURED_DRAG=1e-9, ITEM_DRAG=0.0, ITEM_SIDE=0.0)
    assert figure(raw, "MAX_SPEED") == figure(raw, "DOWN_SPEED")
    assert figure(raw, "MAX_SPEED") > figure(raw, "BURNOUT_SPEED")


# ---------------------------------------------------------------- release and canopy


def test_never_released():
    raw = flown(ITEM_WHEN=slots.NEVER)
    assert_landed(raw)
    assert not happened(raw, "RELEASED_TIME")
    assert not happened(raw, "DOWN_TIME", "payload")
    assert len(raw.tapes[0]["payload"]) == 0
    assert figure(raw, "DOWN_MASS") == pytest.approx(
        VALUES["vehicle.mass.dry"] + VALUES["payload.mass"], abs=0.02
    )


def test_released_by_time_while_pushed():
    raw = flown(ITEM_WHEN=slots.BY_TIME, ITEM_TIME=0.05, ITEM_DELAY=0.0)
    assert_landed(raw)
    assert figure(raw, "RELEASED_TIME") == pytest.approx(0.05, abs=1e-9)
    assert figure(raw, "WATER_OUT_TIME") > 0.05


def test_released_at_apogee_after_the_canopy():
    raw = flown(
        ITEM_WHEN=slots.BY_APOGEE,
        ITEM_DELAY=3.0,
        CANOPY_KIND=slots.BY_APOGEE,
        CANOPY_DELAY=1.0,
    )
    assert_landed(raw)
    apogee = figure(raw, "APOGEE_TIME")
    assert figure(raw, "OPENED_TIME") == pytest.approx(apogee + 1.0, abs=1e-9)
    assert figure(raw, "RELEASED_TIME") == pytest.approx(apogee + 3.0, abs=1e-9)
    assert happened(raw, "DOWN_TIME", "payload")


def test_without_a_canopy_it_comes_down_ballistic():
    raw = flown(CANOPY_KIND=slots.NEVER)
    assert_landed(raw)
    assert not happened(raw, "OPENED_TIME")
    assert figure(raw, "DOWN_SPEED") > 25.0


def test_a_canopy_opens_at_its_climb():
    raw = flown(CANOPY_KIND=slots.BY_CLIMB, CANOPY_CLIMB=10.0, CANOPY_DELAY=0.0)
    assert_landed(raw)
    tape = raw.tapes[0]["vehicle"]
    opened = np.searchsorted(time_of(tape), figure(raw, "OPENED_TIME"))
    assert column(tape, "V_UP")[opened] == pytest.approx(10.0, abs=1e-6)


def test_a_canopy_due_while_pushed_opens_when_the_push_ends():
    raw = flown(CANOPY_KIND=slots.BY_TIME, CANOPY_TIME=0.05, CANOPY_DELAY=0.0)
    assert_landed(raw)
    assert figure(raw, "OPENED_TIME") == pytest.approx(figure(raw, "AIR_OUT_TIME"), abs=1e-9)


# ---------------------------------------------------------------- air


def test_without_fins_it_tumbles():
    raw = flown(FIN_SLOPE=0.0)
    assert_landed(raw)
    assert figure(raw, "APOGEE_HEIGHT") < 0.7 * figure(flown(), "APOGEE_HEIGHT")


@pytest.mark.parametrize("speed", [0.0, 60.0])
def test_still_air_and_a_hurricane(speed):
    assert_landed(flown({"site.wind.speed": speed, "site.wind.gust": 1.3 * speed}))


def test_a_flight_is_cut_after_an_hour():
    raw = flown(GRAVITY=1e-3, CANOPY_KIND=slots.NEVER)
    assert figure(raw, "OUTCOME") == slots.OUT_OF_TIME
    assert time_of(raw.tapes[0]["vehicle"])[-1] <= 3601.0
    assert_sound(raw)


# ---------------------------------------------------------------- anything


WIDE = st.fixed_dictionaries(
    {
        WATER: st.floats(0.0, 3.2e-3),
        FILL: st.floats(0.0, 1.2e6),
        THROAT: st.floats(2e-3, 0.05),
        "vehicle.nozzle.flow_coefficient": st.floats(0.3, 1.0),
        "vehicle.nozzle.velocity_coefficient": st.floats(0.3, 1.0),
        "vehicle.fill.temperature": st.floats(260.0, 330.0),
        "vehicle.mass.dry": st.floats(0.05, 5.0),
        "payload.mass": st.floats(1e-3, 0.5),
        "payload.toss.speed": st.floats(0.0, 20.0),
        "payload.hold.strength": st.floats(0.0, 100.0),
        "site.wind.speed": st.floats(0.0, 40.0),
        "site.wind.gust": st.floats(0.0, 60.0),
        ELEVATION: st.floats(0.05, math.pi / 2),
        "site.launch.azimuth": st.floats(0.0, 2.0 * math.pi),
        "site.launch.guide_length": st.floats(0.0, 5.0),
        "vehicle.fins.0.cant": st.floats(-0.1, 0.1),
    }
)
KINDS = st.sampled_from([slots.NEVER, slots.BY_CLIMB, slots.BY_APOGEE, slots.BY_TIME])


@settings(deadline=None, max_examples=150)
@given(
    values=WIDE,
    tube=st.booleans(),
    release=KINDS,
    canopy=KINDS,
    moment=st.floats(0.0, 10.0),
    fins=st.floats(0.0, 3.0),
)
def test_anything_ends_in_a_known_way(values, tube, release, canopy, moment, fins):
    slope = get_slot(prepare({**VALUES, **values}, WORDS)[0].parameters, "FIN_SLOPE")
    raw = flown(
        values,
        tube=tube,
        ITEM_WHEN=release,
        ITEM_TIME=moment,
        CANOPY_KIND=canopy,
        CANOPY_TIME=moment,
        FIN_SLOPE=fins * slope,
    )
    assert figure(raw, "OUTCOME") in ENDS
    assert_sound(raw)
