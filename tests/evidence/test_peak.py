"""The peak under the ringing: unbiased on jets of known thrust, and as doubtful as it says."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from evidence.synthetic_jets import Jet, jet_record
from evidence.synthetic_records import Stand

from loftwright.evidence.record import read_firing_record
from loftwright.evidence.smoothing import centred_mean, window
from loftwright.evidence.thrust import measure_firing


def misses(knock: float, count: int = 60) -> tuple[np.ndarray, np.ndarray]:
    """Relative errors of the peak, and the same in stated standard deviations."""
    rng = np.random.default_rng(9)
    relative, scaled = [], []
    for seed in range(count):
        damping, ringing = rng.uniform(0.03, 0.09), rng.uniform(55.0, 95.0)
        stand = Stand(ringing=ringing, damping=damping, seconds=4.0)
        record, truth = jet_record(Jet.draw(rng, knock), stand, seed)
        peak = measure_firing(record).peak
        relative.append(peak.value / truth - 1.0)
        scaled.append((peak.value - truth) / peak.sd)
    return np.array(relative), np.array(scaled)


@pytest.mark.parametrize("knock", [0.0, 0.15, 0.3])
def test_the_peak_is_unbiased_and_its_sd_covers(knock: float) -> None:
    relative, scaled = misses(knock)
    # 0.3 N s makes readings twice the true peak; the six measured ones ring less.
    assert abs(relative.mean()) < 0.035
    assert abs(scaled.mean()) < 0.5
    # 60 draws: a true share of 0.68 has an sd of 0.06.
    assert (np.abs(scaled) < 1.0).mean() > 0.56
    assert (np.abs(scaled) < 2.0).mean() > 0.88


def test_the_sd_grows_with_what_the_release_does() -> None:
    calm, rough = (
        np.mean([measure_firing(jet_record(Jet(knock=k), Stand(), 1)[0]).peak.sd for k in pair])
        for pair in ((0.0,), (-0.45, 0.45))
    )
    assert rough > 1.2 * calm


def test_a_steady_stand_shows_the_peak_itself() -> None:
    record, truth = jet_record(Jet(opening=0.01), Stand(ringing=400.0, damping=0.7))
    found = measure_firing(record)
    assert found.peak.value == pytest.approx(truth, rel=0.06)
    assert found.raw_peak == pytest.approx(truth, rel=0.06)


def test_the_six_peaks_agree_with_plain_means(measured_firings: list[Path]) -> None:
    for path in measured_firings:
        record = read_firing_record(path)
        found = measure_firing(record)
        # Means over one to one and a quarter periods of 69 to 90 Hz, knocks included.
        plain = [
            centred_mean(found.thrust, window(length, record.rate)).max()
            for length in (1.0 / found.ringing, 1.25 / found.ringing)
        ]
        assert abs(found.peak.value - np.mean(plain)) < 2.0 * found.peak.sd
        assert found.peak.value < 0.75 * found.raw_peak
        assert 0.02 < found.peak.sd / found.peak.value < 0.1
