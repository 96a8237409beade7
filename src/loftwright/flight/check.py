"""Figures and warnings about a campaign without flying it.

Imports nothing heavier than the laws: no NumPy, no compiler.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, replace
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.finding import Finding
from loftwright.documents.source import Source, load
from loftwright.errors import Problem, Where, as_dict
from loftwright.flight import (
    concerns_avionics,
    concerns_carried,
    concerns_flight,
    concerns_glider,
    concerns_pad,
)
from loftwright.flight.carried_facts import CarriedFacts, carried_facts, vehicle_trim
from loftwright.flight.facts import Facts, facts
from loftwright.flight.masses import MassState, vessel_volume
from loftwright.flight.stage_facts import StageFacts, stage, stage_facts, stages
from loftwright.physics.hazard import pad_distance
from loftwright.physics.stored_energy import availability, code_distance, expansion_energy

__all__ = ["CheckResult", "check"]

RULES: tuple[Callable[[Facts], Iterator[Finding]], ...] = (
    *concerns_pad.RULES,
    *concerns_flight.RULES,
    *concerns_glider.RULES,
    *concerns_carried.RULES,
)
# A booster falls away without flying on; nothing is asked of its stability or of what it carries.
RULES_OF: dict[str, tuple[Callable[[Facts], Iterator[Finding]], ...]] = {
    "boosters": (*concerns_pad.RULES, concerns_flight.comes_back_slowly),
    "upper": RULES,
}

States = dict[str, float]


@dataclass(frozen=True, slots=True)
class CheckResult:
    """What `check` shows; keys carry units. Mappings have the keys ``full`` and ``empty``.

    ``full`` is the vehicle as it stands on the pad; ``empty`` the same without water and without
    compressed air, payload still on. None stands where a figure has no meaning: no fins, no
    payload, not every vessel proof-tested, or a pressure beyond the page that distances come from.
    """

    liftoff_mass_kg: float  # compressed air included
    dry_mass_kg: float
    balance_from_nose_m: States
    balance_sideways_m: States  # towards the payload
    inertia_across_kg_m2: States
    inertia_along_kg_m2: States
    aerodynamic_centre_from_nose_m: float | None  # None without fins
    stability_calibres: States | None
    stability_without_payload_calibres: States | None
    hoop_stress_pa: float  # of the vessel that carries most
    proof_margin: float | None  # least proof over fill gauge pressure
    stored_energy_j: float  # of the air above the water, ASME PCC-2 article 501
    stored_energy_isothermal_j: float  # the most work that air can do
    vessel_volume_m3: float
    fill_fraction: float
    gas_mass_kg: float
    thrust_at_liftoff_n: float | None  # static bound
    # on the hold of the first payload: ``liftoff``, ``water_out``; static bound
    payload_load_n: dict[str, float] | None
    payload_trim_rad: float | None  # by everything on the side
    payloads: dict[str, CarriedFacts]  # by root
    stages: dict[str, StageFacts]  # by root
    stored_energy_all_stages_j: float  # of everything under pressure on the pad
    pressure_test_distance_m: float  # ASME PCC-2 article 501
    spectator_distance_m: float | None  # NASA Glenn's page, up to 90 psi
    warnings: tuple[Problem, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return plain data for JSON, warnings as `loftwright.errors.as_dict` has them."""
        figures = asdict(self)
        return figures | {"warnings": [as_dict(problem) for problem in self.warnings]}


