"""A flight's record as a form that its declarations make; and a form as changes of the record."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, dataclass
from pathlib import Path
from typing import Any

from loftwright.documents.fields import Declared, rules
from loftwright.documents.flight_record import FlightRecord
from loftwright.errors import Problem
from loftwright.web.describe.examples import example_of

__all__ = ["Group", "Input", "Row", "groups_of", "record_data", "told_in"]

NOT_BY_HAND = {"build", "evidence"}
TITLES = {
    "": "The flight",
    "conditions": "Measured at the pad",
    "saw": "Seen and heard",
    "stopwatch": "Stopwatches",
    "station": "Where bearings were taken from",
    "sighting": "Bearings and elevations",
    "landed": "Where things came down",
}
LONG = {"note", "asked", "said"}


@dataclass(frozen=True, slots=True)
class Input:
    """A field of the form: its path in ``flight.toml``, what stands in it, and what is wrong."""

    path: str
    label: str
    doc: str
    example: str
    value: str
    choices: tuple[str, ...] = ()
    default: str = ""
    long: bool = False
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """Fields side by side: a table, or one of a list; ``new`` where it is not in the record yet."""

    title: str
    inputs: tuple[Input, ...]
    new: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the record."""

    name: str
    title: str
    doc: str
    rows: tuple[Row, ...]
    repeats: bool = False

    @property
    def filled(self) -> bool:
        """Whether anything stands in it, or is wrong with it."""
        return any(each.value or each.wrong for row in self.rows for each in row.inputs)


def record_data(path: Path) -> dict[str, Any]:
    """Return the record in the words of its file; empty where there is none.

    Raises ``ProblemError`` where it cannot be read.
    """
    if not path.is_file():
        return {}
    from loftwright.documents.reading import read_document

    read_document(path, FlightRecord)  # says what is wrong with it
    return tomllib.loads(path.read_bytes().decode("utf-8-sig"))


def groups_of(
    data: Mapping[str, Any],
    typed: Mapping[str, str] | None = None,
    problems: Sequence[Problem] = (),
    system: str = "metric",
) -> list[Group]:
    """Return the form for a record as it stands, each list with room for one more.

    ``typed`` is what a person put in, by path, where it was not taken: it is shown again, with what
    the ``problems`` say of it. Examples are in the units of ``system``, "metric" or "us".
    """
    wrong = {each.where.field: each.message for each in problems if each.where.field}
    ask = _Asking(typed or {}, wrong, system)
    own = {word: each for word, each in rules(FlightRecord).items() if word not in NOT_BY_HAND}
    flat = {word: each for word, each in own.items() if each.rule.kind not in ("table", "tables")}
    found = [Group("", TITLES[""], "", (ask.row("", flat, data),))]
    for word, each in own.items():
        rule = each.rule
        if rule.model is None:
            continue
        below = rules(rule.model)
        if rule.kind == "table":
            row = ask.row(f"{word}.", below, data.get(word, {}))
            found.append(Group(word, TITLES.get(word, word), rule.doc, (row,)))
            continue
        there = list(data.get(word, []))
        lines = [
            ask.row(f"{word}.{place}.", below, values, str(place + 1))
            for place, values in enumerate(there)
        ]
        lines.append(ask.row(f"{word}.{len(there)}.", below, {}, "one more", new=True))
        found.append(Group(word, TITLES.get(word, word), rule.doc, tuple(lines), repeats=True))
    return found


@dataclass(frozen=True, slots=True)
class _Asking:
    """What was typed, and what is wrong, by path."""

    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    system: str

    def row(
        self,
        start: str,
        declared: Mapping[str, Declared],
        values: Mapping[str, Any],
        title: str = "",
        *,
        new: bool = False,
    ) -> Row:
        inputs = (
            self._input(f"{start}{word}", each, values.get(word)) for word, each in declared.items()
        )
        return Row(title, tuple(inputs), new)

    def _input(self, path: str, each: Declared, value: Any) -> Input:
        rule, word = each.rule, path.rpartition(".")[2]
        default = each.default
        return Input(
            path=path,
            label=word.replace("_", " "),
            doc=rule.doc,
            example=example_of(rule, self.system),
            value=self.typed.get(path, "" if value is None else str(value)),
            choices=rule.choices,
            default="" if default in (None, MISSING) or not rule.choices else str(default),
            long=word in LONG,
            wrong=self.wrong.get(path, ""),
        )


def told_in(
    data: Mapping[str, Any], typed: Mapping[str, str]
) -> tuple[dict[str, str], tuple[str, ...]]:
    """Return what ``typed``, by path, sets in a record that says ``data``, and what it takes out.

    A list's row that was emptied goes as a whole. Fields that no form has are left alone.
    """
    values: dict[str, str] = {}
    removed: list[str] = []
    for group in groups_of(data):
        for row in group.rows:
            texts = {each.path: typed[each.path] for each in row.inputs if each.path in typed}
            if not texts:
                continue
            if group.repeats and not row.new and not any(texts.values()):
                removed.append(row.inputs[0].path.rpartition(".")[0])
                continue
            before = {each.path: each.value for each in row.inputs}
            values |= {path: text for path, text in texts.items() if text and text != before[path]}
            removed += [path for path, text in texts.items() if not text and before[path]]
    return values, tuple(removed)
