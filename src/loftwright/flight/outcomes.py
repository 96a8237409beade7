"""How a flight can end, as a sentence a person reads."""

from __future__ import annotations

from typing import Final

from loftwright.flight.kernel import slots

__all__ = ["sentence", "sentences"]

_SENTENCES: Final = {
    slots.LANDED: "Flew and came down.",
    slots.STAYED: "Did not leave the guide: the push was too weak, or too short for its length.",
    slots.FIRED: "Fired on the stand.",
    slots.OUT_OF_TIME: "Was still up after an hour of flight; the flight was cut there.",
    slots.HUNG: "Flew, and was caught by what stands on the ground.",
    slots.LOST: "Could not be computed to the end: the motion became too violent for the model, "
    "as with enormous fins or a throat as wide as the vessel.",
}


def sentence(outcome: float) -> str:
    """Return the sentence of an outcome code of the kernel."""
    return _SENTENCES[int(outcome)]


def sentences() -> dict[int, str]:
    """Return every outcome code with its sentence."""
    return dict(_SENTENCES)
