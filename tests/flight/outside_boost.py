"""The flight engine on the stand and in a simple flight, beside closed forms and a course model."""

from __future__ import annotations

from functools import cache
from math import atan2, pi

import numpy as np
from flight.engine_rows import (
    PLAIN,
    Floats,
    column,
    figure,
    fly,
    parameters,
    states,
    thing,
)
from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register, relative

from loftwright.flight import engine
from loftwright.flight.kernel import slots
from loftwright.physics.rotation import quaternion_from_elevation_azimuth

STILL = 1e-12  # m/s2, in place of weight
WIDE = 1e9  # m2, a column so wide that it neither moves nor stands
AMBIENT = 101325.0
MOMENTS_ONLY = (1e3, 1e3)  # s between samples: none but those at events

# ---------------------------------------------------------------- the water phase

BERNOULLI = (
    "quasi-steady Bernoulli, e.g. G. A. Finney, Am. J. Phys. 68 (2000) 223; "
    "A. Prusa, SIAM Rev. 42 (2000) 719"
)
THROAT = 0.25 * pi * 0.0215**2
LIGHT_GAS = PLAIN["GAS_CONSTANT"]


def water_rows(
    *,
    count: int = 1,
    litres: float | Floats = 0.7,
    gauge: float | Floats = 5e5,
    **named: float | Floats,
) -> tuple[Floats, Floats]:
    """A 2 L bottle with a 21.5 mm throat, 0.7 L of water and 5 bar, unless said otherwise."""
    rows = {
        "GRAVITY": STILL,
        "COLUMN_AREA": WIDE,
        "ON_GUIDE": 1.0,
        "THROAT_AREA": THROAT,
        **named,
    }
    gas = (AMBIENT + gauge) * (2e-3 - litres / 1e3) / (LIGHT_GAS * 288.15)
    return (
        parameters(count, **rows),
        states(count, WATER=litres, GAS=gas),
    )


def water_phase(*, held: bool = True, **named: float) -> tuple[Floats, Floats, engine.Raw]:
    """Return the samples at the start and at the end of the water phase."""
    table, start = water_rows(HELD=1.0 if held else 0.0, **named)
    raw = fly(table, start, tolerance=1e-9, recorded=1, capacity=8, intervals=MOMENTS_ONLY)
    tape = raw.tapes[0]["vehicle"]
    out = np.flatnonzero(tape[:, slots.RECORD_PHASE] == slots.WATER_PHASE)[-1]
    return tape[0], tape[out], raw


