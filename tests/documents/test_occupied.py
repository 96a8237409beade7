"""Room around a body: what overlaps and what does not."""

from __future__ import annotations

import math

from documents.bad_documents import STAGED
from flight.campaigns import with_fields
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.occupied import Room, booster_rooms, overlap, radius_at
from loftwright.documents.reading import read_campaign
from loftwright.documents.rules_stages import boosters_stand_outside

rooms = st.builds(
    lambda front, length, inner, thick, around, half: Room(
        front, front + length, inner, inner + thick, around, half
    ),
    st.floats(-1.0, 1.0),
    st.floats(0.01, 1.0),
    st.floats(0.01, 0.2),
    st.floats(0.005, 0.1),
    st.floats(-7.0, 7.0),
    st.floats(0.2, math.pi),
)


@given(rooms, rooms)
def test_overlap_knows_no_order(a: Room, b: Room) -> None:
    assert overlap(a, b) == overlap(b, a)


@given(rooms)
def test_everything_overlaps_itself_and_not_what_follows_it(room: Room) -> None:
    assert overlap(room, room)
    assert overlap(room, room._replace(around=room.around + 2 * math.pi))
    length = room.end - room.front
    assert not overlap(room, room._replace(front=room.end, end=room.end + length))
    assert not overlap(room, room._replace(inner=room.outer, outer=room.outer + 0.1))


@given(rooms, st.floats(0.05, 1.0))
def test_neighbours_around_the_body_may_touch(room: Room, half: float) -> None:
    narrow = room._replace(half=min(room.half, math.pi - half))
    beside = narrow._replace(around=narrow.around + narrow.half + half, half=half)
    assert not overlap(narrow, beside)


def test_radius_follows_nose_body_and_tail() -> None:
    vehicle = read_campaign(STAGED).vehicle
    assert radius_at(vehicle, -0.01) == 0.0
    assert 0.0 < radius_at(vehicle, 0.05) < radius_at(vehicle, 0.10) < 0.055
    assert radius_at(vehicle, 0.5) == 0.055
    assert radius_at(vehicle, 0.9) == 0.0


def test_thick_boosters_do_not_fit_side_by_side() -> None:
    campaign = with_fields(
        read_campaign(STAGED),
        {
            "boosters.attach.count": 6,
            "boosters.body.diameter": 0.16,
            "boosters.attach.offset": 0.14,
        },
    )
    assert campaign.boosters is not None
    found = boosters_stand_outside(campaign.boosters, campaign.vehicle)
    assert [each.code for each in found] == ["stage-overlap"]
    assert len(list(booster_rooms(campaign.boosters))) == 6
