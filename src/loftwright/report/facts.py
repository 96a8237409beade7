"""What the check found, as facts in words and warnings with their mending."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
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
    ("keep away, pressure test", "pressure_test_distance_m", "distance"),
    ("keep away, spectators", "spectator_distance_m", "distance"),
)


def check_facts(check: Mapping[str, Any], system: str) -> list[Fact]:
    """Return the check's figures in words; what it does not hold is left out."""
    facts = []
    for words, key, kind in _FACTS:
        value = check.get(key)
        states = value.items() if isinstance(value, Mapping) else [("", value)]
        facts += [
            Fact(f"{words}, {state}" if state else words, amount(each, kind, system))
            for state, each in states
            if isinstance(each, int | float) and math.isfinite(each)
        ]
    for state, calibres in (check.get("stability_calibres") or {}).items():
        facts.append(Fact(f"stability, {state}", f"{digits(calibres, 2)} calibres"))
    margin = check.get("proof_margin")
    if margin is not None:
        facts.append(Fact("proof over fill pressure", f"{digits(margin, 3)} times"))
    return facts


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
