"""Flights simple enough to solve on paper; they check the kernel, and stopwatches."""

from __future__ import annotations

from math import atan, expm1, log1p, sin, sqrt

__all__ = [
    "canopy_drift",
    "fall_time",
    "impact_speed",
    "rise_height",
    "rise_time",
    "stopwatch_height",
    "terminal_speed_of",
    "vacuum_range",
]

GRAVITY = 9.80665  # m/s2


def terminal_speed_of(mass: float, density: float, drag_area: float) -> float:
    r"""Speed at which drag balances weight.

    .. math:: v_t = \sqrt{\frac{2 m g}{\rho\, C_D A}}

    Parameters
    ----------
    mass : float
        Mass, [kg]
    density : float
        Density of the air, [kg/m^3]
    drag_area : float
        Drag coefficient times area, [m^2]

    Returns
    -------
    speed : float
        Terminal speed, [m/s]

    Raises
    ------
    ValueError
        If an argument is not above zero.

    Notes
    -----
    Range: drag with the square of speed; for canopies and for bodies alike.

    References
    ----------
    T. W. Knacke, *Parachute Recovery Systems Design Manual*, NWC TP 6575 (1991), ch. 5
    (from memory).

    Examples
    --------
    >>> round(terminal_speed_of(0.150, 1.225, 0.0030), 6)
    28.293866
    """
    if mass <= 0 or density <= 0 or drag_area <= 0:
        raise ValueError("mass, density and drag area must be above zero")
    return sqrt(2.0 * mass * GRAVITY / (density * drag_area))


def rise_height(speed: float, terminal_speed: float) -> float:
    r"""Height of a vertical shot with drag in still, even air.

    .. math:: H = \frac{v_t^2}{2g} \ln\left(1 + \frac{v_0^2}{v_t^2}\right)

    Parameters
    ----------
    speed : float
        Speed at the start, upward, [m/s]
    terminal_speed : float
        Speed at which drag balances weight, [m/s]

    Returns
    -------
    height : float
        Height of the top over the start, [m]

    Notes
    -----
    Range: constant density, drag with the square of speed.

    References
    ----------
    Newton, *Principia*, book II, section 2 (proposition 8); modern form computed.

    Examples
    --------
    >>> round(rise_height(50.0, 28.293866), 4)
    57.8185
    """
    ratio = speed / terminal_speed
    return terminal_speed * terminal_speed / (2.0 * GRAVITY) * log1p(ratio * ratio)


def rise_time(speed: float, terminal_speed: float) -> float:
    r"""Time to the top of a vertical shot with drag.

    .. math:: t = \frac{v_t}{g} \arctan\frac{v_0}{v_t}

    Parameters
    ----------
    speed : float
        Speed at the start, upward, [m/s]
    terminal_speed : float
        Speed at which drag balances weight, [m/s]

    Returns
    -------
    time : float
        Time to the top, [s]

    Notes
    -----
    Range: as for `rise_height`.

    References
    ----------
    As for `rise_height`.

    Examples
    --------
    >>> round(rise_time(50.0, 28.293866), 5)
    3.04629
    """
    return terminal_speed / GRAVITY * atan(speed / terminal_speed)


def fall_time(height: float, terminal_speed: float) -> float:
    r"""Time of a fall from rest with drag.

    .. math:: t = \frac{v_t}{g} \operatorname{arcosh} e^{g H / v_t^2}

    Parameters
    ----------
    height : float
        Height of the fall, [m]
    terminal_speed : float
        Speed at which drag balances weight, [m/s]

    Returns
    -------
    time : float
        Time of the fall, [s]

    Raises
    ------
    ValueError
        If the height is below zero.

    Notes
    -----
    Range: as for `rise_height`. Written as x + ln(1 + sqrt(1 - exp(-2x))), which neither overflows
    nor cancels.

    References
    ----------
    As for `rise_height`.

    Examples
    --------
    >>> round(fall_time(57.818456, 28.293866), 5)
    3.84993
    """
    if height < 0:
        raise ValueError("the height must not be below zero")
    drop = GRAVITY * height / terminal_speed**2
    return terminal_speed / GRAVITY * (drop + log1p(sqrt(-expm1(-2.0 * drop))))


def impact_speed(speed: float, terminal_speed: float) -> float:
    r"""Speed at which a vertical shot comes back to where it started.

    .. math:: v = \frac{v_0}{\sqrt{1 + (v_0/v_t)^2}}

    Parameters
    ----------
    speed : float
        Speed at the start, upward, [m/s]
    terminal_speed : float
        Speed at which drag balances weight, [m/s]

    Returns
    -------
    speed : float
        Speed on return, downward, [m/s]

    Notes
    -----
    Range: as for `rise_height`, same drag up and down.

    References
    ----------
    As for `rise_height`.

    Examples
    --------
    >>> round(impact_speed(50.0, 28.293866), 5)
    24.62462
    """
    ratio = speed / terminal_speed
    return speed / sqrt(1.0 + ratio * ratio)


def stopwatch_height(flight_time: float) -> float:
    r"""Height of a ballistic flight from its duration alone.

    .. math:: h = \tfrac18 g T^2

    Parameters
    ----------
    flight_time : float
        Time from burnout near the ground to the ground, no canopy, [s]

    Returns
    -------
    height : float
        Height, [m]

    Notes
    -----
    Range: exact without drag and too high by 0 to 3 % with it, up to a speed at the start of four
    times the terminal speed. A measured height above it is an error of the record.

    References
    ----------
    The closed forms of this file, compared.

    Examples
    --------
    >>> round(stopwatch_height(6.896220), 2)
    58.3
    """
    return GRAVITY * flight_time * flight_time / 8.0


def vacuum_range(speed: float, elevation: float) -> float:
    r"""Range of a shot without air over level ground.

    .. math:: R = \frac{v^2 \sin 2E}{g}

    Parameters
    ----------
    speed : float
        Speed at the start, [m/s]
    elevation : float
        Angle above the horizon, [rad]

    Returns
    -------
    distance : float
        Range, [m]

    Notes
    -----
    Range: no air; a bound from above.

    References
    ----------
    Galileo, *Discorsi* (1638), fourth day; modern form computed.

    Examples
    --------
    >>> round(vacuum_range(30.0, 0.7853981633974483), 3)
    91.774
    """
    return speed * speed * sin(2.0 * elevation) / GRAVITY


def canopy_drift(height: float, sink_speed: float, wind_speed: float) -> float:
    r"""Drift under a canopy in an even wind.

    .. math:: d = \frac{h}{v_s}\, u

    Parameters
    ----------
    height : float
        Height at opening, [m]
    sink_speed : float
        Rate of descent, [m/s]
    wind_speed : float
        Wind, [m/s]

    Returns
    -------
    distance : float
        Drift, [m]

    Raises
    ------
    ValueError
        If the rate of descent is not above zero.

    Notes
    -----
    Range: steady descent in constant wind.

    References
    ----------
    Kinematics of a steady descent.

    Examples
    --------
    >>> canopy_drift(100.0, 5.0, 8.0)
    160.0
    """
    if sink_speed <= 0:
        raise ValueError("the rate of descent must be above zero")
    return height / sink_speed * wind_speed
