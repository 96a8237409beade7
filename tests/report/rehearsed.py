"""A made-up rehearsal, its wiring and programs, made without the closed loop (seeded)."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from report import synthetic
from scipy.stats import beta

from loftwright.documents.avionics import (
    Accelerometer,
    Actuator,
    Avionics,
    Barometer,
    Battery,
    Bay,
    Connector,
    Controller,
    Indicator,
    Switch,
)
from loftwright.flight.chance import Chance
from loftwright.program.table import (
    ALWAYS,
    Act,
    Action,
    Clock,
    Estimator,
    Exit,
    Op,
    Seen,
    Stage,
    Step,
    Table,
)
from loftwright.rehearsal.results import (
    FIELD,
    PAYLOAD,
    VEHICLE,
    Case,
    CommonCause,
    CutSet,
    Mend,
    Rehearsal,
    Shift,
    Stay,
    Watched,
)
from loftwright.report.program_page import CheckRow
from loftwright.report.rehearse_page import Pictures
from loftwright.report.stage_words import StagePicture
from loftwright.report.tune_page import Aim, TradeOff, TradePoint
from loftwright.report.wiring_picture import picture_of
from loftwright.units import Quantity

Floats = NDArray[np.float64]
Q = Quantity
FLIGHTS = 10_000


def chance(count: int, flights: int = FLIGHTS) -> Chance:
    """The exact interval of Clopper and Pearson, from the beta distribution."""
    low = float(beta.ppf(0.025, count, flights - count + 1)) if count else 0.0
    high = float(beta.ppf(0.975, count + 1, flights - count)) if count < flights else 1.0
    return Chance(count, flights, low, high)


def shares(words: tuple[str, ...], *counts: int, flights: int = FLIGHTS) -> dict[str, Chance]:
    found = dict(zip(words, counts, strict=False))
    found[words[0]] = flights - sum(counts[1:])
    return {word: chance(found.get(word, 0), flights) for word in words}


# ---------------------------------------------------------------- programs


def table(name: str = "Main release") -> Table:
    push = Step(Op.MORE, Seen.PUSH, 29.42)
    slow = Step(Op.LESS, Seen.CLIMB, 15.24)
    low = Step(Op.LESS, Seen.HEIGHT, 2.0)
    return Table(
        name=name,
        outputs=("latch", "beeper"),
        stages=(
            Stage("pad", (Exit(1, (push,), hold_ms=60),), is_ground=True),
            Stage(
                "climbing",
                (
                    Exit(0, (low,), hold_ms=500, not_after_ms=1500),
                    Exit(2, (slow,), hold_ms=40, not_before_ms=800, backup_ms=3600,
                         clock=Clock.LAUNCH),
                ),
                marks_launch=True,
            ),
            Stage(
                "let go",
                (Exit(3, ALWAYS, not_before_ms=500), Exit(4, (low,), hold_ms=1000)),
                (Act(0, Action.OPEN),),
            ),
            Stage("watching", (Exit(4, (low,), hold_ms=2000, backup_ms=60_000),)),
            Stage("landed", (), (Act(1, Action.SOUND, 2000), Act(0, Action.CLOSE))),
        ),
        step_ms=20,
        estimator=Estimator.TRACKING,
        height_gain=0.3,
        climb_gain=1.2,
        reference_gain=0.004,
        least_pa=30e3,
        most_pa=110e3,
        height_series=(8434.5, 1.2, 0.1, 0.0, 0.0, 0.0),
    )  # fmt: skip


CONDITIONS = (
    ("push > 3 g or height > 12 m",),
    ("height < 2 m", "climb < 50 ft/s"),
    ("", "height < 2 m"),
    ("height < 2 m",),
    (),
)


READING = (
    "It waits on the pad until it is pushed harder than 3 g, or is higher than 12 m, for 60 ms.",
    "It lets go once it climbs slower than 50 ft/s.",
)


def picture(name: str = "Main release") -> StagePicture:
    return StagePicture(table(name), CONDITIONS)


def pictures() -> Pictures:
    wiring = picture_of(avionics(), "us")
    return Pictures(wiring, (picture(), picture("Canopy")))


# ---------------------------------------------------------------- wiring


def avionics() -> Avionics:
    """Two controllers on one cell, and a second cell for the canopy's actuator."""
    return Avionics(
        name="Sedge electronics",
        bay=(
            Bay(name="nose bay", volume=Q(180e-6), vent_count=4, vent_diameter=Q(2e-3)),
            Bay(name="tail bay", volume=Q(90e-6), vent_count=1, vent_diameter=Q(1.5e-3)),
        ),
        battery=(
            Battery(name="main cell", voltage=Q(3.9, 0.1)),
            Battery(name="tail cell", voltage=Q(3.7, 0.1)),
        ),
        connector=(Connector(name="bay plug", bears=Q(785.0, 147.0)), Connector(name="nose plug")),
        barometer=(
            Barometer(name="baro", bay="nose bay"),
            Barometer(name="second baro", bay="nose bay"),
            Barometer(name="tail baro", bay="tail bay"),
        ),
        accelerometer=(Accelerometer(name="accel", range=Q(157.0)),),
        switch=(Switch(name="pad line"),),
        controller=(
            Controller(name="main", program="program-main.toml", battery="main cell",
                       through="bay plug", senses="baro, accel, pad line"),
            Controller(name="canopy", program="program-canopy.toml", battery="main cell",
                       through="bay plug, nose plug", senses="second baro, tail baro"),
        ),
        actuator=(
            Actuator(name="latch", controller="main", output="latch", battery="main cell",
                     through="bay plug", works="payload"),
            Actuator(name="canopy servo", controller="canopy", output="canopy",
                     battery="tail cell", works="canopy"),
        ),
        indicator=(Indicator(name="beeper", kind="beeper", controller="main", output="beeper"),),
    )  # fmt: skip


