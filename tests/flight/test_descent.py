"""Drag of what comes down without flying: from each way of describing it, and as it then falls."""

from __future__ import annotations

import numpy as np
import pytest
from flight.campaigns import example, with_fields
from flight.engine_rows import coasting, figure, fly, get_slot, parameters, point, thing
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from loftwright.documents.flatten import flatten
from loftwright.documents.payload import Descent
from loftwright.flight.descent import SEA_LEVEL_DENSITY, descent_drag_area
from loftwright.flight.prepare import prepare
from loftwright.physics.ballistics import terminal_speed_of
from loftwright.physics.descent import descent_rate, rotor_drag_coefficient, tumbling_drag_area
from loftwright.units import Quantity

positive = st.floats(1e-3, 1e3)


def area_of(how="plain", root="payload", mass=0.1, **fields):
    values = {f"{root}.descent.{name}": value for name, value in fields.items()}
    return descent_drag_area({**values, f"{root}.mass": mass}, {f"{root}.descent.how": how}, root)


@pytest.mark.parametrize("how", ["plain", "canopy", "autorotating", "tumbling"])
def test_what_was_measured_counts_however_it_comes_down(how):
    assert area_of(how, drag_area=0.05) == 0.05
    area = area_of(how, rate=4.0)
    assert terminal_speed_of(0.1, SEA_LEVEL_DENSITY, area) == pytest.approx(4.0, rel=1e-12)


def test_a_size_and_its_coefficient_build_the_drag_up():
    disc = 0.25 * np.pi * 0.4**2
    assert area_of("canopy", diameter=0.4, drag_coefficient=0.75) == pytest.approx(0.75 * disc)
    assert area_of("autorotating", diameter=0.4, drag_coefficient=1.1) == pytest.approx(1.1 * disc)
    assert area_of("plain", area=0.004, drag_coefficient=1.0) == pytest.approx(0.004)
    assert area_of("tumbling", surface=0.025, drag_coefficient=0.9) == pytest.approx(0.9 * 0.00625)


def test_draws_become_draws_and_another_root_is_another_document():
    many = area_of("canopy", "spare", diameter=np.array([0.4, 0.8]), drag_coefficient=0.75)
    assert many[1] == pytest.approx(4.0 * many[0])


@given(loading=positive, factor=positive, density=st.floats(0.5, 1.5), drag=st.floats(0.1, 3.0))
def test_the_rate_goes_with_the_root_of_the_loading(loading, factor, density, drag):
    rate = descent_rate(loading, density, drag)
    assert descent_rate(factor * loading, density, drag) == pytest.approx(factor**0.5 * rate)
    assert 0.5 * density * rate**2 * drag == pytest.approx(loading)


@given(ratio=st.floats(2.0, 20.0))
def test_a_windmill_takes_what_momentum_theory_gives(ratio):
    """T = 2 rho A u (v - u) with the slow root u; in units of v_h, u (v - u) = 1."""
    through = 0.5 * (ratio - (ratio**2 - 4.0) ** 0.5)
    thrust = 2.0 * through * (ratio - through)  # over rho A v_h^2
    assert rotor_drag_coefficient(ratio) == pytest.approx(thrust / (0.5 * ratio**2), rel=1e-6)


def test_the_mean_shadow_of_a_box_is_a_quarter_of_its_surface():
    """Cauchy's theorem beside the shadows of a box turned at random."""
    sides = np.array([0.3, 0.2, 0.05])
    faces = np.prod(sides) / sides
    down = Rotation.random(40_000, random_state=1).apply([0.0, 0.0, 1.0])
    shadows = np.abs(down) @ faces
    error = shadows.std() / len(shadows) ** 0.5
    expected = tumbling_drag_area(2.0 * faces.sum(), 1.0)
    assert abs(shadows.mean() - expected) < 4.5 * error
    assert error < 0.005 * expected


@pytest.mark.parametrize(
    ("how", "fields"),
    [
        ("canopy", {"diameter": 0.4, "drag_coefficient": 0.75}),
        ("autorotating", {"diameter": 0.3, "drag_coefficient": 1.1}),
        ("tumbling", {"surface": 0.025, "drag_coefficient": 0.9}),
        ("plain", {"area": 0.004, "drag_coefficient": 1.0}),
    ],
)
def test_a_pod_of_each_kind_comes_down_at_its_rate(how, fields):
    """Flown by the engine from far up in even air: weight over drag area sets the speed."""
    area = area_of(how, **fields)
    table = parameters(CANOPY_AT=0.0, items=[thing(MASS=0.1, AT=0.0)])
    pod = point(DRY_MASS=0.1, DRAG_AREA=area)
    raw = fly(table, coasting(UP=2000.0, V_UP=-1.0), pod, tolerance=1e-9)
    rate = terminal_speed_of(0.1, 1.225, area)
    assert figure(raw, "DOWN_SPEED", body="payload") == pytest.approx(rate, rel=1e-6)


def test_a_pod_under_a_canopy_goes_through_documents_and_spreads():
    glider = ("glide", "wing", "tailplane", "fin", "fuselage", "balance")
    pod = {f"payload.{table}": None for table in glider} | {
        "payload.kind": "pod",
        "payload.descent": Descent(
            how="canopy", diameter=Quantity(0.4), drag_coefficient=Quantity(0.75, 0.05)
        ),
    }
    values, sds, words = flatten(with_fields(example("sedge-lift"), pod))
    assert sds["payload.descent.drag_coefficient"] == 0.05
    area = descent_drag_area(values, words)
    assert area == pytest.approx(0.75 * 0.25 * np.pi * 0.16)
    (pod_body,) = (body for body in prepare(values, words) if body.name == "payload")
    assert get_slot(pod_body.parameters, "DRAG_AREA") == area
