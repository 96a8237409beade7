"""What looser steps of a glide cost: how far landings move from those of a far stricter engine.

    python benchmarks/glide_tolerance.py

Prints rows of the table in docs/speed.md. Those with stricter turning rates are printed where
``slots.TYPICAL_GLIDING`` is set to ``slots.TYPICAL``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from ensemble import bodies_of, winged

from loftwright.flight import engine
from loftwright.flight.kernel import slots

if TYPE_CHECKING:
    from collections.abc import Sequence

    from loftwright.flight.kernel.body import Body

FLIGHTS = 256
ASCENT = 1e-6
STRICT = 1e-10
GLIDES = (1e-6, 1e-5, 1e-4, 1e-3)
PLACE = (slots.DOWN_EAST, slots.DOWN_NORTH)


def glides(bodies: Sequence[Body], ascent: float, glide: float) -> Any:
    """Figures of the gliders of an ensemble, one row a flight."""
    flown = engine.fly_all(bodies, tolerance=ascent, descent_tolerance=glide)
    return flown.bodies["payload"]


def main() -> None:
    """Print a row for each tolerance of the glide."""
    bodies = bodies_of(winged(), FLIGHTS)
    best = glides(bodies, STRICT, STRICT)
    print("| glide | steps | landing, median | nine of ten within | worst |")
    print("|---|---|---|---|---|")
    for glide in GLIDES:
        found = glides(bodies, ASCENT, glide)
        off = np.hypot(*(found[:, place] - best[:, place] for place in PLACE))
        middle, most, worst = np.percentile(off, [50.0, 90.0, 100.0])
        steps = found[:, slots.STEPS].mean()
        print(f"| {glide:.0e} | {steps:.0f} | {middle:.2g} m | {most:.2g} m | {worst:.2g} m |")


if __name__ == "__main__":
    main()
