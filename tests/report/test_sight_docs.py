"""The page on sighting shows what its own example comes to."""

from __future__ import annotations

import re
from pathlib import Path

from loftwright.debrief.clocks.sightings import sighted
from loftwright.debrief.clocks.solver import solve_clocks
from loftwright.documents.flight_record import FlightRecord
from loftwright.documents.reading import read_text
from loftwright.report.clock_words import sight_lines

PAGE = Path(__file__).resolve().parents[2] / "docs" / "how-to" / "sight-a-flight.md"


def test_the_example_is_what_comes_out():
    page = PAGE.read_text(encoding="utf-8")
    written = "\n".join(re.findall(r"```toml\n(.*?)```", page, re.DOTALL))
    record = read_text(f'name = "First lift"\n{written}', "flight.toml", FlightRecord)
    assert record.stopwatch[0].by == "Ben"
    (line,) = sight_lines(sighted(record, solve_clocks([])), "us")
    (shown,) = re.findall(r"```text\n(Apogee .*?)\n```", page, re.DOTALL)
    assert " ".join(shown.split()) == " ".join(line.split())
