"""How each phase of a flight changes its state, in pieces: one lane a call.

A set of rates is made up in a fixed order: surroundings, load, what the air does, what pushes,
motion. Each piece leaves its numbers in rows of the parameter table, so that it is compiled once
for all phases.
"""

from math import sqrt

from loftwright.flight.kernel.airflow import density, relative_wind
from loftwright.flight.kernel.airloads import add_item_loads, body_loads, meet_air, zero_lift_drag
from loftwright.flight.kernel.gliding import begin_glide, glider_loads
from loftwright.flight.kernel.loading import jet_damping, lane_load
from loftwright.flight.kernel.propulsion import (
    air_push,
    gauge_pressure,
    speed_along_guide,
    tube_push,
    water_push,
)
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    AXIS_EAST,
    AXIS_NORTH,
    AXIS_UP,
    BOOSTED_PHASE,
    BOOSTER_COUNT,
    BOOSTER_SET,
    BOOSTER_STATE,
    BOOSTERS_PUSH,
    CANOPY_DRAG,
    CANOPY_FILLING,
    CANOPY_OPENED,
    CANOPY_PHASE,
    DAMPING,
    DENSITY,
    DRAG_AREA,
    DRY_MASS,
    EAST,
    FLOW_EAST,
    FLOW_NORTH,
    FLOW_UP,
    FLOW_X,
    FLOW_Y,
    FLOW_Z,
    FORCE_X,
    FORCE_Y,
    FORCE_Z,
    GAS,
    GAS_TEMPERATURE,
    GLIDE_PHASE,
    GRAVITY,
    HELD,
    IMPULSE,
    INERTIA_XX,
    INERTIA_XY,
    INERTIA_XZ,
    INERTIA_YY,
    INERTIA_YZ,
    INERTIA_ZZ,
    ITEM,
    LIFT_AREA,
    MASS,
    MOMENT_X,
    MOMENT_Y,
    MOMENT_Z,
    NORTH,
    ON_GUIDE,
    OWN_PUSH,
    PITCH_RATE,
    POINT_PHASE,
    Q0,
    Q1,
    Q2,
    Q3,
    REFERENCE_AREA,
    ROLL_RATE,
    SIDE_Y,
    SIDE_Z,
    SPAN_EAST,
    SPAN_NORTH,
    THROAT_AREA,
    THRUST,
    TUBE_PHASE,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    WATER,
    WATER_PHASE,
    YAW_RATE,
)
from loftwright.physics.canopy import filled_fraction
from loftwright.physics.rotation import quaternion_rates, rotate_to_ground, tensor_rates

__all__ = [
    "boost",
    "canopy_force",
    "coast",
    "expel_air",
    "expel_water",
    "glide",
    "hang",
    "jet_of",
    "lane_rates",
    "meet_air_openly",
    "move",
    "slide",
    "surroundings",
]


def _drift(y, dy, l):
    """Positions follow velocities."""
    dy[EAST + l] = y[V_EAST + l]
    dy[NORTH + l] = y[V_NORTH + l]
    dy[UP + l] = y[V_UP + l]


def surroundings(t, y, p, l):
    """Work out how the body moves through the air, and how dense that is."""
    east, north, up = relative_wind(t, y, p, l)
    p[FLOW_EAST + l] = east
    p[FLOW_NORTH + l] = north
    p[FLOW_UP + l] = up
    p[DENSITY + l] = density(y, p, l)


def meet_air_openly(jet, y, p, l):
    """Work out what the air does to the bare vehicle.

    ``jet`` is 1 in the phases in which one fills the base. The base opens again as the push of
    what is left of it falls below the air's push on the body's section (judgement).
    """
    meet_air(y, p, l)
    u = p[FLOW_X + l]
    v = p[FLOW_Y + l]
    w = p[FLOW_Z + l]
    square = u * u + v * v + w * w
    airs = 0.5 * p[DENSITY + l] * square * p[REFERENCE_AREA + l] + 1e-9
    jets = jet * 2.0 * p[THROAT_AREA + l] * max(gauge_pressure(0.0, y, p, l, 0, 0), 0.0)
    body_loads(y, p, l, airs / (airs + jets))


def slide(y, p, dy, l):
    """Along the launch tube: the gas pushes on the tube's cross-section."""
    thrust, swelling, slope = tube_push(y, p, l)
    p[THRUST + l] = thrust
    p[DAMPING + l] = 0.0
    dy[WATER + l] = 0.0
    dy[GAS + l] = 0.0
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * slope * swelling * speed_along_guide(y, p, l)
    dy[IMPULSE + l] = thrust


