"""Plane geometry of shapes on the ground: east and north of a point, in metres.

The corners of a shape stand in one row, ``(east 0, north 0, east 1, north 1, ...)``. A polygon
closes itself: its last corner is joined to its first.
"""

from __future__ import annotations

from math import sqrt

__all__ = [
    "crosses_ray",
    "distance_to_edge",
    "edge_meeting",
    "first_crossing",
    "holds",
    "signed_area",
    "turn",
]


def turn(
    east: float, north: float, east_1: float, north_1: float, east_2: float, north_2: float
) -> float:
    r"""Side of an edge on which a point lies: above zero on the left, zero on its line.

    .. math:: t = (e_2 - e_1)(n - n_1) - (n_2 - n_1)(e - e_1)

    Parameters
    ----------
    east, north : float
        The point, [m]
    east_1, north_1 : float
        Where the edge begins, [m]
    east_2, north_2 : float
        Where it ends, [m]

    Returns
    -------
    turn : float
        Twice the signed area of the triangle of edge and point, [m2]

    Notes
    -----
    Range: all of it; rounding decides within some 1e-16 of the squared distances.

    References
    ----------
    J. O'Rourke, *Computational Geometry in C*, 2nd ed. (1998), section 1.5 (from memory).

    Examples
    --------
    >>> turn(1.0, 3.0, 0.0, 0.0, 2.0, 0.0)
    6.0
    """
    return (east_2 - east_1) * (north - north_1) - (north_2 - north_1) * (east - east_1)


def crosses_ray(
    east: float, north: float, east_1: float, north_1: float, east_2: float, north_2: float
) -> float:
    r"""Whether an edge crosses the ray that runs from a point to the east, 1 or 0.

    .. math:: [n_1 > n] \neq [n_2 > n] \ \text{ and }\ t\,(n_2 - n_1) > 0

    with the `turn` :math:`t` of the point beside the edge.

    Parameters
    ----------
    east, north : float
        The point, [m]
    east_1, north_1 : float
        Where the edge begins, [m]
    east_2, north_2 : float
        Where it ends, [m]

    Returns
    -------
    crosses : float
        1.0 or 0.0, [-]

    Notes
    -----
    Range: all of it. An edge holds its lower end and not its upper one, so a ray through a corner
    counts it once; a point on an edge may fall to either side. There is no division.

    References
    ----------
    M. Shimrat, "Algorithm 112: position of point relative to polygon", *Communications of the
    ACM* 5(8), 1962, 434 (from memory).

    Examples
    --------
    >>> crosses_ray(0.0, 1.0, 2.0, 0.0, 2.0, 3.0)
    1.0
    """
    straddles = (north_1 > north) != (north_2 > north)
    side = turn(east, north, east_1, north_1, east_2, north_2)
    beyond = side > 0.0 if north_2 > north_1 else side < 0.0
    return 1.0 if straddles and beyond else 0.0


def holds(east: float, north: float, corners: tuple[float, ...]) -> float:
    r"""Whether a polygon holds a point: a ray from inside crosses its edges an odd number of times.

    .. math:: \sum_k c_k \ \text{ odd}

    with `crosses_ray` :math:`c_k` of each edge.

    Parameters
    ----------
    east, north : float
        The point, [m]
    corners : tuple of float
        East and north of each corner in turn, [m]

    Returns
    -------
    holds : float
        1.0 or 0.0, [-]

    Notes
    -----
    Range: any polygon; of one that crosses itself the doubly wound parts count as outside. Points
    within rounding of an edge may fall to either side.

    References
    ----------
    As for `crosses_ray`.

    Examples
    --------
    >>> holds(1.0, 1.0, (0.0, 0.0, 3.0, 0.0, 0.0, 3.0))
    1.0
    """
    crossed = 0.0
    last_east, last_north = corners[-2], corners[-1]
    for k in range(0, len(corners), 2):
        crossed += crosses_ray(east, north, last_east, last_north, corners[k], corners[k + 1])
        last_east, last_north = corners[k], corners[k + 1]
    return crossed % 2.0


