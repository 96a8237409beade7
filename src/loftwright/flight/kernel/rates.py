"""How each phase of a flight changes its state: one function a phase, one lane a call."""

from math import sqrt

from loftwright.flight.kernel.airflow import air_loads, density, relative_wind
from loftwright.flight.kernel.loading import jet_damping, load
from loftwright.flight.kernel.propulsion import air_push, felt_when_held, tube_push, water_push
from loftwright.flight.kernel.slots import (
    ATTACHED,
    AXIS_EAST,
    AXIS_NORTH,
    AXIS_UP,
    CANOPY_DRAG,
    CANOPY_FILLING,
    CANOPY_OPENED,
    CROSS_AREA,
    DRAG_AREA,
    DRY_MASS,
    EAST,
    GAS,
    GAS_TEMPERATURE,
    GRAVITY,
    HELD,
    IMPULSE,
    LIFT_AREA,
    NORTH,
    ON_GUIDE,
    PAYLOAD_MASS,
    PITCH_RATE,
    Q0,
    Q1,
    Q2,
    Q3,
    REFERENCE_AREA,
    ROLL_RATE,
    SPAN_EAST,
    SPAN_NORTH,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    WATER,
    YAW_RATE,
)
from loftwright.physics.canopy import filled_fraction
from loftwright.physics.rotation import (
    euler_rates,
    quaternion_rates,
    rotate_to_body,
    rotate_to_ground,
)

__all__ = [
    "air_rates",
    "canopy_force",
    "canopy_rates",
    "coast_rates",
    "payload_rates",
    "tube_rates",
    "water_rates",
]


def _drift(y, dy, l):
    """Positions follow velocities."""
    dy[EAST + l] = y[V_EAST + l]
    dy[NORTH + l] = y[V_NORTH + l]
    dy[UP + l] = y[V_UP + l]


def _loads(t, y, p, l, loading, base_open):
    """Air forces and moments in body axes, on a vehicle of this loading."""
    _, balance, _, _, side_y, side_z = loading
    east, north, up = relative_wind(t, y, p, l)
    u, v, w = rotate_to_body(y[Q0 + l], y[Q1 + l], y[Q2 + l], y[Q3 + l], east, north, up)
    return air_loads(
        density(y, p, l),
        u, v, w,
        y[ROLL_RATE + l], y[PITCH_RATE + l], y[YAW_RATE + l],
        balance, side_y, side_z,
        p, l, base_open,
    )  # fmt: skip


def _move(y, p, dy, l, loading, forces, thrust, damping):
    """One rigid body: free in the air, or a bead on its guide, or held on the stand."""
    mass, _, across, along, side_y, side_z = loading
    force_x, force_y, force_z, moment_x, moment_y, moment_z = forces
    q0 = y[Q0 + l]
    q1 = y[Q1 + l]
    q2 = y[Q2 + l]
    q3 = y[Q3 + l]
    roll = y[ROLL_RATE + l]
    pitch = y[PITCH_RATE + l]
    yaw = y[YAW_RATE + l]
    east, north, up = rotate_to_ground(
        q0, q1, q2, q3, (force_x + thrust) / mass, force_y / mass, force_z / mass
    )
    up = up - p[GRAVITY + l]

    guided = p[ON_GUIDE + l]
    free = 1.0 - guided
    along_guide = east * p[AXIS_EAST + l] + north * p[AXIS_NORTH + l] + up * p[AXIS_UP + l]
    speed = (
        y[V_EAST + l] * p[AXIS_EAST + l]
        + y[V_NORTH + l] * p[AXIS_NORTH + l]
        + y[V_UP + l] * p[AXIS_UP + l]
    )
    # The pad carries what does not lift itself yet.
    resting = along_guide < 0.0 and speed <= 0.0
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
    # Thrust acts on the axis; a payload on the side pulls the balance off it.
    moment_y = moment_y - side_z * thrust - damping * pitch
    moment_z = moment_z + side_y * thrust - damping * yaw
    d_roll, d_pitch, d_yaw = euler_rates(
        roll, pitch, yaw, along, across, moment_x, moment_y, moment_z
    )
    dy[ROLL_RATE + l] = free * d_roll
    dy[PITCH_RATE + l] = free * d_pitch
    dy[YAW_RATE + l] = free * d_yaw
    dy[IMPULSE + l] = thrust


def _base_open(t, y, p, l, thrust):
    """Share of the base drag that acts beside a dying jet (judgement: pressures compared).

    The base fills again as the jet's thrust falls below the air's push on the body's section.
    """
    east, north, up = relative_wind(t, y, p, l)
    square = east * east + north * north + up * up
    push = 0.5 * density(y, p, l) * square * p[REFERENCE_AREA + l]
    return push / (push + thrust + 1e-9)


