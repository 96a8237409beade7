"""What stands off a body in the flow along it: its drag, and its normal force.

All is arithmetic: arrays may stand where floats do.
"""

from __future__ import annotations

__all__ = [
    "boundary_layer_thickness",
    "mean_layer_pressure",
    "protuberance_drag_area",
    "standing_edge_slope",
]

PI = 3.141592653589793


def _smaller(a: float, b: float) -> float:
    """Return the smaller of two numbers, for floats and arrays."""
    return 0.5 * (a + b - abs(a - b))


def boundary_layer_thickness(distance: float, reynolds: float) -> float:
    r"""Thickness of a turbulent boundary layer along a smooth wall.

    .. math:: \delta = 0.37\, x\, Re_x^{-1/5}

    Parameters
    ----------
    distance : float
        Way along the wall from its front, [m]
    reynolds : float
        Reynolds number on that way, [-]

    Returns
    -------
    thickness : float
        Thickness of the layer, [m]

    Notes
    -----
    Range: Reynolds numbers of 5e5 to 1e7, turbulent from the front; a layer that begins laminar is
    thinner. A body of revolution thins it by a few per cent.

    References
    ----------
    H. Schlichting, *Boundary-Layer Theory*, 7th ed. (1979), eq. 21.8 (from memory).

    Examples
    --------
    >>> round(boundary_layer_thickness(0.5, 1e6), 5)
    0.01167
    """
    slowing: float = reynolds**-0.2
    return 0.37 * distance * slowing


def mean_layer_pressure(low: float, high: float, thickness: float) -> float:
    r"""Mean dynamic pressure over a height above a wall, as a share of that outside the layer.

    .. math:: \frac{\bar q}{q} = \frac{1}{b - a} \int_a^b
        \min\!\left(\frac y\delta, 1\right)^{2/7} dy

    Parameters
    ----------
    low : float
        Where the height begins, above the wall, [m]
    high : float
        Where it ends, above ``low``, [m]
    thickness : float
        Thickness of the boundary layer, above 0, [m]

    Returns
    -------
    share : float
        Mean dynamic pressure over that of the undisturbed flow, [-]

    Notes
    -----
    Range: turbulent layers, Reynolds numbers of 5e5 to 1e7. For a height that begins at the wall
    and stays within the layer it is 7/9 of its share of the layer to the power 2/7.

    References
    ----------
    The one-seventh-power profile, H. Schlichting, *Boundary-Layer Theory*, 7th ed. (1979),
    section 21.b; integrated here. S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 5, has three
    quarters of the cube root of the share (from memory).

    Examples
    --------
    >>> round(mean_layer_pressure(0.0, 0.01, 0.01), 4)
    0.7778
    >>> round(mean_layer_pressure(0.0, 0.02, 0.01), 4)
    0.8889
    """

    def below(height: float) -> float:
        inside: float = (_smaller(height, thickness) / thickness) ** (9.0 / 7.0)
        return 7.0 / 9.0 * thickness * inside + height - _smaller(height, thickness)

    return (below(high) - below(low)) / (high - low)


def protuberance_drag_area(
    front: float,
    rear: float,
    width: float,
    height: float,
    pressure: float,
    friction: float,
    wetted: float,
) -> float:
    r"""Drag of a block on a wall, as coefficient times area.

    .. math:: C_D A = (C_f + C_r)\, \frac{\bar q}{q}\, w h + c_f S

    Parameters
    ----------
    front : float
        Pressure-drag coefficient of the front on width times height, [-]
    rear : float
        Pressure-drag coefficient of the rear on width times height, [-]
    width : float
        Width across the flow, [m]
    height : float
        How far it stands off the wall, [m]
    pressure : float
        Mean dynamic pressure over its height, as a share of the undisturbed one, [-]
    friction : float
        Mean friction coefficient, [-]
    wetted : float
        Area that the flow wets beyond what the bare wall had, [m^2]

    Returns
    -------
    area : float
        Drag coefficient times area, [m^2]

    Notes
    -----
    Range: blocks at least four heights long, whose flow closes again behind the front edge; one
    standard deviation of such build-ups is about 30 % (judgement).

    References
    ----------
    S. F. Hoerner, *Fluid-Dynamic Drag* (1965), ch. 5, drag of surface irregularities with the
    effective dynamic pressure of the boundary layer, and ch. 8, protuberances (from memory).

    Examples
    --------
    >>> round(protuberance_drag_area(0.65, 0.2, 0.06, 0.02, 0.85, 0.005, 0.012), 6)
    0.000927
    """
    return (front + rear) * pressure * width * height + friction * wetted


def standing_edge_slope(height: float, body_radius: float) -> float:
    r"""Normal force per incidence of a long low edge that stands off a round body.

    .. math:: \frac{d(C_N A)}{d\alpha} = \frac{\pi}{2} h^2 (1 + \tau)^2, \qquad
        \tau = \frac{R}{R + h}

    Parameters
    ----------
    height : float
        How far the edge stands off the body, [m]
    body_radius : float
        Radius of the body, [m]

    Returns
    -------
    slope : float
        Slope of the normal force over dynamic pressure, mean over all roll angles, [m^2/rad]

    Notes
    -----
    Range: height up to the body's radius, edges several heights long, incidence up to some 5
    degrees. A wing so low gains with its span alone; the body mirrors it and adds what it carries
    over. Only the flow across the edge counts, hence half of the wing's own slope in the mean.

    References
    ----------
    R. T. Jones, NACA Report 835 (1946): wings of low aspect ratio; W. C. Pitts, J. N. Nielsen,
    G. E. Kaattari, NACA Report 1307 (1957): wing and body together.

    Examples
    --------
    >>> round(standing_edge_slope(0.02, 0.055), 6)
    0.001888
    """
    ratio = body_radius / (body_radius + height)
    return 0.5 * PI * height * height * (1.0 + ratio) * (1.0 + ratio)
