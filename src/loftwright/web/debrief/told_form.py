"""What a person settled of a file on the page, as the options of ``loftwright record`` say it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from loftwright.cli.record_told import FROM_LISTS
from loftwright.errors import Problem, ProblemError, Where

if TYPE_CHECKING:
    from loftwright.evidence.log_choice import ColumnRead

__all__ = ["ROLES", "scale_of", "told_of"]

NOT_USED = "not used"
# What a column may be, by kind of record, in the words of `loftwright.documents.readings`.
ROLES = {
    "log": (
        NOT_USED, "time", "pressure", "height", "push", "battery", "temperature", "state",
    ),
    "firing": (NOT_USED, "time", "force"),
}  # fmt: skip
PLAIN = ("name", "source", "clock", "said", "reading")
MOST_FLIGHTS = 1000
LAYOUT = ("delimiter", "decimal", "every")


def told_of(
    fields: Mapping[str, str], before: Mapping[str, Any], shown: Sequence[ColumnRead], kind: str
) -> dict[str, Any]:
    """Return what is said of a file after a form came back.

    Parameters
    ----------
    fields : of the form, without the part of their names that says which file they are of
    before : what was said of the file until then, which stays where the form does not tell
    shown : its columns as the form showed them
    kind : its kind as the form showed it

    Raises
    ------
    ProblemError
        Two columns are said to be the same thing, or a word is none of those there are
        (``log-option``).
    """
    fields = {word: each for word, each in before.items() if isinstance(each, str)} | dict(fields)
    for word, allowed in FROM_LISTS.items():
        if fields.get(word) and fields[word] not in allowed:
            raise _not_one_of(word, fields[word], tuple(allowed))
    found: dict[str, Any] = {word: fields[word] for word in PLAIN if fields.get(word)}
    asked = fields.get("as", kind)
    if asked != kind or "as" in before:
        found["as"] = asked
    if asked != kind or asked not in ROLES:
        return found  # the columns shown are of another kind: they are proposed anew
    found |= {word: fields[word] for word in LAYOUT if fields.get(word)}
    number = fields.get("flight", str(before.get("flight_number", "")))
    if number.isdecimal() and len(number) < 9 and 0 < int(number) <= MOST_FLIGHTS:
        found["flight_number"] = int(number)
    if {word: before[word] for word in LAYOUT if word in before} != {
        word: found[word] for word in LAYOUT if word in found
    }:
        return found  # the columns shown stand in another layout
    columns = _columns(fields, shown, asked)
    scales = _scales(fields, shown)
    changed = any(columns[each.number] != (each.role, each.unit or "") for each in shown)
    said = {"state", "ignore", "unit", "scale", "force", *ROLES["log"]} & set(before)
    if changed or scales or said:
        found |= _words(columns, asked)
        if scales:
            found["scale"] = scales
    return found


def _columns(
    fields: Mapping[str, str], shown: Sequence[ColumnRead], kind: str
) -> dict[int, tuple[str, str]]:
    """Return what each column is said to be, and in which unit."""
    found = {}
    for each in shown:
        role = fields.get(f"is-{each.number}", each.role)
        role = role if role in ROLES[kind] else NOT_USED
        # A unit that was chosen for what the column was before says nothing of what it is now.
        unit = fields.get(f"unit-{each.number}", each.unit or "")
        found[each.number] = (role, unit if role not in (NOT_USED, "state") else "")
    return found


def _scales(fields: Mapping[str, str], shown: Sequence[ColumnRead]) -> list[str]:
    found = []
    for each in shown:
        factor = fields.get(f"factor-{each.number}", "")
        offset = fields.get(f"offset-{each.number}", "")
        if factor or offset:
            found.append(f"{each.number}={factor or '1'}" + (f",{offset}" if offset else ""))
    return found


def _words(columns: Mapping[int, tuple[str, str]], kind: str) -> dict[str, Any]:
    """Return the options that say all of it."""
    from loftwright.evidence.proposal import knows_unit

    found: dict[str, Any] = {}
    units = []
    for number, (role, unit) in columns.items():
        if role == NOT_USED:
            if kind == "log":
                found.setdefault("ignore", []).append(str(number))
            continue
        if role == "state":
            found.setdefault("state", []).append(str(number))
            continue
        if role in found:
            raise _twice(role, int(found[role]), number)
        found[role] = str(number)
        if knows_unit(role, unit):
            units.append(f"{number}={unit}")
    if units:
        found["unit"] = units
    return found


def _not_one_of(word: str, said: str, allowed: Sequence[str]) -> ProblemError:
    mend = f"choose one of {', '.join(allowed)}"
    where = Where(field=f"--{word}", value=said[:80])
    return ProblemError([Problem("log-option", "this is not possible", where, mend)])


def _twice(role: str, one: int, other: int) -> ProblemError:
    message = f"columns {one} and {other} are both said to be {role}"
    mend = "say of one of them that it is not used, or something else"
    return ProblemError([Problem("log-option", message, Where(field=f"--{role}"), mend)])


def scale_of(told: Mapping[str, Any], number: int) -> tuple[str, str]:
    """Return factor and offset that are told of a column; empty where none are."""
    for each in told.get("scale", ()):
        column, _, rest = str(each).rpartition("=")
        if column == str(number):
            factor, _, offset = rest.partition(",")
            return factor, offset
    return "", ""
