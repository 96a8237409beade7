"""Rotation and simple flights beside closed forms and independent integrations."""

from __future__ import annotations

from functools import cache
from math import atan2, cos, degrees, pi, radians, sin, sqrt

from fluids.atmosphere import ATMOSPHERE_1976
from numpy import linspace
from outside import COMPUTED, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp
from scipy.special import ellipj, ellipkinc

from loftwright.physics.ballistics import (
    canopy_drift,
    fall_time,
    impact_speed,
    rise_height,
    rise_time,
    stopwatch_height,
    terminal_speed_of,
    vacuum_range,
)
from loftwright.physics.rotation import euler_rates, euler_rates_principal, rotate_to_ground
from loftwright.physics.rotation import quaternion_rates as attitude_rates
from loftwright.physics.spin import (
    body_nutation_rate,
    free_precession_rate,
    top_precession_rates,
    weathercock_rate,
)

ROTATION, FLIGHTS = "Rigid-body rotation", "Closed-form flights"
LANDAU = "L. D. Landau and E. M. Lifshitz, Mechanics, section 37 (Jacobi's elliptic functions)"
NESC = "NASA/TM-2015-218675, check case of the tumbling brick (inertias), integrated independently"


def check(model, quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
    register(
        OutsideCheck(
            model=model,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


# ---------------------------------------------------------------- tumbling brick

INERTIAS = (0.001894220, 0.006211019, 0.007194665)  # slug ft2; rates do not care for the unit
FIRST = tuple(radians(rate) for rate in (10.0, 20.0, 30.0))
AXES = ("p", "q", "r")
FREE = "brick, 10, 20, 30 °/s at the start, no moments"


@cache
def free_brick():
    def rates(_, y):
        return euler_rates_principal(*y, *INERTIAS, 0.0, 0.0, 0.0)

    return solve_ivp(
        rates, (0, 30), FIRST, method="DOP853", rtol=1e-12, atol=1e-14, dense_output=True
    )


for seconds, *row in (
    (5, -16.939485, 9.631939, 33.406628),
    (10, -2.418902, -23.552570, 28.128593),
    (15, 18.437254, 2.386880, 34.310706),
    (20, -5.422735, 22.715931, 28.608282),
    (25, -15.184089, -13.617800, 32.416796),
    (30, 12.618391, -17.397475, 31.119589),
):
    for axis, expected in enumerate(row):
        check(
            ROTATION,
            f"rate {AXES[axis]} of the free brick after {seconds} s, °/s",
            FREE,
            expected,
            lambda t=seconds, a=axis: degrees(free_brick().sol(t)[a]),
            absolute(1e-4),
            NESC,
        )


def jacobi(t):
    """Closed form of the free brick: rates in rad/s, for motion about the third axis."""
    i1, i2, i3 = INERTIAS
    twice_energy = sum(i * w * w for i, w in zip(INERTIAS, FIRST, strict=True))
    momentum = sum((i * w) ** 2 for i, w in zip(INERTIAS, FIRST, strict=True))
    amplitudes = (
        sqrt((twice_energy * i3 - momentum) / (i1 * (i3 - i1))),
        sqrt((twice_energy * i3 - momentum) / (i2 * (i3 - i2))),
        sqrt((momentum - twice_energy * i1) / (i3 * (i3 - i1))),
    )
    pace = sqrt((i3 - i2) * (momentum - twice_energy * i1) / (i1 * i2 * i3))
    parameter = (
        (i2 - i1) * (twice_energy * i3 - momentum) / ((i3 - i2) * (momentum - twice_energy * i1))
    )
    phase = atan2(FIRST[1] / amplitudes[1], FIRST[0] / amplitudes[0])
    sn, cn, dn, _ = ellipj(pace * t + ellipkinc(phase, parameter), parameter)
    return amplitudes, pace, parameter, (amplitudes[0] * cn, amplitudes[1] * sn, amplitudes[2] * dn)


for seconds in (5, 30):
    for axis in range(3):
        check(
            ROTATION,
            f"rate {AXES[axis]} of the free brick after {seconds} s by Jacobi's functions, °/s",
            FREE,
            degrees(jacobi(seconds)[3][axis]),
            lambda t=seconds, a=axis: degrees(free_brick().sol(t)[a]),
            absolute(1e-7),
            LANDAU,
        )


@cache
def period():
    """Time after which the brick's rates repeat, from zero crossings of p upward."""

    def upward(_, y):
        return y[0]

    upward.direction = 1

    def rates(_, y):
        return euler_rates_principal(*y, *INERTIAS, 0.0, 0.0, 0.0)

    run = solve_ivp(rates, (0, 40), FIRST, method="DOP853", rtol=1e-12, atol=1e-14, events=upward)
    return run.t_events[0][1] - run.t_events[0][0]


check(ROTATION, "period of the free brick, s", FREE, 17.384489, period, absolute(1e-5), LANDAU)
for axis, amplitude in enumerate((18.531030, 23.755824, 34.369028)):
    check(
        ROTATION,
        f"largest rate {AXES[axis]} of the free brick, °/s",
        FREE,
        amplitude,
        lambda a=axis: degrees(free_brick().sol(linspace(0, period(), 20001))[a].max()),
        absolute(1e-4),
        LANDAU,
    )


def energy_and_momentum(rates):
    energy = sum(i * w * w for i, w in zip(INERTIAS, rates, strict=True))
    return energy, sqrt(sum((i * w) ** 2 for i, w in zip(INERTIAS, rates, strict=True)))


for index, (name, expected) in enumerate(
    (
        ("twice the energy of the free brick after 30 s, slug ft²/s²", 2.7869533334e-3),
        ("angular momentum of the free brick after 30 s, slug ft²/s", 4.3590063230e-3),
    )
):
    check(
        ROTATION,
        name,
        FREE,
        expected,
        lambda i=index: energy_and_momentum(free_brick().sol(30.0))[i],
        relative(1e-8),
        LANDAU,
    )

FOOT, SLUG_PER_FT3 = 0.3048, 515.378818
AREA, SPAN, CHORD = 0.22222, 1.0 / 3.0, 2.0 / 3.0
EARTH_RADIUS, EARTH_MU = 20902255.199, 1.4076539e16  # ft, ft3/s2: round earth


@cache
def damped_brick():
    """Tumble while falling from 30 000 ft over a round earth without drag, damping of -1."""

    def rates(_, y):
        p, q, r, speed, height = y
        density = ATMOSPHERE_1976(height * FOOT).rho / SLUG_PER_FT3
        gravity = EARTH_MU / (EARTH_RADIUS + height) ** 2
        push = 0.25 * density * speed * AREA  # dynamic pressure over twice the airspeed
        moments = (-push * SPAN**2 * p, -push * CHORD**2 * q, -push * SPAN**2 * r)
        return (*euler_rates_principal(p, q, r, *INERTIAS, *moments), gravity, -speed)

    return solve_ivp(
        rates, (0, 20), (*FIRST, 0.0, 30000.0), rtol=1e-9, atol=1e-12, dense_output=True
    )


for seconds, *row in (
    (1, 4.104256, 21.844745, 28.070605),
    (2, -1.178611, 18.886331, 26.761893),
    (5, -4.111151, 3.174209, 21.692283),
    (10, -0.117283, -0.044540, 8.378675),
    (15, -0.000179, -0.000043, 1.549886),
    (20, 0.0, 0.0, 0.118073),
):
    for axis, expected in enumerate(row):
        check(
            ROTATION,
            f"rate {AXES[axis]} of the damped brick after {seconds} s, °/s",
            "brick falling from 30 000 ft over a round earth, damping -1 about each axis",
            expected,
            lambda t=seconds, a=axis: degrees(damped_brick().sol(t)[a]),
            absolute(max(1e-4, 0.01 * abs(expected))),
            NESC,
        )

# ---------------------------------------------------------------- spinning bodies


@cache
def coning(cone_angle):
    """Integrate a free symmetric body; return the two rates seen in its motion."""
    along, across, spin = 0.0008, 0.0125, 20.0
    sideways = along * spin * sin(cone_angle) / cos(cone_angle) / across

    def rates(_, y):
        return (
            *attitude_rates(*y[:4], *y[4:]),
            *euler_rates(*y[4:], along, across, 0.0, 0.0, 0.0),
        )

    # Angular momentum along the ground's first axis, the body's axis tilted from it.
    start = (cos(cone_angle / 2), 0.0, 0.0, sin(cone_angle / 2), spin, -sideways, 0.0)
    run = solve_ivp(rates, (0, 0.1), start, method="DOP853", rtol=1e-12, atol=1e-14)
    axis = rotate_to_ground(*run.y[:4, -1], 1.0, 0.0, 0.0)
    around = atan2(axis[2], axis[1]) / 0.1
    turned = (atan2(run.y[6, -1], run.y[5, -1]) - atan2(0.0, -sideways)) % (2 * pi) - 2 * pi
    return around, turned / 0.1


SPINNER = "0.0008 and 0.0125 kg m², 20 rad/s, cone 5°"
GYRO = "L. D. Landau and E. M. Lifshitz, Mechanics, sections 33 and 36"
for name, expected, ours in (
    (
        "precession of a free body, rad/s",
        1.284889,
        lambda: free_precession_rate(0.0008, 0.0125, 20.0, radians(5.0)),
    ),
    ("precession of a free body, integrated, rad/s", 1.284889, lambda: coning(radians(5.0))[0]),
    (
        "its turn in body axes, rad/s",
        -18.720000,
        lambda: body_nutation_rate(0.0008, 0.0125, 20.0),
    ),
    ("its turn in body axes, integrated, rad/s", -18.720000, lambda: coning(radians(5.0))[1]),
):
    check(ROTATION, name, SPINNER, expected, ours, absolute(1e-6), GYRO)

TOP = "0.0005 and 0.0004 kg m², 0.2 kg at 0.05 m, 300 rad/s, 30°"
for index, (name, expected) in enumerate((("slow", 0.654767), ("fast", 432.357935))):
    check(
        ROTATION,
        f"{name} precession of a heavy top, rad/s",
        TOP,
        expected,
        lambda i=index: top_precession_rates(
            5e-4, 4e-4, 0.2 * 9.80665 * 0.05, 300.0, radians(30.0)
        )[i],
        absolute(1e-6),
        "H. Goldstein, Classical Mechanics, section 5-7",
    )


def swing():
    return weathercock_rate(0.5 * 1.225 * 40.0**2, pi / 4 * 0.108**2, 10.0, 0.20, 0.0125)


VANE = "980 Pa, 0.108 m, slope 10, margin 0.20 m, 0.0125 kg m²"
OSCILLATOR = "Harmonic oscillator"
check(ROTATION, "swing about the wind, rad/s", VANE, 37.900220, swing, absolute(1e-6), OSCILLATOR)
check(
    ROTATION,
    "swing about the wind, Hz",
    VANE,
    6.032007,
    lambda: swing() / (2 * pi),
    absolute(1e-6),
    OSCILLATOR,
)

# ---------------------------------------------------------------- shots with drag

SHOT = "0.150 kg, C_D A 0.0030 m², 1.225 kg/m³, 50 m/s upward"
QUADRATIC = "Vertical motion with quadratic drag in closed form"
MILLIONTH = relative(1e-6)


def slow() -> float:
    return terminal_speed_of(0.150, 1.225, 0.0030)


for name, expected, ours in (
    ("terminal speed, m/s", 28.293866, slow),
    ("height, m", 57.818456, lambda: rise_height(50.0, slow())),
    ("time up, s", 3.046294, lambda: rise_time(50.0, slow())),
    ("time down, s", 3.849926, lambda: fall_time(rise_height(50.0, slow()), slow())),
    ("speed on return, m/s", 24.624624, lambda: impact_speed(50.0, slow())),
):
    check(FLIGHTS, name, SHOT, expected, ours, MILLIONTH, QUADRATIC)


@cache
def shot(ratio):
    speed = 20.0
    height = rise_height(ratio * speed, speed)
    up = rise_time(ratio * speed, speed)
    total = up + fall_time(height, speed)
    return height / stopwatch_height(total), up / total


for ratio, height_share, time_share in (
    (0.25, 0.99998, 0.49747),
    (0.5, 0.99979, 0.49071),
    (1.0, 0.99801, 0.47121),
    (2.0, 0.98943, 0.43404),
    (3.0, 0.97883, 0.40719),
    (4.0, 0.96862, 0.38761),
):
    inputs = f"{ratio:g} times the terminal speed"
    check(
        FLIGHTS,
        "height over the stopwatch's",
        inputs,
        height_share,
        lambda r=ratio: shot(r)[0],
        absolute(6e-6),
        QUADRATIC,
    )
    check(
        FLIGHTS,
        "time up over time in all",
        inputs,
        time_share,
        lambda r=ratio: shot(r)[1],
        absolute(6e-6),
        QUADRATIC,
    )

for height, sink, wind, drift in (
    (100.0, 5.0, 5.0, 100.0),
    (100.0, 5.0, 8.0, 160.0),
    (60.0, 4.5, 3.0, 40.0),
):
    check(
        FLIGHTS,
        "drift under a canopy, m",
        f"{height:g} m, {sink:g} m/s down, wind {wind:g} m/s",
        drift,
        lambda h=height, s=sink, w=wind: canopy_drift(h, s, w),
        MILLIONTH,
        "Kinematics of a steady descent",
    )
for speed, distance, height in ((30.0, 91.774, 45.887), (50.0, 254.929, 127.465)):
    check(
        FLIGHTS,
        "range without air at 45°, m",
        f"{speed:g} m/s",
        distance,
        lambda v=speed: vacuum_range(v, pi / 4),
        absolute(6e-4),
        "Galileo's parabola",
    )
    check(
        FLIGHTS,
        "height without air, m",
        f"{speed:g} m/s upward, terminal speed 1e5 m/s",
        height,
        lambda v=speed: rise_height(v, 1e5),
        absolute(6e-4),
        "Galileo's parabola",
    )
