"""One carried payload as numbers, beside hand-sized sums over points."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from flight.staged import staged
from hypothesis import given
from hypothesis import strategies as st

from loftwright.documents.flatten import flatten
from loftwright.documents.payload import Retainer
from loftwright.flight.carried import (
    RELEASES,
    UNKNOWN_STRENGTH,
    drag_area,
    gathered,
    hold_strengths,
    item_rows,
    riders,
)
from loftwright.flight.kernel import slots
from loftwright.units import Quantity

Row = dict[str, Any]
NAMES = {
    "ITEM_MASS", "ITEM_FROM_NOSE", "ITEM_Y", "ITEM_Z", "ITEM_IXX", "ITEM_IYY", "ITEM_IZZ",
    "ITEM_IYZ", "ITEM_DRAG", "ITEM_SIDE", "ITEM_SLOPE", "ITEM_CENTRE", "ITEM_PUSH", "ITEM_SHIELD",
    "ITEM_ALONG", "ITEM_ACROSS", "ITEM_PEEL", "ITEM_GRIP", "ITEM_TIP", "ITEM_WHEN",
    "ITEM_CLIMB", "ITEM_TIME", "ITEM_DELAY", "ITEM_TOSS",
}  # fmt: skip


def rows_of(fields: dict[str, Any] | None = None) -> Row:
    values, _, words = flatten(with_fields(example("sedge-lift"), fields or {}))
    return item_rows(values, words, "payload")


def test_every_name_of_the_flight_is_given() -> None:
    values, _, words = flatten(staged())
    for root in ("payload", "payload2", "payload3"):
        assert set(item_rows(values, words, root)) == NAMES


def test_the_codes_of_releases_are_those_of_the_flight() -> None:
    assert RELEASES["never"] == slots.NEVER
    assert RELEASES["climb"] == slots.BY_CLIMB
    assert RELEASES["apogee"] == slots.BY_APOGEE
    assert RELEASES["time"] == slots.BY_TIME
    assert RELEASES["spent"] == RELEASES["air out"] == getattr(slots, "BY_SPENT", 4.0)


def test_the_demo_sits_where_its_document_says() -> None:
    row = rows_of()
    assert row["ITEM_MASS"] == 0.028
    assert row["ITEM_FROM_NOSE"] == row["ITEM_CENTRE"] == 0.540
    # 45 degrees clockwise, seen from behind, from the side that looks down: to the left and down.
    assert row["ITEM_Y"] == pytest.approx(0.064 * math.sqrt(0.5))
    assert row["ITEM_Z"] == pytest.approx(-0.064 * math.sqrt(0.5))
    assert row["ITEM_DRAG"] == pytest.approx(0.8 * 0.080 * 0.018)
    assert row["ITEM_ALONG"] == row["ITEM_ACROSS"] == row["ITEM_PEEL"] == 11.0
    assert row["ITEM_GRIP"] == 0.2
    assert (row["ITEM_WHEN"], row["ITEM_CLIMB"]) == (slots.BY_CLIMB, pytest.approx(15.24))
    assert (row["ITEM_DELAY"], row["ITEM_TOSS"]) == (0.08, 1.5)


def tensor(row: Row) -> np.ndarray:
    return np.array(
        [[row["ITEM_IYY"], row["ITEM_IYZ"]], [row["ITEM_IYZ"], row["ITEM_IZZ"]]], dtype=float
    )


def of_points(points: np.ndarray, mass: float) -> tuple[float, np.ndarray]:
    """Inertia along x, and the matrix across, of equal points about their middle."""
    x, y, z = (points - points.mean(axis=0)).T
    each = mass / len(points)
    across = np.array([
        [np.sum(x * x + z * z), -np.sum(y * z)],
        [-np.sum(y * z), np.sum(x * x + y * y)],
    ])  # fmt: skip
    return each * np.sum(y * y + z * z), each * across


@given(st.floats(-math.pi, math.pi))
def test_a_block_is_turned_to_where_it_sits(around: float) -> None:
    row = rows_of({"payload.carried.around": around})
    grid = [(np.arange(20) + 0.5) / 20 - 0.5] * 3
    along, off, aside = (axis.ravel() for axis in np.meshgrid(*grid, indexing="ij"))
    to_y, to_z = math.sin(around), -math.cos(around)
    off, aside = 0.018 * off, 0.080 * aside
    points = np.column_stack([0.3 * along, off * to_y - aside * to_z, off * to_z + aside * to_y])
    xx, across = of_points(points, 0.028)
    assert row["ITEM_IXX"] == pytest.approx(xx, rel=5e-3)
    assert tensor(row) == pytest.approx(across, rel=5e-3, abs=5e-3 * xx)


@given(st.floats(0.01, 0.36), st.floats(-math.pi, math.pi))
def test_a_wrap_is_an_arc_around_the_body(width: float, around: float) -> None:
    fields = {"how": "wrapped", "width": width, "around": around, "gap": 0.0, "offset": 0.0}
    row = rows_of({f"payload.carried.{word}": value for word, value in fields.items()})
    radius = 0.055 + 0.009
    angles = around + width / radius * ((np.arange(400) + 0.5) / 400 - 0.5)
    along = 0.3 * ((np.arange(40) + 0.5) / 40 - 0.5)
    x, angle = (axis.ravel() for axis in np.meshgrid(along, angles, indexing="ij"))
    points = np.column_stack([x, radius * np.sin(angle), -radius * np.cos(angle)])
    middle = points.mean(axis=0)
    assert (row["ITEM_Y"], row["ITEM_Z"]) == pytest.approx(tuple(middle[1:]), abs=1e-6)
    xx, across = of_points(points, 0.028)
    assert row["ITEM_IXX"] == pytest.approx(xx, rel=2e-3, abs=1e-9)
    assert tensor(row) == pytest.approx(across, rel=2e-3, abs=1e-8)


def test_a_full_turn_balances_on_the_axis_and_lifts_nothing() -> None:
    fields = {"how": "wrapped", "width": 2 * math.pi * 0.064, "offset": 0.0}
    row = rows_of({f"payload.carried.{word}": value for word, value in fields.items()})
    assert math.hypot(row["ITEM_Y"], row["ITEM_Z"]) < 1e-12
    assert row["ITEM_SLOPE"] == pytest.approx(0.0, abs=1e-12)
    assert row["ITEM_IXX"] == pytest.approx(0.028 * 0.064**2)


def test_measured_inertia_counts() -> None:
    row = rows_of({
        "payload.carried.inertia_along": 2e-5,
        "payload.carried.inertia_across": 5e-4,
    })  # fmt: skip
    assert (row["ITEM_IXX"], row["ITEM_IYY"], row["ITEM_IZZ"]) == pytest.approx((2e-5, 5e-4, 5e-4))
    assert row["ITEM_IYZ"] == 0.0


UNMEASURED = {"payload.carried.drag_coefficient": None}


def built_up(**fields: Any) -> float:
    named = {f"payload.carried.{word}": value for word, value in fields.items()}
    return float(rows_of(UNMEASURED | named)["ITEM_DRAG"])


def test_a_built_up_drag_is_that_of_a_blunt_block_in_its_layer() -> None:
    # between a half and the whole of 0.85 on the front, and friction of its sides
    assert 0.5 < built_up() / (0.080 * 0.018) < 1.0
    assert built_up(edges="rounded") < 0.5 * built_up()
    assert built_up(how="fairing") < 0.5 * built_up(edges="rounded")
    assert built_up(how="inside") == 0.0
    assert built_up(gap=0.005) > built_up()
    assert built_up(drag_factor=2.0) == pytest.approx(2.0 * built_up())


def test_a_measured_drag_counts_and_the_area_before_the_coefficient() -> None:
    values, _, words = flatten(
        with_fields(example("sedge-lift"), {"payload.carried.drag_area": 1.5e-3})
    )
    assert drag_area(values, words, "payload") == 1.5e-3


@given(st.floats(0.0, 0.02))
def test_a_push_goes_with_its_coefficient(coefficient: float) -> None:
    row = rows_of({"payload.carried.push_coefficient": coefficient})
    assert row["ITEM_PUSH"] == pytest.approx(coefficient * 0.3 * 0.080)


# ---------------------------------------------------------------- hold


def held_by(*retainers: Retainer) -> Row:
    fields = {"payload.hold": None, "payload.retainer": retainers}
    values, _, words = flatten(with_fields(example("sedge-lift"), fields))
    return hold_strengths(values, words, "payload")


def test_nothing_known_is_not_judged() -> None:
    row = held_by()
    assert {row[f"ITEM_{way}"] for way in ("ALONG", "ACROSS", "PEEL")} == {UNKNOWN_STRENGTH}


def test_pieces_bear_what_their_form_lets_them() -> None:
    q = Quantity
    hook = Retainer(kind="hook", along=q(18.0), across=q(99.0), peel=q(9.0))
    band = Retainer(kind="band", count=2, peel=q(12.0), preload=q(4.0), friction=q(0.25))
    row = held_by(hook, band)
    assert row["ITEM_ALONG"] == pytest.approx(18.0 + 2 * 0.25 * 4.0)
    assert row["ITEM_ACROSS"] == pytest.approx(2 * 0.25 * 4.0)
    assert row["ITEM_PEEL"] == pytest.approx(9.0 + 2 * 12.0)
    assert row["ITEM_GRIP"] == pytest.approx((0.2 + 2 * 0.25) / 3)


def test_a_snug_bed_grips_every_way() -> None:
    bed = Retainer(kind="friction", preload=Quantity(10.0), friction=Quantity(0.5))
    row = held_by(bed)
    assert row["ITEM_ALONG"] == row["ITEM_ACROSS"] == row["ITEM_PEEL"] == 5.0


@given(st.integers(1, 20), st.floats(0.1, 50.0))
def test_more_of_a_piece_holds_more(count: int, strength: float) -> None:
    row = held_by(Retainer(kind="pin", count=count, along=Quantity(strength)))
    assert row["ITEM_ALONG"] == pytest.approx(count * strength)
    assert row["ITEM_PEEL"] == UNKNOWN_STRENGTH


# ---------------------------------------------------------------- together


def test_arrays_may_stand_where_floats_do() -> None:
    values, sds, words = flatten(staged())
    rng = np.random.default_rng(3)
    drawn = {
        path: values[path] + sd * rng.standard_normal(4)
        for path, sd in sds.items()
        if sd > 0.0 and path.startswith("payload")
    }
    for root in ("payload", "payload2", "payload3"):
        many = item_rows({**values, **drawn}, words, root)
        for flight in range(4):
            one = {**values, **{path: each[flight] for path, each in drawn.items()}}
            alone = item_rows(one, words, root)
            for name, value in alone.items():
                assert np.broadcast_to(many[name], 4)[flight] == pytest.approx(value, rel=1e-12)


def test_two_alike_on_opposite_sides_balance_on_the_axis() -> None:
    here = rows_of({"payload.carried.around": 0.7})
    there = rows_of({"payload.carried.around": 0.7 + math.pi})
    both = gathered([here, there])
    assert both.mass == pytest.approx(2 * 0.028)
    assert both.offset == pytest.approx(0.0, abs=1e-15)
    assert both.inertia_along == pytest.approx(2 * (here["ITEM_IXX"] + 0.028 * 0.064**2))
    assert gathered([here]).offset == pytest.approx(0.064)


def test_each_rides_on_what_it_names() -> None:
    _, _, words = flatten(staged())
    assert riders(words, "vehicle") == ("payload", "payload2", "boosters", "upper")
    assert riders(words, "upper") == ("payload3",)
