"""A campaign that has just been begun can be checked and rehearsed as it stands."""

from __future__ import annotations

from loftwright.documents import read_campaign
from loftwright.documents.template import new_campaign
from loftwright.flight.check import check
from loftwright.program.checks import check_program
from loftwright.program.reading import read_program
from loftwright.rehearsal.forecast_facts import facts_of
from loftwright.rehearsal.rehearse import rehearse


def test_a_starter_is_rehearsed(tmp_path):
    new_campaign(tmp_path / "lifts", "Spring lifts", electronics=True)
    campaign = read_campaign(tmp_path / "lifts")
    about = {warning["code"] for warning in check(campaign).as_dict()["warnings"]}
    assert about <= {"check-stability-full"}
    read = read_program(tmp_path / "lifts" / "program-board.toml")
    assert check_program(read, facts_of(campaign)["board"]).problems == ()
    found = rehearse(campaign, flights=12, faults="battery flat", mends=False)
    assert found.nominal.good.count == 12
    assert found.single_points
