"""``loftwright rehearse --watch``: single flights of a rehearsal, flown again and looked at."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from typing import Any

    from loftwright.cli.outputs import Outputs
    from loftwright.documents import Campaign
    from loftwright.rehearsal.one_flight import FlownAgain, WatchedAgain
    from loftwright.rehearsal.plan import Plan
    from loftwright.rehearsal.results import Watched

__all__ = ["read_watch", "tell_flights"]

MOST = 100  # flights that are flown again at once
_NUMBERS = re.compile(r"\s*\d{1,12}(\s*,\s*\d{1,12})*\s*")


def read_watch(text: str) -> tuple[str, list[int]]:
    """Return the case and the numbers of the flights that ``CASE:FLIGHT`` names.

    Raises ``ProblemError`` for what is not that, and for too many flights.
    """
    from loftwright.errors import Problem, ProblemError, Where

    case, _, numbers = text.rpartition(":")
    where = Where(field="--watch", value=text[:80])
    mend = (
        "write the case as the failure table calls it, a colon, and numbers of flights: "
        "'battery flat: cell:17', or 'no fault:3,8'"
    )
    if not case.strip() or not _NUMBERS.fullmatch(numbers):
        raise ProblemError(
            [Problem("rehearse-no-flight", "this is not a case and a flight", where, mend)]
        )
    found = list(dict.fromkeys(int(each) for each in numbers.split(",")))
    if len(found) > MOST:
        message = f"{len(found)} flights are more than are flown again at once, {MOST}"
        raise ProblemError([Problem("rehearse-no-flight", message, where, "ask for fewer")])
    return case.strip(), found


def tell_flights(
    campaign: Campaign,
    plan: Plan,
    asked: tuple[str, list[int]],
    settings: tuple[str, ...],
    outputs: Outputs,
    *,
    as_json: bool,
) -> int:
    """Fly what is asked for again, and end the command with it."""
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.rehearsal.one_flight import fly_again, trial_named, watch_again

    case, numbers = asked
    trial_named(plan, case)
    tell_compiling_rehearsal()
    progress = Progress("flights")
    watched: list[WatchedAgain] = []
    flown: list[FlownAgain] = []
    try:
        for done, number in enumerate(numbers, 1):
            if len(numbers) == 1 or any(map(outputs.wants, ("--report", "--strips"))):
                watched.append(watch_again(plan, case, number))
                flown.append(watched[-1].flown)
            else:
                flown += fly_again(plan, case, [number])
            progress(done, len(numbers))
    finally:
        progress.finish()
    return tell_result(
        "rehearse-watch",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={},
        page=lambda: _page(campaign, plan, watched),
        answer=lambda: _answer(plan, flown, watched),
        show=lambda: _show(campaign, flown, watched),
    )


def _show(campaign: Campaign, flown: list[FlownAgain], watched: list[WatchedAgain]) -> None:
    from loftwright.report.watched_terminal import print_flights, print_watched

    system = campaign.head.units
    if len(flown) == 1:
        print_watched(watched[0], campaign, system)
    else:
        print_flights(flown, campaign, system)


def _page(campaign: Campaign, plan: Plan, watched: list[WatchedAgain]) -> str:
    from loftwright.rehearsal.plan import made_by
    from loftwright.report.watched_page import watched_page

    return watched_page(campaign, watched, made_by(plan, len(watched)))


# ---------------------------------------------------------------- for programs


def _answer(plan: Plan, flown: list[FlownAgain], watched: list[WatchedAgain]) -> dict[str, Any]:
    from loftwright.cli.answers import made_by as made
    from loftwright.rehearsal.plan import made_by

    answer: dict[str, Any] = {
        "case": flown[0].case,
        "says": flown[0].says,
        "flights": [_flown(each) for each in flown],
        "provenance": made(made_by(plan, len(flown))),
    }
    if len(flown) == 1:
        seen = watched[0]
        answer |= {
            "watched": _watched(seen.watched),
            "without_fault": _flown(seen.plain) if seen.plain else None,
            "watched_without_fault": _watched(seen.plain_watched) if seen.plain_watched else None,
        }
    return answer


def _flown(flown: FlownAgain) -> dict[str, Any]:
    return {
        "flight": flown.flight,
        "payload": flown.payload or None,
        "vehicle": flown.vehicle,
        "field": flown.field or None,
        "good": flown.good,
        "lost": flown.lost,
        "endangers": flown.endangers,
        "energy_j": flown.energy_j,
        "figures": flown.figures,
    }


def _watched(watched: Watched) -> dict[str, Any]:
    return {
        "outcome": watched.outcome,
        "events_s": watched.events,
        "commands_s": watched.commands,
        "acts_s": watched.acts,
        "stays": {
            name: [
                {"stage": stay.stage, "start_s": stay.start, "end_s": stay.end, "why": stay.why}
                for stay in each
            ]
            for name, each in watched.stays.items()
        },
    }
