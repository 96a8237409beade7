"""A column of a recorded file from end to end, small: enough to see that it is read wrongly."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from markupsafe import Markup

from loftwright.report import svg

__all__ = ["draw_column"]

WIDTH, HEIGHT = 220, 56  # px
MARGIN = 3.0  # px


def draw_column(
    low: Sequence[float], high: Sequence[float], words: str, *, used: bool = True
) -> Markup:
    """Return a column's least and most over equal parts of its rows as an SVG drawing.

    ``words`` say what is drawn, for who cannot see it; a column that is not ``used`` is quiet.
    Empty where there is no number.
    """
    known = [
        (place, least, most)
        for place, (least, most) in enumerate(zip(low, high, strict=True))
        if isfinite(least) and isfinite(most)
    ]
    if not known:
        return Markup("")
    bottom, top = min(each[1] for each in known), max(each[2] for each in known)
    across = (WIDTH - 2 * MARGIN) / max(len(low) - 1, 1)
    up = (HEIGHT - 2 * MARGIN) / ((top - bottom) or 1.0)

    def place(row: int, value: float) -> str:
        height = HEIGHT / 2 if top == bottom else HEIGHT - MARGIN - up * (value - bottom)
        return f"{svg.num(MARGIN + across * row)},{svg.num(height)}"

    # There and back: most along the top, least along the bottom, filled between.
    there = [place(row, most) for row, _, most in known]
    back = [place(row, least) for row, least, _ in reversed(known)]
    kind = "used" if used else "unused"
    return Markup(
        f'<svg class="column-plot {kind}" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{svg.escape(words)}"><polygon points="{" ".join([*there, *back])}"/></svg>'
    )