# ---------------------------------------------------------------- one flight


def watched(case: str = "no fault", number: int = 0, *, frozen: bool = False) -> Watched:
    """One flight; ``frozen``: the main controller's pressure sticks from 1 s on."""
    course = synthetic.Course()
    rng = np.random.default_rng(number)
    t = np.linspace(-20.0, course.touchdown, 2200)
    flown = np.where(t < 0, 0.0, course.height(np.clip(t, 0, None)))
    climb = np.where(t < 0, 0.0, course.climb(np.clip(t, 0, None)))
    truth = {"time_s": t, "height_m": flown, "climb_m_s": climb, "push_m_s2": np.zeros_like(t)}
    s = np.arange(-20.0, course.touchdown, 0.02)
    good = np.interp(s, t, flown) + 0.25 * rng.standard_normal(s.size)
    stuck = np.where(s > 1.0, np.interp(1.0, t, flown), good)
    first, second = (stuck if frozen else good), good + 0.2
    let_go = 3.6 if frozen else course.release_time + 0.05
    opens, top = course.apogee_time + 0.35, course.touchdown
    return Watched(
        case=case,
        flight=number,
        truth=truth,
        sensed={"main": sensed(s, first), "canopy": sensed(s, second)},
        believed={"main": believed(s, first), "canopy": believed(s, second)},
        stays={
            "main": (
                Stay("pad", -20.0, 0.06, "push > 3 g, held 60 ms"),
                Stay("climbing", 0.06, let_go, "backup" if frozen else "climb < 50 ft/s"),
                Stay("let go", let_go, let_go + 0.5, "its window"),
                Stay("watching", let_go + 0.5, top, ""),
            ),
            "canopy": (
                Stay("pad", -20.0, 0.08, "push > 3 g"),
                Stay("climbing", 0.08, opens, "drop > 1 m"),
                Stay("open", opens, top, ""),
            ),
        },
        commands={"main: latch": let_go, "canopy: door": opens},
        acts={"latch": let_go + 0.12, "canopy servo": opens + 0.15},
        events={
            "liftoff": 0.0, "water out": course.water, "apogee": course.apogee_time,
            "release": let_go + 0.12, "canopy open": course.open_time, "vehicle down": top,
        },
        outcome=(
            "Main believed 20 m all the way down and let go by its backup at 3.60 s, too low."
            if frozen else "Wren was let go at 14.8 m/s, and all came down inside the field."
        ),
        levels={"main: latch": ((let_go, top),)},
        supplies={"main": {"time_s": s, "volts": np.where(np.abs(s - let_go) < 0.1, 3.3, 3.9)}},
    )  # fmt: skip


