"""What a rehearsal of a campaign needs, worked out once: recipe, programs, what they work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from loftwright.documents.campaign import Campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.field.shapes import GroundShape, ground_shapes
from loftwright.flight.blocks import Recipe, recipe_of
from loftwright.flight.citations import flight_laws
from loftwright.flight.forecast import provenance
from loftwright.flight.results import Provenance
from loftwright.program.assemble import assemble
from loftwright.program.table import Table
from loftwright.rehearsal.block import worked_things
from loftwright.rehearsal.recorded import PressureTruth

__all__ = ["Plan", "made_by", "plan_of", "see_that_it_rehearses"]

TOLERANCE = 1e-6


@dataclass(frozen=True, slots=True)
class Plan:
    """A campaign made ready: everything that its blocks share.

    ``tables`` holds the program of each controller; ``things`` what programs let go or open, roots
    of payloads and ``"canopy"``. ``recorded`` stands in for what flights let controllers sense.
    """

    campaign: Campaign
    recipe: Recipe
    tables: Mapping[str, Table]
    things: tuple[str, ...]
    shapes: tuple[GroundShape, ...]
    recorded: PressureTruth | None = None

    @property
    def seed(self) -> int:
        """Seed of all draws."""
        return self.recipe.seed


def plan_of(campaign: Campaign, seed: int, recorded: PressureTruth | None = None) -> Plan:
    """Make a campaign ready.

    Raises
    ------
    ProblemError
        When it has no avionics, or its programs would work what cannot be rehearsed.
    """
    see_that_it_rehearses(campaign)
    return Plan(
        campaign=campaign,
        recipe=recipe_of(campaign, seed, TOLERANCE),
        tables={name: assemble(program) for name, program in campaign.programs.items()},
        things=worked_things(campaign),
        shapes=ground_shapes(campaign.site),
        recorded=recorded,
    )


def see_that_it_rehearses(campaign: Campaign) -> None:
    """See that there is something to rehearse. Raises ``ProblemError`` where there is not."""
    if problems := _refusals(campaign):
        raise ProblemError(problems)


def _refusals(campaign: Campaign) -> list[Problem]:
    if campaign.avionics is None:
        where = Where(file="campaign.toml", field="avionics")
        message = "there are no avionics, so nothing can be rehearsed"
        mend = 'describe them, and name the file: avionics = "avionics.toml"'
        return [Problem("avionics-none", message, where, mend)]
    found = []
    for root in worked_things(campaign):
        payload = campaign.payloads.get(root)
        if payload is not None and payload.on != "vehicle":
            where = Where(file=campaign.head.avionics, field="actuator.works", value=root)
            message = f"{payload.name} rides on the upper stage: that is not rehearsed yet"
            mend = "rehearse it on the vehicle, or leave its actuator out"
            found.append(Problem("rehearse-on-upper", message, where, mend))
    return found


def made_by(plan: Plan, flights: int) -> Provenance:
    """State what makes a rehearsal of this campaign: enough to make it again."""
    laws = flight_laws(plan.recipe.values, plan.recipe.words, ensemble=True)
    return provenance(
        plan.campaign, tolerance=TOLERANCE, laws=laws, seed=plan.seed, flights=flights
    )
