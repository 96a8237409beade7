"""Every warning of check: it comes when it is true, stays away when not, and has a page."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flight.campaigns import example, with_fields
from flight.gliders import FOAM, payload_of
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.campaign import Campaign
from loftwright.documents.payload import Release, Retainer
from loftwright.errors.catalogue import entries
from loftwright.flight.check import check
from loftwright.units import Quantity, parse_quantity

PSI = 6894.757293168

# The demo without its weaknesses: a strong hold, and fins so large and far aft that even the
# full vehicle is stable, and an accelerometer for every push that is tried here.
QUIET: dict[str, Any] = {
    "payload.hold.strength": 40.0,
    "vehicle.mass.balance_from_nose": 0.320,
    "vehicle.fins.0.from_nose": 0.850,
    "vehicle.fins.0.span": 0.200,
    "avionics.accelerometer.0.range": 400 * 9.80665,
}

FOAM_GLIDER = payload_of(FOAM)

# code -> fields that bring it about, on top of the quiet campaign
CAUSES: dict[str, dict[str, Any]] = {
    "check-no-proof": {"vehicle.vessel.1.proof_gauge_pressure": None},
    "check-untested-pressure": {
        "vehicle.vessel.1.proof_gauge_pressure": None,
        "vehicle.fill.gauge_pressure": 6.1e5,
        "payload.hold.strength": 60.0,
    },
    "check-proof-close": {"vehicle.vessel.0.proof_gauge_pressure": 97 * PSI},
    "check-high-pressure": {
        "vehicle.fill.gauge_pressure": 91 * PSI,
        "vehicle.vessel.0.proof_gauge_pressure": 130 * PSI,
        "vehicle.vessel.1.proof_gauge_pressure": 130 * PSI,
        "payload.hold.strength": 60.0,
    },
    "check-wall-stress": {"vehicle.vessel.1.wall": 0.15e-3},
    "check-fill-share": {
        "vehicle.fill.water_volume": 0.5e-3,
        "payload.hold.strength": 60.0,
    },
    "check-throat-wide": {
        "vehicle.nozzle.throat_diameter": 0.060,
        "payload.hold.strength": 400.0,
        "vehicle.launch_tube": None,
    },
    "check-thin-fins": {"vehicle.fins.0.thickness": 0.001},
    "check-rough": {"vehicle.body.roughness": 0.001},
    "check-launch-low": {"site.launch.elevation": 1.0},
    "check-guide-short": {"site.launch.guide_length": 0.1, "vehicle.launch_tube": None},
    "check-no-fins": {"vehicle.fins": ()},
    "check-unstable": {"vehicle.mass.balance_from_nose": 0.95},
    "check-stability-low": {"vehicle.mass.balance_from_nose": 0.80},
    "check-stability-full": {"vehicle.mass.balance_from_nose": 0.60},
    "check-stability-high": {"vehicle.mass.balance_from_nose": 0.20},
    "check-hold-weak": {"payload.hold.strength": 6.0},
    "check-payload-drag": {"payload.carried.drag_area": 0.18},
    "check-hold-untested": {
        "payload.hold": None,
        "payload.retainer": (
            Retainer(kind="hook", along=Quantity(40.0)),
            Retainer(kind="pin", count=2, across=Quantity(20.0), along=Quantity(9.0)),
        ),
    },
    "check-release-never": {"payload.release": Release(when="time", time=Quantity(400.0))},
    "check-release-fast": {"payload.release.climb": 30.0},
    "check-release-late": {"payload.release.climb": -5.0},
    "check-glider-no-trim": {
        "payload.wing": FOAM_GLIDER.wing,
        "payload.tailplane": FOAM_GLIDER.tailplane,
        "payload.balance": FOAM_GLIDER.balance,
        "payload.balance.from_nose": 0.25,
    },
    "check-no-canopy": {"vehicle.canopy": None},
    "check-bay-vents": {"avionics.bay.0.vent_count": 1, "avionics.bay.0.vent_diameter": 0.8e-3},
    "check-port-error": {"avionics.bay.0.port_coefficient": 0.2},
    "check-barometer-range": {"avionics.barometer.0.most": 90e3},
    "check-readings-refused": {"site.air.pressure": 111e3, "avionics.barometer.0.most": 120e3},
    "check-supply-sags": {"avionics.battery.0.resistance": 1.6},
    "check-accelerometer-range": {"avionics.accelerometer.0.range": 16 * 9.80665},
    "check-sampling": {"avionics.barometer.0.every": 0.1},
}
DOCUMENTS = {"vehicle.toml", "payload.toml", "site.toml", "avionics.toml", "program-board.toml"}


@pytest.fixture(name="quiet")
def quiet_campaign() -> Campaign:
    return with_fields(example("sedge-lift"), QUIET)


def codes(campaign: Campaign) -> list[str]:
    return [problem.code for problem in check(campaign).warnings]


def test_a_sound_campaign_is_left_in_peace(quiet: Campaign) -> None:
    assert codes(quiet) == []


@pytest.mark.parametrize("code", sorted(CAUSES))
def test_each_warning_comes_alone_when_it_is_true(quiet: Campaign, code: str) -> None:
    assert codes(with_fields(quiet, CAUSES[code])) == [code]


def test_every_warning_has_a_page_and_every_page_a_cause() -> None:
    assert {code for code in entries() if code.startswith("check-")} == set(CAUSES)


@pytest.mark.parametrize("code", sorted(CAUSES))
def test_warnings_speak_in_short_plain_sentences(quiet: Campaign, code: str) -> None:
    (problem,) = check(with_fields(quiet, CAUSES[code])).warnings
    assert problem.severity == "warning"
    for text in (problem.message, problem.mend):
        assert text
        assert not text.endswith(".")
        assert len(text) < 190
    assert problem.where.file in DOCUMENTS
    assert problem.where.field


def test_the_demo_shows_its_two_weaknesses() -> None:
    assert codes(example("sedge-lift")) == ["check-stability-full", "check-hold-weak"]


def test_the_stand_bottle_is_told_apart_from_a_vehicle() -> None:
    assert codes(example("stand-bottle")) == ["check-no-fins"]


def test_a_warning_points_at_line_and_value() -> None:
    (weak,) = [w for w in check(example("sedge-lift")).warnings if w.code == "check-hold-weak"]
    assert weak.where.file == "payload.toml"
    assert weak.where.field == "hold.strength"
    assert weak.where.value == '"11 N ± 1 N"'
    assert weak.where.source is not None
    assert weak.where.source.startswith("strength =")


def test_pressures_come_in_the_persons_units(quiet: Campaign) -> None:
    close = with_fields(quiet, CAUSES["check-proof-close"])
    (us,) = check(close).warnings
    assert "97.5 psi" in us.mend
    (metric,) = check(with_fields(close, {"head.units": "metric"})).warnings
    assert "6.73 bar" in metric.mend  # 97.5 psi are 6.722 bar, and 6.72 would be too little


@given(st.floats(25.0, 85.0), st.sampled_from(["us", "metric"]))
def test_what_is_advised_of_pressures_is_on_the_safe_side(share: float, system: str) -> None:
    """Done as it says, either way, the concern is gone; 1.30 is never said to be too little."""
    gauge = share * PSI
    proof = 1.2999 * gauge
    fields = {f"vehicle.vessel.{i}.proof_gauge_pressure": proof for i in (0, 1)}
    fields |= QUIET | {"vehicle.fill.gauge_pressure": gauge, "head.units": system}
    close = with_fields(example("sedge-lift"), fields)
    (said,) = [each for each in check(close).warnings if each.code == "check-proof-close"]
    assert "only 1.29 times" in said.message
    enough, most = re.findall(r"to ([\d.]+ \w+) (?:or more|at most)", said.mend)
    tested = {f"vehicle.vessel.{i}.proof_gauge_pressure": read(enough) for i in (0, 1)}
    assert "check-proof-close" not in codes(with_fields(close, tested))
    filled = {"vehicle.fill.gauge_pressure": read(most)}
    assert "check-proof-close" not in codes(with_fields(close, filled))


def read(text: str) -> float:
    return parse_quantity(text, "gauge_pressure").value


def test_proof_at_exactly_the_factor_is_enough(quiet: Campaign) -> None:
    fields = {f"vehicle.vessel.{i}.proof_gauge_pressure": 1.3 * 75 * PSI for i in (0, 1)}
    exact = with_fields(quiet, fields | {"vehicle.fill.gauge_pressure": 75 * PSI})
    assert codes(exact) == []


def test_other_materials_are_not_held_to_bottles(quiet: Campaign) -> None:
    fields = CAUSES["check-high-pressure"] | CAUSES["check-wall-stress"]
    fields |= {f"vehicle.vessel.{i}.material": "other" for i in (0, 1)}
    assert codes(with_fields(quiet, fields)) == []


def test_stability_that_the_payload_takes_is_laid_to_the_payload(quiet: Campaign) -> None:
    fields = {
        "vehicle.mass.balance_from_nose": 0.72,
        "payload.mass": 0.20,
        "payload.carried.from_nose": 0.93,
        "payload.hold.strength": 1000.0,
    }
    (low,) = check(with_fields(quiet, fields)).warnings
    assert low.code == "check-stability-low"
    assert low.where.field == "carried.from_nose"
    assert "without it" in low.message


@pytest.mark.parametrize(
    ("strength", "words"), [(6.0, "the first push alone"), (11.0, "as the last water leaves")]
)
def test_the_hold_is_judged_at_liftoff_and_at_the_end(
    quiet: Campaign, strength: float, words: str
) -> None:
    (weak,) = check(with_fields(quiet, {"payload.hold.strength": strength})).warnings
    assert words in weak.message


@pytest.mark.parametrize(
    ("release", "canopy", "late"),
    [
        (("apogee", None, 0.6), ("apogee", None, 0.5), True),
        (("apogee", None, 0.4), ("apogee", None, 0.5), False),
        (("time", 3.0, 0.1), ("time", 2.9, 0.1), True),
        (("time", 3.0, 0.1), ("time", 2.9, 0.3), False),
        (("climb", 2.0, 0.0), ("climb", 5.0, 0.0), True),
        (("never", None, 0.0), ("apogee", None, 0.0), False),
        (("time", 9.0, 0.0), ("apogee", None, 0.0), False),  # cannot be compared
    ],
)
def test_order_of_release_and_canopy(
    quiet: Campaign,
    release: tuple[str, float | None, float],
    canopy: tuple[str, float | None, float],
    late: bool,
) -> None:
    fields: dict[str, Any] = {"payload.release.climb": None}
    for table, word, (kind, number, delay) in (
        ("payload.release", "when", release),
        ("vehicle.canopy", "opens", canopy),
    ):
        fields |= {f"{table}.{word}": kind, f"{table}.delay": delay}
        if number is not None:
            fields[f"{table}.{kind}"] = number
    assert (codes(with_fields(quiet, fields)) == ["check-release-late"]) is late


def test_a_vehicle_without_payload_is_judged_alone(quiet: Campaign) -> None:
    alone = with_fields(quiet, {"payload": None})
    assert codes(alone) == []
    assert check(alone).stability_without_payload_calibres is None


def test_warnings_of_the_reader_come_first(quiet: Campaign) -> None:
    from loftwright.errors import Problem

    noted = Problem("doc-not-used", "this is not used", severity="warning")
    both = with_fields(quiet, {"warnings": (noted,)} | CAUSES["check-rough"])
    assert codes(both) == ["doc-not-used", "check-rough"]
