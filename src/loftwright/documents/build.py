"""Data of a TOML file into a declared document, every problem noted at its place.

What cannot be read leaves a hole: the table becomes a ``Partial`` that raises ``UnreadError`` when
a hole is touched. Rules across fields run on it all the same and see every field that was read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from loftwright.documents.corners import Corner, read_corners
from loftwright.documents.examples import example_in, written_example
from loftwright.documents.fields import Declared, FieldRule, rules
from loftwright.documents.source import Source, UnreadError
from loftwright.documents.spans import Path
from loftwright.documents.syntax import UNREAD
from loftwright.errors import Problem, ProblemError, Where
from loftwright.errors.render import printable
from loftwright.units import DIMENSIONS, Quantity, QuantityError, format_quantity, read_quantity

__all__ = [
    "Partial",
    "UnreadError",
    "build",
    "closest",
    "read_value",
    "shown_bound",
]

# Other words that people have for tables and fields.
_SYNONYMS = {
    "parachute": "canopy", "chute": "canopy", "bottle": "vessel", "tank": "vessel",
    "throat": "nozzle", "tube": "launch_tube", "launcher": "launch_tube", "parts": "part",
    "pressure": "gauge_pressure", "water": "water_volume", "weight": "mass",
    "weather": "air", "field": "place", "pad": "launch", "location": "place",
    "direction": "from", "proof_pressure": "proof_gauge_pressure", "cd": "drag_coefficient",
    "balance": "balance_from_nose", "position": "from_nose", "humid": "humidity",
    "shapes": "shape", "polygon": "corners", "points": "corners", "outline": "corners",
    "top": "height", "wood": "trees", "woods": "trees", "forest": "trees", "tree": "trees",
    "pond": "water", "lake": "water", "river": "water", "house": "building", "barn": "building",
    "path": "road", "track": "road", "street": "road", "crowd": "people", "spectators": "people",
    "state": "stage", "states": "stage", "stages": "stage", "exit": "way", "transition": "way",
    "ways": "way", "action": "do", "act": "do", "condition": "when", "if": "when",
    "outputs": "output", "duration": "for", "timeout": "backup", "promises": "promise",
    "boundary": "field edge", "fence": "field edge", "flight line": "people line",
}  # fmt: skip


class Partial:
    """A table with holes: fields that could be read, as attributes."""

    def __init__(self, values: dict[str, Any]) -> None:
        self._values = values

    def __getattr__(self, name: str) -> Any:
        try:
            return self._values[name]
        except KeyError:
            raise UnreadError(name) from None


def build(model: type, source: Source) -> Any:
    """Return an instance of ``model`` made of ``source.data``, or a ``Partial`` with its holes."""
    return _Builder(source, model).table(model, source.data or {}, ())


def read_value(value: Any, rule: FieldRule, path: str) -> Any:
    """Read one value as a document reads it that holds it at ``path``, bounds and all.

    Raises ``ProblemError`` with what is wrong with it, placed at the field.
    """
    source = Source("")
    steps = tuple(int(step) if step.isdigit() else step for step in path.split("."))
    try:
        return _Builder(source, type(None)).readers[rule.kind](value, rule, steps)
    except UnreadError:
        where = Where(field=path, value=printable(value, 80) if isinstance(value, str) else None)
        raise ProblemError([replace(each, where=where) for each in source.problems]) from None


def closest(word: str, known: Iterable[str], cutoff: float = 0.7) -> str | None:
    """Return the one of ``known`` that ``word`` was probably meant to be, or None."""
    from difflib import get_close_matches  # only when something is wrong already

    meant = _SYNONYMS.get(word.lower())
    if meant in (known := list(known)):
        return meant
    folded = {each.lower().replace("-", "_"): each for each in known}
    found = get_close_matches(word[:60].lower().replace("-", "_"), folded, n=1, cutoff=cutoff)
    return folded[found[0]] if found else None


class _Builder:
    """One walk over the declarations and the data, side by side."""

    def __init__(self, source: Source, root: type) -> None:
        self.source, self.root = source, root
        self.readers: dict[str, Callable[[Any, FieldRule, Path], Any]] = {
            "quantity": self._quantity,
            "text": self._text,
            "choice": self._choice,
            "whole": self._whole,
            "flag": self._flag,
            "corners": self._corners,
            "table": self._table,
            "tables": self._tables,
        }

    def table(self, model: type, data: dict[str, Any], path: Path) -> Any:
        """Read one table; holes where something could not be read."""
        declared = rules(model)
        meant = self._unknown(model, data, path)
        values: dict[str, Any] = {}
        for word, each in declared.items():
            there = meant.get(word, word)
            if there in data:
                self._field(each, data[there], (*path, there), values)
            elif not each.required:
                values[each.name] = each.default
            else:
                self._missing(word, each, path)
        if len(values) < len(declared) or any(map(_has_hole, values.values())):
            return Partial(values)
        return model(**values)

    def _field(self, each: Declared, value: Any, path: Path, values: dict[str, Any]) -> None:
        if isinstance(value, str) and value == UNREAD:
            return
        try:
            values[each.name] = self.readers[each.rule.kind](value, each.rule, path)
        except UnreadError:
            return

    # What stands in the file and is not declared, and the other way round.

    def _unknown(self, model: type, data: dict[str, Any], path: Path) -> dict[str, str]:
        """Report unknown words; return declared words that stand misspelt, with the spelling."""
        declared = rules(model)
        meant: dict[str, str] = {}
        absent = [word for word in declared if word not in data]
        for word, value in data.items():
            if word in declared or word.startswith(UNREAD):
                continue
            tabular = _is_tabular(value)
            near = closest(word, [one for one in absent if _is_table(declared[one]) == tabular])
            if near and near not in meant:
                meant[near] = word
            self._report_unknown(word, tabular, near or closest(word, declared), model, path)
        return meant

    def _report_unknown(
        self, word: str, tabular: bool, near: str | None, model: type, path: Path
    ) -> None:
        here = f"[{'.'.join(str(part) for part in path if isinstance(part, str))}]" if path else ""
        kind = "table" if tabular else "field"
        code = "doc-unknown-table" if tabular else "doc-unknown-field"
        homes = list(_homes(self.root, word))
        if near:
            mend = f'did you mean "{near}"?'
        elif len(homes) == 1:
            mend = f"it belongs in {homes[0]}" if homes[0] else "it belongs above every [table]"
        else:
            words = [one for one, each in rules(model).items() if _is_table(each) == tabular]
            mend = f"known here: {', '.join(words)}" if words else "take it out"
        message = f'{here or self.source.file} has no {kind} "{printable(word, 40)}"'
        self.source.report(code, (*path, word), message, mend, key=True)

    def _missing(self, word: str, each: Declared, path: Path) -> None:
        if each.rule.kind == "table":
            mend = f"add [{word}] with {_required_lines(each.rule.model, self.source.system)}"
            message = f"the table [{word}] is missing"
            self.source.report("doc-missing-table", (*path, word), message, mend, key=True)
            return
        message = f"{word} is missing"
        mend = f"add {self._example(word, each.rule)}"
        self.source.report("doc-missing-field", (*path, word), message, mend, key=True)

    def _example(self, word: str, rule: FieldRule) -> str:
        return written_example(word, rule, self.source.system)

    # One reader for each kind of field. Each returns a value or raises UnreadError.

    def _wrong_kind(self, path: Path, message: str, mend: str) -> UnreadError:
        self.source.report("doc-wrong-kind", path, message, mend)
        return UnreadError()

    def _quantity(self, value: Any, rule: FieldRule, path: Path) -> Quantity:
        dimension, word = rule.dimension or "number", str(path[-1])
        bare = isinstance(value, (int, float)) and not isinstance(value, bool)
        if bare and dimension == "number":
            quantity, unit = self._plain_number(value, path), ""
        elif not isinstance(value, str):
            message = f"{_kind_of(value)} stands where {DIMENSIONS[dimension].words} is needed"
            mend = f"write it with its unit, in quotes, e.g. {self._example(word, rule)}"
            if dimension == "number":
                mend = f"write a plain number, e.g. {self._example(word, rule)}"
            self.source.report("quantity-not-text", path, message, mend)
            raise UnreadError
        else:
            quantity, unit = self._parsed(value, rule, dimension, path)
        self._within(quantity, rule, unit, path)
        return quantity

    def _plain_number(self, value: float, path: Path) -> Quantity:
        try:
            number = float(value)
        except OverflowError:
            number = float("inf")
        if not abs(number) < float("inf"):
            message, mend = "this is not a finite number", "write a plain number, e.g. 0.95"
            self.source.report("quantity-not-finite", path, message, mend)
            raise UnreadError
        return Quantity(number)

    def _parsed(
        self, value: str, rule: FieldRule, dimension: str, path: Path
    ) -> tuple[Quantity, str]:
        try:
            return read_quantity(value, dimension, example_in(rule, self.source.system))
        except QuantityError as error:
            where = self.source.where(path, at=error.at, width=error.width)
            self.source.problems.append(Problem(error.code, error.message, where, error.mend))
            raise UnreadError from None

    def _within(self, quantity: Quantity, rule: FieldRule, unit: str, path: Path) -> None:
        """Hold a value against its bounds, which are shown in the unit that was written."""
        value, above, low, high = quantity.value, rule.above, rule.at_least, rule.at_most
        if above is not None and value <= above:
            words, bound = "more than", above
        elif low is not None and value < low:
            words, bound = "at least", low
        elif high is not None and value > high:
            words, bound = "at most", high
        else:
            return
        message = f"this must be {words} {shown_bound(bound, rule.dimension or 'number', unit)}"
        if path[-1] == "from_nose" and value < 0.0:
            message = f"this lies ahead of the nose tip: {message.replace('this', 'it', 1)}"
        mend = f"correct it, e.g. {self._example(str(path[-1]), rule)}"
        self.source.report("doc-out-of-bounds", path, message, mend)
        raise UnreadError

    def _text(self, value: Any, rule: FieldRule, path: Path) -> str:
        example = self._example(str(path[-1]), rule)
        if not isinstance(value, str):
            raise self._wrong_kind(
                path,
                f"{_kind_of(value)} stands where text is needed",
                f"put it in quotes, e.g. {example}",
            )
        if not value.strip():
            raise self._wrong_kind(path, "the text is empty", f"write something, e.g. {example}")
        if not value.isprintable():
            message = "the text has a line break or another control character in it"
            raise self._wrong_kind(path, message, "keep it on one line")
        return value

    def _choice(self, value: Any, rule: FieldRule, path: Path) -> str:
        listed = ", ".join(f'"{choice}"' for choice in rule.choices)
        if isinstance(value, str) and value in rule.choices:
            return value
        near = closest(value, rule.choices, 0.6) if isinstance(value, str) else None
        mend = f'did you mean "{near}"?' if near else f"write one of {listed}"
        shown = f'"{printable(value, 30)}"' if isinstance(value, str) else _kind_of(value)
        message = f"{shown} is none of {listed}"
        self.source.report("doc-unknown-choice", path, message, mend)
        raise UnreadError

    def _whole(self, value: Any, rule: FieldRule, path: Path) -> int:
        example = self._example(str(path[-1]), rule)
        if not isinstance(value, int) or isinstance(value, bool):
            message = f"{_kind_of(value)} stands where a whole number is needed"
            raise self._wrong_kind(
                path, message, f"write it without quotes and point, e.g. {example}"
            )
        low, high = rule.at_least, rule.at_most
        if (low is not None and value < low) or (high is not None and value > high):
            message = f"this must be at least {low}" + (f" and at most {high}" if high else "")
            self.source.report("doc-out-of-bounds", path, message, f"correct it, e.g. {example}")
            raise UnreadError
        return value

    def _flag(self, value: Any, _: FieldRule, path: Path) -> bool:
        if isinstance(value, bool):
            return value
        message = f"{_kind_of(value)} stands where true or false is needed"
        raise self._wrong_kind(path, message, "write true or false, without quotes")

    def _corners(self, value: Any, _: FieldRule, path: Path) -> tuple[Corner, ...]:
        return read_corners(value, self.source, path)

    def _table(self, value: Any, rule: FieldRule, path: Path) -> Any:
        name = ".".join(str(part) for part in path)
        if isinstance(value, list) and value and all(isinstance(each, dict) for each in value):
            message = "there can be only one of these"
            raise self._wrong_kind(path, message, f"write [{name}], with single brackets, once")
        if not isinstance(value, dict):
            message = f"{_kind_of(value)} stands where a table is needed"
            raise self._wrong_kind(path, message, f"write [{name}] and its fields below")
        assert rule.model is not None
        return self.table(rule.model, value, path)

    def _tables(self, value: Any, rule: FieldRule, path: Path) -> tuple[Any, ...]:
        name = ".".join(str(part) for part in path)
        if isinstance(value, dict):
            message = "there may be several of these, so each needs double brackets"
            self.source.report("doc-wrong-kind", path, message, f"write [[{name}]]", key=True)
            self._table(value, rule, path)  # its fields are read all the same, for their problems
            raise UnreadError
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            given = "a list of other things" if isinstance(value, list) else _kind_of(value)
            message = f"{given} stands where a list of tables is needed"
            raise self._wrong_kind(path, message, f"write [[{name}]] and its fields below")
        return tuple(self._table(each, rule, (*path, i)) for i, each in enumerate(value))


def _has_hole(value: Any) -> bool:
    if isinstance(value, tuple):
        return any(map(_has_hole, value))
    return isinstance(value, Partial)


def _is_table(each: Declared) -> bool:
    return each.rule.kind in ("table", "tables")


def _is_tabular(value: Any) -> bool:
    return isinstance(value, dict) or (
        isinstance(value, list) and bool(value) and all(isinstance(each, dict) for each in value)
    )


def _kind_of(value: Any) -> str:
    names = {bool: "true or false", int: "a bare number", float: "a bare number", str: "a text"}
    names |= {list: "a list", dict: "a table"}
    return names.get(type(value), "a date or time")


def shown_bound(bound: float, dimension: str, unit: str) -> str:
    """Return a bound in ``unit``, without needless zeros."""
    shown = format_quantity(bound, dimension, unit=unit, digits=6)
    number = shown.number.rstrip("0").rstrip(".") if "." in shown.number else shown.number
    return f"{number} {shown.unit}".strip()


def _homes(model: type, word: str, path: str = "") -> Iterator[str]:
    """Yield the headers of a document (the top is "") under which ``word`` may stand."""
    for name, each in rules(model).items():
        if name == word:
            yield path
        if each.rule.model is not None:
            header = f"[{name}]" if each.rule.kind == "table" else f"[[{name}]]"
            yield from _homes(each.rule.model, word, header)


def _required_lines(model: type | None, system: str) -> str:
    declared = rules(model) if model else {}
    lines = [
        written_example(word, each.rule, system) for word, each in declared.items() if each.required
    ]
    return ", ".join(lines)
