"""What ``forecast --json`` answers: figures, chances with their intervals, every body by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from loftwright.cli.answers import made_by
from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.flight.chance import Chance, chance_of, wilson
from loftwright.flight.figures import FREE, STAGE, prefix_of
from loftwright.flight.outcomes import sentence
from loftwright.flight.results import Carrying, Ensemble, Flight

__all__ = ["forecast_answer"]

RELEASE = ("release_time_s", "release_height_m", "release_climb_m_s", "release_speed_m_s")
CURVES = ("time", "trim_deg", "incidence_deg")  # of `Carrying`: for drawings, not for answers


def forecast_answer(
    campaign: Campaign, flight: Flight, ensemble: Ensemble | None
) -> dict[str, Any]:
    """Return the answer: one number a figure, or with an ensemble p05, p50, p95, mean and sd.

    What never happened is None.
    """
    told = {
        "carrying": _carrying(flight.carrying),
        **_retainers(flight, ensemble),
        "partings": _partings(flight, ensemble),
        **_recontact(flight, ensemble),
        "gliders": {root: asdict(modes) for root, modes in flight.gliders.items()},
        "stages": _stages(campaign, flight, ensemble),
        "ground": _ground(campaign, ensemble),
        "outcomes": _outcomes(flight, ensemble),
    }
    nominal = {**flight.figures, "touchdown": flight.touchdown, "outcome": flight.outcome}
    made = (ensemble or flight).provenance
    if ensemble is None:
        missing = dict.fromkeys(("carry_trim_deg", "veer_m", "fin_clearance_m"))
        return {**missing, **nominal, **told, "provenance": made_by(made)}
    statistics = ensemble.statistics
    return {
        # What happened in no flight has no statistics.
        **{name: statistics.get(name) for name in ("veer_m", "fin_clearance_m", *flight.figures)},
        # The steady angle is worked out for the values as written.
        "carry_trim_deg": flight.figures.get("carry_trim_deg"),
        "touchdown": _touchdown(statistics),
        "drivers": ensemble.drivers,
        **told,
        "nominal": nominal,
        "provenance": made_by(made),
    }


def _touchdown(statistics: Mapping[str, dict[str, float]]) -> dict[str, dict[str, Any]]:
    """Gather ``touchdown_<body>_<key>`` by body."""
    gathered: dict[str, dict[str, Any]] = {}
    for name, each in statistics.items():
        # Which shape has caught a body is a number of no size: chances by shape tell it.
        if name.startswith("touchdown_") and not name.endswith("_caught"):
            _, body, key = name.split("_", 2)
            gathered.setdefault(body, {})[key] = each
    return gathered


# ---------------------------------------------------------------- what is carried


def _carrying(known: Carrying | None) -> dict[str, Any] | None:
    if known is None:
        return None
    return {key: value for key, value in asdict(known).items() if key not in CURVES}


def _retainers(flight: Flight, ensemble: Ensemble | None) -> dict[str, Any]:
    found = (ensemble or flight).retainers
    retainers = {root: asdict(retainer) for root, retainer in found.items()}
    return {"retainer": retainers.get("payload"), "retainers": retainers}


def _column(flight: Flight, ensemble: Ensemble | None, key: str) -> np.ndarray:
    if ensemble is not None:
        return np.asarray(ensemble.columns.get(key, np.zeros(0)))
    value = flight.figures.get(key)
    return np.array([np.nan if value is None else value])


def _met(flight: Flight, ensemble: Ensemble | None, root: str) -> Chance | None:
    """Return how often a payload that has left touches what carried it."""
    column = _column(flight, ensemble, f"{prefix_of(root)}recontact")
    known = column[np.isfinite(column)]
    return chance_of(known > 0.0) if known.size else None


def _recontact(flight: Flight, ensemble: Ensemble | None, root: str = "payload") -> dict[str, Any]:
    return _chance("recontact", _met(flight, ensemble, root), many=ensemble is not None)


def _chance(name: str, chance: Chance | None, *, many: bool) -> dict[str, Any]:
    """Return a chance under two keys; a single flight has no interval."""
    interval = (chance.low, chance.high) if chance is not None and many else None
    return {
        f"{name}_probability": chance.share if chance is not None else None,
        f"{name}_interval": interval,
    }


def _partings(flight: Flight, ensemble: Ensemble | None) -> dict[str, Any]:
    """Return by root how payloads leave: let go as meant, or torn off, and how near they pass."""
    found = {}
    for root in PAYLOADS:
        prefix = prefix_of(root)
        left = np.isfinite(_column(flight, ensemble, f"{prefix}release_time_s"))
        if f"{prefix}release_time_s" not in flight.figures:
            continue
        torn = _column(flight, ensemble, f"{prefix}torn_off") > 0.0
        many = ensemble is not None
        found[root] = {
            **{key: _figure(flight, ensemble, prefix + key) for key in (*RELEASE, *FREE)},
            **_chance("let_go", chance_of(left & ~torn), many=many),
            **_chance("torn_off", chance_of(left & torn), many=many),
            **_recontact(flight, ensemble, root),
        }
    return found


def _figure(flight: Flight, ensemble: Ensemble | None, key: str) -> Any:
    return ensemble.statistics.get(key) if ensemble is not None else flight.figures.get(key)


def _stages(campaign: Campaign, flight: Flight, ensemble: Ensemble | None) -> dict[str, Any]:
    """Return the figures of boosters and upper stage, by root, with how often they part."""
    found = {}
    for root in ("boosters", "upper"):
        document = getattr(campaign, root)
        if document is None:
            continue
        prefix, many = prefix_of(root), ensemble is not None
        left = np.isfinite(_column(flight, ensemble, f"{prefix}release_time_s"))
        keys = (*RELEASE, *(STAGE if root == "upper" else ()))
        found[root] = {
            "name": document.name,
            **{key: _figure(flight, ensemble, prefix + key) for key in keys},
            **_chance("parting", chance_of(left) if left.size else None, many=many),
        }
        if root == "upper":
            fired = np.isfinite(_column(flight, ensemble, "upper_start_s"))
            found[root] |= _chance("firing", chance_of(fired) if fired.size else None, many=many)
    return found


# ---------------------------------------------------------------- ground and ends


def _ground(campaign: Campaign, ensemble: Ensemble | None) -> dict[str, Any] | None:
    """Return by body what landings mean on the ground; None of a single flight."""
    if ensemble is None:
        return None
    from loftwright.field.landings import on_ground

    return {
        each.body: {
            "landings": each.landings,
            "middle_east_m": each.middle[0],
            "middle_north_m": each.middle[1],
            "places": [
                {
                    "happening": place.happening,
                    "shape": place.name,
                    "number": place.shape,
                    **_counted(place.chance),
                    "reached_by_contour": place.reached,
                }
                for place in each.places
            ],
            "energies": [
                {"above_j": energy.threshold_j, **_counted(energy.chance)}
                for energy in each.energies
            ],
            "hits": [
                {
                    "shape": hits.name,
                    "number": hits.shape,
                    "expected": hits.expected,
                    "interval": (hits.low, hits.high),
                }
                for hits in each.hits
            ],
        }
        for each in on_ground(campaign, ensemble.columns)
    }


def _counted(chance: Chance) -> dict[str, Any]:
    known = chance.flights > 0
    return {
        "count": chance.count,
        "probability": chance.share if known else None,
        "interval": (chance.low, chance.high) if known else None,
    }


def _outcomes(flight: Flight, ensemble: Ensemble | None) -> list[dict[str, Any]]:
    """Return how flights ended, most frequent first: sentence, number, share and interval."""
    if ensemble is None:
        return [{"outcome": flight.outcome, "flights": 1, "share": 1.0, "interval": None}]
    codes, counts = np.unique(ensemble.columns["outcome"], return_counts=True)
    total = int(counts.sum())
    return [
        {
            "outcome": sentence(codes[i]),
            "flights": int(counts[i]),
            "share": int(counts[i]) / total,
            "interval": wilson(int(counts[i]), total),
        }
        for i in np.argsort(-counts, kind="stable")
    ]
