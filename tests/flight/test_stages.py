"""Boosters and an upper stage, as what the vehicle carries and as vehicles themselves."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from flight.campaigns import with_fields
from flight.staged import staged
from flight.test_carried import NAMES
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.flight.check import check
from loftwright.flight.masses import dry_masses
from loftwright.flight.shape import aerodynamic_centre, aerodynamics
from loftwright.flight.stages import alone, as_vehicle, item_rows, standing, start_rows


def row_of(root: str, fields: dict[str, Any] | None = None, *, filled: bool = False) -> Any:
    values, _, words = flatten(with_fields(staged(), fields or {}))
    return item_rows(values, words, root, filled=filled)


def test_a_stage_is_a_vehicle_of_its_own() -> None:
    values, _, words = flatten(staged())
    own, named = as_vehicle(values, "upper"), as_vehicle(words, "upper")
    assert dry_masses(own).mass == pytest.approx(0.088)
    assert named["vehicle.nose.profile"] == "ogive"
    assert own["site.launch.elevation"] == values["site.launch.elevation"]
    assert not any(path.startswith(("payload", "boosters", "upper")) for path in own)
    with_cargo, words_with_cargo = alone(values, words, "upper")
    assert with_cargo["payload3.mass"] == 0.006
    assert words_with_cargo["payload3.on"] == "vehicle"
    assert "payload.mass" not in with_cargo


def test_every_name_of_the_flight_is_given() -> None:
    for root in ("payload", "boosters", "upper"):
        assert set(row_of(root)) == NAMES


def test_boosters_count_together_around_the_axis() -> None:
    row = row_of("boosters")
    assert row["ITEM_MASS"] == pytest.approx(2 * 0.092)
    assert row["ITEM_FROM_NOSE"] == pytest.approx(0.35 + 0.24)
    assert (row["ITEM_Y"], row["ITEM_Z"]) == (0.0, 0.0)
    # below and above: stiffer about y, which has both of them off it
    assert row["ITEM_IYY"] - row["ITEM_IZZ"] == pytest.approx(2 * 0.092 * 0.102**2)
    # a booster of 90 mm whose air and water: 0.7 L at 60 psi, 0.3 kg
    assert row_of("boosters", filled=True)["ITEM_MASS"] > row["ITEM_MASS"] + 2 * 0.3


@given(st.integers(3, 6), st.floats(-math.pi, math.pi))
def test_three_or_more_boosters_are_alike_all_round(count: int, around: float) -> None:
    row = row_of(
        "boosters",
        {"boosters.attach.count": count, "boosters.attach.around": around},
    )
    assert row["ITEM_IYY"] == pytest.approx(row["ITEM_IZZ"])
    assert row["ITEM_IYZ"] == pytest.approx(0.0, abs=1e-12)


def test_the_air_acts_on_a_stage_where_it_acts_on_the_vehicle_that_it_is() -> None:
    values, _, words = flatten(staged())
    aero = aerodynamics(as_vehicle(values, "upper"), as_vehicle(words, "upper"))
    row = row_of("upper")
    assert row["ITEM_CENTRE"] == pytest.approx(-0.44 + aerodynamic_centre(aero))
    slope = aero.nose_slope + aero.tail_slope + aero.fin_slope
    assert row["ITEM_SLOPE"] == pytest.approx(slope * aero.reference_area)
    # a body of 70 mm ahead of one of 110 mm has gained that share of the normal force already
    assert row["ITEM_SHIELD"] == pytest.approx((70 / 110) ** 2)


def test_a_thicker_upper_stage_hides_the_whole_nose() -> None:
    assert row_of("upper", {"upper.body.diameter": 0.15})["ITEM_SHIELD"] == 1.0


def test_the_upper_stage_stands_full_and_with_its_payload() -> None:
    values, _, _ = flatten(staged())
    full, gas = standing(as_vehicle(values, "upper"))
    assert full.mass == pytest.approx(0.088 + 0.20 + gas)
    assert row_of("upper")["ITEM_MASS"] == pytest.approx(full.mass + 0.006)


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, (3.0, 0.0, 0.0, 0.1, 1.0)),
        ({"upper.stack.fires": "never"}, (0.0, 0.0, 0.0, 0.1, 0.0)),
        (
            {"upper.stack.fires": "climb", "upper.stack.fires_climb": 15.0},
            (1.0, 15.0, 0.0, 0.1, 0.0),
        ),
        ({"upper.stack.fires": "time", "upper.stack.fires_time": 0.8}, (3.0, 0.0, 0.8, 0.1, 0.0)),
    ],
)
def test_what_opens_the_nozzle_in_the_air(fields: dict[str, Any], expected: Any) -> None:
    values, _, words = flatten(with_fields(staged(), fields))
    assert tuple(start_rows(values, words).values()) == pytest.approx(expected)


# ---------------------------------------------------------------- check


def test_check_weighs_everything_that_leaves_the_pad() -> None:
    result = check(staged())
    parts = (0.186, 0.65, 0.038, 0.022, result.gas_mass_kg)
    boosters, upper = result.stages["boosters"], result.stages["upper"]
    total = sum(parts) + 2 * boosters.liftoff_mass_kg + upper.liftoff_mass_kg
    assert result.liftoff_mass_kg == pytest.approx(total)
    assert upper.liftoff_mass_kg > 0.088 + 0.20 + 0.006
    assert result.thrust_at_liftoff_n is not None
    assert boosters.thrust_at_liftoff_n is not None
    assert result.thrust_at_liftoff_n > 3 * boosters.thrust_at_liftoff_n - 1e-6
    json.dumps(result.as_dict(), allow_nan=False)


def test_distances_are_those_of_everything_under_pressure() -> None:
    result = check(staged())
    parts = (2 * result.stages["boosters"].stored_energy_j, result.stages["upper"].stored_energy_j)
    assert result.stored_energy_all_stages_j == pytest.approx(result.stored_energy_j + sum(parts))
    harder = check(with_fields(staged(), {"upper.fill.gauge_pressure": 7e5}))
    assert harder.spectator_distance_m is None  # beyond the page that it comes from
    assert harder.stored_energy_j == result.stored_energy_j


def test_check_tells_of_each_payload_under_its_root() -> None:
    result = check(staged())
    assert list(result.payloads) == ["payload", "payload2", "payload3"]
    glider, camera, scroll = result.payloads.values()
    assert (glider.name, camera.name, scroll.name) == ("Dunlin", "camera", "Scroll")
    assert camera.drag_is_measured
    assert not glider.drag_is_measured
    assert glider.load_n is not None
    assert result.payload_load_n is not None
    assert glider.load_n["liftoff"]["along"] == result.payload_load_n["liftoff"]
    assert glider.margin is not None
    along = glider.margin["liftoff"]["along"]
    assert along == pytest.approx(19.6 / glider.load_n["liftoff"]["along"] - 1)
    assert glider.margin["liftoff"]["together"] <= along
    assert camera.margin is not None
    assert camera.margin["liftoff"]["together"] is None


def test_changes_by_one_payload_are_differences_of_the_check_itself() -> None:
    with_it = check(staged())
    without = check(with_fields(staged(), {"payload2": None, "payload3": None}))
    only = check(with_fields(staged(), {"payload": None, "payload2": None, "payload3": None}))
    found = without.payloads["payload"].balance_change_m["empty"]
    difference = without.balance_from_nose_m["empty"] - only.balance_from_nose_m["empty"]
    assert found == pytest.approx(difference, abs=1e-12)
    assert with_it.stability_calibres is not None
    assert without.payloads["payload"].stability_change_calibres is not None


def test_check_looks_into_the_vessels_of_every_stage() -> None:
    untested = with_fields(staged(), {"boosters.vessel.0.proof_gauge_pressure": None})
    (warning,) = (w for w in check(untested).warnings if w.code == "check-no-proof")
    assert warning.where.file == "boosters.toml"


@given(
    st.sampled_from(["folded", "wrapped", "fairing", "inside"]),
    st.sampled_from(["sharp", "rounded"]),
    st.floats(1e-4, 0.6),
    st.floats(1e-4, 0.1),
    st.floats(0.0, 0.05),
    st.floats(-10.0, 10.0),
)
def test_any_way_of_carrying_gives_finite_figures(
    how: str, edges: str, width: float, thickness: float, gap: float, around: float
) -> None:
    fields = {"how": how, "edges": edges, "width": width, "thickness": thickness}
    fields |= {"gap": gap, "around": around}
    carried = {
        f"{root}.carried.{word}": value
        for root in ("payload", "payload3")
        for word, value in fields.items()
    }
    result = check(with_fields(staged(), carried))
    json.dumps(result.as_dict(), allow_nan=False)
    for payload in result.payloads.values():
        assert payload.drag_area_m2 >= 0.0
        assert all(strength is None or strength > 0 for strength in payload.strength_n.values())
