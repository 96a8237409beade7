"""From static firings to strips: measured records in ink over the prediction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from numpy import float64
from numpy.typing import NDArray

from loftwright.flight.results import Band, Firing
from loftwright.report.quantities import unit_of
from loftwright.report.strip_model import Curve, Event, Lane, Role, Spread, Strip

__all__ = ["ThrustRecord", "firing_strip"]

Floats = NDArray[float64]


class ThrustRecord(Protocol):
    """A measured firing: thrust over time, zero at first thrust, SI."""

    @property
    def name(self) -> str:
        """What the record is called."""

    @property
    def time(self) -> Floats:
        """Time since first thrust, s."""

    @property
    def thrust(self) -> Floats:
        """Thrust, N."""

    @property
    def impulse_n_s(self) -> float:
        """Impulse, N s."""

    @property
    def impulse_sd_n_s(self) -> float:
        """Its standard deviation, N s."""

    @property
    def duration_s(self) -> float:
        """How long thrust lasted, s."""

    @property
    def duration_sd_s(self) -> float:
        """Its standard deviation, s."""

    @property
    def peak_thrust_n(self) -> float:
        """Peak of the thrust under the stand's ringing, N."""

    @property
    def peak_thrust_sd_n(self) -> float:
        """Its standard deviation, N."""


def firing_strip(
    firing: Firing,
    records: Sequence[ThrustRecord],
    system: str,
    band: Band | None = None,
) -> Strip:
    """Return the strip of a static firing, measured records in ink over the prediction."""
    pressure, warmth = unit_of("gauge_pressure", system), unit_of("temperature", system)
    force, mass = unit_of("force", system), unit_of("mass", system)
    water = Curve("", firing.time, firing.water_mass / mass.size, Role.FORECAST, told="model")
    gauge = Curve(
        "", firing.time, firing.gauge_pressure / pressure.size, Role.FORECAST, told="model"
    )
    kelvin = (firing.gas_temperature - warmth.zero) / warmth.size
    lanes = (
        _thrust_lane(firing, records, force.size, force.symbol, band),
        Lane("pressure", pressure.symbol, (gauge,), height=84.0),
        Lane("air inside", warmth.symbol,
             (Curve("", firing.time, kelvin, Role.FORECAST, told="model"),), height=84.0,
             from_zero=False),
        Lane("water", mass.symbol, (water,), height=70.0),
    )  # fmt: skip
    ends = [float(t[-1]) for t in (firing.time, *(r.time for r in records)) if t.size]
    return Strip(
        title="The firing",
        description="Thrust, pressure, air temperature and water over time, the vehicle held.",
        start=min([0.0, *(float(r.time[0]) for r in records if r.time.size)]),
        end=max(ends, default=0.0),
        lanes=lanes,
        # Nothing lifts off a stand: time zero is where the thrust begins.
        events=tuple(
            Event("start" if words == "liftoff" else words, float(time))
            for words, time in firing.events.items()
        ),
    )


def _thrust_lane(
    firing: Firing, records: Sequence[ThrustRecord], size: float, symbol: str, band: Band | None
) -> Lane:
    spreads = []
    # The table names each record; here they share one word.
    curves = [
        Curve("" if k else "measured", r.time, r.thrust / size, Role.RECORD,
              faint=True, sheer=len(records) > 1, told=f"measured {k + 1}")
        for k, r in enumerate(records)
    ]  # fmt: skip
    if band is not None and "thrust_n" in band.lanes:
        spreads.append(Spread("fitted", band.time, band.lanes["thrust_n"] / size))
    else:
        curves.insert(0, Curve("model", firing.time, firing.thrust / size, Role.FORECAST))
    return Lane("thrust", symbol, tuple(curves), tuple(spreads), height=190.0)
