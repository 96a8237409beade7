"""The functions of a flight whose reliability is kept: what they depend on, how they went.

An outcome is what somebody judged; else what somebody saw; else what follows from the build or from
the flight's own outcome; else it is not known.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase

from loftwright.documents.flight_record import FlightRecord, Saw

__all__ = [
    "DEPENDS",
    "FAILED",
    "FUNCTIONS",
    "NOT_KNOWN",
    "NOT_TRIED",
    "OUTCOMES",
    "WORKED",
    "Outcome",
    "carries",
    "depends_on",
    "has_flown",
    "on_stand",
    "outcomes_of",
]

FUNCTIONS = ("launch", "release", "canopy", "recovery")
OUTCOMES = WORKED, FAILED, NOT_TRIED, NOT_KNOWN = "worked", "failed", "not tried", "not known"

# What a function depends on, as paths of fields with * for anything; one with ! in front is left
# out again. Left out are names, what is wanted, and coefficients: a better measurement of a
# canopy's drag is no other canopy. Which these are is our judgement.
_BOARD = ("avionics.*", "!avionics.fault*", "!avionics.pad_wait", "program.*")
_KNOWLEDGE = ("!*.name", "!*wanted*", "!*_coefficient", "!*drag*", "!*.exponent", "!*roughness")
DEPENDS: dict[str, tuple[str, ...]] = {
    "launch": (
        "vehicle*", "boosters*", "upper*", "payload*.mass", "payload*.carried*", "site.launch*",
        "payload", "payload2", "payload3",
        "!*.canopy*", "!*.breakthrough_volume", *_KNOWLEDGE,
    ),
    "release": (
        "payload", "payload2", "payload3", "payload*.mass", "payload*.carried*", "payload*.hold*",
        "payload*.retainer*", "payload*.release*", "payload*.toss*", "avionics", *_BOARD,
        *_KNOWLEDGE,
    ),
    "canopy": ("vehicle.canopy*", "vehicle.mass*", "vehicle.part*", "vehicle.ballast*", "avionics",
               *_BOARD, *_KNOWLEDGE),
    "recovery": ("vehicle.canopy*", "vehicle.mass*", "vehicle.part*", "vehicle.ballast*",
                 "avionics", "site.place*", "site.shape*", *_BOARD, *_KNOWLEDGE),
}  # fmt: skip

# What tells of a function that it worked: the moment, and of which body (None: of any).
_SEEN: dict[str, tuple[str, str | None]] = {
    "launch": ("liftoff", "vehicle"),
    "release": ("release", None),
    "canopy": ("canopy open", "vehicle"),
}
STOOD = "it was fired on the stand, and did not fly"
_AFTER_LAUNCH = ("water out", "release", "apogee", "canopy open")  # none of it without a launch


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one function went in one flight (of `OUTCOMES`), and what says so."""

    function: str
    outcome: str
    says: str
    judged: bool = False


def depends_on(path: str, patterns: Iterable[str]) -> bool:
    """Tell whether a field is one of those that ``patterns`` name; the last that fits counts."""
    named = False
    for pattern in patterns:
        if fnmatchcase(path, pattern.removeprefix("!")):
            named = not pattern.startswith("!")
    return named


def on_stand(record: FlightRecord) -> bool:
    """Tell whether it was a firing on the stand and nothing else: nothing was let go there."""
    kinds = {each.kind for each in record.evidence}
    return "firing" in kinds and "log" not in kinds


def has_flown(record: FlightRecord) -> bool:
    """Tell whether anything says that a flight took place: it may only have been begun."""
    if on_stand(record):
        return False
    left = (record.evidence, record.saw, record.stopwatch, record.sighting, record.landed)
    return any(left) or record.flown is not None or record.outcome != "not judged"


def outcomes_of(
    record: FlightRecord,
    documents: Mapping[str, bytes],
    judged: Mapping[str, str] | None = None,
) -> dict[str, Outcome]:
    """Return how each function went in one flight.

    Parameters
    ----------
    record
        The flight's record.
    documents
        Those of its build, by file; none where they are not known.
    judged
        What somebody said of functions; it counts before all else.
    """
    has = carries(documents)
    waits = not judged and not has_flown(record)
    found: dict[str, Outcome] = {}
    for function in FUNCTIONS:
        said = (judged or {}).get(function)
        if said is not None:
            found[function] = Outcome(
                function=function, outcome=said, says="as it was judged", judged=True
            )
        elif waits:
            says = STOOD if on_stand(record) else "it has not flown yet, as far as its record tells"
            found[function] = Outcome(function=function, outcome=NOT_TRIED, says=says)
        else:
            found[function] = _told(function, record, has, found)
    return found


