"""``loftwright ledger reliability`` and ``ready``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.ledger_take_in import opened
from loftwright.cli.options import campaign_folder, json_option, seed_option

if TYPE_CHECKING:
    from loftwright.ledger.reliability import Asked, FunctionReliability

__all__ = ["ready", "reliability"]

FUNCTIONS = ("launch", "release", "canopy", "recovery")


def _share(ctx: click.Context, param: click.Parameter, value: str) -> float:
    """Return a share between 0 and 1, written as one or as a percentage."""
    text = value.strip()
    try:
        share = float(text.removesuffix("%")) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        raise click.BadParameter(f"{text!r} is no share; write 0.9 or 90%", ctx, param) from None
    if not 0.0 <= share <= 1.0:
        raise click.BadParameter(f"{text!r} is not between 0 and 1", ctx, param)
    return share


# What is wanted and which flights count; the last stands first in the help.
_ASKED = (
    seed_option,
    click.option(
        "--depends",
        metavar="FUNCTION=PATHS",
        multiple=True,
        help="What a function depends on, in place of the default: paths of fields with * for "
        "anything, commas between, ! in front to leave out; may be repeated.",
    ),
    click.option(
        "--prior",
        metavar="A,B",
        default="1,1",
        show_default=True,
        help="A beta prior of your own: as if A flights had worked and B failed before.",
    ),
    click.option(
        "--function",
        "functions",
        type=click.Choice(FUNCTIONS),
        multiple=True,
        help="Only this function; may be repeated.",
    ),
    click.option(
        "--may-fail",
        metavar="F",
        type=click.IntRange(min=0, max=1000),
        default=0,
        show_default=True,
        help="How many of the flights still to come may fail.",
    ),
    click.option(
        "--weight",
        metavar="W",
        callback=_share,
        default="0.5",
        show_default=True,
        help="What a flight of another build counts, with --count weighted.",
    ),
    click.option(
        "--count",
        type=click.Choice(["same", "weighted", "all"]),
        default="weighted",
        show_default=True,
        help="Which flights count: of the same build, others by a weight, all in full.",
    ),
    click.option(
        "--confidence",
        metavar="C",
        callback=_share,
        default="0.8",
        show_default=True,
        help="How surely it is to be shown.",
    ),
    click.option(
        "--wanted",
        metavar="R",
        callback=_share,
        default="0.9",
        show_default=True,
        help="The reliability that is wanted of each function, e.g. 0.9 or 90%.",
    ),
)


def asking(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say what is wanted and which flights count."""
    for option in _ASKED:
        command = option(command)
    return command


@click.command("reliability")
@campaign_folder
@asking
@json_option
def reliability(folder: Path, as_json: bool, **asked: Any) -> None:
    """Say what the flights of DIR show of each function's reliability, and how many more show more.

    Counts against the documents as they stand in DIR: a flight whose build differs in what a
    function depends on tells less of it.
    """
    from loftwright.ledger.reliability import reliability as reckoned

    with opened(folder) as ledger:
        found = reckoned(ledger, _asked(**asked))
    if as_json:
        from loftwright.cli.answers import emit

        emit("ledger-reliability", _answer(found.asked, found.functions))
        return
    from loftwright.report.ledger_terminal import print_reliability

    print_reliability(found)


@click.command("ready")
@campaign_folder
@asking
@json_option
def ready(folder: Path, as_json: bool, **asked: Any) -> int:
    """Say what speaks against flying the program of DIR on a costlier vehicle, and what to do next.

    Looks at what each function has shown, failures that nobody explained, findings and actions that
    are open, changes that never flew, and the evidence. Exits with 1 when anything does.
    """
    from loftwright.cli.progress import Progress
    from loftwright.ledger.readiness import readiness

    progress = Progress("files of evidence")
    with opened(folder) as ledger:
        found = readiness(ledger, _asked(**asked), progress=progress)
    progress.finish()
    if as_json:
        from loftwright.cli.answers import emit

        answer = {
            "lead": found.lead,
            "nothing_against": found.is_ready,
            "reasons": [asdict(reason) for reason in found.reasons],
            "rests_on": found.rests_on,
            "cautions": found.cautions,
            **_answer(found.reliability.asked, found.reliability.functions),
        }
        emit("ledger-ready", answer)
    else:
        from loftwright.report.ledger_terminal import print_readiness

        print_readiness(found)
    return 0 if found.is_ready else 1


def _asked(
    *,
    wanted: float,
    confidence: float,
    count: str,
    weight: float,
    may_fail: int,
    prior: str,
    depends: tuple[str, ...],
    functions: tuple[str, ...],
    seed: int,
) -> Asked:
    from loftwright.ledger.functions import DEPENDS
    from loftwright.ledger.reliability import Asked

    own = dict(DEPENDS)
    for each in depends:
        function, sign, paths = each.partition("=")
        if not sign or function.strip() not in FUNCTIONS:
            raise click.UsageError(f"--depends {each}: write it as FUNCTION=PATH,PATH")
        own[function.strip()] = tuple(path.strip() for path in paths.split(",") if path.strip())
    return Asked(
        wanted=wanted,
        confidence=confidence,
        count=count,
        weight=weight,
        may_fail=may_fail,
        prior=_prior(prior),
        depends=own,
        functions=functions or FUNCTIONS,
        seed=seed,
    )


def _prior(text: str) -> tuple[float, float]:
    try:
        worked, failed = (float(part) for part in text.split(","))
    except ValueError:
        raise click.UsageError(f"--prior {text}: write two numbers, as 1,1") from None
    return worked, failed


def _answer(asked: Asked, functions: tuple[FunctionReliability, ...]) -> dict[str, Any]:
    """Return what was asked and each function's figures; shares from 0 to 1."""
    return {
        "asked": asdict(asked),
        "functions": {
            each.function: {
                **{name: value for name, value in asdict(each).items() if name != "function"},
                "not_known": each.not_known,
                "is_shown": each.is_shown,
            }
            for each in functions
        },
    }
