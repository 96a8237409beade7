"""What a campaign amounts to on the pad: the numbers behind `check`, all by hand-sized formulas.

Nothing here flies. Where a figure of the boost is needed to judge the documents (how hard the
payload will pull on its hold) it is bounded from the static thrust, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight.air import PadAir, air_at_pad
from loftwright.flight.carried import Row, gathered, riders
from loftwright.flight.flat import rows
from loftwright.flight.masses import (
    DryMasses,
    MassState,
    PayloadMass,
    WaterColumn,
    assembled,
    dry_masses,
    vessel_volume,
    water_column,
    water_mass,
)
from loftwright.flight.shape import Aerodynamics, aerodynamic_centre, aerodynamics
from loftwright.flight.stages import as_vehicle, item_rows, standing
from loftwright.physics.vessel import hoop_stress

__all__ = ["LEAST_GAUGE", "Facts", "Pull", "facts", "facts_of"]

PI = 3.141592653589793
# Exponent of the expanding air when nothing is integrated: between isothermal and dry adiabatic,
# as the moist-air adiabat of a warm bottle gives it.
ROUGH_EXPONENT = 1.3
LEAST_GAUGE = 1.0  # Pa; less counts as no pressure at all


class Pull(NamedTuple):
    """How the jet pushes, bounded from static thrust: N and N/kg (felt acceleration)."""

    thrust_at_liftoff: float
    felt_at_liftoff: float
    thrust_at_water_out: float
    felt_at_water_out: float


@dataclass(frozen=True, slots=True)
class Facts:
    """The vehicle as it stands on the pad, and as it is when water and pressure have left."""

    values: Mapping[str, float]
    sds: Mapping[str, float]
    words: Mapping[str, str | int]
    system: str  # "metric" or "us", for messages
    air: PadAir
    aero: Aerodynamics
    aerodynamic_centre: float  # m from nose, with all that is carried; NaN without fins
    bare_centre: float  # the same with nothing that is carried
    dry: DryMasses
    column: WaterColumn
    items: Mapping[str, Row]  # what the vehicle carries, by root, as it stands on the pad
    spent: Mapping[str, Row]  # the same when boosters have no water left
    full: MassState  # with water, compressed air, and all that is carried
    empty: MassState  # with all that is carried
    full_bare: MassState  # with nothing that is carried
    empty_bare: MassState
    gas_mass: float  # kg
    gas_volume: float  # m^3
    fill_pressure: float  # Pa, absolute
    pull: Pull | None  # None without water or pressure

    def calibres(self, state: MassState) -> float:
        """Return how far the air acts behind the balance, in body diameters."""
        lever = self.aerodynamic_centre - state.balance_from_nose
        return lever / self.values["vehicle.body.diameter"]

    def loaded(self, *roots: str, water: bool) -> MassState:
        """Return the vehicle with only the things at ``roots`` on, with or without its water."""
        items = self.items if water else self.spent
        cargo = _cargo([items[root] for root in roots])
        if water:
            filled = water_mass(self.values)
            return assembled(self.dry, self.column, cargo, filled, self.gas_mass)
        return assembled(self.dry, self.column, cargo, 0.0)

    def centre_with(self, *roots: str) -> float:
        """Return where the air acts with only the things at ``roots`` on, m from nose."""
        return _centre(self.aero, [self.items[root] for root in roots])

    @property
    def payloads(self) -> tuple[str, ...]:
        """The roots of the payloads that ride on this vehicle."""
        return tuple(root for root in self.items if root in PAYLOADS)

    @property
    def flies(self) -> bool:
        """Tell whether the vehicle is meant to fly: it has fins."""
        return bool(rows(self.values, "vehicle.fins"))

    def hoop_stresses(self) -> list[float]:
        """Return the hoop stress of each vessel at the fill pressure, Pa."""
        gauge = self.values["vehicle.fill.gauge_pressure"]
        return [
            hoop_stress(gauge, vessel["diameter"] / 2, vessel["wall"])
            for vessel in rows(self.values, "vehicle.vessel")
        ]

    def proof_margin(self) -> float | None:
        """Return the least proof over fill pressure; None unless every vessel was tested."""
        gauge = self.values["vehicle.fill.gauge_pressure"]
        proofs = [v.get("proof_gauge_pressure") for v in rows(self.values, "vehicle.vessel")]
        tested = [proof for proof in proofs if proof is not None]
        if len(tested) < len(proofs) or gauge < LEAST_GAUGE:
            return None
        return min(tested) / gauge


class Push(NamedTuple):
    """Static thrust as the water begins and ends to flow, N."""

    first: float
    last: float


def _push(values: Mapping[str, float], outside: float) -> Push | None:
    """Bound the thrust as the water begins and ends to flow.

    ``F = 2 C_d C_v A (p - p_a)``, the quasi-steady water jet without approach velocity; the air
    expands with ``ROUGH_EXPONENT``.
    """
    gauge = values["vehicle.fill.gauge_pressure"]
    water = values["vehicle.fill.water_volume"]
    if water <= 0 or gauge < LEAST_GAUGE:
        return None
    area = PI / 4 * values["vehicle.nozzle.throat_diameter"] ** 2
    losses = (
        values["vehicle.nozzle.flow_coefficient"] * values["vehicle.nozzle.velocity_coefficient"]
    )
    volume = vessel_volume(values)
    expansion = ((volume - water) / volume) ** ROUGH_EXPONENT
    gauge_after = max((gauge + outside) * expansion - outside, 0.0)
    return Push(2 * losses * area * gauge, 2 * losses * area * gauge_after)


def _pull(
    values: Mapping[str, float],
    words: Mapping[str, str | int],
    outside: float,
    full: float,
    empty: float,
) -> Pull | None:
    """Bound what the jet, with those of boosters, does to ``full`` and ``empty`` masses in kg."""
    own = _push(values, outside)
    if own is None:
        return None
    beside = _push_of_boosters(values, words, outside)
    first, last = own.first + beside.first, own.last + beside.last
    return Pull(first, first / full, last, last / empty)


def _push_of_boosters(
    values: Mapping[str, float], words: Mapping[str, str | int], outside: float
) -> Push:
    if "boosters.name" not in words:
        return Push(0.0, 0.0)
    count = int(words["boosters.attach.count"])
    push = _push(as_vehicle(values, "boosters"), outside)
    return Push(0.0, 0.0) if push is None else Push(count * push.first, count * push.last)


def _cargo(items: list[Row]) -> PayloadMass | None:
    return gathered(items) if items else None


def _centre(aero: Aerodynamics, items: list[Row]) -> float:
    """Return the slope-weighted mean of the vehicle's stations and of what it carries, m."""
    hidden = sum(item["ITEM_SHIELD"] for item in items)
    own = aero._replace(nose_slope=aero.nose_slope * (1 - hidden))
    slope = (own.nose_slope + own.tail_slope + own.fin_slope) * own.reference_area
    moment = slope * aerodynamic_centre(own)
    for item in items:
        slope += item["ITEM_SLOPE"]
        moment += item["ITEM_SLOPE"] * item["ITEM_CENTRE"]
    return float(moment / slope)


