"""Trees and buildings: what catches a body that flies into them, and where.

They stand in one flat row: how many, then for each ``top, east from, east to, north from, north
to, corner count, east 0, north 0, east 1, north 1, ...`` (`flight.obstacles` writes it). Tops may
be raised together, by what a flight has drawn for them.
"""

from loftwright.physics.plane import crosses_ray, edge_meeting

HEAD = 6  # numbers of a shape before its corners


def caught(east, north, up, shapes, raise_by):
    """Number of the first shape that holds a point below its top, from 0; -1 when it is free."""
    found = -1.0
    at = 1
    for shape in range(int(shapes[0])):
        corners = int(shapes[at + 5])
        boxed = (
            up < shapes[at] + raise_by
            and shapes[at + 1] <= east <= shapes[at + 2]
            and shapes[at + 3] <= north <= shapes[at + 4]
        )
        if found < 0.0 and boxed and _inside(east, north, shapes, at + HEAD, corners):
            found = float(shape)
        at += HEAD + 2 * corners
    return found


def entered(east_0, north_0, up_0, east_1, north_1, up_1, shapes, raise_by):
    """Share of a straight way at which a shape first catches, and its number; -1 when none does.

    Nothing is jumped over, however narrow it is and however long the way. It is entered through
    a side below its top, through its top from above, or from the start.
    """
    share, found = 2.0, -1.0
    at = 1
    for shape in range(int(shapes[0])):
        corners = int(shapes[at + 5])
        top = shapes[at] + raise_by
        boxed = (
            min(up_0, up_1) < top
            and min(east_0, east_1) <= shapes[at + 2]
            and max(east_0, east_1) >= shapes[at + 1]
            and min(north_0, north_1) <= shapes[at + 4]
            and max(north_0, north_1) >= shapes[at + 3]
        )
        if boxed:
            here = _way_in(
                east_0, north_0, up_0, east_1, north_1, up_1, top, shapes, at + HEAD, corners
            )
            if here < share:
                share, found = here, float(shape)
        at += HEAD + 2 * corners
    return (share if found >= 0.0 else -1.0), found


def tallest(shapes, raise_by):
    """Height of the highest top; 0 where nothing stands."""
    highest = 0.0
    at = 1
    for _ in range(int(shapes[0])):
        highest = max(highest, shapes[at] + raise_by)
        at += HEAD + 2 * int(shapes[at + 5])
    return highest


def _inside(east, north, shapes, first, corners):
    """Whether the polygon whose corners begin at ``first`` holds a point."""
    crossed = 0.0
    last = first + 2 * corners - 2
    for k in range(first, first + 2 * corners, 2):
        crossed += crosses_ray(
            east, north, shapes[last], shapes[last + 1], shapes[k], shapes[k + 1]
        )
        last = k
    return crossed % 2.0 > 0.0


def _way_in(east_0, north_0, up_0, east_1, north_1, up_1, top, shapes, first, corners):
    """Share of a straight way at which one shape first catches; 2 when it does not."""
    share = 2.0
    if up_0 < top and _inside(east_0, north_0, shapes, first, corners):
        share = 0.0
    if up_0 >= top and up_1 < top:
        falls = (up_0 - top) / (up_0 - up_1)
        east = east_0 + falls * (east_1 - east_0)
        north = north_0 + falls * (north_1 - north_0)
        if _inside(east, north, shapes, first, corners):
            share = falls
    last = first + 2 * corners - 2
    for k in range(first, first + 2 * corners, 2):
        side = edge_meeting(
            east_0, north_0, east_1, north_1,
            shapes[last], shapes[last + 1], shapes[k], shapes[k + 1],
        )  # fmt: skip
        if 0.0 <= side < share and up_0 + side * (up_1 - up_0) < top:
            share = side
        last = k
    return share
