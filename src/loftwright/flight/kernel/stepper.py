"""One step of the Runge-Kutta pair for sixteen lanes at once, its error, and its interpolant."""

from math import sqrt

from loftwright.flight.kernel.airloads import add_item_loads
from loftwright.flight.kernel.gliding import (
    TAIL_STRIPS,
    WING_STRIPS,
    begin_glide,
    end_glide,
    strip_load,
    wing_wake,
)
from loftwright.flight.kernel.loading import add_boosters, add_item, load_body, settle_load
from loftwright.flight.kernel.rates import (
    boost,
    coast,
    expel_air,
    expel_water,
    glide,
    hang,
    jet_of,
    meet_air_openly,
    move,
    slide,
    surroundings,
)
from loftwright.flight.kernel.slots import (
    AIR_PHASE,
    BOOSTED_PHASE,
    CANOPY_PHASE,
    GLIDE_PHASE,
    ITEM,
    LANES,
    MOST_ITEMS,
    POINT_PHASE,
    SIZE,
    TUBE_PHASE,
    TYPICAL,
    TYPICAL_GLIDING,
    WATER_PHASE,
)
from loftwright.flight.kernel.tsit5 import ERROR, INTERPOLANT, A, C

__all__ = [
    "K7",
    "error_norms",
    "interpolate",
    "rates",
    "slope_weights",
    "slopes",
    "spread",
    "stages",
    "weighted",
]

STANDALONE = True  # too large to be copied into every caller

A2, A3, A4, A5, A6, A7 = A[1:]
# Where the rates of stages 2 to 7 start. All stages share one array: loops over many arrays need
# more overlap checks than compilers are willing to make, and stay scalar.
K2, K3, K4, K5, K6, K7 = (SIZE * stage for stage in range(1, 7))


def _glide_rates(t, y, p, dy):
    """Rates of gliders: strip by strip, so that each strip's loop over lanes stays simple."""
    for lane in range(LANES):
        begin_glide(t[lane], y, p, lane)
    for strip in range(WING_STRIPS):
        for lane in range(LANES):
            strip_load(strip, y, p, lane)
    for lane in range(LANES):
        wing_wake(p, lane)
    for strip in range(WING_STRIPS, WING_STRIPS + TAIL_STRIPS):
        for lane in range(LANES):
            strip_load(strip, y, p, lane)
    for lane in range(LANES):
        end_glide(y, p, lane)
    for lane in range(LANES):
        coast(p, dy, lane)


def _loads(phase, items, lanes, y, p):
    """What the vehicle weighs, thing by thing.

    ``lanes`` is LANES: a short loop whose length the compiler knows would be unrolled, not
    vectorised.
    """
    for lane in range(lanes):
        load_body(y, p, lane)
    if phase == BOOSTED_PHASE:
        for lane in range(lanes):
            add_boosters(y, p, lane)
    # A loop over lanes vectorises where the place of the thing in the table is a constant.
    if items > 0:
        for lane in range(lanes):
            add_item(0, p, lane)
    for item in range(1, items):
        for lane in range(lanes):
            add_item(item * ITEM, p, lane)
    for lane in range(lanes):
        settle_load(p, lane)


def _pushes(phase, y, p, dy):
    if phase == BOOSTED_PHASE:
        for lane in range(LANES):
            boost(y, p, dy, lane)
    elif phase == TUBE_PHASE:
        for lane in range(LANES):
            slide(y, p, dy, lane)
    elif phase == WATER_PHASE:
        for lane in range(LANES):
            expel_water(y, p, dy, lane)
    elif phase == AIR_PHASE:
        for lane in range(LANES):
            expel_air(y, p, dy, lane)
    else:
        for lane in range(LANES):
            coast(p, dy, lane)


def rates(phase, items, t, y, p, dy):
    """Rates of change of all lanes in this phase."""
    for lane in range(LANES):
        surroundings(t[lane], y, p, lane)
    if phase == POINT_PHASE:
        for lane in range(LANES):
            glide(y, p, dy, lane)
        return
    if phase == GLIDE_PHASE:
        _glide_rates(t, y, p, dy)
    else:
        _loads(phase, items, t.shape[0], y, p)
        if phase == CANOPY_PHASE:
            for lane in range(LANES):
                hang(t[lane], y, p, dy, lane)
            return
        jet = jet_of(phase)
        for lane in range(LANES):
            meet_air_openly(jet, y, p, lane)
        # Counted to the most there are, so that the compiler knows where each stands.
        for item in range(MOST_ITEMS):
            if item < items:
                for lane in range(LANES):
                    add_item_loads(item * ITEM, y, p, lane)
        _pushes(phase, y, p, dy)
    for lane in range(LANES):
        move(y, p, dy, lane)


def _later(t, h, share, ts):
    for lane in range(LANES):
        ts[lane] = t[lane] + share * h[lane]


