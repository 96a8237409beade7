"""The inertia of a rigid body of any shape, as the six entries of its matrix."""

from __future__ import annotations

__all__ = ["tensor_solve", "tensor_times"]


def tensor_times(
    ixx: float,
    iyy: float,
    izz: float,
    ixy: float,
    ixz: float,
    iyz: float,
    x: float,
    y: float,
    z: float,
) -> tuple[float, float, float]:
    r"""Multiply an inertia matrix with a vector: spin into angular momentum.

    .. math:: h = I \omega

    Parameters
    ----------
    ixx, iyy, izz : float
        Moments of inertia about the body's axes, [kg*m^2]
    ixy, ixz, iyz : float
        Entries of the matrix off its diagonal: products of inertia with their minus sign,
        :math:`I_{xy} = -\sum m\, x\, y`, [kg*m^2]
    x, y, z : float
        Vector in body axes, e.g. a spin, [rad/s]

    Returns
    -------
    hx, hy, hz : float
        The product, e.g. an angular momentum, [kg*m^2/s]

    Notes
    -----
    Range: any symmetric matrix.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 32.

    Examples
    --------
    >>> tensor_times(1.0, 2.0, 3.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0)
    (1.0, 2.0, 3.0)
    """
    return (
        ixx * x + ixy * y + ixz * z,
        ixy * x + iyy * y + iyz * z,
        ixz * x + iyz * y + izz * z,
    )


def tensor_solve(
    ixx: float,
    iyy: float,
    izz: float,
    ixy: float,
    ixz: float,
    iyz: float,
    x: float,
    y: float,
    z: float,
) -> tuple[float, float, float]:
    r"""Solve an inertia matrix for a vector: angular momentum into spin.

    .. math:: \omega = I^{-1} h = \frac{\operatorname{adj} I}{\det I}\, h

    Parameters
    ----------
    ixx, iyy, izz : float
        Moments of inertia about the body's axes, [kg*m^2]
    ixy, ixz, iyz : float
        Entries of the matrix off its diagonal, :math:`I_{xy} = -\sum m\, x\, y`, [kg*m^2]
    x, y, z : float
        Vector in body axes, e.g. a moment [N*m] or an angular momentum, [kg*m^2/s]

    Returns
    -------
    wx, wy, wz : float
        The solution, e.g. an angular acceleration [rad/s^2] or a spin, [rad/s]

    Notes
    -----
    Range: matrices of real bodies, which are positive definite; by cofactors, exact to rounding
    where the moments differ by less than about six orders of magnitude.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 32; cofactors from any
    book of linear algebra.

    Examples
    --------
    >>> tensor_solve(1.0, 2.0, 4.0, 0.0, 0.0, 0.0, 1.0, 2.0, 4.0)
    (1.0, 1.0, 1.0)
    """
    xx = iyy * izz - iyz * iyz
    xy = ixz * iyz - ixy * izz
    xz = ixy * iyz - ixz * iyy
    yy = ixx * izz - ixz * ixz
    yz = ixy * ixz - ixx * iyz
    zz = ixx * iyy - ixy * ixy
    over = 1.0 / (ixx * xx + ixy * xy + ixz * xz)
    return (
        (xx * x + xy * y + xz * z) * over,
        (xy * x + yy * y + yz * z) * over,
        (xz * x + yz * y + zz * z) * over,
    )
