"""Static firings against what was measured of them: the reader, and a fit that predicts."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from debrief.six_firings import SOURCE, six_stored, stored
from outside import READ, OutsideCheck, absolute, register

from loftwright.debrief.firings.engine import fit_campaign
from loftwright.debrief.firings.features import FEATURES, observed
from loftwright.debrief.firings.fit import FiringFit, Prediction
from loftwright.documents import read_campaign

EXAMPLE = Path(__file__).parents[2] / "examples" / "stand-bottle"
MODEL = "Static firing, fitted"
FITTED, PREDICTED = "abc", "def"
INPUTS = "2 L bottle, throat 21 mm, 1 L water, 40 psi"


def _all(figure: str) -> list[float]:
    return [float(row[figure]) for row in stored().values()]


@cache
def _fit() -> FiringFit:
    six = six_stored()
    return fit_campaign(read_campaign(EXAMPLE), [six[f"firing_{name}"] for name in FITTED])


@cache
def _prediction(name: str) -> Prediction:
    record = observed(six_stored()[f"firing_{name}"])
    return _fit().predict(record.conditions, dict(zip(FEATURES, record.sd, strict=True)))


def _mean(name: str, feature: str, digits: int) -> float:
    """Return a predicted mean, to digits that the draws settle on any machine."""
    return round(float(_prediction(name).draws[feature].mean()), digits)


def _outside() -> float:
    """How many of the twelve held-out figures miss their interval, 95 % for three at once."""
    missed = 0
    for name in PREDICTED:
        values = np.exp(observed(six_stored()[f"firing_{name}"]).log)
        for feature, value in zip(FEATURES, values, strict=True):
            low, high = _prediction(name).interval(feature, 0.95, among=3)
            missed += not low < value < high
    return float(missed)


# The description gives ranges without uncertainties: the least and the largest are met within
# about one standard deviation of ours (0.20 and 0.54 N s), "about 0.27 s" within 0.015 s.
register(
    *(
        OutsideCheck(
            model=MODEL,
            quantity=quantity,
            source=f"description that comes with the records of the {SOURCE}",
            inputs=f"six records, {INPUTS}; figures on file",
            expected=expected,
            ours=ours,
            tolerance=absolute(tolerance),
            standing=READ,
        )
        for quantity, expected, ours, tolerance in (
            ("reader: least impulse of six, N s", 11.7, lambda: min(_all("impulse")), 0.25),
            ("reader: largest impulse of six, N s", 13.8, lambda: max(_all("impulse")), 0.55),
            ("reader: mean duration, s", 0.27, lambda: sum(_all("duration")) / 6.0, 0.015),
        )
    )
)

# What is predicted is compared with what our reader measured. The tolerances are 2.4 standard
# deviations of a prediction (0.8 N s, 4.5 ms and 11 ms): 95 % for three records at once.
for _name in PREDICTED:
    for _feature, _key, _unit, _digits, _tolerance in (
        ("impulse", "impulse", "N s", 0, 1.9),
        ("central time", "central_time", "s", 2, 0.011),
        ("duration", "duration", "s", 2, 0.026),
    ):
        register(
            OutsideCheck(
                model=MODEL,
                quantity=f"{_feature} of record {_name}, predicted from a, b and c, {_unit}",
                source=f"load-cell record {_name}, {SOURCE}, read by our reader",
                inputs=f"{INPUTS}; ours shown to {_digits} decimals",
                expected=round(stored()[f"firing_{_name}"][_key], _digits + 2),
                ours=lambda n=_name, f=_feature, d=_digits: _mean(n, f, d),
                tolerance=absolute(_tolerance),
                standing=READ,
            )
        )

register(
    OutsideCheck(
        model=MODEL,
        quantity="of 12 figures of records d, e and f, outside the 95 % interval from a, b and c",
        source=f"load-cell records, {SOURCE}, read by our reader",
        inputs=INPUTS,
        expected=0.0,
        ours=_outside,
        tolerance=absolute(0.0),
        standing=READ,
    )
)
