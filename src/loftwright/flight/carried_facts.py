"""What one carried payload asks of its hold and does to the vehicle, bounded on the pad."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from loftwright.flight.carried import UNKNOWN_STRENGTH
from loftwright.flight.facts import Facts
from loftwright.flight.stages import own_drag_area
from loftwright.physics.retention import hold_use, margin_of_safety

__all__ = ["CarriedFacts", "Load", "carried_facts", "hold_loads", "use_of", "vehicle_trim"]

WAYS = {"along": "ITEM_ALONG", "across": "ITEM_ACROSS", "peel": "ITEM_PEEL"}

States = dict[str, float]


class Load(NamedTuple):
    """What a payload asks of its hold, N."""

    along: float
    across: float
    peel: float


@dataclass(frozen=True, slots=True)
class CarriedFacts:
    """Figures of one payload; keys carry units. None stands where nothing is known or loaded.

    Moments are ``liftoff`` and ``water_out``, from static thrust; ``full`` and ``empty`` are the
    vehicle with water and without. Changes are with this payload on, less without it, all else on.
    """

    name: str
    mass_kg: float
    drag_area_m2: float
    drag_is_measured: bool
    load_n: dict[str, dict[str, float]] | None
    strength_n: dict[str, float | None]
    margin: dict[str, dict[str, float | None]] | None  # each way, and ``together``
    balance_change_m: States
    aerodynamic_centre_change_m: float | None
    stability_change_calibres: States | None
    trim_rad: float | None  # by this payload alone


def carried_facts(known: Facts, root: str) -> CarriedFacts:
    """Work out the figures of the payload at ``root``, which rides on the vehicle of ``known``."""
    item = known.items[root]
    others = [other for other in known.items if other != root]
    loads = hold_loads(known, root)
    centre = known.centre_with(*others) if known.flies else None
    balances = {
        state: _change(known, others, water=water)
        for state, water in (("full", True), ("empty", False))
    }
    return CarriedFacts(
        name=str(known.words[f"{root}.name"]),
        mass_kg=item["ITEM_MASS"],
        drag_area_m2=item["ITEM_DRAG"],
        drag_is_measured=any(
            f"{root}.carried.{word}" in known.values for word in ("drag_coefficient", "drag_area")
        ),
        load_n=None if loads is None else {when: load._asdict() for when, load in loads.items()},
        strength_n={way: _known_strength(item[name]) for way, name in WAYS.items()},
        margin=None
        if loads is None
        else {when: _margins(known, root, load) for when, load in loads.items()},
        balance_change_m=balances,
        aerodynamic_centre_change_m=None if centre is None else known.aerodynamic_centre - centre,
        stability_change_calibres=None if centre is None else _stability(known, centre, balances),
        trim_rad=_trim(known, [root]),
    )


def _change(known: Facts, others: list[str], *, water: bool) -> float:
    whole = known.full if water else known.empty
    return whole.balance_from_nose - known.loaded(*others, water=water).balance_from_nose


def _stability(known: Facts, centre_without: float, balances: States) -> States:
    moved = known.aerodynamic_centre - centre_without
    diameter = known.values["vehicle.body.diameter"]
    return {state: (moved - change) / diameter for state, change in balances.items()}


# ---------------------------------------------------------------- hold


def hold_loads(known: Facts, root: str) -> dict[str, Load] | None:
    """Return what the payload asks of its hold at liftoff and as the water ends, N.

    Its inertia pulls it aft; it acts above the skin that holds it, and so peels the front end.
    """
    if known.pull is None:
        return None
    mass, tip = known.items[root]["ITEM_MASS"], known.items[root]["ITEM_TIP"]
    felt = {
        "liftoff": known.pull.felt_at_liftoff,
        "water_out": known.pull.felt_at_water_out,
    }
    return {when: Load(mass * each, 0.0, mass * each * tip) for when, each in felt.items()}


def use_of(known: Facts, root: str, load: Load) -> float:
    """Return the share of the hold's strength that a load uses."""
    item = known.items[root]
    return hold_use(
        load.along,
        load.across,
        -load.peel,
        item["ITEM_GRIP"],
        item["ITEM_ALONG"],
        item["ITEM_ACROSS"],
        item["ITEM_PEEL"],
    )


def _known_strength(strength: float) -> float | None:
    return strength if strength < UNKNOWN_STRENGTH else None


def _margins(known: Facts, root: str, load: Load) -> dict[str, float | None]:
    item = known.items[root]
    found: dict[str, float | None] = {}
    for way, name in WAYS.items():
        strength, asked = _known_strength(item[name]), getattr(load, way)
        told = strength is not None and asked > 0.0
        found[way] = margin_of_safety(asked / strength) if told and strength else None
    told = any(margin is not None for margin in found.values())
    found["together"] = margin_of_safety(use_of(known, root, load)) if told else None
    return found


# ---------------------------------------------------------------- trim


def vehicle_trim(known: Facts) -> float | None:
    """Return the angle at which it flies because of all that it carries, rad; None without."""
    return _trim(known, list(known.items)) if known.items else None


def _trim(known: Facts, roots: list[str]) -> float | None:
    """Estimate the angle at which the vehicle flies because of what sits beside its axis, rad.

    Drag of the things on their offsets and what pushes them off the body, less the body's drag on
    the other side of the balance, held by the normal force on its lever.
    """
    aero, lever = known.aero, known.aerodynamic_centre - known.empty.balance_from_nose
    if not known.flies or lever <= 0:
        return None
    items = [known.items[root] for root in roots]
    body = own_drag_area(known.values, aero, 1.0)
    turning = [
        _turning(items, name, known.empty.mass, known.empty.balance_from_nose, body)
        for name in ("ITEM_Y", "ITEM_Z")
    ]
    hidden = sum(item["ITEM_SHIELD"] for item in known.items.values())
    slope = aero.nose_slope * (1 - hidden) + aero.tail_slope + aero.fin_slope
    whole = aero.reference_area * slope
    whole += sum(item["ITEM_SLOPE"] for item in known.items.values())
    return float((turning[0] ** 2 + turning[1] ** 2) ** 0.5 / (whole * lever))


def _turning(
    items: list[dict[str, float]], name: str, mass: float, balance: float, body: float
) -> float:
    """Return the moment over dynamic pressure in the plane of one axis, m3."""
    aside = sum(item["ITEM_MASS"] * item[name] for item in items) / mass
    turning = -body * aside
    for item in items:
        off = (item["ITEM_Y"] ** 2 + item["ITEM_Z"] ** 2) ** 0.5
        turning += item["ITEM_DRAG"] * (item[name] - aside)
        # Pushed off ahead of the balance it turns the nose to its side, where its drag turns it.
        share = item[name] / off if off > 0 else 0.0
        turning += item["ITEM_PUSH"] * share * (balance - item["ITEM_CENTRE"])
    return turning
