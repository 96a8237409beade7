"""``loftwright new``."""

from __future__ import annotations

from pathlib import Path

import click

from loftwright.cli.options import json_option

__all__ = ["command", "copy_demo"]

DEMO = "sedge-lift"


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--name", help="What the campaign is called; the folder's name when left out.")
@click.option("--demo", is_flag=True, help="Copy the demo campaign instead, to play with.")
@click.option(
    "--electronics",
    is_flag=True,
    help="With sensors, a controller and its release program, to be rehearsed.",
)
@click.option("--no-payload", is_flag=True, help="With nothing carried; then no electronics.")
@click.option("--question", help="What the next flight is to answer.")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Units of answers.")
@json_option
def command(
    folder: Path,
    name: str | None,
    demo: bool,
    electronics: bool,
    no_payload: bool,
    question: str | None,
    units: str | None,
    as_json: bool,
) -> None:
    """Begin a campaign in DIR: documents with every field, its meaning and an example.

    Nothing that exists is overwritten.
    """
    from loftwright.cli.answers import emit

    given = {"--name": name, "--question": question, "--units": units}
    if demo and (words := [word for word, value in given.items() if value]):
        raise click.UsageError(f"the demo campaign has its own already: --demo or {words[0]}")
    if demo and electronics:
        raise click.UsageError("the demo campaign has electronics already: --demo alone")
    if no_payload and (electronics or demo):
        raise click.UsageError("these let a payload go: leave --no-payload out, or them")
    if folder.name == "campaign.toml" and not folder.is_dir():  # it may be given for its folder
        folder = folder.parent
    called = name or folder.resolve().name
    if demo:
        written = copy_demo(folder)
    else:
        written = _begin(folder, called, electronics, not no_payload, question, units)
    if as_json:
        emit("new", {"folder": folder, "files": [path.name for path in written]})
        return
    click.echo(f"Begun in {folder}: {', '.join(path.name for path in written)}")
    if not demo:
        click.echo("The numbers in them are examples. Put yours in, then:")
    click.echo(f"  loftwright check {folder}")
    if demo or electronics:
        click.echo(f"  loftwright rehearse {folder}")


def _begin(
    folder: Path,
    name: str,
    electronics: bool,
    payload: bool,
    question: str | None,
    units: str | None,
) -> list[Path]:
    from loftwright.documents.template import new_campaign

    return new_campaign(
        folder, name, electronics=electronics, payload=payload, question=question, units=units
    )


def copy_demo(folder: Path) -> list[Path]:
    """Copy the demo campaign into ``folder``; return the files. Nothing is overwritten."""
    from loftwright.documents.files import write_atomically
    from loftwright.documents.template import make_folder

    sources = sorted(_demo().glob("*.toml"))
    _refuse_existing(folder, [source.name for source in sources])
    make_folder(folder)
    for source in sources:
        write_atomically(folder / source.name, source.read_bytes(), overwrite=False)
    return [folder / source.name for source in sources]


def _demo() -> Path:
    """Return the folder of the demo campaign: in the package, or in the checkout around it."""
    package = Path(__file__).resolve().parents[1]
    places = (package / "examples" / DEMO, package.parents[1] / "examples" / DEMO)
    return next((place for place in places if place.is_dir()), places[0])


def _refuse_existing(folder: Path, names: list[str]) -> None:
    from loftwright.errors import Problem, ProblemError, Where

    mend = "choose another folder; nothing was written"
    problems = [
        Problem("file-exists", "the file exists already", Where(file=str(folder / name)), mend)
        for name in names
        if (folder / name).exists()
    ]
    if problems:
        raise ProblemError(problems)
