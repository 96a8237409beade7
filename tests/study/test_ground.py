"""Landings of studies against the ground: the same counts as a forecast's, and worst of all."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from flight.campaigns import with_fields
from study.cases import asked, codes, lift

from loftwright.documents.corners import Local
from loftwright.documents.site import Shape
from loftwright.errors import ProblemError
from loftwright.field.landings import on_ground
from loftwright.flight.forecast import forecast
from loftwright.study.best import best
from loftwright.study.evaluate import Draws, evaluate
from loftwright.study.phrases import statistic
from loftwright.study.spans import placed

WIND = "site.wind.speed"
FROM = "site.wind.from"
HOLD = "payload.hold.strength"


def square(half, kind, east=0.0, north=0.0, **more):
    corners = tuple(Local(east + x * half, north + y * half)
                    for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))  # fmt: skip
    return Shape(name=kind, kind=kind, corners=corners, **more)


def field(*shapes):
    """Return the demo, well held and in more wind, on other ground."""
    held = with_fields(lift(), {HOLD: 60.0, WIND: 5.0})
    return replace(held, site=replace(held.site, shape=shapes))


def test_chances_are_those_of_the_forecast():
    campaign = field(*lift().site.shape)
    wanted = ["inside_field", "tree_risk", "building_risk"]
    flown = evaluate(campaign, {}, Draws(200, 4), wanted=wanted).columns
    ensemble = forecast(campaign, flights=200, seed=4)
    for body in on_ground(campaign, ensemble.columns):
        for place in body.places:
            if place.happening not in ("outside", "caught"):
                continue
            key = {"outside": "inside_field", "Alder row": "tree_risk"}.get(
                place.happening, {"Alder row": "tree_risk"}.get(place.name, "building_risk")
            )
            ours = statistic(flown[f"{body.body}_{key}"], "chance")[0]
            theirs = 1.0 - place.chance.share if key == "inside_field" else place.chance.share
            assert ours == pytest.approx(theirs, abs=1e-12), (body.body, key)
    assert 0.0 < statistic(flown["tree_risk"], "chance")[0] < 1.0


def test_of_all_bodies_the_worst_counts():
    flown = evaluate(field(*lift().site.shape), {}, Draws(50, 1),
                     wanted=["inside_field", "field_margin_m", "tree_risk"]).columns  # fmt: skip
    for key, worst in (("inside_field", np.fmin), ("field_margin_m", np.fmin),
                       ("tree_risk", np.fmax)):  # fmt: skip
        both = worst(flown[f"vehicle_{key}"], flown[f"payload_{key}"])
        assert np.array_equal(flown[key], both, equal_nan=True)
    assert np.array_equal(flown["inside_field"] == 1.0, flown["field_margin_m"] >= 0.0)


@pytest.mark.parametrize("half", [20.0, 500.0])
def test_the_margin_of_a_square_field_is_told_by_hand(half):
    flown = evaluate(field(square(half, "field edge")), {}, wanted=["field_margin_m"]).columns
    for body in ("vehicle", "payload"):
        east, north = (abs(flown[f"touchdown_{body}_{way}_m"][0]) for way in ("east", "north"))
        out = np.hypot(max(east - half, 0.0), max(north - half, 0.0))
        expected = half - max(east, north) if out == 0.0 else -out
        assert flown[f"{body}_field_margin_m"][0] == pytest.approx(expected, rel=1e-12)


def test_without_a_field_nothing_is_told_of_it_and_without_trees_there_is_no_risk():
    flown = evaluate(field(), {}, wanted=["inside_field", "tree_risk"]).columns
    assert np.isnan(flown["inside_field"][0])
    assert flown["tree_risk"][0] == 0.0
    with pytest.raises(ProblemError) as caught:
        best(asked(field(), [f"{WIND}=1 m/s..5 m/s"], ["field_margin"]))
    assert codes(caught.value) == ["study-never-happens"]
    assert "field edge" in caught.value.problems[0].mend


def test_ground_is_told_where_it_is_asked_for_only():
    assert np.isnan(evaluate(lift(), {}).columns["tree_risk"]).all()


def test_the_best_stays_inside_the_field_and_out_of_the_trees():
    """A field just too small for the flight as written."""
    calm = with_fields(field(), {WIND: 2.0})
    half = 0.8 * max(abs(end[f"{way}_m"]) for end in forecast(calm).touchdown.values()
                     for way in ("east", "north"))  # fmt: skip
    campaign = replace(calm, site=replace(calm.site, shape=(square(half, "field edge"),)))
    assert evaluate(campaign, {}, wanted=["field_margin_m"]).columns["field_margin_m"][0] < 0.0
    vary = ["vehicle.fill.gauge_pressure=30 psi..85 psi", "payload.release.climb=5 m/s..15 m/s"]
    found = best(asked(campaign, vary, ["apogee"],
                       ["field margin > 5 m", "hold margin > 0.5"]))  # fmt: skip
    margin = next(each for each in found.bindings if each.limit.figure == "field_margin_m")
    assert margin.value >= 5.0 * (1 - 2e-4)
    there = forecast(placed(campaign, found.values)).touchdown
    assert all(
        max(abs(end["east_m"]), abs(end["north_m"])) <= half - 4.99 for end in there.values()
    )
    assert found.figures["hold_margin"] >= 0.5 * (1 - 2e-4)


def test_a_risk_limits_a_search_over_many_flights():
    campaign = field(*lift().site.shape)
    vary = ["vehicle.fill.gauge_pressure=30 psi..85 psi"]
    question = asked(campaign, vary, ["apogee"],
                     ["tree risk < 5 %", "retainer margin > 0.2"], flights=6)  # fmt: skip
    found = best(question)
    risk = found.bindings[0]
    assert risk.limit.statistic == "chance"
    assert risk.limit.bound == 0.05
    assert risk.value <= 0.05
    assert found.figures["tree_risk"] == risk.value
