"""Lanes of the climb with something on: how far the holds are used, and the angle to the flow."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from loftwright.flight.figures import prefix_of
from loftwright.flight.results import Flight
from loftwright.report.bodies import dash_of
from loftwright.report.quantities import amount, digits
from loftwright.report.strip_model import Curve, Lane, Limit, Note, Role

__all__ = ["angle_lane", "hold_lane"]

Floats = NDArray[np.float64]

LEAST = 0.05  # share of the strength that is worth a word
GIVES_WAY = Limit(1.0, "gives way")


def hold_lane(flight: Flight, names: Mapping[str, str], end: float) -> Lane:
    """Return the share of its strength that each payload's hold is asked, up to ``end``.

    A hold of which nobody has said what it bears has no share. Each line ends where its payload
    leaves.
    """
    curves, notes = [], []
    for track in flight.tracks.values():
        for root, use in track.hold_use.items():
            if not root.startswith("payload") or not _known(flight, root):
                continue
            left = flight.figures.get(f"{prefix_of(root)}release_time_s")
            # The sample at the parting itself counts as long as there is something on the hold.
            on = track.time <= (math.inf if left is None else left)
            on &= (track.time < track.time[on][-1]) | (use > 0.0)
            time, share = track.time[on], use[on]
            name = names.get(root, root)
            curves.append(Curve(name, time, share, Role.PAYLOAD, dash=dash_of(root)))
            shown = time <= end
            if shown.any():
                notes += _peak(flight, root, time[shown], share[shown])
    return Lane(
        name="hold",
        unit="of strength",
        curves=tuple(curves),
        notes=tuple(notes),
        limits=(GIVES_WAY,) if curves else (),
        height=110.0,
    )


def _known(flight: Flight, root: str) -> bool:
    prefix = prefix_of(root)
    return flight.figures.get(f"{prefix}hold_margin") is not None


def _peak(flight: Flight, root: str, time: Floats, share: Floats) -> list[Note]:
    top = int(np.argmax(share))
    at, most = float(time[top]), float(share[top])
    if flight.figures.get(f"{prefix_of(root)}torn_off") and most >= 1.0 - 1e-6:
        words = f"torn off after {amount(at, 'time', 'metric', 2)}"
        return [Note(at, most, words, "warning")]
    # What is next to nothing needs no words.
    if most < LEAST:
        return []
    return [Note(at, most, f"{digits(most, 2)} of its strength", "payload")]


def angle_lane(flight: Flight) -> Lane:
    """Return the angle to the flow as flown, and the one at which the vehicle would settle."""
    known = flight.carrying
    if known is None or not known.time.size:
        return Lane("angle", "° to flow")
    # Under thrust it settles at nothing: water and balance run away beneath it.
    free = known.time >= flight.tracks["vehicle"].events.get("air out", 0.0)
    return Lane(
        name="angle",
        unit="° to flow",
        curves=(
            Curve("as flown", known.time, known.incidence_deg, Role.RECORD),
            Curve("steady", known.time[free], known.trim_deg[free], Role.FORECAST, dash="3 3"),
        ),
        height=90.0,
    )
