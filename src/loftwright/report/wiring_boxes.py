"""Boxes of the wiring drawing: a part with its words, a bay as a frame around its sensors."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from loftwright.report import svg
from loftwright.report.folding import folded
from loftwright.report.svg import Box
from loftwright.report.wiring_picture import BayFrame, Node, WiringPicture

__all__ = ["Item", "PartBox", "draw_boxes", "draw_net", "items_of"]

PAD = 7.0
BESIDE = 10.0  # between the boxes in a frame
TYPE, SMALL = 13.0, 12.0
ROW = 1.32 * SMALL
ARROW = 6.0
PORT = 15.0  # px between two lines that end at one part
# of each kind of line: its colour, its width, its dashes, whether it ends in an arrow
LINES = {
    "power": ("ink", 2.2, "", False),
    "sensed": ("quiet", 1.3, "", True),
    "told": ("vehicle", 1.3, "5 3", True),
    "works": ("vehicle", 2.2, "", True),
}


@dataclass(frozen=True, slots=True)
class PartBox:
    """A part with its place."""

    node: Node
    box: Box


@dataclass(frozen=True, slots=True)
class Item:
    """What is placed as one: a part, or a bay with all its sensors; ``width`` in px."""

    nodes: tuple[Node, ...]
    width: float
    least: tuple[float, ...]  # heights of the nodes that their lines need, px
    frame: BayFrame | None = None

    @property
    def height(self) -> float:
        """The room that it needs, px."""
        inside = sum(self.heights)
        if self.frame is None:
            return inside
        return self.head + inside + BESIDE * len(self.nodes) + self.foot

    @property
    def heights(self) -> list[float]:
        """The height of each part inside, px."""
        return [
            max(node_height(node, self.inner), least)
            for node, least in zip(self.nodes, self.least, strict=True)
        ]

    @property
    def inner(self) -> float:
        """The width of the parts inside."""
        return self.width - (2 * PAD if self.frame else 0.0)

    @property
    def head(self) -> float:
        """The room for the words of a frame, px."""
        return 6.0 + ROW * len(frame_lines(self.frame, self.width)) if self.frame else 0.0

    @property
    def foot(self) -> float:
        """The room for what is said of a frame, px."""
        return ROW * len(says_lines(self.frame.says, self.width)) if self.frame else 0.0

    def placed(self, left: float, top: float) -> list[PartBox]:
        """Return the parts with their places."""
        y, x, boxes = top + self.head, left + 0.5 * (self.width - self.inner), []
        for node, high in zip(self.nodes, self.heights, strict=True):
            boxes.append(PartBox(node, Box(x, y, x + self.inner, y + high)))
            y += high + BESIDE
        return boxes


def items_of(
    picture: WiringPicture, kinds: Iterable[str], width: float, *, frames: bool = True
) -> list[Item]:
    """Return parts of some kinds as items, sensors of one bay together where ``frames`` says so."""
    items: list[Item] = []
    wanted = [node for node in picture.nodes if node.kind in set(kinds)]
    for bay in picture.bays if frames else ():
        inside = tuple(node for node in wanted if node.bay == bay.name)
        if inside:
            items.append(Item(inside, width, _least(picture, inside), bay))
    known = {bay.name for bay in picture.bays} if frames else set()
    return items + [
        Item((node,), width, _least(picture, (node,))) for node in wanted if node.bay not in known
    ]


def _least(picture: WiringPicture, nodes: Iterable[Node]) -> tuple[float, ...]:
    """Return the height that the lines of each part need to stay apart."""
    heights = []
    for node in nodes:
        sides = [
            sum(node.id in net.sinks for net in picture.nets),
            sum(node.id == net.source for net in picture.nets),
        ]
        heights.append(PORT * (max(sides) + 1))
    return tuple(heights)


# ---------------------------------------------------------------- words


def frame_lines(frame: BayFrame | None, width: float) -> list[tuple[str, bool]]:
    """Return the lines at the top of a frame, and whether each is bold."""
    if frame is None:
        return []
    room = width - 2 * PAD
    named = [(line, True) for line in folded(frame.name, room, SMALL, bold=True)]
    return named + [(line, False) for line in folded(frame.words, room, SMALL)]


def says_lines(says: str, width: float) -> list[str]:
    """Return what is said of a shared thing, folded."""
    return folded(says, width - 2 * PAD, SMALL) if says else []


def node_height(node: Node, width: float) -> float:
    """Return the room that a part needs, px."""
    names = folded(node.name, width - 2 * PAD, TYPE, bold=True)
    words = [line for each in node.words for line in folded(each, width - 2 * PAD, SMALL)]
    rows = len(words) + len(says_lines(_marked(node), width))
    return 2 * PAD + 1.2 * TYPE * len(names) + ROW * rows


def _marked(node: Node) -> str:
    return f"! {node.says}" if node.warns else node.says


# ---------------------------------------------------------------- drawing


def draw_boxes(boxes: list[PartBox], frames: list[tuple[Item, Box]]) -> str:
    """Return all frames and parts, frames beneath."""
    drawn = [_frame(item, box) for item, box in frames]
    return "".join([*drawn, *(_part(each) for each in boxes)])


def _edge(box: Box, role: str, width: float, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<rect x="{svg.num(box.left)}" y="{svg.num(box.top)}" '
        f'width="{svg.num(box.right - box.left)}" height="{svg.num(box.bottom - box.top)}" '
        f'fill="none" stroke="var(--{role})" stroke-width="{svg.num(width)}"{dashes}/>'
    )


def _frame(item: Item, box: Box) -> str:
    parts = [
        svg.rect(box, fill="var(--rule)", opacity=0.35),
        _edge(box, "quiet", 1.0, "3 3"),
    ]
    y = box.top + 3.0 + SMALL
    for words, bold in frame_lines(item.frame, item.width):
        role = "ink" if bold else "quiet"
        parts.append(svg.text(box.left + PAD, y, words, size=SMALL, role=role, bold=bold))
        y += ROW
    y = box.bottom - item.foot + SMALL - 5.0
    for words in says_lines(item.frame.says if item.frame else "", item.width):
        parts.append(svg.text(box.left + PAD, y, words, size=SMALL))
        y += ROW
    return "".join(parts)


def _part(placed: PartBox) -> str:
    node, box = placed.node, placed.box
    width = box.right - box.left
    role = "warning" if node.warns else "vehicle" if node.kind == "work" else "ink"
    heavy = node.kind in ("controller", "work") or bool(node.says)
    parts = [svg.rect(box, fill="var(--shell)"), _edge(box, role, 1.8 if heavy else 1.0)]
    y = box.top + PAD + 0.9 * TYPE
    for words in folded(node.name, width - 2 * PAD, TYPE, bold=True):
        parts.append(svg.text(box.left + PAD, y, words, size=TYPE, bold=True))
        y += 1.2 * TYPE
    y += 0.1 * TYPE
    quiet = [line for each in node.words for line in folded(each, width - 2 * PAD, SMALL)]
    for words in quiet:
        parts.append(svg.text(box.left + PAD, y, words, size=SMALL, role="quiet"))
        y += ROW
    for words in says_lines(_marked(node), width):
        parts.append(svg.text(box.left + PAD, y, words, size=SMALL,
                              role="warning" if node.warns else "ink"))  # fmt: skip
        y += ROW
    return "".join(parts)


def draw_net(
    kind: str,
    pieces: list[list[tuple[float, float]]],
    tips: list[tuple[float, float, float]],
    joints: list[tuple[float, float]],
) -> str:
    """Return one line: its pieces, its arrow tips (x, y, 1 rightwards or -1), its joints."""
    role, width, dash, pointed = LINES[kind]
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    data = "".join(svg.polyline(piece) for piece in pieces)
    parts = [
        f'<path d="{data}" fill="none" stroke="var(--{role})" stroke-width="{svg.num(width)}" '
        f'stroke-linejoin="round"{dashes}/>'
    ]
    for x, y, way in tips if pointed else []:
        points = [(x - way * ARROW, y - 3.5), (x - way * ARROW, y + 3.5), (x, y)]
        parts.append(f'<path d="{svg.polyline(points, close=True)}" fill="var(--{role})"/>')
    for x, y in joints:
        parts.append(svg.rect(Box(x - 2.5, y - 2.5, x + 2.5, y + 2.5), fill=f"var(--{role})"))
    return "".join(parts)
