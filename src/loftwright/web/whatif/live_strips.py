"""Strips of the what-if at rest, kept for closer looks: those of the last few pages."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from loftwright.report.strip_model import Strip

__all__ = ["LiveStrips", "folder_of"]

MOST = 6  # pages whose strips are kept
_NAME = re.compile(r"[A-Za-z0-9-]{8,64}")


def folder_of(home: Path) -> Path:
    """Return where the strips of what-ifs lie, by page."""
    return home / ".loftwright" / "whatif"


class LiveStrips:
    """The strips of one page, which goes by the name ``who``."""

    def __init__(self, home: Path, who: str) -> None:
        named = _NAME.fullmatch(who) is not None
        self._folder = folder_of(home) / who if named else None

    @property
    def address(self) -> str:
        """Where pages ask for windows of them; "" for a page without a name."""
        return "" if self._folder is None else f"/strips/{self._folder.name}"

    def keep(self, strips: Sequence[Strip]) -> None:
        """Put these strips in the place of the page's earlier ones.

        Where they cannot be written, pages show them all the same, without closer looks.
        """
        from loftwright.report.strip_file import write_strip

        if self._folder is None:
            return
        place = self._folder / "strips"
        try:
            place.mkdir(parents=True, exist_ok=True)
            for number, strip in enumerate(strips):
                part = place / f"{number}.part"
                write_strip(part, strip)
                part.replace(place / f"{number}.npz")
            self._tidy()
        except OSError:
            return

    def _tidy(self) -> None:
        """Leave only the pages that asked last."""
        assert self._folder is not None
        os.utime(self._folder)  # what is written inside does not change its time
        pages = sorted(self._folder.parent.iterdir(), key=lambda path: path.stat().st_mtime)
        for path in pages[:-MOST]:
            shutil.rmtree(path, ignore_errors=True)
