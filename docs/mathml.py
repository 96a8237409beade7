"""Equations as MathML, which every browser draws by itself: no script, no font, no network."""

from __future__ import annotations

from typing import Any

from docutils.nodes import SkipNode
from docutils.utils.math import MathError, latex2mathml
from sphinx.util import logging

LOG = logging.getLogger(__name__)


def markup(tex: str, *, is_display: bool, location: Any = None) -> str:
    """Return ``tex`` as MathML; what cannot be translated is a warning, and shown as it stands."""
    try:
        return latex2mathml.tex2mathml(tex, as_block=is_display)
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
