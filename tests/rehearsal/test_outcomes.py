"""Every word can come about, and counts as the page of the docs says."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np
from flight.campaigns import example
from hypothesis import given
from hypothesis import strategies as st
from rehearsal.loops import MENDED, plan_for

from loftwright.field.shapes import ground_shapes
from loftwright.rehearsal.outcomes import judge, wanted_of
from loftwright.rehearsal.results import FIELD, PAYLOAD, VEHICLE
from loftwright.rehearsal.risk import SEVERITIES
from loftwright.rehearsal.run import Trial, fly_block

PAGE = Path(__file__).parents[2] / "docs" / "physics" / "rehearsal.md"
NAN = float("nan")
FOOT_POUND = 1.3558179483  # J, exact: 0.3048 m times the pound-force
INJURES = 11.0 * FOOT_POUND  # 14 CFR 107.120
KILLS = 58.0 * FOOT_POUND  # RCC 321, from memory

# Places of examples/sedge-lift/site.toml: in the field, on its alder row, beyond its edges, behind
# the rope, among the watchers, in its pond.
PLACES = {
    "field": ((60.0, 60.0), "inside"),
    "pond": ((80.0, 180.0), "inside"),
    "alders": ((190.0, 60.0), "in trees"),
    "away": ((900.0, 0.0), "outside"),
    "behind the rope": ((-140.0, -100.0), "over the people line"),
    "watchers": ((-105.0, -95.0), "over the people line"),
}


@cache
def template():
    """Columns of flights as they are flown, to be made up from."""
    flown = fly_block(plan_for(MENDED), [Trial()], 0, 2)
    return {name: column[:1] for name, column in flown.columns.items()}


def made(rows):
    """Columns of flights in which all is as wanted, but for what the rows say."""
    fine = {
        "release_time_s": 2.6, "release_height_m": 70.0, "release_speed_m_s": 14.0,
        "release_climb_m_s": 13.0, "release_lean_rad": 0.1, "torn_off": 0.0, "recontact": 0.0,
        "payload2_torn_off": 0.0,
        "canopy_open_s": 4.0, "canopy_open_height_m": 80.0, "canopy_open_speed_m_s": 6.0,
        "touchdown_vehicle_speed_m_s": 4.0, "touchdown_vehicle_energy_j": 3.0,
        "touchdown_payload_energy_j": 0.5,
    }  # fmt: skip
    for body in ("vehicle", "payload"):
        fine |= dict(zip((f"touchdown_{body}_east_m", f"touchdown_{body}_north_m"), (60.0, 60.0),
                         strict=True))  # fmt: skip
        fine[f"touchdown_{body}_caught"] = NAN
    return {
        name: np.array([{**fine, **row}.get(name, column[0]) for row in rows], float)
        for name, column in template().items()
    }


def judged(rows, scrubbed=None, touched=None):
    campaign = example(MENDED)
    nowhere = np.zeros(len(rows), bool)
    scrubbed = nowhere if scrubbed is None else np.array(scrubbed)
    touched = nowhere if touched is None else np.array(touched)
    return judge(campaign, ground_shapes(campaign.site), made(rows), scrubbed, {"payload": touched})


# ---------------------------------------------------------------- the order of the words

# What a flight looks like in which each word fits, as the page tells it.
WANTED = wanted_of(example(MENDED))
PAYLOADS = {
    "on the pad": {},
    "never": {"release_time_s": NAN},
    "torn off early": {"torn_off": 1.0},
    "struck the vehicle": {"recontact": 1.0},
    "too low": {"release_height_m": WANTED.payloads["payload"]["least_height"] - 0.1},
    "too fast": {"release_speed_m_s": WANTED.payloads["payload"]["most_speed"] + 0.1},
    "slow or inverted": {"release_climb_m_s": WANTED.payloads["payload"]["least_climb"] - 0.1},
    "released well": {},
}
VEHICLES = {
    "on the pad": {},
    "ballistic": {"canopy_open_s": NAN},
    "canopy too late": {"canopy_open_height_m": WANTED.canopy["least_height"] - 0.1},
    "canopy too fast": {"canopy_open_speed_m_s": WANTED.canopy["most_speed"] + 0.1},
    "under canopy": {},
}


def table_of(first_words):
    """Words of a table of the page, in its order."""
    text = PAGE.read_text(encoding="utf-8")
    head = text.index(first_words)
    rows = re.findall(r"^\| ([^|]+?) \|", text[head:].split("\n\n")[1], re.MULTILINE)
    return [row for row in rows if row not in ("word", "---") and not row.startswith("-")]


PAYLOAD_ORDER = table_of("One word for each payload")
VEHICLE_ORDER = table_of("One word for the vehicle")


def test_the_page_has_every_word():
    assert sorted(PAYLOAD_ORDER) == sorted(PAYLOAD) == sorted(PAYLOADS)
    assert sorted(VEHICLE_ORDER) == sorted(VEHICLE) == sorted(VEHICLES)
    text = PAGE.read_text(encoding="utf-8")
    assert all(f"*{word}*" in text for word in FIELD)


@given(st.lists(st.sets(st.sampled_from(PAYLOAD_ORDER)), min_size=1, max_size=20))
def test_of_several_words_for_a_payload_the_first_of_the_page_counts(fitting):
    rows = [
        {key: value for word in words for key, value in PAYLOADS[word].items()} for words in fitting
    ]
    pad = ["on the pad" in words for words in fitting]
    found = judged(rows, pad, pad)
    for words, code in zip(fitting, found.payload, strict=True):
        expected = next((word for word in PAYLOAD_ORDER if word in words), "released well")
        assert PAYLOAD[code] == expected


@given(st.lists(st.sets(st.sampled_from(VEHICLE_ORDER)), min_size=1, max_size=20))
def test_of_several_words_for_the_vehicle_the_first_of_the_page_counts(fitting):
    rows = [
        {key: value for word in words for key, value in VEHICLES[word].items()} for words in fitting
    ]
    found = judged(rows, ["on the pad" in words for words in fitting])
    for words, code, lost in zip(fitting, found.vehicle, found.lost, strict=True):
        expected = next((word for word in VEHICLE_ORDER if word in words), "under canopy")
        assert VEHICLE[code] == expected
        # On the pad nothing is lost.
        assert lost == (expected in ("ballistic", "canopy too late", "canopy too fast"))


def test_a_payload_let_go_on_its_back_is_inverted():
    most = WANTED.payloads["payload"]["most_lean"]
    found = judged([{"release_lean_rad": most + add} for add in (-0.01, 0.01)])
    assert [PAYLOAD[code] for code in found.payload] == ["released well", "slow or inverted"]


def test_a_canopy_that_does_not_slow_the_vehicle_is_too_fast():
    limit = WANTED.canopy["most_landing_speed"]
    found = judged([{"touchdown_vehicle_speed_m_s": limit + add} for add in (-0.1, 0.1)])
    assert [VEHICLE[code] for code in found.vehicle] == ["under canopy", "canopy too fast"]


def test_what_is_let_go_on_the_pad_keeps_the_other_payload_on():
    found = judged([{}, {}], [True, True], [True, False])
    assert [PAYLOAD[code] for code in found.payload] == ["on the pad", "never"]
    assert [VEHICLE[code] for code in found.vehicle] == ["on the pad"] * 2
    assert not found.good.any()
    assert not found.lost.any()
    assert all(np.isnan(energy).all() for energy in found.energies.values())


def test_ballast_that_stays_on_is_well_and_torn_off_it_is_not():
    found = judged([{"payload2_release_time_s": NAN}, {"payload2_torn_off": 1.0}])
    assert [PAYLOAD[code] for code in found.payload] == ["released well", "torn off early"]


# ---------------------------------------------------------------- the ground

BODIES = st.sampled_from(["vehicle", "payload"])


def lies(body, place):
    east, north = PLACES[place][0]
    return {f"touchdown_{body}_east_m": east, f"touchdown_{body}_north_m": north}


@given(st.lists(st.tuples(*[st.sampled_from(sorted(PLACES))] * 2), min_size=1, max_size=8))
def test_the_body_that_fares_worst_gives_the_word_for_the_ground(places):
    rows = [lies("vehicle", one) | lies("payload", other) for one, other in places]
    for code, pair in zip(judged(rows).field, places, strict=True):
        assert FIELD[code] == max((PLACES[each][1] for each in pair), key=FIELD.index)


def test_each_word_for_the_ground_comes_about():
    rows = [lies("vehicle", place) for place in PLACES]
    assert {FIELD[code] for code in judged(rows).field} == set(FIELD)


def test_what_a_tree_or_a_roof_has_caught_is_in_trees():
    # Of what catches: the alders are the first, the barn the second.
    rows = [{"touchdown_payload_caught": float(which)} for which in (0, 1)]
    assert [FIELD[code] for code in judged(rows).field] == ["in trees"] * 2


@given(BODIES, st.sampled_from(sorted(PLACES)), st.floats(0.01, 200.0))
def test_a_hard_body_beyond_a_bound_endangers_people(body, place, energy):
    row = lies(body, place) | {f"touchdown_{body}_energy_j": energy}
    found = judged([row])
    beyond = PLACES[place][1] in ("outside", "over the people line")
    endangers = beyond and energy > INJURES
    assert found.endangers[0] == endangers
    assert found.good[0] == (not endangers)
    word = (*SEVERITIES, "as wanted")[found.severity[0]]
    if not endangers:
        assert word == "as wanted"
    else:
        assert word == ("Catastrophic" if energy >= KILLS else "Critical")


@given(st.sampled_from(VEHICLE_ORDER), st.sampled_from(PAYLOAD_ORDER))
def test_severities_go_by_what_is_lost(vehicle, payload):
    pad = "on the pad" in (vehicle, payload)
    found = judged([VEHICLES[vehicle] | PAYLOADS[payload]], [pad], [pad])
    word = (*SEVERITIES, "as wanted")[found.severity[0]]
    if pad:
        assert word == "Negligible"
    elif vehicle == "ballistic":
        assert word == "Critical"
    elif vehicle != "under canopy":
        assert word == "Marginal"
    else:
        assert word == ("as wanted" if payload == "released well" else "Negligible")
    assert found.good[0] == (word == "as wanted")


def test_flights_can_be_taken_out():
    rows = [lies("vehicle", place) for place in PLACES]
    whole = judged(rows)
    some = whole.take(np.array([3, 3, 0]))
    np.testing.assert_array_equal(some.field, whole.field[[3, 3, 0]])
    np.testing.assert_array_equal(some.energies["vehicle"], whole.energies["vehicle"][[3, 3, 0]])
