"""A debriefed flight for programs: one JSON object, and its path as a table."""

from __future__ import annotations

from csv import writer
from dataclasses import asdict
from io import StringIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loftwright.debrief.cause_results import Causes
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
    """Return what is told of a flight, SI units in the keys; null for what is not visible."""
    found = report.reconstruction
    return {
        "log": found.log,
        "log_sha256": found.sha256,
        "liftoff_by_the_log_s": found.liftoff_s,
        "apogee_m": _estimate(found.apogee),
        "apogee_time_s": _estimate(found.apogee_time),
        "max_climb_m_s": _estimate(found.max_climb),
        "events": [
            {
                "kind": each.kind,
                "time_s": _estimate(each.time),
                "how": each.how,
                "commanded": each.commanded,
            }
            for each in (*found.events, *report.told)
        ],
        "not_visible": [{"kind": each.kind, "why": each.why} for each in found.missing],
        "artefacts": [asdict(each) for each in found.artefacts],
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
        "highest_reading_m": found.naive_max_height_m,
        "highest_reading_time_s": found.naive_max_time_s,
        "assumed": found.assumed,
        "notes": (*found.notes, *report.notes),
        "score": None if report.score is None else asdict(report.score),
        "causes": None if report.causes is None else _causes(report.causes),
        "files": [asdict(each) for each in report.used],
    }


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
