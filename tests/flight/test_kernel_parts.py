"""The engine's parts: the Runge-Kutta pair, its interpolant, elementary functions, compilation."""

from __future__ import annotations

import inspect
import math
import re
import types

import numpy as np
import pytest
from flight.engine_rows import coasting, fly, parameters, point, thing
from hypothesis import given
from hypothesis import strategies as st

from loftwright.compiling import clone as compiling
from loftwright.compiling import elementary
from loftwright.flight import engine
from loftwright.flight.kernel import departure, slots, stepper, wing_slots
from loftwright.flight.kernel.driver import fly_phase
from loftwright.flight.kernel.tsit5 import ERROR, INTERPOLANT, A, B, C
from loftwright.physics import atmosphere
from loftwright.physics.canopy import filled_fraction

# ---------------------------------------------------------------- the pair

STAGES = 7
TABLE = np.array([[*row, *[0.0] * (STAGES - len(row))] for row in A])
NODES, WEIGHTS = np.array(C), np.array([*B, 0.0])
OTHER = WEIGHTS - np.array(ERROR)

# Rooted trees up to order five with their densities: J. C. Butcher, Numerical Methods for
# Ordinary Differential Equations (2008), table 301; E. Hairer et al., table II.2.1.
AC, AC2, AAC = TABLE @ NODES, TABLE @ NODES**2, TABLE @ (TABLE @ NODES)
ONE = np.ones(STAGES)
TREES = [
    (1, ONE, 1),
    (2, NODES, 2),
    (3, NODES**2, 3),
    (3, AC, 6),
    (4, NODES**3, 4),
    (4, NODES * AC, 8),
    (4, AC2, 12),
    (4, AAC, 24),
    (5, NODES**4, 5),
    (5, NODES**2 * AC, 10),
    (5, AC**2, 20),
    (5, NODES * AC2, 15),
    (5, NODES * AAC, 30),
    (5, TABLE @ NODES**3, 20),
    (5, TABLE @ (NODES * AC), 40),
    (5, TABLE @ AC2, 60),
    (5, TABLE @ AAC, 120),
]


def test_stages_start_where_their_rows_sum():
    np.testing.assert_allclose(TABLE.sum(axis=1), NODES, atol=2e-15)


@pytest.mark.parametrize("tree", range(len(TREES)))
def test_the_solution_meets_every_condition_of_order_five(tree):
    _, product, density = TREES[tree]
    assert WEIGHTS @ product == pytest.approx(1.0 / density, abs=3e-15)


@pytest.mark.parametrize("tree", [i for i, row in enumerate(TREES) if row[0] <= 4])
def test_the_other_solution_is_of_order_four(tree):
    _, product, density = TREES[tree]
    assert OTHER @ product == pytest.approx(1.0 / density, abs=1e-14)


def test_the_other_solution_is_not_of_order_five():
    assert max(abs(OTHER @ product - 1.0 / density) for _, product, density in TREES) > 1e-5


def interpolant(share: float) -> np.ndarray:
    weights = np.zeros(STAGES)
    stepper.weights(share, weights)
    return weights


@given(share=st.floats(0.0, 1.0))
def test_the_interpolant_meets_every_condition_of_order_four(share):
    weights = interpolant(share)
    for order, product, density in TREES:
        if order <= 4:
            assert weights @ product == pytest.approx(share**order / density, abs=2e-14)


def test_the_interpolant_joins_both_ends():
    np.testing.assert_allclose(interpolant(0.0), 0.0, atol=0.0)
    np.testing.assert_allclose(interpolant(1.0), WEIGHTS, atol=1e-14)


@given(share=st.floats(0.0, 1.0))
def test_slope_weights_are_the_derivative_of_the_weights(share):
    slopes = np.zeros(STAGES)
    stepper.slope_weights(share, slopes)
    for row, slope in zip(INTERPOLANT, slopes, strict=True):
        assert np.polynomial.Polynomial([0.0, *row]).deriv()(share) == pytest.approx(
            slope, abs=1e-11
        )


def test_the_slope_is_continuous_from_step_to_step():
    ends = np.zeros(STAGES)
    stepper.slope_weights(1.0, ends)
    np.testing.assert_allclose(ends, np.eye(STAGES)[6], atol=1e-12)
    stepper.slope_weights(0.0, ends)
    np.testing.assert_allclose(ends, np.eye(STAGES)[0], atol=1e-14)


