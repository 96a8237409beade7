"""What flights taught, written into the documents."""

from __future__ import annotations

import shutil
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from loftwright.debrief.fitting.results import FlightFit, Informed
from loftwright.debrief.fitting.write import used_before, write_flight_fit, writes
from loftwright.debrief.results import Estimate
from loftwright.documents import Campaign, read_campaign
from loftwright.errors import ProblemError
from loftwright.units import Quantity

EXAMPLE = Path(__file__).parents[2] / "examples" / "sedge-lift-mended"
DIGEST = "ac4a0574" + "0" * 56


def learnt(path: str, before: tuple[float, float], after: tuple[float, float]) -> Informed:
    """A field, made up."""
    prior, posterior = (
        Estimate(value, sd, value - 1.645 * sd, value + 1.645 * sd) for value, sd in (before, after)
    )
    share = 1.0 - (after[1] / before[1]) ** 2
    return Informed(
        path=path, words=path, prior=prior, posterior=posterior, learnt=share, informed=share > 0.2
    )


PORT = learnt("avionics.bay.0.port_coefficient", (0.0, 0.03), (0.0123, 0.0041))
JET = replace(
    learnt("vehicle.nozzle.velocity_coefficient", (0.97, 0.02), (0.981, 0.012)),
    goes_with=(("vehicle.fill.gauge_pressure", -0.8),),
)
FILL = learnt("vehicle.fill.gauge_pressure", (517106.8, 13789.5), (524000.0, 6000.0))
FLOW = learnt("vehicle.nozzle.flow_coefficient", (0.95, 0.04), (0.95, 0.0395))


def fit_of(*fields: Informed, misfit: float = 0.8) -> FlightFit:
    return FlightFit(
        flights=("First lift",),
        fields=fields,
        correlation=(),
        misfit=misfit,
        used=(),
        warnings=(),
        seed=1,
        logs=(DIGEST,),
    )


@pytest.fixture
def campaign(tmp_path: Path) -> Campaign:
    home = tmp_path / "campaign"
    shutil.copytree(EXAMPLE, home)
    return read_campaign(home)


def texts(campaign: Campaign) -> dict[str, str]:
    return {name: (campaign.folder / name).read_text("utf-8") for name in campaign.hashes}


def test_values_change_and_every_other_byte_stays(campaign: Campaign) -> None:
    before = texts(campaign)
    written, notes = write_flight_fit(campaign, fit_of(PORT, JET), day="2026-05-03")
    after = texts(campaign)
    assert notes == []
    assert {each.path for each in written} == {PORT.path, JET.path}
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"avionics.toml", "vehicle.toml"}
    for name in changed:
        old, new = before[name].splitlines(), after[name].splitlines()
        own = [line for line in new if line.startswith("# learnt from ")]
        assert len(own) == 1
        new.remove(own[0])
        differing = [pair for pair in zip(old, new, strict=True) if pair[0] != pair[1]]
        assert len(differing) == 1
        assert differing[0][0].partition("#")[2] == differing[0][1].partition("#")[2]


def test_the_new_values_are_read_back(campaign: Campaign) -> None:
    write_flight_fit(campaign, fit_of(PORT, JET), day="2026-05-03")
    now = read_campaign(campaign.folder)
    assert now.vehicle.nozzle.velocity_coefficient == Quantity(0.981, 0.012)
    assert now.avionics is not None
    assert now.avionics.bay[0].port_coefficient == Quantity(0.0123, 0.0041)


def test_the_comment_says_where_it_came_from(campaign: Campaign) -> None:
    write_flight_fit(campaign, fit_of(JET), day="2026-05-03")
    text = (campaign.folder / "vehicle.toml").read_text("utf-8")
    assert (
        "# learnt from First lift (ac4a0574) on 2026-05-03; was 0.97 ± 0.02; goes with "
        "vehicle.fill.gauge_pressure (-0.80)\nvelocity_coefficient"
    ) in text


def test_the_day_is_written_when_asked_and_in_the_documents_unit(campaign: Campaign) -> None:
    fit = fit_of(FILL)
    assert writes(fit, ()) == []
    written, _ = write_flight_fit(campaign, fit, day="2026-05-03", asked=[FILL.path])
    assert written[0].now == "76.00 psi ± 0.87 psi"
    assert written[0].before == "75 psi ± 2 psi"


def test_what_was_hardly_informed_is_not_written(campaign: Campaign) -> None:
    before = texts(campaign)
    assert write_flight_fit(campaign, fit_of(FLOW), day="2026-05-03") == ([], [])
    assert texts(campaign) == before


def test_a_flight_that_was_learnt_from_is_known_again(campaign: Campaign) -> None:
    fit = fit_of(PORT, JET)
    assert list(used_before(campaign, fit)) == []
    write_flight_fit(campaign, fit, day="2026-05-03")
    found = list(used_before(campaign, fit))
    assert {each.where.file for each in found} == {"avionics.toml", "vehicle.toml"}
    assert all(each.code == "fit-learnt-already" for each in found)
    assert list(used_before(campaign, replace(fit, logs=("b" * 64,)))) == []


def test_older_comments_stay(campaign: Campaign) -> None:
    write_flight_fit(campaign, fit_of(JET), day="2026-05-03")
    again = read_campaign(campaign.folder)
    second = replace(fit_of(JET), flights=("Second",), logs=("b" * 64,))
    write_flight_fit(again, second, day="2026-05-10")
    text = (campaign.folder / "vehicle.toml").read_text("utf-8")
    assert text.count("# learnt from ") == 2
    assert "was 0.981 ± 0.012" in text
    assert tomllib.loads(text)["nozzle"]["velocity_coefficient"] == "0.981 ± 0.012"


def test_a_field_that_has_changed_since_is_left(campaign: Campaign) -> None:
    nozzle = replace(campaign.vehicle.nozzle, velocity_coefficient=Quantity(0.9, 0.02))
    flown = replace(campaign, vehicle=replace(campaign.vehicle, nozzle=nozzle))
    before = texts(campaign)
    written, notes = write_flight_fit(campaign, fit_of(JET), day="2026-05-03", flown=[flown])
    assert written == []
    assert "was not written" in notes[0]
    assert texts(campaign) == before


def test_nothing_is_written_of_a_fit_that_does_not_follow(campaign: Campaign) -> None:
    before = texts(campaign)
    with pytest.raises(ProblemError, match="does not follow"):
        write_flight_fit(campaign, fit_of(JET, misfit=9.0), day="2026-05-03")
    assert texts(campaign) == before
