"""Isentropic flow, choked throats and vessels that empty, beside NACA Report 1135."""

from __future__ import annotations

from functools import cache
from math import pi, sqrt

from outside import COMPUTED, READ, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp

from loftwright.physics.air_jet import air_jet
from loftwright.physics.blowdown import (
    adiabatic_pressure,
    adiabatic_temperature,
    adiabatic_unchoke_time,
    blowdown_time_constant,
    isothermal_pressure,
    isothermal_unchoke_time,
    unchoke_pressure,
)
from loftwright.physics.nozzle import (
    area_ratio,
    choked_flow_factor,
    choked_vacuum_thrust_factor,
    critical_density_ratio,
    critical_pressure_ratio,
    critical_temperature_ratio,
    density_ratio,
    pressure_ratio,
    temperature_ratio,
)

MODEL = "Air jet and blowdown"
NACA = "NACA Report 1135 (1953), isentropic relations"
DERIVED = (
    "Choked blowdown in closed form, G. Bar-Meir, Fundamentals of Compressible Fluid Mechanics"
)


def check(quantity, inputs, expected, ours, tolerance, source=NACA, standing=COMPUTED):
    register(
        OutsideCheck(
            model=MODEL,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- choked throat

CRITICAL = (
    ("critical pressure ratio", critical_pressure_ratio),
    ("critical temperature ratio", critical_temperature_ratio),
    ("critical density ratio", critical_density_ratio),
    ("choked flow factor", choked_flow_factor),
    ("vacuum thrust factor, convergent", choked_vacuum_thrust_factor),
)
for name, gamma, values in (
    ("1.4", 1.4, (0.528282, 0.833333, 0.633938, 0.684731, 1.267876)),
    ("4/3", 4 / 3, (0.539775, 0.857143, 0.629738, 0.673218, 1.259475)),
    ("1.3", 1.3, (0.545728, 0.869565, 0.627587, 0.667262, 1.255174)),
    ("1.2", 1.2, (0.564474, 0.909091, 0.620921, 0.648531, 1.241843)),
):
    for (quantity, law), expected in zip(CRITICAL, values, strict=True):
        check(quantity, f"γ = {name}", expected, lambda f=law, g=gamma: f(g), absolute(6e-7))

# ---------------------------------------------------------------- isentropic table, gamma 1.4

RATIOS = (
    ("pressure over stagnation pressure", pressure_ratio),
    ("density over stagnation density", density_ratio),
    ("temperature over stagnation temperature", temperature_ratio),
    ("area over critical area", area_ratio),
)
for mach, *values in (
    (0.05, 0.99825, 0.99875, 0.99950, 11.59144),
    (0.10, 0.99303, 0.99502, 0.99800, 5.82183),
    (0.20, 0.97250, 0.98028, 0.99206, 2.96352),
    (0.30, 0.93947, 0.95638, 0.98232, 2.03507),
    (0.50, 0.84302, 0.88517, 0.95238, 1.33984),
    (0.60, 0.78400, 0.84045, 0.93284, 1.18820),
    (0.70, 0.72093, 0.79158, 0.91075, 1.09437),
    (0.80, 0.65602, 0.73999, 0.88652, 1.03823),
    (0.90, 0.59126, 0.68704, 0.86059, 1.00886),
    (1.00, 0.52828, 0.63394, 0.83333, 1.00000),
    (1.01, 0.52213, 0.62866, 0.83055, 1.00008),
):
    for (quantity, law), expected in zip(RATIOS, values, strict=True):
        check(
            quantity,
            f"Mach {mach:.2f}, γ = 1.4",
            expected,
            lambda f=law, m=mach: f(m, 1.4),
            absolute(5.1e-6),
        )

APPENDIX = "Printed isentropic table, appendix N of a fluid-mechanics text (coursepaper.com)"
DATA_BOOK = "Aeronautical Engineer's Data Book, p. 255"
for source, mach, printed in (
    (APPENDIX, 0.05, {pressure_ratio: 0.9983, area_ratio: 11.5914}),
    (APPENDIX, 0.10, {pressure_ratio: 0.9930, area_ratio: 5.8218}),
    (APPENDIX, 0.50, {pressure_ratio: 0.8430, area_ratio: 1.3398}),
    (APPENDIX, 0.60, {pressure_ratio: 0.7840, area_ratio: 1.1882}),
    (
        DATA_BOOK,
        0.90,
        {
            pressure_ratio: 0.5913,
            density_ratio: 0.6870,
            temperature_ratio: 0.8606,
            area_ratio: 1.0089,
        },
    ),
    (
        DATA_BOOK,
        1.00,
        {pressure_ratio: 0.5283, density_ratio: 0.6339, temperature_ratio: 0.8333},
    ),
    (DATA_BOOK, 1.01, {pressure_ratio: 0.5221}),
):
    for quantity, law in RATIOS:
        if law in printed:
            check(
                quantity + ", printed table",
                f"Mach {mach:.2f}, γ = 1.4",
                printed[law],
                lambda f=law, m=mach: f(m, 1.4),
                absolute(5.1e-5),
                source,
                READ,
            )

# ---------------------------------------------------------------- blowdown, case A

GAS_CONSTANT, WARM, OUTSIDE = 287.05, 288.15, 101325.0
START, VOLUME, THROAT = 601325.0, 2e-3, pi / 4 * 9e-3**2
CASE_A = "2 L, 6.01325 bar absolute, 288.15 K, 9 mm, R 287.05"
PER_MILLE = relative(1e-3)


@cache
def constant_a() -> float:
    return blowdown_time_constant(VOLUME, THROAT, GAS_CONSTANT, WARM, 1.4)


check("time constant, s", CASE_A, 0.1596418, constant_a, PER_MILLE, DERIVED)
for milliseconds, adiabatic, temperature, isothermal in (
    (1, 596077.9, 287.429, 597570.1),
    (5, 575606.4, 284.574, 582783.3),
    (10, 551137.3, 281.064, 564813.4),
    (20, 505680.1, 274.235, 530518.7),
):
    moment = f"{CASE_A}, after {milliseconds} ms"
    seconds = milliseconds / 1000.0
    check(
        "pressure, insulated, Pa",
        moment,
        adiabatic,
        lambda t=seconds: adiabatic_pressure(START, t, constant_a(), 1.4),
        PER_MILLE,
        DERIVED,
    )
    check(
        "temperature, insulated, K",
        moment,
        temperature,
        lambda t=seconds: adiabatic_temperature(WARM, t, constant_a(), 1.4),
        PER_MILLE,
        DERIVED,
    )
    check(
        "pressure, kept warm, Pa",
        moment,
        isothermal,
        lambda t=seconds: isothermal_pressure(START, t, constant_a()),
        PER_MILLE,
        DERIVED,
    )
check(
    "pressure at the end of choking, Pa",
    CASE_A,
    191801.0,
    lambda: unchoke_pressure(OUTSIDE, 1.4),
    PER_MILLE,
    DERIVED,
)
check(
    "time to the end of choking, insulated, s",
    CASE_A,
    0.1415374,
    lambda: adiabatic_unchoke_time(START, OUTSIDE, constant_a(), 1.4),
    PER_MILLE,
    DERIVED,
)
check(
    "time to the end of choking, kept warm, s",
    CASE_A,
    0.1824190,
    lambda: isothermal_unchoke_time(START, OUTSIDE, constant_a(), 1.4),
    PER_MILLE,
    DERIVED,
)


@cache
def emptied(start, temperature, volume, flow_area, gas_constant, outside):
    """Integrate the jet law: (time choked, time in all, impulse, first and last mass, last T).

    The vessel's gas expands as an insulated perfect gas; the run ends a millionth above the
    pressure outside, which it nears without ever meeting it.
    """
    full = start * volume / (gas_constant * temperature)

    def state(mass):
        cool = temperature * (mass / full) ** 0.4
        return mass * gas_constant * cool / volume, cool

    def rates(_, y):
        flux, speed, throat = air_jet(*state(y[0]), outside, gas_constant)
        return -flux * flow_area, (flux * speed + throat - outside) * flow_area

    def unchoked(_, y):
        return state(y[0])[0] - outside / critical_pressure_ratio(1.4)

    def empty(_, y):
        return state(y[0])[0] - outside * (1 + 1e-6)

    empty.terminal = True
    run = solve_ivp(rates, (0.0, 1e4), (full, 0.0), rtol=1e-9, atol=1e-12, events=(unchoked, empty))
    mass, impulse = run.y_events[1][0]
    return run.t_events[0][0], run.t_events[1][0], impulse, full, mass, state(mass)[1]


def case_a():
    return emptied(START, WARM, VOLUME, THROAT, GAS_CONSTANT, OUTSIDE)


def case_a_start():
    return air_jet(START, WARM, OUTSIDE, GAS_CONSTANT)


INTEGRATED = DERIVED + "; subsonic tail integrated"
for quantity, expected, ours, tolerance in (
    ("first mass flow, kg/s", 0.091079, lambda: case_a_start()[0] * THROAT, PER_MILLE),
    (
        "first thrust, convergent nozzle, N",
        42.0561,
        lambda: (case_a_start()[0] * case_a_start()[1] + case_a_start()[2] - OUTSIDE) * THROAT,
        PER_MILLE,
    ),
    (
        "time to the end of choking, jet law integrated, s",
        0.1415374,
        lambda: case_a()[0],
        PER_MILLE,
    ),
    ("time of the subsonic tail, s", 0.1314125, lambda: case_a()[1] - case_a()[0], relative(5e-3)),
    ("time in all, s", 0.2729499, lambda: case_a()[1], relative(5e-3)),
    ("impulse of the air, N s", 3.54225, lambda: case_a()[2], PER_MILLE),
    ("mass at the start, g", 14.540, lambda: 1e3 * case_a()[3], PER_MILLE),
    ("mass at the end, g", 4.075, lambda: 1e3 * case_a()[4], PER_MILLE),
    (
        "temperature at the end of choking, K",
        207.889,
        lambda: adiabatic_temperature(WARM, case_a()[0], constant_a(), 1.4),
        PER_MILLE,
    ),
):
    check(quantity, CASE_A, expected, ours, tolerance, INTEGRATED)

# ---------------------------------------------------------------- blowdown, case B

CASE_B = "0.85 m³ tank, 600 kPa absolute, 293 K, 10 mm hole, R 286.5, outside 100 kPa"
TANK = (600e3, 293.0, 0.85, pi / 4 * 10e-3**2, 286.5, 100e3)
EXERCISE = "Published tank-emptying exercise (inputs), answers by the choked closed form"


def constant_b() -> float:
    return blowdown_time_constant(0.85, TANK[3], 286.5, 293.0, 1.4)


def case_b():
    return emptied(*TANK)


for quantity, expected, ours, tolerance in (
    ("mass at the start, kg", 6.07544, lambda: case_b()[3], PER_MILLE),
    (
        "first mass flow, kg/s",
        0.111369,
        lambda: air_jet(600e3, 293.0, 100e3, 286.5)[0] * TANK[3],
        PER_MILLE,
    ),
    ("pressure at the end of choking, Pa", 189292.9, lambda: unchoke_pressure(1e5, 1.4), PER_MILLE),
    (
        "time to the end of choking, insulated, s",
        48.869,
        lambda: adiabatic_unchoke_time(600e3, 1e5, constant_b(), 1.4),
        PER_MILLE,
    ),
    ("time of the subsonic tail, s", 44.927, lambda: case_b()[1] - case_b()[0], relative(5e-3)),
    ("time in all, s", 93.796, lambda: case_b()[1], relative(5e-3)),
    ("temperature at the end, K", 175.61, lambda: case_b()[5], PER_MILLE),
    (
        "time to the end of choking, kept warm, s",
        62.933,
        lambda: isothermal_unchoke_time(600e3, 1e5, constant_b(), 1.4),
        PER_MILLE,
    ),
):
    check(quantity, CASE_B, expected, ours, tolerance, EXERCISE)

check(
    "speed of sound in the vessel, m/s",
    CASE_A,
    340.2923,
    # A choked throat is at the speed of sound of its own temperature, 5/6 of the vessel's.
    lambda: case_a_start()[1] / sqrt(critical_temperature_ratio(1.4)),
    PER_MILLE,
)
