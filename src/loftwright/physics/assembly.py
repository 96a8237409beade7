"""A vehicle put together: water, gas and a payload in and on the dry body."""

from __future__ import annotations

__all__ = ["column_moments", "loaded"]

PI = 3.141592653589793


def column_moments(
    area: float, length: float, aft: float, water: float, gas: float, water_density: float
) -> tuple[float, float, float]:
    r"""Mass of the water and the gas in a column, and its moments about the nose tip.

    .. math::
        m = \sum m_i, \qquad S = \sum m_i x_i, \qquad
        I = \sum m_i \left(\frac{h_i^2}{12} + \frac{r^2}{4} + x_i^2\right)

    Parameters
    ----------
    area : float
        Cross-section of the vessels as one column, [m^2]
    length : float
        Length of the column, [m]
    aft : float
        Its aft end, from the nose tip, [m]
    water : float
        Water inside, [kg]
    gas : float
        Gas inside, [kg]
    water_density : float
        Density of water, [kg/m^3]

    Returns
    -------
    mass, first, across : float
        Mass [kg], first moment [kg*m] and moment of inertia across the axis [kg*m^2], both about
        the nose tip

    Notes
    -----
    Range: a vessel that stands on its nozzle or is pushed towards it. Water stands as a solid
    cylinder at the aft end, gas fills the rest; neither takes part in roll.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 32.

    Examples
    --------
    A litre of water that fills the last 0.2 m of a metre:

    >>> [round(value, 4) for value in column_moments(0.005, 0.4, 1.0, 1.0, 0.0, 1000.0)]
    [1.0, 0.9, 0.8137]
    """
    depth = water / (water_density * area)
    water_at = aft - 0.5 * depth
    gas_at = aft - 0.5 * (depth + length)
    round_term = area / (4.0 * PI)
    above = length - depth
    across = water * (depth * depth / 12.0 + round_term + water_at * water_at) + gas * (
        above * above / 12.0 + round_term + gas_at * gas_at
    )
    return water + gas, water * water_at + gas * gas_at, across


def loaded(
    dry: tuple[float, float, float, float],
    column: tuple[float, float, float],
    payload: tuple[float, float, float, float, float],
    water: float,
    gas: float,
    water_density: float,
) -> tuple[float, float, float, float, float]:
    r"""Mass, balance and inertia of the dry vehicle with what it holds and carries.

    .. math::
        x = \frac{\sum m_i x_i}{\sum m_i}, \qquad
        I = \sum \left(I_i + m_i (x_i - x)^2\right), \qquad
        I_{cyl} = m \left(\frac{h^2}{12} + \frac{r^2}{4}\right)

    Parameters
    ----------
    dry : tuple of float
        Mass [kg], balance from nose [m], inertia across and along about it [kg*m^2]
    column : tuple of float
        Cross-section [m^2], length [m] and aft end from nose [m] of the vessels as one column
    payload : tuple of float
        Mass [kg], place from nose [m], sideways place [m], own inertia across and along [kg*m^2]
    water : float
        Water inside, [kg]
    gas : float
        Gas inside, [kg]
    water_density : float
        Density of water, [kg/m^3]

    Returns
    -------
    mass, balance, across, along, offset : float
        Mass [kg], balance from nose [m], inertia across and along about it [kg*m^2], sideways
        place of the balance, towards the payload [m]

    Notes
    -----
    Range: symmetric vehicles with small payloads on the side, whose products of inertia are left
    out. Water stands as a solid cylinder at the aft end, gas fills the rest; neither takes part in
    roll. A payload beside the axis adds its reduced mass times offset squared along, and half of
    that across (the mean of the two planes).

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 32.

    Examples
    --------
    A body of 1 kg that balances at 0.5 m, with a litre of water that fills the last 0.2 m:

    >>> mass, balance, *_ = loaded(
    ...     (1.0, 0.5, 0.1, 0.01), (0.005, 0.4, 1.0), (0.0, 0.0, 0.0, 0.0, 0.0), 1.0, 0.0, 1000.0
    ... )
    >>> mass, round(balance, 3)
    (2.0, 0.7)
    """
    dry_mass, dry_balance, dry_across, dry_along = dry
    area, length, aft = column
    cargo, cargo_at, cargo_side, cargo_across, cargo_along = payload
    depth = water / (water_density * area)
    water_at = aft - 0.5 * depth
    gas_at = aft - 0.5 * (depth + length)
    mass = dry_mass + water + gas + cargo
    balance = (dry_mass * dry_balance + water * water_at + gas * gas_at + cargo * cargo_at) / mass
    round_term = area / (4.0 * PI)
    # Two masses side by side count, about their common balance, as one reduced mass.
    sideways = cargo * (mass - cargo) / mass * cargo_side * cargo_side
    dry_arm = dry_balance - balance
    water_arm = water_at - balance
    gas_arm = gas_at - balance
    cargo_arm = cargo_at - balance
    across = (
        dry_across
        + dry_mass * dry_arm * dry_arm
        + water * (depth * depth / 12.0 + round_term + water_arm * water_arm)
        + gas * ((length - depth) * (length - depth) / 12.0 + round_term + gas_arm * gas_arm)
        + cargo_across
        + cargo * cargo_arm * cargo_arm
        + 0.5 * sideways
    )
    return mass, balance, across, dry_along + cargo_along + sideways, cargo * cargo_side / mass
