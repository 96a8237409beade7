"""Equations as MathML, which every browser draws by itself: no script, no font, no network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from docutils.nodes import SkipNode
from docutils.utils.math import MathError, latex2mathml
from sphinx.util import logging

LOG = logging.getLogger(__name__)

# How many arguments a command takes; TeX lets their braces go, the translator does not.
ACCENTS = (r"\dot", r"\ddot", r"\bar", r"\vec", r"\hat", r"\tilde")
ARGUMENTS = {
    **dict.fromkeys((r"\frac", r"\tfrac", r"\dfrac"), 2),
    **dict.fromkeys((r"\sqrt", *ACCENTS), 1),
}
_TOKEN = re.compile(r"\\[A-Za-z]+|\\.|\s+|.", re.DOTALL)


def braced(tex: str) -> str:
    """Return ``tex`` with braces around every argument that TeX would take without them."""
    tokens = iter(_TOKEN.findall(tex))
    return "".join(_piece(token, tokens) for token in tokens)


def _piece(token: str, tokens: Iterator[str]) -> str:
    count = ARGUMENTS.get(token, 0)
    whole = token + "".join(_argument(tokens) for _ in range(count))
    # Within braces, or an index that follows would be set under the letter.
    return "{" + whole + "}" if token in ACCENTS else whole


def _argument(tokens: Iterator[str]) -> str:
    """Return the next argument in braces, taking from ``tokens`` what belongs to it."""
    token = next((each for each in tokens if not each.isspace()), "")
    if token == "[":  # the optional one of a root
        return "[" + _until("]", tokens) + "]" + _argument(tokens)
    if token != "{":
        return "{" + _piece(token, tokens) + "}"
    return "{" + _until("}", tokens) + "}"


def _until(end: str, tokens: Iterator[str]) -> str:
    parts: list[str] = []
    depth = 0
    for token in tokens:
        if token == end and depth == 0:
            break
        depth += (token == "{") - (token == "}")
        parts.append(_piece(token, tokens))
    return "".join(parts)


def markup(tex: str, *, is_display: bool, location: Any = None) -> str:
    """Return ``tex`` as MathML; what cannot be translated is a warning, and shown as it stands."""
    try:
        made = latex2mathml.tex2mathml(braced(tex), as_block=is_display)
        # Without a font for mathematics, browsers set an accent into its letter.
        return made.replace('<mover accent="true">', "<mover>").replace("˙", ".")
    except MathError as error:
        LOG.warning("equation not understood: %s: %s", error, tex, location=location)
        return f"<code>{tex}</code>"


def inline(self: Any, node: Any) -> None:
    """Write an equation within a line."""
    self.body.append(markup(node.astext(), is_display=False, location=node))
    raise SkipNode


def display(self: Any, node: Any) -> None:
    """Write an equation on lines of its own."""
    body = markup(node.astext(), is_display=True, location=node)
    self.body.append(f'<div class="math" tabindex="0">{body}</div>')
    raise SkipNode
