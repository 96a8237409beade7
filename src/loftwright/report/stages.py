"""The stages of a release program drawn: blocks from top to bottom, every way out with its words.

The way to the next stage runs straight down. All others run down or back up at the left, each on
a track of its own, so that no line meets a word.
"""

from __future__ import annotations

from dataclasses import dataclass

from loftwright.program.table import Exit
from loftwright.report import svg
from loftwright.report.folding import folded
from loftwright.report.stage_words import StagePicture, act_words, exit_words, flag_words
from loftwright.report.svg import Box
from loftwright.report.tracks import assign_tracks

__all__ = ["WIDTHS", "Frame", "draw_stages"]

STEP = 13.0  # px between two tracks
SPINE = 16.0  # from the left edge of a block to the line that leaves it
PAD = 9.0
GAP = 14.0  # between the words of a way out and the next block
ARROW = 6.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Sizes in px for one page width."""

    width: float
    type: float = 13.0
    small: float = 12.5

    @property
    def row(self) -> float:
        """From one baseline to the next."""
        return 1.36 * self.small


WIDTHS: dict[str, Frame] = {
    "wide": Frame(540),
    "medium": Frame(720),
    "narrow": Frame(340),
}


@dataclass(frozen=True, slots=True)
class _Way:
    """A way out with its place: from stage, to stage, where its words begin and end."""

    source: int
    exit: Exit
    heads: tuple[str, ...]
    lines: tuple[str, ...]
    top: float

    @property
    def aside(self) -> bool:
        """Whether it does not simply lead to the next stage."""
        return self.exit.to != self.source + 1


@dataclass(frozen=True, slots=True)
class _Placed:
    """All blocks and ways out with their places."""

    blocks: tuple[Box, ...]
    ways: tuple[_Way, ...]
    bottom: float


def draw_stages(picture: StagePicture, frame: Frame, kind: str = "") -> str:
    """Return the program as inline SVG for one page width."""
    tracks = _tracks(picture)
    placed = _place(picture, frame, max(tracks, default=-1) + 1)
    parts = [_block(picture, number, box, frame) for number, box in enumerate(placed.blocks)]
    parts += [_words(way, placed.blocks[way.source].left, frame) for way in placed.ways]
    parts.append(_spines(placed, frame))
    parts.append(_asides(placed, tracks, frame))
    return svg.document(
        frame.width, placed.bottom + 2, "".join(parts),
        title=f"Stages of {picture.table.name}",
        description=_described(picture),
        kind=f"strip stages {kind}".strip(),
    )  # fmt: skip


def _described(picture: StagePicture) -> str:
    table, said = picture.table, []
    for number, stage in enumerate(table.stages):
        does = "".join(f", {act_words(table, act)}" for act in stage.acts)
        said.append(f"{stage.name}{does}.")
        for way, condition in zip(stage.exits, picture.conditions[number], strict=True):
            said.append(f"To {table.stages[way.to].name} {exit_words(way, condition)}.")
    return " ".join(said)


# ---------------------------------------------------------------- places


def _tracks(picture: StagePicture) -> list[int]:
    """Return the track of each way aside, in the order of stages and of their ways out."""
    # In stage numbers, since their places on the page depend on how many tracks there are.
    spans = [
        (float(min(number + 0.5, way.to)), float(max(number + 0.5, way.to)))
        for number, stage in enumerate(picture.table.stages)
        for way in stage.exits
        if way.to != number + 1
    ]
    return assign_tracks(spans)


def _place(picture: StagePicture, frame: Frame, tracks: int) -> _Placed:
    left = 2.0 + (tracks * STEP + 8.0 if tracks else 0.0)
    right = frame.width - 2.0
    y, bottom, blocks, ways = 2.0, 0.0, [], []
    table = picture.table
    room = right - left - SPINE - 14.0
    for number, stage in enumerate(table.stages):
        box = Box(left, y, right, y + _block_height(picture, number, right - left, frame))
        blocks.append(box)
        bottom = box.bottom
        y = box.bottom + 8.0
        for way, condition in zip(stage.exits, picture.conditions[number], strict=True):
            back = " (back)" if way.to <= number else ""
            heads = folded(f"to {table.stages[way.to].name}{back}", room, frame.small, bold=True)
            lines = folded(exit_words(way, condition), room, frame.small)
            ways.append(_Way(number, way, tuple(heads), tuple(lines), y))
            y += frame.row * (len(heads) + len(lines)) + 5.0
            bottom = y
        y += GAP
    return _Placed(tuple(blocks), tuple(ways), bottom)


def _block_lines(
    picture: StagePicture, number: int, width: float, frame: Frame
) -> list[tuple[str, str]]:
    """Return the lines within a block below its name, each with its colour's role."""
    table = picture.table
    told = [(flag_words(table, number), "quiet")]
    told += [(f"– {act_words(table, act)}", "ink") for act in table.stages[number].acts]
    return [
        (line, role)
        for words, role in told
        if words
        for line in folded(words, width - 2 * PAD, frame.small)
    ]


