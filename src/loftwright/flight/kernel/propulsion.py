"""What pushes: the tube stroke, the water jet, the air jet, and the gas that drives them."""

from loftwright.flight.kernel.loading import column_height
from loftwright.flight.kernel.slots import (
    AXIS_EAST,
    AXIS_NORTH,
    AXIS_UP,
    COLUMN_AREA,
    EAST,
    EXPONENT,
    FLOW_COEFFICIENT,
    GAS,
    GAS_CONSTANT,
    GAS_TEMPERATURE,
    GRAVITY,
    HELD,
    MOIST,
    NORTH,
    ON_GUIDE,
    PAD_PRESSURE,
    PAD_TEMPERATURE,
    THROAT_AREA,
    TUBE_AREA,
    UP,
    V_EAST,
    V_NORTH,
    V_UP,
    VELOCITY_COEFFICIENT,
    VESSEL_VOLUME,
    WATER,
    WATER_DENSITY,
)
from loftwright.physics.air_jet import air_jet, mist_share
from loftwright.physics.atmosphere import air_pressure_at
from loftwright.physics.gas import moist_expansion_slope, saturation_vapour_pressure
from loftwright.physics.water_jet import (
    column_inertia_pressure,
    water_jet_speed,
    water_thrust_per_speed_squared,
)

__all__ = [
    "air_push",
    "ambient",
    "gas_state",
    "gauge_pressure",
    "speed_along_guide",
    "standing",
    "travel",
    "tube_push",
    "water_push",
]


def travel(y, p, l):
    """How far the vehicle has moved along its guide [m]."""
    return (
        y[EAST + l] * p[AXIS_EAST + l]
        + y[NORTH + l] * p[AXIS_NORTH + l]
        + y[UP + l] * p[AXIS_UP + l]
    )


def speed_along_guide(y, p, l):
    """How fast the vehicle moves along its guide [m/s]."""
    return (
        y[V_EAST + l] * p[AXIS_EAST + l]
        + y[V_NORTH + l] * p[AXIS_NORTH + l]
        + y[V_UP + l] * p[AXIS_UP + l]
    )


def standing(y, p, l):
    """1 on the test stand and at rest on the guide, where something carries the weight; else 0."""
    rests = p[ON_GUIDE + l] > 0.5 and speed_along_guide(y, p, l) <= 0.0
    return 1.0 if rests or p[HELD + l] > 0.5 else 0.0


def weight_along_guide(p, l):
    """What an accelerometer along the axis shows where the weight is carried [m/s2]."""
    return p[GRAVITY + l] * p[AXIS_UP + l]


def ambient(y, p, l):
    """Pressure of the air outside [Pa]."""
    return air_pressure_at(y[UP + l], p[PAD_PRESSURE + l], p[PAD_TEMPERATURE + l])


def gas_state(y, p, l, s, z, extra_volume):
    """Absolute pressure [Pa], volume [m3] of the gas inside, and its cooling slope dlnT/dlnv.

    ``s`` and ``z`` lead to the set of vessels in the parameters and in the state.
    """
    temperature = y[GAS_TEMPERATURE + z + l]
    volume = (
        p[VESSEL_VOLUME + s + l] - max(y[WATER + z + l], 0.0) / p[WATER_DENSITY + l] + extra_volume
    )
    dry = y[GAS + z + l] * p[GAS_CONSTANT + l] * temperature / volume
    moist = p[MOIST + l]
    pressure = dry + moist * saturation_vapour_pressure(temperature)
    fixed = 1.0 - p[EXPONENT + l]
    slope = moist * moist_expansion_slope(temperature, dry) + (1.0 - moist) * fixed
    return pressure, volume, slope


def gauge_pressure(extra_volume, y, p, l, s, z):
    """Pressure of the gas inside over the air outside [Pa]."""
    pressure, _volume, _slope = gas_state(y, p, l, s, z, extra_volume)
    return pressure - ambient(y, p, l)


def tube_push(y, p, l):
    """Push of the gas on a vehicle that slides along its launch tube.

    Returns thrust [N] and the logarithmic rate of the gas volume per metre of travel [1/m].
    """
    pressure, volume, slope = gas_state(y, p, l, 0, 0, p[TUBE_AREA + l] * travel(y, p, l))
    thrust = (pressure - ambient(y, p, l)) * p[TUBE_AREA + l]
    return thrust, p[TUBE_AREA + l] / volume, slope