def one_step(h: float, share: float) -> tuple[float, float]:
    """Error of the solution and of the interpolant after a step of y' = y cos t from 1."""
    k: list[float] = []
    for row, node in zip(A, C, strict=True):
        y = 1.0 + h * sum(a * rate for a, rate in zip(row, k, strict=True))
        k.append(y * math.cos(node * h))
    within = 1.0 + h * float(interpolant(share) @ k)
    return (
        abs(y - math.exp(math.sin(h))),
        abs(within - math.exp(math.sin(share * h))),
    )


def test_a_known_equation_converges_with_the_orders_of_the_pair():
    errors = np.array([one_step(h, 0.4) for h in (0.2, 0.1, 0.05)])
    orders = np.log2(errors[:-1] / errors[1:])
    assert (orders[:, 0] > 5.5).all()  # one step errs with the order plus one
    assert (orders[:, 1] > 4.5).all()


# ---------------------------------------------------------------- elementary functions

RANDOM = np.random.default_rng(7)


def worst(ours, argument, exact, *, absolute=False):
    values = np.array([ours(x) for x in argument])
    error = np.abs(values - exact)
    return float((error if absolute else error / np.abs(exact)).max())


def test_exp_is_exact_to_1e15():
    x = np.concatenate([RANDOM.uniform(-700.0, 700.0, 4000), RANDOM.normal(0.0, 1.0, 4000)])
    exact = np.exp(x.astype(np.longdouble))
    assert worst(elementary.exp, x, exact) < 1e-15


def test_log_is_exact_to_1e15():
    near = 1.0 + np.concatenate(
        [RANDOM.normal(0.0, 0.1, 3000), 10.0 ** RANDOM.uniform(-12, -1, 1000)]
    )
    x = np.concatenate([10.0 ** RANDOM.uniform(-300.0, 300.0, 4000), near])
    exact = np.log(x.astype(np.longdouble))
    assert worst(elementary.log, x[exact != 0], exact[exact != 0]) < 1e-15


@pytest.mark.parametrize(("ours", "exact"), [(elementary.sin, np.sin), (elementary.cos, np.cos)])
def test_sines_are_exact_to_2e15(ours, exact):
    x = np.concatenate([RANDOM.uniform(-1e4, 1e4, 6000), RANDOM.uniform(-7.0, 7.0, 2000)])
    assert worst(ours, x, exact(x.astype(np.longdouble)), absolute=True) < 2e-15


# ---------------------------------------------------------------- compilation


def test_one_signature_of_the_engine_serves_every_call():
    fly(parameters(), coasting(V_UP=1.0))
    fly(parameters(3), coasting(3, V_UP=1.0), recorded=2, capacity=5, tolerance=1e-4)
    fly(parameters(), coasting(V_UP=1.0), recorded=1, intervals=(1, 2))
    fly(parameters(items=[thing(AT=0.0)]), coasting(V_UP=1.0), point(), shapes=np.zeros(1))
    assert len(engine.compiled_engine().signatures) == 1


def test_originals_stay_plain():
    fly(parameters(), coasting(V_UP=1.0))
    for function in compiling.reached(fly_phase):
        assert type(function) is types.FunctionType
        module = inspect.getmodule(function)
        assert getattr(module, function.__name__) is function
    assert atmosphere.exp is math.exp
    assert departure.rotate_to_ground.__globals__["__name__"] == "loftwright.physics.rotation"


def test_everything_of_ours_is_reached_callees_first():
    order = compiling.reached(fly_phase)
    assert order[-1] is fly_phase
    place = {function: i for i, function in enumerate(order)}
    for function in order:
        for name in function.__code__.co_names:
            callee = function.__globals__.get(name)
            if callee in place and callee is not function:
                assert place[callee] < place[function]


def test_a_changed_law_changes_the_digest(monkeypatch):
    before = compiling.code_digest(fly_phase)
    assert before == compiling.code_digest(fly_phase)
    with monkeypatch.context() as change:
        change.setattr(atmosphere, "DENSITY_EXPONENT", 4.3)
        assert compiling.code_digest(fly_phase) != before
    other = atmosphere.dynamic_viscosity.__code__
    with monkeypatch.context() as change:
        change.setattr(filled_fraction, "__code__", other)
        assert compiling.code_digest(fly_phase) != before
    said_otherwise = filled_fraction.__code__.replace(
        co_consts=("Said otherwise.", *filled_fraction.__code__.co_consts[1:])
    )
    with monkeypatch.context() as change:
        change.setattr(filled_fraction, "__code__", said_otherwise)
        assert compiling.code_digest(fly_phase) == before


