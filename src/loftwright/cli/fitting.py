"""Fitting to records, and what speaks against trusting the fit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from pathlib import Path

    from loftwright.debrief.firings.fit import FiringFit, Fitted
    from loftwright.documents import Campaign
    from loftwright.errors import Problem
    from loftwright.evidence.thrust import MeasuredFiring

__all__ = ["AGAIN", "Learnt", "learn"]

AGAIN = "--again"

# A fill that differs by more than either of these from the document is another fill.
SDS_APART = 2.0
SHARE_APART = 0.02
KELVIN_APART = 5.0
PRESSURES = re.compile(r"\d[\d.]* kPa(?: ± \d[\d.]* kPa)?")  # as the notes of a fit write them


@dataclass(frozen=True, slots=True)
class Learnt:
    """A fit, or None without records, and the warnings about it.

    ``foreign`` are fields of the fill that records contradict: what the fit says of the document's
    fill there was not learnt from these records, and is not handed on.
    """

    fit: FiringFit | None = None
    warnings: tuple[Problem, ...] = ()
    foreign: frozenset[str] = frozenset()
    system: str = "metric"

    @property
    def fitted(self) -> dict[str, Fitted]:
        """What the records taught, by field of the vehicle."""
        found = self.fit.fitted if self.fit is not None else {}
        return {field: each for field, each in found.items() if field not in self.foreign}

    @property
    def notes(self) -> tuple[str, ...]:
        """What is to be said about the fit, one sentence a note, in the person's units."""
        beginnings = tuple(f"{field} " for field in sorted(self.foreign))
        found = self.fit.notes if self.fit is not None else ()
        own = (note for note in found if not note.startswith(beginnings))
        return tuple(
            PRESSURES.sub(lambda said: _gauge(said.group(), self.system), note) for note in own
        )


def learn(
    campaign: Campaign,
    measured: Mapping[str, MeasuredFiring],
    *,
    seed: int,
    writes: bool,
    again: bool,
) -> Learnt:
    """Fit the campaign's nozzle to ``measured`` records.

    Raises ``ProblemError`` where the fit is to be written into a document whose values were
    fitted to one of these records already, unless ``again`` says that this is meant.
    """
    from dataclasses import replace

    from loftwright.debrief.firings.engine import fit_campaign
    from loftwright.errors import ProblemError

    if not measured:
        return Learnt()
    used = list(_used_before(campaign, measured))
    if used and writes and not again:
        raise ProblemError(used)
    foreign = dict(_other_fills(campaign, measured))
    doubts = [] if again else [replace(problem, severity="warning") for problem in used]
    click.echo("Fitting the nozzle to the records ...", err=True)
    fit = fit_campaign(campaign, list(measured.values()), seed=seed)
    told = (*doubts, *foreign.values())
    return Learnt(fit, told, frozenset(foreign), campaign.head.units)


def _gauge(written: str, system: str) -> str:
    from loftwright.units import said_in

    return said_in(system, written, "gauge_pressure")


def _used_before(campaign: Campaign, measured: Mapping[str, MeasuredFiring]) -> Iterator[Problem]:
    """Yield a problem if the document's values were fitted to some of these records."""
    from loftwright.errors import Problem, Where

    known = _comments(campaign.folder / campaign.head.vehicle)
    for number, line in known:
        names = [name for name, each in measured.items() if f"({each.sha256[:8]})" in line]
        if names:
            message = (
                f"the nozzle was fitted to {', '.join(names)} already; "
                "fitting twice counts the same firing twice"
            )
            mend = (
                "to start over, put the values from before that fit back and take this comment "
                f"out; or fit other records; or go on all the same with {AGAIN}"
            )
            where = Where(file=campaign.head.vehicle, line=number, column=1, source=line)
            yield Problem("command-fitted-already", message, where, mend)


def _comments(vehicle: Path) -> Iterator[tuple[int, str]]:
    """Yield the lines, with their numbers, in which earlier fits name their records."""
    from loftwright.debrief.firings.write import BEGINNING
    from loftwright.documents.files import read_regular
    from loftwright.documents.source import LARGEST

    text = read_regular(vehicle, LARGEST).decode("utf-8-sig", "replace")
    for number, line in enumerate(text.splitlines(), start=1):
        if line.lstrip().startswith(BEGINNING):
            yield number, line


def _other_fills(
    campaign: Campaign, measured: Mapping[str, MeasuredFiring]
) -> Iterator[tuple[str, Problem]]:
    """Yield each field of the fill that records contradict, with what to say about it."""
    from loftwright.debrief.firings.prior import PRESSURE, TEMPERATURE, WATER, fill_of
    from loftwright.documents.flatten import flatten

    values, sds, _ = flatten(campaign)
    fills = {name: fill_of(values, each.conditions) for name, each in measured.items()}
    for place, path in enumerate((PRESSURE, WATER, TEMPERATURE)):
        written = values[path]
        least = KELVIN_APART if path == TEMPERATURE else SHARE_APART * abs(written)
        far = max(least, SDS_APART * sds.get(path, 0.0))
        said = {name: float(fill[place]) for name, fill in fills.items()}
        apart = {name: value for name, value in said.items() if abs(value - written) > far}
        if apart:
            field = path.removeprefix("vehicle.")
            yield field, _other_fill(campaign, field, written, apart)


def _other_fill(
    campaign: Campaign, field: str, written: float, apart: Mapping[str, float]
) -> Problem:
    from loftwright.errors import Problem, Where

    system = campaign.head.units
    said = {name: _shown(field, value, system) for name, value in apart.items()}
    told = ", ".join(f"{name} says {value}" for name, value in said.items())
    message = (
        f"{told}, the document {_shown(field, written, system)}: the fit takes each record at its "
        "own word, and the model as written is of another fill than the record"
    )
    first = next(iter(said.values()))
    mend = f"say what was fired: --set vehicle.{field}='{first}', or correct the record's header"
    where = Where(file=campaign.head.vehicle, field=field)
    return Problem("command-other-fill", message, where, mend, "warning")


def _shown(field: str, value: float, system: str) -> str:
    """Return a value of the fill as somebody writes it who thinks in ``system``."""
    from loftwright.units import said_in

    if field == "fill.gauge_pressure":
        return _gauge(f"{value / 1e3:.0f} kPa", system)
    if field == "fill.water_volume":
        return f"{value * 1e3:.2f} L"
    return said_in(system, f"{value - 273.15:.0f} degC", "temperature")
