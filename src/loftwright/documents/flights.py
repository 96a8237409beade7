"""Where a campaign keeps its flights, and what a flight and its files may be called.

``DIR/flights/<name>/`` holds ``flight.toml``, the documents as flown in ``build/``, what the
flight left behind in ``evidence/``, and the forecast that was made of it. A folder is a flight
once ``flight.toml`` stands in it, which is written last.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from loftwright.errors import Problem, ProblemError, Where

__all__ = [
    "BUILD",
    "EVIDENCE",
    "FLIGHTS",
    "FLIGHT_FILE",
    "FORECAST_FILE",
    "flight_folder",
    "flights_of",
    "free_among",
    "free_name",
    "home_of",
    "name_fault",
]

FLIGHTS, FLIGHT_FILE, FORECAST_FILE = "flights", "flight.toml", "forecast.json"
BUILD, EVIDENCE = "build", "evidence"
LONGEST = 100  # characters; with a folder before it within what any file system takes
_REFUSED = set('<>:"/\\|?*')
_RESERVED = {"con", "prn", "aux", "nul"} | {
    f"{word}{n}" for word in ("com", "lpt") for n in range(10)
}


def home_of(folder: Path) -> Path:
    """Return the folder of a campaign that is told by its folder or its ``campaign.toml``."""
    return folder.parent if folder.name == "campaign.toml" and folder.is_file() else folder


def flights_of(campaign_folder: Path) -> tuple[str, ...]:
    """Return the names of the flights that a campaign keeps, in their order by name."""
    flights = home_of(campaign_folder) / FLIGHTS
    if not flights.is_dir():
        return ()
    found = (each.name for each in flights.iterdir() if (each / FLIGHT_FILE).is_file())
    return tuple(sorted(name for name in found if name_fault(name) is None))


def name_fault(name: str) -> str | None:
    """Say why a file or folder must not be called ``name``; None where any system takes it."""
    if not name.strip() or len(name) > LONGEST:
        return f"a name has 1 to {LONGEST} characters"
    if not name.isprintable():
        return "it has a control character in it"
    if found := sorted(_REFUSED & set(name)):
        return f"not every system takes {' '.join(found)} in a name"
    if name[0] in ".-" or name[0].isspace():
        return "it begins with a point, a dash or a blank"
    if name[-1] == "." or name[-1].isspace():
        return "it ends with a point or a blank"
    if name.split(".", maxsplit=1)[0].lower() in _RESERVED:
        return "some systems keep this name for a device"
    return None


def free_name(campaign_folder: Path, day: str) -> str:
    """Return a name for another flight of ``day``, such as ``2026-05-03-b``."""
    return free_among(flights_of(campaign_folder), day)


def free_among(names: Iterable[str], day: str) -> str:
    """Return a name for a flight of ``day`` that none of ``names`` is, whatever its capitals."""
    taken = {name.casefold() for name in names}
    letters = (f"{day}-{letter}" for letter in "abcdefghijklmnopqrstuvwxyz")
    numbers = (f"{day}-{number}" for number in range(27, len(taken) + 28))
    return next(name for name in (*letters, *numbers) if name.casefold() not in taken)


def flight_folder(campaign_folder: Path, name: str) -> Path:
    """Return the folder of the flight called ``name``, which need not be there.

    Raises ``ProblemError`` for a name that no folder should have, and for one that differs from
    that of another flight in small and capital letters only.
    """
    fault = name_fault(name)
    if fault is None:
        twins = [each for each in flights_of(campaign_folder) if each.casefold() == name.casefold()]
        if not twins or name in twins:
            return home_of(campaign_folder) / FLIGHTS / name
        fault = f"there is a flight {twins[0]!r}, and some systems take the two for one"
    mend = 'use letters, digits, dashes and points, e.g. "2026-05-03-a"'
    where = Where(field="FLIGHT", value=name)
    message = f"a flight cannot be called this: {fault}"
    raise ProblemError([Problem("record-name", message, where, mend)])
