"""A battery under load, and what moves at its voltage."""

from __future__ import annotations

__all__ = ["loaded_voltage", "travel_time"]


def loaded_voltage(voltage: float, resistance: float, current: float) -> float:
    r"""Voltage of a battery under load.

    .. math:: U = U_0 - R I

    Parameters
    ----------
    voltage : float
        Without load, [V]
    resistance : float
        Inner resistance of battery and wires, [ohm]
    current : float
        Current drawn, [A]

    Returns
    -------
    voltage : float
        At the terminals, [V]

    Notes
    -----
    Range: loads of seconds; what a battery loses by being emptied is not in it.

    References
    ----------
    Ohm's law.

    Examples
    --------
    >>> round(loaded_voltage(3.9, 0.25, 1.2), 3)
    3.6
    """
    return voltage - resistance * current


def travel_time(time: float, full_voltage: float, voltage: float, least_voltage: float) -> float:
    r"""Time that an actuator takes to move at less than its battery's full voltage.

    .. math:: t = t_0\,\frac{U_0}{U} \quad (U \ge U_{min}), \qquad t = \infty \quad (U < U_{min})

    Parameters
    ----------
    time : float
        At full voltage, [s]
    full_voltage : float
        The voltage at which that was measured, [V]
    voltage : float
        The voltage now, [V]
    least_voltage : float
        Below it nothing moves, [V]

    Returns
    -------
    time : float
        Time to move; infinite where it does not, [s]

    Notes
    -----
    Range: small motors with a light load, whose speed goes with the voltage; a wire that burns
    through is slower than that at low voltage.

    References
    ----------
    Common practice for small motors, no source.

    Examples
    --------
    >>> round(travel_time(0.09, 3.9, 3.6, 2.9), 4)
    0.0975
    >>> travel_time(0.09, 3.9, 2.5, 2.9)
    inf
    """
    if voltage < least_voltage or voltage <= 0.0:
        return float("inf")
    return time * full_voltage / voltage
