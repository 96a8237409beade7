"""What a load-cell record says about a firing: impulse, duration and peak, each with its doubt."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.evidence.problems import problem
from loftwright.evidence.ramp import by_mass_flow, even, remove_ramp
from loftwright.evidence.record import FiringRecord
from loftwright.evidence.rest import Span, find_span
from loftwright.evidence.smoothing import centred_mean, ringing_frequency, window

__all__ = ["Measure", "MeasuredFiring", "curve_times", "measure_firing"]

Floats = NDArray[np.float64]
GRAVITY = 9.80665  # m/s2, standard
UNIFORM = math.sqrt(3.0)  # half width over standard deviation of an even distribution
USUAL_RINGING = 80.0  # Hz, where the record's own cannot be found
SPENT = 0.02  # of the largest smooth thrust; below it for good, the firing is over
MOSTLY_SPENT = 0.85  # of the impulse: the water is gone by then, if it is ever gone early
STRETCH = 2.0  # of time; carries jets of expanding air back to their start within 7 %, mostly 3 %
BARELY = 0.01  # of time: hardly any stretch
LEAST_POINTS = 4
# Of the height of the ringing, what a mean over one period keeps: (1 - exp(-2 pi z)) / (2 pi) where
# z = 1/20 of critical damps it, over sqrt 2 for its phase, halved as the value is.
KEPT = 0.015
CENTRAL = (0.1, 0.9)  # shares of the impulse between which the central time runs
DROP = 2.5  # times the usual fall of thrust that mark the end of the water


@dataclass(frozen=True, slots=True)
class Measure:
    """A measured value with one standard deviation and what makes it up (SI)."""

    value: float
    sd: float
    components: Mapping[str, float]

    @classmethod
    def of(cls, value: float, **components: float) -> Measure:
        """Combine independent components (``onset_and_end`` stands for "onset and end")."""
        named = {name.replace("_", " "): abs(sd) for name, sd in components.items()}
        return cls(value, math.hypot(*named.values()), named)


@dataclass(frozen=True, slots=True)
class MeasuredFiring:
    """A firing as measured. Time zero is the onset of thrust.

    ``time`` (s), ``thrust`` (N, tare and weight ramp removed) and ``smooth`` (N, averaged over one
    period of ringing) cover the firing with a margin. ``central_time`` runs from 10 to 90 % of the
    impulse, which neither onset nor end can move much; ``water_out`` is where thrust drops as air
    breaks through, None where no drop stands out. ``raw_peak`` is the largest reading, ringing and
    all; ``peak`` is what the thrust alone made of it.
    """

    name: str
    sha256: str
    time: Floats
    thrust: Floats
    smooth: Floats
    impulse: Measure
    duration: Measure
    central_time: Measure
    water_out: Measure | None
    peak: Measure
    raw_peak: float
    ringing: float | None
    conditions: Mapping[str, float]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Case:
    """A record on its way: where the firing is, its thrust, its smooth thrust."""

    record: FiringRecord
    span: Span
    samples: int
    thrust: Floats
    smooth: Floats

    @property
    def step(self) -> float:
        return 1.0 / self.record.rate

    @property
    def water_weight(self) -> float | None:
        water = self.record.conditions.get("water")
        return water.value * GRAVITY if water else None

    def other_ramps(self, broken: int | None) -> list[Floats]:
        """Thrust under the other ramps that could be defended.

        One rises evenly to the end; one is complete when air breaks through, or where that is not
        seen, when most of the impulse has passed.
        """
        weight, part = self.water_weight, slice(self.span.onset, self.span.end + 1)
        if broken is None:
            time = self.record.time[part]
            (spent,) = curve_times(time, self.smooth[part].clip(0.0), (MOSTLY_SPENT,))
            broken = int(np.searchsorted(self.record.time, spent))
        return [
            remove_ramp(self.span, self.samples, even, water=weight),
            remove_ramp(self.span, self.samples, by_mass_flow, water=weight, last=broken),
        ]

    def impulse(self, thrust: Floats, onset: int | None = None) -> float:
        """Integral of thrust from the onset to the end of the firing, N s."""
        start = self.span.onset if onset is None else onset
        part = slice(start, self.span.end + 1)
        return float(np.trapezoid(thrust[part], self.record.time[part]))


def curve_times(time: Floats, thrust: Floats, shares: tuple[float, ...]) -> tuple[float, ...]:
    """Return the times at which given shares of a curve's impulse have passed, s."""
    steps = np.diff(time) * 0.5 * (thrust[1:] + thrust[:-1])
    passed = np.maximum.accumulate(np.concatenate([[0.0], np.cumsum(steps)]))
    return tuple(float(np.interp(share * passed[-1], passed, time)) for share in shares)


