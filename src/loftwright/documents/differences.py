"""What differs between two campaigns: field by field, as it stands in their documents."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isclose
from typing import Any

from loftwright.documents.campaign import Campaign
from loftwright.documents.fields import FieldRule
from loftwright.documents.flatten import leaves
from loftwright.units import Quantity, format_quantity

__all__ = ["Difference", "differences", "program_differences", "program_texts", "texts"]

ROOTS = ("vehicle", "payload", "payload2", "payload3", "boosters", "upper", "avionics", "site")
ROUNDING = 1e-12  # between a value in one unit and the same in another


@dataclass(frozen=True, slots=True)
class Difference:
    """A field, or a whole document, that is not the same in both; None where it is not there.

    ``one`` and ``other`` are what a person wrote, or the default.
    """

    path: str
    one: str | None
    other: str | None


def differences(
    one: Campaign,
    other: Campaign,
    one_texts: Mapping[str, str] | None = None,
    other_texts: Mapping[str, str] | None = None,
) -> list[Difference]:
    """Return what differs, in the order of the documents; texts are those of `texts`.

    Names, questions and units of the campaigns themselves are left aside: nothing flies by them.
    """
    words = (one_texts or {}, other_texts or {})
    system = one.head.units
    found: list[Difference] = []
    for root in ROOTS:
        pair = (one.documents.get(root), other.documents.get(root))
        if pair[0] is None and pair[1] is None:
            continue
        if pair[0] is None or pair[1] is None:
            found.append(Difference(root, *(_name(document, root) for document in pair)))
            continue
        found += _fields(root, pair, words, system)
    return found + list(_corners(one, other))


def program_differences(
    one: Campaign,
    other: Campaign,
    one_texts: Mapping[str, str] | None = None,
    other_texts: Mapping[str, str] | None = None,
) -> list[Difference]:
    """Return what differs in the programs of controllers that are called alike in both.

    Paths begin with ``program.`` and the controller's name; texts are those of `program_texts`.
    A program that only one side has is one difference.
    """
    words = (one_texts or {}, other_texts or {})
    found: list[Difference] = []
    for controller in dict.fromkeys([*one.programs, *other.programs]):
        root = f"program.{controller}"
        pair = (one.programs.get(controller), other.programs.get(controller))
        if pair[0] is None or pair[1] is None:
            found.append(Difference(root, *(_name(document, root) for document in pair)))
        else:
            found += _fields(root, pair, words, one.head.units)
    return found


def _name(document: Any, root: str) -> str | None:
    return None if document is None else getattr(document, "name", root)


def _fields(
    root: str, pair: tuple[Any, Any], words: tuple[Mapping[str, str], ...], system: str
) -> Iterator[Difference]:
    """Yield the fields that differ between two documents of one kind."""
    maps = [{path: (rule, value) for path, rule, value in leaves(each, root)} for each in pair]
    told: set[str] = set()
    for path in dict.fromkeys([*maps[0], *maps[1]]):
        here = [each.get(path) for each in maps]
        if here[0] and here[1] and _same(here[0][1], here[1][1]):
            continue
        table = _only_table(path, maps[0] if here[0] is None else maps[1])
        if table is None or (here[0] and here[1]):
            said = [
                None if found is None else text.get(path) or _shown(*found, system)
                for found, text in zip(here, words, strict=True)
            ]
            yield Difference(path, said[0], said[1])
        elif table not in told:
            told.add(table)
            said = [
                None if found is None else _table_text(table, text)
                for found, text in zip(here, words, strict=True)
            ]
            yield Difference(table, said[0], said[1])


def _only_table(path: str, missing_in: Mapping[str, Any]) -> str | None:
    """Return the outermost table or entry around a field of which the other side has nothing."""
    steps = path.split(".")
    for length in range(2, len(steps)):
        inside = ".".join(steps[:length])
        if not steps[length].isdigit() and not any(
            each.startswith(f"{inside}.") for each in missing_in
        ):
            return inside
    return None


def _table_text(table: str, text: Mapping[str, str]) -> str:
    """Return what a whole table is called by whoever wrote it."""
    return text.get(f"{table}.name") or text.get(f"{table}.kind") or "there"


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return isclose(one.value, other.value, rel_tol=ROUNDING) and isclose(
            one.sd, other.sd, rel_tol=ROUNDING
        )
    return bool(one == other)


def _shown(rule: FieldRule, value: Any, system: str) -> str:
    """Return a default as somebody would write it."""
    if isinstance(value, Quantity):
        return str(format_quantity(value.value, rule.dimension or "number", system, sd=value.sd))
    return str(value)


def _corners(one: Campaign, other: Campaign) -> Iterator[Difference]:
    """Yield the shapes on the ground whose corners differ; one that is new has other fields too."""
    for k, (mine, theirs) in enumerate(zip(one.site.shape, other.site.shape, strict=False)):
        if mine.corners != theirs.corners:
            count = [f"{len(shape.corners)} corners" for shape in (mine, theirs)]
            yield Difference(f"site.shape.{k}.corners", count[0], f"{count[1]}, other places")


def texts(campaign: Campaign) -> dict[str, str]:
    """Return what stands in the documents of a campaign's folder, by the path of its field."""
    found: dict[str, str] = {}
    for root in campaign.documents:
        path = campaign.folder / getattr(campaign.head, root)
        found |= dict(_leaves(tomllib.loads(path.read_text(encoding="utf-8")), root))
    return found


def program_texts(campaign: Campaign) -> dict[str, str]:
    """Return what stands in the programs of a campaign's folder, by the path of its field."""
    found: dict[str, str] = {}
    for controller in () if campaign.avionics is None else campaign.avionics.controller:
        text = (campaign.folder / controller.program).read_text(encoding="utf-8")
        found |= dict(_leaves(tomllib.loads(text), f"program.{controller.name}"))
    return found


def _leaves(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for word, each in value.items():
            yield from _leaves(each, f"{path}.{word}")
    elif isinstance(value, list):
        for index, each in enumerate(value):
            yield from _leaves(each, f"{path}.{index}")
    elif isinstance(value, bool):
        yield path, str(value).lower()
    else:
        yield path, str(value)
