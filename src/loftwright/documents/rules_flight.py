"""What must hold between the fields of a flight's record, and of kept readings."""

from __future__ import annotations

import re
from collections.abc import Iterator

from loftwright.documents.build import UnreadError, closest
from loftwright.documents.finding import Finding, listed
from loftwright.documents.flight_record import FlightRecord, Landed
from loftwright.documents.flights import name_fault
from loftwright.documents.readings import Reading, Readings
from loftwright.documents.spans import Path

__all__ = ["READING_RULES", "RULES"]

_SHA256 = re.compile(r"[0-9a-f]{64}")
# What a reading of each kind may hold once, and what it may hold at all.
ONCE: dict[str, tuple[str, ...]] = {
    "log": ("time", "pressure", "height", "push", "battery", "temperature"),
    "firing": ("time", "force"),
}
MAY = {"log": (*ONCE["log"], "state"), "firing": ONCE["firing"]}


def files_are_named_apart(record: FlightRecord) -> Iterator[Finding]:
    """See that every file has a name that it can have, and one of its own."""
    taken: dict[str, int] = {}
    for path, each in listed("evidence", record.evidence):
        place = (*path, "file")
        if (fault := name_fault(each.file)) is not None:
            message, mend = f"no kept file is called this: {fault}", "give the name in evidence/"
            yield Finding("record-name", place, message, mend)
        if (other := taken.setdefault(each.file.casefold(), path[1])) != path[1]:
            message = f"entry {other + 1} is of this file already"
            yield Finding("record-file-twice", place, message, "keep one of the two entries")


def digests_are_digests(record: FlightRecord) -> Iterator[Finding]:
    """See that a digest can be one."""
    digests = [
        ((*path, "sha256"), each.sha256) for path, each in listed("evidence", record.evidence)
    ]
    for place, digest in [(("build",), record.build), *digests]:
        if digest is not None and not _SHA256.fullmatch(digest):
            message = "this is no SHA-256: it has 64 digits of 0 to 9 and a to f"
            mend = "leave the entry as loftwright record writes it"
            yield Finding("record-digest", place, message, mend)


def stations_have_names_of_their_own(record: FlightRecord) -> Iterator[Finding]:
    """See that no two stations share a name: sightings tell theirs by it."""
    names: dict[str, int] = {}
    for path, station in listed("station", record.station):
        if (other := names.setdefault(station.name, path[1])) != path[1]:
            message = f"station {other + 1} has this name already"
            mend = "give each a name of its own"
            yield Finding("record-same-station", (*path, "name"), message, mend)


def sightings_have_their_station(record: FlightRecord) -> Iterator[Finding]:
    """See that a sighting was taken from a station that is described."""
    names = [station.name for station in record.station]
    for path, sighting in listed("sighting", record.sighting):
        if sighting.station not in names:
            message = f"there is no station {sighting.station!r}"
            near = closest(sighting.station, names)
            mend = "describe it: [[station]] with name, east and north"
            mend = f'did you mean "{near}"?' if near else mend
            yield Finding("record-no-station", (*path, "station"), message, mend)


def sightings_have_their_moment(record: FlightRecord) -> Iterator[Finding]:
    """See that a sighting says when, and one alone of the two ways."""
    for path, sighting in listed("sighting", record.sighting):
        if sighting.moment is None and sighting.at is None:
            message = "the sighting does not say when it was taken"
            mend = 'add moment = "apogee", or at = "6.4 s ± 0.3 s" with its clock'
            yield Finding("record-no-moment", path, message, mend, key=True)


def stopwatches_run(record: FlightRecord) -> Iterator[Finding]:
    """See that a watch was not stopped at what it was started at."""
    for path, watch in listed("stopwatch", record.stopwatch):
        if watch.begin == watch.end:
            message = f"the watch was started and stopped at {watch.end}"
            mend = 'correct begin or end, e.g. end = "touchdown"'
            yield Finding("record-no-span", (*path, "end"), message, mend)


