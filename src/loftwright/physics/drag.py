"""Drag of body and fins at zero incidence: skin friction over Reynolds number, and the base."""

from __future__ import annotations

from math import exp, log, pi, sqrt

__all__ = [
    "base_drag_coefficient",
    "drag_area",
    "friction_at",
    "rough_friction",
    "settled_drag_area",
    "skin_friction",
]

LOWEST_REYNOLDS = 1e3  # below it the laws of boundary layers say nothing; drag is negligible
LEAST_SPEED = 1e-6  # m/s, keeps the logarithms finite at rest
INVERSE_LN_10 = 1.0 / log(10.0)


def skin_friction(reynolds: float, relative_roughness: float) -> float:
    r"""Mean friction coefficient of one side of a plate, laminar in front, then turbulent.

    .. math::
        C_f = \max\!\left(\frac{1.328}{\sqrt{Re}},\;
        \max\!\left(\frac{0.455}{(\log_{10} Re)^{2.58}},\, 0.032 (k/L)^{0.2}\right)
        - \frac{1700}{Re}\right)

    Parameters
    ----------
    reynolds : float
        Reynolds number on the length of the plate, [-]
    relative_roughness : float
        Equivalent sand roughness over the length, [-]

    Returns
    -------
    coefficient : float
        Mean friction coefficient on the wetted area, [-]

    Notes
    -----
    Range: 1e3 to 1e9, incompressible, transition at Re = 5e5. The deduction 1700/Re for the
    laminar front is senseless below Re = 5e5, where the laminar line takes over; it is applied
    to the rough wall too, which keeps the law continuous. Below Re = 1e3 the value at 1e3.

    References
    ----------
    H. Schlichting, *Boundary-Layer Theory*, 7th ed. (1979), eqs. 7.34 and 21.16, table 21.1;
    fully rough limit as in S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 5 (from memory).

    Examples
    --------
    >>> round(skin_friction(3e6, 0.0), 6)
    0.003103
    >>> round(skin_friction(1e5, 0.0), 6)
    0.0042
    """
    return friction_at(reynolds, rough_friction(relative_roughness))


def rough_friction(relative_roughness: float) -> float:
    r"""Friction coefficient of a fully rough plate, which no speed changes.

    .. math:: C_f = 0.032 (k/L)^{0.2}

    Parameters
    ----------
    relative_roughness : float
        Equivalent sand roughness over the length, [-]

    Returns
    -------
    coefficient : float
        Mean friction coefficient on the wetted area, [-]

    Notes
    -----
    Range: k/L of 1e-7 to 1e-2; as good as nothing at zero.

    References
    ----------
    S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 5 (from memory).

    Examples
    --------
    >>> round(rough_friction(1e-5), 6)
    0.0032
    """
    return 0.032 * exp(0.2 * log(max(relative_roughness, 1e-30)))


def friction_at(reynolds: float, rough: float) -> float:
    r"""Mean friction coefficient of a plate whose fully rough limit is known.

    .. math::
        C_f = \max\!\left(\frac{1.328}{\sqrt{Re}},\;
        \max\!\left(\frac{0.455}{(\log_{10} Re)^{2.58}},\, C_{f,\infty}\right)
        - \frac{1700}{Re}\right)

    Parameters
    ----------
    reynolds : float
        Reynolds number on the length of the plate, [-]
    rough : float
        Friction coefficient of the same plate fully rough, [-]

    Returns
    -------
    coefficient : float
        Mean friction coefficient on the wetted area, [-]

    Notes
    -----
    Range: as `skin_friction`, of which this is the part that changes with speed.

    References
    ----------
    As `skin_friction`.

    Examples
    --------
    >>> round(friction_at(3e6, 0.0), 6)
    0.003103
    """
    re = max(reynolds, LOWEST_REYNOLDS)
    smooth = 0.455 * exp(-2.58 * log(log(re) * INVERSE_LN_10))
    over = 1.0 / sqrt(re)  # one division for both: they cost most
    return max(1.328 * over, max(smooth, rough) - 1700.0 * over * over)


def base_drag_coefficient(forebody_drag_coefficient: float, diameter_ratio: float) -> float:
    r"""Drag of a blunt tail, thinner when the boundary layer ahead of it is thick.

    .. math:: C_{DB} = \frac{0.029\,(d_b/d)^3}{\sqrt{C_{Df}}}

    Parameters
    ----------
    forebody_drag_coefficient : float
        Drag coefficient of what lies ahead of the base, on the body's cross-section, [-]
    diameter_ratio : float
        Diameter of the base over that of the body, [-]

    Returns
    -------
    coefficient : float
        Base drag coefficient on the body's cross-section, [-]

    Notes
    -----
    Range: subsonic, bodies of revolution with forebody coefficients of about 0.05 to 0.5. The
    forebody's coefficient is kept at 1e-4 or more.

    References
    ----------
    S. F. Hoerner, "Base drag and thick trailing edges", J. Aeronaut. Sci. 17 (1950) 622-628,
    doi:10.2514/8.1750 (formula from memory).

    Examples
    --------
    >>> round(base_drag_coefficient(0.1, 1.0), 5)
    0.09171
    """
    ratio = diameter_ratio
    return 0.029 * ratio * ratio * ratio / sqrt(max(forebody_drag_coefficient, 1e-4))


