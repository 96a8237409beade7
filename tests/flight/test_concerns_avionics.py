"""What check says of the avionics: against the laws that it quotes, and that its mends mend."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from flight.campaigns import example, with_fields
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem
from loftwright.flight.check import check
from loftwright.flight.concerns_carried import fastest_climb
from loftwright.flight.facts import facts
from loftwright.units import Quantity, parse_quantity

BAY = "avionics.bay.0"
BARO = "avionics.barometer.0"
CELL = "avionics.battery.0"
FAMILY = {
    "check-bay-vents",
    "check-port-error",
    "check-barometer-range",
    "check-readings-refused",
    "check-supply-sags",
    "check-accelerometer-range",
    "check-sampling",
}


def changed(**fields: Any) -> Campaign:
    """The demo with other fields; two underscores stand for a point."""
    paths = {path.replace("__", "."): value for path, value in fields.items()}
    return with_fields(example("sedge-lift"), paths)


def found(campaign: Campaign) -> list[Problem]:
    return [problem for problem in check(campaign).warnings if problem.code in FAMILY]


def with_(changes: dict[str, Any]) -> list[Problem]:
    return found(with_fields(example("sedge-lift"), changes))


def program_with(campaign: Campaign, **fields: Any) -> Campaign:
    programs = {name: replace(each, **fields) for name, each in campaign.programs.items()}
    return replace(campaign, programs=programs)


@pytest.mark.parametrize(
    "name",
    [
        "sedge-lift",
        "sedge-lift-mended",
        "sedge-lift-rehearsed",
        "stand-bottle",
        "terrace-stages",
    ],
)
def test_nothing_is_said_of_the_examples(name: str) -> None:
    assert found(example(name)) == []


# ------------------------------------------------------------------------------------- the bay


def vents(count: int, diameter: float, volume: float = 200e-6) -> dict[str, Any]:
    return {
        f"{BAY}.vent_count": count,
        f"{BAY}.vent_diameter": diameter,
        f"{BAY}.volume": volume,
        f"{BAY}.vent_coefficient": 0.6,
    }


# 200 cm3 at 50 m/s, discharge coefficient 0.6, in air of 1.225 kg/m3 at 288.15 K: one vent of 1 mm
# trails by 3.877 Pa, four of 2 mm by 0.0151 Pa (rows of tests/physics/outside_sensing.py); 3.877 Pa
# over 1.225 kg/m3 times 9.80665 m/s2 are 0.3227 m.
STANDARD = {"site.air.pressure": 101325.0, "site.air.temperature": 288.15, "site.air.humidity": 0.0}


def test_the_height_error_of_small_vents_is_that_of_the_worked_row() -> None:
    (small,) = with_(STANDARD | vents(1, 1e-3) | {"head.units": "metric"})
    assert small.code == "check-bay-vents"
    assert "come out 323 mm low in a climb of 50 m/s" in small.message
    assert with_(STANDARD | vents(4, 2e-3)) == []


@pytest.mark.parametrize(("count", "diameter"), [(1, 1e-3), (2, 0.5e-3), (1, 0.1e-3), (1, 0.9e-3)])
def test_either_set_of_vents_of_the_mend_is_enough(count: int, diameter: float) -> None:
    (small,) = with_(vents(count, diameter) | {"head.units": "metric"})
    told = re.findall(r"(\d+) of ([\d.]+ mm)", small.mend)
    assert told
    for number, size in told:
        assert with_(vents(int(number), parse_quantity(size, "length").value)) == []


def test_a_bay_that_cannot_follow_at_all_is_not_given_a_number() -> None:
    (tight,) = with_(vents(1, 0.1e-3))
    assert "hardly breathes at all" in tight.message


@pytest.mark.parametrize("units", ["metric", "us"])
def test_errors_come_in_the_persons_units(units: str) -> None:
    (small,) = with_(vents(1, 0.8e-3) | {"head.units": units})
    assert (" ft low" in small.message) is (units == "us")
    (port,) = with_({f"{BAY}.port_coefficient": 0.05, "head.units": units})
    assert ("21 ft low" in port.message) is (units == "us")
    assert ("6.4 m low" in port.message) is (units == "metric")


def test_a_loud_barometer_hides_what_a_bay_trails_by() -> None:
    assert with_(vents(1, 0.9e-3) | {f"{BARO}.noise": 30.0}) == []
    (quiet,) = with_(vents(1, 0.9e-3) | {f"{BARO}.noise": 0.0})
    assert quiet.code == "check-bay-vents"


def test_a_bay_within_the_rule_is_left_in_peace_however_quiet_its_barometer() -> None:
    # 50.8 m: 200 mL need 3.94 mm2, which one vent of 2.25 mm has and one of 2.23 mm has not
    silent = {f"{BARO}.noise": 0.0}
    assert with_(vents(1, 2.25e-3) | silent) == []
    assert [each.code for each in with_(vents(1, 2.23e-3) | silent)] == ["check-bay-vents"]


# Cp V^2 / (2 g) at 50 m/s: 6.373 m for 0.05 (row of tests/physics/outside_sensing.py).
@pytest.mark.parametrize(
    ("coefficient", "words"),
    [(0.05, "6.4 m low"), (-0.05, "6.4 m high"), (0.03, ""), (-0.03, ""), (0.0, "")],
)
def test_a_port_coefficient_is_told_with_what_it_does(coefficient: float, words: str) -> None:
    told = with_({f"{BAY}.port_coefficient": coefficient, "head.units": "metric"})
    assert [each.code for each in told] == (["check-port-error"] if words else [])
    assert all(words in each.message for each in told)


def test_speeds_are_judged_by_what_the_air_has_work_for() -> None:
    weak = changed(vehicle__fill__gauge_pressure=0.9e5, head__units="metric")
    fastest = fastest_climb(facts(weak))
    assert 10.0 < fastest < 50.0
    slow = with_fields(weak, {f"{BAY}.port_coefficient": 1.0})
    port = next(each for each in found(slow) if each.code == "check-port-error")
    assert f"at {fastest:.0f} m/s" in port.message
    assert found(with_fields(slow, {"vehicle.fins": ()})) == []


def test_a_bay_without_a_barometer_may_be_as_it_likes() -> None:
    lone = with_fields(changed(), vents(1, 0.1e-3) | {"avionics.barometer": ()})
    assert found(lone) == []


# ------------------------------------------------------------------------------------- pressures

# The standard atmosphere has 1013.25 hPa at the sea and 977.73 hPa at 300 m (ISO 2533 tables).


def test_a_range_is_held_against_pad_and_height() -> None:
    assert with_(STANDARD | {f"{BARO}.least": 97.7e3, f"{BARO}.most": 101.4e3}) == []
    (high,) = with_(STANDARD | {f"{BARO}.least": 97.9e3, "head.units": "metric"})
    assert high.code == "check-barometer-range"
    assert high.where.field == "barometer.0.least"
    assert "1013 hPa at the pad and 977.7 hPa at 300 m above it" in high.message
    (low,) = with_(STANDARD | {f"{BARO}.most": 101.2e3})
    assert low.where.field == "barometer.0.most"


def test_a_program_that_refuses_the_air_is_shown_in_its_own_file() -> None:
    narrow = program_with(changed(), most=Quantity(93e3))
    (refused,) = found(narrow)
    assert refused.code == "check-readings-refused"
    assert (refused.where.file, refused.where.field) == ("program-board.toml", "most")
    assert refused.where.line is not None
    assert [each.code for each in found(program_with(changed(), least=Quantity(93e3)))] == [
        "check-readings-refused"
    ]


# ------------------------------------------------------------------------------------- supply


def test_a_sag_is_voltage_less_ohms_times_amperes_less_two_spreads() -> None:
    # 3.9 V - 1.6 ohm (0.06 + 0.35 + 0.35) A = 2.684 V, less twice 0.1 V: 2.484 V
    (sags,) = with_({f"{CELL}.resistance": 1.6})
    assert '"latch servo" and "door servo" move it may sag to 2.48 V' in sags.message
    assert "below 2.90 V" in sags.message
    # twice the root of 0.1^2 and (0.76 x 0.2)^2 is 0.364 V: 2.320 V
    soft = {f"{CELL}.resistance": Quantity(1.6, 0.2)}
    (spread,) = with_(soft)
    assert "2.32 V" in spread.message


def test_one_actuator_that_is_too_much_alone_is_told_alone() -> None:
    (sags,) = with_({f"{CELL}.resistance": 2.2, "avionics.actuator.1.draw": 0.5})
    assert 'while "door servo" moves' in sags.message


def test_controllers_may_be_too_much_without_anything_that_moves() -> None:
    idle = {"avionics.actuator": (), "avionics.controller.0.draw": 2.0, f"{CELL}.resistance": 0.9}
    (sags,) = with_(idle)
    assert 'below 2.70 V "board" stops' in sags.message
    assert "second one" not in sags.mend


def test_a_battery_that_hardly_starts_anything_needs_more_volts() -> None:
    (sags,) = with_({f"{CELL}.voltage": Quantity(3.0, 0.1)})
    assert sags.mend.startswith("a battery of more volts")


@given(
    resistance=st.floats(0.0, 20.0),
    draw=st.floats(0.01, 5.0),
    least=st.floats(0.0, 3.5),
    brownout=st.floats(0.0, 3.5),
)
def test_the_battery_of_the_mend_bears_what_moves(
    resistance: float, draw: float, least: float, brownout: float
) -> None:
    part = {
        "avionics.actuator.0.draw": draw,
        "avionics.actuator.0.least_voltage": least,
        "avionics.controller.0.brownout": brownout,
    }
    for sags in with_(part | {f"{CELL}.resistance": resistance}):
        stiffer = re.match(r"a battery of ([\d.]+) ohm", sags.mend)
        if stiffer:
            enough = float(stiffer[1])
            assert enough < resistance
            # What moves alone is told first; the rest together may ask for still less.
            again = with_(part | {f"{CELL}.resistance": enough})
            assert all(each.message.split(" it may")[0] != sags.message.split(" it may")[0]
                       for each in again)  # fmt: skip


def test_each_battery_is_reckoned_with_what_hangs_on_it() -> None:
    two = example("sedge-lift-rehearsed")
    assert found(two) == []
    (sags,) = found(with_fields(two, {"avionics.battery.1.resistance": 4.0}))
    assert sags.where.field == "battery.1.voltage"
    assert '"timer servo" moves' in sags.message


# ------------------------------------------------------------------------------------- the rest


def test_the_push_of_liftoff_is_the_static_thrust_over_the_mass() -> None:
    pull = facts(changed()).pull
    assert pull is not None
    (short,) = with_({"avionics.accelerometer.0.range": pull.felt_at_liftoff - 0.1})
    assert f"about {pull.felt_at_liftoff / 9.80665:.0f} g" in short.message
    assert with_({"avionics.accelerometer.0.range": pull.felt_at_liftoff + 0.1}) == []
    assert with_({"avionics.accelerometer.0.range": 10.0, "vehicle.fins": ()}) == []


@pytest.mark.parametrize(
    ("every", "taken", "words"),
    [
        (0.0, 1, ""),  # a new value whenever it is asked
        (0.020, 1, ""),
        (0.060, 1, ""),
        (0.061, 1, "each is read 3 times"),
        (0.200, 8, "each is read 10 times"),
        (0.007, 1, ""),
        (0.005, 1, "only one in 4 counts"),
        (0.005, 3, "only one in 4 counts"),
        (0.005, 4, ""),  # the sensor averages over them
    ],
)
def test_sampling_is_held_against_how_often_there_is_something_new(
    every: float, taken: int, words: str
) -> None:
    told = with_({f"{BARO}.every": every, f"{BARO}.filter": taken})
    assert [each.code for each in told] == (["check-sampling"] if words else [])
    for each in told:
        assert words in each.message
        assert each.where.file == "program-board.toml"
        assert each.where.value == '"20 ms"'


def test_what_the_mend_of_sampling_says_is_enough() -> None:
    (seldom,) = with_({f"{BARO}.every": 0.1})
    assert 'write sample_every = "100 ms"' in seldom.mend
    slower = program_with(changed(), sample_every=Quantity(0.1))
    assert found(with_fields(slower, {f"{BARO}.every": 0.1})) == []
    (often,) = with_({f"{BARO}.every": 0.005, f"{BARO}.filter": 1})
    assert "filter = 4" in often.mend


def test_two_controllers_with_one_program_are_told_once() -> None:
    campaign = changed(avionics__barometer__0__every=0.1)
    assert campaign.avionics is not None
    (board,) = campaign.avionics.controller
    twin = replace(board, name="twin")
    avionics = replace(campaign.avionics, controller=(board, twin))
    programs = {**campaign.programs, "twin": campaign.programs["board"]}
    both = replace(campaign, avionics=avionics, programs=programs)
    assert [each.code for each in found(both)] == ["check-sampling"]


def test_a_campaign_without_avionics_has_nothing_said_of_them() -> None:
    bare = replace(changed(), avionics=None, programs={})
    assert found(bare) == []


def test_an_upper_stage_does_not_bring_them_twice() -> None:
    staged = example("terrace-stages")
    demo = changed(avionics__bay__0__port_coefficient=0.5)
    avionics = demo.avionics
    assert avionics is not None
    idle = replace(avionics, actuator=())
    head = replace(staged.head, avionics="avionics.toml")
    both = replace(staged, head=head, avionics=idle, folder=demo.folder)
    # Its files are those of the demo; only what is said of the avionics is looked at.
    assert len([each for each in check(both).warnings if each.code == "check-port-error"]) == 1