def facts(campaign: Campaign) -> Facts:
    """Work out what the campaign amounts to on the pad; no flight is computed."""
    return facts_of(*flatten(campaign), campaign.head.units)


def facts_of(
    values: Mapping[str, float],
    sds: Mapping[str, float],
    words: Mapping[str, str | int],
    system: str,
) -> Facts:
    """Work out the same from what ``documents.flatten`` gives; ``system`` is for messages."""
    air, aero = air_at_pad(values), aerodynamics(values, words)
    dry, column = dry_masses(values), water_column(values)
    on = riders(words, "vehicle")
    items = {root: item_rows(values, words, root, filled=True) for root in on}
    spent = {root: item_rows(values, words, root) for root in on}
    cargo, last = _cargo([*items.values()]), _cargo([*spent.values()])
    full_bare, gas = standing(values)
    full = assembled(dry, column, cargo, water_mass(values), gas)
    empty = assembled(dry, column, last, 0.0)
    finned = bool(rows(values, "vehicle.fins"))
    return Facts(
        values=values,
        sds=sds,
        words=words,
        system=system,
        air=air,
        aero=aero,
        aerodynamic_centre=_centre(aero, [*items.values()]) if finned else math.nan,
        bare_centre=aerodynamic_centre(aero) if finned else math.nan,
        dry=dry,
        column=column,
        items=items,
        spent=spent,
        full=full,
        empty=empty,
        full_bare=full_bare,
        empty_bare=assembled(dry, column, None, 0.0),
        gas_mass=gas,
        gas_volume=vessel_volume(values) - values["vehicle.fill.water_volume"],
        fill_pressure=air.pressure + values["vehicle.fill.gauge_pressure"],
        pull=_pull(values, words, air.pressure, full.mass, empty.mass + gas),
    )
