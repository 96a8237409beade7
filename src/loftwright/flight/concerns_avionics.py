"""What to think twice about of that which senses, decides and acts, before it is switched on."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from loftwright.documents.avionics import names_in
from loftwright.documents.finding import Finding
from loftwright.documents.program import Program
from loftwright.flight.concerns_carried import fastest_climb
from loftwright.flight.concerns_pad import concern
from loftwright.flight.facts import Facts
from loftwright.flight.flat import rows
from loftwright.physics.atmosphere import GRAVITY, air_pressure_at
from loftwright.physics.barometer import height_per_pascal, port_height_error
from loftwright.physics.bay_vent import vent_excess, vent_ratio
from loftwright.physics.supply import loaded_voltage
from loftwright.units import format_quantity

__all__ = ["PROGRAM_RULES", "RULES"]

Programs = Mapping[str, Program]  # by controller

# What a tested bottle usually reaches, where its air has the work for it (judgement).
USUAL_TOP_SPEED = 50.0  # m/s
MOST_RATIO = 2000 * 0.0254  # m, volume over area of vents: rule of thumb, see `vent_ratio`
DRILL_STEP = 1e-4  # m, in which the mend's diameter goes up
LEAST_VENTS, MOST_VENTS = 3, 12  # so that wind evens out; and so that they get drilled (judgement)
LARGEST_PORT_ERROR = 5.0  # m, about half of what programs take for a liftoff (judgement)
HIGHEST_FLIGHT = 300.0  # m above the pad; few water rockets go there (judgement)
SPREADS = 2.0  # how many standard deviations of a battery are reckoned with
OHM_STEP = 0.01
UNLIKE = 3.0  # ratio of two intervals from which on they do not belong together (judgement)


class Part(NamedTuple):
    """One part of the avionics: place in its list, numbers, spreads, words."""

    number: int
    values: Mapping[str, float]
    sds: Mapping[str, float]
    words: Mapping[str, str | int]

    @property
    def name(self) -> str:
        """What the part is called."""
        return str(self.words["name"]).strip()


def _parts(facts: Facts, kind: str) -> list[Part]:
    tables = [rows(each, f"avionics.{kind}") for each in (facts.values, facts.sds, facts.words)]
    return [Part(number, *each) for number, each in enumerate(zip(*tables, strict=True))]


def _top_speed(facts: Facts) -> float:
    """Return the speed to judge by, m/s; 0 where it does not fly."""
    return min(USUAL_TOP_SPEED, fastest_climb(facts)) if facts.flies else 0.0


def _read_bays(facts: Facts) -> Iterator[tuple[Part, list[Part]]]:
    """Yield each bay that barometers sit in, and these."""
    barometers = _parts(facts, "barometer")
    for bay in _parts(facts, "bay"):
        inside = [each for each in barometers if str(each.words["bay"]).strip() == bay.name]
        if inside:
            yield bay, inside


def bay_vents(facts: Facts) -> Iterator[Finding]:
    """A bay breathes so well that the noise of its barometer hides how far it trails."""
    speed, air = _top_speed(facts), facts.air
    for bay, barometers in _read_bays(facts):
        volume, coefficient = bay.values["volume"], bay.values["vent_coefficient"]
        area = int(bay.words["vent_count"]) * math.pi / 4 * bay.values["vent_diameter"] ** 2
        excess = vent_excess(volume, area, coefficient, speed, air.density, air.temperature)
        noise = min(each.values["noise"] for each in barometers)
        if vent_ratio(volume, area) <= MOST_RATIO or excess <= noise:
            continue
        error, at = excess * height_per_pascal(air.density), _speed(facts, speed)
        late = f"heights read in it come out {_length(facts, error)} low in a climb of {at}"
        if error > speed**2 / (2 * GRAVITY):  # more than it climbs at all
            late = f"in a climb of {at} it hardly breathes at all"
        yield concern(
            "check-bay-vents",
            ("avionics", "bay", bay.number, "vent_diameter"),
            f"the vents are small for this bay: {late}",
            _larger_vents(facts, bay, volume / MOST_RATIO),
        )


def _larger_vents(facts: Facts, bay: Part, area: float) -> str:
    """Say which vents have the area, in m^2: more of them, or larger ones."""
    diameter, count = bay.values["vent_diameter"], max(LEAST_VENTS, int(bay.words["vent_count"]))
    more = max(LEAST_VENTS, math.ceil(area / (math.pi / 4 * diameter**2)))
    wide = math.ceil(math.sqrt(area / count * 4 / math.pi) / DRILL_STEP) * DRILL_STEP
    narrow_shown, wide_shown = (
        format_quantity(each, "length", facts.system) for each in (diameter, wide)
    )
    larger = f"{count} of {wide_shown}"
    if more <= MOST_VENTS:
        larger = f"{more} of {narrow_shown}, or {larger}"
    return f"drill {larger}, evenly around the body"


def port_error(facts: Facts) -> Iterator[Finding]:
    """The air at the vents has about the pressure of the air around."""
    speed = _top_speed(facts)
    for bay, _ in _read_bays(facts):
        error = port_height_error(bay.values["port_coefficient"], speed)
        if abs(error) <= LARGEST_PORT_ERROR:
            continue
        yield concern(
            "check-port-error",
            ("avionics", "bay", bay.number, "port_coefficient"),
            f"at {_speed(facts, speed)} a height read in this bay comes out "
            f"{_length(facts, abs(error))} {'low' if error > 0 else 'high'}, and it shifts as "
            "the speed changes",
            "put the vents on a smooth stretch of tube, far from nose, fins and steps",
        )


def barometer_range(facts: Facts) -> Iterator[Finding]:
    """A barometer can read the air from the pad up."""
    for each in _parts(facts, "barometer"):
        word = _outside(facts, each.values["least"], each.values["most"])
        if word is not None:
            yield concern(
                "check-barometer-range",
                ("avionics", "barometer", each.number, word),
                f"its range does not hold the flight: {_pressures(facts)}",
                "correct it from the data sheet, or take a sensor that reads both",
            )


def _top_pressure(facts: Facts) -> float:
    return air_pressure_at(HIGHEST_FLIGHT, facts.air.pressure, facts.air.temperature)


def _outside(facts: Facts, least: float, most: float) -> str | None:
    """Return which limit the pressures of a flight pass, None when they keep within both."""
    if facts.air.pressure > most:
        return "most"
    return "least" if _top_pressure(facts) < least else None


def _pressures(facts: Facts) -> str:
    up = _length(facts, HIGHEST_FLIGHT)
    pad, top = (
        str(format_quantity(each, "absolute_pressure", facts.system, digits=4))
        for each in (facts.air.pressure, _top_pressure(facts))
    )
    return f"the air has {pad} at the pad and {top} at {up} above it"


def supply(facts: Facts) -> Iterator[Finding]:
    """A battery keeps what hangs on it running while its actuators move."""
    for battery in _parts(facts, "battery"):
        fed, moved = (
            [
                part
                for part in _parts(facts, kind)
                if str(part.words["battery"]).strip() == battery.name
            ]
            for kind in ("controller", "actuator")
        )
        # One alone is worse news than all together.
        alone = [[part] for part in sorted(moved, key=lambda part: -part.values["draw"])]
        for moving in (*alone, moved):
            found = _sags(facts, battery, fed, moving)
            if found is not None:
                yield found
                break


def _sags(facts: Facts, battery: Part, fed: list[Part], moving: list[Part]) -> Finding | None:
    """Return the concern about a battery that is too soft for what moves, if it is."""
    current = sum(part.values["draw"] for part in (*fed, *moving))
    resistance, voltage = battery.values["resistance"], battery.values["voltage"]
    spread = SPREADS * math.hypot(battery.sds["voltage"], current * battery.sds["resistance"])
    low = loaded_voltage(voltage, resistance, current) - spread
    needs = [(part.values["brownout"], f'"{part.name}" stops') for part in fed]
    needs += [(part.values["least_voltage"], f'"{part.name}" stands still') for part in moving]
    need, ends = max(needs, default=(0.0, ""))
    if low >= need or current <= 0.0:
        return None
    names = " and ".join(f'"{part.name}"' for part in moving) or "nothing"
    moves = "move" if len(moving) > 1 else "moves"
    shown, limit = (
        format_quantity(max(each, 0.0), "voltage", facts.system) for each in (low, need)
    )
    return concern(
        "check-supply-sags",
        ("avionics", "battery", battery.number, "voltage"),
        f"while {names} {moves} it may sag to {shown}, and below {limit} {ends}",
        _stiffer((voltage - SPREADS * battery.sds["voltage"] - need) / current, bool(moving)),
    )


def _stiffer(resistance: float, moves: bool) -> str:
    """Say what mends a soft battery, given the resistance in ohm that would do."""
    bearable = math.floor(resistance / OHM_STEP) * OHM_STEP
    other = "a battery of more volts"
    if bearable > 0.0:
        other = f"a battery of {bearable:.2f} ohm at most"
    return f"{other}, or a second one for what moves" if moves else other


def accelerometer_range(facts: Facts) -> Iterator[Finding]:
    """An accelerometer can read the push of liftoff."""
    if facts.pull is None or not facts.flies:
        return
    felt = facts.pull.felt_at_liftoff
    for each in _parts(facts, "accelerometer"):
        if each.values["range"] < felt:
            most, asked = (
                format_quantity(push, "acceleration", unit="g", digits=2)
                for push in (each.values["range"], felt)
            )
            yield concern(
                "check-accelerometer-range",
                ("avionics", "accelerometer", each.number, "range"),
                f"it reads up to {most}, and liftoff pushes with about {asked} (static thrust): "
                "it will show its limit",
                f"ask in the program for well below {most}, or take a sensor of a wider range",
            )


def _barometers(facts: Facts, programs: Programs) -> Iterator[tuple[str, Program, Part]]:
    """Yield each program's file, the program, and a barometer that it reads; each pair once."""
    known = {each.name: each for each in _parts(facts, "barometer")}
    seen = set()
    for controller in _parts(facts, "controller"):
        program, file = programs.get(controller.name), str(controller.words["program"])
        for name in names_in(str(controller.words["senses"])):
            if program is not None and name in known and (file, name) not in seen:
                seen.add((file, name))
                yield file, program, known[name]


