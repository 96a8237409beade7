"""``loftwright set``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from loftwright.cli.options import campaign_folder, json_option

if TYPE_CHECKING:
    from loftwright.documents.change import Changed, Edit
    from loftwright.documents.named import Named
    from loftwright.rehearsal.checking import CampaignCheck

__all__ = ["command"]


@click.command("set")
@campaign_folder
@click.argument("settings", metavar="[PATH=VALUE ...]", nargs=-1)
@click.option(
    "--remove",
    "removed",
    metavar="PATH",
    multiple=True,
    help="Take out a field, a table (vehicle.canopy), one of a list (vehicle.fins.1) or a whole "
    "document (payload), whose file stays. Several times if wanted.",
)
@click.option(
    "--add",
    "added",
    metavar="DOCUMENT",
    multiple=True,
    help="Begin a document with examples in it: payload, payload2, payload3, boosters, upper or "
    "avionics.",
)
@click.option(
    "--based-on",
    metavar="SHA256",
    help="Of the document as you read it: what others changed since then is kept, and of a field "
    "that both change nothing is written.",
)
@json_option
def command(
    folder: Path,
    settings: tuple[str, ...],
    removed: tuple[str, ...],
    added: tuple[str, ...],
    based_on: str | None,
    as_json: bool,
) -> int:
    """Set fields of the documents of DIR, e.g. vehicle.fill.water_volume='0.8 L'.

    Comments, order and spacing stay as they are. A field or table that is missing is added; one
    more of a list has the next number. What a document could not be read with is not written.
    Paths and values are those of the reference of the documents; a release program's begin with
    program and the name of its controller. What the check says comes after it; undo takes it back.
    """
    if not (settings or removed or added):
        raise click.UsageError("nothing to set: give PATH=VALUE, --remove or --add")
    documents = [path for path in removed if "." not in path]
    if based_on and (documents or added):
        raise click.UsageError("--based-on is of one document: set, or take out, fields of it")
    done = [_add(folder, root) for root in added]
    fields = tuple(path for path in removed if "." in path)
    if settings or fields:
        done.append(_change(folder, settings, fields, based_on))
    done += [_leave_out(folder, root) for root in documents]
    return _tell(folder, done, as_json)


def _add(folder: Path, root: str) -> Changed:
    from loftwright.documents.adding import add_document

    return add_document(folder, root)


def _leave_out(folder: Path, root: str) -> Changed:
    from loftwright.documents.adding import leave_out_document

    return leave_out_document(folder, root)


def _change(
    folder: Path, settings: Sequence[str], removed: Sequence[str], based_on: str | None
) -> Changed:
    from loftwright.documents.change import change
    from loftwright.documents.named import documents_named

    named = documents_named(folder)
    edits = _edits(named, settings, removed, based_on)
    if based_on and len(edits) > 1:
        raise click.UsageError("--based-on is of one document, and these are fields of several")
    models = {each.file: each.model for each in named.values()}
    done = change(folder, edits, models)
    if done.conflicts:
        raise _conflict(done, {each.file: each.root for each in named.values()})
    return done


def _edits(
    named: dict[str, Named], settings: Sequence[str], removed: Sequence[str], based_on: str | None
) -> dict[str, Edit]:
    from loftwright.documents.change import Edit
    from loftwright.documents.named import field_named
    from loftwright.documents.written import as_written

    values: dict[str, dict[str, Any]] = {}
    gone: dict[str, list[str]] = {}
    for setting in settings:
        path, sign, text = setting.partition("=")
        if not sign:
            raise click.UsageError(f"{setting}: write it as PATH=VALUE")
        document, field = field_named(named, path.strip())
        values.setdefault(document.file, {})[_field(field, path)] = as_written(
            document.model, field, text
        )
    for path in removed:
        document, field = field_named(named, path.strip())
        gone.setdefault(document.file, []).append(_field(field, path))
    return {
        file: Edit(values.get(file, {}), tuple(gone.get(file, ())), based_on)
        for file in dict.fromkeys([*values, *gone])
    }


def _field(field: str, path: str) -> str:
    if not field:
        raise click.UsageError(f"{path}: name a field of the document, e.g. {path}.name")
    return field


def _conflict(done: Changed, roots: dict[str, str]) -> Exception:
    from loftwright.errors import Problem, ProblemError, Where

    def told(value: str | None) -> str:
        return "not there" if value is None else f'"{value}"'

    return ProblemError(
        Problem(
            "edit-conflict",
            f"this was changed since you read it: it was {told(each.base)} then, it is "
            f"{told(each.theirs)} now, and you ask for {told(each.yours)}",
            Where(file=each.file, field=f"{roots[each.file]}.{each.path}", value=each.theirs),
            f"decide which counts, and set it with --based-on {done.hashes[each.file]}",
        )
        for each in done.conflicts
    )


def _tell(folder: Path, done: Sequence[Changed], as_json: bool) -> int:
    """Say what was written, then what the check finds now."""
    from loftwright.errors import as_dict
    from loftwright.rehearsal.checking import check_campaign

    checked = check_campaign(folder)
    written = list(dict.fromkeys(file for each in done for file in each.written))
    meanwhile = {file: fields for each in done for file, fields in each.meanwhile.items()}
    if as_json:
        from loftwright.cli.answers import emit

        hashes = {file: digest for each in done for file, digest in each.hashes.items()}
        answer = {
            "written": written,
            "documents_sha256": hashes,
            "kept_of_others": meanwhile,
            "findings": [as_dict(each) for each in checked.problems],
        }
        emit("set", answer)
        return 0
    _print(written, meanwhile, checked)
    return 0


def _print(
    written: Sequence[str], meanwhile: dict[str, tuple[str, ...]], checked: CampaignCheck
) -> None:
    from loftwright.cli.answers import tell_warnings

    click.echo(f"Written: {', '.join(written)}" if written else "It says so already.")
    for file, fields in meanwhile.items():
        click.echo(f"Others changed {', '.join(fields)} in {file} meanwhile; that was kept.")
    tell_warnings(checked.problems)
    if any(each.severity == "error" for each in checked.unread):
        click.echo("The campaign cannot be read as it is now; mend it, or: loftwright undo DIR")
    elif checked.refuted:
        click.echo("A release program is wrong as it is now; mend it, or: loftwright undo DIR")
