"""A document as a form, out of its declarations: sections of fields, with what stands in them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from loftwright.documents.edit import path_of
from loftwright.documents.fields import Declared, rules
from loftwright.documents.spans import Path, Spans, scan
from loftwright.documents.written import shown
from loftwright.units import Quantity, format_quantity
from loftwright.web.describe.draft import FIELD, Draft, dotted, value_at
from loftwright.web.describe.examples import example_of, named_units

__all__ = ["Addable", "Field", "Section", "addable", "sections"]

LONG = 3  # elements of a list; of more each is folded
_OPENING = re.compile(r"\s*#\s?")
_TITLES = {"": "In general"}


@dataclass(frozen=True, slots=True)
class Field:
    """One input. ``was`` is what stands in the document, ``text`` what stands in the input."""

    path: str
    label: str
    kind: str
    doc: str
    was: str
    text: str
    required: bool
    left_out: str  # what counts where it is left out
    example: str
    units: str
    comment: str
    choices: tuple[tuple[str, str], ...] = ()

    @property
    def name(self) -> str:
        """The name of the input."""
        return FIELD + self.path

    @property
    def id(self) -> str:
        """The id of the input, and the beginning of those of what is said about it."""
        return "f-" + self.path.replace(".", "-")

    @property
    def rare(self) -> bool:
        """Whether it may be folded away: nothing need stand there, and nothing does."""
        return not self.required and not self.was and not self.text


@dataclass(frozen=True, slots=True)
class Section:
    """A table, or one of a list of them. ``removable`` ones may be left out."""

    path: str
    title: str
    doc: str
    fields: tuple[Field, ...]
    removable: bool
    new: bool
    group: str = ""  # of a long list of likes: what they are called together
    gist: str = ""  # of one of a long list: what it is, in a few words

    @property
    def id(self) -> str:
        """The id of the section, to be gone to."""
        return "s-" + (self.path.replace(".", "-") or "general")

    @property
    def usual(self) -> tuple[Field, ...]:
        """The fields that are always seen."""
        return tuple(each for each in self.fields if not each.rare)

    @property
    def rare(self) -> tuple[Field, ...]:
        """The fields that are folded away."""
        return tuple(each for each in self.fields if each.rare)


@dataclass(frozen=True, slots=True)
class Addable:
    """A table that is not there, or one more of a list."""

    path: str
    title: str
    doc: str


def sections(model: type, content: bytes, draft: Draft, system: str = "metric") -> list[Section]:
    """Return the form of a document with a draft on it, in the order of the declarations.

    Examples and units beside the fields are those of ``system``, "metric" or "us".
    """
    text = content.decode("utf-8-sig").replace("\r\n", "\n")
    return list(_Sections(tomllib.loads(text), scan(text), draft, system).of(model, (), True))


def addable(model: type, content: bytes, draft: Draft) -> list[Addable]:
    """Return what could be added to the document with its draft."""
    data = tomllib.loads(content.decode("utf-8-sig"))
    return list(_addable(model, (), data, draft))


def _addable(model: type, path: Path, data: Any, draft: Draft) -> Iterator[Addable]:
    for word, each in rules(model).items():
        if each.rule.model is None:
            continue
        here = (*path, word)
        if each.rule.kind == "tables":
            count = _count(here, data, draft)
            title = f"{_words(word)} {count + 1}" if count else _words(word)
            yield Addable(dotted((*here, count)), title, each.rule.doc)
            for number in range(count):
                inside = (*here, number)
                if dotted(inside) not in draft.gone:
                    yield from _addable(each.rule.model, inside, data, draft)
        elif not _stands(here, data, draft):
            yield Addable(dotted(here), _words(word), each.rule.doc)
        else:
            yield from _addable(each.rule.model, here, data, draft)


def _stands(path: Path, data: Any, draft: Draft) -> bool:
    name = dotted(path)
    if name in draft.gone:
        return False
    return name in draft.added or value_at(data, path) is not None


def _count(path: Path, data: Any, draft: Draft) -> int:
    """Return how many elements of a list there are or were: those that go keep their numbers."""
    there = value_at(data, path)
    old = len(there) if isinstance(there, list) else 0
    new = [path_of(each) for each in draft.added]
    return old + sum(each[:-1] == path and isinstance(each[-1], int) for each in new)


@dataclass(frozen=True, slots=True)
class _Sections:
    """One walk over the declarations, the data and the draft, side by side."""

    data: Mapping[str, Any]
    spans: Spans
    draft: Draft
    system: str

    def of(self, model: type, path: Path, needed: bool, doc: str = "") -> Iterator[Section]:
        declared = rules(model)
        own = {word: each for word, each in declared.items() if each.rule.model is None}
        fields = tuple(self._field(word, each, (*path, word)) for word, each in own.items())
        if fields or not path:
            removable = bool(path) and not needed
            new = dotted(path) in self.draft.added
            long = bool(path) and isinstance(path[-1], int) and self._is_long(path[:-1])
            group = _title(path[:-1]) if long else ""
            gist = _gist(fields) if long else ""
            yield Section(dotted(path), _title(path), doc, fields, removable, new, group, gist)
        for word, each in declared.items():
            if each.rule.model is None:
                continue
            here, rule = (*path, word), each.rule
            if rule.kind == "tables":
                for number in range(_count(here, self.data, self.draft)):
                    if dotted((*here, number)) not in self.draft.gone:
                        yield from self.of(each.rule.model, (*here, number), False, rule.doc)
            elif each.required or _stands(here, self.data, self.draft):
                yield from self.of(each.rule.model, here, each.required, rule.doc)

    def _is_long(self, path: Path) -> bool:
        return _count(path, self.data, self.draft) > LONG

    def _field(self, word: str, each: Declared, path: Path) -> Field:
        before = value_at(self.data, path)
        was = "" if before is None else shown(before)
        text = self.draft.values.get(dotted(path), was)
        rule = each.rule
        example = example_of(rule, self.system)
        return Field(
            path=dotted(path),
            label=_words(word),
            kind=rule.kind,
            doc=rule.doc,
            was=was,
            text=text,
            required=each.required,
            left_out=_default(each, self.system),
            example="" if rule.kind in ("choice", "flag") else example,
            units=named_units(rule.dimension, self.system),
            comment=self._comment(path, rule.doc),
            choices=_choices(each, self.system),
        )

    def _comment(self, path: Path, doc: str) -> str:
        """Return what a person wrote about a field: behind it, or on the lines above it."""
        key, value = self.spans.keys.get(path), self.spans.values.get(path)
        if key is None or value is None:
            return ""
        text = self.spans.text
        behind = text[value.end : (text.find("\n", value.end) + 1 or len(text) + 1) - 1]
        above: list[str] = []
        for line in reversed(text[: text.rfind("\n", 0, key.start) + 1].split("\n")[:-1]):
            if not line.lstrip().startswith("#"):
                break
            above.insert(0, line)
        said = [_OPENING.sub("", line, count=1).strip() for line in (*above, behind)]
        return " ".join(line for line in said if line and line != doc and "=" not in line[:24])


def _gist(fields: Sequence[Field]) -> str:
    return ", ".join([field.text for field in fields if field.text][:3])


def _title(path: Path) -> str:
    words = [part for part in path if isinstance(part, str)]
    if not words:
        return _TITLES[""]
    number = f" {path[-1] + 1}" if isinstance(path[-1], int) else ""
    return _words(" of ".join(reversed(words))) + number


def _words(word: str) -> str:
    plain = word.replace("_", " ")
    return plain[:1].upper() + plain[1:]


def _default(each: Declared, system: str) -> str:
    """Return what counts where a field is left out, as somebody would write it."""
    if each.required or each.default is None:
        return ""
    if isinstance(each.default, Quantity):
        dimension = each.rule.dimension or "number"
        return str(format_quantity(each.default.value, dimension, system, sd=each.default.sd))
    return {True: "yes", False: "no"}.get(each.default, str(each.default))


def _choices(each: Declared, system: str) -> tuple[tuple[str, str], ...]:
    """Return the values of a list to choose from, with the words for each."""
    rule = each.rule
    pairs: Sequence[tuple[str, str]] = ()
    if rule.kind == "choice":
        pairs = [(choice, choice) for choice in rule.choices]
    elif rule.kind == "flag":
        pairs = [("true", "yes"), ("false", "no")]
    if not pairs:
        return ()
    default = _default(each, system)
    left_out = f"left out: {default}" if default else "left out"
    return (*(() if each.required else (("", left_out),)), *pairs)
