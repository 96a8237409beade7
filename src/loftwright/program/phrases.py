"""Condition phrases: a small tree with places from words such as ``climb < 50 ft/s``.

Nothing is evaluated as code: the grammar (``phrases.lark``, LALR) knows five quantities, a line,
four comparisons, ``and``, ``or``, ``not`` and parentheses. Units are read as everywhere else.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from loftwright.program.table import SIGNS, Op, Seen, Step
from loftwright.units import QuantityError, read_quantity, said_in

if TYPE_CHECKING:
    from lark import Lark, Token, Tree

__all__ = [
    "DIMENSIONS",
    "EXAMPLES",
    "LONGEST",
    "Both",
    "Compare",
    "Either",
    "Line",
    "Node",
    "Not",
    "PhraseError",
    "comparisons",
    "in_units",
    "parse",
    "phrase_in_units",
    "postfix",
    "words",
]

LONGEST = 300  # characters of a phrase
DEEPEST = 12  # parentheses and nots within each other
MOST_STEPS = 32  # of the postfix form: comparisons and what joins them

DIMENSIONS = {
    "height": "length",
    "climb": "speed",
    "drop": "length",
    "pressure": "absolute_pressure",
    "push": "acceleration",
}
EXAMPLES = {
    "height": "12 m",
    "climb": "50 ft/s",
    "drop": "2 m",
    "pressure": "98 kPa",
    "push": "3 g",
}
_OPS = {sign: op for op, sign in SIGNS.items()}
_LARGEST = 3.4e38  # single precision


class PhraseError(ValueError):
    """A phrase that cannot be read: code, message, mend, and the characters to blame."""

    def __init__(self, code: str, message: str, mend: str, at: int = 0, width: int = 1) -> None:
        super().__init__(message)
        self.code, self.message, self.mend = code, message, mend
        self.at, self.width = at, max(width, 1)


@dataclass(frozen=True, slots=True)
class Compare:
    """A comparison of what is sensed with a quantity; ``value`` in SI, as written in ``written``.

    ``at`` and ``width`` are its place in the phrase.
    """

    seen: Seen
    op: Op
    value: float
    written: str
    at: int = field(default=0, compare=False)
    width: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Line:
    """Whether the switch's line is open."""

    is_open: bool
    at: int = field(default=0, compare=False)
    width: int = field(default=1, compare=False)


@dataclass(frozen=True, slots=True)
class Not:
    """The contrary of ``inner``; true also where ``inner`` compares what nothing measures."""

    inner: Node


@dataclass(frozen=True, slots=True)
class Both:
    """All of ``parts``, joined by ``and``."""

    parts: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Either:
    """At least one of ``parts``, joined by ``or``."""

    parts: tuple[Node, ...]


Node = Compare | Line | Not | Both | Either


# ---------------------------------------------------------------- reading


def parse(text: str) -> Node:
    """Read a phrase. Raises ``PhraseError`` with the place of the first thing that is wrong."""
    from lark import exceptions

    from loftwright.program.slips import refuse_character, refuse_token

    if len(text) > LONGEST:
        message = f"the condition is longer than {LONGEST} characters"
        raise PhraseError(
            "program-phrase-long", message, "put parts of it into stages of their own"
        )
    try:
        tree = _grammar().parse(text)
    except exceptions.UnexpectedCharacters as error:
        raise refuse_character(text, error.column - 1, set(error.allowed)) from None
    except exceptions.UnexpectedToken as error:
        raise refuse_token(text, error.token, set(error.expected)) from None
    node = _node(tree, 0)
    if len(postfix(node)) > MOST_STEPS:
        message = f"the condition has more than {MOST_STEPS} comparisons and joining words together"
        raise PhraseError(
            "program-phrase-long", message, "put parts of it into stages of their own"
        )
    return node


@cache
def _grammar() -> Lark:
    from lark import Lark

    text = Path(__file__).with_name("phrases.lark").read_text(encoding="utf-8")
    return Lark(text, parser="lalr", lexer="contextual", start="phrase", regex=False)