def refused_readings(facts: Facts, programs: Programs) -> Iterator[Finding]:
    """A program takes the pressures of the flight for what they are."""
    seen = set()
    for file, program, _ in _barometers(facts, programs):
        word = _outside(facts, program.least.value, program.most.value)
        if word is not None and file not in seen:
            seen.add(file)
            yield concern(
                "check-readings-refused",
                ("program", file, word),
                f"the program refuses what the barometer will read: {_pressures(facts)}",
                "give limits that no weather and no height of yours reaches, 30 to 110 kPa",
            )


def sampling(facts: Facts, programs: Programs) -> Iterator[Finding]:
    """A program samples about as often as its barometer has something new to say."""
    for file, program, barometer in _barometers(facts, programs):
        step, every = program.sample_every.value, barometer.values["every"]
        if every <= 0.0:
            continue
        place = ("program", file, "sample_every")
        # A program's interval is written in whole milliseconds.
        fresh, sampled = (f"{1e3 * each:.3g} ms" for each in (every, step))
        if every > UNLIKE * step:
            yield concern(
                "check-sampling",
                place,
                f'"{barometer.name}" has a new value every {fresh}: each is read '
                f"{every / step:.0f} times, and the climb seems to stop in between",
                f'write sample_every = "{1e3 * every:.0f} ms", or let the sensor measure '
                "more often",
            )
        elif step > UNLIKE * every and int(barometer.words["filter"]) < step / every:
            yield concern(
                "check-sampling",
                place,
                f'"{barometer.name}" has a new value every {fresh}: with a sample every {sampled} '
                f"only one in {step / every:.0f} counts",
                f"sample more often, or let the sensor average: filter = {round(step / every)}",
            )


def _speed(facts: Facts, value: float) -> str:
    return str(format_quantity(value, "speed", facts.system, digits=2))


def _length(facts: Facts, value: float) -> str:
    return str(format_quantity(value, "length", facts.system, digits=2))


RULES = (
    bay_vents,
    port_error,
    barometer_range,
    supply,
    accelerometer_range,
)
PROGRAM_RULES = (
    refused_readings,
    sampling,
)
