"""Numbers of release programs that can be turned: ``CONTROLLER.STAGE.WHAT=FROM..TO``.

``WHAT`` is a quantity that a condition of the stage compares (climb, height, drop, push,
pressure), or one of its times (hold, not_before, not_after, backup); of several ways out the first
that has it, or the one whose goal is named: ``CONTROLLER.STAGE.GOAL.WHAT``.
``CONTROLLER.estimate.WHAT`` turns a number of the estimate.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

from loftwright.documents.campaign import Campaign
from loftwright.documents.fields import rules
from loftwright.documents.program import Estimate, Program, ProgramStage, Way
from loftwright.errors import Problem, ProblemError, Where
from loftwright.program.phrases import DIMENSIONS, Both, Compare, Either, Node, Not, parse, words
from loftwright.units import DIMENSIONS as DIMENSIONS_OF_UNITS
from loftwright.units import Quantity, QuantityError, format_quantity, read_quantity

if TYPE_CHECKING:
    from loftwright.rehearsal.results import Writing

__all__ = ["Knob", "knobs_of", "read_knobs", "read_setting", "turned", "writings_of"]

T = TypeVar("T")

TIMES = ("hold", "not_before", "not_after", "backup")


@dataclass(frozen=True, slots=True)
class Knob:
    """A number of a program: its name, where it sits, its dimension, and its value now, SI."""

    path: str
    controller: str
    stage: int | None  # None: of the estimate
    way: int
    what: str
    dimension: str
    now: float
    low: float = 0.0
    high: float = 0.0
    unit: str = ""

    def shown(self, value: float) -> str:
        """Return a value in the unit in which the range was written."""
        written = format_quantity(
            value, self.dimension, unit=self.unit or _si_unit(self.dimension), digits=4
        )
        number = written.number
        number = number.rstrip("0").rstrip(".") if "." in number else number
        return f"{number} {written.unit}".strip()


def knobs_of(programs: Mapping[str, Program]) -> Iterator[Knob]:
    """Yield every number that can be turned, under the shortest name that is its own."""
    for controller, program in programs.items():
        yield from _of_estimate(controller, program.estimate)
        for number, stage in enumerate(program.stage):
            taken: set[str] = set()
            for way, each in enumerate(stage.way):
                for what, dimension, now, unit in _of_way(each):
                    long = f"{controller}.{stage.name}.{each.to}.{what}"
                    path = long if what in taken else f"{controller}.{stage.name}.{what}"
                    taken.add(what)
                    yield Knob(path, controller, number, way, what, dimension, now, unit=unit)


def _of_estimate(controller: str, estimate: Estimate) -> Iterator[Knob]:
    for word, declared in rules(Estimate).items():
        value = getattr(estimate, declared.name)
        if declared.rule.kind == "quantity" and value is not None:
            dimension = declared.rule.dimension or "number"
            path = f"{controller}.estimate.{word}"
            yield Knob(path, controller, None, 0, word, dimension, value.value)


def _of_way(way: Way) -> Iterator[tuple[str, str, float, str]]:
    """Yield what can be turned, its dimension, its value and the unit that it is written in."""
    if way.when is not None:
        seen: set[str] = set()
        for compare in _compares(parse(way.when)):
            what = compare.seen.name.lower()
            if what not in seen:
                seen.add(what)
                yield what, DIMENSIONS[what], compare.value, _unit_in(compare)
    for what in TIMES:
        value = getattr(way, what)
        if value is not None:
            yield what, "time", value.value, ""


def _unit_in(compare: Compare) -> str:
    """Return the unit that a person wrote."""
    return read_quantity(compare.written, DIMENSIONS[compare.seen.name.lower()])[1]


def _compares(node: Node) -> Iterator[Compare]:
    if isinstance(node, Compare):
        yield node
    elif isinstance(node, Not):
        yield from _compares(node.inner)
    elif isinstance(node, (Both, Either)):
        for part in node.parts:
            yield from _compares(part)


def turned(
    programs: Mapping[str, Program], settings: Mapping[Knob, float], *, to_be_read: bool = False
) -> dict[str, Program]:
    """Return the programs with knobs at other values, SI.

    Where they are ``to_be_read``, conditions say these values as a person writes them.
    """
    found = dict(programs)
    for knob, value in settings.items():
        said = knob.shown(value) if to_be_read else ""
        found[knob.controller] = _turn(found[knob.controller], knob, value, said)
    return found


def _turn(program: Program, knob: Knob, value: float, said: str) -> Program:
    if knob.stage is None:
        changed: dict[str, Any] = {knob.what: Quantity(value)}
        return replace(program, estimate=replace(program.estimate, **changed))
    stage = program.stage[knob.stage]
    ways = _put(stage.way, knob.way, lambda way: _turn_way(way, knob, value, said))
    other: ProgramStage = replace(stage, way=ways)
    return replace(program, stage=_put(program.stage, knob.stage, lambda _: other))


def writings_of(campaign: Campaign, settings: Mapping[Knob, float]) -> tuple[Writing, ...]:
    """Return what writes knobs at other values into the programs, each value as it is shown.

    Controllers that run the same file share what is written there.
    """
    from loftwright.rehearsal.results import Writing  # pages list knobs without what this needs

    assert campaign.avionics is not None
    files = {each.name: each.program for each in campaign.avionics.controller}
    values: dict[str, dict[str, str | int]] = {}
    phrases: dict[tuple[str, str], Way] = {}
    for knob, value in settings.items():
        file = files[knob.controller]
        shown = knob.shown(value)
        fields = values.setdefault(file, {})
        if knob.stage is None:
            fields[f"estimate.{knob.what}"] = shown
            continue
        place = f"stage.{knob.stage}.way.{knob.way}"
        if knob.what in TIMES:
            fields[f"{place}.{knob.what}"] = shown
            continue
        way = campaign.programs[knob.controller].stage[knob.stage].way[knob.way]
        way = _turn_way(phrases.get((file, place), way), knob, value, shown)
        phrases[file, place] = way
        fields[f"{place}.when"] = way.when or ""
    return tuple(Writing(file, fields) for file, fields in values.items())


def _put(row: tuple[T, ...], place: int, change: Callable[[T], T]) -> tuple[T, ...]:
    return (*row[:place], change(row[place]), *row[place + 1 :])


def _turn_way(way: Way, knob: Knob, value: float, written: str = "") -> Way:
    if knob.what in TIMES:
        time: dict[str, Any] = {knob.what: Quantity(value)}
        return replace(way, **time)
    assert way.when is not None
    done = False

    def other(node: Node) -> Node:
        nonlocal done
        if isinstance(node, Compare):
            if done or node.seen.name.lower() != knob.what:
                return node
            done = True
            said = written or _written(value, knob.dimension)
            return replace(node, value=value, written=said)
        if isinstance(node, Not):
            return Not(other(node.inner))
        if isinstance(node, (Both, Either)):
            return type(node)(tuple(other(part) for part in node.parts))
        return node

    return replace(way, when=words(other(parse(way.when))))


def _written(value: float, dimension: str) -> str:
    return f"{float(value)!r} {_si_unit(dimension)}"


def _si_unit(dimension: str) -> str:
    return next(iter(DIMENSIONS_OF_UNITS[dimension].units))


# ---------------------------------------------------------------- reading


def read_knobs(programs: Mapping[str, Program], texts: Sequence[str]) -> list[Knob]:
    """Read several ``NAME=FROM..TO``. Raises ``ProblemError`` with every problem."""
    known = {knob.path: knob for knob in knobs_of(programs)}
    found: list[Knob] = []
    problems: list[Problem] = []
    for text in texts:
        try:
            knob = _read(known, text)
            if any(other.path == knob.path for other in found):
                _refuse("study-range", "this is varied twice", text, "give it once", knob.path)
            found.append(knob)
        except ProblemError as error:
            problems += error.problems
    if problems:
        raise ProblemError(problems)
    return found


def read_setting(programs: Mapping[str, Program], text: str) -> tuple[Knob, float]:
    """Read one ``NAME=VALUE``. Raises ``ProblemError`` for what names nothing or is no value."""
    known = {knob.path: knob for knob in knobs_of(programs)}
    path, _, given = text.partition("=")
    knob = _named(known, path.strip(), text)
    value, unit = _end(given, knob)
    return replace(knob, unit=unit), value


def _named(known: Mapping[str, Knob], path: str, text: str) -> Knob:
    if path not in known:
        from difflib import get_close_matches

        near = get_close_matches(path, known, n=1, cutoff=0.6)
        mend = f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}"
        _refuse("tune-unknown-knob", f"no number is called {path[:60]!r}", text, mend, path)
    return known[path]


def _read(known: Mapping[str, Knob], text: str) -> Knob:
    path, sign, given = text.partition("=")
    path = path.strip()
    knob = _named(known, path, text)
    first, _, last = given.partition("..")
    if not sign or not first.strip() or not last.strip():
        now = knob.shown(knob.now)
        mend = f"write it like {path}='{now}..{now}', the lesser first"
        _refuse("study-range", "this is not NAME=FROM..TO", text, mend, path)
    low, _ = _end(first, knob)
    high, unit = _end(last, knob)
    if not low < high:
        mend = "put the lesser value first"
        _refuse("study-range", "FROM is not less than TO", given, mend, path)
    if knob.what not in DIMENSIONS and low <= 0.0:
        _refuse("study-range", "values here must be more than 0", given, "narrow the range", path)
    return replace(knob, low=low, high=high, unit=unit)


def _end(text: str, knob: Knob) -> tuple[float, str]:
    try:
        quantity, unit = read_quantity(text.strip(), knob.dimension)
    except QuantityError as error:
        where = Where(field=knob.path, value=text.strip())
        raise ProblemError([Problem(error.code, error.message, where, error.mend)]) from None
    return quantity.value, unit


def _refuse(code: str, message: str, value: str, mend: str, field: str) -> NoReturn:
    raise ProblemError([Problem(code, message, Where(field=field, value=value), mend)])
