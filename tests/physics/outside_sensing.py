"""Barometers, their bays and their filters beside published and independently computed values."""

from __future__ import annotations

from math import pi

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.physics.barometer import (
    height_per_pascal,
    port_excess,
    port_height_error,
    step_noise,
)
from loftwright.physics.bay_vent import vent_excess, vent_ratio
from loftwright.physics.pressure_leak import (
    choked_flow,
    heated_rise,
    leak_excess,
    two_path_error,
)
from loftwright.physics.sensor_lag import (
    filter_noise_gain,
    filter_ramp_lag,
    filter_response_time,
    tube_lag,
)
from loftwright.physics.standard_atmosphere import standard_density

MODEL = "Barometric sensing"
FILTER = "Variance and ramp response of the recursion y += (x - y) / c"
ATMOSPHERE = "ISO 2533:1975, hydrostatic balance"
SHEET = "Bosch Sensortec, data sheet BST-BMP280-DS001 (2018)"
PORT = "Definition of the pressure coefficient"
TUBE = "Poiseuille's law as in W. Gracey, NASA RP-1046 (1980); form from memory"
VENT = "Quasi-steady orifice, after the approach of NASA SP-8060, Compartment Venting (1970)"
SEA_LEVEL = 1.225


def check(quantity, inputs, expected, ours, tolerance, source, standing=COMPUTED):
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


def holes(count: int, diameter: float) -> float:
    return count * pi * diameter**2 / 4.0


for c, gain in ((2.0, 0.57735), (4.0, 0.37796), (8.0, 0.25820), (16.0, 0.17961)):
    check(
        "noise gain of a first-order filter",
        f"coefficient {c:g}",
        gain,
        lambda c=c: filter_noise_gain(c),
        absolute(1e-5),
        FILTER,
    )
    check(
        "lag of a first-order filter behind a ramp, values",
        f"coefficient {c:g}",
        c - 1.0,
        lambda c=c: filter_ramp_lag(c),
        absolute(1e-12),
        FILTER,
    )

check(
    "response time with filter, s",
    "11 values at 13.51 Hz",
    0.814,
    lambda: filter_response_time(11.0, 13.51),
    absolute(1e-3),
    SHEET,
    READ,
)
check(
    "height of 0.12 hPa, m",
    "relative accuracy, said to be 1 m",
    1.0,
    lambda: 12.0 * height_per_pascal(SEA_LEVEL),
    relative(0.05),
    SHEET,
    READ,
)
check(
    "height of the drift of 1.5 Pa/K, m/K",
    "said to be 12.6 cm",
    0.126,
    lambda: 1.5 * height_per_pascal(SEA_LEVEL),
    relative(0.05),
    SHEET,
    READ,
)

for height, metres in ((0.0, 0.083242), (1000.0, 0.091731), (2000.0, 0.101314)):
    check(
        "height of one pascal, m",
        f"standard air at {height:g} m",
        metres,
        lambda h=height: height_per_pascal(standard_density(h)),
        relative(1e-5),
        ATMOSPHERE,
    )

for step, noise in ((1.0, 0.02403), (2.62, 0.06296), (10.0, 0.24030)):
    check(
        "noise of reading in steps, m",
        f"steps of {step:g} Pa",
        noise,
        lambda q=step: step_noise(q) * height_per_pascal(SEA_LEVEL),
        relative(5e-4),
        "Standard deviation of a uniform distribution, q / sqrt(12)",
    )

for speed, coefficient, low in (
    (50.0, 0.02, 2.549),
    (50.0, 0.05, 6.373),
    (50.0, 0.10, 12.747),
    (20.0, 0.02, 0.408),
    (20.0, 0.05, 1.020),
    (20.0, 0.10, 2.039),
):
    place = f"coefficient {coefficient:g}, {speed:g} m/s"
    near = relative(1e-3)
    check(
        "height lost at a port, m",
        place,
        low,
        lambda c=coefficient, v=speed: port_height_error(c, v),
        near,
        PORT,
    )
    check(
        "height lost at a port by its pressure, m",
        place,
        low,
        lambda c=coefficient, v=speed: port_excess(c, SEA_LEVEL, v) * height_per_pascal(SEA_LEVEL),
        near,
        PORT,
    )

for length, diameter, volume, lag in (
    (0.10, 1e-3, 1e-6, 0.719e-3),
    (0.30, 1e-3, 5e-6, 10.791e-3),
    (0.02, 0.5e-3, 100e-6, 230.2e-3),
):
    check(
        "time constant of a tube, s",
        f"{length:g} m, {1e3 * diameter:g} mm, {1e6 * volume:g} cm³",
        lag,
        lambda length=length, d=diameter, v=volume: tube_lag(length, d, v, 101325.0, 1.789e-5),
        relative(1e-3),
        TUBE,
    )

