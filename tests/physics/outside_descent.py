"""Coming down beside measured seeds, rotors and plates."""

from __future__ import annotations

from math import sqrt

from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative

from loftwright.physics.descent import (
    descent_rate,
    glide_speed,
    rotor_drag_coefficient,
    tumbling_drag_area,
)

MODEL = "Descent"
GREEN = "D. S. Green, Am. J. Bot. 67 (1980) 1218: rate of fall goes with the root of wing loading"
COLLAPSE = (
    "equilibrium of stably autorotating samaras: dynamic pressure over disc loading is one number "
    "for natural and artificial ones"
)
AZUMA = "A. Azuma, Y. Okuno, J. theor. Biol. 129 (1987) 263: glide ratio 3 to 4, sink 0.3-0.7 m/s"


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


for factor in (2.0, 4.0, 0.5):
    check(
        "rate of fall over rate of fall",
        f"{factor:g} times the loading",
        sqrt(factor),
        lambda k=factor: descent_rate(0.6 * k, 1.225, 0.7) / descent_rate(0.6, 1.225, 0.7),
        absolute(1e-12),
        GREEN,
        READ,
    )

for loading in (0.3, 1.0, 3.0):
    check(
        "dynamic pressure of descent over disc loading, times that of 0.5 N/m²",
        f"{loading:g} N/m²",
        1.0,
        lambda w=loading: (
            0.5
            * 1.225
            * descent_rate(w, 1.225, 0.8) ** 2
            / w
            / (0.5 * 1.225 * descent_rate(0.5, 1.225, 0.8) ** 2 / 0.5)
        ),
        absolute(1e-12),
        COLLAPSE,
        READ,
    )

for sink, speed in ((0.3, 1.09), (0.7, 2.55)):
    check(
        "speed of a gliding Alsomitra seed, m/s",
        f"sink {sink} m/s, glide ratio 3.5",
        speed,
        lambda v=sink: glide_speed(v, 3.5),
        absolute(0.005),
        AZUMA,
    )

check(
    "drag coefficient of a rotor's disc where momentum theory ends",
    "descent at twice the speed through the hovering disc",
    1.0,
    lambda: rotor_drag_coefficient(2.0),
    absolute(1e-12),
    "H. Glauert, ARC R. and M. 1026 (1926), windmill brake state",
    MEMORY,
)
check(
    "drag coefficient of a helicopter's disc, engine off, straight down",
    "descent at 1.8 to 1.9 times the speed through the hovering disc; 1.85 here",
    1.15,
    lambda: rotor_drag_coefficient(1.85),
    absolute(0.05),
    "1.1 to 1.2, quoted from helicopter practice; ratio after J. G. Leishman (2006), 2.13.6",
    MEMORY,
)

# Flat plates have two faces: half of one face is the mean shadow, Cauchy's quarter of the whole.
check(
    "mean shadow of a tumbling cube over its face",
    "cube of 1 m, coefficient 1",
    1.5,
    lambda: tumbling_drag_area(6.0, 1.0),
    relative(1e-12),
    "A. Cauchy (1841); for a cube e.g. G. T. Vickers, D. J. Brown, Proc. R. Soc. A 457 (2001) 283",
    MEMORY,
)
