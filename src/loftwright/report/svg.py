"""Writing SVG: escaped text, lines, paths, and the room a word takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from html import escape as _html_escape
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = [
    "Box",
    "document",
    "escape",
    "group",
    "line",
    "num",
    "polyline",
    "polyline_of",
    "rect",
    "shortened",
    "text",
    "text_box",
    "text_width",
]

_NARROW = frozenset("iljI.,:;'|!\u00a0\u202f ")
_SLIM = frozenset('ftr()[]-/"')
_WIDE = frozenset("mMW%@—")
_LEGAL_CONTROL = frozenset("\t\n\r")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the page, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come closer than ``gap`` in both directions."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


def escape(words: object) -> str:
    """Return ``words`` safe inside XML text and quoted attributes, control characters dropped."""
    kept = str(words)
    if not kept.isprintable():  # what is printable is legal
        kept = "".join(c for c in kept if _legal(c))
    return _html_escape(kept, quote=True)


def _legal(char: str) -> bool:
    # What XML 1.0 (production 2, "Char") allows.
    code = ord(char)
    if code < 0x20:
        return char in _LEGAL_CONTROL
    return not (0xD800 <= code <= 0xDFFF or code in (0xFFFE, 0xFFFF))


def num(value: float) -> str:
    """Return a coordinate with one decimal at most, as short as can be."""
    short = f"{value:.1f}"
    short = short.removesuffix(".0")
    return "0" if short == "-0" else short


def _char_width(char: str) -> float:
    if char in _NARROW:
        return 0.33
    if char in _SLIM:
        return 0.42
    if char in _WIDE:
        return 0.96
    if char == "w":
        return 0.82
    return 0.70 if char.isupper() else 0.635


def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Estimate the width of ``words`` in px at ``size`` px, on the wide side of common faces."""
    return sum(map(_char_width, words)) * size * (1.1 if bold else 1.0)


def shortened(words: str, width: float, size: float) -> str:
    """Return as much of ``words`` as fits into ``width`` px, with dots for what does not."""
    if text_width(words, size) <= width:
        return words
    kept = words
    while kept and text_width(f"{kept}…", size) > width:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def text_box(
    x: float, y: float, words: str, size: float, *, anchor: str = "start", bold: bool = False
) -> Box:
    """Return the room taken by a text with its baseline at ``y``."""
    width = text_width(words, size, bold=bold)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return Box(left, y - 0.8 * size, left + width, y + 0.25 * size)


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float,
    role: str = "ink",
    anchor: str = "start",
    bold: bool = False,
    kind: str = "",
) -> str:
    """Return a text element in the colour of ``role``; ``kind`` adds CSS classes."""
    classes = f"t {kind}".strip()
    weight = ' font-weight="600"' if bold else ""
    place = "" if anchor == "start" else f' text-anchor="{anchor}"'
    return (
        f'<text class="{classes}" x="{num(x)}" y="{num(y)}" font-size="{num(size)}" '
        f'fill="var(--{role})"{place}{weight}>{escape(words)}</text>'
    )


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    role: str = "rule",
    width: float = 1.0,
    dash: str = "",
    kind: str = "",
) -> str:
    """Return a straight line."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    classes = f' class="{kind}"' if kind else ""
    return (
        f'<line{classes} x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}" '
        f'stroke="var(--{role})" stroke-width="{num(width)}"{dashes}/>'
    )


def rect(box: Box, *, fill: str, opacity: float = 1.0) -> str:
    """Return a filled rectangle; ``fill`` is any CSS colour."""
    shade = "" if opacity == 1.0 else f' fill-opacity="{opacity:g}"'
    return (
        f'<rect x="{num(box.left)}" y="{num(box.top)}" width="{num(box.right - box.left)}" '
        f'height="{num(box.bottom - box.top)}" fill="{fill}"{shade}/>'
    )


def group(kind: str, body: str, data: dict[str, float] | None = None) -> str:
    """Return ``body`` as a group of CSS class ``kind``, so that it can be moved as one."""
    extra = "".join(f' data-{k}="{num(v)}"' for k, v in (data or {}).items())
    return f'<g class="{kind}"{extra}>{body}</g>'


def polyline(points: Iterable[tuple[float, float]], *, close: bool = False) -> str:
    """Return path data through ``points``, relative and short."""
    parts: list[str] = []
    last = (0, 0)
    for x, y in points:
        # Tenths of a pixel as whole numbers, so that relative steps never drift.
        here = (round(x * 10), round(y * 10))
        step = (here[0] - last[0], here[1] - last[1])
        if not parts:
            parts.append(f"M{_tenths(here[0])},{_tenths(here[1])}")
        elif step != (0, 0):
            parts.append(f"l{_tenths(step[0])},{_tenths(step[1])}")
        last = here
    return "".join(parts) + ("Z" if close and parts else "")


def polyline_of(x: Floats, y: Floats, *, close: bool = False) -> str:
    """Return the same of two arrays ``(n,)``."""
    if len(x) == 0:
        return ""
    here = _rounded(x, y)
    steps = here[1:] - here[:-1]
    moved = steps[(steps != 0).any(axis=1)].tolist()
    first = f"M{_tenths(int(here[0, 0]))},{_tenths(int(here[0, 1]))}"
    return first + "".join([f"l{_tenths(i)},{_tenths(j)}" for i, j in moved]) + "Z" * close


def _rounded(x: Floats, y: Floats) -> Any:
    import numpy as np

    return np.rint(np.stack((x, y), axis=1) * 10.0).astype(np.int64)


@lru_cache(maxsize=16_384)
def _tenths(count: int) -> str:
    return num(count / 10)


def document(
    width: float,
    height: float,
    body: str,
    *,
    title: str,
    description: str,
    kind: str,
    data: dict[str, float] | None = None,
) -> str:
    """Wrap ``body`` as an accessible inline SVG of CSS class ``kind``."""
    extra = "".join(f' data-{k}="{v:.12g}"' for k, v in (data or {}).items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind}" role="img" '
        f'viewBox="0 0 {num(width)} {num(height)}" '
        f'data-width="{num(width)}"{extra}>'
        f"<title>{escape(title)}</title><desc>{escape(description)}</desc>{body}</svg>"
    )
