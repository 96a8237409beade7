"""Severity, likelihood and risk, in the words and the matrix of MIL-STD-882E.

The standard (2012) speaks of deaths and of millions of dollars. What its words stand for here, with
rockets of a few hundred grams, is our judgement: `MEANINGS`. Its matrix and its bands of
probability are given from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = [
    "LETTERS",
    "MEANINGS",
    "RISKS",
    "SEVERITIES",
    "Rating",
    "likelihood_of",
    "rate",
    "reckoned_chance",
    "risk_of",
    "risk_rank",
]

SEVERITIES = ("Catastrophic", "Critical", "Marginal", "Negligible")  # the standard's 1 to 4
LETTERS = {
    "A": "Frequent",
    "B": "Probable",
    "C": "Occasional",
    "D": "Remote",
    "E": "Improbable",
    "F": "Eliminated",
}
RISKS = ("High", "Serious", "Medium", "Low", "Eliminated")  # the worst first

MEANINGS = {
    "Catastrophic": "a body that can kill comes down over the people line or outside the field",
    "Critical": "a body that can injure comes down there, or the vehicle comes down ballistic "
    "anywhere, for those who fly stand in the field",
    "Marginal": "the vehicle is lost in another way",
    "Negligible": "all else that is not as wanted",
}

# Least probabilities of the letters, in one flight: appendix A, from memory.
_BANDS = (("A", 1e-1), ("B", 1e-2), ("C", 1e-3), ("D", 1e-6))

# Table III, a row a letter and a column a severity, from memory.
_MATRIX = {
    "A": ("High", "High", "Serious", "Medium"),
    "B": ("High", "High", "Serious", "Medium"),
    "C": ("High", "Serious", "Medium", "Low"),
    "D": ("Serious", "Medium", "Medium", "Low"),
    "E": ("Medium", "Medium", "Medium", "Low"),
    "F": ("Eliminated",) * 4,
}


@dataclass(frozen=True, slots=True)
class Rating:
    """A severity, how likely it is, and what follows."""

    severity: str
    likelihood: str
    risk: str


def likelihood_of(chance: float) -> str:
    """Return the letter of a chance in one flight; F is of what cannot happen at all.

    Raises
    ------
    ValueError
        When ``chance`` is not within 0 and 1.
    """
    if not 0.0 <= chance <= 1.0:
        raise ValueError("a chance lies within 0 and 1")
    if chance == 0.0:
        return "F"
    return next((letter for letter, least in _BANDS if chance >= least), "E")


def risk_of(severity: str, likelihood: str) -> str:
    """Return the cell of the matrix.

    Raises
    ------
    KeyError
        When ``likelihood`` is no letter of `LETTERS`.
    ValueError
        When ``severity`` is none of `SEVERITIES`.
    """
    return _MATRIX[likelihood][SEVERITIES.index(severity)]


def risk_rank(risk: str) -> int:
    """Return the place of a risk among `RISKS`, 0 for the worst."""
    return RISKS.index(risk)


def reckoned_chance(count: int, flights: int) -> float:
    """Return the chance to put into the bands: the share counted, and half a flight of none.

    What was not seen has not been ruled out. Half a flight in one more is the mean of Jeffreys's
    posterior; it stays below that of one flight seen.

    Raises
    ------
    ValueError
        When there are no flights, or more were counted than flown.
    """
    if not 0 <= count <= flights or flights == 0:
        raise ValueError(f"{count} of {flights} gives no chance")
    return count / flights if count else 0.5 / (flights + 1.0)


def rate(happens: float, counts: Mapping[str, int], flights: int) -> Rating:
    """Return the worst rating of a case that happens in a flight with the chance ``happens``.

    ``counts`` gives, of ``flights`` in which it happened, how many ended in each severity. Each
    that was seen is rated by how often it or a worse one was; the worst risk is the case's, and of
    equal ones the severer. A case in which nothing went wrong is negligible.

    Raises
    ------
    ValueError
        When a severity is unknown, more ended badly than flew, or none flew.
    """
    if unknown := set(counts) - set(SEVERITIES):
        raise ValueError(f"no severity of the standard: {', '.join(sorted(unknown))}")
    found, so_far = [], 0
    for severity in SEVERITIES:
        here = counts.get(severity, 0)
        so_far += here
        if here or (severity == SEVERITIES[-1] and not so_far):
            letter = likelihood_of(happens * reckoned_chance(so_far, flights))
            found.append(Rating(severity, letter, risk_of(severity, letter)))
    return min(found, key=lambda each: risk_rank(each.risk))