def water_driving_pressure(y, p, l, s, z, felt_acceleration):
    """Pressure that drives the water [Pa], with what ``water_push`` needs beside it."""
    pressure, volume, slope = gas_state(y, p, l, s, z, 0.0)
    height = column_height(y, p, l, s, z)
    flow_area = p[FLOW_COEFFICIENT + s + l] * p[THROAT_AREA + s + l]
    ratio = flow_area / p[COLUMN_AREA + s + l]
    inertia = column_inertia_pressure(pressure, volume, flow_area, height, ratio, 1.0 - slope)
    still = pressure - ambient(y, p, l) + p[WATER_DENSITY + l] * height * felt_acceleration
    return still, inertia, ratio, height, volume, slope


def still_driving_pressure(y, p, l, s, z):
    """Pressure that drives the water of a vehicle that nothing but its weight presses [Pa].

    The weight presses only where it is carried: a vehicle in flight falls with its water.
    """
    felt = standing(y, p, l) * weight_along_guide(p, l)
    return water_driving_pressure(y, p, l, s, z, felt)[0]


def _jet_speed(still, inertia, ratio, gain, p, l):
    # Beyond a tenth the first-order closure of the column's inertia means nothing.
    driving = still + min(inertia, 0.1 * still) if still > 0.0 else 0.0
    return water_jet_speed(driving, p[WATER_DENSITY + l], ratio, gain)


def water_push(y, p, l, s, z, mass, felt_acceleration):
    """Thrust [N], water flow [kg/s] and logarithmic rate of temperature [1/s].

    ``mass`` is what this thrust accelerates, ``felt_acceleration`` what an accelerometer along
    the axis of a free vehicle would show without it. Where something carries the vehicle, the
    water feels its weight, or what the thrust makes of it if that lifts: the stronger of the two,
    and so the faster jet.
    """
    held = p[HELD + l]
    weight = weight_along_guide(p, l)
    felt = held * weight + (1.0 - held) * felt_acceleration
    still, inertia, ratio, height, volume, slope = water_driving_pressure(y, p, l, s, z, felt)
    per_square = water_thrust_per_speed_squared(
        p[WATER_DENSITY + l],
        p[THROAT_AREA + s + l],
        p[FLOW_COEFFICIENT + s + l],
        p[VELOCITY_COEFFICIENT + s + l],
    )
    gain = (1.0 - held) * height * per_square / mass
    speed = _jet_speed(still, inertia, ratio, gain, p, l)
    carried = still + p[WATER_DENSITY + l] * height * (weight - felt)
    carried_speed = standing(y, p, l) * _jet_speed(carried, inertia, ratio, 0.0, p, l)
    speed = max(speed, carried_speed)
    outflow = p[FLOW_COEFFICIENT + s + l] * p[THROAT_AREA + s + l] * speed
    return (
        per_square * speed * speed,
        p[WATER_DENSITY + l] * outflow,
        slope * outflow / volume,
    )


def air_push(y, p, l, s, z):
    """Thrust [N], flows of gas and water [kg/s], and logarithmic rate of temperature [1/s]."""
    pressure, volume, slope = gas_state(y, p, l, s, z, 0.0)
    outside = ambient(y, p, l)
    flux, speed, exit_pressure = air_jet(
        pressure, y[GAS_TEMPERATURE + z + l], outside, p[GAS_CONSTANT + l]
    )
    flow_area = p[FLOW_COEFFICIENT + s + l] * p[THROAT_AREA + s + l]
    gas_share, water_share = mist_share(y[WATER + z + l], y[GAS + z + l])
    gas_flow = flow_area * flux * gas_share
    water_flow = flow_area * flux * water_share
    thrust = flow_area * (p[VELOCITY_COEFFICIENT + s + l] * flux * speed + exit_pressure - outside)
    swelling = water_flow / (p[WATER_DENSITY + l] * volume) + gas_flow / y[GAS + z + l]
    return max(thrust, 0.0), gas_flow, water_flow, slope * swelling
