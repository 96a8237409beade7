"""A recorded flight and all that may be told of it, made up by hand (no engine, seeded)."""

from __future__ import annotations

import numpy as np
from report import synthetic

from loftwright.debrief.causes.results import Argument, Cause, Causes, Telling
from loftwright.debrief.clocks.results import Clocks, SolvedClock, Told, Untied
from loftwright.debrief.clocks.results import Telling as ClockTelling
from loftwright.debrief.clocks.sighting_results import SightedPosition
from loftwright.debrief.fitting.results import FlightFit, Informed
from loftwright.debrief.results import (
    Artefact,
    Curve,
    Descent,
    Estimate,
    FlightEvent,
    LawCheck,
    Missing,
    Reconstruction,
)
from loftwright.debrief.scoring.landing_places import LandingPlace
from loftwright.debrief.scoring.results import FigureScore, ForecastScore, ModelBias
from loftwright.documents.flight_record import (
    Conditions,
    FlightRecord,
    Landed,
    Saw,
    Sighting,
    Station,
    Stopwatch,
)
from loftwright.errors import Problem, Where
from loftwright.flight.results import Band
from loftwright.rehearsal.results import Stay
from loftwright.report.flight_report import FlightReport
from loftwright.report.flight_told import (
    Expected,
    LedgerLine,
    UsedFile,
)
from loftwright.units import Quantity

Q = Quantity
TOP, TOP_TIME, DOWN = 36.4, 2.61, 9.8


def around(value: float, sd: float) -> Estimate:
    return Estimate(value, sd, value - 1.645 * sd, value + 1.645 * sd)


def curve() -> Curve:
    """Up under a push of 0.3 s, coasting to the top, then down under a canopy."""
    time = np.linspace(-1.0, 11.0, 601)
    burn, rate = 0.3, 4.6
    top_speed = 26.0
    up = np.clip(time / burn, 0.0, 1.0) * top_speed
    climb = np.where(
        time < burn, up, np.maximum(top_speed * (1 - (time - burn) / (TOP_TIME - burn)), -rate)
    )
    climb = np.where((time < 0) | (time > DOWN), 0.0, climb)
    height = np.cumsum(climb) * (time[1] - time[0])
    height = np.maximum(height * TOP / height.max(), 0.0)
    height[time > DOWN] = 0.0
    acceleration = np.gradient(climb, time)
    wide = np.ones_like(time)
    return Curve(time, height, 0.3 * wide, climb, 0.5 * wide, acceleration, 2.0 * wide)


def reconstruction(**changed: object) -> Reconstruction:
    flown = curve()
    rng = np.random.default_rng(5)
    raw = flown.height + 0.4 * rng.standard_normal(flown.time.size)
    boost = (flown.time > 0.02) & (flown.time < 0.28)
    raw = raw + 24.0 * boost
    known: dict[str, object] = {
        "log": "board.csv",
        "sha256": "a1" * 32,
        "liftoff_s": 31.2,
        "curve": flown,
        "raw_time": flown.time,
        "raw_height": raw,
        "used": ~boost,
        "events": (
            FlightEvent("liftoff", around(0.0, 0.02), "the push leaves its rest"),
            FlightEvent("water out", around(0.24, 0.02), "the push falls off"),
            FlightEvent("release", around(1.62, 0.02), "the latch opened"),
            FlightEvent("apogee", around(TOP_TIME, 0.03), "the climb passes nought"),
            FlightEvent("canopy open", around(3.2, 0.1), "the fall slows down"),
            FlightEvent("touchdown", around(DOWN, 0.08), "the height stays"),
        ),
        "missing": (),
        "artefacts": (
            Artefact(
                "boost pressure", 0.02, 0.28, 24.0,
                "From 0.02 to 0.28 s the push presses on the port: 24 m too high.",
            ),
        ),
        "descents": (
            Descent("under canopy", 3.4, 9.6, around(4.62, 0.06), "Steady under its canopy."),
        ),
        "apogee": around(TOP, 0.4),
        "apogee_time": around(TOP_TIME, 0.03),
        "max_climb": around(26.1, 0.5),
        "naive_max_height_m": 48.2,
        "naive_max_time_s": 0.21,
        "checks": (
            LawCheck("stopwatch law", True, "From the top down in 7.2 s, as a canopy should."),
            LawCheck("energy law", None, "Too little is known of the mass to tell."),
        ),
        "notes": ("The log has 50 rows a second.",),
        "assumed": ("The barometer's own filter lags 20 ms.",),
    }  # fmt: skip
    return Reconstruction(**(known | changed))  # type: ignore[arg-type]


def bare() -> Reconstruction:
    """Only a curve: nothing else is known of the flight."""
    return reconstruction(
        events=(), artefacts=(), descents=(), apogee=None, apogee_time=None, max_climb=None,
        checks=(), notes=(), assumed=(),
        missing=(
            Missing("apogee", "because the log stops before it"),
            Missing("release", "in a barometer's log"),
        ),
    )  # fmt: skip


