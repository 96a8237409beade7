"""The flight engine as gas leaves or swells: vessels that empty, and moist air."""

from __future__ import annotations

from functools import cache
from math import log, pi

import numpy as np
from flight.engine_rows import Floats, column, figure, fly, parameters, states, time_of
from outside import COMPUTED, OutsideCheck, absolute, register, relative
from scipy.interpolate import CubicSpline

from loftwright.flight.kernel import slots
from loftwright.physics.gas import saturation_vapour_pressure

STILL = 1e-12  # m/s2, in place of weight
WIDE = 1e9  # m2, a column so wide that it neither moves nor stands

# ---------------------------------------------------------------- a vessel that empties

BLOWDOWN = (
    "quasi-steady choked blowdown, e.g. G. Bar-Meir, Fundamentals of Compressible Fluid Mechanics, "
    "evacuating chambers; NACA Report 1135 (1953)"
)


@cache
def emptied(case: str, exponent: float) -> dict[str, float]:
    """Figures of a vessel that blows down through a hole."""
    gas_constant, volume, hole, warmth, inside, outside, choked_to, every = {
        "A": (287.05, 2e-3, 0.009, 288.15, 601325.0, 101325.0, 191801.0, 1e-4),
        "B": (286.5, 0.85, 0.010, 293.0, 600e3, 100e3, 189292.9, 1e-2),
    }[case]
    mass = inside * volume / (gas_constant * warmth)
    table = parameters(
        HELD=1.0,
        GRAVITY=STILL,
        PAD_PRESSURE=outside,
        VESSEL_VOLUME=volume,
        GAS_CONSTANT=gas_constant,
        THROAT_AREA=0.25 * pi * hole**2,
        EXPONENT=exponent,
    )
    raw = fly(
        table,
        states(GAS=mass, GAS_TEMPERATURE=warmth),
        tolerance=1e-9,
        recorded=1,
        capacity=100_000,
        intervals=(every, every),
    )
    tape = raw.tapes[0]["vehicle"]
    tape = tape[np.concatenate([[True], np.diff(time_of(tape)) > 1e-9])]
    clock = time_of(tape)
    pressure = CubicSpline(clock, tape[:, slots.RECORD_PRESSURE] + outside)
    heat = CubicSpline(clock, column(tape, "GAS_TEMPERATURE"))
    gas = CubicSpline(clock, column(tape, "GAS"))
    unchoked = float(pressure.solve(choked_to, extrapolate=False)[0])
    found = {
        "flow at first, kg/s": -float(gas(0.0, 1)),
        "thrust at first, N": float(tape[0, slots.RECORD_THRUST]),
        "time to un-choke, s": unchoked,
        "temperature at un-choke, K": float(heat(unchoked)),
        "subsonic tail, s": figure(raw, "AIR_OUT_TIME") - unchoked,
        "total time, s": figure(raw, "AIR_OUT_TIME"),
        "impulse, N s": figure(raw, "TOTAL_IMPULSE"),
        "initial mass, g": 1e3 * mass,
        "final mass, g": 1e3 * float(column(tape, "GAS")[-1]),
        "final temperature, K": float(column(tape, "GAS_TEMPERATURE")[-1]),
    }
    for moment in (1, 5, 10, 20):
        found[f"pressure at {moment} ms, Pa"] = float(pressure(moment / 1e3))
        found[f"temperature at {moment} ms, K"] = float(heat(moment / 1e3))
    return found


A_INPUTS = "2 L, 6.01325 bar, 288.15 K, 9 mm, into 1.01325 bar"
B_INPUTS = "0.85 m³, 600 kPa, 293 K, 10 mm, R 286.5, into 100 kPa"
for case, inputs, exponent, rows in (
    (
        "A",
        A_INPUTS,
        1.4,
        (
            ("flow at first, kg/s", 0.091079),
            ("thrust at first, N", 42.0561),
            ("pressure at 1 ms, Pa", 596077.9),
            ("pressure at 5 ms, Pa", 575606.4),
            ("pressure at 10 ms, Pa", 551137.3),
            ("pressure at 20 ms, Pa", 505680.1),
            ("temperature at 1 ms, K", 287.429),
            ("temperature at 5 ms, K", 284.574),
            ("temperature at 10 ms, K", 281.064),
            ("temperature at 20 ms, K", 274.235),
            ("time to un-choke, s", 0.1415374),
            ("temperature at un-choke, K", 207.889),
            ("subsonic tail, s", 0.1314125),
            ("total time, s", 0.2729499),
            ("impulse, N s", 3.54225),
            ("initial mass, g", 14.540),
            ("final mass, g", 4.075),
        ),
    ),
    (
        "A",
        A_INPUTS,
        1.0,
        (
            ("pressure at 1 ms, Pa", 597570.1),
            ("pressure at 5 ms, Pa", 582783.3),
            ("pressure at 10 ms, Pa", 564813.4),
            ("pressure at 20 ms, Pa", 530518.7),
            ("time to un-choke, s", 0.1824190),
        ),
    ),
    (
        "B",
        B_INPUTS,
        1.4,
        (
            ("flow at first, kg/s", 0.111369),
            ("initial mass, g", 6075.44),
            ("time to un-choke, s", 48.869),
            ("subsonic tail, s", 44.927),
            ("total time, s", 93.796),
            ("final temperature, K", 175.61),
        ),
    ),
    ("B", B_INPUTS, 1.0, (("time to un-choke, s", 62.933),)),
):
    gas_words = "insulated" if exponent == 1.4 else "isothermal"
    for quantity, expected in rows:
        tail = quantity in ("subsonic tail, s", "total time, s")
        register(
            OutsideCheck(
                model="Flight engine",
                quantity=f"blowdown: {quantity}",
                source=BLOWDOWN,
                inputs=f"{inputs}, {gas_words}",
                expected=expected,
                ours=lambda c=case, n=exponent, q=quantity: emptied(c, n)[q],
                tolerance=relative(5e-3 if tail else 1e-3),
                standing=COMPUTED,
            )
        )

