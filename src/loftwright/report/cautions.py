"""The cautions that every check, report and readme carries: plain strings, nothing heavier."""

from __future__ import annotations

__all__ = ["CAUTIONS", "DEFERENCE", "SHORT", "cautions_text"]

CAUTIONS: tuple[str, ...] = (
    "A pressurised plastic bottle can burst without warning and throw pieces hard enough to "
    "injure. Scratches, heat, glue, sunlight and age weaken it; retire it early.",
    "Proof-test every vessel filled with water, never with air alone, above the pressure you "
    "will fly at, with everybody well away.",
    "Pressurise and release from a distance. Nobody approaches a pressurised vehicle: vent it "
    "from where you stand, then wait.",
    "Wear eye protection, everybody, from the first stroke of the pump until it is vented or "
    "flown.",
    "Keep a clear area: under the flight, downwind, and all around the pad. Point nothing at "
    "people. Count down aloud.",
    "What goes up comes down, with or without its canopy. Watch it all the way, warn people, "
    "never try to catch it.",
)

DEFERENCE = (
    "Follow local codes and the rules of the air, and ask the landowner. These figures come from "
    "a model and from what its user wrote down; they do not replace judgement, experience or "
    "licensed practice where that is required."
)

SHORT = (
    "Pressurised bottles burst and rockets fall. Proof-test with water, release from a distance,\n"
    "protect eyes, keep the area clear; follow local codes, the landowner and licensed practice."
)


def cautions_text(width: int = 78) -> str:
    """Return the cautions as plain text for a terminal or a readme, ``width`` columns wide."""
    import textwrap

    points = [
        textwrap.fill(point, width, initial_indent="- ", subsequent_indent="  ")
        for point in CAUTIONS
    ]
    return "\n".join([*points, textwrap.fill(DEFERENCE, width)])
