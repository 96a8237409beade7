"""The run cites itself: which laws a flight or a firing has used."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from loftwright.compiling.clone import reached
from loftwright.documents.campaign import PAYLOADS
from loftwright.flight import gusts, shape
from loftwright.flight.air import air_at_pad
from loftwright.flight.carried import item_rows
from loftwright.flight.descent import descent_drag_area
from loftwright.flight.glider import glider_rows, has_wing
from loftwright.flight.kernel import gliding, rates
from loftwright.flight.kernel.departure import depart
from loftwright.flight.kernel.holding import hold_item
from loftwright.flight.masses import dry_masses
from loftwright.flight.prepare import Values, Words, prepare

__all__ = ["firing_laws", "flight_laws"]

_JETS = (rates.expel_water, rates.expel_air)


def _laws(*entries: Callable[..., Any]) -> tuple[str, ...]:
    """Name the laws reached from these functions, each once, as ``package.module.function``."""
    found = (
        f"{function.__module__}.{function.__name__}"
        for entry in entries
        for function in reached(entry)
        if function.__module__.startswith("loftwright.physics")
    )
    return tuple(dict.fromkeys(found))


def _payload_laws(values: Values, root: str) -> list[Callable[..., Any]]:
    """Return what makes up a payload, carries it, lets it go and flies it."""
    carried: list[Callable[..., Any]] = [item_rows, hold_item, depart]
    if has_wing(values, root):
        return [*carried, glider_rows, gliding.begin_glide, gliding.glider_loads]
    return [*carried, descent_drag_area, rates.glide]


def firing_laws() -> tuple[str, ...]:
    """Return the laws of a static firing."""
    return _laws(air_at_pad, *_JETS)


def flight_laws(values: Values, words: Words, *, ensemble: bool) -> tuple[str, ...]:
    """Return the laws of a flight of the campaign that ``values`` and ``words`` belong to."""
    entries: list[Callable[..., Any]] = [
        prepare,
        air_at_pad,
        dry_masses,
        shape.aerodynamics,
        shape.NOSE_CENTRE[str(words["vehicle.nose.profile"])],
        *_JETS,
        rates.surroundings,
        rates.meet_air_openly,
        rates.move,
    ]
    if "vehicle.canopy.opens" in words:
        entries.append(rates.hang)
    for root in PAYLOADS:
        if f"{root}.kind" in words:
            entries += _payload_laws(values, root)
    if ensemble:
        entries += [gusts.draw_fields, gusts.blown]
    return _laws(*entries)
