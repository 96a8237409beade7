"""Validation of a simulation by a measurement: its error, and what that leaves to the model."""

from __future__ import annotations

from math import sqrt

__all__ = ["comparison_error", "model_error_bounds", "validation_uncertainty"]


def comparison_error(simulated: float, measured: float) -> float:
    r"""By how much a simulation lies above the measurement.

    .. math:: E = S - D

    Parameters
    ----------
    simulated : float
        What the simulation gives, any unit
    measured : float
        What was measured, [same]

    Returns
    -------
    error : float
        Comparison error, in the same unit

    Notes
    -----
    Range: all.

    References
    ----------
    ASME V&V 20-2009, *Standard for Verification and Validation in Computational Fluid Dynamics
    and Heat Transfer*, section 1-5 (from memory; the definition as read on a page that restates
    it).

    Examples
    --------
    >>> comparison_error(105.0, 100.0)
    5.0
    """
    return simulated - measured


def validation_uncertainty(numerical: float, inputs: float, data: float) -> float:
    r"""Standard uncertainty of the comparison of a simulation with a measurement.

    .. math:: u_\mathrm{val} = \sqrt{u_\mathrm{num}^2 + u_\mathrm{input}^2 + u_D^2}

    Parameters
    ----------
    numerical : float
        Of solving the equations, any unit
    inputs : float
        Of what the simulation was told, [same]
    data : float
        Of the measurement, [same]

    Returns
    -------
    uncertainty : float
        Validation uncertainty, in the same unit

    Notes
    -----
    Range: three that do not depend on each other. A measurement that the inputs were fitted to is
    none of this flight's.

    References
    ----------
    As for `comparison_error`.

    Examples
    --------
    >>> round(validation_uncertainty(3.0, 2.0, 4.0), 6)
    5.385165
    """
    return sqrt(numerical * numerical + inputs * inputs + data * data)


def model_error_bounds(error: float, uncertainty: float, coverage: float) -> tuple[float, float]:
    r"""Between which bounds the error of the model itself lies.

    .. math:: \delta_\mathrm{model} \in \left[E - k u_\mathrm{val},\; E + k u_\mathrm{val}\right]

    Parameters
    ----------
    error : float
        Comparison error, any unit
    uncertainty : float
        Validation uncertainty, [same]
    coverage : float
        Coverage factor, 2 for about 95 % of a normal distribution, [-]

    Returns
    -------
    low : float
        Lower bound, in the same unit
    high : float
        Upper bound

    Notes
    -----
    Range: all. Bounds that hold zero do not show a model without error, only one whose error this
    comparison is too coarse to see.

    References
    ----------
    As for `comparison_error`.

    Examples
    --------
    >>> [round(each, 4) for each in model_error_bounds(5.0, 5.385165, 2.0)]
    [-5.7703, 15.7703]
    """
    return error - coverage * uncertainty, error + coverage * uncertainty
