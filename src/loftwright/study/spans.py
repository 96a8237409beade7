"""Which quantity of the documents is varied, and from where to where: ``PATH=FROM..TO``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn

from loftwright.documents.campaign import Campaign
from loftwright.documents.fields import FieldRule, rules
from loftwright.documents.flatten import leaves
from loftwright.errors import Problem, ProblemError, Where
from loftwright.units import Quantity, QuantityError, format_quantity, read_quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["Span", "placed", "read_span", "read_spans", "shown", "variable"]

# Of a range whose end may not be reached, such as a volume above zero: this far inside.
HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Span:
    """A quantity of the documents and the range it is varied over, SI."""

    path: str
    rule: FieldRule
    low: float
    high: float
    now: float | None  # as the documents have it; None for an optional field left out
    unit: str  # in which the range was written

    @property
    def whole(self) -> bool:
        """Tell whether only whole numbers may stand here."""
        return self.rule.kind == "whole"

    @property
    def inside(self) -> float | None:
        """Return what the documents have now if it lies in the range, else None."""
        there = self.now is not None and self.low <= self.now <= self.high
        return self.now if there else None

    def at(self, share: Floats) -> Floats:
        """Return the values at shares 0 to 1 of the range; whole numbers have equal shares."""
        import numpy as np

        if self.whole:
            steps = np.floor(share * (self.high - self.low + 1.0))
            return self.low + np.minimum(steps, self.high - self.low)
        # The ends exactly, whatever rounding does between them.
        return np.where(
            share >= 1.0, self.high, self.low * (1.0 - share) + self.high * np.minimum(share, 1.0)
        )

    def points(self, about: int) -> Floats:
        """Return ``about`` values from end to end, or every whole number if there are no more."""
        import numpy as np

        if self.whole:
            count = min(about, int(self.high - self.low) + 1)
            return np.unique(np.round(np.linspace(self.low, self.high, count)))
        return self.at(np.linspace(0.0, 1.0, about))


def variable(campaign: Campaign) -> dict[str, tuple[FieldRule, float | None]]:
    """Return every field that holds a number, by path, with what stands there (None: nothing)."""
    found: dict[str, tuple[FieldRule, float | None]] = {}
    for root, document in campaign.documents.items():
        found |= dict(_numbers(document, root))
    return found


def _numbers(document: Any, path: str) -> Iterator[tuple[str, tuple[FieldRule, float | None]]]:
    for word, (name, rule, _) in rules(type(document)).items():
        value, here = getattr(document, name), f"{path}.{word}"
        if rule.kind == "quantity":
            yield here, (rule, None if value is None else value.value)
        elif rule.kind == "whole":
            yield here, (rule, value)
        elif rule.kind == "table" and value is not None:
            yield from _numbers(value, here)
        elif rule.kind == "tables":
            for index, each in enumerate(value):
                yield from _numbers(each, f"{here}.{index}")


def placed(campaign: Campaign, values: dict[str, float], *, exactly: bool = False) -> Campaign:
    """Return the campaign with other values, by path; each keeps the uncertainty it had.

    Where they are known ``exactly``, none has any.
    """
    for path, value in values.items():
        root, *rest = path.split(".")
        document = _placed(getattr(campaign, root), rest, value, exactly)
        campaign = replace(campaign, **{root: document})
    return campaign


def _placed(document: Any, path: list[str], value: float, exactly: bool) -> Any:
    if not path:
        if isinstance(document, int):
            return int(value)
        return Quantity(float(value), 0.0 if exactly or document is None else document.sd)
    word, *rest = path
    if isinstance(document, tuple):
        index = int(word)
        changed = _placed(document[index], rest, value, exactly)
        return (*document[:index], changed, *document[index + 1 :])
    name = rules(type(document))[word].name
    return replace(document, **{name: _placed(getattr(document, name), rest, value, exactly)})


def read_spans(campaign: Campaign, texts: Sequence[str]) -> list[Span]:
    """Read several ``PATH=FROM..TO``; every problem is told in one run."""
    spans: list[Span] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            span = read_span(campaign, text)
        except ProblemError as error:
            problems += error.problems
            continue
        if any(other.path == span.path for other in spans):
            where = Where(field=span.path, value=text)
            mend = "give each quantity once, from the least to the most"
            problems.append(Problem("study-range", "this is varied twice", where, mend))
        spans.append(span)
    if problems:
        raise ProblemError(problems)
    return spans


def read_span(campaign: Campaign, text: str) -> Span:
    """Read one ``PATH=FROM..TO``, such as ``"vehicle.fill.water_volume=0.4 L..1.4 L"``.

    Raises ``ProblemError`` for an unknown path, for a range that is not two quantities of the
    right kind with the lesser first, and for one that leaves the bounds of the field.
    """
    path, sign, given = text.partition("=")
    path = path.strip()
    rule, now = _field(campaign, path, text)
    if not sign or not all(end.strip() for end in _ends(given)):
        example = f"{path}={_example(rule)}"
        _refuse("study-range", "this is not PATH=FROM..TO", text, f"write it like {example}", path)
    first, last = _ends(given)
    low, _ = _quantity(first, rule, path)
    high, unit = _quantity(last, rule, path)
    if not low < high:
        _refuse(
            "study-range", "FROM is not less than TO", given, "put the lesser value first", path
        )
    span = Span(path, rule, low, high, now, unit)
    return _bounded(span, given)


def _ends(given: str) -> tuple[str, str]:
    first, _, last = given.partition("..")
    return first, last


def _example(rule: FieldRule) -> str:
    if rule.kind == "whole":
        return "3..6"
    value = rule.example.partition("±")[0].strip()
    return f"{value}..{value}, the lesser first"


def _field(campaign: Campaign, path: str, text: str) -> tuple[FieldRule, float | None]:
    known = variable(campaign)
    if path in known:
        return known[path]
    others = {
        each
        for root, document in campaign.documents.items()
        for each, _, _ in leaves(document, root)
    }
    if path in others:
        message, mend = "this holds a word, not a number", "use --set for it, once for each word"
        _refuse("study-unknown-path", message, text, mend, path)
    near = _nearest(path, list(known))
    mend = f"did you mean {near}?" if near else "see the reference of the documents for the paths"
    missing = _missing_table(campaign, path)
    if missing:
        document = path.partition(".")[0]
        mend = f"write [{missing}] in {document}.toml first, or give all of it with --set"
    message = f"the campaign has no quantity {path[:60]!r}"
    _refuse("study-unknown-path", message, text, mend, path)


def _missing_table(campaign: Campaign, path: str) -> str:
    """Return the optional table of ``path`` that the document could have but has not, or ""."""
    root, *rest = path.split(".")
    document = campaign.documents.get(root)
    if document is None or len(rest) < 2:
        return ""
    declared = rules(type(document)).get(rest[0])
    if declared is None or declared.rule.kind != "table" or declared.rule.model is None:
        return ""
    absent = getattr(document, declared.name) is None
    return rest[0] if absent and rest[1] in rules(declared.rule.model) else ""


def _nearest(path: str, known: list[str]) -> str | None:
    from difflib import get_close_matches

    same_end = [each for each in known if each.rpartition(".")[2] == path.rpartition(".")[2]]
    if len(same_end) == 1:
        return same_end[0]
    close = get_close_matches(path[:80], known, n=1, cutoff=0.6)
    return close[0] if close else None


def _quantity(text: str, rule: FieldRule, path: str) -> tuple[float, str]:
    if rule.kind == "whole":
        bare = text.strip()
        if not (bare.isascii() and bare.isdigit() and len(bare) < 10):
            _refuse("study-range", "a whole number is needed", bare, f"write {path}=3..6", path)
        return float(bare), ""
    try:
        quantity, unit = read_quantity(text.strip(), rule.dimension or "number")
    except QuantityError as error:
        where = Where(field=path, value=text.strip())
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from None
    if quantity.sd:
        message, mend = "an end of a range has no ±", "give the value alone"
        _refuse("study-range", message, text.strip(), mend, path)
    return quantity.value, unit


def _bounded(span: Span, given: str) -> Span:
    """Hold a range against its field's bounds; an end that is just excluded moves a hair in."""
    rule = span.rule
    low = rule.at_least if rule.at_least is not None else rule.above
    # The unit's own rounding may put an end a breath outside: "0 degC" and its like.
    slack = 1e-12 * max(abs(span.low), abs(span.high))
    if low is not None and span.low < low - slack:
        _beyond("at least" if rule.at_least is not None else "more than", low, span, given)
    if rule.at_most is not None and span.high > rule.at_most + slack:
        _beyond("at most", rule.at_most, span, given)
    if rule.above is not None and span.low <= rule.above:
        return replace(span, low=rule.above + HAIR * (span.high - rule.above))
    return span


def _beyond(words: str, bound: float, span: Span, given: str) -> NoReturn:
    if span.whole:
        shown = f"{bound:g}"
    else:
        shown = str(format_quantity(bound, span.rule.dimension or "number", unit=span.unit))
    message = f"values here must be {words} {shown}"
    _refuse("study-range", message, given.strip(), "narrow the range", span.path)


def _refuse(code: str, message: str, value: str, mend: str, field: str) -> NoReturn:
    where = Where(field=field, value=value)
    raise ProblemError([Problem(code, message, where, mend)])


def shown(span: Span, value: float) -> str:
    """Return a value in the unit in which its range was written."""
    if span.whole:
        return f"{value:.0f}"
    written = format_quantity(value, span.rule.dimension or "number", unit=span.unit, digits=4)
    number = written.number.rstrip("0").rstrip(".") if "." in written.number else written.number
    return f"{number} {written.unit}".strip()
