"""The figures that a study may ask for, under names a person writes: ``apogee``, ``reach``.

A figure is named by its column (``apogee_m``), with or without the unit at the end. Beside the
columns of a flight there are some that are worked out from them, and some of the check.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Final, NoReturn

import numpy as np
from numpy.typing import NDArray

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.facts import facts
from loftwright.flight.figures import FIGURES, TOUCHDOWN
from loftwright.flight.masses import vessel_volume
from loftwright.flight.prepare import GRAVITY, Values
from loftwright.physics.stored_energy import code_distance, expansion_energy

__all__ = [
    "CHECKED",
    "dimension",
    "figure_key",
    "known_keys",
    "less_is_better",
    "of_the_check",
    "short_name",
    "with_derived",
]

Floats = NDArray[np.float64]

DERIVED: Final = (
    "reach_m",
    "vehicle_reach_m",
    "payload_reach_m",
    "time_aloft_s",
    "release_energy_j",
    "hold_margin",
)
# Worked out for each point without flying it: nothing of them is drawn.
CHECKED: Final = frozenset((
    "proof_margin",
    "stability_calibres",
    "stored_energy_j",
    "fill_fraction",
    "liftoff_mass_kg",
    "pressure_test_distance_m",
))  # fmt: skip

# Endings of a column, the longer first, and what they are measured in.
_ENDINGS: Final = (
    ("_m_s2", "acceleration"),
    ("_m_s", "speed"),
    ("_n_s", "impulse"),
    ("_rad", "angle"),
    ("_kg", "mass"),
    ("_m", "length"),
    ("_s", "time"),
    ("_n", "force"),
    ("_j", "energy"),
    ("_k", "temperature"),
)
# Of these less is better when nobody says otherwise.
_LESS: Final = ("max_acceleration", "load", "reach", "touchdown", "lean", "stored", "distance",
                "veer", "east", "north", "tear_off")  # fmt: skip
_OTHER_WORDS: Final = {
    "height": "apogee_m",
    "acceleration": "max_acceleration_m_s2",
    "stability": "stability_calibres",
    "distance": "reach_m",
    "release_speed": "release_speed_m_s",
    "climb": "release_climb_m_s",
    "energy_at_release": "release_energy_j",
    "touchdown_energy": "touchdown_vehicle_energy_j",
    "landing_energy": "touchdown_vehicle_energy_j",
    "landing_speed": "touchdown_vehicle_speed_m_s",
}


def less_is_better(key: str) -> bool:
    """Tell whether less of a figure is better, when nobody says otherwise."""
    return any(word in key for word in _LESS)


def known_keys(campaign: Campaign) -> list[str]:
    """Return the columns that this campaign can have, flight figures first."""
    bodies = ("vehicle", "payload") if campaign.payload is not None else ("vehicle",)
    landed = [f"touchdown_{body}_{key}" for body in bodies for key in TOUCHDOWN]
    return [*FIGURES, *landed, *DERIVED, *sorted(CHECKED)]


def dimension(key: str) -> str:
    """Return what a column is measured in: a dimension of `units`, or ``"impulse"``."""
    return next((kind for ending, kind in _ENDINGS if key.endswith(ending)), "number")


def short_name(key: str) -> str:
    """Return a column's name without its unit, as it may be asked for."""
    return next((key.removesuffix(end) for end, _ in _ENDINGS if key.endswith(end)), key)


def figure_key(words: str, keys: Iterable[str], option: str) -> str:
    """Return the column that ``words`` name, or raise ``ProblemError`` with what was meant."""
    keys = list(keys)
    asked = "_".join(words.strip().lower().replace("-", " ").split())
    by_name = {short_name(key): key for key in keys} | {key: key for key in keys}
    if asked in by_name:
        return by_name[asked]
    other = _OTHER_WORDS.get(asked)
    if other in keys:
        return other
    _unknown(words, asked, by_name, option)


def _unknown(words: str, asked: str, by_name: Mapping[str, str], option: str) -> NoReturn:
    from difflib import get_close_matches

    short = [name for name in by_name if name not in by_name.values() or name == by_name[name]]
    close = get_close_matches(asked[:60], [*short, *_OTHER_WORDS], n=1, cutoff=0.5)
    listed = ", ".join(sorted({short_name(key) for key in by_name.values()}))
    mend = f"did you mean {close[0]}?" if close else f"there are: {listed}"
    message = f"there is no figure {words.strip()[:60]!r}"
    where = Where(field=option, value=words.strip()[:80])
    raise ProblemError([Problem("study-unknown-figure", message, where, mend)])


def with_derived(columns: Mapping[str, Floats], values: Values) -> dict[str, Floats]:
    """Add to the columns of flights what is worked out from them.

    ``reach_m`` is how far from the pad the farther body comes down; ``time_aloft_s`` the time of
    the payload on its own, or of the vehicle where nothing is carried; ``release_energy_j`` the
    payload's potential and kinetic energy as it is let go; ``hold_margin`` the strength of its
    hold over the greatest load on it.
    """
    found = dict(columns)
    number = len(next(iter(columns.values())))
    never = np.full(number, np.nan)
    reaches = {}
    for body in ("vehicle", "payload"):
        if f"touchdown_{body}_east_m" in columns:
            east, north = (columns[f"touchdown_{body}_{to}_m"] for to in ("east", "north"))
            reaches[body] = np.hypot(east, north)
        found[f"{body}_reach_m"] = reaches.get(body, never)
    # A payload that never left its vehicle came down with it.
    found["reach_m"] = np.fmax(found["vehicle_reach_m"], found["payload_reach_m"])
    if "payload.mass" not in values:
        aloft = columns["touchdown_vehicle_time_s"]
        return found | {
            "time_aloft_s": aloft, "release_energy_j": never, "hold_margin": never,
        }  # fmt: skip
    found["time_aloft_s"] = columns["touchdown_payload_time_s"] - columns["release_time_s"]
    kinetic = 0.5 * columns["release_speed_m_s"] ** 2
    found["release_energy_j"] = values["payload.mass"] * (
        GRAVITY * columns["release_height_m"] + kinetic
    )
    found["hold_margin"] = _hold_margin(columns["hold_load_n"], values)
    return found


def _hold_margin(load: Floats, values: Values) -> Floats:
    if "payload.hold.strength" not in values:
        return np.full(len(load), np.nan)
    pulled = np.where(load > 0.0, load, np.nan)
    return np.asarray(values["payload.hold.strength"] / pulled)


def of_the_check(campaign: Campaign) -> dict[str, Floats]:
    """Return the figures of the check as columns of one element, NaN where there is none."""
    known = facts(campaign)
    energy = max(expansion_energy(known.fill_pressure, known.gas_volume), 0.0)
    least = min(known.calibres(state) for state in (known.full, known.empty))
    figures = {
        "proof_margin": known.proof_margin(),
        "stability_calibres": least if known.flies else None,
        "stored_energy_j": energy,
        "fill_fraction": known.values["vehicle.fill.water_volume"] / vessel_volume(known.values),
        "liftoff_mass_kg": known.full.mass,
        "pressure_test_distance_m": code_distance(energy),
    }
    return {
        name: np.array([math.nan if value is None else value]) for name, value in figures.items()
    }
