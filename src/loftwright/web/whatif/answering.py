"""What the process of the what-if does with a question: fly, compare with the baseline, draw."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from loftwright.cli.whatif import FLIGHTS
from loftwright.debrief.scoring.kept_flights import programs_fly
from loftwright.debrief.whatif import PROGRAM, WhatIfPrograms
from loftwright.documents import Campaign, read_campaign
from loftwright.documents.worked import flying
from loftwright.errors import ProblemError
from loftwright.report.whatif_page import whatif_at_rest, whatif_picture
from loftwright.study.figures import known_keys, short_name
from loftwright.study.whatif import AT_ONCE, Question, WhatIf
from loftwright.web.bench import stamps_of
from loftwright.web.whatif.live_strips import LiveStrips

__all__ = ["Answering"]

SIZES = (AT_ONCE, 2 * AT_ONCE)  # flights at once: the most that this machine flies in time
IN_TIME = 0.03  # s that flying may take of the whole
KEPT = 8  # questions whose flights are kept: of the hand's and of the baseline


class Answering:
    """The campaign of a folder, loaded, with the flights of the last few questions."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.at_once = AT_ONCE
        self._stamps: Any = None
        self._of = ""  # what flies as the documents stand, whatever values are asked
        self._by: dict[bool, WhatIf] = {}
        self._kept: OrderedDict[Any, Question] = OrderedDict()

    def warm(self) -> bool:
        """Load and try the engine, and see how many flights it has time for; False if it cannot.

        What is wrong with the documents is told when somebody asks.
        """
        try:
            self._look()
            for _ in range(2):  # the first loads what is compiled
                question = self._by[False].ask({}, sketched=True)
                begin = time.perf_counter()
                question.fly(AT_ONCE)
                lasted = time.perf_counter() - begin
                whatif_picture(question.answer())
        except ProblemError:
            return False
        fit = [size for size in SIZES if lasted * size / AT_ONCE <= IN_TIME]
        self.at_once = max(fit, default=SIZES[0])
        return True

    def answer(
        self,
        asked: dict[str, Any],
        quiet: Callable[[], bool],
        flown: Callable[[], None] = lambda: None,
    ) -> dict[str, Any] | None:
        """Answer a question; None where somebody else began to wait before it was done.

        ``flown`` is called between the flights and the drawing of a quick one.

        Raises ``ProblemError`` where documents or values cannot be read.
        """
        self._look()
        programs = bool(asked["programs"]) or any(
            name.startswith(PROGRAM) for name in {**asked["values"], **(asked["pinned"] or {})}
        )
        fine = asked["fine"]
        go_on = quiet if fine else _always
        now = self._flown(asked["values"], programs, fine, go_on)
        pinned = None
        if asked["pinned"] is not None:
            pinned = self._flown(asked["pinned"], programs, fine, go_on)
            if pinned is None:
                return None
        if now is None or not go_on():
            return None
        if not fine:
            flown()
        shelf = LiveStrips(self.home, asked["who"]) if fine else None
        picture = whatif_picture(
            now.answer(),
            None if pinned is None else pinned.answer(),
            against=asked["against"],
            width=asked["width"],
            address="" if shelf is None else shelf.address,
        )
        if shelf is not None:
            shelf.keep(picture.strips)
        found = {
            "glance": picture.glance,
            "html": picture.drawn,
            "flights": now.done,
            "decided_by": "programs" if programs else "documents",
            "of": self._of,
        }
        if fine:
            found |= {"rest": whatif_at_rest(now.campaign), "figures": _figures(now.campaign)}
        return found

    def _look(self) -> None:
        """Read the documents anew if one of them has changed."""
        stamps = stamps_of(self.home)
        if stamps == self._stamps:
            return
        self._kept.clear()
        self._by.clear()
        campaign = read_campaign(self.home)
        self._of = flying(campaign)
        self._by[False] = WhatIf(campaign)
        if programs_fly(campaign):
            self._by[True] = WhatIfPrograms(campaign)
        self._stamps = stamps

    def _flown(
        self, values: dict[str, str], programs: bool, fine: bool, go_on: Callable[[], bool]
    ) -> Question | None:
        """Return the question with its flights; None where it was broken off."""
        key = (programs, fine, tuple(sorted(values.items())))
        question = self._kept.get(key)
        if question is None:
            by = self._by.get(programs) or WhatIfPrograms(self._by[False].campaign)
            question = by.ask(values, sketched=not fine)
            self._kept[key] = question
        self._kept.move_to_end(key)
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return question if question.fly(FLIGHTS if fine else self.at_once, go_on) else None


def _always() -> bool:
    return True


def _figures(campaign: Campaign) -> list[str]:
    """Return the figures that a search can aim at, by their short names."""
    return sorted({short_name(key) for key in known_keys(campaign)})
