"""Wings and glides beside published formulas and printed values."""

from __future__ import annotations

from functools import cache
from math import atan, cos, degrees, pi, radians, sqrt

import numpy as np
from outside import COMPUTED, MEMORY, READ, OutsideCheck, absolute, register, relative
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from loftwright.physics.phugoid import (
    drag_free_constant,
    glide_phugoid_damping,
    glide_phugoid_period,
    lanchester_period,
    trim_speed,
)
from loftwright.physics.section import laminar_friction_drag
from loftwright.physics.turning import (
    load_factor,
    spiral_margin,
    turn_radius,
    turn_rate,
    twisted_roll_rate,
)
from loftwright.physics.wing import rolling_slope, swept_slope

WING, GLIDE = "Wing", "Steady glide and swing"


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


# ---------------------------------------------------------------- lift slopes

HELMBOLD = "H. B. Helmbold, Jahrbuch 1942 der deutschen Luftfahrtforschung"
STENGEL = "R. F. Stengel, Flight Dynamics (2004), example 1.3-1"
for ratio, slope in ((1.0, 1.4833), (2.0, 2.6026), (4.0, 3.8832), (6.0, 4.5287)):
    check(
        WING, "lift slope, 1/rad", f"aspect ratio {ratio:g}", slope,
        lambda a=ratio: swept_slope(a, 0.0), absolute(1e-4), HELMBOLD,
    )  # fmt: skip
check(
    WING, "lift slope of a paper aeroplane, 1/rad", "aspect ratio 0.86", 1.293622,
    lambda: swept_slope(0.86, 0.0), absolute(1e-6), STENGEL,
)  # fmt: skip
JONES = "R. T. Jones, NACA Report 835 (1946): slender wings"
check(
    WING, "lift slope over aspect ratio, slender limit", "aspect ratio 1e-4", pi / 2,
    lambda: swept_slope(1e-4, 0.0) / 1e-4, relative(1e-4), JONES, MEMORY,
)  # fmt: skip
check(
    WING, "roll damping over aspect ratio, slender limit", "aspect ratio 1e-4", pi / 32,
    lambda: rolling_slope(1e-4, 0.0) / 8e-4, relative(1e-4), JONES, MEMORY,
)  # fmt: skip

# ---------------------------------------------------------------- friction

BLASIUS = "H. Blasius, Z. Math. Phys. 56 (1908): 2.656 over the root of Re, two sides"
for reynolds, drag in ((1e4, 0.02656), (2e4, 0.018781), (5e4, 0.011878), (1e5, 0.008399)):
    check(
        WING, "laminar friction, both sides", f"Re {reynolds:g}", drag,
        lambda re=reynolds: laminar_friction_drag(re), absolute(1e-5), BLASIUS,
    )  # fmt: skip

# ---------------------------------------------------------------- a paper aeroplane's trim

PAPER = "S 0.017 m², A 0.86, e 0.9, 3 g, 9.8 m/s², 1.225 kg/m³, C_D0 0.02"
INDUCED = 1.0 / (pi * 0.9 * 0.86)
LIFT, DRAG = sqrt(0.02 / INDUCED), 0.04
check(
    GLIDE, "trim speed of a paper aeroplane, m/s", PAPER, 3.549371,
    lambda: trim_speed(0.003 * 9.8 / 0.017, 1.225, sqrt(LIFT**2 + DRAG**2)),
    absolute(1e-5), STENGEL,
)  # fmt: skip
check(
    GLIDE, "its incidence at best glide, °", PAPER, 9.76733,
    lambda: degrees(LIFT / swept_slope(0.86, 0.0)), absolute(1e-4), STENGEL,
)  # fmt: skip
check(
    GLIDE, "its slope at best glide, °, as printed with e 0.8", PAPER, -11.0,
    lambda: -degrees(atan(DRAG / sqrt(0.02 * pi * 0.8 * 0.86))), absolute(0.2), STENGEL, READ,
)  # fmt: skip

# ---------------------------------------------------------------- the slow swing

LANCHESTER = "F. W. Lanchester, Aerodonetics (1908)"
for speed, gravity, period in ((3.549371, 9.8, 1.609126), (30.0, 9.80665, 13.5915)):
    check(
        GLIDE, "period without drag, s", f"{speed:g} m/s, {gravity:g} m/s²", period,
        lambda v=speed, g=gravity: lanchester_period(v, g), absolute(1e-4), LANCHESTER,
    )  # fmt: skip


def conjugate(depth: float) -> float:
    """The other level point of a path without drag, above trim, by our invariant."""
    constant = drag_free_constant(depth, 1.0, 1.0)
    return brentq(lambda h: drag_free_constant(h, 1.0, 1.0) - constant, 1e-9, 1.0, xtol=1e-14)


