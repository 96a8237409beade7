"""What counts as each outcome of a rehearsal, and the bounds that were set for it, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from loftwright.documents.campaign import Campaign
from loftwright.rehearsal.results import Rehearsal
from loftwright.rehearsal.risk import LETTERS, MEANINGS
from loftwright.report.bodies import body_name
from loftwright.report.quantities import stated
from loftwright.report.rehearse_words import outcome_words
from loftwright.report.words import figure

__all__ = ["definitions", "wanted_rows"]

_MEANS: Final[dict[str, dict[str, str]]] = {
    "payload": {
        "released well": "let go by its controller, and all of it as is wanted",
        "too fast": "let go at more speed than is wanted",
        "slow or inverted": "let go climbing more slowly than is wanted, or leaning over more",
        "too low": "let go lower than is wanted",
        "struck the vehicle": "touched the vehicle after it was let go",
        "torn off early": "left because its hold gave way, before it was let go",
        "on the pad": "let go before first motion: people see it, and nothing is flown",
        "never": "came down with the vehicle, or was not flown",
    },
    "vehicle": {
        "under canopy": "came down under its canopy, opened as is wanted",
        "canopy too fast": "the canopy opened, or brought it down, at more speed than is wanted",
        "canopy too late": "the canopy opened lower than is wanted",
        "on the pad": "something was let go or opened before first motion, and nothing was flown",
        "ballistic": "came down without a canopy",
    },
    "field": {
        "inside": "everything came down inside the field",
        "in trees": "something ended in the trees",
        "outside": "something came down outside the field",
        "over the people line": "something came down where people stand",
    },
}

# What is wanted of a payload and of the canopy -> words, kind of unit.
_WANTED: Final[dict[str, tuple[str, str]]] = {
    "most_speed_m_s": ("leaves no faster than", "speed"),
    "least_climb_m_s": ("leaves while it climbs faster than", "speed"),
    "least_height_m": ("leaves no lower than", "height"),
    "most_lean_rad": ("leaves with the vehicle leaning no more than", "angle"),
}
_CANOPY: Final[dict[str, tuple[str, str]]] = {
    "most_speed_m_s": ("opens no faster than", "speed"),
    "least_height_m": ("opens no lower than", "height"),
    "most_landing_speed_m_s": ("brings it down no faster than", "speed"),
}


def definitions(rehearsal: Rehearsal) -> list[tuple[str, list[tuple[str, str]]]]:
    """Return what counts as each outcome, for what this rehearsal has, then as each severity."""
    nominal = rehearsal.nominal
    has = {"payload": nominal.payload, "vehicle": nominal.vehicle, "field": nominal.field}
    told = [
        (kind, [(outcome_words(kind, word), rows[word]) for word in outcomes if word in rows])
        for kind, outcomes in has.items()
        for rows in [_MEANS[kind]]
        if outcomes
    ]
    return [*told, ("severity", list(MEANINGS.items())), ("likelihood", list(LETTERS.items()))]


def wanted_rows(wanted: Mapping[str, float], campaign: Campaign) -> list[tuple[str, str]]:
    """Return the bounds that were set for this rehearsal, in the person's units.

    Keys are those of the rehearsal: a payload's root or ``canopy``, then what is bounded; any
    other key is read as that of a figure.
    """
    return list(_wanted(wanted, campaign))


def _wanted(wanted: Mapping[str, float], campaign: Campaign) -> Iterator[tuple[str, str]]:
    system = campaign.head.units
    for key, value in wanted.items():
        root, _, bound = key.partition("_")
        if root == "canopy" and bound in _CANOPY:
            words, kind = _CANOPY[bound]
            yield f"Canopy {words}", stated(value, kind, system)
        elif bound in _WANTED:
            words, kind = _WANTED[bound]
            name = body_name(campaign, root)
            yield f"{name[:1].upper()}{name[1:]} {words}", stated(value, kind, system)
        else:
            known = figure(key)
            words = known.words[:1].upper() + known.words[1:]
            yield words, stated(value, known.kind, system)
