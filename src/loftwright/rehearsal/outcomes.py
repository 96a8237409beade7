"""What became of a flight: one word for each payload, for the vehicle, and for where they lie.

The words are those of ``results``; each is defined here and told in the docs (rehearsal). A flight
in which something was let go or opened before first motion is not flown: the person sees it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.documents.wanted import WantedOpening, WantedRelease
from loftwright.field.landings import Happening, ends_of, landings_of
from loftwright.field.shapes import GroundShape
from loftwright.flight.figures import prefix_of
from loftwright.physics.hazard import FATAL_ENERGY, LIGHT_INJURY_ENERGY
from loftwright.rehearsal.results import FIELD, PAYLOAD, VEHICLE
from loftwright.rehearsal.risk import SEVERITIES

__all__ = ["Judged", "Wanted", "judge", "severities_of", "wanted_of"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Codes = NDArray[np.int8]
Columns = Mapping[str, Floats]


class Wanted(NamedTuple):
    """What counts as well, SI: of each payload by its root, and of the vehicle under canopy."""

    payloads: dict[str, dict[str, float]]  # most_speed, least_climb, least_height, most_lean
    canopy: dict[str, float]  # most_speed, least_height, most_landing_speed

    def flat(self) -> dict[str, float]:
        """Return all of them under names of their own, with units."""
        units = {
            "most_speed": "m_s",
            "least_climb": "m_s",
            "least_height": "m",
            "most_lean": "rad",
            "most_landing_speed": "m_s",
        }
        found = {
            f"{root}_{name}_{units[name]}": value
            for root, each in self.payloads.items()
            for name, value in each.items()
        }
        return found | {f"canopy_{name}_{units[name]}": v for name, v in self.canopy.items()}


class Judged(NamedTuple):
    """Words of some flights as numbers into ``results``, and what they come to; (n,) each.

    ``severity`` counts through ``risk.SEVERITIES``, and is their number where all was as wanted;
    ``energies`` holds the energy of each body at the ground [J], NaN where it did not come down.
    """

    payload: Codes  # of the payload that fared worst; empty of a vehicle without any
    vehicle: Codes
    field: Codes  # of the body that fared worst
    good: Bools
    lost: Bools
    endangers: Bools
    severity: Codes
    energies: dict[str, Floats]

    def take(self, rows: NDArray[np.int64]) -> Judged:
        """Return those of some flights."""
        return Judged(
            payload=self.payload[rows] if len(self.payload) else self.payload,
            vehicle=self.vehicle[rows],
            field=self.field[rows],
            good=self.good[rows],
            lost=self.lost[rows],
            endangers=self.endangers[rows],
            severity=self.severity[rows],
            energies={body: column[rows] for body, column in self.energies.items()},
        )


def wanted_of(campaign: Campaign) -> Wanted:
    """Return what a campaign's documents count as well."""
    payloads = {}
    for root, payload in campaign.payloads.items():
        wanted = payload.wanted or WantedRelease()
        payloads[root] = {
            "most_speed": wanted.most_speed.value,
            "least_climb": wanted.least_climb.value,
            "least_height": wanted.least_height.value,
            "most_lean": wanted.most_lean.value,
        }
    canopy = campaign.vehicle.wanted or WantedOpening()
    opening = {
        "most_speed": canopy.most_opening_speed.value,
        "least_height": canopy.least_opening_height.value,
        "most_landing_speed": canopy.most_landing_speed.value,
    }
    return Wanted(payloads, opening)


def judge(
    campaign: Campaign,
    shapes: Sequence[GroundShape],
    columns: Columns,
    scrubbed: Bools,
    touched: Mapping[str, Bools],
) -> Judged:
    """Say what became of each flight.

    Parameters
    ----------
    campaign : Campaign
    shapes : sequence of GroundShape
        The site's.
    columns : mapping
        Figures of n flights, as ``flight.figures.columns`` names them.
    scrubbed : (n,) array of bool
        Where something was let go or opened before first motion.
    touched : mapping
        By the root of each payload that a program lets go: where that was before first motion.

    Returns
    -------
    Judged
    """
    wanted, count = wanted_of(campaign), len(scrubbed)
    payloads = [
        _payload(columns, root, wanted.payloads[root], scrubbed, touched)
        if root in touched or payload.release.when != "never"
        else _ballast(columns, root)
        for root, payload in campaign.payloads.items()
    ]
    payload = np.max(payloads, axis=0) if payloads else np.zeros(0, np.int8)
    vehicle = _vehicle(columns, wanted.canopy, scrubbed, count)
    energies = _energies(columns, scrubbed)
    field, beyond = _field(campaign, shapes, columns, energies)
    lost = vehicle >= VEHICLE.index("canopy too fast")
    lost &= vehicle != VEHICLE.index("on the pad")
    hurts = _hard(energies, beyond, count)
    good = (vehicle == 0) & ~hurts
    if payloads:
        good &= payload == 0
    return Judged(
        payload=payload,
        vehicle=vehicle,
        field=field,
        good=good,
        lost=lost,
        endangers=hurts,
        severity=severities_of(vehicle, hurts, lost, good, energies),
        energies=energies,
    )


