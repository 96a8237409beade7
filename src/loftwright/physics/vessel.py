"""Stress in the wall of a pressurised vessel, and how proof pressures are chosen.

Stresses are arithmetic: arrays may stand where floats do. A stress below the strength of the
material does not make a bottle safe: necks, bases, scratches and age decide.
"""

from __future__ import annotations

__all__ = [
    "allowable_stress",
    "axial_stress",
    "burst_derived_pressure",
    "hoop_stress",
    "hoop_stress_thick",
    "hydrostatic_test_pressure",
    "hydrostatic_test_pressure_europe",
    "pneumatic_test_pressure",
    "von_mises_stress",
]


def hoop_stress(gauge_pressure: float, inner_radius: float, wall: float) -> float:
    r"""Stress round the circumference of a thin-walled cylinder.

    .. math:: \sigma_h = \frac{p\, r_i}{t}

    Parameters
    ----------
    gauge_pressure : float
        Gauge pressure inside, [Pa]
    inner_radius : float
        Inner radius, [m]
    wall : float
        Wall thickness, [m]

    Returns
    -------
    stress : float
        Hoop stress, [Pa]

    Notes
    -----
    Range: walls thinner than a tenth of the radius, away from ends. Real bottles often fail at
    base or neck first: the wall is an upper bound of what they hold.

    References
    ----------
    S. Timoshenko, *Strength of Materials*, part I, thin-walled cylinders (from memory).

    Examples
    --------
    >>> round(hoop_stress(5e5, 54e-3, 0.30e-3) / 1e6, 3)
    90.0
    """
    return gauge_pressure * inner_radius / wall


def axial_stress(gauge_pressure: float, inner_radius: float, wall: float) -> float:
    r"""Stress along the axis of a thin-walled cylinder with closed ends.

    .. math:: \sigma_a = \frac{p\, r_i}{2 t}

    Parameters
    ----------
    gauge_pressure : float
        Gauge pressure inside, [Pa]
    inner_radius : float
        Inner radius, [m]
    wall : float
        Wall thickness, [m]

    Returns
    -------
    stress : float
        Axial stress, [Pa]

    Notes
    -----
    Range: as for `hoop_stress`.

    References
    ----------
    As for `hoop_stress`.

    Examples
    --------
    >>> round(axial_stress(5e5, 54e-3, 0.30e-3) / 1e6, 3)
    45.0
    """
    return 0.5 * hoop_stress(gauge_pressure, inner_radius, wall)


def von_mises_stress(first: float, second: float) -> float:
    r"""One-dimensional stress that strains a wall as hard as two principal stresses do.

    .. math:: \sigma_v = \sqrt{\sigma_1^2 - \sigma_1 \sigma_2 + \sigma_2^2}

    Parameters
    ----------
    first, second : float
        Principal stresses in the plane of the wall, [Pa]

    Returns
    -------
    stress : float
        Equivalent stress, [Pa]

    Notes
    -----
    Range: plane stress in a ductile material.

    References
    ----------
    S. Timoshenko, *Strength of Materials*, part II, theories of strength (from memory).

    Examples
    --------
    >>> round(von_mises_stress(90.0, 45.0), 3)
    77.942
    """
    root: float = (first * first - first * second + second * second) ** 0.5
    return root


def hoop_stress_thick(gauge_pressure: float, inner_radius: float, wall: float) -> float:
    r"""Hoop stress at the inner surface of a cylinder of any thickness (Lame).

    .. math:: \sigma = p\, \frac{r_o^2 + r_i^2}{r_o^2 - r_i^2}, \qquad r_o = r_i + t

    Parameters
    ----------
    gauge_pressure : float
        Gauge pressure inside, [Pa]
    inner_radius : float
        Inner radius, [m]
    wall : float
        Wall thickness, [m]

    Returns
    -------
    stress : float
        Hoop stress at the inner surface, [Pa]

    Notes
    -----
    Range: elastic cylinders away from their ends.

    References
    ----------
    S. Timoshenko and J. N. Goodier, *Theory of Elasticity*, thick cylinders (from memory).

    Examples
    --------
    >>> round(hoop_stress_thick(5e5, 54e-3, 0.30e-3) / 1e6, 3)
    90.251
    """
    outer = inner_radius + wall
    return (
        gauge_pressure
        * (outer * outer + inner_radius * inner_radius)
        / (outer * outer - inner_radius * inner_radius)
    )


