"""What many flights of one case come to, kept as counts: memory does not grow with their number."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loftwright.rehearsal.outcomes import Judged
from loftwright.rehearsal.results import COUNTED, FIELD, PAYLOAD, VEHICLE, Noted
from loftwright.rehearsal.risk import SEVERITIES

__all__ = ["KEPT", "NOTED", "Tally", "bits_of", "happened_of"]

Counts = NDArray[np.int64]
Bools = NDArray[np.bool_]
Ranks = tuple[NDArray[Any], ...]
_Place = tuple[tuple[float, ...], int]  # how badly a flight fared, and its number

# Energies at the ground are counted in bins whose edges grow by a fiftieth of a decade: a median or
# a percentile is right to 2.3 %.
LEAST_DECADE, DECADES, BINS_A_DECADE = -3, 8, 50
BINS = DECADES * BINS_A_DECADE
WORST = 3  # flights that are remembered, of each case
NOTED = 12  # flights that are noted behind each count
KEPT = 1000  # flights of which is kept whether they were good and whether they failed


class Tally:
    """Counts of one case; blocks are added in the order of their flights."""

    def __init__(self) -> None:
        self.flights = 0
        self.payload: Counts = np.zeros(len(PAYLOAD), np.int64)
        self.vehicle: Counts = np.zeros(len(VEHICLE), np.int64)
        self.field: Counts = np.zeros(len(FIELD), np.int64)
        # by severity; the last is of flights in which all was as wanted
        self.severity: Counts = np.zeros(len(SEVERITIES) + 1, np.int64)
        self.has_payload = False
        self.good = self.lost = self.endangers = 0
        self._good: list[Bools] = []
        self._lost: list[Bools] = []
        self._endangers: list[Bools] = []
        self._energies: dict[str, Counts] = {}
        self._worst: list[_Place] = []
        self._noted: dict[tuple[str, str], _Cell] = {}

    def add(self, first: int, judged: Judged) -> None:
        """Add flights ``first`` and following."""
        count = len(judged.vehicle)
        if self.flights < KEPT:
            room = KEPT - self.flights
            self._good.append(judged.good[:room])
            self._lost.append(judged.lost[:room])
            self._endangers.append(judged.endangers[:room])
        self.flights += count
        self.has_payload |= len(judged.payload) > 0
        self.payload += np.bincount(judged.payload, minlength=len(PAYLOAD))
        self.vehicle += np.bincount(judged.vehicle, minlength=len(VEHICLE))
        self.field += np.bincount(judged.field, minlength=len(FIELD))
        self.severity += np.bincount(judged.severity, minlength=len(SEVERITIES) + 1)
        self.good += int(judged.good.sum())
        self.lost += int(judged.lost.sum())
        self.endangers += int(judged.endangers.sum())
        for body, energy in judged.energies.items():
            bins = self._energies.setdefault(body, np.zeros(BINS, np.int64))
            bins += np.bincount(_bins(energy[np.isfinite(energy)]), minlength=BINS)
        ranks = _ranks(judged)
        order = np.lexsort(ranks[::-1])
        self._remember(first, judged, ranks, order)
        self._note(first, judged, ranks, order)

    def _remember(self, first: int, judged: Judged, ranks: Ranks, order: Counts) -> None:
        """Keep the flights that fared worst, by severity, outcome and energy; of equals the first.

        Flights in which all was as wanted are not among them.
        """
        self._worst += [
            _place(first, ranks, k)
            for k in order[:WORST].tolist()
            if judged.severity[k] < len(SEVERITIES)
        ]
        self._worst.sort()
        del self._worst[WORST:]

    def _note(self, first: int, judged: Judged, ranks: Ranks, order: Counts) -> None:
        """Note the first flights behind each count, and the one that fared worst."""
        for column, word, holds in _cells(judged):
            if not holds.any():
                continue
            cell = self._noted.setdefault((column, word), _Cell())
            room = NOTED - len(cell.first)
            cell.first += (first + np.flatnonzero(holds)[:room]).tolist()
            worst = _place(first, ranks, int(order[holds[order]][0]))
            cell.worst = worst if cell.worst is None else min(cell.worst, worst)

    @property
    def first_good(self) -> Bools:
        """Which of the first `KEPT` flights went as wanted."""
        return np.concatenate(self._good)

    @property
    def first_failed(self) -> Bools:
        """Which of the first `KEPT` flights lost the vehicle or endangered people."""
        return np.concatenate(self._lost) | np.concatenate(self._endangers)

    def first(self) -> dict[str, str]:
        """Which of the first `KEPT` flights were good, lost or endangered people, as `bits_of`."""
        found = zip(COUNTED, (self._good, self._lost, self._endangers), strict=True)
        return {word: bits_of(np.concatenate(columns)) for word, columns in found}

    @property
    def worst(self) -> tuple[int, ...]:
        """Numbers of the flights that fared worst, the worst first."""
        return tuple(flight for _, flight in self._worst)

    def noted(self) -> dict[str, dict[str, Noted]]:
        """Flights behind each count, by column and word (see ``results.Case``)."""
        found: dict[str, dict[str, Noted]] = {}
        for column, words in _COLUMNS.items():
            for word in words:
                cell = self._noted.get((column, word))
                if cell is not None and cell.worst is not None:
                    noted = Noted(tuple(cell.first), cell.worst[1])
                    found.setdefault(column, {})[word] = noted
        return found

    def energies(self) -> dict[str, tuple[float, float]]:
        """Median and 95 % of each body's energy at the ground [J]."""
        return {
            body: (_percentile(bins, 0.5), _percentile(bins, 0.95))
            for body, bins in self._energies.items()
            if bins.sum()
        }