def severities_of(
    vehicle: Codes, endangers: Bools, lost: Bools, good: Bools, energies: Mapping[str, Floats]
) -> Codes:
    """Return each flight's place in ``risk.SEVERITIES``; their number where all was as wanted.

    What the classes stand for is in ``risk.MEANINGS``. Without any energy a body that endangers is
    taken as one that can kill.
    """
    greatest = np.fmax.reduce([np.full(len(good), np.nan), *energies.values()])
    kills = endangers & (np.isnan(greatest) | (greatest >= FATAL_ENERGY))
    hurts = endangers | (vehicle == VEHICLE.index("ballistic"))
    conditions = [kills, hurts, lost, ~good]
    found = np.select(conditions, range(len(SEVERITIES)), default=len(SEVERITIES))
    return found.astype(np.int8)


def _worst_first(words: Sequence[str], found: Mapping[str, Bools], count: int) -> Codes:
    """Number of the first word that holds, in the order given; 0 where none does."""
    code = np.zeros(count, np.int8)
    for word, holds in reversed(list(found.items())):
        code[holds] = words.index(word)
    return code


def _payload(
    columns: Columns,
    root: str,
    wanted: Mapping[str, float],
    scrubbed: Bools,
    touched: Mapping[str, Bools],
) -> Codes:
    """One word for a payload; of several that fit, the one that says most of the cause."""
    prefix = prefix_of(root)
    released = columns[f"{prefix}release_time_s"]
    nowhere = np.zeros(len(released), bool)
    # NaN, of what did not happen, compares as false.
    found = {
        "on the pad": touched.get(root, nowhere),
        "never": ~np.isfinite(released) | scrubbed,
        "torn off early": columns[f"{prefix}torn_off"] > 0.5,
        "struck the vehicle": columns[f"{prefix}recontact"] > 0.5,
        "too low": columns[f"{prefix}release_height_m"] < wanted["least_height"],
        "too fast": columns[f"{prefix}release_speed_m_s"] > wanted["most_speed"],
        "slow or inverted": (columns[f"{prefix}release_climb_m_s"] < wanted["least_climb"])
        | (columns[f"{prefix}release_lean_rad"] > wanted["most_lean"]),
    }
    return _worst_first(PAYLOAD, found, len(released))


def _ballast(columns: Columns, root: str) -> Codes:
    """One word for a payload that is meant to stay."""
    torn = columns[f"{prefix_of(root)}torn_off"] > 0.5
    return _worst_first(PAYLOAD, {"torn off early": torn}, len(torn))


def _vehicle(columns: Columns, wanted: Mapping[str, float], scrubbed: Bools, count: int) -> Codes:
    opened = columns.get("canopy_open_s", np.full(count, np.nan))
    found = {
        "on the pad": scrubbed,
        "ballistic": ~np.isfinite(opened),
        "canopy too late": columns["canopy_open_height_m"] < wanted["least_height"],
        "canopy too fast": (columns["canopy_open_speed_m_s"] > wanted["most_speed"])
        | (columns["touchdown_vehicle_speed_m_s"] > wanted["most_landing_speed"]),
    }
    return _worst_first(VEHICLE, found, count)


def _energies(columns: Columns, scrubbed: Bools) -> dict[str, Floats]:
    """Energy of each body at the ground; of what never flew none."""
    first, last = "touchdown_", "_energy_j"
    return {
        name.removeprefix(first).removesuffix(last): np.where(scrubbed, np.nan, column)
        for name, column in columns.items()
        if name.startswith(first) and name.endswith(last)
    }


# What a place on the ground comes to; what is not named lies inside.
_PLACES: dict[Happening, str] = {
    "caught": "in trees",
    "outside": "outside",
    "beyond": "over the people line",
}


def _field(
    campaign: Campaign,
    shapes: Sequence[GroundShape],
    columns: Columns,
    energies: Mapping[str, Floats],
) -> tuple[Codes, dict[str, Bools]]:
    """Word of the body that fared worst, and of each body whether it lies beyond a bound."""
    count = len(next(iter(energies.values())))
    code, beyond = np.zeros(count, np.int8), {}
    for body, landings in landings_of(campaign, columns).items():
        mine, out = np.zeros(count, np.int8), np.zeros(count, bool)
        down = np.isfinite(energies[body])
        for (happening, name), ends in ends_of(columns, landings, body, shapes).items():
            ended = ends & down
            kind = next((shape.kind for shape in shapes if shape.name == name), "")
            word = _PLACES.get(happening, "inside")
            if happening == "in" and kind == "people":
                word = "over the people line"
            mine[ended] = np.maximum(mine[ended], FIELD.index(word))
            if word in ("outside", "over the people line"):
                out |= ended
        code, beyond[body] = np.maximum(code, mine), out
    return code, beyond


def knows_people(shapes: Sequence[GroundShape]) -> bool:
    """Tell whether the ground says where people may be: without that nobody is ever endangered."""
    return any(shape.kind in ("field edge", "people", "people line") for shape in shapes)


def _hard(energies: Mapping[str, Floats], beyond: Mapping[str, Bools], count: int) -> Bools:
    """Tell where a body comes down beyond a bound with enough energy to injure."""
    hard = np.zeros(count, bool)
    for body, energy in energies.items():
        hard |= beyond.get(body, np.zeros(count, bool)) & (energy > LIGHT_INJURY_ENERGY)
    return hard