def hydrostatic_test_pressure(working_pressure: float, stress_ratio: float) -> float:
    r"""Proof pressure with water in the American boiler code.

    .. math:: p_t = 1.3\, p_w\, R

    Parameters
    ----------
    working_pressure : float
        Maximum working gauge pressure, [Pa]
    stress_ratio : float
        Lowest ratio of allowable stress at test to that at work temperature, [-]

    Returns
    -------
    pressure : float
        Test gauge pressure, [Pa]

    Notes
    -----
    Range: code vessels of metal; for plastic bottles a custom borrowed from them. The factor was
    1.5 before the 1999 addenda.

    References
    ----------
    ASME Boiler and Pressure Vessel Code, section VIII division 1, UG-99(b).

    Examples
    --------
    >>> hydrostatic_test_pressure(100.0, 1.0)
    130.0
    """
    return 1.3 * working_pressure * stress_ratio


def pneumatic_test_pressure(working_pressure: float, stress_ratio: float) -> float:
    r"""Proof pressure with gas in the American boiler code.

    .. math:: p_t = 1.1\, p_w\, R

    Parameters
    ----------
    working_pressure : float
        Maximum working gauge pressure, [Pa]
    stress_ratio : float
        Lowest ratio of allowable stress at test to that at work temperature, [-]

    Returns
    -------
    pressure : float
        Test gauge pressure, [Pa]

    Notes
    -----
    Range: code vessels of metal. A test with gas stores a hundred times the energy of one with
    water; plastic bottles are proof-tested with water only.

    References
    ----------
    ASME Boiler and Pressure Vessel Code, section VIII division 1, UG-100.

    Examples
    --------
    >>> round(pneumatic_test_pressure(100.0, 1.0), 6)
    110.0
    """
    return 1.1 * working_pressure * stress_ratio


def burst_derived_pressure(
    burst_pressure: float,
    specified_strength: float,
    average_strength: float,
    joint_efficiency: float,
) -> float:
    r"""Working pressure that a burst test of a sister vessel allows in the American boiler code.

    .. math:: p_w = \frac{B}{4} \frac{S_u E}{S_{u,avg}}

    Parameters
    ----------
    burst_pressure : float
        Gauge pressure at which the sister vessel burst, [Pa]
    specified_strength : float
        Specified minimum tensile strength, [Pa]
    average_strength : float
        Tensile strength of the test specimens, [Pa]
    joint_efficiency : float
        Efficiency of welded joints, 1 without any, [-]

    Returns
    -------
    pressure : float
        Working gauge pressure, [Pa]

    Raises
    ------
    ValueError
        If a strength is not above zero.

    Notes
    -----
    Range: code vessels of metal; older editions divide by 5.

    References
    ----------
    ASME Boiler and Pressure Vessel Code, section VIII division 1, UG-101(m).

    Examples
    --------
    >>> burst_derived_pressure(12e5, 1.0, 1.0, 1.0)
    300000.0
    """
    if specified_strength <= 0 or average_strength <= 0:
        raise ValueError("strengths must be above zero")
    return burst_pressure / 4.0 * specified_strength * joint_efficiency / average_strength


def allowable_stress(ultimate_strength: float, yield_strength: float) -> float:
    r"""Stress that the American boiler code allows.

    .. math:: \sigma = \min\!\left(\frac{\sigma_u}{3.5},\; \tfrac23 \sigma_y\right)

    Parameters
    ----------
    ultimate_strength : float
        Tensile strength, [Pa]
    yield_strength : float
        Yield strength, [Pa]

    Returns
    -------
    stress : float
        Allowable stress, [Pa]

    Notes
    -----
    Range: metals below creep temperatures.

    References
    ----------
    ASME Boiler and Pressure Vessel Code, section II part D, appendix 1.

    Examples
    --------
    >>> round(allowable_stress(350.0, 240.0), 6)
    100.0
    """
    return min(ultimate_strength / 3.5, 2.0 / 3.0 * yield_strength)


def hydrostatic_test_pressure_europe(working_pressure: float, load_correction: float) -> float:
    r"""Proof pressure with water in the European directive.

    .. math:: p_t = p_w \max(1.25\, R,\; 1.43)

    Parameters
    ----------
    working_pressure : float
        Maximum working gauge pressure, [Pa]
    load_correction : float
        Strength at test over strength at work temperature, [-]

    Returns
    -------
    pressure : float
        Test gauge pressure, [Pa]

    Notes
    -----
    Range: pressure equipment under the directive; bottles as rockets are none.

    References
    ----------
    Directive 2014/68/EU, annex I, section 7.4 (from memory).

    Examples
    --------
    >>> round(hydrostatic_test_pressure_europe(100.0, 1.0), 6)
    143.0
    """
    return working_pressure * max(1.25 * load_correction, 1.43)