def what_was_seen_is_likely(record: FlightRecord) -> Iterator[Finding]:
    """Warn of what nobody believes, and of the time of what did not happen."""
    for path, saw in listed("saw", record.saw):
        if saw.sure.value < 0.5:
            message = "less than an even chance: it is told as seen and counts against it"
            mend = 'write how sure it is that it was so, or happened = "no"'
            yield Finding("record-unsure", (*path, "sure"), message, mend, "warning")
        if saw.happened == "no" and saw.at is not None:
            message = 'at is not used with happened = "no"'
            yield Finding(
                "doc-not-used", (*path, "at"), message, "take it out", "warning", key=True
            )


def landings_have_their_place(record: FlightRecord) -> Iterator[Finding]:
    """See that a landing is told one whole way, and once for a body."""
    seen: dict[str, int] = {}
    for path, landed in listed("landed", record.landed):
        yield from _place_of(landed, path)
        if (other := seen.setdefault(landed.of, path[1])) != path[1]:
            message = f"entry {other + 1} says where the {landed.of} came down already"
            yield Finding("record-landed-twice", (*path, "of"), message, "keep one of the two")


def _place_of(landed: Landed, path: Path) -> Iterator[Finding]:
    paced = (landed.distance, landed.bearing)
    mapped = (landed.latitude, landed.longitude)
    whole = [pair for pair in (paced, mapped) if None not in pair]
    begun = [pair for pair in (paced, mapped) if pair != (None, None)]
    if len(whole) == len(begun) == 1:
        return
    message = "two places are told, paced and by coordinates" if len(whole) == 2 else ""
    message = message or "half a place is told" if begun else "no place is told"
    mend = "write distance and bearing from the pad, or latitude and longitude"
    yield Finding("record-no-place", path, message, mend, key=True)


RULES = (
    files_are_named_apart,
    digests_are_digests,
    stations_have_names_of_their_own,
    sightings_have_their_station,
    sightings_have_their_moment,
    stopwatches_run,
    what_was_seen_is_likely,
    landings_have_their_place,
)


def readings_have_names_of_their_own(readings: Readings) -> Iterator[Finding]:
    """See that no two readings share a name: files tell theirs by it."""
    names: dict[str, int] = {}
    for path, reading in listed("reading", readings.reading):
        if (other := names.setdefault(reading.name, path[1])) != path[1]:
            message = f"reading {other + 1} has this name already"
            mend = "give each a name of its own"
            yield Finding("reading-same-name", (*path, "name"), message, mend)


def columns_are_told_once(readings: Readings) -> Iterator[Finding]:
    """See that a reading takes no column twice, and no two columns for one thing."""
    for path, reading in listed("reading", readings.reading):
        try:
            yield from _columns(reading, path)
        except UnreadError:  # of one reading; the others are looked at all the same
            continue


def _columns(reading: Reading, path: Path) -> Iterator[Finding]:
    columns: dict[str, int] = {}
    roles: dict[str, int] = {}
    for (_, number), each in listed("column", reading.column):
        place = (*path, "column", number)
        if each.role not in MAY[reading.kind]:
            message = f"a {reading.kind} has no {each.role}"
            mend = f"write one of {', '.join(MAY[reading.kind])}"
            yield Finding("reading-role", (*place, "is"), message, mend)
        if (other := columns.setdefault(each.column.casefold(), number)) != number:
            message = f"column {other + 1} of this reading is the same"
            yield Finding("reading-twice", (*place, "column"), message, "keep one of the two")
        if each.role in ONCE[reading.kind] and roles.setdefault(each.role, number) != number:
            message = f"column {roles[each.role] + 1} of this reading is {each.role} already"
            yield Finding("reading-twice", (*place, "is"), message, "keep one of the two")
        if each.factor is not None and each.factor.value == 0.0:
            message, mend = "with a factor of 0 every count is the same", "write another factor"
            yield Finding("reading-factor", (*place, "factor"), message, mend)


def times_are_told_once(readings: Readings) -> Iterator[Finding]:
    """See that time comes from a column or from counting rows, not from both."""
    for path, reading in listed("reading", readings.reading):
        roles = [each.role for each in reading.column]
        if reading.every is not None and "time" in roles:
            message = "rows are counted, and a column is time as well"
            mend = 'take out every, or the column with is = "time"'
            yield Finding("reading-two-times", (*path, "every"), message, mend)


READING_RULES = (
    readings_have_names_of_their_own,
    columns_are_told_once,
    times_are_told_once,
)
