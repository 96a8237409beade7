"""Does it fly straight: what payloads do to the climb, in a sentence and in a table of causes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians

from loftwright.flight.results import Carrying
from loftwright.report.quantities import amount, digits
from loftwright.report.reading import Reading, compass, listed

__all__ = ["Causes", "causes", "straight_sentences"]


@dataclass(frozen=True, slots=True)
class Causes:
    """What turns the climb aside: rows of cause and number, for the bend and for the angle."""

    veer: tuple[tuple[str, str], ...]
    trim: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


def straight_sentences(read: Reading) -> Iterator[str]:
    """Yield how far payloads push the climb aside, and at what angle to the flow they hold it."""
    known = read.flight.carrying
    if known is not None:
        yield from _aside(read, known)
        yield from _angle(known)
    if read.best("burnout_lean_rad") is not None:
        yield (
            f"At the end of thrust its path has bent {read.shown('burnout_lean_rad', 'angle')} "
            f"off the guide{read.wide('burnout_lean_rad', 'angle')}."
        )


def _names(read: Reading) -> str:
    return listed(
        [each.name for each in read.campaign.payloads.values() if each.on == "vehicle"]
        or ["its payload"]
    )


def _aside(read: Reading, known: Carrying) -> Iterator[str]:
    if known.veer_m is None or known.veer_east_m is None or known.veer_north_m is None:
        return
    side = f"{read.shown('veer_m', 'distance')} to the side{read.wide('veer_m', 'distance')}"
    if read.ensemble is None:
        towards = compass(known.veer_east_m, known.veer_north_m)
        side = f"{amount(known.veer_m, 'distance', read.system, 2)} to the {towards}"
    loss = known.apogee_loss_m
    lower = (
        f", and costs it {amount(loss, 'height', read.system, 2)} of height"
        if loss is not None and loss > 0.0
        else ""
    )
    names = _names(read)
    verb = "take" if " and " in names else "takes"
    lower = lower.replace("costs", "cost") if verb == "take" else lower
    yield (
        f"{_if_held(read)}{names} {verb} it {side} of the climb without, at the height of the "
        f"release{lower}."
    )


def _if_held(read: Reading) -> str:
    torn = [r for r, each in read.campaign.payloads.items() if each.on == "vehicle"]
    return "If it held: " if any(read.tears(root) for root in torn) else ""


def _angle(known: Carrying) -> Iterator[str]:
    if known.carry_trim_deg is None:
        if known.time.size:
            yield "With its load on it settles at no angle to the flow: it is not stable."
        return
    spin = known.spin_turns
    turns = (
        f", and turns {digits(abs(spin), 2)} times about its axis while the load is on"
        if spin is not None and abs(spin) >= 0.05
        else ""
    )
    yield f"It settles at no more than {_degrees(known.carry_trim_deg)} to the flow{turns}."


def _degrees(value: float) -> str:
    return amount(radians(value), "angle", "metric", 2)


def causes(read: Reading) -> Causes | None:
    """Return what turns the climb aside, cause by cause; None where nothing is carried."""
    known = read.flight.carrying
    if known is None or (known.veer_m is None and known.carry_trim_deg is None):
        return None
    system, veer, trim = read.system, [], []
    if known.veer_m is not None:
        parts = known.veer_parts_m
        veer = [(words, _signed(part, system)) for words, part in parts.items()]
        rest = known.veer_m - sum(parts.values())
        veer.append(("acting together", _signed(rest, system)))
        veer.append(("all of it", amount(known.veer_m, "distance", system, 2)))
        if known.veer_without_spin_m is not None:
            without = amount(known.veer_without_spin_m, "distance", system, 2)
            veer.append(("without any spin", without))
    if known.carry_trim_deg is not None:
        trim = [(words, _degrees(part)) for words, part in known.trim_parts_deg.items()]
        trim.append(("all of it", _degrees(known.carry_trim_deg)))
    return Causes(tuple(veer), tuple(trim), tuple(_notes(read, known)))


def _signed(si: float, system: str) -> str:
    return amount(si, "distance", system, 2) if abs(si) >= 0.005 else "next to nothing"


def _notes(read: Reading, known: Carrying) -> Iterator[str]:
    yield (
        "Each cause is flown alone, with the values as written, in the mean wind, and its share "
        "counted the way of the whole bend; minus is against it."
    )
    if _if_held(read):
        yield "Its hold is taken to bear here, to show what it does as long as it is on."
    if known.apogee_held_m is not None and known.apogee_loss_m is not None:
        bare = known.apogee_held_m + known.apogee_loss_m
        yield (
            f"With its load on until it is let go it reaches "
            f"{amount(known.apogee_held_m, 'height', read.system, 2)}, without it "
            f"{amount(bare, 'height', read.system, 2)}."
        )
