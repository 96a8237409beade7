"""The tracking filter beside published tables and an independent solution."""

from __future__ import annotations

from outside import COMPUTED, MEMORY, OutsideCheck, absolute, register

from loftwright.physics.estimation import tracking_gains, tracking_index, tracking_spread

MODEL = "Estimates on board"
KALATA = (
    "P. R. Kalata, IEEE Transactions on Aerospace and Electronic Systems 20 (1984) 174-182; "
    "Y. Bar-Shalom, X. R. Li and T. Kirubarajan, Estimation with Applications to Tracking and "
    "Navigation (2001), sec. 6.5"
)
RICCATI = "steady state of the Kalman filter for this motion, by the discrete Riccati equation"

# tracking index: alpha, beta
TABLE = {
    0.1: (0.360000, 0.080000),
    0.5: (0.628373, 0.304806),
    1.0: (0.750000, 0.500000),
    2.0: (0.854102, 0.763932),
}


def check(quantity, inputs, expected, ours, tolerance, source=KALATA, standing=MEMORY):
    register(
        OutsideCheck(
            model=MODEL,
            quantity=quantity,
            source=source,
            inputs=inputs,
            expected=expected,
            ours=ours,
            tolerance=tolerance,
            standing=standing,
        )
    )


for index, gains in TABLE.items():
    for number, (name, expected) in enumerate(zip(("alpha", "beta"), gains, strict=True)):
        check(
            f"gain {name} of the steady tracking filter",
            f"tracking index {index:g}",
            expected,
            lambda i=index, n=number: tracking_gains(i)[n],
            absolute(1e-6),
        )


def altitude_filter():
    """Gains of height and rate, and their spreads, of the worked example."""
    alpha, beta = tracking_gains(tracking_index(5.0, 0.05, 1.0))
    return alpha, beta / 0.05, *tracking_spread(alpha, beta, 0.05, 1.0)


EXAMPLE = {
    "gain of height": 0.1462123,
    "gain of rate, 1/s": 0.2310016,
    "spread of height, m": 0.382377,
    "spread of rate, m/s": 0.871744,
}
for number, (quantity, expected) in enumerate(EXAMPLE.items()):
    check(
        f"{quantity}, altitude and rate filter",
        "0.05 s, 5 m/s² unknown, 1 m noise",
        expected,
        lambda n=number: altitude_filter()[n],
        absolute(1e-5),
        RICCATI,
        COMPUTED,
    )
