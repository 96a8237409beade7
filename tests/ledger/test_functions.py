"""How functions went: judged, seen, from the build, from the flight's outcome, or not known."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.flight_record import FlightEvidence, FlightRecord, Saw
from loftwright.ledger.functions import (
    DEPENDS,
    FAILED,
    FUNCTIONS,
    NOT_KNOWN,
    NOT_TRIED,
    OUTCOMES,
    WORKED,
    carries,
    depends_on,
    has_flown,
    on_stand,
    outcomes_of,
)
from loftwright.units import Quantity

FULL = {
    "campaign.toml": b'vehicle = "v.toml"\npayload = "p.toml"\n',
    "v.toml": b'[canopy]\ndiameter = "0.6 m"\n',
}
BARE = {"campaign.toml": b'vehicle = "v.toml"\n', "v.toml": b'name = "x"\n'}


def saw(what: str, happened: str = "yes", *, of: str = "vehicle", sure: float = 0.9) -> Saw:
    return Saw(what=what, happened=happened, of=of, sure=Quantity(sure, 0.0))


def kept(kind: str) -> FlightEvidence:
    return FlightEvidence(file=f"{kind}.csv", kind=kind, sha256="0" * 64, size=1)


def record(
    *seen: Saw, outcome: str = "not judged", flown: str | None = "2026-05-03"
) -> FlightRecord:
    return FlightRecord(
        name="x", outcome=outcome, flown=flown, evidence=(), saw=seen, stopwatch=(), station=(),
        sighting=(), landed=(),
    )  # fmt: skip


def went(*seen: Saw, outcome: str = "not judged", documents=FULL, judged=None) -> dict[str, str]:
    found = outcomes_of(record(*seen, outcome=outcome), documents, judged)
    assert list(found) == list(FUNCTIONS)
    assert all(each.says for each in found.values())
    return {name: each.outcome for name, each in found.items()}


def test_nothing_said_is_not_known():
    assert set(went().values()) == {NOT_KNOWN}
    assert set(went(outcome="failure").values()) == {NOT_KNOWN}
    assert set(went(outcome="partial").values()) == {NOT_KNOWN}


def test_a_flight_that_was_only_begun_has_tried_nothing():
    found = outcomes_of(record(flown=None), FULL)
    assert {each.outcome for each in found.values()} == {NOT_TRIED}
    assert "not flown yet" in found["launch"].says
    assert not has_flown(record(flown=None))
    assert has_flown(record(saw("liftoff"), flown=None))
    assert has_flown(record(outcome="partial", flown=None))
    assert outcomes_of(record(flown=None), FULL, {"launch": WORKED})["launch"].outcome == WORKED


def test_what_was_seen_counts():
    found = went(saw("liftoff"), saw("release", "no", of="payload"), saw("canopy open"))
    assert found == {
        "launch": WORKED, "release": FAILED, "canopy": WORKED, "recovery": NOT_KNOWN,
    }  # fmt: skip


def test_a_success_as_a_whole_is_one_of_each_that_nobody_saw_fail():
    assert set(went(outcome="success").values()) == {WORKED}
    assert went(saw("canopy open", "no"), outcome="success")["canopy"] == FAILED


def test_what_was_judged_counts_before_all_else():
    found = went(saw("canopy open"), outcome="success", judged={"canopy": FAILED})
    assert found["canopy"] == FAILED


def test_what_the_build_has_not_is_not_tried():
    found = went(outcome="success", documents=BARE)
    assert (found["release"], found["canopy"]) == (NOT_TRIED, NOT_TRIED)
    assert (found["launch"], found["recovery"]) == (WORKED, WORKED)


def test_a_build_that_is_not_known_rules_nothing_out():
    assert carries({}) is None
    assert carries({"campaign.toml": b"no toml ["}) is None
    assert went(saw("release"), documents={})["release"] == WORKED


def test_after_a_failed_launch_nothing_else_was_tried():
    found = went(saw("liftoff", "no"))
    assert found["launch"] == FAILED
    assert {found[name] for name in FUNCTIONS[1:]} == {NOT_TRIED}


def test_what_comes_after_liftoff_shows_that_it_lifted_off():
    assert went(saw("apogee"))["launch"] == WORKED
    assert went(saw("apogee", "no"))["launch"] == NOT_KNOWN


def test_the_canopy_of_a_payload_is_not_the_vehicles():
    assert went(saw("canopy open", of="payload"))["canopy"] == NOT_KNOWN


def test_every_payload_must_have_been_let_go():
    assert went(saw("release", of="payload"), saw("release", of="payload2"))["release"] == WORKED
    found = went(saw("release", of="payload"), saw("release", "no", of="payload2"))
    assert found["release"] == FAILED


def test_the_surer_witness_decides_and_a_tie_tells_nothing():
    open_, shut = saw("canopy open", sure=0.9), saw("canopy open", "no", sure=0.6)
    assert went(open_, shut)["canopy"] == WORKED
    assert went(open_, saw("canopy open", "no", sure=0.99))["canopy"] == FAILED
    assert went(open_, saw("canopy open", "no", sure=0.9))["canopy"] == NOT_KNOWN


def test_two_witnesses_are_surer_than_one():
    """Bayes: 0.9 and 0.8, independent, even odds before, make 36/37 (worked by hand)."""
    found = outcomes_of(record(saw("canopy open"), saw("canopy open", sure=0.8)), FULL)
    assert "97 % sure" in found["canopy"].says


def test_what_is_not_certain_is_not_said_to_be():
    for sure, said in ((0.999, "99.9 % sure"), (0.99999, "more than 99.9 % sure")):
        assert said in outcomes_of(record(saw("canopy open", sure=sure)), FULL)["canopy"].says


def test_a_firing_on_the_stand_is_no_flight():
    fired = replace(record(outcome="success"), evidence=(kept("firing"),))
    assert on_stand(fired)
    assert not has_flown(fired)
    assert {each.outcome for each in outcomes_of(fired, FULL).values()} == {NOT_TRIED}
    logged = replace(fired, evidence=(kept("firing"), kept("log")))
    assert has_flown(logged)
    assert not on_stand(logged)


@given(
    seen=st.lists(
        st.builds(
            saw,
            st.sampled_from(["liftoff", "release", "canopy open", "apogee", "touchdown"]),
            st.sampled_from(["yes", "no"]),
            of=st.sampled_from(["vehicle", "payload"]),
            sure=st.floats(0.01, 1.0),
        )
    ),
    outcome=st.sampled_from(["not judged", "success", "partial", "failure"]),
)
def test_whatever_is_said_there_is_one_outcome_for_each(seen, outcome):
    found = went(*seen, outcome=outcome)
    assert set(found.values()) <= set(OUTCOMES)
    assert found == went(*reversed(seen), outcome=outcome)


@pytest.mark.parametrize(
    ("path", "functions"),
    [
        ("vehicle.vessel.0.wall", {"launch"}),
        ("vehicle.name", set()),
        ("vehicle.canopy.diameter", {"canopy", "recovery"}),
        ("vehicle.canopy.drag_coefficient", set()),
        ("vehicle.nozzle.flow_coefficient", set()),
        ("vehicle.nozzle.throat_diameter", {"launch"}),
        ("vehicle.mass.dry", {"launch", "canopy", "recovery"}),
        ("payload.hold.strength", {"release"}),
        ("payload.carried.offset", {"launch", "release"}),
        ("payload2", {"launch", "release"}),
        ("payload.wing.warp", set()),
        ("avionics", {"release", "canopy", "recovery"}),
        ("avionics.battery.0.voltage", {"release", "canopy", "recovery"}),
        ("avionics.fault.0.chance", set()),
        ("program.board.stage.2.way.0.hold", {"release", "canopy", "recovery"}),
        ("site.wind.speed", set()),
        ("site.launch.elevation", {"launch"}),
        ("site.shape.0.corners", {"recovery"}),
        ("payload.wanted.climb", set()),
    ],
)
def test_what_each_function_depends_on(path, functions):
    assert {name for name in FUNCTIONS if depends_on(path, DEPENDS[name])} == functions


def test_the_last_pattern_that_fits_counts():
    assert depends_on("a.b", ("a.*", "!a.b", "a.b"))
    assert not depends_on("a.b", ("a.*", "!a.b"))
    assert not depends_on("c", ("a.*",))
