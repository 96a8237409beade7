"""``loftwright rehearse``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from loftwright.cli.options import (
    campaign_folder,
    csv_option,
    json_option,
    report_option,
    seed_option,
)
from loftwright.cli.overrides import read_with, set_option
from loftwright.cli.telling import tell_result

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from loftwright.cli.outputs import Outputs
    from loftwright.documents import Campaign
    from loftwright.flight.chance import Chance
    from loftwright.rehearsal.mends import Change
    from loftwright.rehearsal.recorded import PressureTruth
    from loftwright.rehearsal.results import Case, Rehearsal, Shift

__all__ = ["command", "recorded_truth"]


@click.command("rehearse")
@campaign_folder
@click.option(
    "--flights",
    metavar="N",
    type=click.IntRange(min=2),
    default=1000,
    show_default=True,
    help="Fly each case this many times; all cases meet the same wind, draws and noise.",
)
@seed_option
@click.option(
    "--faults",
    metavar="all|none|LIST",
    default="all",
    show_default=True,
    help="Which faults of the library to try, each alone: names with commas between them.",
)
@click.option("--pairs", is_flag=True, help="Try every two faults together as well.")
@click.option(
    "--level",
    metavar="SHARE",
    type=click.FloatRange(0.0, 1.0, max_open=True),
    default=0.1,
    show_default=True,
    help="A fault that loses the vehicle or endangers people in more than this share of the "
    "flights in which it happens is a single point of failure.",
)
@click.option("--no-mends", is_flag=True, help="Do not try what would mend single points.")
@click.option(
    "--try",
    "tries",
    metavar="CHANGE",
    multiple=True,
    help="Try a change on the same flights: PATH=VALUE of a document, NAME=VALUE of a program's "
    "number (see tune), or the folder of another campaign; several times if wanted.",
)
@click.option(
    "--truth",
    metavar="LOG",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Let the controllers sense a recorded flight in place of a forecast one.",
)
@click.option(
    "--watch",
    metavar="CASE:FLIGHT",
    help="Fly nothing but this flight of a case again and tell what happened in it, e.g. "
    "'battery flat: cell:17' or 'no fault:0'; several numbers with commas between them.",
)
@click.option(
    "--beside",
    metavar="ANSWER",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Hold it against an earlier rehearsal: a file that --json wrote.",
)
@set_option
@csv_option
@report_option
@json_option
def command(
    folder: Path,
    flights: int,
    seed: int,
    faults: str,
    pairs: bool,
    level: float,
    no_mends: bool,
    tries: tuple[str, ...],
    truth: Path | None,
    watch: str | None,
    beside: Path | None,
    settings: tuple[str, ...],
    csv: Path | None,
    report: Path | None,
    as_json: bool,
) -> int:
    """Fly the campaign in DIR with its release programs at work, and with every fault.

    Says how reliable it is when nothing fails, what each fault does, which of them alone lose the
    vehicle or endanger people, and what would mend that.
    """
    from loftwright.cli.outputs import Outputs

    if watch is not None and (csv is not None or tries or pairs):
        raise click.UsageError("--watch flies single flights: without --csv, --try and --pairs")
    campaign = read_with(folder, settings)
    earlier = None if beside is None else _earlier(beside)
    records = [each for each in (truth, beside) if each is not None]
    outputs = Outputs({"--csv": csv, "--report": report}, campaign, records)
    if watch is not None:
        return _watched(campaign, watch, seed, truth, settings, outputs, as_json=as_json)
    from loftwright.cli.tried import changes_of

    tried = changes_of(folder, settings, campaign, tries)
    found = _rehearsed(campaign, flights, seed, faults, pairs, level, not no_mends, tried, truth)
    return tell_result(
        "rehearse",
        {"name": campaign.head.name, "settings": settings},
        outputs,
        as_json=as_json,
        files={"--csv": lambda: _csv(found), "--report": lambda: _page(campaign, found)},
        answer=lambda: _answer(found) | _beside_answer(earlier, found),
        show=lambda: _show(campaign, found, earlier),
    )


def _watched(
    campaign: Campaign,
    watch: str,
    seed: int,
    truth: Path | None,
    settings: tuple[str, ...],
    outputs: Outputs,
    *,
    as_json: bool,
) -> int:
    from loftwright.cli.rehearse_watch import read_watch, tell_flights
    from loftwright.rehearsal.plan import plan_of

    asked = read_watch(watch)
    plan = plan_of(campaign, seed, None if truth is None else recorded_truth(truth))
    return tell_flights(campaign, plan, asked, settings, outputs, as_json=as_json)


def _rehearsed(
    campaign: Campaign,
    flights: int,
    seed: int,
    faults: str,
    pairs: bool,
    level: float,
    mends: bool,
    tries: Sequence[Change],
    truth: Path | None,
) -> Rehearsal:
    from loftwright.cli.progress import Progress, tell_compiling_rehearsal
    from loftwright.rehearsal.rehearse import rehearse

    recorded = None if truth is None else recorded_truth(truth)
    tell_compiling_rehearsal()
    progress = Progress("flights")
    try:
        return rehearse(
            campaign,
            flights=flights,
            seed=seed,
            faults=faults,
            pairs=pairs,
            level=level,
            mends=mends,
            tries=tries,
            recorded=recorded,
            recorded_in="" if truth is None else truth.name,
            progress=progress,
        )
    finally:
        progress.finish()


def recorded_truth(log: Path) -> PressureTruth:
    """Return a recorded flight that stands in for what controllers sense."""
    from loftwright.evidence.flight_log import read_flight_log
    from loftwright.evidence.kept_reading import kept_entry, log_options
    from loftwright.rehearsal.recorded import pressure_truth

    kept = kept_entry(log)
    options = None if kept is None else log_options(kept[1], kept[0])
    return pressure_truth(read_flight_log(log, options))


def _earlier(answer: Path) -> Rehearsal:
    from loftwright.cli.adopt import read_answer
    from loftwright.rehearsal.kept import rehearsal_of

    return rehearsal_of(read_answer(answer), str(answer))


def _show(campaign: Campaign, found: Rehearsal, earlier: Rehearsal | None) -> None:
    from loftwright.report.rehearse_terminal import print_beside, print_rehearsal

    print_rehearsal(found, campaign.head.units)
    if earlier is not None:
        from loftwright.rehearsal.beside import beside

        print_beside(beside(earlier, found))


def _page(campaign: Campaign, found: Rehearsal) -> str:
    from loftwright.report.program_pictures import program_pictures
    from loftwright.report.rehearse_page import Pictures, rehearse_page
    from loftwright.report.wiring_picture import picture_of

    assert campaign.avionics is not None
    wiring = picture_of(campaign.avionics, campaign.head.units)
    return rehearse_page(campaign, found, Pictures(wiring, program_pictures(campaign.programs)))


# ---------------------------------------------------------------- for programs


def _answer(found: Rehearsal) -> dict[str, Any]:
    from loftwright.cli.answers import made_by, written_as

    return {
        "flights": found.flights,
        "single_point_level": found.level,
        "confidence": 0.95,
        "truth_from": found.truth_from or None,
        "wanted": found.wanted,
        "nominal": _case(found.nominal),
        "faults": [_case(each) for each in found.faults],
        "single_points": [each.name for each in found.single_points],
        "pairs": [_case(each) for each in found.pairs],
        "cut_sets": [
            {"faults": each.faults, "chance": each.chance, "share": each.share}
            for each in found.cut_sets
        ],
        "common_causes": [
            {
                "part": each.part,
                "kind": each.kind,
                "takes_along": each.takes_along,
                "leaves_no_way_down": each.leaves_no_way_down,
            }
            for each in found.common_causes
        ],
        "mends": [
            {
                "words": each.words,
                "how": each.how,
                "lost": {name: _shift(shift) for name, shift in each.lost.items()},
                "good": _shift(each.good),
                "writes": written_as(each.writings),
            }
            for each in found.mends
        ],
        "provenance": made_by(found.provenance),
    }


def _beside_answer(earlier: Rehearsal | None, found: Rehearsal) -> dict[str, Any]:
    """Return what differs from an earlier rehearsal; nothing where none was given."""
    if earlier is None:
        return {}
    from loftwright.rehearsal.beside import beside

    held = beside(earlier, found)
    cases = {
        each.name: {
            word: None if shift is None else _shift(shift)
            for word, shift in (
                ("good", each.good), ("lost", each.lost), ("endangers", each.endangers),
            )
        }
        for each in held.cases
    }  # fmt: skip
    return {"beside": {"same_draws": held.paired, "flights": held.flights, "cases": cases}}


def _case(case: Case) -> dict[str, Any]:
    return {
        "faults": case.faults,
        "part": case.part or None,
        "says": case.says,
        "happens": case.happens,
        "payload": {word: _chance(chance) for word, chance in case.payload.items()},
        "vehicle": {word: _chance(chance) for word, chance in case.vehicle.items()},
        "field": {word: _chance(chance) for word, chance in case.field.items()},
        "good": _chance(case.good),
        "lost": _chance(case.lost),
        "endangers": _chance(case.endangers) if case.endangers else None,
        "severity": case.severity,
        "likelihood": case.likelihood,
        "risk": case.risk,
        "is_single_point": case.is_single_point,
        "energy_j": {
            body: {"p50": middle, "p95": high} for body, (middle, high) in case.energy_j.items()
        },
        "worst_flights": case.worst,
        "flights_behind": {
            column: {
                word: {"first": noted.first, "worst": noted.worst} for word, noted in words.items()
            }
            for column, words in case.noted.items()
        },
        "first_flights": case.first,
    }


def _chance(chance: Chance) -> dict[str, Any]:
    return {
        "count": chance.count,
        "flights": chance.flights,
        "share": chance.share,
        "interval": [chance.low, chance.high],
    }


def _shift(shift: Shift) -> dict[str, Any]:
    return {
        "before": _chance(shift.before),
        "after": _chance(shift.after),
        "difference": shift.difference,
        "interval": [shift.low, shift.high],
    }


def _csv(found: Rehearsal) -> str:
    """Return the failure table, a row a case: shares of flights in which it has happened."""
    from csv import writer
    from io import StringIO

    text = StringIO()
    rows = writer(text, lineterminator="\n")
    cases = (found.nominal, *found.faults, *found.pairs)
    payload, vehicle, field = (
        list(getattr(found.nominal, name)) for name in ("payload", "vehicle", "field")
    )
    rows.writerow(
        ["faults", "part", "happens", "flights", "good", "lost", "endangers"]
        + [f"payload {word}" for word in payload]
        + [f"vehicle {word}" for word in vehicle]
        + [f"ground {word}" for word in field]
        + ["severity", "likelihood", "risk", "single point"]
    )
    for case in cases:
        counted = [case.payload[word] for word in payload]
        counted += [case.vehicle[word] for word in vehicle]
        counted += [case.field[word] for word in field]
        shares = (case.good, case.lost, case.endangers, *counted)
        rows.writerow(
            [" and ".join(case.faults), case.part, f"{case.happens:g}", case.good.flights]
            + [f"{each.share:.6g}" if each else "" for each in shares]
            + [case.severity, case.likelihood, case.risk, "yes" if case.is_single_point else "no"]
        )
    return text.getvalue()
