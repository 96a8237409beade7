"""Tracks and ensembles as files: CSV, NumPy's npz, Parquet. All numbers SI, units in the names."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from math import isnan
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import out_file

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from loftwright.cli.outputs import Outputs
    from loftwright.flight.results import Ensemble, Flight, Floats, Track

__all__ = ["track_columns", "track_options", "write_tracks"]

# Field of a track -> the names of its columns.
COLUMNS: dict[str, tuple[str, ...]] = {
    "time": ("time_s",),
    "position": ("east_m", "north_m", "up_m"),
    "velocity": ("east_m_s", "north_m_s", "climb_m_s"),
    "acceleration": ("east_m_s2", "north_m_s2", "up_m_s2"),
    "attitude": ("quaternion_w", "quaternion_x", "quaternion_y", "quaternion_z"),
    "rates": ("roll_rate_rad_s", "pitch_rate_rad_s", "yaw_rate_rad_s"),
    "water_mass": ("water_mass_kg",),
    "gas_mass": ("gas_mass_kg",),
    "gas_temperature": ("gas_temperature_k",),
    "gauge_pressure": ("gauge_pressure_pa",),
    "thrust": ("thrust_n",),
}


def track_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that name files for tracks."""
    for name, what in (
        ("--parquet", "Write the tracks to a Parquet file (needs pyarrow)."),
        ("--npz", "Write tracks, and with --flights every flight's figures, to an npz file."),
        ("--csv", "Write the tracks to a CSV file, one row a moment."),
    ):
        command = click.option(name, metavar="FILE", type=out_file, help=what)(command)
    return command


def track_columns(track: Track) -> dict[str, Floats]:
    """Return a track as named columns."""
    columns: dict[str, Floats] = {}
    for field, names in COLUMNS.items():
        values = getattr(track, field)
        for number, name in enumerate(names):
            columns[name] = values if values.ndim == 1 else values[:, number]
    return columns


def write_tracks(result: Flight | Ensemble, outputs: Outputs) -> None:
    """Write what was asked for by ``--csv``, ``--npz`` and ``--parquet``.

    An ensemble's tracks are those of its nominal flight; its npz file holds the figures
    (``flights_...``) and draws (``drawn_...``) of every flight and the bands (``band_...``) too.
    """
    from loftwright.flight.results import Flight

    flight = result if isinstance(result, Flight) else result.nominal
    # Looked at first: nothing is written when one of the files cannot be.
    parquet = _parquet(flight.tracks) if outputs.wants("--parquet") else b""
    contents: tuple[tuple[str, Callable[[], str | bytes]], ...] = (
        ("--csv", lambda: _csv(flight.tracks)),
        ("--npz", lambda: _npz(result, flight)),
        ("--parquet", lambda: parquet),
    )
    for option, content in contents:
        if outputs.wants(option):
            outputs.write(option, content())


def _csv(tracks: Mapping[str, Track]) -> str:
    """Return the tracks as CSV; a number that a body does not have is an empty cell."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    header = [name for names in COLUMNS.values() for name in names]
    writer.writerow(["body", *header])
    for body, track in tracks.items():
        columns = [column.tolist() for column in track_columns(track).values()]
        for row in zip(*columns, strict=True):
            writer.writerow([body, *("" if isnan(value) else repr(value) for value in row)])
    return text.getvalue()


def _npz(result: Flight | Ensemble, flight: Flight) -> bytes:
    import numpy as np

    from loftwright.cli.answers import made_by, plain
    from loftwright.flight.results import Ensemble

    arrays: dict[str, Any] = {}
    for body, track in flight.tracks.items():
        arrays |= {f"{body}_{name}": column for name, column in track_columns(track).items()}
        arrays |= {
            f"{body}_event_{name}_s".replace(" ", "_"): t for name, t in track.events.items()
        }
    if isinstance(result, Ensemble):
        arrays |= _ensemble_arrays(result)
    arrays["provenance_json"] = json.dumps(plain(made_by(result.provenance)))
    buffer = io.BytesIO()
    np.savez_compressed(buffer, **arrays)
    return buffer.getvalue()


def _ensemble_arrays(ensemble: Ensemble) -> dict[str, Any]:
    return {
        **{f"flights_{name}": column for name, column in ensemble.columns.items()},
        **{f"drawn_{path}": column for path, column in ensemble.drawn.items()},
        "band_time_s": ensemble.band.time,
        **{f"band_{name}": lane for name, lane in ensemble.band.lanes.items()},
    }


def _parquet(tracks: Mapping[str, Track]) -> bytes:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        raise _needs_pyarrow() from error
    tables = [
        pa.table({"body": [body] * len(track.time), **track_columns(track)})
        for body, track in tracks.items()
    ]
    sink = pa.BufferOutputStream()
    pq.write_table(pa.concat_tables(tables), sink)
    content: bytes = sink.getvalue().to_pybytes()
    return content


def _needs_pyarrow() -> Exception:
    import sys

    from loftwright.errors import Problem, ProblemError, Where

    message = "writing Parquet needs pyarrow, which is not installed here"
    mend = f"{sys.executable} -m pip install pyarrow, or use --npz"
    where = Where(field="--parquet")
    return ProblemError([Problem("command-needs-extra", message, where, mend)])
