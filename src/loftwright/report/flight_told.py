"""All that a flight's page may tell, a field for each part; most of them may lack."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loftwright.debrief.causes.results import Causes
from loftwright.debrief.clocks.results import Clocks
from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.debrief.fitting.results import FlightFit
from loftwright.debrief.results import FlightEvent, Reconstruction
from loftwright.debrief.scoring.landing_places import LandingPlace
from loftwright.debrief.scoring.results import ForecastScore, ModelBias
from loftwright.documents.campaign import Campaign
from loftwright.documents.flight_record import FlightRecord
from loftwright.errors import Problem
from loftwright.flight.results import Band, Provenance
from loftwright.rehearsal.results import Stay

__all__ = ["Expected", "FlightReport", "LedgerLine", "UsedFile"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """The forecast that the flight is held against.

    ``statistics`` maps a figure to ``p05``, ``p50`` and ``p95``, ``samples`` to its value in every
    flight in which it came about, where these are known; ``before_flight`` tells whether
    it was kept before the flight, None where that is not known. ``places`` holds where each body
    came down in every flight, (n, 2) east and north of the pad, m.
    """

    made: str = ""
    before_flight: bool | None = None
    statistics: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    samples: Mapping[str, Floats] = field(default_factory=dict)
    band: Band | None = None
    places: Mapping[str, Floats] = field(default_factory=dict)
    flights: int | None = None
    seed: int | None = None


@dataclass(frozen=True, slots=True)
class LedgerLine:
    """A finding or an action of the campaign's ledger; ``done`` is None for a finding."""

    number: str
    says: str
    done: bool | None = None
    cites: str = ""


@dataclass(frozen=True, slots=True)
class UsedFile:
    """A file that the page comes from."""

    name: str
    what: str
    sha256: str
    size: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightReport:
    """A recorded flight, told. Only the reconstruction must be there.

    ``stays`` are the stages that the log names, by controller, time zero first motion; ``told``
    are moments that people and films tell and the log does not; ``notes`` are sentences that belong
    to no other part; ``warnings`` what is doubtful about the files.
    """

    reconstruction: Reconstruction
    units: str = "metric"
    campaign: Campaign | None = None
    flight: str = ""  # its name in the folder flights/
    record: FlightRecord | None = None
    expected: Expected | None = None
    score: ForecastScore | None = None
    causes: Causes | None = None
    fit: FlightFit | None = None
    bias: tuple[ModelBias, ...] = ()
    stays: Mapping[str, tuple[Stay, ...]] = field(default_factory=dict)
    landed: tuple[LandingPlace, ...] = ()
    sighted: tuple[SightedPosition, ...] = ()
    clocks: Clocks | None = None
    told: tuple[FlightEvent, ...] = ()
    findings: tuple[LedgerLine, ...] = ()
    actions: tuple[LedgerLine, ...] = ()
    next_steps: tuple[str, ...] = ()
    used: tuple[UsedFile, ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[Problem, ...] = ()
    provenance: Provenance | None = None
