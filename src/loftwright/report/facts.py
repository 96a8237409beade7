"""What the check found, as facts in words and warnings with their mending."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from loftwright.report.quantities import amount, digits

__all__ = ["Fact", "Warned", "check_facts", "warnings_of"]


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure of the vehicle as it stands on the pad."""

    words: str
    value: str


@dataclass(frozen=True, slots=True)
class Warned:
    """A warning: what is doubtful, where it stands, how to mend it, and the code of its page."""

    what: str
    where: str
    mend: str
    code: str


_FACTS: Final = (
    ("liftoff mass", "liftoff_mass_kg", "mass"),
    ("dry mass", "dry_mass_kg", "small_mass"),
    ("balance from nose", "balance_from_nose_m", "length"),
    ("air acts, from nose", "aerodynamic_centre_from_nose_m", "length"),
    ("hoop stress in the wall", "hoop_stress_pa", "stress"),
    ("energy stored in the air", "stored_energy_j", "energy"),
    ("energy stored in all stages", "stored_energy_all_stages_j", "energy"),
    ("keep away, pressure test", "pressure_test_distance_m", "distance"),
    ("keep away, spectators", "spectator_distance_m", "distance"),
)


def check_facts(check: Mapping[str, Any], system: str) -> list[Fact]:
    """Return the check's figures in words; what it does not hold is left out."""
    facts = []
    for words, key, kind in _FACTS:
        if key == "stored_energy_all_stages_j" and not check.get("stages"):
            continue
        value = check.get(key)
        states = value.items() if isinstance(value, Mapping) else [("", value)]
        facts += [
            Fact(f"{words}, {state}" if state else words, _amount(words, each, kind, system))
            for state, each in states
            if isinstance(each, int | float) and math.isfinite(each)
        ]
    for state, calibres in (check.get("stability_calibres") or {}).items():
        facts.append(Fact(f"stability, {state}", f"{digits(calibres, 2)} calibres"))
    margin = check.get("proof_margin")
    if margin is not None:
        facts.append(Fact("proof over fill pressure", f"{digits(margin, 3, 'down')} times"))
    for carried in (check.get("payloads") or {}).values():
        facts += _payload_facts(carried, system)
    for stage in (check.get("stages") or {}).values():
        facts += _stage_facts(stage, system)
    return facts


def _amount(words: str, value: float, kind: str, system: str) -> str:
    """Return a figure; a distance to keep is rounded up."""
    return amount(value, kind, system, towards="up" if words.startswith("keep") else "nearest")


_MOMENTS: Final = {"liftoff": "at liftoff", "water_out": "as the water ends"}


def _payload_facts(carried: Mapping[str, Any], system: str) -> Iterator[Fact]:
    """Yield what a payload asks of its hold, and how much that hold has left."""
    name = carried["name"]
    for moment, load in (carried["load_n"] or {}).items():
        yield Fact(
            f"{name} pulls on its hold {_MOMENTS.get(moment, moment)}",
            amount(load["along"], "force", system),
        )
    margins = [
        margins["together"]
        for margins in (carried["margin"] or {}).values()
        if margins.get("together") is not None
    ]
    if margins:
        yield Fact(f"{name}: hold over its load", f"{digits(1.0 + min(margins), 2, 'down')} times")
    else:
        yield Fact(f"{name}: hold over its load", "not said")
    trim = carried["trim_rad"]
    if trim is not None:
        yield Fact(f"{name}, steady angle to the flow", amount(trim, "angle", system, 2))


def _stage_facts(stage: Mapping[str, Any], system: str) -> Iterator[Fact]:
    """Yield the figures of a further stage, of one booster where there are several."""
    each = f"each {stage['name']}" if stage["count"] > 1 else stage["name"]
    yield Fact(f"{each}, mass at liftoff", amount(stage["liftoff_mass_kg"], "mass", system))
    thrust = stage["thrust_at_liftoff_n"]
    if thrust is not None:
        yield Fact(f"{each}, first thrust", amount(thrust, "force", system))
    yield Fact(f"{each}, energy stored", amount(stage["stored_energy_j"], "energy", system))
    proof = stage["proof_margin"]
    if proof is not None:
        yield Fact(f"{each}, proof over fill pressure", f"{digits(proof, 3, 'down')} times")
    for state, calibres in (stage["stability_calibres"] or {}).items():
        yield Fact(f"{each}, stability {state}", f"{digits(calibres, 2)} calibres")


def _place(where: Any) -> str:
    if not where:
        return ""
    if isinstance(where, str):
        return where
    said = [str(where[k]) for k in ("file", "field") if where.get(k)]
    if where.get("line"):
        said.insert(1, f"line {where['line']}")
    return ", ".join(said)


def warnings_of(check: Mapping[str, Any] | None) -> list[Warned]:
    """Return the check's warnings (``warnings``: a list of ``loftwright.errors.as_dict`` data)."""
    found: Sequence[Mapping[str, Any]] = (check or {}).get("warnings") or ()
    return [
        Warned(
            what=str(each["message"]),
            where=_place(each.get("where")),
            mend=str(each.get("mend") or ""),
            code=str(each.get("code") or ""),
        )
        for each in found
    ]
