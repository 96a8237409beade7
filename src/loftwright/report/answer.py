"""The answer in plain words: will it hold, fly straight, let go, and where it all comes down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from loftwright.documents.campaign import PAYLOADS, Campaign
from loftwright.flight.chance import chance_of
from loftwright.flight.kernel import slots
from loftwright.flight.outcomes import sentence
from loftwright.flight.results import Ensemble, Flight
from loftwright.report.carrying_words import straight_sentences
from loftwright.report.hold_words import hold_sentences
from loftwright.report.landing_words import landed_bodies, landing_sentences
from loftwright.report.parting_words import release_sentences, stage_sentences
from loftwright.report.quantities import amount
from loftwright.report.reading import Reading, begun, chance_words, in_hundred, listed, often

__all__ = ["Answer", "KeyFigure", "Verdict", "forecast_answer"]

FAST = 15.0  # m/s, well above any working canopy; said in words wherever it is used


@dataclass(frozen=True, slots=True)
class KeyFigure:
    """One figure to be seen at a glance: name, value with unit, and its spread in words."""

    name: str
    value: str
    spread: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """A question that a person has, and what answers it; ``warn`` where it is bad news."""

    question: str
    sentences: tuple[str, ...]
    warn: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """The lead sentence, the figures to see at a glance, questions answered, then the rest."""

    lead: str
    keys: tuple[KeyFigure, ...]
    sentences: tuple[str, ...]
    chances: tuple[str, ...]
    verdicts: tuple[Verdict, ...] = ()


def forecast_answer(campaign: Campaign, flight: Flight, ensemble: Ensemble | None) -> Answer:
    """Put a flight, and its ensemble if there is one, into words."""
    read = Reading(campaign, flight, ensemble)
    usual = flight.outcome == sentence(slots.LANDED)
    return Answer(
        lead=_lead(read),
        keys=tuple(_keys(read)),
        sentences=() if usual else (flight.outcome,),
        chances=tuple(_chances(read)),
        verdicts=tuple(_verdicts(read)),
    )


def _verdicts(read: Reading) -> Iterator[Verdict]:
    asked = (
        ("Will it hold?", hold_sentences),
        ("Does it fly straight?", straight_sentences),
        ("Does it let go cleanly?", release_sentences),
        ("Do the stages part?", stage_sentences),
        ("Where does it come down?", landing_sentences),
    )
    for question, say in asked:
        said = tuple(say(read))
        if said:
            yield Verdict(question, said, any(each.startswith("No. ") for each in said))


# ---------------------------------------------------------------- lead


def _lead(read: Reading) -> str:
    torn = [root for root in read.campaign.payloads if read.tears(root)]
    if not torn:
        return _outline(read)
    root = torn[0]
    found = read.torn(root)
    times = ""
    if read.ensemble is not None and found is not None:
        times = f" {chance_words(int(found.sum()), found.size)}"
    return f"{begun(read.name(root))} tears off{times}. {_outline(read)}"


def _outline(read: Reading) -> str:
    """How high, and how far off."""
    if read.best("apogee_m") is None:
        return "No height to speak of."
    top = f"About {read.shown('apogee_m', 'height')} up"
    if read.campaign.upper is not None and read.best("upper_apogee_m") is not None:
        name = begun(read.name("upper"))
        top = f"{name} goes about {read.shown('upper_apogee_m', 'height')} up"
        return f"{top}, {read.name('vehicle')} {read.shown('apogee_m', 'height')}{_within(read)}."
    if read.ensemble is not None and read.reach("vehicle") is not None:
        return f"{top}{_within(read)}."
    when = read.best("apogee_time_s")
    after = f", {amount(when, 'time', read.system, 2)} after liftoff" if when else ""
    return f"{top}{after}."


def _within(read: Reading) -> str:
    """How far off the farthest body of a flight comes down, nine times in ten."""
    if read.ensemble is None:
        return ""
    columns = read.ensemble.columns
    bodies = [body for body in landed_bodies(read) if f"touchdown_{body}_east_m" in columns]
    reaches = [
        np.hypot(columns[f"touchdown_{body}_east_m"], columns[f"touchdown_{body}_north_m"])
        for body in bodies
    ]
    if not reaches:
        return ""
    farthest = np.fmax.reduce(reaches)
    most = np.quantile(farthest[np.isfinite(farthest)], 0.9)
    who = read.name(bodies[0]) if len(bodies) == 1 else "everything"
    within = amount(float(most), "distance", read.system, 2)
    return f"; {who} down within {within} of the pad nine times in ten"


# ---------------------------------------------------------------- figures at a glance


def _keys(read: Reading) -> Iterator[KeyFigure]:
    found = [
        _key(read, "greatest height", "apogee_m", "height"),
        _upper_key(read),
        _hold_key(read),
        None if read.tears("payload") else _climb_key(read),
        _reach_key(read, "vehicle"),
        _reach_key(read, "payload"),
        _key(read, "vehicle at the ground", "touchdown_vehicle_energy_j", "energy"),
    ]
    yield from [key for key in found if key is not None][:5]


def _key(
    read: Reading, name: str, figure: str, kind: str, significant: int = 2
) -> KeyFigure | None:
    if read.best(figure) is None:
        return None
    spread = read.range(figure, kind)
    if spread and " to " not in spread:
        spread = "hardly varies"
    shown = read.shown(figure, kind, significant)
    return KeyFigure(name, shown, spread or "one flight, as written")


def _upper_key(read: Reading) -> KeyFigure | None:
    if read.campaign.upper is None:
        return None
    return _key(read, f"height of {read.name('upper')}", "upper_apogee_m", "height")


def _hold_key(read: Reading) -> KeyFigure | None:
    torn = read.torn("payload")
    if torn is None or read.campaign.payload is None:
        return None
    one = len(read.campaign.payloads) == 1
    hold = "the hold" if one else f"the hold of {read.name('payload')}"
    if read.ensemble is None:
        return KeyFigure(hold, "gives way" if torn.any() else "holds", "one flight, as written")
    chance = chance_of(torn)
    share, interval = in_hundred(chance)
    counted = {"none": f"in none of {chance.flights}", "all": f"in all {chance.flights}"}
    number = counted.get(share, f"{share} in 100")
    return KeyFigure(f"{hold} gives way", number, f"95 %: {interval.strip('()')} in 100")


def _climb_key(read: Reading) -> KeyFigure | None:
    """The climb at release, over the flights in which the payload is let go."""
    key, free = "release_climb_m_s", read.let_go("payload")
    if read.among(key, free) is None:
        return None
    spread = read.spread(key, "speed", free)
    hardly = spread if " to " in spread else "hardly varies"
    shown = read.middle(key, "speed", free, 3)
    return KeyFigure(
        "climb at release", shown, hardly if read.ensemble else "one flight, as written"
    )


def _reach_key(read: Reading, body: str) -> KeyFigure | None:
    reach = read.reach(body)
    if reach is None:
        return None
    name = read.name(body) if read.campaign.upper else body
    if read.ensemble is None:
        far = amount(float(reach[0]), "distance", read.system, 2)
        return KeyFigure(f"{name}, from the pad", far, "one flight, as written")
    half, most = (float(v) for v in np.quantile(reach, (0.5, 0.9)))
    far = amount(most, "distance", read.system, 2)
    near = amount(half, "distance", read.system, 2)
    return KeyFigure(f"{name} lands within", far, f"half within {near}")


# ---------------------------------------------------------------- chances


def _chances(read: Reading) -> Iterator[str]:
    if read.ensemble is None:
        return
    yield from _endings(read.ensemble)
    for body, key in (("vehicle", "apogee_m"), ("upper", "upper_apogee_m")):
        high = read.statistic(key, "p95")
        if high is not None:
            who = read.name(body) if read.campaign.upper else "the vehicle"
            above = amount(high, "height", read.system, 2)
            yield f"One time in twenty {who} goes above {above}."
    yield from _fast(read, read.ensemble)


def _endings(ensemble: Ensemble) -> Iterator[str]:
    """How often flights of the ensemble ended in any other way than by coming down."""
    outcomes = ensemble.columns.get("outcome", np.zeros(0))
    known = outcomes[np.isfinite(outcomes)]
    for code in np.unique(known).tolist():
        if code != slots.LANDED:
            times, words = often(chance_of(outcomes == code)), sentence(code)
            yield f"{times[:1].upper()}{times[1:]}: {words[:1].lower()}{words[1:]}"


def _fast(read: Reading, ensemble: Ensemble) -> Iterator[str]:
    """How often a stage comes down as if its canopy had failed."""
    limit, none = amount(FAST, "speed", read.system, 2), []
    for body in landed_bodies(read):
        speed = ensemble.columns.get(f"touchdown_{body}_speed_m_s", np.zeros(0))
        known = speed[np.isfinite(speed)]
        if body in PAYLOADS or not known.size:
            continue
        fast = chance_of(known > FAST)
        if fast.count:
            yield f"{read.name(body)} comes down faster than {limit} {often(fast)}."
        else:
            none.append((read.name(body), fast))
    if none:
        names = listed([name for name, _ in none])
        verb = "comes" if len(none) == 1 else "come"
        yield f"{names} {verb} down faster than {limit} {often(none[0][1])}."
