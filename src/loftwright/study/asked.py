"""A campaign with other values, written as a person writes them: what a what-if asks about."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from loftwright.documents.build import read_value
from loftwright.documents.campaign import Campaign
from loftwright.documents.fields import FieldRule, rules
from loftwright.documents.finding import Finding
from loftwright.documents.reading import findings
from loftwright.errors import Problem, ProblemError, Where
from loftwright.study.spans import variable

__all__ = ["asked_campaign"]

_WHOLE = re.compile(r"[0-9]{1,9}")


def asked_campaign(campaign: Campaign, values: Mapping[str, str]) -> Campaign:
    """Return the campaign as if its documents had these values.

    Parameters
    ----------
    values : mapping
        Path of a quantity or whole number to what would stand in the document, such as
        ``{"vehicle.fill.water_volume": "0.8 L ± 20 mL"}``. A value without ± is exact, as it is in
        a document and with ``--set``.

    Raises
    ------
    ProblemError
        With every value that cannot be read or leaves its bounds, and every error that the
        documents would have with them. Places are fields; ``value`` is what was asked.
    """
    problems: list[Problem] = []
    known = variable(campaign)
    changed = campaign
    for path, text in values.items():
        try:
            rule, _ = known[path]
            changed = _placed(changed, path, _read(text, rule, path))
        except KeyError:
            problems.append(_unknown(path, text))
        except ProblemError as error:
            problems += error.problems
    if problems:
        raise ProblemError(problems)
    return _held(campaign, changed, values)


def _read(text: str, rule: FieldRule, path: str) -> Any:
    if rule.kind == "whole":
        bare = text.strip()
        return read_value(int(bare) if _WHOLE.fullmatch(bare) else bare, rule, path)
    return read_value(text.strip(), rule, path)


def _unknown(path: str, text: str) -> Problem:
    where = Where(field=path[:80], value=text[:80])
    message = f"the campaign has no quantity {path[:60]!r}"
    return Problem("study-unknown-path", message, where, "choose one of the documents' quantities")


def _placed(campaign: Campaign, path: str, value: Any) -> Campaign:
    root, *rest = path.split(".")
    return replace(campaign, **{root: _with(getattr(campaign, root), rest, value)})


def _with(document: Any, path: list[str], value: Any) -> Any:
    if not path:
        return value
    word, *rest = path
    if isinstance(document, tuple):
        index = int(word)
        return (*document[:index], _with(document[index], rest, value), *document[index + 1 :])
    name = rules(type(document))[word].name
    return replace(document, **{name: _with(getattr(document, name), rest, value)})


# ---------------------------------------------------------------- held against the rules


def _held(before: Campaign, after: Campaign, values: Mapping[str, str]) -> Campaign:
    """Hold the values against the rules between fields; doubts become the campaign's warnings."""
    found = list(findings(after))
    errors = [_problem(role, each, after, values) for role, each in found
              if each.severity == "error"]  # fmt: skip
    if errors:
        raise ProblemError(errors)
    old = _known(before)
    now = {_key(role, each) for role, each in found}
    gone = {(code, path) for role, code, path in old - now}
    kept = [each for each in before.warnings if (each.code, each.where.field) not in gone]
    new = [_problem(role, each, after, values) for role, each in found
           if _key(role, each) not in old]  # fmt: skip
    return replace(after, warnings=(*kept, *new))


_BEFORE: list[tuple[Campaign, set[tuple[str, str, str]]]] = []  # of the last campaign


def _known(campaign: Campaign) -> set[tuple[str, str, str]]:
    """Return what the rules find in a campaign that is asked about again and again."""
    last = _BEFORE[:]
    if last and last[0][0] is campaign:
        return last[0][1]
    found = {_key(role, each) for role, each in findings(campaign)}
    _BEFORE[:] = [(campaign, found)]
    return found


def _key(role: str, found: Finding) -> tuple[str, str, str]:
    return role, found.code, ".".join(map(str, found.path))


def _problem(role: str, found: Finding, campaign: Campaign, values: Mapping[str, str]) -> Problem:
    """Place a finding at its field; what was asked in the same document is named as its value."""
    field = ".".join(map(str, (role, *found.path)))
    asked = list(_near(field, role, values))
    where = Where(
        file=getattr(campaign.head, role, None),
        field=asked[0] if asked else field,
        value=values[asked[0]] if asked else None,
    )
    return Problem(found.code, found.message, where, found.mend, found.severity)


def _near(field: str, role: str, values: Mapping[str, str]) -> Iterator[str]:
    """Yield the paths that were asked and are most likely meant: the field's own, then others."""
    yield from (path for path in values if path == field)
    yield from (path for path in values if path != field and path.partition(".")[0] == role)
    yield from (path for path in values if path.partition(".")[0] != role)
