"""Places, chances and casualty areas beside published numbers."""

from __future__ import annotations

from functools import cache
from math import degrees, radians

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.flight.chance import wilson
from loftwright.physics.geodesy import (
    geocentric,
    geographic,
    ground_offset,
    meridian_radius,
    normal_radius,
)
from loftwright.physics.hazard import casualty_area

MODEL = "Ground"
WGS84 = "WGS84 ellipsoid, NGA.STND.0036"
LOCAL = "WGS84, level frame at 52.2°, 0.12°, 15 m"
NEWCOMBE = "R. G. Newcombe, Statistics in Medicine 17 (1998), 857-872, table I"


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


# ---------------------------------------------------------------- places

for name, expected, ours in (
    ("radius along the meridian, m", 6_367_381.816, lambda: meridian_radius(radians(45.0))),
    ("radius across the meridian, m", 6_388_838.290, lambda: normal_radius(radians(45.0))),
    ("degree of latitude, m", 111_131.777, lambda: meridian_radius(radians(45.0)) * radians(1.0)),
    (
        "degree of longitude, m",
        78_846.835,
        lambda: normal_radius(radians(45.0)) * radians(1.0) * 0.5**0.5,
    ),
):
    check(name, "latitude 45°", expected, ours, absolute(1e-3), WGS84)

CORNER = (radians(52.196405171), radians(0.124387344), 135.01959)
PAD = (radians(52.2), radians(0.12), 15.0)


@cache
def _offset():
    return ground_offset(*CORNER, *PAD)


@cache
def _place():
    return geographic(300.0, -400.0, 120.0, *PAD)


for index, (name, metres) in enumerate((("east", 300.0), ("north", -400.0), ("up", 120.0))):
    check(
        f"{name} of the pad, m",
        "52.196405171°, 0.124387344°, 135.01959 m",
        metres,
        lambda k=index: _offset()[k],
        absolute(1e-3),
        LOCAL,
    )
INPUTS = "300 m east, 400 m south, 120 m up"
check("latitude, °", INPUTS, 52.196405171, lambda: degrees(_place()[0]), absolute(1e-8), LOCAL)
check("longitude, °", INPUTS, 0.124387344, lambda: degrees(_place()[1]), absolute(1e-8), LOCAL)
check("height, m", INPUTS, 135.01959, lambda: _place()[2], absolute(1e-5), LOCAL)

for place, frame, source, standing in (
    (
        (42.0, -82.0, 200.0),
        (660_675.2518, -4_700_948.6832, 4_245_737.6622),
        "pymap3d's tests, there from another toolbox",
        READ,
    ),
    (
        (34.4401061, 132.4147804, 233.362),
        (-3_551_876.829, 3_887_786.860, 3_586_946.387),
        "qzsl6tool's manual",
        READ,
    ),
    (
        (30.14988205, 91.38733072, 4031.0),
        (-133_728.1037, 5_521_796.9109, 3_186_776.4737),
        "cppmap3d's tests",
        READ,
    ),
):
    for index, axis in enumerate("xyz"):
        check(
            f"{axis} from the centre of the earth, m",
            "{:g}°, {:g}°, {:g} m".format(*place),
            frame[index],
            lambda p=place, k=index: geocentric(radians(p[0]), radians(p[1]), p[2])[k],
            # Seven digits of a degree are a centimetre.
            absolute(1e-2),
            source,
            standing,
        )

# ---------------------------------------------------------------- chances

for count, flights, low, high in (
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
):
    for name, expected, end in (("lower", low, 0), ("upper", high, 1)):
        check(
            f"{name} end of a chance",
            f"{count} of {flights}, 95 %",
            expected,
            lambda c=count, n=flights, e=end: wilson(c, n)[e],
            absolute(5e-5),
            NEWCOMBE,
            MEMORY,
        )


@cache
def _reference(count, flights):
    from scipy.stats import binomtest

    found = binomtest(count, flights).proportion_ci(0.95, method="wilson")
    return found.low, found.high


for count, flights in ((3, 100), (0, 2000), (997, 1000)):
    for name, end in (("lower", 0), ("upper", 1)):
        check(
            f"{name} end of a chance",
            f"{count} of {flights}, 95 %",
            _reference(count, flights)[end],
            lambda c=count, n=flights, e=end: wilson(c, n)[e],
            absolute(1e-12),
            "scipy.stats.binomtest, score interval",
        )

# ---------------------------------------------------------------- people

TOY = "RCC 321, casualty area of a body that falls straight down"
for plan, area, expected_hits in ((0.0092, 0.40470, 4.047003e-4), (0.0900, 0.70601, 7.060099e-4)):
    check(
        "casualty area, m²",
        f"body of {plan:g} m²",
        area,
        lambda a=plan: casualty_area(a, 0.0),
        absolute(5e-6),
        TOY,
    )
    check(
        "people hit by a landing",
        f"body of {plan:g} m², one person to 1000 m²",
        expected_hits,
        lambda a=plan: casualty_area(a, 0.0) / 1000.0,
        relative(1e-6),
        TOY,
    )
