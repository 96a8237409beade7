"""One vertical flight through noisy readings: Kalman's filter forwards, its adjoint backwards.

The state of a moment is height, climb, what the acceleration is more than the phase's own, and four
numbers that stay as they are: the pressure coefficient at the port, the offset and the drift of the
barometer, and the bias of the accelerometer.
"""

from math import exp, log

__all__ = ["STATES", "backward", "forward"]

STATES = 7
HEIGHT, CLIMB, EXTRA, PORT, OFFSET, DRIFT, BIAS = range(7)
MOVING, RESTING = 0, 1
LOG_TWO_PI = 1.8378770664093453


def _matrix(dt, kind, beta, f):
    """Fill in how the state of one moment makes that of the next, but for the phase's own part."""
    for i in range(STATES):
        for j in range(STATES):
            f[i, j] = 1.0 if i == j else 0.0
    if kind == RESTING:
        f[CLIMB, CLIMB] = 0.0
        f[EXTRA, EXTRA] = 0.0
    else:
        decay = beta * dt
        f[HEIGHT, CLIMB] = dt
        f[HEIGHT, EXTRA] = 0.5 * dt * dt
        f[CLIMB, EXTRA] = dt
        if abs(decay) > 1e-4:
            left = exp(-decay)
            f[EXTRA, EXTRA] = left
            f[CLIMB, EXTRA] = (1.0 - left) / beta
            f[HEIGHT, EXTRA] = (decay - 1.0 + left) / (beta * beta)


def _shake(dt, kind, q, p):
    """Add what white jerk of density ``q`` makes uncertain; at rest, what settling does."""
    if kind == RESTING:
        p[HEIGHT, HEIGHT] += q * dt
        return
    d2 = dt * dt
    d3 = d2 * dt
    p[HEIGHT, HEIGHT] += q * d3 * d2 / 20.0
    p[HEIGHT, CLIMB] += q * d2 * d2 / 8.0
    p[CLIMB, HEIGHT] += q * d2 * d2 / 8.0
    p[HEIGHT, EXTRA] += q * d3 / 6.0
    p[EXTRA, HEIGHT] += q * d3 / 6.0
    p[CLIMB, CLIMB] += q * d3 / 3.0
    p[CLIMB, EXTRA] += q * d2 / 2.0
    p[EXTRA, CLIMB] += q * d2 / 2.0
    p[EXTRA, EXTRA] += q * dt


def _advance(dt, kind, q, beta, mean, x, p, f, work):
    """Carry state ``x`` and its covariance ``p`` over ``dt``."""
    n = STATES
    _matrix(dt, kind, beta, f)
    height, climb, extra = x[HEIGHT], x[CLIMB], x[EXTRA]
    if kind != RESTING:
        x[HEIGHT] = height + dt * climb + f[HEIGHT, EXTRA] * extra + 0.5 * mean * dt * dt
        x[CLIMB] = climb + f[CLIMB, EXTRA] * extra + mean * dt
    else:
        x[CLIMB] = 0.0
    x[EXTRA] = f[EXTRA, EXTRA] * extra
    # p = f p f'; only the first three rows of f differ from those of the unit matrix.
    for i in range(n):
        for j in range(n):
            total = p[i, j]
            if i < 3:
                total = f[i, 0] * p[0, j] + f[i, 1] * p[1, j] + f[i, 2] * p[2, j]
            work[i, j] = total
    for i in range(n):
        for j in range(n):
            total = work[i, j]
            if j < 3:
                total = f[j, 0] * work[i, 0] + f[j, 1] * work[i, 1] + f[j, 2] * work[i, 2]
            p[i, j] = total
    _shake(dt, kind, q, p)


def _begin_anew(mean, variance, x, p):
    """Forget the extra acceleration: what comes now is another."""
    for i in range(STATES):
        p[i, EXTRA] = 0.0
        p[EXTRA, i] = 0.0
    p[EXTRA, EXTRA] = variance
    x[EXTRA] = mean


def _take_in(z, variance, h, x, p, gain):
    """Take one reading in; return what it differs by, and the variance of that."""
    n = STATES
    spread = variance
    miss = z
    for i in range(n):
        total = 0.0
        for j in range(n):
            total += p[i, j] * h[j]
        gain[i] = total
    for i in range(n):
        spread += h[i] * gain[i]
        miss -= h[i] * x[i]
    for i in range(n):
        x[i] += gain[i] / spread * miss
    for i in range(n):
        for j in range(i, n):
            value = p[i, j] - gain[i] * gain[j] / spread
            p[i, j] = value
            p[j, i] = value
    for i in range(n):
        gain[i] = gain[i] / spread
    return miss, spread


def _height_row(on_climb, on_port, on_drift, h):
    for i in range(STATES):
        h[i] = 0.0
    h[HEIGHT] = 1.0
    h[CLIMB] = on_climb
    h[PORT] = on_port
    h[OFFSET] = 1.0
    h[DRIFT] = on_drift


def _push_row(h):
    for i in range(STATES):
        h[i] = 0.0
    h[EXTRA] = 1.0
    h[BIAS] = 1.0


