"""Who feeds, senses, commands and works whom, and what goes down together."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.documents.avionics import Avionics, names_in, parts

__all__ = ["ActuatorWires", "Common", "ControllerWires", "Wiring", "common_causes", "wire"]


@dataclass(frozen=True, slots=True)
class ControllerWires:
    """What a controller hangs on, by names; empty where there is nothing."""

    name: str
    index: int  # in the document
    battery: str
    connectors: tuple[str, ...]
    barometer: str
    accelerometer: str
    switch: str
    bay: str  # that its barometer sits in


@dataclass(frozen=True, slots=True)
class ActuatorWires:
    """What an actuator hangs on, by names, and what it works."""

    name: str
    index: int
    controller: str
    output: str
    battery: str
    connectors: tuple[str, ...]
    works: str


@dataclass(frozen=True, slots=True)
class Wiring:
    """All of it; ``index`` gives the place of every part in its list of the document."""

    controllers: dict[str, ControllerWires]
    actuators: dict[str, ActuatorWires]
    index: dict[tuple[str, str], int]  # by kind and name

    def on_battery(self, battery: str) -> tuple[str, ...]:
        """Return the controllers that a battery feeds."""
        return tuple(each.name for each in self.controllers.values() if each.battery == battery)

    def reading(self, sensor: str) -> tuple[str, ...]:
        """Return the controllers that read a sensor."""
        return tuple(
            each.name
            for each in self.controllers.values()
            if sensor in (each.barometer, each.accelerometer, each.switch)
        )

    def in_bay(self, bay: str) -> tuple[str, ...]:
        """Return the controllers whose barometers sit in a bay."""
        return tuple(each.name for each in self.controllers.values() if each.bay == bay)

    def working(self, thing: str) -> tuple[str, ...]:
        """Return the actuators that work a payload or the canopy."""
        return tuple(each.name for each in self.actuators.values() if each.works == thing)

    def path(self, kind: str, name: str, field: str) -> str:
        """Return the path of a part's field among the flattened values."""
        return f"avionics.{kind}.{self.index[kind, name]}.{field}"


@dataclass(frozen=True, slots=True)
class Common:
    """What several things hang on.

    ``leaves_no_way_down`` tells that every actuator of the canopy is without current, or without
    the controller that commands it, once the part is gone. A bay never is that: a program that is
    blind still has its backups.
    """

    part: str
    kind: str  # "battery", "connector", "bay", "controller"
    takes_along: tuple[str, ...]
    leaves_no_way_down: bool


def wire(avionics: Avionics) -> Wiring:
    """Return the wiring of avionics that read without an error."""
    index = {(kind, part.name.strip()): number for kind, number, part in parts(avionics)}
    bays = {each.name: each.bay.strip() for each in avionics.barometer}

    def sensor(kind: str, names: tuple[str, ...]) -> str:
        return next((name for name in names if (kind, name) in index), "")

    controllers = {}
    for number, each in enumerate(avionics.controller):
        senses = names_in(each.senses)
        barometer = sensor("barometer", senses)
        controllers[each.name] = ControllerWires(
            name=each.name,
            index=number,
            battery=each.battery.strip(),
            connectors=names_in(each.through),
            barometer=barometer,
            accelerometer=sensor("accelerometer", senses),
            switch=sensor("switch", senses),
            bay=bays.get(barometer, ""),
        )
    actuators = {
        each.name: ActuatorWires(
            name=each.name,
            index=number,
            controller=each.controller.strip(),
            output=each.output,
            battery=each.battery.strip(),
            connectors=names_in(each.through),
            works=each.works,
        )
        for number, each in enumerate(avionics.actuator)
    }
    return Wiring(controllers, actuators, index)


def common_causes(wiring: Wiring) -> tuple[Common, ...]:
    """Return every battery, connector, bay and controller that takes two things or more along."""
    found = []
    for kind, name in wiring.index:
        taken = _taken(wiring, kind, name)
        if len(taken) < 2:
            continue
        canopy = wiring.working("canopy")
        none_left = kind != "bay" and bool(canopy) and set(canopy) <= set(taken)
        found.append(Common(name, kind, taken, none_left))
    return tuple(found)


def _taken(wiring: Wiring, kind: str, name: str) -> tuple[str, ...]:
    """Return what goes with a part: controllers, the actuators that these command, and sensors."""
    if kind == "bay":
        blind = wiring.in_bay(name)
        sensors = [wiring.controllers[each].barometer for each in blind]
        return tuple(dict.fromkeys((*sensors, *blind)))
    dark = [each.name for each in wiring.controllers.values() if _hangs_on(each, kind, name)]
    if kind == "controller":
        dark = [name]
    still = [
        each.name
        for each in wiring.actuators.values()
        if each.controller in dark or _hangs_on(each, kind, name)
    ]
    taken = [each for each in (*dark, *still) if each != name]
    return tuple(dict.fromkeys(taken))


def _hangs_on(each: ControllerWires | ActuatorWires, kind: str, name: str) -> bool:
    if kind == "battery":
        return each.battery == name
    return kind == "connector" and name in each.connectors
