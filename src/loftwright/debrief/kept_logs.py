"""The logs that a recorded flight keeps: which counts, and whose each is."""

from __future__ import annotations

from collections.abc import Sequence

from loftwright.debrief.reconstruction.instrument import assumed_instrument, instrument_of
from loftwright.debrief.reconstruction.joint import best_of
from loftwright.debrief.reconstruction.unseen import reconstruct_or_tell
from loftwright.debrief.results import Reconstruction
from loftwright.debrief.synthetic import recorders
from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.evidence.flight_log import FlightLog, read_flight_log
from loftwright.evidence.recorded_flight import KeptLog, RecordedFlight
from loftwright.instruments.wiring import wire
from loftwright.rehearsal.plan import plan_of

__all__ = ["logs_of_controllers", "reconstruct_kept"]

LEAST_TEMPERATURE_SD = 0.5  # K: no thermometer at a pad is better


def logs_of_controllers(kept: RecordedFlight) -> tuple[dict[str, FlightLog], list[str]]:
    """Return the log of each controller that left one, and why others are left out."""
    known = recorders(plan_of(kept.campaign, 1))
    found: dict[str, FlightLog] = {}
    left = []
    for log in kept.logs:
        source = log.entry.source or (known[0] if len(known) == 1 else None)
        if source is None or source not in known:
            left.append(
                f"{log.entry.file}: it is not said which controller with a barometer wrote it "
                f"({', '.join(known) or 'there is none'}); write source in flight.toml"
            )
        elif source in found:
            left.append(f"{log.entry.file}: there is another log of {source}")
        else:
            found[source] = read_flight_log(log.path, log.options)
    return found, left


def _chosen(kept: RecordedFlight, campaign: Campaign, name: str | None) -> KeptLog:
    """Return the log that counts: the one named, else the first one of a known controller."""
    there = ", ".join(each.entry.file for each in kept.logs) or "none"
    where = Where(file=f"flights/{kept.name}/flight.toml", field="--log", value=name)
    if name is not None:
        found = next((each for each in kept.logs if each.entry.file == name), None)
        if found is None:
            message = f"the flight has no log {name!r}"
            raise ProblemError([Problem("debrief-no-log", message, where, f"there are: {there}")])
        return found
    known = {each.name for each in campaign.avionics.controller} if campaign.avionics else set()
    logs = sorted(kept.logs, key=lambda each: each.entry.source not in known)
    if not logs:
        message = "the flight has no log, so there is nothing to reconstruct"
        mend = f"take one in: loftwright record DIR {kept.name} FILE"
        raise ProblemError([Problem("debrief-no-log", message, where, mend)])
    return logs[0]


def reconstruct_kept(
    kept: RecordedFlight,
    campaign: Campaign,
    name: str | None = None,
    liftoff_s: float | None = None,
) -> tuple[KeptLog, FlightLog, Reconstruction]:
    """Reconstruct every log of a flight, or the one named, and return the one to go by.

    Parameters
    ----------
    kept : RecordedFlight
    campaign : Campaign
        Of the documents as flown, with the conditions of the day (`flown.flown_campaign`).
    name : str, optional
        Of the log that counts, as it is called in evidence/.
    liftoff_s : float, optional
        First motion by the clock of the one log that counts, s; found from it when left out.

    Raises
    ------
    ProblemError
        Where there is no such log, one that cannot be read, or several that ``liftoff_s`` may be
        meant for.
    """
    first = _chosen(kept, campaign, name)
    others = [] if name is not None else [each for each in kept.logs if each is not first]
    if liftoff_s is not None and others:
        raise ProblemError([_whose(kept, liftoff_s, [first, *others])])
    found = [(each, *_reconstructed(each, campaign, liftoff_s)) for each in (first, *others)]
    best = best_of([flight for _, _, flight in found])
    for chosen, log, flight in found:
        if flight.sha256 == best.sha256 and flight.log == best.log:
            return chosen, log, best
    raise AssertionError("the best of some is one of them")


def _whose(kept: RecordedFlight, liftoff_s: float, logs: Sequence[KeptLog]) -> Problem:
    names = ", ".join(each.entry.file for each in logs)
    message = "the flight has several logs, each by a clock of its own"
    file = f"flights/{kept.name}/flight.toml"
    where = Where(file=file, field="--liftoff", value=f"{liftoff_s:g} s")
    mend = f"say with --log which one --liftoff is for: {names}"
    return Problem("debrief-which-log", message, where, mend)


def _reconstructed(
    chosen: KeptLog, campaign: Campaign, liftoff_s: float | None
) -> tuple[FlightLog, Reconstruction]:
    log = read_flight_log(chosen.path, chosen.options)
    wires = wire(campaign.avionics).controllers if campaign.avionics else {}
    source = chosen.entry.source
    described = source in wires and bool(wires[source].barometer)
    instrument = (
        instrument_of(campaign, source)
        if described and source is not None
        else assumed_instrument(log)
    )
    air = campaign.site.air
    found = reconstruct_or_tell(
        log,
        instrument,
        pad_temperature=air.temperature.value,
        pad_pressure=None if air.pressure is None else air.pressure.value,
        liftoff_s=liftoff_s,
        pad_temperature_sd=max(air.temperature.sd, LEAST_TEMPERATURE_SD),
    )
    return log, found
