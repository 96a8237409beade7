"""Two edits of one document, put together: field by field, or line by line.

Nothing is guessed: what both changed is left to a person, with what stood before, theirs, yours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any

from loftwright.documents.edit import Value, path_of
from loftwright.documents.spans import Path
from loftwright.documents.written import shown

__all__ = ["Conflict", "Hunk", "changed_fields", "conflicts", "hunks"]

Leaves = dict[Path, Any]
_NOT_THERE = object()
_ALIKE = 0.5  # share of its fields by which one of a list is taken for the same as before


@dataclass(frozen=True, slots=True)
class Conflict:
    """A field that two edits want differently; None where it is, or is to be, not there."""

    file: str
    path: str
    base: str | None
    theirs: str | None
    yours: str | None


@dataclass(frozen=True, slots=True)
class Hunk:
    """Some lines that both have alike, that one changed, or that both changed otherwise."""

    kind: str  # "same", "theirs", "yours", "conflict"
    base: tuple[str, ...]
    theirs: tuple[str, ...]
    yours: tuple[str, ...]


def conflicts(
    file: str,
    base: Mapping[str, Any] | None,
    theirs: Mapping[str, Any],
    values: Mapping[str, Value],
    removed: tuple[str, ...],
) -> list[Conflict]:
    """Return the fields of an edit that clash with what a document says by now.

    ``base`` is what the document said when it was read, None where that is no longer known: then
    every field that is not already as wanted counts as a clash.
    """
    found = []
    wanted: dict[str, Any] = {**values, **dict.fromkeys(removed, _NOT_THERE)}
    for dotted, yours in wanted.items():
        path = path_of(dotted)
        now = _at(theirs, path)
        if now == yours and (base is None or _is_in_place(base, theirs, path)):
            continue
        if base is not None and _is_untouched(base, theirs, path):
            continue
        before = _NOT_THERE if base is None else _at(base, path)
        found.append(Conflict(file, dotted, *map(_words, (before, now, yours))))
    return found


def changed_fields(base: Mapping[str, Any], theirs: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the paths of the fields that differ between two readings of a document."""
    before, now = _leaves(base, ()), _leaves(theirs, ())
    differing = [path for path in {**before, **now} if before.get(path) != now.get(path)]
    return tuple(".".join(map(str, path)) for path in differing)


def _is_untouched(base: Mapping[str, Any], theirs: Mapping[str, Any], path: Path) -> bool:
    """Tell whether nobody changed what an edit at ``path`` rests on."""
    above = _at(theirs, path[:-1])
    if _at(base, path[:-1]) is not _NOT_THERE and above is _NOT_THERE:
        return False
    return bool(_at(base, path) == _at(theirs, path)) and _is_in_place(base, theirs, path)


def _is_in_place(base: Any, theirs: Any, path: Path) -> bool:
    """Tell whether the lists on the way have as many elements, and this one is still the same."""
    for part in path:
        if isinstance(part, int):
            if not isinstance(base, list) or not isinstance(theirs, list):
                return base is theirs
            if len(base) != len(theirs):
                return False
            if part < len(base) and not _is_same_item(part, base, theirs):
                return False
        base, theirs = _one(base, part), _one(theirs, part)
        if base is _NOT_THERE or theirs is _NOT_THERE:
            return base is theirs
    return True


def _is_same_item(number: int, base: list[Any], theirs: list[Any]) -> bool:
    old, new = base[number], theirs[number]
    if old == new:
        return True
    if new in base or old in theirs:
        return False
    before, now = _leaves(old, ()), _leaves(new, ())
    if before.get(("name",)) != now.get(("name",)):
        return False
    alike = sum(before.get(path, _NOT_THERE) == value for path, value in now.items())
    return bool(alike >= _ALIKE * max(len(before), len(now), 1))


def _at(data: Any, path: Path) -> Any:
    for part in path:
        data = _one(data, part)
    return data


def _one(data: Any, part: str | int) -> Any:
    if isinstance(part, int):
        return data[part] if isinstance(data, list) and part < len(data) else _NOT_THERE
    return data.get(part, _NOT_THERE) if isinstance(data, Mapping) else _NOT_THERE


def _leaves(data: Any, path: Path) -> Leaves:
    if isinstance(data, Mapping) and data:
        pairs: Iterator[tuple[str | int, Any]] = iter(data.items())
    elif isinstance(data, list) and data and all(isinstance(each, Mapping) for each in data):
        pairs = iter(enumerate(data))
    else:
        return {path: data}
    return {
        deeper: leaf
        for part, each in pairs
        for deeper, leaf in _leaves(each, (*path, part)).items()
    }


def _words(value: Any) -> str | None:
    if value is _NOT_THERE:
        return None
    if isinstance(value, Mapping) or (isinstance(value, list) and any(map(_is_table, value))):
        pairs = _leaves(value, ()).items()
        return "; ".join(f"{'.'.join(map(str, path))} = {shown(each)}" for path, each in pairs)
    return shown(value)


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping)


# Line by line.


def hunks(base: list[str] | None, theirs: list[str], yours: list[str]) -> list[Hunk]:
    """Return two texts side by side, as lines, over what stood before (None: no longer known).

    Taking ``theirs`` of every hunk gives their text, taking ``yours`` gives yours.
    """
    found = _of_two(theirs, yours) if base is None else _of_three(base, theirs, yours)
    return list(_joined(found))


def _joined(found: Iterable[Hunk]) -> Iterator[Hunk]:
    """Yield hunks with those of the same lines that follow each other as one."""
    last: Hunk | None = None
    for hunk in found:
        if last is not None and last.kind == hunk.kind == "same":
            sides = (last.base + hunk.base, last.theirs + hunk.theirs, last.yours + hunk.yours)
            last = Hunk("same", *sides)
            continue
        if last is not None:
            yield last
        last = hunk
    if last is not None:
        yield last


def _of_two(theirs: list[str], yours: list[str]) -> Iterator[Hunk]:
    for tag, t0, t1, y0, y1 in SequenceMatcher(None, theirs, yours, autojunk=False).get_opcodes():
        kind = "same" if tag == "equal" else "conflict"
        mine = tuple(theirs[t0:t1])
        yield Hunk(kind, mine if tag == "equal" else (), mine, tuple(yours[y0:y1]))


def _of_three(base: list[str], theirs: list[str], yours: list[str]) -> Iterator[Hunk]:
    """Yield hunks between the lines that all three have, found in two matchings with the base."""
    in_theirs, in_yours = _matches(base, theirs), _matches(base, yours)
    b = t = y = 0
    for line in [*(at for at in range(len(base)) if at in in_theirs and at in in_yours), None]:
        ends = (
            (len(base), len(theirs), len(yours))
            if line is None
            else (line, in_theirs[line], in_yours[line])
        )
        parts = base[b : ends[0]], theirs[t : ends[1]], yours[y : ends[2]]
        if any(parts):
            yield _between(*parts)
        if line is not None:
            same = (base[line],)
            yield Hunk("same", same, same, same)
            b, t, y = (end + 1 for end in ends)


def _matches(base: list[str], other: list[str]) -> dict[int, int]:
    found = SequenceMatcher(None, base, other, autojunk=False).get_matching_blocks()
    return {each.a + k: each.b + k for each in found for k in range(each.size)}


def _between(base: list[str], theirs: list[str], yours: list[str]) -> Hunk:
    if theirs == yours:
        kind = "same"
    elif base == theirs:
        kind = "yours"
    elif base == yours:
        kind = "theirs"
    else:
        kind = "conflict"
    return Hunk(kind, tuple(base), tuple(theirs), tuple(yours))