# ---------------------------------------------------------------- moist air

MOIST_AIR = (
    "first law of saturated air without liquid heat; vapour pressure A. L. Buck, "
    "J. Appl. Meteorol. 20 (1981) 1527"
)
EXPONENTS = (
    # pressure kPa, then at 10, 20 and 30 °C: at first, mean to 1.7 times the volume
    (200, 1.2703, 1.3276, 1.2328, 1.2793, 1.2024, 1.2276),
    (300, 1.2987, 1.3508, 1.2620, 1.3149, 1.2287, 1.2677),
    (400, 1.3169, 1.3629, 1.2826, 1.3348, 1.2489, 1.2948),
    (500, 1.3296, 1.3702, 1.2978, 1.3472, 1.2648, 1.3133),
    (600, 1.3389, 1.3751, 1.3095, 1.3558, 1.2777, 1.3265),
    (900, 1.3562, 1.3833, 1.3327, 1.3702, 1.3048, 1.3498),
)
CASES = [(row[0], celsius) for row in EXPONENTS for celsius in (10, 20, 30)]
GROWTH = 1.7


@cache
def moist_firings() -> list[tuple[float, float]]:
    """Exponent at first, and mean, of firings whose gas swells to 1.7 times its volume."""
    pressure = 1e3 * np.array([case[0] for case in CASES])
    warmth = 273.15 + np.array([case[1] for case in CASES], dtype=float)
    vapour = np.array([saturation_vapour_pressure(each) for each in warmth])
    outside = 1e3  # far below what is left inside
    table = parameters(
        len(CASES),
        HELD=1.0,
        GRAVITY=STILL,
        COLUMN_AREA=WIDE,
        PAD_PRESSURE=outside,
        VESSEL_VOLUME=GROWTH * 1e-3,
        GAS_CONSTANT=287.05,
        MOIST=1.0,
    )
    start = states(
        len(CASES),
        WATER=(GROWTH - 1.0),
        GAS=(pressure - vapour) * 1e-3 / (287.05 * warmth),
        GAS_TEMPERATURE=warmth,
    )
    raw = fly(
        table, start, tolerance=1e-9, recorded=len(CASES), capacity=2000, intervals=(1e-3, 1e-3)
    )
    return [_exponents(tape, outside) for tape in (tapes["vehicle"] for tapes in raw.tapes)]


def _exponents(tape: Floats, outside: float) -> tuple[float, float]:
    tape = tape[tape[:, slots.RECORD_PHASE] == slots.WATER_PHASE]
    tape = tape[np.concatenate([[True], np.diff(time_of(tape)) > 1e-9])]
    pressure = np.log(tape[:, slots.RECORD_PRESSURE] + outside)
    volume = np.log(GROWTH * 1e-3 - column(tape, "WATER") / 1e3)
    at_first = -CubicSpline(volume, pressure)(volume[0], 1)
    return float(at_first), float((pressure[0] - pressure[-1]) / log(GROWTH))


for index, (pressure_kpa, celsius) in enumerate(CASES):
    row = next(row for row in EXPONENTS if row[0] == pressure_kpa)
    pair = (celsius // 10 - 1) * 2 + 1
    for position, quantity in ((0, "at first"), (1, "mean to 1.7 times the volume")):
        register(
            OutsideCheck(
                model="Flight engine",
                quantity=f"exponent of moist air in a firing, {quantity}, -",
                source=MOIST_AIR,
                inputs=f"{pressure_kpa} kPa, {celsius} °C",
                expected=row[pair + position],
                ours=lambda i=index, j=position: moist_firings()[i][j],
                tolerance=absolute(3e-3),
                standing=COMPUTED,
            )
        )
