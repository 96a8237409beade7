"""What a figure's spread comes from, in sentences and rows of a table."""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.report.answer import Answer
from loftwright.report.quantities import amount, digits, unit_of
from loftwright.report.study_words import sentence
from loftwright.report.words import figure, input_words
from loftwright.study.sensitivity import Index, Sensitivity

__all__ = ["ShareRow", "sensitivity_answer", "share_rows"]

VAGUE = 0.25  # of the variance: an interval wider than this tells little
LEAST_SHARE = 0.005  # of the variance: an input under this is not worth a row of its own


@dataclass(frozen=True, slots=True)
class ShareRow:
    """An input's shares of the variance, 0 to 1, and the same in words."""

    words: str
    known: str
    total: float
    low: float
    high: float
    total_words: str
    first_words: str


def _percent(low: float, high: float) -> str:
    # Few flights can put an end of an interval beyond what a share can be.
    first, last = (min(max(0.0, 100.0 * each), 100.0) for each in (low, high))
    decimals = 0 if last >= 9.95 else 1
    return f"{first:.{decimals}f} to {last:.{decimals}f} %"


def _first_words(index: Index) -> str:
    if index.alone_from_zero:
        return _percent(index.first_low, index.first_high)
    return "cannot be told from zero"


def share_rows(found: Sensitivity, known: dict[str, str]) -> list[ShareRow]:
    """Return a row for each input that counts; ``known`` says how well each is known."""
    return [
        ShareRow(
            input_words(index.path), known.get(index.path, ""),
            min(max(index.total, 0.0), 1.0), min(max(index.total_low, 0.0), 1.0),
            min(max(index.total_high, 0.0), 1.0), _percent(index.total_low, index.total_high),
            _first_words(index),
        )
        for index in found.indices
        if index.total >= LEAST_SHARE
    ]  # fmt: skip


def sensitivity_answer(found: Sensitivity, system: str) -> Answer:
    """Return the answer of one figure: what its spread comes from, and how sure that is."""
    kind = figure(found.figure).kind
    unit = unit_of(kind, system)
    mean = amount(found.mean, kind, system)
    # A deviation is a difference: it has no zero of its own.
    spread = f"{digits(found.sd / unit.size, 2)} {unit.symbol}".strip()
    top = [index for index in found.indices if index.total >= LEAST_SHARE][:3]
    if not top:
        lead = f"{figure(found.figure).words} hardly spreads"
    else:
        named = ", ".join(
            f"{input_words(index.path)} ({_percent(index.total_low, index.total_high)})"
            for index in top
        )
        lead = f"the spread of {figure(found.figure).words} comes most from {named}"
    sentences = [
        f"It is {mean} on average, with a standard deviation of {spread}.",
        _together(found),
        _rounding(found),
    ]
    if found.happened < 1.0:
        sentences.insert(1, (
            f"It happens in {100.0 * found.happened:.3g} % of the flights, and the shares are of "
            "those."
        ))  # fmt: skip
    below = sum(index.total < LEAST_SHARE for index in found.indices)
    if below:
        sentences.append(f"{below} more inputs account for less than half a per cent each.")
    return Answer(sentence(lead), (), tuple(sentences), ())


def _together(found: Sensitivity) -> str:
    alone = found.alone
    if max((index.total_high - index.total_low for index in found.indices), default=0.0) > VAGUE:
        return "Too few flights to say how much inputs act together: the intervals are wide."
    if alone > 0.97:
        return "Inputs act one by one: together they do no more than each alone."
    return f"Alone they explain {100.0 * max(alone, 0.0):.0f} %; the rest is their acting together."


def _rounding(found: Sensitivity) -> str:
    number = f"{found.base} flights in each plain sample"
    if found.base != found.asked:
        number = f"{found.asked} was rounded to {found.base}, a power of two: {number}"
    return f"{number}, {found.flights} in all; intervals hold 95 % of resampled designs."