def check(campaign: Campaign) -> CheckResult:
    """Work out figures and warnings of a campaign.

    Warnings of the reader come first, then those about pressure and pad, about the flight, and
    about the avionics and their programs.
    """
    known = facts(campaign)
    gauge = known.values["vehicle.fill.gauge_pressure"]
    # The standard's outside pressure is that of the sea: a weak fill on a mountain stores less.
    energy = max(expansion_energy(known.fill_pressure, known.gas_volume), 0.0)
    volume = vessel_volume(known.values)
    payloads = _payloads(campaign, known)
    further = {root: stage_facts(known, root) for root in stages(known)}
    everything = energy + sum(each.count * each.stored_energy_j for each in further.values())
    hardest = max([gauge, *(known.values[f"{root}.fill.gauge_pressure"] for root in further)])
    return CheckResult(
        liftoff_mass_kg=known.full.mass,
        dry_mass_kg=known.dry.mass,
        balance_from_nose_m=_both(known, lambda state: state.balance_from_nose),
        balance_sideways_m=_both(known, lambda state: state.offset),
        inertia_across_kg_m2=_both(known, lambda state: state.inertia_across),
        inertia_along_kg_m2=_both(known, lambda state: state.inertia_along),
        aerodynamic_centre_from_nose_m=known.aerodynamic_centre if known.flies else None,
        stability_calibres=_both(known, known.calibres) if known.flies else None,
        stability_without_payload_calibres=_bare_stability(known),
        hoop_stress_pa=max(known.hoop_stresses()),
        proof_margin=known.proof_margin(),
        stored_energy_j=energy,
        stored_energy_isothermal_j=availability(
            known.fill_pressure, known.air.pressure, known.gas_volume
        ),
        vessel_volume_m3=volume,
        fill_fraction=known.values["vehicle.fill.water_volume"] / volume,
        gas_mass_kg=known.gas_mass,
        thrust_at_liftoff_n=None if known.pull is None else known.pull.thrust_at_liftoff,
        payload_load_n=_load_along(payloads),
        payload_trim_rad=vehicle_trim(known),
        payloads=payloads,
        stages=further,
        stored_energy_all_stages_j=everything,
        pressure_test_distance_m=code_distance(everything),
        spectator_distance_m=_spectator_distance(hardest),
        warnings=(*campaign.warnings, *_warnings(campaign, known)),
    )


def _both(known: Facts, of: Callable[[MassState], float]) -> States:
    return {"full": of(known.full), "empty": of(known.empty)}


def _bare_stability(known: Facts) -> States | None:
    if not known.items or not known.flies:
        return None
    diameter = known.values["vehicle.body.diameter"]
    bare = {"full": known.full_bare, "empty": known.empty_bare}
    return {
        name: (known.bare_centre - state.balance_from_nose) / diameter
        for name, state in bare.items()
    }


def _load_along(payloads: dict[str, CarriedFacts]) -> dict[str, float] | None:
    """Return what the first payload asks of its hold along the axis."""
    loads = payloads["payload"].load_n if "payload" in payloads else None
    return None if loads is None else {when: load["along"] for when, load in loads.items()}


def _payloads(campaign: Campaign, known: Facts) -> dict[str, CarriedFacts]:
    on = dict.fromkeys(known.payloads, known)
    if "upper" in known.items:
        upper = stage(known, "upper")
        on |= dict.fromkeys(upper.payloads, upper)
    return {root: carried_facts(on[root], root) for root in campaign.payloads}


def _spectator_distance(gauge: float) -> float | None:
    return pad_distance(gauge) if gauge <= concerns_pad.EDUCATION_LIMIT else None


def _warnings(campaign: Campaign, known: Facts) -> Iterator[Problem]:
    places = _Places(campaign)
    avionics = _avionics_findings(campaign, known)
    for found in (*_findings(known), *_stage_findings(known), *avionics):
        where = places.where(found)
        yield Problem(found.code, found.message, where, found.mend, found.severity)


def _findings(known: Facts) -> Iterator[Finding]:
    for rule in RULES:
        yield from rule(known)


def _stage_findings(known: Facts) -> Iterator[Finding]:
    """Look at each further stage as a vehicle; what is said of the site was said already."""
    for root in stages(known):
        own = stage(known, root)
        for rule in RULES_OF[root]:
            for found in rule(own):
                role, *path = found.path
                if role == "site":
                    continue
                yield replace(found, path=(root if role == "vehicle" else role, *path))


def _avionics_findings(campaign: Campaign, known: Facts) -> Iterator[Finding]:
    for rule in concerns_avionics.RULES:
        yield from rule(known)
    for held in concerns_avionics.PROGRAM_RULES:
        yield from held(known, campaign.programs)


class _Places:
    """Finds where in the campaign's files a field stands; each file is read at most once."""

    def __init__(self, campaign: Campaign) -> None:
        self.campaign = campaign
        self.sources: dict[str, Source] = {}

    def where(self, found: Finding) -> Where:
        """Return file, line and value of a finding, or only the field where it is not written."""
        role, *path = found.path
        if role == "program":  # of which there may be several: the file comes next
            file, *path = path
            name = str(file)
        else:
            name = getattr(self.campaign.head, str(role))
        if name not in self.sources:
            self.sources[name] = load(self.campaign.folder / name, name)
        spans = self.sources[name].spans
        stands = any(tuple(path[: n + 1]) in spans.keys for n in range(len(path)))
        if not stands:
            return Where(file=name, field=".".join(map(str, path)))
        return self.sources[name].where(tuple(path))
