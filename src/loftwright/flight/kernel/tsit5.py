"""The embedded Runge-Kutta pair of orders 5 and 4, with a free interpolant of order 4.

References
----------
C. Tsitouras, "Runge-Kutta pairs of order 5(4) satisfying only the first column simplifying
assumption", Computers & Mathematics with Applications 62 (2011) 770-775,
doi:10.1016/j.camwa.2011.06.002. Coefficients from memory of the literature; the order conditions
of pair and interpolant are tests.
"""

__all__ = ["ERROR", "INTERPOLANT", "A", "B", "C"]

C = (0.0, 0.161, 0.327, 0.9, 0.9800255409045097, 1.0, 1.0)

A = (
    (),
    (0.161,),
    (-0.008480655492356989, 0.335480655492357),
    (2.8971530571054935, -6.359448489975075, 4.3622954328695815),
    (5.325864828439257, -11.748883564062828, 7.4955393428898365, -0.09249506636175525),
    (
        5.86145544294642,
        -12.92096931784711,
        8.159367898576159,
        -0.071584973281401,
        -0.028269050394068383,
    ),
    (
        0.09646076681806523,
        0.01,
        0.4798896504144996,
        1.379008574103742,
        -3.290069515436081,
        2.324710524099774,
    ),
)

B = A[6]  # first same as last

ERROR = (
    -0.00178001105222577714,
    -0.0008164344596567469,
    0.007880878010261995,
    -0.1447110071732629,
    0.5823571654525552,
    -0.45808210592918697,
    0.015151515151515152,
)


def _quartic(scale: float, *quadratics: tuple[float, float, float]) -> tuple[float, ...]:
    """Coefficients of theta..theta^4 of scale times a product of quadratics (c0, c1, c2)."""
    product = [scale]
    for quadratic in quadratics:
        wider = [0.0] * (len(product) + 2)
        for i, a in enumerate(product):
            for j, b in enumerate(quadratic):
                wider[i + j] += a * b
        product = wider
    return tuple(product[1:5])


_SQUARE = (0.0, 0.0, 1.0)


def _roots(first: float, second: float) -> tuple[float, float, float]:
    return (first * second, -(first + second), 1.0)


# Weight of stage k at a share theta of the step: sum of INTERPOLANT[k][j] theta^(j+1).
INTERPOLANT = (
    _quartic(
        -1.0530884977290216,
        _roots(0.0, 1.3299890189751412),
        (0.7139816917074209, -1.4364028541716351, 1.0),
    ),
    _quartic(0.1017, _SQUARE, (1.2949852507374631, -2.1966568338249754, 1.0)),
    _quartic(2.490627285651252793, _SQUARE, (1.57803468208092486, -2.38535645472061657, 1.0)),
    _quartic(-16.54810288924490272, _SQUARE, _roots(1.21712927295533244, 0.61620406037800089)),
    _quartic(47.37952196281928122, _SQUARE, _roots(1.203071208372362603, 0.658047292653547382)),
    _quartic(-34.87065786149660974, _SQUARE, _roots(1.2, 0.666666666666666667)),
    _quartic(2.5, _SQUARE, _roots(1.0, 0.6)),
)