def replayed() -> Watched:
    """The main controller alone, on a record: nobody knows how it flew."""
    made = watched()
    own = {key: {"main": getattr(made, key)["main"]} for key in ("sensed", "believed", "stays")}
    return replace(
        made, truth={}, commands={"latch": made.commands["main: latch"]}, acts={}, events={},
        supplies={}, **own,
    )  # fmt: skip


def sensed(s: Floats, height: Floats) -> dict[str, Floats]:
    return {
        "time_s": s, "height_m": height, "pressure_pa": 101325.0 - 12.0 * height,
        "push_m_s2": np.zeros_like(s),
    }  # fmt: skip


def believed(s: Floats, height: Floats) -> dict[str, Floats]:
    """Follow with a lag, as a filter does."""
    smooth, climb, out, rates = height[0], 0.0, np.empty_like(s), np.empty_like(s)
    for k, value in enumerate(height):
        smooth += climb * 0.02
        off = value - smooth
        smooth, climb = smooth + 0.25 * off, climb + 0.035 * off / 0.02
        out[k], rates[k] = smooth, climb
    return {"time_s": s, "height_m": out, "climb_m_s": rates}


# ---------------------------------------------------------------- the rehearsal


def case(
    faults: tuple[str, ...], says: str, happens: float, part: str, rank: tuple[str, str, str],
    payload: tuple[int, ...], vehicle: tuple[int, ...], place: tuple[int, ...] = (0, 60, 12, 1),
    lost: int = 0, endangers: int = 1, *, single: bool = False, worst: tuple[int, ...] = (),
) -> Case:  # fmt: skip
    outcomes = shares(PAYLOAD, *payload)
    return Case(
        faults=faults, says=says, happens=happens, payload=outcomes,
        vehicle=shares(VEHICLE, *vehicle), field=shares(FIELD, *place),
        good=chance(outcomes[PAYLOAD[0]].count), lost=chance(lost), endangers=chance(endangers),
        severity=rank[0], likelihood=rank[1], risk=rank[2],
        energy_j={
            "vehicle": (3.1 if lost < 5000 else 92.0, 3.9 if lost < 5000 else 121.0),
            "payload": (0.4, 1.1),
        },
        worst=worst, is_single_point=single, part=part,
    )  # fmt: skip


def faults() -> tuple[Case, ...]:
    """Sorted as a rehearsal sorts them."""
    return (
        case(("main cell empty",), "The main cell gives no current from power-up on.", 0.004,
             "main cell", ("Critical", "C", "High"),
             (0, 0, 0, 0, 0, 0, 0, 10_000), (0, 0, 0, 0, 10_000), (0, 300, 60, 9), 10_000, 69,
             single=True, worst=(411,)),
        case(("bay plug opens",), "The bay plug opens for good under the push of the launch.", 0.01,
             "bay plug", ("Critical", "B", "High"),
             (0, 0, 0, 0, 0, 0, 0, 9_990), (0, 0, 0, 0, 9_990), (0, 300, 60, 9), 9_990, 66,
             single=True, worst=(7,)),
        case(("baro: reading frozen",), "The pressure that baro tells stays as it is.", 0.005,
             "baro", ("Negligible", "C", "Low"),
             (0, 40, 1900, 7310, 3, 0, 0, 0), (0, 3, 0, 0, 0), lost=0, worst=(1203,)),
        case(("nose bay: vents blocked",), "No air passes through the vents of the nose bay.", 0.01,
             "nose bay", ("Critical", "B", "High"),
             (0, 12, 610, 4020, 3, 0, 0, 221), (0, 11, 730, 0, 2), lost=2, endangers=3,
             worst=(88,)),
        case(("latch sticks",), "The latch does not move, however often it is told to.", 0.02,
             "latch", ("Negligible", "B", "High"),
             (0, 0, 0, 0, 0, 0, 0, 10_000), (0, 26, 1, 0, 0), worst=(5,)),
        case(("beeper silent",), "The beeper makes no sound.", 0.02, "beeper",
             ("Negligible", "B", "Low"), (0, 180, 60, 30, 9, 11, 0, 0), (0, 2, 0, 0, 0)),
    )  # fmt: skip


