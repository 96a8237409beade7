"""A point is refused by what reading its documents would refuse, and by nothing else."""

from __future__ import annotations

import pytest
from flight.staged import STAGED, staged
from study.cases import lift

from loftwright.cli.overrides import read_with
from loftwright.errors import ProblemError
from loftwright.study.evaluate import refusal
from loftwright.study.spans import placed, variable

# Path, value in SI, the same as it is written, and whether the documents stand it.
POINTS = [
    ("vehicle.fill.gauge_pressure", 9e5, "900 kPa", False),
    ("boosters.fill.gauge_pressure", 9e5, "900 kPa", False),
    ("upper.fill.gauge_pressure", 9e5, "900 kPa", False),
    ("boosters.fill.water_volume", 1.2e-3, "1.2 L", False),
    ("upper.fill.water_volume", 0.5e-3, "0.5 L", True),
    ("boosters.attach.offset", 0.06, "60 mm", False),
    ("boosters.attach.around", 1.5707963267948966, "90 deg", False),
    ("boosters.attach.count", 3.0, "3", False),
    ("upper.stack.from_nose", 0.1, "0.1 m", False),
    ("payload.carried.from_nose", 3.0, "3 m", False),
    ("payload.carried.around", 0.0, "0 deg", False),
    ("payload.carried.around", 1.6, "1.6 rad", True),
    ("payload2.carried.offset", 0.01, "10 mm", False),
    ("payload2.carried.around", 1.5707963267948966, "90 deg", False),
    ("payload3.carried.width", 0.5, "0.5 m", False),
    ("payload3.carried.width", 0.1, "0.1 m", True),
]


@pytest.mark.parametrize(("path", "value", "written", "stands"), POINTS)
def test_a_point_is_refused_as_its_documents_are(path, value, written, stands):
    why = refusal(placed(staged(), {path: value}))
    assert (why == "") is stands
    try:
        read_with(STAGED, (f"{path}={written}",))
    except ProblemError as error:
        refused = [each.message for each in error.problems if each.severity == "error"]
        assert not stands
        assert any(why.partition(": ")[2] in message for message in refused)
    else:
        assert stands


@pytest.mark.parametrize("campaign", [lift(), staged()])
def test_as_written_nothing_is_refused(campaign):
    assert refusal(campaign) == ""


def test_quantities_of_every_document_may_be_varied():
    roots = {path.partition(".")[0] for path in variable(staged())}
    assert roots == {"vehicle", "payload", "payload2", "payload3", "boosters", "upper", "site"}
