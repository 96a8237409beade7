"""Campaigns whose recorders differ in all that a recorder can differ in, for the calibration."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from loftwright.documents import read_campaign
from loftwright.documents.campaign import Campaign
from loftwright.units import Quantity

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"

# What is said of the barometer, of its bay, of the accelerometer (None: none), and the time from
# sample to sample.
RECORDERS: dict[str, dict[str, Any]] = {
    "as documented": {},
    "100 Hz, quick and rough": {
        "every": 10e-3,
        "barometer": {"noise": 3.0, "resolution": 1.0, "every": 0.0, "filter": 1, "jitter": 0.5e-3},
    },
    "50 Hz, no accelerometer": {"accelerometer": None},
    "25 Hz, noisy behind a filter": {
        "every": 40e-3,
        "barometer": {"noise": 6.0, "resolution": 0.5, "every": 40e-3, "filter": 4},
        "accelerometer": None,
    },
    "10 Hz": {
        "every": 100e-3,
        "barometer": {"noise": 1.2, "resolution": 0.2, "every": 0.0, "filter": 1},
        "accelerometer": None,
    },
    "20 Hz, steps of 10 Pa": {
        "every": 50e-3,
        "barometer": {"noise": 2.0, "resolution": 10.0, "every": 0.0, "filter": 1},
        "accelerometer": None,
    },
    "50 Hz, one small vent": {
        "bay": {"vent_count": 1, "vent_diameter": 1.0e-3},
        "accelerometer": None,
    },
    "50 Hz, vents in a bad place": {
        "bay": {"port_coefficient": (-0.12, 0.05)},
        "accelerometer": None,
    },
}  # fmt: skip


def campaigns(names: tuple[str, ...] = ()) -> Iterator[tuple[str, Campaign]]:
    """Yield each recorder's name and the campaign that flies it."""
    for number, (name, what) in enumerate(RECORDERS.items()):
        if names and name not in names:
            continue
        example = "sedge-lift-mended" if number % 2 else "sedge-lift-rehearsed"
        yield name, with_recorder(read_campaign(EXAMPLES / example), what)


def with_recorder(campaign: Campaign, what: dict[str, Any]) -> Campaign:
    """Return the campaign with another recorder on its board."""
    avionics = campaign.avionics
    assert avionics is not None
    barometer = _changed(avionics.barometer[0], what.get("barometer", {}))
    bay = _changed(avionics.bay[0], what.get("bay", {}))
    parts: dict[str, Any] = {
        "barometer": (barometer, *avionics.barometer[1:]),
        "bay": (bay, *avionics.bay[1:]),
    }
    programs = dict(campaign.programs)
    if "every" in what:
        every = Quantity(what["every"])
        programs = {name: replace(each, sample_every=every) for name, each in programs.items()}
    return replace(campaign, avionics=replace(avionics, **parts), programs=programs)


def _changed(part: Any, changes: dict[str, Any]) -> Any:
    fields = {}
    for name, value in changes.items():
        if isinstance(value, tuple):
            fields[name] = Quantity(*value)
        elif isinstance(getattr(part, name), Quantity):
            fields[name] = Quantity(value, getattr(part, name).sd)
        else:
            fields[name] = value
    return replace(part, **fields)
