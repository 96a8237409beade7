"""The run cites itself: which laws a flight or a firing has used."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from loftwright.flight import gusts, shape
from loftwright.flight.air import air_at_pad
from loftwright.flight.kernel import rates
from loftwright.flight.kernel.compile import reached
from loftwright.flight.prepare import Words, prepare

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


def firing_laws() -> tuple[str, ...]:
    """Return the laws of a static firing."""
    return _laws(air_at_pad, *_JETS)


def flight_laws(words: Words, *, ensemble: bool) -> tuple[str, ...]:
    """Return the laws of a flight of the campaign that ``words`` belong to."""
    entries: list[Callable[..., Any]] = [
        prepare,
        shape.NOSE_CENTRE[str(words["vehicle.nose.profile"])],
        *_JETS,
        rates.surroundings,
        rates.burdens,
        rates.move,
    ]
    if "vehicle.canopy.opens" in words:
        entries.append(rates.hang)
    if "payload.kind" in words:
        entries.append(rates.glide)
    if ensemble:
        entries.append(gusts.draw_gusts)
    return _laws(*entries)