def signed_area(corners: tuple[float, ...]) -> float:
    r"""Area of a polygon, positive when its corners run anticlockwise.

    .. math:: A = \tfrac12 \sum_k (e_k n_{k+1} - e_{k+1} n_k)

    Parameters
    ----------
    corners : tuple of float
        East and north of each corner in turn, [m]

    Returns
    -------
    area : float
        Signed area, [m2]

    Notes
    -----
    Range: polygons that do not cross themselves. The first corner is taken as the origin, so a
    far one loses no digits.

    References
    ----------
    B. Braden, "The surveyor's area formula", *The College Mathematics Journal* 17(4), 1986,
    326-337 (from memory).

    Examples
    --------
    >>> signed_area((0.0, 0.0, 4.0, 0.0, 4.0, 3.0, 0.0, 3.0))
    12.0
    """
    twice = 0.0
    first_east, first_north = corners[0], corners[1]
    for k in range(2, len(corners) - 2, 2):
        twice += turn(
            corners[k + 2],
            corners[k + 3],
            first_east,
            first_north,
            corners[k],
            corners[k + 1],
        )
    return twice / 2.0


def distance_to_edge(
    east: float, north: float, east_1: float, north_1: float, east_2: float, north_2: float
) -> float:
    r"""Distance from a point to the nearest point of an edge.

    .. math:: s = \min\!\left(\max\!\left(\frac{\mathbf{u}\cdot\mathbf{w}}{u^2}, 0\right), 1\right),
              \qquad d = |\mathbf{w} - s\,\mathbf{u}|

    with the edge :math:`\mathbf{u}` and the point :math:`\mathbf{w}` from where it begins.

    Parameters
    ----------
    east, north : float
        The point, [m]
    east_1, north_1 : float
        Where the edge begins, [m]
    east_2, north_2 : float
        Where it ends, [m]

    Returns
    -------
    distance : float
        Distance, [m]

    Notes
    -----
    Range: all of it; an edge without length is a point.

    References
    ----------
    J. O'Rourke, *Computational Geometry in C*, 2nd ed. (1998), section 7.4 (from memory).

    Examples
    --------
    >>> distance_to_edge(5.0, 4.0, 0.0, 0.0, 2.0, 0.0)
    5.0
    """
    along_east, along_north = east_2 - east_1, north_2 - north_1
    from_east, from_north = east - east_1, north - north_1
    squared = along_east * along_east + along_north * along_north
    dot = from_east * along_east + from_north * along_north
    share = 0.0 if squared == 0.0 else min(max(dot / squared, 0.0), 1.0)
    off_east, off_north = from_east - share * along_east, from_north - share * along_north
    return sqrt(off_east * off_east + off_north * off_north)


def edge_meeting(
    east_1: float,
    north_1: float,
    east_2: float,
    north_2: float,
    east_3: float,
    north_3: float,
    east_4: float,
    north_4: float,
) -> float:
    r"""How far along the first of two edges it meets the second: a share, or -1 where it does not.

    .. math:: s = \frac{t_1}{t_1 - t_2}

    with the `turn` :math:`t` of the two ends of the first beside the second.

    Parameters
    ----------
    east_1, north_1, east_2, north_2 : float
        Ends of the first edge, [m]
    east_3, north_3, east_4, north_4 : float
        Ends of the second edge, [m]

    Returns
    -------
    share : float
        0 where the first begins, 1 where it ends, -1 where the two do not meet, [-]

    Notes
    -----
    Range: all of it; touching counts as meeting. Of edges on one line that overlap, the first
    shared point along the first edge is given.

    References
    ----------
    J. O'Rourke, *Computational Geometry in C*, 2nd ed. (1998), sections 1.5 and 7.2 (from memory).

    Examples
    --------
    >>> edge_meeting(0.0, 0.0, 4.0, 4.0, 0.0, 2.0, 4.0, 2.0)
    0.5
    """
    begins = turn(east_1, north_1, east_3, north_3, east_4, north_4)
    ends = turn(east_2, north_2, east_3, north_3, east_4, north_4)
    third = turn(east_3, north_3, east_1, north_1, east_2, north_2)
    fourth = turn(east_4, north_4, east_1, north_1, east_2, north_2)
    if begins == 0.0 and ends == 0.0 and third == 0.0 and fourth == 0.0:
        return _first_shared(east_1, north_1, east_2, north_2, east_3, north_3, east_4, north_4)
    apart = min(begins, ends) > 0.0 or max(begins, ends) < 0.0
    beside = min(third, fourth) > 0.0 or max(third, fourth) < 0.0
    return -1.0 if apart or beside else begins / (begins - ends)


