"""What a rehearsal found, in sentences: the answer, chances, and what counts as what."""

from __future__ import annotations

import math
from collections.abc import Sequence

from loftwright.flight.chance import Chance
from loftwright.rehearsal.results import NO_FAULT, Case, CommonCause, Mend, Rehearsal, Shift
from loftwright.report.answer import Answer, KeyFigure, Verdict
from loftwright.report.quantities import NO_BREAK, THIN, amount
from loftwright.report.reading import hundredths, in_hundred, listed, often

__all__ = [
    "cause_words",
    "happens_words",
    "knows_people",
    "level_words",
    "number_words",
    "outcome_words",
    "rehearse_answer",
    "share_words",
    "shift_words",
    "whole",
]

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten")
MOST_NAMED = 4  # faults by name in the lead
MOST_TOLD = 5  # single points in the answer; the others stand below it
MOST_SAVED = 2  # faults by name that a mend helps most
NO_PEOPLE = "Not told: site.toml draws no field edge, no people and no people line."

# Outcomes as they are said where their column does not say of what.
_SAID = {
    ("payload", "never"): "never released",
    ("payload", "on the pad"): "released on the pad",
    ("vehicle", "on the pad"): "canopy on the pad",
}


def whole(number: int) -> str:
    """Return a whole number, its thousands apart: ``"10 000"``."""
    return f"{number:,}".replace(",", THIN) if number >= 10_000 else str(number)


