"""What wrote a log, as far as reading it rightly needs: from the documents, or assumed."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot, pi
from typing import TYPE_CHECKING

from loftwright.units import Quantity

if TYPE_CHECKING:
    from loftwright.documents.campaign import Campaign
    from loftwright.evidence.flight_log import FlightLog

__all__ = ["Instrument", "assumed_instrument", "instrument_of"]

WARMING_TIME = 60.0  # s from power-up, over which a sensor warms, as in rehearsals (judgement)
WEATHER_DRIFT = 0.03  # Pa/s: 1 hPa an hour, a front coming through (common practice, no source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Instrument:
    """A recorder with its barometer and accelerometer; a ``Quantity`` carries its uncertainty.

    ``noise`` (Pa) is the standard deviation of one value before the sensor's own filter;
    ``noise_weight`` says how many readings at rest that figure counts for. ``resolution`` (Pa) and
    ``every`` (s, from one new value to the next) are None where the log itself must show them.
    ``filter`` is the coefficient of the sensor's own filter, 1 for none. ``bay_volume`` (m3),
    ``vent_area`` (m2, of all vents together) and ``vent_coefficient`` describe the bay that it sits
    in; a volume of 0 says that it sits in free air. ``drift`` (Pa/s) is how its reading creeps
    while it warms up. ``push_*`` (m/s2) are the accelerometer's. ``clock_drift`` says how much
    faster than time its clock runs.
    """

    name: str
    noise: float
    noise_weight: float = 30.0
    resolution: float | None = None
    every: float | None = None
    filter: int = 1
    jitter: float = 0.0
    port_coefficient: Quantity = field(default=Quantity(0.0, 0.03))
    bay_volume: Quantity = field(default=Quantity(0.0, 0.0))
    vent_area: Quantity = field(default=Quantity(0.0, 0.0))
    vent_coefficient: Quantity = field(default=Quantity(0.6, 0.05))
    drift: Quantity = field(default=Quantity(0.0, WEATHER_DRIFT))
    drifts_for: float = WARMING_TIME
    least: float | None = None
    most: float | None = None
    push_range: float | None = None
    push_bias: float = 0.980665
    push_noise: float = 0.4903325
    clock_drift: float = 0.005
    assumed: tuple[str, ...] = ()


def instrument_of(campaign: Campaign, controller: str) -> Instrument:
    """Return the instrument that ``controller`` of a campaign's avionics is, by its documents.

    Raises
    ------
    ProblemError
        The campaign has no avionics, no controller of that name, or that reads no barometer.
    """
    from loftwright.instruments.wiring import wire

    _see_that_it_senses(campaign, controller)
    avionics = campaign.avionics
    assert avionics is not None
    wires = wire(avionics).controllers[controller]
    sensor = next(each for each in avionics.barometer if each.name == wires.barometer)
    bay = next(each for each in avionics.bay if each.name == wires.bay)
    push = next((each for each in avionics.accelerometer if each.name == wires.accelerometer), None)
    one = avionics.controller[wires.index]
    each_vent = pi / 4.0 * bay.vent_diameter.value**2
    area = bay.vent_count * each_vent
    warming, creep = sensor.warming, sensor.temperature_drift
    drift_sd = hypot(
        creep.value * warming.sd, creep.sd * warming.value, creep.sd * warming.sd
    )  # of a product of two independent numbers
    return Instrument(
        name=controller,
        noise=sensor.noise.value,
        resolution=sensor.resolution.value,
        every=sensor.every.value or None,
        filter=sensor.filter,
        jitter=sensor.jitter.value,
        port_coefficient=bay.port_coefficient,
        bay_volume=bay.volume,
        vent_area=Quantity(area, 2.0 * area * bay.vent_diameter.sd / bay.vent_diameter.value),
        vent_coefficient=bay.vent_coefficient,
        drift=Quantity(
            creep.value * warming.value / WARMING_TIME,
            hypot(drift_sd / WARMING_TIME, WEATHER_DRIFT),
        ),
        least=sensor.least.value,
        most=sensor.most.value,
        push_range=None if push is None else push.range.value,
        push_bias=0.980665 if push is None else hypot(push.bias.value, push.bias.sd),
        push_noise=0.4903325 if push is None else push.noise.value,
        clock_drift=hypot(one.clock_drift.value, one.clock_drift.sd),
    )


def assumed_instrument(log: FlightLog, *, air_is_assumed: bool = False) -> Instrument:
    """Return what a log is taken to be written by where no document says it.

    What of it the log shows itself (noise, steps between values, how often a new one comes) is
    found from the log; the rest is said in ``assumed``, and that nobody measured the pad's air
    where ``air_is_assumed``.
    """
    words = [
        "noise and steps of the sensor: as its rest on the pad shows them",
        "no filter and no delay within the sensor, and vents large enough for its bay",
        "pressure at the vents off by 0 ± 5 % of the dynamic pressure",
        "a clock that is right within 0.5 %",
    ]
    if air_is_assumed:
        words.append("air of 15 ± 8 °C at the pad: heights go with it, 1 % for each 3 °C")
    if log.push_m_s2 is not None:
        words.append("an accelerometer along the axis, off by 0 ± 0.1 g")
    return Instrument(
        name=log.name,
        noise=2.0,
        noise_weight=4.0,
        port_coefficient=Quantity(0.0, 0.05),
        drift=Quantity(0.0, 0.06),
        push_range=None,
        assumed=tuple(words),
    )


def _see_that_it_senses(campaign: Campaign, controller: str) -> None:
    from loftwright.errors import Problem, ProblemError, Where
    from loftwright.instruments.wiring import wire

    file = campaign.head.avionics or "campaign.toml"
    if campaign.avionics is None:
        message = "there are no avionics, so nothing says what wrote the log"
        mend = 'describe them, and name the file: avionics = "avionics.toml"'
        where = Where(file="campaign.toml", field="avionics")
        raise ProblemError([Problem("debrief-no-instrument", message, where, mend)])
    wires = wire(campaign.avionics).controllers
    if controller not in wires:
        message = f"the avionics have no controller called {controller!r}"
        mend = "name one of " + ", ".join(map(repr, wires))
        where = Where(file=file, field="controller", value=controller)
        raise ProblemError([Problem("debrief-no-instrument", message, where, mend)])
    if not wires[controller].barometer:
        message = f"the controller {controller!r} reads no barometer, so it knows no height"
        mend = "name a controller that does, or describe its barometer"
        where = Where(file=file, field="controller.senses", value=controller)
        raise ProblemError([Problem("debrief-no-instrument", message, where, mend)])
