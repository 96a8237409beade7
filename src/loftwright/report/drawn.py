"""Strips on a page: drawn at every width, with the numbers that its cursor reads."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from markupsafe import Markup

from loftwright.report.readout import readout_json
from loftwright.report.strip import WIDTHS, Layout, draw_strip
from loftwright.report.strip_model import Strip

__all__ = ["BESIDE", "LAYOUTS", "all_widths", "drawn_strip", "gathered_strips", "strips_of_page"]

L = TypeVar("L")

HALF = Layout(540, 44, 80, 13, 12, 0.9, True, 6, 36)
# Two strips side by side on a laptop, one under the other on anything narrower.
BESIDE: dict[str, Layout] = WIDTHS | {"wide": HALF}
# As high as "wide", with more px a second: only for pages on a screen that has the room.
WIDEST = Layout(1500, 132, 104, 13, 12, 1.0, False, 14, 26)
# Every layout that a page draws a strip in.
LAYOUTS: dict[str, Layout] = WIDTHS | {"half": HALF, "widest": WIDEST}

_GATHERED: ContextVar[list[Strip] | None] = ContextVar("gathered strips", default=None)


def all_widths(widths: Mapping[str, L], draw: Callable[[L, str], str]) -> Markup:
    """Return a drawing at each page width; the style sheet shows one of them."""
    # Every drawing escapes its own words: what comes out is markup.
    return Markup("".join(draw(layout, kind) for kind, layout in widths.items()))


def drawn_strip(spec: Strip, widths: Mapping[str, Layout] = WIDTHS) -> Markup:
    """Return a strip at each page width."""
    return all_widths(widths, lambda layout, kind: draw_strip(spec, layout, kind))


def strips_of_page(strips: Sequence[Strip]) -> Markup:
    """Return the numbers behind the strips of a page, in the order of their ``data-strip``.

    Every page with strips calls this once; `gathered_strips` notes them.
    """
    gathered = _GATHERED.get()
    if gathered is not None:
        gathered.extend(strips)
    # Written so that no name ends the element that holds it.
    return Markup(readout_json(list(strips)))


@contextmanager
def gathered_strips() -> Iterator[list[Strip]]:
    """Yield a list that gets the strips of a page made meanwhile, each at its ``data-strip``."""
    gathered: list[Strip] = []
    token = _GATHERED.set(gathered)
    try:
        yield gathered
    finally:
        _GATHERED.reset(token)
