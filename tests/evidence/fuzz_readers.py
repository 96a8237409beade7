"""Throws broken files at every reader of evidence: each reads, or says what is wrong.

Run ``python tests/evidence/fuzz_readers.py [INPUTS] [SEED]``. An input is random bytes, or a good
log, record of a firing, ``flight.toml`` or ``readings.toml`` with some damage. What may come of it
is a result or a ``ProblemError`` whose problems all have a page and a mend: no other exception, no
input that takes long, no memory that grows. What fails is told with its number: ``inputs(seed)``
makes it again.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

# The tests are no package that is installed; a script looks for them here.
sys.path.append(str(Path(__file__).resolve().parents[1]))

import numpy as np
from evidence.synthetic_logs import flown, written
from evidence.synthetic_records import record_bytes

from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.reading import check_source
from loftwright.documents.readings import Readings
from loftwright.documents.source import Source, read_content
from loftwright.errors import ProblemError, as_text
from loftwright.errors.catalogue import find
from loftwright.evidence.flight_log import LogOptions, read_flight_log
from loftwright.evidence.kept_reading import firing_options, log_options
from loftwright.evidence.kinds import look_at, propose_kind
from loftwright.evidence.record import parse_firing_record
from loftwright.evidence.shapes import shape_of
from loftwright.evidence.thrust import measure_firing

LONGEST = 5.0  # s of processor time that one small input may take
MOST_MEMORY = 700  # MB that the process may ever hold
WHOLE = Path(__file__).resolve().parents[1] / "documents" / "whole"

Read = Callable[[bytes, Path, random.Random], object]


@cache
def good_logs() -> list[bytes]:
    """Logs of several layouts, short ones."""
    flight = flown(0.2, 18.0)
    time_ms, words = flight.time * 1e3, ["PAD" if t < 10 else "UP" for t in flight.time]
    clock = [f"10:00:{t:06.3f}" if t < 60 else "10:01:00" for t in flight.time]
    plain = written([time_ms, flight.pressure], ("ms", "baro (Pa)"), digits=(0, 1))
    full = written(
        [time_ms, flight.pressure, flight.height, flight.push, words, ["0"] * len(words)],
        ("time ms", "p [Pa]", "alt (m)", "az (m/s2)", "stage", "channel 1"),
        digits=(0, 1, 1, 2),
        above=("# recorder", "# 10 Hz", ""),
    )
    comma = written([flight.time, flight.pressure / 100.0], ("t (s)", "druck (hPa)"),
                    delimiter=";", decimal=",", digits=(2, 2))  # fmt: skip
    clocked = written([clock, flight.height], ("clock", "height (ft)"), digits=(0, 1))
    bare = written([flight.time, flight.pressure], delimiter="\t", digits=(2, 1))
    twice = plain + plain.partition("\n")[2]
    return [
        *(each.encode() for each in (plain, full, comma, clocked, bare, twice)),
        full.encode("utf-16"),
        comma.encode("latin-1"),
    ]


def good_records() -> list[bytes]:
    """Records of firings, thinned to be short."""
    raw, _ = record_bytes()
    lines = raw.splitlines(keepends=True)
    head = lines[:20]
    short = b"".join([*head, *lines[20::120]])
    force = 30.0 * np.exp(-(((np.arange(120) - 60) / 9.0) ** 2))
    single = "% rate 200 Hz\n% force in N\n" + "".join(f"{value:.2f}\n" for value in force)
    pair = written([np.arange(120) * 5.0, force], ("ms", "load (lbf)"), digits=(0, 2))
    return [short, single.encode(), pair.encode()]


def corpora() -> dict[str, list[bytes]]:
    """Good files by the reader that they are for."""
    return {
        "log": good_logs(),
        "firing": good_records(),
        "flight": [(WHOLE / "flight.toml").read_bytes()],
        "readings": [(WHOLE / "readings.toml").read_bytes()],
    }


NASTY = (
    b"nan", b"inf", b"-inf", b"1e999", b"-1e308", b"9" * 400, b"0x10", b"1_000", b"1,000.5", b"--5",
    b"", b'"', b'""', b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\n\n\n", b"\t;,", b";" * 300,
    b"\xe2\x80\xae", b"=", b"[[", b"]]", b'"""', b"25:61:99", b"9999-99-99 00:00:00",
    b"0000-00-00 1:00:00", b"\xc2\xb1", b" ", b"1e-999", b"e5", b".", b"-", b"+", b"5 m",
    b"true", b"1979-05-27",
)  # fmt: skip


def mutated(content: bytes, other: bytes, chance: random.Random) -> bytes:
    """Damage a file in a few places: bytes, cells, lines, or a piece of another file."""
    data = bytearray(content)
    for _ in range(chance.choice((1, 1, 1, 2, 5))):
        what = chance.randrange(9)
        at = chance.randrange(len(data) + 1)
        if what == 0:
            data[at : at + chance.choice((0, 1, 4))] = chance.choice(NASTY)
        elif what == 1 and data:
            data[at % len(data)] = chance.randrange(256)
        elif what == 2:
            data[at : at + chance.choice((1, 10, 200))] = b""
        elif what == 3:
            del data[at:]
        elif what == 4:
            start = chance.randrange(len(other) + 1)
            data[at:at] = other[start : start + chance.choice((1, 30, 1000))]
        else:
            data = bytearray(_lines(bytes(data), what, chance))
    return bytes(data)