def spread(rows, values, into):
    """Repeat one number of each lane in every row of a table."""
    for row in range(rows):
        o = row * LANES
        for i in range(LANES):
            into[o + i] = values[i]


def stages(phase, items, rows, t, h, y, p, k, ts, ys, wide):
    """Fill stages 2 to 7 of ``k`` from stage 1; ``ys`` ends as the new state, ``ts`` its time.

    Sums run over all rows in one loop, for which ``wide`` holds the length of the step in each.
    """
    spread(rows, h, wide)
    size = rows * LANES
    for i in range(size):
        ys[i] = y[i] + wide[i] * (A2[0] * k[i])
    _later(t, h, C[1], ts)
    rates(phase, items, ts, ys, p, k[K2 : K2 + SIZE])
    for i in range(size):
        ys[i] = y[i] + wide[i] * (A3[0] * k[i] + A3[1] * k[i + K2])
    _later(t, h, C[2], ts)
    rates(phase, items, ts, ys, p, k[K3 : K3 + SIZE])
    for i in range(size):
        ys[i] = y[i] + wide[i] * (A4[0] * k[i] + A4[1] * k[i + K2] + A4[2] * k[i + K3])
    _later(t, h, C[3], ts)
    rates(phase, items, ts, ys, p, k[K4 : K4 + SIZE])
    for i in range(size):
        ys[i] = y[i] + wide[i] * (
            A5[0] * k[i] + A5[1] * k[i + K2] + A5[2] * k[i + K3] + A5[3] * k[i + K4]
        )
    _later(t, h, C[4], ts)
    rates(phase, items, ts, ys, p, k[K5 : K5 + SIZE])
    for i in range(size):
        ys[i] = y[i] + wide[i] * (
            A6[0] * k[i]
            + A6[1] * k[i + K2]
            + A6[2] * k[i + K3]
            + A6[3] * k[i + K4]
            + A6[4] * k[i + K5]
        )
    _later(t, h, C[5], ts)
    rates(phase, items, ts, ys, p, k[K6 : K6 + SIZE])
    for i in range(size):
        ys[i] = y[i] + wide[i] * (
            A7[0] * k[i]
            + A7[1] * k[i + K2]
            + A7[2] * k[i + K3]
            + A7[3] * k[i + K4]
            + A7[4] * k[i + K5]
            + A7[5] * k[i + K6]
        )
    rates(phase, items, ts, ys, p, k[K7 : K7 + SIZE])


def error_norms(phase, rows, tolerance, h, y, ys, k, norms):
    """Root mean square of each lane's error over its tolerance; above 1 the step is refused."""
    for i in range(LANES):
        norms[i] = 0.0
    for row in range(rows):
        o = row * LANES
        floor = TYPICAL_GLIDING[row] if phase == GLIDE_PHASE else TYPICAL[row]
        for i in range(LANES):
            error = h[i] * (
                ERROR[0] * k[o + i]
                + ERROR[1] * k[o + i + K2]
                + ERROR[2] * k[o + i + K3]
                + ERROR[3] * k[o + i + K4]
                + ERROR[4] * k[o + i + K5]
                + ERROR[5] * k[o + i + K6]
                + ERROR[6] * k[o + i + K7]
            )
            allowed = tolerance * (floor + max(abs(y[o + i]), abs(ys[o + i])))
            share = error / allowed
            norms[i] += share * share
    for i in range(LANES):
        norms[i] = sqrt(norms[i] / rows)


def weights(share, w):
    """Weight of each stage in the state at a share of the step, over the step's length."""
    for stage in range(7):
        b = INTERPOLANT[stage]
        w[stage] = share * (b[0] + share * (b[1] + share * (b[2] + share * b[3])))


def slope_weights(share, w):
    """Weight of each stage in the rate of change at a share of the step."""
    for stage in range(7):
        b = INTERPOLANT[stage]
        w[stage] = b[0] + share * (2.0 * b[1] + share * (3.0 * b[2] + share * (4.0 * b[3])))


def weighted(o, w, k):
    """Rates of one entry of the state, summed over the stages with these weights."""
    return (
        w[0] * k[o]
        + w[1] * k[o + K2]
        + w[2] * k[o + K3]
        + w[3] * k[o + K4]
        + w[4] * k[o + K5]
        + w[5] * k[o + K6]
        + w[6] * k[o + K7]
    )


def slopes(rows, share, k, lane, w, into):
    """Rates of change of one lane at a share of its step, written to that lane of ``into``."""
    slope_weights(share, w)
    for row in range(rows):
        o = row * LANES + lane
        into[o] = weighted(o, w, k)


def interpolate(rows, share, h, y, k, lane, w, into):
    """State of one lane at a share of its step, written to that lane of ``into``."""
    weights(share, w)
    for row in range(rows):
        o = row * LANES + lane
        into[o] = y[o] + h * weighted(o, w, k)
