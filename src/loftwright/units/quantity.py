"""A number with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Quantity"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in SI units with one standard deviation (0 when it is taken as exact)."""

    value: float
    sd: float = 0.0

    def __float__(self) -> float:
        return self.value
