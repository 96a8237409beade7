"""Figures that are worked out from those of flights, from the check, and from gliders at rest."""

from __future__ import annotations

from collections.abc import Mapping, Set

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight import prepare
from loftwright.flight.air import air_at_pad
from loftwright.flight.carrying import carrying
from loftwright.flight.facts import facts
from loftwright.flight.figures import prefix_of
from loftwright.flight.glider import has_wing
from loftwright.flight.masses import vessel_volume
from loftwright.flight.trim import glider_modes
from loftwright.physics.stored_energy import code_distance, expansion_energy
from loftwright.study.figures import CHECKED, CLIMB, GLIDES, bodies_down

__all__ = ["of_the_point", "with_derived"]

Floats = NDArray[np.float64]


def with_derived(
    columns: Mapping[str, Floats], masses: Mapping[str, Floats | float]
) -> dict[str, Floats]:
    """Add to the columns of flights what is worked out from them.

    ``reach_m`` is how far from the pad the farthest body comes down, ``ground_energy_j`` the energy
    of the one that comes down hardest; ``time_aloft_s`` is that of the vehicle where nothing is
    carried; ``release_energy_j`` a payload's potential and kinetic energy
    as it is let go. ``masses`` are those of the payloads, by root.
    """
    found = dict(columns)
    number = len(next(iter(columns.values())))
    found["reach_m"] = found["ground_energy_j"] = np.full(number, np.nan)
    for body in bodies_down(columns):
        east, north = (columns[f"touchdown_{body}_{way}_m"] for way in ("east", "north"))
        found[f"{body}_reach_m"] = np.hypot(east, north)
        # What never left its carrier came down with it.
        found["reach_m"] = np.fmax(found["reach_m"], found[f"{body}_reach_m"])
        energy = columns[f"touchdown_{body}_energy_j"]
        found["ground_energy_j"] = np.fmax(found["ground_energy_j"], energy)
    if not masses:
        found["time_aloft_s"] = columns["touchdown_vehicle_time_s"]
    for root, mass in masses.items():
        found |= _of_payload(columns, root, mass)
    return found


def _of_payload(
    columns: Mapping[str, Floats], root: str, mass: Floats | float
) -> dict[str, Floats]:
    prefix = prefix_of(root)
    kinetic = 0.5 * columns[f"{prefix}release_speed_m_s"] ** 2
    energy = mass * (prepare.GRAVITY * columns[f"{prefix}release_height_m"] + kinetic)
    return {f"{prefix}release_energy_j": energy}


def of_the_point(campaign: Campaign, asked: Set[str], tolerance: float) -> dict[str, float | None]:
    """Return the figures ``asked`` for of the documents as they stand, nothing drawn."""
    found: dict[str, float | None] = {}
    if asked & CHECKED:
        found |= _of_the_check(campaign)
    if asked - CHECKED:
        values, _, words = flatten(campaign)
        if asked & set(CLIMB):
            climb = carrying(prepare.prepare(values, words), tolerance)
            found |= {key: None if climb is None else getattr(climb, key) for key in CLIMB}
        for root in PAYLOADS:
            keys = {f"{prefix_of(root)}{key}": field for key, field in GLIDES.items()}
            if asked & set(keys) and has_wing(values, root):
                modes = glider_modes(values, root, air_at_pad(values).density)
                found |= {key: getattr(modes, field) for key, field in keys.items()}
    return {key: value for key, value in found.items() if key in asked}


def _of_the_check(campaign: Campaign) -> dict[str, float | None]:
    known = facts(campaign)
    energy = max(expansion_energy(known.fill_pressure, known.gas_volume), 0.0)
    least = min(known.calibres(state) for state in (known.full, known.empty))
    return {
        "proof_margin": known.proof_margin(),
        "stability_calibres": least if known.flies else None,
        "stored_energy_j": energy,
        "fill_fraction": known.values["vehicle.fill.water_volume"] / vessel_volume(known.values),
        "liftoff_mass_kg": known.full.mass,
        "pressure_test_distance_m": code_distance(energy),
    }
