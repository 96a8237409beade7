"""What landings mean: counted by hand on a small field."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from report import synthetic

from loftwright.documents.corners import Geographic, Local
from loftwright.documents.ground import local_corners
from loftwright.documents.site import Shape
from loftwright.field.landings import BodyOnGround, on_ground
from loftwright.field.shapes import ground_shapes
from loftwright.physics.geodesy import geographic
from loftwright.physics.hazard import FATAL_ENERGY, LIGHT_INJURY_ENERGY, casualty_area
from loftwright.units import Quantity

Q = Quantity
NAN = float("nan")
SQUARE = ((-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0))


def shape(name: str, kind: str, corners, **more) -> Shape:
    return Shape(name=name, kind=kind, corners=tuple(Local(*each) for each in corners), **more)


FIELD = shape("Field", "field edge", SQUARE)
WOOD = shape("Wood", "trees", ((30, -50), (50, -50), (50, 50), (30, 50)), height=Q(9.0))
POND = shape("Pond", "water", ((-40, 20), (-20, 20), (-20, 40), (-40, 40)))
LANE = shape("Lane", "road", ((-90, 60), (90, 60)), width=Q(4.0))
CROWD = shape("Crowd", "people", ((-50, -50), (-40, -50), (-40, -40), (-50, -40)), people=Q(50.0))
ROPE = shape("Rope", "people line", ((-50, -30), (-30, -50)))
SHAPES = (FIELD, WOOD, POND, LANE, CROWD, ROPE)


def campaign(shapes=SHAPES):
    whole = synthetic.campaign()
    return replace(whole, site=replace(whole.site, shape=shapes))


def body(points, caught=None, energy=None, shapes=SHAPES) -> BodyOnGround:
    east, north = np.array(points, dtype=float).T
    columns = {"touchdown_vehicle_east_m": east, "touchdown_vehicle_north_m": north}
    if caught is not None:
        columns["touchdown_vehicle_caught"] = np.array(caught, dtype=float)
    if energy is not None:
        columns["touchdown_vehicle_energy_j"] = np.array(energy, dtype=float)
    (found,) = on_ground(campaign(shapes), columns)
    return found


def counts(found: BodyOnGround) -> dict[str, int]:
    return {f"{place.happening} {place.name}": place.chance.count for place in found.places}


POINTS = [(0, 0), (40, 0), (-30, 30), (0, 60.0), (0, 63), (-45, -45), (-60, -60), (NAN, NAN)]


def test_landings_are_counted_where_they_are():
    found = body(POINTS)
    assert found.landings == 7
    assert counts(found) == {
        "outside Field": 3,
        "caught Wood": 1,
        "in Pond": 1,
        "on Lane": 1,
        "in Crowd": 1,
        "beyond Rope": 2,
    }


def test_what_hangs_in_trees_is_not_in_what_lies_below():
    over_pond = shape("Willow", "trees", POND_CORNERS, height=Q(5.0))
    shapes = (FIELD, WOOD, POND, over_pond)
    found = body([(0, 0), (-30, 30), (-30, 30)], caught=[NAN, 1.0, -1.0], shapes=shapes)
    # The second hangs in the willow, the site's second shape that catches; the third fell through.
    assert counts(found)["caught Willow"] == 2
    assert counts(found)["in Pond"] == 1
    assert counts(found)["caught Wood"] == 0


POND_CORNERS = ((-40, 20), (-20, 20), (-20, 40), (-40, 40))


def test_two_fields_are_one_to_be_inside_of():
    other = shape("Next field", "field edge", ((50, -50), (90, -50), (90, 50), (50, 50)))
    found = body([(0, 0), (70, 0), (95, 0)], shapes=(FIELD, other))
    assert counts(found) == {"outside the field": 1}
    assert found.places[0].shape is None


def test_contours_that_reach_a_shape_are_told():
    cloud = np.random.default_rng(3).normal((20.0, 0.0), 8.0, (2000, 2))
    found = {place.name: place.reached for place in body(cloud).places}
    assert found["Wood"] == 0.9  # at 10 m from the middle: the half lies within 9.4 m
    assert found["Field"] is None
    assert found["Pond"] is None
    assert found["Rope"] is None
    near = np.random.default_rng(3).normal((40.0, 0.0), 8.0, (2000, 2))
    found = {place.name: place.reached for place in body(near).places}
    assert (found["Wood"], found["Field"]) == (0.5, 0.9)


def test_a_contour_around_a_small_shape_reaches_it():
    stone = shape("Shed", "building", ((0, 0), (0.5, 0), (0.5, 0.5), (0, 0.5)), height=Q(2.0))
    cloud = np.random.default_rng(3).normal((0.0, 0.0), 20.0, (2000, 2))
    assert body(cloud, shapes=(stone,)).places[0].reached == 0.5


def test_energies_are_held_against_the_thresholds():
    energy = [1.0, LIGHT_INJURY_ENERGY * 1.01, FATAL_ENERGY * 1.01, NAN]
    found = body([(0, 0)] * 4, energy=energy)
    assert [each.chance.count for each in found.energies] == [2, 1, 1]
    assert {each.chance.flights for each in found.energies} == {3}


def test_people_hit_are_the_chance_times_their_number_to_the_area():
    found = body([(0, 0)] * 9 + [(-45, -45)])
    (hits,) = found.hits
    vehicle = synthetic.vehicle()
    plan = vehicle.body.length.value * vehicle.body.diameter.value
    assert hits.expected == pytest.approx(0.1 * 50.0 / 100.0 * casualty_area(plan, 0.0))
    assert hits.low < hits.expected < hits.high


def test_no_landing_and_no_shape_are_no_trouble():
    nowhere = {
        "touchdown_vehicle_east_m": np.full(3, NAN),
        "touchdown_vehicle_north_m": np.full(3, NAN),
    }
    assert on_ground(campaign(), nowhere) == ()
    assert on_ground(campaign(), {}) == ()
    assert body([(1, 1), (2, 2)], shapes=()).places == ()


def test_a_shape_in_degrees_is_the_same_shape():
    place = campaign().site.place
    pad = place.latitude.value, place.longitude.value, place.elevation.value
    there = tuple(Geographic(*geographic(east, north, 0.0, *pad)[:2]) for east, north in SQUARE)
    found = local_corners(replace(FIELD, corners=there), place)
    assert found == pytest.approx([each for corner in SQUARE for each in corner], abs=1e-3)


def test_shapes_of_the_example_are_read() -> None:
    from loftwright.documents.reading import read_campaign

    site = read_campaign(Path(__file__).parents[2] / "examples" / "sedge-lift").site
    shapes = {each.name: each for each in ground_shapes(site)}
    assert shapes["Alder row"].height == 11.0
    assert shapes["Dyke road"].is_line
    assert shapes["Sedge Flat"].area > 4e5
    assert shapes["Sedge Flat"].holds(np.zeros((1, 2)))[0]
