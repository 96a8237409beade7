"""Who hangs on what, and what goes down together."""

from __future__ import annotations

from instruments.pair import pair, single

from loftwright.instruments.wiring import common_causes, wire


def test_wires_are_those_of_the_document():
    wiring = wire(single().avionics)
    main = wiring.controllers["main"]
    assert (main.barometer, main.accelerometer, main.switch) == ("baro", "accel", "pad line")
    assert (main.bay, main.battery, main.connectors) == ("nose bay", "main cell", ("bay plug",))
    assert wiring.working("canopy") == ("lid",)
    assert wiring.path("battery", "main cell", "voltage") == "avionics.battery.0.voltage"


def test_one_battery_for_everything_leaves_no_way_down():
    told = {each.part: each for each in common_causes(wire(single().avionics))}
    assert told["main cell"].takes_along == ("main", "latch", "lid")
    assert told["main cell"].leaves_no_way_down
    assert told["bay plug"].leaves_no_way_down
    assert not told["nose bay"].leaves_no_way_down


def test_a_battery_of_its_own_brings_the_canopy_out():
    told = {each.part: each for each in common_causes(wire(pair().avionics))}
    assert told["main cell"].takes_along == ("main", "latch")
    assert not told["main cell"].leaves_no_way_down
    assert told["canopy cell"].leaves_no_way_down
    assert told["nose bay"].takes_along == ("baro", "main", "backup")
