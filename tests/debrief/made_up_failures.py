"""A campaign with few causes, and flights of it that went wrong."""

from __future__ import annotations

import shutil
from pathlib import Path

from loftwright.documents.fields import Quantity
from loftwright.documents.flight_record import FlightRecord, Saw
from loftwright.documents.reading import read_campaign
from loftwright.instruments.faults import library
from loftwright.rehearsal.cases import fault_name, known_happenings
from loftwright.rehearsal.plan import Plan, plan_of
from loftwright.rehearsal.run import Trial

DEMO = Path(__file__).parents[2] / "examples" / "sedge-lift-mended"
KEPT = {
    "battery flat",
    "connector opens at liftoff",
    "controller resets in flight",
    "sensor dead",
    "sensor frozen",
    "vent blocked",
    "canopy tangles",
    "canopy does not fill",
    "actuator stuck",
    "wrong pressure",
}


def campaign_folder(place: Path) -> Path:
    """Copy the demo; faults that are not kept have no chance."""
    folder = place / "few"
    shutil.copytree(DEMO, folder)
    avionics = folder / "avionics.toml"
    out = [name for name in library() if name not in KEPT]
    tables = [f'\n[[fault]]\nname = "{name}"\nchance = "0"\n' for name in out]
    avionics.write_text(avionics.read_text() + "".join(tables))
    return folder


def plan_in(folder: Path, seed: int) -> Plan:
    return plan_of(read_campaign(folder), seed)


def trial_of(plan: Plan, name: str) -> Trial:
    return Trial((next(each for each in known_happenings(plan) if fault_name(each) == name),))


def saw(what: str, happened: str, sure: float = 0.95, of: str = "vehicle") -> Saw:
    return Saw(what=what, of=of, happened=happened, sure=Quantity(sure, 0.0))


def failure(*seen: Saw) -> FlightRecord:
    return FlightRecord(name="Third", outcome="failure", saw=seen)
