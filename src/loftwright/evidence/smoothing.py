"""Averages over a window, and the stand's ringing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["centred_mean", "ringing_frequency", "window"]

Floats = NDArray[np.float64]
SLOWEST_RINGING = 15.0  # Hz; slower changes are thrust
LONGEST_TREND = 0.025  # s; averages over it hold no ringing


def window(seconds: float, rate: float) -> int:
    """Return the odd number of samples nearest to a length of time, at least 1."""
    return 2 * round(max(0.0, seconds * rate - 1.0) / 2.0) + 1


def centred_mean(values: Floats, samples: int) -> Floats:
    """Average over ``samples`` (odd) around each sample; near the ends over what there is.

    An average over one period takes a steady oscillation of that period out and leaves the
    integral as it was, which a phase-shifting filter would not.
    """
    half = min(samples // 2, max(0, (len(values) - 1) // 2))
    total = np.concatenate([[0.0], np.cumsum(values)])
    index = np.arange(len(values))
    low, high = np.maximum(index - half, 0), np.minimum(index + half + 1, len(values))
    mean: Floats = (total[high] - total[low]) / (high - low)
    return mean


def ringing_frequency(force: Floats, rate: float) -> float | None:
    """Find the frequency [Hz] that carries most of what is not trend; None if too few samples."""
    rest = force - centred_mean(force, window(LONGEST_TREND, rate))
    if len(rest) < 32:
        return None
    spectrum = np.abs(np.fft.rfft(rest * np.hanning(len(rest)), 4 * len(rest))) ** 2
    frequency = np.fft.rfftfreq(4 * len(rest), 1.0 / rate)
    allowed = (frequency > SLOWEST_RINGING) & (frequency < rate / 4.0)
    if not allowed.any() or spectrum[allowed].max() <= 0.0:
        return None
    return float(frequency[allowed][np.argmax(spectrum[allowed])])
