"""Energy of what comes down, thresholds that rules use, and distances that standards ask for.

A tool cannot say which rule binds a flight: local codes and the landowner do.
"""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

__all__ = [
    "CLASS_C1_ENERGY",
    "FATAL_ENERGY",
    "FOOT_POUND",
    "LIGHT_INJURY_ENERGY",
    "SERIOUS_INJURY_ENERGY",
    "bystander_distance",
    "casualty_area",
    "kinetic_energy",
    "pad_distance",
    "speed_at_energy",
]

FOOT_POUND = 1.3558179483314004  # J, exact by the definitions of foot and pound-force
LIGHT_INJURY_ENERGY = 11.0 * FOOT_POUND  # J, 14 CFR 107.120 (category 2 unmanned aircraft)
SERIOUS_INJURY_ENERGY = 25.0 * FOOT_POUND  # J, 14 CFR 107.130 (category 3)
FATAL_ENERGY = 58.0 * FOOT_POUND  # J, RCC 321 and 323, casualty and fatality (from memory)
CLASS_C1_ENERGY = 80.0  # J, European unmanned aircraft class C1, transfer to a head

PERSON_RADIUS = 0.3048  # m, 1 ft, from above
PERSON_HEIGHT = 1.8288  # m, 6 ft
LEAST_BYSTANDER_DISTANCE = 457.2  # m, 1500 ft
POUND_PER_SQUARE_INCH = 6894.757293168361  # Pa
PAD_DISTANCES = ((20.0, 26.0), (40.0, 51.0), (60.0, 77.0), (80.0, 102.0))  # psi, m


def kinetic_energy(mass: float, speed: float) -> float:
    r"""Energy of motion.

    .. math:: E = \tfrac12 m v^2

    Parameters
    ----------
    mass : float
        Mass, [kg]
    speed : float
        Speed, [m/s]

    Returns
    -------
    energy : float
        Kinetic energy, [J]

    Notes
    -----
    Range: all of it; what reaches a person who is hit depends on what gives way.

    References
    ----------
    L. D. Landau and E. M. Lifshitz, *Mechanics*, 3rd ed. (1976), section 4.

    Examples
    --------
    >>> kinetic_energy(2.0, 3.0)
    9.0
    """
    return 0.5 * mass * speed * speed


def speed_at_energy(mass: float, energy: float) -> float:
    r"""Speed at which a mass carries a given energy.

    .. math:: v = \sqrt{\frac{2E}{m}}

    Parameters
    ----------
    mass : float
        Mass, [kg]
    energy : float
        Kinetic energy, [J]

    Returns
    -------
    speed : float
        Speed, [m/s]

    Raises
    ------
    ValueError
        If the mass is not above zero or the energy is below it.

    Notes
    -----
    Range: as for `kinetic_energy`.

    References
    ----------
    As for `kinetic_energy`, solved for speed.

    Examples
    --------
    >>> round(speed_at_energy(0.35, LIGHT_INJURY_ENERGY), 3)
    9.232
    """
    if mass <= 0 or energy < 0:
        raise ValueError("the mass must be above zero and the energy not below it")
    return sqrt(2.0 * energy / mass)


def casualty_area(plan_area: float, run: float) -> float:
    r"""Ground area within which a person who stands there is hit by one body that comes down.

    .. math:: A_c = \pi r^2 + 2 r h\,k, \qquad r = r_p + \sqrt{A_f / \pi}

    with a person's radius :math:`r_p` and height :math:`h`. The number of people expected to be
    hit is the chance to come down among them, times their number to the area, times this.

    Parameters
    ----------
    plan_area : float
        Area of the body seen from above, its largest side, [m2]
    run : float
        Level way made for each length of fall just above the ground, 0 straight down, [-]

    Returns
    -------
    area : float
        Casualty area, [m2]

    Notes
    -----
    Range: one body that neither breaks up, bounces nor slides. A person is 1 ft in radius and
    6 ft tall and does not step aside. Whether a hit harms is another question: see the thresholds
    of this module.

    References
    ----------
    RCC 321, *Common Risk Criteria Standards for National Test Ranges*, supplement (from memory);
    E. Ancel et al., "Real-time risk assessment framework for unmanned aircraft system traffic
    management", AIAA 2017-3273.

    Examples
    --------
    >>> round(casualty_area(0.0092, 0.0), 4)
    0.4047
    """
    radius = PERSON_RADIUS + sqrt(plan_area / pi)
    return pi * radius * radius + 2.0 * radius * PERSON_HEIGHT * run


def bystander_distance(expected_height: float) -> float:
    r"""Distance of persons not associated with the launch in the American rule for rockets.

    .. math:: R = \max\!\left(\tfrac14 h,\ 457.2\ \mathrm{m}\right)

    Parameters
    ----------
    expected_height : float
        Maximum expected height, [m]

    Returns
    -------
    distance : float
        Distance, [m]

    Notes
    -----
    Range: rockets under 14 CFR 101 subpart C; whether a water rocket is one is a question of law.

    References
    ----------
    14 CFR 101.25(g).

    Examples
    --------
    >>> bystander_distance(3000.0)
    750.0
    """
    return max(0.25 * expected_height, LEAST_BYSTANDER_DISTANCE)


def pad_distance(gauge_pressure: float) -> float:
    r"""Distance of spectators of a water rocket on a public safety page.

    .. math:: 26, 51, 77, 102\ \mathrm{m\ at\ } 20, 40, 60, 80\ \mathrm{psi}

    Parameters
    ----------
    gauge_pressure : float
        Gauge pressure, [Pa]

    Returns
    -------
    distance : float
        Distance, straight between the points, 26 m at least, [m]

    Raises
    ------
    ValueError
        Above 90 psi, where the page says never.

    Notes
    -----
    Range: single plain bottles up to 80 psi; between 80 and 90 psi the last slope goes on.

    References
    ----------
    NASA Glenn Research Center, *Water rocket safety* (education page).

    Examples
    --------
    >>> round(pad_distance(50.0 * POUND_PER_SQUARE_INCH), 6)
    64.0
    """
    psi = gauge_pressure / POUND_PER_SQUARE_INCH
    if psi > 90.0:
        raise ValueError("the page gives no distance above 90 psi: it says never to go there")
    (first, nearest), *_ = PAD_DISTANCES
    if psi <= first:
        return nearest
    pairs = list(pairwise(PAD_DISTANCES))
    (low, near), (high, far) = next((pair for pair in pairs if psi <= pair[1][0]), pairs[-1])
    return near + (far - near) * (psi - low) / (high - low)