def drag_area(
    speed: float,
    kinematic_viscosity: float,
    body_length: float,
    body_friction_area: float,
    fin_chord: float,
    fin_friction_area: float,
    pressure_drag_area: float,
    base_diameter: float,
    reference_area: float,
    roughness: float,
    base_open: float,
) -> float:
    r"""Drag coefficient times area of body and fins at zero incidence.

    .. math::
        C_D A = C_{f,b} A_b + C_{f,f} A_f + A_p + b\, C_{DB} A, \qquad
        C_{Df} = \frac{C_{f,b} A_b}{A}

    Parameters
    ----------
    speed : float
        Airspeed, [m/s]
    kinematic_viscosity : float
        Kinematic viscosity of the air, [m^2/s]
    body_length : float
        Length of the body, [m]
    body_friction_area : float
        Wetted area of the body times its form factor, [m^2]
    fin_chord : float
        Mean chord of the fins, [m]
    fin_friction_area : float
        Wetted area of the fins, both sides, times their form factor, [m^2]
    pressure_drag_area : float
        Drag coefficient times area of what does not depend on Reynolds number, [m^2]
    base_diameter : float
        Diameter of the base, [m]
    reference_area : float
        Cross-section of the body, [m^2]
    roughness : float
        Equivalent sand roughness of the surface, [m]
    base_open : float
        Share of the base drag that acts: 1 coasting, less while a jet fills the base, [-]

    Returns
    -------
    area : float
        Zero-lift drag coefficient times area, [m^2]

    Notes
    -----
    Range: subsonic, below Mach 0.6 or so. Interference between body and fins is left out.

    References
    ----------
    Build-up after S. F. Hoerner, *Fluid-Dynamic Drag* (1965), chs. 2, 3 and 6 (from memory).

    Examples
    --------
    A body 0.85 m long and 0.11 m thick with four fins, at 30 m/s:

    >>> area = drag_area(30.0, 1.46e-5, 0.85, 0.29, 0.09, 0.065, 0.0, 0.03, 0.0095, 2e-5, 1.0)
    >>> 0.1 < area / 0.0095 < 0.2
    True
    """
    return settled_drag_area(
        speed,
        kinematic_viscosity,
        body_length,
        fin_chord,
        body_friction_area,
        fin_friction_area,
        rough_friction(roughness / body_length),
        rough_friction(roughness / fin_chord),
        pressure_drag_area,
        base_diameter / sqrt(4.0 * reference_area / pi),
        reference_area,
        base_open,
    )


def settled_drag_area(
    speed: float,
    kinematic_viscosity: float,
    body_length: float,
    fin_chord: float,
    body_friction_area: float,
    fin_friction_area: float,
    body_rough: float,
    fin_rough: float,
    pressure_drag_area: float,
    base_ratio: float,
    reference_area: float,
    base_open: float,
) -> float:
    r"""Drag coefficient times area, with all that no speed changes worked out before.

    .. math:: C_D A = C_{f,b} A_b + C_{f,f} A_f + A_p + b\, C_{DB} A

    Parameters
    ----------
    speed : float
        Airspeed, [m/s]
    kinematic_viscosity : float
        Kinematic viscosity of the air, [m^2/s]
    body_length, fin_chord : float
        Length of the body and mean chord of the fins, [m]
    body_friction_area, fin_friction_area : float
        Wetted area of each times its form factor, [m^2]
    body_rough, fin_rough : float
        Friction coefficient of each fully rough, [-]
    pressure_drag_area : float
        Drag coefficient times area of what does not depend on Reynolds number, [m^2]
    base_ratio : float
        Diameter of the base over that of the body, [-]
    reference_area : float
        Cross-section of the body, [m^2]
    base_open : float
        Share of the base drag that acts, [-]

    Returns
    -------
    area : float
        Drag coefficient times reference area, [m^2]

    Notes
    -----
    Range: as `drag_area`, which this is the second half of.

    References
    ----------
    As `skin_friction` and `base_drag_coefficient`.

    Examples
    --------
    >>> round(settled_drag_area(30.0, 1.46e-5, 0.85, 0.09, 0.29, 0.065, 0.0, 0.0,
    ...     0.0, 0.0, 0.0095, 1.0), 6) == round(drag_area(30.0, 1.46e-5, 0.85, 0.29, 0.09,
    ...     0.065, 0.0, 0.0, 0.0095, 0.0, 1.0), 6)
    True
    """
    rate = max(speed, LEAST_SPEED) / kinematic_viscosity
    body = friction_at(rate * body_length, body_rough) * body_friction_area
    fins = friction_at(rate * fin_chord, fin_rough) * fin_friction_area
    base = base_drag_coefficient(body / reference_area, base_ratio) * reference_area
    return body + fins + pressure_drag_area + base_open * base
