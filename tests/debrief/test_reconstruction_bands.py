"""Bands hold what they promise: the short form of benchmarks/reconstruction_calibration.py."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from loftwright.debrief.reconstruction.instrument import instrument_of
from loftwright.debrief.reconstruction.reconstruct import reconstruct
from loftwright.debrief.reconstruction.rehearsed_log import rehearsed_logs
from loftwright.documents import read_campaign
from loftwright.errors import ProblemError
from loftwright.rehearsal.cases import known_happenings
from loftwright.rehearsal.plan import plan_of

EXAMPLE = Path(__file__).parents[2] / "examples" / "sedge-lift-rehearsed"
FLIGHTS = 10
KINDS = ("liftoff", "water out", "apogee", "canopy open", "touchdown")
FIVE = 1.6448536
# Too few held by chance alone less often than once in ten thousand runs.
CHANCE = 1e-4


# What a failing instrument may do to a record, as far as a record can show it.
SHOWN = (
    "sensor frozen", "sensor out of range", "sensor dead", "vent blocked", "samples repeated",
    "samples dropped",
)  # fmt: skip


@pytest.fixture(scope="module")
def flown():
    campaign = read_campaign(EXAMPLE)
    instrument, air = instrument_of(campaign, "board"), campaign.site.air.temperature
    return [
        (
            each,
            reconstruct(
                each.log,
                instrument,
                pad_temperature=air.value,
                pad_pressure=None,
                pad_temperature_sd=air.sd,
            ),
        )
        for each in rehearsed_logs(campaign, "board", seed=4, first=0, count=FLIGHTS)
    ]


def test_nine_intervals_of_ten_hold_figures_and_moments(flown):
    held = []
    for each, found in flown:
        held.append(found.apogee.low <= each.apogee_m <= found.apogee.high)
        held.append(found.max_climb.low <= each.true_climb.max() <= found.max_climb.high)
        start = np.interp(0.0, each.true_time, each.log.time_s) - found.liftoff_s
        for kind in KINDS:
            event = found.event(kind)
            truth = start if kind == "liftoff" else each.events[kind]
            held.append(event.time.low <= truth <= event.time.high)
    # Half of them, as if each were alone: those of one flight hang together.
    count = len(held) // 2
    assert np.mean(held) * count >= binom.ppf(CHANCE, count, 0.9)


@pytest.mark.parametrize("name", ["height", "climb"])
def test_bands_hold_the_flight(flown, name):
    shares = []
    for each, found in flown:
        time = each.log.time_s - found.liftoff_s
        at = (time > 0.0) & (time < found.event("touchdown").time.value)
        value, sd = (
            np.interp(time[at], found.curve.time, getattr(found.curve, column))
            for column in (name, f"{name}_sd")
        )
        truth = getattr(each, f"true_{name}")[at]
        shares.append(np.mean(np.abs(value - truth) <= FIVE * sd))
    # Moments of one flight hang together: as few as ten flights say little more than this.
    assert np.mean(shares) > 0.72


def test_the_top_is_known_better_than_its_largest_reading(flown):
    tops = np.array([abs(found.apogee.value - each.apogee_m) for each, found in flown])
    assert np.median(tops) < 0.5
    assert tops.max() < 1.5


@pytest.mark.parametrize("name", SHOWN)
def test_a_failing_instrument_is_refused_flagged_or_right(name):
    campaign = read_campaign(EXAMPLE)
    instrument, air = instrument_of(campaign, "board"), campaign.site.air.temperature
    happening = [
        each for each in known_happenings(plan_of(campaign, 4))
        if each.fault.name == name and each.part.kind != "accelerometer"
    ]  # fmt: skip
    flights = rehearsed_logs(campaign, "board", seed=4, first=50, count=2, happening=happening[:1])
    for each in flights:
        try:
            found = reconstruct(
                each.log, instrument, pad_temperature=air.value, pad_pressure=None,
                pad_temperature_sd=air.sd,
            )  # fmt: skip
        except ProblemError as problem:
            if problem.problems[0].code != "log-no-liftoff":
                raise
            continue
        top = found.apogee
        right = top is None or abs(top.value - each.apogee_m) < 4.0 * top.sd
        assert right or found.unsound
