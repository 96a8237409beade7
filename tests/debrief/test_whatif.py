"""What would be if with programs at work: the flights of a kept forecast, programs turned."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from flight.campaigns import example

from loftwright.debrief.scoring.kept_flights import fly_kept
from loftwright.debrief.whatif import WhatIfPrograms
from loftwright.errors import ProblemError
from loftwright.rehearsal.knobs import knobs_of, read_setting, turned

CLIMB = "program.board.climbing.climb"


def test_unturned_it_flies_what_a_kept_forecast_flies() -> None:
    campaign = example("sedge-lift-mended")
    known = fly_kept(campaign, 1, 40)
    found = WhatIfPrograms(campaign).answer({}, 40)
    for key, column in known.columns.items():
        np.testing.assert_array_equal(found.columns[key], column, err_msg=key)
    for lane, rows in known.band.lanes.items():
        np.testing.assert_array_equal(found.band.lanes[lane], rows, err_msg=lane)


def test_a_turned_number_flies_as_in_the_document() -> None:
    campaign = example("sedge-lift-mended")
    knob, value = read_setting(campaign.programs, "board.climbing.climb=35 ft/s")
    changed = replace(campaign, programs=turned(campaign.programs, {knob: value}))
    known = fly_kept(changed, 1, 24)
    found = WhatIfPrograms(campaign).answer({CLIMB: "35 ft/s"}, 24)
    for key, column in known.columns.items():
        np.testing.assert_array_equal(found.columns[key], column, err_msg=key)
    # It lets go later, and so at a slower climb.
    plain = WhatIfPrograms(campaign).answer({}, 24)
    assert np.nanmedian(found.columns["release_time_s"]) > np.nanmedian(
        plain.columns["release_time_s"]
    )


def test_what_is_wrong_is_told_under_the_name_that_was_asked() -> None:
    engine = WhatIfPrograms(example("sedge-lift-mended"))
    for name, text in ((CLIMB, "fast"), ("program.board.nowhere.climb", "5 m/s")):
        with pytest.raises(ProblemError) as caught:
            engine.ask({name: text})
        assert [each.where.field for each in caught.value.problems] == [name]


def test_without_programs_it_says_so() -> None:
    with pytest.raises(ProblemError):
        WhatIfPrograms(example("stand-bottle")).ask({})


def test_every_number_of_a_program_can_be_asked_as_it_stands() -> None:
    campaign = example("sedge-lift-mended")
    asked = {f"program.{knob.path}": knob.shown(knob.now) for knob in knobs_of(campaign.programs)}
    WhatIfPrograms(campaign).ask(asked)