class _Cell:
    """What is noted of one count as blocks come in."""

    def __init__(self) -> None:
        self.first: list[int] = []
        self.worst: _Place | None = None


def _ranks(judged: Judged) -> Ranks:
    """What a flight's fare is ordered by: severity, outcomes, energy; the least is the worst."""
    energy = np.zeros(len(judged.vehicle))
    for column in judged.energies.values():
        energy = np.fmax(energy, column)
    payload = judged.payload if len(judged.payload) else np.zeros(len(energy), np.int8)
    return (judged.severity, -judged.vehicle, -payload, -energy)


def _place(first: int, ranks: Ranks, row: int) -> _Place:
    return tuple(float(rank[row]) for rank in ranks), first + row


_COLUMNS = {"payload": PAYLOAD, "vehicle": VEHICLE, "field": FIELD, "counted": COUNTED}


def _cells(judged: Judged) -> Iterator[tuple[str, str, Bools]]:
    """Yield every count there is: its column, its word, and in which flights it holds."""
    for column, words in _COLUMNS.items():
        found = (
            (getattr(judged, word) for word in words)
            if column == "counted"
            else (getattr(judged, column) == code for code in range(len(words)))
        )
        for word, holds in zip(words, found, strict=True):
            yield column, word, holds


def bits_of(happened: Bools) -> str:
    """Return in which flights something happened as hexadecimal digits, the first flight first."""
    return np.packbits(happened).tobytes().hex()


def happened_of(bits: str, flights: int) -> Bools:
    """Return what `bits_of` made digits of. Raises ``ValueError`` for other ones."""
    found = np.unpackbits(np.frombuffer(bytes.fromhex(bits), np.uint8)).astype(bool)
    if not 0 <= len(found) - flights < 8:
        raise ValueError(f"these are not {flights} flights")
    return found[:flights]


def _bins(energy: NDArray[np.float64]) -> Counts:
    decades = np.log10(np.maximum(energy, 10.0**LEAST_DECADE)) - LEAST_DECADE
    return np.clip((decades * BINS_A_DECADE).astype(np.int64), 0, BINS - 1)


def _percentile(bins: Counts, share: float) -> float:
    """Middle of the bin in which a share of what was counted is reached."""
    place = int(np.searchsorted(np.cumsum(bins), share * bins.sum()))
    return float(10.0 ** (LEAST_DECADE + (place + 0.5) / BINS_A_DECADE))
