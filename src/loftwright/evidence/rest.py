"""Where the firing stands in a record: rest before, onset, end, rest after."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.problems import problem
from loftwright.evidence.record import FiringRecord
from loftwright.evidence.smoothing import centred_mean, window

__all__ = ["Span", "find_span"]

Floats = NDArray[np.float64]
BROAD = 0.010  # s, averaging that finds the firing and its end
NARROW = 0.003  # s, averaging that finds the onset
REST = 1.5  # s of rest looked at on either side, if there is so much
LEAST_REST = 0.15  # s
GUARD = 0.12  # s before the largest force that belong to no rest
SETTLED = 0.05  # s within the noise that make an end
ONSET_LEVEL = 0.2  # of the largest average force; the rise is followed back from there
STRONGEST = 1e6  # N; a unit or a column is wrong
FAINT = 0.002  # of the largest force; less is rest even in a record without noise
NOISY = 5.0  # standard deviations


@dataclass(frozen=True, slots=True)
class Span:
    """The firing as samples ``onset`` to ``end`` of a force whose thrust is positive.

    ``before`` and ``after`` are the resting readings in N, ``noise`` their scatter, ``drift`` how
    much the rest before moved. ``stirred`` is the sample at which the stand first left its rest:
    a release pulls at it before thrust begins.
    """

    force: Floats
    onset: int
    end: int
    stirred: int
    rise: int  # samples from the onset to the level that found it
    before: float
    after: float
    noise: float
    drift: float
    quiet: slice
    notes: tuple[str, ...]


def _scatter(values: Floats) -> float:
    """Estimate a standard deviation from the median departure, which bumps do not move."""
    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def _largest(record: FiringRecord) -> tuple[Floats, int, list[str]]:
    """Return the force with thrust positive, and the sample of the largest average."""
    broad = centred_mean(record.force, window(BROAD, record.rate))
    away = np.abs(broad - np.median(broad))
    peak = int(np.argmax(away))
    if not 0.0 < away[peak] < STRONGEST:
        why = "the force never changes" if away[peak] <= 0.0 else "no stand holds such a force"
        raise problem("evidence-no-firing", file=record.name, facts={"why": why})
    if broad[peak] < np.median(broad):
        return -record.force, peak, ["thrust reads negative in this record; its sign is turned"]
    return record.force, peak, []


def _rest_before(record: FiringRecord, peak: int) -> slice:
    high = peak - int(GUARD * record.rate)
    low = max(0, high - int(REST * record.rate))
    if high - low < LEAST_REST * record.rate:
        raise problem(
            "evidence-no-rest",
            file=record.name,
            value=LEAST_REST,
            facts={
                "why": f"only {max(0, high - low) / record.rate:.3g} s of rest stand before the "
                "firing, too little for a tare",
                "side": "before",
            },
        )
    return slice(low, high)


def _find_end(record: FiringRecord, force: Floats, peak: int, level: float) -> tuple[int, float]:
    """First sample from which the force stays at its later rest, and that rest."""
    broad = centred_mean(force, window(BROAD, record.rate))
    tail = force[peak + (len(force) - peak) // 2 :]
    after, hold = float(np.median(tail)), max(2, int(SETTLED * record.rate))
    end = peak
    for _ in range(3):  # the rest is taken nearer to the end each time
        height = float(broad[peak]) - level
        near = min(max(NOISY * _scatter(tail), 0.01 * height), 0.03 * height)
        away = np.nonzero(np.abs(broad[peak:] - after) > near)[0]
        gaps = np.nonzero(np.diff(away) > hold)[0]
        last = away[gaps[0]] if gaps.size else (away[-1] if away.size else 0)
        end = peak + int(last) + 1
        tail = force[end + hold : end + hold + int(REST * record.rate)]
        if len(tail) < LEAST_REST * record.rate:
            facts = {"why": "the record stops before the stand came to rest", "side": "after"}
            raise problem("evidence-no-rest", file=record.name, value=LEAST_REST, facts=facts)
        after = float(np.median(tail))
    return end, after


def _find_onset(
    force: Floats, rate: float, peak: int, level: float, noise: float
) -> tuple[int, int]:
    """Sample at which the rise to the peak left rest, and the length of that rise."""
    narrow = centred_mean(force, window(NARROW, rate)) - level
    largest = centred_mean(force, window(BROAD, rate))[peak] - level
    low = np.nonzero(narrow[: peak + 1] < ONSET_LEVEL * largest)[0]
    risen = int(low[-1]) + 1 if low.size else 0
    resting = np.nonzero(narrow[:risen] < max(3.0 * noise, FAINT * largest))[0]
    onset = int(resting[-1]) if resting.size else 0
    return onset, risen - onset


def _first_stir(force: Floats, rate: float, onset: int, level: float, noise: float) -> int:
    """First departure from rest in the guard time before the onset."""
    narrow = np.abs(centred_mean(force, window(NARROW, rate)) - level)
    low = max(0, onset - int(GUARD * rate))
    near = max(2.0 * NOISY * noise, FAINT * float(force.max() - level))
    away = np.nonzero(narrow[low:onset] > near)[0]
    return low + int(away[0]) if away.size else onset


def find_span(record: FiringRecord) -> Span:
    """Find the firing in a record: the one largest departure from rest.

    The onset is where the rise to the largest force leaves rest for the last time; what the release
    does to the stand before that is left out (and counted as an uncertainty of the impulse).

    Raises
    ------
    ProblemError
        Nothing stands out of the noise, or there is too little rest before or after.
    """
    force, peak, notes = _largest(record)
    quiet = _rest_before(record, peak)
    rest = force[quiet]
    level, noise = float(np.median(rest)), _scatter(rest)
    height = float(centred_mean(force, window(BROAD, record.rate))[peak]) - level
    if height <= max(2.0 * NOISY * noise, 1e-9):
        why = f"the largest force, {height:.3g} N, does not stand out of the noise ({noise:.2g} N)"
        raise problem("evidence-no-firing", file=record.name, facts={"why": why})
    end, after = _find_end(record, force, peak, level)
    onset, rise = _find_onset(force, record.rate, peak, level, noise)
    middle = len(rest) // 2
    drift = float(np.median(rest[middle:]) - np.median(rest[:middle]))
    stirred = _first_stir(force, record.rate, onset, level, noise)
    notes += [
        f"tare {level:.3f} N, noise {noise:.3f} N; firing from {record.time[onset]:.4f} s to "
        f"{record.time[end]:.4f} s of the record; "
        f"rest after it {after - level:.2f} N above the tare"
    ]
    return Span(force, onset, end, stirred, rise, level, after, noise, drift, quiet, tuple(notes))
