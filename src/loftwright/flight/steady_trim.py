"""The angle to the flow at which a vehicle's moments balance, moment by moment of a climb.

Worked out by the kernel's own functions as plain Python: the moment of straight flow, and how it
changes with a small angle. Weight makes no moment about the balance; thrust does where the balance
lies beside the axis.
"""

from __future__ import annotations

from math import atan2, degrees, hypot
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.kernel import airloads, loading, rates, slots
from loftwright.physics.rotation import rotate_to_body, rotate_to_ground

__all__ = ["OverClimb", "over_climb"]

Floats = NDArray[np.float64]
LANES = slots.LANES
# Kernel functions carry no types: numba infers them.
_surroundings: Any = rates.surroundings
_meet_air: Any = rates.meet_air_openly
_jet_of: Any = rates.jet_of
_add_item_loads: Any = airloads.add_item_loads
_lane_load: Any = loading.lane_load
SMALL = 1e-3  # rad
MOMENTS = 48  # samples of a climb that are looked at
SLOWEST = 3.0  # m/s through the air; below it no angle means anything
LARGEST = 45.0  # deg; beyond it moments are not in proportion any more
THRUST_CAUSE = "thrust past the balance"
AIR_CAUSE = "drag of the body past the balance"


class OverClimb(NamedTuple):
    """Steady angle over a climb; the largest without thrust, when, and what each cause adds then.

    While it is pushed a vehicle has no time to settle: its turning is the veer's matter. NaN
    stands where moments balance at no small angle.
    """

    time: Floats
    trim_deg: Floats
    incidence_deg: Floats
    largest_deg: float | None
    largest_time_s: float | None
    parts_deg: dict[str, float]


class _Lane:
    """One flight in lane 0, at one moment of its climb."""

    def __init__(self, row: Floats) -> None:
        self.p = np.repeat(row, LANES).tolist()
        self.items = (len(row) - slots.COMMON_COUNT) // slots.ITEM_ROWS
        self.y = [0.0] * slots.SIZE

    def at(self, sample: Floats) -> None:
        """Take up a sample, without turning, on the guide no more."""
        first = slots.RECORD_STATE
        self.y[:: slots.LANES] = sample[first : first + slots.STATES].tolist()
        for rate in (slots.ROLL_RATE, slots.PITCH_RATE, slots.YAW_RATE):
            self.y[rate] = 0.0
        self.phase = int(sample[slots.RECORD_PHASE])
        self.thrust = float(sample[slots.RECORD_THRUST])
        _surroundings(float(sample[slots.RECORD_TIME]), self.y, self.p, 0)
        _lane_load(self.phase, self.items, self.y, self.p, 0)
        east, north, up = (self.p[k] for k in (slots.FLOW_EAST, slots.FLOW_NORTH, slots.FLOW_UP))
        self.speed = (east * east + north * north + up * up) ** 0.5
        q0, q1, q2, q3 = (self.y[k] for k in (slots.Q0, slots.Q1, slots.Q2, slots.Q3))
        self.attitude = q0, q1, q2, q3
        u, v, w = rotate_to_body(q0, q1, q2, q3, east, north, up)
        self.incidence = atan2(hypot(v, w), u)

    def moment(self, pitch: float = 0.0, yaw: float = 0.0, thrust: bool = True) -> Floats:
        """Moments across the axis with the flow at small angles to it [N m].

        ``pitch`` is sideways motion along z over the speed, ``yaw`` that along y.
        """
        p = self.p
        q0, q1, q2, q3 = self.attitude
        across, along_z = self.speed * yaw, self.speed * pitch
        flow = rotate_to_ground(q0, q1, q2, q3, self.speed, across, along_z)
        p[slots.FLOW_EAST], p[slots.FLOW_NORTH], p[slots.FLOW_UP] = flow
        _meet_air(_jet_of(self.phase), self.y, p, 0)
        for item in range(self.items):
            _add_item_loads(item * slots.ITEM, self.y, p, 0)
        push = self.thrust if thrust else 0.0
        return np.array(
            [
                p[slots.MOMENT_Y] - p[slots.SIDE_Z] * push,
                p[slots.MOMENT_Z] + p[slots.SIDE_Y] * push,
            ]
        )

    def stiffness(self) -> Floats:
        """How the moments change with the two angles, (2, 2) [N m/rad]."""
        return np.column_stack(
            [
                (self.moment(pitch=SMALL) - self.moment(pitch=-SMALL)) / (2.0 * SMALL),
                (self.moment(yaw=SMALL) - self.moment(yaw=-SMALL)) / (2.0 * SMALL),
            ]
        )

    def without_air_of(self, item: int) -> Floats:
        """Moments of straight flow if one thing carried met no air."""
        names = (slots.ITEM_DRAG, slots.ITEM_SIDE, slots.ITEM_SLOPE, slots.ITEM_PUSH)
        places = [name + item * slots.ITEM for name in names]
        kept = [self.p[place] for place in places]
        for place in places:
            self.p[place] = 0.0
        found = self.moment()
        for place, value in zip(places, kept, strict=True):
            self.p[place] = value
        return found


