"""Water driven through a throat by the air above it."""

from math import sqrt

__all__ = ["column_inertia_pressure", "water_jet_speed", "water_thrust_per_speed_squared"]


def water_jet_speed(
    driving_pressure: float, density: float, area_ratio: float, height_gain: float
) -> float:
    r"""Speed of the loss-free jet, with approach velocity and the head that thrust itself makes.

    .. math:: v^2 = \frac{2\,p}{\rho\,(1 - r^2 - 2 s)}

    Bernoulli between the free surface and the throat gives
    :math:`p_g + \rho a h = \tfrac12\rho v^2 (1-r^2)`. The felt acceleration of a vehicle that
    is free to move is :math:`a = a_0 + s\,v^2/h`, so the head grows with the jet and the equation
    stays linear in :math:`v^2`.

    Parameters
    ----------
    driving_pressure : float
        Gauge pressure of the air, plus head under the felt acceleration without thrust, plus
        the inertia pressure of the column [Pa]; no flow below zero.
    density : float
        Density of water [kg/m^3].
    area_ratio : float
        Flow area over the column's cross-section, r [-].
    height_gain : float
        Column height times felt acceleration per jet speed squared, s [-]; 0 when held.

    Returns
    -------
    float
        Jet speed [m/s].

    Notes
    -----
    Valid while the flow is quasi-steady: times long against column length over jet speed (a
    millisecond or two). The start-up of the jet in that time is left out.

    References
    ----------
    C. J. Gommes, "A more thorough analysis of water rockets", Am. J. Phys. 78 (2010) 236
    (from memory); G. A. Finney, Am. J. Phys. 68 (2000) 223 (from memory).

    Examples
    --------
    5 bar gauge, no approach velocity, no head:

    >>> round(water_jet_speed(5e5, 1000.0, 0.0, 0.0), 4)
    31.6228
    """
    return sqrt(
        2.0
        * max(driving_pressure, 0.0)
        / (density * (1.0 - area_ratio * area_ratio - 2.0 * height_gain))
    )


def water_thrust_per_speed_squared(
    density: float, throat_area: float, flow_coefficient: float, velocity_coefficient: float
) -> float:
    r"""Thrust of the water jet over the square of the loss-free jet speed.

    .. math:: F = C_d C_v \rho A v^2

    Parameters
    ----------
    density : float
        Density of water [kg/m^3].
    throat_area : float
        Throat area [m^2].
    flow_coefficient : float
        Mass flow over loss-free mass flow [-].
    velocity_coefficient : float
        Jet speed over loss-free jet speed [-].

    Returns
    -------
    float
        Thrust per speed squared [N s^2/m^2].

    Notes
    -----
    Valid for a full, unseparated jet. The momentum of the water inside the vessel rises and
    falls back to zero within the firing; it shifts a few per cent of thrust in time and none in
    impulse, and is left out.

    References
    ----------
    R. Barrio-Perotti et al., Eur. J. Phys. 31 (2010) 1131 (from memory).

    Examples
    --------
    Without losses the thrust is twice gauge pressure times throat area, here at 5 bar:

    >>> area = 3.6305e-4
    >>> speed = water_jet_speed(5e5, 1000.0, 0.0, 0.0)
    >>> round(water_thrust_per_speed_squared(1000.0, area, 1.0, 1.0) * speed**2, 2)
    363.05
    """
    return density * throat_area * flow_coefficient * velocity_coefficient


def column_inertia_pressure(
    pressure: float,
    gas_volume: float,
    flow_area: float,
    column_height: float,
    area_ratio: float,
    expansion_exponent: float,
) -> float:
    r"""Pressure that the slowing column adds at the throat, to first order.

    .. math:: p_i = -\rho L \dot v \approx \frac{L\,n\,p\,A}{V},\qquad L = r h

    The unsteady term of Bernoulli's equation, with the jet's slowing taken from the quasi-steady
    solution: :math:`\rho v \dot v = \dot p = -n p\,A v / V`.

    Parameters
    ----------
    pressure : float
        Absolute pressure of the air [Pa].
    gas_volume : float
        Volume of the air [m^3].
    flow_area : float
        Throat area times flow coefficient, A [m^2].
    column_height : float
        Height of the water column, h [m].
    area_ratio : float
        Flow area over the column's cross-section, r [-].
    expansion_exponent : float
        Local exponent n of p V^n [-].

    Returns
    -------
    float
        Pressure [Pa], positive.

    Notes
    -----
    Valid while :math:`p_i` is small against the gauge pressure (it is a fraction of a per cent
    for a bottle's neck and under 3 % for a full-bore tube).

    References
    ----------
    Unsteady Bernoulli equation, e.g. L. M. Milne-Thomson, Theoretical Hydrodynamics, section
    3.60 (from memory); first-order closure derived here.

    Examples
    --------
    A two-litre bottle's neck, 10 cm of water under 6 bar: a fraction of a per cent of the push.

    >>> round(column_inertia_pressure(6e5, 1.3e-3, 3.6e-4, 0.1, 0.04, 1.3))
    864
    """
    return area_ratio * column_height * expansion_exponent * pressure * flow_area / gas_volume
