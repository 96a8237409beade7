"""The words that the templates of the workbench show as headings, buttons and lists that open."""

from __future__ import annotations

import re
from pathlib import Path

TEMPLATES = Path(__file__).resolve().parents[2] / "src" / "loftwright" / "web" / "templates"
TAGS = ("h1", "h2", "legend", "summary", "button")


def words_of(tag: str) -> set[str]:
    """Return what stands in elements of a kind; what a page puts in is ``…``."""
    found = set()
    for template in TEMPLATES.glob("*.j2"):
        text = template.read_text(encoding="utf-8")
        for inside in re.findall(rf"<{tag}\b[^>]*>(.*?)</{tag}>", text, re.DOTALL):
            plain = re.sub(r"<[^>]+>", "", inside)
            plain = re.sub(r"\{%.*?%\}", " / ", plain)
            plain = " ".join(re.sub(r"\{\{.*?\}\}", "…", plain).split())
            if plain.strip("… :/"):
                found.add(plain)
    return found


if __name__ == "__main__":
    for each in TAGS:
        print(f"{each}: {' · '.join(sorted(words_of(each)))}\n")