def expel_water(y, p, dy, l):
    """Water leaves."""
    mass = p[MASS + l]
    thrust, flow, cooling = water_push(y, p, l, 0, 0, mass, p[FORCE_X + l] / mass)
    p[THRUST + l] = thrust
    p[DAMPING + l] = jet_damping(y, p, l, 0, 0, flow)
    dy[WATER + l] = -flow
    dy[GAS + l] = 0.0
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * cooling
    dy[IMPULSE + l] = thrust


def expel_air(y, p, dy, l):
    """Air leaves, and takes the last water with it."""
    thrust, gas_flow, water_flow, cooling = air_push(y, p, l, 0, 0)
    p[THRUST + l] = thrust
    p[DAMPING + l] = jet_damping(y, p, l, 0, 0, gas_flow + water_flow)
    dy[WATER + l] = -water_flow
    dy[GAS + l] = -gas_flow
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * cooling
    dy[IMPULSE + l] = thrust


def _expel(pushes, y, p, dy, l, s, z, mass, felt):
    """Let one set of vessels push as it stands: water, air, or nothing any more.

    Returns thrust [N] and what the leaving mass takes of the turning [N m s]. The sets of a
    vehicle with boosters end at different moments, so both laws are worked out and one is taken.
    """
    wet = 1.0 if pushes == 1.0 else 0.0
    airy = 1.0 if pushes == 2.0 else 0.0
    thrust_w, flow, cooling_w = water_push(y, p, l, s, z, mass, felt)
    thrust_a, gas_flow, mist, cooling_a = air_push(y, p, l, s, z)
    thrust = wet * thrust_w + airy * thrust_a
    water_flow = wet * flow + airy * mist
    lost = water_flow + airy * gas_flow
    dy[WATER + z + l] = -water_flow
    dy[GAS + z + l] = -airy * gas_flow
    dy[GAS_TEMPERATURE + z + l] = y[GAS_TEMPERATURE + z + l] * (wet * cooling_w + airy * cooling_a)
    dy[IMPULSE + z + l] = thrust
    return thrust, jet_damping(y, p, l, s, z, lost)


def boost(y, p, dy, l):
    """Push with side boosters and the vehicle's own nozzle, each as far as it has got.

    A column of water feels what the other nozzles do to the vehicle; the boosters' share of that
    is taken as what they would do without the vehicle's own thrust.
    """
    mass = p[MASS + l]
    count = p[BOOSTER_COUNT + l]
    felt = p[FORCE_X + l] / mass
    alone, _turning = _expel(
        p[BOOSTERS_PUSH + l], y, p, dy, l, BOOSTER_SET, BOOSTER_STATE, mass, felt
    )
    own, turning = _expel(p[OWN_PUSH + l], y, p, dy, l, 0, 0, mass, felt + count * alone / mass)
    others = felt + (own + (count - 1.0) * alone) / mass
    each, lost = _expel(p[BOOSTERS_PUSH + l], y, p, dy, l, BOOSTER_SET, BOOSTER_STATE, mass, others)
    p[THRUST + l] = own + count * each
    p[DAMPING + l] = turning + count * lost


def coast(p, dy, l):
    """Nothing pushes."""
    p[THRUST + l] = 0.0
    p[DAMPING + l] = 0.0
    dy[IMPULSE + l] = 0.0


def jet_of(phase):
    """1 in the phases in which a jet fills the base, else 0."""
    return 1.0 if phase in (BOOSTED_PHASE, WATER_PHASE, AIR_PHASE) else 0.0


def move(y, p, dy, l):
    """One rigid body: free in the air, or a bead on its guide, or held on the stand."""
    mass = p[MASS + l]
    thrust = p[THRUST + l]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    q0 = y[Q0 + l]
    q1 = y[Q1 + l]
    q2 = y[Q2 + l]
    q3 = y[Q3 + l]
    east, north, up = rotate_to_ground(
        q0, q1, q2, q3,
        (p[FORCE_X + l] + thrust) / mass, p[FORCE_Y + l] / mass, p[FORCE_Z + l] / mass,
    )  # fmt: skip
    up = up - p[GRAVITY + l]

    guided = p[ON_GUIDE + l]
    free = 1.0 - guided
    along_guide = east * p[AXIS_EAST + l] + north * p[AXIS_NORTH + l] + up * p[AXIS_UP + l]
    # The pad carries what does not lift itself yet.
    resting = along_guide < 0.0 and speed_along_guide(y, p, l) <= 0.0
    sliding = 0.0 if resting else along_guide * guided * (1.0 - p[HELD + l])
    _drift(y, dy, l)
    dy[V_EAST + l] = free * east + sliding * p[AXIS_EAST + l]
    dy[V_NORTH + l] = free * north + sliding * p[AXIS_NORTH + l]
    dy[V_UP + l] = free * up + sliding * p[AXIS_UP + l]

    d0, d1, d2, d3 = quaternion_rates(q0, q1, q2, q3, roll, pitch, yaw)
    dy[Q0 + l] = free * d0
    dy[Q1 + l] = free * d1
    dy[Q2 + l] = free * d2
    dy[Q3 + l] = free * d3
    # Thrust acts on the axis; what is carried on the side pulls the balance off it.
    damping = p[DAMPING + l]
    d_roll, d_pitch, d_yaw = tensor_rates(
        roll, pitch, yaw,
        p[INERTIA_XX + l], p[INERTIA_YY + l], p[INERTIA_ZZ + l],
        p[INERTIA_XY + l], p[INERTIA_XZ + l], p[INERTIA_YZ + l],
        p[MOMENT_X + l],
        p[MOMENT_Y + l] - p[SIDE_Z + l] * thrust - damping * pitch,
        p[MOMENT_Z + l] + p[SIDE_Y + l] * thrust - damping * yaw,
    )  # fmt: skip
    dy[ROLL_RATE + l] = free * d_roll
    dy[PITCH_RATE + l] = free * d_pitch
    dy[YAW_RATE + l] = free * d_yaw