def expected() -> Expected:
    known = {
        "apogee_m": (33.0, 37.1, 41.2),
        "apogee_time_s": (2.4, 2.6, 2.8),
        "max_climb_m_s": (24.0, 26.0, 28.0),
        "release_time_s": (1.5, 1.6, 1.75),
        "water_out_s": (0.22, 0.25, 0.28),
        "canopy_open_s": (2.7, 3.1, 3.5),
        "touchdown_vehicle_time_s": (9.0, 10.1, 11.4),
    }
    flown = curve()
    factors = np.array([0.9, 0.96, 1.01, 1.06, 1.12])
    lanes = {
        "height_m": flown.height[:, None] * factors,
        "climb_m_s": flown.climb[:, None] * factors,
    }
    keep = flown.time >= 0
    return Expected(
        made="2026-05-02 19:10",
        before_flight=True,
        statistics={
            key: {"p05": low, "p50": middle, "p95": high}
            for key, (low, middle, high) in known.items()
        },
        band=Band(flown.time[keep], {key: lane[keep] for key, lane in lanes.items()}),
        places={
            body: np.random.default_rng(7).normal(middle, 14.0, (300, 2))
            for body, middle in (("vehicle", (44.0, 28.0)), ("payload", (110.0, 70.0)))
        },
        flights=1000,
        seed=1,
    )


def score() -> ForecastScore:
    return ForecastScore(
        flight="first-lift",
        made="2026-05-02 19:10",
        before_flight=True,
        figures=(
            FigureScore(
                figure="apogee_m", forecast_p05=33.0, forecast_p50=37.1, forecast_p95=41.2,
                forecast_sd=2.5, measured=TOP, measured_sd=0.4, inside_90=True, rank=0.41,
                crps=0.63, error=0.7, u_num=0.01, u_input=2.5, u_data=0.4, u_val=2.53,
                says="The top was where it was forecast.",
            ),
            FigureScore(
                figure="release_time_s", forecast_p05=1.5, forecast_p50=1.6, forecast_p95=1.75,
                forecast_sd=0.08, measured=1.92, measured_sd=0.02, inside_90=False, rank=1.0,
                crps=0.27, error=-0.32, u_num=0.001, u_input=0.08, u_data=0.02, u_val=0.083,
                says="It was let go later than forecast.",
            ),
        ),
        missing=("where the glider came down: nobody wrote it down",),
        says="Of 2 figures that both show, 1 lies inside. It was made before the flight.",
    )  # fmt: skip


def causes() -> Causes:
    return Causes(
        causes=(
            Cause(
                ("latch late",), ("latch",), "The latch opened late.", 0.02, 0.58, 0.51, 0.65,
                (
                    Argument("The glider left 0.3 s after the command", 2.3, "height", 1.92),
                    Argument("Ben heard the latch after the top", 0.4),
                ),
                (Argument("The cell held its voltage", -0.3),),
                alike=1,
            ),
            Cause(
                ("hook rough",), ("hook",), "The hook was rough and held on.", 0.01, 0.34, 0.27,
                0.41, (Argument("The glider left late", 2.1, "height", 1.92),), (), alike=1,
            ),
            Cause((), (), "Nothing failed.", 0.6, 0.05, 0.02, 0.09, (), ()),
            Cause(("cell empty",), ("cell",), "The cell was empty.", 0.01, 0.03, 0.0, 0.1),
        ),
        in_set=2,
        evidence=("The log's pressures.", "What Ben heard.", "No film was there to look at."),
        tellings=(
            Telling("A switch that feels the latch", (0, 1), 0.93),
            Telling("A film of the release", (0, 1), 0.71),
        ),
        fits=True,
        fits_says="",
        flights=200,
        cases=4,
        seed=1,
    )  # fmt: skip


def record() -> FlightRecord:
    return FlightRecord(
        name="First lift",
        flown="2026-05-03 10:40",
        asked="Does the glider leave cleanly?",
        outcome="partial",
        note="Invented for the tests.",
        conditions=Conditions(gauge_pressure=Q(5.2e5, 7e3)),
        saw=(
            Saw(what="canopy open", at=Q(3.4, 0.3), by="Ana", said="It opened late."),
            Saw(what="release", of="payload", happened="no", how="heard"),
        ),
        stopwatch=(Stopwatch(end="touchdown", time=Q(9.9, 0.3), by="Ben"),),
        station=(
            Station(name="Gate", east=Q(-60.0, 1.0), north=Q(25.0, 1.0)),
            Station(name="Barn", east=Q(40.0, 1.0), north=Q(-55.0, 1.0)),
        ),
        sighting=(
            Sighting(station="Gate", moment="apogee", bearing=Q(1.3, 0.03), elevation=Q(0.5, 0.02)),
        ),
        landed=(Landed(distance=Q(48.0, 3.0), bearing=Q(1.0, 0.1)),),
    )


