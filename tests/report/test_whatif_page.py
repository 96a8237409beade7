"""The picture of a what-if: figures with their differences, strips and landings."""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest
from flight.campaigns import example

from loftwright.report.templating import environment
from loftwright.report.whatif_figures import figure_groups, lead, with_ground
from loftwright.report.whatif_page import whatif_at_rest, whatif_picture
from loftwright.report.whatif_strip import whatif_strips
from loftwright.study.whatif import WhatIf, WhatIfAnswer

WATER = "vehicle.fill.water_volume"


@cache
def answers() -> tuple[WhatIfAnswer, WhatIfAnswer]:
    """The mended demo with less water, and as it is written."""
    engine = WhatIf(example("sedge-lift-mended"))
    return engine.answer({WATER: "0.7 L ± 20 mL"}, 24), engine.answer({}, 24)


def test_a_figure_is_told_with_its_difference() -> None:
    now, pinned = answers()
    groups = figure_groups(now, with_ground(now), with_ground(pinned))
    rows = {row.key: row for group in groups for row in group.rows}
    change = np.median(now.columns["apogee_m"] - pinned.columns["apogee_m"]) / 0.3048
    said = re.match(r"([0-9.]+)\sft (higher|lower)", rows["apogee_m"].beside)
    assert said is not None
    assert float(said[1]) == pytest.approx(abs(change), rel=0.05)
    assert (said[2] == "higher") == (change > 0.0)
    assert rows["apogee_m"].told_apart


def test_beside_itself_nothing_differs() -> None:
    now, _ = answers()
    columns = with_ground(now)
    rows = [row for group in figure_groups(now, columns, columns) for row in group.rows]
    assert {row.beside for row in rows} == {"the same"}
    assert not any(row.told_apart for row in rows)
    assert all(row.beside == "" for group in figure_groups(now, columns) for row in group.rows)


def test_what_is_not_on_the_ground_has_no_chance() -> None:
    answer = WhatIf(example("stand-bottle")).answer({}, 16)
    rows = [row.key for group in figure_groups(answer, with_ground(answer)) for row in group.rows]
    assert not {"tree_risk", "building_risk", "inside_field"} & set(rows)
    assert "apogee_m" in rows


def test_the_strips_have_a_band_and_the_baseline_dashed() -> None:
    now, pinned = answers()
    climb, whole = whatif_strips(now, pinned)
    assert climb.end < whole.end
    height = climb.lanes[0]
    assert height.spreads[0].percentiles.shape[1] == 5
    assert [curve.name for curve in height.curves if curve.dash and curve.name] == ["baseline"]
    assert not whatif_strips(now)[0].lanes[0].curves
    words = [event.words for event in climb.events]
    assert "Reedling let go" in words


def test_the_picture_is_drawn_at_every_width() -> None:
    now, pinned = answers()
    for width in ("wide", "medium", "narrow"):
        picture = whatif_picture(now, pinned, against="<i>mine</i>", width=width)
        assert picture.drawn.count("<svg") == 3
        assert "<i>" not in picture.glance + picture.drawn
        assert "&lt;i&gt;mine" in picture.glance


def test_the_lead_says_height_and_reach() -> None:
    now, _ = answers()
    words = lead(now, with_ground(now))
    top = float(np.median(now.columns["apogee_m"])) / 0.3048
    assert words.startswith(f"About {top:.0f}\N{NO-BREAK SPACE}ft up; everything down within ")


def test_flights_that_never_left_the_pad_are_told() -> None:
    now, _ = answers()
    columns = {name: np.full_like(column, np.nan) for name, column in now.columns.items()}
    told = with_ground(now) | columns | {"scrubbed": np.ones(24)}
    assert "lets something go on the pad in all 24 flights" in lead(now, told)


def test_warnings_come_at_rest() -> None:
    now, _ = answers()
    found = whatif_at_rest(now.campaign)
    assert found["warnings"] > 0
    assert "Think twice" in found["html"]
    assert environment().get_template("whatif_rest.html.j2")
