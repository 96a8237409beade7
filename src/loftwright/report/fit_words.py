"""What recorded flights taught, in words and rows: for terminals and pages alike."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TextIO

from loftwright.debrief.fitting.results import Combination, FlightFit, Informed
from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import leaves
from loftwright.report.answer import Answer
from loftwright.report.drivers import KIND
from loftwright.report.field_words import path_words
from loftwright.report.quantities import unit_of
from loftwright.report.reading import listed
from loftwright.report.study_words import sentence
from loftwright.report.terminal import print_answer, print_caution, print_lines, print_table

__all__ = ["FieldRow", "field_rows", "fit_answer", "print_fit"]

MOST_UNTOUCHED = 8  # fields that are named among those of which the records say nothing
GOOD, POOR = 0.7, 2.0  # reduced chi-squares between which nothing is said


@dataclass(frozen=True, slots=True)
class FieldRow:
    """A field before and after the records, in words, and where its intervals lie (0 to 1)."""

    words: str
    before: str
    after: str
    learnt: str
    goes_with: str
    informed: bool
    prior: tuple[float, float]
    posterior: tuple[float, float]
    says: str


def fit_answer(fit: FlightFit) -> Answer:
    """Return the lead and what follows from it."""
    informed = [each for each in fit.fields if each.informed]
    flights = listed(list(fit.flights))
    if not informed:
        lead = f"nothing is learnt from {flights} that the documents did not say before"
    else:
        named = [_called(each) for each in informed[:3]]
        more = f" ({len(informed)} fields in all)" if len(informed) > 3 else ""
        lead = f"most is learnt of {listed(named)}{more}, from {flights}"
    return Answer(sentence(lead), (), tuple(_sentences(fit, informed)), ())


def _sentences(fit: FlightFit, informed: Sequence[Informed]) -> list[str]:
    said = [_together(each) for each in fit.together]
    untouched = [path_words(each.path) for each in fit.fields if not each.informed]
    untouched = list(dict.fromkeys(untouched))
    if untouched:
        few = listed(untouched[:MOST_UNTOUCHED])
        rest = len(untouched) - MOST_UNTOUCHED
        more = f", and of {rest} more" if rest > 0 else ""
        said.append(f"Little or nothing is told of {few}{more}: they stay what the documents say.")
    if informed and fit.misfit > 0.0:
        how = "follows" if fit.misfit < POOR else "does not follow"
        said.append(
            f"At its best the model {how} the records: reduced chi-square {fit.misfit:.1f}, where "
            "1 is as far off as noise, gusts and a usual model are."
        )
    return said


def _together(each: Combination) -> str:
    less = "".join(f" less {_goes_by(name)}" for name in each.minus)
    return (
        f"Known together: {' and '.join(map(_goes_by, each.plus))}{less}, each in its own spread, "
        f"to {100.0 * each.left:.0f} % of what was open before."
    )


def _called(each: Informed) -> str:
    words = path_words(each.path)
    return f"{words} of {each.flight}" if each.flight else words


def _goes_by(named: str) -> str:
    """Return the words of a field that may carry its flight: ``"site.wind.speed (first)"``."""
    path, _, flight = named.removesuffix(")").partition(" (")
    return f"{path_words(path)} of {flight}" if flight else path_words(path)


def field_rows(campaign: Campaign, fit: FlightFit) -> list[FieldRow]:
    """Return a row for each field that was informed, most informed first."""
    system = campaign.head.units
    kinds = {
        path: KIND.get(rule.dimension or "", "number")
        for root, document in campaign.documents.items()
        for path, rule, _ in leaves(document, root)
    }
    return [_row(each, kinds, system) for each in fit.fields if each.informed]


def _row(each: Informed, kinds: Mapping[str, str], system: str) -> FieldRow:
    kind = "wind" if each.path == "site.wind.speed" else kinds.get(each.path, "number")
    low = min(each.prior.low, each.posterior.low)
    high = max(each.prior.high, each.posterior.high)
    margin = 0.15 * max(high - low, 1e-300)
    low, high = low - margin, high + margin

    def place(value: float) -> float:
        return (value - low) / (high - low)

    return FieldRow(
        words=_called(each),
        before=spread_words(each.prior.value, each.prior.sd, kind, system),
        after=spread_words(each.posterior.value, each.posterior.sd, kind, system),
        learnt=f"{100.0 * each.learnt:.0f} %",
        goes_with=", ".join(
            f"{_goes_by(path)} ({_signed(f'{value:+.2f}')})" for path, value in each.goes_with[:2]
        ),
        informed=each.informed,
        prior=(place(each.prior.low), place(each.prior.high)),
        posterior=(place(each.posterior.low), place(each.posterior.high)),
        says=each.says,
    )


def _signed(text: str) -> str:
    """Return a number with a minus sign in place of a hyphen."""
    return text.replace("-", "−")


def spread_words(value: float, sd: float, kind: str, system: str) -> str:
    """Return ``"0.951 ± 0.032"``: as many decimals as the sd needs for two digits."""
    from math import floor, isfinite, log10

    unit = unit_of(kind, system)
    spread = sd / unit.size
    known = isfinite(spread) and spread > 0.0
    decimals = max(0, 1 - floor(log10(spread))) if known else 3
    shown = f"{unit.of(value):.{decimals}f}"
    if float(shown) == 0.0:
        shown = shown.lstrip("-")
    return f"{_signed(shown)} ± {spread:.{decimals}f} {unit.symbol}".strip()


def print_fit(
    campaign: Campaign,
    fit: FlightFit,
    warnings: Sequence[str],
    written: Sequence[Any],
    stream: TextIO | None = None,
) -> None:
    """Print what was learnt, from what, what cannot be told apart, and what was written."""
    out = stream if stream is not None else sys.stdout
    print_answer(fit_answer(fit), out)
    rows = field_rows(campaign, fit)
    if rows:
        print_table(
            ["field", "before", "after", "learnt", "goes with"],
            [(row.words, row.before, row.after, row.learnt, row.goes_with) for row in rows],
            out,
        )
    print("\nWhat counted:", file=out)
    print_lines(fit.used, out)
    told = [*warnings, *fit.warnings]
    if told:
        print(file=out)
        print_lines([f"! {line}" for line in told], out)
    if written:
        print("\nWritten into the documents:", file=out)
        print_lines(
            [f"{each.file}: {each.path}, {each.before} -> {each.now}" for each in written], out
        )
    print_caution(out)