def _first_shared(
    east_1: float,
    north_1: float,
    east_2: float,
    north_2: float,
    east_3: float,
    north_3: float,
    east_4: float,
    north_4: float,
) -> float:
    """Share along the first of two edges on one line at which they begin to overlap."""
    along_east, along_north = east_2 - east_1, north_2 - north_1
    squared = along_east * along_east + along_north * along_north
    if squared == 0.0:
        return (
            0.0
            if distance_to_edge(east_1, north_1, east_3, north_3, east_4, north_4) == 0
            else -1.0
        )
    third = ((east_3 - east_1) * along_east + (north_3 - north_1) * along_north) / squared
    fourth = ((east_4 - east_1) * along_east + (north_4 - north_1) * along_north) / squared
    low, high = min(third, fourth), max(third, fourth)
    return -1.0 if high < 0.0 or low > 1.0 else max(low, 0.0)


def first_crossing(corners: tuple[float, ...], closed: float) -> tuple[float, float, float, float]:
    r"""First two edges of a polygon or line that meet away from a corner which they share.

    .. math:: (j, k) = \min\{(j, k) : j < k,\ \text{edges } j \text{ and } k \text{ meet}\}

    Parameters
    ----------
    corners : tuple of float
        East and north of each corner in turn, no corner twice running, [m]
    closed : float
        1.0 for a polygon, 0.0 for an open line, [-]

    Returns
    -------
    crossing : tuple of float
        Numbers of the two edges, counted from 0, and east and north of the place; -1 and zeros
        where nothing meets, [-], [-], [m], [m]

    Notes
    -----
    Range: all of it; every pair of edges is tried. Neighbours count when one folds back over the
    other.

    References
    ----------
    Brute force over `edge_meeting`.

    Examples
    --------
    A bow tie crosses itself in the middle:

    >>> first_crossing((0.0, 0.0, 2.0, 2.0, 2.0, 0.0, 0.0, 2.0), 1.0)
    (0.0, 2.0, 1.0, 1.0)
    """
    count = len(corners) // 2
    edges = count if closed else count - 1
    ends = [corners[2 * (k % count) : 2 * (k % count) + 2] for k in range(count + 1)]
    for j in range(edges):
        for k in range(j + 1, edges):
            share = _meeting(ends, j, k, bool(closed) and j == 0 and k == edges - 1)
            if share >= 0.0:
                (east, north), (east_2, north_2) = ends[j], ends[j + 1]
                place = east + share * (east_2 - east), north + share * (north_2 - north)
                return float(j), float(k), *place
    return -1.0, -1.0, 0.0, 0.0


def _meeting(ends: list[tuple[float, ...]], j: int, k: int, around: bool) -> float:
    """Share along edge j at which it meets edge k, their shared corner left out; -1 for none."""
    if not around and k != j + 1:
        return edge_meeting(*ends[j], *ends[j + 1], *ends[k], *ends[k + 1])
    # Neighbours share a corner; they meet elsewhere only if one lies back along the other.
    shared, one, other = (
        (ends[j], ends[j + 1], ends[k]) if around else (ends[k], ends[j], ends[k + 1])
    )
    dot = (one[0] - shared[0]) * (other[0] - shared[0])
    dot += (one[1] - shared[1]) * (other[1] - shared[1])
    folds = turn(*one, *shared, *other) == 0.0 and dot > 0.0
    return (0.0 if around else 1.0) if folds else -1.0