def number_words(number: int) -> str:
    """Return a small number as a word that begins a sentence."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def share_words(chance: Chance) -> tuple[str, str]:
    """Return a chance in flights of a hundred, and its exact 95 % interval, both in words."""
    return in_hundred(chance)


def happens_words(share: float) -> str:
    """Return how likely a fault is: ``"0.40 in 100"``."""
    if share >= 1.0:
        return "always"
    if not math.isfinite(share) or share <= 0.0:
        return "not known"
    return f"{hundredths(share)} in 100"


def level_words(level: float) -> str:
    """Return what is too often: ``"more than 1.0 in 100 of its flights"``."""
    return f"more than {hundredths(level)} in 100 of its flights" if level > 0 else "any flight"


def outcome_words(kind: str, outcome: str) -> str:
    """Return an outcome of the payload, the vehicle or the field as it is said by itself."""
    return _SAID.get((kind, outcome), outcome)


# ---------------------------------------------------------------- the answer


def rehearse_answer(rehearsal: Rehearsal, system: str) -> Answer:
    """Put what a rehearsal found into words."""
    verdicts = [_when_nothing_fails(rehearsal), _alone(rehearsal), _people(rehearsal),
                _along(rehearsal)]  # fmt: skip
    mends = _mended(rehearsal.mends)
    return Answer(
        lead=f"{_nominal_words(rehearsal)} {_single_words(rehearsal)}",
        keys=tuple(_keys(rehearsal, system)),
        sentences=(),
        chances=(),
        verdicts=tuple(each for each in (*verdicts, mends) if each is not None),
    )


def _ends(chance: Chance) -> str:
    """Return the interval of a share, with what it counts in where the share is in words."""
    share, interval = share_words(chance)
    return interval.strip("()") + (" in 100" if share in ("none", "all") else "")


def _of_flights(chance: Chance, verb: str) -> str:
    share, _ = share_words(chance)
    interval = _ends(chance)
    if chance.count == chance.flights:
        start = f"All {whole(chance.flights)} flights without a fault {verb}"
    elif chance.count == 0:
        start = f"None of {whole(chance.flights)} flights without a fault {verb}"
    else:
        start = f"Of {whole(chance.flights)} flights without a fault {share} in 100 {verb}"
    return f"{start} (exact 95{NO_BREAK}%: {interval})."


def _nominal_words(rehearsal: Rehearsal) -> str:
    nominal = rehearsal.nominal
    if nominal.payload:
        return _of_flights(nominal.payload["released well"], "release well")
    return _of_flights(nominal.good, "go as wanted")


def _names(cases: Sequence[Case]) -> str:
    names = [case.name for case in cases]
    if len(names) > MOST_NAMED:
        names = [*names[:MOST_NAMED], f"{len(names) - MOST_NAMED} more"]
    # A name with "and" in it would run into the next one.
    return "; ".join(names) if any(" and " in name for name in names) else listed(names)


def _loses(rehearsal: Rehearsal) -> list[Case]:
    return [case for case in rehearsal.single_points if case.lost.share > rehearsal.level]


def _endangers(rehearsal: Rehearsal) -> list[Case]:
    return [case for case in rehearsal.single_points if case.endangered > rehearsal.level]


def _single_words(rehearsal: Rehearsal) -> str:
    lose, endanger = _loses(rehearsal), _endangers(rehearsal)
    if not rehearsal.faults:
        return "No fault was tried."
    if not rehearsal.single_points:
        people = " or endangers people" if knows_people(rehearsal) else ""
        return (
            f"None of the {len(rehearsal.faults)} faults tried loses the vehicle{people} by itself "
            f"in {level_words(rehearsal.level)}."
        )
    said = []
    if lose:
        verb = "fault loses" if len(lose) == 1 else "faults lose"
        said.append(f"{number_words(len(lose))} single {verb} the vehicle: {_names(lose)}.")
    others = [case for case in endanger if case not in lose]
    if others:
        verb = "fault endangers" if len(others) == 1 else "faults endanger"
        said.append(f"{number_words(len(others))} single {verb} people: {_names(others)}.")
    rest = [case for case in rehearsal.single_points if case not in lose and case not in endanger]
    if rest:
        verb = "fault loses" if len(rest) == 1 else "faults lose"
        said.append(f"{number_words(len(rest))} single {verb} the vehicle or endanger people too "
                    f"often: {_names(rest)}.")  # fmt: skip
    return " ".join(said)


def _keys(rehearsal: Rehearsal, system: str) -> list[KeyFigure]:
    nominal, keys = rehearsal.nominal, []
    told = [("without a fault: as wanted", nominal.good), ("vehicle lost", nominal.lost),
            ("people endangered", nominal.endangers)]  # fmt: skip
    for name, chance in told:
        if chance is None:
            continue
        share, _ = share_words(chance)
        value = share if share in ("none", "all") else f"{share}{NO_BREAK}in{NO_BREAK}100"
        keys.append(KeyFigure(name, value, _ends(chance)))
    tried = f"of {len(rehearsal.faults)} faults tried"
    keys.append(KeyFigure("single points of failure", str(len(rehearsal.single_points)), tried))
    energy = nominal.energy_j.get("vehicle")
    if energy is not None:
        value = amount(energy[0], "energy", system, 2)
        top = amount(energy[1], "energy", system, 2)
        keys.append(KeyFigure("vehicle at the ground", value, f"95 % below {top}"))
    return keys


def _when_nothing_fails(rehearsal: Rehearsal) -> Verdict:
    nominal, said = rehearsal.nominal, []
    told = (("payload", nominal.payload), ("vehicle", nominal.vehicle), ("field", nominal.field))
    for kind, outcomes in told:
        found = sorted((c for c in outcomes.items() if c[1].count), key=lambda c: -c[1].count)
        if found:
            words = [f"{outcome_words(kind, word)} {_each(chance)}" for word, chance in found]
            said.append(f"{kind[:1].upper()}{kind[1:]}: {', '.join(words)}.")
    said.append("Shares in 100 flights.")
    return Verdict("What happens when nothing fails?", tuple(said))


def _each(chance: Chance) -> str:
    share, _ = share_words(chance)
    return share if share != "all" else "every time"


def _alone(rehearsal: Rehearsal) -> Verdict | None:
    single = rehearsal.single_points
    if not rehearsal.faults:
        return None
    question = "Does any fault by itself lose the vehicle or endanger people?"
    if not knows_people(rehearsal):
        question = "Does any fault by itself lose the vehicle?"
    if not single:
        return Verdict(question, (f"None of those tried, in {level_words(rehearsal.level)}.",))
    said = [_fails_alone(case, rehearsal.level) for case in single[:MOST_TOLD]]
    if len(single) > MOST_TOLD:
        said.append(f"And {len(single) - MOST_TOLD} more, below.")
    return Verdict(question, tuple(said), warn=True)


def knows_people(rehearsal: Rehearsal) -> bool:
    """Tell whether anything can be said about people on the ground."""
    return rehearsal.nominal.endangers is not None


def _people(rehearsal: Rehearsal) -> Verdict | None:
    if knows_people(rehearsal):
        return None
    return Verdict("Is anybody endangered?", (NO_PEOPLE,), warn=True)


def _fails_alone(case: Case, level: float) -> str:
    said = []
    if case.lost.share > level:
        said.append(f"the vehicle is lost {often(case.lost)}")
    if case.endangers is not None and case.endangers.share > level:
        said.append(f"people are endangered {often(case.endangers)}")
    return f"Yes: {case.name}. When it happens, {' and '.join(said)}."


def cause_words(cause: CommonCause) -> str:
    """Return what a supply, connector or bay takes along, as a sentence."""
    without = "; no canopy opens without it" if cause.leaves_no_way_down else ""
    kind = "" if cause.kind in cause.part.split() else f" ({cause.kind})"
    name = f"{cause.part[:1].upper()}{cause.part[1:]}{kind}"
    return f"{name} takes along {listed(list(cause.takes_along))}{without}."


def _along(rehearsal: Rehearsal) -> Verdict | None:
    causes = rehearsal.common_causes
    if not causes:
        return None
    said = tuple(cause_words(cause) for cause in causes)
    return Verdict("What takes several things along at once?", said,
                   warn=any(cause.leaves_no_way_down for cause in causes))  # fmt: skip


def _mended(mends: Sequence[Mend]) -> Verdict | None:
    said = [_what_it_mends(mend) for mend in mends]
    return Verdict("What would mend it?", tuple(said)) if said else None


def _what_it_mends(mend: Mend) -> str:
    """Return after how many faults a mend loses fewer vehicles, and after which it saves most."""
    meant = {name: shift for name, shift in mend.lost.items() if name != NO_FAULT}
    better = sorted(((shift.difference, name) for name, shift in meant.items() if shift.high < 0.0))
    words = f"{mend.words[:1].upper()}{mend.words[1:]}"
    if not better:
        return f"{words}: nothing that can be told."
    most = [f"{name}, {shift_words(meant[name])}" for _, name in better[:MOST_SAVED]]
    after = "its one fault" if len(meant) == 1 else f"{len(better)} of {len(meant)} faults"
    return f"{words}: fewer are lost after {after}. Most after {'; and after '.join(most)}."


# ---------------------------------------------------------------- differences


def shift_words(shift: Shift) -> str:
    """Return how a chance changes: ``"12 fewer in 100 (9.1 to 15)"``, or that nothing is told."""
    if shift.low == shift.high == 0.0:
        return "no change"
    if shift.low <= 0.0 <= shift.high:
        most = hundredths(max(-shift.low, shift.high))
        return f"no change that can be told (less than {most} in 100)"
    more = "more" if shift.difference > 0.0 else "fewer"
    ends = sorted((abs(shift.low), abs(shift.high)))
    if abs(shift.difference) >= 1.0:
        return f"at least {hundredths(ends[0])} {more} in 100"
    for finer in range(4):
        low, high = (hundredths(min(end, 1.0), finer) for end in ends)
        if low != high:
            break
    upper = f"to {high}" if ends[1] < 1.0 else "or more"
    return f"{hundredths(abs(shift.difference))} {more} in 100 ({low} {upper})"