def tube_rates(t, y, p, dy, l):
    """Sliding along the launch tube: the gas pushes on the tube's cross-section."""
    loading = load(y, p, l)
    forces = _loads(t, y, p, l, loading, 1.0)
    thrust, swelling, slope = tube_push(y, p, l)
    _move(y, p, dy, l, loading, forces, thrust, 0.0)
    speed = (
        y[V_EAST + l] * p[AXIS_EAST + l]
        + y[V_NORTH + l] * p[AXIS_NORTH + l]
        + y[V_UP + l] * p[AXIS_UP + l]
    )
    dy[WATER + l] = 0.0
    dy[GAS + l] = 0.0
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * slope * swelling * speed


def water_rates(t, y, p, dy, l):
    """Water leaves."""
    loading = load(y, p, l)
    mass = loading[0]
    balance = loading[1]
    forces = _loads(t, y, p, l, loading, 0.0)
    felt = felt_when_held(y, p, l, forces[0] / mass)
    thrust, flow, cooling = water_push(y, p, l, mass, felt)
    _move(y, p, dy, l, loading, forces, thrust, jet_damping(y, p, l, balance, flow))
    dy[WATER + l] = -flow
    dy[GAS + l] = 0.0
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * cooling


def air_rates(t, y, p, dy, l):
    """Air leaves, and takes the last water with it."""
    loading = load(y, p, l)
    thrust, gas_flow, water_flow, cooling = air_push(y, p, l)
    forces = _loads(t, y, p, l, loading, _base_open(t, y, p, l, thrust))
    damping = jet_damping(y, p, l, loading[1], gas_flow + water_flow)
    _move(y, p, dy, l, loading, forces, thrust, damping)
    dy[WATER + l] = -water_flow
    dy[GAS + l] = -gas_flow
    dy[GAS_TEMPERATURE + l] = y[GAS_TEMPERATURE + l] * cooling


def coast_rates(t, y, p, dy, l):
    """Nothing pushes: air and weight only."""
    loading = load(y, p, l)
    _move(y, p, dy, l, loading, _loads(t, y, p, l, loading, 1.0), 0.0, 0.0)


def canopy_force(t, y, p, l):
    """Drag of the canopy alone [N], at this moment of its filling."""
    east, north, up = relative_wind(t, y, p, l)
    fraction = filled_fraction(t - p[CANOPY_OPENED + l], p[CANOPY_FILLING + l])
    square = east * east + north * north + up * up
    return 0.5 * density(y, p, l) * p[CANOPY_DRAG + l] * fraction * square


def canopy_rates(t, y, p, dy, l):
    """Hanging under the canopy: a point with the canopy's drag and the body's side-on drag."""
    east, north, up = relative_wind(t, y, p, l)
    speed = sqrt(east * east + north * north + up * up + 1e-12)
    fraction = filled_fraction(t - p[CANOPY_OPENED + l], p[CANOPY_FILLING + l])
    area = p[CANOPY_DRAG + l] * fraction + p[CROSS_AREA + l]
    mass = (
        p[DRY_MASS + l]
        + max(y[WATER + l], 0.0)
        + y[GAS + l]
        + p[PAYLOAD_MASS + l] * p[ATTACHED + l]
    )
    pull = 0.5 * density(y, p, l) * area * speed / mass
    _drift(y, dy, l)
    dy[V_EAST + l] = -pull * east
    dy[V_NORTH + l] = -pull * north
    dy[V_UP + l] = -pull * up - p[GRAVITY + l]


def payload_rates(t, y, p, dy, l):
    """The payload alone: a point on its polar, wings level across a fixed heading.

    Lift is square to the path and to the span, so a glider let go on its tail loops over and
    recovers. Sideways motion through the air makes drag only.
    """
    east, north, up = relative_wind(t, y, p, l)
    span_east = p[SPAN_EAST + l]
    span_north = p[SPAN_NORTH + l]
    speed = sqrt(east * east + north * north + up * up + 1e-12)
    # Path times span: the direction of lift, as long as the speed across the span.
    over_east = -up * span_north
    over_north = up * span_east
    over_up = east * span_north - north * span_east
    across = sqrt(over_east * over_east + over_north * over_north + over_up * over_up + 1e-12)
    pressure = 0.5 * density(y, p, l) / p[PAYLOAD_MASS + l]
    drag = pressure * p[DRAG_AREA + l] * speed
    lift = pressure * p[LIFT_AREA + l] * across
    _drift(y, dy, l)
    dy[V_EAST + l] = lift * over_east - drag * east
    dy[V_NORTH + l] = lift * over_north - drag * north
    dy[V_UP + l] = lift * over_up - drag * up - p[GRAVITY + l]