def _case(record: FiringRecord, span: Span, frequency: float | None) -> _Case:
    samples = window(1.0 / (frequency or USUAL_RINGING), record.rate)
    case = _Case(record, span, samples, span.force, span.force)
    thrust = remove_ramp(span, samples, by_mass_flow, water=case.water_weight)
    return replace(case, thrust=thrust, smooth=centred_mean(thrust, samples))


def _water_out(case: _Case) -> int | None:
    """Sample of the steepest fall in the second half of the impulse, if it stands out."""
    span, width = case.span, max(2, case.samples)
    part = slice(span.onset, span.end + 1)
    begin, finish = curve_times(case.record.time[part], case.thrust[part], (0.5, 0.98))
    low, high = np.searchsorted(case.record.time, [begin, finish])
    index = np.arange(low, min(high, len(case.thrust) - width))
    if len(index) < 3 * width // 2:
        return None
    total = np.concatenate([[0.0], np.cumsum(case.thrust)])
    fall = (2.0 * total[index] - total[index - width] - total[index + width]) / width
    best = int(np.argmax(fall))
    clear = fall[best] > max(DROP * float(np.median(fall)), 5.0 * span.noise)
    return int(index[best]) if clear else None


def _offset(case: _Case) -> float:
    """Return the step of the rest that is not water; 0 where the water is not known."""
    weight = case.water_weight
    return 0.0 if weight is None else case.span.after - case.span.before - weight


def _rest_integrals(case: _Case) -> float:
    """Scatter of the impulse that rest alone makes in stretches as long as the firing, N s."""
    rest = case.span.force[case.span.quiet] - case.span.before
    length = case.span.end - case.span.onset
    count = len(rest) // length
    if count < 4:  # too short: as if the noise hung together over ten samples
        return case.span.noise * math.sqrt(10.0 * length) * case.step
    sums = rest[: count * length].reshape(count, length).sum(axis=1) * case.step
    return 1.4826 * float(np.median(np.abs(sums - np.median(sums))))


def _impulse(case: _Case, broken: int | None) -> Measure:
    span, length = case.span, (case.span.end - case.span.onset) * case.step
    value = case.impulse(case.thrust)
    choices = [value, *map(case.impulse, case.other_ramps(broken))]
    stirred = case.impulse(case.thrust, span.stirred) - value
    return Measure.of(
        value,
        noise=_rest_integrals(case),
        baseline_drift=abs(span.drift) * length,
        ramp_shape=(max(choices) - min(choices)) / 2.0 / UNIFORM,
        resting_offset=_offset(case) * length / 2.0 / UNIFORM,
        onset=stirred / UNIFORM,
    )


def _duration(case: _Case) -> Measure:
    """Time from the onset until smooth thrust stays below a fiftieth of its largest."""
    smooth = case.smooth[case.span.onset : case.span.end + case.samples]
    top = float(smooth.max())
    ends = [
        float(np.nonzero(smooth > share * top)[0][-1]) * case.step
        for share in (SPENT, SPENT / 2.0, SPENT * 2.0)
    ]
    return Measure.of(
        ends[0],
        onset=case.span.rise * case.step / UNIFORM,
        end=(max(ends) - min(ends)) / 2.0 / UNIFORM,
        sampling=case.step,
    )


def _central_time(case: _Case, broken: int | None) -> Measure:
    def central(thrust: Floats) -> float:
        part = slice(case.span.onset, case.span.end + 1)
        low, high = curve_times(case.record.time[part], thrust[part], CENTRAL)
        return high - low

    ramps = [central(case.thrust), *map(central, case.other_ramps(broken))]
    return Measure.of(
        central(case.thrust),
        ramp_shape=(max(ramps) - min(ramps)) / 2.0 / UNIFORM,
        ringing=abs(central(case.smooth) - central(case.thrust)) / UNIFORM,
        sampling=case.step,
    )