for volume, count, diameter, climb, exponent, excess in (
    (200e-6, 1, 1e-3, 50.0, 1.0, 3.877),
    (200e-6, 4, 2e-3, 50.0, 1.0, 0.0151),
    (1000e-6, 1, 1e-3, 30.0, 1.0, 34.894),
    (200e-6, 1, 1e-3, 50.0, 1.4, 1.978),
    (200e-6, 4, 2e-3, 50.0, 1.4, 0.0077),
    (1000e-6, 1, 1e-3, 30.0, 1.4, 17.803),
):
    check(
        "excess in a vented bay, Pa",
        f"{1e6 * volume:g} cm³, {count} x {1e3 * diameter:g} mm, {climb:g} m/s, "
        f"exponent {exponent:g}",
        excess,
        lambda v=volume, n=count, d=diameter, w=climb, e=exponent: vent_excess(
            v, holes(n, d), 0.6, w, SEA_LEVEL, 288.15, e
        ),
        relative(0.01),
        VENT,
    )

for count, diameter, ratio in ((4, 2e-3, 15.9), (1, 1e-3, 254.6)):
    check(
        "volume over vent area, m",
        f"200 cm³, {count} x {1e3 * diameter:g} mm",
        ratio,
        lambda n=count, d=diameter: vent_ratio(200e-6, holes(n, d)),
        relative(5e-3),
        "Volume over area",
    )
check(
    "excess at the venting rule's limit, Pa",
    "volume over area 50.8 m, 50 m/s",
    0.154,
    lambda: vent_excess(50.8e-6, 1e-6, 0.6, 50.0, SEA_LEVEL, 288.15),
    relative(0.01),
    "Rule of 2000 in for compartments of launch vehicles",
    MEMORY,
)

for diameter, flow, vents, vented, excess in (
    (0.1e-3, 1.0471e-5, "4 x 2 mm", holes(4, 2e-3), 0.787),
    (0.2e-3, None, "4 x 2 mm", holes(4, 2e-3), 12.596),
    (0.5e-3, None, "4 x 2 mm", holes(4, 2e-3), 492.05),
    (0.1e-3, None, "1 x 1 mm", holes(1, 1e-3), 201.5),
    (0.2e-3, None, "1 x 1 mm", holes(1, 1e-3), 3225.0),
):
    leak = f"{1e3 * diameter:g} mm leak from 7 bar, 288.15 K"

    def leaking(d=diameter):
        return choked_flow(holes(1, d), 0.8, 7e5, 288.15)

    if flow is not None:
        check("flow of a leak, kg/s", leak, flow, leaking, relative(1e-3), "Choked nozzle flow")
    check(
        "excess in a bay that is leaked into, Pa",
        f"{leak}, vents {vents}",
        excess,
        lambda a=vented, leaking=leaking: leak_excess(leaking(), a, 0.6, SEA_LEVEL),
        relative(0.01),
        "Choked nozzle flow against an orifice",
    )

check(
    "error of a line with two paths, Pa",
    "0.05 s and 50 s, 5000 Pa",
    4.995,
    lambda: two_path_error(0.05, 50.0, 5000.0),
    relative(1e-4),
    "W. Gracey, NASA RP-1046 (1980)",
    MEMORY,
)
check(
    "rise in a sealed bay, Pa/K",
    "101325 Pa, 288.15 K",
    351.64,
    lambda: heated_rise(101325.0, 288.15, 1.0),
    absolute(0.01),
    "Gay-Lussac's law",
)
check(
    "height lost in a sealed bay, m/K",
    "101325 Pa, 288.15 K",
    29.27,
    lambda: heated_rise(101325.0, 288.15, 1.0) * height_per_pascal(SEA_LEVEL),
    absolute(0.01),
    "Gay-Lussac's law with the hydrostatic balance",
)


def sampled_ramp_lag() -> float:
    """Lag of the compiled sensor's filter, in values."""
    from instruments.sensing import run

    ramp = [1e5 - 10.0 * n for n in range(120)]
    fine = {"RESOLUTION": 2.0**-6, "FINENESS": 2.0**6, "PORT_FLOW": 1e6}
    read = run([{"SHARE": 0.125, **fine}], ramp)["pressure"][-1, 0]
    return float(read - ramp[-1]) / 10.0


def sampled_noise_gain() -> float:
    """Noise of the compiled sensor behind its filter over that before it."""
    import numpy as np
    from instruments.sensing import LANES, run

    noise = np.zeros((4000, 3))
    noise[:, 0] = np.random.default_rng(3).standard_normal(4000)
    fine = {"RESOLUTION": 2.0**-6, "FINENESS": 2.0**6}
    case = {"SHARE": 0.25, "NOISE": 20.0, **fine}
    read = run([case] * LANES, np.full(4000, 1e5), noise=noise)["pressure"][100:, 0]
    return float(read.std() / (20.0 * noise[100:, 0].std()))


check(
    "lag of the sampled sensor behind a ramp, values",
    "coefficient 8",
    7.0,
    sampled_ramp_lag,
    absolute(0.02),
    FILTER,
)
check(
    "noise gain of the sampled sensor",
    "coefficient 4, 3900 values",
    0.37796,
    sampled_noise_gain,
    relative(0.05),
    FILTER,
)
