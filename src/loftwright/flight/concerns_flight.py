"""What to think twice about before it flies: stability, and how it comes back."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.flight.concerns_pad import concern
from loftwright.flight.facts import Facts

__all__ = ["RULES", "comes_back_slowly"]

# Levers in body diameters that the trade keeps to (custom, not a standard).
LEAST_CALIBRES, MOST_CALIBRES = 1.0, 5.0

BALANCE = ("vehicle", "mass", "balance_from_nose")
FINS = ("vehicle", "fins")


def can_fly(facts: Facts) -> Iterator[Finding]:
    """A vehicle without fins is for the stand; nothing else about its flight is said then."""
    if not facts.flies:
        yield concern(
            "check-no-fins",
            FINS,
            "there are no fins: this can be fired on a stand but must not fly",
            "add [[fins]] before it leaves the stand",
        )


def stability(facts: Facts) -> Iterator[Finding]:
    """The air acts well behind the balance, with water in and without."""
    if not facts.flies:
        return
    full, empty = facts.calibres(facts.full), facts.calibres(facts.empty)
    lever = facts.bare_centre - facts.empty_bare.balance_from_nose
    bare = lever / facts.values["vehicle.body.diameter"]
    blames_payload = bool(facts.payloads) and empty < LEAST_CALIBRES <= bare
    on = " with the payload on" if facts.payloads else ""
    if empty < 0:
        yield concern(
            "check-unstable",
            FINS,
            f"the air acts {-empty:.1f} calibres ahead of the balance once the water is out{on}: "
            "it will tumble",
            "larger fins further aft, or weight in the nose",
        )
    elif empty < LEAST_CALIBRES:
        without = f" ({bare:.1f} without it)" if blames_payload else ""
        yield concern(
            "check-stability-low",
            (facts.payloads[0], "carried", "from_nose") if blames_payload else FINS,
            f"once the water is out the stability is {empty:.1f} calibres{on}{without}; "
            f"{LEAST_CALIBRES:.0f} is the least that is usual",
            "move the payload forward" if blames_payload else "larger fins, or weight in the nose",
        )
    elif full < LEAST_CALIBRES:
        yield _lost_with_water(full, empty)
    if max(full, empty) > MOST_CALIBRES:
        yield concern(
            "check-stability-high",
            FINS,
            f"the stability reaches {max(full, empty):.1f} calibres: it will turn hard into the "
            "wind",
            "smaller fins, or launch in little wind",
        )


def _lost_with_water(full: float, empty: float) -> Finding:
    word = "is lost" if full < 0 else "is low"
    shown = f"{full:.1f}".replace("-", "−")  # the minus of the figures beside it
    return concern(
        "check-stability-full",
        FINS,
        f"stability {word} while the water is in: {shown} calibres full, {empty:.1f} empty; "
        "a side wind or an off-centre push turns it before the fins work",
        "a longer guide, less water, or fins further aft; see how far it leans in forecast",
    )


def comes_back_slowly(facts: Facts) -> Iterator[Finding]:
    """Something brakes the fall of the vehicle."""
    if facts.flies and facts.words.get("vehicle.canopy.opens", "never") == "never":
        yield concern(
            "check-no-canopy",
            ("vehicle", "canopy"),
            "nothing brakes the fall: it comes down as fast as it can",
            "add [canopy], or clear the field and see its energy at the ground in forecast",
        )


RULES = (
    can_fly,
    stability,
    comes_back_slowly,
)