@cache
def on_the_stand(changes: tuple[tuple[str, float], ...]) -> dict[str, float]:
    """Figures of a held water phase."""
    first, last, raw = water_phase(**dict(changes))
    water = slots.RECORD_STATE + slots.WATER // slots.LANES
    return {
        "F0": first[slots.RECORD_THRUST],
        "F_end": last[slots.RECORD_THRUST],
        "p_end": last[slots.RECORD_PRESSURE] + AMBIENT,
        "t": figure(raw, "WATER_OUT_TIME"),
        "I": last[slots.RECORD_STATE + slots.IMPULSE // slots.LANES],
        "expelled": first[water] - last[water],  # a litre a kilogram
    }


def speed_gained(**named: float) -> float:
    """Speed of a free vehicle when its water is out."""
    _, last, _ = water_phase(held=False, **named)
    return float(last[slots.RECORD_STATE + slots.V_UP // slots.LANES])


UNITS = {"F0": "N", "F_end": "N", "p_end": "Pa", "t": "s", "I": "N s", "expelled": "L"}
WORDS = {
    "F0": "thrust at first",
    "F_end": "thrust at the last water",
    "p_end": "pressure at the last water",
    "t": "time to the last water",
    "I": "impulse of the water",
    "expelled": "water expelled",
}
BOTTLE = "2 L, 0.7 L of water, 5 bar gauge, 21.5 mm"


def water_check(name: str, expected: float, inputs: str, **changes: float) -> None:
    """Declare one figure of a held water phase."""
    key = tuple(changes.items())
    register(
        OutsideCheck(
            model="Flight engine",
            quantity=f"{WORDS[name]}, engine on the stand, {UNITS[name]}",
            source=BERNOULLI,
            inputs=inputs,
            expected=expected,
            ours=lambda: on_the_stand(key)[name],
            tolerance=relative(5e-4),
            standing=COMPUTED,
        )
    )


for exponent, p_end, f_end, time, impulse, gained in (
    (1.00, 390861.2, 210.232, 0.070614, 19.23168, 45.9237),
    (1.10, 374381.1, 198.266, 0.071733, 18.95804, 45.0887),
    (1.25, 350954.6, 181.256, 0.073476, 18.55263, 43.8534),
    (1.40, 328994.0, 165.311, 0.075305, 18.15303, 42.6377),
):
    for name, expected in (
        ("F0", 363.050),
        ("p_end", p_end),
        ("F_end", f_end),
        ("t", time),
        ("I", impulse),
    ):
        water_check(name, expected, f"{BOTTLE}, exponent {exponent}", EXPONENT=exponent)
    register(
        OutsideCheck(
            model="Flight engine",
            quantity="speed gained by a free vehicle of 0.15 kg, engine, m/s",
            source=BERNOULLI,
            inputs=f"{BOTTLE}, exponent {exponent}",
            expected=gained,
            ours=lambda n=exponent: speed_gained(EXPONENT=n),
            tolerance=relative(5e-4),
            standing=COMPUTED,
        )
    )

NARROW = {"THROAT_AREA": 0.25 * pi * 0.009**2}
for name, expected in (
    ("F0", 63.6173),
    ("F_end", 28.9674),
    ("t", 0.429747),
    ("I", 18.15303),
):
    water_check(name, expected, "2 L, 0.7 L of water, 5 bar gauge, 9 mm", **NARROW)
for name, expected in (("F0", 344.898), ("t", 0.079268), ("I", 18.15303)):
    water_check(name, expected, f"{BOTTLE}, flow coefficient 0.95", FLOW_COEFFICIENT=0.95)
for name, expected in (("expelled", 0.365349), ("p_end", 101325.0), ("I", 3.53320)):
    water_check(name, expected, "2 L, 1.6 L of water, 1.5 bar gauge", litres=1.6, gauge=1.5e5)

for mass, expected in ((10.0, 17.5072), (100.0, 18.0857), (1000.0, 18.1463)):
    register(
        OutsideCheck(
            model="Flight engine",
            quantity="mass times speed gained by a heavy vehicle, engine, N s",
            source=BERNOULLI,
            inputs=f"{BOTTLE}, {mass:g} kg",
            expected=expected,
            ours=lambda m=mass: m * speed_gained(DRY_MASS=m),
            tolerance=relative(5e-4),
            standing=COMPUTED,
        )
    )


# What the column's inertia adds belongs to another closed form; the last drop stands so low that
# nothing but the approach velocity is left.
water_check(
    "F0",
    363.621,
    "5 bar gauge, 21.5 mm in a bottle of 108 mm, with approach velocity, the last drop",
    COLUMN_AREA=0.25 * pi * 0.108**2,
    litres=1e-6,
)

# ---------------------------------------------------------------- the best fill

SHARES = 0.4 + 0.15 * np.cos(np.pi * (np.arange(13) + 0.5) / 13)  # Chebyshev's nodes
BEST = (
    # gauge pressure Pa, dry mass kg, share of water, speed m/s
    (3e5, 0.10, 0.3351, 37.6650),
    (3e5, 0.15, 0.3586, 31.7536),
    (3e5, 0.30, 0.4000, 22.7043),
    (5e5, 0.10, 0.3659, 50.6846),
    (5e5, 0.15, 0.3915, 42.9022),
    (5e5, 0.30, 0.4366, 30.9198),
    (8e5, 0.10, 0.3863, 65.7314),
    (8e5, 0.15, 0.4131, 55.7722),
    (8e5, 0.30, 0.4606, 40.3852),
)


@cache
def best_fills() -> list[tuple[float, float]]:
    """Share of water that gains the most speed, and that speed, for each row of `BEST`."""
    gauge = np.repeat([row[0] for row in BEST], len(SHARES))
    mass = np.repeat([row[1] for row in BEST], len(SHARES))
    share = np.tile(SHARES, len(BEST))
    table, start = water_rows(count=len(share), litres=2.0 * share, gauge=gauge, DRY_MASS=mass)
    raw = fly(table, start, tolerance=1e-9, recorded=len(share), capacity=8, intervals=MOMENTS_ONLY)
    speeds = [_speed_at_water_out(tape) for tape in _vehicles(raw)]
    return [_top(np.array(each)) for each in np.split(np.array(speeds), len(BEST))]


def _vehicles(raw: engine.Raw) -> list[Floats]:
    return [tapes["vehicle"] for tapes in raw.tapes]


def _speed_at_water_out(tape: Floats) -> float:
    out = np.flatnonzero(tape[:, slots.RECORD_PHASE] == slots.WATER_PHASE)[-1]
    return float(column(tape, "V_UP")[out])


def _top(speeds: Floats) -> tuple[float, float]:
    curve = np.polynomial.Chebyshev.fit(SHARES, speeds, 12)
    fine = np.linspace(SHARES.min(), SHARES.max(), 30001)
    top = int(np.argmax(curve(fine)))
    return float(fine[top]), float(curve(fine[top]))


for index, (pressure, dry, best, fastest) in enumerate(BEST):
    for position, quantity, expected, tolerance in (
        (0, "best share of water, -", best, absolute(5e-4)),
        (1, "speed gained with the best share of water, m/s", fastest, absolute(0.01)),
    ):
        register(
            OutsideCheck(
                model="Flight engine",
                quantity=f"{quantity}",
                source=BERNOULLI,
                inputs=f"2 L, {pressure / 1e5:g} bar gauge, {dry:g} kg dry, exponent 1.4",
                expected=expected,
                ours=lambda i=index, j=position: best_fills()[i][j],
                tolerance=tolerance,
                standing=COMPUTED,
            )
        )

# ---------------------------------------------------------------- water, air and flight

COURSE = (
    "University of Colorado, ASEN 2012, project 2 handout (equations and constants read; "
    "the case's numbers from memory, its results computed from the handout's equations)"
)
PSI = 6894.757
COURSE_AMBIENT = 12.1 * PSI
START_HEIGHT, RAIL = 0.25, 0.5


SAMPLE, LEG = 1e-3, 5  # s between samples; samples before the nose is turned along the path


def _course_rows() -> Floats:
    """The course's air, nozzle and body, whose drag pulls back along the path.

    While it is pushed its nose lies along the path, and something carried has the drag; after that
    it may point anywhere, and a canopy that is open at once has it.
    """
    area = 0.5 * 0.25 * pi * 0.105**2
    return parameters(
        GRAVITY=9.81,
        PAD_PRESSURE=COURSE_AMBIENT,
        PAD_DENSITY=0.961,
        THROAT_AREA=0.25 * pi * 0.021**2,
        FLOW_COEFFICIENT=0.8,
        GAS_CONSTANT=287.0,
        COLUMN_AREA=WIDE,
        items=[thing(MASS=1e-12, DRAG=area)],
        CANOPY_AT=0.0,
        CANOPY_DRAG=area,
    )


def _heading(climb: float, turning: float = 0.0) -> dict[str, float]:
    parts = quaternion_from_elevation_azimuth(climb, pi / 2)
    return {**dict(zip(("Q0", "Q1", "Q2", "Q3"), parts, strict=True)), "PITCH_RATE": -turning}


def _along_the_path(sample: Floats) -> Floats:
    """State of a sample with its nose along its path, and turning as the path turns."""
    state = sample[slots.RECORD_STATE : slots.RECORD_STATE + slots.STATES].copy()
    east, up = state[slots.V_EAST // slots.LANES], state[slots.V_UP // slots.LANES]
    gained = sample[slots.RECORD_ACCELERATION : slots.RECORD_ACCELERATION + 3]
    turning = (east * gained[2] - up * gained[0]) / (east**2 + up**2)
    for name, value in _heading(atan2(up, east), turning).items():
        state[getattr(slots, name) // slots.LANES] = value
    return state[np.newaxis]


def _leg(start: Floats, every: float = SAMPLE) -> engine.Raw:
    return fly(
        _course_rows(), start, tolerance=1e-8, recorded=1, capacity=60_000, intervals=(every, 1e-2)
    )


def _rail() -> tuple[Floats, Floats]:
    """Tape of the start, and its sample at the rail's end.

    On the rail the course model keeps the nose's direction, but lets weight act in full.
    """
    gas = (50.0 * PSI + COURSE_AMBIENT) * 1e-3 / (287.0 * 300.0)
    start = states(UP=START_HEIGHT, WATER=1.0, GAS=gas, GAS_TEMPERATURE=300.0, **_heading(pi / 4))
    tape = _leg(start, 2e-5).tapes[0]["vehicle"]
    gone = np.hypot(column(tape, "EAST"), column(tape, "UP") - START_HEIGHT)
    end = int(np.argmax(gone > RAIL))
    share = (RAIL - gone[end - 1]) / (gone[end] - gone[end - 1])
    return tape, tape[end - 1] + share * (tape[end] - tape[end - 1])


@cache
def course_model() -> dict[str, float]:
    """Fly the course's case: a point whose thrust follows its path.

    A body's nose follows only as its fins turn it. So the flight is begun anew every few
    milliseconds with the nose along the path, until the push has ended.
    """
    tape, sample = _rail()
    found = {
        "peak thrust, N": float(tape[:, slots.RECORD_THRUST].max()),
        "initial mass of air, g": 1e3 * float(column(tape, "GAS")[0]),
    }
    clock, fastest = 0.0, 0.0
    while True:
        clock += float(sample[slots.RECORD_TIME])
        raw = _leg(_along_the_path(sample))
        tape = raw.tapes[0]["vehicle"]
        sample = tape[LEG]
        fastest = max(fastest, _fastest(tape[: LEG + 1]))
        if figure(raw, "WATER_OUT_TIME") <= sample[slots.RECORD_TIME]:
            found.setdefault("water out, s", clock + figure(raw, "WATER_OUT_TIME"))
            found.setdefault("pressure at water out, Pa", figure(raw, "WATER_OUT_PRESSURE"))
            found.setdefault("temperature at water out, K", figure(raw, "WATER_OUT_TEMPERATURE"))
        if figure(raw, "AIR_OUT_TIME") <= sample[slots.RECORD_TIME]:
            break
    return found | {
        "air out, s": clock + figure(raw, "AIR_OUT_TIME"),
        "impulse, N s": figure(raw, "TOTAL_IMPULSE"),
        "largest speed, m/s": fastest,
        "apogee, m": figure(raw, "APOGEE_HEIGHT"),
        "range, m": figure(raw, "DOWN_EAST"),
        "time of flight, s": clock + figure(raw, "DOWN_TIME"),
    }


def _fastest(tape: Floats) -> float:
    return float(np.hypot(column(tape, "V_EAST"), column(tape, "V_UP")).max())


for quantity, expected, size in (
    ("peak thrust, N", 191.046, 1e-3),
    ("water out, s", 0.205525, 2e-3),
    ("air out, s", 0.235278, 5e-3),
    ("pressure at water out, Pa", 162244.0, 1e-3),
    ("temperature at water out, K", 227.357, 1e-3),
    ("initial mass of air, g", 4.97287, 1e-4),
    ("impulse, N s", 18.7096, 3e-3),
    ("largest speed, m/s", 32.9831, 3e-3),
    ("apogee, m", 17.4145, 5e-3),
    ("range, m", 60.4263, 5e-3),
    ("time of flight, s", 3.84946, 5e-3),
):
    register(
        OutsideCheck(
            model="Flight engine",
            quantity=f"course model: {quantity}",
            source=COURSE,
            inputs="2 L, 1 L of water, 50 psi gauge, 300 K, 45° from a 0.5 m rail at 0.25 m",
            expected=expected,
            ours=lambda q=quantity: course_model()[q],
            tolerance=relative(size),
            standing=MEMORY,
        )
    )
