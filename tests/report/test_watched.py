"""One watched flight: what was, was sensed, was believed and was done, on one clock."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from report import rehearsed
from report.test_strip import boxes

from loftwright.rehearsal.results import Stay
from loftwright.report.strip import WIDTHS, draw_strip
from loftwright.report.watched_lanes import stay_sentences, watched_strip, watched_strips


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("frozen", [True, False])
def test_words_stay_apart(width: str, system: str, frozen: bool) -> None:
    for strip in watched_strips(rehearsed.watched(frozen=frozen), system):
        for one, other in combinations(boxes(draw_strip(strip, WIDTHS[width])), 2):
            assert not one.overlaps(other, gap=-1.5), (one, other)


def test_each_controller_has_height_climb_and_stages() -> None:
    strip = watched_strip(rehearsed.watched(), "metric")
    assert [lane.name for lane in strip.lanes] == [
        "height", "climb", "main", "height", "climb", "canopy", "latch", "supply",
    ]  # fmt: skip
    assert [curve.name for curve in strip.lanes[0].curves] == ["sensed", "flown", "believed"]
    assert [block.words for block in strip.lanes[2].blocks] == [
        "pad", "climbing", "let go", "watching",
    ]  # fmt: skip


def test_a_stage_that_commands_something_is_coloured() -> None:
    strip = watched_strip(rehearsed.watched(), "metric")
    roles = {block.words: block.role for block in strip.lanes[2].blocks}
    assert roles == {"pad": "rule", "climbing": "rule", "let go": "vehicle", "watching": "rule"}


def test_commands_and_what_moves_are_told_on_the_rail() -> None:
    events = {event.words: event for event in watched_strip(rehearsed.watched(), "metric").events}
    assert events["latch moved"].time > events["main commands latch"].time
    alone = [event.words for event in watched_strip(rehearsed.replayed(), "metric").events]
    assert alone == ["latch commanded"]
    assert "liftoff" in events


def test_a_wrong_belief_is_said_where_it_is_worst() -> None:
    watched = rehearsed.watched(frozen=True)
    whole, part = watched_strips(watched, "metric")
    assert [n.words for n in whole.lanes[0].notes if n.role == "warning"] == [
        "! 24\u00a0m too high"
    ]
    (note,) = [n for n in part.lanes[0].notes if n.role == "warning"]
    assert note.words == "! 18\u00a0m too low"
    assert part.start <= note.time <= part.end
    # The canopy's controller has a sensor of its own, and is right.
    assert not [n for n in whole.lanes[3].notes if n.role == "warning"]


def test_a_belief_that_is_nearly_right_is_not_remarked_on() -> None:
    strip = watched_strip(rehearsed.watched(), "metric")
    assert not [note for lane in strip.lanes for note in lane.notes if note.role == "warning"]


def test_time_without_a_stage_is_time_without_power() -> None:
    watched = rehearsed.watched()
    stays = (Stay("pad", -20.0, 1.0), Stay("pad", 3.0, 5.0))
    strip = watched_strip(replace(watched, stays={"main": stays}), "metric")
    blocks = next(lane for lane in strip.lanes if lane.name == "main").blocks
    dark = "! without power"
    assert [block.words for block in blocks] == ["pad", dark, "pad", dark]
    assert [(b.start, b.role) for b in blocks if b.words == dark] == [
        (1.0, "warning"), (5.0, "warning"),
    ]  # fmt: skip


def test_a_stay_without_power_warns_and_power_up_is_no_event() -> None:
    watched = rehearsed.watched()
    stays = (Stay("without power", -20.0, -19.0), Stay("pad", -19.0, 5.0),
             Stay("without power", 5.0, 11.0))  # fmt: skip
    strip = watched_strip(replace(watched, stays={"main": stays}), "metric")
    blocks = next(lane for lane in strip.lanes if lane.name == "main").blocks
    assert [block.role for block in blocks] == ["warning", "rule", "warning"]
    assert strip.start > -2.0


def test_only_the_controller_that_commands_is_coloured() -> None:
    watched = rehearsed.watched()
    let_go = watched.commands["main: latch"]
    both = (Stay("pad", -20.0, let_go), Stay("on", let_go, 11.0))
    strip = watched_strip(replace(watched, stays={"main": both, "spare": both}), "metric")
    roles = {
        lane.name: lane.blocks[1].role for lane in strip.lanes if lane.name in ("main", "spare")
    }
    assert roles == {"main": "vehicle", "spare": "rule"}


@pytest.mark.parametrize("width", WIDTHS)
def test_long_names_are_kept_off_the_lanes(width: str) -> None:
    long = "the backup timer in the tail cone"
    watched = rehearsed.watched()
    named = replace(
        watched,
        **{key: {long: getattr(watched, key)["main"], "b": getattr(watched, key)["canopy"]}
           for key in ("sensed", "believed", "stays")},
        levels={f"{long}: {long}": ((1.0, 2.0),)},
        commands={f"{long}: latch": 1.0},
    )  # fmt: skip
    drawn = draw_strip(watched_strip(named, "metric"), WIDTHS[width])
    for one, other in combinations(boxes(drawn), 2):
        assert not one.overlaps(other, gap=-1.5), (one, other)
    assert all(box.right <= WIDTHS[width].width for box in boxes(drawn))


def test_the_wait_on_the_pad_does_not_fill_the_strip() -> None:
    strip = watched_strip(rehearsed.watched(), "metric")
    assert -2.0 < strip.start < 0.0


def test_what_happens_on_the_pad_is_in_sight() -> None:
    watched = rehearsed.watched()
    early = (Stay("pad", -20.0, -12.0, "height > 12 m"), Stay("climbing", -12.0, 10.0))
    assert watched_strip(replace(watched, stays={"main": early}), "metric").start < -12.0


def test_the_part_in_which_they_act_is_shown_larger_only_where_it_is_short() -> None:
    watched = rehearsed.watched()
    whole, part = watched_strips(watched, "metric")
    assert whole.close_up == (part.start, part.end)
    late = replace(watched, commands={"latch": 9.0}, acts={})
    (only,) = watched_strips(late, "metric")
    assert only.close_up is None
    assert len(watched_strips(replace(watched, commands={}, acts={}), "metric")) == 1


def test_stages_are_told_in_a_sentence() -> None:
    main, canopy = stay_sentences(rehearsed.watched())
    assert main.startswith("Main: pad; climbing at 0.06\u00a0s (push > 3 g, held 60 ms); let go at")
    assert canopy.endswith("(drop > 1 m).")


def test_a_record_that_nobody_saw_fly_is_drawn_without_the_truth() -> None:
    strip = watched_strip(rehearsed.replayed(), "metric")
    assert [curve.name for curve in strip.lanes[0].curves] == ["sensed", "believed"]
    assert strip.end > 10.0
    assert "nan" not in draw_strip(strip, WIDTHS["wide"])


def test_a_flight_without_controllers_is_drawn() -> None:
    bare = replace(rehearsed.watched(), sensed={}, believed={}, stays={}, levels={}, supplies={})
    strip = watched_strip(bare, "us")
    assert [lane.name for lane in strip.lanes] == ["height", "climb"]
    assert [lane.unit for lane in strip.lanes] == ["ft", "ft/s"]


def test_holes_in_what_was_sensed_leave_no_mark() -> None:
    watched = rehearsed.watched()
    columns = {key: value.copy() for key, value in watched.believed["main"].items()}
    columns["height_m"][:] = np.nan
    strip = watched_strip(replace(watched, believed={"main": columns}), "metric")
    assert "nan" not in draw_strip(strip, WIDTHS["wide"])


def test_a_controller_without_a_barometer_has_stages_alone() -> None:
    watched = rehearsed.watched()
    time = watched.believed["canopy"]["time_s"]
    blind = replace(watched, believed={**watched.believed, "canopy": {"time_s": time}})
    names = [(lane.name, lane.unit) for lane in watched_strip(blind, "metric").lanes]
    assert ("height", "m, main") in names
    assert ("height", "m, canopy") not in names
    assert ("canopy", "stages") in names