def _angles(stiffness: Floats, moment: Floats) -> Floats | None:
    """Angles at which a moment is balanced, None where the vehicle does not hold any."""
    # The nose of a stable vehicle turns to where it moves: to z against the turn about y.
    stable = stiffness[0, 0] < 0.0 < stiffness[1, 1]
    if not stable:
        return None
    return np.asarray(-np.linalg.solve(stiffness, moment), dtype=np.float64)


def _parts(lane: _Lane, stiffness: Floats, whole: Floats) -> dict[str, float]:
    """What each cause adds to the steady angle, along it [deg]."""
    size = float(np.hypot(*whole))
    if size == 0.0:
        return {}

    def share(moment: Floats) -> float:
        angles = _angles(stiffness, moment)
        return 0.0 if angles is None else degrees(float(angles @ whole) / size)

    all_of_it = lane.moment()
    air = lane.moment(thrust=False)
    found = {THRUST_CAUSE: share(all_of_it - air)}
    carried = np.zeros(2)
    for item in range(lane.items):
        its = all_of_it - lane.without_air_of(item)
        carried = carried + its
    found["air on what is carried"] = share(carried)
    found[AIR_CAUSE] = share(air - carried)
    return found


def over_climb(row: Floats, climb: Floats) -> OverClimb:
    """Work out the steady angle at some moments of a climb.

    Parameters
    ----------
    row : (parameters,) array
        The flight's row, with everything carried on.
    climb : (n, slots.RECORD_COLUMNS) array
        Samples of it while everything carried is on.
    """
    # Nothing is picked of a climb that has no sample: what hardly leaves the pad.
    last = max(len(climb) - 1, 0)
    picked = climb[np.unique(np.linspace(0, last, MOMENTS).astype(int))[: len(climb)]]
    lane = _Lane(row)
    times, trims, incidences = [], [], []
    largest, parts, when = None, {}, None
    for sample in picked:
        lane.at(sample)
        if lane.speed < SLOWEST:
            continue
        stiffness = lane.stiffness()
        angles = _angles(stiffness, lane.moment())
        trim = np.nan if angles is None else degrees(float(np.hypot(*angles)))
        trim = trim if trim < LARGEST else np.nan
        times.append(float(sample[slots.RECORD_TIME]))
        trims.append(trim)
        incidences.append(degrees(lane.incidence))
        coasting = lane.phase == slots.COAST_PHASE
        if angles is not None and coasting and trim > (largest or 0.0):
            largest, when, parts = trim, times[-1], _parts(lane, stiffness, angles)
    return OverClimb(np.array(times), np.array(trims), np.array(incidences), largest, when, parts)
