"""The shape: worked Barrowman examples through a campaign's fields, and laws of scaling."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from loftwright.flight.shape import aerodynamic_centre, aerodynamics

Values = dict[str, float]
Words = dict[str, str | int]

FIN_FIELDS = ("root_chord", "tip_chord", "span", "sweep", "thickness", "from_nose", "cant")


def fins(i: int, *numbers: float) -> Values:
    return {
        f"vehicle.fins.{i}.{field}": number
        for field, number in zip(FIN_FIELDS, numbers, strict=True)
    }


# Barrowman & Barrowman 1966; Barrowman 1967 MS thesis: two vehicles, computed from the formulas.
CONE_THREE_FINS: Values = {
    "vehicle.nose.length": 0.30,
    "vehicle.body.diameter": 0.108,
    "vehicle.body.length": 1.30,
    "vehicle.body.roughness": 2e-5,
} | fins(0, 0.20, 0.10, 0.12, 0.10, 0.002, 1.10, 0.0)
CONE_WORDS: Words = {"vehicle.nose.profile": "cone", "vehicle.fins.0.count": 3}

OGIVE_BOAT_TAIL: Values = {
    "vehicle.nose.length": 0.25,
    "vehicle.body.diameter": 0.090,
    "vehicle.body.length": 1.16,
    "vehicle.body.roughness": 2e-5,
    "vehicle.tail.diameter": 0.030,
    "vehicle.tail.length": 0.10,
} | fins(0, 0.16, 0.08, 0.10, 0.08, 0.002, 0.90, 0.0)
OGIVE_WORDS: Words = {"vehicle.nose.profile": "ogive", "vehicle.fins.0.count": 4}

# Body radius over radius to the tip, the same in both examples: 0.054/0.174 = 0.045/0.145.
RATIO = 0.054 / 0.174

PAYLOAD: Values = {
    "payload.mass": 0.05,
    "payload.carried.width": 0.06,
    "payload.carried.thickness": 0.03,
    "payload.carried.drag_coefficient": 0.8,
    "payload.carried.from_nose": 0.4,
    "payload.carried.offset": 0.07,
}


def test_cone_and_three_fins() -> None:
    aero = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    assert (aero.nose_slope, aero.nose_centre) == pytest.approx((2.0, 0.2), abs=1e-5)
    # fins alone 6.376638, times (1 + tau)^2 of NACA Report 1307
    assert aero.fin_slope == pytest.approx(6.376638 * (1 + RATIO) ** 2, abs=1e-5)
    assert aero.fin_centre == pytest.approx(1.183333, abs=1e-5)
    assert aero.tail_slope == 0.0


def test_ogive_four_fins_and_boat_tail() -> None:
    aero = aerodynamics(OGIVE_BOAT_TAIL, OGIVE_WORDS)
    assert (aero.nose_slope, aero.nose_centre) == pytest.approx((2.0, 0.1165), abs=1e-5)
    assert aero.fin_slope == pytest.approx(8.428129 * (1 + RATIO) ** 2, abs=1e-5)
    assert aero.fin_centre == pytest.approx(0.966667, abs=1e-5)
    assert (aero.tail_slope, aero.tail_centre) == pytest.approx((-1.777778, 1.101667), abs=1e-5)


@pytest.mark.parametrize(
    ("values", "words", "total", "centre"),
    [
        (CONE_THREE_FINS, CONE_WORDS, 10.355595, 0.993420),
        (OGIVE_BOAT_TAIL, OGIVE_WORDS, 11.265977, 0.794437),
    ],
)
def test_barrowman_totals_with_his_own_interference(
    values: Values, words: Words, total: float, centre: float
) -> None:
    """Barrowman takes 1 + tau where we take its square: undo one factor and meet his totals."""
    aero = aerodynamics(values, words)
    his = aero._replace(fin_slope=aero.fin_slope / (1 + RATIO))
    assert his.nose_slope + his.tail_slope + his.fin_slope == pytest.approx(total, abs=1e-5)
    assert aerodynamic_centre(his) == pytest.approx(centre, abs=1e-5)


def test_the_carry_over_moves_the_centre_aft() -> None:
    # (2 * 0.2 + 10.948712 * 1.183333) / 12.948712, with 6.376638 * 1.310345^2 = 10.948712
    aero = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    assert aerodynamic_centre(aero) == pytest.approx(1.031450, abs=2e-5)


def test_reference_area_and_what_is_passed_on() -> None:
    aero = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    assert aero.reference_area == pytest.approx(math.pi / 4 * 0.108**2)
    assert (aero.body_length, aero.roughness, aero.base_diameter) == (1.30, 2e-5, 0.108)
    assert aero.measured_drag_area == 0.0
    assert (aero.payload_drag_area, aero.payload_from_nose, aero.payload_offset) == (0, 0, 0)


def test_friction_areas_by_hand() -> None:
    aero = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    # cone skin pi R sqrt(R^2 + L^2) plus tube pi d L; form factor 1 + 1.5 f^-1.5 + 7 f^-3
    wetted = math.pi * 0.054 * math.hypot(0.054, 0.30) + math.pi * 0.108 * 1.0
    fineness = 1.30 / 0.108
    factor = 1 + 1.5 * fineness**-1.5 + 7 * fineness**-3
    assert aero.body_friction_area == pytest.approx(wetted * factor, rel=1e-9)
    # mean chord 2/3 (0.3 - 0.02/0.3); both sides of three fins, 1 + 2 t/c + 60 (t/c)^4
    chord = 2 / 3 * (0.3 - 0.02 / 0.3)
    assert aero.fin_chord == pytest.approx(chord, rel=1e-12)
    ratio = 0.002 / chord
    fin = 2 * 3 * 0.018 * (1 + 2 * ratio + 60 * ratio**4)
    assert aero.fin_friction_area == pytest.approx(fin, rel=1e-9)
    assert aero.pressure_drag_area == pytest.approx(0.5 * 3 * 0.12 * 0.002)


def test_crossflow_of_a_bare_body() -> None:
    # NACA Report 1048: eta c_dc A_p; l/d 10 has eta 0.68; cone 0.5 d L and tube.
    values = {
        "vehicle.nose.length": 0.2,
        "vehicle.body.diameter": 0.1,
        "vehicle.body.length": 1.0,
        "vehicle.body.roughness": 2e-5,
    }
    aero = aerodynamics(values, {"vehicle.nose.profile": "cone"})
    assert aero.crossflow_area == pytest.approx(0.68 * 1.2 * (0.01 + 0.08), rel=1e-9)
    # middle: cone at 2/3 of 0.2, tube at 0.6
    assert aero.crossflow_centre == pytest.approx((0.01 * 0.4 / 3 + 0.08 * 0.6) / 0.09, rel=1e-9)
    assert (aero.fin_slope, aero.roll_forcing, aero.roll_damping) == (0.0, 0.0, 0.0)
    assert aero.fin_friction_area == 0.0
    assert aero.fin_chord == 1.0


def test_fins_add_to_the_crossflow_behind() -> None:
    bare = {path: v for path, v in CONE_THREE_FINS.items() if ".fins." not in path}
    without = aerodynamics(bare, CONE_WORDS)
    finned = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    # mean of |sin|^3 over a turn is 4/(3 pi); area middle of a trapezoid by its formula
    extra = 3 * 0.018 * 1.17 * 4 / (3 * math.pi)
    assert finned.crossflow_area - without.crossflow_area == pytest.approx(extra, rel=1e-9)
    middle = 1.10 + (0.04 + 0.02 + 0.01 + 0.10 * 0.4) / (3 * 0.3)
    moment = without.crossflow_area * without.crossflow_centre + extra * middle
    assert finned.crossflow_centre == pytest.approx(moment / finned.crossflow_area, rel=1e-9)


def test_crossflow_damping_of_a_bare_tube_turning_about_its_middle() -> None:
    """Strips at x from the middle push with x^2 and lever x: 2 c d (L/2)^4 / 4 = c d L^4 / 32."""
    values = {
        "vehicle.nose.length": 1e-9,
        "vehicle.body.diameter": 0.1,
        "vehicle.body.length": 1.0,
        "vehicle.body.roughness": 2e-5,
    }
    aero = aerodynamics(values, {"vehicle.nose.profile": "parabola"})
    assert aero.crossflow_damping == pytest.approx(0.68 * 1.2 * 0.1 / 32, rel=1e-6)


def test_fins_damp_with_the_cube_of_their_lever() -> None:
    aero = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    bare = {path: v for path, v in CONE_THREE_FINS.items() if ".fins." not in path}
    body = aerodynamics(bare, CONE_WORDS)
    centre = aero.crossflow_centre
    across = aero.crossflow_area - body.crossflow_area
    middle = 1.10 + (0.04 + 0.02 + 0.01 + 0.10 * 0.4) / (3 * 0.3)
    even = body.crossflow_area / 1.30 * (centre**4 + (1.30 - centre) ** 4) / 4
    expected = even + across * (middle - centre) ** 3
    assert aero.crossflow_damping == pytest.approx(expected, rel=1e-9)


def test_roll_settles_where_strip_theory_says() -> None:
    """Forcing over damping: canted by 1 degree, the mid-span of a fin is where it slips free."""
    cant = math.radians(1.0)
    values = CONE_THREE_FINS | {"vehicle.fins.0.cant": cant}
    aero = aerodynamics(values, CONE_WORDS)

    def moment(power: int) -> float:
        """Integrate chord times radius to a power over the span, 0.20 to 0.10 m of chord."""
        n = 4000
        steps = [(i + 0.5) / n for i in range(n)]
        return sum((0.2 - 0.1 * y) * (0.054 + 0.12 * y) ** power for y in steps) * 0.12 / n

    assert aero.roll_forcing / aero.roll_damping == pytest.approx(
        cant * moment(1) / moment(2), rel=1e-5
    )
    # lift slope of one fin on its own area: 2/N of the set's, 4.251092 (Diederich, NACA TN 2335)
    lift = 4.251092 * math.pi / 4 * 0.108**2 / 0.018
    assert aero.roll_damping == pytest.approx(3 * lift * moment(2), rel=1e-5)


def test_measured_drag_becomes_an_area() -> None:
    values = CONE_THREE_FINS | {
        "vehicle.drag.coefficient": 0.4,
        "vehicle.drag.reference_diameter": 0.1,
    }
    expected = 0.4 * math.pi / 4 * 0.01
    assert aerodynamics(values, CONE_WORDS).measured_drag_area == pytest.approx(expected)


def test_payload_as_carried() -> None:
    aero = aerodynamics(CONE_THREE_FINS | PAYLOAD, CONE_WORDS)
    assert aero.payload_drag_area == pytest.approx(0.8 * 0.06 * 0.03)
    assert (aero.payload_from_nose, aero.payload_offset) == (0.4, 0.07)


@pytest.mark.parametrize(
    ("end", "length", "base"),
    [
        (0.030, 0.10, 0.090 - 0.3527 * 0.10),  # too steep: the flow leaves on the way
        (0.080, 0.10, 0.080),  # gentle: it follows to the end
        (0.120, 0.10, 0.120),  # a flare
    ],
)
def test_flow_follows_a_gentle_narrowing_only(end: float, length: float, base: float) -> None:
    values = OGIVE_BOAT_TAIL | {"vehicle.tail.diameter": end, "vehicle.tail.length": length}
    assert aerodynamics(values, OGIVE_WORDS).base_diameter == pytest.approx(base, rel=1e-12)


def test_two_sets_add_and_their_centre_lies_between() -> None:
    second = fins(1, 0.10, 0.05, 0.06, 0.05, 0.002, 0.40, 0.01)
    both = aerodynamics(CONE_THREE_FINS | second, CONE_WORDS | {"vehicle.fins.1.count": 4})
    aft = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    moved = {path.replace(".1.", ".0."): number for path, number in second.items()}
    fore = aerodynamics(CONE_THREE_FINS | moved, CONE_WORDS | {"vehicle.fins.0.count": 4})
    assert both.fin_slope == pytest.approx(aft.fin_slope + fore.fin_slope)
    assert both.roll_forcing == pytest.approx(fore.roll_forcing)
    assert both.roll_damping == pytest.approx(aft.roll_damping + fore.roll_damping)
    assert fore.fin_centre < both.fin_centre < aft.fin_centre
    assert both.fin_chord == pytest.approx(
        (3 * 0.018 * aft.fin_chord + 4 * 0.0045 * fore.fin_chord) / (0.054 + 0.018)
    )


@given(st.floats(0.1, 10.0))
def test_a_bigger_copy_scales_by_area_and_length(factor: float) -> None:
    small = aerodynamics(OGIVE_BOAT_TAIL | PAYLOAD, OGIVE_WORDS)
    numbers = {"payload.mass", "payload.carried.drag_coefficient", "vehicle.fins.0.cant"}
    values = {
        path: value if path in numbers else value * factor
        for path, value in (OGIVE_BOAT_TAIL | PAYLOAD).items()
    }
    big = aerodynamics(values, OGIVE_WORDS)
    powers = {"area": 2, "slope": 0, "roll_forcing": 3, "roll_damping": 4, "crossflow_damping": 5}
    for name, value in small._asdict().items():
        power = next((p for ending, p in powers.items() if name.endswith(ending)), 1)
        assert big._asdict()[name] == pytest.approx(value * factor**power, rel=1e-9), name


@given(st.floats(-0.2, 0.4))
def test_moving_fins_moves_the_centre_by_their_share(shift: float) -> None:
    before = aerodynamics(CONE_THREE_FINS, CONE_WORDS)
    after = aerodynamics(CONE_THREE_FINS | {"vehicle.fins.0.from_nose": 1.10 + shift}, CONE_WORDS)
    share = before.fin_slope / (before.fin_slope + before.nose_slope)
    change = aerodynamic_centre(after) - aerodynamic_centre(before)
    assert change == pytest.approx(shift * share, abs=1e-12)


@pytest.mark.parametrize("profile", ["cone", "ogive", "ellipsoid", "parabola"])
def test_arrays_give_what_floats_give_one_by_one(profile: str) -> None:
    rng = np.random.default_rng(11)
    values = (
        OGIVE_BOAT_TAIL
        | PAYLOAD
        | {
            "vehicle.drag.coefficient": 0.4,
            "vehicle.drag.reference_diameter": 0.09,
            "vehicle.fins.0.cant": 0.01,
        }
    )
    columns = {path: value * rng.uniform(0.95, 1.05, 4) for path, value in values.items()}
    words: Words = OGIVE_WORDS | {"vehicle.nose.profile": profile}
    together = aerodynamics(columns, words)  # type: ignore[arg-type]
    centres = np.asarray(aerodynamic_centre(together))
    for i in range(4):
        alone = aerodynamics({path: float(column[i]) for path, column in columns.items()}, words)
        mine = [float(np.broadcast_to(each, (4,))[i]) for each in together]
        assert mine == pytest.approx(list(alone), rel=1e-14)
        assert centres[i] == pytest.approx(aerodynamic_centre(alone), rel=1e-14)
