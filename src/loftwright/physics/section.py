"""A thin plate in the air at Reynolds numbers of ten to a hundred thousand, at any incidence."""

from __future__ import annotations

from math import pi

__all__ = [
    "arc_lift_incidence",
    "attached_share",
    "broken_normal_force",
    "laminar_friction_drag",
    "plate_section",
]

TWO_PI = 2.0 * pi
INVERSE_TWO_PI = 0.5 / pi
# Effective incidence at which half of the flow has left the plate (judgement: flat plates of
# aspect ratio 5 or 6 then lift most at 8 to 10 degrees, with 0.65 to 0.7).
STALL = 0.15  # rad
INVERSE_STALL_SQUARED = 1.0 / (STALL * STALL)
# Share of the camber's incidence that counts towards the stall: a plate with 5 % camber then
# lifts 1.0 at most (judgement).
CAMBER_IN_STALL = 0.3
# However slender the wing, the flow leaves a plate that stands across it (judgement).
STEEPNESS_IN_STALL = 0.25


def arc_lift_incidence(camber: float) -> float:
    r"""Incidence that the camber of a thin arc is worth: it lifts as a flat plate would there.

    .. math:: \varepsilon = 2 f / c

    Parameters
    ----------
    camber : float
        Height of the arc over its chord, [-]

    Returns
    -------
    incidence : float
        Minus the incidence of no lift, [rad]

    Notes
    -----
    Range: thin arcs with camber below a tenth, inviscid. Plates of 5 % camber at low Reynolds
    numbers are measured some 20 % short of it.

    References
    ----------
    L. M. Milne-Thomson, *Theoretical Aerodynamics*, 4th ed. (1966), ch. VII (from memory).

    Examples
    --------
    >>> arc_lift_incidence(0.05)
    0.1
    """
    return 2.0 * camber


def laminar_friction_drag(reynolds: float) -> float:
    r"""Drag coefficient of a plate along the flow, both sides, laminar throughout.

    .. math:: C_{D0} = \frac{2 \cdot 1.328}{\sqrt{Re}}

    Parameters
    ----------
    reynolds : float
        Reynolds number on the chord, [-]

    Returns
    -------
    coefficient : float
        Drag coefficient on the area of one side, [-]

    Notes
    -----
    Range: 1e3 to 5e5. No small glider has less drag than this.

    References
    ----------
    H. Blasius, Z. Math. Phys. 56 (1908) 1-37; H. Schlichting, *Boundary-Layer Theory*, 7th ed.
    (1979), eq. 7.34.

    Examples
    --------
    >>> round(laminar_friction_drag(2e4), 6)
    0.018781
    """
    root: float = reynolds**0.5
    return 2.656 / root


def attached_share(effective: float, camber: float, sine: float) -> float:
    r"""Share of the flow that follows the plate.

    .. math::
        w = \frac{1}{1 + (x^2/\alpha_s^2)^3}, \qquad
        x^2 = (\alpha_e + 0.3\,\varepsilon)^2 + (\sin\alpha/4)^2

    Parameters
    ----------
    effective : float
        Incidence less what the wing's own wake takes from it, [rad]
    camber : float
        Incidence that the camber is worth, [rad]
    sine : float
        Sine of the incidence, [-]

    Returns
    -------
    share : float
        One attached, zero left altogether, [-]

    Notes
    -----
    Range: any. A smooth step in place of bubbles, hysteresis and time lags: judgement, set so that
    thin plates lift as much as is measured at Re 2e4 to 1e5.

    References
    ----------
    Largest lift of thin plates: E. V. Laitone, Exp. Fluids 23 (1997) 405-409; A. Pelletier and
    T. J. Mueller, J. Aircraft 37 (2000) 825-832 (the orderings; the numbers are judgement).

    Examples
    --------
    >>> attached_share(0.0, 0.0, 0.0)
    1.0
    >>> attached_share(0.3, 0.0, 0.3) < 0.02
    True
    """
    loading = effective + CAMBER_IN_STALL * camber
    steep = STEEPNESS_IN_STALL * sine
    square = (loading * loading + steep * steep) * INVERSE_STALL_SQUARED
    return 1.0 / (1.0 + square * square * square)


def broken_normal_force(sine: float) -> float:
    r"""Normal force of a plate that the flow has left, over that of the plate across the flow.

    .. math:: \frac{C_N}{C_{N90}} = \frac{0.505 \sin\alpha}{0.222 + 0.283\,|\sin\alpha|}

    Parameters
    ----------
    sine : float
        Sine of the incidence, [-]

    Returns
    -------
    ratio : float
        Normal force over that at right angles, with the sign of ``sine``, [-]

    Notes
    -----
    Range: any incidence, either way round.

    References
    ----------
    S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 3 (from memory).

    Examples
    --------
    >>> round(broken_normal_force(1.0), 12)
    1.0
    """
    return 0.505 * sine / (0.222 + 0.283 * abs(sine))


def plate_section(
    sine: float, cosine: float, slope: float, camber: float, broadside: float
) -> tuple[float, float, float, float]:
    r"""Forces on a piece of a thin wing at any incidence, also backwards and sideways.

    .. math::
        C_a = a (\sin\alpha + \varepsilon), \quad
        \alpha_e = \frac{C_a}{2\pi} - \varepsilon, \quad
        C_N = w C_a + (1 - w) C_b, \quad
        C_T = 2 \pi w\, \alpha_e\, \varepsilon \cos\alpha, \quad
        C_M = \cos\alpha \left(\tfrac14\, 2 \pi w\, \alpha_e + 0.175 (1 - w) C_b\right)

    Parameters
    ----------
    sine, cosine : float
        Of the incidence, [-]
    slope : float
        Lift slope of the piece on its wing, [1/rad]
    camber : float
        Incidence that the camber is worth, turning included, [rad]
    broadside : float
        Normal-force coefficient across the flow, [-]

    Returns
    -------
    normal : float
        Coefficient of the force square to the chord, [-]
    forward : float
        Coefficient of the force along the chord, towards the leading edge, [-]
    moment : float
        Coefficient of the moment about mid-chord, positive nose up, [-]
    attached : float
        What of ``normal`` leaves a wake behind it that turns the air down, [-]

    Notes
    -----
    Range: sharp or lightly rounded edges, thickness below a tenth of the chord, Re 1e4 to 1e5.
    The leading edge is taken to hold no suction: a flat plate's force is then square to it, which
    is drag due to lift of ``C_L tan(incidence)``, wake included. Camber lifts at mid-chord and
    square to the flow, incidence at the quarter chord. Friction is not in it.

    References
    ----------
    H. Glauert, *The Elements of Aerofoil and Airscrew Theory*, 2nd ed. (1947), ch. VII (thin
    sections); S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 3 (plates beyond the stall, from
    memory).

    Examples
    --------
    A flat plate of slope 4 at five degrees, and across the flow:

    >>> [round(part, 3) for part in plate_section(0.0872, 0.9962, 4.0, 0.0, 1.2)]
    [0.348, 0.0, 0.087, 0.347]
    >>> [round(part, 2) for part in plate_section(1.0, 0.0, 4.0, 0.0, 1.2)]
    [1.2, 0.0, 0.0, 0.0]
    """
    whole = slope * (sine + camber)
    effective = whole * INVERSE_TWO_PI - camber
    share = attached_share(effective, camber, sine)
    attached = share * whole
    broken = (1.0 - share) * broadside * broken_normal_force(sine)
    circulation = TWO_PI * share * effective * cosine
    return (
        attached + broken,
        circulation * camber,
        0.25 * circulation + 0.175 * broken * cosine,
        attached,
    )
