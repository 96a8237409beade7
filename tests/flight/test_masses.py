"""Mass properties: hand-worked sums, and the laws that any of them must obey."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.masses import (
    WATER_DENSITY,
    DryMasses,
    PayloadMass,
    WaterColumn,
    assembled,
    dry_masses,
    nozzle_from_nose,
    payload_masses,
    vessel_volume,
    water_column,
    water_mass,
)

BODY = {"vehicle.body.diameter": 0.1, "vehicle.body.length": 0.8}

CARRIED = {
    "payload.mass": 0.04,
    "payload.carried.from_nose": 0.3,
    "payload.carried.offset": 0.07,
    "payload.carried.length": 0.3,
    "payload.carried.width": 0.08,
    "payload.carried.thickness": 0.06,
}


def parts(*masses: tuple[float, float, float]) -> dict[str, float]:
    """Parts as ``(mass, from_nose, length)``."""
    values = dict(BODY)
    for i, row in enumerate(masses):
        for word, number in zip(("mass", "from_nose", "length"), row, strict=True):
            values[f"vehicle.part.{i}.{word}"] = number
    return values


def test_two_points_balance_like_a_see_saw() -> None:
    # 0.3 kg at 0.2 m and 0.1 kg at 0.6 m: balance (0.06 + 0.06)/0.4 = 0.3 m.
    # Across: 0.3 * 0.1^2 + 0.1 * 0.3^2 = 0.003 + 0.009 = 0.012; shells 0.4 * 0.05^2 / 2 = 0.0005.
    dry = dry_masses(parts((0.3, 0.2, 0.0), (0.1, 0.6, 0.0)))
    assert dry == pytest.approx((0.4, 0.3, 0.0125, 0.4 * 0.05**2), rel=1e-12)


def test_a_rod_cut_in_two_is_the_same_rod() -> None:
    # One rod m = 0.2 kg, L = 0.6 m: m L^2/12 = 0.006; shell 0.2 * 0.0025/2 = 0.00025.
    whole = dry_masses(parts((0.2, 0.1, 0.6)))
    halves = dry_masses(parts((0.1, 0.1, 0.3), (0.1, 0.4, 0.3)))
    assert whole == pytest.approx((0.2, 0.4, 0.00625, 0.0005), rel=1e-12)
    assert halves == pytest.approx(whole, rel=1e-12)


def test_measured_values_win_one_by_one() -> None:
    values = parts((0.2, 0.1, 0.6)) | {"vehicle.mass.balance_from_nose": 0.5}
    assert dry_masses(values).balance_from_nose == 0.5
    assert dry_masses(values).mass == pytest.approx(0.2)
    values |= {
        "vehicle.mass.inertia_across": 0.01,
        "vehicle.mass.inertia_along": 0.0007,
    }
    assert dry_masses(values)[2:] == (0.01, 0.0007)


def test_a_measured_mass_scales_the_parts_inertia() -> None:
    values = parts((0.2, 0.1, 0.6)) | {"vehicle.mass.dry": 0.25}
    assert dry_masses(values) == pytest.approx((0.25, 0.4, 0.0078125, 0.000625), rel=1e-12)


def test_without_parts_an_even_tube_is_taken() -> None:
    values = BODY | {"vehicle.mass.dry": 0.15, "vehicle.mass.balance_from_nose": 0.45}
    # 0.15 (0.8^2/12 + 0.05^2/2) = 0.15 * (0.0533333 + 0.00125) = 0.0081875
    assert dry_masses(values) == pytest.approx((0.15, 0.45, 0.0081875, 0.000375), rel=1e-12)


@pytest.mark.parametrize("given", [{}, {"vehicle.mass.dry": 0.15}])
def test_too_little_known_is_an_error_that_names_the_path(
    given: dict[str, float],
) -> None:
    with pytest.raises(ValueError, match=r"vehicle\.mass\.balance_from_nose"):
        dry_masses(BODY | given)


VESSELS = {
    "vehicle.vessel.0.volume": 2.0e-3,
    "vehicle.vessel.0.from_nose": 0.5,
    "vehicle.vessel.0.length": 0.3,
    "vehicle.vessel.1.volume": 1.2e-3,
    "vehicle.vessel.1.from_nose": 0.3,
    "vehicle.vessel.1.length": 0.2,
    "vehicle.fill.water_volume": 0.8e-3,
}


def test_vessels_in_line_become_one_column() -> None:
    column = water_column(VESSELS)
    # span 0.3 to 0.8 m; 3.2 L over 0.5 m
    assert column == pytest.approx((6.4e-3, 0.5, 0.8), rel=1e-12)
    assert vessel_volume(VESSELS) == pytest.approx(3.2e-3)
    assert water_mass(VESSELS) == pytest.approx(0.8)
    assert nozzle_from_nose(VESSELS) == pytest.approx(0.8)
    assert nozzle_from_nose(VESSELS | {"vehicle.nozzle.from_nose": 0.83}) == 0.83


def test_order_of_vessels_does_not_matter() -> None:
    swapped = {
        path.replace(".0.", ".x.").replace(".1.", ".0.").replace(".x.", ".1."): value
        for path, value in VESSELS.items()
    }
    assert water_column(swapped) == pytest.approx(water_column(VESSELS), rel=1e-15)


def test_water_stands_as_a_cylinder_on_the_aft_end() -> None:
    # Column 0.008 m^2 to 0.8 m; 0.8 kg is 0.1 m deep, centre at 0.75 m.
    # Balance with 0.2 kg at 0.35 m: (0.07 + 0.6)/1.0 = 0.67 m.
    # Across: 0.002 + 0.2 * 0.32^2 + 0.8 (0.1^2/12 + 0.008/(4 pi) + 0.08^2).
    dry = DryMasses(0.2, 0.35, 0.002, 0.0005)
    state = assembled(dry, WaterColumn(0.008, 0.3, 0.8), None, 0.8)
    across = 0.002 + 0.02048 + 0.8 * (0.01 / 12 + 0.008 / (4 * math.pi) + 0.0064)
    assert state == pytest.approx((1.0, 0.67, across, 0.0005, 0.0), rel=1e-12)


def test_gas_fills_the_rest_of_the_column() -> None:
    # 0.8 kg of water is 0.1 m of 0.3 m: gas from 0.5 to 0.7 m, centre 0.6 m.
    dry = DryMasses(0.2, 0.35, 0.002, 0.0005)
    state = assembled(dry, WaterColumn(0.008, 0.3, 0.8), None, 0.8, 0.02)
    assert state.mass == pytest.approx(1.02)
    assert state.balance_from_nose == pytest.approx((0.2 * 0.35 + 0.8 * 0.75 + 0.02 * 0.6) / 1.02)


def test_payload_is_a_block_of_its_carried_size() -> None:
    payload = payload_masses(CARRIED)
    assert payload is not None
    # across, mean of the two planes: 0.04 (0.09/12 + (0.0064 + 0.0036)/24); along 0.04 * 0.01/12
    assert payload == pytest.approx(
        (0.04, 0.3, 0.07, 0.04 * (0.0075 + 0.01 / 24), 0.04 * 0.01 / 12), rel=1e-12
    )
    assert payload_masses(BODY) is None


def test_payload_beside_a_thin_vehicle_is_a_two_body_problem() -> None:
    # 0.3 kg on the axis and 0.1 kg at 0.08 m beside it, same station: balance 0.02 m off the
    # axis; along 0.3 * 0.02^2 + 0.1 * 0.06^2 = 0.00048, across half of it (mean of two planes).
    dry = DryMasses(0.3, 0.4, 0.0, 0.0)
    payload = PayloadMass(0.1, 0.4, 0.08, 0.0, 0.0)
    state = assembled(dry, WaterColumn(0.008, 0.3, 0.8), payload, 0.0)
    assert state == pytest.approx((0.4, 0.4, 0.00024, 0.00048, 0.02), rel=1e-12)


def test_no_payload_equals_a_massless_one() -> None:
    dry, column = DryMasses(0.2, 0.35, 0.002, 0.0005), WaterColumn(0.008, 0.3, 0.8)
    nothing = PayloadMass(0.0, 0.1, 0.2, 0.0, 0.0)
    assert assembled(dry, column, nothing, 0.5) == assembled(dry, column, None, 0.5)


some = st.floats(0.01, 2.0)
part_rows = st.lists(st.tuples(some, some, some), min_size=1, max_size=6)


@given(part_rows, st.integers(0, 5), st.floats(0.0, 1.0))
def test_moving_a_part_moves_the_balance_by_its_share(
    rows: list[tuple[float, float, float]], which: int, shift: float
) -> None:
    index = which % len(rows)
    mass, at, length = rows[index]
    moved = [*rows[:index], (mass, at + shift, length), *rows[index + 1 :]]
    before, after = dry_masses(parts(*rows)), dry_masses(parts(*moved))
    change = after.balance_from_nose - before.balance_from_nose
    assert change == pytest.approx(shift * mass / before.mass, abs=1e-12)


@given(part_rows, st.floats(0.0, 3.0))
def test_moving_everything_leaves_the_inertia(
    rows: list[tuple[float, float, float]], shift: float
) -> None:
    before = dry_masses(parts(*rows))
    after = dry_masses(parts(*[(m, x + shift, length) for m, x, length in rows]))
    assert after[2:] == pytest.approx(before[2:], rel=1e-9)


@given(part_rows, st.floats(0.1, 10.0))
def test_inertia_grows_with_mass_and_the_square_of_size(
    rows: list[tuple[float, float, float]], factor: float
) -> None:
    before = dry_masses(parts(*rows))
    heavier = dry_masses(parts(*[(m * factor, x, length) for m, x, length in rows]))
    assert heavier.inertia_across == pytest.approx(before.inertia_across * factor, rel=1e-9)
    bigger_values = parts(*[(m, x * factor, length * factor) for m, x, length in rows])
    bigger_values["vehicle.body.diameter"] *= factor
    bigger = dry_masses(bigger_values)
    assert bigger.inertia_across == pytest.approx(before.inertia_across * factor**2, rel=1e-9)
    assert bigger.inertia_along == pytest.approx(before.inertia_along * factor**2, rel=1e-9)


def moment_about_nose(state: tuple[float, ...]) -> float:
    mass, balance, across = state[0], state[1], state[2]
    return across + mass * balance**2


@given(st.floats(0.0, 2.0), st.floats(0.0, 0.1))
def test_about_the_nose_moments_simply_add(water: float, gas: float) -> None:
    """Parallel axes: about a fixed point the parts' moments add, whatever the balance does."""
    dry, column = DryMasses(0.2, 0.35, 0.002, 0.0005), WaterColumn(0.008, 0.3, 0.8)
    both = assembled(dry, column, None, water, gas)
    depth = water / (WATER_DENSITY * 0.008)
    round_term = 0.008 / (4 * math.pi)
    water_alone = water * (depth**2 / 12 + round_term + (0.8 - depth / 2) ** 2)
    free = 0.3 - depth
    gas_alone = gas * (free**2 / 12 + round_term + (0.8 - depth - free / 2) ** 2)
    total = moment_about_nose(dry) + water_alone + gas_alone
    assert moment_about_nose(both) == pytest.approx(total, rel=1e-10)


