"""Every word of the workbench stands in the architecture, with where it comes from."""

from __future__ import annotations

from pathlib import Path

import pytest
from house.workbench_words import TAGS, words_of

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "ARCHITECTURE.md").read_text(encoding="utf-8")
LISTED = PAGE.partition("## Words and marks of the workbench")[2].partition("\n## ")[0]
WORDS = {
    word.strip()
    for line in LISTED.splitlines()
    for cell in line.split("|")
    for word in cell.split(" · ")
}


@pytest.mark.parametrize("tag", TAGS)
def test_every_word_is_listed(tag: str) -> None:
    assert words_of(tag) - WORDS == set()
