"""Conditions: from postfix steps into trees, and from those into C and into words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from loftwright.program.emit.words import constant
from loftwright.program.single import single
from loftwright.program.table import SIGNS, Op, Seen, Step

__all__ = ["Joined", "Leaf", "Node", "Not", "in_c", "in_words", "sees", "tree"]

MOST_LEAVES = 12  # of one expression; what is longer goes into a function of its own

_NAMES = {
    Seen.HEIGHT: ("height", "m"),
    Seen.CLIMB: ("climb", "m/s"),
    Seen.DROP: ("drop", "m"),
    Seen.PRESSURE: ("pressure", "Pa"),
    Seen.PUSH: ("push", "m/s2"),
    Seen.SWITCH: ("line", ""),
}
_PLACES = {
    Seen.HEIGHT: "state->height_m",
    Seen.CLIMB: "state->climb_ms",
    Seen.DROP: "state->drop_m",
    Seen.PRESSURE: "reading->pressure_pa",
    Seen.PUSH: "reading->push_ms2",
}
_HAS_HEIGHT = "state->has_height"
_ESTIMATED = (Seen.HEIGHT, Seen.CLIMB, Seen.DROP)


@dataclass(frozen=True)
class Leaf:
    """One comparison."""

    step: Step


@dataclass(frozen=True)
class Not:
    """The contrary of a condition that is neither a ``Not`` nor known beforehand."""

    inner: Node


@dataclass(frozen=True)
class Joined:
    """Two or more conditions of which all must hold (AND) or one (OR)."""

    op: Op
    parts: tuple[Node, ...]


Node = Leaf | Not | Joined | bool


def tree(condition: Sequence[Step]) -> Node:
    """Return a postfix condition as a tree, with what is known beforehand worked out."""
    stack: list[Node] = [True]
    for step in condition:
        if step.op == Op.NOT:
            stack.append(_contrary(stack.pop()))
        elif step.op in (Op.AND, Op.OR):
            right, left = stack.pop(), stack.pop()
            stack.append(_join(step.op, left, right))
        else:
            stack.append(_known(step))
    return stack[-1]


def _known(step: Step) -> Node:
    """Return a comparison; of the line, which is 0 or 1, what it comes to for either."""
    if step.seen != Seen.SWITCH:
        return Leaf(step)
    closed, opened = _compare(step, 0.0), _compare(step, 1.0)
    if closed == opened:
        return closed
    line_open = Leaf(Step(Op.AT_LEAST, Seen.SWITCH, 1.0))
    return line_open if opened else Not(line_open)


def _compare(step: Step, value: float) -> bool:
    limit = single(step.constant)
    answers = {
        Op.LESS: value < limit,
        Op.AT_MOST: value <= limit,
        Op.MORE: value > limit,
        Op.AT_LEAST: value >= limit,
    }
    return answers[step.op]


def _contrary(node: Node) -> Node:
    if isinstance(node, bool):
        return not node
    return node.inner if isinstance(node, Not) else Not(node)


def _join(op: Op, left: Node, right: Node) -> Node:
    decides = op == Op.OR  # the value of one part that decides the whole
    for one, other in ((left, right), (right, left)):
        if isinstance(one, bool):
            return decides if one == decides else other
    parts: list[Node] = []
    for node in (left, right):
        parts += node.parts if isinstance(node, Joined) and node.op == op else (node,)
    different = tuple(dict.fromkeys(parts))
    return different[0] if len(different) == 1 else Joined(op, different)


def sees(node: Node) -> set[Seen]:
    """Return everything that a condition looks at."""
    if isinstance(node, Leaf):
        return {node.step.seen}
    if isinstance(node, Not):
        return sees(node.inner)
    parts = node.parts if isinstance(node, Joined) else ()
    return {seen for part in parts for seen in sees(part)}


# ---------------------------------------------------------------- into words


def in_words(node: Node, within: Op | None = None) -> str:
    """Return a condition as a person would say it."""
    if isinstance(node, bool):
        return "always" if node else "never"
    if isinstance(node, Leaf):
        return _leaf_in_words(node.step)
    if isinstance(node, Not):
        if isinstance(node.inner, Leaf) and node.inner.step.seen == Seen.SWITCH:
            return "line closed"
        return f"not ({in_words(node.inner)})"
    joint = " and " if node.op == Op.AND else " or "
    text = joint.join(in_words(part, node.op) for part in node.parts)
    return f"({text})" if within is not None else text


def _leaf_in_words(step: Step) -> str:
    if step.seen == Seen.SWITCH:
        return "line open"
    name, unit = _NAMES[step.seen]
    return f"{name} {SIGNS[step.op]} {single(step.constant):.6g} {unit}"


# ---------------------------------------------------------------- into C


def in_c(node: Node, indent: str, own_function: Callable[[Node], str]) -> str:
    """Return a condition as a C expression, one comparison a line.

    ``own_function`` is given every part that is too long, and returns the call that replaces it.
    """
    if isinstance(node, bool):
        return "true" if node else "false"
    if isinstance(node, Leaf):
        return _leaf_in_c(node.step)
    if isinstance(node, Not):
        return f"(!{in_c(node.inner, indent + '  ', own_function)})"
    parts = _grouped(node.op, node.parts)
    limit = max(1, MOST_LEAVES // len(parts))
    inner = indent + " "
    estimates = [part for part in parts if _is_estimate(part)]
    texts = []
    for part in parts:
        if len(estimates) > 1 and _is_estimate(part):
            if part is estimates[0]:
                texts += _estimates_in_c(node.op, estimates, inner)
        elif _leaves(part) > limit:
            texts.append(own_function(part))
        else:
            texts.append(in_c(part, inner, own_function))
    return _joined_in_c(node.op, texts, inner)


def _is_estimate(node: Node) -> bool:
    return isinstance(node, Leaf) and node.step.seen in _ESTIMATED


def _estimates_in_c(op: Op, leaves: Sequence[Node], indent: str) -> list[str]:
    """Return several comparisons of estimates, with one look at whether there are any."""
    texts = [_compared(leaf.step) for leaf in leaves if isinstance(leaf, Leaf)]
    if op == Op.AND:
        return [_HAS_HEIGHT, *texts]
    return [_joined_in_c(Op.AND, [_HAS_HEIGHT, _joined_in_c(op, texts, indent + "  ")], indent)]


def _joined_in_c(op: Op, texts: Sequence[str], indent: str) -> str:
    sign = "&&" if op == Op.AND else "||"
    return "(" + f"\n{indent}{sign} ".join(texts) + ")"


def _leaves(node: Node) -> int:
    if isinstance(node, Joined):
        return sum(_leaves(part) for part in node.parts)
    return _leaves(node.inner) if isinstance(node, Not) else 1


def _grouped(op: Op, parts: tuple[Node, ...]) -> tuple[Node, ...]:
    """Return at most MOST_LEAVES parts, neighbours joined where there are more."""
    while len(parts) > MOST_LEAVES:
        groups = [parts[i : i + MOST_LEAVES] for i in range(0, len(parts), MOST_LEAVES)]
        parts = tuple(group[0] if len(group) == 1 else Joined(op, group) for group in groups)
    return parts


def _leaf_in_c(step: Step) -> str:
    if step.seen == Seen.SWITCH:
        return "reading->line_open"
    # Before the first good reading every comparison of an estimate is false.
    estimated = step.seen in _ESTIMATED
    return f"({_HAS_HEIGHT} && {_compared(step)})" if estimated else _compared(step)


def _compared(step: Step) -> str:
    return f"({_PLACES[step.seen]} {SIGNS[step.op]} {constant(step.constant)})"
