"""When something was let go or opened in a recorded flight, as far as can be told.

A program that is run over the record says what the controller did; what an actuator then takes
stands in the documents. Where there is no program, what the documents say triggers it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.evidence.flight_log import FlightLog
from loftwright.instruments.wiring import wire
from loftwright.program.assemble import assemble
from loftwright.rehearsal.replay import replay

__all__ = ["Moments", "moments_of", "named"]

SURE = 0.5  # chance from which what somebody saw counts
WORDS = {"canopy": "the canopy", "payload": "the payload"}


@dataclass(frozen=True, slots=True)
class Moments:
    """When things leave or open [s from first motion], NaN for never.

    A thing that is absent goes by its document. ``failed`` names what did not open though it
    should have; ``words`` say where each moment comes from.
    """

    when: Mapping[str, float]
    failed: frozenset[str]
    words: tuple[str, ...]

    def of(self, thing: str) -> float | None:
        """Return the moment of a thing, NaN for never, None where its document says when."""
        return self.when.get(thing)


def moments_of(
    campaign: Campaign, record: FlightRecord, log: FlightLog | None, liftoff_s: float
) -> Moments:
    """Return what was let go and opened when; ``liftoff_s`` is first motion by the log's clock."""
    when: dict[str, float] = {}
    words = []
    if log is not None and campaign.avionics is not None:
        for thing, moment in _commanded(campaign, log, liftoff_s).items():
            when[thing] = moment
            said = f"{moment:.2f} s after first motion"
            if np.isnan(moment):
                said = "not within the record"
            words.append(f"{named(thing)}: {said}, by the program run over it")
    failed = set()
    for saw in record.saw:
        seen = _thing(saw.what, saw.of)
        if seen is None or saw.happened == "yes" or saw.sure.value < SURE:
            continue
        when[seen] = float("nan")
        failed.add(seen)
        words.append(f"{named(seen)}: never, as somebody saw")
    return Moments(when, frozenset(failed), tuple(words))


def _thing(what: str, of: str) -> str | None:
    """Return what leaves or opens at a moment that somebody saw; None where nothing does."""
    if what == "canopy open" and of == "vehicle":
        return "canopy"
    if what == "release":
        return "payload" if of == "vehicle" else of  # what the vehicle lets go is its payload
    return None


def named(thing: str) -> str:
    """Return what a thing that leaves or opens is called."""
    return WORDS.get(thing, thing)


def _commanded(campaign: Campaign, log: FlightLog, liftoff_s: float) -> dict[str, float]:
    """When each thing that a program works is free, by the programs run over the record."""
    assert campaign.avionics is not None
    wiring = wire(campaign.avionics)
    found: dict[str, float] = {}
    for name in wiring.controllers:
        switched = dict(_first_up(campaign, name, log))
        for actuator in campaign.avionics.actuator:
            if actuator.controller != name or actuator.works not in (*PAYLOADS, "canopy"):
                continue
            up = switched.get(wiring.actuators[actuator.name].output)
            takes = actuator.delay.value + actuator.travel_time.value
            free = float("nan") if up is None else up - liftoff_s + takes
            found[actuator.works] = float(np.fmin(free, found.get(actuator.works, np.nan)))
    return found


def _first_up(campaign: Campaign, name: str, log: FlightLog) -> Iterator[tuple[str, float]]:
    """Yield the outputs of a controller that go up, with when they first do by the log's clock."""
    replayed = replay(assemble(campaign.programs[name]), log)
    for each in reversed(replayed.switched):
        if each.level > 0:
            yield each.output, each.time_s
