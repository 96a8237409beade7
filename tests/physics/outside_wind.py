"""Mean wind and turbulence beside what the standards give."""

from __future__ import annotations

from math import pi

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.physics.gust_spectrum import (
    along_gust_spectrum,
    gust_autocorrelation,
    gust_corner,
)
from loftwright.physics.turbulence import (
    FOOT,
    KNOT,
    design_turbulence,
    exposure_coefficient,
    horizontal_turbulence,
    horizontal_turbulence_length,
    landing_shear,
    power_law_wind_speed,
    turbulence_scale,
    vertical_turbulence,
    vertical_turbulence_spectrum,
)
from loftwright.physics.wind import log_wind_speed

MODEL = "Wind"
IEC = "IEC 61400-1, sections 6.3.1 and 6.3.2"
MIL = "MIL-F-8785C (1980), section 3.7.3"


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


for speed, values in ((10.0, (2.096, 1.834, 1.572)), (15.0, (2.696, 2.359, 2.022))):
    for intensity, deviation in zip((0.16, 0.14, 0.12), values, strict=True):
        check(
            "gustiness for design, m/s",
            f"{speed:g} m/s, intensity {intensity}",
            deviation,
            lambda v=speed, i=intensity: design_turbulence(v, i),
            absolute(1e-6),
            IEC,
        )

for height, scale in ((30.0, 21.0), (60.0, 42.0), (100.0, 42.0)):
    check(
        "length scale of turbulence, m",
        f"{height:g} m",
        scale,
        lambda h=height: turbulence_scale(h),
        absolute(1e-9),
        IEC,
        READ,
    )

for height, exponent, ratio in (
    (50.0, 0.14, 1.252725),
    (100.0, 1.0 / 7.0, 1.389495),
    (100.0, 0.2, 1.584893),
    (100.0, 0.11, 1.288250),
):
    check(
        "wind over wind at 10 m, power law",
        f"{height:g} m, exponent {exponent:.4g}",
        ratio,
        lambda h=height, a=exponent: power_law_wind_speed(h, 1.0, 10.0, a),
        absolute(1e-6),
        IEC,
    )

for feet, gradient, exponent, coefficient in (
    (30, 1200, 7.0, 0.7006),
    (30, 900, 9.5, 0.9823),
    (30, 700, 11.5, 1.1622),
    (15, 900, 9.5, 0.8489),
    (50, 900, 9.5, 1.0938),
    (100, 900, 9.5, 1.2656),
):
    check(
        "exposure coefficient",
        f"{feet} ft, gradient height {gradient} ft, exponent {exponent:g}",
        coefficient,
        lambda z=feet, g=gradient, a=exponent: exposure_coefficient(z * FOOT, g * FOOT, a),
        absolute(1e-3),
        "ASCE/SEI 7-05, table 6-3",
    )

for roughness, ratio in ((0.03, 1.277053), (0.1, 1.349485), (0.4, 1.5), (1.0, 1.698970)):
    check(
        "wind at 50 m over wind at 10 m, logarithmic",
        f"roughness length {roughness:g} m",
        ratio,
        lambda z=roughness: log_wind_speed(50.0, 1.0, 10.0, z),
        absolute(1e-6),
        "Logarithmic profile, IEC 61400-1, section 6.3.2",
    )

for roughness, ratio in ((0.15, 1.328937), (2.0, 1.698970)):
    check(
        "wind at 100 ft over wind at 20 ft",
        f"roughness length {roughness:g} ft",
        ratio,
        lambda z=roughness: landing_shear(100.0 * FOOT, 1.0, z * FOOT),
        absolute(1e-6),
        MIL,
        MEMORY,
    )

for feet, knots, length, vertical, horizontal in (
    (50, 15, 310.788, 2.53172, 4.65493),
    (200, 15, 725.786, 2.53172, 3.89052),
    (500, 30, 944.657, 5.06343, 6.25959),
    (1000, 30, 1000.000, 5.06343, 5.06343),
):
    place = f"{feet} ft, {knots} kt at 20 ft"
    height, wind = feet * FOOT, knots * KNOT
    for name, expected, ours in (
        (
            "length scale of horizontal turbulence, ft",
            length,
            lambda h=height: horizontal_turbulence_length(h) / FOOT,
        ),
        ("vertical turbulence, ft/s", vertical, lambda w=wind: vertical_turbulence(w) / FOOT),
        (
            "horizontal turbulence, ft/s",
            horizontal,
            lambda h=height, w=wind: horizontal_turbulence(h, w) / FOOT,
        ),
    ):
        check(name, place, expected, ours, relative(1e-4), MIL, MEMORY)

# The two figures of a shaping filter: its corner, and how much of one sample is in the next.
LENGTH_AT_100_FEET = horizontal_turbulence_length(100.0 * FOOT)
for name, expected, ours, tolerance in (
    (
        "corner of gusts along the wind, rad/s",
        0.0649453,
        lambda: gust_corner(10.0, LENGTH_AT_100_FEET),
        1e-6,
    ),
    (
        "correlation of gusts 0.01 s apart",
        0.99935076,
        lambda: gust_autocorrelation(0.01, 10.0, LENGTH_AT_100_FEET),
        1e-8,
    ),
):
    check(name, "10 m/s at 100 ft", expected, ours, absolute(tolerance), MIL)

for name, law, length, expected in (
    ("at 0", along_gust_spectrum, 100.0, 200.0 / pi),
    ("at the corner", along_gust_spectrum, 100.0, 100.0 / pi),
    ("at 0", vertical_turbulence_spectrum, 30.0, 30.0 / pi),
    ("at the corner", vertical_turbulence_spectrum, 30.0, 30.0 / pi),
):
    way = "along the wind" if law is along_gust_spectrum else "upright"
    check(
        f"spectrum of gusts {way}, m³/(s² rad)",
        f"{name}, length {length:g} m, deviation 1 m/s",
        expected,
        lambda f=law, n=length, at=0.0 if name == "at 0" else 1.0 / length: f(at, 1.0, n),
        relative(1e-12),
        "MIL-F-8785C (1980), section 3.7.1.2",
        READ if law is vertical_turbulence_spectrum else MEMORY,
    )
