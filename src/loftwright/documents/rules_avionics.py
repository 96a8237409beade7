"""What must hold between the fields of the avionics, and between them and what they work."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from loftwright.documents.avionics import Avionics, names_in, parts
from loftwright.documents.build import UnreadError, closest
from loftwright.documents.finding import Finding, listed, told
from loftwright.documents.spans import Path
from loftwright.units import format_quantity

__all__ = ["AVIONICS_RULES", "works_what_is_there"]

SENSORS = ("barometer", "accelerometer", "switch")

LISTS = ("through", "senses")  # fields that may name several parts

# Which field of which table names parts of which kinds.
REFERENCES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("barometer", "bay", ("bay",)),
    ("controller", "battery", ("battery",)),
    ("controller", "through", ("connector",)),
    ("controller", "senses", SENSORS),
    ("actuator", "controller", ("controller",)),
    ("actuator", "battery", ("battery",)),
    ("actuator", "through", ("connector",)),
    ("indicator", "controller", ("controller",)),
)


def _named(avionics: Avionics, kinds: tuple[str, ...]) -> list[str]:
    """Return the names of the parts of some kinds, as far as they were read."""
    return [part.name for kind in kinds for part in getattr(avionics, kind)]


def _referred(part: Any, field: str) -> tuple[str, ...]:
    """Return the names that stand in a field."""
    text = getattr(part, field)
    return names_in(text) if field in LISTS else (text.strip(),)


def names_differ(avionics: Avionics) -> Iterator[Finding]:
    """See that each part has a name of its own that can stand in a list."""
    seen: dict[str, str] = {}
    for kind, index, part in parts(avionics):
        name, place = part.name.strip(), (kind, index, "name")
        if "," in name:
            message = "there is a comma in this name, and lists of names are split at commas"
            yield Finding("avionics-name-comma", place, message, "write it without the comma")
        elif name != part.name:
            message = "there is a blank at an end of this name, where lists of names lose it"
            yield Finding("avionics-name-blank", place, message, "write it without the blank")
        elif name in seen:
            message = f'a {seen[name]} is called "{name}" already'
            yield Finding("avionics-name-twice", place, message, f"give this {kind} another name")
        seen.setdefault(name, kind)


def references_lead_somewhere(avionics: Avionics) -> Iterator[Finding]:
    """See that every part that is named is there."""
    for table, field, kinds in REFERENCES:
        known = _named(avionics, kinds)
        for path, part in listed(table, getattr(avionics, table)):
            for name in _referred(part, field):
                if name not in known:
                    yield _leads_nowhere((*path, field), name, kinds, known)


def _leads_nowhere(place: Path, name: str, kinds: tuple[str, ...], known: list[str]) -> Finding:
    near = closest(name, known)
    if near:
        mend = f'did you mean "{near}"?'
    elif known:
        mend = f"there is {', '.join(dict.fromkeys(known))}"
    else:
        mend = f'add [[{kinds[0]}]] with name = "{name}"'
    article = "an" if kinds[0][0] in "aeiou" else "a"
    kind = "sensor" if kinds == SENSORS else kinds[0]
    article = "a" if kind == "sensor" else article
    message = f'no part that is {article} {kind} is called "{name}"'
    return Finding("avionics-no-such-part", place, message, mend)


def controllers_sense(avionics: Avionics) -> Iterator[Finding]:
    """See that a controller reads at most one sensor of each kind, and at least one at all."""
    for path, controller in listed("controller", avionics.controller):
        senses, place = names_in(controller.senses), (*path, "senses")
        if not senses:
            message = "no sensor is named here"
            mend = 'name what it reads, e.g. senses = "baro"'
            yield Finding("avionics-senses-nothing", place, message, mend)
        for kind in SENSORS:
            known = _named(avionics, (kind,))
            read = [name for name in senses if name in known]
            if len(read) > 1:
                message = f"these are several of one kind: {', '.join(read)}"
                mend = f"a controller reads one {kind}; give the other to a second controller"
                yield Finding("avionics-senses-twice", place, message, mend)


def ranges_have_an_inside(avionics: Avionics) -> Iterator[Finding]:
    """See that each barometer can read something."""
    for path, barometer in listed("barometer", avionics.barometer):
        if barometer.most.value <= barometer.least.value:
            shown = format_quantity(barometer.least.value, "absolute_pressure", unit="kPa")
            message = f"this is not above the lowest pressure that it reads, {shown}"
            mend = 'take both from its data sheet, e.g. most = "110 kPa"'
            yield Finding("avionics-no-range", (*path, "most"), message, mend)


def batteries_are_strong_enough(avionics: Avionics) -> Iterator[Finding]:
    """See that a battery starts what hangs on it."""
    volts = {battery.name: battery.voltage.value for battery in avionics.battery}
    for table, field in (("controller", "brownout"), ("actuator", "least_voltage")):
        for path, part in listed(table, getattr(avionics, table)):
            needs = getattr(part, field).value
            if part.battery in volts and needs >= volts[part.battery]:
                shown = told(volts[part.battery], "voltage")
                message = f"its battery has no more than {shown}: it never runs"
                mend = "take another battery, or correct the one of the two that is wrong"
                yield Finding("avionics-battery-too-weak", (*path, field), message, mend)


def nothing_is_idle(avionics: Avionics) -> Iterator[Finding]:
    """Warn about parts that nothing is wired to, where the wires themselves are in order."""
    rules = (something_decides, references_lead_somewhere, controllers_sense)
    if any(True for rule in rules for _ in rule(avionics)):
        return
    used = {
        name
        for table, field, _ in REFERENCES
        for part in getattr(avionics, table)
        for name in _referred(part, field)
    }
    for kind, index, part in parts(avionics):
        if kind in ("actuator", "indicator") or part.name in used:
            continue
        message = f'nothing is wired to the {kind} "{part.name}"'
        mend = "name it where it belongs, or take it out"
        if kind == "controller":
            message = f'the controller "{part.name}" works no actuator and no indicator'
        place = (kind, index, "name")
        yield Finding("avionics-idle", place, message, mend, "warning")


def something_decides(avionics: Avionics) -> Iterator[Finding]:
    """See that there is a controller."""
    if not avionics.controller:
        message, mend = "there is no controller", 'add [[controller]] with name = "main"'
        yield Finding("avionics-no-controller", ("controller",), message, mend, key=True)


def works_what_is_there(avionics: Avionics, others: Mapping[str, Any]) -> Iterator[Finding]:
    """See that each actuator works something that the campaign has, given its documents by role."""
    for path, actuator in listed("actuator", avionics.actuator):
        place = (*path, "works")
        if actuator.works == "canopy":
            if others["vehicle"].canopy is None:
                message, mend = "the vehicle has no canopy", "describe it in vehicle.toml, [canopy]"
                yield Finding("avionics-works-nothing", place, message, mend)
        elif others.get(actuator.works) is None:
            message = f"this campaign has no {actuator.works}"
            mend = f'name its file in campaign.toml, {actuator.works} = "{actuator.works}.toml"'
            yield Finding("avionics-works-nothing", place, message, mend)


def outputs_are_there(avionics: Avionics, programs: Mapping[str, Any]) -> Iterator[Finding]:
    """See that what is worked is an output of its controller's program; programs by controller."""
    for table in ("actuator", "indicator"):
        for path, part in listed(table, getattr(avionics, table)):
            program = programs.get(part.controller)
            if program is None:
                continue
            try:
                known = [output.name for output in program.output]
            except UnreadError:
                continue
            if part.output not in known:
                near = closest(part.output, known)
                listing = ", ".join(known) or "none"
                mend = f'did you mean "{near}"?' if near else f"its outputs: {listing}"
                message = f'the program of "{part.controller}" has no such output'
                yield Finding("avionics-no-such-output", (*path, "output"), message, mend)


AVIONICS_RULES = (
    something_decides,
    names_differ,
    references_lead_somewhere,
    controllers_sense,
    ranges_have_an_inside,
    batteries_are_strong_enough,
    nothing_is_idle,
)
