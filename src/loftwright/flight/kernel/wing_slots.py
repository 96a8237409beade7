"""Where the numbers of a glider with a described wing stand, behind those of `slots`.

A strip is a piece of a surface with its own place, axes and lift; the wing has four a side, the
tailplane one a side, the fin two. Each strip's rows stand together:
``p[STRIP_X + strip * STRIP_STRIDE + lane]``.
"""

from __future__ import annotations

from loftwright.flight.kernel.slots import COMMON_COUNT, LANES, WING_FIRST

__all__: list[str] = []  # imported by name

WING_STRIPS, TAIL_STRIPS = 8, 4
STRIPS = WING_STRIPS + TAIL_STRIPS

WING_ROWS = 22
(
    # fixed for a flight
    UNFOLD_RATE, FOLDED_SHARE,  # 1/s, share of the wing's area as let go
    WAKE_GAIN,  # 1/m2, downwash at the tail times density and speed, over the wing's lift
    ROLL_SHARE,  # rolling moment of the wing over that of its strips each for itself
    FUSELAGE_X, FUSELAGE_Z,  # m, middle of the fuselage from the balance
    FUSELAGE_SIDE, FUSELAGE_TOP,  # m2, drag coefficient times area across
    FUSELAGE_FRICTION,  # m1.5, wetted area times 1.328 over the root of its length
    FUSELAGE_FRONT,  # m2, drag coefficient times area along
    FUSELAGE_VOLUME,  # m3, of air that it pushes aside when it slips
    FUSELAGE_DAMPING,  # m5, cross-flow against turning
    DRAG_FACTOR,  # what a measured glide says of the whole drag; 1 without
    # worked out anew for every set of rates
    AIR_X, AIR_Y, AIR_Z,  # m/s through the air, body axes
    AIR_SPEED,  # m/s
    HALF_DENSITY,  # kg/m3
    FRICTION_ROOT,  # m0.5, root of kinematic viscosity over speed
    WING_OPEN,  # share of the wing's area that is out
    WING_LIFT,  # N, what turns the air down behind the wing
    DOWNWASH,  # m/s, down at the tail
) = (WING_FIRST + LANES * i for i in range(WING_ROWS))  # fmt: skip

STRIP_ROWS = 20
STRIP_STRIDE = LANES * STRIP_ROWS
(
    STRIP_X, STRIP_Y, STRIP_Z,  # m, mid-chord from the balance, body axes
    CHORD_X, CHORD_Y, CHORD_Z,  # unit vector along the chord, forward
    NORMAL_X, NORMAL_Y, NORMAL_Z,  # unit vector out of the upper side
    AXIS_X, AXIS_Y, AXIS_Z,  # chord times normal: turning about it lifts the leading edge
    STRIP_AREA, STRIP_CHORD,  # m2, m
    STRIP_SLOPE,  # 1/rad
    STRIP_CAMBER,  # rad, incidence that the camber is worth
    STRIP_BROADSIDE,  # normal-force coefficient across the flow
    STRIP_FRICTION,  # m-0.5, 2.656 times form over the root of the chord
    STRIP_EDGE,  # drag coefficient that does not depend on Reynolds number
    STRIP_FOLDS,  # 1 for what unfolds
) = (WING_FIRST + LANES * (WING_ROWS + i) for i in range(STRIP_ROWS))  # fmt: skip

WING_PARAMETERS = WING_ROWS + STRIPS * STRIP_ROWS
GLIDER_PARAMETER_COUNT = COMMON_COUNT + WING_PARAMETERS