def _block_height(picture: StagePicture, number: int, width: float, frame: Frame) -> float:
    lines = _block_lines(picture, number, width, frame)
    names = folded(picture.table.stages[number].name, width - 2 * PAD, frame.type, bold=True)
    return 2 * PAD + 1.2 * frame.type * len(names) + frame.row * len(lines)


# ---------------------------------------------------------------- drawing


def _block(picture: StagePicture, number: int, box: Box, frame: Frame) -> str:
    stage = picture.table.stages[number]
    role = "vehicle" if stage.acts else "rule"
    edge = "vehicle" if stage.marks_launch or stage.acts else "quiet"
    parts = [
        svg.rect(box, fill=f"var(--{role})", opacity=0.18 if stage.acts else 0.55),
        svg.rect(Box(box.left, box.top, box.left + 4, box.bottom), fill=f"var(--{edge})"),
    ]
    y = box.top + PAD + frame.type * 0.9
    inner = box.right - box.left - 2 * PAD
    for words in folded(stage.name, inner, frame.type, bold=True):
        parts.append(svg.text(box.left + PAD + 3, y, words, size=frame.type, bold=True))
        y += 1.2 * frame.type
    y += 0.15 * frame.type
    for words, role in _block_lines(picture, number, box.right - box.left, frame):
        parts.append(svg.text(box.left + PAD + 3, y, words, size=frame.small, role=role))
        y += frame.row
    return "".join(parts)


def _words(way: _Way, left: float, frame: Frame) -> str:
    x, y, parts = left + SPINE + 14.0, way.top + frame.small, []
    for number, line in enumerate((*way.heads, *way.lines)):
        bold = number < len(way.heads)
        parts.append(svg.text(x, y, line, size=frame.small, bold=bold))
        y += frame.row
    return "".join(parts)


def _turn(way: _Way, frame: Frame) -> float:
    """Return at which height a way leaves the spine of its stage."""
    return way.top + 0.62 * frame.small


def _spines(placed: _Placed, frame: Frame) -> str:
    parts = []
    for number, box in enumerate(placed.blocks):
        own = [way for way in placed.ways if way.source == number]
        if not own:
            continue
        x = box.left + SPINE
        on = any(not way.aside for way in own)
        stop = placed.blocks[number + 1].top if on else _turn(own[-1], frame)
        parts.append(svg.line(x, box.bottom, x, stop - (1.0 if on else 0.0), role="ink", width=1.5))
        if on:
            parts.append(_head(x, stop, "down"))
        for way in own:
            if not way.aside:
                y = _turn(way, frame)
                parts.append(svg.line(x, y, x + 9, y, role="ink", width=1.5))
    return "".join(parts)


def _asides(placed: _Placed, tracks: list[int], frame: Frame) -> str:
    parts = []
    ways = [way for way in placed.ways if way.aside]
    for way, track in zip(ways, tracks, strict=True):
        box = placed.blocks[way.exit.to]
        x, spine = box.left - 12.0 - track * STEP, box.left + SPINE
        start, end = _turn(way, frame), _entry(box)
        path = svg.polyline([(spine + 9, start), (x, start), (x, end), (box.left - 1, end)])
        dash = ' stroke-dasharray="6 3"' if way.exit.to <= way.source else ""
        parts.append(f'<path d="{path}" fill="none" stroke="var(--ink)" stroke-width="1.5"{dash}/>')
        parts.append(_head(box.left, end, "right"))
    return "".join(parts)


def _entry(box: Box) -> float:
    return box.top + PAD + 5.0


def _head(x: float, y: float, way: str) -> str:
    """Return an arrow head whose tip is at a place."""
    if way == "down":
        points = [(x - 4, y - ARROW), (x + 4, y - ARROW), (x, y)]
    else:
        points = [(x - ARROW, y - 4), (x - ARROW, y + 4), (x, y)]
    return f'<path d="{svg.polyline(points, close=True)}" fill="var(--ink)"/>'
