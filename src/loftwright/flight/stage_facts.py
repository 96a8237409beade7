"""Boosters and upper stage on the pad: each looked at as the vehicle that it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

from loftwright.flight.facts import Facts, Pull, facts_of
from loftwright.flight.stages import alone
from loftwright.physics.stored_energy import expansion_energy

__all__ = ["StageFacts", "stage", "stage_facts", "stages"]


@dataclass(frozen=True, slots=True)
class StageFacts:
    """Figures of one further stage, of a single booster where there are several."""

    name: str
    count: int
    liftoff_mass_kg: float  # water and compressed air included
    dry_mass_kg: float
    proof_margin: float | None
    stored_energy_j: float
    thrust_at_liftoff_n: float | None
    stability_calibres: dict[str, float] | None  # alone, with what rides on it; None without fins


def stages(known: Facts) -> tuple[str, ...]:
    """Return the roots of the further stages."""
    return tuple(root for root in ("boosters", "upper") if f"{root}.name" in known.words)


def stage(known: Facts, root: str) -> Facts:
    """Return what the stage at ``root`` amounts to alone, as a vehicle.

    What rides on it feels the harder of the two pushes, its own and its carrier's.
    """
    values, words = alone(known.values, known.words, root)
    sds, _ = alone(known.sds, known.words, root)
    own = facts_of(values, sds, words, known.system)
    return replace(own, pull=_harder(own.pull, known.pull))


def _harder(own: Pull | None, carrier: Pull | None) -> Pull | None:
    if own is None or carrier is None:
        return own or carrier
    return own._replace(
        felt_at_liftoff=max(own.felt_at_liftoff, carrier.felt_at_liftoff),
        felt_at_water_out=max(own.felt_at_water_out, carrier.felt_at_water_out),
    )


def stage_facts(known: Facts, root: str) -> StageFacts:
    """Work out the figures of the stage at ``root``."""
    own = stage(known, root)
    values, words = alone(known.values, known.words, root)
    push = facts_of(values, known.sds, words, known.system).pull
    calibres = {"full": own.calibres(own.full), "empty": own.calibres(own.empty)}
    return StageFacts(
        name=str(known.words[f"{root}.name"]),
        count=int(known.words.get(f"{root}.attach.count", 1)),
        liftoff_mass_kg=own.full.mass,
        dry_mass_kg=own.dry.mass,
        proof_margin=own.proof_margin(),
        stored_energy_j=max(expansion_energy(own.fill_pressure, own.gas_volume), 0.0),
        thrust_at_liftoff_n=None if push is None else push.thrust_at_liftoff,
        stability_calibres=calibres if own.flies else None,
    )
