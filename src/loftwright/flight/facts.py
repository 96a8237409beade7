"""What a campaign amounts to on the pad: the numbers behind `check`, all by hand-sized formulas.

Nothing here flies. Where a figure of the boost is needed to judge the documents (how hard the
payload will pull on its hold) it is bounded from the static thrust, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight.air import PadAir, air_at_pad
from loftwright.flight.flat import rows
from loftwright.flight.masses import (
    DryMasses,
    MassState,
    PayloadMass,
    assembled,
    dry_masses,
    payload_masses,
    vessel_volume,
    water_column,
    water_mass,
)
from loftwright.flight.shape import Aerodynamics, aerodynamic_centre, aerodynamics
from loftwright.physics.atmosphere import R_AIR
from loftwright.physics.vessel import hoop_stress

__all__ = ["LEAST_GAUGE", "Facts", "Pull", "facts"]

PI = 3.141592653589793
# Exponent of the expanding air when nothing is integrated: between isothermal and dry adiabatic,
# as the moist-air adiabat of a warm bottle gives it.
ROUGH_EXPONENT = 1.3
LEAST_GAUGE = 1.0  # Pa; less counts as no pressure at all


@dataclass(frozen=True, slots=True)
class Pull:
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
    aerodynamic_centre: float  # m from nose; NaN without fins
    dry: DryMasses
    payload: PayloadMass | None
    full: MassState  # with water, compressed air, payload
    empty: MassState  # with payload
    full_bare: MassState  # without payload
    empty_bare: MassState
    gas_mass: float  # kg
    gas_volume: float  # m^3
    fill_pressure: float  # Pa, absolute
    pull: Pull | None  # None without water or pressure

    def calibres(self, state: MassState) -> float:
        """Return how far the air acts behind the balance, in body diameters."""
        lever = self.aerodynamic_centre - state.balance_from_nose
        return lever / self.values["vehicle.body.diameter"]

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


def _pull(
    values: Mapping[str, float], outside: float, gas_volume: float, full: float, empty: float
) -> Pull | None:
    """Bound the thrust as the water begins and ends to flow.

    ``F = 2 C_d C_v A (p - p_a)``, the quasi-steady water jet without approach velocity; the air
    expands with ``ROUGH_EXPONENT``. ``full`` and ``empty`` are masses in kg, both with the air.
    """
    gauge = values["vehicle.fill.gauge_pressure"]
    if values["vehicle.fill.water_volume"] <= 0 or gauge < LEAST_GAUGE:
        return None
    area = PI / 4 * values["vehicle.nozzle.throat_diameter"] ** 2
    losses = (
        values["vehicle.nozzle.flow_coefficient"] * values["vehicle.nozzle.velocity_coefficient"]
    )
    expansion = (gas_volume / vessel_volume(values)) ** ROUGH_EXPONENT
    gauge_after = max((gauge + outside) * expansion - outside, 0.0)
    first, last = 2 * losses * area * gauge, 2 * losses * area * gauge_after
    return Pull(first, first / full, last, last / empty)


def facts(campaign: Campaign) -> Facts:
    """Work out what the campaign amounts to on the pad; no flight is computed."""
    values, sds, words = flatten(campaign)
    air, aero = air_at_pad(values), aerodynamics(values, words)
    dry, column, payload = dry_masses(values), water_column(values), payload_masses(values)
    water = water_mass(values)
    gas_volume = vessel_volume(values) - values["vehicle.fill.water_volume"]
    pressure = air.pressure + values["vehicle.fill.gauge_pressure"]
    gas = pressure * gas_volume / (R_AIR * values["vehicle.fill.temperature"])
    full, empty = assembled(dry, column, payload, water, gas), assembled(dry, column, payload, 0.0)
    return Facts(
        values=values,
        sds=sds,
        words=words,
        system=campaign.head.units,
        air=air,
        aero=aero,
        aerodynamic_centre=aerodynamic_centre(aero) if rows(values, "vehicle.fins") else math.nan,
        dry=dry,
        payload=payload,
        full=full,
        empty=empty,
        full_bare=assembled(dry, column, None, water, gas),
        empty_bare=assembled(dry, column, None, 0.0),
        gas_mass=gas,
        gas_volume=gas_volume,
        fill_pressure=pressure,
        pull=_pull(values, air.pressure, gas_volume, full.mass, empty.mass + gas),
    )
