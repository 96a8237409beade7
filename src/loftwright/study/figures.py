"""The figures that a study may ask for, under names a person writes: ``apogee``, ``tree_risk``.

A figure is named by its column (``apogee_m``), with or without the unit at the end. Beside the
columns of a flight there are some that are worked out from them, some of the ground, and some of
the check. Those of one body, or of another payload than the first, have its name before them:
``payload2_hold_margin``, ``vehicle_tree_risk``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import degrees
from typing import Final, NoReturn

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.flight.figures import CARRIED, FIGURES, FREE, STAGE, TOUCHDOWN, prefix_of

__all__ = [
    "ASKED",
    "CHECKED",
    "CLIMB",
    "DERIVED",
    "GLIDES",
    "GROUND",
    "bodies_down",
    "dimension",
    "figure_key",
    "in_column",
    "is_chance",
    "known_keys",
    "less_is_better",
    "remedy",
    "short_name",
    "two_sided",
    "undrawn",
]

# Worked out from the columns of a flight.
DERIVED: Final = ("reach_m", "time_aloft_s", "release_energy_j", "ground_energy_j")
# What landings mean against the site: of every body, and of the worst of all.
GROUND: Final = ("inside_field", "field_margin_m", "tree_risk", "building_risk")
# Worked out for each point without flying it: nothing of them is drawn.
CHECKED: Final = frozenset((
    "proof_margin",
    "stability_calibres",
    "stored_energy_j",
    "fill_fraction",
    "liftoff_mass_kg",
    "pressure_test_distance_m",
))  # fmt: skip
# How a glider with a described wing glides when left alone, by the field of its modes.
GLIDES: Final = {
    "glide_ratio": "glide_ratio",
    "sink_m_s": "sink_m_s",
    "glide_speed_m_s": "speed_m_s",
    "phugoid_period_s": "phugoid_period_s",
    "phugoid_damping": "phugoid_damping",
}
# What payloads do to the climb; flights of their own are flown for it.
CLIMB: Final = ("carry_trim_deg", "veer_m")
# Costly enough to be worked out only where they are asked for.
ASKED: Final = (*sorted(CHECKED), *GLIDES, *CLIMB, *GROUND)

# Endings of a column, the longer first, and what they are measured in.
_ENDINGS: Final = (
    ("_m_s2", "acceleration"),
    ("_m_s", "speed"),
    ("_n_s", "impulse"),
    ("_rad", "angle"),
    ("_deg", "angle"),
    ("_kg", "mass"),
    ("_m", "length"),
    ("_s", "time"),
    ("_n", "force"),
    ("_j", "energy"),
    ("_k", "temperature"),
)
# Of these less is better when nobody says otherwise.
_LESS: Final = ("max_acceleration", "load", "reach", "touchdown", "lean", "stored", "distance",
                "veer", "trim", "risk", "torn_off", "recontact", "sink",
                "ground_energy")  # fmt: skip
_CHANCES: Final = ("_risk", "inside_field", "torn_off", "recontact")
_TWO_SIDED: Final = ("_east_m", "_north_m", "_up_m")
# Other words for a figure, of any body or payload that has it.
_OTHER_WORDS: Final = {
    "height": "apogee_m",
    "acceleration": "max_acceleration_m_s2",
    "stability": "stability_calibres",
    "distance": "reach_m",
    "release_speed": "release_speed_m_s",
    "climb": "release_climb_m_s",
    "energy_at_release": "release_energy_j",
    "touchdown_energy": "ground_energy_j",
    "landing_energy": "ground_energy_j",
    "energy_at_the_ground": "ground_energy_j",
    "landing_speed": "touchdown_vehicle_speed_m_s",
    "retainer_margin": "hold_margin",
    "tear_off": "torn_off",
    "tear_risk": "torn_off",
    "inside": "inside_field",
    "staying_inside": "inside_field",
    "inside_the_field": "inside_field",
    "trees": "tree_risk",
    "clearance": "fin_clearance_m",
    "payload_energy": "touchdown_payload_energy_j",
    "vehicle_energy": "touchdown_vehicle_energy_j",
}
# What a campaign lacks when a figure happens nowhere in it.
_REMEDIES: Final = (
    ("field", 'draw the field in the site: [[shape]] with kind = "field edge" and its corners'),
    ("hold_margin", "say what the hold bears: strength in [hold], or a [[retainer]]"),
    ("glide", "describe the glider's [wing], [tailplane] and [balance]; see its reference"),
    ("sink", "describe the glider's [wing], [tailplane] and [balance]; see its reference"),
    ("phugoid", "describe the glider's [wing], [tailplane] and [balance]; see its reference"),
    ("proof_margin", "give proof_gauge_pressure to every [[vessel]] that was tested"),
)


def less_is_better(key: str) -> bool:
    """Tell whether less of a figure is better, when nobody says otherwise."""
    return any(word in key for word in _LESS)


def is_chance(key: str) -> bool:
    """Tell whether a figure is 1 or 0 of one flight, and of many how often it happens."""
    return key.endswith(_CHANCES)


def two_sided(key: str) -> bool:
    """Tell whether neither more nor less of a figure is better: a place to either side."""
    return key.endswith(_TWO_SIDED)


def undrawn(key: str) -> bool:
    """Tell whether a figure is of the point as its documents stand: nothing of it is drawn."""
    return key in CHECKED or key == "carry_trim_deg" or key.endswith(tuple(GLIDES))


def remedy(key: str) -> str:
    """Return what may be missing where a figure happens nowhere, or ""."""
    return next((mend for word, mend in _REMEDIES if word in key), "")


def known_keys(campaign: Campaign) -> list[str]:
    """Return the columns that this campaign can have, flight figures first."""
    return list(dict.fromkeys(_known(campaign)))


def _known(campaign: Campaign) -> Iterator[str]:
    yield from FIGURES
    # Of the first payload also where there is none: they never happen then, which is told.
    for root in dict.fromkeys(("payload", *campaign.payloads)):
        payload = campaign.payloads.get(root)
        own = (*_of_holds(), *FREE, "recontact", "time_aloft_s", "release_energy_j")
        own += tuple(GLIDES) if payload is not None and payload.kind == "glider" else ()
        yield from (prefix_of(root) + key for key in own)
    yield from CLIMB
    if campaign.upper is not None:
        yield from (f"upper_{key}" for key in (*_of_holds(), *STAGE))
    if campaign.boosters is not None:
        yield from (f"boosters_{key}" for key in _of_holds())
    bodies = list(_bodies(campaign))
    for body in bodies:
        yield from (f"touchdown_{body}_{key}" for key in (*TOUCHDOWN, "energy_j"))
    yield from DERIVED
    yield from GROUND
    for body in bodies:
        yield f"{body}_reach_m"
        yield from (f"{body}_{key}" for key in GROUND)
    yield from sorted(CHECKED)


def _of_holds() -> tuple[str, ...]:
    return (*(key for key in CARRIED if key != "hold_use"), "hold_margin")


def _bodies(campaign: Campaign) -> Iterator[str]:
    yield "vehicle"
    yield from campaign.payloads
    if campaign.upper is not None:
        yield "upper"
    if campaign.boosters is not None:
        yield from (f"booster{k + 1}" for k in range(campaign.boosters.attach.count))


def bodies_down(columns: Iterable[str]) -> list[str]:
    """Return the bodies that have a touchdown among the columns."""
    start, end = "touchdown_", "_east_m"
    return [key.removeprefix(start).removesuffix(end)
            for key in columns if key.startswith(start) and key.endswith(end)]  # fmt: skip


def dimension(key: str) -> str:
    """Return what a column is measured in: a dimension of `units`, or ``"impulse"``."""
    return next((kind for ending, kind in _ENDINGS if key.endswith(ending)), "number")


def in_column(key: str, si: float) -> float:
    """Return an SI value as a column has it: some angles stand in degrees."""
    return degrees(si) if key.endswith("_deg") else si


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
