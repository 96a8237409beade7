"""What a comparison says: a sentence first, what was changed, then rows of figures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from loftwright.flight.check import check
from loftwright.report.answer import Answer
from loftwright.report.compare import Compared, Moved, Side
from loftwright.report.facts import Warned, warnings_of
from loftwright.report.field_words import path_words
from loftwright.report.quantities import Unit, digits, unit_of
from loftwright.report.reading import chance_words, hundredths
from loftwright.study.pairs import Pair

__all__ = [
    "Row",
    "change_rows",
    "compare_answer",
    "compare_note",
    "moved_rows",
    "path_words",
    "warned_only",
]

NONE = "–"
MOST_SAID = 4
_PERCENT = Unit("%", 0.01)
_IN_100 = Unit("in 100", 0.01)
# Said after the lead, in this order, when the interval leaves zero out.
_SAID = ("hold_margin", "veer_m", "apogee_m", "release_climb_m_s", "touchdown_vehicle_reach_m",
         "touchdown_payload_reach_m", "touchdown_payload_energy_j",
         "touchdown_vehicle_energy_j")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """A figure of both as text, its difference, and the interval of the difference."""

    words: str
    unit: str
    one: str
    other: str
    difference: str
    interval: str
    told_apart: bool


# ---------------------------------------------------------------- rows


def change_rows(compared: Compared) -> list[tuple[str, str, str]]:
    """Return what differs in the documents: field, and what stands there in either."""
    return [
        (path_words(each.path), each.one or NONE, each.other or NONE) for each in compared.documents
    ]


def moved_rows(compared: Compared) -> list[Row]:
    """Return a row for each figure that differs in any flight."""
    return [_row(each, compared.system) for each in compared.moved]


def _unit(moved: Moved, system: str) -> Unit:
    kind = moved.figure.kind
    if kind == "chance":
        return _IN_100
    return _PERCENT if kind == "share" else unit_of(kind, system)


def _row(moved: Moved, system: str) -> Row:
    unit, pair = _unit(moved, system), moved.pair
    places = _places(pair, unit)
    interval = _interval(pair, unit, places)
    chance = moved.figure.kind == "chance"
    return Row(
        words=moved.figure.words,
        unit=unit.symbol,
        one=_in_hundred(pair.one) if chance else _number(pair.one, unit),
        other=_in_hundred(pair.other) if chance else _number(pair.other, unit),
        difference=NONE
        if pair.difference is None
        else _signed(pair.difference / unit.size, places),
        interval=interval,
        told_apart=pair.told_apart,
    )


def _interval(pair: Pair, unit: Unit, places: int) -> str:
    """Return the ends of the interval, with a digit or two more where both would read the same."""
    if pair.low is None or pair.high is None:
        return ""
    for finer in range(3):
        low, high = (_signed(each / unit.size, places + finer) for each in (pair.low, pair.high))
        if low != high:
            return f"{low} to {high}"
    return ""


def _number(si: float | None, unit: Unit) -> str:
    return NONE if si is None else digits(unit.of(si))


def _in_hundred(share: float | None) -> str:
    """Return a share in hundredths, or none or all."""
    if share is None:
        return NONE
    if share in (0.0, 1.0):
        return "none" if share == 0.0 else "all"
    return hundredths(share)


def _places(pair: Pair, unit: Unit) -> int:
    """Decimals at which the largest of a difference and its interval has two figures."""
    sizes = [abs(each) / unit.size for each in (pair.difference, pair.low, pair.high) if each]
    largest = max(sizes, default=1.0)
    # An end that is told from zero must not read as zero.
    least = min(sizes, default=1.0) if pair.told_apart else largest
    places = 0
    while places < 6 and (largest * 10**places < 9.95 or least * 10**places < 0.5):
        places += 1
    return places


def _signed(value: float, places: int) -> str:
    shown = f"{value:+.{places}f}"
    return "0" if float(shown) == 0.0 else shown.replace("-", "−")


# ---------------------------------------------------------------- sentences


def compare_answer(compared: Compared) -> Answer:
    """Return the sentence that matters most, and those that come next."""
    if not compared.documents:
        lead = "Nothing differs: in every field both say the same, so they fly alike."
        return Answer(lead=lead, keys=(), sentences=(), chances=())
    if not compared.moved:
        lead = f"{compared.said} no figure of the flight changes."
        return Answer(lead=lead, keys=(), sentences=(), chances=())
    first = _first(compared)
    lead = _lead(compared, first)
    more = [each for each in _order(compared) if each is not first][:MOST_SAID]
    return Answer(lead, (), tuple(_sentence(each, compared.system) for each in more), ())


def _order(compared: Compared) -> list[Moved]:
    by_key = {each.key: each for each in compared.moved if each.pair.told_apart}
    return [by_key[key] for key in _SAID if key in by_key]


def _first(compared: Compared) -> Moved | None:
    """Return what is to be said first: a payload that tears off, or whatever else is told apart."""
    torn = [each for each in compared.moved if each.key.endswith("torn_off")]
    told = [each for each in compared.moved if each.pair.told_apart]
    return next(iter([*(t for t in torn if t.pair.told_apart), *_order(compared), *told]), None)


def _lead(compared: Compared, first: Moved | None) -> str:
    if first is None:
        return f"{compared.said} no figure is surely another: all intervals hold zero."
    if first.key.endswith("torn_off"):
        return _holding(compared, first)
    row = _row(first, compared.system)
    return (
        f"{compared.said} {row.words}: {_with_unit(row.other, row.unit)} "
        f"({compared.aside}: {_with_unit(row.one, row.unit)})."
    )


def _holding(compared: Compared, torn: Moved) -> str:
    name, pair = torn.figure.words.removesuffix(" tears off"), torn.pair
    assert pair.one is not None
    assert pair.other is not None
    if compared.flights is None:
        now, then = (("tears off", "stays on")[each == 0.0] for each in (pair.other, pair.one))
        return f"{compared.said} {name} {now} ({compared.aside}: {then})."
    held = [round((1.0 - each) * compared.flights) for each in (pair.one, pair.other)]
    then, now = (chance_words(each, compared.flights) for each in held)
    return f"{compared.said} {name} holds on {now} ({compared.aside}: {then})."


def _with_unit(number: str, unit: str) -> str:
    return f"{number}{'' if unit in ('', '°') else chr(0xA0)}{unit}"


def _sentence(moved: Moved, system: str) -> str:
    row = _row(moved, system)
    words = f"{row.words[:1].upper()}{row.words[1:]}"
    instead = f"{_with_unit(row.other, row.unit)} instead of {_with_unit(row.one, row.unit)}"
    return f"{words}: {instead}."


def compare_note(compared: Compared) -> list[str]:
    """Say how to read the table."""
    said = []
    if compared.flights is not None:
        said.append(
            f"Paired: each of the {compared.flights} flights met the same wind and gusts on both "
            "sides, and drew the same of every field that both leave open. Amounts are medians; "
            "the difference is the median over pairs in which both have the figure, with its 95 % "
            "interval; of chances, the interval of matched shares."
        )
    elif compared.moved:
        said.append(
            "One flight each, as written, in the mean wind; --flights 400 tells how sure it is."
        )
    if compared.same and compared.moved:
        more = "1 more figure is" if compared.same == 1 else f"{compared.same} more figures are"
        said.append(f"{more} the same in every flight.")
    return said


# ---------------------------------------------------------------- warnings


def warned_only(compared: Compared) -> Iterator[tuple[Side, Warned]]:
    """Yield the warnings of the check that only one of the two has."""
    mine, theirs = _warned(compared.one), _warned(compared.other)
    yield from ((compared.one, mine[key]) for key in mine if key not in theirs)
    yield from ((compared.other, theirs[key]) for key in theirs if key not in mine)


def _warned(side: Side) -> dict[tuple[str, str], Warned]:
    told = warnings_of(check(side.campaign).as_dict())
    return {(each.code, each.where.rpartition(", ")[2]): each for each in told}
