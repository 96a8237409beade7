"""Settings reach the avionics, and the programs come along."""

from __future__ import annotations

import pytest
from documents.bad_wired import WIRED

from loftwright.cli.overrides import read_with
from loftwright.errors import ProblemError


def test_a_setting_of_the_avionics_is_read_with_its_programs():
    campaign = read_with(WIRED, ["avionics.barometer.0.noise=3 Pa"])
    assert campaign.avionics is not None
    assert campaign.avionics.barometer[0].noise.value == 3.0
    assert list(campaign.programs) == ["main"]
    assert campaign.folder == WIRED


def test_a_setting_that_breaks_a_wire_is_blamed():
    with pytest.raises(ProblemError) as caught:
        read_with(WIRED, ["avionics.barometer.0.bay=tail bay"])
    assert [each.code for each in caught.value.problems] == ["avionics-no-such-part"]
    assert caught.value.problems[0].where.field == "--set"
