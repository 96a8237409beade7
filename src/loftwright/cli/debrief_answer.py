"""A debriefed flight for programs: one JSON object, and its path as a table."""

from __future__ import annotations

from csv import writer
from dataclasses import asdict
from io import StringIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loftwright.debrief.causes.results import Causes
    from loftwright.debrief.results import Estimate, Reconstruction
    from loftwright.report.flight_told import FlightReport

__all__ = ["curve_csv", "debrief_answer"]

COLUMNS = (
    ("time_s", "time"),
    ("height_m", "height"),
    ("height_sd_m", "height_sd"),
    ("climb_m_s", "climb"),
    ("climb_sd_m_s", "climb_sd"),
    ("acceleration_m_s2", "acceleration"),
    ("acceleration_sd_m_s2", "acceleration_sd"),
)


def curve_csv(found: Reconstruction) -> str:
    """Return the smoothed flight, a row a moment, seconds from first motion."""
    text = StringIO()
    rows = writer(text, lineterminator="\n")
    rows.writerow([name for name, _ in COLUMNS])
    columns = [getattr(found.curve, column).tolist() for _, column in COLUMNS]
    rows.writerows([[f"{value:.6g}" for value in row] for row in zip(*columns, strict=True)])
    return text.getvalue()


def debrief_answer(report: FlightReport) -> dict[str, Any]:
    """Return what is told of a flight, SI; null for what is not visible.

    Times count from first motion, but for ``liftoff_time_s``, which is by the log's own clock. Of
    artefacts, ``time``, ``until`` and ``size`` are the older names of ``time_s``, ``until_s`` and
    ``size_m``.
    """
    found = report.reconstruction
    down = found.event("touchdown")
    rate = found.descents[-1].rate_m_s if found.descents else None
    return {
        "log": found.log,
        "log_sha256": found.sha256,
        **_figure("apogee", "m", found.apogee),
        **_figure("apogee_time", "s", found.apogee_time),
        "liftoff_time_s": found.liftoff_s,
        **_figure("landing_time", "s", None if down is None else down.time),
        **_figure("max_climb", "m_s", found.max_climb),
        **_figure("descent_rate", "m_s", rate),
        "naive_max_height_m": found.naive_max_height_m,
        "naive_max_time_s": found.naive_max_time_s,
        "artefacts": [
            {
                "kind": each.kind,
                "time": each.time_s,
                "size": each.size_m,
                "until": each.until_s,
                "time_s": each.time_s,
                "size_m": each.size_m,
                "until_s": each.until_s,
                "says": each.says,
            }
            for each in found.artefacts
        ],
        "events": [
            {
                "kind": each.kind,
                "time_s": each.time.value,
                "sd_s": each.time.sd,
                "p05_s": each.time.low,
                "p95_s": each.time.high,
                "how": each.how,
                "commanded": each.commanded,
            }
            for each in (*found.events, *report.told)
        ],
        "unsound": found.unsound,
        "missing": [{"kind": each.kind, "why": each.why} for each in found.missing],
        "descents": [
            {
                "phase": each.phase,
                "begin_s": each.begin_s,
                "end_s": each.end_s,
                "rate_m_s": _estimate(each.rate_m_s),
            }
            for each in found.descents
        ],
        "checks": [asdict(each) for each in found.checks],
        "assumed": found.assumed,
        "notes": (*found.notes, *report.notes),
        "score": None if report.score is None else asdict(report.score),
        "bias": [asdict(each) for each in report.bias],
        "causes": None if report.causes is None else _causes(report.causes),
        "files_read": [asdict(each) for each in report.used],
    }


def _figure(name: str, unit: str, value: Estimate | None) -> dict[str, float | None]:
    """Return a figure with its standard deviation and the bounds of its 90 % interval."""
    keys = (f"{name}_{unit}", f"{name}_sd_{unit}", f"{name}_p05_{unit}", f"{name}_p95_{unit}")
    if value is None:
        return dict.fromkeys(keys)
    return dict(zip(keys, (value.value, value.sd, value.low, value.high), strict=True))


def _estimate(value: Estimate | None) -> dict[str, float] | None:
    if value is None:
        return None
    return {"value": value.value, "sd": value.sd, "p05": value.low, "p95": value.high}


def _causes(causes: Causes) -> dict[str, Any]:
    return {
        "flights_of_each": causes.flights,
        "cases": causes.cases,
        "seed": causes.seed,
        "stopped": causes.stopped,
        "fits": causes.fits,
        "fits_says": causes.fits_says,
        "in_set": causes.in_set,
        "causes": [asdict(each) for each in causes.causes],
        "tellings": [asdict(each) for each in causes.tellings],
    }
