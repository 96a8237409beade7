"""Causes in words: what is most probable, how sure that is, what cannot be told apart."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.debrief.causes.results import Cause, Causes
from loftwright.report.answer import Answer, KeyFigure, Verdict
from loftwright.report.reading import listed

__all__ = ["LEAST_SHOWN", "cause_answer", "chance_of", "name_of", "shown_causes"]

LEAST_SHOWN = 0.01  # probability of a cause that is shown by name
SURE = 0.9
NOTHING = "nothing failed"


def name_of(cause: Cause) -> str:
    """Return what a cause is called: the faults with their parts."""
    if not cause.faults:
        return NOTHING
    named = []
    for fault, part in zip(cause.faults, cause.parts, strict=True):
        named.append(fault if part == "vehicle" else f"{fault} ({part})")
    return " and ".join(named)


def chance_of(probability: float) -> str:
    """Return a probability as people read it: in 100, never a certainty."""
    return f"{_of_hundred(probability)} %"


def _of_hundred(share: float) -> str:
    """Return how many of a hundred a share is; one that was reckoned is no certainty."""
    if share >= 0.995:
        return "over 99"
    if share < 0.005:
        return "under 1"
    return f"{100 * share:.0f}"


def shown_causes(found: Causes) -> tuple[Cause, ...]:
    """Return the causes that are told by name: the 90 % set, and what else is not negligible."""
    return tuple(
        each
        for place, each in enumerate(found.causes)
        if each.probability >= LEAST_SHOWN or (place < found.in_set and place < 1)
    )


def cause_answer(found: Causes, flight: str) -> Answer:
    """Put what was found into words: the lead, what speaks for it, what would tell more."""
    return Answer(
        lead=_lead(found, flight),
        keys=tuple(_keys(found)),
        sentences=tuple(_notes(found)),
        chances=(),
        verdicts=tuple(_verdicts(found)),
    )


def _lead(found: Causes, flight: str) -> str:
    first = found.causes[0]
    if not found.fits:
        return f"{found.fits_says} What comes nearest to {flight}: {_plain(first)}"
    if first.probability >= SURE:
        return f"{_plain(first)} That is the cause with {chance_of(first.probability)}."
    alike = [each for each in found.causes if each.alike is not None and each.alike == first.alike]
    if len(alike) > 1:
        together = chance_of(sum(each.probability for each in alike))
        names = listed([name_of(each) for each in alike])
        return (
            f"One of these, with {together} together, and this evidence cannot say which: {names}."
        )
    return f"Most probable, with {chance_of(first.probability)}: {_plain(first)}"


def _plain(cause: Cause) -> str:
    return cause.says if cause.faults else "Nothing of the library failed."


def _keys(found: Causes) -> Iterator[KeyFigure]:
    for cause in shown_causes(found)[:3]:
        spread = f"{chance_of(cause.low)} to {chance_of(cause.high)}; before: {_before(cause)}"
        name = name_of(cause)
        yield KeyFigure(name[:1].upper() + name[1:], chance_of(cause.probability), spread)


def _before(cause: Cause) -> str:
    return chance_of(cause.prior) if cause.prior >= 0.005 else f"{1000 * cause.prior:.1f} in 1000"


def _notes(found: Causes) -> Iterator[str]:
    if found.fits:
        yield found.fits_says
    named = [name_of(each) for each in found.causes[: found.in_set]]
    if 1 < found.in_set <= 5:
        yield f"The cause is with 90 % one of {listed(named)}."
    elif found.in_set > 5:
        yield f"It takes {found.in_set} causes to make up 90 %."
    if found.stopped:
        yield f"This was broken off after {found.flights} flights of each cause."


def _verdicts(found: Causes) -> Iterator[Verdict]:
    for cause in shown_causes(found)[:4]:
        if not cause.speaks_for and not cause.speaks_against:
            continue
        said = [f"For it: {each.says}" for each in cause.speaks_for]
        said += [f"Against it: {each.says}" for each in cause.speaks_against]
        yield Verdict(f"{_asked(cause)}?", tuple(said))
    if found.tellings:
        told = [
            f"{each.says[:1].upper()}{each.says[1:]} would name the right one in "
            f"{_of_hundred(each.resolved)} of 100 such flights."
            for each in found.tellings
        ]
        yield Verdict("What would tell them apart next time?", tuple(told))
    yield Verdict("What was there to judge by?", found.evidence)


def _asked(cause: Cause) -> str:
    name = name_of(cause)
    return f"{name[:1].upper()}{name[1:]}, {chance_of(cause.probability)}"