def shift(before: int, after: int, difference: float, low: float, high: float) -> Shift:
    return Shift(chance(before), chance(after), difference, low, high)


def rehearsal() -> Rehearsal:
    nominal = case(
        (), "Nothing fails.", 1.0, "", ("Negligible", "A", "Low"),
        (0, 181, 62, 28, 9, 10, 0, 0), (0, 2, 0, 0, 0),
    )  # fmt: skip
    return Rehearsal(
        flights=FLIGHTS,
        seed=20,
        level=0.01,
        nominal=nominal,
        faults=faults(),
        provenance=replace(synthetic.provenance(20, FLIGHTS)),
        pairs=(
            case(("latch sticks", "baro: reading frozen"), "Both at once.", 1e-4, "",
                 ("Negligible", "E", "Low"), (0, 0, 0, 0, 0, 0, 0, 10_000),
                 (0, 3, 0, 0, 0)),
        ),
        cut_sets=(
            CutSet(("bay plug opens",), 0.00999, 0.711),
            CutSet(("main cell empty",), 0.004, 0.284),
            CutSet(("tail cell empty", "nose bay: vents blocked"), 4e-5, 0.003),
        ),
        common_causes=(
            CommonCause("main cell", "battery", ("main", "canopy", "latch"), True),
            CommonCause("bay plug", "connector", ("main", "canopy", "latch"), True),
            CommonCause("nose bay", "bay", ("baro", "second baro"), False),
        ),
        mends=(
            Mend(
                "a second cell for the canopy's controller",
                '# avionics.toml\n[[battery]]\nname = "canopy cell"\nvoltage = "3.9 V"\n\n'
                '# controller "canopy"\nbattery = "canopy cell"\n',
                {
                    "main cell empty": shift(10_000, 4, -0.9996, -0.9999, -0.9990),
                    "bay plug opens": shift(9_990, 9_990, 0.0, -0.0004, 0.0004),
                    "no fault": shift(0, 0, 0.0, -0.0004, 0.0004),
                },
                shift(9_710, 9_712, 0.0002, -0.0003, 0.0007),
            ),
        ),
        watched=(
            watched(),
            watched("main cell empty", 411, frozen=True),
            watched("bay plug opens", 7, frozen=True),
            watched("baro: reading frozen", 1203, frozen=True),
            watched("nose bay: vents blocked", 88),
            watched("latch sticks", 5),
        ),
        wanted={
            "payload_most_speed_m_s": 18.0, "payload_least_climb_m_s": 2.0,
            "payload_least_height_m": 10.0, "payload_most_lean_rad": math.radians(45.0),
            "canopy_most_speed_m_s": 25.0, "canopy_least_height_m": 5.0,
        },
    )  # fmt: skip


# ---------------------------------------------------------------- a trade-off


def trade_off() -> TradeOff:
    """Climb at which it lets go, against how often it does so on the pad or in the boost."""
    points = []
    for k, climb in enumerate((20, 30, 40, 50, 60, 70, 80)):
        height = 34.0 - 0.9 * k - 0.12 * k * k
        false = chance((0, 0, 2, 9, 60, 220, 700)[::-1][k])
        points.append(TradePoint(
            {"climb at which it lets go": f"{climb} ft/s"}, (height, false.share),
            (height - 0.4, false.low), (height + 0.4, false.high), is_on_front=k != 4,
            is_chosen=k == 3, is_written=k == 2,
        ))  # fmt: skip
    return TradeOff(
        (Aim("height at release", "height", True), Aim("false release", "chance", False)),
        tuple(points),
        "Let go below 50 ft/s: at 30.2 m, with a false release in 9 of 10 000 flights.",
        ("One setting is beaten by another on both aims.",),
    )


def checks() -> tuple[CheckRow, ...]:
    return (
        CheckRow("the canopy opens no later than 9 s after launch is sensed", True),
        CheckRow(
            "the latch opens not before 0.8 s after launch is sensed", False,
            ("pad, until push > 3 g", "climbing, until height < 2 m", "let go, which opens it"),
        ),
    )  # fmt: skip
