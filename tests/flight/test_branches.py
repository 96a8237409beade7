"""Flights that share an ascent are those that fly from the pad."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from loftwright.documents import read_campaign
from loftwright.flight import engine
from loftwright.flight.blocks import recipe_of, rows_of
from loftwright.flight.branches import Acts, share_ascent
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.events import FAR

ROOT = Path(__file__).resolve().parents[2]
FLIGHTS = 5


@pytest.fixture(scope="module")
def bodies():
    campaign = read_campaign(ROOT / "examples" / "sedge-lift-mended")
    rows, _, _ = rows_of(recipe_of(campaign, 4, 1e-6), 0, FLIGHTS)
    return rows


def from_the_pad(bodies, release, canopy):
    """Fly whole flights with the moments of a release and of the canopy set by hand."""
    pad = bodies[0].parameters.copy()
    item = 0
    pad[:, (slots.ITEM_WHEN + item) // slots.LANES] = slots.NEVER
    pad[:, (slots.ITEM_AT + item) // slots.LANES] = np.where(np.isnan(release), FAR, release)
    pad[:, slots.CANOPY_KIND // slots.LANES] = slots.NEVER
    pad[:, slots.CANOPY_AT // slots.LANES] = np.where(np.isnan(canopy), FAR, canopy)
    return engine.fly_all([bodies[0]._replace(parameters=pad), *bodies[1:]], threads=1)


@pytest.mark.parametrize(
    ("release", "canopy"),
    [
        ([2.0, 2.2, 2.4, 2.6, np.nan], [3.0, np.nan, 4.0, 5.0, 3.5]),
        ([0.01, 2.0, 0.02, np.nan, 0.05], [3.0, 3.0, 0.5, 0.1, np.nan]),
    ],
    ids=["after the push", "some while pushed"],
)
def test_a_branch_is_the_flight_from_the_pad(bodies, release, canopy):
    release, canopy = np.array(release), np.array(canopy)
    shared = share_ascent(bodies, Acts({0: release}, canopy))
    raw = shared.flights(np.arange(FLIGHTS), Acts({0: release}, canopy))
    whole = from_the_pad(bodies, release, canopy)
    # What is due later shortens no step before it, but where the last of the air runs out the
    # nearest event decides how long the next step may be: figures agree as the tolerance has it.
    # A canopy's load is the largest met at the ends of steps.
    left_out = (slots.STEPS, slots.REJECTED, slots.CANOPY_LOAD)
    kept = [k for k in range(slots.FIGURE_COUNT) if k not in left_out]
    np.testing.assert_allclose(
        raw.figures[:, kept], whole.figures[:, kept], rtol=1e-4, atol=1e-4, equal_nan=True
    )
    gone = [slots.LET_GO_TIME, slots.FIN_CLEARANCE, slots.BODY_CLEARANCE]
    ours, theirs = raw.bodies["payload"][:, gone], whole.bodies["payload"][:, gone]
    np.testing.assert_allclose(ours, theirs, rtol=1e-4, atol=1e-4, equal_nan=True)


def test_a_flight_can_be_taken_many_times_in_any_order(bodies):
    shared = share_ascent(bodies, Acts({0: np.zeros(FLIGHTS)}, np.zeros(FLIGHTS)))
    rows = np.array([3, 0, 3, 3])
    release = np.array([2.0, 2.1, 2.0, 2.3])
    canopy = np.array([3.0, 3.0, 3.0, np.nan])
    figures = shared.flights(rows, Acts({0: release}, canopy)).figures
    np.testing.assert_array_equal(figures[0], figures[2])
    again = shared.flights(rows[1:2], Acts({0: release[1:2]}, canopy[1:2])).figures
    np.testing.assert_array_equal(again[0], figures[1])


def test_the_tape_runs_from_first_motion_to_the_ground(bodies):
    shared = share_ascent(bodies, Acts({0: np.zeros(FLIGHTS)}, np.zeros(FLIGHTS)))
    nothing = np.full(FLIGHTS, np.nan)
    flown, ended = shared.vehicles(np.arange(FLIGHTS), Acts({0: nothing}, nothing))
    for flight in range(FLIGHTS):
        tape = flown.records[flight, : flown.counts[flight]]
        times = tape[:, slots.RECORD_TIME]
        assert times[0] == 0.0
        assert (np.diff(times) >= 0.0).all()
        assert times[-1] == ended[flight] == flown.figures[flight, slots.DOWN_TIME]
        assert tape[-1, slots.RECORD_STATE + slots.UP // slots.LANES] == pytest.approx(0, abs=0.5)