def test_the_cache_folder_is_the_users_and_names_the_digest():
    folder = compiling.cache_folder(fly_phase)
    assert folder.name == compiling.code_digest(fly_phase)
    assert folder.parent.name == "kernels"


def _double(x):
    return 2.0 * math.exp(x)


def test_without_a_place_to_write_it_still_compiles(tmp_path, monkeypatch):
    """A file stands where the folder should be, and numba finds no other place."""
    from numba.core import caching

    monkeypatch.setattr(caching.CompileResultCacheImpl, "_locator_classes", [])
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    monkeypatch.setattr(compiling, "cache_folder", lambda _: blocked / "kernels")
    twin = compiling.compiled(_double)
    assert twin(1.0) == pytest.approx(2.0 * math.e, rel=1e-15)
    assert not compiling.is_cached(_double)


def between(module, first, last):
    """Names of a module that stand between two others, in the order of their definition."""
    names = list(vars(module))
    return names[names.index(first) : names.index(last) + 1]


@pytest.mark.parametrize(
    ("module", "first", "last", "start", "count"),
    [
        (slots, "EAST", "BOOSTER_IMPULSE", 0, slots.STATES),
        (slots, "GRAVITY", "LAST_A_UP", 0, slots.COMMON_COUNT),
        (slots, "ITEM_MASS", "ITEM_USE", slots.COMMON_COUNT, slots.ITEM_ROWS),
        (wing_slots, "UNFOLD_RATE", "DOWNWASH", slots.COMMON_COUNT, wing_slots.WING_ROWS),
        (
            wing_slots,
            "STRIP_X",
            "STRIP_FOLDS",
            slots.COMMON_COUNT + wing_slots.WING_ROWS,
            wing_slots.STRIP_ROWS,
        ),
    ],
)
def test_slots_do_not_overlap(module, first, last, start, count):
    offsets = [getattr(module, name) for name in between(module, first, last)]
    assert offsets == [slots.LANES * (start + i) for i in range(count)]


def test_tables_are_as_long_as_their_slots():
    assert len(slots.TYPICAL) == slots.STATES
    assert len(slots.ROWS) == slots.ENDED + 1
    # A booster's own set stands as the vehicle's does, so that one law serves both.
    for one, other, shift in (
        ("COLUMN_AREA", "BOOSTER_COLUMN_AREA", slots.BOOSTER_SET),
        ("DRY", "BOOSTER_DRY", slots.BOOSTER_SET),
        ("WATER", "BOOSTER_WATER", slots.BOOSTER_STATE),
        ("IMPULSE", "BOOSTER_IMPULSE", slots.BOOSTER_STATE),
    ):
        assert getattr(slots, other) - getattr(slots, one) == shift
    figures = between(slots, "TUBE_CLEAR_TIME", "HOLD_USE_TIME")
    assert [getattr(slots, name) for name in figures] == list(range(len(figures)))
    assert len(figures) == slots.RELEASED_TIME + slots.ITEM_FIGURES
    assert slots.FIGURE_COUNT == slots.RELEASED_TIME + slots.MOST_ITEMS * slots.ITEM_FIGURES
    assert slots.RECORD_ACCELERATION == slots.RECORD_STATE + slots.STATES
    assert slots.RECORD_COLUMNS == slots.RECORD_USE + slots.MOST_ITEMS
    assert slots.RECORD_USE == slots.RECORD_PRESSURE + 1


def test_what_a_phase_changes_of_the_parameters_is_kept_between_phases():
    """Memory is what `driver` writes back; an event must not change a row before it."""
    changed = {
        match
        for function in compiling.reached(fly_phase)
        if function.__module__.endswith((".events", ".happenings", ".departure"))
        for match in re.findall(r"p\[([A-Z_]+) [^\]]*\] [-+]?= ", inspect.getsource(function))
    }
    assert {"ON_GUIDE", "START_AT", "ITEM_ATTACHED"} <= changed
    assert {name for name in changed if getattr(slots, name) < slots.MEMORY_FIRST} == set()
