"""Three vehicles by our sums and by a vortex lattice: the table in the docs, made from this.

Run ``python tests/flight/two_routes.py`` to write it anew; a test fails when it is stale.
"""

from __future__ import annotations

import sys
from functools import cache
from math import pi
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from flight.campaigns import example
from flight.test_shape import CONE_THREE_FINS, CONE_WORDS, OGIVE_BOAT_TAIL, OGIVE_WORDS
from flight.vortex_lattice import (
    Fins,
    Floats,
    Force,
    body_by_strips,
    fins_by_lattice,
    together,
)
from outside import same_page

from loftwright.documents.flatten import flatten
from loftwright.flight.shape import aerodynamic_centre, aerodynamics

PAGE = Path(__file__).parents[2] / "docs" / "physics" / "aerodynamics.md"
FIRST, LAST = "<!-- two routes -->\n", "<!-- end of two routes -->"


class Routes(NamedTuple):
    """One vehicle both ways; slopes per radian on the body's cross-section, places in metres."""

    parts: dict[str, tuple[Force, Force]]
    length: float


def _demo() -> tuple[Any, Any]:
    values, _, words = flatten(example("sedge-lift"))
    return values, words


VEHICLES = {
    "cone, three fins": lambda: (CONE_THREE_FINS, CONE_WORDS),
    "ogive, four fins, boat-tail": lambda: (OGIVE_BOAT_TAIL, OGIVE_WORDS),
    "the demo, ogive, four fins, shoulder": _demo,
}


def _contour(values: Any, words: Any) -> Any:
    """Radius along the body, from its dimensions."""
    radius, nose = 0.5 * values["vehicle.body.diameter"], values["vehicle.nose.length"]
    length, tail = values["vehicle.body.length"], values.get("vehicle.tail.length", 0.0)
    end = 0.5 * values.get("vehicle.tail.diameter", 2.0 * radius)
    arc = (radius**2 + nose**2) / (2.0 * radius)  # of a tangent ogive

    def at(x: Floats) -> Floats:
        forward = np.clip(x, 0.0, nose)
        pointed = (
            radius * forward / nose
            if words["vehicle.nose.profile"] == "cone"
            else np.sqrt(arc**2 - (nose - forward) ** 2) + radius - arc
        )
        narrowed = (radius - end) * np.clip((x - length + tail) / max(tail, 1e-9), 0.0, 1.0)
        return np.asarray(pointed - narrowed)

    return at


@cache
def routes(name: str) -> Routes:
    """Take one vehicle both ways."""
    values, words = VEHICLES[name]()
    aero = aerodynamics(values, words)
    row = {key.rsplit(".", 1)[1]: v for key, v in values.items() if ".fins.0." in key}
    shape = Fins(
        words["vehicle.fins.0.count"], row["root_chord"], row["tip_chord"], row["span"],
        row["sweep"], row["from_nose"], 0.5 * values["vehicle.body.diameter"],
    )  # fmt: skip
    area = 0.25 * pi * values["vehicle.body.diameter"] ** 2
    length = values["vehicle.body.length"]
    contour, nose = _contour(values, words), values["vehicle.nose.length"]
    parts = {
        "nose": (Force(aero.nose_slope, aero.nose_centre), body_by_strips(contour, 0.0, nose)),
        "fins with body": (
            Force(aero.fin_slope, aero.fin_centre),
            together(*fins_by_lattice(shape)),
        ),
    }
    if aero.tail_slope:
        start = length - values["vehicle.tail.length"]
        own = Force(aero.tail_slope, aero.tail_centre)
        parts["narrowing"] = (own, body_by_strips(contour, start, length))
    parts = {
        name: (one, Force(other.slope / area, other.centre)) for name, (one, other) in parts.items()
    }
    ours = Force(aero.nose_slope + aero.tail_slope + aero.fin_slope, aerodynamic_centre(aero))
    parts["whole"] = (ours, together(*(other for _, other in parts.values())))
    return Routes(parts, length)


def table() -> str:
    """Return the table in Markdown."""
    lines = [
        "| vehicle | part | slope, ours | slope, lattice and strips | centre, ours | centre, "
        "lattice and strips |",
        "|---|---|---|---|---|---|",
    ]
    for name in VEHICLES:
        for part, (one, other) in routes(name).parts.items():
            lines.append(
                f"| {name} | {part} | {one.slope:.2f} | {other.slope:.2f} "
                f"| {one.centre:.3f} m | {other.centre:.3f} m |"
            )
    return "\n".join(lines) + "\n"


def written() -> str:
    """Return the table as it stands in the docs."""
    return PAGE.read_text(encoding="utf-8").split(FIRST)[1].split(LAST)[0]


def is_fresh() -> bool:
    """Tell whether the docs show what is computed now, but for the last digit."""
    return same_page(written(), table())


if __name__ == "__main__":
    before, rest = PAGE.read_text(encoding="utf-8").split(FIRST)
    after = rest.split(LAST)[1]
    PAGE.write_text(before + FIRST + table() + LAST + after, encoding="utf-8")