def canopy_force(t, y, p, l):
    """Drag of the canopy alone [N], at this moment of its filling."""
    east, north, up = relative_wind(t, y, p, l)
    fraction = filled_fraction(t - p[CANOPY_OPENED + l], p[CANOPY_FILLING + l])
    square = east * east + north * north + up * up
    return 0.5 * density(y, p, l) * p[CANOPY_DRAG + l] * fraction * square


def hang(t, y, p, dy, l):
    """Under the canopy: a point with the canopy's drag and that of a body along the flow.

    A canopy on the nose that pulls harder than the air on the tail holds the body upright; a weaker
    one lets its nose sink. Only in balance between the two would the body lie across the flow.
    """
    east = p[FLOW_EAST + l]
    north = p[FLOW_NORTH + l]
    up = p[FLOW_UP + l]
    speed = sqrt(east * east + north * north + up * up + 1e-12)
    fraction = filled_fraction(t - p[CANOPY_OPENED + l], p[CANOPY_FILLING + l])
    body = zero_lift_drag(speed, p[DENSITY + l], p, l, 1.0)
    area = p[CANOPY_DRAG + l] * fraction + body
    pull = 0.5 * p[DENSITY + l] * area * speed / p[MASS + l]
    _drift(y, dy, l)
    dy[V_EAST + l] = -pull * east
    dy[V_NORTH + l] = -pull * north
    dy[V_UP + l] = -pull * up - p[GRAVITY + l]


def glide(y, p, dy, l):
    """A point on its polar, wings level across a fixed heading.

    Lift is square to the path and to the span, so a glider let go on its tail loops over and
    recovers. Sideways motion through the air makes drag only.
    """
    east = p[FLOW_EAST + l]
    north = p[FLOW_NORTH + l]
    up = p[FLOW_UP + l]
    span_east = p[SPAN_EAST + l]
    span_north = p[SPAN_NORTH + l]
    speed = sqrt(east * east + north * north + up * up + 1e-12)
    # Path times span: the direction of lift, as long as the speed across the span.
    over_east = -up * span_north
    over_north = up * span_east
    over_up = east * span_north - north * span_east
    across = sqrt(over_east * over_east + over_north * over_north + over_up * over_up + 1e-12)
    pressure = 0.5 * p[DENSITY + l] / p[DRY_MASS + l]
    drag = pressure * p[DRAG_AREA + l] * speed
    lift = pressure * p[LIFT_AREA + l] * across
    _drift(y, dy, l)
    dy[V_EAST + l] = lift * over_east - drag * east
    dy[V_NORTH + l] = lift * over_north - drag * north
    dy[V_UP + l] = lift * over_up - drag * up - p[GRAVITY + l]


def lane_rates(phase, items, t, y, p, dy, l):
    """Rates of change of one flight in this phase: all of the above in their order.

    ``stepper.rates`` does the same for sixteen flights, loop by loop.
    """
    surroundings(t, y, p, l)
    if phase == POINT_PHASE:
        glide(y, p, dy, l)
        return
    if phase == GLIDE_PHASE:
        begin_glide(t, y, p, l)
        glider_loads(y, p, l)
        coast(p, dy, l)
        move(y, p, dy, l)
        return
    lane_load(phase, items, y, p, l)
    if phase == CANOPY_PHASE:
        hang(t, y, p, dy, l)
        return
    meet_air_openly(jet_of(phase), y, p, l)
    for item in range(items):
        add_item_loads(item * ITEM, y, p, l)
    if phase == BOOSTED_PHASE:
        boost(y, p, dy, l)
    elif phase == TUBE_PHASE:
        slide(y, p, dy, l)
    elif phase == WATER_PHASE:
        expel_water(y, p, dy, l)
    elif phase == AIR_PHASE:
        expel_air(y, p, dy, l)
    else:
        coast(p, dy, l)
    move(y, p, dy, l)
