"""Cases put together from counted outcomes that are made up, and what follows from them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from loftwright.flight.chance import Chance
from loftwright.physics.hazard import FATAL_ENERGY
from loftwright.rehearsal.chances import chance_of, clopper_pearson
from loftwright.rehearsal.failure_table import (
    case_of,
    common_causes,
    cut_sets_of_cases,
    fails,
    ranked,
    single_points,
)
from loftwright.rehearsal.outcomes import Judged, severities_of
from loftwright.rehearsal.results import FIELD, PAYLOAD, VEHICLE, CommonCause, CutSet
from loftwright.rehearsal.risk import SEVERITIES, risk_rank
from loftwright.rehearsal.tally import Tally

LEVEL = 0.05
HEAVY, LIGHT = 2.0 * FATAL_ENERGY, 0.1 * FATAL_ENERGY


def columns(flights: int = 100, *, lost: int = 0, endangers: int = 0, energy: float = LIGHT):
    """Return the arrays of flights of which the first ``lost`` and ``endangers`` fare badly."""
    number = np.arange(flights)
    bad = number < max(lost, endangers)
    return {
        "payload": np.where(bad, PAYLOAD.index("never"), 0),
        "vehicle": np.where(number < lost, VEHICLE.index("canopy too late"), 0),
        "field": np.where(number < endangers, FIELD.index("outside"), 0),
        "endangers": number < endangers,
        "lost": number < lost,
        "good": ~bad,
        "energies": {"vehicle": np.full(flights, energy)},
    }


def tallied(told) -> Tally:
    classes = severities_of(
        *(told[name] for name in ("vehicle", "endangers", "lost", "good", "energies"))
    )
    tally = Tally()
    tally.add(0, Judged(**told, severity=classes))
    return tally


def case(*faults: str, happens: float = 0.01, level: float = LEVEL, changed=None, **counts):
    tally = tallied({**columns(**counts), **(changed or {})})
    return case_of(faults, "Something fails.", happens, "main", tally, level)


NOMINAL = case(happens=1.0)


def test_a_case_counts_every_outcome_with_its_exact_interval():
    found = case("cell flat", lost=30, endangers=10)
    assert found.name == "cell flat"
    assert found.lost == Chance(30, 100, *clopper_pearson(30, 100))
    assert found.endangers.count == 10
    assert found.good.count == 70
    assert tuple(found.payload) == PAYLOAD
    assert tuple(found.vehicle) == VEHICLE
    assert tuple(found.field) == FIELD
    assert (found.payload["never"].count, found.payload["released well"].count) == (30, 70)
    assert found.vehicle["canopy too late"].count == 30
    assert found.field["outside"].count == 10
    assert found.vehicle["ballistic"].high > 0.0  # what was not seen is not ruled out
    assert found.part == "main"


def test_without_a_payload_nothing_is_said_of_it():
    assert case("cell flat", changed={"payload": np.zeros(0, int)}).payload == {}


WORDS = {name: VEHICLE.index(name) for name in VEHICLE}
CLASSES = {
    # word, endangers, lost, good, energy -> severity
    ("under canopy", False, False, True, LIGHT): None,
    ("under canopy", False, False, False, LIGHT): "Negligible",
    ("canopy too late", False, True, False, HEAVY): "Marginal",
    ("ballistic", False, True, False, LIGHT): "Critical",
    ("under canopy", True, False, False, LIGHT): "Critical",
    ("under canopy", True, False, True, FATAL_ENERGY): "Catastrophic",
    ("ballistic", True, True, False, HEAVY): "Catastrophic",
    ("under canopy", True, False, True, np.nan): "Catastrophic",  # not known: the careful side
}


@pytest.mark.parametrize("flight", CLASSES)
def test_each_flight_has_the_severity_that_the_docs_say(flight):
    word, endangers, lost, good, energy = flight
    found = severities_of(
        np.array([WORDS[word]]),
        np.array([endangers]),
        np.array([lost]),
        np.array([good]),
        {"one": np.array([np.nan]), "other": np.array([energy])},
    )
    expected = CLASSES[flight]
    assert found[0] == (len(SEVERITIES) if expected is None else SEVERITIES.index(expected))


def test_a_case_is_rated_by_its_worst_risk():
    found = case("cell flat", lost=50, happens=0.01)
    assert (found.severity, found.likelihood, found.risk) == ("Marginal", "C", "Medium")
    found = case("cell flat", lost=50, endangers=50, energy=HEAVY, happens=0.01)
    assert (found.severity, found.likelihood, found.risk) == ("Catastrophic", "C", "High")
    assert (NOMINAL.severity, NOMINAL.likelihood, NOMINAL.risk) == ("Negligible", "C", "Low")


def test_energies_are_of_what_came_down():
    energy = np.where(np.arange(100) < 60, np.arange(100.0), np.nan)
    found = case("a", changed={"energies": {"body": energy, "pod": np.full(100, np.nan)}})
    # Counted in bins a fiftieth of a decade wide.
    expected = (pytest.approx(29.5, rel=0.03), pytest.approx(0.95 * 59.0, rel=0.03))
    assert found.energy_j == {"body": expected}


def test_the_worst_flights_come_first_and_good_ones_not_at_all():
    energy = np.full(100, LIGHT)
    energy[[1, 5]] = HEAVY
    found = case("a", lost=8, endangers=6, changed={"energies": {"vehicle": energy}})
    assert found.worst == (1, 5, 0)  # can kill, and then the first of those that can hurt
    assert case("a", lost=2).worst == (0, 1)
    assert NOMINAL.worst == ()


def test_single_points_are_single_faults_above_the_level():
    assert case("a", lost=6).is_single_point
    assert case("a", endangers=6).is_single_point
    assert not case("a", lost=5).is_single_point
    assert not case("a", "b", lost=100).is_single_point
    assert not case(lost=100).is_single_point
    cases = (case("a", lost=5), case("b", lost=50), case("c", "d", lost=60))
    assert [each.name for each in single_points(cases, 0.04)] == ["b", "a"]


def test_cases_are_sorted_by_risk_then_by_how_often_they_lose_the_vehicle():
    cases = [
        case("never seen", happens=0.001),
        case("often", lost=90, happens=0.01),
        case("seldom", lost=20, happens=0.01),
        case("grave", lost=20, endangers=20, happens=0.01, energy=HEAVY),
    ]
    names = [each.name for each in ranked(cases)]
    assert names == ["grave", "often", "seldom", "never seen"]
    assert [each.name for each in ranked(reversed(cases))] == names
    risks = [risk_rank(each.risk) for each in ranked(cases)]
    assert risks == sorted(risks)


@given(arrays(bool, (3, 40)), st.floats(0.0, 1.0), st.data())
def test_any_outcomes_make_a_case(flags, happens, data):
    words = {
        name: data.draw(arrays(np.int32, 40, elements=st.integers(0, len(known) - 1)))
        for name, known in (("payload", PAYLOAD), ("vehicle", VEHICLE), ("field", FIELD))
    }
    energy = data.draw(arrays(float, 40, elements=st.floats(0.0, 500.0) | st.just(np.nan)))
    endangers, lost, good = flags
    told = {**words, "endangers": endangers, "lost": lost, "good": good}
    tally = tallied({**told, "energies": {"v": energy}})
    found = case_of(("a",), "A fails.", happens, "main", tally, LEVEL)
    for told in (found.payload, found.vehicle, found.field):
        assert sum(each.count for each in told.values()) == 40
    assert found.lost == chance_of(lost)
    assert found.is_single_point == fails(found, LEVEL)
    assert len(set(found.worst)) == len(found.worst) <= 3
    assert (found.risk == "Eliminated") == (happens == 0.0)


def test_a_case_without_flights_is_refused():
    with pytest.raises(ValueError, match="no chance"):
        case_of(("a",), "A fails.", 0.1, "main", Tally(), LEVEL)


# ---------------------------------------------------------------- cut sets


def test_pairs_count_only_where_neither_fails_alone():
    faults = [case("a", lost=50, happens=0.01), case("b"), case("c", lost=5)]
    pairs = [
        case("a", "b", lost=100, happens=1e-4),
        case("b", "c", lost=80, endangers=90, happens=2e-4),
        case("b", "d", happens=1e-4),
    ]
    found = cut_sets_of_cases(NOMINAL, faults, pairs, LEVEL)
    assert [each.faults for each in found] == [("a",), ("b", "c")]
    assert [each.chance for each in found] == pytest.approx([0.01 * 0.5, 2e-4 * 0.9])
    assert sum(each.share for each in found) == pytest.approx(1.0)
    assert found[0].share == pytest.approx(0.005 / 0.00518)


def test_flights_that_fail_without_a_fault_are_the_smallest_set():
    nominal = case(lost=10, happens=1.0)
    found = cut_sets_of_cases(nominal, [case("a", lost=90)], [], LEVEL)
    assert found == (CutSet((), pytest.approx(0.1), 1.0),)


def test_what_cannot_happen_shares_nothing():
    (found,) = cut_sets_of_cases(NOMINAL, [case("a", lost=50, happens=0.0)], [], LEVEL)
    assert found == CutSet(("a",), 0.0, 0.0)
    assert cut_sets_of_cases(NOMINAL, [], [], LEVEL) == ()


@given(st.lists(st.integers(0, 100), min_size=4, max_size=4), st.floats(0.01, 0.9))
def test_no_smallest_set_holds_another(counts, level):
    faults = [case(name, lost=count) for name, count in zip("abcd", counts, strict=True)]
    pairs = [case(one, other, lost=60) for one, other in ("ab", "ac", "ad", "bc", "bd", "cd")]
    found = [set(each.faults) for each in cut_sets_of_cases(NOMINAL, faults, pairs, level)]
    assert not any(one < other for one in found for other in found)


# ---------------------------------------------------------------- common causes

WIRING = {
    "main cell": ("bay plug",),
    "second cell": ("spare",),
    "bay plug": ("main", "latch"),
    "nose bay": ("baro",),
    "main": ("canopy servo",),
}
KINDS = {
    "main cell": "battery",
    "second cell": "battery",
    "bay plug": "connector",
    "nose bay": "bay",
}


def test_what_a_part_takes_along_is_followed_to_the_end():
    found = common_causes(WIRING, KINDS, [("baro", "main", "canopy servo")])
    assert found == (
        CommonCause("main cell", "battery", ("bay plug", "canopy servo", "latch", "main"), True),
        CommonCause("bay plug", "connector", ("canopy servo", "latch", "main"), True),
        CommonCause("nose bay", "bay", ("baro",), True),
    )


def test_a_second_way_down_leaves_a_way():
    ways = [("baro", "main", "canopy servo"), ("spare", "second servo")]
    found = common_causes(WIRING, KINDS, ways)
    assert [each.part for each in found] == ["main cell", "bay plug"]
    assert not any(each.leaves_no_way_down for each in found)
    # A cell for both ways undoes that.
    shared = common_causes({**WIRING, "main cell": ("bay plug", "spare")}, KINDS, ways)
    assert [each.part for each in shared if each.leaves_no_way_down] == ["main cell"]


def test_without_a_canopy_no_way_is_missed():
    assert not any(each.leaves_no_way_down for each in common_causes(WIRING, KINDS, []))


def test_wiring_in_a_ring_ends():
    (found,) = common_causes({"a": ("b",), "b": ("a", "c")}, {"a": "battery"}, [])
    assert found.takes_along == ("b", "c")


def test_where_nobody_is_known_nobody_is_said_to_be_safe():
    tally = tallied(columns(lost=2))
    found = case_of(
        ("a",), "A fails.", 0.1, "main", tally, LEVEL, knows_ground=False, knows_people=False
    )
    assert found.endangers is None
    assert found.endangered == 0.0
    assert found.field == {}
    assert not found.is_single_point
    assert case_of(("a",), "A.", 0.1, "main", tally, 0.01, knows_people=False).is_single_point
