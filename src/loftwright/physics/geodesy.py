"""From latitude and longitude to metres east and north of the pad, and back, on WGS84."""

from __future__ import annotations

from math import cos, sin, sqrt

__all__ = [
    "EQUATORIAL_RADIUS",
    "FLATTENING",
    "geocentric",
    "geographic",
    "ground_offset",
    "meridian_radius",
    "normal_radius",
]

EQUATORIAL_RADIUS = 6_378_137.0  # m, WGS84
FLATTENING = 1.0 / 298.257223563  # WGS84
ECCENTRICITY_SQUARED = FLATTENING * (2.0 - FLATTENING)
ROUNDS = 4  # each gains four digits or more within the range that is stated


def meridian_radius(latitude: float) -> float:
    r"""Radius of curvature of the ellipsoid along the meridian.

    .. math:: M = \frac{a (1 - e^2)}{(1 - e^2 \sin^2\varphi)^{3/2}}

    Parameters
    ----------
    latitude : float
        Geodetic latitude, [rad]

    Returns
    -------
    radius : float
        Metres of northing for a radian of latitude, at height zero, [m]

    Notes
    -----
    Range: all latitudes.

    References
    ----------
    NGA.STND.0036, *World Geodetic System 1984* (2014), section 4 (from memory).

    Examples
    --------
    >>> round(meridian_radius(0.7853981633974483), 3)
    6367381.816
    """
    left: float = 1.0 - ECCENTRICITY_SQUARED * sin(latitude) * sin(latitude)
    return EQUATORIAL_RADIUS * (1.0 - ECCENTRICITY_SQUARED) / (left * sqrt(left))


def normal_radius(latitude: float) -> float:
    r"""Radius of curvature of the ellipsoid across the meridian.

    .. math:: N = \frac{a}{\sqrt{1 - e^2 \sin^2\varphi}}

    Parameters
    ----------
    latitude : float
        Geodetic latitude, [rad]

    Returns
    -------
    radius : float
        Metres of easting for a radian of longitude, over the cosine of latitude, [m]

    Notes
    -----
    Range: all latitudes.

    References
    ----------
    As for `meridian_radius`.

    Examples
    --------
    >>> round(normal_radius(0.7853981633974483), 3)
    6388838.29
    """
    return EQUATORIAL_RADIUS / sqrt(1.0 - ECCENTRICITY_SQUARED * sin(latitude) * sin(latitude))


def geocentric(latitude: float, longitude: float, height: float) -> tuple[float, float, float]:
    r"""Place in the frame that turns with the earth, from its centre.

    .. math:: (N + h)\cos\varphi\cos\lambda,\quad (N + h)\cos\varphi\sin\lambda,\quad
              ((1 - e^2) N + h)\sin\varphi

    Parameters
    ----------
    latitude : float
        Geodetic latitude, [rad]
    longitude : float
        Longitude, east positive, [rad]
    height : float
        Height above the ellipsoid, [m]

    Returns
    -------
    x : float
        Towards latitude 0, longitude 0, [m]
    y : float
        Towards longitude 90 degrees east, [m]
    z : float
        Towards the north pole, [m]

    Notes
    -----
    Range: all of it.

    References
    ----------
    As for `meridian_radius`.

    Examples
    --------
    >>> geocentric(0.0, 0.0, 10.0)
    (6378147.0, 0.0, 0.0)
    """
    radius = normal_radius(latitude)
    across = (radius + height) * cos(latitude)
    return (
        across * cos(longitude),
        across * sin(longitude),
        ((1.0 - ECCENTRICITY_SQUARED) * radius + height) * sin(latitude),
    )


def ground_offset(
    latitude: float,
    longitude: float,
    height: float,
    pad_latitude: float,
    pad_longitude: float,
    pad_height: float,
) -> tuple[float, float, float]:
    r"""Place as seen from the pad: east, north and up, on the plane that touches the pad.

    .. math:: \mathbf{R}(\varphi_0, \lambda_0)
              \left(\mathbf{x}(\varphi, \lambda, h) - \mathbf{x}(\varphi_0, \lambda_0, h_0)\right)

    Parameters
    ----------
    latitude, longitude : float
        The place, geodetic, east positive, [rad]
    height : float
        Its height above the ellipsoid, [m]
    pad_latitude, pad_longitude : float
        The pad, [rad]
    pad_height : float
        Its height above the ellipsoid, [m]

    Returns
    -------
    east : float
        East of the pad, [m]
    north : float
        North of the pad, [m]
    up : float
        Above the level plane through the pad, [m]

    Notes
    -----
    Range: all of it; a difference of numbers of 6e6 m leaves some 1e-9 m. Heights above the sea
    stand in for those above the ellipsoid without harm: 100 m move a place at 1 km by 16 mm.

    References
    ----------
    NGA.STND.0036, *World Geodetic System 1984* (2014), section 4 (from memory).

    Examples
    --------
    >>> place = ground_offset(0.9110397, 0.0020972, 15.0, 0.9110383, 0.0020944, 15.0)
    >>> [round(each) for each in place]
    [11, 9, 0]
    """
    x, y, z = geocentric(latitude, longitude, height)
    x0, y0, z0 = geocentric(pad_latitude, pad_longitude, pad_height)
    dx, dy, dz = x - x0, y - y0, z - z0
    sin_latitude, cos_latitude = sin(pad_latitude), cos(pad_latitude)
    sin_longitude, cos_longitude = sin(pad_longitude), cos(pad_longitude)
    outward = cos_longitude * dx + sin_longitude * dy
    return (
        cos_longitude * dy - sin_longitude * dx,
        cos_latitude * dz - sin_latitude * outward,
        cos_latitude * outward + sin_latitude * dz,
    )


def geographic(
    east: float,
    north: float,
    up: float,
    pad_latitude: float,
    pad_longitude: float,
    pad_height: float,
) -> tuple[float, float, float]:
    r"""Latitude, longitude and height of a place that is known as seen from the pad.

    .. math:: \varphi \leftarrow \varphi + \frac{\delta n}{M + h}, \qquad
              \lambda \leftarrow \lambda + \frac{\delta e}{(N + h)\cos\varphi_0}, \qquad
              h \leftarrow h + \delta u

    with what `ground_offset` still leaves over, four times.

    Parameters
    ----------
    east, north, up : float
        The place as seen from the pad, [m]
    pad_latitude, pad_longitude : float
        The pad, [rad]
    pad_height : float
        Its height above the ellipsoid, [m]

    Returns
    -------
    latitude : float
        Geodetic latitude, [rad]
    longitude : float
        Longitude, east positive, [rad]
    height : float
        Height above the ellipsoid, [m]

    Notes
    -----
    Range: within 20 km of a pad that lies between 60 degrees south and north it returns to 10
    micrometres, between 80 degrees to 0.1 mm.

    References
    ----------
    Radii as for `meridian_radius`; the iteration undoes `ground_offset`.

    Examples
    --------
    >>> place = geographic(300.0, -400.0, 0.0, 0.9110619, 0.0020944, 15.0)
    >>> [round(each, 6) for each in place[:2]]
    [0.910999, 0.002171]
    """
    latitude, longitude, height = pad_latitude, pad_longitude, pad_height
    northing = meridian_radius(pad_latitude) + pad_height
    easting = (normal_radius(pad_latitude) + pad_height) * cos(pad_latitude)
    for _ in range(ROUNDS):
        e, n, u = ground_offset(
            latitude, longitude, height, pad_latitude, pad_longitude, pad_height
        )
        latitude += (north - n) / northing
        longitude += (east - e) / easting
        height += up - u
    return latitude, longitude, height
