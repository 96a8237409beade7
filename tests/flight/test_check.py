"""The figures of check: worked by hand and against published tables."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from typing import Any

import pytest
from flight.campaigns import EXAMPLES, example, with_fields
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.campaign import Campaign
from loftwright.flight.carried_facts import vehicle_trim
from loftwright.flight.check import check
from loftwright.flight.facts import facts

PSI = 6894.757293168  # Pa, exact to the digits shown (NIST SP 811)


@pytest.fixture(name="demo")
def demo_campaign() -> Campaign:
    return example("sedge-lift")


@pytest.fixture(name="stand")
def stand_campaign() -> Campaign:
    return example("stand-bottle")


def test_masses_of_the_demo_by_hand(demo: Campaign) -> None:
    result = check(demo)
    # air: (93200 + 75 psi) Pa over 3.30 - 0.95 L at 289.15 K, R = 287.053 J/(kg K)
    air = (93200 + 75 * PSI) * 2.35e-3 / (287.053 * 289.15)
    assert result.gas_mass_kg == pytest.approx(air, rel=1e-5)
    assert result.dry_mass_kg == pytest.approx(0.318)
    assert result.liftoff_mass_kg == pytest.approx(0.318 + 0.028 + 0.95 + air, rel=1e-6)
    assert result.vessel_volume_m3 == pytest.approx(3.30e-3)
    assert result.fill_fraction == pytest.approx(0.95 / 3.30)


def test_balance_of_the_demo_by_hand(demo: Campaign) -> None:
    result = check(demo)
    empty = (0.318 * 0.484 + 0.028 * 0.540) / 0.346
    assert result.balance_from_nose_m["empty"] == pytest.approx(empty, rel=1e-9)
    # 0.95 L in 3.30 L over 0.53 m stand 0.152576 m deep; the air's middle lies above
    depth = 0.95 / 3.30 * 0.53
    air = result.gas_mass_kg
    full = 0.318 * 0.484 + 0.028 * 0.540 + 0.95 * (0.95 - depth / 2)
    full += air * (0.95 - depth - (0.53 - depth) / 2)
    assert result.balance_from_nose_m["full"] == pytest.approx(full / (1.296 + air), rel=1e-9)


def test_stability_is_the_lever_in_diameters(demo: Campaign) -> None:
    result = check(demo)
    centre = result.aerodynamic_centre_from_nose_m
    assert centre is not None
    assert result.stability_calibres is not None
    for state, balance in result.balance_from_nose_m.items():
        assert result.stability_calibres[state] == pytest.approx((centre - balance) / 0.110)


def test_hoop_stress_and_stored_energy_of_published_cases(stand: Campaign) -> None:
    # Thin wall, p r / t: 8 bar, 54 mm, 0.30 mm gives 144 MPa (computed from the cited formula).
    # ASME PCC-2 article 501: 2 L at 5 bar over 101 kPa store 1200.644 J; isothermal availability
    # 1143.74 J (computed from the cited formulas).
    eight_bar = with_fields(stand, {"vehicle.fill.gauge_pressure": 8e5})
    assert check(eight_bar).hoop_stress_pa == pytest.approx(144e6, rel=1e-9)
    no_water = {
        "vehicle.fill.water_volume": 0.0,
        "vehicle.fill.gauge_pressure": 5e5,
        "site.air.pressure": 101e3,
    }
    result = check(with_fields(stand, no_water))
    assert result.stored_energy_j == pytest.approx(1200.644, rel=1e-6)
    assert result.stored_energy_isothermal_j == pytest.approx(1143.74, rel=1e-5)
    assert result.pressure_test_distance_m == 30.0


def test_spectators_stand_where_the_safety_page_says(stand: Campaign) -> None:
    # NASA Glenn Research Center, water rocket safety: 51 m at 40 psi; never above 90 psi.
    assert check(stand).spectator_distance_m == pytest.approx(51.0, rel=1e-6)
    high = with_fields(stand, {"vehicle.fill.gauge_pressure": 95 * PSI})
    assert check(high).spectator_distance_m is None


def test_static_thrust_bound(stand: Campaign) -> None:
    # F = 2 A p times the losses: 2 * pi/4 * 0.021^2 * 275790 Pa * 0.90 * 0.95
    expected = 2 * math.pi / 4 * 0.021**2 * 40 * PSI * 0.90 * 0.95
    assert check(stand).thrust_at_liftoff_n == pytest.approx(expected, rel=1e-6)


def test_proof_margin_is_the_least_and_needs_every_vessel(demo: Campaign) -> None:
    assert check(demo).proof_margin == pytest.approx(100 / 75)
    weaker = with_fields(demo, {"vehicle.vessel.1.proof_gauge_pressure": 90 * PSI})
    assert check(weaker).proof_margin == pytest.approx(90 / 75)
    untested = with_fields(demo, {"vehicle.vessel.0.proof_gauge_pressure": None})
    assert check(untested).proof_margin is None


def test_what_has_no_meaning_is_none(stand: Campaign) -> None:
    result = check(stand)
    assert result.stability_calibres is None
    assert result.aerodynamic_centre_from_nose_m is None
    assert result.payload_load_n is None
    assert result.payload_trim_rad is None
    unfilled = with_fields(stand, {"vehicle.fill.gauge_pressure": 0.0})
    assert check(unfilled).proof_margin is None
    assert check(unfilled).thrust_at_liftoff_n is None
    assert check(unfilled).stored_energy_j == 0.0


def test_weak_fill_on_a_mountain_stores_no_negative_energy(stand: Campaign) -> None:
    fill = {"vehicle.fill.gauge_pressure": 1e4, "site.air.pressure": 7e4}
    assert check(with_fields(stand, fill)).stored_energy_j == 0.0


def test_result_becomes_plain_data(demo: Campaign) -> None:
    figures = json.loads(json.dumps(check(demo).as_dict()))
    assert {"full", "empty"} == set(figures["balance_from_nose_m"])
    assert {"code", "message", "where", "mend", "severity"} <= set(figures["warnings"][0])


def test_payload_pulls_the_balance_sideways(demo: Campaign) -> None:
    result = check(demo)
    for state, mass in (("empty", 0.346), ("full", result.liftoff_mass_kg)):
        assert result.balance_sideways_m[state] == pytest.approx(0.028 * 0.064 / mass)


def test_payload_load_is_its_share_of_the_thrust(demo: Campaign) -> None:
    result = check(demo)
    assert result.payload_load_n is not None
    assert result.thrust_at_liftoff_n is not None
    share = 0.028 / result.liftoff_mass_kg
    assert result.payload_load_n["liftoff"] == pytest.approx(result.thrust_at_liftoff_n * share)
    assert result.payload_load_n["water_out"] > result.payload_load_n["liftoff"]


def test_trim_holds_the_moments_in_balance(demo: Campaign) -> None:
    drag = {"vehicle.drag": None}
    known = facts(with_fields(demo, drag | {"payload.carried.drag_coefficient": 2.0}))
    trim = vehicle_trim(known)
    assert trim is not None
    aero, aside = known.aero, known.empty.offset
    slope = (aero.nose_slope + aero.tail_slope + aero.fin_slope) * aero.reference_area
    lever = known.aerodynamic_centre - known.empty.balance_from_nose
    restoring = trim * (slope + known.items["payload"]["ITEM_SLOPE"]) * lever
    payload = 2.0 * 0.080 * 0.018 * (0.064 - aside)
    # what is left is the body's drag area times the balance's offset: Cd of 0.2 to 0.6
    body = (payload - restoring) / aside / aero.reference_area
    assert 0.2 < body < 0.6


@given(st.floats(0.2, 3.0))
def test_hoop_stress_goes_with_pressure_and_proof_margin_against_it(factor: float) -> None:
    before = check(example("stand-bottle"))
    gauge = {"vehicle.fill.gauge_pressure": 40 * PSI * factor}
    after = check(with_fields(example("stand-bottle"), gauge))
    assert after.hoop_stress_pa == pytest.approx(before.hoop_stress_pa * factor, rel=1e-9)
    assert after.proof_margin is not None
    assert before.proof_margin is not None
    assert after.proof_margin * factor == pytest.approx(before.proof_margin, rel=1e-9)


@given(st.floats(0.0, 1.9e-3))
def test_stored_energy_goes_with_the_volume_of_the_air(water: float) -> None:
    stand = example("stand-bottle")
    dry = check(with_fields(stand, {"vehicle.fill.water_volume": 0.0}))
    wet = check(with_fields(stand, {"vehicle.fill.water_volume": water}))
    share = (2.0e-3 - water) / 2.0e-3
    assert wet.stored_energy_j == pytest.approx(dry.stored_energy_j * share, rel=1e-9)
    assert wet.stored_energy_isothermal_j == pytest.approx(
        dry.stored_energy_isothermal_j * share, rel=1e-9
    )
    assert wet.gas_mass_kg == pytest.approx(dry.gas_mass_kg * share, rel=1e-9)


@given(st.floats(0.0, 0.3))
def test_nose_weight_steadies(extra: float) -> None:
    demo = example("sedge-lift")
    moved = (0.318 * 0.484 + extra * 0.05) / (0.318 + extra)
    fields = {"vehicle.mass.dry": 0.318 + extra, "vehicle.mass.balance_from_nose": moved}
    before, after = check(demo).stability_calibres, check(with_fields(demo, fields))
    assert before is not None
    assert after.stability_calibres is not None
    assert after.stability_calibres["empty"] >= before["empty"] - 1e-12
    assert after.stability_calibres["full"] >= before["full"] - 1e-12


@given(
    st.floats(0.0, 1.0),
    st.floats(0.0, 3e6),
    st.floats(1e-12, 0.3),
    st.floats(0.0, 0.3),
    st.booleans(),
    st.booleans(),
)
def test_any_campaign_gives_finite_figures(
    share: float, gauge: float, tail: float, guide: float, finned: bool, loaded: bool
) -> None:
    fields: dict[str, Any] = {
        "vehicle.fill.water_volume": 3.30e-3 * share,
        "vehicle.fill.gauge_pressure": gauge,
        "vehicle.tail.diameter": tail,
        "site.launch.guide_length": guide,
    }
    fields |= {} if finned else {"vehicle.fins": ()}
    fields |= {} if loaded else {"payload": None}
    result = check(with_fields(example("sedge-lift"), fields))
    json.dumps(result.as_dict(), allow_nan=False)
    assert result.stored_energy_j >= 0.0
    assert (result.stability_calibres is not None) is finned
    assert (result.payload_trim_rad is None) or (finned and loaded)


def test_nothing_heavy_is_imported() -> None:
    code = (
        "import sys; from pathlib import Path;"
        "from loftwright.documents.reading import read_campaign;"
        "from loftwright.flight.check import check;"
        f"check(read_campaign(Path({str(EXAMPLES / 'sedge-lift')!r})));"
        "print(sorted({'numpy', 'scipy', 'numba', 'rich', 'jinja2'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