def _trend_points(case: _Case, broken: int | None) -> NDArray[np.int_]:
    """Samples at which smooth thrust is thrust alone, while water leaves.

    The first two periods of ringing are left out: there the average still holds the release.
    """
    span = case.span
    crest = span.onset + int(np.argmax(case.thrust[span.onset : span.end]))
    stop = (broken or span.onset + (span.end - span.onset) // 2) - case.samples // 2
    start = min(crest + 2 * case.samples, stop - 4 * LEAST_POINTS)
    index = np.arange(max(start, span.onset), stop)
    return index[case.smooth[index] > 3.0 * span.noise]


def _trend(
    case: _Case, points: NDArray[np.int_], stretch: float
) -> tuple[tuple[float, float], float]:
    """Smooth thrust carried back over the ringing: at onset and crest; and the misfit.

    The logarithm of thrust is a parabola in ``log(1 + stretch t / T)``, T the time while water
    leaves: expanding air drives thrust down about as a power of time, fast at first. With a
    ``stretch`` near 0 it is a parabola in time itself.
    """
    span = case.span
    length = max(1, int(points[-1]) - span.onset)
    crest = span.onset + int(np.argmax(case.thrust[span.onset : span.end]))

    def clock(index: NDArray[np.int_]) -> Floats:
        return np.log1p(stretch * (index - span.onset) / length)

    line = np.polynomial.Polynomial.fit(clock(points), np.log(case.smooth[points]), 2)
    misfit = float(np.std(np.log(case.thrust[points].clip(1e-9)) - line(clock(points))))
    highest = math.log(max(float(case.thrust[span.onset : span.end].max()), 1e-9))
    back = np.exp(np.minimum(line(clock(np.array([span.onset, crest]))), highest))
    return (float(back[0]), float(back[1])), misfit


def _peak(case: _Case, broken: int | None) -> Measure:
    """Largest thrust, halfway between two readings of it that could both be defended.

    One is the later smooth thrust carried back to the onset: it sees no surge of the start. The
    other is the largest mean over one period of ringing: it holds such a surge, and whatever the
    release did to the stand too.
    """
    later = float(case.smooth[case.span.onset : case.span.end].max())
    raw = float(case.thrust[case.span.onset : case.span.end].max())
    points = _trend_points(case, broken)
    if len(points) < LEAST_POINTS:
        return Measure.of(later, ringing=(raw - later) / 2.0 / UNIFORM, noise=case.span.noise)
    (early, at_crest), misfit = _trend(case, points, STRETCH)
    (plain, _), _ = _trend(case, points, BARELY)
    periods = max(1.0, (case.span.end - case.span.onset) / 2.0 / case.samples)
    value = (early + later) / 2.0
    return Measure.of(
        value,
        start=(later - early) / 2.0,  # the truth may be either
        # Half of the value is carried back, along a curve between these, to a time between those.
        extrapolation=(early - plain) / 4.0 / UNIFORM,
        rise=(early - at_crest) / 4.0 / UNIFORM,
        ringing=misfit * value / math.sqrt(periods) / 2.0 / UNIFORM,
        release=KEPT * (raw - value),
        noise=case.span.noise,
    )


def _break_time(case: _Case, broken: int | None) -> Measure | None:
    if broken is None:
        return None
    return Measure.of(
        (broken - case.span.onset) * case.step,
        onset=case.span.rise * case.step / UNIFORM,
        drop=case.samples * case.step / 2.0 / UNIFORM,
    )


def _notes(case: _Case, frequency: float | None) -> tuple[str, ...]:
    notes = [*case.span.notes]
    if frequency:
        notes.append(f"the stand rings at {frequency:.0f} Hz; thrust is averaged over one period")
    offset = _offset(case)
    if abs(offset) > 0.1 * abs(case.span.after - case.span.before) + case.span.noise:
        notes.append(
            f"the rest after the firing is {offset:+.1f} N off the water's weight: the stand moved "
            "or something else left it, and when is not known"
        )
    notes.append(
        "weight ramp: the water's weight leaves with its flow, taken as the root of thrust"
        + ("" if case.water_weight is None else "; the rest of the step is spread evenly")
    )
    return tuple(notes)


def measure_firing(record: FiringRecord) -> MeasuredFiring:
    """Measure impulse, duration and peak of the firing in a record.

    The tare and the weight ramp are taken off. Nothing is filtered before the impulse is taken: a
    ringing stand returns what it borrows. Standard deviations are built from stated components;
    a choice between equally good readings counts as an even distribution between them.

    Raises
    ------
    ProblemError
        No firing stands out, or there is too little rest before or after.
    """
    span = find_span(record)
    frequency = ringing_frequency(span.force[span.onset : span.end] - span.before, record.rate)
    case = _case(record, span, frequency)
    if case.impulse(case.thrust) <= 0.0:
        why = "without tare and weight ramp no thrust is left"
        raise problem("evidence-no-firing", file=record.name, facts={"why": why})
    broken = _water_out(case)
    margin = int(0.05 * record.rate)
    part = slice(max(0, span.onset - margin), span.end + margin)
    return MeasuredFiring(
        name=record.name,
        sha256=record.sha256,
        time=record.time[part] - record.time[span.onset],
        thrust=case.thrust[part],
        smooth=case.smooth[part],
        impulse=_impulse(case, broken),
        duration=_duration(case),
        central_time=_central_time(case, broken),
        water_out=_break_time(case, broken),
        peak=_peak(case, broken),
        raw_peak=float(case.thrust[span.onset : span.end].max()),
        ringing=frequency,
        conditions={name: found.value for name, found in record.conditions.items()},
        notes=_notes(case, frequency),
    )