def _node(tree: Tree[Token], depth: int) -> Node:
    """Return our own tree; text is short, so that this ends soon."""
    if depth > 2 * DEEPEST:
        raise _too_deep(tree)
    kind = str(tree.data)
    children: list[Any] = tree.children
    if kind == "comparison":
        return _compare(*children)
    if kind == "line":
        word, state = children
        return Line(state.type == "OPEN", word.start_pos, state.end_pos - word.start_pos)
    if kind == "refused":
        return Not(_node(children[1], depth + 1))
    if kind == "inner":
        return _node(children[1], depth + 1)
    parts = tuple(_node(each, depth + 1) for each in children[::2])
    return Both(parts) if kind == "both" else Either(parts)


def _too_deep(tree: Tree[Token]) -> PhraseError:
    first = next(iter(tree.scan_values(lambda _: True)))
    message = "parentheses and nots lie within each other too deeply"
    mend = "say it more plainly, or in several ways"
    return PhraseError("program-phrase-deep", message, mend, first.start_pos or 0)


def _compare(seen: Token, sign: Token, quantity: Token) -> Compare:
    at = quantity.start_pos or 0
    try:
        number, _ = read_quantity(str(quantity), DIMENSIONS[seen], EXAMPLES[seen])
    except QuantityError as error:
        raise PhraseError(
            error.code, error.message, error.mend, at + error.at, error.width
        ) from None
    if abs(number.value) > _LARGEST:
        message = "no controller can hold this number"
        mend = f"correct it, e.g. {seen} {sign} {EXAMPLES[seen]}"
        raise PhraseError("program-threshold-range", message, mend, at, len(quantity))
    start = seen.start_pos or 0
    written = " ".join(str(quantity).split())
    width = at + len(quantity) - start
    return Compare(Seen[seen.upper()], _OPS[str(sign)], number.value, written, start, width)


# ---------------------------------------------------------------- saying and working out


def words(node: Node) -> str:
    """Return the phrase of a tree; reading it gives the same tree."""
    if isinstance(node, Compare):
        return f"{node.seen.name.lower()} {SIGNS[node.op]} {node.written}"
    if isinstance(node, Line):
        return "line open" if node.is_open else "line closed"
    if isinstance(node, Not):
        return f"not {_inner(node.inner, (Both, Either))}"
    if isinstance(node, Both):
        return " and ".join(_inner(part, (Both, Either)) for part in node.parts)
    return " or ".join(_inner(part, (Either,)) for part in node.parts)


def in_units(node: Node, system: str | None) -> Node:
    """Return a tree whose quantities are written in the units of ``system``, to three digits.

    It is for people to read: what is compared stays what it was. None: as it was written.
    """
    if isinstance(node, Compare):
        said = said_in(system, node.written, DIMENSIONS[node.seen.name.lower()])
        return replace(node, written=said)
    if isinstance(node, Line):
        return node
    if isinstance(node, Not):
        return Not(in_units(node.inner, system))
    return replace(node, parts=tuple(in_units(part, system) for part in node.parts))


def phrase_in_units(text: str, system: str | None) -> str:
    """Return a phrase for people to read, in the units of ``system``; what is none stays."""
    try:
        node = parse(text)
    except PhraseError:  # another reason for which a way was taken: time, a backup
        return text
    said = in_units(node, system)
    return text if said == node else words(said)


def _inner(node: Node, bracketed: tuple[type, ...]) -> str:
    return f"({words(node)})" if isinstance(node, bracketed) else words(node)


def postfix(node: Node) -> tuple[Step, ...]:
    """Return the steps of a tree, postfix, constants in single precision."""
    from loftwright.program.single import single

    if isinstance(node, Compare):
        return (Step(node.op, node.seen, single(node.value)),)
    if isinstance(node, Line):
        return (Step(Op.AT_LEAST if node.is_open else Op.LESS, Seen.SWITCH, 0.5),)
    if isinstance(node, Not):
        return (*postfix(node.inner), Step(Op.NOT))
    join = Step(Op.AND if isinstance(node, Both) else Op.OR)
    steps = postfix(node.parts[0])
    for part in node.parts[1:]:
        steps = (*steps, *postfix(part), join)
    return steps


def comparisons(node: Node, refused: bool = False) -> list[tuple[Compare | Line, bool]]:
    """Return every comparison with whether an odd number of nots stands before it."""
    if isinstance(node, (Compare, Line)):
        return [(node, refused)]
    if isinstance(node, Not):
        return comparisons(node.inner, not refused)
    return [each for part in node.parts for each in comparisons(part, refused)]