def forward(moments, readings, x, p, f, work, h, gain, xs, ps, misses, gains, keep):
    """Run the filter over all moments; return the logarithm of the readings' likelihood.

    Parameters
    ----------
    moments : float64 array (n, 8)
        Time [s], then of the stretch that ends there its kind, white jerk [m2/s5], decay [1/s] and
        mean acceleration [m/s2]; then whether the extra acceleration begins anew before it (1, 0),
        and with what mean [m/s2] and variance.
    readings : float64 array (n, 8)
        Height read [m], its variance (0: none), and how it depends on climb, port coefficient and
        drift; push read less gravity and the phase's own acceleration [m/s2], its variance (0:
        none); 0.
    x, p : float64 arrays (STATES,), (STATES, STATES)
        State at the first moment before its readings; left as that after the last.
    f, work, h, gain : workspace
    xs, ps, misses, gains : float64 arrays (n, STATES), (n, STATES, STATES), (n, 4), (n, 2, STATES)
        Written where ``keep``: state after each moment's readings; what each reading differed by
        from the prediction, and the variance of that; with which gain it was taken in.
    keep : int
        1 to write them.
    """
    n = moments.shape[0]
    total = 0.0
    for k in range(n):
        if k > 0:
            if moments[k, 5] > 0.5:
                _begin_anew(moments[k, 6], moments[k, 7], x, p)
            dt = moments[k, 0] - moments[k - 1, 0]
            kind = int(moments[k, 1])
            _advance(dt, kind, moments[k, 2], moments[k, 3], moments[k, 4], x, p, f, work)
        if readings[k, 1] > 0.0:
            _height_row(readings[k, 2], readings[k, 3], readings[k, 4], h)
            miss, spread = _take_in(readings[k, 0], readings[k, 1], h, x, p, gain)
            total -= 0.5 * (log(spread) + miss * miss / spread + LOG_TWO_PI)
            if keep:
                misses[k, 0] = miss
                misses[k, 1] = spread
                for i in range(STATES):
                    gains[k, 0, i] = gain[i]
        if readings[k, 6] > 0.0:
            _push_row(h)
            miss, spread = _take_in(readings[k, 5], readings[k, 6], h, x, p, gain)
            total -= 0.5 * (log(spread) + miss * miss / spread + LOG_TWO_PI)
            if keep:
                misses[k, 2] = miss
                misses[k, 3] = spread
                for i in range(STATES):
                    gains[k, 1, i] = gain[i]
        if keep:
            for i in range(STATES):
                xs[k, i] = x[i]
                for j in range(STATES):
                    ps[k, i, j] = p[i, j]
    return total


def _undo(h, miss, spread, gain, lam, big, work):
    """Carry the adjoint back over one reading (Bierman's modified Bryson-Frazier form)."""
    n = STATES
    # lam = (I - k h)' lam - h miss / spread
    along = 0.0
    for i in range(n):
        along += gain[i] * lam[i]
    for i in range(n):
        lam[i] -= h[i] * (along + miss / spread)
    # big = (I - k h)' big (I - k h) + h h' / spread
    for i in range(n):
        total = 0.0
        for j in range(n):
            total += big[i, j] * gain[j]
        work[0, i] = total
    twice = 0.0
    for i in range(n):
        twice += gain[i] * work[0, i]
    for i in range(n):
        for j in range(n):
            big[i, j] += (
                h[i] * h[j] * (twice + 1.0 / spread) - work[0, i] * h[j] - h[i] * work[0, j]
            )


def _back(dt, kind, beta, anew, lam, big, f, work):
    """Carry the adjoint back over one stretch."""
    n = STATES
    _matrix(dt, kind, beta, f)
    if anew > 0.5:
        for i in range(3):
            f[i, EXTRA] = 0.0
    for i in range(n):
        total = 0.0
        for k in range(n):
            total += f[k, i] * lam[k]
        work[0, i] = total
    for i in range(n):
        lam[i] = work[0, i]
    for i in range(n):
        for j in range(n):
            total = 0.0
            for k in range(n):
                total += big[i, k] * f[k, j]
            work[i, j] = total
    for i in range(n):
        for j in range(n):
            total = 0.0
            for k in range(n):
                total += f[k, i] * work[k, j]
            big[i, j] = total


def backward(moments, readings, x, p, f, work, h, gain, xs, ps, misses, gains):
    """Turn what ``forward`` kept into what is known given all readings, in place.

    Parameters as for ``forward``, whose ``misses`` and ``gains`` are read; ``x`` and ``p`` serve as
    the adjoint of the state and of its covariance.
    """
    for i in range(STATES):
        x[i] = 0.0
        for j in range(STATES):
            p[i, j] = 0.0
    n = moments.shape[0]
    for back in range(n):
        k = n - 1 - back
        _blend(xs, ps, k, x, p, f, work, gain)
        if readings[k, 6] > 0.0:
            _push_row(h)
            for i in range(STATES):
                gain[i] = gains[k, 1, i]
            _undo(h, misses[k, 2], misses[k, 3], gain, x, p, work)
        if readings[k, 1] > 0.0:
            _height_row(readings[k, 2], readings[k, 3], readings[k, 4], h)
            for i in range(STATES):
                gain[i] = gains[k, 0, i]
            _undo(h, misses[k, 0], misses[k, 1], gain, x, p, work)
        if k > 0:
            dt = moments[k, 0] - moments[k - 1, 0]
            _back(dt, int(moments[k, 1]), moments[k, 3], moments[k, 5], x, p, f, work)


def _blend(xs, ps, k, lam, big, f, work, gain):
    """Turn the filtered state of a moment into the smoothed one."""
    n = STATES
    for i in range(n):
        total = 0.0
        for j in range(n):
            total += ps[k, i, j] * lam[j]
        gain[i] = total
    for i in range(n):
        for j in range(n):
            total = 0.0
            for m in range(n):
                total += ps[k, i, m] * big[m, j]
            work[i, j] = total
    for i in range(n):
        for j in range(n):
            total = 0.0
            for m in range(n):
                total += work[i, m] * ps[k, m, j]
            f[i, j] = total
    for i in range(n):
        xs[k, i] -= gain[i]
        for j in range(n):
            ps[k, i, j] -= f[i, j]
