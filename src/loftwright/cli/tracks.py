"""Tracks and ensembles as files: CSV, NumPy's npz, Parquet. All numbers SI, units in the names.

The Parquet file of an ensemble is written while it is flown (``flight.flights_file``).
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping
from math import isnan
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import out_file

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path
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
        (
            "--parquet",
            "Write the track, or with --flights every flight's figures, to a Parquet file "
            "(needs pyarrow).",
        ),
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
    """Write what was asked for by ``--csv``, ``--npz`` and, of one flight, ``--parquet``.

    An ensemble's tracks are those of its nominal flight; its npz file holds the figures
    (``flights_...``) and draws (``drawn_...``) of every flight and the bands (``band_...``) too.
    """
    from loftwright.flight.results import Ensemble

    is_ensemble = isinstance(result, Ensemble)
    flight = result.nominal if isinstance(result, Ensemble) else result
    # Looked at first: nothing is written when one of the files cannot be.
    wants_parquet = outputs.wants("--parquet") and not is_ensemble
    parquet = _parquet(flight.tracks) if wants_parquet else b""
    if outputs.wants("--csv"):
        outputs.write("--csv", _csv(flight.tracks))
    if outputs.wants("--npz"):
        outputs.fill("--npz", lambda path: _write_npz(path, _arrays(result, flight)))
    if wants_parquet:
        outputs.write("--parquet", parquet)


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


def _write_npz(path: Path, arrays: Iterator[tuple[str, Any]]) -> None:
    """Write an npz file with no more than one array in memory."""
    from zipfile import ZIP_DEFLATED, ZipFile

    import numpy as np

    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        for name, values in arrays:
            with archive.open(f"{name}.npy", "w", force_zip64=True) as stream:
                np.lib.format.write_array(stream, np.asanyarray(values), allow_pickle=False)


def _arrays(result: Flight | Ensemble, flight: Flight) -> Iterator[tuple[str, Any]]:
    """Yield what an npz file holds, by name."""
    from loftwright.cli.answers import made_by, plain
    from loftwright.flight.results import Ensemble

    for body, track in flight.tracks.items():
        for name, column in track_columns(track).items():
            yield f"{body}_{name}", column
        for name, time in track.events.items():
            yield f"{body}_event_{name}_s".replace(" ", "_"), time
    if isinstance(result, Ensemble):
        yield from _ensemble_arrays(result)
    yield "provenance_json", json.dumps(plain(made_by(result.provenance)))


def _ensemble_arrays(ensemble: Ensemble) -> Iterator[tuple[str, Any]]:
    yield from ((f"flights_{name}", ensemble.columns[name]) for name in ensemble.columns)
    yield from ((f"drawn_{path}", ensemble.drawn[path]) for path in ensemble.drawn)
    yield "band_time_s", ensemble.band.time
    yield from ((f"band_{name}", lane) for name, lane in ensemble.band.lanes.items())


def _parquet(tracks: Mapping[str, Track]) -> bytes:
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError as error:
        from loftwright.flight.flights_file import needs_pyarrow

        raise needs_pyarrow() from error
    tables = [
        pa.table({"body": [body] * len(track.time), **track_columns(track)})
        for body, track in tracks.items()
    ]
    sink = pa.BufferOutputStream()
    pq.write_table(pa.concat_tables(tables), sink)
    content: bytes = sink.getvalue().to_pybytes()
    return content
