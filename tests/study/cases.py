"""Campaigns and phrases that the tests of studies share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flight.campaigns import example

from loftwright.documents.campaign import Campaign
from loftwright.errors import ProblemError
from loftwright.study.evaluate import Draws
from loftwright.study.phrases import read_aim, read_limit
from loftwright.study.question import Question
from loftwright.study.spans import read_spans

WATER = "vehicle.fill.water_volume"
PRESSURE = "vehicle.fill.gauge_pressure"


def lift() -> Campaign:
    """Return the demo campaign."""
    return example("sedge-lift")


def bare_lift() -> Campaign:
    """Return the demo without its glider: shorter flights, and no release to electronics."""
    return replace(lift(), payload=None, avionics=None, programs={})


def asked(
    campaign: Campaign,
    vary: Sequence[str],
    aims: Sequence[str],
    limits: Sequence[str] = (),
    flights: int = 0,
) -> Question:
    """Return a question from its phrases."""
    many = flights > 0
    return Question(
        campaign,
        tuple(read_spans(campaign, vary)),
        tuple(read_aim(campaign, each, spread=many) for each in aims),
        tuple(read_limit(campaign, each, spread=many) for each in limits),
        Draws(flights, 1) if many else None,
    )


def codes(error: ProblemError) -> list[str]:
    """Return the codes of the problems of an error."""
    return [problem.code for problem in error.problems]
