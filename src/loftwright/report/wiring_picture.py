"""What is wired to what on board, as a plain description to draw: parts, lines, and bays."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from loftwright.documents.avionics import (
    Accelerometer,
    Actuator,
    Avionics,
    Barometer,
    Controller,
    Indicator,
    Switch,
    names_in,
)
from loftwright.report.quantities import stated
from loftwright.report.reading import listed

__all__ = ["BayFrame", "Net", "Node", "WiringPicture", "picture_of"]

SEVERAL = 2  # from here on a supply or a bay is shared


@dataclass(frozen=True, slots=True)
class Node:
    """A part: its kind and words, and what is to be said of it because others share it."""

    name: str
    kind: str  # battery, connector, sensor, controller, actuator, indicator, work
    words: tuple[str, ...] = ()
    bay: str = ""
    says: str = ""
    warns: bool = False
    key: str = ""  # what lines refer to; the name where it is left out

    @property
    def id(self) -> str:
        """What lines refer to."""
        return self.key or self.name


@dataclass(frozen=True, slots=True)
class Net:
    """One line from a part to all the parts that it reaches."""

    source: str
    sinks: tuple[str, ...]
    kind: str  # power, sensed, told, works


@dataclass(frozen=True, slots=True)
class BayFrame:
    """A bay: the sensors inside stand in a frame."""

    name: str
    words: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class WiringPicture:
    """All that the wiring drawing shows; parts in the order of their document."""

    title: str
    nodes: tuple[Node, ...]
    nets: tuple[Net, ...]
    bays: tuple[BayFrame, ...] = ()

    @property
    def sentences(self) -> list[str]:
        """What several things share, in words."""
        said = [f"{node.name[:1].upper()}{node.name[1:]} {node.says}." for node in self.nodes
                if node.says]  # fmt: skip
        return said + [f"{bay.name[:1].upper()}{bay.name[1:]}: {bay.says}." for bay in self.bays
                       if bay.says]  # fmt: skip


# ---------------------------------------------------------------- from the document


def picture_of(avionics: Avionics, system: str = "metric") -> WiringPicture:
    """Return what is wired to what, in the units of ``system`` (``"metric"`` or ``"us"``)."""
    nodes = [*_supplies(avionics, system), *_sensors(avionics, system)]
    nodes += [
        Node(each.name, "controller", (f"controller, {each.program}",))
        for each in avionics.controller
    ]
    nodes += [
        Node(each.name, "actuator", (f"actuator, output {each.output}",))
        for each in avionics.actuator
    ]
    nodes += [
        Node(each.name, "indicator", (f"{each.kind}, output {each.output}",))
        for each in avionics.indicator
    ]
    works = dict.fromkeys(each.works for each in avionics.actuator)
    nodes += [
        Node("canopy opens" if work == "canopy" else f"{work} let go", "work", key=f"works {work}")
        for work in works
    ]
    return WiringPicture(
        avionics.name, tuple(nodes), tuple(_nets(avionics)), tuple(_bays(avionics, system))
    )


def _supplies(avionics: Avionics, system: str) -> Iterator[Node]:
    for battery in avionics.battery:
        says, warns = _shared(avionics, battery.name)
        words = f"battery, {stated(battery.voltage.value, 'number', system)}\u00a0V"
        yield Node(battery.name, "battery", (words,), says=says, warns=warns)
    for plug in avionics.connector:
        says, warns = _shared(avionics, plug.name)
        bears = "" if plug.bears is None else stated(plug.bears.value, "acceleration", system)
        words = f"connector, opens at {bears}" if bears else "connector"
        yield Node(plug.name, "connector", (words,), says=says, warns=warns)


def _sensors(avionics: Avionics, system: str) -> Iterator[Node]:
    for bay in avionics.bay:
        for each in avionics.barometer:
            if each.bay == bay.name:
                yield Node(each.name, "sensor", ("pressure",), bay=bay.name)
    for push in avionics.accelerometer:
        reach = stated(push.range.value, "acceleration", system)
        yield Node(push.name, "sensor", (f"push, to {reach}",))
    for line in avionics.switch:
        yield Node(line.name, "sensor", ("opens at liftoff",))


def _bays(avionics: Avionics, system: str) -> Iterator[BayFrame]:
    for bay in avionics.bay:
        inside = {each.name for each in avionics.barometer if each.bay == bay.name}
        readers = [each.name for each in avionics.controller if inside & {*names_in(each.senses)}]
        vents = "1 vent" if bay.vent_count == 1 else f"{bay.vent_count} vents"
        size = stated(bay.vent_diameter.value, "small_length", system, 2)
        says = ""
        if len(readers) >= SEVERAL or len(inside) >= SEVERAL:
            says = f"shared: blocked vents mislead {listed(readers) if readers else 'nobody'}"
        yield BayFrame(bay.name, f"{vents} of {size}", says)


# ---------------------------------------------------------------- lines


def _consumers(avionics: Avionics) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Yield each thing that takes current: its name, its battery, the connectors between."""
    fed: tuple[Controller | Actuator, ...] = (*avionics.controller, *avionics.actuator)
    for each in fed:
        yield each.name, each.battery, names_in(each.through)


def _told(avionics: Avionics) -> tuple[Actuator | Indicator, ...]:
    return (*avionics.actuator, *avionics.indicator)


def _nets(avionics: Avionics) -> Iterator[Net]:
    # The currents of two batteries stay apart, even through one connector.
    power: dict[tuple[str, str], list[str]] = {}
    for name, battery, through in _consumers(avionics):
        path = (battery, *through, name)
        for source, sink in pairwise(path):
            known = power.setdefault((battery, source), [])
            if sink not in known:
                known.append(sink)
    for (_, source), sinks in power.items():
        yield Net(source, tuple(sinks), "power")
    sensors: tuple[Barometer | Accelerometer | Switch, ...] = (
        *avionics.barometer, *avionics.accelerometer, *avionics.switch,
    )  # fmt: skip
    for sensor in sensors:
        readers = [each.name for each in avionics.controller
                   if sensor.name in names_in(each.senses)]  # fmt: skip
        if readers:
            yield Net(sensor.name, tuple(readers), "sensed")
    for controller in avionics.controller:
        told = [each.name for each in _told(avionics) if each.controller == controller.name]
        if told:
            yield Net(controller.name, tuple(told), "told")
    for actuator in avionics.actuator:
        yield Net(actuator.name, (f"works {actuator.works}",), "works")


# ---------------------------------------------------------------- what several share


def _shared(avionics: Avionics, supply: str) -> tuple[str, bool]:
    """Say what a battery or connector takes along; whether no canopy opens without it."""
    fed = [name for name, battery, through in _consumers(avionics)
           if supply in (battery, *through)]  # fmt: skip
    if len(fed) < SEVERAL:
        return "", False
    lost = _lost(avionics, fed)
    says = f"feeds {len(fed)} things: losing it loses {listed(lost)}"
    canopies = [each.name for each in avionics.actuator if each.works == "canopy"]
    none_left = bool(canopies) and all(name in lost for name in canopies)
    return (f"{says}; no canopy opens without it" if none_left else says), none_left


def _lost(avionics: Avionics, fed: Iterable[str]) -> list[str]:
    """Return all that is lost with what a supply feeds: what a controller works goes with it."""
    lost = dict.fromkeys(fed)
    for each in _told(avionics):
        if each.controller in lost:
            lost[each.name] = None
    return list(lost)