def test_arrays_give_what_floats_give_one_by_one() -> None:
    rng = np.random.default_rng(7)
    names = [
        *parts((0.2, 0.1, 0.6), (0.1, 0.5, 0.1)),
        *VESSELS,
        *CARRIED,
        "vehicle.mass.dry",
        "vehicle.mass.balance_from_nose",
    ]
    columns = {name: rng.uniform(0.2, 0.9, 5) for name in names}

    def results(values: dict[str, float]) -> list[float]:
        dry, column = dry_masses(values), water_column(values)
        payload = payload_masses(values)
        assert payload is not None
        state = assembled(dry, column, payload, water_mass(values), 0.01)
        return [*dry, *column, *payload, *state, nozzle_from_nose(values)]

    together = results(columns)  # type: ignore[arg-type]
    for i in range(5):
        alone = results({name: float(column[i]) for name, column in columns.items()})
        assert [float(np.asarray(each)[i]) for each in together] == alone


BALLAST = {"vehicle.ballast.mass": 0.05, "vehicle.ballast.from_nose": 0.06}


def test_ballast_is_a_point_on_top_of_what_was_measured():
    """Worked by hand: 0.2 kg at 0.4 m and 0.05 kg at 0.06 m balance at 0.332 m."""
    measured = BODY | {
        "vehicle.mass.dry": 0.2,
        "vehicle.mass.balance_from_nose": 0.4,
        "vehicle.mass.inertia_across": 0.01,
        "vehicle.mass.inertia_along": 0.0003,
    }
    dry = dry_masses(measured | BALLAST)
    assert dry.mass == pytest.approx(0.25)
    assert dry.balance_from_nose == pytest.approx(0.332)
    assert dry.inertia_across == pytest.approx(0.01 + 0.2 * 0.068**2 + 0.05 * 0.272**2)
    assert dry.inertia_along == 0.0003


@given(st.floats(0.0, 0.2), st.floats(0.0, 0.8))
def test_ballast_counts_like_a_part_without_length(mass, place):
    """Among parts only, a point of ballast is a part of no length, but for its roll."""
    listed = parts((0.1, 0.0, 0.3), (0.15, 0.3, 0.5))
    with_part = dry_masses(parts((0.1, 0.0, 0.3), (0.15, 0.3, 0.5), (mass + 1e-12, place, 0.0)))
    ballast = {"vehicle.ballast.mass": mass, "vehicle.ballast.from_nose": place}
    added = dry_masses(listed | ballast)
    assert added.mass == pytest.approx(with_part.mass)
    assert added.balance_from_nose == pytest.approx(with_part.balance_from_nose)
    thin = mass * (BODY["vehicle.body.diameter"] / 2) ** 2 / 2  # a part is a tube, ballast a point
    assert added.inertia_across == pytest.approx(with_part.inertia_across - thin)


def test_no_ballast_is_no_ballast():
    listed = parts((0.1, 0.0, 0.3))
    nothing = {"vehicle.ballast.mass": 0.0, "vehicle.ballast.from_nose": 0.2}
    assert dry_masses(listed | nothing) == pytest.approx(dry_masses(listed))
