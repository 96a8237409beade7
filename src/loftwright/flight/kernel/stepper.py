"""One step of the Runge-Kutta pair for sixteen lanes at once, its error, and its interpolant."""

from loftwright.flight.kernel.rates import (
    air_rates,
    canopy_rates,
    coast_rates,
    payload_rates,
    tube_rates,
    water_rates,
)
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    CANOPY_PHASE,
    COAST_PHASE,
    LANES,
    TUBE_PHASE,
    TYPICAL,
    WATER_PHASE,
)
from loftwright.flight.kernel.tsit5 import ERROR, INTERPOLANT, A, C

__all__ = ["error_norms", "interpolate", "rates", "slope_at", "stages"]

STANDALONE = True  # too large to be copied into every caller

A2, A3, A4, A5, A6, A7 = A[1:]


def rates(phase, t, y, p, dy):
    """Rates of change of all lanes in this phase."""
    if phase == TUBE_PHASE:
        for lane in range(LANES):
            tube_rates(t[lane], y, p, dy, lane)
    elif phase == WATER_PHASE:
        for lane in range(LANES):
            water_rates(t[lane], y, p, dy, lane)
    elif phase == AIR_PHASE:
        for lane in range(LANES):
            air_rates(t[lane], y, p, dy, lane)
    elif phase == COAST_PHASE:
        for lane in range(LANES):
            coast_rates(t[lane], y, p, dy, lane)
    elif phase == CANOPY_PHASE:
        for lane in range(LANES):
            canopy_rates(t[lane], y, p, dy, lane)
    else:
        for lane in range(LANES):
            payload_rates(t[lane], y, p, dy, lane)


def _later(t, h, share, ts):
    for lane in range(LANES):
        ts[lane] = t[lane] + share * h[lane]


def stages(phase, rows, t, h, y, p, k, ts, ys):
    """Fill stages 2 to 7 of ``k`` from stage 1; ``ys`` ends as the new state, ``ts`` its time."""
    k1, k2, k3, k4, k5, k6, k7 = k
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (A2[0] * k1[o + i])
    _later(t, h, C[1], ts)
    rates(phase, ts, ys, p, k2)
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (A3[0] * k1[o + i] + A3[1] * k2[o + i])
    _later(t, h, C[2], ts)
    rates(phase, ts, ys, p, k3)
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (
                A4[0] * k1[o + i] + A4[1] * k2[o + i] + A4[2] * k3[o + i]
            )
    _later(t, h, C[3], ts)
    rates(phase, ts, ys, p, k4)
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (
                A5[0] * k1[o + i] + A5[1] * k2[o + i] + A5[2] * k3[o + i] + A5[3] * k4[o + i]
            )
    _later(t, h, C[4], ts)
    rates(phase, ts, ys, p, k5)
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (
                A6[0] * k1[o + i]
                + A6[1] * k2[o + i]
                + A6[2] * k3[o + i]
                + A6[3] * k4[o + i]
                + A6[4] * k5[o + i]
            )
    _later(t, h, C[5], ts)
    rates(phase, ts, ys, p, k6)
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            ys[o + i] = y[o + i] + h[i] * (
                A7[0] * k1[o + i]
                + A7[1] * k2[o + i]
                + A7[2] * k3[o + i]
                + A7[3] * k4[o + i]
                + A7[4] * k5[o + i]
                + A7[5] * k6[o + i]
            )
    rates(phase, ts, ys, p, k7)


def error_norms(rows, tolerance, h, y, ys, k, norms):
    """Root mean square of each lane's error over its tolerance; above 1 the step is refused."""
    k1, k2, k3, k4, k5, k6, k7 = k
    for i in range(LANES):
        norms[i] = 0.0
    for row in range(rows):
        o = row * LANES
        floor = TYPICAL[row]
        for i in range(LANES):
            error = h[i] * (
                ERROR[0] * k1[o + i]
                + ERROR[1] * k2[o + i]
                + ERROR[2] * k3[o + i]
                + ERROR[3] * k4[o + i]
                + ERROR[4] * k5[o + i]
                + ERROR[5] * k6[o + i]
                + ERROR[6] * k7[o + i]
            )
            allowed = tolerance * (floor + max(abs(y[o + i]), abs(ys[o + i])))
            share = error / allowed
            norms[i] += share * share
    for i in range(LANES):
        norms[i] = (norms[i] / rows) ** 0.5


def _weight(stage, share):
    b = INTERPOLANT[stage]
    return share * (b[0] + share * (b[1] + share * (b[2] + share * b[3])))


def _weight_slope(stage, share):
    b = INTERPOLANT[stage]
    return b[0] + share * (2.0 * b[1] + share * (3.0 * b[2] + share * 4.0 * b[3]))


def interpolate(rows, share, h, y, k, lane, into):
    """State of one lane at a share of its step, written to that lane of ``into``."""
    k1, k2, k3, k4, k5, k6, k7 = k
    w1 = h * _weight(0, share)
    w2 = h * _weight(1, share)
    w3 = h * _weight(2, share)
    w4 = h * _weight(3, share)
    w5 = h * _weight(4, share)
    w6 = h * _weight(5, share)
    w7 = h * _weight(6, share)
    for row in range(rows):
        o = row * LANES + lane
        into[o] = y[o] + (
            w1 * k1[o]
            + w2 * k2[o]
            + w3 * k3[o]
            + w4 * k4[o]
            + w5 * k5[o]
            + w6 * k6[o]
            + w7 * k7[o]
        )


def slope_at(row, share, k, lane):
    """Rate of change of one state of one lane at a share of its step."""
    k1, k2, k3, k4, k5, k6, k7 = k
    o = row + lane
    return (
        _weight_slope(0, share) * k1[o]
        + _weight_slope(1, share) * k2[o]
        + _weight_slope(2, share) * k3[o]
        + _weight_slope(3, share) * k4[o]
        + _weight_slope(4, share) * k5[o]
        + _weight_slope(5, share) * k6[o]
        + _weight_slope(6, share) * k7[o]
    )
