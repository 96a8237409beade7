"""Six static firings of a 2 L bottle, as our reader measured them, kept as figures.

Load-cell records of the static-test laboratory of an aerospace course (University of Colorado,
ASEN 2004, 2020). The records themselves are not shipped; each is named by its SHA-256.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from loftwright.evidence.thrust import Measure, MeasuredFiring

FIGURES = Path(__file__).with_name("six_firings.toml")
SOURCE = "static-test laboratory, ASEN 2004, University of Colorado (2020)"
MEASURES = ("impulse", "duration", "central_time", "water_out", "peak")


def stored() -> dict[str, dict[str, Any]]:
    """Return what is on file of each record."""
    return tomllib.loads(FIGURES.read_text(encoding="utf-8"))


def figures_of(firing: MeasuredFiring) -> dict[str, Any]:
    """Return what is kept of a measured firing."""
    kept: dict[str, Any] = {"sha256": firing.sha256, **firing.conditions}
    for name in MEASURES:
        measure = getattr(firing, name)
        kept |= {name: float(measure.value), f"{name}_sd": float(measure.sd)}
    return kept | {"impulse_ramp_sd": float(firing.impulse.components["ramp shape"])}


def written(firings: Mapping[str, MeasuredFiring]) -> str:
    """Return the file of figures for these firings."""
    parts = [
        "# SI units. Written by `written` of six_firings.py from the records named by SHA-256.\n"
    ]
    for name, firing in firings.items():
        rows = [
            f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value:.6g}"
            for key, value in figures_of(firing).items()
        ]
        parts.append("\n".join([f"[{name}]", *rows, ""]))
    return "\n".join(parts)


def _firing(name: str, row: Mapping[str, Any]) -> MeasuredFiring:
    ramp = row["impulse_ramp_sd"]
    rest = float(np.sqrt(row["impulse_sd"] ** 2 - ramp**2))
    measures = {key: Measure.of(row[key], all=row[f"{key}_sd"]) for key in MEASURES[1:]}
    return MeasuredFiring(
        name=name,
        sha256=row["sha256"],
        time=np.array([]),
        thrust=np.array([]),
        smooth=np.array([]),
        impulse=Measure.of(row["impulse"], ramp_shape=ramp, rest=rest),
        raw_peak=float("nan"),
        ringing=None,
        conditions={key: row[key] for key in ("water", "pressure", "temperature")},
        notes=(),
        **measures,
    )


def six_stored() -> dict[str, MeasuredFiring]:
    """Return the six as measured firings without curves, which a fit can take."""
    return {name: _firing(name, row) for name, row in stored().items()}