def fit() -> FlightFit:
    return FlightFit(
        flights=("first-lift",),
        fields=(
            Informed(
                path="vehicle.drag.scale", words="drag", prior=around(1.0, 0.1),
                posterior=around(1.08, 0.04), learnt=0.84, informed=True,
                says="Drag is 8 % more than the documents have it.",
            ),
        ),
        correlation=((1.0,),), misfit=1.1, used=("height",), warnings=(), seed=1,
    )  # fmt: skip


def bias() -> tuple[ModelBias, ...]:
    return (
        ModelBias(
            figure="apogee_m", flights=3, coverage_90=2 / 3, coverage_low=0.09, coverage_high=0.99,
            mean_error=0.7, mean_error_low=-2.0, mean_error_high=3.4, mean_crps=0.9,
            sharpness=8.2, says="Three flights cannot tell a bias of the height.",
        ),
    )  # fmt: skip


def clocks() -> Clocks:
    def solved(name: str, at: float, offset: float) -> SolvedClock:
        return SolvedClock(
            clock=name, at=at, offset=offset, offset_sd=0.03, drift=0.0, drift_sd=1e-3,
            correlation=0.0, ties=2, drift_solved=False,
        )  # fmt: skip

    tellings = [
        ClockTelling("board.csv", "apogee", "vehicle", 33.8, 0.03),
        ClockTelling("film", "release", "payload", 14.1, 0.04),
        ClockTelling("film", "touchdown", "vehicle", 22.3, 0.04),
        ClockTelling("watch of Ana", "apogee", "vehicle", 9.0, 0.2),
    ]
    return Clocks(
        reference="board.csv",
        clocks={"board.csv": solved("board.csv", 31.2, 0.0), "film": solved("film", 14.0, 1.6),
                "stopwatch 1 of Ben": solved("stopwatch 1 of Ben", 0.0, 0.0)},
        untied=(Untied("watch of Ana", "nothing else tells what it tells"),),
        moments={
            ("apogee", "vehicle"): around(2.6, 0.03),
            ("release", "payload"): around(1.7, 0.04),
            ("touchdown", "vehicle"): around(9.9, 0.04),
        },
        told=tuple(
            Told(each, 1.4 if each.clock.startswith("watch") else 0.0, 0.0,
                 not each.clock.startswith("watch"))
            for each in tellings
        ),
        chi_square=1.0, freedom=1, chance=0.3,
    )  # fmt: skip


def report(**changed: object) -> FlightReport:
    """Everything that a page may tell."""
    known: dict[str, object] = {
        "reconstruction": reconstruction(),
        "units": "us",
        "campaign": synthetic.campaign("us"),
        "flight": "first-lift",
        "record": record(),
        "expected": expected(),
        "score": score(),
        "causes": causes(),
        "fit": fit(),
        "bias": bias(),
        "landed": (
            LandingPlace("vehicle", 48.0, 3.0, np.array([40.4, 25.9]), np.eye(2) * 9.0, "paced"),
            LandingPlace("payload", 120.0, 6.0, None, None, "paced, without a direction"),
        ),
        "stays": {
            "board": (
                Stay("pad", -1.0, 0.05), Stay("climbing", 0.05, 1.6),
                Stay("let go", 1.6, 2.7), Stay("down", 2.7, 10.5),
            )
        },
        "sighted": (
            SightedPosition(
                of="vehicle", moment="apogee", time=around(TOP_TIME, 0.03),
                stations=("Gate", "Barn"), position=np.array([6.1, -3.2, 35.1]),
                covariance=np.diag([1.4, 1.2, 1.9]), miss=0.8, miss_open=2.1, chance=0.4,
                agrees=True, how="two stations", says="the lines of sight meet",
            ),
            SightedPosition(
                of="payload", moment=None, time=None, stations=("Gate",), position=None,
                covariance=None, miss=None, miss_open=None, chance=None, agrees=None,
                how="one station", says="one station alone tells no place",
            ),
        ),
        "clocks": clocks(),
        "findings": (LedgerLine("F3", "The latch is slow when it is cold.", None, "first-lift"),),
        "actions": (LedgerLine("A2", "Fit a switch that feels the latch.", False, "F3"),),
        "used": (UsedFile("board.csv", "log", "a1" * 32, 48213),),
        "notes": ("The wind was not measured.",),
        "warnings": (
            Problem(
                "log-gap", "the log has a gap of 0.3 s", Where(file="board.csv", line=412),
                "nothing to do",
            ),
        ),
    }  # fmt: skip
    return FlightReport(**(known | changed))  # type: ignore[arg-type]