def _lines(data: bytes, what: int, chance: random.Random) -> bytes:
    lines = data.split(b"\n")
    at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    if what == 5:
        lines[at], lines[other] = lines[other], lines[at]
    elif what == 6:
        lines[at:at] = [lines[other]] * chance.choice((1, 2, 50))
    elif what == 7:
        mark = chance.choice((b",", b";", b"\t", b" ", b"="))
        cells = lines[at].split(mark)
        cells[chance.randrange(len(cells))] = chance.choice(NASTY)
        lines[at] = mark.join(cells)
    else:
        old, new = chance.sample((b",", b";", b".", b"\t", b" ", b'"', b"#", b":"), 2)
        return data.replace(old, new)
    return b"\n".join(lines)


def inputs(seed: int) -> Iterator[tuple[str, bytes, random.Random]]:
    """Yield kinds and contents without end; the same for the same seed."""
    chance = random.Random(seed)
    good = corpora()
    kinds = list(good)
    everything = [each for many in good.values() for each in many]
    while True:
        kind = chance.choices(kinds, (5, 3, 1, 1))[0]
        if chance.random() < 0.1:
            content = chance.randbytes(chance.choice((0, 3, 60, 900)))
        else:
            content = mutated(chance.choice(good[kind]), chance.choice(everything), chance)
        yield kind, content, random.Random(chance.randrange(1 << 30))


# ---------------------------------------------------------------- the readers


def _read_log(content: bytes, path: Path, chance: random.Random) -> object:
    path.write_bytes(content)
    told = LogOptions()
    if chance.random() < 0.5:
        told = LogOptions(
            columns=dict.fromkeys(chance.sample(("time", "pressure", "height", "push"), 1), "2"),
            units={"2": chance.choice(("Pa", "hPa", "m", "ms"))} if chance.random() < 0.5 else {},
            states=("3",) if chance.random() < 0.2 else (),
            every_s=0.1 if chance.random() < 0.2 else None,
            delimiter=chance.choice((None, None, "comma", "blanks")),
            flight_number=chance.choice((None, None, 1, 2)),
        )
    if chance.random() < 0.2:
        propose_kind(path)
        head = look_at(path)
        assert head is None or shape_of(head.layout)
    return read_flight_log(path, told)


def _read_firing(content: bytes, _: Path, chance: random.Random) -> object:
    rate = chance.choice((None, None, 200.0))
    record = parse_firing_record(content, "cell.txt", rate=rate)
    return measure_firing(record) if chance.random() < 0.3 else record


def _document(content: bytes, name: str, model: type) -> object:
    source = Source(name)
    read_content(content, source)
    document = check_source(source, model)
    if source.broken:
        raise ProblemError(source.problems)
    return document


def _read_flight(content: bytes, _path: Path, _chance: random.Random) -> object:
    return _document(content, "flight.toml", FlightRecord)


def _read_readings(content: bytes, path: Path, chance: random.Random) -> object:
    found = _document(content, "readings.toml", Readings)
    assert isinstance(found, Readings)
    logs = good_logs()
    for reading in found.reading[:3]:
        firing_options(reading)
        path.write_bytes(chance.choice(logs))
        read_flight_log(path, log_options(reading))
    return found


READERS: dict[str, Read] = {
    "log": _read_log,
    "firing": _read_firing,
    "flight": _read_flight,
    "readings": _read_readings,
}


def failure(kind: str, content: bytes, path: Path, chance: random.Random) -> tuple[str, str]:
    """Read one input; return what came of it, and what is wrong with that ("" for nothing)."""
    start = time.process_time()
    try:
        READERS[kind](content, path, chance)
        outcome, wrong = "read", ""
    except ProblemError as error:
        outcome, wrong = error.problems[0].code, _unsound(error)
    except Exception:
        return "crash", traceback.format_exc()
    took = time.process_time() - start
    return outcome, wrong or (f"it took {took:.1f} s" if took > LONGEST else "")


def _unsound(error: ProblemError) -> str:
    for problem in error.problems:
        if find(problem.code) is None or not problem.mend:
            return f"{problem.code} has no page or no mend"
        if not all(line.isprintable() for line in as_text(problem).split("\n")):
            return f"{problem.code} drives the terminal"
    return ""


def run(count: int, seed: int, told: Callable[[str], object] = print) -> Counter[str]:
    """Throw ``count`` inputs; return how often each outcome came. Failures are told."""
    outcomes: Counter[str] = Counter()
    warnings.simplefilter("error")  # a number that overflows unseen is a fault as well
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "file.csv"
        for number, (kind, content, chance) in zip(range(count), inputs(seed), strict=False):
            outcome, wrong = failure(kind, content, path, chance)
            outcomes[outcome] += 1
            if number % 10_000 == 0:
                print(f"{number:,} of {count:,}", file=sys.stderr, flush=True)
            if wrong:
                outcomes["failed"] += 1
                told(f"input {number} of seed {seed}, {kind}: {wrong}")
    return outcomes


def main() -> int:
    """Run from the command line; 1 where anything failed."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    start = time.perf_counter()
    outcomes = run(count, seed)
    seconds = time.perf_counter() - start
    import resource  # a run of its own is for systems that have it

    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{count:,} inputs of seed {seed} in {seconds:.0f} s, {memory:.0f} MB at most")
    for outcome, times in outcomes.most_common():
        print(f"  {times:8,} {outcome}")
    return int(outcomes["failed"] > 0 or memory > MOST_MEMORY)


if __name__ == "__main__":
    sys.exit(main())