def _told(
    function: str, record: FlightRecord, has: set[str] | None, found: Mapping[str, Outcome]
) -> Outcome:
    """Return how a function went that nobody judged."""

    def is_so(outcome: str, says: str) -> Outcome:
        return Outcome(function=function, outcome=outcome, says=says)

    if has is not None and function not in has:
        return is_so(NOT_TRIED, f"this build has nothing for it: {_NOTHING[function]}")
    if function != "launch" and found["launch"].outcome == FAILED:
        return is_so(NOT_TRIED, "it did not come to that: the launch failed")
    seen = _seen(function, record)
    if seen is not None:
        return seen
    if record.outcome == "success":
        return is_so(WORKED, "those who flew it call the flight a success")
    return is_so(NOT_KNOWN, "nobody said so")


_NOTHING = {"release": "no payload", "canopy": "no canopy"}


def carries(documents: Mapping[str, bytes]) -> set[str] | None:
    """Return the functions that a build has anything for; None where the build is not known."""
    import tomllib

    try:
        texts = {file: content.decode("utf-8-sig") for file, content in documents.items()}
        head = tomllib.loads(texts["campaign.toml"])
        vehicle = tomllib.loads(texts[head["vehicle"]])
    except (KeyError, TypeError, ValueError):  # an older form, or damaged: nothing follows from it
        return None
    has = {"launch", "recovery"}
    if any(head.get(role) for role in ("payload", "payload2", "payload3", "boosters", "upper")):
        has.add("release")
    if "canopy" in vehicle:
        has.add("canopy")
    return has


def _seen(function: str, record: FlightRecord) -> Outcome | None:
    """Return what people saw of a function; None where it tells nothing."""
    if function == "recovery":
        return None
    what, body = _SEEN[function]
    own = [each for each in record.saw if each.what == what and body in (None, each.of)]
    if function == "launch":
        own += [each for each in record.saw if each.what in _AFTER_LAUNCH and _is_yes(each)]
    by_body: dict[str, list[Saw]] = {}
    for each in own:
        by_body.setdefault("vehicle" if function == "launch" else each.of, []).append(each)
    chances = {of: _chance(each) for of, each in by_body.items()}
    worst = min(chances.values(), default=0.5)
    if math.isclose(worst, 0.5):
        return None if not own else _between(function)
    outcome = WORKED if worst > 0.5 else FAILED
    sure = max(worst, 1.0 - worst)
    who = ", ".join(dict.fromkeys(each.by for each in own if each.by)) or "somebody"
    says = f"{who} saw or heard it, {_percent(sure)} sure"
    if outcome == FAILED:
        says = f"{who} saw that it did not happen, {_percent(sure)} sure"
    return Outcome(function=function, outcome=outcome, says=says)


def _between(function: str) -> Outcome:
    says = "what people saw speaks as much for it as against it"
    return Outcome(function=function, outcome=NOT_KNOWN, says=says)


def _is_yes(each: Saw) -> bool:
    return each.happened == "yes"


def _chance(statements: Iterable[Saw]) -> float:
    """Return the chance that it happened: witnesses are taken as independent, even odds before."""
    odds = 0.0
    for each in statements:
        sure = min(max(each.sure.value, 1e-6), 1.0 - 1e-6)
        odds += math.log(sure / (1.0 - sure)) * (1.0 if _is_yes(each) else -1.0)
    return 1.0 / (1.0 + math.exp(-odds))


def _percent(share: float) -> str:
    """Return a share in hundredths; what is not certain is never said to be."""
    percent = 100.0 * share
    if percent >= 99.95:
        return "more than 99.9 %"
    if percent < 0.05:
        return "less than 0.1 %"
    return f"{percent:.0f} %" if 1.5 <= percent < 98.5 else f"{percent:.1f} %"
