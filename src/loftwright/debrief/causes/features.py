"""What is read off a record to judge causes by: one number a feature, alike for every record.

Each feature is there for something that a fault of the library does: a loss of power ends the
record or makes a hole in it, a frozen sensor repeats itself, a blocked vent keeps the pad's
pressure, a leak pushes it up, a tangled canopy sinks faster, a servo that stalls keeps the supply
down. Not-a-number says that the record does not show the thing at all, which is evidence as well.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes import looks as look
from loftwright.debrief.causes.records import Layout, Records

__all__ = ["ACROSS", "log_features"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Columns = dict[str, Floats]

HEIGHTS_AT = (0.1, 0.2, 0.3, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 11.0, 15.0, 20.0)
CLIMBS_AT = (0.4, 0.8, 1.2, 1.6, 2.0, 2.5, 3.0)
SINKS = ((0.3, 1.0), (1.0, 2.0), (2.0, 4.0), (4.0, 8.0), (8.0, 14.0))
SMOOTH, ACROSS = 0.2, 0.4  # s over which height is averaged, and across which climb is taken
AFTER = 0.5  # s of rest after the last motion that count
RUN_CAP = 5.0  # s; longer standstill says no more
HANGS = 5.0  # m/s2: what hangs under a canopy is held up, what falls is not
SAG = 0.04  # V below the pad that is a load on the supply
G = 9.80665
RESTS = 3.0  # m/s2 within which the push is that of something at rest
ANSWERED = 0.15  # s that a sensor must have been silent at the end to count as silent


@dataclass(frozen=True, slots=True)
class _Seen:
    """Records with what several features need."""

    records: Records
    dt: float
    flies: Bools  # (n, m) after liftoff and within the record
    pad: Bools
    smooth: Floats  # (n, m) m
    climb: Floats  # (n, m) m/s
    apogee: Floats  # (n,) m
    top: Floats  # (n,) s
    end: Floats  # (n,) s

    def at(self, values: NDArray[np.floating], when: Floats) -> Floats:
        """Value of each record at a time of its own; not-a-number outside of it."""
        time = self.records.time
        with look.quietly():
            # What lies halfway between two rows goes to the later one, whatever it was rounded to.
            place = np.floor((when - float(time[0])) / self.dt + 0.5 + 1e-4)
        inside = (place >= 0) & (place < len(time))
        index = np.where(inside, place, 0).astype(int)
        return np.where(inside, values[np.arange(len(values)), index], np.nan)


def log_features(records: Records, layout: Layout) -> Columns:
    """Return the features of n records of one controller by name, (n,) each.

    What the layout says that the record has no channel for is left out.
    """
    whole = _standstill(records, layout)
    seen = _see(_cut(records), layout)
    found = whole | _record(seen) | _pressure(seen) | _motion(seen)
    if "push" in layout.channels:
        found |= _push(seen)
    if "state" in layout.channels:
        found |= _stages(seen, layout)
    if "battery" in layout.channels:
        found |= _supply(seen)
    unknown = records.found == 0
    return {
        name: np.where(unknown & (name not in _UNTIMED), np.nan, values)
        for name, values in found.items()
    }


# Features that mean something even where nothing shows when the vehicle lifted off.
_UNTIMED = frozenset(
    (
        "liftoff shown by",
        "rest pressure",
        "still pressure",
        "still push",
        "silent share",
        "absurd share",
        "absurd side",
        "hole",
        "holes",
        "pad noise",
        "supply on the pad",
        "supply lowest",
        "supply loaded",
        "push noise on the pad",
        "push on the pad",
        "foreign stages",
        "last stage",
    )
)


def _standstill(records: Records, layout: Layout) -> Columns:
    """Longest runs of one and the same reading, before the rest on the ground is cut off."""
    found: Columns = {}
    sensors = [("pressure", records.pressure)]
    if "push" in layout.channels:
        sensors.append(("push", records.push))
    for name, values in sensors:
        same = (values[:, 1:] == values[:, :-1]) & np.isfinite(values[:, 1:])
        run, begin = look.longest_run(same)
        length = np.minimum(run * layout.dt, RUN_CAP)
        found[f"still {name}"] = length
        found[f"still {name} from"] = np.where(length > 0.3, records.time[begin], np.nan)
    return found


def _cut(records: Records) -> Records:
    """Leave the rest on the ground away: how long a recorder goes on there says nothing."""
    time = records.time
    end = look.last_time(records.there, time)
    last = np.full(len(end), -np.inf)
    for values, band in (
        (records.height, np.maximum(2.0, 6.0 * _pad_noise(records))),
        (records.push, np.full(len(end), RESTS)),
    ):
        tail = np.where(time >= (end - 2.0)[:, None], values, np.nan)
        known = np.isfinite(tail).any(axis=1)
        rest = np.full(len(end), np.nan)
        if known.any():
            rest[known] = np.nanmedian(tail[known], axis=1)
        with look.quietly():
            moves = np.abs(values - rest[:, None]) > band[:, None]
        last = np.fmax(last, look.last_time(moves, time))
    state = records.state
    changes = np.zeros_like(records.there)
    changes[:, 1:] = (state[:, 1:] != state[:, :-1]) & (state[:, 1:] >= 0) & (state[:, :-1] >= 0)
    last = np.fmax(last, look.last_time(changes, time))
    keep = time <= (last + AFTER)[:, None]
    keep |= ~np.isfinite(last)[:, None]

    def kept(values: NDArray[np.float32]) -> NDArray[np.float32]:
        return np.where(keep, values, np.float32(np.nan))

    return replace(
        records,
        there=records.there & keep,
        pressure=kept(records.pressure),
        height=kept(records.height),
        push=kept(records.push),
        battery=kept(records.battery),
        state=np.where(keep, state, np.int8(-1)),
    )


def _pad_noise(records: Records) -> Floats:
    """Noise of the height on the pad [m]."""
    before = records.height[:, records.time < 0.0]
    return np.asarray(np.nan_to_num(_rms(look.rough(before)) / np.sqrt(6.0), nan=0.3))


def _rms(values: NDArray[np.floating]) -> Floats:
    good = np.isfinite(values)
    count = np.where(good.any(axis=1), good.sum(axis=1), np.nan)
    return np.asarray(np.sqrt((np.where(good, values, 0.0) ** 2).sum(axis=1) / count))


def _see(records: Records, layout: Layout) -> _Seen:
    time, dt = records.time, layout.dt
    first, end = look.first_time(records.there, time), look.last_time(records.there, time)
    within = (time >= first[:, None]) & (time <= end[:, None])
    smooth = np.where(within, look.smoothed(records.height, round(SMOOTH / dt)), np.nan)
    half = max(1, round(ACROSS / dt / 2.0))
    climb = np.full_like(smooth, np.nan)
    climb[:, half:-half] = (smooth[:, 2 * half :] - smooth[:, : -2 * half]) / (2 * half * dt)
    apogee, top = look.peak_between(smooth, time, 0.1, np.inf)
    return _Seen(
        records=records,
        dt=dt,
        flies=records.there & (time >= 0.0),
        pad=records.there & (time < -0.3),
        smooth=smooth,
        climb=climb,
        apogee=apogee,
        top=np.where(apogee > 3.0, top, np.nan),
        end=end,
    )


def _record(seen: _Seen) -> Columns:
    """Where the record begins, ends and has holes."""
    records, time = seen.records, seen.records.time
    first = look.first_time(records.there, time)
    missing = ~records.there & (time > first[:, None]) & (time < seen.end[:, None])
    long, begin = look.longest_run(missing)
    length = np.where(long >= 2, long * seen.dt, 0.0)
    begins = np.zeros_like(missing)
    begins[:, 1:] = missing[:, 1:] & ~missing[:, :-1]
    return {
        "liftoff shown by": records.found.astype(float),
        "record ends": seen.end,
        "height at its end": seen.at(seen.smooth, seen.end - SMOOTH),
        "climb at its end": seen.at(seen.climb, seen.end - SMOOTH - ACROSS),
        "hole": length,
        "hole from": np.where(length > 0.0, time[begin], np.nan),
        "holes": begins.sum(axis=1).astype(float),
    }


def _share(of: Bools, among: Bools) -> Floats:
    count = among.sum(axis=1)
    return np.asarray((of & among).sum(axis=1) / np.where(count > 0, count, np.nan))


def _pressure(seen: _Seen) -> Columns:
    """What the barometer gives, whatever the height may be."""
    records, time = seen.records, seen.records.time
    pressure = records.pressure
    given = np.isfinite(pressure)
    absurd = given & ~np.isfinite(records.height)
    silent_from = look.last_time(given, time)
    same = np.zeros_like(given)
    same[:, 1:] = (pressure[:, 1:] == pressure[:, :-1]) & given[:, 1:]
    moving = np.abs(np.nan_to_num(seen.climb)) > 3.0
    bumpy = np.pad(look.rough(records.pressure), ((0, 0), (1, 1)), constant_values=np.nan)
    # Means reach beyond a record: only within it they count.
    bursts = np.where(records.there, look.smoothed(bumpy**2, round(0.3 / seen.dt)), np.nan)
    burst, burst_at = look.peak_between(bursts, time, -8.0, np.inf)
    coasting = (time > 0.6) & (time < seen.top[:, None] - 0.2)
    sinking = time > seen.top[:, None] + 1.5
    with look.quietly():
        excess = pressure - records.reference[:, None]
    wander = look.smoothed(np.where(seen.pad, excess, np.nan), round(SMOOTH / seen.dt))
    wander = np.where(seen.pad, wander, np.nan)
    up, up_at = look.peak_between(wander, time, -np.inf, -0.4)
    down, down_at = look.peak_between(-wander, time, -np.inf, -0.4)
    larger = np.fmax(up, 0.0) >= np.fmax(down, 0.0)
    boost, boost_at = look.peak_between(look.smoothed(excess, 3), time, 0.0, 1.2)
    return {
        "rest pressure": records.reference.astype(float),
        "silent share": _share(~given, records.there),
        "silent share in flight": _share(~given, seen.flies),
        "silent from": np.where(seen.end - silent_from > ANSWERED, silent_from, np.nan),
        "absurd share": _share(absurd, records.there),
        "absurd from": look.first_time(absurd, time),
        "absurd side": _mean_of(np.sign(excess), absurd),
        "same in motion": _share(same, moving & given),
        "same on the pad": _share(same, seen.pad & given),
        "pad noise": _rms(np.where(seen.pad, bumpy, np.nan)),
        "coast noise": _rms(np.where(coasting, bumpy, np.nan)),
        "sink noise": _rms(np.where(sinking, bumpy, np.nan)),
        "burst": np.sqrt(burst),
        "burst at": burst_at,
        "pad drift": look.slope_between(excess, time, -np.inf, -0.5),
        "pad wander": np.where(larger, up, -down),
        "pad wander at": np.where(larger, up_at, down_at),
        "boost excess": boost,
        "boost excess at": boost_at,
        "pressure just off": look.mean_between(excess, time, 0.0, 0.1),
    }


def _mean_of(values: NDArray[np.floating], where: Bools) -> Floats:
    count = where.sum(axis=1)
    total = np.where(where, np.nan_to_num(values), 0.0).sum(axis=1)
    return np.asarray(total / np.where(count > 0, count, np.nan))


def _motion(seen: _Seen) -> Columns:
    """Heights, climbs and sinking, as the pressure has them."""
    time = seen.records.time
    fastest, fastest_at = look.peak_between(seen.climb, time, 0.0, 4.0)
    n = len(seen.end)
    found = {
        "apogee": seen.apogee,
        "apogee time": seen.top,
        "fastest climb": fastest,
        "fastest climb at": fastest_at,
    }
    for at in HEIGHTS_AT:
        found[f"height at {at:g} s"] = seen.at(seen.smooth, np.full(n, at))
    for at in CLIMBS_AT:
        found[f"climb at {at:g} s"] = seen.at(seen.climb, np.full(n, at))
    for begin, end in SINKS:
        one, other = (seen.at(seen.smooth, seen.top + each) for each in (begin, end))
        found[f"sink {begin:g} to {end:g} s after the top"] = (one - other) / (end - begin)
    last = seen.end - 1.0
    found["last sink"] = (seen.at(seen.smooth, last - 2.0) - seen.at(seen.smooth, last)) / 2.0
    found["time from the top"] = seen.end - seen.top
    found["ground after the flight"] = seen.at(seen.smooth, seen.end - SMOOTH)
    return found


def _push(seen: _Seen) -> Columns:
    """What the accelerometer gives."""
    records, time = seen.records, seen.records.time
    push = records.push
    given = np.isfinite(push)
    most, most_at = look.peak_between(push, time, -0.2, 1.2)
    knock, knock_at = look.peak_between(push, time, -np.inf, -0.3)
    dent, _ = look.peak_between(-push, time, -np.inf, -0.3)
    later, later_at = look.peak_between(push, time, 1.2, np.inf)
    after = look.smoothed(push, round(SMOOTH / seen.dt))
    fell = time > np.fmax(seen.top - 1.5, 1.2)[:, None]
    hangs = look.first_time((after > HANGS) & fell & records.there, time)
    thrusts = (push > 15.0) & (time >= -0.1) & (time < 1.5)
    boosted = look.mean_between(push, time, -0.05, 0.7)
    silent = look.last_time(given, time)
    coast = (time > 0.7) & (time < np.fmin(seen.top, 3.0)[:, None])
    bumpy = np.pad(look.rough(push), ((0, 0), (1, 1)), constant_values=np.nan)
    return {
        "push on the pad": look.mean_between(push, time, -np.inf, -0.3),
        "push noise on the pad": _rms(np.where(seen.pad, bumpy, np.nan)),
        "push noise in flight": _rms(np.where(time > 0.7, bumpy, np.nan)),
        "knock": knock,
        "dent": dent,
        "knock at": knock_at,
        "most push": most,
        "most push at": most_at,
        "push ends": look.last_time(thrusts, time),
        "speed from the push": (boosted - G) * 0.75,
        "push while it coasts": _mean_of(push, coast & given),
        "push silent share": _share(~given, records.there),
        "push silent from": np.where(seen.end - silent > ANSWERED, silent, np.nan),
        "hangs from": hangs,
        "most push later": later,
        "most push later at": later_at,
        "push at the end": look.mean_between(push, time, 6.0, 12.0),
    }


def _stages(seen: _Seen, layout: Layout) -> Columns:
    """When the program went from stage to stage, and what followed."""
    records, time, state = seen.records, seen.records.time, seen.records.state
    known = state >= 0
    last = np.where(known.any(axis=1), state[np.arange(len(state)), _last_of(known)], -1)
    was_later = np.maximum.accumulate(np.where(known, state, 0), axis=1) > 0
    anew = np.zeros_like(known)
    anew[:, 1:] = (state[:, 1:] == 0) & was_later[:, 1:] & (state[:, :-1] != 0)
    found: Columns = {
        "last stage": last.astype(float),
        "foreign stages": _share(state >= len(layout.stages), known),
        "begins anew": look.first_time(anew, time),
        "begins anew times": anew.sum(axis=1).astype(float),
    }
    resting = look.mean_between(records.battery, time, -np.inf, -0.5)
    for number in range(1, len(layout.stages)):
        entered = look.first_time(state == number, time)
        found[f"stage {number} from"] = entered
        found[f"height at stage {number}"] = seen.at(seen.smooth, entered)
        found[f"climb at stage {number}"] = seen.at(seen.climb, entered)
        found[f"climb after stage {number}"] = seen.at(seen.climb, entered + 1.2)
        if "battery" in layout.channels:
            since = time - entered[:, None]
            moves = (since >= 0.0) & (since < 1.5)
            load = np.where(moves, resting[:, None] - records.battery, np.nan)
            found[f"load at stage {number}"] = _most(load)
            loaded = (load > SAG).sum(axis=1) * seen.dt
            found[f"loaded from stage {number}"] = np.where(np.isfinite(entered), loaded, np.nan)
        if "push" in layout.channels:
            since = time - entered[:, None]
            held = look.smoothed(records.push, 5)
            holds = (held > HANGS) & (since > 0.0) & (time > 1.2) & records.there
            hangs = look.first_time(holds, time)
            found[f"hangs after stage {number}"] = hangs - entered
    return found


def _most(values: Floats) -> Floats:
    filled = np.where(np.isfinite(values), values, -np.inf).max(axis=1, initial=-np.inf)
    return np.where(np.isfinite(filled), filled, np.nan)


def _last_of(mask: Bools) -> NDArray[np.int64]:
    return np.asarray(mask.shape[1] - 1 - mask[:, ::-1].argmax(axis=1))


def _supply(seen: _Seen) -> Columns:
    """What the supply's voltage says."""
    records, time = seen.records, seen.records.time
    battery = records.battery
    rest = look.mean_between(battery, time, -np.inf, -0.5)
    drop, drop_at = look.peak_between(rest[:, None] - battery, time, -np.inf, np.inf)
    loaded = rest[:, None] - battery > SAG
    return {
        "supply on the pad": rest,
        "supply lowest": rest - drop,
        "supply load": drop,
        "supply load at": drop_at,
        "supply loaded": loaded.sum(axis=1) * seen.dt,
        "supply at its end": rest - seen.at(battery, seen.end - 0.1),
    }
