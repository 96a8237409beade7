"""A closed bay that breathes through holes: how far its pressure trails the air outside."""

from __future__ import annotations

from math import sqrt

from loftwright.physics.atmosphere import GRAVITY, R_AIR

__all__ = ["breathed_excess", "vent_constant", "vent_excess", "vent_ratio"]


def vent_excess(
    volume: float,
    vent_area: float,
    flow_coefficient: float,
    climb: float,
    density: float,
    temperature: float,
    exponent: float = 1.0,
) -> float:
    r"""Excess pressure in a vented bay that climbs steadily.

    .. math:: \Delta p = \frac{1}{2\rho}\left(\frac{\dot m}{C_d A}\right)^2,
        \qquad \dot m = \frac{V}{n R T}\,\rho g v

    Parameters
    ----------
    volume : float
        Air in the bay, [m^3]
    vent_area : float
        Area of all vents together, [m^2]
    flow_coefficient : float
        Discharge coefficient of a vent, [-]
    climb : float
        Climb speed; negative in descent, [m/s]
    density : float
        Density of the air, [kg/m^3]
    temperature : float
        Temperature of the air in the bay, [K]
    exponent : float, optional
        Of p V^n = constant in the bay: 1 for walls that keep its air's temperature, 1.4 for walls
        that take up no heat, [-]

    Returns
    -------
    excess : float
        Pressure in the bay less that at the vents; it reads low by that in climb, [Pa]

    Raises
    ------
    ValueError
        If the vent area is not above zero.

    Notes
    -----
    Range: excess below 5 kPa, where the flow through a vent may be taken as that of a liquid; and
    slow changes, during which inflow and outflow keep up (`breathed_excess` follows quick ones).

    References
    ----------
    The approach of NASA SP-8060, *Compartment Venting* (1970) (located, not re-read).

    Examples
    --------
    >>> round(vent_excess(200e-6, 7.854e-7, 0.6, 50.0, 1.225, 288.15), 3)
    3.877
    """
    if vent_area <= 0:
        raise ValueError("the area of the vents must be above zero")
    flow = volume / (exponent * R_AIR * temperature) * density * GRAVITY * climb
    speed = flow / (flow_coefficient * vent_area)
    return speed * abs(speed) / (2.0 * density)


def vent_ratio(volume: float, vent_area: float) -> float:
    r"""Volume of a bay over the area of its vents.

    .. math:: \lambda = V / A

    Parameters
    ----------
    volume : float
        Air in the bay, [m^3]
    vent_area : float
        Area of all vents together, [m^2]

    Returns
    -------
    ratio : float
        Volume over area, [m]

    Notes
    -----
    Range: up to 50.8 m (2000 inches) is the rule of thumb for compartments of launch vehicles.
    For reading heights that is strict: at 50 m/s such a bay trails by 0.15 Pa.

    References
    ----------
    Rule of thumb for compartment venting (from memory).

    Examples
    --------
    >>> round(vent_ratio(200e-6, 4 * 3.1416e-6), 1)
    15.9
    """
    return volume / vent_area


def vent_constant(
    step: float,
    volume: float,
    vent_area: float,
    flow_coefficient: float,
    density: float,
    temperature: float,
) -> float:
    r"""How strongly vents pull a bay towards the pressure outside, over one step of time.

    .. math:: K = \Delta t\,\frac{R T}{V}\,C_d A \sqrt{2\rho}

    Parameters
    ----------
    step : float
        Time step, [s]
    volume : float
        Air in the bay, [m^3]
    vent_area : float
        Area of all vents together, [m^2]
    flow_coefficient : float
        Discharge coefficient of a vent, [-]
    density : float
        Density of the air, [kg/m^3]
    temperature : float
        Temperature of the air in the bay, [K]

    Returns
    -------
    constant : float
        The constant of `breathed_excess`, [Pa^0.5]

    Notes
    -----
    Range: as `vent_excess`, for air that keeps its temperature.

    References
    ----------
    Balance of mass with the law of an orifice.

    Examples
    --------
    >>> round(vent_constant(0.02, 180e-6, 1.2566e-5, 0.6, 1.225, 288.15), 1)
    108.5
    """
    drained = flow_coefficient * vent_area * sqrt(2.0 * density)
    return step * R_AIR * temperature / volume * drained


def breathed_excess(closed: float, constant: float) -> float:
    r"""Excess pressure in a bay after a step, from what it would be had the vents been closed.

    .. math:: x + K\,\mathrm{sign}(x)\sqrt{|x|} = b
        \quad\Rightarrow\quad
        \sqrt{|x|} = \frac{2\,|b|}{K + \sqrt{K^2 + 4\,|b|}}

    Parameters
    ----------
    closed : float
        Excess after the step without any flow through the vents, [Pa]
    constant : float
        Of `vent_constant`; 0 where the vents are blocked, [Pa^0.5]

    Returns
    -------
    excess : float
        Pressure in the bay less that at the vents, [Pa]

    Notes
    -----
    Range: any step: it is the implicit step of the balance of mass, solved in closed form, so it
    neither overshoots nor rings however small the bay. In a steady climb it gives `vent_excess`.

    References
    ----------
    Implicit Euler step of the balance of mass with the law of an orifice.

    Examples
    --------
    >>> round(breathed_excess(12.0, 4.0), 4)
    4.0
    >>> round(breathed_excess(-12.0, 0.0), 9)
    -12.0
    """
    size = abs(closed)
    if size == 0.0:
        return 0.0
    root = 2.0 * size / (constant + sqrt(constant * constant + 4.0 * size))
    return root * root if closed > 0.0 else -root * root
