"""What cannot be rehearsed is told before anything is flown."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flight.campaigns import example, staged
from rehearsal.loops import MENDED

from loftwright.errors import ProblemError
from loftwright.rehearsal.block import worked_things
from loftwright.rehearsal.plan import plan_of


def told(campaign):
    with pytest.raises(ProblemError) as caught:
        plan_of(campaign, 1)
    return [problem.code for problem in caught.value.problems]


def test_without_electronics_there_is_nothing_to_rehearse():
    assert told(example("stand-bottle")) == ["avionics-none"]


def test_what_rides_on_the_upper_stage_is_not_rehearsed_yet():
    whole, donor = staged(), example(MENDED)
    upper = next(root for root, each in whole.payloads.items() if each.on != "vehicle")
    avionics = donor.avionics
    latch = replace(avionics.actuator[0], works=upper)
    wired = replace(avionics, actuator=(latch, *avionics.actuator[1:]))
    assert told(replace(whole, avionics=wired, programs=donor.programs)) == ["rehearse-on-upper"]


def test_things_stand_in_the_order_of_payloads_with_the_canopy_last():
    campaign = example(MENDED)
    assert worked_things(campaign) == ("payload", "canopy")
    turned = replace(campaign.avionics, actuator=campaign.avionics.actuator[::-1])
    assert worked_things(replace(campaign, avionics=turned)) == ("payload", "canopy")
