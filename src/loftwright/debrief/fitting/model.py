"""The forward model of one recorded flight: fields of the documents to what would be recorded."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.fitting.observed import Observed
from loftwright.debrief.fitting.prior import FieldPrior
from loftwright.debrief.fitting.windows import ABOVE, LEAST_WAY
from loftwright.documents.campaign import PAYLOADS
from loftwright.documents.flatten import flatten
from loftwright.flight import engine, prepare
from loftwright.flight.carried import UNKNOWN_STRENGTH, riders
from loftwright.flight.draws import bounds_of, kept
from loftwright.flight.gusts import Gusts, draw_gusts
from loftwright.flight.kernel import slots
from loftwright.flight.kernel.body import Body
from loftwright.flight.kernel.events import FAR
from loftwright.flight.obstacles import obstacles
from loftwright.instruments.truth import around, truth
from loftwright.rehearsal.recorded import STANDARD_PAD, heights_over

__all__ = ["FlightModel"]

Floats = NDArray[np.float64]
Told = Callable[[int], object]
Blow = Callable[[Mapping[str, Any], int, int], Gusts]

TOGETHER = 256  # flights whose samples are kept at once, for memory's sake
CAPACITY = 640  # samples of one flight
INTERVALS = (5e-3, 0.05)  # s between samples, while pushed and after
TOLERANCE = 1e-5  # of heights: millimetres
EARLY = -0.3  # s, from when on the barometer is followed: it rests there
SPARE = 0.6  # s beyond the end of the ascent, for a first motion that is wrong by that
FIGURES = {
    "water out": slots.WATER_OUT_TIME,
    "apogee": slots.APOGEE_TIME,
    "touchdown": slots.DOWN_TIME,
}


class FlightModel:
    """Flies a recorded flight with other values, and says what would have been recorded.

    ``priors`` are the fields that may be changed: all that carry an uncertainty.
    """

    def __init__(self, observed: Observed, progress: Told | None = None) -> None:
        campaign = observed.given.campaign
        self.observed = observed
        self.values, self.sds, self.words = flatten(campaign)
        self._bounds = bounds_of(campaign)
        self._shapes = obstacles(campaign.site)
        self._carried = riders(self.words, "vehicle")
        self._progress = progress
        self.priors = {
            path: FieldPrior(self.values[path], sd, *self._bounds.get(path, (-np.inf, np.inf)))
            for path, sd in self.sds.items()
            if sd > 0.0
        }

    def predict(
        self,
        changed: Mapping[str, Floats],
        shift: Floats,
        gusts: Blow | None = None,
    ) -> Floats:
        """Return what would be measured in each flight, (n, k), in the order of ``Observed``.

        Parameters
        ----------
        changed : mapping
            Path to an array ``(n,)`` of standard normal numbers, see `FieldPrior`.
        shift : (n,) array
            How much later than taken the vehicle first moved [s].
        gusts : callable, optional
            Values, first flight and number of flights -> their gusts; the mean wind without.
        """
        parts = []
        for first in range(0, len(shift), TOGETHER):
            some = slice(first, first + TOGETHER)
            own = {path: each[some] for path, each in changed.items()}
            parts.append(self._few(own, shift[some], gusts, first))
            if self._progress is not None:
                self._progress(len(shift[some]))
        return np.concatenate(parts)

    def gusty(self, seed: int, changed: Mapping[str, float], shift: float, count: int) -> Floats:
        """Return what would be measured in ``count`` gust fields, all else the same."""
        same = {path: np.full(count, each) for path, each in changed.items()}
        return self.predict(same, np.full(count, shift), _blow(seed))

    def readings(
        self, changed: Mapping[str, Floats], count: int, until: float, seed: int
    ) -> tuple[Floats, Floats]:
        """Return what the barometer would read in ``count`` gusty flights, its noise left out.

        Returns times from first motion (m,) [s], up to ``until``, and heights (count, m) [m] over
        the rest of each flight, as records are held against. ``changed`` is as `predict` has it;
        the samples of all are kept at once.
        """
        tapes, surrounds, values, _ = self._fly(changed, _blow(seed), 0, count)
        return self._read(tapes, surrounds, values, until)

    @property
    def has_gusts(self) -> bool:
        """Tell whether the day was gusty."""
        return bool(np.any(np.asarray(prepare.gust_deviation(self.values)) > 0.0))

    def at(self, changed: Mapping[str, Floats]) -> dict[str, Any]:
        """Return all values, those changed at standard normal numbers."""
        spread = {path: self.priors[path].at(each) for path, each in changed.items()}
        return {**self.values, **kept(self.values, spread, self._bounds)}

    def _few(
        self,
        changed: Mapping[str, Floats],
        shift: Floats,
        gusts: Blow | None,
        first: int,
    ) -> Floats:
        tapes, surrounds, values, figures = self._fly(changed, gusts, first, len(shift))
        parts = []
        if self.observed.ascent is not None:
            parts.append(self._ascent(tapes, surrounds, values, shift))
        if self.observed.descent is not None:
            parts.append(self._descent(tapes, surrounds, figures[:, slots.DOWN_TIME]))
        parts += [self._told(figures, each) for each in self.observed.told]
        return np.concatenate([part.reshape(len(shift), -1) for part in parts], axis=1)

    def _fly(
        self, changed: Mapping[str, Floats], gusts: Blow | None, first: int, count: int
    ) -> tuple[list[Floats], Floats, dict[str, Any], Floats]:
        """Fly; return the vehicle's samples, what surrounds it, its values and figures."""
        values = self.at(changed)
        blown = None if gusts is None else gusts(values, first, count)
        vehicle = prepare.prepare(values, self.words, flights=count, gusts=blown, alone=True)[0]
        self._decide(vehicle, values)
        raw = engine.fly_all(
            [vehicle],
            tolerance=TOLERANCE,
            shapes=self._shapes,
            recorded=count,
            capacity=CAPACITY,
            intervals=INTERVALS,
        )
        tapes = [tape[vehicle.name] for tape in raw.tapes]
        surrounds = around(values, count, self.observed.barometer.port_coefficient(values))
        return tapes, surrounds, values, raw.figures

    def _decide(self, vehicle: Body, values: Mapping[str, Any]) -> None:
        """Let go and open what the record says, when it says; nothing tears off by itself."""
        table = vehicle.parameters
        for item, root in enumerate(self._carried):
            if root not in PAYLOADS:
                continue
            shift = item * slots.ITEM
            for name in (slots.ITEM_ALONG, slots.ITEM_ACROSS, slots.ITEM_PEEL):
                table[:, (name + shift) // slots.LANES] = UNKNOWN_STRENGTH
            moment = self.observed.moments.of(root)
            if moment is not None:
                table[:, (slots.ITEM_WHEN + shift) // slots.LANES] = slots.NEVER
                table[:, (slots.ITEM_AT + shift) // slots.LANES] = _moment(moment)
        opened = self.observed.moments.of("canopy")
        if opened is not None:
            table[:, slots.CANOPY_KIND // slots.LANES] = slots.NEVER
            delay = values.get("vehicle.canopy.delay", 0.0)
            table[:, slots.CANOPY_AT // slots.LANES] = _moment(opened) + delay

    def _ascent(
        self,
        tapes: list[Floats],
        surrounds: Floats,
        values: Mapping[str, Any],
        shift: Floats,
    ) -> Floats:
        """Mean heights of the stretches of the ascent, as the barometer would have them."""
        ascent, barometer = self.observed.ascent, self.observed.barometer
        assert ascent is not None
        _, height = self._read(tapes, surrounds, values, ascent.times[-1] + SPARE)
        drift = values.get(barometer.drift_path, 0.0)
        clock = ascent.times[None, :] / (1.0 + np.reshape(drift, (-1, 1)))
        places = (clock - shift[:, None] - EARLY) / barometer.step
        return _between(height, places) @ ascent.bins.T

    def _read(
        self, tapes: list[Floats], surrounds: Floats, values: Mapping[str, Any], until: float
    ) -> tuple[Floats, Floats]:
        """Return moments from `EARLY` on and the heights that the barometer reads at them."""
        barometer = self.observed.barometer
        samples = int((until - EARLY) / barometer.step) + 2
        moments: Floats = EARLY + barometer.step * np.arange(samples, dtype=np.float64)
        port = truth(tapes, moments, surrounds).port.astype(float)
        read = barometer.read(port, EARLY, values, self.words)
        return moments, heights_over(read, read[:, :1], STANDARD_PAD)

    def _descent(self, tapes: list[Floats], surrounds: Floats, down: Floats) -> Floats:
        """Mean rate of the steady way down; of what is down before its end, of what there is."""
        window = self.observed.descent
        assert window is not None
        begin = np.minimum(window.begin, down - LEAST_WAY)
        end = np.minimum(window.end, down - 0.3)
        times = np.stack([begin, end], axis=1)
        port = truth(tapes, times, surrounds).port.astype(float)
        height = heights_over(port, surrounds[:, :1], STANDARD_PAD)
        found: Floats = (height[:, 0] - height[:, 1]) / (end - begin)
        return np.where(height[:, 0] > ABOVE, found, np.nan)

    def _told(self, figures: Floats, each: Any) -> Floats:
        if each.kind == "place":
            east, north = figures[:, slots.DOWN_EAST], figures[:, slots.DOWN_NORTH]
            found: Floats = east * np.sin(each.angle) + north * np.cos(each.angle)
            return found
        ends = [
            0.0 if moment == "liftoff" else figures[:, FIGURES[moment]]
            for moment in (each.begin, each.end)
        ]
        return np.asarray(ends[1] - ends[0], float) + np.zeros(len(figures))


def _blow(seed: int) -> Blow:
    """Return what draws the gusts of flights, given their values."""

    def blow(values: Mapping[str, Any], first: int, flights: int) -> Gusts:
        return draw_gusts(
            seed,
            flights,
            prepare.gust_deviation(values),
            prepare.carrying_wind(values),
            values["site.wind.from"],
            first=first,
        )

    return blow


def _moment(moment: float) -> float:
    return FAR if np.isnan(moment) else max(moment, 0.0)


def _between(rows: Floats, places: Floats) -> Floats:
    """Read rows (n, samples) at fractional places (n, m) along them, on straight lines."""
    places = np.clip(places, 0.0, rows.shape[1] - 1.000001)
    low = places.astype(int)
    share = places - low
    one = np.take_along_axis(rows, low, axis=1)
    other = np.take_along_axis(rows, low + 1, axis=1)
    found: Floats = one + share * (other - one)
    return found