check(
    GLIDE, "level point conjugate to twice the trim depth, in trim depths", "no drag",
    2.0 - sqrt(3.0), lambda: conjugate(2.0), absolute(1e-6), LANCHESTER,
)  # fmt: skip
check(
    GLIDE, "constant of that path, in roots of the trim depth", "no drag", 0.471405,
    lambda: drag_free_constant(2.0, 1.0, 1.0), absolute(1e-6), LANCHESTER,
)  # fmt: skip
check(
    GLIDE, "lowest point of Lanchester's curve 4", "highest point 25, trim depth 64 (inferred)",
    113.5,
    lambda: brentq(
        lambda h: drag_free_constant(h, 64.0, 1.0) - drag_free_constant(25.0, 64.0, 1.0), 70, 180
    ),
    relative(0.005), "F. W. Lanchester, Aerodonetics (1908), appendix V", READ,
)  # fmt: skip


@cache
def swing(glide_ratio: float) -> complex:
    """Eigenvalue of the two equations of a glide, differenced about trim by an independent code."""
    gravity, speed = 9.8, 4.9
    slope = -atan(1.0 / glide_ratio)
    lift = gravity * cos(slope) / speed**2

    def rates(state):
        v, path = state
        return np.array([
            -lift / glide_ratio * v * v - gravity * np.sin(path),
            lift * v - gravity * np.cos(path) / v,
        ])  # fmt: skip

    trim = np.array([speed, slope])
    steps = np.diag([1e-5, 1e-5])
    matrix = np.column_stack([(rates(trim + h) - rates(trim - h)) / 2e-5 for h in steps])
    return complex(np.linalg.eigvals(matrix)[0])


TWO = "the two equations of a glide (Stengel, section 1.3), linearised numerically"
for ratio in (1.0, 3.0, 5.0, 8.0):
    inputs = f"glide ratio {ratio:g}, 4.9 m/s, 9.8 m/s²"
    check(
        GLIDE, "period with drag, s", inputs, 2 * pi / abs(swing(ratio).imag),
        lambda e=ratio: glide_phugoid_period(4.9, e, 9.8), relative(1e-6), TWO,
    )  # fmt: skip
    check(
        GLIDE, "damping ratio with drag", inputs, -swing(ratio).real / abs(swing(ratio)),
        lambda e=ratio: glide_phugoid_damping(e), relative(1e-6), TWO,
    )  # fmt: skip

# ---------------------------------------------------------------- turning and rolling

ETKIN = "B. Etkin and L. D. Reid, Dynamics of Flight: turn without slip"
for bank, radius, rate, factor in (
    (5, 29.1286, 9.835, 1.00382),
    (10, 14.4528, 19.822, 1.01543),
    (20, 7.0017, 40.915, 1.06418),
    (30, 4.4140, 64.902, 1.15470),
):
    inputs = f"bank {bank}°, 5 m/s, 9.81 m/s²"
    check(
        GLIDE, "radius of a turn, m", inputs, radius,
        lambda b=bank: turn_radius(5.0, radians(b), 9.81), absolute(1e-3), ETKIN,
    )  # fmt: skip
    check(
        GLIDE, "rate of turn, °/s", inputs, rate,
        lambda b=bank: degrees(turn_rate(5.0, radians(b), 9.81)), absolute(1e-3), ETKIN,
    )  # fmt: skip
    check(
        GLIDE, "load factor", inputs, factor,
        lambda b=bank: load_factor(radians(b)), absolute(1e-5), ETKIN,
    )  # fmt: skip
check(
    WING, "roll rate of a twisted wing, closed form, °/s", "0.30 m, 5 m/s, 1° at the tips", 33.333,
    lambda: degrees(twisted_roll_rate(radians(1.0), 5.0, 0.30)), absolute(1e-3),
    "H. A. Pearson and R. T. Jones, NACA Report 635 (1938), strip result", MEMORY,
)  # fmt: skip


def spiral_root(roll_by_slip: float, yaw_by_slip: float) -> float:
    """Slowest root of the lateral equations of Etkin with round numbers, by integration."""
    speed, gravity = 5.0, 9.81
    roll_by_yawing, yaw_by_yawing, roll_by_rolling = 1.0, -2.0, -20.0

    def rates(_, y):
        slip, p, r, bank = y
        return (
            -0.5 * slip - r + gravity / speed * bank,
            roll_by_slip * slip + roll_by_rolling * p + roll_by_yawing * r,
            yaw_by_slip * slip - 0.2 * p + yaw_by_yawing * r,
            p,
        )

    run = solve_ivp(rates, (0, 60), (0, 0, 0, 1.0), rtol=1e-9, atol=1e-12, t_eval=(40, 60))
    return float(np.log(abs(run.y[3, 1] / run.y[3, 0])) / 20.0)


for roll_by_slip, yaw_by_slip in ((-10.0, 10.0), (-10.0, 30.0), (-4.0, 10.0), (-20.0, 30.0)):
    check(
        GLIDE, "spiral: 1 narrows, -1 widens again", f"L_β {roll_by_slip:g}, N_β {yaw_by_slip:g}",
        float(np.sign(spiral_root(roll_by_slip, yaw_by_slip))),
        lambda a=roll_by_slip, b=yaw_by_slip: -float(np.sign(spiral_margin(a, -2.0, 1.0, b))),
        absolute(0.0), "B. Etkin and L. D. Reid: lateral equations, integrated over 60 s",
    )  # fmt: skip
